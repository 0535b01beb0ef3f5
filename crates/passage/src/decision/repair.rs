//! A plan mended until every class has its water: the total can be enough while a class is short.

use std::borrow::Cow;
use std::sync::Arc;

use super::policy::{Climbed, Draws, Rung};
use super::problem::Problem;
use super::schedule::Schedule;
use super::solve::{Solution, solve_again};
use super::steps::Steps;
use super::tanks::{TankPlan, split};
use super::world::Voyage;

/// Rounds of mending at most.
const ROUNDS: usize = 4;

/// A plan for the tanks together, and the same mended where a class would be short.
pub(super) struct Mended<'a> {
    pub rung: Climbed<'a>,
    pub tanks: Option<TankPlan>,
    /// The mended plan, if it differs.
    pub mended: Option<Arc<Solution>>,
    pub rounds: usize,
}

/// A plan for the tanks together split over them; while a class is short the reserve before it is raised and planned again.
pub(super) fn mended<'a>(problem: &'a Problem, steps: &'a Steps, rung: Climbed<'a>) -> Mended<'a> {
    let Schedule { doing, taken_t } = &rung.schedule;
    let Some(mut tanks) = split(problem, steps, doing, taken_t) else {
        return Mended { rung, tanks: None, mended: None, rounds: 0 };
    };
    let mut raised = steps.clone();
    let mut stock_t = rung.calm.stock_t.clone();
    let mut rounds = 0;
    let price = rung.price;
    let mut short = tanks.short_t();
    let mut solution: Option<Arc<Solution>> = None;
    let mut last: Option<(Arc<Solution>, Vec<f64>)> = None;
    while short > 0.0 && rounds < ROUNDS {
        raise(&mut raised, &tanks, &stock_t);
        let (before, reserve_t) =
            last.as_ref().map_or((&*rung.solution, &steps.reserve_t), |(s, r)| (&**s, r));
        let differ = reserve_t.iter().zip(&raised.reserve_t).rposition(|(a, b)| a != b);
        let same_from = differ.map_or(0, |k| k + 1);
        let next = Arc::new(solve_again(problem, &raised, before, price, same_from));
        last = Some((next.clone(), raised.reserve_t.clone()));
        let schedule = Voyage::new(problem, steps, &next, price).calm();
        let calm = schedule.run(problem, steps, price, true);
        let Some(after) = split(problem, steps, &schedule.doing, &calm.taken_t) else { break };
        rounds += 1;
        stock_t = calm.stock_t;
        let left = after.short_t();
        // What does not mend is not taken.
        if left < short {
            short = left;
            tanks = after;
            solution = Some(next);
        }
    }
    Mended { rung, tanks: Some(tanks), mended: solution, rounds }
}

impl Mended<'_> {
    /// The mended plan with all its passages: what it costs and orders under the problem's own reserve.
    pub fn judged(&self, problem: &Problem, steps: &Steps, draws: Draws) -> Option<Rung> {
        let solution = Cow::Borrowed(&**self.mended.as_ref()?);
        let price = self.rung.price;
        let judged = Climbed::of(problem, steps, solution, price, draws, draws.count);
        Some(self.named(judged))
    }

    /// A plan that is not the program's own, as it is shown.
    pub fn named(&self, climbed: Climbed) -> Rung {
        let mut rung = climbed.shown();
        // The program's own value is another plan's; what it costs is what its passages cost.
        rung.policy.expected_cost = rung.policy.simulated_cost;
        rung.policy.cheaper_chance = self.rung.cheaper_chance;
        rung
    }
}

/// The reserve from a day before the first short sample to the last: what is planned there, what is missing, and one.
fn raise(steps: &mut Steps, tanks: &TankPlan, stock_t: &[f64]) {
    for short in &tanks.short {
        let planned = stock_t[short.from];
        let wanted = planned + short.tonnes + 1.0;
        for k in short.from.saturating_sub(steps.per_day)..=short.to {
            steps.reserve_t[k] = steps.reserve_t[k].max(wanted).min(steps.ceiling_t[k]);
        }
    }
}
