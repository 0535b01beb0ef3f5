//! Written and read back a route is the same: as lines, as a table, as a route exchange file and in its container.

use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use ocean::{Position, Track};
use proptest::prelude::*;
use quantity::Fraction;
use route::{Lying, Mark, Pace, Reading, Route, Stay, Version, Waypoint};

use crate::{at, clear};

/// A route with something of everything.
const FULL: &str = "\
route: Ballast voyage 12, second half
from: Port, \"north\"
to: Anchorage B & C <west>
zone: +11
clock: 2026-11-14 15:00Z +10
clock: 2026-11-19 15:00:30Z -03:30
-32.95 151.85, \"Breakwater, inner\", 13.2 kn, berth 5 h, ETD 2026-11-09 02:00Z, pilotage
32 45.0 S 153 06.0 E, Full away point, great circle, at most 12.5 kn, full away, load 80 %
28°00.0'S 155°36.0'E, \"12 kn\", gc, ETA 2026-11-11 06:00:15.5Z, zone +10:30
-20 157.4; 14 kn; load 72.5 %; end of passage; anchor 12 h; berth 1 d 6 h 30 min 1.5 s
10 00.5 N 179 59.5 W, \"berth 3 d\", drift, ETD 2026-12-10 00:00Z, canal
-12\u{9}-180\u{9}rl\u{9}anchor
";

fn ways(route: &Route) -> Vec<(&'static str, Vec<u8>)> {
    let mut ways =
        vec![("lines", route.to_lines().into_bytes()), ("table", route.to_csv().into_bytes())];
    for version in Version::ALL {
        ways.push((version.number(), route.to_rtz(version).into_bytes()));
        ways.push(("container", route.to_rtzp(version).unwrap()));
    }
    ways
}

#[test]
fn ident_a_full_route_returns_itself_in_every_form() {
    let route = clear(FULL);
    assert_eq!(route.waypoints.len(), 6);
    assert_eq!(route.waypoints[0].name, "Breakwater, inner");
    assert_eq!(route.waypoints[3].stays.len(), 2);
    assert_eq!(route.waypoints[5].position.lon_deg(), 180.0);
    assert_eq!(route.clock_changes.len(), 2);
    for (form, written) in ways(&route) {
        let reading = Reading::of_bytes(&written);
        let text = String::from_utf8_lossy(&written);
        assert!(reading.is_clear(), "{form}: {:#?}\n{text}", reading.problems);
        assert_eq!(reading.route.as_ref(), Some(&route), "{form}\n{text}");
    }
}

#[test]
fn lines_are_read_in_the_ways_they_are_typed() {
    let one = |line: &str| {
        clear(&format!("0 0 N 0 0 E, ETD 2026-11-09 02:00Z\n{line}\n1 0 N 9 0 E, 9 kn"))
            .waypoints
            .remove(1)
    };
    let wanted = Position::from_degrees(-4.6, 55.5).unwrap();
    for line in [
        "-4.6 55.5, Point, 13.2 kn",
        "-4.6, 55.5, Point, 13.2 kn",
        "04 36.0 S 055 30.0 E, Point, 13.2 kn",
        "04 36.0 S, 055 30.0 E, 13.2 kn, Point",
        "04 36,0 S 055 30,0 E; Point; 13,2 kn",
        "04 36,0 S 055 30,0 E, Point, 13,2 kn",
        "Point, 04°36.0'S 055°30.0'E, 13.2kts",
        "2, -4.6, 55.5, Point, 13.2 knots",
        "-4.6\t55.5\tPoint\t13.2 kn",
    ] {
        let waypoint = one(line);
        assert_eq!((waypoint.position, waypoint.name.as_str()), (wanted, "Point"), "{line}");
        assert_eq!(waypoint.pace, Some(Pace::Speed { kn: 13.2 }), "{line}");
    }
    let waypoint = one("-4.6 55.5, Great Circle, EOSP, 9 kn, Anchorage B");
    assert_eq!((waypoint.track, waypoint.mark), (Track::GreatCircle, Some(Mark::EndOfPassage)));
    assert_eq!(waypoint.name, "Anchorage B");
    for name in [
        "Zone of the wreck",
        "Clock point",
        "Utcubamba",
        "Load line mark",
        "Pilot station",
        "Etang",
    ] {
        assert_eq!(one(&format!("-4.6 55.5, {name}, speed 9 kn")).name, name);
    }
    let zones = ["zone +10", "clocks +10:00", "UTC+10", "zone UTC+10"];
    let zone = |words| one(&format!("-4.6 55.5, 9 kn, {words}")).zone;
    assert!(zones.iter().all(|words| zone(words) == Some(Offset::constant(10))));
}

