//! A run under way, in a person's hands: time goes on as it is told to, things are done as they are done.

use std::sync::Arc;

use crate::action::{Action, Do};
use crate::error::Stopped;
use crate::model::Model;
use crate::moves;
use crate::parts::{P_JACKET, V_IN, W_POWER};
use crate::record::{Event, Record, Watched};
use crate::row::Row;
use crate::run::Run;
use crate::scenario::Scenario;
use crate::score::Score;
use crate::state::AIR_LOCK;

/// A row is written down every so often, s.
const ROW_S: f64 = 60.0;

/// Why nothing of a dead board starts.
const DEAD: &str = "there is no power on that board until a main generator is on it again, and that is not in this exercise";

/// A run under way. A clone is a mark that can be gone back to: what is done from it gives the same bits again.
#[derive(Debug, Clone)]
pub struct Live {
    watched: Watched,
    done: Vec<Action>,
    against: Vec<Event>,
    /// What was asked for and could not be.
    refused: Vec<Event>,
    /// The plant's own board stays dead once its power has gone.
    dark: bool,
}

impl Live {
    /// Begins a scenario. What it does itself, its troubles, comes at its times; nobody is told of it.
    #[must_use]
    pub fn begin(model: &Arc<Model>, scenario: &Scenario) -> Self {
        Live {
            watched: Watched::begin(model, scenario),
            done: Vec::new(),
            against: Vec::new(),
            refused: Vec::new(),
            dark: scenario.is_dark(),
        }
    }

    /// Where the clock stands, s.
    #[must_use]
    pub fn time_s(&self) -> f64 {
        self.watched.run.time_s()
    }

    /// What the plant shows now.
    #[must_use]
    pub fn row(&self) -> Row {
        self.watched.run.row()
    }

    /// The run itself.
    #[must_use]
    pub fn run(&self) -> &Run {
        &self.watched.run
    }

    /// A row for every minute that has passed.
    #[must_use]
    pub fn rows(&self) -> &[Row] {
        &self.watched.rows
    }

    /// What the person did.
    #[must_use]
    pub fn done(&self) -> &[Action] {
        &self.done
    }

    /// What was done and what came of it, in order of time.
    #[must_use]
    pub fn events(&self) -> Vec<Event> {
        let mut done = self.watched.told(self.done.iter());
        done.extend(self.refused.iter().cloned());
        self.watched.happened(done)
    }

    /// What the person did against the order of things, in order of time.
    #[must_use]
    pub fn against_order(&self) -> &[Event] {
        &self.against
    }

    /// What it has cost so far.
    #[must_use]
    pub fn score(&self) -> Score {
        self.watched.score()
    }

    /// It written down.
    #[must_use]
    pub fn record(self) -> Record {
        let mut done = self.watched.told(self.done.iter());
        done.extend(self.refused);
        self.watched.record(done)
    }

    /// Whether water goes to the tank past a salinity alarm that no sample has shown false.
    #[must_use]
    pub fn past_alarm(&self) -> bool {
        self.watched.alarm.passed()
    }

    /// Whether the salinity alarm stands with no sample in limit since.
    #[must_use]
    pub fn unproven_alarm(&self) -> bool {
        let run = &self.watched.run;
        self.watched.alarm.unproven(&run.noted().samples, run.time_s())
    }

    /// Whether salt bakes on dry plates.
    #[must_use]
    pub fn bakes(&self) -> bool {
        self.watched.bakes()
    }

    /// Why something cannot be done now, where that is so.
    #[must_use]
    pub fn refuses(&self, what: &Do) -> Option<&'static str> {
        let dead = self.dark && self.watched.run.stands().switches[W_POWER] == 0;
        let wants = match *what {
            Do::Pump { place, run } => run && place != P_JACKET,
            Do::Switch { place, word } => place == W_POWER && word == 1,
            _ => false,
        };
        (dead && wants).then_some(DEAD)
    }

    /// Where it is heading: a row each minute, should nobody touch anything more and nothing more go wrong.
    ///
    /// # Errors
    /// [`Stopped`] when the equations could not be carried on.
    pub fn foreseen(&self, minutes: u32) -> Result<Vec<Row>, Stopped> {
        let mut run = self.watched.run.clone();
        run.forget_plans();
        let from_s = run.time_s();
        (1..=minutes)
            .map(|minute| {
                run.advance(from_s + ROW_S * f64::from(minute))?;
                Ok(run.row())
            })
            .collect()
    }

    /// Lets something go wrong now, or be put right: another's hand, not told among what the person did.
    pub fn spoil(&mut self, what: Do) {
        self.watched.run.act(&what);
    }

    /// Does something now; what cannot be is told among what happened, and nothing changes.
    pub fn act(&mut self, what: Do) {
        let run = &self.watched.run;
        let time_s = run.time_s();
        if let Some(why) = self.refuses(&what) {
            let says = format!("refused, {}: {why}", what.says());
            return self.refused.push(Event { time_s, says });
        }
        let at = moves::At {
            row: &run.row(),
            stands: &run.stands(),
            air_lock: run.state()[AIR_LOCK],
            limit_mg_kg: run.limit_mg_kg(),
            ship_limit_mg_kg: run.ship_limit_mg_kg(),
            unproven: self.watched.alarm.unproven(&run.noted().samples, time_s),
        };
        let mut said = moves::against(&what, &at);
        said.retain(|says| !self.said_of_this_opening(says));
        self.against.extend(said.into_iter().map(|says| Event { time_s, says }));
        self.watched.run.act(&what);
        self.done.push(Action { time_s: self.time_s(), what });
    }

    /// Whether heat opened too early was told of this opening of the heater inlet already: one opening in steps is one move.
    fn said_of_this_opening(&self, says: &str) -> bool {
        let shut = |action: &&Action| matches!(action.what, Do::Valve { place: V_IN, percent, .. } if percent < 1.0);
        let since_s = self.done.iter().rev().find(shut).map_or(f64::NEG_INFINITY, |a| a.time_s);
        let head = |says: &str| says.split(':').next().unwrap_or_default().to_owned();
        says.starts_with(moves::HEAT_BEFORE)
            && self.against.iter().any(|e| e.time_s >= since_s && head(&e.says) == head(says))
    }

    /// Lets time go on to a moment; one that has passed changes nothing.
    ///
    /// # Errors
    /// [`Stopped`] when the equations could not be carried on; it stands where it got to.
    pub fn advance(&mut self, until_s: f64) -> Result<(), Stopped> {
        let from = (self.time_s() / ROW_S).floor();
        let times: Vec<f64> = (0..)
            .map(|k| (from + f64::from(k)) * ROW_S)
            .skip_while(|time| *time <= self.time_s())
            .take_while(|time| *time <= until_s)
            .collect();
        self.watched.advance(until_s, &times)
    }

    /// The same, with rows at times of its own.
    pub(crate) fn advance_telling(&mut self, until_s: f64, times: &[f64]) -> Result<(), Stopped> {
        self.watched.advance(until_s, times)
    }
}
