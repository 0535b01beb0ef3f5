//! A plan mended until every class has its water: the total can be enough while a class is short.

use super::outlook::Outlook;
use super::policy::{Climb, Draws, Policy, Rung, judged, ladder};
use super::problem::Problem;
use super::solve::{policy_cell, solve};
use super::steps::Steps;
use super::tanks::{TankPlan, split};
use super::world::Voyage;

/// Rounds of mending at most.
const ROUNDS: usize = 4;

/// A plan for the tanks together, and the same mended where a class would be short.
pub(super) struct Mended {
    pub rung: Rung,
    pub tanks: Option<TankPlan>,
    /// The mended policy, if it differs: what it costs and orders under the problem's own reserve.
    pub policy: Option<Policy>,
    pub rounds: usize,
}

/// Plans, splits over the tanks, and while a class is short raises the reserve before it and plans again.
pub(super) fn mended(problem: &Problem, steps: &Steps, draws: Draws) -> Mended {
    let rung = ladder(problem, steps, draws, Climb::Together);
    let split_of = |rung: &Rung| split(problem, steps, &rung.schedule.doing, &rung.taken_t);
    let Some(mut tanks) = split_of(&rung) else {
        return Mended { rung, tanks: None, policy: None, rounds: 0 };
    };
    let mut raised = steps.clone();
    let mut stock_t = rung.policy.stock_t.clone();
    let mut rounds = 0;
    let price = rung.policy.below_reserve_price;
    let mut short = missing(&tanks);
    let mut solution = None;
    while short > 0.0 && rounds < ROUNDS {
        raise(&mut raised, &tanks, &stock_t);
        let (outlook, cell) = (Outlook::of(problem), policy_cell(problem));
        let next = solve(problem, &raised, outlook, cell, price, true);
        let voyage = Voyage { problem, steps, solution: &next, reserve_price: price };
        let schedule = voyage.calm();
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
    let policy = solution.map(|solution| {
        let mut policy = judged(problem, steps, &solution, price, draws).policy;
        // The program's own value counts the raised reserve; what it costs is what its passages cost.
        policy.expected_cost = policy.simulated_cost;
        policy
    });
    Mended { rung, tanks: Some(tanks), policy, rounds }
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
