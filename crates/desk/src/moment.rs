//! A moment as somebody types it, by the ship's clocks: a date with or without its time, or a time of day alone.

use jiff::civil::{Date, DateTime, Time};
use jiff::{Timestamp, ToSpan};
use logbook::ShipClock;

/// The instant at which the ship's clocks showed what was typed. An hour lived twice means the later one that is not ahead of `now`; a
/// time of day alone is the last one that is not; an offset behind the time goes before the clocks.
///
/// # Errors
/// In words: not a date and time, or an hour her clocks left out.
pub fn instant(clock: &ShipClock, text: &str, now: Timestamp) -> Result<Timestamp, String> {
    let no_time = || {
        format!(
            "“{}” is not a date and time: write ship’s time as 2026-11-16 16:00, 16.11.2026 16:00 or 16 Nov 2026 16:00, or 16:00 alone for the last one",
            text.trim()
        )
    };
    let left_out = |local: jiff::civil::DateTime| {
        format!(
            "her clocks never showed {}: they were put forward over it",
            local.strftime("%-d %b %H:%M")
        )
    };
    if let Some(time) = time_alone(text) {
        let today = clock.local(now).date();
        let days = [today, today.saturating_sub(1.day())];
        let found = days.into_iter().filter_map(|day| clock.instant(day.to_datetime(time), now));
        let past = found.filter(|at| *at <= now).max();
        return past.ok_or_else(|| left_out(today.to_datetime(time)));
    }
    if let Some(found) = day_and_time(text) {
        let this = clock.local(now).year();
        let years = [this - 1, this, this + 1];
        let at = years.into_iter().filter_map(found).filter_map(|local| clock.instant(local, now));
        return at.min_by_key(|at| at.duration_since(now).abs()).ok_or_else(no_time);
    }
    let moment = quantity::read_moment(text).ok_or_else(no_time)?;
    let date = quantity::day_first(moment.date, text).map_err(|why| why.to_string())?;
    let local = date.to_datetime(moment.time.unwrap_or(Time::midnight()));
    if let Some(offset) = moment.offset {
        return offset.to_timestamp(local).map_err(|_| no_time());
    }
    clock.instant(local, now).ok_or_else(|| left_out(local))
}

/// Months as a time of another day is told.
const MONTHS: [&str; 12] =
    ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// "15 Nov 08:00", as such a time is told on every page: the moment of a year; none of what has its own year.
fn day_and_time(text: &str) -> Option<impl Fn(i16) -> Option<DateTime> + use<>> {
    let mut words = text.split_whitespace();
    let (day, month, time) = (words.next()?, words.next()?, words.next()?);
    if words.next().is_some() {
        return None;
    }
    let day: i8 = day.trim_end_matches('.').parse().ok()?;
    let month = MONTHS.iter().position(|name| month.eq_ignore_ascii_case(name))?;
    let month = i8::try_from(month + 1).ok()?;
    let time = time_alone(time).filter(|_| time.contains(':'))?;
    Some(move |year| Date::new(year, month, day).ok().map(|date| date.to_datetime(time)))
}

/// "12:05", "12.05" or "1205" and nothing else.
fn time_alone(text: &str) -> Option<Time> {
    let text = text.trim();
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    let (hour, minute) = match text.split_once([':', '.']) {
        Some((hour, minute)) if minute.len() == 2 => (hour, minute),
        None if text.len() == 4 && digits == text => text.split_at(2),
        _ => return None,
    };
    Time::new(hour.parse().ok()?, minute.parse().ok()?, 0, 0).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_time_alone_is_the_last_one_that_is_not_ahead() {
        let now: Timestamp = "2026-11-16T04:20:00Z".parse().expect("moment");
        let clock = ShipClock::default();
        let at = |text: &str| instant(&clock, text, now).map(|t| t.to_string());
        for (text, moment) in [
            ("04:05", "2026-11-16T04:05:00Z"),
            ("04:20", "2026-11-16T04:20:00Z"),
            ("12:05", "2026-11-15T12:05:00Z"),
            ("1205", "2026-11-15T12:05:00Z"),
            (" 12.05 ", "2026-11-15T12:05:00Z"),
            ("16.10.2025", "2025-10-16T00:00:00Z"),
            ("16 Nov 2026 03:00", "2026-11-16T03:00:00Z"),
            // As the pages tell it: of the nearest such day.
            ("15 Nov 08:00", "2026-11-15T08:00:00Z"),
            ("31 Dec 23:10", "2026-12-31T23:10:00Z"),
            ("3 mar 07:00", "2027-03-03T07:00:00Z"),
        ] {
            assert_eq!(at(text).as_deref(), Ok(moment), "{text}");
        }
        for text in ["25:05", "12:5", "noon", "12:05:99:1"] {
            assert!(at(text).is_err_and(|why| why.contains("16:00 alone")), "{text}");
        }
    }
}
