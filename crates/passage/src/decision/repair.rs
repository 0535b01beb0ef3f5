//! A plan mended until every class has its water: the total can be enough while a class is short.

use super::outlook::Outlook;
use super::policy::{Climb, Climbed, Draws, Rung, judged};
use super::problem::Problem;
use super::schedule::Schedule;
use super::solve::{policy_cell, solve};
use super::steps::Steps;
use super::tanks::{TankPlan, split};
use super::world::Voyage;

/// Rounds of mending at most.
const ROUNDS: usize = 4;

/// A plan for the tanks together, and the same mended where a class would be short.
pub(super) struct Mended<'a> {
    pub rung: Climbed<'a>,
    pub tanks: Option<TankPlan>,
    /// The mended plan, if it differs: what it costs and orders under the problem's own reserve.
    pub mended: Option<Rung>,
    pub rounds: usize,
}

/// How a plan for the tanks together is found.
pub(super) type Planned = for<'a> fn(&'a Problem, &'a Steps, Draws, Climb) -> Climbed<'a>;

/// Plans, splits over the tanks, and while a class is short raises the reserve before it and plans again.
pub(super) fn mended<'a>(
    problem: &'a Problem,
    steps: &'a Steps,
    draws: Draws,
    (planned, climb): (Planned, Climb),
) -> Mended<'a> {
    let rung = planned(problem, steps, draws, climb);
    let Schedule { doing, taken_t } = &rung.schedule;
    let Some(mut tanks) = split(problem, steps, doing, taken_t) else {
        return Mended { rung, tanks: None, mended: None, rounds: 0 };
    };
    let mut raised = steps.clone();
    let mut stock_t = rung.calm.stock_t.clone();
    let mut rounds = 0;
    let price = rung.price;
    let mut short = missing(&tanks);
    let mut solution = None;
    while short > 0.0 && rounds < ROUNDS {
        raise(&mut raised, &tanks, &stock_t);
        let (outlook, cell) = (Outlook::of(problem), policy_cell(problem));
        let next = solve(problem, &raised, outlook, cell, price, true);
        let schedule = Voyage::new(problem, steps, &next, price).calm();
        let calm = schedule.run(problem, steps, price, true);
        let Some(after) = split(problem, steps, &schedule.doing, &calm.taken_t) else { break };
        rounds += 1;
        stock_t = calm.stock_t;
        let left = missing(&after);
        // What does not mend is not taken.
        if left < short {
            short = left;
            tanks = after;
            solution = Some(next);
        }
    }
    let mended = solution.map(|solution| {
        let mut mended = judged(problem, steps, &solution, price, draws);
        let policy = &mut mended.policy;
        // The program's own value counts the raised reserve; what it costs is what its passages cost.
        policy.expected_cost = policy.simulated_cost;
        policy.cheaper_chance = rung.cheaper_chance;
        mended
    });
    Mended { rung, tanks: Some(tanks), mended, rounds }
}

fn missing(tanks: &TankPlan) -> f64 {
    tanks.short.iter().map(|s| s.tonnes).sum()
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
