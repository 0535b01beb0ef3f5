//! What is aboard, reckoned forward from soundings some hours or days old: what was made since goes in, what is used goes out.

use jiff::{SignedDuration, Timestamp};
use passage::decision::{Noise, Tank};
use passage::timeline::{Demand, STEP_MIN};
use route::{Phase, Schedule};

use crate::desk::{Desk, DeskError};
use crate::history;
use crate::now::{NowView, Verdict};
use crate::round::{METER, Round, counted_t_day};
use crate::ship::{Holds, Ship};

use super::stands::SOUNDED;

/// Less is not told, t: the reading of a sounding rod.
const LEAST_T: f64 = 0.1;
/// What a distillate counter is off by, one standard deviation (common practice).
const METER_OFF: f64 = 0.02;
/// Farther off than so many standard deviations is no matter of reading the rod.
const ROD: f64 = 2.0;

/// The duty of a tank that is filled.
const FILLING: &str = "filling";

/// A tank put on a duty: filling or serving.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PutOn {
    pub at: Timestamp,
    pub tank: String,
    pub duty: String,
}

/// Counter readings so long before a sounding still tell what was made after it, h.
const BEFORE_H: i64 = 26;
/// Rounds looked at: three months of four-hour watches.
const MOST_ROUNDS: usize = 600;
/// Duties looked at: where they go back behind the soundings these are enough, else more of them.
const FEW_DUTIES: usize = 12;
const MOST_DUTIES: usize = 200;

impl Desk {
    /// Reckons the tanks of a plan forward to its beginning.
    pub(super) fn carry(
        &self,
        (now, ship): (&NowView, &Ship),
        (demand, schedule, share): (&Demand, &Schedule, f64),
        tanks: &mut [Tank],
        (from, until): (Timestamp, Timestamp),
    ) -> Result<Carried, DeskError> {
        let oldest = now.tanks.iter().map(|tank| tank.at).min().unwrap_or(from);
        let reader = self.reader();
        let mut given = reader.events_with("duty", until, FEW_DUTIES)?;
        if given.len() == FEW_DUTIES && given.last().is_some_and(|entry| entry.at > oldest) {
            given = reader.events_with("duty", until, MOST_DUTIES)?;
        }
        let put_on: Vec<PutOn> = given
            .into_iter()
            .filter_map(|entry| {
                let (tank, duty) = (entry.details.get("tank")?, entry.details.get("duty")?);
                Some(PutOn { at: entry.at, tank: tank.clone(), duty: duty.clone() })
            })
            .collect();
        // A tank may have been opened before it was sounded: what ran in since then is not dosed.
        let opened = put_on.iter().find(|put| put.duty == FILLING).map_or(oldest, |put| put.at);
        let before = SignedDuration::from_hours(BEFORE_H);
        let begins = oldest.min(opened).checked_sub(before).unwrap_or(oldest);
        let rounds = history::between(&reader, Some(begins), until, MOST_ROUNDS)?;
        let (rounds, put_on) = (rounds.as_slice(), put_on.as_slice());
        let since = Since { ship, now, rounds, put_on, demand, schedule, share };
        Ok(since.carry(tanks, from))
    }
}

/// What is known since the soundings.
pub(super) struct Since<'a> {
    pub ship: &'a Ship,
    pub now: &'a NowView,
    /// Rounds from the oldest sounding on, oldest first.
    pub rounds: &'a [Round],
    /// Duties given, newest first.
    pub put_on: &'a [PutOn],
    pub demand: &'a Demand,
    pub schedule: &'a Schedule,
    /// What she makes of what a sound plant would.
    pub share: f64,
}

/// What tells how much was made over a while.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum By {
    Meter,
    /// The counter's last rate, gone on with.
    Rate,
    Model,
}

impl By {
    fn words(self) -> &'static str {
        match self {
            Self::Meter => "by the meter",
            Self::Rate => "by the meter, from its last reading on at its last rate",
            Self::Model => "by the model, no meter reading telling it",
        }
    }
}

/// Water made over a while, t/day.
struct Piece {
    from: Timestamp,
    to: Timestamp,
    t_day: f64,
    by: By,
}

/// One tank reckoned forward.
#[derive(Debug, Clone, PartialEq)]
struct Course {
    name: String,
    sounded: Timestamp,
    dead_t: f64,
    t: f64,
    made_t: f64,
    by: Option<By>,
    used_t: f64,
    /// Of which dated draws.
    drawn_t: f64,
    /// Made and not taken in, the tank being full.
    lost_t: f64,
}

