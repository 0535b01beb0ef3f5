//! The program's own export of readings, read back as the sets a finding is made from: the same as of the record.

use std::collections::BTreeMap;

use ::findings::ReadingSet;
use jiff::Timestamp;

use crate::export::HEADINGS;
use crate::round::{Cell, Round, own_unit};
use crate::setup::Setup;
use crate::typed::si_in;

use super::sets::sets;
use super::words::ToldOfPlant;

/// Most rows that are taken.
const MOST_ROWS: usize = 500_000;

/// Whether a file is such an export.
#[must_use]
pub fn is_export(text: &str) -> bool {
    let first = text.trim_start_matches('\u{feff}').lines().next().unwrap_or_default();
    first.trim_end() == HEADINGS.join(",")
}

/// The sets of an export with what had to be left out, in sentences: marks, counter and checks as on the pages. Cleanings and what was
/// switched stand in the record alone.
///
/// # Errors
/// The first row that cannot be taken, with its line.
pub fn sets_of_export(setup: &Setup, text: &str) -> Result<(Vec<ReadingSet>, Vec<String>), String> {
    let mut rounds: BTreeMap<Timestamp, Round> = BTreeMap::new();
    let mut reader = csv::Reader::from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    for (count, row) in reader.records().enumerate() {
        let row = row.map_err(|e| e.to_string())?;
        let line = row.position().map_or(0, csv::Position::line);
        if count >= MOST_ROWS {
            return Err(format!("more than {MOST_ROWS} rows; take a shorter span"));
        }
        let of = |name: &str| {
            HEADINGS.iter().position(|h| *h == name).and_then(|at| row.get(at)).unwrap_or_default()
        };
        let (name, value, unit) = (of("name"), of("value"), of("unit"));
        let at: Timestamp = of("time utc").parse().map_err(|_| {
            format!(
                "line {line}, time utc: \"{}\" is no moment; write 2025-11-16T04:20:00Z",
                of("time utc")
            )
        })?;
        let si = match value {
            "" => None,
            figure => {
                let number = figure.parse::<f64>().ok().filter(|x| x.is_finite());
                let number = number.ok_or_else(|| {
                    format!("line {line}, {name}: \"{figure}\" is not a number; leave it empty where nothing was read")
                })?;
                Some(si_in(name, number, unit).ok_or_else(|| {
                    format!("line {line}, {name}: unit \"{unit}\" does not go with it")
                })?)
            }
        };
        let cell = Cell {
            value: si.map(|si| own_unit(name, si)),
            text: of("as typed").to_owned(),
            unit: unit.to_owned(),
            why: Some(of("why").to_owned()).filter(|why| !why.is_empty()),
            not_taken: of("quality") == logbook::Quality::NotTaken.word(),
            struck: None,
            seq: of("seq").parse().unwrap_or_default(),
        };
        let round = rounds.entry(at).or_insert_with(|| Round {
            at,
            actors: Vec::new(),
            cells: BTreeMap::new(),
        });
        round.cells.insert(name.to_owned(), cell);
    }
    let rounds: Vec<Round> = rounds.into_values().collect();
    let found = sets(setup, &rounds, &ToldOfPlant::default(), Timestamp::UNIX_EPOCH);
    Ok((found.sets, found.notes))
}
