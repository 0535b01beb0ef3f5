//! The plan tank by tank: which is filled, which stands, which serves, forward in time by rule.

use serde::Serialize;

use super::problem::{Class, Problem, Tank, TankState};
use super::remedy::draws;
use super::schedule::Doing;
use super::steps::Steps;

/// What a tank does in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Duty {
    /// Has stood; may serve or be filled.
    Ready,
    /// Serves the taps.
    Serving,
    /// Is being filled.
    Filling,
    /// Dosed, and stands until it may serve.
    Standing,
    /// Set apart: in no plan.
    SetApart,
}

/// Water of one class that was wanted and not there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Short {
    /// What it was for.
    pub what: Want,
    /// Tonnes.
    pub tonnes: f64,
    /// First sample.
    pub from: usize,
    /// Last sample.
    pub to: usize,
}

/// What water is wanted for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Want {
    /// Drinking and cooking.
    Drinking,
    /// Washing.
    Domestic,
    /// Boiler and engine.
    Technical,
    /// Dated draws: rinsing holds.
    WashDown,
}

impl Want {
    const ALL: [Self; 4] = [Self::Drinking, Self::Domestic, Self::Technical, Self::WashDown];

    fn word(self) -> &'static str {
        match self {
            Self::Drinking => "drinking water",
            Self::Domestic => "domestic water",
            Self::Technical => "distilled water",
            Self::WashDown => "water to rinse with",
        }
    }
}

/// The tanks through the passage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TankPlan {
    /// Sample and what is done at it.
    pub orders: Vec<(usize, String)>,
    /// By tank: what it holds when each sample is reached, and at the end, t.
    pub levels_t: Vec<Vec<f64>>,
    /// By tank: what it does in each step.
    pub duty: Vec<Vec<Duty>>,
    /// By tank: what the taps drew from it in each step, t.
    pub served_t: Vec<Vec<f64>>,
    /// What is missing, by use.
    pub short: Vec<Short>,
    /// Made or bought with no tank to take it, t.
    pub lost_t: f64,
    /// Brought into tanks: made and bought, t.
    pub taken_in_t: f64,
    /// Drawn from tanks, t.
    pub drawn_t: f64,
}

/// Dose of chlorine in mg/L and strength of the product; common practice.
const DOSE_MG_L: f64 = 2.0;
const STRENGTH: f64 = 0.65;
/// Half an hour's contact and half an hour's test.
const STAND_MIN: f64 = 60.0;
/// A night, for which a filling tank must have room.
const NIGHT_H: f64 = 12.0;
/// The drinking tank is passed water below the first share of its capacity, up to the second.
const DRINKING: (f64, f64) = (0.4, 0.9);
/// Holds are rinsed from the serving tank down to so many days' use.
const RINSE_KEEPS_DAYS: f64 = 3.0;

struct Cistern {
    level: f64,
    duty: Duty,
    /// Sample from which it has stood.
    stood: usize,
    /// Filled since it was last dosed, t.
    new_t: f64,
}

struct Split<'a> {
    problem: &'a Problem,
    steps: &'a Steps,
    tanks: Vec<Cistern>,
    plan: TankPlan,
    short: [Short; 4],
}

/// Splits what is made and bought over the tanks; `None` where the problem tells no tanks or no classes.
pub(super) fn split(
    problem: &Problem,
    steps: &Steps,
    doing: &[Doing],
    taken_t: &[f64],
) -> Option<TankPlan> {
    let classes = problem.samples.use_by_class.as_ref()?;
    if problem.tanks.is_empty() {
        return None;
    }
    let mut split = Split::new(problem, steps);
    let mut rinse = classes.wash_down.clone();
    cut_draws(problem, taken_t, &mut rinse);
    let day_share = steps.hours / 24.0;
    let dated = draws(problem);
    for k in 0..steps.n {
        for (i, tank) in split.tanks.iter().enumerate() {
            split.plan.levels_t[i].push(tank.level);
        }
        for (supply, taken) in problem.supply.iter().zip(taken_t).filter(|(s, _)| s.at == k) {
            let cut = dated.iter().any(|(from, upto)| (*from..*upto).contains(&supply.at));
            if *taken > 0.0 && !cut {
                split.take_on(k, *taken, &supply.name);
            }
        }
        let made = match doing[k] {
            Doing::Making(trim) => steps.trims[trim].make_t[k],
            _ => 0.0,
        };
        split.valves(k, made, doing);
        split.fill(k, made);
        split.serve(k, classes.technical[k] * day_share, Want::Technical);
        split.serve(k, classes.drinking[k] * day_share, Want::Drinking);
        split.serve(k, classes.domestic[k] * day_share, Want::Domestic);
        split.rinse(k, rinse[k] * day_share);
        for (i, tank) in split.tanks.iter().enumerate() {
            split.plan.duty[i].push(tank.duty);
        }
    }
    Some(split.done())
}

