//! Runs out of the record: the entries of each gathered, and the text that each follows found again.

use std::collections::BTreeMap;
use std::path::Path;

use jiff::{SignedDuration, Timestamp};
use logbook::{Entry, Kind, Reader};
use procedure::{Act, Procedure, Run};

use crate::desk::DeskError;

use super::texts;

/// Particular that names the run, in every entry of one but its first, whose number the run is called by.
pub(super) const RUN: &str = "run";
/// Particular that names the step at which readings were typed.
pub(super) const STEP: &str = "step";
/// Steps of procedures looked at for the list of runs: some hundred runs.
const MOST_STEPS: usize = 2000;
/// Steps looked at for what the plant does now: some twenty runs.
const MOST_NEWEST: usize = 300;
/// How far back readings at steps are told apart from rounds.
const DAY: SignedDuration = SignedDuration::from_hours(25);
/// Readings looked at for that.
const MOST_TYPED: usize = 300;
/// Corrections looked at for the list of runs.
const MOST_CORRECTED: usize = 200;
/// Entries of one run at most.
const MOST_OF_ONE: usize = 4000;
/// A step written down so long after it was done was not ticked as it was done.
const LATE: SignedDuration = SignedDuration::from_mins(15);
/// Settings changes looked through for an older text.
pub(super) const MOST_SETTINGS: usize = 1000;

/// What was done in one run, in the order of the record.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Gathered {
    /// Number of its first entry.
    pub(super) id: u64,
    /// Key of the procedure.
    pub(super) key: String,
    /// Version of the text it follows.
    pub(super) version: String,
    pub(super) acts: Vec<Act>,
    /// Entries of readings typed at a step, with the step's key.
    pub(super) typed: BTreeMap<u64, String>,
    /// Entry by which each step was judged last: its tick, a later look, its time mended.
    pub(super) ticked: BTreeMap<String, u64>,
    /// The last step was written down so long after it was done that the run is being entered afterwards.
    pub(super) late: bool,
}

impl Gathered {
    /// When it was begun.
    pub(super) fn began(&self) -> Timestamp {
        self.acts.first().map_or(Timestamp::UNIX_EPOCH, Act::at)
    }

    /// The newest moment it speaks of.
    pub(super) fn newest(&self) -> Timestamp {
        self.acts.iter().map(Act::at).max().unwrap_or(Timestamp::UNIX_EPOCH)
    }
}

/// Whether something was written down long after it was done.
fn is_late(entry: &Entry) -> bool {
    entry.logged.duration_since(entry.at) >= LATE
}

/// Gathers runs from entries, oldest first.
fn gather(entries: &[Entry]) -> Vec<Gathered> {
    let mut runs: BTreeMap<u64, Gathered> = BTreeMap::new();
    for entry in entries {
        let of_run = || entry.details.get(RUN).and_then(|id| id.parse::<u64>().ok());
        if entry.kind == Kind::Reading {
            if let (Some(run), Some(step)) =
                (of_run().and_then(|id| runs.get_mut(&id)), entry.details.get(STEP))
            {
                run.typed.insert(entry.seq, step.clone());
            }
            continue;
        }
        // A figure put right belongs where the figure was typed.
        if let Some(old) = entry.corrects.filter(|_| entry.kind == Kind::Correction) {
            for run in runs.values_mut() {
                if let Some(step) = run.typed.get(&old).cloned() {
                    run.typed.insert(entry.seq, step);
                }
            }
            continue;
        }
        // What somebody else wrote as a step is no part of any run.
        let Ok(act) = Act::from_words(entry.at, &entry.author.actor, &entry.details) else {
            continue;
        };
        if let Act::Began { procedure, version, .. } = &act {
            let (key, version) = (procedure.clone(), version.clone());
            let (id, acts) = (entry.seq, vec![act]);
            let (typed, ticked) = (BTreeMap::new(), BTreeMap::new());
            let late = is_late(entry);
            runs.insert(entry.seq, Gathered { id, key, version, acts, typed, ticked, late });
        } else if let Some(run) = of_run().and_then(|id| runs.get_mut(&id)) {
            if matches!(act, Act::Done { .. } | Act::Passed { .. } | Act::Overrode { .. }) {
                run.late = is_late(entry);
            }
            let judges = match &act {
                Act::Done { .. } | Act::Overrode { .. } | Act::Looked { .. } => true,
                Act::Mended { anew, .. } => anew.is_some(),
                _ => false,
            };
            if let Some(step) = act.step().filter(|_| judges) {
                run.ticked.insert(step.to_owned(), entry.seq);
            }
            run.acts.push(act);
        }
    }
    runs.into_values().collect()
}

