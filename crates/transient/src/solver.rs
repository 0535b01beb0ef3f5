//! The stiff solver: implicit Runge-Kutta steps with error control, a Jacobian kept as long as it serves, events left to its caller.

use crate::linear::Split;
use crate::state::{ACTIVE, ALL, SCALES, State};
use crate::tableau::{FOURTH, Tableau};

const STAGES: usize = 6;
const METHOD: &Tableau<STAGES> = &FOURTH;

/// Newton passes of a stage before it is given up.
const MOST_PASSES: usize = 8;
/// Part of the tolerated error that a stage's equations may be left with.
const LEFT: f64 = 0.05;
/// Passes shrinking the rest by less than this call for a new Jacobian.
const SLOW: f64 = 0.6;
/// Shortest step, s.
const SHORTEST_S: f64 = 1.0e-9;

/// What is integrated: rates at a time.
pub(crate) trait Rates {
    /// Rates of every figure at a time and state.
    fn rates(&mut self, time_s: f64, y: &State) -> State;
}

/// Work done, for speed and for doubt.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Work {
    /// Steps taken.
    pub steps: u32,
    /// Steps tried and refused.
    pub refused: u32,
    /// Evaluations of the equations, Jacobian columns included.
    pub evaluations: u32,
    /// Jacobians.
    pub jacobians: u32,
    /// Matrices split.
    pub splits: u32,
}

/// A step that was taken: where it ends, and the rates at both ends for what lies between.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    pub(crate) from_s: f64,
    pub(crate) to_s: f64,
    pub(crate) before: State,
    pub(crate) after: State,
    rates_before: State,
    rates_after: State,
}

impl Step {
    /// The state between the ends (cubic through values and rates).
    pub(crate) fn between(&self, time_s: f64) -> State {
        let h = self.to_s - self.from_s;
        let t = (time_s - self.from_s) / h;
        let (a, b) = (t * t * (3.0 - 2.0 * t), t * (1.0 - t));
        std::array::from_fn(|i| {
            self.before[i] * (1.0 - a)
                + self.after[i] * a
                + h * b * ((1.0 - t) * self.rates_before[i] - t * self.rates_after[i])
        })
    }
}

/// The solver's memory between steps.
#[derive(Debug, Clone)]
pub(crate) struct Solver {
    tolerance: f64,
    step_s: f64,
    /// Column by column: how every figure's rate goes with one active figure.
    jacobian: Box<[State; ACTIVE]>,
    jacobian_known: bool,
    jacobian_fresh: bool,
    split: Option<(f64, Box<Split<ACTIVE>>)>,
    rates: State,
    rates_known: bool,
    pub(crate) work: Work,
}

enum Tried {
    Taken(Box<Step>),
    /// Newton did not settle.
    Unsettled,
    /// Error too large, in tolerances.
    Error(f64),
}

impl Solver {
    pub(crate) fn new(tolerance: f64) -> Self {
        Solver {
            tolerance,
            step_s: 0.1,
            jacobian: Box::new([[0.0; ALL]; ACTIVE]),
            jacobian_known: false,
            jacobian_fresh: false,
            split: None,
            rates: [0.0; ALL],
            rates_known: false,
            work: Work::default(),
        }
    }

    /// Tells the solver that what it integrates has changed course: rates are taken anew, the step begins small again.
    pub(crate) fn restart(&mut self, step_s: f64) {
        self.rates_known = false;
        self.step_s = self.step_s.min(step_s);
    }

    fn weight(&self, i: usize, y: f64) -> f64 {
        1.0 / (self.tolerance * (y.abs() + SCALES[i]))
    }

    /// Root mean square over the active figures, in tolerances.
    fn norm(&self, x: &[f64; ACTIVE], y: &State) -> f64 {
        let sum: f64 = (0..ACTIVE).map(|i| (x[i] * self.weight(i, y[i])).powi(2)).sum();
        (sum / ACTIVE as f64).sqrt()
    }

