//! A run of a drill held against the run of good hands: what it was about, what was left undone, what nobody could help.

use serde::Serialize;

use crate::action::{Action, Do};
use crate::drill::{Aim, Drill};
use crate::matter::{self, Hidden, Verdict};
use crate::parts::{F_CONDENSER, F_HEATER, V_IN, V_OUT};
use crate::record::{HEATED_KG_S, Record};
use crate::row::Row;
use crate::run::Run;
use crate::score::{Mark, Score};

/// Points for what the drill is about, of 100 (ours, as all points).
const AIM_POINTS: f64 = 60.0;
/// Part of the reference run's water that is enough: a list followed at its slower pace comes to it (ours).
const PACE: f64 = 0.75;
/// Heat that comes off so many minutes after good hands took it off costs nothing, and so many more cost all (ours).
const OFF_FREE_MIN: f64 = 1.0;
const OFF_SPAN_MIN: f64 = 10.0;
/// Heater body under which the heat counts as off, and over which it counts as on, °C (ours).
const OFF_C: f64 = 60.0;
const ON_C: f64 = 76.0;
/// Water sent to the tank beside a leaking heater, more than good hands send: points for each 100 kg, and at most (ours).
const TREATED_POINTS: f64 = 3.0;
const TREATED_MOST: f64 = 30.0;

/// Points for each thing left undone at the end, and at most (ours).
const UNDONE_POINTS: f64 = 5.0;
const UNDONE_MOST: f64 = 30.0;
/// A valve so near to where it should be left is there, %.
const LEFT_PERCENT: f64 = 5.0;
/// A valve open by less is shut, %.
const SHUT_PERCENT: f64 = 1.0;

/// What is to be met must have been there for so long before an end counts, s.
const MET_S: f64 = 900.0;

/// A run of a drill, as far as it went.
#[derive(Debug, Clone)]
pub struct Ran<'a> {
    /// How it stands.
    pub run: &'a Run,
    /// The rows it wrote.
    pub rows: &'a [Row],
    /// What hands did in it.
    pub hands: &'a [Action],
    /// What it cost.
    pub score: Score,
    /// It is over: nothing more comes of it.
    pub over: bool,
    /// What was hidden in it.
    pub hidden: &'a [Hidden],
}

/// A run held against the reference run of its drill.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Debrief {
    /// What is left of 100, what the drill is about included.
    pub points: f64,
    /// It was ended before its time and before what it was about had come to an end: only what had come is judged.
    pub early: bool,
    /// What the drill is about.
    pub aim: Mark,
    /// The same of the reference run, in its unit.
    pub aim_reference: f64,
    /// What was left undone at the end, each as it was to be done.
    pub undone: Vec<String>,
    /// What was the matter, and what was said of it; empty where nothing was hidden or the run is not over.
    pub matter: Vec<Verdict>,
    /// What the run cost.
    pub score: Score,
    /// What the reference run costs.
    pub reference: Score,
}

/// Since when hands have left a valve shut, s; none where they did not shut it.
fn shut_since_s(hands: &[Action], valve: usize) -> Option<f64> {
    hands.iter().fold(None, |since, action| match action.what {
        Do::Valve { place, percent, .. } if place == valve => {
            (percent < SHUT_PERCENT).then(|| since.unwrap_or(action.time_s))
        }
        _ => since,
    })
}

/// When the heat came off for the last time, s: to the minute by what flowed, and where the flow had stopped by itself when the
/// heater was shut against its coming back; none while it is on.
fn off_s(run: &Run, rows: &[Row], hands: &[Action]) -> Option<f64> {
    let is_on = |row: &Row| row.jacket_flow_kg_s > HEATED_KG_S;
    let last = rows.iter().rev().find(|row| is_on(row)).map_or(0.0, |row| row.time_s);
    let shut_s = [V_IN, V_OUT].into_iter().filter_map(|end| shut_since_s(hands, end));
    (!is_on(&run.row())).then(|| last.max(shut_s.fold(f64::INFINITY, f64::min).min(run.time_s())))
}

impl Drill {
    /// A score of it, without what its happenings did to the engine in the reference run as well.
    fn counted(&self, score: Score, reference: &Score) -> Score {
        if self.engine_upset { score.beyond_engine_of(reference) } else { score }
    }

    /// Whether this is among its troubles.
    fn troubled_by(&self, fault: usize) -> bool {
        let mut troubles = self.scenario.actions.iter().map(|action| action.what);
        troubles.any(
            |what| matches!(what, Do::Fault { place, amount, .. } if place == fault && amount > 0.0),
        )
    }

