//! The record written out: standing values as CSV, entries to the letter as JSON lines.

use std::io::Write;

use jiff::Timestamp;
use logbook::Reader;

use crate::desk::DeskError;

/// Most rounds fetched at a time.
const PIECE: usize = 2_000;

/// Headings of the CSV, one row a value. `time utc` is what an import goes by.
pub const HEADINGS: [&str; 11] = [
    "time utc",
    "ship's time",
    "name",
    "value",
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
