//! Hypotheses: which unknowns are at fault, since when and in what shape, and how likely that is before anything is read.

use crate::cause::Cause;
use crate::instrument::Instrument;
use crate::prior::Unknown;
use crate::problem::{Prior, Problem};

/// How a fault came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Shape {
    /// It stood before the first reading.
    Standing,
    /// At once, first seen at this moment of the record.
    Step(usize),
    /// In a line from this fraction of the record to its end.
    Ramp(f64),
}

/// Fractions of the record at which a ramp may begin.
pub(crate) const RAMPS: [f64; 4] = [0.0, 0.25, 0.5, 0.75];

impl Shape {
    /// Part of the change that has come at a moment.
    pub(crate) fn come(self, moment: usize, fraction: f64) -> f64 {
        match self {
            Shape::Standing => 0.0,
            Shape::Step(at) => f64::from(u8::from(moment >= at)),
            Shape::Ramp(from) => ((fraction - from) / (1.0 - from)).clamp(0.0, 1.0),
        }
    }

    pub(crate) fn changed(self) -> bool {
        self != Shape::Standing
    }
}

/// One thing that may be at fault, with its fault density.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Suspect {
    pub(crate) cause: Cause,
    /// Its place among the unknowns.
    pub(crate) at: usize,
    pub(crate) mean: f64,
    pub(crate) sd: f64,
    /// ln π/(1 − π).
    pub(crate) ln_odds: f64,
    /// Comes slowly or not at all.
    pub(crate) slow: bool,
    /// The linearisation may not see it until it bites.
    pub(crate) kinked: bool,
}

/// A suspect at fault, in a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Blame {
    pub(crate) suspect: Suspect,
    pub(crate) shape: Shape,
    /// ln of the prior odds with the shape's share.
    pub(crate) ln_odds: f64,
}

/// Up to two blames together.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Hypothesis {
    pub(crate) blames: Vec<Blame>,
}

impl Hypothesis {
    pub(crate) fn ln_odds(&self) -> f64 {
        self.blames.iter().map(|b| b.ln_odds).sum()
    }

    /// Blames that changed within the record, with the place of their end value among the unknowns.
    pub(crate) fn changes(&self, count: usize) -> impl Iterator<Item = (&Blame, usize)> {
        self.blames
            .iter()
            .filter(|b| b.shape.changed())
            .enumerate()
            .map(move |(i, b)| (b, count + i))
    }

    /// The prior over all unknowns, end values included.
    pub(crate) fn prior(&self, healthy: &Prior) -> Prior {
        let mut prior = healthy.clone();
        for blame in &self.blames {
            let s = &blame.suspect;
            if blame.shape.changed() {
                prior.mean.push(s.mean);
                prior.sd.push(s.sd);
            } else {
                prior.mean[s.at] = s.mean;
                prior.sd[s.at] = s.sd;
            }
        }
        prior
    }

    pub(crate) fn with(&self, blame: Blame) -> Self {
        let mut blames = self.blames.clone();
        blames.push(blame);
        Hypothesis { blames }
    }

    /// Whether both blame the same in the same shapes, in whatever order.
    pub(crate) fn same(&self, other: &Self) -> bool {
        self.blames.len() == other.blames.len()
            && self.blames.iter().all(|b| other.blames.contains(b))
    }

    pub(crate) fn blames_at(&self, at: usize) -> bool {
        self.blames.iter().any(|b| b.suspect.at == at)
    }

    pub(crate) fn causes(&self) -> Vec<Cause> {
        self.blames.iter().map(|b| b.suspect.cause).collect()
    }
}

/// Shapes a suspect's fault may have, with ln of each one's share of the prior.
///
/// Three tenths stand from the first; of the rest, what comes at once may have come at any reading and what comes slowly from one of
/// four starts. Deposits only come slowly (our estimates).
pub(crate) fn shapes(suspect: &Suspect, moments: usize) -> Vec<(Shape, f64)> {
    const STANDING: f64 = 0.3;
    const SLOW: f64 = 0.25;
    if moments < 2 {
        return vec![(Shape::Standing, 0.0)];
    }
    let slow = if suspect.slow { 1.0 - STANDING } else { SLOW };
    let mut out = vec![(Shape::Standing, STANDING.ln())];
    let each = (slow / RAMPS.len() as f64).ln();
    out.extend(RAMPS.map(|from| (Shape::Ramp(from), each)));
    if !suspect.slow {
        let each = ((1.0 - STANDING - slow) / (moments - 1) as f64).ln();
        out.extend((1..moments).map(|at| (Shape::Step(at), each)));
    }
    out
}

/// Everything that may be at fault in a problem.
pub(crate) fn suspects(problem: &Problem) -> Vec<Suspect> {
    let logit = |p: f64| (p / (1.0 - p)).ln();
    let mut out = Vec::new();
    for line in problem.tables.causes.iter().filter(|line| !line.found_sound) {
        let (mean, sd) = line.fault_u();
        out.push(Suspect {
            cause: line.cause,
            at: line.unknown as usize,
            mean,
            sd,
            ln_odds: logit(line.odds),
            slow: matches!(line.unknown, Unknown::Scale | Unknown::Fouling),
            kinked: matches!(
                line.cause,
                Cause::EjectorWear
                    | Cause::FeedHigh
                    | Cause::AirLeak
                    | Cause::CondenserLeak
                    | Cause::CarryOver
                    | Cause::MotivePressure
                    | Cause::Overboard
            ),
        });
    }
    let wrong = |instrument: Instrument| {
        let (at, sd) = (problem.layout.blamed(instrument)?, problem.wide(instrument)?);
        let odds = problem.tables.instrument(instrument)?.odds;
        Some(Suspect {
            cause: Cause::Instrument(instrument),
            at,
            mean: 0.0,
            sd,
            ln_odds: logit(odds),
            slow: false,
            kinked: false,
        })
    };
    out.extend(problem.layout.errors.iter().filter_map(|i| wrong(*i)));
    if problem.saltiest > USUAL_SALT_MG_KG {
        let gross: Vec<Suspect> = out.iter().filter_map(|s| gross(problem, s)).collect();
        out.extend(gross);
    }
    out
}

/// What the usual faults reach as it is read, mg/kg: a leaking condenser two deviations over its middle, 35, by a cell that reads half as
/// much again (our estimate, from the tables of causes and instruments).
const USUAL_SALT_MG_KG: f64 = 50.0;

/// A fault is gross once in so many (our estimate).
const GROSS: f64 = 3.0;

/// The same fault grossly, for salt that the usual faults do not reach: a tube broken through, brine thrown over, a wet or scaled cell at
/// full scale. Without it the only cause that reaches hundreds of mg/kg would be the ejector's flooding.
fn gross(problem: &Problem, usual: &Suspect) -> Option<Suspect> {
    let (mean, sd) = match usual.cause {
        Cause::CondenserLeak => (usual.mean + 10.0_f64.ln(), 0.9),
        Cause::CarryOver => (usual.mean + 6.0_f64.ln(), 0.8),
        Cause::Instrument(Instrument::ProductSalt) => {
            let limit = problem.tables.instrument(Instrument::ProductSalt)?.limit;
            (5.0 * limit, 2.4 * limit)
        }
        _ => return None,
    };
    Some(Suspect { mean, sd, ln_odds: usual.ln_odds - GROSS.ln(), ..*usual })
}