    /// What stands otherwise than it should when the run is over, each as it was to be done.
    fn undone(&self, run: &Run) -> Vec<String> {
        let stands = run.stands();
        let is_done = |what: &Do| match *what {
            Do::Valve { place, percent, .. } => {
                (stands.valves[place].at_percent - percent).abs() < LEFT_PERCENT
            }
            Do::Pump { place, run } => stands.driven[place] == run,
            Do::Switch { place, word } => stands.switches[place] == word,
            Do::Set { .. } | Do::Fault { .. } | Do::Sample | Do::Answer { .. } => true,
        };
        self.leave.iter().filter(|what| !is_done(what)).map(Do::says).collect()
    }

    /// How the heater body stood when it counts: at the moment the heat was to be off by, else at the end, °C.
    fn body_c(&self, run: &Run, rows: &[Row]) -> f64 {
        let by = self.by_s.filter(|by_s| run.time_s() > *by_s);
        let then = by.and_then(|by_s| rows.iter().rev().find(|row| row.time_s <= by_s));
        then.map_or_else(|| run.row().heater_body_c, |row| row.heater_body_c)
    }

    /// The score of a run of it: what its happenings and not hands did left out, what was left undone counted.
    fn scored(
        &self,
        mut score: Score,
        run: &Run,
        let_in_min: [f64; 2],
        good_kg: f64,
        judged: bool,
    ) -> Score {
        if !self.leave.is_empty() {
            let undone = if judged { self.undone(run).len() as f64 } else { 0.0 };
            score.marks.push(Mark {
                what: "left undone at the end",
                value: undone,
                unit: if undone == 1.0 { "thing" } else { "things" },
                lost: (UNDONE_POINTS * undone).min(UNDONE_MOST),
                at_s: None,
                why: "it is down when it stands as the list leaves it, not when the heat is off",
            });
        }
        if self.troubled_by(F_HEATER) {
            let treated_kg = (score.to_tank_kg - good_kg).max(0.0);
            score.marks.push(Mark {
                what: "water to the tank after good hands had shut it",
                value: treated_kg,
                unit: "kg",
                lost: (TREATED_POINTS * treated_kg / 100.0).min(TREATED_MOST),
                at_s: None,
                why: "jacket water carries treatment: no tank filled beside a leaking heater is drunk from before it is tested",
            });
        }
        score.without_let_in(let_in_min)
    }

    /// Holds a run of it against the reference run. One that is not over yet, or was ended early, is held against what the reference run
    /// had come to by then, and nothing counts as left undone.
    #[must_use]
    pub fn debrief(&self, good: &Record, ran: Ran<'_>) -> Debrief {
        let Ran { run, rows, hands, score, over, hidden } = ran;
        let ended_s = run.time_s();
        let mut verdicts = matter::judged(hidden, &run.noted().answers, ended_s);
        let leaks = self.troubled_by(F_CONDENSER);
        let let_in_min = if leaks { good.score.let_in_min() } else { [0.0; 2] };
        let early = over && self.is_early(good, run, rows, hands, &score);
        let judged = over && !early;
        // What good hands came to see counts, also where these never ran her so far that she showed it.
        for (one, verdict) in hidden.iter().zip(&mut verdicts) {
            verdict.counts |= judged && self.matter.iter().any(|(cause, _)| *cause == one.cause);
        }
        let good_kg = good.score.to_tank_kg;
        let mut score = self.scored(score, run, let_in_min, good_kg, judged);
        let reference = good.score.clone().with_against(0, None);
        let mut reference = self.scored(reference, &good.run, let_in_min, good_kg, judged);
        if over && !verdicts.is_empty() {
            let unseen: Vec<Hidden> =
                hidden.iter().map(|one| Hidden { shown: None, ..*one }).collect();
            let of_good = matter::judged(&unseen, &good.run.noted().answers, self.scenario.until_s);
            score = score.with_matter(&verdicts);
            reference = reference.with_matter(&of_good);
        }
        let mut score = self.counted(score, &reference);
        let reference = self.counted(reference.clone(), &reference);
        if early {
            score = score.beyond(&reference);
        }
        let aim = self.aim_of(good, run, rows, hands, &score, &reference, judged);
        let aim_reference = match self.aim {
            // What good hands had in the end; what is lost is held against what they had by then.
            Aim::Water => in_limit_kg(&reference, run),
            Aim::Off if self.by_s.is_none() => self.since_trouble_min(
                off_s(&good.run, &good.rows, &self.reference).unwrap_or(0.0),
                ended_s,
            ),
            Aim::Off => self.body_c(&good.run, &good.rows),
            Aim::Safe => reference.tank_salt_mg_kg,
        };
        let points = (score.points - aim.lost).max(0.0);
        let matter = if over { verdicts } else { Vec::new() };
        let undone = if early { Vec::new() } else { self.undone(run) };
        Debrief { points, early, aim, aim_reference, undone, matter, score, reference }
    }

