//! Reading a date and an hour as people write them: "26.11.2026 06:15", "25-Nov-26", "2026-11-25T06:15Z".

use std::fmt;

use jiff::Timestamp;
use jiff::civil::{Date, Time};
use jiff::tz::Offset;

/// Longest text looked at; a date with its hour is far shorter.
const LONGEST: usize = 64;

/// The widest offset of a clock either way, seconds.
const WIDEST_OFFSET_S: i32 = 14 * 3600;

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// Which of 3/4/2026 comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DayOrder {
    /// 3 April.
    DayFirst,
    /// 4 March.
    MonthFirst,
}

/// A date as it was written: what it is with the day first, and what with the month first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WrittenDate {
    day_first: Option<Date>,
    month_first: Option<Date>,
    pointed: bool,
}

impl WrittenDate {
    fn plain(date: Date) -> Self {
        Self { day_first: Some(date), month_first: Some(date), pointed: false }
    }

    /// The date in this order of day and month; none where that is no date, as 11.25.2026 with the day first.
    #[must_use]
    pub fn by(self, order: DayOrder) -> Option<Date> {
        match order {
            DayOrder::DayFirst => self.day_first,
            DayOrder::MonthFirst => self.month_first,
        }
    }

    /// The order that alone makes a date of it; none where either does.
    #[must_use]
    pub fn order(self) -> Option<DayOrder> {
        match (self.day_first, self.month_first) {
            (Some(_), None) => Some(DayOrder::DayFirst),
            (None, _) => Some(DayOrder::MonthFirst),
            (Some(_), Some(_)) => None,
        }
    }

    /// Whether either order gives a date, and not the same.
    #[must_use]
    pub fn is_open(self) -> bool {
        self.order().is_none() && self.day_first != self.month_first
    }

    /// Whether its figures are parted by points: where that is the custom, the day comes first.
    #[must_use]
    pub fn is_pointed(self) -> bool {
        self.pointed
    }
}

/// A date with the hour and the offset from UTC behind it, as far as they were written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WrittenMoment {
    /// The date.
    pub date: WrittenDate,
    /// The hour.
    pub time: Option<Time>,
    /// The offset.
    pub offset: Option<Offset>,
}

/// Why a text is not taken as a date. The message says what was read and how to write it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DateError {
    /// No date.
    NotADate {
        /// What was read.
        read: String,
    },
    /// A date only with the month first.
    MonthFirst {
        /// What was read.
        read: String,
        /// The date it would be then.
        date: Date,
    },
}

impl fmt::Display for DateError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotADate { read } => write!(
                f,
                "\"{read}\" is not a date: write it as 2026-11-25, 25.11.2026, 25/11/2026 or 25 Nov 2026"
            ),
            Self::MonthFirst { read, date } => write!(
                f,
                "\"{read}\" has no such month with the day first: write {date} or {}",
                date.strftime("%-d %b %Y")
            ),
        }
    }
}

impl std::error::Error for DateError {}

/// Reads a date of which nothing else is known: where day and month can change places the day comes first.
///
/// # Errors
/// [`DateError`]: no date, or one only with the month first.
pub fn read_day(text: &str) -> Result<Date, DateError> {
    let read = || text.trim().chars().take(LONGEST).collect();
    let date = read_date(text).ok_or_else(|| DateError::NotADate { read: read() })?;
    day_first(date, text)
}

/// The date with the day first, `text` being what was written.
///
/// # Errors
/// [`DateError::MonthFirst`].
pub fn day_first(date: WrittenDate, text: &str) -> Result<Date, DateError> {
    let read = || text.trim().chars().take(LONGEST).collect();
    match (date.day_first, date.month_first) {
        (Some(day_first), _) => Ok(day_first),
        (None, Some(date)) => Err(DateError::MonthFirst { read: read(), date }),
        (None, None) => Err(DateError::NotADate { read: read() }),
    }
}

