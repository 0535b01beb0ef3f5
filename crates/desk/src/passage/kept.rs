//! The last plans, kept until anything they were made from changes.

use std::sync::Arc;

use jiff::{SignedDuration, Timestamp};
use logbook::Hash;
use passage::timeline::STEP_MIN;

use crate::keep::{self, Keep};

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

impl keep::Asked for Asked {
    type Kind = How;

    fn kind(&self) -> How {
        self.how
    }
}

/// The newest plan of each kind, and what is being planned.
pub(crate) type Plans = Keep<Asked, PassageView>;

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

/// The newest plan of the same passage that is no older than this.
pub(super) fn lately(plans: &Plans, asked: &Asked, age: SignedDuration) -> Lately {
    let table = plans.table();
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

/// The newest plan of the same route that does not begin later, whatever has been changed since.
pub(super) fn before(
    plans: &Plans,
    route: &[u8],
    from: Timestamp,
) -> Option<(Asked, Arc<PassageView>)> {
    let table = plans.table();
    let like = |kept: &Asked| {
        kept.how != How::AtDeparture && kept.route.as_bytes() == route && kept.from <= from
    };
    let plans = table.kept.iter().filter(|(kept, _)| like(kept));
    let newest = plans.filter_map(|(kept, found)| Some((kept, found.as_ref().ok()?)));
    newest.max_by_key(|(kept, _)| kept.from).map(|(kept, view)| (kept.clone(), view.clone()))
}

/// The beginning of the sample in which a moment lies: plans begin on it.
pub(crate) fn quarter(now: Timestamp) -> Timestamp {
    let step_s = i64::from(STEP_MIN) * 60;
    Timestamp::from_second(now.as_second().div_euclid(step_s) * step_s).unwrap_or(now)
}
