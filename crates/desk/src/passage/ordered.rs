//! What a plan asks for: output by the quarter of an hour, and the orders of plant and tanks in time.

use passage::decision::{Brief, Problem};
use passage::timeline::Timeline;

use super::view::{self, OrderLine};

/// Output as ordered when nothing scatters: at the trim of each sample, by-pass or full.
pub(super) fn making(line: &Timeline, problem: &Problem, brief: &Brief) -> Vec<f64> {
    let trims = brief.policy.trims.iter();
    line.samples
        .iter()
        .zip(trims)
        .map(|(sample, trim)| trim.map_or(0.0, |trim| problem.level(trim) * sample.make.t_day))
        .collect()
}

/// What first water means.
const FIRST_WATER: &str = "First water to a tank, salinity in limit";

/// Orders of the plant and the tanks in time, each with the zone of its moment.
pub(super) fn orders_of(line: &Timeline, brief: &Brief) -> Vec<OrderLine> {
    let order = |k: usize, what: String, plant: bool| {
        let at = line.samples.get(k).or(line.samples.last()).map(|sample| sample.at)?;
        Some(OrderLine { at, zone: line.clock.zone(at), what, plant })
    };
    let mut orders: Vec<OrderLine> = Vec::new();
    for run in &brief.policy.orders {
        for (k, what) in [
            (run.start, "Line up and start; the first water is dumped"),
            // A plant that is making already has had its first water.
            (run.first_water.filter(|_| run.start.is_some()), FIRST_WATER),
            (run.heat_off, "Heat off"),
            (run.shut_down, "Shut down and secured"),
        ] {
            orders.extend(k.and_then(|k| order(k, what.to_owned(), true)));
        }
    }
    let moment = |k: usize| view::at(line, k);
    let tanks = brief.tanks.iter();
    orders.extend(tanks.filter_map(|(k, what)| order(*k, what.words(moment), false)));
    orders.sort_by_key(|order| order.at);
    orders
}