/// The runs of late, oldest first.
///
/// # Errors
/// The record cannot be read.
pub(super) fn lately(reader: &Reader) -> Result<Vec<Gathered>, DeskError> {
    Ok(gather(&reader.of_kind(Kind::Step, 0, MOST_STEPS)?))
}

/// The runs of the last days, oldest first: what the plant's state is told from.
///
/// # Errors
/// The record cannot be read.
pub(super) fn newest(reader: &Reader) -> Result<Vec<Gathered>, DeskError> {
    Ok(gather(&reader.of_kind(Kind::Step, 0, MOST_NEWEST)?))
}

/// Readings typed at steps in the last day and a bit: when they were taken, and what their list is called.
///
/// # Errors
/// The record cannot be read.
pub(crate) fn typed_at_steps(
    reader: &Reader,
    now: Timestamp,
) -> Result<Vec<(Timestamp, String)>, DeskError> {
    let from = now.checked_sub(DAY).unwrap_or(Timestamp::MIN);
    let mut names: BTreeMap<u64, Option<String>> = BTreeMap::new();
    let mut found = Vec::new();
    for entry in reader.of_kind(Kind::Reading, 0, MOST_TYPED)? {
        let run = entry.details.get(RUN).and_then(|run| run.parse::<u64>().ok());
        let Some(run) = run.filter(|_| entry.at >= from && entry.at <= now) else { continue };
        if let std::collections::btree_map::Entry::Vacant(place) = names.entry(run) {
            let key = key_of(reader, run)?;
            let usual = key.as_deref().and_then(texts::usual);
            place.insert(usual.map(|usual| usual.procedure.name.clone()).or(key));
        }
        found.extend(names[&run].clone().map(|name| (entry.at, name)));
    }
    Ok(found)
}

/// Moments of readings typed at steps of a list that walks no round; one moment a reading.
pub(crate) fn of_no_round(at_steps: &[(Timestamp, String)]) -> Vec<Timestamp> {
    let round = texts::usual("round").map(|usual| usual.procedure.name.as_str());
    at_steps.iter().filter(|(_, list)| Some(&**list) != round).map(|(at, _)| *at).collect()
}

/// Moments of which a reading was corrected of late.
///
/// # Errors
/// The record cannot be read.
pub(super) fn corrected(reader: &Reader) -> Result<Vec<Timestamp>, DeskError> {
    let mut moments = Vec::new();
    for correction in reader.of_kind(Kind::Correction, 0, MOST_CORRECTED)? {
        // A correction is dated when it was written; what it corrects, when it was read.
        moments.extend(reader.history(correction.seq)?.first().map(|first| first.at));
    }
    Ok(moments)
}

/// Key of the procedure that a run follows; none where no run begins with that entry.
///
/// # Errors
/// The record cannot be read.
pub(super) fn key_of(reader: &Reader, id: u64) -> Result<Option<String>, DeskError> {
    let Some(entry) = reader.entry(id)? else { return Ok(None) };
    Ok(match Act::from_words(entry.at, &entry.author.actor, &entry.details) {
        Ok(Act::Began { procedure, .. }) => Some(procedure),
        _ => None,
    })
}