    /// When the first trouble came, s; the end where it had not come.
    fn came_s(&self, ended_s: f64) -> f64 {
        let troubles = self.scenario.actions.iter().map(|action| action.time_s);
        troubles.fold(f64::INFINITY, f64::min).min(ended_s)
    }

    fn since_trouble_min(&self, off_s: f64, ended_s: f64) -> f64 {
        ((off_s - self.came_s(ended_s)) / 60.0).max(0.0)
    }

    /// Ended by hand before its time, and before what it is about had come to an end.
    fn is_early(
        &self,
        good: &Record,
        run: &Run,
        rows: &[Row],
        hands: &[Action],
        score: &Score,
    ) -> bool {
        let ended_s = run.time_s();
        if ended_s + 1.0 >= self.scenario.until_s {
            return false;
        }
        let troubled_s = self.scenario.actions.iter().map(|a| a.time_s).fold(0.0, f64::max);
        let is_off = off_s(run, rows, hands).is_some() && self.undone(run).is_empty();
        let done = match self.aim {
            Aim::Water => {
                let whole = in_limit_kg(&good.score, run);
                whole >= 1.0 && in_limit_kg(score, run) >= PACE * whole
            }
            // What is told beforehand may be done beforehand.
            Aim::Off => (self.by_s.is_some() || ended_s >= troubled_s) && is_off,
            Aim::Safe => {
                let met_s = troubled_s + MET_S.min(self.scenario.until_s);
                ended_s >= met_s || ended_s >= troubled_s && self.body_c(run, rows) <= OFF_C
            }
        };
        !done
    }

    /// What the drill is about, and what of it is lost.
    #[allow(clippy::too_many_arguments, reason = "two runs, each with its rows and score")]
    fn aim_of(
        &self,
        good: &Record,
        run: &Run,
        rows: &[Row],
        hands: &[Action],
        score: &Score,
        reference: &Score,
        judged: bool,
    ) -> Mark {
        let (ended_s, body_c) = (run.time_s(), self.body_c(run, rows));
        let of_good = &good.rows;
        let then = of_good.iter().rev().find(|row| row.time_s <= ended_s);
        let by_then_kg =
            then.zip(of_good.first()).map_or(0.0, |(then, first)| then.tank_kg - first.tank_kg);
        let (made, whole) = (in_limit_kg(score, run), in_limit_kg(reference, run));
        let best = if judged { whole } else { whole.min(by_then_kg) };
        let off_min = off_s(run, rows, hands).map(|off_s| self.since_trouble_min(off_s, ended_s));
        let since_min = self.since_trouble_min(ended_s, ended_s);
        let good_off_min = off_s(&good.run, &good.rows, &self.reference)
            .map_or(0.0, |off_s| self.since_trouble_min(off_s, ended_s));
        let is_due = judged || self.by_s.is_some_and(|by_s| ended_s > by_s);
        let still_on = ((body_c - OFF_C) / (ON_C - OFF_C)).clamp(0.0, 1.0);
        let later = |min: f64| {
            AIM_POINTS * ((min - good_off_min - OFF_FREE_MIN) / OFF_SPAN_MIN).clamp(0.0, 1.0)
        };
        let (what, value, unit, lost, why) = match self.aim {
            Aim::Water => (
                "water in limit to the tank",
                made,
                "kg",
                if best < 1.0 {
                    0.0
                } else {
                    AIM_POINTS * (1.0 - (made / (PACE * best)).clamp(0.0, 1.0))
                },
                score.short_of_water().unwrap_or(
                    "that is what it was for; three quarters of what good hands had is enough",
                ),
            ),
            Aim::Off if self.by_s.is_some() => (
                "heater body at the time that was told",
                body_c,
                "degC",
                // What is nearly off is nearly done.
                if is_due { AIM_POINTS * still_on } else { 0.0 },
                "heat off comes before everything else; a body under 60 °C counts as off",
            ),
            Aim::Off => (
                "heat off, from when the trouble came",
                off_min.unwrap_or(since_min),
                "min",
                match off_min {
                    None if judged => AIM_POINTS,
                    off_min => later(off_min.unwrap_or(since_min)),
                },
                "heat off comes before everything else, and soon",
            ),
            Aim::Safe => (
                "salt to the tank",
                score.tank_salt_mg_kg,
                "mg/kg",
                if score.tank_salt_mg_kg <= run.ship_limit_mg_kg() { 0.0 } else { AIM_POINTS },
                "here nothing was to be won but a tank without salt",
            ),
        };
        Mark { what, value, unit, lost, at_s: None, why }
    }
}

/// Water to the tank, kg, where it was in the ship's limit; else none.
fn in_limit_kg(score: &Score, run: &Run) -> f64 {
    if score.tank_salt_mg_kg <= run.ship_limit_mg_kg() { score.to_tank_kg.max(0.0) } else { 0.0 }
}
