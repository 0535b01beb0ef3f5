//! Which class of water is filled first: the one that would run dry first.

use super::super::problem::Class;
use super::super::schedule::Doing;
use super::Duty;
use super::split::Split;
use super::valves::{FILL_H, NIGHT_H};

/// Another class takes the place of the one that is filled where it has fewer hours in hand by this share and so many
/// hours (ours): nobody goes to and fro between two that are alike.
const FEWER: (f64, f64) = (1.25, 4.0);
/// With so little left to be made no other class takes its place, and less finds a full tank open: no other is opened for it,
/// h (ours).
const LAST_H: f64 = 1.0;
const HARDLY_H: f64 = 0.5;

impl Split<'_> {
    /// Hours of usual use that a class has in its tanks; where the ship has no tank for it, it asks for none.
    pub(super) fn in_hand_h(&self, k: usize, class: Class) -> f64 {
        let mut tanks = self.of_class(class).peekable();
        let day = match class {
            Class::Technical => self.technical_day(k),
            Class::Domestic | Class::Drinking => self.taps_day(k),
        };
        if tanks.peek().is_none() || day <= 0.0 {
            return f64::INFINITY;
        }
        24.0 * tanks.map(|i| self.left(i)).sum::<f64>() / day
    }

    /// A tank of another class than the one filled, where that class would be dry before it would otherwise be filled.
    pub(super) fn drier(&self, k: usize, made: f64, doing: &[Doing]) -> Option<usize> {
        let filling = self.with(Duty::Filling)?;
        let held = |since: usize| (k - since) as f64 * self.steps.hours < FILL_H;
        if self.tanks[filling].opened.is_some_and(held) || self.last_hour(k, doing) {
            return None;
        }
        let class = self.tank(filling).class;
        let other = match class {
            Class::Technical => Class::Domestic,
            Class::Domestic | Class::Drinking => Class::Technical,
        };
        let in_hand_h = self.in_hand_h(k, other);
        if FEWER.0 * in_hand_h + FEWER.1 >= self.in_hand_h(k, class) {
            return None;
        }
        let dry = k + (in_hand_h / self.steps.hours) as usize;
        if dry >= self.steps.n || self.full_by(k, filling, dry) || self.next_run_by(k, other, dry) {
            return None;
        }
        let enough = |i: &usize| {
            self.tanks[*i].duty == Duty::Ready
                && self.room(*i) >= self.worth_opening(*i, made / self.steps.hours)
        };
        self.of_class(other)
            .filter(|i| self.may_take(k, *i))
            .filter(enough)
            .max_by(|a, b| self.room(*a).total_cmp(&self.room(*b)))
    }

    /// Whether the tank that is filled is full a night before a sample, by what is to be made until then.
    fn full_by(&self, k: usize, filling: usize, sample: usize) -> bool {
        let night = (NIGHT_H / self.steps.hours).ceil() as usize;
        let until = sample.saturating_sub(night).max(k).min(self.steps.n);
        let drawn_on = match self.tank(filling).class {
            Class::Technical => self.technical_day(k),
            Class::Domestic | Class::Drinking => 0.0,
        };
        let drawn = drawn_on * (until - k) as f64 * self.steps.hours / 24.0;
        self.made_by_t[until] - self.made_by_t[k] >= self.room(filling) + drawn
    }

    /// Whether making begins anew a night before a sample and brings two days' use of a class on its first day: the class with
    /// fewest days in hand is filled then.
    fn next_run_by(&self, k: usize, class: Class, sample: usize) -> bool {
        let night = (NIGHT_H / self.steps.hours).ceil() as usize;
        let Some(begins) = self.begins.iter().copied().find(|begins| *begins > k) else {
            return false;
        };
        let day = if class == Class::Technical { self.technical_day(k) } else { self.taps_day(k) };
        let later = (begins + self.steps.per_day).min(self.steps.n);
        begins + night <= sample && self.made_by_t[later] - self.made_by_t[begins] >= 2.0 * day
    }

    /// The sample at which making ends, where it does within the hour.
    fn ends(&self, k: usize, doing: &[Doing]) -> Option<usize> {
        let hour = (LAST_H / self.steps.hours).ceil() as usize;
        let making = |doing: &&Doing| matches!(doing, Doing::Making(_));
        let left = doing[k..].iter().take(hour + 1).take_while(making).count();
        // To the end of what is planned she goes on making.
        Some(k + left).filter(|end| left <= hour && *end < self.steps.n)
    }

    fn last_hour(&self, k: usize, doing: &[Doing]) -> bool {
        self.ends(k, doing).is_some()
    }

    /// Whether less is still to be made than is worth a valve, with so much room for it, t.
    pub(super) fn hardly_worth(&self, k: usize, room_t: f64, doing: &[Doing]) -> bool {
        self.ends(k, doing).is_some_and(|end| {
            let made = self.made_by_t[end] - self.made_by_t[k];
            let hours = (end - k) as f64 * self.steps.hours;
            made - room_t <= made / hours.max(self.steps.hours) * HARDLY_H
        })
    }
}
