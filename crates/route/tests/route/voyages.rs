//! Whole passages: a long one beside another geodesy program, one across the date line, one over the pole.

use jiff::{SignedDuration, Timestamp};
use ocean::{Leg, Position, Track};
use proptest::prelude::*;
use route::{Mark, Pace, Phase, Route, Stay, Waypoint};

use crate::{at, clear};

/// The way points of a passage from New South Wales to Tokyo Bay by great circles, with the distance run at each and where a
/// ship at 13.2 knots is every ten days' tenth: made with GeographicLib 2 for Python, whose script stands beside the tables.
const WAYPOINTS: &str = include_str!("../../../../validation/route/waypoints.csv");
const POSITIONS: &str = include_str!("../../../../validation/route/positions.csv");

fn rows(table: &str) -> impl Iterator<Item = Vec<f64>> + '_ {
    let lines = table.lines().skip(1);
    lines.map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
}

fn long_route() -> Route {
    let waypoints = rows(WAYPOINTS).map(|row| {
        let mut waypoint = Waypoint::at(Position::from_degrees(row[0], row[1]).unwrap());
        waypoint.track = Track::GreatCircle;
        waypoint
    });
    let mut waypoints: Vec<Waypoint> = waypoints.collect();
    waypoints[0].etd = Some(at("2026-11-09T02:00Z"));
    waypoints[0].pace = Some(Pace::Speed { kn: 13.2 });
    Route::new("New South Wales to Tokyo Bay", waypoints)
}

/// The first quarter of an hour that begins at or after an instant, counted from the departure.
fn sample(from: Timestamp, at: Timestamp) -> f64 {
    (at.duration_since(from).as_secs_f64() / 900.0).ceil()
}

#[test]
fn cross_distances_and_places_agree_with_geographiclib() {
    let schedule = long_route().schedule().unwrap();
    for (row, call) in rows(WAYPOINTS).zip(schedule.calls()) {
        let moment = schedule.at(call.arrive);
        assert!((moment.run.nmi() - row[2]).abs() < 1e-6, "{row:?}: {}", moment.run.nmi());
    }
    for row in rows(POSITIONS) {
        let hours = SignedDuration::try_from_secs_f64(row[0] * 3600.0).unwrap();
        let moment = schedule.at(schedule.departure() + hours);
        let there = Position::from_degrees(row[1], row[2]).unwrap();
        let off = Leg::new(moment.position, there, Track::GreatCircle).length();
        assert!(off.m() < 1.0, "after {} h {:.1} m off", row[0], off.m());
    }
}

/// 4439 nautical miles at 13.2 knots: she arrives in the 1346th quarter of an hour, and a sea passage that ends two and a half
/// hours before ends in the 1336th.
#[test]
fn ident_end_of_passage_and_arrival_fall_into_their_quarters_of_an_hour() {
    let mut route = long_route();
    let whole = route.schedule().unwrap();
    assert_eq!(format!("{:.1}", whole.length().nmi()), "4439.2");
    let end = whole.at(whole.departure() + SignedDuration::from_hours(334));
    let leg = end.leg.unwrap();
    let mut mark = Waypoint::at(end.position);
    mark.track = Track::GreatCircle;
    mark.mark = Some(Mark::EndOfPassage);
    route.waypoints.insert(leg + 1, mark);
    route.waypoints[1].mark = Some(Mark::FullAway);
    let last = route.waypoints.last_mut().unwrap();
    last.stays
        .push(Stay { lying: route::Lying::AtAnchor, length: Some(SignedDuration::from_hours(12)) });
    last.stays
        .push(Stay { lying: route::Lying::AtBerth, length: Some(SignedDuration::from_hours(72)) });
    let schedule = route.schedule().unwrap();
    let [passage] = schedule.sea_passages() else { panic!("one sea passage") };
    assert_eq!(sample(schedule.departure(), passage.end), 1336.0);
    assert_eq!(sample(schedule.departure(), schedule.arrival()), 1346.0);
    assert_eq!((passage.from_waypoint, passage.to_waypoint), (1, leg + 1));
    let phase = |hours| schedule.at(schedule.departure() + SignedDuration::from_hours(hours)).phase;
    assert_eq!(phase(1), Phase::Manoeuvring);
    assert_eq!(phase(200), Phase::SeaPassage);
    assert_eq!(phase(335), Phase::Pilotage);
    assert_eq!(phase(340), Phase::Anchorage);
    assert_eq!(phase(360), Phase::Berth);
}

