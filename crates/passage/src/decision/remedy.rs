//! What to do if it is not enough: the problem changed in one respect and planned anew, never added up.

use rayon::prelude::*;
use serde::Serialize;

use super::answer::Brief;
use super::ladder::{Climb, Ladder};
use super::policy::{Draws, Policy};
use super::problem::{Problem, State};
use super::repair::mended;
use super::schedule::Order;
use super::simulate::Bands;
use super::tanks::TankPlan;
use super::unreached::{foreseen_t, steps_within_reach};

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub enum Remedy {
    /// Nothing changed: the plan that already makes as early as pays.
    AsOrdered,
    /// No water made: what is aboard and what is bought has to do.
    NoWater,
    /// Made through the by-pass only, at the least of the problem's trims.
    LeastTrim,
    /// Nothing bought; dated draws may still be cut.
    WithoutBuying,
    /// Five per cent more engine load when it pays, its fuel paid by the hour.
    MoreLoad,
    /// Boiler heat when it pays.
    Boiler {
        /// Output with it over each step, t/day.
        make_t_day: Vec<f64>,
        /// What it burns in an hour.
        price_h: f64,
    },
    /// So large a share of the domestic use saved.
    DomesticLess {
        /// From 0 to 1.
        share: f64,
    },
    /// So many of the last dated draws left out.
    FewerHolds {
        /// How many.
        holds: usize,
        /// What a tonne not rinsed with costs.
        price_t: f64,
    },
}

/// What a remedy comes to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Remedied {
    /// What is done.
    pub what: String,
    /// Expected cost, the remedy's own price in it.
    pub expected_cost: f64,
    /// Lowest stock that one in ten passages stays under, up to the last day, t.
    pub lowest_p10_t: f64,
    /// Greatest chance of being under the reserve.
    pub worst_chance: f64,
    /// Tonnes bought or cut if nothing scatters.
    pub bought_t: f64,
    /// Tonnes missing on average.
    pub short_t: f64,
    /// Whether the water lasts with it: the reserve holds, and no tap is left without.
    pub lasts: bool,
    /// The one to take: the plan as ordered does not last, and of those that do this costs least.
    pub take: bool,
    /// What is ordered with it if nothing scatters, in samples.
    pub orders: Vec<Order>,
    /// What can be pumped when each sample is reached, and at the end, as [`foreseen_t`] tells it.
    #[serde(skip)]
    pub stock_t: Vec<(f64, f64, f64)>,
}

impl Remedy {
    /// Those that the problem itself says enough about.
    #[must_use]
    pub fn usual(problem: &Problem) -> Vec<Self> {
        let mut remedies = vec![Self::AsOrdered, Self::NoWater];
        if problem.levels.len() > 1 {
            remedies.push(Self::LeastTrim);
        }
        if !problem.supply.is_empty() {
            remedies.push(Self::WithoutBuying);
        }
        if problem.relaxed.load_plus_5.is_some() && problem.samples.boost_t_day.is_none() {
            remedies.push(Self::MoreLoad);
        }
        if problem.samples.use_by_class.is_some() {
            remedies.push(Self::DomesticLess { share: 0.2 });
            let holds = draws(problem).len();
            if holds > 1 {
                remedies.push(Self::FewerHolds { holds: holds - holds.div_ceil(2), price_t: 30.0 });
            }
        }
        remedies
    }

    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::AsOrdered => "as ordered, already as early as pays".into(),
            Self::NoWater => "no water made".into(),
            Self::LeastTrim => "made through the by-pass only".into(),
            Self::WithoutBuying => "nothing bought".into(),
            Self::MoreLoad => "5 % more engine load when it pays".into(),
            Self::Boiler { price_h, .. } => {
                format!("boiler heat at {price_h} an hour when it pays")
            }
            Self::DomesticLess { share } => format!("domestic use {:.0} % less", 100.0 * share),
            Self::FewerHolds { holds, price_t } => {
                let word = if *holds == 1 { "one hold".into() } else { format!("{holds} holds") };
                format!("{word} fewer rinsed, at {price_t} for each tonne")
            }
        }
    }

    /// The problem with it and what the remedy itself costs; `None` where the problem says too little.
    #[must_use]
    pub fn of(&self, problem: &Problem) -> Option<(Problem, f64)> {
        let mut other = problem.clone();
        let s = &mut other.samples;
        let mut price = 0.0;
        match self {
            Self::AsOrdered => {}
            Self::NoWater => s.allowed.fill(false),
            Self::LeastTrim => {
                other.levels = vec![problem.levels.iter().copied().fold(1.0, f64::min)];
                if let State::Making { trim } = &mut other.state {
                    *trim = 0;
                }
            }
            Self::WithoutBuying => {
                let dated = draws(problem);
                let cut = |at: usize| dated.iter().any(|(a, b)| (*a..*b).contains(&at));
                other.supply.retain(|supply| cut(supply.at));
            }
            Self::MoreLoad => {
                s.boost_t_day = Some(problem.relaxed.load_plus_5.clone()?);
                other.costs.boost_h = vec![problem.relaxed.load_plus_5_fuel_h; s.len()];
            }
            Self::Boiler { make_t_day, price_h } => {
                if make_t_day.len() != s.len() {
                    return None;
                }
                s.boost_t_day = Some(make_t_day.clone());
                other.costs.boost_h = vec![*price_h; s.len()];
            }
            Self::DomesticLess { share } => {
                let classes = s.use_by_class.as_mut()?;
                for (k, domestic) in classes.domestic.iter_mut().enumerate() {
                    let less = (*domestic * share.clamp(0.0, 1.0)).min(s.use_scatter_t_day[k]);
                    *domestic -= less;
                    s.use_t_day[k] -= less;
                    s.use_scatter_t_day[k] -= less;
                }
            }
            Self::FewerHolds { holds, price_t } => {
                let dated = draws(problem);
                let left_out: Vec<_> = dated.iter().rev().take(*holds).cloned().collect();
                let classes = s.use_by_class.as_mut()?;
                let mut saved = 0.0;
                for (from, upto) in &left_out {
                    for k in *from..*upto {
                        let less =
                            classes.wash_down[k].min(s.use_t_day[k] - s.use_scatter_t_day[k]);
                        classes.wash_down[k] -= less;
                        s.use_t_day[k] -= less;
                        saved += less * problem.step_h() / 24.0;
                    }
                }
                let inside = |at: usize| left_out.iter().any(|(a, b)| (*a..*b).contains(&at));
                other.supply.retain(|supply| !inside(supply.at));
                price = saved * price_t;
            }
        }
        Some((other, price))
    }
}

