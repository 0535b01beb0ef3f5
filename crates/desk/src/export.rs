//! The record written out: standing values as CSV, entries to the letter as JSON lines.

use std::io::Write;

use jiff::Timestamp;
use logbook::{Reader, Reading};
use quantity::{Style, read_number};

use crate::desk::DeskError;
use crate::typed;

/// Most rounds fetched at a time.
const PIECE: usize = 2_000;

/// Headings of the CSV, one row a value. `time utc` is what an import goes by; `value` is a figure with a decimal point,
/// whatever was typed, and empty for a word.
pub const HEADINGS: [&str; 12] = [
    "time utc",
    "ship's time",
    "name",
    "value",
    "as typed",
    "unit",
    "quality",
    "why",
    "source",
    "actor",
    "seq",
    "hash",
];

fn file(e: &std::io::Error) -> DeskError {
    DeskError::Asked(format!("the export could not be written: {e}"))
}

/// A text that a spreadsheet would run as a formula gets an apostrophe, which an import takes off.
fn harmless(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@']) && text.parse::<f64>().is_err() {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// The figure of a value with a decimal point and no groups, its digits as typed; empty for words.
fn figure(value: &Reading) -> String {
    let (Some(text), Some(si)) = (value.text.as_deref(), value.si) else { return String::new() };
    let unit = value.unit.as_deref().unwrap_or_default();
    let read = [Style::Point, Style::Comma].map(|style| read_number(text, style).ok());
    // "1,234" is one figure with a decimal comma and another with groups: the one that was meant has the value in SI.
    let off = |number: &f64| {
        typed::si_in(&value.name, *number, unit).map_or(f64::MAX, |x| (x - si).abs())
    };
    let Some(number) = read.into_iter().flatten().min_by(|a, b| off(a).total_cmp(&off(b))) else {
        return String::new();
    };
    let plain = [text.to_owned(), text.replace(',', ".")];
    let kept = plain.into_iter().find(|text| text.parse() == Ok(number));
    kept.unwrap_or_else(|| number.to_string())
}

/// Writes every standing value as CSV (RFC 4180), newest round first; a corrected figure appears as it stands now.
///
/// A reader is enough: the pages may be open meanwhile.
///
/// # Errors
/// The record cannot be read or the output not written.
pub fn csv(reader: &Reader, out: impl Write) -> Result<u64, DeskError> {
    let clock = reader.ship_clock()?;
    let mut csv = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out);
    csv.write_record(HEADINGS).map_err(|e| file(&e.into()))?;
    let mut written = 0;
    let mut until: Option<Timestamp> = None;
    loop {
        let rounds = reader.rounds(None, until, PIECE)?;
        let Some(last) = rounds.last() else { break };
        until = Timestamp::from_second(last.at.as_second() - 1).ok();
        for round in &rounds {
            let local = clock.zone(round.at).written(round.at);
            for value in &round.values {
                let entry = round.entries.iter().find(|e| e.seq == value.seq);
                csv.write_record([
                    round.at.to_string(),
                    local.clone(),
                    value.name.clone(),
                    figure(value),
                    harmless(value.text.as_deref().unwrap_or_default()),
                    value.unit.clone().unwrap_or_default(),
                    value.quality.word().to_owned(),
                    harmless(value.why.as_deref().unwrap_or_default()),
                    entry.map_or("", |e| e.author.source.word()).to_owned(),
                    entry.map(|e| e.author.actor.clone()).unwrap_or_default(),
                    value.seq.to_string(),
                    entry.map(|e| e.hash.to_string()).unwrap_or_default(),
                ])
                .map_err(|e| file(&e.into()))?;
                written += 1;
            }
        }
    }
    csv.flush().map_err(|e| file(&e))?;
    Ok(written)
}

/// Writes every entry's canonical text with its hash, one a line, oldest first: an outsider verifies the chain with it.
///
/// # Errors
/// The record cannot be read or the output not written.
pub fn lines(reader: &Reader, mut out: impl Write) -> Result<u64, DeskError> {
    let count = reader.count()?;
    for seq in 1..=count {
        if let Some(line) = reader.line(seq)? {
            writeln!(out, "{line}").map_err(|e| file(&e))?;
        }
    }
    Ok(count)
}