/// What was cut from a dated draw is not drawn, from its end backwards.
fn cut_draws(problem: &Problem, taken_t: &[f64], rinse: &mut [f64]) {
    let dated = draws(problem);
    for (supply, taken) in problem.supply.iter().zip(taken_t) {
        let Some((from, upto)) = dated.iter().find(|(a, b)| (*a..*b).contains(&supply.at)) else {
            continue;
        };
        let mut left = taken * 24.0 / problem.step_h();
        for rate in rinse[*from..*upto].iter_mut().rev() {
            let less = rate.min(left);
            *rate -= less;
            left -= less;
        }
    }
}

impl<'a> Split<'a> {
    fn new(problem: &'a Problem, steps: &'a Steps) -> Self {
        let mut tanks: Vec<Cistern> = problem
            .tanks
            .iter()
            .map(|t| Cistern {
                level: t.stock_t,
                duty: match t.state {
                    TankState::SetApart => Duty::SetApart,
                    TankState::Serving if t.class == Class::Domestic => Duty::Serving,
                    TankState::Filling => Duty::Filling,
                    _ => Duty::Ready,
                },
                stood: 0,
                new_t: 0.0,
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
            short: Vec::new(),
            lost_t: 0.0,
            taken_in_t: 0.0,
            drawn_t: 0.0,
        };
        let short = Want::ALL.map(|what| Short { what, tonnes: 0.0, from: 0, to: 0 });
        Self { problem, steps, tanks, plan, short }
    }

    fn tank(&self, i: usize) -> &'a Tank {
        &self.problem.tanks[i]
    }

