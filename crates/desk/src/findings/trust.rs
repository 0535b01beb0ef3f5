//! Trusting an instrument less by hand, and as its kind again: kept in the ship file, so that every page reckons with it.

use jiff::Timestamp;

use crate::desk::{Desk, DeskError};
use crate::ship::{self, Trust};

use super::tables;

impl Desk {
    /// Trusts an instrument less: three times the errors of its kind, on every page; the change goes into the record.
    ///
    /// # Errors
    /// No such instrument, no initials, or why it cannot be kept.
    pub fn trust_less(&self, reading: &str, by: &str, now: Timestamp) -> Result<(), DeskError> {
        let setup = self.setup();
        let Some((standing, each)) = tables::less(&setup, reading) else {
            return Err(DeskError::Asked(format!(
                "{reading}: no instrument of the rounds reads it"
            )));
        };
        let mut ship = setup.ship.clone();
        ship.trusts.retain(|trust| trust.reading != reading);
        ship.trusts.push(Trust { reading: reading.to_owned(), standing, each });
        self.save_ship(&ship::write(&ship), by, now)
    }

    /// Trusts an instrument as its kind again.
    ///
    /// # Errors
    /// No initials, or why it cannot be kept.
    pub fn trust_as_usual(&self, reading: &str, by: &str, now: Timestamp) -> Result<(), DeskError> {
        let setup = self.setup();
        let mut ship = setup.ship.clone();
        ship.trusts.retain(|trust| trust.reading != reading);
        self.save_ship(&ship::write(&ship), by, now)
    }
}