#[test]
fn a_comma_behind_the_position_may_be_missing() {
    for line in [
        "20 55.0 S 055 17.0 E Le Port, 12.5 kn",
        "20 55.0 S 055 17.0 E 12.5 kn, Le Port",
        "Le Port 20°55.0'S 055°17.0'E, 12.5 kn",
        "2. 20 55.0 S 055 17.0 E Le Port, 12.5 kn",
    ] {
        let text = format!("20 10.0 S 057 30.0 E, ETD 2026-05-04 06:00Z\n{line}\n");
        let route = crate::clear(&text);
        let port = &route.waypoints[1];
        assert_eq!(port.name, "Le Port", "{line}");
        assert_eq!(port.pace, Some(route::Pace::Speed { kn: 12.5 }), "{line}");
        assert!((port.position.lat_deg() + 20.0 - -55.0 / 60.0).abs() < 1.0e-9, "{line}");
    }
    // What a comma would have parted is asked for rather than taken for a name.
    let text =
        "20 10.0 S 057 30.0 E, ETD 2026-05-04 06:00Z\n20 55.0 S 055 17.0 E Le Port 12.5 kn\n";
    let said = crate::said(text);
    assert!(said.iter().any(|line| line.contains("Le Port 12.5 kn")), "{said:?}");
}

#[test]
fn an_eta_beside_a_speed_is_taken_and_told_once() {
    let table = "departure: 2026-05-04 06:00Z\nname,position,speed,eta\nA,20 10.0 S 057 30.0 E,12,\n\
                 B,20 55.0 S 055 17.0 E,12.5,2026-05-04 18:00Z\nC,20 55.0 S 054 17.0 E,11,2026-05-05 00:00Z\n";
    let reading = route::Reading::of_bytes(table.as_bytes());
    assert!(reading.is_clear(), "{:?}", reading.problems);
    let told = reading.problems.iter().map(ToString::to_string);
    let told: Vec<_> = told.filter(|line| line.contains("the ETA is taken")).collect();
    assert_eq!(told.len(), 1, "{told:?}");
    let route = reading.route.unwrap();
    assert_eq!(route.waypoints[0].etd, Some(crate::at("2026-05-04T06:00:00Z")));
    assert_eq!(route.waypoints[1].pace, Some(route::Pace::Eta(crate::at("2026-05-04T18:00:00Z"))));
    // The other way round in a line.
    let line = "20 10.0 S 057 30.0 E, ETD 2026-05-04 06:00Z\n20 55.0 S 055 17.0 E, ETA 2026-05-04 18:00Z, 12 kn\n";
    let reading = route::Reading::of_bytes(line.as_bytes());
    assert!(reading.is_clear(), "{:?}", reading.problems);
}

#[test]
fn tables_are_read_with_headings_in_any_order_and_either_comma() {
    let with_commas =
        "Speed (kn),Name,Lon,Lat,ETD\n,A,151.85,-32.95,2026-11-09 02:00Z\n13.2,B,153.1,-32.75,\n";
    let with_semicolons = "No;Latitude;Longitude;Name;Speed;Departure\n1;-32,95;151,85;A;;2026-11-09 02:00Z\n2;-32,75;153,1;B;13,2;\n";
    let with_tabs = "Position\tName\tknots\tETD\n32 57.0 S 151 51.0 E\tA\t\t2026-11-09 02:00Z\n32 45.0 S 153 06.0 E\tB\t13.2\t\n";
    let routes: Vec<Route> = [with_commas, with_semicolons, with_tabs].map(clear).into();
    assert_eq!(routes[0], routes[1]);
    assert_eq!(routes[0], routes[2]);
    assert_eq!(routes[0].waypoints[1].pace, Some(Pace::Speed { kn: 13.2 }));
}