/// Reads a date alone: 2026-11-25, 25.11.2026, 25/11/26, 25-Nov-26, 25 November 2026. None when it is no date.
#[must_use]
pub fn read_date(text: &str) -> Option<WrittenDate> {
    let text = text.trim();
    if text.len() > LONGEST {
        return None;
    }
    if text.contains(|c: char| c.is_alphabetic()) {
        return with_month_in_words(text).map(WrittenDate::plain);
    }
    let sign = ['-', '/', '.'].into_iter().find(|sign| text.matches(*sign).count() == 2)?;
    let mut parts = text.split(sign).map(str::trim);
    let (a, b, c) = (parts.next()?, parts.next()?, parts.next()?);
    if a.len() == 4 {
        return date(number(a)?, number(b)?, number(c)?).map(WrittenDate::plain);
    }
    // 26-11-25 can begin with the year: with hyphens the year needs its four figures.
    if sign == '-' && c.len() != 4 {
        return None;
    }
    let (a, b, year) = (number(a)?, number(b)?, year(c)?);
    let (day_first, month_first) = (date(year, b, a), date(year, a, b));
    (day_first.is_some() || month_first.is_some()).then_some(WrittenDate {
        day_first,
        month_first,
        pointed: sign == '.',
    })
}

/// Reads a date, the hour and the offset behind it, as far as they are there: `2026-11-25T06:15:00Z`,
/// `26/11/2026 0615`, `25 Nov 2026 06:15 +10`. None when it is none of these.
#[must_use]
pub fn read_moment(text: &str) -> Option<WrittenMoment> {
    let text = text.trim();
    if text.len() > LONGEST {
        return None;
    }
    if let Ok(at) = text.replacen(' ', "T", 1).parse::<Timestamp>() {
        let utc = Offset::UTC.to_datetime(at);
        let (date, time) = (WrittenDate::plain(utc.date()), Some(utc.time()));
        return Some(WrittenMoment { date, time, offset: Some(Offset::UTC) });
    }
    if let Some(date) = read_date(text) {
        return Some(WrittenMoment { date, time: None, offset: None });
    }
    parted(text).find_map(|(date, hour)| {
        let (date, (time, offset)) = (read_date(date)?, read_hour(hour)?);
        Some(WrittenMoment { date, time: Some(time), offset })
    })
}

/// The places where a date can end and the hour begin: blanks from the right, or a T between figures.
fn parted(text: &str) -> impl Iterator<Item = (&str, &str)> {
    let blanks = text.rmatch_indices(char::is_whitespace);
    let letter = text.match_indices(['T', 't']).filter(|(at, _)| {
        text[..*at].ends_with(|c: char| c.is_ascii_digit())
            && text[at + 1..].starts_with(|c: char| c.is_ascii_digit())
    });
    blanks.chain(letter).map(|(at, sign)| (&text[..at], &text[at + sign.len()..]))
}

/// 06:15, 06:15:30, 0615, 06.15, with h, LT, am, pm or an offset behind it.
fn read_hour(text: &str) -> Option<(Time, Option<Offset>)> {
    let text = text.trim();
    let end = text.find(|c: char| !matches!(c, '0'..='9' | ':' | '.')).unwrap_or(text.len());
    let (hands, behind) = (&text[..end], text[end..].trim());
    let (hour, minute, second) = match hands.split(':').collect::<Vec<_>>()[..] {
        [h, m] => (number(h)?, number(m)?, 0),
        [h, m, s] => (number(h)?, number(m)?, number(s.split('.').next().unwrap_or(s))?),
        [hm] if hm.len() == 4 && !hm.contains('.') => (number(&hm[..2])?, number(&hm[2..])?, 0),
        [hm] => hm.split_once('.').and_then(|(h, m)| Some((number(h)?, number(m)?, 0)))?,
        _ => return None,
    };
    let (hour, offset) = match behind.to_ascii_lowercase().as_str() {
        "" | "h" | "hrs" | "lt" => (hour, None),
        "am" if (1..=12).contains(&hour) => (hour % 12, None),
        "pm" if (1..=12).contains(&hour) => (hour % 12 + 12, None),
        _ => (hour, Some(read_offset(behind)?)),
    };
    let part = |x: i16| i8::try_from(x).ok();
    Some((Time::new(part(hour)?, part(minute)?, part(second)?, 0).ok()?, offset))
}

