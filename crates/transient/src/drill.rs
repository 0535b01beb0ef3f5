//! Built-in scenarios to practise on: a story, troubles that nobody tells, and the hands of a good run to compare with.

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use crate::action::{Action, Do};
use crate::error::{Fault, ScenarioError, Stopped};
use crate::model::Model;
use crate::parts::F_CONDENSER;
use crate::record::Record;
use crate::scenario::{Scenario, read_actions};
use crate::score::{Mark, Score};

/// The text of all of them.
const DRILLS: &str = include_str!("../data/drills.json");

/// Points for what the drill is about, of 100 (ours, as all points).
const AIM_POINTS: f64 = 40.0;
/// Heater body at the end under which the heat counts as off, °C.
const OFF_C: f64 = 60.0;

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
    /// How it begins, with its troubles.
    pub scenario: Scenario,
    /// What the hands of the reference run do.
    pub reference: Vec<Action>,
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
    begin: Value,
    at: Value,
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
    /// All of them, on this plant.
    ///
    /// # Errors
    /// What in the built-in text does not suit this plant.
    pub fn all(model: &Model) -> Result<Vec<Drill>, ScenarioError> {
        let file = file()?;
        file.drills.into_iter().map(|told| Self::of(model, told, &file.hands)).collect()
    }

    fn of(model: &Model, told: Told, hands: &Map<String, Value>) -> Result<Drill, ScenarioError> {
        let Told {
            key,
            title,
            story,
            told,
            aim,
            engine_upset,
            begin,
            at,
            until,
            troubles,
            reference,
        } = told;
        let text =
            serde_json::json!({ "begin": begin, "at": at, "until": until, "actions": troubles });
        let scenario = Scenario::read(model, &text.to_string(), None)?.at_rest();
        let mut done = Vec::new();
        for part in &reference {
            done.extend(part.actions(hands)?);
        }
        done.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        Ok(Drill { key, title, story, told, aim, engine_upset, scenario, reference: done })
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

    /// A score of it, without what its happenings and not hands did to the engine.
    fn counted(&self, mut score: Score) -> Score {
        if self.engine_upset {
            for mark in score.marks.iter_mut().filter(|mark| mark.what.contains("engine jacket")) {
                mark.lost = 0.0;
                mark.why = "here the engine was upset by what happened: not counted";
            }
        }
        score.recounted()
    }

    /// Whether a tube of the condenser leaks in it.
    fn leaks(&self) -> bool {
        let mut troubles = self.scenario.actions.iter().map(|action| action.what);
        troubles.any(
            |what| matches!(what, Do::Fault { place: F_CONDENSER, amount, .. } if amount > 0.0),
        )
    }

    /// Holds a run of it against the reference run. `ended_s` is when it was ended, `heater_body_c` how hot the heater was then,
    /// and `limit_mg_kg` the salinity limit.
    #[must_use]
    pub fn debrief(
        &self,
        reference: &Record,
        score: Score,
        ended_s: f64,
        heater_body_c: f64,
        limit_mg_kg: f64,
    ) -> Debrief {
        let best_body_c = reference.run.row().heater_body_c;
        let reference = reference.score.clone();
        let let_in_min = if self.leaks() { reference.brine_min() } else { 0.0 };
        let counted = |score| self.counted(score).without_brine(let_in_min);
        let (score, reference) = (counted(score), counted(reference));
        let troubles = self.scenario.actions.iter().map(|action| action.time_s);
        let met = troubles.fold(0.0, f64::max) + MET_S.min(self.scenario.until_s);
        let counts = |score: &Score| {
            if score.tank_salt_mg_kg <= limit_mg_kg { score.to_tank_kg.max(0.0) } else { 0.0 }
        };
        let (made, best) = (counts(&score), counts(&reference));
        let aim = match self.aim {
            Aim::Water => Mark {
                what: "water in limit to the tank",
                value: made,
                unit: "kg",
                lost: AIM_POINTS * (1.0 - (made / best.max(1.0)).clamp(0.0, 1.0)),
                why: "that is what it was for; the reference run shows what could be had",
            },
            Aim::Off => Mark {
                what: "heater body at the end",
                value: heater_body_c,
                unit: "degC",
                lost: if heater_body_c <= OFF_C && ended_s >= met { 0.0 } else { AIM_POINTS },
                why: if ended_s < met { EARLY } else { "heat off comes before everything else" },
            },
            Aim::Safe => Mark {
                what: "salt to the tank",
                value: score.tank_salt_mg_kg,
                unit: "mg/kg",
                lost: if score.tank_salt_mg_kg <= limit_mg_kg && ended_s >= met {
                    0.0
                } else {
                    AIM_POINTS
                },
                why: if ended_s < met {
                    EARLY
                } else {
                    "here nothing was to be won but a tank without salt"
                },
            },
        };
        let aim_reference = match self.aim {
            Aim::Water => best,
            Aim::Off => best_body_c,
            Aim::Safe => reference.tank_salt_mg_kg,
        };
        let points = (score.points - aim.lost).max(0.0);
        Debrief { points, aim, aim_reference, score, reference }
    }
}
