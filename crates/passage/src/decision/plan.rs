//! The deterministic plan: the program on fine cells, then its beginnings and ends moved on exact cost.

use serde::Serialize;

use super::follow::follow;
use super::outlook::Outlook;
use super::problem::{Problem, State};
use super::schedule::{Doing, Order, Outcome, Schedule};
use super::solve::{Keep, solve};
use super::steps::Steps;

/// A plan as if nothing scattered.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plan {
    /// What it costs, unrounded.
    pub cost: f64,
    /// Start, first water, heat off, shut down of every run, in samples.
    pub orders: Vec<Order>,
    /// Stock when each sample is reached, and at the end, t.
    pub stock_t: Vec<f64>,
    /// Water that is missing, t.
    pub short_t: f64,
    /// Water made or held and lost, t.
    pub lost_t: f64,
    /// Supplies taken: name and tonnes.
    pub supply: Vec<(String, f64)>,
    /// Trim of every sample, `None` where no water is made; counted as the problem's levels, boiler heat last.
    pub trims: Vec<Option<usize>>,
}

/// Rounds of moves at most; each must better the cost.
const ROUNDS: usize = 12;
/// Changes that are moved together lie no farther apart than this, counted in changes.
const NEAR: usize = 5;

/// The plan on cells of `cell` tonnes at the problem's own price of being under the reserve.
#[must_use]
pub fn plan(problem: &Problem, cell: f64) -> Plan {
    plan_at(problem, &Steps::new(problem), cell, problem.costs.below_reserve_t_day)
}

pub(super) fn plan_at(problem: &Problem, steps: &Steps, cell: f64, reserve_price: f64) -> Plan {
    let plan = plan_on(problem, steps, cell, reserve_price);
    if !rounding_matters(problem, steps, cell, &plan) {
        return plan;
    }
    let finer = plan_on(problem, steps, 0.5 * cell, reserve_price);
    if finer.cost < plan.cost { finer } else { plan }
}

fn plan_on(problem: &Problem, steps: &Steps, cell: f64, reserve_price: f64) -> Plan {
    let solution = solve(problem, steps, Outlook::certain(), cell, reserve_price, Keep::Actions);
    let mut schedule = follow(problem, steps, &solution);
    polish(problem, steps, reserve_price, &mut schedule);
    // On coarse cells, what rounding gains can outweigh a plan's worth: doing nothing is always held against it.
    if problem.state == State::Off {
        let idle =
            Schedule { doing: vec![Doing::Off; steps.n], taken_t: vec![0.0; problem.supply.len()] };
        let cost = |s: &Schedule| s.run(problem, steps, reserve_price, false).cost;
        if cost(&idle) <= cost(&schedule) {
            schedule = idle;
        }
    }
    shown(problem, steps, &schedule, reserve_price)
}

/// Most cells, over all steps and trims, of a grid that is laid out for the sake of rounding.
const FINER_CELLS: f64 = 2.0e7;
/// Rounding that may be worth this share of the cost matters.
const MATTERS: f64 = 1.0e-3;

/// Whether the cells given away at starts and retrims may be worth so much that another plan would be cheaper.
fn rounding_matters(problem: &Problem, steps: &Steps, cell: f64, plan: &Plan) -> bool {
    let changes = plan.trims.windows(2).filter(|t| t[1].is_some() && t[0] != t[1]).count();
    let given = cell * changes as f64 * problem.end.price_t;
    let highest = steps.ceiling_t.iter().copied().fold(problem.stock_t, f64::max);
    let cells = 2.0 * highest / cell * steps.n as f64 * steps.trims.len() as f64;
    given > MATTERS * plan.cost && cells < FINER_CELLS
}

/// The schedule as it is shown.
pub(super) fn shown(
    problem: &Problem,
    steps: &Steps,
    schedule: &Schedule,
    reserve_price: f64,
) -> Plan {
    let out = schedule.run(problem, steps, reserve_price, true);
    Plan {
        orders: schedule.orders(problem.state),
        supply: supplies(problem, &out),
        cost: out.cost,
        stock_t: out.stock_t,
        short_t: out.short_t,
        lost_t: out.lost_t,
        trims: schedule
            .doing
            .iter()
            .map(|d| if let Doing::Making(trim) = d { Some(*trim) } else { None })
            .collect(),
    }
}

fn supplies(problem: &Problem, out: &Outcome) -> Vec<(String, f64)> {
    let taken = problem.supply.iter().zip(&out.taken_t).filter(|(_, t)| **t > 0.0);
    taken.map(|(s, t)| (s.name.clone(), *t)).collect()
}

/// Moves every beginning and end by one or two steps where the exact cost is less for it.
pub(super) fn polish(
    problem: &Problem,
    steps: &Steps,
    reserve_price: f64,
    schedule: &mut Schedule,
) {
    let cost = |s: &Schedule| s.run(problem, steps, reserve_price, false).cost;
    let mut best = cost(schedule);
    for _ in 0..ROUNDS {
        let before = best;
        for edge in 0..edges(&schedule.doing).len() {
            for by in [1_isize, -1, 2, -2] {
                let Some(at) = edges(&schedule.doing).get(edge).copied() else { break };
                let Some(moved) = moved(problem, steps, schedule, at, by) else { continue };
                let moved_cost = cost(&moved);
                if moved_cost < best - 1.0e-9 {
                    best = moved_cost;
                    *schedule = moved;
                }
            }
        }
        if best >= before - 1.0e-9 {
            pairs(problem, steps, schedule, &mut best, &cost);
        }
        for supply in 0..problem.supply.len() {
            trade(problem, supply, schedule, &mut best, &cost);
        }
        if best >= before - 1.0e-9 {
            break;
        }
    }
}

