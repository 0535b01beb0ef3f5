//! Ship's time: the heading line, moments in words, and back from what was typed to the instant.

use desk::Desk;
pub(crate) use desk::moment::instant;
use jiff::Timestamp;
use logbook::ShipClock;

use crate::app::{Heading, Shell};

impl Shell for Desk {
    /// Without a readable record the clock stands on UTC and says so; the page itself says what is wrong.
    fn heading(&self, now: Timestamp) -> Heading {
        let setup = self.setup();
        let (ship, voyage) = (setup.ship.name.clone(), setup.ship.voyage.clone());
        let utc = now.strftime("%H:%M").to_string();
        let unconfirmed = setup.ship.unconfirmed.len();
        let fault = self.broken().map(|broken| broken.to_string());
        let altered = self.altered().map(|broken| broken.to_string());
        let clock_behind_s = self.clock_behind_s(now).unwrap_or_default();
        let Ok(clock) = self.clock() else {
            let ships_time = "not known".to_owned();
            return Heading {
                ship,
                voyage,
                ships_time,
                utc,
                doing: String::new(),
                watch: String::new(),
                fault,
                altered,
                clock_behind_s,
                unconfirmed,
            };
        };
        let local = clock.local(now);
        let unset = if desk::told::clocks_set(&clock, now) { "" } else { ", not set" };
        Heading {
            ship,
            voyage,
            doing: match self.head() {
                Ok((0, _)) => "Nothing written yet".to_owned(),
                _ => format!("Day {} of the record", clock.day(now).sea_day),
            },
            ships_time: format!("{}{unset}", local.strftime("%a %-d %b %H:%M")),
            utc,
            watch: watch(local.hour()).to_owned(),
            fault,
            altered,
            clock_behind_s,
            unconfirmed,
        }
    }
}

/// The watch in which an hour of ship's time lies.
fn watch(hour: i8) -> &'static str {
    match hour {
        0..4 => "0 to 4",
        4..8 => "4 to 8",
        8..12 => "8 to 12",
        12..16 => "12 to 16",
        16..20 => "16 to 20",
        _ => "20 to 24",
    }
}

/// From here on a date without its year may be taken for another.
const HALF_A_YEAR_S: u64 = 183 * 24 * 3600;

/// "16:00" on the same ship's day as `now`, else "16 Nov 16:00", with the year where it may be another.
pub(crate) fn short(clock: &ShipClock, at: Timestamp, now: Timestamp) -> String {
    let (local, today) = (clock.local(at), clock.local(now));
    if local.date() == today.date() {
        return local.strftime("%H:%M").to_string();
    }
    let apart = now.as_second().abs_diff(at.as_second());
    if apart > HALF_A_YEAR_S { dated(clock, at) } else { long(clock, at) }
}

/// "16 Nov 2026 16:00": where the year may be another.
pub(crate) fn dated(clock: &ShipClock, at: Timestamp) -> String {
    clock.local(at).strftime("%-d %b %Y %H:%M").to_string()
}

/// "16 Nov 16:00".
pub(crate) fn long(clock: &ShipClock, at: Timestamp) -> String {
    clock.local(at).strftime("%-d %b %H:%M").to_string()
}

/// As a form's field of date and time holds it, "2026-11-16T16:00".
pub(crate) fn typed(clock: &ShipClock, at: Timestamp) -> String {
    clock.local(at).strftime("%Y-%m-%dT%H:%M").to_string()
}

/// A stretch of time in words: "4 h 20 min".
pub(crate) fn lasting(seconds: i64) -> String {
    let minutes = seconds.max(0) / 60;
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) if h < 48 => format!("{h} h {m} min"),
        (h, _) => format!("{} days", h / 24),
    }
}

/// The ship's clock as pictures take it, over `from_s..to_s` seconds since 1970.
pub(crate) fn of_picture(clock: &ShipClock, span: chart::Span) -> chart::Clock {
    chart::Clock::sampled(span, |at_s| {
        let at = Timestamp::from_second(at_s as i64).unwrap_or(Timestamp::UNIX_EPOCH);
        clock.zone(at).minutes() * 60
    })
}
