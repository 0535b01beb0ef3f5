//! How long a stay is in a route exchange file: an XML Schema duration, or a time of day where the schema has that.

use jiff::SignedDuration;

use crate::problem::Fault;
use crate::when;

/// Reads `P3DT12H`, `PT30M`, `06:00:00` or `06:00`. Years and months have no length of their own and are refused.
pub(super) fn read(text: &str) -> Result<SignedDuration, Fault> {
    let refused = || Fault::Length { read: text.to_owned() };
    let text = text.trim();
    let seconds = match text.strip_prefix('P') {
        Some(duration) => of_duration(duration),
        None => of_time(text),
    };
    when::from_seconds(seconds.ok_or_else(refused)?)
}

fn of_duration(duration: &str) -> Option<f64> {
    let (days, time) = duration.split_once('T').unwrap_or((duration, ""));
    let mut seconds = 0.0;
    let mut is_any = false;
    for (text, units) in [
        (days, [("D", 86_400.0), ("W", 604_800.0)].as_slice()),
        (time, &[("H", 3_600.0), ("M", 60.0), ("S", 1.0)]),
    ] {
        let mut rest = text;
        while !rest.is_empty() {
            let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.')?;
            let value: f64 = rest[..end].parse().ok()?;
            let (_, worth) = units.iter().find(|(unit, _)| rest[end..].starts_with(unit))?;
            seconds += value * worth;
            rest = &rest[end + 1..];
            is_any = true;
        }
    }
    is_any.then_some(seconds)
}

fn of_time(text: &str) -> Option<f64> {
    let mut seconds = 0.0;
    let parts: Vec<&str> = text.trim_end_matches('Z').split(':').collect();
    if !matches!(parts.len(), 2 | 3) {
        return None;
    }
    for (part, (worth, limit)) in parts.iter().zip([(3600.0, 25.0), (60.0, 60.0), (1.0, 60.0)]) {
        let is_plain = part.starts_with(|c: char| c.is_ascii_digit());
        let value: f64 = part.parse().ok().filter(|value| is_plain && *value < limit)?;
        seconds += value * worth;
    }
    Some(seconds)
}

/// As a duration: `P1DT6H`; to the millisecond.
pub(super) fn write_duration(length: SignedDuration) -> String {
    let (days, time) = parts(length);
    let (hours, minutes, seconds) = time;
    let mut out = "P".to_owned();
    if days > 0 {
        out.push_str(&format!("{days}D"));
    }
    out.push('T');
    for (count, unit) in [(hours, 'H'), (minutes, 'M')] {
        if count > 0 {
            out.push_str(&format!("{count}{unit}"));
        }
    }
    if seconds > 0.0 || out == "PT" {
        out.push_str(&format!("{seconds}S"));
    }
    out.trim_end_matches('T').to_owned()
}

/// As a time of day, for less than a day.
pub(super) fn write_time(length: SignedDuration) -> Option<String> {
    let (days, (hours, minutes, seconds)) = parts(length);
    (days == 0).then(|| {
        let whole = seconds.trunc();
        let rest = format!("{:.3}", seconds - whole);
        let rest = rest.trim_start_matches('0').trim_end_matches('0').trim_end_matches('.');
        format!("{hours:02}:{minutes:02}:{whole:02}{rest}")
    })
}

fn parts(length: SignedDuration) -> (u128, (u128, u128, f64)) {
    let millis = length.as_millis().max(0).unsigned_abs();
    let days = millis / 86_400_000;
    let left = millis % 86_400_000;
    let seconds = u32::try_from(left % 60_000).map_or(0.0, |left| f64::from(left) / 1000.0);
    (days, (left / 3_600_000, left % 3_600_000 / 60_000, seconds))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// XML Schema Part 2: Datatypes (W3C 2004), 3.2.6 duration: P1347Y is one, P-1347M is none; hours to seconds as there.
    #[test]
    fn ref_durations_and_times() {
        let hours = SignedDuration::from_hours;
        for (text, wanted) in [
            ("P3D", hours(72)),
            ("P1DT12H", hours(36)),
            ("PT12H", hours(12)),
            ("PT90M", SignedDuration::from_mins(90)),
            ("PT0.5S", SignedDuration::from_millis(500)),
            ("06:30:00", SignedDuration::from_mins(390)),
            ("06:30", SignedDuration::from_mins(390)),
            ("24:00:00", hours(24)),
        ] {
            assert_eq!(read(text), Ok(wanted), "{text}");
        }
        for bad in ["", "P", "PT", "P1Y", "P2M", "P-3D", "PT12", "12", "00.02.00", "6:70", "a:b"] {
            assert!(read(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn ident_durations_and_times_return_themselves() {
        for millis in [0, 500, 59_000, 61_500, 3_600_000, 86_399_999, 86_400_000, 310_000_000] {
            let length = SignedDuration::from_millis(millis);
            assert_eq!(read(&write_duration(length)), Ok(length), "{}", write_duration(length));
            match write_time(length) {
                Some(text) => assert_eq!(read(&text), Ok(length), "{text}"),
                None => assert!(millis >= 86_400_000),
            }
        }
    }
}
