//! What the mixture says of each cause: past its limit, changed, how large, from where to where.

use crate::cause::{Cause, Family};
use crate::dense::dot;
use crate::explain::Finding;
use crate::fit::Fit;
use crate::instrument::Instrument;
use crate::normal::{quantile, under};
use crate::prior::{Line, Unknown};
use crate::problem::{KNOTS, Problem};
use crate::search::{Mixture, Part};

/// A deposit that grew by this part of its limit came within the record (our estimate).
const CAME: f64 = 0.5;

/// What is said of one cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The cause.
    pub cause: Cause,
    /// Probability that it is past its limit now.
    pub p_over_limit: f64,
    /// Probability that it changed within the record.
    pub p_changed: f64,
    /// The middle of what it may be, in [`Cause::unit`]: for an instrument its error.
    pub value: f64,
    /// One in twenty lies under this.
    pub low: f64,
    /// One in twenty lies over this.
    pub high: f64,
    /// Where something should be done.
    pub limit: f64,
}

/// Probability that some member of a family is past its limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FamilyJudged {
    /// The family.
    pub family: Family,
    /// 1 − Π(1 − p) over its members.
    pub p_over_limit: f64,
}

/// A quantity of the mixture: (weight, mean, standard deviation) a hypothesis.
pub(crate) type Parts = Vec<(f64, f64, f64)>;

impl Problem {
    /// Weights of the unknowns that make up an unknown's value at the end of the record.
    pub(crate) fn end_of(&self, fit: &Fit, at: usize) -> Vec<(usize, f64)> {
        let end = fit
            .hypothesis
            .changes(self.layout.count)
            .find(|(blame, _)| blame.suspect.at == at)
            .map(|(_, end)| end);
        let mut weights = vec![(end.unwrap_or(at), 1.0)];
        for unknown in &self.layout.drifts {
            if *unknown as usize == at
                && let Some(first) = self.layout.drift(*unknown)
            {
                weights.extend((first..first + KNOTS - 1).map(|i| (i, 1.0)));
            }
        }
        weights
    }

    /// An unknown at the end of the record, over the mixture.
    pub(crate) fn now(&self, mixture: &Mixture, at: usize) -> Parts {
        mixture
            .parts
            .iter()
            .map(|part| {
                let (mean, sd) = part.fit.sum(&self.end_of(&part.fit, at));
                (part.weight, mean, sd)
            })
            .collect()
    }
}

impl Finding {
    /// Mean and standard deviation of an unknown at the end of the record, over all hypotheses, in its scale.
    #[must_use]
    pub fn spread(&self, unknown: Unknown) -> (f64, f64) {
        let (mean, variance) = self.moments(unknown, unknown);
        (mean, variance.max(0.0).sqrt())
    }

    /// How two unknowns are tied by these readings: their correlation over all hypotheses.
    #[must_use]
    pub fn tie(&self, a: Unknown, b: Unknown) -> f64 {
        let (_, together) = self.moments(a, b);
        let (own_a, own_b) = (self.spread(a).1, self.spread(b).1);
        if own_a > 0.0 && own_b > 0.0 { together / (own_a * own_b) } else { 0.0 }
    }

    /// Mean of the first, covariance of both.
    fn moments(&self, a: Unknown, b: Unknown) -> (f64, f64) {
        let problem = &self.problem;
        let (mut mean_a, mut mean_b, mut product) = (0.0, 0.0, 0.0);
        for part in &self.mixture.parts {
            let row = |unknown: Unknown| {
                let mut row = vec![0.0; part.fit.mean.len()];
                for (at, weight) in problem.end_of(&part.fit, unknown as usize) {
                    row[at] += weight;
                }
                row
            };
            let (row_a, row_b) = (row(a), row(b));
            let (za, zb) = (part.fit.precision.forward(&row_a), part.fit.precision.forward(&row_b));
            let (ma, mb) = (dot(&row_a, &part.fit.mean), dot(&row_b, &part.fit.mean));
            mean_a += part.weight * ma;
            mean_b += part.weight * mb;
            product += part.weight * (ma * mb + dot(&za, &zb));
        }
        (mean_a, product - mean_a * mean_b)
    }
}

