//! The ship's clock along the way: days of 23 to 25 hours, and the date line.

use jiff::civil::date;
use jiff::tz::Offset;
use proptest::prelude::*;
use route::Clock;

use crate::{at, clear};

fn zone(hours: i8) -> Offset {
    Offset::constant(hours)
}

#[test]
fn ident_a_clock_put_back_makes_a_day_of_25_hours() {
    let clock = Clock::new(zone(11), [(at("2026-11-14T15:00Z"), zone(10))]);
    let day = clock.day(at("2026-11-14T14:00Z"));
    assert_eq!((day.date, day.hours()), (date(2026, 11, 15), 25.0));
    assert_eq!(clock.local(at("2026-11-14T15:00Z")).to_string(), "2026-11-15T01:00:00");
    let days: Vec<f64> = clock
        .days(at("2026-11-13T14:00Z"), at("2026-11-17T00:00Z"))
        .map(|day| day.hours())
        .collect();
    assert_eq!(days, [24.0, 25.0, 24.0, 24.0]);
}

#[test]
fn ident_a_clock_put_on_makes_a_day_of_23_hours() {
    let clock = Clock::new(zone(9), [(at("2026-11-28T17:00Z"), zone(10))]);
    assert_eq!(clock.day(at("2026-11-28T18:00Z")).hours(), 23.0);
}

/// Eastbound across the date line a date comes twice, westbound one is left out; no day is longer or shorter for it.
#[test]
fn ident_the_date_line_doubles_or_drops_a_date_and_leaves_the_hours() {
    let dates = |from, to| -> Vec<_> {
        let clock = Clock::new(from, [(at("2026-06-02T03:00Z"), to)]);
        let days: Vec<_> = clock.days(at("2026-06-01T00:00Z"), at("2026-06-04T10:00Z")).collect();
        assert!(days.iter().all(|day| day.hours() == 24.0));
        assert!(days.windows(2).all(|pair| pair[0].end == pair[1].start));
        days.iter().map(|day| day.date).collect()
    };
    let day = |day| date(2026, 6, day);
    assert_eq!(dates(zone(12), zone(-12)), [day(1), day(2), day(2), day(3)]);
    assert_eq!(dates(zone(-12), zone(12)), [date(2026, 5, 31), day(1), day(3), day(4)]);
}

#[test]
fn ident_clocks_are_changed_where_and_when_the_route_says() {
    let route = clear(
        "zone: +8\nclock: 2026-03-02 12:00Z +9\n\
         30 0 N 125 0 E, ETD 2026-03-01 00:00Z, 12 kn\n\
         30 0 N 145 0 E, zone +10\n\
         30 0 N 150 0 E\n",
    );
    let schedule = route.schedule().unwrap();
    let clock = schedule.clock();
    let there = schedule.calls()[1].arrive;
    assert_eq!(clock.zone(at("2026-03-02T11:59Z")), zone(8));
    assert_eq!(clock.zone(at("2026-03-02T12:00Z")), zone(9));
    assert_eq!(clock.zone(there - jiff::SignedDuration::from_secs(1)), zone(9));
    assert_eq!(clock.zone(there), zone(10));
    assert_eq!(clock.changes().len(), 2);
}

proptest! {
    #[test]
    fn ident_days_follow_without_gap_whatever_the_changes(
        first in -12..=12_i8,
        changes in proptest::collection::vec((0..40 * 86_400_i64, -12..=12_i8), 0..8),
    ) {
        let begin = at("2026-06-01T00:00Z");
        let moved = changes.iter().map(|(s, hours)| (begin + jiff::SignedDuration::from_secs(*s), zone(*hours)));
        let clock = Clock::new(zone(first), moved);
        let end = at("2026-07-20T00:00Z");
        let days: Vec<_> = clock.days(begin, end).collect();
        prop_assert!(days[0].start <= begin && end <= days[days.len() - 1].end);
        for pair in days.windows(2) {
            prop_assert_eq!(pair[0].end, pair[1].start);
        }
        for day in &days {
            prop_assert!(day.start < day.end);
            prop_assert_eq!(clock.day(day.start), *day);
        }
    }
}
