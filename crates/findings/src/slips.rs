//! The readings of a history weighed: slips of the eye and the pen weigh less, neighbours of a long record are drawn together.

use std::ops::Range;

use crate::fit::Around;
use crate::observe::{Moment, SetFlows};
use crate::problem::{Problem, Ready, Row};

/// One reading in so many is a slip of the eye or the pen, and lies so many times the usual scatter off (our estimates).
const SLIPS: (f64, f64) = (0.02, 7.5);
/// Neighbours over which the running median goes.
const WINDOW: usize = 7;

/// Weakens readings that lie far from the running median of their instrument's misses.
///
/// The median is taken off so that a fault that lasts is no slip. The weights are set once, before hypotheses are compared, so that
/// all are weighed on the same readings.
pub(crate) fn weaken(problem: &mut Problem, around: &Around) {
    if problem.moments.len() < WINDOW {
        return;
    }
    for line in 0..problem.tables.instruments.len() {
        let places: Vec<(usize, usize)> = problem
            .moments
            .iter()
            .enumerate()
            .filter_map(|(t, m)| m.rows.iter().position(|r| r.line == line).map(|i| (t, i)))
            .collect();
        if places.len() < WINDOW {
            continue;
        }
        let misses: Vec<f64> = places.iter().map(|(t, i)| around.moments[*t].plain[*i]).collect();
        for (at, (t, i)) in places.iter().enumerate() {
            problem.moments[*t].rows[*i].variance /= weight(&misses, at);
        }
    }
    for input in 0..2 {
        weaken_input(problem, around, input);
    }
}

/// An input's slip shows in all that hangs on it: the moment's misses along its slopes, in their own standard deviation.
fn weaken_input(problem: &mut Problem, around: &Around, input: usize) {
    let n = problem.layout.count;
    let mut places = Vec::new();
    let mut along = Vec::new();
    for (t, (ready, whitened)) in problem.moments.iter().zip(&around.moments).enumerate() {
        if !ready.input_read[input] {
            continue;
        }
        let (mut pull, mut own) = (0.0, 0.0);
        for (row, miss) in whitened.slopes.chunks_exact(n).zip(&whitened.misses) {
            let slope = row[ready.input_error[input]];
            pull += slope * miss;
            own += slope * slope;
        }
        if own > 0.0 {
            places.push(t);
            along.push(pull / own.sqrt());
        }
    }
    if places.len() < WINDOW {
        return;
    }
    for (at, t) in places.into_iter().enumerate() {
        problem.moments[t].input_variance[input] /= weight(&along, at);
    }
}

/// Weight of one miss among those of its instrument: the chance that it is no slip, by how far it lies from the median around it; a slip
/// still tells as much as its own scatter lets it.
///
/// Two normals, so that a usual reading keeps the weight that the table gives it: a Student t's weights pass one near the middle and
/// make a long history too sure of itself.
fn weight(misses: &[f64], at: usize) -> f64 {
    let apart = misses[at] - median_around(misses, at);
    let (share, wide) = SLIPS;
    let squared = apart * apart;
    let slip = share / wide * (-0.5 * squared / (wide * wide)).exp();
    let usual = (1.0 - share) * (-0.5 * squared).exp();
    (usual / (usual + slip)).max((wide * wide).recip())
}

/// A history with so many moments at most, each the mean of neighbours.
pub(crate) fn drawn_together(single: &Problem, most: usize) -> Problem {
    let mut problem = single.clone();
    let places = together(single, most);
    problem.moments = places.into_iter().map(|places| mean(&single.moments[places])).collect();
    problem
}

/// Which moments are drawn together: as many in each, and none from before a new beginning with one from after it.
fn together(single: &Problem, most: usize) -> Vec<Range<usize>> {
    let count = single.moments.len();
    let layout = &single.layout;
    let restarts = layout.restarts.iter().map(|restart| restart.fraction);
    let begins = restarts.chain(layout.earlier.iter().map(|(_, fraction, _)| *fraction));
    let place = |fraction: f64| single.moments.partition_point(|m| m.fraction < fraction);
    let mut cuts: Vec<usize> = begins.map(place).collect();
    cuts.extend((0..=most).map(|i| i * count / most));
    cuts.sort_unstable();
    cuts.dedup();
    cuts.windows(2).map(|pair| pair[0]..pair[1]).collect()
}

