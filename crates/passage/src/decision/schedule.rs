//! What is done at every step, and what exactly comes of it.

use super::problem::{Problem, State};
use super::steps::Steps;

/// The plant in one step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Doing {
    Off,
    Starting,
    Making(usize),
    Stopping,
}

/// One run of the plant, in samples; what began before the plan or goes on after it is left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(into = "[Option<usize>; 4]")]
pub struct Order {
    /// The order to start.
    pub start: Option<usize>,
    /// First water.
    pub first_water: Option<usize>,
    /// Heat off.
    pub heat_off: Option<usize>,
    /// Shut down; the end of the horizon where she is still running then.
    pub shut_down: Option<usize>,
}

impl From<Order> for [Option<usize>; 4] {
    fn from(o: Order) -> Self {
        [o.start, o.first_water, o.heat_off, o.shut_down]
    }
}

/// What is done at every step and taken at every supply.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Schedule {
    pub doing: Vec<Doing>,
    /// Tonnes by supply of the problem.
    pub taken_t: Vec<f64>,
}

/// What comes of a schedule, to the last kilogram.
#[derive(Debug, Clone, Default)]
pub(super) struct Outcome {
    pub cost: f64,
    /// Before each step, and at the end.
    pub stock_t: Vec<f64>,
    pub short_t: f64,
    pub lost_t: f64,
    pub taken_t: Vec<f64>,
}

impl Schedule {
    /// The runs of the plant.
    pub fn orders(&self, state: State) -> Vec<Order> {
        let n = self.doing.len();
        let mut orders = Vec::new();
        let mut k = 0;
        while k < n {
            if self.doing[k] == Doing::Off {
                k += 1;
                continue;
            }
            let of = |k: &mut usize, wanted: fn(Doing) -> bool| {
                let from = *k;
                while *k < n && wanted(self.doing[*k]) {
                    *k += 1;
                }
                (*k > from).then_some(from)
            };
            let begun_before = k == 0 && state != State::Off;
            let start = of(&mut k, |d| d == Doing::Starting).filter(|_| !begun_before);
            let first = of(&mut k, |d| matches!(d, Doing::Making(_)));
            let off = of(&mut k, |d| d == Doing::Stopping);
            let stopping_before = begun_before && matches!(state, State::Stopping { .. });
            orders.push(Order {
                start,
                first_water: first,
                heat_off: off.filter(|_| !stopping_before),
                shut_down: Some(k),
            });
        }
        orders
    }

    /// The cost, every tonne unrounded; stock by sample only where asked for.
    pub fn run(&self, problem: &Problem, steps: &Steps, reserve_price: f64, keep: bool) -> Outcome {
        let costs = &problem.costs;
        let under = reserve_price * steps.hours / 24.0;
        let mut out = Outcome { taken_t: vec![0.0; problem.supply.len()], ..Outcome::default() };
        let mut stock = problem.stock_t;
        let mut before = match problem.state {
            State::Off => Doing::Off,
            State::Starting { .. } => Doing::Starting,
            State::Making { trim } => Doing::Making(trim),
            State::Stopping { .. } => Doing::Stopping,
        };
        let mut next_supply = 0;
        for k in 0..steps.n {
            if keep {
                out.stock_t.push(stock);
            }
            while let Some(supply) = problem.supply.get(next_supply).filter(|s| s.at == k) {
                let room = steps.ceiling_t[k.saturating_sub(1)] - stock;
                let taken = self.taken_t[next_supply].min(supply.max_t).min(room).max(0.0);
                if taken > 0.0 {
                    out.cost += supply.fixed + supply.price_t * taken;
                    stock += taken;
                    out.taken_t[next_supply] = taken;
                }
                next_supply += 1;
            }
            let doing = self.doing[k];
            let mut made = 0.0;
            match (before, doing) {
                (Doing::Off, Doing::Starting) => out.cost += costs.start,
                (Doing::Making(a), Doing::Making(b)) if a != b => out.cost += costs.retrim,
                (Doing::Making(_) | Doing::Starting, Doing::Stopping)
                    if !(steps.run_stop[k] && steps.hands_stop[k]) =>
                {
                    out.cost += costs.callout;
                }
                _ => {}
            }
            if doing != Doing::Off {
                out.cost += steps.run;
            }
            if let Doing::Making(trim) = doing {
                let trim = &steps.trims[trim];
                made = trim.make_t[k];
                out.cost += trim.price_t[k] * made + trim.fixed[k];
            }
            stock += made - steps.use_t[k];
            if stock < 0.0 {
                out.cost -= costs.shortfall_t * stock;
                out.short_t -= stock;
                stock = 0.0;
            }
            if stock > steps.ceiling_t[k] {
                let lost = stock - steps.ceiling_t[k];
                out.cost += costs.spill_t * lost;
                out.lost_t += lost;
                stock = steps.ceiling_t[k];
            }
            out.cost += under * (steps.reserve_t[k] - stock).max(0.0) + steps.carry[k] * stock;
            before = doing;
        }
        if keep {
            out.stock_t.push(stock);
        }
        out.cost += problem.end.price_t * (problem.end.target_t - stock).max(0.0);
        out
    }
}
