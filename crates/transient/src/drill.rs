//! Built-in scenarios to practise on: a story, troubles that nobody tells, and the hands of a good run to compare with.

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use crate::action::{Action, Do};
use crate::error::{Fault, ScenarioError, Stopped};
use crate::live::Live;
use crate::model::Model;
use crate::parts::{F_CONDENSER, F_HEATER, V_IN, V_OUT};
use crate::record::{Event, HEATED_KG_S, Record};
use crate::row::Row;
use crate::run::Run;
use crate::scenario::{Scenario, read_action, read_actions};
use crate::score::{Mark, Score};

/// The text of all of them.
const DRILLS: &str = include_str!("../data/drills.json");

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
const EARLY: &str = "the run was ended before there was anything to be done";

/// What a drill is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Aim {
    /// Water in limit to the tank, as much as the reference run makes.
    Water,
    /// Heat off by the end.
    Off,
    /// Nothing that harms, and no salt to the tank; how much is made does not count.
    Safe,
}

/// A scenario to practise on.
#[derive(Debug, Clone)]
pub struct Drill {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub title: String,
    /// What is said before.
    pub story: String,
    /// What is said after: what it was.
    pub told: String,
    /// What it is about.
    pub aim: Aim,
    /// The engine is upset by what happens, not by hands: its jacket does not count.
    pub engine_upset: bool,
    /// The heat is to be off by then, s; none where nobody is told a time.
    pub by_s: Option<f64>,
    /// What is to be done when the run is over.
    pub leave: Vec<Do>,
    /// How it begins, with its troubles.
    pub scenario: Scenario,
    /// What the hands of the reference run do.
    pub reference: Vec<Action>,
}

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
}

/// A run held against the reference run of its drill.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Debrief {
    /// What is left of 100, what the drill is about included.
    pub points: f64,
    /// What the drill is about.
    pub aim: Mark,
    /// The same of the reference run, in its unit.
    pub aim_reference: f64,
    /// What was left undone at the end, each as it was to be done.
    pub undone: Vec<String>,
    /// What the run cost.
    pub score: Score,
    /// What the reference run costs.
    pub reference: Score,
}

#[derive(Deserialize)]
struct File {
    hands: Map<String, Value>,
    drills: Vec<Told>,
}

#[derive(Deserialize)]
struct Told {
    key: String,
    title: String,
    story: String,
    told: String,
    aim: Aim,
    /// The engine is upset by what happens, not by hands: its jacket does not count.
    #[serde(default)]
    engine_upset: bool,
    #[serde(default)]
    by: Option<f64>,
    #[serde(default)]
    leave: Vec<Value>,
    begin: Value,
    at: Map<String, Value>,
    until: Value,
    troubles: Value,
    reference: Vec<Hands>,
}

/// A list of hands that is used, moved in time; or actions of its own.
#[derive(Deserialize)]
struct Hands {
    #[serde(rename = "use")]
    named: Option<String>,
    #[serde(default)]
    shift: f64,
    /// Times are stretched by this from `after` on.
    stretch: Option<f64>,
    /// Only what comes after this is moved, s.
    #[serde(default)]
    after: f64,
    /// What comes after this is left out, s.
    leave_out_after: Option<f64>,
    actions: Option<Value>,
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

impl Hands {
    fn actions(&self, hands: &Map<String, Value>) -> Result<Vec<Action>, ScenarioError> {
        let list = self.named.as_ref().and_then(|name| hands.get(name)).or(self.actions.as_ref());
        let all = list.map_or_else(|| Ok(Vec::new()), |list| read_actions(&list.to_string()))?;
        let stretch = self.stretch.unwrap_or(1.0);
        let moved = |action: Action| {
            let time_s = match action.time_s {
                t if t < self.after => t,
                t => self.after + (t - self.after) * stretch + self.shift,
            };
            Action { time_s, ..action }
        };
        let last_s = self.leave_out_after.unwrap_or(f64::INFINITY);
        Ok(all.into_iter().filter(|action| action.time_s <= last_s).map(moved).collect())
    }
}

/// The text as it is built in.
fn file() -> Result<File, ScenarioError> {
    serde_json::from_str(DRILLS).map_err(|e| ScenarioError {
        line: e.line(),
        field: String::new(),
        fault: Fault::Text { says: e.to_string() },
    })
}

/// A list of hands by its name; empty where there is none.
pub(crate) fn hands(name: &str) -> Result<Vec<Action>, ScenarioError> {
    match file()?.hands.get(name) {
        Some(list) => read_actions(&list.to_string()),
        None => Ok(Vec::new()),
    }
}

impl Drill {
    /// All of them, on this plant, beside an engine whose jacket is held at its usual temperature.
    ///
    /// # Errors
    /// What in the built-in text does not suit this plant.
    pub fn all(model: &Model) -> Result<Vec<Drill>, ScenarioError> {
        Self::all_beside(model, model.plant.sheet().rated_jacket_in_c)
    }

