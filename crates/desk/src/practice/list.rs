//! The procedure beside the run: its steps ticked by the one who practises, its guards asked of the run's own gauges.

use std::sync::Arc;

use jiff::Timestamp;
use logbook::{ShipClock, Zone};
use procedure::{Act, Answer, Run, State, Unmet, Who};
use transient::Event;

use crate::desk::{Desk, DeskError};
use crate::procedures::{GuardTeller, StepView, aboard, all_aboard, step_view};

use super::panel::{Look, Looks, moment};
use super::room::{Following, Room};
use super::ticked;

/// Who ticks in practice; nothing of it enters the record.
const BY: &str = "practice";
/// Who is taken as having looked, where a step asks for a second person.
const SECOND: &str = "practice, second";

/// The list beside the run, where one is followed.
#[derive(Debug, Clone, PartialEq)]
pub struct Beside {
    /// Its key.
    pub key: String,
    /// What it is called.
    pub name: String,
    /// How many steps.
    pub steps: usize,
    /// The step under way; none when it is done.
    pub step: Option<StepView>,
    /// Why the step's guard holds, in sentences; empty where it does not.
    pub held: Vec<String>,
    /// What does not fit and does not hold.
    pub warned: Vec<String>,
    /// The step sends to a page that knows only the ship's plant.
    pub elsewhere: bool,
}

/// What is done at the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum AtStep {
    /// The step is done.
    Tick {
        /// What must be looked at was seen.
        looked: bool,
    },
    /// It is gone on although the guard holds, or the step is passed over.
    Anyway,
    /// Another list is followed.
    Follow {
        /// Its key.
        key: String,
    },
}

/// The beginning of a list.
pub(super) fn begun(version: &str, key: &str) -> Vec<Act> {
    begun_at(version, key, 0.0)
}

fn begun_at(version: &str, key: &str, at_s: f64) -> Vec<Act> {
    vec![Act::Began {
        at: moment(at_s),
        by: BY.to_owned(),
        procedure: key.to_owned(),
        version: version.to_owned(),
    }]
}

/// A clock that reads the hours and minutes of a run.
fn clock() -> ShipClock {
    ShipClock::new(Zone::UTC, Vec::new(), Timestamp::UNIX_EPOCH)
}

/// Every list that can be followed: key and name.
pub(super) fn choices(desk: &Desk) -> Result<Vec<(String, String)>, DeskError> {
    let (kept, _) = all_aboard(desk.folder())?;
    Ok(kept.into_iter().map(|kept| (kept.key, kept.procedure.name)).collect())
}

impl Room {
    /// Every look so far and one now.
    fn looks(&self) -> Vec<Look> {
        let mut looks = self.play.looks.clone();
        if looks.last().is_none_or(|last| last.at_s < self.time_s()) {
            looks.push(Look::at(&self.play.live));
        }
        looks
    }

    /// The list as it stands.
    pub(super) fn beside(&self) -> Result<Option<Beside>, DeskError> {
        let Some(following) = &self.play.following else { return Ok(None) };
        let looks = self.looks();
        let set_point_c = self.play.live.run().set_point_c();
        let board = Looks { setup: &self.setup, set_point_c, looks: &looks };
        let (clock, now) = (clock(), moment(self.time_s()));
        let procedure = &*following.procedure;
        let foretold = self.foretold.as_ref();
        let teller = GuardTeller { board: &board, clock: &clock, now, procedure, foretold };
        let run = Run::of(procedure, &following.acts);
        let told = |why: &[Unmet]| why.iter().map(|unmet| teller.unmet(unmet)).collect::<Vec<_>>();
        let (place, held, warned) = match run.state(&board, now) {
            State::AtStep { step, warned } => (Some(step), Vec::new(), told(&warned)),
            State::Held { step, why } => (Some(step), told(&why), Vec::new()),
            _ => (None, Vec::new(), Vec::new()),
        };
        let step = place
            .map(|place| step_view(&teller, place, &procedure.steps[place], Some((&run, place))));
        Ok(Some(Beside {
            key: following.key.clone(),
            name: procedure.name.clone(),
            steps: procedure.steps.len(),
            step,
            held,
            warned,
            elsewhere: place
                .is_some_and(|place| procedure.steps[place].what.contains("page Findings")),
        }))
    }

