//! The plant's two equations with up to two limits beside them, their levers unknown: a quick quasi-Newton search.

use crate::arith::eliminate;
use crate::calibrate::Constants;
use crate::model::{Hints, Setting, State, evaluate};

/// Unknowns: ln of shell pressure, vapour over rated, and up to two levers.
pub(crate) type Unknowns = [f64; 4];

/// Residuals small enough that rounding is what is left.
const ENOUGH: f64 = 5.0e-13;

/// Solves the first `n` of `residuals` for the first `n` unknowns from a start; `None` when it does not settle quickly.
///
/// Broyden's method (1965) with a fresh Jacobian by differences whenever a step does not pay.
pub(crate) fn solve(
    k: &Constants<f64>,
    n: usize,
    start: Unknowns,
    hints: &Hints,
    at_of: impl Fn(&Unknowns) -> Setting<f64>,
    residuals: impl Fn(&Setting<f64>, &State<f64>) -> [f64; 4],
) -> Option<(Unknowns, State<f64>)> {
    let trial = |x: &Unknowns, hints: &Hints| {
        let at = at_of(x);
        let cap = at.vapour_cap();
        let vapour = (x[1] * k.rated_vapour).clamp(1.0e-9 * cap, 0.999_999 * cap);
        let state = evaluate(k, &at, x[0].exp(), vapour, hints);
        let r = residuals(&at, &state);
        (state, r)
    };
    let norm = |r: &[f64; 4]| r.iter().take(n).fold(0.0_f64, |m, x| m.max(x.abs()));
    let mut x = start;
    let (mut state, mut r) = trial(&x, hints);
    let mut jacobian = differences(n, &x, &r, |x| trial(x, &state.hints()).1);
    let mut refreshed = 0;
    for _ in 0..40 {
        if !norm(&r).is_finite() {
            return None;
        }
        if norm(&r) <= ENOUGH {
            return Some((x, state));
        }
        let step = eliminate(n, jacobian, r)?;
        let mut next = x;
        let mut share = 1.0_f64;
        for i in 0..n {
            // Pressure moves by no more than a factor, what must stay above nought at most halves or doubles.
            let most = if i == 0 { 0.4 } else { 0.5 * x[i].abs().max(1.0e-4) };
            share = share.min(most / step[i].abs());
        }
        for i in 0..n {
            next[i] -= share.min(1.0) * step[i];
        }
        let (next_state, next_r) = trial(&next, &state.hints());
        let paid = norm(&next_r) < 0.7 * norm(&r);
        if !paid {
            refreshed += 1;
            if refreshed > 8 {
                return (norm(&r) <= 1.0e-11).then_some((x, state));
            }
            if norm(&next_r) < norm(&r) {
                (x, state, r) = (next, next_state, next_r);
            }
            jacobian = differences(n, &x, &r, |x| trial(x, &state.hints()).1);
            continue;
        }
        broyden(n, &mut jacobian, &x, &next, &r, &next_r);
        (x, state, r) = (next, next_state, next_r);
    }
    None
}

fn differences(
    n: usize,
    x: &Unknowns,
    r: &[f64; 4],
    f: impl Fn(&Unknowns) -> [f64; 4],
) -> [[f64; 4]; 4] {
    const STEP: f64 = 1.0e-6;
    let mut jacobian = [[0.0; 4]; 4];
    for j in 0..n {
        let h = STEP * if j == 0 { 1.0 } else { x[j].abs().max(1.0e-3) };
        let mut moved = *x;
        moved[j] += h;
        let at = f(&moved);
        for i in 0..n {
            jacobian[i][j] = (at[i] - r[i]) / h;
        }
    }
    jacobian
}

fn broyden(
    n: usize,
    jacobian: &mut [[f64; 4]; 4],
    x: &Unknowns,
    next: &Unknowns,
    r: &[f64; 4],
    next_r: &[f64; 4],
) {
    let moved: [f64; 4] = std::array::from_fn(|i| if i < n { next[i] - x[i] } else { 0.0 });
    let length: f64 = moved.iter().map(|m| m * m).sum();
    if length == 0.0 {
        return;
    }
    for i in 0..n {
        let foretold: f64 = (0..n).map(|j| jacobian[i][j] * moved[j]).sum();
        let off = (next_r[i] - r[i] - foretold) / length;
        for j in 0..n {
            jacobian[i][j] += off * moved[j];
        }
    }
}
