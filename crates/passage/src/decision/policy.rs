//! The policy under uncertainty: the price of being under the reserve raised until nine in ten stay above it.

use std::borrow::Cow;

use rayon::prelude::*;
use serde::Serialize;

use super::chance::Normal;
use super::ladder::{Climb, Ladder};
use super::outlook::Outlook;
use super::plan::Plan;
use super::problem::Problem;
use super::schedule::{Doing, Order, Schedule};
use super::simulate::{Bands, Sailed};
use super::solve::{Keep, Solution, policy_cell, solve};
use super::standing::Ordered;
use super::steps::Steps;
use super::tanks::{SPREAD_OVER, TankBands, spread};
use super::unreached::Gone;
use super::world::{Log, Voyage};

/// How passages are simulated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Draws {
    /// How many.
    pub count: usize,
    /// From which seed.
    pub seed: u64,
}

impl Default for Draws {
    fn default() -> Self {
        Self { count: 2000, seed: 20_261_109 }
    }
}

/// What to do as the world turns out, and what is to be expected of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Policy {
    /// Expected cost by the program, at the price below.
    pub expected_cost: f64,
    /// Mean cost of the simulated passages.
    pub simulated_cost: f64,
    /// Its standard error.
    pub simulated_error: f64,
    /// Price of a tonne under the reserve for a day at which it was planned.
    pub below_reserve_price: f64,
    /// The greatest chance of being under the reserve at any place that counts.
    pub worst_chance: f64,
    /// The place, as a sample.
    pub worst_at: usize,
    /// How far one in ten is under the reserve there, t; 0 where they are not.
    pub under_t: f64,
    /// Whether the reserve holds with the chance that is borne.
    pub holds: bool,
    /// Mean of the water that is missing, t.
    pub short_t: f64,
    /// What is ordered if nothing scatters.
    pub orders: Vec<Order>,
    /// The stock then, when each sample is reached and at the end, t.
    pub stock_t: Vec<f64>,
    /// Supplies taken then: name and tonnes.
    pub supply: Vec<(String, f64)>,
    /// Trim of every sample then, as in [`Plan`].
    #[serde(skip)]
    pub trims: Vec<Option<usize>>,
    /// What is done at every step then.
    #[serde(skip)]
    pub(super) doing: Vec<Doing>,
    /// What goes out of reach of a pump, where some does.
    #[serde(skip)]
    pub(super) gone: Option<Gone>,
    /// Planned at one more rung than the ladder has, the reserve being put before the cost: the greatest chance at its top.
    #[serde(skip)]
    pub cheaper_chance: Option<f64>,
    /// The chance at each place.
    #[serde(skip)]
    pub chance: Vec<f64>,
}

/// Missing on average, under which it is a matter of rounding, t.
pub(super) const MISSING_T: f64 = 0.05;

impl Policy {
    /// Whether the water lasts: the reserve holds and nobody is left without.
    #[must_use]
    pub fn lasts(&self) -> bool {
        self.holds && !self.leaves_short()
    }

    /// Whether somebody is left without on average.
    pub(super) fn leaves_short(&self) -> bool {
        self.short_t >= MISSING_T
    }
}

/// A dearer rung is not taken for less than this.
const WORTH_A_RUNG: f64 = 0.01;

/// A policy with the bands of all its passages.
pub(super) struct Rung {
    pub policy: Policy,
    pub bands: Bands,
    /// The tanks' bands.
    pub tank_bands: Option<TankBands>,
}

/// The policy and its bands.
#[must_use]
pub fn policy(problem: &Problem, draws: Draws) -> (Policy, Bands) {
    let steps = Steps::new(problem);
    let rung = Ladder::new(problem, &steps, draws, Climb::Afresh).three().shown();
    (rung.policy, rung.bands)
}

/// Share of fresh draws, from another seed, that lie between P10 and P90 over all
/// places, the policy planned at one price of the reserve.
#[must_use]
pub fn coverage(problem: &Problem, price: f64, draws: Draws, fresh: Draws) -> f64 {
    let steps = Steps::new(problem);
    let (outlook, cell) = (Outlook::of(problem), policy_cell(problem));
    let solution = solve(problem, &steps, outlook, cell, price, Keep::Actions);
    let voyage = Voyage::new(problem, &steps, &solution, price);
    let bands = Sailed::new(&voyage, draws.count.max(1), draws.seed).bands();
    Sailed::new(&voyage, fresh.count.max(1), fresh.seed).covered(&bands)
}

/// Passages sailed first, as a share of all.
const FIRST: f64 = 0.05;
/// A chance counted over a few passages is sure to so many standard errors.
const SURE: f64 = 4.0;

