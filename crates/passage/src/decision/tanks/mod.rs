//! The plan tank by tank: which is filled, which stands, which serves, forward in time by rule.

mod cannot;
mod drinking;
mod first;
mod manner;
mod order;
mod split;
mod spread;
mod valves;
mod water;

use serde::Serialize;

use super::problem::Problem;
use super::remedy::draws;
use super::schedule::Doing;
use super::steps::Steps;
use super::unreached::Gone;
use super::world::Log;

use cannot::Came;
pub use cannot::Cannot;
use manner::Manner;
pub use order::{Old, RinsedFrom, TankOrder, Waits};
use split::Split;
pub use spread::TankBands;
pub(super) use spread::{SPREAD_OVER, spread};

/// What a tank does in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Duty {
    /// Has stood; may serve or be filled.
    Ready,
    /// Serves the taps.
    Serving,
    /// Is being filled.
    Filling,
    /// Dosed, and stands until it may serve.
    Standing,
    /// Set apart: in no plan.
    SetApart,
}

/// Water of one class that was wanted and not there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Short {
    /// What it was for.
    pub what: Want,
    /// Tonnes.
    pub tonnes: f64,
    /// First sample.
    pub from: usize,
    /// Last sample.
    pub to: usize,
}

/// What water is wanted for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Want {
    /// Drinking and cooking.
    Drinking,
    /// Washing.
    Domestic,
    /// Boiler and engine.
    Technical,
    /// Dated draws: rinsing holds.
    WashDown,
}

impl Want {
    const ALL: [Self; 4] = [Self::Drinking, Self::Domestic, Self::Technical, Self::WashDown];

    fn word(self) -> &'static str {
        match self {
            Self::Drinking => "drinking water",
            Self::Domestic => "domestic water",
            Self::Technical => "distilled water",
            Self::WashDown => "water to rinse with",
        }
    }
}

/// The tanks through the passage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TankPlan {
    /// Sample and what is done at it.
    pub orders: Vec<(usize, TankOrder)>,
    /// By tank: what it holds when each sample is reached, and at the end, t.
    pub levels_t: Vec<Vec<f64>>,
    /// By tank: what it does in each step.
    pub duty: Vec<Vec<Duty>>,
    /// By tank: what the taps drew from it in each step, t.
    pub served_t: Vec<Vec<f64>>,
    /// What dated draws drew: the sample, the tank and how much, t.
    pub rinsed_t: Vec<(usize, usize, f64)>,
    /// What can be pumped of all tanks in use when each sample is reached, and at the end, t.
    pub usable_t: Vec<f64>,
    /// What goes where no pump reaches it.
    #[serde(skip)]
    pub(super) gone: Gone,
    /// What is missing, by use.
    pub short: Vec<Short>,
    /// Made or bought with no tank to take it, t.
    pub lost_t: f64,
    /// Brought into tanks: made and bought, t.
    pub taken_in_t: f64,
    /// Drawn from tanks, t.
    pub drawn_t: f64,
    /// Why these tanks cannot carry the plan; no valve is ordered then.
    #[serde(skip)]
    pub cannot: Option<Cannot>,
    /// What a reader should know of it: that, or how much is made with no tank to go to.
    #[serde(skip)]
    pub note: Option<String>,
}

/// Missing by the split over the tanks, under which it is a matter of rounding, t.
const DRY_T: f64 = 0.05;
/// Missing, under which no sounding tells whether it is: three centimetres in a small tank, t (ours).
const TOLD_T: f64 = 0.3;

impl Short {
    /// Whether so much is missing that soundings would tell it; with less the water just lasts.
    #[must_use]
    pub fn is_told(&self) -> bool {
        self.tonnes >= TOLD_T
    }
}

impl TankPlan {
    /// Whether water of some class is missing at a tap, more of it than soundings leave open.
    #[must_use]
    pub fn leaves_dry(&self) -> bool {
        self.short.iter().any(Short::is_told)
    }

    /// What is missing of all classes, t.
    pub(super) fn short_t(&self) -> f64 {
        self.short.iter().map(|short| short.tonnes).sum()
    }
}

/// Splits what is made and bought over the tanks; `None` where the problem tells no tanks or no classes.
pub(super) fn split(
    problem: &Problem,
    steps: &Steps,
    doing: &[Doing],
    taken_t: &[f64],
) -> Option<TankPlan> {
    split_as(problem, steps, (doing, taken_t), None)
}

