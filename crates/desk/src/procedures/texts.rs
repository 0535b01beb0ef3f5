//! The texts aboard: the usual ones, the ship's own copies, and the version of each.

use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use procedure::{Names, Nature, Problem, Procedure, Towards, USUAL};

use crate::desk::DeskError;
use crate::field::{READINGS, Role};
use crate::ship::{LIMITS, ORDERS, SETTINGS};

use super::words::{figure_label, label, symbol};

/// Folder of the ship's own copies, in the ship's folder; a file of it is named by the key of its procedure.
pub const PROCEDURES_FOLDER: &str = "procedures";

/// Largest file that is looked into, bytes.
const LARGEST: u64 = 256 * 1024;
/// Most files of her own.
const MOST_OWN: usize = 100;

/// The vacuum as the shell's gauge shows it, corrected by the barometer, % of the standard atmosphere.
pub(crate) const VACUUM: &str = "vacuum_percent";

/// Between nothing and more than any barometer leaves.
const VACUUM_RANGE: (f64, f64) = (0.0, 110.0);

/// A text as it is aboard.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Kept {
    pub(crate) key: String,
    pub(crate) text: String,
    pub(crate) version: String,
    /// It is the ship's own copy, not the usual one.
    pub(crate) own: bool,
    pub(crate) procedure: Procedure,
    /// Why her own copy is not used.
    pub(crate) problems: Vec<Problem>,
}

/// Version of a text: the first eight signs of its SHA-256.
pub(super) fn version_of(text: &str) -> String {
    logbook::Hash::of(text.as_bytes()).short()
}

/// Names of figures that stand: the ship's limits and settings, and what the model answers.
static FIGURES: LazyLock<Vec<String>> = LazyLock::new(|| {
    let of = |section: &'static str, keys: Vec<&'static str>| {
        keys.into_iter().map(move |key| format!("{section}.{key}"))
    };
    let answers = READINGS.iter().filter(|r| matches!(r.role, Role::Answer(_)));
    let mut answers: Vec<&'static str> = answers.map(|reading| reading.key).collect();
    answers.extend([VACUUM, "feed_flow_m3_h"]);
    of("limit", LIMITS.iter().map(|item| item.key).collect())
        .chain(of("order", ORDERS.iter().map(|item| item.key).collect()))
        .chain(of("set", SETTINGS.iter().map(|item| item.key).collect()))
        .chain(of("expected", answers))
        .collect()
});

/// What guards may speak of.
pub(super) fn names() -> Names<'static> {
    let readings = READINGS.iter().map(|reading| reading.key).chain([VACUUM]).collect();
    let ranges = READINGS.iter().filter(|reading| reading.hard.0 < reading.hard.1);
    let ranges = ranges.map(|reading| (reading.key, reading.hard)).chain([(VACUUM, VACUUM_RANGE)]);
    let figures = FIGURES.iter().map(String::as_str).collect();
    Names { readings, figures, ranges: ranges.collect() }
}

/// A name that a guard may speak of, and what it is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GuardName {
    /// As it is written in a text.
    pub name: String,
    /// What it is called, with its unit.
    pub label: String,
}

/// Names of readings, and of figures to compare them with, for who writes a guard.
#[must_use]
pub fn guard_names() -> (Vec<GuardName>, Vec<GuardName>) {
    let names = names();
    let reading = |name: &&str| {
        let unit = match symbol(name) {
            "" => String::new(),
            unit => format!(", {unit}"),
        };
        let words = match crate::field::reading(name).map(|reading| reading.role) {
            Some(Role::Word(words)) => format!(": {}", words.join(", ")),
            _ => String::new(),
        };
        GuardName { name: (*name).to_owned(), label: format!("{}{unit}{words}", label(name)) }
    };
    let figure = |name: &&str| GuardName { name: (*name).to_owned(), label: figure_label(name) };
    (names.readings.iter().map(reading).collect(), names.figures.iter().map(figure).collect())
}

static USUAL_READ: LazyLock<Vec<Kept>> = LazyLock::new(|| {
    let names = names();
    let read = |(key, text): &(&str, &str)| {
        let procedure = procedure::read(text, &names).ok()?;
        let (key, text) = ((*key).to_owned(), (*text).to_owned());
        let version = version_of(&text);
        Some(Kept { key, text, version, own: false, procedure, problems: Vec::new() })
    };
    USUAL.iter().filter_map(read).collect()
});

/// The usual text of a key.
pub(super) fn usual(key: &str) -> Option<&'static Kept> {
    USUAL_READ.iter().find(|kept| kept.key == key)
}

/// Whether a text is the usual one of its key.
pub(super) fn is_usual(key: &str, text: &str) -> bool {
    usual(key).is_some_and(|usual| usual.text.trim_end() == text.trim_end())
}

/// Whether a setting's name is that of the text of a usual procedure.
#[must_use]
pub fn is_usual_file(name: &str) -> bool {
    let of = |(key, _): &(&str, &str)| name == format!("{PROCEDURES_FOLDER}/{key}.toml");
    USUAL.iter().any(of)
}

/// Whether a key can name a file.
pub(super) fn is_key(key: &str) -> bool {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    (1..=40).contains(&key.len()) && key.chars().all(plain)
}

/// The file of her own copy.
pub(super) fn path_of(folder: &Path, key: &str) -> PathBuf {
    folder.join(PROCEDURES_FOLDER).join(format!("{key}.toml"))
}