/// A policy, some of its passages sailed.
pub(super) struct Climbed<'a> {
    problem: &'a Problem,
    steps: &'a Steps,
    pub solution: Cow<'a, Solution>,
    pub price: f64,
    draws: Draws,
    /// What is done and taken if nothing scatters.
    pub schedule: Schedule,
    pub calm: Plan,
    /// Orders that go before the policy.
    ordered: Option<Ordered>,
    sailed: Sailed,
    chance: Vec<f64>,
    /// The worst place that counts and the chance there.
    pub worst: (usize, f64),
    /// As in [`Policy`].
    pub cheaper_chance: Option<f64>,
}

impl<'a> Climbed<'a> {
    /// Solved at a price, a few passages sailed.
    pub fn at(
        problem: &'a Problem,
        steps: &'a Steps,
        price: f64,
        (draws, keep): (Draws, Keep),
    ) -> Self {
        let cell = policy_cell(problem);
        let solution = solve(problem, steps, Outlook::of(problem), cell, price, keep);
        let few = (FIRST * draws.count as f64).ceil() as usize;
        Self::of(problem, steps, Cow::Owned(solution), price, draws, few)
    }

    pub fn of(
        problem: &'a Problem,
        steps: &'a Steps,
        solution: Cow<'a, Solution>,
        price: f64,
        draws: Draws,
        count: usize,
    ) -> Self {
        let schedule = Voyage::new(problem, steps, &solution, price).calm();
        Self::under(problem, steps, solution, price, (draws, count), (schedule, None))
    }

    /// A policy sailed under orders that go before it; if nothing scatters the schedule is done.
    pub fn under(
        problem: &'a Problem,
        steps: &'a Steps,
        solution: Cow<'a, Solution>,
        price: f64,
        (draws, count): (Draws, usize),
        (schedule, ordered): (Schedule, Option<Ordered>),
    ) -> Self {
        let voyage = Voyage::new(problem, steps, &solution, price).ordered(ordered.as_ref());
        let calm = super::plan::shown(problem, steps, &schedule, price);
        let sailed = Sailed::new(&voyage, count.max(1), draws.seed);
        let chance = sailed.under();
        let worst = worst(steps, (&calm.stock_t, begins_within_t(problem)), &chance);
        let cheaper_chance = None;
        Self {
            problem,
            steps,
            solution,
            price,
            draws,
            schedule,
            calm,
            ordered,
            sailed,
            chance,
            worst,
            cheaper_chance,
        }
    }

    /// Sails up to so many of all that are to be sailed; answers whether there were any left.
    fn sail_to(&mut self, count: usize) -> bool {
        let voyage = Voyage::new(self.problem, self.steps, &self.solution, self.price)
            .ordered(self.ordered.as_ref());
        let count = count.min(self.draws.count);
        let more = self.sailed.sail_on(&voyage, Draws { count, ..self.draws });
        if more {
            self.chance = self.sailed.under();
            self.worst = worst(
                self.steps,
                (&self.calm.stock_t, begins_within_t(self.problem)),
                &self.chance,
            );
        }
        more
    }

    /// Sails as many again; answers whether there were any left.
    fn sail_on(&mut self) -> bool {
        self.sail_to(2 * self.sailed.passed.len())
    }

    /// Whether the reserve holds with the chance that is borne; sails on until that is sure or all are sailed.
    pub fn holds(&mut self) -> bool {
        loop {
            let over = self.worst.1 - self.problem.noise.alpha;
            let count = self.sailed.passed.len() as f64;
            // With two passages of each kind more, so that none of a few is not taken for never.
            let chance = (self.worst.1 * count + 2.0) / (count + 4.0);
            let spread = (chance * (1.0 - chance) / count).sqrt();
            if over.abs() > SURE * spread || !self.sail_on() {
                return over <= 0.0;
            }
        }
    }

    /// Whether somebody is left without on average; sails on as above.
    pub fn leaves_short(&mut self) -> bool {
        loop {
            let (short_t, spread) = self.sailed.short_t();
            let over = short_t - MISSING_T;
            if over.abs() > SURE * spread || !self.sail_on() {
                return over >= 0.0;
            }
        }
    }

