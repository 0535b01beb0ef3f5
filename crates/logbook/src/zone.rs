//! Ship's time: the offset of the ship's clocks from UTC, and instants written to the second.

use std::fmt;
use std::str::FromStr;

use jiff::Timestamp;

use crate::error::Error;

/// Seconds in a day of 24 hours.
pub(crate) const DAY_S: i64 = 86_400;

/// The ship's clocks against UTC, in whole minutes, −14:00 to +14:00 (clocks are moved by 20 min as well).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Zone {
    minutes: i16,
}

impl Zone {
    /// The widest offset either way, minutes.
    pub const MAX_MINUTES: i16 = 14 * 60;
    /// Ship's clocks on UTC.
    pub const UTC: Self = Self { minutes: 0 };

    /// An offset east of Greenwich (west is negative), in minutes.
    pub fn from_minutes(minutes: i32) -> Result<Self, Error> {
        match i16::try_from(minutes) {
            Ok(minutes) if minutes.abs() <= Self::MAX_MINUTES => Ok(Self { minutes }),
            _ => Err(Error::Zone { read: format!("{minutes} min") }),
        }
    }

    /// An offset east of Greenwich (west is negative), in whole hours.
    pub fn from_hours(hours: i32) -> Result<Self, Error> {
        Self::from_minutes(hours.saturating_mul(60))
    }

    /// Minutes ahead of UTC.
    pub fn minutes(self) -> i32 {
        i32::from(self.minutes)
    }

    /// Seconds ahead of UTC.
    pub fn seconds(self) -> i64 {
        i64::from(self.minutes) * 60
    }

    /// The same offset for `jiff`.
    pub fn offset(self) -> jiff::tz::Offset {
        jiff::tz::Offset::from_seconds(self.minutes() * 60).unwrap_or(jiff::tz::Offset::UTC)
    }

    /// What the ship's clocks showed at this instant.
    pub fn local(self, at: Timestamp) -> jiff::civil::DateTime {
        self.offset().to_datetime(at)
    }

    /// The instant at which clocks on this offset showed `local`.
    pub fn instant(self, local: jiff::civil::DateTime) -> Result<Timestamp, Error> {
        self.offset().to_timestamp(local).map_err(|_| Error::Time { read: local.to_string() })
    }

    /// The instant in ship's time with its offset, `2026-11-25T16:15:00+10:00`.
    pub fn written(self, at: Timestamp) -> String {
        format!("{}{self}", self.local(whole_second(at)))
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.minutes < 0 { '-' } else { '+' };
        let minutes = self.minutes.abs();
        write!(f, "{sign}{:02}:{:02}", minutes / 60, minutes % 60)
    }
}

impl FromStr for Zone {
    type Err = Error;

    /// Reads an offset as [`quantity::read_offset`] does: `+10:00`, `-0330`, `+9.5`, `UTC+10`, `Z`.
    fn from_str(text: &str) -> Result<Self, Error> {
        let refuse = || Error::Zone { read: text.to_owned() };
        let offset = quantity::read_offset(text).ok_or_else(refuse)?;
        Self::from_minutes(offset.seconds() / 60).map_err(|_| refuse())
    }
}

/// The instant cut to the whole second it lies in: the record keeps no fractions.
pub(crate) fn whole_second(at: Timestamp) -> Timestamp {
    from_second(at.as_second() - i64::from(at.subsec_nanosecond() < 0))
}

/// The instant of a stored second; outside what a calendar holds it is the nearest end.
pub(crate) fn from_second(second: i64) -> Timestamp {
    Timestamp::from_second(second).unwrap_or(if second < 0 {
        Timestamp::MIN
    } else {
        Timestamp::MAX
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_zone_text_returns_itself() {
        for minutes in -840..=840 {
            let zone = Zone::from_minutes(minutes).unwrap();
            assert_eq!(zone.to_string().parse::<Zone>().unwrap(), zone);
        }
        assert_eq!("+10".parse::<Zone>().unwrap().minutes(), 600);
        assert_eq!("-0330".parse::<Zone>().unwrap().minutes(), -210);
        assert_eq!("UTC-3,5".parse::<Zone>().unwrap().minutes(), -210);
        assert_eq!("Z".parse::<Zone>().unwrap(), Zone::UTC);
        for bad in ["", "10:00", "+15:00", "+10:60", "+1:0:0", "++1", "+ 1", "+-1"] {
            assert!(bad.parse::<Zone>().is_err(), "{bad}");
        }
        assert!(Zone::from_minutes(841).is_err());
    }

    #[test]
    fn ident_whole_second_rounds_down_on_both_sides_of_1970() {
        let after: Timestamp = "2026-11-25T06:15:00.9Z".parse().unwrap();
        assert_eq!(whole_second(after).to_string(), "2026-11-25T06:15:00Z");
        let before: Timestamp = "1969-12-31T23:59:58.5Z".parse().unwrap();
        assert_eq!(whole_second(before).to_string(), "1969-12-31T23:59:58Z");
    }
}
