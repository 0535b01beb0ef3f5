//! Moments at which the readings jump, whatever made them jump.

use crate::fit::Around;
use crate::problem::Problem;

/// Jumps that are looked for at most.
const MOST: usize = 2;
/// Moments between them at least.
const APART: usize = 3;
/// What chance alone makes of a jump, in squares: some ten instruments with one degree of freedom each, the best of thirty moments.
const CHANCE: f64 = 35.0;

/// Moments at which the readings jump: where a fault may have come that the linear problem does not see, and so not when.
pub(crate) fn jumps(problem: &Problem, around: &Around) -> Vec<usize> {
    let line = |line: usize| -> Vec<Option<f64>> {
        let moments = problem.moments.iter().zip(&around.moments);
        let miss = moments.map(|(ready, whitened)| {
            let row = ready.rows.iter().position(|row| row.line == line)?;
            whitened.plain.get(row).copied()
        });
        miss.collect()
    };
    among((0..problem.tables.instruments.len()).map(line), around.moments.len())
}

/// Of misses in their own standard deviations, one series an instrument: where those before and after differ most, and the next such
/// place apart from it.
fn among(series: impl Iterator<Item = Vec<Option<f64>>>, count: usize) -> Vec<usize> {
    let mut gain = vec![0.0; count];
    for misses in series {
        let of = misses.iter().flatten().count() as f64;
        let all: f64 = misses.iter().flatten().sum();
        let (mut before, mut so_far) = (0.0, 0.0);
        for (gain, miss) in gain.iter_mut().zip(&misses) {
            if before > 0.0 && before < of {
                let off = so_far / before - (all - so_far) / (of - before);
                *gain += off * off * before * (of - before) / of;
            }
            if let Some(miss) = miss {
                before += 1.0;
                so_far += miss;
            }
        }
    }
    let mut out: Vec<usize> = Vec::new();
    while out.len() < MOST {
        let apart = |t: &usize| out.iter().all(|o| o.abs_diff(*t) >= APART);
        let best = (1..count).filter(apart).max_by(|a, b| gain[*a].total_cmp(&gain[*b]));
        let Some(t) = best.filter(|t| gain[*t] > CHANCE) else { break };
        out.push(t);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Even misses with a jump from a moment on, in either direction, and a reading missing.
    fn series(from: usize, by: f64) -> Vec<Option<f64>> {
        (0..30)
            .map(|t| {
                let wave = if t % 2 == 0 { 0.7 } else { -0.7 };
                (t != 4).then_some(wave + if t >= from { by } else { 0.0 })
            })
            .collect()
    }

    /// The sum of squares that splitting a series in two takes off is n₁ n₂/n (m₁ − m₂)², of all series together.
    #[test]
    fn ident_a_jump_of_any_instrument_is_found_where_it_is() {
        assert_eq!(among([series(12, 4.0), series(30, 0.0)].into_iter(), 30)[0], 12);
        assert_eq!(among([series(30, 0.0), series(21, -3.0)].into_iter(), 30)[0], 21);
        // Each too small by itself, of three instruments together.
        assert_eq!(among([1.6, -1.6, 1.6].map(|by| series(15, by)).into_iter(), 30)[0], 15);
        assert!(among([series(15, 1.6)].into_iter(), 30).is_empty());
    }

    #[test]
    fn ident_even_readings_do_not_jump() {
        assert!(among([series(30, 0.0), series(30, 0.0)].into_iter(), 30).is_empty());
        assert!(among(std::iter::empty(), 1).is_empty());
    }
}