fn mean(together: &[Ready]) -> Ready {
    let of = together.len() as f64;
    let mean = |f: &dyn Fn(&Ready) -> f64| together.iter().map(f).sum::<f64>() / of;
    let mut rows: Vec<Row> = Vec::new();
    for ready in together {
        for row in &ready.rows {
            if !rows.iter().any(|r| r.line == row.line) {
                rows.push(row.clone());
            }
        }
    }
    for row in &mut rows {
        let same: Vec<&Row> =
            together.iter().flat_map(|r| &r.rows).filter(|r| r.line == row.line).collect();
        let weight: f64 = same.iter().map(|r| r.variance.recip()).sum();
        // Where an instrument was looked at meanwhile, as most of them have it.
        row.error = same[same.len() / 2].error;
        row.figure = same.iter().map(|r| r.figure / r.variance).sum::<f64>() / weight;
        row.variance = weight.recip();
    }
    rows.sort_by_key(|r| r.line);
    Ready {
        moment: Moment {
            jacket_in_c: mean(&|r| r.moment.jacket_in_c),
            sea_temp_c: mean(&|r| r.moment.sea_temp_c),
            barometer_hpa: mean(&|r| r.moment.barometer_hpa),
            set: SetFlows {
                jacket_kg_s: mean(&|r| r.moment.set.jacket_kg_s),
                condenser_kg_s: mean(&|r| r.moment.set.condenser_kg_s),
                feed_kg_s: mean(&|r| r.moment.set.feed_kg_s),
            },
        },
        input_variance: [0, 1].map(|i| mean(&|r| r.input_variance[i]) / of),
        input_read: [0, 1].map(|i| together.iter().any(|r| r.input_read[i])),
        input_error: together[together.len() / 2].input_error,
        rows,
        fraction: mean(&|r| r.fraction),
        of,
    }
}

/// Puts the mean of single readings' misses, each at its own conditions, in place of the misses of moments drawn together.
///
/// So neither uneven conditions within a moment nor a reading missing in part of it moves anything to first order.
pub(crate) fn gather(
    problem: &mut Problem,
    around: &Around,
    single: &Problem,
    each: &Around,
    most: usize,
) {
    for (i, places) in together(single, most).into_iter().enumerate() {
        for (row, miss) in problem.moments[i].rows.iter_mut().zip(&around.moments[i].raw) {
            let (mut weight, mut sum) = (0.0, 0.0);
            for t in places.clone() {
                for (other, raw) in single.moments[t].rows.iter().zip(&each.moments[t].raw) {
                    if other.line == row.line {
                        weight += other.variance.recip();
                        sum += raw / other.variance;
                    }
                }
            }
            if weight > 0.0 {
                row.figure += sum / weight - miss;
                row.variance = weight.recip();
            }
        }
    }
}

/// Median of the window around a place; at the ends the window is moved inside.
fn median_around(misses: &[f64], at: usize) -> f64 {
    let from = at.saturating_sub(WINDOW / 2).min(misses.len() - WINDOW);
    let mut window = misses[from..from + WINDOW].to_vec();
    window.sort_by(f64::total_cmp);
    window[WINDOW / 2]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bayes' rule by hand: at the middle a slip is 1/7.5 as dense and once in fifty, so the chance of none is 0.98/(0.98 + 0.02/7.5); at
    /// five deviations 0.98 e^−12.5 against 0.02/7.5 e^−(5/7.5)²/2.
    #[test]
    fn ident_a_usual_reading_keeps_its_weight_and_a_slip_has_that_of_its_own_scatter() {
        let mut misses = vec![0.0; 9];
        assert!((weight(&misses, 4) - 0.98 / (0.98 + 0.02 / 7.5)).abs() < 1e-12);
        misses[4] = 5.0;
        let (usual, slip) = (0.98 * (-12.5_f64).exp(), 0.02 / 7.5 * (-0.5 / 2.25_f64).exp());
        assert!(usual / (usual + slip) < 1.0 / 56.25, "the slip's own scatter is the least");
        assert!((weight(&misses, 4) - 1.0 / 56.25).abs() < 1e-12);
        // What lasts is no slip: the median goes with it.
        let lasting = [0.0, 0.0, 0.0, 0.0, 5.0, 5.0, 5.0, 5.0, 5.0];
        assert!(weight(&lasting, 6) > 0.99);
    }
}