    /// All of them, beside an engine whose jacket is held at this temperature, 50 to 100 °C.
    ///
    /// # Errors
    /// What in the built-in text does not suit this plant; a temperature out of range.
    pub fn all_beside(model: &Model, set_point_c: f64) -> Result<Vec<Drill>, ScenarioError> {
        let file = file()?;
        let of = |told| Self::of(model, told, &file.hands, set_point_c);
        file.drills.into_iter().map(of).collect()
    }

    fn of(
        model: &Model,
        told: Told,
        hands: &Map<String, Value>,
        set_point_c: f64,
    ) -> Result<Drill, ScenarioError> {
        let Told {
            key,
            title,
            story,
            told,
            aim,
            engine_upset,
            by,
            leave,
            begin,
            mut at,
            until,
            troubles,
            reference,
        } = told;
        at.insert("jacket_in_c".to_owned(), set_point_c.into());
        let text =
            serde_json::json!({ "begin": begin, "at": at, "until": until, "actions": troubles });
        let scenario = Scenario::read(model, &text.to_string(), None)?.at_rest();
        let mut done = Vec::new();
        for part in &reference {
            done.extend(part.actions(hands)?);
        }
        done.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        let leave =
            leave.iter().map(|what| Ok(read_action(0.0, what)?.what)).collect::<Result<_, _>>()?;
        Ok(Drill {
            key,
            title,
            story,
            told,
            aim,
            engine_upset,
            by_s: by,
            leave,
            scenario,
            reference: done,
        })
    }

    /// The run of good hands, to hold others against.
    ///
    /// # Errors
    /// As [`Drill::run`].
    pub fn reference_run(&self, model: &Arc<Model>) -> Result<Record, Stopped> {
        self.run(model, &self.reference)
    }

    /// The drill run to its end with these hands.
    ///
    /// # Errors
    /// [`Stopped`] when the equations could not be carried on.
    pub fn run(&self, model: &Arc<Model>, hands: &[Action]) -> Result<Record, Stopped> {
        let mut scenario = self.scenario.clone();
        scenario.add(hands);
        Record::of(model, &scenario)
    }

