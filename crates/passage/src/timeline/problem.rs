//! A timeline with what is aboard and what things cost, as the problem the planner solves.

use jiff::Timestamp;

use super::demand::Demand;
use super::sample::{STEP_MIN, Timeline};
use crate::decision::{
    Costs, End, Noise, Problem, Relaxed, Samples, State, Supply, Tank, TankState, UseByClass,
};

/// What is aboard now.
#[derive(Debug, Clone, PartialEq)]
pub struct Aboard {
    /// The tanks with their soundings.
    pub tanks: Vec<Tank>,
    /// Standard deviation of what is really in all of them about those, t, 0 or more.
    pub stock_sd_t: f64,
    /// What the plant is doing.
    pub state: State,
    /// Room kept in the tanks, t, for stability, trim or draught.
    pub room_kept_t: f64,
    /// From these moments another most may be aboard, t pumpable: orders on draught, tanks set apart.
    pub ceilings: Vec<(Timestamp, f64)>,
    /// Days of use that stay aboard.
    pub reserve_days: f64,
    /// Time from lining up to first water, minutes.
    pub start_min: f64,
    /// Time from heat off to shut down, minutes.
    pub stop_min: f64,
}

impl Aboard {
    /// Pumpable water of all tanks not set apart, t.
    #[must_use]
    pub fn stock_t(&self) -> f64 {
        self.in_use().map(|tank| (tank.stock_t - tank.dead_t).max(0.0)).sum()
    }

    /// Most pumpable water they hold, less the room kept, t.
    #[must_use]
    pub fn ceiling_t(&self) -> f64 {
        let all: f64 = self.in_use().map(|tank| (tank.cap_t - tank.dead_t).max(0.0)).sum();
        (all - self.room_kept_t).max(0.0)
    }

    fn in_use(&self) -> impl Iterator<Item = &Tank> {
        self.tanks.iter().filter(|tank| tank.state != TankState::SetApart)
    }
}

/// What things cost, in one currency.
#[derive(Debug, Clone, PartialEq)]
pub struct Prices {
    /// One start.
    pub start: f64,
    /// A change of trim.
    pub retrim: f64,
    /// A stop without hands.
    pub callout: f64,
    /// An hour of running.
    pub run_h: f64,
    /// A tonne made.
    pub make_t: f64,
    /// A tonne carried for a day at sea.
    pub carry_t_day: f64,
    /// A tonne missing.
    pub short_t: f64,
    /// A tonne lost.
    pub spill_t: f64,
    /// A tonne short of the target at the end.
    pub end_t: f64,
    /// What five per cent more engine load burns, an hour; 0 where it is not told.
    pub more_load_h: f64,
    /// Water for sale on the way: name, when, a tonne, fixed, most.
    pub for_sale: Vec<(String, Timestamp, f64, f64, f64)>,
}

impl Timeline {
    /// The sample in which a moment lies; the first or the last for one outside.
    #[must_use]
    pub fn index(&self, at: Timestamp) -> usize {
        self.samples.partition_point(|sample| sample.at <= at).saturating_sub(1)
    }

