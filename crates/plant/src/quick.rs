//! The quick search: quasi-Newton on the plant's two equations and up to two limits whose levers are unknown with them.

use crate::arith::eliminate;
use crate::calibrate::Constants;
use crate::model::{Hints, Setting, State, evaluate};

/// A step left over that is rounding: in ln of pressure and relative in the vapour …
const ENOUGH: f64 = 2.0e-13;
/// … and relative in a lever, which a limit holds less firmly than the equations hold the plant.
const ENOUGH_LEVER: f64 = 2.0e-12;
/// A move shorter than this teaches the Jacobian only rounding.
const TEACHES: f64 = 1.0e-7;

/// Residuals under this do not fall any more for rounding.
const FLOOR: f64 = 2.0e-12;

/// How far ln of pressure moves in one step.
const LONGEST: f64 = 0.5;

/// Where a search starts, and what it knows of the neighbourhood.
///
/// The unknowns are ln of shell pressure in Pa, vapour over rated, and the levers over what is given.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Start<const N: usize> {
    pub(crate) x: [f64; N],
    /// Of the residuals; from a neighbour that left one.
    pub(crate) jacobian: Option<[[f64; N]; N]>,
    pub(crate) hints: Hints,
}

/// Where a search ended; a neighbour may start there.
pub(crate) struct Ended<const N: usize> {
    pub(crate) start: Start<N>,
    pub(crate) at: Setting<f64>,
    pub(crate) state: State<f64>,
    pub(crate) evaluations: u32,
}

#[derive(Clone, Copy)]
struct Trial<const N: usize> {
    x: [f64; N],
    at: Setting<f64>,
    state: State<f64>,
    r: [f64; N],
}

impl<const N: usize> Trial<N> {
    fn norm(&self) -> f64 {
        self.r.iter().fold(0.0, |worst, r| if r.is_nan() { f64::NAN } else { r.abs().max(worst) })
    }
}

/// Solves by Broyden's method (1965), with a fresh Jacobian by differences whenever a step does not pay; `None` when it does not
/// settle in a few steps.
///
/// `at_of` puts the levers into the setting; `limits` gives what each limit is missed by, in the places from 2 on.
pub(crate) fn search<const N: usize>(
    k: &Constants<f64>,
    start: &Start<N>,
    at_of: impl Fn(&[f64; N]) -> Setting<f64>,
    limits: impl Fn(&Setting<f64>, &State<f64>, &mut [f64; N]),
) -> Option<Ended<N>> {
    let mut evaluations = 0;
    let mut trial = |x: [f64; N], hints: &Hints| {
        evaluations += 1;
        let at = at_of(&x);
        let state = evaluate(k, &at, x[0].exp(), x[1] * k.rated_vapour, hints);
        let [e, c] = state.residuals();
        let mut r = [0.0; N];
        r[0] = e / k.rated_evaporator_heat;
        r[1] = c / k.rated_condenser_heat;
        limits(&at, &state, &mut r);
        Trial { x, at, state, r }
    };
    let cap = at_of(&start.x).vapour_cap() / k.rated_vapour;
    let mut x = start.x;
    x[1] = x[1].min(0.95 * cap);
    let mut now = trial(x, &start.hints);
    let mut jacobian = match start.jacobian {
        Some(jacobian) => jacobian,
        None => differences(&now, &mut trial),
    };
    let mut step = eliminate(N, jacobian, now.r)?;
    let mut refreshed = 0;
    for _ in 0..40 {
        let next = trial(moved(&now.x, &step, cap), &now.state.hints());
        let (before, after) = (now.norm(), next.norm());
        if !after.is_finite() {
            return None;
        }
        if after > 0.7 * before && after > FLOOR {
            refreshed += 1;
            if refreshed > 4 {
                return None;
            }
            if after < before {
                now = next;
            }
            jacobian = differences(&now, &mut trial);
            step = eliminate(N, jacobian, now.r)?;
            continue;
        }
        update(&mut jacobian, &now, &next);
        now = next;
        step = eliminate(N, jacobian, now.r)?;
        let small = |i: usize| match i {
            0 => step[0].abs() <= ENOUGH,
            1 => step[1].abs() <= ENOUGH * now.x[1],
            _ => step[i].abs() <= ENOUGH_LEVER * now.x[i].abs(),
        };
        if (0..N).all(small) {
            let start = Start { x: now.x, jacobian: Some(jacobian), hints: now.state.hints() };
            return Some(Ended { start, at: now.at, state: now.state, evaluations });
        }
    }
    None
}

/// The step taken, shortened so that pressure moves by no more than a factor, the vapour stays between nought and the cap and a
/// lever at most halves or grows by half.
fn moved<const N: usize>(x: &[f64; N], step: &[f64; N], cap: f64) -> [f64; N] {
    let mut share = (LONGEST / step[0].abs()).min(1.0);
    if step[1] > 0.0 {
        share = share.min(0.8 * x[1] / step[1]);
    } else if step[1] < 0.0 {
        share = share.min(0.9 * (cap - x[1]) / -step[1]);
    }
    for i in 2..N {
        share = share.min(0.5 * x[i].abs().max(1.0e-4) / step[i].abs());
    }
    std::array::from_fn(|i| x[i] - share * step[i])
}

fn differences<const N: usize>(
    at: &Trial<N>,
    trial: &mut impl FnMut([f64; N], &Hints) -> Trial<N>,
) -> [[f64; N]; N] {
    const STEP: f64 = 1.0e-6;
    let hints = at.state.hints();
    let mut jacobian = [[0.0; N]; N];
    for j in 0..N {
        // The vapour steps down, away from its cap.
        let h = match j {
            0 => STEP,
            1 => -STEP * at.x[1],
            _ => STEP * at.x[j].abs().max(1.0e-3),
        };
        let mut x = at.x;
        x[j] += h;
        let beside = trial(x, &hints);
        for (row, (there, here)) in jacobian.iter_mut().zip(beside.r.iter().zip(&at.r)) {
            row[j] = (there - here) / h;
        }
    }
    jacobian
}

/// Broyden's update: the least change that makes the Jacobian foretell the step just made.
fn update<const N: usize>(jacobian: &mut [[f64; N]; N], from: &Trial<N>, to: &Trial<N>) {
    let moved: [f64; N] = std::array::from_fn(|i| to.x[i] - from.x[i]);
    let length: f64 = moved.iter().map(|m| m * m).sum();
    if length < TEACHES * TEACHES {
        return;
    }
    for (row, (there, here)) in jacobian.iter_mut().zip(to.r.iter().zip(&from.r)) {
        let foretold: f64 = row.iter().zip(&moved).map(|(j, m)| j * m).sum();
        let off = (there - here - foretold) / length;
        for (j, m) in row.iter_mut().zip(&moved) {
            *j += off * m;
        }
    }
}
