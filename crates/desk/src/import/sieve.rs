//! What of a file is new to the record.

use std::collections::HashSet;
use std::hash::{BuildHasher, RandomState};

use jiff::Timestamp;
use logbook::import::PlannedRow;
use logbook::{Reader, Value};

use crate::desk::DeskError;

/// Takes out of rows what the record holds or an earlier row gave: same name, same time, same unit, same figure, however
/// its decimal sign was written.
pub(super) struct Sieve {
    record: Reader,
    /// What the record holds for the moment of the last row.
    written: Vec<Value>,
    at: Option<Timestamp>,
    /// One number for each value let through: of all the file this alone is kept. Two values have the same one as
    /// seldom as two files the same hash.
    seen: HashSet<u128>,
    keys: [RandomState; 2],
    pub(super) known: usize,
    pub(super) new: usize,
}

/// One and the same: to the letter, or the same figure with another decimal sign.
fn same(a: &Value, b: &Value) -> bool {
    let figures = a.si.is_some() && a.si == b.si;
    a.name == b.name && a.unit == b.unit && (a.text == b.text || figures)
}

impl Sieve {
    pub(super) fn of(record: Reader) -> Self {
        Self {
            record,
            written: Vec::new(),
            at: None,
            seen: HashSet::new(),
            keys: [RandomState::new(), RandomState::new()],
            known: 0,
            new: 0,
        }
    }

    /// The row with its new values alone, if it has any.
    pub(super) fn sift(&mut self, mut row: PlannedRow) -> Result<Option<PlannedRow>, DeskError> {
        if self.at != Some(row.at) {
            self.written = self.record.written_at(row.at)?;
            self.at = Some(row.at);
        }
        let given = row.values.len();
        let (written, seen, keys) = (&self.written, &mut self.seen, &self.keys);
        row.values.retain(|v| {
            let what = (row.at.as_second(), &v.name, &v.text, &v.unit);
            let [high, low] = keys.each_ref().map(|key| u128::from(key.hash_one(what)));
            !written.iter().any(|w| same(w, v)) && seen.insert(high << 64 | low)
        });
        self.new += row.values.len();
        self.known += given - row.values.len();
        Ok((!row.values.is_empty()).then_some(row))
    }
}