/// Judges every cause, most probable first.
pub(crate) fn judge(problem: &Problem, mixture: &Mixture, contradicting: f64) -> Vec<Judged> {
    let mut out = Vec::new();
    let changed = |cause: Cause| -> f64 {
        let blamed = |fit: &Fit| {
            fit.hypothesis.blames.iter().any(|b| b.suspect.cause == cause && b.shape.changed())
        };
        mixture.parts.iter().filter(|p| blamed(&p.fit)).map(|p| p.weight).sum()
    };
    // A deposit that grew by its drift came within the record as well as one that is blamed for coming.
    let grew = |line: &Line| -> f64 {
        let Some(first) = problem.layout.drift(line.unknown) else { return 0.0 };
        let drifts: Vec<(usize, f64)> = (first..first + KNOTS - 1).map(|i| (i, 1.0)).collect();
        let blamed = |fit: &Fit| {
            let mut blames = fit.hypothesis.blames.iter();
            blames.any(|b| b.suspect.cause == line.cause && b.shape.changed())
        };
        let of = |part: &Part| {
            let (mean, sd) = part.fit.sum(&drifts);
            let (now, _) = part.fit.sum(&problem.end_of(&part.fit, line.unknown as usize));
            // Of its size now, brought to the scale.
            let far = CAME * line.limit / line.transform.slope(now);
            part.weight * under((mean - far) / sd)
        };
        mixture.parts.iter().filter(|p| !blamed(&p.fit)).map(of).sum()
    };
    let over = |parts: &Parts, limit: f64, above: bool| -> f64 {
        let side = if above { 1.0 } else { -1.0 };
        parts.iter().map(|(w, m, s)| w * under(side * (m - limit) / s)).sum()
    };
    for line in &problem.tables.causes {
        let parts = problem.now(mixture, line.unknown as usize);
        let from = |u: f64| line.transform.from(u);
        out.push(Judged {
            cause: line.cause,
            p_over_limit: over(&parts, line.limit_u(), line.above),
            p_changed: changed(line.cause) + grew(line),
            value: shown(line.cause, problem, from(quantile(&parts, 0.5))),
            low: shown(line.cause, problem, from(quantile(&parts, 0.05))),
            high: shown(line.cause, problem, from(quantile(&parts, 0.95))),
            limit: shown(line.cause, problem, line.limit),
        });
    }
    for instrument in &problem.layout.errors {
        let (Some(at), Some(_), Some(line)) = (
            problem.layout.error(*instrument),
            problem.wide(*instrument),
            problem.tables.instrument(*instrument),
        ) else {
            continue;
        };
        let parts = problem.now(mixture, at);
        let p_over_limit = over(&parts, line.limit, true) + over(&parts, -line.limit, false);
        out.push(Judged {
            cause: Cause::Instrument(*instrument),
            p_over_limit,
            // Looked at since and found right, what it did before is over.
            p_changed: if problem.layout.blamed(*instrument) == Some(at) {
                changed(Cause::Instrument(*instrument))
            } else {
                0.0
            },
            value: quantile(&parts, 0.5),
            low: quantile(&parts, 0.05),
            high: quantile(&parts, 0.95),
            limit: line.limit,
        });
    }
    // Where nothing listed explains the readings, nothing listed is sure; where temperatures contradict each other and nothing
    // says which, what is worked out from temperatures is no surer than even.
    for judged in &mut out {
        let doubt = if by_temperatures(judged.cause) { 0.5 * contradicting } else { 0.0 };
        let sure = (1.0 - mixture.unexplained) * (1.0 - doubt);
        judged.p_over_limit *= sure;
        judged.p_changed *= sure;
    }
    out.sort_by(|a, b| b.p_over_limit.total_cmp(&a.p_over_limit));
    out
}

/// Whether temperatures tell of a cause: not of salt, and not of what a gauge or a meter reads by itself.
fn by_temperatures(cause: Cause) -> bool {
    use Instrument as I;
    match cause {
        Cause::CarryOver
        | Cause::CondenserLeak
        | Cause::MotivePressure
        | Cause::Overboard
        | Cause::HeaterLeak => false,
        Cause::Instrument(i) => !matches!(
            i,
            I::ProductSalt
                | I::SecondSalt
                | I::EjectorPressure
                | I::BrineSalinity
                | I::LeakDown
                | I::FeedMeter
                | I::BackPressure
        ),
        _ => true,
    }
}

/// A cause's value as it is told: motive pressure as the pressure itself, the others as the table has them.
fn shown(cause: Cause, problem: &Problem, value: f64) -> f64 {
    match cause {
        Cause::MotivePressure => value + problem.observer.sheet.rated_ejector_pressure_bar_g,
        Cause::Overboard => value + problem.observer.sheet.rated_back_pressure_bar_g,
        _ => value,
    }
}

/// Judges the families.
pub(crate) fn families(judged: &[Judged]) -> Vec<FamilyJudged> {
    Family::ALL
        .into_iter()
        .map(|family| {
            let none: f64 = judged
                .iter()
                .filter(|j| family.holds(j.cause))
                .map(|j| 1.0 - j.p_over_limit)
                .product();
            FamilyJudged { family, p_over_limit: 1.0 - none }
        })
        .collect()
}
