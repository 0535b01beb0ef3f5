//! Built-in scenarios to practise on: a story, troubles that nobody tells, and the hands of a good run to compare with.

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use crate::action::{Action, Do};
use crate::error::{Fault, ScenarioError, Stopped};
use crate::live::Live;
use crate::matter::{self, Hidden};
use crate::model::Model;
use crate::record::Record;
use crate::row::Row;
use crate::scenario::Scenario;
use crate::written::{read_action, read_actions};

/// The text of all of them.
const DRILLS: &str = include_str!("../data/drills.json");

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
    /// What is the matter and nobody is told: places among [`crate::causes`], each with when it came, s.
    pub matter: Vec<(usize, f64)>,
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
    /// No power comes back to the plant's own board.
    #[serde(default)]
    dark: bool,
    /// Names of what is the matter and not told by the story.
    #[serde(default)]
    matter: Vec<String>,
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
            dark,
            matter,
            begin,
            mut at,
            until,
            troubles,
            reference,
        } = told;
        at.insert("jacket_in_c".to_owned(), set_point_c.into());
        let text =
            serde_json::json!({ "begin": begin, "at": at, "until": until, "actions": troubles });
        let scenario = Scenario::read(model, &text.to_string(), None)?.at_rest().dark(dark);
        let matter =
            matter.iter().map(|name| Self::hides(name, &scenario)).collect::<Result<_, _>>()?;
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
            matter,
        })
    }

    /// A cause by its name, with when it comes.
    fn hides(name: &str, scenario: &Scenario) -> Result<(usize, f64), ScenarioError> {
        let place = matter::cause_named(name).ok_or_else(|| ScenarioError {
            line: 0,
            field: "matter".to_owned(),
            fault: Fault::Name {
                what: "cause",
                got: name.to_owned(),
                near: None,
                known: Vec::new(),
            },
        })?;
        let is_it = |what: &Do| matches!(*what, Do::Fault { place, .. } if crate::parts::FAULTS[place].name == name);
        let came = scenario.actions.iter().find(|action| is_it(&action.what));
        Ok((place, came.map_or(0.0, |action| action.time_s)))
    }

    /// What was hidden in a run of it, with when the gauges could show each; `planted` are troubles set besides, `besides` what of them
    /// was not told, each with when it came, s.
    ///
    /// # Errors
    /// As [`Drill::run`].
    pub fn hidden(
        &self,
        model: &Arc<Model>,
        (hands, rows): (&[Action], &[Row]),
        (besides, planted): (&[(usize, f64)], &[Action]),
    ) -> Result<Vec<Hidden>, Stopped> {
        let among = [self.matter.as_slice(), besides].concat();
        matter::hidden(model, &self.scenario, &among, planted, hands, rows)
    }

    /// The run of good hands, to hold others against.
    ///
    /// # Errors
    /// As [`Drill::run`].
    pub fn reference_run(&self, model: &Arc<Model>) -> Result<Record, Stopped> {
        self.run(model, &self.reference)
    }

    /// The drill run to its end with these hands: as a person at the handles does it, and refused what a person would be.
    ///
    /// # Errors
    /// [`Stopped`] when the equations could not be carried on.
    pub fn run(&self, model: &Arc<Model>, hands: &[Action]) -> Result<Record, Stopped> {
        let live = self.live(model, hands)?;
        Ok(live.record())
    }

    /// The same, as it stands at its end in a person's hands.
    ///
    /// # Errors
    /// As [`Drill::run`].
    pub fn live(&self, model: &Arc<Model>, hands: &[Action]) -> Result<Live, Stopped> {
        let mut live = Live::begin(model, &self.scenario);
        let mut whole = self.scenario.clone();
        whole.add(hands);
        let times = whole.row_times();
        let until_s = self.scenario.until_s;
        let mut in_time = hands.to_vec();
        in_time.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        for hand in in_time.iter().filter(|hand| hand.time_s <= until_s) {
            live.advance_telling(hand.time_s, &times)?;
            live.act(hand.what);
        }
        live.advance_telling(until_s, &times)?;
        Ok(live)
    }
}