    /// Does something at the list.
    pub(super) fn at_step(&mut self, desk: &Desk, what: &AtStep) -> Result<(), DeskError> {
        if let AtStep::Follow { key } = what {
            let kept = aboard(desk.folder(), key)?;
            let name = kept.procedure.name.clone();
            let acts = begun_at(&kept.version, key, self.time_s());
            let procedure = Arc::new(kept.procedure);
            self.play.followed.extend(self.play.following.take());
            self.play.following = Some(Following { key: kept.key, procedure, acts });
            self.note(format!("follows the list: {name}"));
            return Ok(());
        }
        let looks = self.looks();
        let set_point_c = self.play.live.run().set_point_c();
        let (time_s, stands) = (self.time_s(), self.play.live.run().stands());
        let at = moment(time_s);
        let Some(following) = &mut self.play.following else {
            return Err(DeskError::Asked("no list is followed: choose one first".to_owned()));
        };
        let board = Looks { setup: &self.setup, set_point_c, looks: &looks };
        let procedure = Arc::clone(&following.procedure);
        let run = Run::of(&procedure, &following.acts);
        let Some(place) = run.standing.iter().position(Option::is_none) else {
            return Err(DeskError::Asked("the list is done: choose another".to_owned()));
        };
        let step = &procedure.steps[place];
        let (clock, foretold) = (clock(), None);
        let teller =
            GuardTeller { board: &board, clock: &clock, now: at, procedure: &procedure, foretold };
        let told = |why: &[Unmet]| {
            why.iter().map(|unmet| teller.unmet(unmet)).collect::<Vec<_>>().join(" ")
        };
        let (no, by, what_is_done) = (place + 1, BY.to_owned(), briefly(&step.what));
        let key = step.key.clone();
        let unmet = run.unmet(place, &board, at, true);
        let (act, says) = match what {
            AtStep::Anyway if !procedure.holds(step) => {
                let reason = "tried in practice".to_owned();
                let says = format!("step {no} passed over: {what_is_done}");
                (Act::Passed { at, by, step: key, reason }, says)
            }
            AtStep::Anyway if !unmet.is_empty() => {
                let (held, reason) = (told(&unmet), "tried in practice".to_owned());
                let says = format!("step {no} done against its guard: {held}");
                (
                    Act::Overrode {
                        at,
                        by,
                        who: Who::Chief,
                        step: key,
                        reason,
                        held,
                        looked: true,
                        beside: procedure::Beside::default(),
                    },
                    says,
                )
            }
            _ => {
                let looked = !matches!(what, AtStep::Tick { looked: false });
                let says = format!("step {no} ticked: {what_is_done}");
                // Nobody else is there to look: at practice the second person is taken as having looked.
                let second = if step.second.is_empty() { String::new() } else { SECOND.to_owned() };
                let beside = procedure::Beside { second, ..procedure::Beside::default() };
                (Act::Done { at, by, step: key, looked, beside }, says)
            }
        };
        match run.ask(&act, &board, at) {
            Answer::Go { .. } => {}
            Answer::Held(held) => {
                return Err(DeskError::Asked(format!("The list holds: {}", told(&held.why))));
            }
            Answer::Wrong(wrong) => return Err(DeskError::Asked(wrong.to_string())),
        }
        if matches!(act, Act::Done { .. }) {
            let mut not_so = ticked::not_so(&following.key, &step.key, &stands);
            // What the exercise ends before cannot be waited for.
            let ends = moment(self.scenario.until_s);
            let short = unmet
                .iter()
                .filter(|unmet| !matches!(unmet, Unmet::Wait { until } if *until >= ends));
            not_so.extend(short.map(|unmet| teller.unmet(unmet)));
            let not_so = not_so.join("; ");
            let says = format!("step {no} ticked, and not so: {not_so}");
            self.play.untrue.extend((!not_so.is_empty()).then_some(Event { time_s, says }));
        }
        following.acts.push(act);
        self.note(says);
        Ok(())
    }
}

/// The first sentence of what is done.
fn briefly(what: &str) -> &str {
    what.split(['.', ';']).next().unwrap_or(what).trim()
}
