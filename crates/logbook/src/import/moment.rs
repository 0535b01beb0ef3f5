//! A time as files write it: RFC 3339, year first, or day and month in either order.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};

/// Which of 3/4/2026 comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayOrder {
    /// 3 April.
    DayFirst,
    /// 4 March.
    MonthFirst,
}

/// A time read from a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Moment {
    /// With its offset: an instant.
    Instant(Timestamp),
    /// Without one: ship's time, or UTC.
    Local(DateTime),
    /// A date with slashes or points that could be read both ways.
    Open(DateTime, DateTime),
}

/// Reads a cell; none when it is no time.
pub(super) fn read(text: &str) -> Option<Moment> {
    let text = text.trim();
    if let Ok(at) = text.parse::<Timestamp>() {
        return Some(Moment::Instant(at));
    }
    if let Ok(at) = text.replacen(' ', "T", 1).parse::<Timestamp>() {
        return Some(Moment::Instant(at));
    }
    let (date, clock) = match text.split_once(['T', ' ']) {
        Some((date, clock)) => (date, time(clock.trim())?),
        None => (text, Time::midnight()),
    };
    match dates(date)? {
        (one, None) => Some(Moment::Local(one.to_datetime(clock))),
        (day_first, Some(month_first)) => {
            Some(Moment::Open(day_first.to_datetime(clock), month_first.to_datetime(clock)))
        }
    }
}

/// 06:15, 06:15:30, 0615.
fn time(text: &str) -> Option<Time> {
    let text = text.trim_end_matches(['Z', 'z', 'h']);
    let part = |s: &str| s.parse::<i8>().ok();
    let seconds = |s: &str| part(s.split('.').next().unwrap_or(s));
    match text.split(':').collect::<Vec<_>>()[..] {
        [h, m] => Time::new(part(h)?, part(m)?, 0, 0).ok(),
        [h, m, s] => Time::new(part(h)?, part(m)?, seconds(s)?, 0).ok(),
        [hm] if hm.len() == 4 && hm.is_ascii() => {
            Time::new(part(&hm[..2])?, part(&hm[2..])?, 0, 0).ok()
        }
        _ => None,
    }
}

/// A date; two where day and month can change places.
fn dates(text: &str) -> Option<(Date, Option<Date>)> {
    let sign = ['-', '/', '.'].into_iter().find(|c| text.matches(*c).count() == 2)?;
    let mut parts = text.split(sign).map(|p| p.trim().parse::<i16>().ok());
    let (a, b, c) = (parts.next()??, parts.next()??, parts.next()??);
    let date =
        |y: i16, m: i16, d: i16| Date::new(y, i8::try_from(m).ok()?, i8::try_from(d).ok()?).ok();
    if a >= 1000 {
        return Some((date(a, b, c)?, None));
    }
    let year = if c < 100 { 2000 + c } else { c };
    match (date(year, b, a), date(year, a, b)) {
        (Some(day_first), Some(month_first)) if day_first != month_first && sign == '/' => {
            Some((day_first, Some(month_first)))
        }
        // With points the day comes first everywhere.
        (Some(day_first), _) => Some((day_first, None)),
        (None, Some(month_first)) => Some((month_first, None)),
        (None, None) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ref_times_as_written() {
        // RFC 3339 section 5.8 examples, and the ways officers write them (common practice).
        assert!(matches!(read("1985-04-12T23:20:50.52Z"), Some(Moment::Instant(_))));
        assert!(matches!(read("1996-12-19T16:39:57-08:00"), Some(Moment::Instant(_))));
        let local = |text| match read(text) {
            Some(Moment::Local(dt)) => dt.to_string(),
            other => format!("{other:?}"),
        };
        assert_eq!(local("2026-11-25 06:15"), "2026-11-25T06:15:00");
        assert_eq!(local("25.11.2026 06:15"), "2026-11-25T06:15:00");
        assert_eq!(local("25/11/2026 0615"), "2026-11-25T06:15:00");
        assert_eq!(local("11/25/26 06:15:30"), "2026-11-25T06:15:30");
        assert!(matches!(read("3/4/2026 06:15"), Some(Moment::Open(_, _))));
        assert_eq!(read("31.02.2026"), None);
        assert_eq!(read("noon"), None);
    }
}