/// The tanks reckoned forward.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Carried {
    courses: Vec<Option<Course>>,
    /// Pumpable, t.
    together_t: f64,
    /// What that may be off by, one standard deviation, t: the soundings, and what was reckoned forward from them.
    pub(super) sd_t: f64,
    upto: Timestamp,
}

impl Since<'_> {
    /// The tanks at a moment, each from its own sounding on; their order is that of the ship's file. One sounded later is left
    /// as it was sounded.
    pub(super) fn carry(&self, tanks: &mut [Tank], upto: Timestamp) -> Carried {
        let seen = |key: &str| self.now.tanks.iter().find(|view| view.key == key);
        let mut courses: Vec<Option<Course>> = self
            .ship
            .tanks
            .iter()
            .zip(&*tanks)
            .map(|(own, tank)| {
                let view = seen(&own.key).filter(|view| view.content_m3.is_some())?;
                Some(Course {
                    name: tank.name.clone(),
                    sounded: view.at,
                    dead_t: tank.dead_t,
                    t: tank.stock_t,
                    made_t: 0.0,
                    by: None,
                    used_t: 0.0,
                    drawn_t: 0.0,
                    lost_t: 0.0,
                })
            })
            .collect();
        let oldest = courses.iter().flatten().map(|course| course.sounded).min();
        let made = oldest.map_or_else(Vec::new, |oldest| self.made(oldest, upto));
        let step = SignedDuration::from_mins(i64::from(STEP_MIN));
        let mut at = oldest.unwrap_or(upto);
        while at < upto {
            let to = at.checked_add(step).unwrap_or(upto).min(upto);
            self.step(&mut courses, tanks, &made, (at, to));
            if to <= at {
                break;
            }
            at = to;
        }
        for (tank, course) in tanks.iter_mut().zip(&courses) {
            if let Some(course) = course {
                tank.stock_t = course.t;
            }
        }
        if let Some(i) = self.on(upto, FILLING)
            && let (Some(tank), Some(Some(course))) = (tanks.get_mut(i), courses.get(i))
        {
            // As mixed: what was drawn since took its share with it.
            let kept = course.t / (course.t + course.used_t).max(f64::MIN_POSITIVE);
            tank.undosed_t = self.ran_in(i, upto).map(|t| (t * kept).min(course.t));
        }
        let pumpable = |course: &Course| (course.t - course.dead_t).max(0.0);
        let together_t: f64 = courses.iter().flatten().map(pumpable).sum();
        let read_t = courses.iter().flatten().next().map_or(0.0, |_| rod_sd_t(together_t));
        let sd_t = sd_t(courses.iter().flatten(), upto).hypot(read_t);
        Carried { courses, together_t, sd_t, upto }
    }

    /// One step: into the tank that is filled, out of those that are drawn from. What falls before a tank's own sounding is in
    /// that sounding.
    fn step(
        &self,
        courses: &mut [Option<Course>],
        tanks: &[Tank],
        made: &[Piece],
        (at, to): (Timestamp, Timestamp),
    ) {
        let days = to.duration_since(at).as_secs_f64() / 86_400.0;
        let filling = self.on(at, FILLING);
        let serving = self.on(at, "serving").or_else(|| self.fullest(courses, filling));
        let other = self.of(Holds::Fresh).find(|i| Some(*i) != serving);
        let moment = self.schedule.at(at);
        let used = self.demand.at(at, days * 24.0, moment.phase);
        let mut take = |i: Option<usize>, t: f64, dated: bool| {
            let Some(course) = i.and_then(|i| courses.get_mut(i)?.as_mut()) else { return 0.0 };
            if course.sounded > at {
                // It is in the sounding.
                return t;
            }
            let drawn = t.min((course.t - course.dead_t).max(0.0));
            course.t -= drawn;
            course.used_t += drawn;
            course.drawn_t += if dated { drawn } else { 0.0 };
            drawn
        };
        for (holds, t_day) in [(Holds::Drinking, used.drinking), (Holds::Distilled, used.technical)]
        {
            let mut left = t_day * days;
            for i in self.of(holds) {
                left -= take(Some(i), left, false);
            }
            if self.of(holds).next().is_none() {
                take(serving, left, false);
            }
        }
        take(serving, used.domestic * days, false);
        let rinsed = used.drawn * days;
        let left = rinsed - take(other, rinsed, true);
        take(serving, left, true);
        for piece in made {
            let (from, upto) = (piece.from.max(at), piece.to.min(to));
            let t = piece.t_day * upto.duration_since(from).as_secs_f64() / 86_400.0;
            if t <= 0.0 || piece.by != By::Meter && moment.phase != Phase::SeaPassage {
                continue;
            }
            let into = filling.or(other).or(serving);
            let course = into.and_then(|i| Some((courses.get_mut(i)?.as_mut()?, tanks.get(i)?)));
            if let Some((course, tank)) = course.filter(|(course, _)| course.sounded <= at) {
                let taken = t.min((tank.cap_t - course.t).max(0.0));
                course.t += taken;
                course.made_t += taken;
                course.lost_t += t - taken;
                course.by = course.by.max(Some(piece.by));
            }
        }
    }

    /// What ran into a tank that is filled since it was opened, t; none where no counter tells all of it.
    fn ran_in(&self, i: usize, upto: Timestamp) -> Option<f64> {
        let key = &self.ship.tanks.get(i)?.key;
        let opened = self.put_on.iter().find(|put| put.at <= upto && put.tank == *key)?.at;
        let first = self.rounds.iter().find(|round| round.value(METER).is_some());
        if first.is_none_or(|first| first.at > opened) {
            return None;
        }
        let pieces = self.made(opened, upto);
        let ran = pieces.iter().map(|piece| {
            let (from, upto) = (piece.from.max(opened), piece.to.min(upto));
            (piece.t_day * upto.duration_since(from).as_secs_f64() / 86_400.0).max(0.0)
        });
        Some(ran.sum())
    }

    fn of(&self, holds: Holds) -> impl Iterator<Item = usize> + use<'_> {
        let tanks = self.ship.tanks.iter().enumerate();
        tanks.filter(move |(_, tank)| tank.holds == holds).map(|(i, _)| i)
    }

    /// The tank on a duty at a moment. A duty given to another tank has been taken from this one, and so has one given it
    /// before another.
    fn on(&self, at: Timestamp, duty: &str) -> Option<usize> {
        let given = || self.put_on.iter().filter(|put| put.at <= at);
        let put = given().find(|put| put.duty == duty)?;
        let newest = given().find(|of| of.tank == put.tank)?;
        let key = (newest.duty == duty).then_some(&put.tank)?;
        self.ship.tanks.iter().position(|tank| tank.key == *key)
    }

    /// The fullest tank for the taps that is not filled.
    fn fullest(&self, courses: &[Option<Course>], filling: Option<usize>) -> Option<usize> {
        let holds = |i: &usize| courses.get(*i).and_then(|c| c.as_ref()).map_or(0.0, |c| c.t);
        let fresh = self.of(Holds::Fresh).filter(|i| Some(*i) != filling);
        fresh.max_by(|a, b| holds(a).total_cmp(&holds(b)))
    }

    /// What was made from one moment to another: by the counter between its readings; after the last of them at its last rate
    /// while the plant runs; where it was not read, what the model says.
    fn made(&self, from: Timestamp, upto: Timestamp) -> Vec<Piece> {
        let most_t_day = self.ship.sheet.product_max_t_day;
        let read: Vec<(Timestamp, f64)> =
            self.rounds.iter().filter_map(|round| Some((round.at, round.value(METER)?))).collect();
        let mut pieces: Vec<Piece> = Vec::new();
        for pair in read.windows(2) {
            let [(a, old), (b, new)] = pair else { continue };
            let hours = logbook::elapsed_hours(*a, *b);
            // Nothing is made before a sounding that is not in it.
            if hours > 0.0 && *b > from {
                let told = counted_t_day(new - old, hours, most_t_day);
                pieces.extend(told.map(|t_day| Piece { from: *a, to: *b, t_day, by: By::Meter }));
            }
        }
        let until = match &self.now.verdict {
            Verdict::NothingRead => return pieces,
            // While it stood nothing was made; what it made from the last reading until then nobody read.
            Verdict::ShutDown { since } => since.unwrap_or(from).min(upto),
            Verdict::Unknown { .. } | Verdict::Running { .. } | Verdict::Across { .. } => upto,
        };
        let last = read.last().map(|(at, _)| *at);
        let rate = pieces.last().map(|piece| piece.t_day).filter(|t_day| *t_day > 0.0);
        let on = last.map_or(from, |last| last.max(from));
        // Behind the last reading it makes water from its start on.
        let on = match &self.now.verdict {
            Verdict::Across { counted, .. } if counted.made_t.is_none() => {
                counted.switch.filter(|(_, is_on)| *is_on).map_or(on, |(at, _)| at.max(on))
            }
            _ => on,
        };
        let (t_day, by) = match (&self.now.verdict, rate) {
            // Over a start the counter tells how much ran, and no rate to go on with.
            (Verdict::Across { should: Some(should), .. }, _) => {
                (should.middle * self.share, By::Model)
            }
            (Verdict::Across { should: None, .. }, _) => return pieces,
            (_, Some(rate)) => (rate, By::Rate),
            (Verdict::Running { made, .. }, _) if last.is_some() => (*made, By::Rate),
            (Verdict::Running { should, .. }, _) => (should.middle * self.share, By::Model),
            (Verdict::Unknown { made: Some(made), .. }, _) => (*made, By::Model),
            _ => return pieces,
        };
        if until > on {
            pieces.push(Piece { from: on, to: until, t_day, by });
        }
        pieces
    }
}

