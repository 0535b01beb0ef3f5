//! What lists and hands undid of what a run had done: the heat taken off behind a start, the feed shut, heat on behind an acid clean.

use jiff::Timestamp;
use logbook::Reader;
use procedure::{Act, Nature, Procedure, Run, Undone};

use crate::desk::DeskError;

use super::plant::{HEAT_OFF, HEAT_ON, ticked};
use super::runs::Gathered;
use super::texts;
use super::words::time;

/// Written changes of the plant looked at.
const MOST: usize = 20;

/// Lists for emergencies after which a start begins at its first step.
const FROM_THE_FIRST: [&str; 4] = ["blackout", "ejector-trip", "engine-slow-down", "fire"];

/// What undoes what: steps of one list; the lists (none: any) and their step that undo it; what is so then.
type Undoes =
    (&'static str, &'static [&'static str], &'static [&'static str], &'static str, &'static str);

const UNDOES: [Undoes; 12] = [
    // After these a start begins at its first step, as their own texts say: never from where it was.
    ("start", &["permission"], &FROM_THE_FIRST, HEAT_OFF, "the heat is off"),
    ("start", &[HEAT_ON, "by-pass", "boiling"], &[], HEAT_OFF, "the heat is off"),
    ("start", &["feed"], &["stop"], "feed-shut", "the feed is shut"),
    ("start", &["vacuum"], &["stop", "blackout", "leak-test"], "breaker", "the breaker is open"),
    ("start", &["ejector-pump"], &["stop"], "ejector-pump", "the ejector pump is off"),
    ("start", &["ejector-pump"], &["coast"], "shut-down", "the plant is shut down"),
    ("start", &["cooling"], &["stop"], "sea-valves", "the sea valves are shut"),
    ("start", &["overboard"], &["stop", "ejector-trip"], "overboard", "the overboard is shut"),
    ("start", &["overboard"], &["blackout", "flooding"], "sea-shut", "the overboard is shut"),
    ("start", &["guards-on"], &["stop", "coast"], "tank-shut", "the salinometer is off"),
    ("start", &["distillate-pump"], &["stop", "coast"], "tank-shut", "the distillate pump is off"),
    ("acid-clean", &["cold"], &["start"], HEAT_ON, "heat is on the plant"),
];

/// Everything that undid a step of this run, whenever it was; what was taken back undid nothing.
///
/// # Errors
/// The record cannot be read.
pub(super) fn of(
    reader: &Reader,
    lately: &[Gathered],
    procedure: &Procedure,
    gathered: &Gathered,
    now: Timestamp,
) -> Result<Vec<Undone>, DeskError> {
    let rows: Vec<&Undoes> = UNDOES.iter().filter(|row| row.0 == gathered.key).collect();
    if procedure.nature != Nature::Work || rows.is_empty() {
        return Ok(Vec::new());
    }
    let mut found = Vec::new();
    for other in lately.iter().filter(|other| other.id != gathered.id) {
        for (_, steps, lists, by, so) in &rows {
            if !lists.is_empty() && !lists.contains(&other.key.as_str()) {
                continue;
            }
            let Some(at) = ticked(other, by) else { continue };
            let name = texts::usual(&other.key).map_or(other.key.as_str(), |of| &of.procedure.name);
            let given_up = other.acts.iter().any(|act| matches!(act, Act::Abandoned { .. }));
            let how = if given_up { " (given up)" } else { "" };
            let says = format!("by the list {name}{how} {so}");
            let undone = |step: &&str| Undone { step: (*step).to_owned(), at, says: says.clone() };
            found.extend(steps.iter().map(undone));
        }
    }
    if gathered.key == "start" {
        // The newest that was written says whether she is shut down.
        let written = reader.events_with("plant", now, MOST)?;
        let newest = written.iter().max_by_key(|entry| entry.at);
        let off = newest.filter(|entry| entry.details.get("plant").is_some_and(|on| on != "on"));
        let says = "by what was written of the plant she is shut down".to_owned();
        found.extend(off.map(|entry| Undone { step: HEAT_ON.to_owned(), at: entry.at, says }));
    }
    Ok(found)
}

/// What of a run stands undone, with the moment: "by the list Stop the plant (given up) the heat is off since 16:33".
///
/// # Errors
/// The record cannot be read.
pub(super) fn told(
    reader: &Reader,
    run: &Run<'_>,
    now: Timestamp,
) -> Result<Option<String>, DeskError> {
    let Some(undone) = run.stands_undone() else { return Ok(None) };
    let no = run.procedure.place(&undone.step).map_or(0, |place| place + 1);
    let at = time(&reader.ship_clock()?, undone.at, now);
    Ok(Some(format!("step {no} was undone: {} since {at}", undone.says)))
}
