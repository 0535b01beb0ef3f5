//! When: how fast a deposit grows, and the day on which it passes its limit.

use jiff::{SignedDuration, Timestamp};

use crate::cause::Cause;
use crate::dense::dot;
use crate::explain::Finding;
use crate::fit::Fit;
use crate::hypothesis::Shape;
use crate::normal::quantile;
use crate::prior::{Transform, Unknown};
use crate::problem::{KNOTS, Problem, drifted};
use crate::search::Mixture;

/// Days beyond which nothing is foretold.
const HORIZON_DAYS: f64 = 365.0;
/// Normal draws of equal weight over which a date's band is taken: midpoints of so many slices a side.
const SLICES: usize = 15;

/// Days ahead for which a deposit is foretold.
const AHEAD_DAYS: [f64; 10] = [0.0, 5.0, 10.0, 20.0, 30.0, 45.0, 60.0, 75.0, 90.0, 120.0];

/// How much of a deposit there was or will be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grown {
    /// Days from the last reading: before it under nought.
    pub days: f64,
    /// The middle, m²K/W.
    pub middle: f64,
    /// One in twenty lies under this, m²K/W.
    pub low: f64,
    /// One in twenty lies over this, m²K/W.
    pub high: f64,
}

/// How a deposit grows.
#[derive(Debug, Clone, PartialEq)]
pub struct Growth {
    /// Scale or condenser fouling.
    pub cause: Cause,
    /// Growth now, m²K/W a day: middle, and ends of the band that holds nine in ten.
    pub rate_m2k_w_day: (f64, f64, f64),
    /// Probability that it grows at all, 0 to 1.
    pub p_grows: f64,
    /// When the limit is passed, if the growth goes on: middle, earliest and latest of the same band; none past a year.
    pub crossed: [Option<Timestamp>; 3],
    /// How it went over the record, and goes on in a line.
    pub course: Vec<Grown>,
}

/// Growth is told of so many days at least, since the first reading or the cleaning.
const GROWS_DAYS: f64 = 2.0;

/// Growth of the deposits over a history; nothing for single sets and short ones.
pub(crate) fn growth(problem: &Problem, mixture: &Mixture, now: Timestamp) -> Vec<Growth> {
    [(Cause::Scale, Unknown::Scale), (Cause::CondenserFouling, Unknown::Fouling)]
        .into_iter()
        .filter(|(_, unknown)| problem.layout.drift(*unknown).is_some())
        // Cleaned a moment ago, it has not grown yet as far as rounds tell.
        .filter(|(_, unknown)| problem.days_of(*unknown as usize) >= GROWS_DAYS)
        .filter_map(|(cause, unknown)| of(problem, mixture, cause, unknown, now))
        .collect()
}

fn of(
    problem: &Problem,
    mixture: &Mixture,
    cause: Cause,
    unknown: Unknown,
    now: Timestamp,
) -> Option<Growth> {
    let line = problem.tables.causes.iter().find(|l| l.cause == cause)?;
    let at = unknown as usize;
    let mut rates = Vec::new();
    let mut days = Vec::new();
    let mut ahead: [Vec<(f64, f64)>; AHEAD_DAYS.len()] = Default::default();
    let middles: Vec<f64> = middles().collect();
    for part in &mixture.parts {
        let level = problem.end_of(&part.fit, at);
        let slope = slope(problem, &part.fit, unknown);
        let ((level, level_sd), (rate, rate_sd), together) = joint(&part.fit, &level, &slope);
        // The rate given the level, over a few levels and a few rates of equal weight.
        let lean = if level_sd > 0.0 { together / (level_sd * level_sd) } else { 0.0 };
        let left = (rate_sd * rate_sd - lean * together).max(0.0).sqrt();
        let each = part.weight / (SLICES * SLICES) as f64;
        for a in &middles {
            let u = level + level_sd * a;
            for b in &middles {
                let per_day = rate + lean * (u - level) + left * b;
                let grown = line.transform.slope(u) * per_day;
                rates.push((each, grown));
                for (values, day) in ahead.iter_mut().zip(AHEAD_DAYS) {
                    values.push((each, (line.transform.from(u) + grown * day).max(0.0)));
                }
                let over = line.limit - line.transform.from(u);
                days.push((
                    each,
                    if over <= 0.0 {
                        0.0
                    } else if grown <= 0.0 {
                        f64::INFINITY
                    } else {
                        over / grown
                    },
                ));
            }
        }
    }
    let rate = [0.5, 0.05, 0.95].map(|p| weighted(&mut rates, p));
    let part = |list: &mut dyn Iterator<Item = &(f64, f64)>| list.map(|(w, _)| w).sum::<f64>();
    let grows = part(&mut rates.iter().filter(|(_, rate)| *rate > 0.0));
    let p_grows = grows / part(&mut rates.iter());
    let crossed = [0.5, 0.05, 0.95].map(|p| {
        let days = weighted(&mut days, p);
        let ahead = SignedDuration::try_from_secs_f64(days * 86_400.0).ok();
        ahead.filter(|_| days <= HORIZON_DAYS).and_then(|d| now.checked_add(d).ok())
    });
    let mut course = before(problem, mixture, unknown, line.transform);
    course.extend(ahead.iter_mut().zip(AHEAD_DAYS).map(|(values, days)| {
        let [middle, low, high] = [0.5, 0.05, 0.95].map(|p| weighted(values, p));
        Grown { days, middle, low, high }
    }));
    Some(Growth { cause, p_grows, rate_m2k_w_day: (rate[0], rate[1], rate[2]), crossed, course })
}

