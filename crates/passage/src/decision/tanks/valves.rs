//! When a valve moves: which tank is filled, shut, dosed, passed on, and which serves.

use super::super::problem::Class;
use super::super::schedule::Doing;
use super::split::Split;
use super::{Duty, TankOrder};

/// Dose of chlorine in mg/L and strength of the product; common practice.
const DOSE_MG_L: f64 = 2.0;
const STRENGTH: f64 = 0.65;
/// For less new water no dose is weighed: a third of a gram (our own; a tonne is 3.1 g). It is dosed with what comes next, t.
const LEAST_DOSED_T: f64 = 0.1;
/// Half an hour's contact and half an hour's test.
const STAND_MIN: f64 = 60.0;
/// A tank is opened for so many hours' make where there is such a one.
const FILL_H: f64 = 4.0;
/// A night, for which a filling tank must have room.
const NIGHT_H: f64 = 12.0;
/// The drinking tank is passed water below the first share of its capacity, up to the second.
const DRINKING: (f64, f64) = (0.4, 0.9);

impl Split<'_> {
    /// The rules in which a valve moves, in hours with hands.
    pub(super) fn valves(&mut self, k: usize, made: f64, doing: &[Doing]) {
        for tank in &mut self.tanks {
            if tank.duty == Duty::Standing && k >= tank.stood {
                tank.duty = Duty::Ready;
            }
        }
        // Who starts the plant stays until the first water is in a tank; and where it is made already, one is open.
        let first_water = made > 0.0
            && match k.checked_sub(1) {
                Some(before) => doing[before] == Doing::Starting && self.steps.manned[before],
                None => true,
            };
        if !(self.steps.manned[k] || first_water) {
            return;
        }
        self.change_serving(k);
        self.top_drinking(k);
        let making = made > 0.0;
        if let Some(filling) = self.with(Duty::Filling)
            && (!making || self.room(filling) < made || !self.may_take(k, filling))
        {
            self.shut(k, filling);
        }
        if making && self.with(Duty::Filling).is_none() {
            self.open(k, made);
            if self.with(Duty::Filling).is_none() {
                self.swap(k, made);
            }
        }
        let last_hands = !self.steps.manned.get(k + 1).copied().unwrap_or(false);
        if making && last_hands {
            self.before_night(k, doing);
        }
    }

    /// Shuts a tank that was filled: domestic water is dosed and stands, distilled is never dosed.
    fn shut(&mut self, k: usize, i: usize) {
        let tank = self.name(i);
        if self.tank(i).class != Class::Domestic || self.tanks[i].new_t < LEAST_DOSED_T {
            self.tanks[i].duty = Duty::Ready;
            return self.say(k, TankOrder::Shut { tank });
        }
        let tonnes = self.tanks[i].new_t;
        let grams = DOSE_MG_L * tonnes / STRENGTH;
        let stands_until = k + self.stand_steps();
        self.tanks[i].duty = Duty::Standing;
        self.tanks[i].stood = stands_until;
        self.tanks[i].new_t = 0.0;
        self.say(k, TankOrder::ShutAndDose { tank, grams, tonnes, stands_until });
    }

    /// Steps that a dosed tank stands.
    pub(super) fn stand_steps(&self) -> usize {
        (STAND_MIN / self.problem.step_min).ceil() as usize
    }

    /// Opens the tank to fill: of the class with fewest days in hand, the one with most room. It must have room for some
    /// hours' make, or half of what it holds where that is less; only where none has, an hour's room will do. A tank
    /// that stands is left alone.
    fn open(&mut self, k: usize, made: f64) {
        let hour = made / self.steps.hours;
        let days = |stock: f64, day: f64| if day > 0.0 { stock / day } else { f64::INFINITY };
        let stock = |class| self.of_class(class).map(|i| self.left(i)).sum::<f64>();
        let technical = days(stock(Class::Technical), self.technical_day(k));
        let taps = days(stock(Class::Domestic) + stock(Class::Drinking), self.taps_day(k));
        let order = if technical < taps || self.technical_only(k) {
            [Class::Technical, Class::Domestic]
        } else {
            [Class::Domestic, Class::Technical]
        };
        let classes = if self.technical_only(k) { &order[..1] } else { &order[..] };
        let enough = |i: usize| self.worth_opening(i, hour);
        let of = |class: Class, least: &dyn Fn(usize) -> f64| {
            self.of_class(class)
                .filter(|i| self.tanks[*i].duty == Duty::Ready && self.room(*i) >= least(*i))
                .max_by(|a, b| self.room(*a).total_cmp(&self.room(*b)))
        };
        let first = classes.iter().find_map(|class| of(*class, &enough));
        let found = first.or_else(|| classes.iter().find_map(|class| of(*class, &|_| hour)));
        if let Some(i) = found {
            self.fill_from_now(k, i, false);
        }
    }

    /// Room for which a tank is opened, t: some hours' make, or half of what it holds where that is less.
    fn worth_opening(&self, i: usize, made_h: f64) -> f64 {
        (FILL_H * made_h).min(0.5 * self.holds(i))
    }

    /// With the others full a fuller tank that has stood serves in place of the serving one, and that one is filled.
    fn swap(&mut self, k: usize, made: f64) {
        let Some(serving) = self.with(Duty::Serving).filter(|i| self.may_take(k, *i)) else {
            return;
        };
        if self.room(serving) < self.worth_opening(serving, made / self.steps.hours) {
            return;
        }
        let fuller = self
            .of_class(Class::Domestic)
            .filter(|i| self.tanks[*i].duty == Duty::Ready && self.left(*i) > self.left(serving))
            .max_by(|a, b| self.left(*a).total_cmp(&self.left(*b)));
        if let Some(next) = fuller {
            self.serve_from_now(k, next);
            self.fill_from_now(k, serving, false);
        }
    }

    fn serve_from_now(&mut self, k: usize, i: usize) {
        if let Some(before) = self.with(Duty::Serving) {
            self.tanks[before].duty = Duty::Ready;
        }
        self.tanks[i].duty = Duty::Serving;
        let tank = self.name(i);
        self.say(k, TankOrder::Serve { tank });
    }

    fn fill_from_now(&mut self, k: usize, i: usize, for_the_night: bool) {
        self.tanks[i].duty = Duty::Filling;
        self.tanks[i].opened = Some(k);
        let tank = self.name(i);
        let drawn_on = self.tank(i).class == Class::Technical
            && self.technical_day(k) > 0.0
            && !self.of_class(Class::Technical).any(|j| j != i && self.left(j) > 0.0);
        self.say(k, TankOrder::Fill { tank, for_the_night, drawn_on });
    }

    /// The tank that is filled must have room until there are hands again.
    fn before_night(&mut self, k: usize, doing: &[Doing]) {
        let Some(filling) = self.with(Duty::Filling) else { return };
        let most = (NIGHT_H / self.steps.hours).ceil() as usize;
        let night = self.dark(k).min(most);
        let made: f64 = (k..=k + night)
            .filter_map(|j| match doing.get(j) {
                Some(Doing::Making(trim)) => Some(self.steps.trims[*trim].make_t[j]),
                _ => None,
            })
            .sum();
        // Nobody changes over before morning where the night brings water that may go to the distilled tanks only.
        let distilled = (k..=k + night).any(|j| self.technical_only(j));
        let fits = !distilled || self.tank(filling).class == Class::Technical;
        if fits && self.room(filling) >= made {
            return;
        }
        let class = if distilled { Class::Technical } else { Class::Domestic };
        let other = self
            .of_class(class)
            .filter(|i| self.tanks[*i].duty == Duty::Ready)
            .max_by(|a, b| self.room(*a).total_cmp(&self.room(*b)));
        if let Some(other) = other.filter(|i| !fits || self.room(*i) > self.room(filling)) {
            if self.tanks[filling].opened == Some(k) {
                self.not_opened(k, filling);
            } else {
                self.shut(k, filling);
            }
            self.fill_from_now(k, other, true);
        }
    }

    /// A tank opened at this very moment is left shut: nobody opens and shuts it at once.
    fn not_opened(&mut self, k: usize, i: usize) {
        let name = self.name(i);
        self.plan.orders.retain(|(at, order)| {
            !(*at == k && matches!(order, TankOrder::Fill { tank, .. } if *tank == name))
        });
        self.tanks[i].duty = Duty::Ready;
        self.tanks[i].opened = None;
    }

    /// Steps after this one until somebody can move a valve again.
    fn dark(&self, k: usize) -> usize {
        (k..self.steps.n).skip(1).take_while(|j| !self.steps.manned[*j]).count()
    }

    /// Changes the serving tank while a day's use is left in it, or half of what it holds where that is less; the other is
    /// shut first, to have stood. To a tank with less than two days, or that is not nearly full, only when this one would
    /// run dry: nobody goes to and fro between two low tanks.
    fn change_serving(&mut self, k: usize) {
        let serving = self.with(Duty::Serving);
        let day = self.taps_day(k);
        let step = self.steps.hours / 24.0 * day;
        let stand = (STAND_MIN / 1440.0 + 2.0 * self.steps.hours / 24.0) * day;
        // What goes before somebody can change over again, the next night among it where it is near.
        let stand_steps = self.stand_steps() + 2;
        let night = self.night_within(k, stand_steps) as f64 * step;
        let until_hands = ((1 + self.dark(k)) as f64 * step).max(night);
        let low = |i: usize| day.min(0.5 * self.holds(i)).max(night);
        let worth_it = |i: usize| (2.0 * day).min(0.8 * self.holds(i));
        let left = serving.map_or(0.0, |i| self.left(i));
        let enough = serving.map_or(0.0, low);
        if serving.is_some() && left >= enough + stand {
            return;
        }
        let more = |i: &usize, lead: f64| {
            let has = self.left(*i);
            has > left + step && (has >= worth_it(*i) || left <= until_hands + lead)
        };
        let ready = self
            .of_class(Class::Domestic)
            .filter(|i| self.tanks[*i].duty == Duty::Ready)
            .filter(|i| more(i, 0.0))
            .max_by(|a, b| self.left(*a).total_cmp(&self.left(*b)));
        let standing = self.of_class(Class::Domestic).any(|i| self.tanks[i].duty == Duty::Standing);
        match ready {
            Some(next) if serving.is_none() || left < enough => self.serve_from_now(k, next),
            None if !standing => {
                let filling = self
                    .of_class(Class::Domestic)
                    .filter(|i| more(i, stand))
                    .find(|i| self.tanks[*i].duty == Duty::Filling);
                if let Some(filling) = filling {
                    self.shut(k, filling);
                }
            }
            _ => {}
        }
    }

    /// Steps without hands in the night that begins within so many steps; 0 where none does.
    fn night_within(&self, k: usize, steps: usize) -> usize {
        let last = (k..=k + steps).take_while(|j| self.steps.manned.get(*j) == Some(&true)).last();
        last.map_or(0, |j| if j == k + steps { 0 } else { self.dark(j) + j - k })
    }

    /// Passes water to a drinking tank that is low, from the tank that serves.
    fn top_drinking(&mut self, k: usize) {
        let Some(serving) = self.with(Duty::Serving) else { return };
        let low: Vec<usize> = self
            .of_class(Class::Drinking)
            .filter(|i| self.tanks[*i].level < DRINKING.0 * self.tank(*i).cap_t)
            .collect();
        for i in low {
            let wanted = DRINKING.1 * self.tank(i).cap_t - self.tanks[i].level;
            let spare = (self.left(serving) - 0.5 * self.taps_day(k)).max(0.0);
            let passed = wanted.min(spare);
            // A pump is not started for less than a day's drinking.
            if passed < self.problem.samples.use_by_class.as_ref().map_or(0.0, |c| c.drinking[k]) {
                continue;
            }
            if passed > 0.0 {
                self.tanks[serving].level -= passed;
                self.tanks[i].level += passed;
                let (from, to) = (self.name(serving), self.name(i));
                self.say(k, TankOrder::Pass { from, to, tonnes: passed });
            }
        }
    }
}
