//! The next best check: how much a reading not yet taken would tell, for each minute of work.

use crate::cause::Cause;
use crate::dense::dot;
use crate::explain::Finding;
use crate::fit::Fit;
use crate::instrument::{self, Instrument};
use crate::judge::Parts;
use crate::normal::density;
use crate::problem::Problem;
use crate::search::Mixture;
use crate::sentence::lasting;

/// A check that might be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    /// The instrument.
    pub instrument: Instrument,
    /// What its reading would tell of which causes are to blame, bits.
    pub bits: f64,
    /// Minutes of work.
    pub minutes: f64,
}

impl Check {
    /// How long it takes and what it takes: "two minutes", "1.5 hours, plant cold and drained".
    #[must_use]
    pub fn takes(&self) -> String {
        let cold = self.instrument == Instrument::LeakDown;
        format!("{}{}", lasting(self.minutes), if cold { COLD } else { "" })
    }
}

/// What a leak-down is read of only.
const COLD: &str = ", plant cold and drained";

/// A check that would tell less is not worth the walk, bits.
pub const WORTH_BITS: f64 = 0.05;

/// Hypotheses with less weight are left out.
const COUNTS: f64 = 1.0e-3;
/// Points of the quadrature.
const POINTS: usize = 240;

/// Every check not among the last readings, the most telling a minute first.
pub(crate) fn checks(problem: &Problem, mixture: &Mixture) -> Vec<Check> {
    let Some(last) = problem.moments.len().checked_sub(1) else { return Vec::new() };
    let read: Vec<usize> = problem.moments[last].rows.iter().map(|r| r.line).collect();
    let inputs = problem.moments[last].input_read;
    let mut out: Vec<Check> = problem
        .tables
        .instruments
        .iter()
        .enumerate()
        .filter(|(place, line)| {
            let input = match line.instrument {
                Instrument::JacketIn => inputs[0],
                Instrument::SeaTemp => inputs[1],
                _ => false,
            };
            // A meter that the plant has is read; where it never was there is none.
            let meter =
                [Instrument::FeedMeter, Instrument::BackPressure].contains(&line.instrument);
            let none = meter && problem.layout.error(line.instrument).is_none();
            !read.contains(place) && !input && !none
        })
        .filter_map(|(_, line)| {
            let bits = bits(problem, mixture, last, line)?;
            Some(Check { instrument: line.instrument, bits, minutes: line.minutes })
        })
        .collect();
    out.sort_by(|a, b| (b.bits / b.minutes).total_cmp(&(a.bits / a.minutes)));
    out
}

impl Finding {
    /// Part of the doubt about which causes are past their limits that a check would take away, 0 to 1.
    #[must_use]
    pub fn removes(&self, check: &Check) -> f64 {
        let part = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
        let doubt: f64 =
            self.causes.iter().map(|j| part(j.p_over_limit) + part(1.0 - j.p_over_limit)).sum();
        if doubt > 0.0 { (check.bits / doubt).min(1.0) } else { 0.0 }
    }
}

/// Mean and standard deviation of a reading under one hypothesis.
fn foretold(
    problem: &Problem,
    fit: &Fit,
    last: usize,
    line: &instrument::Line,
) -> Option<(f64, f64)> {
    let here = fit.around.last.as_ref()?;
    let (shows, slope) = line.shows(here.value[line.quantity as usize], 0.0);
    let by = here.slope[line.quantity as usize].map(|s| s * slope);
    let mut row = problem.slopes_of(&fit.hypothesis, last, &by, fit.mean.len());
    let mut variance = line.each * line.each;
    match problem.layout.error(line.instrument) {
        Some(at) => row[at] += slope,
        None => variance += line.standing * line.standing,
    }
    match problem.layout.model_error(line.quantity) {
        Some(at) => row[at] = slope,
        None => variance += (slope * line.quantity.model_error()).powi(2),
    }
    let moved: Vec<f64> = fit.mean.iter().zip(&fit.here).map(|(m, h)| m - h).collect();
    let mean = shows + dot(&row, &moved);
    let z = fit.precision.forward(&row);
    Some((mean, (variance + dot(&z, &z)).sqrt()))
}

/// Mutual information, bits, between a reading and the set of blamed causes.
fn bits(problem: &Problem, mixture: &Mixture, last: usize, line: &instrument::Line) -> Option<f64> {
    let mut groups: Vec<(Vec<Cause>, Parts)> = Vec::new();
    let mut whole = 0.0;
    for part in mixture.parts.iter().filter(|p| p.weight > COUNTS) {
        let (mean, sd) = foretold(problem, &part.fit, last, line)?;
        let mut causes = part.fit.hypothesis.causes();
        causes.sort();
        whole += part.weight;
        let one = (part.weight, mean, sd);
        match groups.iter_mut().find(|(c, _)| *c == causes) {
            Some((_, parts)) => parts.push(one),
            None => groups.push((causes, vec![one])),
        }
    }
    let ends = groups
        .iter()
        .flat_map(|(_, p)| p)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (_, m, s)| {
            (low.min(m - 5.0 * s), high.max(m + 5.0 * s))
        });
    let step = (ends.1 - ends.0) / POINTS as f64;
    let weights: Vec<f64> =
        groups.iter().map(|(_, p)| p.iter().map(|(w, ..)| w).sum::<f64>() / whole).collect();
    let mut sum = 0.0;
    for i in 0..POINTS {
        let y = ends.0 + (i as f64 + 0.5) * step;
        let joint: Vec<f64> = groups
            .iter()
            .map(|(_, p)| {
                p.iter().map(|(w, m, s)| w / whole * density((y - m) / s) / s).sum::<f64>()
            })
            .collect();
        let any: f64 = joint.iter().sum();
        for (joint, weight) in joint.iter().zip(&weights).filter(|(j, _)| **j > 0.0) {
            sum += joint * (joint / (weight * any)).log2() * step;
        }
    }
    Some(sum.max(0.0))
}