/// The same as it came on one passage, where that is told.
fn split_as(
    problem: &Problem,
    steps: &Steps,
    (doing, taken_t): (&[Doing], &[f64]),
    came: Option<&Log>,
) -> Option<TankPlan> {
    let (mut best, held_back) = split_in(problem, steps, (doing, taken_t), came, Manner::USUAL)?;
    if !held_back || best.cannot.is_some() {
        return Some(best);
    }
    for manner in Manner::OTHERS {
        let Some((other, _)) = split_in(problem, steps, (doing, taken_t), came, manner) else {
            continue;
        };
        let worse = other.short_t() > best.short_t() - DRY_T || other.lost_t > best.lost_t + DRY_T;
        if !worse && other.cannot.is_none() {
            best = other;
        }
        if best.short.iter().all(|short| short.tonnes < DRY_T) {
            break;
        }
    }
    Some(best)
}

/// The same with its choices made in one manner, and whether a tap was dry by them.
fn split_in(
    problem: &Problem,
    steps: &Steps,
    (doing, taken_t): (&[Doing], &[f64]),
    came: Option<&Log>,
    manner: Manner,
) -> Option<(TankPlan, bool)> {
    let classes = problem.samples.use_by_class.as_ref()?;
    if problem.tanks.is_empty() {
        return None;
    }
    let mut split = Split::new(problem, steps, doing, manner);
    let more_t = came.map_or(0.0, |log| log.more_t);
    if let Some(log) = came {
        split.begin_with(more_t, &log.apart);
    }
    let mut rinse = classes.wash_down.clone();
    cut_draws(problem, taken_t, &mut rinse);
    let day_share = steps.hours / 24.0;
    let dated = draws(problem);
    // The tanks taken together, to know what is lost for want of room in all of them.
    let (mut stock, mut made_t, mut spilt_t) = (problem.stock_t + more_t, 0.0, 0.0);
    for k in 0..steps.n {
        split.told();
        for (supply, taken) in problem.supply.iter().zip(taken_t).filter(|(s, _)| s.at == k) {
            let cut = dated.iter().any(|(from, upto)| (*from..*upto).contains(&supply.at));
            stock += taken;
            if *taken > 0.0 && !cut {
                split.take_on(k, *taken, &supply.name);
            }
        }
        let planned = match doing[k] {
            Doing::Making(trim) => steps.trims[trim].made_t[k],
            _ => 0.0,
        };
        let (made, scatter, fixed) =
            came.map_or((planned, 1.0, 1.0), |log| (log.made_t[k], log.scatter[k], log.fixed[k]));
        made_t += made;
        let use_t = scatter * steps.scatter_t[k] + fixed * (steps.use_t[k] - steps.scatter_t[k]);
        split.valves(k, made, doing);
        split.fill(k, made);
        stock = (stock + made - split.plan.gone.made_t[k] - use_t).max(0.0);
        spilt_t += (stock - steps.ceiling_t[k]).max(0.0);
        stock = stock.min(steps.ceiling_t[k]);
        let tapped = scatter * day_share;
        split.serve(k, classes.technical[k] * tapped, Want::Technical);
        split.serve(k, classes.drinking[k] * tapped, Want::Drinking);
        split.serve(k, classes.domestic[k] * tapped, Want::Domestic);
        split.rinse(k, rinse[k] * fixed * day_share);
        if let Some(draw) = dated.iter().find(|(_, upto)| *upto == k + 1) {
            split.rinsed(*draw);
        }
        for (i, tank) in split.tanks.iter().enumerate() {
            split.plan.duty[i].push(tank.duty);
        }
    }
    let held_back = split.held_back;
    let mut plan = split.done();
    plan.cannot = Came { problem, plan: &plan, made_t, spilt_t }.cannot();
    plan.note = Came { problem, plan: &plan, made_t, spilt_t }.note();
    if plan.cannot.is_some() {
        plan.orders.retain(|(_, order)| !order.moves_a_valve());
    }
    Some((plan, held_back))
}

/// What was cut from a dated draw is not drawn, from its end backwards.
fn cut_draws(problem: &Problem, taken_t: &[f64], rinse: &mut [f64]) {
    let dated = draws(problem);
    for (supply, taken) in problem.supply.iter().zip(taken_t) {
        let Some((from, upto)) = dated.iter().find(|(a, b)| (*a..*b).contains(&supply.at)) else {
            continue;
        };
        let mut left = taken * 24.0 / problem.step_h();
        for rate in rinse[*from..*upto].iter_mut().rev() {
            let less = rate.min(left);
            *rate -= less;
            left -= less;
        }
    }
}
