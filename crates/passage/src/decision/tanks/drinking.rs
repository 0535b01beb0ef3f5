//! Water passed on to the drinking tanks: to full where the taps can spare it, else for some days.

use super::super::problem::Class;
use super::split::Split;
use super::water::SERVING_KEEPS_DAYS;
use super::{Duty, TankOrder};

/// The drinking tank is passed water below the first share of its capacity, up to the second.
const DRINKING: (f64, f64) = (0.4, 0.9);
/// Where that would not leave the serving tank its days: with less than the first days of drinking, for the second (ours).
const DAYS: (f64, f64) = (3.0, 10.0);
/// The serving tank keeps a day's use for it, so that no tap runs dry in the night; with less than a day of drinking it keeps
/// half of one, and passes a day's drinking.
const KEEPS_DAYS: (f64, f64) = (1.0, 0.5);

impl Split<'_> {
    /// Passes water to a drinking tank that is low, from the tank that serves.
    pub(super) fn top_drinking(&mut self, k: usize) {
        let Some(serving) = self.with(Duty::Serving) else { return };
        let classes = self.problem.samples.use_by_class.as_ref();
        let day = classes.map_or(0.0, |c| c.drinking[k]);
        let tanks: Vec<usize> = self.of_class(Class::Drinking).collect();
        for i in tanks {
            let passed = self.to_drink(k, i, serving, day);
            // A pump is not started for less than half a day's drinking, or half of what a small tank holds.
            if passed <= 0.0 || passed < 0.5 * day.min(self.holds(i)) {
                continue;
            }
            self.plan.gone.passed_t[k] += self.out_of_reach(i, passed);
            self.let_out(serving, passed);
            self.tanks[i].level += passed;
            let (from, to) = (self.name(serving), self.name(i));
            self.say(k, TankOrder::Pass { from, to, tonnes: passed });
        }
    }

    /// What a drinking tank is to be passed from the serving one, t.
    fn to_drink(&self, k: usize, i: usize, serving: usize, day: f64) -> f64 {
        let (level, cap) = (self.tanks[i].level, self.tank(i).cap_t);
        if level >= DRINKING.0 * cap {
            return 0.0;
        }
        let to_full = DRINKING.1 * cap - level;
        let over = |days: f64| (self.left(serving) - days * self.taps_day(k)).max(0.0);
        if over(SERVING_KEEPS_DAYS) >= to_full {
            return to_full;
        }
        if self.left(i) >= (DAYS.0 * day).min(DRINKING.0 * self.holds(i)) {
            return 0.0;
        }
        let up_to = |days: f64| (self.tank(i).dead_t + days * day - level).min(to_full);
        let passed = up_to(DAYS.1).min(over(KEEPS_DAYS.0));
        let least = if self.left(i) < day { up_to(1.0).min(over(KEEPS_DAYS.1)) } else { 0.0 };
        passed.max(least)
    }
}
