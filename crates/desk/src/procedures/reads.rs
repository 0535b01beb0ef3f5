//! Readings typed at a step: as the page Readings takes them, "=" for the last, doubtful ones asked about.

use std::collections::BTreeMap;

use jiff::Timestamp;
use logbook::{Quality, Value};
use procedure::{Run, Step, Towards};

use crate::conditions::Figures;
use crate::desk::{Desk, DeskError};
use crate::entry;
use crate::expected;
use crate::field;
use crate::history;
use crate::now::with_last;
use crate::plausible::{Remark, Weight};
use crate::round::{Cell, Round, own_unit};
use crate::setup::Setup;
use crate::typed::shown;
use crate::written::written;

use super::act::{Doing, StepError};
use super::runs::Gathered;
use super::seen::Pending;
use super::taken::names;
use super::words::{label, with_unit};

/// Why a doubtful reading stands that nobody was asked about, for nothing may stand before a stop or an emergency.
const NOT_ASKED: &str = "not read again";

/// Why a reading is not taken that is given as not taken without a word why.
const NO_WHY: &str =
    "say why it was not taken: choose it below the box, or write “not taken: instrument broken”";
/// Why one is not taken that stands already.
const STANDS: &str =
    "written for this minute already: correct that on the page Readings, or give another time";

/// A reading that is possible and not believed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// Its name.
    pub key: String,
    /// Why, as a sentence.
    pub says: String,
    /// Likely figures: what the key says, and the text for the box.
    pub offers: Vec<(String, String)>,
    /// It was typed before in the same minute, and is asked why it is typed again.
    pub again: bool,
}

/// A reading that puts right what was typed at a step of this run for the same minute.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Again {
    /// Its name.
    pub(super) name: String,
    /// The entry that holds what was typed before.
    pub(super) seq: u64,
    /// Why it is typed again; empty where nobody was asked.
    pub(super) why: String,
    /// What was typed before, with its unit.
    was: String,
}

/// What was typed, understood.
#[derive(Debug, Default)]
pub(super) struct Read {
    /// For the record.
    pub(super) values: Vec<Value>,
    /// For the guard.
    pub(super) pending: Vec<Pending>,
    /// Those that put right what was typed at a step of this run for the same minute.
    pub(super) mends: Vec<Again>,
    /// Those that stand already, the same figure of the same minute: what it is, when it was read and by whom.
    pub(super) stands: Vec<(String, Timestamp, String)>,
    /// Doubts that were not asked about.
    pub(super) doubts: Vec<String>,
    /// Those that were not taken: name and why.
    pub(super) not_taken: Vec<(String, String)>,
}

