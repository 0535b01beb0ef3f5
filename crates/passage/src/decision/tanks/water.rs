//! Water into the tanks and out of them: made, bought, drawn by the taps, rinsed with.

use super::super::problem::Class;
use super::split::{Rinse, Split};
use super::{Duty, RinsedFrom, TankOrder, Waits, Want};

/// Less from a tank is not told, t.
const LEAST_T: f64 = 0.05;
/// Holds are rinsed from the serving tank, and a drinking tank is filled from it, down to so many days' use.
pub(super) const SERVING_KEEPS_DAYS: f64 = 3.0;

impl Split<'_> {
    /// Made water goes to the tank that is filled; what finds no room there, or may not go there, is lost.
    pub(super) fn fill(&mut self, k: usize, made: f64) {
        let Some(i) = self.with(Duty::Filling).filter(|i| self.may_take(k, *i)) else {
            self.plan.lost_t += made;
            return;
        };
        let into = made.min(self.room(i));
        let gone_t = self.out_of_reach(i, into);
        self.plan.gone.ran_in(k, (gone_t, made));
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
        self.let_out(i, drawn);
        self.plan.drawn_t += drawn;
        if tap {
            self.plan.served_t[i][k] += drawn;
        }
        drawn
    }

    /// Water leaves a tank as it is mixed there: its share of what is not yet dosed goes with it.
    pub(super) fn let_out(&mut self, i: usize, tonnes: f64) {
        let tank = &mut self.tanks[i];
        let before = tank.level;
        tank.level -= tonnes;
        if before > 0.0 {
            tank.new_t *= (tank.level / before).clamp(0.0, 1.0);
        }
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
            // Those that are not being filled first.
            for i in self.rest_before_filled(own) {
                left -= self.draw(i, k, left, class == Class::Drinking);
            }
        }
        self.held_back |= left > 1.0e-9 && self.kept_from_taps(what);
        self.miss(k, what, left);
    }

    /// Whether a tank with water for the taps is filled or stands.
    fn kept_from_taps(&self, what: Want) -> bool {
        what != Want::Technical
            && self.of_class(Class::Domestic).any(|i| {
                matches!(self.tanks[i].duty, Duty::Filling | Duty::Standing) && self.left(i) > 0.0
            })
    }

    /// Whether the rinse that goes on was drawn from a tank while it was filled.
    pub(super) fn rinsed_while_filled(&self, i: usize) -> bool {
        self.rinse.drawn[i].2
    }

    /// The same tanks, one that is being filled last.
    fn rest_before_filled(&self, mut tanks: Vec<usize>) -> Vec<usize> {
        tanks.sort_by_key(|i| self.tanks[*i].duty == Duty::Filling);
        tanks
    }

    /// Water to rinse with: from the tanks that neither serve nor are filled, then from the serving one so far down, then
    /// from the one that is filled, whose water need not have stood. One that is dosed is left alone until it has stood; what
    /// only it holds waits for it.
    pub(super) fn rinse(&mut self, k: usize, tonnes: f64) {
        if tonnes <= 0.0 {
            return;
        }
        let mut left = tonnes + self.rinse.owed_t;
        for duty in [Duty::Ready, Duty::Serving, Duty::Filling] {
            let keeps =
                if duty == Duty::Serving { SERVING_KEEPS_DAYS * self.taps_day(k) } else { 0.0 };
            for i in self.of_class(Class::Domestic) {
                let spare = self.left(i) - keeps;
                if self.tanks[i].duty == duty && spare > 0.0 && left > 0.0 {
                    left -= self.rinse_from(k, i, left.min(spare));
                }
            }
        }
        let stands =
            self.of_class(Class::Domestic).filter(|i| self.tanks[*i].duty == Duty::Standing);
        let stands: Vec<usize> = stands.filter(|i| self.left(*i) > 0.0).collect();
        let standing: f64 = stands.iter().map(|i| self.left(*i)).sum();
        let owed = left.min(standing);
        if owed > 1.0e-9 && self.rinse.waits.is_none() {
            self.rinse.waits = stands.first().map(|i| (*i, self.tanks[*i].stood));
        }
        self.rinse.owed_t = owed;
        self.rinse.waited_t = self.rinse.waited_t.max(owed);
        self.miss(k, Want::WashDown, left - owed);
    }

    fn rinse_from(&mut self, k: usize, i: usize, tonnes: f64) -> f64 {
        let drawn = self.draw(i, k, tonnes, false);
        self.plan.rinsed_t.push((k, i, drawn));
        let filled = self.tanks[i].duty == Duty::Filling;
        let (so_far, since, while_filled) = &mut self.rinse.drawn[i];
        if *so_far <= 0.0 {
            *since = k;
        }
        *so_far += drawn;
        *while_filled |= filled;
        drawn
    }

    /// Says which tanks a dated draw was drawn from, at its beginning; what still waits at its end is missing.
    pub(super) fn rinsed(&mut self, (from, until): (usize, usize)) {
        let count = self.tanks.len();
        let none = Rinse { drawn: vec![Default::default(); count], ..Rinse::default() };
        let rinse = std::mem::replace(&mut self.rinse, none);
        self.miss(until.saturating_sub(1), Want::WashDown, rinse.owed_t);
        let tanks = rinse.drawn.iter().enumerate().filter(|(_, (t, ..))| *t >= LEAST_T);
        let tanks: Vec<RinsedFrom> = tanks
            .map(|(i, (tonnes, since, while_filled))| RinsedFrom {
                tank: self.name(i),
                tonnes: *tonnes,
                since: *since,
                while_filled: *while_filled,
            })
            .collect();
        let waits = rinse.waits.filter(|_| rinse.waited_t >= LEAST_T).map(|(i, until)| Waits {
            tank: self.name(i),
            tonnes: rinse.waited_t,
            until,
        });
        if !tanks.is_empty() || waits.is_some() {
            let serving = self.with(Duty::Serving).map(|i| self.name(i));
            self.say(from, TankOrder::Rinse { from: tanks, serving, waits, until });
        }
    }
}
