//! Water that no pump reaches: what runs into a tank below its suction is no gain, and is planned as none.

use super::ladder::{Climb, Ladder};
use super::policy::{Draws, Policy};
use super::problem::{Problem, TankState};
use super::repair::mended;
use super::simulate::Bands;
use super::steps::Steps;
use super::tanks::TankPlan;

/// What goes where no pump reaches it, by step.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Gone {
    /// Share of what is made, 0 to 1.
    pub made: Vec<f64>,
    /// The same in tonnes.
    pub made_t: Vec<f64>,
    /// Passed on from one tank to another, t.
    pub passed_t: Vec<f64>,
}

impl Gone {
    pub fn none(n: usize) -> Self {
        Self { made: vec![0.0; n], made_t: vec![0.0; n], passed_t: vec![0.0; n] }
    }

    /// So much of what was made in a step ran in out of reach.
    pub fn ran_in(&mut self, k: usize, (gone_t, made_t): (f64, f64)) {
        self.made_t[k] = gone_t;
        self.made[k] = if made_t > 0.0 { (gone_t / made_t).clamp(0.0, 1.0) } else { 0.0 };
    }

    /// Whether it is the same to a reader of soundings.
    fn is_about(&self, other: &Self) -> bool {
        let apart = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).sum::<f64>();
        apart(&self.made_t, &other.made_t) + apart(&self.passed_t, &other.passed_t) < LEAST_T
    }

    /// What is gone in either.
    fn or(mut self, other: &Self) -> Self {
        let most = |a: &mut [f64], b: &[f64]| {
            a.iter_mut().zip(b).for_each(|(a, b)| *a = a.max(*b));
        };
        most(&mut self.made, &other.made);
        most(&mut self.made_t, &other.made_t);
        most(&mut self.passed_t, &other.passed_t);
        self
    }
}

/// Less is the reading of a sounding rod, t.
const LEAST_T: f64 = 0.1;
/// Plans made one after the other at most, each with what went out of reach in the one before.
const ROUNDS: usize = 4;
/// From this one on what went out of reach in any of them is no gain: two plans that take turns are neither offered.
const TAKE_TURNS: usize = 2;

/// What every step needs, what runs in below a suction taken from what is gained. Which water that is hangs on the plan: it is
/// made anew with what it came to until that is so.
pub(super) fn steps_within_reach(problem: &Problem, draws: Draws) -> Steps {
    let plain = || Steps::new(problem);
    let below = problem.tanks.iter().filter(|tank| tank.state != TankState::SetApart);
    let below_t: f64 = below.map(|tank| (tank.dead_t - tank.stock_t).max(0.0)).sum();
    if below_t < LEAST_T || problem.samples.use_by_class.is_none() {
        return plain();
    }
    let mut gone = Gone::none(problem.samples.len());
    for round in 0..ROUNDS {
        let steps = plain().short_of(&gone);
        let rung = Ladder::new(problem, &steps, draws, Climb::InTurn).three();
        let found = mended(problem, &steps, rung);
        let Some(now) = found.tanks.map(|tanks| tanks.gone) else { break };
        if now.is_about(&gone) {
            break;
        }
        gone = if round >= TAKE_TURNS { now.or(&gone) } else { now };
    }
    plain().short_of(&gone)
}

/// The stock when a sample is reached, t: one passage in ten has less, what the orders come to if nothing scatters, one in ten
/// has more. It is what can be pumped, tank by tank where they are told: what a tank does not take or a pump does not reach is
/// not in it. Where most passages come to be ordered otherwise the orders themselves may be the rare ones, and the band
/// reaches to them.
#[must_use]
pub fn foreseen_t(
    policy: &Policy,
    bands: &Bands,
    tanks: Option<&TankPlan>,
    sample: usize,
) -> (f64, f64, f64) {
    let at = |list: &[f64]| list.get(sample).or(list.last()).copied().unwrap_or(0.0);
    let together = at(&policy.stock_t);
    let planned = tanks.map_or(together, |tanks| at(&tanks.usable_t));
    let off = planned - together;
    let moved = |t: f64| (t + off).max(0.0);
    (moved(at(&bands.p10)).min(planned), planned, moved(at(&bands.p90)).max(planned))
}
