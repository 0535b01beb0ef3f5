//! What lies below its least as a plan begins: a tank below what its pump can reach, a stock below the reserve.

use super::policy::{begins_within_t, counts_from};
use super::problem::{Problem, TankState};
use super::steps::Steps;

/// Less is the reading of a sounding rod, t.
const LEAST_T: f64 = 0.05;

/// Tanks in use that hold less than their pumps can reach, each in a sentence: nothing can be drawn from them.
pub(super) fn dead_stock(problem: &Problem) -> impl Iterator<Item = String> + '_ {
    let in_use = problem.tanks.iter().filter(|tank| tank.state != TankState::SetApart);
    in_use.filter(|tank| tank.stock_t < tank.dead_t - LEAST_T).map(|tank| {
        format!(
            "{} holds {:.1} t, and its pump does not reach the last {:.1} t: it counts as empty, and the first {:.1} t filled into it are out of reach as well.",
            tank.name,
            tank.stock_t,
            tank.dead_t,
            tank.dead_t - tank.stock_t
        )
    })
}

/// That she may be under her reserve as she begins, what is aboard being known no nearer, and from when it counts.
pub(super) fn perhaps(problem: &Problem, steps: &Steps, stock_t: &[f64]) -> Option<String> {
    let within_t = begins_within_t(problem);
    let over_t = problem.stock_t - problem.samples.reserve_t.first()?;
    let from = counts_from(steps, (stock_t, within_t));
    if over_t < 0.0 || from == 0 {
        return None;
    }
    let hours = from as f64 * problem.step_h();
    Some(format!(
        "She begins {over_t:.1} t over the reserve, and what is aboard is known within {within_t:.1} t only: she may be under it already. It counts from {hours:.0} hours on."
    ))
}

/// That she begins under her reserve, by how much and until when; `stock_t` is the stock when each sample is reached if nothing
/// scatters.
pub(super) fn reserve(problem: &Problem, stock_t: &[f64]) -> Option<String> {
    let reserve_t = *problem.samples.reserve_t.first()?;
    let under_t = reserve_t - problem.stock_t;
    if under_t < LEAST_T {
        return None;
    }
    let later = stock_t.iter().skip(1).zip(&problem.samples.reserve_t);
    let back = later.into_iter().position(|(stock, reserve)| stock >= reserve);
    let until = match back.map(|k| (k + 1) as f64 * problem.step_h()) {
        None => "and stays under it to the end of what is planned".to_owned(),
        Some(hours) if hours < 48.0 => format!("and is over it again after {hours:.0} hours"),
        Some(hours) => format!("and is over it again after {:.1} days", hours / 24.0),
    };
    let scatters = if back.is_some() { " if nothing scatters" } else { "" };
    Some(format!(
        "She begins {under_t:.1} t under the reserve of {reserve_t:.1} t {until}{scatters}."
    ))
}
