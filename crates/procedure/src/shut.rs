//! What shuts the way to a tank, or to heat, for every list: an emergency whose own way back is not done, one whose heat is not taken
//! off yet, and an instrument over its limit.

use jiff::Timestamp;

use crate::again::{is_out, lasting_min, later, ranged};
use crate::condition::Condition;
use crate::kind::{Nature, Procedure, Step, Towards};
use crate::run::Run;
use crate::seen::{Seen, Unmet};
use crate::standing::Standing;

/// The step of a list for an emergency at which hands shut the way to a tank.
const TANK_SHUT: &str = "tank-shut";

/// A list that shut the way to a tank or to heat.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shut {
    /// The way that is shut.
    pub way: Towards,
    /// Number of its run.
    pub run: u64,
    /// What it is called.
    pub list: String,
    /// From when on: its begin, or its first tick where that is earlier.
    pub from: Timestamp,
    /// When its own way back was done, or it was over; none while it is open.
    pub until: Option<Timestamp>,
    /// What it still wants, in sentences.
    pub wants: String,
}

/// What a way back to a tank asks of an instrument: a reading that says so, and after one that does not, one so much later.
#[derive(Debug, Clone, PartialEq)]
pub struct Second {
    /// What it must say.
    pub condition: Condition,
    /// How much later, min.
    pub min: f64,
}

impl Procedure {
    /// The step of a list for an emergency that leads back to a tank.
    #[must_use]
    pub fn way_back(&self) -> Option<usize> {
        let emergency = self.nature == Nature::Emergency;
        self.steps.iter().position(|step| step.towards == Towards::Tank).filter(|_| emergency)
    }

    /// Whether it is a list for an emergency that shuts the way to a tank: it has a step at which that is shut, or one that leads
    /// back to it.
    #[must_use]
    pub fn shuts_tank(&self) -> bool {
        let shuts = self.nature == Nature::Emergency && self.place(TANK_SHUT).is_some();
        shuts || self.way_back().is_some()
    }

    /// What its way back to a tank asks of the salinometer and of a second instrument: what must last, and what is read beside it.
    #[must_use]
    pub fn second(&self) -> Vec<Second> {
        let Some(step) = self.way_back().map(|place| &self.steps[place]) else { return Vec::new() };
        let Some(min) = lasting_min(step) else { return Vec::new() };
        let ranged = step.see.iter().filter(|see| ranged(see).is_some());
        ranged.map(|see| Second { condition: see.clone(), min }).collect()
    }
}

impl<'a> Run<'a> {
    /// The same with what shut the way to a tank outside of it, and what is asked of a second instrument there.
    #[must_use]
    pub fn shut_by(mut self, shut: Vec<Shut>, second: Vec<Second>) -> Self {
        (self.shut, self.second) = (shut, second);
        self
    }

    /// When the way to a tank that it shut was open again: its own way back was done, or, where it has none, its last step. To give it up
    /// opens nothing.
    #[must_use]
    pub fn opened_again(&self) -> Option<Timestamp> {
        match self.procedure.way_back() {
            Some(place) => self.standing[place].as_ref().map(Standing::at),
            None if self.standing.iter().all(Option::is_some) => {
                self.standing.iter().flatten().map(Standing::at).max()
            }
            None => None,
        }
    }

    /// When it was over: its last step, or that it was given up.
    #[must_use]
    pub fn over(&self) -> Option<Timestamp> {
        let given_up = self.abandoned.as_ref().map(|(at, ..)| *at);
        let all = self.standing.iter().all(Option::is_some);
        let last = self.standing.iter().flatten().map(Standing::at).max();
        given_up.or(last.filter(|_| all))
    }

    /// Names of the readings of a second instrument that are asked of its steps towards a tank.
    pub fn second_names(&self) -> impl Iterator<Item = &str> {
        let terms = self.second.iter().flat_map(|second| &second.condition.terms);
        terms.map(|term| term.name.as_str())
    }

    /// What of a second instrument is asked at a step beside its own readings, for it stands out of its range.
    #[must_use]
    pub fn also_asked(
        &self,
        step: usize,
        seen: &(impl Seen + ?Sized),
        now: Timestamp,
    ) -> Vec<&Condition> {
        let Some(of) = self.procedure.steps.get(step) else { return Vec::new() };
        if !self.towards_tank(of) {
            return Vec::new();
        }
        let out = self.second.iter().filter(|second| still_out(second, seen, now).is_some());
        out.map(|second| &second.condition).collect()
    }

    fn towards_tank(&self, step: &Step) -> bool {
        step.towards == Towards::Tank && self.procedure.holds(step)
    }

    /// What shut the way to a tank or to heat, for a step that leads there; `own` is what its own guard says already.
    pub(crate) fn shut(
        &self,
        step: &Step,
        seen: &(impl Seen + ?Sized),
        now: Timestamp,
        own: &[Unmet],
    ) -> Vec<Unmet> {
        if !self.procedure.holds(step) {
            return Vec::new();
        }
        let shut = self
            .shut
            .iter()
            .filter(|shut| shut.way == step.towards)
            .filter(|shut| shut.from <= now && shut.until.is_none_or(|until| now < until));
        let mut found: Vec<Unmet> = shut
            .map(|shut| Unmet::Shut {
                way: shut.way,
                run: shut.run,
                list: shut.list.clone(),
                since: shut.from,
                until: shut.until,
                wants: shut.wants.clone(),
            })
            .collect();
        if !self.towards_tank(step) {
            return found;
        }
        let told = |unmet: &Unmet| own.iter().any(|own| own.reading() == unmet.reading());
        let out = self.second.iter().filter_map(|second| still_out(second, seen, now));
        found.extend(out.filter(|unmet| !told(unmet)));
        found
    }
}

/// A second instrument that was out, and was not read in its range so much later.
fn still_out(second: &Second, seen: &(impl Seen + ?Sized), now: Timestamp) -> Option<Unmet> {
    let condition = &second.condition;
    let term = ranged(condition)?;
    let mut readings = seen.since(&term.name, Timestamp::MIN);
    readings.retain(|reading| reading.at <= now);
    let out = readings.iter().rev().find(|reading| is_out(condition, seen, reading))?;
    let until = later(out.at, second.min)?;
    if readings.last().is_some_and(|newest| newest.at >= until && newest != out) {
        return None;
    }
    Some(Unmet::StillOut {
        name: term.name.clone(),
        read: out.text.clone(),
        at: out.at,
        wanted: condition.text.clone(),
        until,
    })
}