    fn of_class(&self, class: Class) -> impl Iterator<Item = usize> + use<'a> {
        let tanks = &self.problem.tanks;
        (0..tanks.len())
            .filter(move |i| tanks[*i].class == class && tanks[*i].state != TankState::SetApart)
    }

    fn with(&self, duty: Duty) -> Option<usize> {
        (0..self.tanks.len()).find(|i| self.tanks[*i].duty == duty)
    }

    /// What may still be drawn, t.
    fn left(&self, i: usize) -> f64 {
        (self.tanks[i].level - self.tank(i).dead_t).max(0.0)
    }

    fn room(&self, i: usize) -> f64 {
        (self.tank(i).cap_t - self.tanks[i].level).max(0.0)
    }

    fn say(&mut self, k: usize, text: String) {
        self.plan.orders.push((k, text));
    }

    /// Day's use of the taps at a sample, drinking water among it, t.
    fn taps_day(&self, k: usize) -> f64 {
        let classes = self.problem.samples.use_by_class.as_ref();
        classes.map_or(0.0, |c| c.domestic[k] + c.drinking[k])
    }

    fn technical_day(&self, k: usize) -> f64 {
        self.problem.samples.use_by_class.as_ref().map_or(0.0, |c| c.technical[k])
    }

    /// The rules in which a valve moves, in hours with hands.
    fn valves(&mut self, k: usize, made: f64, doing: &[Doing]) {
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
            && (!making || self.room(filling) < made)
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
        let tank = self.tank(i);
        if tank.class != Class::Domestic || self.tanks[i].new_t <= 0.0 {
            self.tanks[i].duty = Duty::Ready;
            self.tanks[i].new_t = 0.0;
            return self.say(k, format!("{}: shut", tank.name));
        }
        let grams = DOSE_MG_L * self.tanks[i].new_t / STRENGTH;
        let stand = (STAND_MIN / self.problem.step_min).ceil() as usize;
        self.tanks[i].duty = Duty::Standing;
        self.tanks[i].stood = k + stand;
        self.tanks[i].new_t = 0.0;
        self.say(
            k,
            format!(
                "{}: shut, dose {grams:.0} g, stands until sample {}: 30 min contact, then test",
                tank.name,
                k + stand
            ),
        );
    }

    /// Opens the tank to fill: of the class with fewest days in hand, one with room for an hour's make.
    fn open(&mut self, k: usize, made: f64) {
        let hour = made / self.steps.hours;
        let days = |stock: f64, day: f64| if day > 0.0 { stock / day } else { f64::INFINITY };
        let stock = |class| self.of_class(class).map(|i| self.left(i)).sum::<f64>();
        let technical = days(stock(Class::Technical), self.technical_day(k));
        let taps = days(stock(Class::Domestic) + stock(Class::Drinking), self.taps_day(k));
        let order = if technical < taps {
            [Class::Technical, Class::Domestic]
        } else {
            [Class::Domestic, Class::Technical]
        };
        for class in order {
            let open = self
                .of_class(class)
                .filter(|i| matches!(self.tanks[*i].duty, Duty::Ready | Duty::Standing))
                .filter(|i| self.room(*i) >= hour)
                .max_by(|a, b| self.room(*a).total_cmp(&self.room(*b)));
            if let Some(i) = open {
                self.tanks[i].duty = Duty::Filling;
                let name = &self.tank(i).name;
                return self.say(k, format!("{name}: filled from the plant"));
            }
        }
    }

    /// The tank that is filled must have room until there are hands again.
    fn before_night(&mut self, k: usize, doing: &[Doing]) {
        let Some(filling) = self.with(Duty::Filling) else { return };
        let most = (NIGHT_H / self.steps.hours).ceil() as usize;
        let dark = (k..self.steps.n).skip(1).take_while(|j| !self.steps.manned[*j]).count();
        let night = dark.min(most);
        let made: f64 = (k..=k + night)
            .filter_map(|j| match doing.get(j) {
                Some(Doing::Making(trim)) => Some(self.steps.trims[*trim].make_t[j]),
                _ => None,
            })
            .sum();
        if self.room(filling) >= made {
            return;
        }
        let other = self
            .of_class(Class::Domestic)
            .filter(|i| matches!(self.tanks[*i].duty, Duty::Ready | Duty::Standing))
            .max_by(|a, b| self.room(*a).total_cmp(&self.room(*b)));
        if let Some(other) = other.filter(|i| self.room(*i) > self.room(filling)) {
            self.shut(k, filling);
            self.tanks[other].duty = Duty::Filling;
            let name = &self.tank(other).name;
            self.say(k, format!("{name}: filled from the plant, for its room over the night"));
        }
    }

    /// Changes the serving tank while a day's use is left in it; the other is shut first, to have stood.
    fn change_serving(&mut self, k: usize) {
        let serving = self.with(Duty::Serving);
        let day = self.taps_day(k);
        let stand = STAND_MIN / 1440.0 + 2.0 * self.steps.hours / 24.0;
        let left = serving.map_or(0.0, |i| self.left(i));
        if serving.is_some() && left >= (1.0 + stand) * day {
            return;
        }
        let more = |i: &usize| self.left(*i) > left;
        let ready = self
            .of_class(Class::Domestic)
            .filter(|i| self.tanks[*i].duty == Duty::Ready)
            .filter(more)
            .max_by(|a, b| self.left(*a).total_cmp(&self.left(*b)));
        let standing = self.of_class(Class::Domestic).any(|i| self.tanks[i].duty == Duty::Standing);
        match ready {
            Some(next) if serving.is_none() || left < day => {
                if let Some(serving) = serving {
                    self.tanks[serving].duty = Duty::Ready;
                }
                self.tanks[next].duty = Duty::Serving;
                let name = &self.tank(next).name;
                self.say(k, format!("{name}: serves from now"));
            }
            None if !standing => {
                let filling = self
                    .of_class(Class::Domestic)
                    .filter(more)
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
                let (from, to) = (&self.tank(serving).name, &self.tank(i).name);
                self.say(k, format!("{to}: {passed:.1} t passed from {from}"));
            }
        }
    }

    /// Made water goes to the tank that is filled; what finds no room is lost.
    fn fill(&mut self, _k: usize, made: f64) {
        let Some(i) = self.with(Duty::Filling) else {
            self.plan.lost_t += made;
            return;
        };
        let into = made.min(self.room(i));
        self.tanks[i].level += into;
        self.tanks[i].new_t += into;
        self.plan.taken_in_t += into;
        self.plan.lost_t += made - into;
    }

    /// Bought water goes to domestic tanks that do not serve, then to the others of the class.
    fn take_on(&mut self, k: usize, tonnes: f64, name: &str) {
        let mut left = tonnes;
        let mut into: Vec<usize> = self.of_class(Class::Domestic).collect();
        into.sort_by_key(|i| self.tanks[*i].duty == Duty::Serving);
        into.extend(self.of_class(Class::Drinking));
        let mut told = Vec::new();
        for i in into {
            let taken = left.min(self.room(i));
            if taken <= 0.0 {
                continue;
            }
            self.tanks[i].level += taken;
            self.plan.taken_in_t += taken;
            left -= taken;
            told.push(format!("{taken:.1} t into {}", self.tank(i).name));
        }
        self.plan.lost_t += left;
        self.say(k, format!("{name}: {}", told.join(", ")));
    }

    fn draw(&mut self, i: usize, k: usize, tonnes: f64, tap: bool) -> f64 {
        let drawn = tonnes.min(self.left(i));
        self.tanks[i].level -= drawn;
        self.plan.drawn_t += drawn;
        if tap {
            self.plan.served_t[i][k] += drawn;
        }
        drawn
    }

    fn miss(&mut self, k: usize, what: Want, tonnes: f64) {
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
    fn serve(&mut self, k: usize, tonnes: f64, what: Want) {
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
    fn rinse(&mut self, k: usize, tonnes: f64) {
        if tonnes <= 0.0 {
            return;
        }
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
        self.miss(k, Want::WashDown, left);
    }

    fn done(mut self) -> TankPlan {
        for (i, tank) in self.tanks.iter().enumerate() {
            self.plan.levels_t[i].push(tank.level);
        }
        for short in self.short {
            // A litre or two is the rounding of soundings.
            if short.tonnes > 0.005 {
                let text = format!(
                    "{:.1} t of {} missing up to sample {}",
                    short.tonnes,
                    short.what.word(),
                    short.to
                );
                self.plan.orders.push((short.from, text));
                self.plan.short.push(short);
            }
        }
        self.plan.orders.sort_by_key(|(k, _)| *k);
        self.plan
    }
}