/// The dated draws: first sample and the one after the last.
pub(super) fn draws(problem: &Problem) -> Vec<(usize, usize)> {
    let Some(classes) = &problem.samples.use_by_class else { return Vec::new() };
    let mut found: Vec<(usize, usize)> = Vec::new();
    // Where one draw follows on another without a pause, a supply in between marks the second.
    let cut = |k: usize| problem.supply.iter().any(|s| s.at == k);
    for (k, rate) in classes.wash_down.iter().enumerate() {
        if *rate <= 0.0 {
            continue;
        }
        match found.last_mut() {
            Some((_, upto)) if *upto == k && !cut(k) => *upto = k + 1,
            _ => found.push((k, k + 1)),
        }
    }
    found
}

/// Every remedy planned anew, the plan as ordered first; those that change nothing are left out. Where that does not last the
/// cheapest that does is marked.
#[must_use]
pub fn remedies(
    problem: &Problem,
    brief: &Brief,
    list: &[Remedy],
    passages: Draws,
) -> Vec<Remedied> {
    let as_planned = (&brief.policy, &brief.bands, brief.tank_plan.as_ref());
    let as_ordered = Remedied::of(&Remedy::AsOrdered, problem, as_planned, 0.0);
    let mut found: Vec<Remedied> = list
        .par_iter()
        .filter_map(|remedy| {
            if *remedy == Remedy::AsOrdered {
                return Some(as_ordered.clone());
            }
            let (other, price) = remedy.of(problem)?;
            let steps = steps_within_reach(&other, passages);
            let rung = Ladder::new(&other, &steps, passages, Climb::InTurn).three_and_one();
            let found = mended(&other, &steps, rung);
            let judged = found.judged(&other, &steps, passages);
            let tanks = found.tanks;
            let rung = judged.unwrap_or_else(|| found.rung.shown());
            let planned = (&rung.policy, &rung.bands, tanks.as_ref());
            let found = Remedied::of(remedy, &other, planned, price);
            found.changes(&as_ordered).then_some(found)
        })
        .collect();
    if !as_ordered.lasts {
        let lasting = found.iter_mut().filter(|remedied| remedied.lasts);
        let least = lasting.min_by(|a, b| a.expected_cost.total_cmp(&b.expected_cost));
        if let Some(least) = least {
            least.take = true;
        }
    }
    found
}

/// Costs nearer than this share of each other are the same to a reader.
const SAME_COST: f64 = 0.01;

impl Remedied {
    fn of(
        remedy: &Remedy,
        problem: &Problem,
        (policy, bands, tanks): (&Policy, &Bands, Option<&TankPlan>),
        price: f64,
    ) -> Remedied {
        let upto = problem.samples.len().saturating_sub(problem.steps_per_day());
        let places = 0..=problem.samples.len();
        let stock_t: Vec<_> = places.map(|k| foreseen_t(policy, bands, tanks, k)).collect();
        let carried = tanks.is_none_or(|tanks| tanks.cannot.is_none() && !tanks.leaves_dry());
        Remedied {
            what: remedy.words(),
            expected_cost: policy.expected_cost + price,
            lowest_p10_t: stock_t[..=upto].iter().map(|t| t.0).fold(f64::INFINITY, f64::min),
            worst_chance: policy.worst_chance,
            bought_t: policy.supply.iter().fold(0.0, |sum, (_, t)| sum + t),
            short_t: policy.short_t,
            lasts: policy.lasts() && carried,
            take: false,
            orders: policy.orders.clone(),
            stock_t,
        }
    }

    /// Whether a reader would see a difference: in cost, in whether it lasts, in what is bought, or in the lowest stock.
    fn changes(&self, other: &Remedied) -> bool {
        let cost = (self.expected_cost - other.expected_cost).abs();
        cost > SAME_COST * other.expected_cost.abs().max(1.0)
            || self.lasts != other.lasts
            || (self.bought_t - other.bought_t).abs() > 1.0
            || (self.lowest_p10_t - other.lowest_p10_t).abs() > 1.0
    }
}
