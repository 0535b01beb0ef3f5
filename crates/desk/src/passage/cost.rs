//! What a plan costs, by what it is for if nothing scatters, and the rest of it: said where a change makes it dearer or cheaper.

use passage::decision::{Policy, Problem};

/// The parts of the cost of a policy's orders, in the ship's currency.
pub(super) fn parts(problem: &Problem, policy: &Policy) -> Vec<(&'static str, f64)> {
    let s = &problem.samples;
    let costs = &problem.costs;
    let (hours, n) = (problem.step_h(), s.len());
    let days = hours / 24.0;
    let at = |list: &[f64], k: usize| list.get(k).copied().unwrap_or(0.0);
    let over = |of: &dyn Fn(usize) -> f64| (0..n).map(of).sum::<f64>();
    let stock_t = |k: usize| at(&policy.stock_t, k);
    let trim = |k: usize| policy.trims.get(k).copied().flatten();
    let runs = policy.orders.iter().map(|order| {
        let begins = order.start.or(order.first_water).unwrap_or(0);
        order.shut_down.unwrap_or(n).saturating_sub(begins) as f64
    });
    let taken_t = |name: &str| {
        let taken = policy.supply.iter().filter(|(taken, _)| taken == name);
        taken.map(|(_, t)| t).sum::<f64>()
    };
    let mut counted: Vec<&str> = Vec::new();
    let mut bought = 0.0;
    for supply in &problem.supply {
        let t = taken_t(&supply.name);
        if t > 0.0 && !counted.contains(&supply.name.as_str()) {
            counted.push(&supply.name);
            bought += supply.fixed + supply.price_t * t;
        }
    }
    let starts = policy.orders.iter().filter(|order| order.start.is_some()).count() as f64;
    let made = |k: usize| {
        trim(k).map_or(0.0, |trim| {
            problem.level(trim) * at(&s.make_t_day, k) * days * at(&costs.make_t, k)
        })
    };
    let under = |k: usize| (at(&s.reserve_t, k).min(at(&s.ceiling_t, k)) - stock_t(k + 1)).max(0.0);
    let left_t = (problem.end.target_t - stock_t(n)).max(0.0);
    let mut parts = vec![
        ("starts", starts * costs.start),
        ("running and making", runs.sum::<f64>() * hours * costs.run_h + over(&made)),
        (
            "carrying what is aboard",
            over(&|k| at(&s.carry, k) * costs.carry_t_day * days * stock_t(k + 1)),
        ),
        ("bought or cut", bought),
        ("under the reserve", over(&under) * days * policy.below_reserve_price),
        ("taps without water", policy.short_t * costs.shortfall_t),
        ("short of the reserve at the end of the plan", left_t * problem.end.price_t),
    ];
    let named: f64 = parts.iter().map(|(_, cost)| cost).sum();
    parts.push(("what scatters, trims and call-outs", policy.expected_cost - named));
    parts
}
