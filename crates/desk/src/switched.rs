//! When the plant was started or stopped, by who wrote it and by the lists: a counter read across that tells no rate.

use jiff::Timestamp;
use logbook::Reader;

use crate::desk::DeskError;
use crate::procedures;

/// Events of the plant looked at at most.
const MOST: usize = 800;

/// When the plant was put on (`true`) or shut down.
pub type Switch = (Timestamp, bool);

/// Every start and stop up to an instant, newest first: what was written of the plant, and heat that went on or off by a list.
///
/// # Errors
/// The record cannot be read.
pub(crate) fn of(reader: &Reader, until: Timestamp) -> Result<Vec<Switch>, DeskError> {
    let written = reader.events_with("plant", until, MOST)?;
    let on = |entry: &logbook::Entry| entry.details.get("plant").is_some_and(|word| word == "on");
    let mut all: Vec<Switch> = written.iter().map(|entry| (entry.at, on(entry))).collect();
    all.extend(procedures::switches(reader)?.into_iter().filter(|(at, _)| *at <= until));
    all.sort_by_key(|switch| std::cmp::Reverse(*switch));
    Ok(all)
}

/// The last start or stop after one moment and up to another; `switches` are newest first.
#[must_use]
pub fn between(switches: &[Switch], after: Timestamp, upto: Timestamp) -> Option<Switch> {
    switches.iter().find(|(at, _)| *at <= upto).filter(|(at, _)| *at > after).copied()
}
