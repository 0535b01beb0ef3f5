//! When rounds are due: at the ship's own hours, whatever the minute the last one was read at.

use jiff::{Timestamp, ToSpan};
use logbook::ShipClock;

use crate::round::{FEWEST, Round};
use crate::switched::Switch;

/// A round read this share of the interval before its hour counts for it: an hour before, of four.
const EARLY: f64 = 0.25;
/// Seconds of a day.
const DAY_S: i64 = 86_400;

/// Rounds of the watch: what was typed at the steps of a list that walks no round makes none, however many figures it is. `at_steps` are such
/// readings, one moment each.
#[must_use]
pub fn of_the_watch(rounds: &[Round], at_steps: &[Timestamp]) -> Vec<Round> {
    let typed = |round: &Round| at_steps.iter().filter(|at| **at == round.at).count();
    let own = |round: &&Round| {
        let at_steps = typed(round);
        at_steps == 0 || round.cells.len().saturating_sub(at_steps) >= FEWEST
    };
    rounds.iter().filter(own).cloned().collect()
}

/// The next due round after these (oldest first); none where there was none. A figure or two read in between are no
/// round, unless there is nothing else; where she was started since, it falls due after the start (`switches` are newest
/// first).
#[must_use]
pub fn next(
    clock: &ShipClock,
    rounds: &[Round],
    switches: &[Switch],
    every_h: f64,
) -> Option<Timestamp> {
    let last = rounds.iter().rev().find(|round| round.is_whole()).or(rounds.last())?;
    let started = switches.first().filter(|(_, on)| *on).map(|(at, _)| *at);
    Some(after(clock, started.map_or(last.at, |at| at.max(last.at)), every_h))
}

/// The next due round after one read at `last`, with a round every `every_h` hours (more than 0).
///
/// Rounds fall on midnight of ship's time and every so many hours after, where these fill the day; else one interval
/// after the last. Clocks put forward or back in between are followed.
#[must_use]
pub fn after(clock: &ShipClock, last: Timestamp, every_h: f64) -> Timestamp {
    let every_s = ((every_h * 3600.0) as i64).max(60);
    let later = |s: i64| last.checked_add(s.seconds()).unwrap_or(last);
    if DAY_S % every_s != 0 {
        return later(every_s);
    }
    let local = clock.local(last);
    let since_midnight =
        i64::from(local.hour()) * 3600 + i64::from(local.minute()) * 60 + i64::from(local.second());
    let early_s = (EARLY * every_s as f64) as i64;
    let next_s = ((since_midnight + early_s) / every_s + 1) * every_s;
    let by_old_clock = later(next_s - since_midnight);
    // By then her clocks may show another hour.
    let moved = clock.zone(by_old_clock).seconds() - clock.zone(last).seconds();
    by_old_clock.checked_sub(moved.seconds()).unwrap_or(by_old_clock)
}

#[cfg(test)]
mod tests {
    use logbook::Zone;

    use super::*;

    fn at(text: &str) -> Timestamp {
        text.parse().expect("time")
    }

    #[test]
    fn ident_figures_typed_at_steps_make_no_round() {
        let cell = crate::round::Cell {
            value: Some(40.0),
            text: "40".into(),
            unit: "degC".into(),
            why: None,
            not_taken: false,
            struck: None,
            seq: 1,
        };
        let round = |at: Timestamp, keys: &[&str]| Round {
            at,
            actors: Vec::new(),
            cells: keys.iter().map(|key| ((*key).to_owned(), cell.clone())).collect(),
        };
        let (noon, later) = (at("2025-11-16T02:00:00Z"), at("2025-11-16T05:20:00Z"));
        let four = ["jacket_in_c", "sea_temp_c", "vapour_temp_c", "engine_load_percent"];
        let rounds = [round(noon, &four), round(later, &four)];
        assert_eq!(of_the_watch(&rounds, &[]), rounds);
        assert_eq!(of_the_watch(&rounds, &[later; 4]), rounds[..1]);
        // A whole round signed in the minute of a step's one reading is a round.
        let five = [&four[..], &["sea_out_c"]].concat();
        let rounds = [round(noon, &four), round(later, &five)];
        assert_eq!(of_the_watch(&rounds, &[later]), rounds);
    }

    #[test]
    fn ident_rounds_stay_with_the_watches() {
        let zone = Zone::from_hours(10).expect("zone");
        let clock = ShipClock::new(zone, Vec::new(), at("2025-11-01T00:00:00Z"));
        for (read, due) in [
            ("2025-11-16T02:00:00Z", "2025-11-16T06:00:00Z"),
            // 11:20 by her clocks is the noon round, early; 12:20 and 14:40 the same, late.
            ("2025-11-16T01:20:00Z", "2025-11-16T06:00:00Z"),
            ("2025-11-16T02:20:00Z", "2025-11-16T06:00:00Z"),
            ("2025-11-16T04:40:00Z", "2025-11-16T06:00:00Z"),
            ("2025-11-16T05:30:00Z", "2025-11-16T10:00:00Z"),
        ] {
            assert_eq!(after(&clock, at(read), 4.0), at(due), "{read}");
        }
        assert_eq!(after(&clock, at("2025-11-16T01:20:00Z"), 5.0), at("2025-11-16T06:20:00Z"));
    }

    #[test]
    fn ident_clocks_put_forward_are_followed() {
        let (nine, ten) = (Zone::from_hours(9).expect("zone"), Zone::from_hours(10).expect("zone"));
        let from = at("2025-11-16T03:00:00Z");
        let change = logbook::ZoneChange { from, zone: ten, by: "master".into(), seq: 2 };
        let clock = ShipClock::new(nine, vec![change], at("2025-11-01T00:00:00Z"));
        // Noon by the old clock; 16:00 by the new one is three hours on.
        assert_eq!(after(&clock, from - 1.second(), 4.0), at("2025-11-16T06:00:00Z"));
    }
}