fn any_name() -> impl Strategy<Value = String> {
    prop_oneof![
        "[A-Za-z][A-Za-z0-9 ]{0,12}",
        "[ -~]{0,16}",
        "\\PC{0,12}",
        Just("full away".to_owned()),
        Just("=1+1".to_owned()),
    ]
}

fn any_instant() -> impl Strategy<Value = Timestamp> {
    (1_700_000_000_000_i64..2_000_000_000_000)
        .prop_map(|ms| Timestamp::from_millisecond(ms).unwrap())
}

fn any_zone() -> impl Strategy<Value = Offset> {
    (-14 * 60..=14 * 60_i32).prop_map(|minutes| Offset::from_seconds(minutes * 60).unwrap())
}

fn any_stay() -> impl Strategy<Value = Stay> {
    let lying = prop_oneof![Just(Lying::AtBerth), Just(Lying::AtAnchor), Just(Lying::Drifting)];
    let length = proptest::option::of((0..10_000_000_i64).prop_map(SignedDuration::from_millis));
    (lying, length).prop_map(|(lying, length)| Stay { lying, length })
}

fn any_waypoint() -> impl Strategy<Value = Waypoint> {
    let place = (-90.0..=90.0_f64, -180.0..=180.0_f64, any::<bool>());
    let pace = proptest::option::of(prop_oneof![
        (0.1..60.0_f64).prop_map(|kn| Pace::Speed { kn }),
        any_instant().prop_map(Pace::Eta),
    ]);
    let marks =
        [Mark::Manoeuvring, Mark::Pilotage, Mark::Canal, Mark::FullAway, Mark::EndOfPassage];
    let mark = proptest::option::of(proptest::sample::select(marks.to_vec()));
    let load = proptest::option::of(
        (0..1100_u32).prop_map(|tenth| Fraction::from_percent(f64::from(tenth) / 10.0)),
    );
    let stays = proptest::collection::vec(any_stay(), 0..3);
    let times = (
        pace,
        proptest::option::of(any_instant()),
        proptest::option::of(any_zone()),
        proptest::option::of(0.1..60.0_f64),
    );
    (any_name(), place, times, stays, mark, load).prop_map(
        |(name, (lat, lon, is_circle), (pace, etd, zone, most_kn), stays, mark, load)| {
            let mut waypoint = Waypoint::at(Position::from_degrees(lat, lon).unwrap());
            waypoint.name = plain(&name);
            waypoint.track = if is_circle { Track::GreatCircle } else { Track::RhumbLine };
            (waypoint.pace, waypoint.etd, waypoint.zone) = (pace, etd, zone);
            waypoint.most_kn = most_kn;
            (waypoint.stays, waypoint.mark, waypoint.load) = (stays, mark, load);
            waypoint
        },
    )
}

/// A name as any reading leaves it.
fn plain(name: &str) -> String {
    let words: Vec<&str> = name.split_whitespace().collect();
    words.join(" ")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Whether or not it could be sailed.
    #[test]
    fn ident_any_route_returns_itself_in_every_form(
        name in any_name(),
        from in any_name(),
        zone in any_zone(),
        clocks in proptest::collection::vec((any_instant(), any_zone()), 0..3),
        waypoints in proptest::collection::vec(any_waypoint(), 2..6),
    ) {
        let mut route = Route::new(plain(&name), waypoints);
        route.from_port = Some(plain(&from)).filter(|port| !port.is_empty());
        route.zone = zone;
        route.clock_changes = clocks;
        for (form, written) in ways(&route) {
            let reading = Reading::of_bytes(&written);
            let text = String::from_utf8_lossy(&written).into_owned();
            prop_assert_eq!(reading.route.as_ref(), Some(&route), "{}\n{}", form, text);
        }
    }
}

#[test]
fn ident_the_departure_may_stand_above_the_lines() {
    let route = clear("departure: 2026-11-09 02:00Z\n0 0 N 0 0 E, 12 kn\n0 0 N 1 0 E\n");
    assert_eq!(route.waypoints[0].etd, Some(at("2026-11-09T02:00Z")));
}
