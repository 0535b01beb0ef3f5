//! The last plans, kept until anything they were made from changes; nobody plans what is being planned already.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

use jiff::{SignedDuration, Timestamp};
use logbook::Hash;
use passage::timeline::STEP_MIN;

use crate::desk::DeskError;

use super::{How, PassageView};

/// Everything a plan is made from. The record's head stands for soundings, readings and the plant's state.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Asked {
    pub(crate) from: Timestamp,
    pub(crate) how: How,
    pub(crate) route: String,
    pub(crate) events: String,
    pub(crate) ship: String,
    pub(crate) head: Hash,
}

impl Asked {
    /// Whether it is the same passage of the same ship, whatever has been sounded and read since.
    fn same_passage(&self, other: &Asked) -> bool {
        self.route == other.route && self.events == other.events && self.ship == other.ship
    }
}

/// A plan, or why there can be none.
type Found = Result<Arc<PassageView>, String>;

/// The newest plan of each kind, and what is being planned.
#[derive(Debug, Default)]
pub(crate) struct Plans {
    table: Mutex<Table>,
    done: Condvar,
}

#[derive(Debug, Default)]
struct Table {
    kept: Vec<(Asked, Found)>,
    under_way: Vec<Asked>,
}

/// What is known lately of a passage.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Lately {
    /// Nobody planned it.
    Nothing,
    /// It is being planned for the first time.
    UnderWay,
    /// It cannot be planned: why.
    Refused(String),
    /// The newest plan.
    Plan(Arc<PassageView>),
}

impl Plans {
    /// The plan made from exactly this: the one kept, the one being made by somebody else, or else made now.
    ///
    /// A refusal is kept as a plan is; any other error is the caller's alone.
    pub(super) fn of(
        &self,
        asked: Asked,
        plan: impl FnOnce() -> Result<PassageView, DeskError>,
    ) -> Result<Arc<PassageView>, DeskError> {
        let mut table = self.table();
        loop {
            if let Some((_, found)) = table.kept.iter().find(|(kept, _)| *kept == asked) {
                return found.clone().map_err(DeskError::Asked);
            }
            if !table.under_way.contains(&asked) {
                break;
            }
            table = self.done.wait(table).unwrap_or_else(PoisonError::into_inner);
        }
        table.under_way.push(asked.clone());
        drop(table);
        let turn = Turn { plans: self, asked };
        let found = match plan() {
            Ok(view) => Ok(Arc::new(view)),
            Err(DeskError::Asked(why)) => Err(why),
            Err(other) => return Err(other),
        };
        turn.keep(found.clone());
        found.map_err(DeskError::Asked)
    }

    /// The newest plan of the same passage that is no older than this.
    pub(super) fn lately(&self, asked: &Asked, age: SignedDuration) -> Lately {
        let table = self.table();
        let like = |kept: &Asked| kept.how != How::AtDeparture && kept.same_passage(asked);
        let fresh = |kept: &Asked| {
            like(kept) && kept.from <= asked.from && asked.from.duration_since(kept.from) <= age
        };
        let newest = table.kept.iter().filter(|(kept, _)| fresh(kept)).max_by_key(|(k, _)| k.from);
        match newest {
            Some((_, Ok(view))) => Lately::Plan(view.clone()),
            Some((_, Err(why))) => Lately::Refused(why.clone()),
            None if table.under_way.iter().any(like) => Lately::UnderWay,
            None => Lately::Nothing,
        }
    }

    fn table(&self) -> MutexGuard<'_, Table> {
        // Every change of the table is one push or one sweep: a panic elsewhere leaves it whole.
        self.table.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The turn to plan something: given back with the plan or without one.
struct Turn<'a> {
    plans: &'a Plans,
    asked: Asked,
}

impl Turn<'_> {
    /// Keeps what was found in place of the last of its kind.
    fn keep(&self, found: Found) {
        let mut table = self.plans.table();
        table.kept.retain(|(kept, _)| kept.how != self.asked.how);
        table.kept.push((self.asked.clone(), found));
    }
}

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        self.plans.table().under_way.retain(|asked| *asked != self.asked);
        self.plans.done.notify_all();
    }
}

/// The beginning of the sample in which a moment lies: plans begin on it.
pub(crate) fn quarter(now: Timestamp) -> Timestamp {
    let step_s = i64::from(STEP_MIN) * 60;
    Timestamp::from_second(now.as_second().div_euclid(step_s) * step_s).unwrap_or(now)
}
