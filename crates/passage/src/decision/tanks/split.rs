//! The tanks as the split over them goes on: what each holds and does.

use super::super::problem::{Class, Problem, Tank, TankState};
use super::super::schedule::Doing;
use super::super::steps::Steps;
use super::super::unreached::Gone;
use super::manner::Manner;
use super::order::Old;
use super::{Duty, Short, TankOrder, TankPlan, Want};

/// A tank on the way.
pub(super) struct Cistern {
    pub(super) level: f64,
    pub(super) duty: Duty,
    /// Sample from which it has stood.
    pub(super) stood: usize,
    /// Filled since it was last dosed, t.
    pub(super) new_t: f64,
    /// What of that was in it before the plan.
    pub(super) old: Old,
    /// Sample at which it was last opened to be filled.
    pub(super) opened: Option<usize>,
}

/// What a dated draw has come to.
#[derive(Default)]
pub(super) struct Rinse {
    /// By tank, t; the sample in which it was first drawn from, and whether it was filled meanwhile.
    pub(super) drawn: Vec<(f64, usize, bool)>,
    /// Waits for a dosed tank to have stood, t.
    pub(super) owed_t: f64,
    /// The first wait: the tank, and when it has stood.
    pub(super) waits: Option<(usize, usize)>,
    /// The most that waited, t.
    pub(super) waited_t: f64,
}

/// The tanks at one sample, and what has been done with them.
pub(super) struct Split<'a> {
    pub(super) problem: &'a Problem,
    pub(super) steps: &'a Steps,
    pub(super) tanks: Vec<Cistern>,
    pub(super) plan: TankPlan,
    pub(super) short: [Short; 4],
    pub(super) rinse: Rinse,
    /// What is to be made from the beginning until each sample, by the plan, t.
    pub(super) made_by_t: Vec<f64>,
    /// The samples at which making begins.
    pub(super) begins: Vec<usize>,
    pub(super) manner: Manner,
    /// A tap was dry while a tank of its class that was filled or stood had water.
    pub(super) held_back: bool,
}

impl<'a> Split<'a> {
    pub(super) fn new(
        problem: &'a Problem,
        steps: &'a Steps,
        doing: &[Doing],
        manner: Manner,
    ) -> Self {
        let mut tanks: Vec<Cistern> = problem
            .tanks
            .iter()
            .map(|t| Cistern {
                level: t.stock_t,
                duty: match t.state {
                    TankState::SetApart => Duty::SetApart,
                    TankState::Serving if t.class == Class::Domestic => Duty::Serving,
                    // A drinking tank is passed to, by these rules, and not filled from the plant.
                    TankState::Filling if t.class != Class::Drinking => Duty::Filling,
                    _ => Duty::Ready,
                },
                stood: 0,
                new_t: t.undosed_t.unwrap_or(0.0).min(t.stock_t),
                old: match (t.undosed_t, t.state) {
                    (Some(t), _) if t > 0.0 => Old::Counted,
                    (None, TankState::Filling) => Old::NotCounted,
                    _ => Old::None,
                },
                opened: None,
            })
            .collect();
        let count = tanks.len();
        let domestic = |i: &usize| problem.tanks[*i].class == Class::Domestic;
        if !tanks.iter().any(|t| t.duty == Duty::Serving) {
            // The fullest that may serve, does.
            let serving = (0..count)
                .filter(domestic)
                .filter(|i| tanks[*i].duty == Duty::Ready)
                .max_by(|a, b| tanks[*a].level.total_cmp(&tanks[*b].level));
            if let Some(i) = serving {
                tanks[i].duty = Duty::Serving;
            }
        }
        let rows = || vec![Vec::with_capacity(steps.n + 1); count];
        let plan = TankPlan {
            orders: Vec::new(),
            levels_t: rows(),
            duty: vec![Vec::with_capacity(steps.n); count],
            served_t: vec![vec![0.0; steps.n]; count],
            rinsed_t: Vec::new(),
            usable_t: Vec::with_capacity(steps.n + 1),
            gone: Gone::none(steps.n),
            short: Vec::new(),
            lost_t: 0.0,
            taken_in_t: 0.0,
            drawn_t: 0.0,
            cannot: None,
            note: None,
        };
        let short = Want::ALL.map(|what| Short { what, tonnes: 0.0, from: 0, to: 0 });
        let rinse = Rinse { drawn: vec![Default::default(); count], ..Rinse::default() };
        let made_by_t = made_by(steps, doing);
        let making = |k: usize| matches!(doing[k], Doing::Making(_));
        let begins = (1..doing.len()).filter(|k| making(*k) && !making(k - 1)).collect();
        Self {
            problem,
            steps,
            tanks,
            plan,
            short,
            rinse,
            made_by_t,
            begins,
            manner,
            held_back: false,
        }
    }