impl Desk {
    /// Readings typed at a step, for the record and for the guard; `asked` are the names of its boxes.
    ///
    /// # Errors
    /// What cannot be taken, and what is asked about; in a stop or an emergency nothing is asked.
    pub(super) fn read_at_step(
        &self,
        setup: &Setup,
        (gathered, asked): (&Gathered, &[&str]),
        doing: &Doing<'_>,
        at: Timestamp,
        urgent: bool,
    ) -> Result<Read, StepError> {
        let mut read = Read::default();
        if doing.readings.iter().all(|(_, text, _)| text.trim().is_empty()) {
            return Ok(read);
        }
        let (here, rounds) = {
            let reader = self.reader();
            (reader.written_at(at)?, history::around(&reader, at)?)
        };
        let same = rounds.iter().find(|round| round.at == at);
        let kept = |key: &str| {
            let why =
                doing.more.kept.iter().find(|(name, why)| name == key && !why.trim().is_empty());
            why.map_or_else(String::new, |(_, why)| why.trim().to_owned())
        };
        let mut faults = Vec::new();
        for (key, text, unit) in
            doing.readings.iter().filter(|(_, text, _)| !text.trim().is_empty())
        {
            if !asked.contains(&key.as_str()) {
                let no_box = "this step asks for no such reading; write it on the page Readings";
                faults.push((key.clone(), format!("{}: {no_box}", label(key))));
                continue;
            }
            let (text, unit) = match text.trim() {
                "=" => match self.last(&rounds, key, at)? {
                    Some(last) => last,
                    None => {
                        let words =
                            "“=” repeats the last reading, and there is none yet: write the figure";
                        faults.push((key.clone(), words.to_owned()));
                        continue;
                    }
                },
                _ => (text.clone(), unit.clone()),
            };
            if let Some(why) = not_taken(&text) {
                let stands = here.iter().any(|value| value.name == *key);
                if why.is_empty() || stands {
                    let words = if stands { STANDS } else { NO_WHY };
                    faults.push((key.clone(), words.to_owned()));
                } else {
                    read.values.push(Value::not_taken(key.clone(), why));
                    read.not_taken.push((key.clone(), why.to_owned()));
                }
                continue;
            }
            match written(&setup.ship, key, &text, &unit, quantity::Style::Either) {
                Err(refusal) => faults.push((key.clone(), refusal.message)),
                Ok(_) if read.values.iter().any(|value: &Value| value.name == *key) => {}
                Ok(w) => {
                    // The same figure for the same second is the same reading sent again.
                    let stands = same.and_then(|round| round.cells.get(key));
                    if let Some(cell) =
                        stands.filter(|cell| w.value.text.as_ref() == Some(&cell.text))
                    {
                        let by = self.reader().entry(cell.seq)?;
                        let by = by.map_or_else(String::new, |entry| entry.author.actor);
                        let what = format!("{} {}", label(key), with_unit(key, &cell.text));
                        read.stands.push((what, at, by));
                        continue;
                    }
                    match stands {
                        Some(cell) if self.typed_here(cell, gathered)? => {
                            let was = match (field::reading(key), cell.value) {
                                (Some(reading), Some(value)) => {
                                    with_unit(key, &shown(reading, value))
                                }
                                _ if cell.not_taken => format!("{} as not taken", label(key)),
                                _ => cell.text.clone(),
                            };
                            let name = key.clone();
                            read.mends.push(Again { name, seq: cell.seq, why: kept(key), was });
                        }
                        None if here.iter().all(|value| value.name != *key) => {}
                        _ => {
                            faults.push((key.clone(), STANDS.to_owned()));
                            continue;
                        }
                    }
                    let text = match (field::reading(key), w.figure) {
                        (Some(reading), Some(figure)) => shown(reading, figure),
                        _ => text.trim().to_owned(),
                    };
                    read.pending.push(Pending { key: key.clone(), at, value: w.figure, text });
                    read.values.push(w.value);
                }
            }
        }
        let unsaid = read.mends.iter().filter(|mend| mend.why.is_empty() && !urgent);
        let mut asks: Vec<Doubt> = unsaid
            .map(|mend| Doubt {
                key: mend.name.clone(),
                says: format!(
                    "{} was typed at this step for the same minute: say why it is typed again. Both are kept.",
                    mend.was
                ),
                offers: Vec::new(),
                again: true,
            })
            .collect();
        for remark in remarks(setup, asked, &rounds, &read.pending, at) {
            let key = remark.key;
            let Some(nth) = read.values.iter().position(|value| value.name == key) else {
                continue;
            };
            if remark.weight == Weight::Impossible && !urgent {
                faults.push((key.to_owned(), remark.says));
                continue;
            }
            let said = kept(key);
            let why = match said.as_str() {
                why if !why.is_empty() => why,
                _ if urgent => {
                    read.doubts.push(format!(
                        "{}: {}. It is written as doubtful: read it again, or correct it on the page Readings.",
                        label(key),
                        remark.says.trim_end_matches('.')
                    ));
                    NOT_ASKED
                }
                _ => {
                    let offers = remark.offer.iter().flat_map(|offer| {
                        let own = offer.set.iter().filter(|(name, _)| *name == key);
                        own.map(|(name, figure)| {
                            let text = field::reading(name).map(|r| shown(r, *figure));
                            (offer.label.clone(), text.unwrap_or_default())
                        })
                    });
                    let offers = offers.collect();
                    match asks.iter_mut().find(|doubt| doubt.key == key) {
                        Some(doubt) => doubt.says = format!("{} {}", doubt.says, remark.says),
                        None => asks.push(Doubt {
                            key: key.to_owned(),
                            says: remark.says,
                            offers,
                            again: false,
                        }),
                    }
                    continue;
                }
            };
            let value = read.values[nth].clone();
            read.values[nth] = value.with_quality(Quality::Doubtful, why);
        }
        match (faults.is_empty(), asks.is_empty()) {
            (false, _) => Err(StepError::Typed(faults)),
            (true, false) => Err(StepError::Doubtful(asks)),
            (true, true) => Ok(read),
        }
    }