/// Two changes near each other moved by a step each: what one makes more the other may make less.
fn pairs(
    problem: &Problem,
    steps: &Steps,
    schedule: &mut Schedule,
    best: &mut f64,
    cost: &impl Fn(&Schedule) -> f64,
) {
    let changes = edges(&schedule.doing);
    for (i, one) in changes.iter().enumerate() {
        for other in changes.iter().skip(i + 1).take(NEAR) {
            for (a, b) in [(1, 1), (-1, -1), (1, -1), (-1, 1), (2, -1), (-2, 1), (1, -2), (-1, 2)] {
                // The later one first, so that the earlier stands where it was.
                let both = moved(problem, steps, schedule, *other, b)
                    .and_then(|half| moved(problem, steps, &half, *one, a));
                let Some(both) = both else { continue };
                let both_cost = cost(&both);
                if both_cost < *best - 1.0e-9 {
                    *best = both_cost;
                    *schedule = both;
                    return;
                }
            }
        }
    }
}

/// Takes a little more or less of a supply.
fn trade(
    problem: &Problem,
    supply: usize,
    schedule: &mut Schedule,
    best: &mut f64,
    cost: &impl Fn(&Schedule) -> f64,
) {
    if schedule.taken_t[supply] <= 0.0 {
        return;
    }
    for by in [0.1, -0.1, 0.02, -0.02, 0.004, -0.004] {
        let mut other = schedule.clone();
        let taken = (other.taken_t[supply] + by).clamp(0.0, problem.supply[supply].max_t);
        other.taken_t[supply] = taken;
        let other_cost = cost(&other);
        if other_cost < *best - 1.0e-9 {
            *best = other_cost;
            *schedule = other;
        }
    }
}

/// First steps of making, of stopping, and of another trim.
fn edges(doing: &[Doing]) -> Vec<usize> {
    let pairs = doing.windows(2).enumerate();
    let changes = pairs.filter(|(_, pair)| match (pair[0], pair[1]) {
        (Doing::Starting, Doing::Making(_)) | (Doing::Making(_), Doing::Stopping) => true,
        (Doing::Making(a), Doing::Making(b)) => a != b,
        _ => false,
    });
    changes.map(|(k, _)| k + 1).collect()
}

/// The schedule with the change at `at` moved by so many steps, if that may be.
#[allow(clippy::needless_range_loop, reason = "the rule for a step is told by its number")]
fn moved(
    problem: &Problem,
    steps: &Steps,
    schedule: &Schedule,
    at: usize,
    by: isize,
) -> Option<Schedule> {
    let to = at.checked_add_signed(by).filter(|to| *to > 0 && *to < steps.n)?;
    let mut doing = schedule.doing.clone();
    match (doing[at - 1], doing[at]) {
        (Doing::Starting, Doing::Making(trim)) => {
            let from = at.checked_sub(steps.start)?;
            let begun = matches!(problem.state, State::Starting { .. }) && {
                doing[..at].iter().all(|d| *d == Doing::Starting)
            };
            let start = from.checked_add_signed(by).filter(|_| !begun)?;
            if !(steps.may_start[start] && steps.hands_start[start]) {
                return None;
            }
            for k in from.min(start)..at.max(to) {
                let was = doing[k];
                let free = match was {
                    Doing::Off => true,
                    Doing::Starting => k >= from,
                    Doing::Making(other) => other == trim,
                    Doing::Stopping => false,
                };
                if !free {
                    return None;
                }
                doing[k] = match k {
                    k if k < start => Doing::Off,
                    k if k < to => Doing::Starting,
                    _ => Doing::Making(trim),
                };
            }
        }
        (Doing::Making(trim), Doing::Stopping) => {
            let end = (at..steps.n).find(|k| doing[*k] != Doing::Stopping).unwrap_or(steps.n);
            let new_end = (to + steps.stop).min(steps.n);
            for k in at.min(to)..end.max(new_end) {
                let free = match doing[k] {
                    Doing::Off => true,
                    Doing::Stopping => k < end,
                    Doing::Making(other) => k < at && other == trim,
                    Doing::Starting => false,
                };
                let done = match k {
                    k if k < to => Doing::Making(trim),
                    k if k < new_end => Doing::Stopping,
                    _ => Doing::Off,
                };
                if !free || (done == Doing::Making(trim) && !steps.allowed[k]) {
                    return None;
                }
                doing[k] = done;
            }
            if !matches!(doing[to - 1], Doing::Making(_)) {
                return None;
            }
        }
        (Doing::Making(a), Doing::Making(b)) => {
            if !steps.manned[to] {
                return None;
            }
            for k in at.min(to)..at.max(to) {
                if doing[k] != if k < at { Doing::Making(a) } else { Doing::Making(b) } {
                    return None;
                }
                doing[k] = if k < to { Doing::Making(a) } else { Doing::Making(b) };
            }
        }
        _ => return None,
    }
    Some(Schedule { doing, taken_t: schedule.taken_t.clone() })
}
