//! Times as they are typed: instants, lengths of time and offsets of a clock, read and written back.

use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};

use crate::problem::Fault;

/// Longest text looked at for any of them.
const LONGEST: usize = 64;

/// Reads an instant: `2026-11-20 06:00Z`, `20.11.2026 0600 UTC`, `20 Nov 2026 16:00+10`. Without a zone it is UTC, and the
/// note says so.
pub(crate) fn read_instant(
    field: &'static str,
    text: &str,
) -> Result<(Timestamp, Option<Fault>), Fault> {
    let read = || text.to_owned();
    let refused = || Fault::Instant { field, read: read() };
    let moment = quantity::read_moment(text).ok_or_else(refused)?;
    let date = quantity::day_first(moment.date, text).map_err(|why| Fault::MonthFirst {
        field,
        read: read(),
        why,
    })?;
    // A date alone is no instant, though a calendar would take its midnight.
    let civil = date.to_datetime(moment.time.ok_or_else(refused)?);
    let offset = moment.offset.unwrap_or(Offset::UTC);
    let at = offset.to_timestamp(civil).map_err(|_| refused())?;
    Ok((at, moment.offset.is_none().then(|| Fault::UtcTaken { field, read: read() })))
}

/// An instant as it is typed: `2026-11-20 06:00Z`, with seconds only where there are any.
pub(crate) fn write_instant(at: Timestamp) -> String {
    let civil = Offset::UTC.to_datetime(at);
    let is_plain = civil.second() == 0 && civil.subsec_nanosecond() == 0 && civil.year() >= 0;
    if is_plain { at.strftime("%Y-%m-%d %H:%MZ").to_string() } else { at.to_string() }
}

/// What a length of time is counted in, seconds.
const UNITS: [(&[&str], f64); 4] = [
    (&["d", "day", "days"], 86_400.0),
    (&["h", "hr", "hrs", "hour", "hours"], 3_600.0),
    (&["min", "mins", "m", "minute", "minutes"], 60.0),
    (&["s", "sec", "second", "seconds"], 1.0),
];

/// Reads a length of time: `12 h`, `3 d`, `90 min`, `1 d 6 h`, `1,5 d`.
pub(crate) fn read_length(text: &str) -> Result<SignedDuration, Fault> {
    let refused = || Fault::Length { read: text.to_owned() };
    if text.len() > LONGEST {
        return Err(refused());
    }
    let mut rest = text.trim();
    let mut seconds = 0.0;
    let mut is_any = false;
    while !rest.is_empty() {
        let is_figure = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+');
        let figure_end = rest.find(|c| !is_figure(c)).ok_or_else(refused)?;
        let (figure, after) = rest.split_at(figure_end);
        let after = after.trim_start();
        let unit_end = after.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(after.len());
        let (unit, after) = after.split_at(unit_end);
        let value: f64 = figure.replace(',', ".").parse().map_err(|_| refused())?;
        let unit = unit.to_ascii_lowercase();
        let worth = UNITS.iter().find(|(names, _)| names.contains(&unit.as_str()));
        seconds += value * worth.ok_or_else(refused)?.1;
        is_any = true;
        rest = after.trim_start();
    }
    if !is_any {
        return Err(refused());
    }
    from_seconds(seconds)
}

/// To the millisecond; beyond what can be counted it is a stay too long.
pub(crate) fn from_seconds(seconds: f64) -> Result<SignedDuration, Fault> {
    SignedDuration::try_from_secs_f64((seconds * 1000.0).round() / 1000.0)
        .map_err(|_| Fault::Stay { days: seconds / 86_400.0 })
}

/// A length of time as it is typed: `1 d 6 h`; to the millisecond.
pub(crate) fn write_length(length: SignedDuration) -> String {
    let millis = length.as_millis();
    let sign = if millis < 0 { "-" } else { "" };
    let mut left = millis.unsigned_abs();
    let mut parts = Vec::new();
    for (unit, worth) in [("d", 86_400_000), ("h", 3_600_000), ("min", 60_000)] {
        let count = left / worth;
        left %= worth;
        if count > 0 {
            parts.push(format!("{sign}{count} {unit}"));
        }
    }
    if left > 0 {
        let seconds = format!("{sign}{}.{:03}", left / 1000, left % 1000);
        parts.push(format!("{} s", seconds.trim_end_matches('0').trim_end_matches('.')));
    }
    if parts.is_empty() { "0 h".to_owned() } else { parts.join(" ") }
}

