//! Why heat comes off when it does: a rule, full tanks, or the price of carrying.

use passage::decision::{Brief, Problem};
use passage::timeline::Timeline;

use super::{missing, view};

/// Room for less than this is none, t.
const FULL_T: f64 = 1.0;
/// A rule that forbids making within so many samples of the heat coming off is why it comes off: the stop itself.
const SOON: usize = 4;

/// The reason, where the plan takes heat off.
pub(super) fn heat_comes_off(
    line: &Timeline,
    problem: &Problem,
    brief: &Brief,
    currency: &str,
) -> Option<String> {
    let policy = &brief.policy;
    let (n, off) = policy.orders.iter().enumerate().find_map(|(n, o)| Some((n, o.heat_off?)))?;
    let when = |k: usize| view::at(line, k);
    let soon = line.samples.iter().skip(off).take(SOON);
    if let Some(rule) = soon.filter_map(|sample| sample.rule.as_ref()).next() {
        return Some(format!(
            "Heat comes off there because no water may be made after that: {rule}."
        ));
    }
    let room = problem.samples.ceiling_t.get(off)? - policy.stock_t.get(off)?;
    if room < FULL_T {
        return Some("Heat comes off because the tanks are as full as they may be.".to_owned());
    }
    if policy.lasts() && !missing::shorts(brief).is_empty() {
        return Some(format!(
            "Heat comes off with room for {room:.0} t because all tanks together last: what is missing is missing in a tank of its own."
        ));
    }
    if let Some(back) = nobody_after(problem, off) {
        let callout = problem.costs.callout;
        return Some(format!(
            "Heat comes off with room for {room:.0} t while there are hands for it: nobody is on again before {}, and to call somebody out costs {callout:.0} {currency}.",
            when(back)
        ));
    }
    if policy.lasts() {
        return Some(format!(
            "Heat comes off with room for {room:.0} t because what is aboard lasts: a tonne more would cost more to make and to carry than it is worth later, at the prices on the page Ship."
        ));
    }
    let carried = carried_t(problem, off, policy.worst_at);
    let made = problem.costs.make_t.get(off)? + run_t(problem, off)?;
    let again = policy.orders.iter().skip(n + 1).find_map(|order| order.first_water);
    let again =
        again.map_or_else(String::new, |k| format!(" Water is made again from {}.", when(k)));
    Some(format!(
        "Heat comes off with room for {room:.0} t because a tonne made then costs {made:.1} {currency} to make and {carried:.1} to carry until {}: more than it is worth there, at the prices on the page Ship.{again}",
        when(policy.worst_at)
    ))
}

/// Where a stop begun at a sample is the last of that day for which somebody is on, when somebody is on again.
fn nobody_after(problem: &Problem, off: usize) -> Option<usize> {
    let manned = &problem.samples.manned;
    let steps = (problem.stop_min / 60.0 / problem.step_h()).ceil() as usize;
    let is_on = |k: usize| manned.get(k).copied().unwrap_or(true);
    if !is_on(off) || is_on(off + steps) && is_on(off + steps + 1) {
        return None;
    }
    (off + steps..manned.len())
        .find(|k| !is_on(*k))
        .and_then(|from| (from..manned.len()).find(|k| is_on(*k)))
}

/// What a tonne costs to carry from one sample to another.
fn carried_t(problem: &Problem, from: usize, to: usize) -> f64 {
    let days = problem.step_h() / 24.0;
    let carried = problem.samples.carry.get(from..to.max(from)).unwrap_or_default();
    carried.iter().sum::<f64>() * days * problem.costs.carry_t_day
}

/// What running costs for a tonne made at full heat; none where nothing is made.
fn run_t(problem: &Problem, at: usize) -> Option<f64> {
    let t_day = problem.samples.make_t_day.get(at).copied().filter(|t| *t > 0.0)?;
    Some(24.0 * problem.costs.run_h / t_day)
}