    /// So much more is aboard at the beginning than was taken for the middle, t. Each tank is off by its own draw, in standard
    /// deviations, its variance going by what it holds; all of them together by so much. What finds no room is shared out over
    /// the others.
    pub(super) fn begin_with(&mut self, more_t: f64, apart: &[f64]) {
        let sd_t = self.problem.stock_sd_t;
        if more_t == 0.0 && sd_t <= 0.0 {
            return;
        }
        let in_use: Vec<usize> =
            (0..self.tanks.len()).filter(|i| self.tanks[*i].duty != Duty::SetApart).collect();
        let held: f64 = in_use.iter().map(|i| self.left(*i)).sum();
        let share = |i: usize| if held > 0.0 { self.left(i) / held } else { 0.0 };
        let own = |i: usize| apart.get(i).copied().unwrap_or(0.0) * sd_t * share(i).sqrt();
        let over = more_t - in_use.iter().map(|i| own(*i)).sum::<f64>();
        let off: Vec<f64> = in_use.iter().map(|i| own(*i) + share(*i) * over).collect();
        let mut rest = more_t;
        for (i, off) in in_use.iter().zip(off).filter(|_| held > 0.0) {
            let off = off.min(self.room(*i)).max(-self.left(*i));
            self.tanks[*i].level += off;
            rest -= off;
        }
        let may = |split: &Self, i: usize| if rest > 0.0 { split.room(i) } else { split.left(i) };
        let all: f64 = in_use.iter().map(|i| may(self, *i)).sum();
        if all > 0.0 {
            let share = (rest / all).clamp(-1.0, 1.0);
            for i in in_use {
                let off = share * may(self, i);
                self.tanks[i].level += off;
            }
        }
    }

    pub(super) fn tank(&self, i: usize) -> &'a Tank {
        &self.problem.tanks[i]
    }

    pub(super) fn of_class(&self, class: Class) -> impl Iterator<Item = usize> + use<'a> {
        let tanks = &self.problem.tanks;
        (0..tanks.len())
            .filter(move |i| tanks[*i].class == class && tanks[*i].state != TankState::SetApart)
    }

    pub(super) fn with(&self, duty: Duty) -> Option<usize> {
        (0..self.tanks.len()).find(|i| self.tanks[*i].duty == duty)
    }

    /// Whether what is made at a sample is for the distilled tanks only.
    pub(super) fn technical_only(&self, k: usize) -> bool {
        let only = self.problem.samples.technical_only.as_ref();
        only.is_some_and(|only| only.get(k).copied().unwrap_or(false))
    }

    /// Whether a tank may take what is made at a sample.
    pub(super) fn may_take(&self, k: usize, i: usize) -> bool {
        self.tank(i).class == Class::Technical || !self.technical_only(k)
    }

    /// What may still be drawn, t.
    pub(super) fn left(&self, i: usize) -> f64 {
        (self.tanks[i].level - self.tank(i).dead_t).max(0.0)
    }

    /// What may be drawn from it when it is full, t.
    pub(super) fn holds(&self, i: usize) -> f64 {
        (self.tank(i).cap_t - self.tank(i).dead_t).max(0.0)
    }

    pub(super) fn room(&self, i: usize) -> f64 {
        (self.tank(i).cap_t - self.tanks[i].level).max(0.0)
    }

    pub(super) fn say(&mut self, k: usize, order: TankOrder) {
        self.plan.orders.push((k, order));
    }

    pub(super) fn name(&self, i: usize) -> String {
        self.tank(i).name.clone()
    }

    /// Day's use of the taps at a sample, drinking water among it, t; distilled water too where the ship has no tank for it.
    pub(super) fn taps_day(&self, k: usize) -> f64 {
        let classes = self.problem.samples.use_by_class.as_ref();
        let own = self.of_class(Class::Technical).next().is_some();
        let technical = if own { 0.0 } else { self.technical_day(k) };
        classes.map_or(0.0, |c| c.domestic[k] + c.drinking[k] + technical)
    }

    pub(super) fn technical_day(&self, k: usize) -> f64 {
        self.problem.samples.use_by_class.as_ref().map_or(0.0, |c| c.technical[k])
    }

    /// What each tank holds as a sample is reached, or at the end, and what can be pumped of all.
    pub(super) fn told(&mut self) {
        for (i, tank) in self.tanks.iter().enumerate() {
            self.plan.levels_t[i].push(tank.level);
        }
        let in_use = (0..self.tanks.len()).filter(|i| self.tanks[*i].duty != Duty::SetApart);
        let usable_t = in_use.map(|i| self.left(i)).sum();
        self.plan.usable_t.push(usable_t);
    }

    /// What of so much run into a tank its pump does not reach, t.
    pub(super) fn out_of_reach(&self, i: usize, tonnes: f64) -> f64 {
        tonnes.min((self.tank(i).dead_t - self.tanks[i].level).max(0.0))
    }

    pub(super) fn done(mut self) -> TankPlan {
        self.told();
        for short in self.short {
            // A litre or two is the rounding of soundings.
            if short.tonnes > 0.005 {
                let missing = TankOrder::Missing {
                    what: short.what,
                    tonnes: short.tonnes,
                    until: short.to + 1,
                };
                self.plan.orders.push((short.from, missing));
                self.plan.short.push(short);
            }
        }
        self.plan.orders.sort_by_key(|(k, _)| *k);
        self.plan
    }
}

/// What is made from the beginning until each sample, t.
fn made_by(steps: &Steps, doing: &[Doing]) -> Vec<f64> {
    let mut sum = 0.0;
    let mut by = Vec::with_capacity(doing.len() + 1);
    by.push(sum);
    for (k, doing) in doing.iter().enumerate() {
        if let Doing::Making(trim) = doing {
            sum += steps.trims[*trim].made_t[k];
        }
        by.push(sum);
    }
    by
}
