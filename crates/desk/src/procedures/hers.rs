//! Steps of a list that are the ship's own: who changed each, when, and by whose word.

use std::collections::BTreeMap;

use jiff::Timestamp;
use logbook::{Entry, Kind, Reader};
use procedure::{Procedure, Step};

use crate::desk::DeskError;

use super::runs::{MOST_SETTINGS, setting_of};
use super::texts;
use super::words::time;

/// What is said of each step that is not as in the usual list, by its key. A text that a run kept as it follows it is no change.
///
/// # Errors
/// The record cannot be read.
pub(super) fn steps(
    reader: &Reader,
    procedure: &Procedure,
    now: Timestamp,
) -> Result<BTreeMap<String, String>, DeskError> {
    let usual = texts::usual(&procedure.key).map(|kept| &kept.procedure);
    let of = |list: Option<&Procedure>, key: &str| -> Option<Step> {
        list.and_then(|list| list.place(key).map(|at| list.steps[at].clone()))
    };
    let own = procedure.steps.iter();
    let own: Vec<&Step> = own.filter(|step| of(usual, &step.key).as_ref() != Some(*step)).collect();
    if own.is_empty() {
        return Ok(BTreeMap::new());
    }
    let name = setting_of(&procedure.key);
    let entries = reader.of_kind(Kind::Setting, 0, MOST_SETTINGS)?;
    let read = |entry: &Entry, end: &str| {
        let text = entry.details.get(end)?;
        procedure::read(text, &texts::names()).ok()
    };
    let changes = entries.iter().rev().filter(|entry| {
        let is_change = ["old", "chief"].iter().any(|word| entry.details.contains_key(*word));
        entry.details.get("key") == Some(&name) && is_change
    });
    let changes: Vec<_> =
        changes.map(|entry| (entry, read(entry, "old"), read(entry, "new"))).collect();
    let clock = reader.ship_clock()?;
    let says = |step: &Step| {
        let what = if of(usual, &step.key).is_some() { "Changed" } else { "Her own step" };
        let change = changes.iter().find(|(_, old, new)| {
            of(new.as_ref(), &step.key).as_ref() == Some(step)
                && of(old.as_ref(), &step.key).as_ref() != Some(step)
        });
        let Some((entry, ..)) = change else {
            return format!("{what}: who changed it does not stand in the record.");
        };
        let (by, at) = (&entry.author.actor, time(&clock, entry.at, now));
        let word = match entry.details.get("chief") {
            Some(chief) => {
                let why = entry.details.get("because").map_or("", String::as_str);
                format!("by the word of {chief}, “{why}”")
            }
            None => "no chief’s word was asked for".to_owned(),
        };
        format!("{what}: by {by}, {at}; {word}.")
    };
    Ok(own.into_iter().map(|step| (step.key.clone(), says(step))).collect())
}
