//! When the plant was started or stopped, by who wrote it and by the lists: a counter read across that tells no rate, and
//! between a stop and a start nothing is made.

use jiff::Timestamp;
use logbook::Reader;

use crate::desk::DeskError;
use crate::procedures;
use crate::round::Round;

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

/// Spans up to an instant in which the plant was not running, seconds since 1970: between rounds by what the later one says,
/// and from each stop to the start, or the round of a running plant, behind it. `switches` are newest first.
#[must_use]
pub fn stopped(rounds: &[Round], switches: &[Switch], until: Timestamp) -> Vec<(f64, f64)> {
    let mut spans: Vec<(f64, f64)> = rounds
        .windows(2)
        .filter(|pair| pair[1].idle())
        .map(|pair| (pair[0].at_s(), pair[1].at_s()))
        .collect();
    let seconds = |at: Timestamp| at.as_second() as f64;
    let mut start = until;
    for (at, on) in switches.iter().filter(|(at, _)| *at < until) {
        if *on {
            start = *at;
            continue;
        }
        let ran = rounds.iter().find(|r| r.at > *at && r.is_whole() && r.running());
        let ends = ran.map_or(start, |round| round.at.min(start));
        spans.push((seconds(*at), seconds(ends)));
        start = *at;
    }
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined: Vec<(f64, f64)> = Vec::new();
    for (from, to) in spans {
        match joined.last_mut() {
            Some(last) if from <= last.1 + 1.0 => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    joined
}
