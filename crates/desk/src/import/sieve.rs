//! What of a file is new to the record.

use std::collections::HashMap;
use std::hash::{BuildHasher, RandomState};

use jiff::Timestamp;
use logbook::import::PlannedRow;
use logbook::{Held, Reader, Value};

use crate::desk::DeskError;

/// Takes out of rows what the record holds or an earlier row gave: same name, same time, same unit, same figure, however
/// its decimal sign was written.
pub(super) struct Sieve {
    record: Held,
    /// After this moment the record holds no reading.
    newest: Option<Timestamp>,
    /// What the record holds for the moment of the last row.
    written: Vec<Value>,
    at: Option<Timestamp>,
    /// One number for each value let through, by its second: of all the file this alone is kept. Two values of one second
    /// have the same one by chance once in 2⁶⁴ files.
    seen: HashMap<i64, Vec<u64>>,
    key: RandomState,
    pub(super) known: usize,
    pub(super) new: usize,
}

/// One and the same: to the letter, or the same figure with another decimal sign.
fn same(a: &Value, b: &Value) -> bool {
    let figures = a.si.is_some() && a.si == b.si;
    a.name == b.name && a.unit == b.unit && (a.text == b.text || figures)
}

impl Sieve {
    /// Over this record as it stands now.
    pub(super) fn of(record: Reader) -> Result<Self, DeskError> {
        let record = record.held()?;
        Ok(Self {
            newest: record.newest_reading()?,
            record,
            written: Vec::new(),
            at: None,
            seen: HashMap::new(),
            key: RandomState::new(),
            known: 0,
            new: 0,
        })
    }

    /// The record as it stood before the file.
    pub(super) fn record(&self) -> &Reader {
        &self.record
    }

    /// The row with its new values alone, if it has any.
    pub(super) fn sift(&mut self, mut row: PlannedRow) -> Result<Option<PlannedRow>, DeskError> {
        if self.at != Some(row.at) {
            self.written = if self.newest.is_some_and(|newest| row.at <= newest) {
                self.record.written_at(row.at)?
            } else {
                Vec::new()
            };
            self.at = Some(row.at);
        }
        let given = row.values.len();
        let (written, key) = (&self.written, &self.key);
        let seen = self.seen.entry(row.at.as_second()).or_default();
        let before = seen.len();
        row.values.retain(|v| {
            let what = key.hash_one((&v.name, &v.text, &v.unit));
            let is_new = !written.iter().any(|w| same(w, v)) && !seen.contains(&what);
            if is_new {
                seen.push(what);
            }
            is_new
        });
        self.new += seen.len() - before;
        self.known += given - row.values.len();
        Ok((!row.values.is_empty()).then_some(row))
    }
}