    fn learn(&mut self, system: &mut impl Rates, time_s: f64, y: &State) {
        let base = system.rates(time_s, y);
        self.work.evaluations += 1;
        for j in 0..ACTIVE {
            let mut beside = *y;
            let wanted = 1.5e-8 * (y[j].abs() + SCALES[j]);
            beside[j] += if y[j] < 0.0 { -wanted } else { wanted };
            let step = beside[j] - y[j];
            let rates = system.rates(time_s, &beside);
            for i in 0..ALL {
                self.jacobian[j][i] = (rates[i] - base[i]) / step;
            }
        }
        self.work.evaluations += ACTIVE as u32;
        self.work.jacobians += 1;
        self.jacobian_known = true;
        self.jacobian_fresh = true;
        self.split = None;
    }

    fn prepare(&mut self, hg: f64) -> bool {
        if self.split.as_ref().is_some_and(|(of, _)| *of == hg) {
            return true;
        }
        let mut matrix = [[0.0; ACTIVE]; ACTIVE];
        for (i, row) in matrix.iter_mut().enumerate() {
            for (x, column) in row.iter_mut().zip(self.jacobian.iter()) {
                *x = -hg * column[i];
            }
            row[i] += 1.0;
        }
        self.work.splits += 1;
        self.split = Split::new(matrix).map(|split| (hg, Box::new(split)));
        self.split.is_some()
    }

    /// Takes one step towards `until_s` (not past it, nor longer than `longest_s`) and returns it; `None` when no step succeeds.
    pub(crate) fn step(
        &mut self,
        system: &mut impl Rates,
        time_s: f64,
        y: &State,
        until_s: f64,
        longest_s: f64,
    ) -> Option<Step> {
        if !self.rates_known {
            self.rates = system.rates(time_s, y);
            self.work.evaluations += 1;
            self.rates_known = true;
        }
        let mut tries = 0;
        loop {
            let left = until_s - time_s;
            let mut h = self.step_s.min(longest_s);
            // the last step meets the end; the one before it is not left a crumb
            let ends = h >= left * (1.0 - 1.0e-9);
            if ends {
                h = left;
            } else if h > 0.5 * left {
                h = 0.5 * left;
            }
            if h < SHORTEST_S && !ends {
                return None;
            }
            tries += 1;
            if tries > 200 {
                return None;
            }
            if !self.jacobian_known {
                self.learn(system, time_s, y);
            }
            match self.attempt(system, time_s, y, h) {
                Tried::Taken(mut step) => {
                    if ends {
                        step.to_s = until_s;
                    }
                    self.work.steps += 1;
                    self.jacobian_fresh = false;
                    return Some(*step);
                }
                Tried::Unsettled => {
                    self.work.refused += 1;
                    if self.jacobian_fresh {
                        self.step_s = 0.25 * h;
                    } else {
                        self.learn(system, time_s, y);
                    }
                }
                Tried::Error(error) => {
                    self.work.refused += 1;
                    let shrink = 0.85 * error.powf(-1.0 / METHOD.error_power);
                    self.step_s = h * shrink.clamp(0.1, 0.8);
                    if !self.jacobian_fresh && error > 10.0 {
                        self.jacobian_known = false;
                    }
                }
            }
        }
    }