    /// The problem to be planned.
    #[must_use]
    pub fn problem(
        &self,
        name: &str,
        aboard: &Aboard,
        demand: &Demand,
        prices: &Prices,
        noise: Noise,
    ) -> Problem {
        let day_t = demand.day_at_sea_t();
        let of = |f: &dyn Fn(&super::Sample) -> f64| self.samples.iter().map(f).collect::<Vec<_>>();
        let flags =
            |f: &dyn Fn(&super::Sample) -> bool| self.samples.iter().map(f).collect::<Vec<_>>();
        let at_sea = |s: &super::Sample| s.moment.is_under_way();
        let ceiling = self.ceilings(aboard);
        // A reserve above the ceiling cannot be kept: it is lowered to it.
        let reserve_t: Vec<f64> =
            ceiling.iter().map(|top| (aboard.reserve_days * day_t).min(*top)).collect();
        let n = self.samples.len();
        let samples = Samples {
            allowed: flags(&|s| s.rule.is_none()),
            why: self
                .samples
                .iter()
                .map(|s| s.rule.as_ref().map_or(String::new(), |r| r.word().to_owned()))
                .collect(),
            manned: flags(&|s| s.manned),
            run_ok: flags(&|s| s.moment.phase == route::Phase::SeaPassage),
            under_way: flags(&at_sea),
            carry: of(&|s| f64::from(u8::from(at_sea(s)))),
            make_t_day: of(&|s| if s.rule.is_none() { s.make.t_day } else { 0.0 }),
            boost_t_day: None,
            use_t_day: of(&|s| s.used.sum()),
            use_scatter_t_day: of(&|s| s.used.steady()),
            use_by_class: Some(UseByClass {
                drinking: of(&|s| s.used.drinking),
                domestic: of(&|s| s.used.domestic),
                technical: of(&|s| s.used.technical),
                wash_down: of(&|s| s.used.drawn),
            }),
            reserve_t,
            ceiling_t: ceiling,
            sea_slope_per_k: of(&|s| s.make.sea_slope_per_k),
            technical_only: Some(flags(&|s| s.distilled_only)),
            zone_h: Some(of(&|s| f64::from(self.clock.zone(s.at).seconds()) / 3600.0)),
        };
        Problem {
            name: name.to_owned(),
            step_min: f64::from(STEP_MIN),
            start_utc: self.samples.first().map(|s| s.at.to_string()),
            stock_t: aboard.stock_t(),
            stock_sd_t: aboard.stock_sd_t,
            state: aboard.state,
            samples,
            start_min: aboard.start_min,
            stop_min: aboard.stop_min,
            levels: vec![1.0, 0.5],
            costs: Costs {
                start: prices.start,
                retrim: prices.retrim,
                run_h: prices.run_h,
                make_t: vec![prices.make_t; n],
                boost_h: vec![0.0; n],
                carry_t_day: prices.carry_t_day,
                callout: prices.callout,
                shortfall_t: prices.short_t,
                below_reserve_t_day: 30.0,
                spill_t: prices.spill_t,
            },
            supply: self.supplies(demand, prices),
            end: End { target_t: aboard.reserve_days * day_t, price_t: prices.end_t },
            noise,
            tanks: aboard.tanks.clone(),
            relaxed: Relaxed {
                hour_later: Some(self.hour_later.clone()),
                five_nmi_nearer: Some(self.five_nmi_nearer.clone()),
                load_plus_5: Some(
                    self.load_plus_5_t_day
                        .iter()
                        .zip(&self.samples)
                        .map(|(t_day, s)| if s.rule.is_none() { *t_day } else { 0.0 })
                        .collect(),
                ),
                load_plus_5_fuel_h: prices.more_load_h,
            },
        }
    }

    /// The least of what the tanks hold and of the orders that hold at each sample's end.
    fn ceilings(&self, aboard: &Aboard) -> Vec<f64> {
        let most = aboard.ceiling_t();
        let mut orders: Vec<_> = aboard.ceilings.clone();
        orders.sort_by_key(|(from, _)| *from);
        self.samples
            .iter()
            .map(|sample| {
                let after = orders.partition_point(|(from, _)| *from <= sample.at);
                let ordered =
                    after.checked_sub(1).and_then(|i| orders.get(i)).map_or(most, |o| o.1);
                ordered.min(most).max(0.0)
            })
            .collect()
    }

    /// Water for sale, and draws that can be done with less.
    fn supplies(&self, demand: &Demand, prices: &Prices) -> Vec<Supply> {
        let last = self.samples.len().saturating_sub(1);
        let inside = |at: Timestamp| {
            let begins = self.samples.first().is_some_and(|s| s.at <= at);
            let ends = self.samples.get(last).is_some_and(|s| at <= s.at);
            begins && ends
        };
        let sale = prices.for_sale.iter().filter(|(_, at, ..)| inside(*at)).map(
            |(name, at, price_t, fixed, max_t)| Supply {
                name: name.clone(),
                at: self.index(*at),
                price_t: *price_t,
                fixed: *fixed,
                max_t: *max_t,
            },
        );
        let less = demand.draws.iter().filter(|draw| inside(draw.from)).filter_map(|draw| {
            Some(Supply {
                name: format!("{} with less", draw.name),
                at: self.index(draw.from),
                price_t: draw.less_price_t?,
                fixed: 0.0,
                max_t: draw.t,
            })
        });
        let mut all: Vec<Supply> = sale.chain(less).collect();
        all.sort_by_key(|supply| supply.at);
        all
    }
}
