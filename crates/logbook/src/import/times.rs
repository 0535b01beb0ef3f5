//! The instant of a row: with its offset from UTC as written, or by the clock it was read off.

use jiff::Timestamp;
use jiff::civil::DateTime;

use super::Reading;
use super::layout::Layout;
use crate::zone::Zone;

/// What times without an offset are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Times {
    /// What the ship's clocks showed, as the record has it at each time.
    Ship,
    /// On this offset throughout; UTC is one.
    At(Zone),
}

/// Who says so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimesBy {
    /// The person who brings the file.
    Said,
    /// The heading of the column.
    Heading,
    /// Nobody: the ship's clock is what a log is kept by.
    Custom,
}

/// How times without an offset were taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TimesTaken {
    /// What they are.
    pub times: Times,
    /// Who says so.
    pub by: TimesBy,
    /// How many rows have one.
    pub rows: u64,
    /// How many of these lie in an hour that the ship's clocks showed twice.
    pub doubled: u64,
}

impl TimesTaken {
    pub(super) fn of(layout: &Layout, how: &Reading<'_>) -> Self {
        let (times, by) = match how.times {
            Some(said) => (said, TimesBy::Said),
            None if layout.utc => (Times::At(Zone::UTC), TimesBy::Heading),
            None => (Times::Ship, TimesBy::Custom),
        };
        Self { times, by, rows: 0, doubled: 0 }
    }

    /// The instant at which the clock meant showed this.
    ///
    /// # Errors
    /// The ship's clocks never showed it, or no calendar has it.
    pub(super) fn instant(
        &mut self,
        local: DateTime,
        how: &Reading<'_>,
    ) -> Result<Timestamp, String> {
        self.rows += 1;
        match self.times {
            Times::At(zone) => zone.instant(local).map_err(|e| e.to_string()),
            Times::Ship => {
                self.doubled += u64::from(how.clock.instants(local).len() > 1);
                how.clock.instant(local, how.now).ok_or_else(|| {
                    "her clocks never showed this: they were put forward over it; write the offset from UTC behind the time, as 06:15 +10".to_owned()
                })
            }
        }
    }
}
