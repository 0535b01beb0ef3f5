//! The time of year, for climates that are known month by month.

use std::fmt;

/// Days in the months of a mean year.
const DAYS: [f64; 12] = [31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0];

/// A time of year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Season {
    /// Day of a year of 365.25 days, from 0 at its beginning.
    day: f64,
}

/// No such time of year.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeasonError {
    /// No such month.
    Month {
        /// The month given.
        month: u8,
    },
    /// No such day in that month.
    Day {
        /// The month given.
        month: u8,
        /// The day given.
        day: u8,
        /// Its last day.
        last: u8,
    },
}

impl Season {
    /// The middle of a month, 1 to 12.
    ///
    /// # Errors
    /// [`SeasonError::Month`].
    pub fn mid_month(month: u8) -> Result<Self, SeasonError> {
        let (before, length) = month_days(month)?;
        Ok(Self { day: before + 0.5 * length })
    }

    /// Noon of a day: month 1 to 12, day 1 to the month's last (29 February is taken in any year).
    ///
    /// # Errors
    /// [`SeasonError`].
    pub fn date(month: u8, day: u8) -> Result<Self, SeasonError> {
        let (before, length) = month_days(month)?;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 29 to 31
        let last = length.ceil() as u8;
        if !(1..=last).contains(&day) {
            return Err(SeasonError::Day { month, day, last });
        }
        Ok(Self { day: before + f64::from(day) - 0.5 })
    }

    /// The months whose middles lie around this time, from 0, and the share of the second.
    pub(crate) fn months(self) -> (usize, usize, f64) {
        let mut middle = 0.5 * DAYS[0];
        // From the middle of December, half a month before the year.
        let mut before = -0.5 * DAYS[11];
        for month in 0..12 {
            if self.day < middle {
                return ((month + 11) % 12, month, (self.day - before) / (middle - before));
            }
            before = middle;
            middle += 0.5 * (DAYS[month] + DAYS[(month + 1) % 12]);
        }
        (11, 0, (self.day - before) / (middle - before))
    }
}

/// Days before a month and in it.
fn month_days(month: u8) -> Result<(f64, f64), SeasonError> {
    let index = usize::from(month).checked_sub(1).ok_or(SeasonError::Month { month })?;
    let length = DAYS.get(index).ok_or(SeasonError::Month { month })?;
    Ok((DAYS[..index].iter().sum(), *length))
}

impl fmt::Display for SeasonError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Month { month } => {
                write!(f, "month {month}: allowed are 1 (January) to 12 (December)")
            }
            Self::Day { month, day, last } => {
                write!(f, "day {day}: month {month} has days 1 to {last}")
            }
        }
    }
}

impl std::error::Error for SeasonError {}