    /// The last reading of a name before a moment, however long ago: its text and unit.
    fn last(
        &self,
        rounds: &[Round],
        key: &str,
        at: Timestamp,
    ) -> Result<Option<(String, String)>, DeskError> {
        let told = |value: Option<f64>, text: &str, unit: &str| match (field::reading(key), value) {
            (Some(reading), Some(value)) => (shown(reading, value), reading.unit.to_owned()),
            _ => (text.to_owned(), unit.to_owned()),
        };
        let before = rounds.iter().rev().filter(|round| round.at <= at);
        let mut cells = before.filter_map(|round| round.cells.get(key));
        if let Some(cell) = cells.find(|cell| !cell.not_taken) {
            return Ok(Some(told(cell.value, &cell.text, &cell.unit)));
        }
        let older = self.reader().latest(key, Some(at))?;
        Ok(older.map(|older| {
            let (text, unit) = (older.text.unwrap_or_default(), older.unit.unwrap_or_default());
            told(older.si.map(|si| own_unit(key, si)), &text, &unit)
        }))
    }

    /// Whether a figure that stands was typed at a step of this run: it may be put right there.
    fn typed_here(&self, cell: &Cell, gathered: &Gathered) -> Result<bool, DeskError> {
        let root = self.reader().history(cell.seq)?.first().map_or(cell.seq, |entry| entry.seq);
        Ok(gathered.typed.contains_key(&root))
    }
}

/// Names of the readings that a step has boxes for: its own, and towards a tank those of a second instrument.
pub(super) fn boxes<'a>(run: &'a Run<'_>, step: Option<&'a Step>) -> Vec<&'a str> {
    let own = step.map_or_else(Vec::new, names);
    let tank = step.is_some_and(|step| step.towards == Towards::Tank);
    own.into_iter().chain(run.second_names().filter(|_| tank)).collect()
}

/// Why a reading was not taken, where the text says that it was not; empty where it does not say why.
fn not_taken(text: &str) -> Option<&str> {
    const SHORT: [&str; 5] = ["n/a", "na", "n.a.", "-", "–"];
    const SAYS: &str = "not taken";
    let text = text.trim();
    if SHORT.iter().any(|short| text.eq_ignore_ascii_case(short)) {
        return Some("");
    }
    let begins = text.get(..SAYS.len()).filter(|begin| begin.eq_ignore_ascii_case(SAYS))?;
    Some(text[begins.len()..].trim_start_matches([':', ',', ' ', '-', '–']))
}

/// What is odd about what was typed.
fn remarks(
    setup: &Setup,
    asked: &[&str],
    rounds: &[Round],
    typed: &[Pending],
    at: Timestamp,
) -> Vec<Remark> {
    let figures: Figures =
        typed.iter().filter_map(|typed| Some((typed.key.clone(), typed.value?))).collect();
    if figures.is_empty() {
        return Vec::new();
    }
    let before = &rounds[..rounds.partition_point(|round| round.at <= at)];
    let mut known = with_last(before, &Round { at, actors: Vec::new(), cells: BTreeMap::new() });
    known.extend(figures.clone());
    let expectation = setup
        .plant
        .banding(&setup.uncertainty)
        .ok()
        .and_then(|banding| expected::expect(setup, &banding, &known).ok());
    let around = entry::around(setup, rounds, at);
    let mut odd = entry::remarks(setup, &figures, &known, &around, None, expectation.as_ref());
    // What the step itself asks of a reading is for its guard to say, unless the figure is far from any that is seen at sea.
    let guarded = |remark: &Remark| {
        // While vacuum is pulled the gauge goes up from nothing: it is not lost, and the guard says how much is wanted.
        if remark.key == "shell_gauge_bar_g" && asked.contains(&remark.key) {
            return true;
        }
        let near = figures.get(remark.key).zip(field::reading(remark.key));
        asked.contains(&remark.key)
            && near.is_some_and(|(x, reading)| {
                let (low, high) = far(reading.usual);
                (low..=high).contains(x)
            })
    };
    odd.retain(|remark| !(remark.only_unusual && guarded(remark)));
    odd
}

/// The usual range widened: from half to twice, and what begins at nothing, as salt does, by far more.
fn far((low, high): (f64, f64)) -> (f64, f64) {
    if low > 0.0 { (low / 2.0, high * 2.0) } else { (low * 2.0, high * 20.0) }
}
