//! What was told of the plant is listed whatever is found, and can be taken back: a closing, a cleaning, an instrument set right.

use ::findings::{Cause, Instrument, PROCESS};
use jiff::Timestamp;

use crate::desk::{Desk, DeskError, hand};

use super::words::ToldOfPlant;

/// Details of an event that this page writes.
const TOLD: [&str; 3] = ["finding", "cleaned", "recalibrated"];

/// Every cause that can be looked for, key and words, whatever is found likely.
#[must_use]
pub fn closable() -> Vec<(String, String)> {
    let instruments = Instrument::ALL
        .iter()
        .filter(|i| !super::checks::never_routine(**i) && **i != Instrument::FeedMeter)
        .map(|i| Cause::Instrument(*i));
    let all = PROCESS.into_iter().chain([Cause::HeaterLeak]).chain(instruments);
    all.map(|cause| (cause.key(), cause.words())).collect()
}

impl Desk {
    /// What was told of the plant up to a moment: cleanings, instruments set right, findings closed.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn told_of_plant(&self, now: Timestamp) -> Result<ToldOfPlant, DeskError> {
        ToldOfPlant::of(&self.reader(), now)
    }

    /// Takes back a closing, a cleaning or an instrument set right: it stays readable with the reason and counts no more.
    ///
    /// # Errors
    /// No such entry, one of another kind, no reason or initials, or why the record cannot be written.
    pub fn withdraw_told(
        &self,
        seq: u64,
        reason: &str,
        by: &str,
        now: Timestamp,
    ) -> Result<(), DeskError> {
        let reason = reason.trim();
        if reason.is_empty() {
            return Err(DeskError::Asked(
                "Say why it is taken back: without a reason it is not.".to_owned(),
            ));
        }
        let author = hand(by)?;
        // Held from the look to the writing.
        let mut book = self.book()?;
        let root = self.reader().history(seq)?.into_iter().next();
        let root = root.ok_or_else(|| DeskError::Asked(format!("there is no entry {seq}")))?;
        if !TOLD.iter().any(|key| root.details.contains_key(*key)) {
            return Err(DeskError::Asked(format!(
                "entry {} is no closed finding, cleaning or instrument set right: it stays as it is",
                root.seq
            )));
        }
        book.withdraw(root.seq, reason, author, now)?;
        Ok(())
    }
}
