//! Water into the tanks and out of them: made, bought, drawn by the taps, rinsed with.

use super::super::problem::Class;
use super::split::Split;
use super::{Duty, TankOrder, Want};

/// Less from a tank is not told, t.
const LEAST_T: f64 = 0.05;
/// Holds are rinsed from the serving tank down to so many days' use.
const RINSE_KEEPS_DAYS: f64 = 3.0;

impl Split<'_> {
    /// Made water goes to the tank that is filled; what finds no room there, or may not go there, is lost.
    pub(super) fn fill(&mut self, k: usize, made: f64) {
        let Some(i) = self.with(Duty::Filling).filter(|i| self.may_take(k, *i)) else {
            self.plan.lost_t += made;
            return;
        };
        let into = made.min(self.room(i));
        self.tanks[i].level += into;
        self.tanks[i].new_t += into;
        self.plan.taken_in_t += into;
        self.plan.lost_t += made - into;
    }

    /// Bought water goes to domestic tanks that do not serve, then to the others of the class; into one that stands only
    /// when no other has room, and then it stands anew.
    pub(super) fn take_on(&mut self, k: usize, tonnes: f64, name: &str) {
        let mut left = tonnes;
        let mut into: Vec<usize> = self.of_class(Class::Domestic).collect();
        into.sort_by_key(|i| self.tanks[*i].duty == Duty::Serving);
        into.extend(self.of_class(Class::Drinking));
        into.sort_by_key(|i| self.tanks[*i].duty == Duty::Standing);
        let stood = k + self.stand_steps();
        let mut told = Vec::new();
        for i in into {
            let taken = left.min(self.room(i));
            if taken <= 0.0 {
                continue;
            }
            self.tanks[i].level += taken;
            if self.tanks[i].duty == Duty::Standing {
                self.tanks[i].stood = stood;
            }
            self.plan.taken_in_t += taken;
            left -= taken;
            told.push((self.name(i), taken));
        }
        self.plan.lost_t += left;
        self.say(k, TankOrder::TakeOn { supply: name.to_owned(), into: told });
    }

    pub(super) fn draw(&mut self, i: usize, k: usize, tonnes: f64, tap: bool) -> f64 {
        let drawn = tonnes.min(self.left(i));
        self.tanks[i].level -= drawn;
        self.plan.drawn_t += drawn;
        if tap {
            self.plan.served_t[i][k] += drawn;
        }
        drawn
    }

    pub(super) fn miss(&mut self, k: usize, what: Want, tonnes: f64) {
        if tonnes <= 1.0e-9 {
            return;
        }
        let short = &mut self.short[what as usize];
        if short.tonnes <= 0.0 {
            short.from = k;
        }
        short.tonnes += tonnes;
        short.to = k;
    }

    /// A use that is served all the time, from its own tanks or, where the ship has none, from the serving one.
    pub(super) fn serve(&mut self, k: usize, tonnes: f64, what: Want) {
        let class = match what {
            Want::Technical => Class::Technical,
            Want::Drinking => Class::Drinking,
            Want::Domestic | Want::WashDown => Class::Domestic,
        };
        let mut left = tonnes;
        let own: Vec<usize> = self.of_class(class).collect();
        if class == Class::Domestic || own.is_empty() {
            if let Some(serving) = self.with(Duty::Serving) {
                left -= self.draw(serving, k, left, true);
            }
        } else {
            for i in own {
                left -= self.draw(i, k, left, class == Class::Drinking);
            }
        }
        self.miss(k, what, left);
    }

    /// Rinse water need not have stood: from the tanks that do not serve, then from the serving one so far down.
    /// What is drawn is added to `drawn`, by tank.
    pub(super) fn rinse(&mut self, k: usize, tonnes: f64, drawn: &mut [f64]) {
        if tonnes <= 0.0 {
            return;
        }
        let before: Vec<f64> = self.tanks.iter().map(|tank| tank.level).collect();
        let mut left = tonnes;
        let others: Vec<usize> = self
            .of_class(Class::Domestic)
            .filter(|i| self.tanks[*i].duty != Duty::Serving)
            .collect();
        for i in others {
            left -= self.draw(i, k, left, false);
        }
        if let Some(serving) = self.with(Duty::Serving) {
            let spare = self.left(serving) - RINSE_KEEPS_DAYS * self.taps_day(k);
            if spare > 0.0 {
                left -= self.draw(serving, k, left.min(spare), false);
            }
        }
        for ((drawn, before), tank) in drawn.iter_mut().zip(before).zip(&self.tanks) {
            *drawn += before - tank.level;
        }
        self.miss(k, Want::WashDown, left);
    }

    /// Says which tanks a dated draw was drawn from, at its beginning.
    pub(super) fn rinsed(&mut self, (from, until): (usize, usize), drawn: &mut [f64]) {
        let tanks = drawn.iter().enumerate().filter(|(_, t)| **t >= LEAST_T);
        let tanks: Vec<(String, f64)> = tanks.map(|(i, t)| (self.name(i), *t)).collect();
        drawn.fill(0.0);
        if !tanks.is_empty() {
            let serving = self.with(Duty::Serving).map(|i| self.name(i));
            self.say(from, TankOrder::Rinse { from: tanks, serving, until });
        }
    }
}
