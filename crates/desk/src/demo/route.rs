//! The demonstration's passage: Newcastle to Yokohama laden and back in ballast, as an officer would type it.

use std::fmt::Write as _;

use jiff::{SignedDuration, Timestamp};

use super::voyage::{LEGS, planned_zone_changes};

/// Degrees north and east, name. Great circles between; the plan's own example of a passage.
const TRACK: [(f64, f64, &str); 22] = [
    (-32.95, 151.85, "Newcastle"),
    (-32.75, 153.10, ""),
    (-28.0, 155.6, ""),
    (-20.0, 157.4, ""),
    (-12.0, 156.4, ""),
    (-9.2, 155.0, ""),
    (-5.6, 153.7, ""),
    (-4.3, 153.93, ""),
    (-3.3, 153.85, ""),
    (0.0, 153.7, "the Line"),
    (4.0, 154.3, ""),
    (6.2, 154.3, ""),
    (9.5, 152.7, ""),
    (14.5, 148.2, ""),
    (24.0, 144.3, ""),
    (33.0, 141.5, ""),
    (34.70, 140.30, ""),
    (34.72, 139.83, "pilot"),
    (34.95, 139.68, ""),
    (35.10, 139.75, ""),
    (35.24, 139.79, ""),
    (35.34, 139.70, "Yokohama"),
];

/// She left Newcastle so long before the demonstration's present.
fn sailed(now: Timestamp) -> Timestamp {
    let days_ago = LEGS.last().map_or(0.0, |leg| leg.from_days_ago);
    let minutes = (days_ago * 1440.0).round() as i64;
    let at = now.checked_sub(SignedDuration::from_mins(minutes)).unwrap_or(now);
    // To the quarter of an hour, as it would be written.
    Timestamp::from_second(at.as_second().div_euclid(900) * 900).unwrap_or(at)
}

/// The route file of the demonstration.
#[must_use]
pub fn route_text(now: Timestamp) -> String {
    let sailed = sailed(now);
    let mut out = String::from(
        "# One waypoint a line: position, then name, speed, line sailed, what begins or how long she lies.\n",
    );
    out.push_str("route: Newcastle to Yokohama and back\nfrom: Newcastle\nto: Yokohama\n");
    let _ = writeln!(out, "departure: {sailed}");
    let zone = |hours: i8| format!("{}{:02}:00", if hours < 0 { '-' } else { '+' }, hours.abs());
    let first = LEGS.last().map_or(0, |leg| leg.zone_h.0);
    let _ = writeln!(out, "zone: {}", zone(first));
    for (days_ago, hours) in planned_zone_changes() {
        let minutes = (days_ago * 1440.0).round() as i64;
        let at = now.checked_sub(SignedDuration::from_mins(minutes)).unwrap_or(now);
        // To the minute, as it would be written.
        let at = Timestamp::from_second(at.as_second().div_euclid(60) * 60).unwrap_or(at);
        if at > sailed {
            let _ = writeln!(out, "clock: {at} {}", zone(hours));
        }
    }
    let last = TRACK.len() - 1;
    for (i, (lat, lon, name)) in TRACK.iter().enumerate() {
        let mut line = format!("{}, great circle", position(*lat, *lon));
        match i {
            0 => line = format!("{}, \"{name}\"", position(*lat, *lon)),
            1 => line += ", 11 kn, full away",
            2 => line += ", 13.2 kn, load 78 %",
            17 => line += ", \"pilot\", end of passage",
            18 => line += ", 8 kn",
            _ if i == last => {
                let _ = write!(line, ", \"{name}\", 6 kn, anchor 12 h, berth 3 d");
            }
            _ if !name.is_empty() => {
                let _ = write!(line, ", \"{name}\"");
            }
            _ => {}
        }
        out.push_str(&line);
        out.push('\n');
    }
    for (i, (lat, lon, _)) in TRACK.iter().enumerate().rev().skip(1) {
        let mut line = format!("{}, great circle", position(*lat, *lon));
        match i {
            20 => line += ", 8 kn",
            17 => line += ", full away",
            16 => line += ", 13 kn, load 71 %",
            1 => line += ", \"Newcastle pilot\", end of passage",
            0 => line += ", \"Newcastle roads\", 8 kn, anchor 2 d",
            _ => {}
        }
        out.push_str(&line);
        out.push('\n');
    }
    out
}

fn position(lat: f64, lon: f64) -> String {
    ocean::Position::from_degrees(lat, lon).map_or_else(|e| e.to_string(), |p| format!("{p:.2}"))
}

/// The dated events of the demonstration: holds rinsed in ballast, a barge at Yokohama.
#[must_use]
pub fn events_text(now: Timestamp) -> String {
    let days = |days: f64| {
        let at = sailed(now).checked_add(SignedDuration::from_mins((days * 1440.0) as i64));
        at.unwrap_or(now).strftime("%Y-%m-%dT%H:%MZ").to_string()
    };
    let mut out = String::from("# Dated events of this passage. Times are UTC.\n");
    for (n, day) in [19.5, 19.75, 20.5, 20.75, 21.5].into_iter().enumerate() {
        let _ = write!(
            out,
            "\n[[draw]]\nname = \"hold {}, last rinse\"\nfrom = \"{}\"\nhours = 6\nt = 30\nless_price_t = 30\n",
            n + 1,
            days(day)
        );
    }
    let _ = write!(
        out,
        "\n[[for_sale]]\nname = \"barge at Yokohama\"\nat = \"{}\"\nprice_t = 9\nfixed = 250\nmost_t = 300\n",
        days(16.0)
    );
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::passage::Events;

    #[test]
    fn ident_the_route_is_sailed_as_written() {
        for now in ["2025-11-16T04:20:00Z", "2026-02-28T23:59:59Z", "2028-02-29T12:00:00Z"] {
            let now = now.parse().expect("time");
            let reading = route::Reading::of_bytes(route_text(now).as_bytes());
            assert!(reading.is_clear(), "{:?}", reading.problems);
            let schedule = reading.route.expect("route").schedule().expect("sailed");
            assert_eq!(schedule.sea_passages().len(), 2);
            assert!(schedule.start() < now && now < schedule.arrival());
            assert_eq!(Events::read(&events_text(now)).expect("events").draws.len(), 5);
        }
    }
}