/// Reads an offset: `+10`, `-03:30`, `+0530`, `UTC`, `UTC+10`.
pub(crate) fn read_zone(text: &str) -> Result<Offset, Fault> {
    quantity::read_offset(text).ok_or_else(|| Fault::Zone { read: text.to_owned() })
}

/// An offset as it is typed: `+10`, `-03:30`.
pub(crate) fn write_zone(zone: Offset) -> String {
    let minutes = zone.seconds() / 60;
    let sign = if minutes < 0 { '-' } else { '+' };
    match (minutes.abs() / 60, minutes.abs() % 60) {
        (hours, 0) => format!("{sign}{hours}"),
        (hours, minutes) => format!("{sign}{hours:02}:{minutes:02}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn instants_are_read_in_the_ways_they_are_typed() {
        let wanted: Timestamp = "2026-11-20T06:00:00Z".parse().unwrap();
        for text in [
            "2026-11-20 06:00Z",
            "2026-11-20T06:00:00Z",
            "2026-11-20 0600 UTC",
            "2026-11-20 06:00 z",
            "2026-11-20 16:00+10",
            "2026-11-20 16:00 +10:00",
            "2026-11-20 02:30-03:30",
            "20.11.2026 0600Z",
            "20/11/2026 06:00 UTC",
            "20-Nov-26 16:00+10",
        ] {
            assert_eq!(read_instant("ETA", text), Ok((wanted, None)), "{text}");
        }
        let (at, note) = read_instant("ETA", "2026-11-20 06:00").unwrap();
        assert_eq!(at, wanted);
        assert!(note.unwrap().is_note());
        for bad in ["", "2026-11-20", "20/11 0600", "2026-13-20 06:00Z", "tomorrow", "06:00Z"] {
            assert!(read_instant("ETA", bad).is_err(), "{bad}");
        }
        let told = read_instant("ETA", "11.20.2026 06:00Z").unwrap_err().told().remedy;
        assert!(told.contains("write 2026-11-20 or 20 Nov 2026"), "{told}");
    }

    #[test]
    fn lengths_are_read_in_the_ways_they_are_typed() {
        let hours = SignedDuration::from_hours;
        for (text, wanted) in [
            ("12 h", hours(12)),
            ("3d", hours(72)),
            ("1 d 6 h", hours(30)),
            ("1,5 d", hours(36)),
            ("90 min", SignedDuration::from_mins(90)),
            ("-3 h", hours(-3)),
        ] {
            assert_eq!(read_length(text), Ok(wanted), "{text}");
        }
        for bad in ["", "12", "h", "3 weeks", "1..2 h", "12 h x"] {
            assert!(matches!(read_length(bad), Err(Fault::Length { .. })), "{bad}");
        }
        assert!(matches!(read_length("1000000000000000000000 d"), Err(Fault::Stay { .. })));
    }

    #[test]
    fn ident_lengths_zones_and_instants_return_themselves() {
        for seconds in [0, 1, 59, 60, 3600, 86_399, 86_400, 93_784, 34_560_000] {
            let length = SignedDuration::from_secs(seconds);
            assert_eq!(read_length(&write_length(length)), Ok(length));
        }
        for minutes in -840..=840 {
            let zone = Offset::from_seconds(minutes * 60).unwrap();
            assert_eq!(read_zone(&write_zone(zone)), Ok(zone));
        }
        for second in [0_i64, 60, 61, 1_795_000_000, -62_000_000_000] {
            let at = Timestamp::from_second(second).unwrap();
            assert_eq!(read_instant("ETA", &write_instant(at)), Ok((at, None)));
        }
        for bad in ["", "10", "+15", "+10:60", "+1:0:0", "++1", "X"] {
            assert!(read_zone(bad).is_err(), "{bad}");
        }
    }
}
