//! The last plan, kept until anything it was made from changes: a page read again costs nothing.

use std::sync::Arc;

use jiff::{SignedDuration, Timestamp};
use logbook::Hash;
use passage::timeline::STEP_MIN;

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

/// The newest plan of each kind.
#[derive(Debug, Default)]
pub(crate) struct Plans(Vec<(Asked, Arc<PassageView>)>);

impl Plans {
    /// The plan made from exactly this.
    pub(crate) fn of(&self, asked: &Asked) -> Option<Arc<PassageView>> {
        self.0.iter().find(|(kept, _)| kept == asked).map(|(_, view)| view.clone())
    }

    /// The newest plan of the same route, events and ship that is no older than this.
    pub(crate) fn lately(&self, asked: &Asked, age: SignedDuration) -> Option<Arc<PassageView>> {
        let same = |kept: &Asked| {
            kept.route == asked.route
                && kept.events == asked.events
                && kept.ship == asked.ship
                && kept.from <= asked.from
                && asked.from.duration_since(kept.from) <= age
        };
        let fresh = self.0.iter().filter(|(kept, _)| kept.how != How::AtDeparture && same(kept));
        fresh.max_by_key(|(kept, _)| kept.from).map(|(_, view)| view.clone())
    }

    /// Keeps a plan in place of the last of its kind.
    pub(crate) fn keep(&mut self, asked: Asked, view: Arc<PassageView>) {
        self.0.retain(|(kept, _)| kept.how != asked.how);
        self.0.push((asked, view));
    }
}

/// The beginning of the sample in which a moment lies: plans begin on it.
pub(crate) fn quarter(now: Timestamp) -> Timestamp {
    let step_s = i64::from(STEP_MIN) * 60;
    Timestamp::from_second(now.as_second().div_euclid(step_s) * step_s).unwrap_or(now)
}