/// Reads a text for a key: its own problems, and what a ship may not change of it.
///
/// # Errors
/// Every problem, with its line.
pub(super) fn read(key: &str, text: &str) -> Result<Procedure, Vec<Problem>> {
    let read = procedure::read(text, &names())?;
    let mut problems = Vec::new();
    if read.key != key {
        let message = format!(
            "“{}” stands here, and this is the text of “{key}”: leave the key as it was",
            read.key
        );
        problems.push(Problem { line: line_with(text, "key"), key: "key".into(), message });
    }
    if let Some(usual) = usual(key)
        && usual.procedure.nature != read.nature
    {
        // A guard must never come to stand before stopping, and none be lost on the way to a tank.
        let (is, was) = (read.nature.word(), usual.procedure.nature.word());
        let message = format!(
            "“{is}”: this list stays “{was}”, so that nothing holds a stop and nothing loses its guards"
        );
        problems.push(Problem { line: line_with(text, "nature"), key: "nature".into(), message });
    }
    if let Some(usual) = usual(key).filter(|usual| usual.procedure.nature != Nature::Work) {
        problems.extend(held_anew(&usual.procedure, &read));
    }
    if problems.is_empty() { Ok(read) } else { Err(problems) }
}

/// Steps of a stop or an emergency that would lead somewhere they do not in the usual text: what leads somewhere is held.
fn held_anew(usual: &Procedure, read: &Procedure) -> Vec<Problem> {
    let leads = |of: &Procedure, key: &str| of.place(key).map(|place| of.steps[place].towards);
    let anew = read.steps.iter().enumerate().filter(|(_, step)| {
        let was = leads(usual, &step.key).unwrap_or(Towards::Nothing);
        step.towards != Towards::Nothing && step.towards != was
    });
    let told = |(place, step): (usize, &procedure::Step)| Problem {
        line: None,
        key: "towards".into(),
        message: format!(
            "step {} ({}): it leads nowhere in the usual text, and nothing may come to hold a stop or an emergency: leave “towards” out there",
            place + 1,
            step.key
        ),
    };
    anew.map(told).collect()
}

/// The first line that gives this key of the head.
fn line_with(text: &str, key: &str) -> Option<usize> {
    let gives = |line: &str| {
        line.trim_start().strip_prefix(key).is_some_and(|rest| rest.trim_start().starts_with('='))
    };
    text.lines().position(gives).map(|at| at + 1)
}

/// Her own copy of a key; none where she has none.
pub(super) fn own_text(folder: &Path, key: &str) -> Result<Option<String>, DeskError> {
    let path = path_of(folder, key);
    let found = std::fs::metadata(&path).and_then(|file| {
        if file.len() > LARGEST {
            let words = format!("{} bytes, at most {LARGEST} are read", file.len());
            return Err(std::io::Error::other(words));
        }
        std::fs::read_to_string(&path)
    });
    match found {
        Ok(text) => Ok(Some(text)),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(source) => Err(DeskError::File { path, source }),
    }
}

/// The text of a key as it holds aboard: her own copy where it can be read, else the usual one.
///
/// # Errors
/// No such procedure, or her copy cannot be read from the disk.
pub(crate) fn one(folder: &Path, key: &str) -> Result<Kept, DeskError> {
    let none = || DeskError::Asked(format!("“{key}”: there is no such procedure"));
    if !is_key(key) {
        return Err(none());
    }
    let Some(text) = own_text(folder, key)? else {
        return usual(key).cloned().ok_or_else(none);
    };
    if is_usual(key, &text) {
        return usual(key).cloned().ok_or_else(none);
    }
    match (read(key, &text), usual(key)) {
        (Ok(procedure), _) => {
            let version = version_of(&text);
            Ok(Kept { key: key.into(), text, version, own: true, procedure, problems: Vec::new() })
        }
        (Err(problems), Some(usual)) => Ok(Kept { problems, ..usual.clone() }),
        (Err(problems), None) => {
            let told = problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ");
            Err(DeskError::Asked(format!("{PROCEDURES_FOLDER}/{key}.toml cannot be taken: {told}")))
        }
    }
}

/// Every text as it holds aboard, the usual order first, then her own by name; what cannot be taken beside it.
///
/// # Errors
/// The folder cannot be read.
pub(crate) fn all(folder: &Path) -> Result<(Vec<Kept>, Vec<String>), DeskError> {
    let mut keys: Vec<String> = USUAL.iter().map(|(key, _)| (*key).to_owned()).collect();
    let path = folder.join(PROCEDURES_FOLDER);
    let mut own: Vec<String> = match std::fs::read_dir(&path) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Vec::new(),
        Err(source) => return Err(DeskError::File { path, source }),
        Ok(files) => files
            .filter_map(|file| file.ok()?.file_name().into_string().ok())
            .filter_map(|name| name.strip_suffix(".toml").map(str::to_owned))
            .filter(|key| is_key(key) && !keys.contains(key))
            .take(MOST_OWN)
            .collect(),
    };
    own.sort();
    keys.extend(own);
    let (mut kept, mut told) = (Vec::new(), Vec::new());
    for key in keys {
        match one(folder, &key) {
            Ok(text) => kept.push(text),
            // One file that cannot be read does not take the others away.
            Err(e) => {
                told.push(e.to_string());
                kept.extend(usual(&key).cloned());
            }
        }
    }
    Ok((kept, told))
}

/// Whether a guard can never hold in it.
pub(super) fn never_held(procedure: &Procedure) -> bool {
    procedure.nature != Nature::Work
}