/// Reads an offset from UTC: `+10`, `-03:30`, `+0530`, `+9.5`, `Z`, `UTC`, `UTC+10`. None when it is none, or beyond 14 h.
#[must_use]
pub fn read_offset(text: &str) -> Option<Offset> {
    let tidy = text.trim().to_uppercase().replace('\u{2212}', "-");
    let after = tidy.strip_prefix("UTC").or_else(|| tidy.strip_prefix("GMT")).unwrap_or(&tidy);
    let after = after.trim();
    if after.is_empty() && !tidy.is_empty() || after == "Z" {
        return Some(Offset::UTC);
    }
    let (sign, digits) = match (after.strip_prefix('+'), after.strip_prefix('-')) {
        (Some(digits), _) => (1, digits),
        (_, Some(digits)) => (-1, digits),
        _ => return None,
    };
    let (hours, minutes) = match (digits.split_once(':'), digits.split_once(['.', ','])) {
        (Some(parts), _) => parts,
        (None, Some((hours, part))) => (hours, quarter(part)?),
        (None, None) if digits.len() == 4 && digits.is_ascii() => digits.split_at(2),
        (None, None) => (digits, "0"),
    };
    let (hours, minutes) = (i32::from(number(hours)?), i32::from(number(minutes)?));
    let seconds = hours * 3600 + minutes * 60;
    (minutes <= 59 && seconds <= WIDEST_OFFSET_S)
        .then(|| Offset::from_seconds(sign * seconds).ok())
        .flatten()
}

/// The minutes of the quarters of an hour that clocks are set by, after a decimal sign.
fn quarter(part: &str) -> Option<&'static str> {
    Some(match part {
        "0" | "00" => "0",
        "25" => "15",
        "5" | "50" => "30",
        "75" => "45",
        _ => return None,
    })
}

/// 25-Nov-26, 25 November 2026, Nov 25, 2026, 2026-Nov-25.
fn with_month_in_words(text: &str) -> Option<Date> {
    let signs = |c: char| c.is_whitespace() || matches!(c, '-' | '/' | '.' | ',');
    let parts: Vec<&str> = text.split(signs).filter(|part| !part.is_empty()).collect();
    let [a, b, c] = parts[..] else { return None };
    match (month(a), month(b)) {
        (Some(month), None) => date(year(c)?, month, number(b)?),
        (None, Some(month)) if a.len() == 4 => date(number(a)?, month, number(c)?),
        (None, Some(month)) => date(year(c)?, month, number(a)?),
        _ => None,
    }
}

/// A month by its English name or the first three letters of it or more.
fn month(text: &str) -> Option<i16> {
    let text = text.to_lowercase();
    let at = MONTHS.iter().position(|name| text.len() >= 3 && name.starts_with(&text))?;
    i16::try_from(at + 1).ok()
}

/// Four figures, or two of this century.
fn year(text: &str) -> Option<i16> {
    match text.len() {
        2 => Some(2000 + number(text)?),
        4 => number(text),
        _ => None,
    }
}

