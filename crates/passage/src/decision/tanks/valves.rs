//! When a valve moves: which tank is filled, shut, dosed, passed on, and which serves.

use super::super::problem::Class;
use super::super::schedule::Doing;
use super::split::Split;
use super::{Duty, TankOrder};

/// Dose of chlorine in mg/L and strength of the product; common practice.
const DOSE_MG_L: f64 = 2.0;
const STRENGTH: f64 = 0.65;
/// Half an hour's contact and half an hour's test.
const STAND_MIN: f64 = 60.0;
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
        if !self.steps.manned[k] {
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
        }
        let last_hands = !self.steps.manned.get(k + 1).copied().unwrap_or(false);
        if making && last_hands {
            self.before_night(k, doing);
        }
    }

    /// Shuts a tank that was filled: domestic water is dosed and stands, distilled is never dosed.
    fn shut(&mut self, k: usize, i: usize) {
        let tank = self.name(i);
        if self.tank(i).class != Class::Domestic || self.tanks[i].new_t <= 0.0 {
            self.tanks[i].duty = Duty::Ready;
            self.tanks[i].new_t = 0.0;
            return self.say(k, TankOrder::Shut { tank });
        }
        let grams = DOSE_MG_L * self.tanks[i].new_t / STRENGTH;
        let stands_until = k + (STAND_MIN / self.problem.step_min).ceil() as usize;
        self.tanks[i].duty = Duty::Standing;
        self.tanks[i].stood = stands_until;
        self.tanks[i].new_t = 0.0;
        self.say(k, TankOrder::ShutAndDose { tank, grams, stands_until });
    }

    /// Opens the tank to fill: of the class with fewest days in hand, one with room for an hour's make.
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
        let classes = if self.technical_only(k) { 1 } else { order.len() };
        for class in order.into_iter().take(classes) {
            let open = self
                .of_class(class)
                .filter(|i| matches!(self.tanks[*i].duty, Duty::Ready | Duty::Standing))
                .filter(|i| self.room(*i) >= hour)
                .max_by(|a, b| self.room(*a).total_cmp(&self.room(*b)));
            if let Some(i) = open {
                self.tanks[i].duty = Duty::Filling;
                let tank = self.name(i);
                return self.say(k, TankOrder::Fill { tank, for_the_night: false });
            }
        }
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
            .filter(|i| matches!(self.tanks[*i].duty, Duty::Ready | Duty::Standing))
            .max_by(|a, b| self.room(*a).total_cmp(&self.room(*b)));
        if let Some(other) = other.filter(|i| !fits || self.room(*i) > self.room(filling)) {
            self.shut(k, filling);
            self.tanks[other].duty = Duty::Filling;
            let tank = self.name(other);
            self.say(k, TankOrder::Fill { tank, for_the_night: true });
        }
    }

    /// Steps after this one until somebody can move a valve again.
    fn dark(&self, k: usize) -> usize {
        (k..self.steps.n).skip(1).take_while(|j| !self.steps.manned[*j]).count()
    }

    /// Changes the serving tank while a day's use is left in it; the other is shut first, to have stood. To a tank that
    /// holds less than a day itself only when this one would run dry: nobody goes to and fro between two low tanks.
    fn change_serving(&mut self, k: usize) {
        let serving = self.with(Duty::Serving);
        let day = self.taps_day(k);
        let stand = STAND_MIN / 1440.0 + 2.0 * self.steps.hours / 24.0;
        let left = serving.map_or(0.0, |i| self.left(i));
        if serving.is_some() && left >= (1.0 + stand) * day {
            return;
        }
        let step = self.steps.hours / 24.0 * day;
        let until_hands = (1 + self.dark(k)) as f64 * step;
        let more = |i: &usize, lead: f64| {
            let has = self.left(*i);
            has > left + step && (has >= day || left <= until_hands + lead)
        };
        let ready = self
            .of_class(Class::Domestic)
            .filter(|i| self.tanks[*i].duty == Duty::Ready)
            .filter(|i| more(i, 0.0))
            .max_by(|a, b| self.left(*a).total_cmp(&self.left(*b)));
        let standing = self.of_class(Class::Domestic).any(|i| self.tanks[i].duty == Duty::Standing);
        match ready {
            Some(next) if serving.is_none() || left < day => {
                if let Some(serving) = serving {
                    self.tanks[serving].duty = Duty::Ready;
                }
                self.tanks[next].duty = Duty::Serving;
                let tank = self.name(next);
                self.say(k, TankOrder::Serve { tank });
            }
            None if !standing => {
                let filling = self
                    .of_class(Class::Domestic)
                    .filter(|i| more(i, stand * day))
                    .find(|i| self.tanks[*i].duty == Duty::Filling);
                if let Some(filling) = filling {
                    self.shut(k, filling);
                }
            }
            _ => {}
        }
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
