//! What was told of the plant is listed whatever is found, and can be taken back: a closing, a cleaning, an instrument set right.

use std::time::Duration;

use ::findings::{Cause, Instrument, PROCESS};
use jiff::Timestamp;

use crate::desk::{Desk, DeskError, hand};
use crate::round::METER;

use super::words::ToldOfPlant;
use super::{Lately, Since};

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

    /// Since when an instrument reads wrong as far as the findings at hand have it: where it changed within the rounds. None where they do
    /// not say, or where none are at hand.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn believed_since(
        &self,
        reading: &str,
        now: Timestamp,
    ) -> Result<Option<Timestamp>, DeskError> {
        let lately = self.findings_lately(Since::Cleaned, now, Duration::ZERO)?;
        let (Lately::Found(view) | Lately::Before(view)) = lately else { return Ok(None) };
        let instrument = if reading == METER { "product_t_day" } else { reading };
        let key = format!("instrument:{instrument}");
        let cause = view.causes.iter().find(|cause| cause.key == key);
        Ok(cause.and_then(|cause| cause.came).map(|came| came.at))
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