#[test]
fn ident_across_the_date_line_she_goes_the_short_way() {
    let route = clear(
        "zone: +12\n\
         36 30.0 S 175 30.0 E, ETD 2026-06-01 00:00Z, full away, 15 kn\n\
         30 00.0 S 179 00.0 W, zone -12\n\
         20 00.0 S 170 00.0 W, end of passage, anchor 6 h\n",
    );
    let schedule = route.schedule().unwrap();
    let step = 15.0 * 0.25 * 1.001;
    let mut before: Option<Position> = None;
    for (_, moment) in schedule.samples(schedule.start(), schedule.end(), 15) {
        if let Some(before) = before {
            let hop = Leg::new(before, moment.position, Track::GreatCircle).length().nmi();
            assert!(hop <= step, "{hop}");
        }
        before = Some(moment.position);
    }
    let crossing = schedule.calls()[1].arrive;
    let before = crossing - SignedDuration::from_secs(1);
    let (before, after) = (schedule.clock().local(before), schedule.clock().local(crossing));
    assert_eq!(before.date().yesterday().unwrap(), after.date());
}

/// Over the pole the great circle is a meridian on one side and the opposite one on the other.
#[test]
fn ident_over_the_pole_the_course_turns_from_north_to_south() {
    let route = clear("80 0 N 030 0 E, ETD 2026-08-01 00:00Z, 10 kn\n80 0 N 150 0 W, gc\n");
    let schedule = route.schedule().unwrap();
    let quarter = schedule.departure().duration_since(schedule.arrival()) / -4;
    let early = schedule.at(schedule.departure() + quarter);
    let late = schedule.at(schedule.arrival() - quarter);
    assert!((early.position.lon_deg() - 30.0).abs() < 1e-9);
    assert!((late.position.lon_deg() + 150.0).abs() < 1e-9);
    assert!((early.position.lat_deg() - late.position.lat_deg()).abs() < 1e-9);
    assert!(early.course.unwrap().degrees().abs() < 1e-6);
    assert!((late.course.unwrap().degrees() - 180.0).abs() < 1e-6);
}

fn any_waypoint() -> impl Strategy<Value = Waypoint> {
    let track = prop_oneof![Just(Track::RhumbLine), Just(Track::GreatCircle)];
    let speed = proptest::option::of(4.0..25.0_f64);
    (-89.0..89.0_f64, -180.0..180.0_f64, track, speed, proptest::option::of(0_i64..200)).prop_map(
        |(lat, lon, track, speed, hours)| {
            let mut waypoint = Waypoint::at(Position::from_degrees(lat, lon).unwrap());
            waypoint.track = track;
            waypoint.pace = speed.map(|kn| Pace::Speed { kn });
            let length = hours.map(SignedDuration::from_hours);
            let stay =
                length.map(|length| Stay { lying: route::Lying::AtAnchor, length: Some(length) });
            waypoint.stays.extend(stay);
            waypoint
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn ident_position_is_continuous_and_the_distance_run_never_falls(
        mut waypoints in proptest::collection::vec(any_waypoint(), 2..8),
    ) {
        waypoints[0].etd = Some(at("2026-11-09T02:00Z"));
        waypoints[0].pace = Some(Pace::Speed { kn: 12.0 });
        let schedule = Route::new("any", waypoints).schedule();
        prop_assume!(schedule.is_ok());
        let schedule = schedule.unwrap();
        let start = schedule.start() - SignedDuration::from_hours(3);
        let mut last = schedule.at(start);
        let step_min = 7 * 60;
        for (_, moment) in schedule.samples(start, schedule.end() + SignedDuration::from_hours(9), step_min) {
            let sailed = moment.run - last.run;
            prop_assert!(sailed.m() >= -1e-6);
            prop_assert!(sailed.nmi() <= 25.0 * 7.0 + 1e-6);
            // Never further off than she has sailed, but for the last digits of either geodesy.
            let hop = Leg::new(last.position, moment.position, Track::GreatCircle).length();
            prop_assert!((hop - sailed).m() < 0.01, "{} m after {} m", hop.m(), sailed.m());
            last = moment;
        }
        prop_assert!((last.run - schedule.length()).m().abs() < 1e-6);
    }

    #[test]
    fn ident_the_calls_follow_each_other(waypoints in proptest::collection::vec(any_waypoint(), 2..8)) {
        let mut route = Route::new("any", waypoints);
        route.waypoints[0].etd = Some(at("2026-11-09T02:00Z"));
        route.waypoints[0].pace = Some(Pace::Speed { kn: 12.0 });
        prop_assume!(route.schedule().is_ok());
        let schedule = route.schedule().unwrap();
        for (leg, pair) in schedule.legs().iter().zip(schedule.calls().windows(2)) {
            prop_assert!(pair[0].arrive <= pair[0].leave && pair[0].leave <= pair[1].arrive);
            let hours = pair[1].arrive.duration_since(pair[0].leave).as_secs_f64() / 3600.0;
            prop_assert!((leg.speed_kn * hours - leg.leg.length().nmi()).abs() < 1e-4);
        }
    }
}