    /// What these hands do against the order of things in it, in order of time.
    ///
    /// # Errors
    /// As [`Drill::run`].
    pub fn against_order(
        &self,
        model: &Arc<Model>,
        hands: &[Action],
    ) -> Result<Vec<Event>, Stopped> {
        let mut live = Live::begin(model, &self.scenario);
        for hand in hands.iter().filter(|hand| hand.time_s <= self.scenario.until_s) {
            live.advance(hand.time_s)?;
            live.act(hand.what);
        }
        Ok(live.against_order().to_vec())
    }

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
            Do::Set { .. } | Do::Fault { .. } => true,
        };
        self.leave.iter().filter(|what| !is_done(what)).map(Do::says).collect()
    }

    /// When the heat came off for the last time, s: to the minute by what flowed, and where the flow had stopped by itself when the
    /// heater was shut against its coming back; none while it is on.
    fn off_s(&self, run: &Run, rows: &[Row], hands: &[Action]) -> Option<f64> {
        let is_on = |row: &Row| row.jacket_flow_kg_s > HEATED_KG_S;
        let last = rows.iter().rev().find(|row| is_on(row)).map_or(0.0, |row| row.time_s);
        let shut_s = [V_IN, V_OUT].into_iter().filter_map(|end| shut_since_s(hands, end));
        (!is_on(&run.row()))
            .then(|| last.max(shut_s.fold(f64::INFINITY, f64::min).min(run.time_s())))
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
        let_in_min: f64,
        good_kg: f64,
        over: bool,
    ) -> Score {
        if over && !self.leave.is_empty() {
            let undone = self.undone(run).len() as f64;
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
        score.without_brine(let_in_min)
    }

    /// Holds a run of it against the reference run. One that is not over yet is held against what the reference run had come to
    /// by then, and nothing counts as left undone.
    #[must_use]
    pub fn debrief(&self, reference: &Record, ran: Ran<'_>) -> Debrief {
        let Ran { run, rows, hands, score, over } = ran;
        let let_in_min =
            if self.troubled_by(F_CONDENSER) { reference.score.brine_min() } else { 0.0 };
        let best_body_c = self.body_c(&reference.run, &reference.rows);
        let of_good = &reference.rows;
        let then = of_good.iter().rev().find(|row| row.time_s <= run.time_s());
        let by_then_kg =
            then.zip(of_good.first()).map_or(0.0, |(then, first)| then.tank_kg - first.tank_kg);
        let good_kg = reference.score.to_tank_kg;
        let score = self.scored(score, run, let_in_min, good_kg, over);
        let good_off_s = self.off_s(&reference.run, &reference.rows, &self.reference);
        let good = reference.score.clone().with_against(0, None);
        let reference = self.scored(good, &reference.run, let_in_min, good_kg, over);
        let score = self.counted(score, &reference);
        let reference = self.counted(reference.clone(), &reference);
        let (ended_s, body_c) = (run.time_s(), self.body_c(run, rows));
        let limit_mg_kg = run.limit_mg_kg();
        let troubles = self.scenario.actions.iter().map(|action| action.time_s);
        let came_s = troubles.clone().fold(f64::INFINITY, f64::min).min(ended_s);
        let troubled_s = troubles.fold(0.0, f64::max);
        let met_s = troubled_s + MET_S.min(self.scenario.until_s);
        let counts = |score: &Score| {
            if score.tank_salt_mg_kg <= limit_mg_kg { score.to_tank_kg.max(0.0) } else { 0.0 }
        };
        let (made, whole) = (counts(&score), counts(&reference));
        let best = if over { whole } else { whole.min(by_then_kg) };
        // What is told beforehand may be done beforehand; what is not over is not ended early.
        let early = over
            && match self.aim {
                Aim::Water => false,
                Aim::Off => self.by_s.is_none() && ended_s < troubled_s,
                Aim::Safe => ended_s < met_s && body_c > OFF_C,
            };
        let all = |is_done: bool| if is_done && !early { 0.0 } else { AIM_POINTS };
        let since_min = (ended_s - came_s) / 60.0;
        let minutes = |off_s: f64| ((off_s - came_s) / 60.0).max(0.0);
        let off_min = self.off_s(run, rows, hands).map(minutes);
        let good_off_min = good_off_s.map_or(0.0, minutes);
        let is_due = over || self.by_s.is_some_and(|by_s| ended_s > by_s);
        let still_on = ((body_c - OFF_C) / (ON_C - OFF_C)).clamp(0.0, 1.0);
        let told = |why| if early { EARLY } else { why };
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
                "that is what it was for; three quarters of what good hands had is enough",
            ),
            Aim::Off if self.by_s.is_some() => (
                "heater body at the time that was told",
                body_c,
                "degC",
                // What is nearly off is nearly done.
                all(true).max(if is_due { AIM_POINTS * still_on } else { 0.0 }),
                told("heat off comes before everything else; a body under 60 °C counts as off"),
            ),
            Aim::Off => (
                "heat off, from when the trouble came",
                off_min.unwrap_or(since_min),
                "min",
                match off_min {
                    None if over => AIM_POINTS,
                    None => 0.0,
                    Some(off_min) => all(true).max(
                        AIM_POINTS
                            * ((off_min - good_off_min - OFF_FREE_MIN) / OFF_SPAN_MIN)
                                .clamp(0.0, 1.0),
                    ),
                },
                told("heat off comes before everything else, and soon"),
            ),
            Aim::Safe => (
                "salt to the tank",
                score.tank_salt_mg_kg,
                "mg/kg",
                all(score.tank_salt_mg_kg <= limit_mg_kg),
                told("here nothing was to be won but a tank without salt"),
            ),
        };
        let aim = Mark { what, value, unit, lost, at_s: None, why };
        let aim_reference = match self.aim {
            // What good hands had in the end; what is lost is held against what they had by then.
            Aim::Water => whole,
            Aim::Off if self.by_s.is_none() => good_off_min,
            Aim::Off => best_body_c,
            Aim::Safe => reference.tank_salt_mg_kg,
        };
        let points = (score.points - aim.lost).max(0.0);
        Debrief { points, aim, aim_reference, undone: self.undone(run), score, reference }
    }
}
