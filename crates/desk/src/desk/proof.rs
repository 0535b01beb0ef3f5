//! Is the record complete and unaltered? Its entries, the walk over the chain, seals, and going on after what is out of order.

use std::sync::PoisonError;

use jiff::Timestamp;
use logbook::{Broken, Draft, Entry};

use super::{Desk, DeskError, hand};

/// Two clocks differ by this much without anybody asking, seconds.
const CLOCK_OFF_S: i64 = 120;

impl Desk {
    /// Entries before one, newest first.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn entries(&self, before: Option<u64>, limit: usize) -> Result<Vec<Entry>, DeskError> {
        Ok(self.reader().entries(before, limit)?)
    }

    /// Number of entries and the head of the chain.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn head(&self) -> Result<(u64, logbook::Hash), DeskError> {
        Ok(self.reader().head()?)
    }

    /// Walks the whole chain and tells the first thing out of order.
    ///
    /// # Errors
    /// The record cannot be read at all.
    pub fn verify(&self) -> Result<logbook::Verdict, DeskError> {
        // A reader of its own: the walk takes a while on a long record, and pages go on meanwhile.
        let reader = self.record()?;
        let verdict = logbook::verify(&reader, |_, _| ())?;
        let gone_on = match verdict.broken.as_ref().and_then(|broken| broken.seq) {
            Some(seq) => reader.went_on_after(seq)?,
            None => false,
        };
        *self.altered.write().unwrap_or_else(PoisonError::into_inner) =
            verdict.broken.clone().filter(|_| !gone_on);
        Ok(verdict)
    }

    /// What the last walk found out of order, until a walk finds it in order again; none before the first.
    #[must_use]
    pub fn altered(&self) -> Option<Broken> {
        self.altered.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// By how much the computer's clock lies behind the newest entry, seconds, where that is more than a clock is off.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn clock_behind_s(&self, now: Timestamp) -> Result<Option<i64>, DeskError> {
        let newest = self.reader().entries(None, 1)?.pop();
        let behind = newest.map(|entry| entry.logged.as_second() - now.as_second());
        Ok(behind.filter(|s| *s > CLOCK_OFF_S))
    }

    /// Holds a seal's code from the bound book against the record.
    ///
    /// # Errors
    /// The record cannot be read at all.
    pub fn compare_seal(
        &self,
        day: jiff::civil::Date,
        code: &str,
    ) -> Result<logbook::SealCheck, DeskError> {
        let reader = self.record()?;
        Ok(reader.compare_seal(day, code)?)
    }

    /// Confirms by name that the computer's clock is right although it jumped; writing goes on from there.
    ///
    /// # Errors
    /// The record cannot be written.
    pub fn confirm_clock(&self, by: &str, now: Timestamp) -> Result<u64, DeskError> {
        Ok(self.book()?.confirm_clock(hand(by)?, now)?.seq)
    }

    /// The newest entry, where it is out of order: nothing but emergencies is written until somebody goes on from it.
    #[must_use]
    pub fn broken(&self) -> Option<Broken> {
        self.broken.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Goes on after a newest entry out of order, by name and with what was found; the answer is the entry saying so.
    ///
    /// # Errors
    /// Nothing is out of order there, no reason, or the record cannot be written.
    pub fn go_on(&self, by: &str, reason: &str, now: Timestamp) -> Result<u64, DeskError> {
        let receipt = self.book()?.go_on(hand(by)?, reason.trim(), now)?;
        let passed = self.broken.write().unwrap_or_else(PoisonError::into_inner).take();
        let mut altered = self.altered.write().unwrap_or_else(PoisonError::into_inner);
        altered.take_if(|found| passed.is_some_and(|passed| passed.seq == found.seq));
        Ok(receipt.seq)
    }

    /// Writes a note that nothing stands before: not a doubted clock, a full disk or a newest entry out of order.
    ///
    /// # Errors
    /// No initials, or the record cannot be written at all.
    pub fn emergency(&self, by: &str, text: &str, now: Timestamp) -> Result<u64, DeskError> {
        Ok(self.book()?.append(Draft::emergency_note(hand(by)?, text.trim()), now)?.seq)
    }

    /// Seals everything up to now for the sea day that is running: the seal and its entry.
    ///
    /// # Errors
    /// Nothing to seal, or the record cannot be written.
    pub fn seal(&self, by: &str, now: Timestamp) -> Result<(u64, logbook::Seal), DeskError> {
        let (receipt, seal) = self.book()?.seal_day(now, hand(by)?, now)?;
        Ok((receipt.seq, seal))
    }

    /// The seals, newest first.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn seals(&self, limit: usize) -> Result<Vec<logbook::Sealed>, DeskError> {
        Ok(self.reader().seals(limit)?)
    }
}