    /// Whether a rung so many above betters the worst chance so much that each is worth its price; both sail on until that is
    /// sure. Both sail in the same weathers, so that passage is held against passage.
    pub fn is_worse_by(&mut self, next: &mut Self, rungs: usize) -> bool {
        let wanted = WORTH_A_RUNG * rungs as f64;
        loop {
            let count = self.sailed.passed.len().max(next.sailed.passed.len());
            self.sail_to(count);
            next.sail_to(count);
            let differ = |i: &usize| {
                self.sailed.is_under(*i, self.worst.0) != next.sailed.is_under(*i, next.worst.0)
            };
            let differ = (0..count).filter(differ).count() as f64 + 2.0;
            let count = count as f64;
            let spread = differ.sqrt() / count;
            let better = self.worst.1 - next.worst.1 - wanted;
            let more = better.abs() <= SURE * spread && (self.sail_on() | next.sail_on());
            if !more {
                return better >= 0.0;
            }
        }
    }

    /// Whether it lasts, by the passages sailed so far.
    pub fn lasts_so_far(&self) -> bool {
        self.worst.1 <= self.problem.noise.alpha && self.sailed.short_t().0 < MISSING_T
    }

    /// All passages sailed, with their bands.
    pub fn shown(mut self) -> Rung {
        self.sail_to(self.draws.count);
        let (bands, tank_bands) = rayon::join(|| self.sailed.bands(), || self.tank_bands());
        Rung { policy: self.told(), bands, tank_bands }
    }

    /// What each tank holds on some of the passages.
    fn tank_bands(&self) -> Option<TankBands> {
        if self.problem.tanks.is_empty() {
            return None;
        }
        let voyage = Voyage::new(self.problem, self.steps, &self.solution, self.price)
            .ordered(self.ordered.as_ref());
        let streams = (0..SPREAD_OVER.min(self.draws.count)).into_par_iter();
        let logs: Vec<Log> =
            streams.map(|i| voyage.logged(Some(Normal::new(self.draws.seed, i as u64)))).collect();
        spread(self.problem, self.steps, &logs)
    }

    /// As far as it has been sailed.
    pub fn told(self) -> Policy {
        let holds = self.worst.1 <= self.problem.noise.alpha;
        let (worst_at, worst_chance) = self.worst;
        let reserve = worst_at.checked_sub(1).map_or(0.0, |k| self.steps.reserve_t[k]);
        let under = (reserve - self.sailed.one_in_ten_t(worst_at)).max(0.0);
        let (simulated_cost, simulated_error) = self.sailed.cost();
        Policy {
            expected_cost: self.solution.value,
            simulated_cost,
            simulated_error,
            below_reserve_price: self.price,
            worst_chance,
            worst_at,
            under_t: if worst_chance > 0.0 { under } else { 0.0 },
            holds,
            short_t: self.sailed.short_t().0,
            orders: self.calm.orders,
            stock_t: self.calm.stock_t,
            supply: self.calm.supply,
            trims: self.calm.trims,
            doing: self.schedule.doing,
            gone: self.steps.gone.clone(),
            cheaper_chance: self.cheaper_chance,
            chance: self.chance,
        }
    }
}

/// How far below the middle one in ten begins, t.
pub(super) fn begins_within_t(problem: &Problem) -> f64 {
    problem.stock_t - problem.begun_t(-ONE_IN_TEN)
}

/// Standard deviations below which one in ten lies.
const ONE_IN_TEN: f64 = 1.281_55;

/// The place with the greatest chance of being under the reserve, up to the last day.
fn worst(steps: &Steps, calm: (&[f64], f64), chance: &[f64]) -> (usize, f64) {
    let upto = steps.n.saturating_sub(steps.per_day);
    let from = counts_from(steps, calm);
    let places = (from.min(upto)..=upto).filter(|k| *k > 0);
    let worse = |a: (usize, f64), k: usize| if chance[k] > a.1 { (k, chance[k]) } else { a };
    places.fold((upto, 0.0), worse)
}

/// The place from which the reserve counts. A ship that begins under it is given until a day after the plan without scatter is
/// back above. One that only may be under it, as what is aboard is known no nearer, is given until a day after that plan is
/// clear of it by as much, if it is never under it till then: no plan can do anything about what was sounded.
pub(super) fn counts_from(steps: &Steps, (calm_t, within_t): (&[f64], f64)) -> usize {
    let over_t = |k: usize| calm_t[k] - steps.reserve_t[k.saturating_sub(1)] + 1.0e-9;
    let clear_t = if over_t(0) < 0.0 {
        0.0
    } else if over_t(0) < within_t {
        within_t
    } else {
        return 0;
    };
    let found = (1..=steps.n).find(|k| over_t(*k) >= clear_t || clear_t > 0.0 && over_t(*k) < 0.0);
    found.filter(|k| over_t(*k) >= clear_t).map_or(0, |k| k + steps.per_day)
}
