//! Why a plan cannot be carried by these tanks, where none of the orders over them would be of use.

use std::fmt;

use super::super::problem::{Class, Problem, Tank, TankState};
use super::{Short, TankPlan, Want};

/// Made and not taken in by a tank, though together they have room, t: less is a valve moved at the next quarter hour.
const IN_VAIN_T: f64 = 2.0;
/// From this share of what is made on, the tanks do not carry the plan.
const IN_VAIN: f64 = 0.25;
/// Less is not missing but the rounding of soundings, t.
const LEAST_T: f64 = 0.05;

/// Why these tanks cannot carry the plan.
#[derive(Debug, Clone, PartialEq)]
pub enum Cannot {
    /// No tank that is in use serves the taps.
    NoTank,
    /// One tank serves, and there is none to be filled meanwhile.
    OneTank {
        /// The tank.
        tank: String,
        /// Another for domestic water that is set apart, where there is one.
        apart: Option<String>,
        /// Made with no tank to take it, t.
        in_vain_t: f64,
    },
    /// What is made finds no tank: each is full, serves or stands.
    NoneOpen {
        /// Made with no tank to take it, t.
        in_vain_t: f64,
        /// Made in all, t.
        made_t: f64,
    },
    /// A class of water is short because its tanks hold less than a day's use.
    TooSmall {
        /// The class.
        what: Want,
        /// What the largest of its tanks holds, pumpable, t.
        holds_t: f64,
        /// Use of a day, t.
        day_t: f64,
    },
}

impl fmt::Display for Cannot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Cannot be planned with these tanks: ")?;
        match self {
            Self::NoTank => f.write_str("none of them is in use for domestic water. Tell the page Ship which one serves the taps."),
            Self::OneTank { tank, apart, in_vain_t } => {
                // A ship with one tank is offered nothing that takes two.
                let take = apart.as_ref().map_or_else(
                    || "Take".to_owned(),
                    |apart| format!("Take {apart} back into use, or take"),
                );
                write!(
                    f,
                    "{tank} is the only one for domestic water, and a tank that is filled or stands serves no tap; {in_vain_t:.0} t made would go nowhere. {take} what is made into {tank} by hand with the dosing pump in the line."
                )
            }
            Self::NoneOpen { in_vain_t, made_t } => write!(
                f,
                "{in_vain_t:.0} t of the {made_t:.0} t made would find each of them full, serving or standing. Look at capacities and soundings, free a tank that is set apart, or make less."
            ),
            Self::TooSmall { what, holds_t, day_t } => write!(
                f,
                "a day takes {day_t:.1} t of {}, and the largest tank it is drawn from holds {holds_t:.1} t. Look at capacity and unpumpable rest, or fill it by hand as it goes down.",
                what.word()
            ),
        }
    }
}

/// What the split over the tanks came to, as far as this asks.
pub(super) struct Came<'a> {
    pub problem: &'a Problem,
    pub plan: &'a TankPlan,
    /// Made in all, t.
    pub made_t: f64,
    /// Lost for the tanks together being full, t.
    pub spilt_t: f64,
}

impl Came<'_> {
    /// Why the tanks cannot carry it; none where they can, or where it is water that is short and not tanks.
    pub fn cannot(&self) -> Option<Cannot> {
        let domestic = self.of(Class::Domestic);
        if domestic.is_empty() && self.wants_domestic() {
            return Some(Cannot::NoTank);
        }
        let in_vain_t = self.in_vain_t();
        if in_vain_t >= IN_VAIN_T.max(IN_VAIN * self.made_t) {
            return Some(match domestic.as_slice() {
                [only] => {
                    let tank = self.problem.tanks[*only].name.clone();
                    Cannot::OneTank { tank, apart: self.set_apart(), in_vain_t }
                }
                _ => Cannot::NoneOpen { in_vain_t, made_t: self.made_t },
            });
        }
        if self.made_t <= 0.0 {
            return None;
        }
        self.plan.short.iter().filter(|s| s.tonnes >= LEAST_T).find_map(|s| self.too_small(s))
    }

    fn in_vain_t(&self) -> f64 {
        self.plan.lost_t - self.spilt_t
    }

    /// What a reader should know of them: that they cannot carry the plan, or take less than is made.
    pub fn note(&self) -> Option<String> {
        let in_vain_t = self.in_vain_t();
        let little = (in_vain_t >= IN_VAIN_T).then(|| {
            format!(
                "{in_vain_t:.0} t of the {:.0} t made find no tank to go to: each is full, serves or stands. Make less there, or dump it.",
                self.made_t
            )
        });
        self.plan.cannot.as_ref().map(ToString::to_string).or(little)
    }

    fn wants_domestic(&self) -> bool {
        let classes = self.problem.samples.use_by_class.as_ref();
        classes.is_some_and(|c| c.domestic.iter().any(|t_day| *t_day > 0.0))
    }

    /// A tank for domestic water that is set apart.
    fn set_apart(&self) -> Option<String> {
        let apart =
            |tank: &&Tank| tank.class == Class::Domestic && tank.state == TankState::SetApart;
        self.problem.tanks.iter().find(apart).map(|tank| tank.name.clone())
    }

    fn of(&self, class: Class) -> Vec<usize> {
        let tanks = &self.problem.tanks;
        let is = |i: &usize| tanks[*i].class == class && tanks[*i].state != TankState::SetApart;
        (0..tanks.len()).filter(is).collect()
    }

    /// A class that is short beside tanks that hold less than a day of it.
    fn too_small(&self, short: &Short) -> Option<Cannot> {
        let classes = self.problem.samples.use_by_class.as_ref()?;
        let (class, rates) = match short.what {
            Want::Technical => (Class::Technical, &classes.technical),
            Want::Domestic => (Class::Domestic, &classes.domestic),
            // A drinking tank is passed to, and rinse water is no daily use.
            Want::Drinking | Want::WashDown => return None,
        };
        let own = self.of(class);
        let from = if own.is_empty() { self.of(Class::Domestic) } else { own };
        let pumpable = |i: &usize| {
            let tank = &self.problem.tanks[*i];
            (tank.cap_t - tank.dead_t).max(0.0)
        };
        let holds_t = from.iter().map(pumpable).fold(0.0, f64::max);
        let day_t = rates.get(short.from).copied()?;
        (holds_t < day_t).then_some(Cannot::TooSmall { what: short.what, holds_t, day_t })
    }
}
