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
pub(super) const FILL_H: f64 = 4.0;
/// A night, for which a filling tank must have room.
pub(super) const NIGHT_H: f64 = 12.0;

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
            && self.to_be_shut(k, filling, made, doing)
        {
            self.shut(k, filling);
        }
        if making && let Some(drier) = self.drier(k, made, doing) {
            if let Some(filling) = self.with(Duty::Filling) {
                self.shut(k, filling);
            }
            self.fill_from_now(k, drier, false);
        }
        if making && self.with(Duty::Filling).is_none() && !self.hardly_worth(k, 0.0, doing) {
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

    /// Whether the tank that is filled has done its part. What is rinsed with is not dosed while it goes out, and within the
    /// last hour of making a full tank is left open for what little finds no room in it.
    fn to_be_shut(&self, k: usize, filling: usize, made: f64, doing: &[Doing]) -> bool {
        if made <= 0.0 {
            return !self.rinsed_while_filled(filling);
        }
        let full = self.room(filling) < made && !self.hardly_worth(k, self.room(filling), doing);
        full || !self.may_take(k, filling)
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
        let old = std::mem::take(&mut self.tanks[i].old);
        self.say(k, TankOrder::ShutAndDose { tank, grams, tonnes, old, stands_until });
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
        let technical = self.in_hand_h(k, Class::Technical);
        let taps = self.in_hand_h(k, Class::Domestic);
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
                .max_by(|a, b| self.manner.prefers(self.room(*a), self.room(*b)))
        };
        let first = classes.iter().find_map(|class| of(*class, &enough));
        let found = first.or_else(|| classes.iter().find_map(|class| of(*class, &|_| hour)));
        if let Some(i) = found {
            let i = self.serve_rather(k, i, hour).unwrap_or(i);
            self.fill_from_now(k, i, false);
        }
    }

    /// A tank that would have to be shut within some hours to serve, the serving one being nearly empty, serves at once; the
    /// one that served is filled, where it has the room.
    fn serve_rather(&mut self, k: usize, i: usize, made_h: f64) -> Option<usize> {
        let serving = self.with(Duty::Serving)?;
        let day = self.taps_day(k);
        let soon = self.low(k, serving, day) + (FILL_H + STAND_MIN / 60.0) / 24.0 * day;
        let changes = self.tank(i).class == Class::Domestic
            && self.left(serving) < soon
            && self.left(i) >= self.worth_serving(i, day)
            && self.left(i) > self.left(serving)
            && self.room(serving) >= self.worth_opening(serving, made_h)
            && self.may_take(k, serving);
        if !changes {
            return None;
        }
        self.serve_from_now(k, i);
        Some(serving)
    }

    /// What is left in the serving tank when another takes its place, t: a day's use or half of what it holds, or a night's
    /// where one is near.
    fn low(&self, k: usize, i: usize, day: f64) -> f64 {
        let step = self.steps.hours / 24.0 * day;
        let night = self.night_within(k, self.stand_steps() + 2) as f64 * step;
        (self.manner.serve_days * day).min(0.5 * self.holds(i)).max(night)
    }

    /// What a tank has to have to serve before it must, t: a day more, or nearly all that it holds.
    fn worth_serving(&self, i: usize, day: f64) -> f64 {
        ((self.manner.serve_days + 1.0) * day).min(0.8 * self.holds(i))
    }

    /// Room for which a tank is opened, t: some hours' make, or half of what it holds where that is less.
    pub(super) fn worth_opening(&self, i: usize, made_h: f64) -> f64 {
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
                Some(Doing::Making(trim)) => Some(self.steps.trims[*trim].made_t[j]),
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
            .max_by(|a, b| self.manner.prefers(self.room(*a), self.room(*b)));
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
        let left = serving.map_or(0.0, |i| self.left(i));
        let enough = serving.map_or(0.0, |i| self.low(k, i, day));
        if serving.is_some() && left >= enough + stand {
            return;
        }
        let more = |i: &usize, lead: f64| {
            let has = self.left(*i);
            has > left + step && (has >= self.worth_serving(*i, day) || left <= until_hands + lead)
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
}