/// What soundings of so much may be off by together, one standard deviation, t.
fn rod_sd_t(together_t: f64) -> f64 {
    SOUNDED.0.max(SOUNDED.1 * together_t) / ROD
}

/// What was reckoned forward may be off by, one standard deviation, t: use scatters by day and in its mean, output by what tells it.
fn sd_t<'a>(courses: impl Iterator<Item = &'a Course>, upto: Timestamp) -> f64 {
    let noise = Noise::default();
    let (mut used, mut day, mut made) = (0.0, 0.0, 0.0);
    for course in courses {
        let days = upto.duration_since(course.sounded).as_secs_f64().max(86_400.0) / 86_400.0;
        let steady = course.used_t - course.drawn_t;
        used += steady;
        // One factor for each day: over d of them the sum scatters by a √d-th of its own.
        day += (noise.use_day * steady).powi(2) / days;
        let off = if course.by == Some(By::Meter) { METER_OFF } else { noise.output.max(0.1) };
        made += off * course.made_t;
    }
    (day + (noise.use_mean * used).powi(2) + made.powi(2)).sqrt()
}

impl Carried {
    /// Where what is aboard comes from, in a sentence or two, with the band the plan begins with; none where the soundings are as
    /// of now.
    pub(super) fn says(&self, (low, sum, high): (f64, f64, f64)) -> Option<String> {
        let told = self.courses.iter().flatten().filter(|course| {
            course.made_t >= LEAST_T || course.used_t >= LEAST_T || course.lost_t >= 1.0
        });
        let told: Vec<String> = told.map(|course| course.says(self.upto)).collect();
        if told.is_empty() {
            return None;
        }
        Some(format!(
            "What is aboard is reckoned forward from the soundings. {}. Together {sum:.1} t to use, between {low:.1} and {high:.1} t eight times in ten.",
            told.join("; ")
        ))
    }
}

impl Course {
    fn says(&self, upto: Timestamp) -> String {
        let mut says = format!("{}: sounded {} ago", self.name, age(self.sounded, upto));
        if let Some(by) = self.by.filter(|_| self.made_t >= LEAST_T) {
            says += &format!(", {:.1} t made since {}", self.made_t, by.words());
        }
        if self.used_t >= LEAST_T {
            says += &format!(", {:.1} t used as planned", self.used_t);
        }
        if self.drawn_t >= LEAST_T {
            says += &format!(" ({:.1} t of it to rinse with)", self.drawn_t);
        }
        if self.lost_t >= 1.0 {
            says += &format!(", {:.0} t made found it full", self.lost_t);
        }
        says + &format!(", {:.1} t to use in it now", (self.t - self.dead_t).max(0.0))
    }
}

/// "45 min", "6 h", "3 days".
pub(super) fn age(from: Timestamp, to: Timestamp) -> String {
    let hours = to.duration_since(from).as_secs_f64() / 3600.0;
    match hours {
        h if h < 1.0 => format!("{:.0} min", h * 60.0),
        h if h < 48.0 => format!("{h:.0} h"),
        h => format!("{:.0} days", h / 24.0),
    }
}

#[cfg(test)]
mod tests;