/// One run by its number.
///
/// # Errors
/// No such run, or the record cannot be read.
pub(super) fn one(reader: &Reader, id: u64) -> Result<Gathered, DeskError> {
    let none = || DeskError::Asked(format!("no run of a procedure begins with entry {id}"));
    let first = reader.entry(id)?.ok_or_else(none)?;
    let began = |run: &Gathered| run.id == id;
    if first.kind != Kind::Step {
        return Err(none());
    }
    // Those after it are read from the oldest on: a run is short, and the record behind it may be long.
    let mut entries = vec![];
    let mut from = id;
    while entries.len() < MOST_OF_ONE {
        let piece = reader.entries_from(from, MOST_OF_ONE)?;
        let Some(last) = piece.last().map(|entry| entry.seq) else { break };
        let whole = piece.len() == MOST_OF_ONE;
        let of_it = |entry: &Entry| {
            entry.seq == id || entry.details.get(RUN).is_some_and(|run| *run == id.to_string())
        };
        let ours = |entry: &Entry| match entry.kind {
            Kind::Step | Kind::Reading => of_it(entry),
            Kind::Correction => true,
            _ => false,
        };
        entries.extend(piece.into_iter().filter(ours));
        if !whole {
            break;
        }
        from = last + 1;
    }
    let mut standing = Vec::with_capacity(entries.len());
    for entry in entries {
        if !reader.is_withdrawn(entry.seq)? {
            standing.push(entry);
        }
    }
    gather(&standing).into_iter().find(began).ok_or_else(none)
}

/// The text of a version as the record keeps it.
///
/// # Errors
/// The record cannot be read.
pub(super) fn text_of(
    reader: &Reader,
    key: &str,
    version: &str,
) -> Result<Option<String>, DeskError> {
    let name = setting_of(key);
    let changes = reader.of_kind(Kind::Setting, 0, MOST_SETTINGS)?;
    let mut texts = changes
        .iter()
        .rev()
        .filter(|entry| entry.details.get("key") == Some(&name))
        .flat_map(|entry| ["new", "old"].into_iter().filter_map(|end| entry.details.get(end)));
    Ok(texts.find(|text| texts::version_of(text) == version).cloned())
}

/// The chief engineer by whose word a text was last changed since it was the usual one, when, and why.
///
/// # Errors
/// The record cannot be read.
pub(super) fn by_whose_word(
    reader: &Reader,
    key: &str,
) -> Result<Option<(String, Timestamp, String)>, DeskError> {
    let name = setting_of(key);
    let changes = reader.of_kind(Kind::Setting, 0, MOST_SETTINGS)?;
    let own = changes.iter().rev().filter(|entry| entry.details.get("key") == Some(&name));
    // Back at the usual text, every word before it is spent.
    let since = own.take_while(|entry| {
        !entry.details.get("new").is_some_and(|text| texts::is_usual(key, text))
    });
    let mut words = since.filter_map(|entry| {
        let why = entry.details.get("because").cloned().unwrap_or_default();
        Some((entry.details.get("chief")?.clone(), entry.at, why))
    });
    Ok(words.next())
}

/// Name under which a text stands in the record.
pub(super) fn setting_of(key: &str) -> String {
    format!("{}/{key}.toml", texts::PROCEDURES_FOLDER)
}

/// The procedure that a run follows, and whether it is its very text: the one of today where the old one is not found.
///
/// # Errors
/// No text at all, or the record cannot be read.
pub(super) fn followed(
    folder: &Path,
    reader: &Reader,
    run: &Gathered,
) -> Result<(Procedure, bool), DeskError> {
    let today = texts::one(folder, &run.key);
    if let Ok(kept) = &today
        && kept.version == run.version
    {
        return Ok((kept.procedure.clone(), true));
    }
    if let Some(usual) = texts::usual(&run.key).filter(|usual| usual.version == run.version) {
        return Ok((usual.procedure.clone(), true));
    }
    let old = text_of(reader, &run.key, &run.version)?;
    if let Some(procedure) = old.and_then(|text| procedure::read(&text, &texts::names()).ok()) {
        return Ok((procedure, true));
    }
    Ok((today?.procedure, false))
}

/// What was done, folded over its procedure.
pub(super) fn fold<'a>(procedure: &'a Procedure, run: &Gathered) -> Run<'a> {
    Run::of(procedure, &run.acts)
}
