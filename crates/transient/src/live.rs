//! A run under way, in a person's hands: time goes on as it is told to, things are done as they are done.

use std::sync::Arc;

use crate::action::{Action, Do};
use crate::error::Stopped;
use crate::model::Model;
use crate::moves;
use crate::record::{Event, Watched, in_order};
use crate::row::Row;
use crate::run::Run;
use crate::scenario::Scenario;
use crate::score::Score;
use crate::state::AIR_LOCK;

/// A row is written down every so often, s.
const ROW_S: f64 = 60.0;

/// A run under way. A clone is a mark that can be gone back to: what is done from it gives the same bits again.
#[derive(Debug, Clone)]
pub struct Live {
    watched: Watched,
    done: Vec<Action>,
    against: Vec<Event>,
}

impl Live {
    /// Begins a scenario. What it does itself, its troubles, comes at its times; nobody is told of it.
    #[must_use]
    pub fn begin(model: &Arc<Model>, scenario: &Scenario) -> Self {
        Live { watched: Watched::begin(model, scenario), done: Vec::new(), against: Vec::new() }
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
        let done = self.done.iter();
        let done = done.map(|action| Event { time_s: action.time_s, says: action.what.says() });
        in_order(done.chain(self.watched.events.iter().cloned()).collect())
    }

    /// What the person did against the order of things, in order of time.
    #[must_use]
    pub fn against_order(&self) -> &[Event] {
        &self.against
    }

    /// What it has cost so far.
    #[must_use]
    pub fn score(&self) -> Score {
        self.watched.seen.score(self.watched.run.state(), &self.watched.rows)
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

    /// Does something now.
    pub fn act(&mut self, what: Do) {
        let run = &self.watched.run;
        let (time_s, limit_mg_kg) = (run.time_s(), run.limit_mg_kg());
        let air_lock = run.state()[AIR_LOCK];
        let said = moves::against(&what, &run.row(), &run.stands(), air_lock, limit_mg_kg);
        self.against.extend(said.into_iter().map(|says| Event { time_s, says }));
        self.watched.run.act(&what);
        self.done.push(Action { time_s: self.time_s(), what });
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
}