    fn attempt(&mut self, system: &mut impl Rates, time_s: f64, y: &State, h: f64) -> Tried {
        let hg = h * METHOD.gamma;
        if !self.prepare(hg) {
            self.jacobian_fresh = true;
            return Tried::Unsettled;
        }
        let mut k = [[0.0; ALL]; STAGES];
        k[0] = self.rates;
        let mut end = *y;
        let mut slowest = 0.0_f64;
        for stage in 1..STAGES {
            let mut base = *y;
            for (earlier, weight) in METHOD.a[stage].iter().enumerate().take(stage) {
                if *weight != 0.0 {
                    for (x, rate) in base.iter_mut().zip(&k[earlier]) {
                        *x += h * weight * rate;
                    }
                }
            }
            let at = time_s + METHOD.c[stage] * h;
            // first guess: the rate goes on as between the last two stages, by time
            let mut guess = k[stage - 1];
            if stage >= 2 {
                let span = METHOD.c[stage - 1] - METHOD.c[stage - 2];
                let on = ((METHOD.c[stage] - METHOD.c[stage - 1]) / span).clamp(-1.0, 1.0);
                for i in 0..ALL {
                    guess[i] += on * (k[stage - 1][i] - k[stage - 2][i]);
                }
            }
            let mut x: State = std::array::from_fn(|i| base[i] + hg * guess[i]);
            let Some(rate) = self.settle(system, at, y, &base, hg, &mut x) else {
                return Tried::Unsettled;
            };
            slowest = slowest.max(rate);
            for i in 0..ALL {
                k[stage][i] = (x[i] - base[i]) / hg;
            }
            end = x;
        }
        let mut error = [0.0; ACTIVE];
        for (stage, weight) in METHOD.error.iter().enumerate() {
            for (e, rate) in error.iter_mut().zip(&k[stage]) {
                *e += h * weight * rate;
            }
        }
        if let Some((_, split)) = &self.split {
            error = split.solve(&error);
        }
        let error = self.norm(&error, &end);
        if !error.is_finite() {
            return Tried::Unsettled;
        }
        if error > 1.0 {
            return Tried::Error(error);
        }
        let error = error.max(1.0e-5);
        let grow = (0.9 * error.powf(-1.0 / METHOD.error_power)).clamp(0.3, 2.0);
        // a step that hardly grows is left as it is, and its matrix with it
        let next = if (1.0..1.2).contains(&grow) { h } else { h * grow };
        let cut = self.step_s > 1.2 * h;
        self.step_s = if cut { self.step_s.max(next) } else { next };
        if slowest > 0.3 {
            self.jacobian_known = false;
        }
        let rates_before = self.rates;
        self.rates = k[STAGES - 1];
        Tried::Taken(Box::new(Step {
            from_s: time_s,
            to_s: time_s + h,
            before: *y,
            after: end,
            rates_before,
            rates_after: k[STAGES - 1],
        }))
    }

    /// Newton passes on one stage; gives how slowly they shrank, or nothing when they did not settle.
    fn settle(
        &mut self,
        system: &mut impl Rates,
        at: f64,
        y: &State,
        base: &State,
        hg: f64,
        x: &mut State,
    ) -> Option<f64> {
        let mut before = f64::INFINITY;
        let mut slowest = 0.0_f64;
        for pass in 0..MOST_PASSES {
            let rates = system.rates(at, x);
            self.work.evaluations += 1;
            let rest: State = std::array::from_fn(|i| base[i] + hg * rates[i] - x[i]);
            let mut active = [0.0; ACTIVE];
            active.copy_from_slice(&rest[..ACTIVE]);
            let (_, split) = self.split.as_ref()?;
            let change = split.solve(&active);
            for i in 0..ACTIVE {
                x[i] += change[i];
            }
            // what is only counted follows with its slopes, so that the balances hold to rounding
            let mut follow = [0.0; ALL - ACTIVE];
            for (column, change) in self.jacobian.iter().zip(&change) {
                for (f, slope) in follow.iter_mut().zip(&column[ACTIVE..]) {
                    *f += slope * change;
                }
            }
            for (i, follow) in (ACTIVE..ALL).zip(follow) {
                x[i] += rest[i] + hg * follow;
            }
            let size = self.norm(&change, y);
            if !size.is_finite() {
                return None;
            }
            if size == 0.0 {
                return Some(slowest);
            }
            let shrunk = if pass == 0 { 0.0 } else { size / before };
            if pass > 0 {
                slowest = slowest.max(shrunk);
                if shrunk > SLOW.max(0.9) {
                    return None;
                }
            }
            let to_come = if pass == 0 { size } else { size * shrunk / (1.0 - shrunk) };
            if to_come <= LEFT {
                return Some(slowest);
            }
            before = size;
        }
        None
    }
}
