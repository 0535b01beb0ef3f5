//! The rows of a file with what is new to the record in them, counted and looked at on the way.

use logbook::Reader;
use logbook::import::{Plan, PlannedRow, Rows};

use crate::desk::DeskError;
use crate::setup::Setup;

use super::odd::{Odd, Odds};
use super::sieve::Sieve;

/// Rows in the order of the file, those without anything new left out.
pub(super) struct Sifted<'a> {
    rows: Rows<'a>,
    sieve: Sieve,
    odds: Odds<'a>,
    plan: Plan,
}

/// What was found once the rows are at their end.
pub(super) struct Found {
    pub(super) plan: Plan,
    pub(super) known: usize,
    pub(super) new: usize,
    pub(super) odd: Vec<Odd>,
    pub(super) all_odd: u64,
}

impl<'a> Sifted<'a> {
    /// The rows against this record, which is held as it stands now.
    pub(super) fn of(
        rows: Rows<'a>,
        plan: Plan,
        setup: &'a Setup,
        record: Reader,
    ) -> Result<Self, DeskError> {
        Ok(Self { rows, sieve: Sieve::of(record)?, odds: Odds::of(setup), plan })
    }

    /// Values new to the record so far.
    pub(super) fn new_so_far(&self) -> usize {
        self.sieve.new
    }

    /// The file as it came.
    pub(super) fn plan(&self) -> &Plan {
        &self.plan
    }

    /// Rows of which something was not taken so far.
    pub(super) fn refused_so_far(&self) -> u64 {
        self.rows.refused()
    }

    /// What there was, after the last row; held against the record as it stood before, though the file be taken by now.
    pub(super) fn found(mut self) -> Result<Found, DeskError> {
        self.rows.finish(&mut self.plan);
        let (odd, all_odd) = self.odds.told(self.sieve.record())?;
        Ok(Found { plan: self.plan, known: self.sieve.known, new: self.sieve.new, odd, all_odd })
    }
}

impl Iterator for Sifted<'_> {
    type Item = Result<PlannedRow, DeskError>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            match self.sieve.sift(self.rows.next()?) {
                Ok(None) => {}
                Ok(Some(row)) => {
                    self.odds.look(&row);
                    self.plan.add(&row);
                    return Some(Ok(row));
                }
                Err(error) => return Some(Err(error)),
            }
        }
    }
}