impl Finding {
    /// What a plant just cleaned has of a deposit, m²K/W, under which the share `p` of such plants lies, by the table's healthy density. Not a
    /// number of a cause that is not weighed.
    #[must_use]
    pub fn clean_of(&self, cause: Cause, p: f64) -> f64 {
        let line = self.problem.tables.causes.iter().find(|l| l.cause == cause);
        line.map_or(f64::NAN, |line| {
            let (mean, sd) = line.usual_u();
            line.transform.from(quantile(&[(1.0, mean, sd)], p)).max(0.0)
        })
    }
}

/// The deposit at the moments of the record, its last left to what is foretold from there.
fn before(
    problem: &Problem,
    mixture: &Mixture,
    unknown: Unknown,
    transform: Transform,
) -> Vec<Grown> {
    let levels = problem.moments.iter().enumerate().map(|(place, ready)| {
        let parts: Vec<(f64, f64, f64)> = mixture
            .parts
            .iter()
            .map(|part| {
                let (mean, sd) = part.fit.sum(&weights_at(problem, &part.fit, unknown, place));
                (part.weight, mean, sd)
            })
            .collect();
        let value = |p: f64| transform.from(quantile(&parts, p)).max(0.0);
        Grown {
            days: problem.days * (ready.fraction - 1.0),
            middle: value(0.5),
            low: value(0.05),
            high: value(0.95),
        }
    });
    levels.filter(|level| level.days < 0.0).collect()
}

/// Weights of the unknowns that make up an unknown at a moment of the record.
fn weights_at(problem: &Problem, fit: &Fit, unknown: Unknown, place: usize) -> Vec<(usize, f64)> {
    let at = unknown as usize;
    if let Some(restart) = problem.not_yet(at, place) {
        return restart.weights(problem.moments[place].fraction).collect();
    }
    let fraction = problem.fraction_of(at, place);
    let mut weights = vec![(at, 1.0)];
    for (blame, end) in fit.hypothesis.changes(problem.layout.count) {
        if blame.suspect.at == at {
            let come = blame.shape.come(place, fraction);
            weights = vec![(at, 1.0 - come), (end, come)];
        }
    }
    if let Some(first) = problem.layout.drift(unknown) {
        weights.extend((0..KNOTS - 1).map(|knot| (first + knot, drifted(knot, fraction))));
    }
    weights
}

/// Weights of the unknowns that make up the growth a day in the unknown's scale at the end of the record.
fn slope(problem: &Problem, fit: &Fit, unknown: Unknown) -> Vec<(usize, f64)> {
    let mut weights = Vec::new();
    for (blame, end) in fit.hypothesis.changes(problem.layout.count) {
        if let (true, Shape::Ramp(from)) = (blame.suspect.at == unknown as usize, blame.shape) {
            let span = problem.days_of(blame.suspect.at) * (1.0 - from);
            weights.push((end, span.recip()));
            weights.push((blame.suspect.at, -span.recip()));
        }
    }
    if let Some(first) = problem.layout.drift(unknown) {
        let span = problem.days_of(unknown as usize) / (KNOTS - 1) as f64;
        weights.push((first + KNOTS - 2, span.recip()));
    }
    weights
}

/// Mean and standard deviation of two linear sums, and their covariance.
fn joint(fit: &Fit, a: &[(usize, f64)], b: &[(usize, f64)]) -> ((f64, f64), (f64, f64), f64) {
    let row = |weights: &[(usize, f64)]| {
        let mut row = vec![0.0; fit.mean.len()];
        for (at, weight) in weights {
            row[*at] += weight;
        }
        row
    };
    let (a, b) = (row(a), row(b));
    let (za, zb) = (fit.precision.forward(&a), fit.precision.forward(&b));
    let mean = |row: &[f64]| dot(row, &fit.mean);
    ((mean(&a), dot(&za, &za).sqrt()), (mean(&b), dot(&zb, &zb).sqrt()), dot(&za, &zb))
}

/// Midpoints of slices of a standard normal that hold equal shares.
fn middles() -> impl Iterator<Item = f64> {
    (0..SLICES).map(|i| quantile(&[(1.0, 0.0, 1.0)], (i as f64 + 0.5) / SLICES as f64))
}

/// The value under which weighted values hold the share `p`.
fn weighted(values: &mut [(f64, f64)], p: f64) -> f64 {
    values.sort_by(|a, b| a.1.total_cmp(&b.1));
    let all: f64 = values.iter().map(|v| v.0).sum();
    let mut sum = 0.0;
    for (weight, value) in values.iter() {
        sum += weight;
        if sum >= p * all {
            return *value;
        }
    }
    values.last().map_or(f64::NAN, |v| v.1)
}