/// Up to four figures and nothing else.
fn number(text: &str) -> Option<i16> {
    let plain = (1..=4).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

fn date(year: i16, month: i16, day: i16) -> Option<Date> {
    Date::new(year, i8::try_from(month).ok()?, i8::try_from(day).ok()?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(text: &str) -> String {
        let Some(m) = read_moment(text) else { return "none".to_owned() };
        let date = m.date.by(DayOrder::DayFirst).map_or("–".to_owned(), |d| d.to_string());
        let time = m.time.map_or(String::new(), |t| format!(" {t}"));
        let offset = m.offset.map_or(String::new(), |o| format!(" {o}"));
        format!("{date}{time}{offset}")
    }

    #[test]
    fn ref_instants_are_those_of_rfc_3339() {
        // RFC 3339 section 5.8, the first, second and fifth example.
        assert_eq!(written("1985-04-12T23:20:50.52Z"), "1985-04-12 23:20:50.52 +00");
        assert_eq!(written("1996-12-19T16:39:57-08:00"), "1996-12-20 00:39:57 +00");
        assert_eq!(written("1937-01-01T12:00:27.87+00:20"), "1937-01-01 11:40:27.87 +00");
    }

    #[test]
    fn ident_dates_are_read_in_the_ways_officers_write_them() {
        // Common practice.
        for text in [
            "2026-11-25",
            "25.11.2026",
            "25/11/2026",
            "25-11-2026",
            "25.11.26",
            "25/11/26",
            "25-Nov-26",
            "25 Nov 2026",
            "25. November 2026",
            "nov 25, 2026",
            "2026-Nov-25",
            "2026/11/25",
            " 25 NOV 26 ",
        ] {
            assert_eq!(written(text), "2026-11-25", "{text}");
        }
        for text in [
            "2026-11-25T06:15",
            "25.11.2026 0615",
            "25 Nov 2026 06:15 h",
            "25-Nov-26 6:15 AM",
            "25/11/2026 06.15 LT",
        ] {
            assert_eq!(written(text), "2026-11-25 06:15:00", "{text}");
        }
        assert_eq!(written("25-Oct-26 06:15:30"), "2026-10-25 06:15:30");
        assert_eq!(written("25.11.2026 06:15Z"), "2026-11-25 06:15:00 +00");
        assert_eq!(written("25 Nov 2026 06:15 +10:00"), "2026-11-25 06:15:00 +10");
        assert_eq!(written("25 Nov 2026 06:15 UTC-3"), "2026-11-25 06:15:00 -03");
        for text in [
            "",
            "noon",
            "31.02.2026",
            "26-11-25",
            "25.13.2026 06:61",
            "13.25.2026",
            "1/2",
            "25 Nov",
            "25.11.2026 26:00",
            "2026-11-25 06:15 +15",
        ] {
            assert_eq!(written(text), "none", "{text}");
        }
    }

    #[test]
    fn ident_the_order_of_day_and_month_is_told_where_only_one_makes_a_date() {
        let order = |text| read_date(text).map(|d| (d.order(), d.is_open()));
        assert_eq!(order("26/11/2026"), Some((Some(DayOrder::DayFirst), false)));
        assert_eq!(order("11.26.2026"), Some((Some(DayOrder::MonthFirst), false)));
        assert_eq!(order("3/4/2026"), Some((None, true)));
        assert_eq!(order("4/4/2026"), Some((None, false)));
        assert_eq!(order("3 Apr 2026"), Some((None, false)));
        let told = read_day("11.25.2026").map_err(|e| e.to_string());
        assert_eq!(
            told,
            Err("\"11.25.2026\" has no such month with the day first: write 2026-11-25 or 25 Nov 2026".into())
        );
        assert_eq!(read_day("3/4/2026").map(|d| d.to_string()), Ok("2026-04-03".into()));
        assert!(read_day("soon").is_err_and(|e| e.to_string().contains("write it as 2026-11-25")));
    }

    #[test]
    fn ident_offsets_reach_fourteen_hours_either_way() {
        let minutes = |text| read_offset(text).map(|o| o.seconds() / 60);
        for (text, wanted) in [
            ("Z", 0),
            ("utc", 0),
            ("+10", 600),
            ("\u{2212}03:30", -210),
            ("UTC+0530", 330),
            ("+14", 840),
        ] {
            assert_eq!(minutes(text), Some(wanted), "{text}");
        }
        for text in ["", "10", "+15", "+14:01", "+10:60", "+1:0:0", "++1", "X"] {
            assert_eq!(minutes(text), None, "{text}");
        }
    }
}
