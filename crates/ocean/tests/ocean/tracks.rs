//! Rhumb lines and great circles beside GeographicLib.

use crate::common::{at, table};
use ocean::{Course, Distance, Leg, NoDestination, Position, Track};
use proptest::prelude::*;

/// How far apart two courses are, degrees.
fn between(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(360.0);
    turn.min(360.0 - turn)
}

fn gap_m(a: Position, b: Position) -> f64 {
    Leg::new(a, b, Track::GreatCircle).length().m()
}

#[test]
fn ref_geographiclib_published_geodesics() {
    // C. F. F. Karney's test set for geodesics, the twenty lines in the library's own tests.
    for row in table("geodtest.csv") {
        let (from, to) = (
            at(row.number("lat1"), row.number("lon1")),
            at(row.number("lat2"), row.number("lon2")),
        );
        let leg = Leg::new(from, to, Track::GreatCircle);
        let m = row.number("s12_m");
        assert!((leg.length().m() - m).abs() < 1e-7, "{leg:?}");
        assert!(
            between(leg.course_from().unwrap().degrees(), row.number("azi1")) < 1e-10,
            "{leg:?}"
        );
        assert!(between(leg.course_to().unwrap().degrees(), row.number("azi2")) < 1e-10, "{leg:?}");
        let course = Course::from_degrees(row.number("azi1")).unwrap();
        let there = Track::GreatCircle.destination(from, course, Distance::from_m(m)).unwrap();
        assert!(gap_m(there, to) < 1e-7, "{there:?} {to:?}");
    }
}

#[test]
fn ref_rhumb_line_new_york_to_london() {
    // The example of GeographicLib's RhumbSolve manual page: JFK to LHR.
    let leg = Leg::new(at(40.6, -73.8), at(51.6, -0.5), Track::RhumbLine);
    assert!((leg.length().m() - 5_771_083.383).abs() < 1e-3, "{leg:?}");
    assert!((leg.course_from().unwrap().degrees() - 77.768_389_71).abs() < 1e-8, "{leg:?}");
}

#[test]
fn cross_rhumbsolve_and_geodsolve() {
    // GeographicLib 2.1.2.
    for row in table("tracks.csv") {
        let (from, to) = (
            at(row.number("lat1"), row.number("lon1")),
            at(row.number("lat2"), row.number("lon2")),
        );
        let rhumb = Leg::new(from, to, Track::RhumbLine);
        let m = row.number("rhumb_m");
        assert!((rhumb.length().m() - m).abs() < 1e-6 + 1e-12 * m, "{rhumb:?} {m}");
        // A micrometre at right angles, whatever the length.
        let course = rhumb.course_from().unwrap();
        assert!(
            between(course.degrees(), row.number("rhumb_course")).to_radians() * m
                < 1e-6 + 1e-12 * m,
            "{rhumb:?}"
        );
        let there = Track::RhumbLine.destination(from, course, Distance::from_m(m)).unwrap();
        assert!(gap_m(there, to) < 1e-5, "{rhumb:?} {}", gap_m(there, to));

        let short = Leg::new(from, to, Track::GreatCircle);
        let m = row.number("geodesic_m");
        assert!((short.length().m() - m).abs() < 1e-6, "{short:?} {m}");
        assert!(
            between(short.course_from().unwrap().degrees(), row.number("geodesic_course_from"))
                .to_radians()
                * m
                < 1e-5,
            "{short:?}"
        );
        assert!(
            between(short.course_to().unwrap().degrees(), row.number("geodesic_course_to"))
                .to_radians()
                * m
                < 1e-5,
            "{short:?}"
        );
        assert!(short.length().m() <= rhumb.length().m() + 1e-6);
    }
}

#[test]
fn ident_a_minute_of_longitude_on_the_equator_is_the_geographical_mile() {
    // 1855.325 m: the equatorial radius of WGS-84 times one minute of arc.
    let leg = Leg::new(at(0.0, -179.5), at(0.0, 179.5), Track::RhumbLine);
    assert!((leg.length().m() / 60.0 - 6_378_137.0 * (1.0_f64 / 60.0).to_radians()).abs() < 1e-8);
    assert_eq!(leg.course_from().unwrap().degrees(), 270.0);
    assert!(leg.point_at(leg.length() * 0.75).lon_deg() > 179.0);
}

#[test]
fn ref_quarter_meridian() {
    // 10 001 965.729 m, from the equator to a pole on WGS-84 (NIMA TR8350.2, table 3.3 gives 10 001 965.7293).
    for track in [Track::RhumbLine, Track::GreatCircle] {
        let leg = Leg::new(at(0.0, 20.0), at(90.0, -77.0), track);
        assert!((leg.length().m() - 10_001_965.729_3).abs() < 1e-3, "{leg:?}");
    }
}

#[test]
fn ident_a_rhumb_line_ends_at_the_pole() {
    let (pole, near) = (at(-90.0, 33.0), at(-80.0, 100.0));
    let out = Leg::new(pole, near, Track::RhumbLine);
    let home = Leg::new(near, pole, Track::RhumbLine);
    assert!((out.length().m() - home.length().m()).abs() < 1e-6);
    assert_eq!(home.course_from().unwrap().degrees(), 180.0);
    assert!((home.point_at(home.length() * 0.5).lon_deg() - 100.0).abs() < 1e-9);
    let course = Course::from_degrees(200.0).unwrap();
    let over = Track::RhumbLine.destination(near, course, Distance::from_nmi(700.0));
    let Err(NoDestination::PastPole { pole: reach, .. }) = over else { panic!("{over:?}") };
    let end = Track::RhumbLine.destination(near, course, reach).unwrap();
    assert!(gap_m(end, pole) < 1e-3, "{end:?}");
    assert!(Track::RhumbLine.destination(near, course, Distance::from_nmi(f64::NAN)).is_err());
}

#[test]
fn ident_a_leg_without_length_has_no_course() {
    for track in [Track::RhumbLine, Track::GreatCircle] {
        let leg = Leg::new(at(5.0, 180.0), at(5.0, -180.0), track);
        assert_eq!(
            (leg.length(), leg.course_from(), leg.course_at(Distance::ZERO)),
            (Distance::ZERO, None, None)
        );
        assert_eq!(leg.point_at(Distance::from_nmi(3.0)), at(5.0, 180.0));
    }
}

#[test]
fn ident_courses_are_shown_with_three_figures() {
    let shown =
        |degrees, decimals| format!("{:.decimals$}", Course::from_degrees(degrees).unwrap());
    assert_eq!(
        (shown(-0.01, 0), shown(5.04, 1), shown(359.96, 1)),
        ("000°".into(), "005.0°".into(), "000.0°".into())
    );
    assert_eq!(Course::from_degrees(-1e-20).unwrap().degrees(), 0.0);
    assert_eq!(Course::from_degrees(f64::INFINITY), None);
}

fn anywhere() -> impl Strategy<Value = Position> {
    (-90.0..=90.0, -180.0..=180.0).prop_map(|(lat, lon)| at(lat, lon))
}

proptest! {
    #[test]
    fn ident_turning_the_earth_changes_no_length(a in anywhere(), b in anywhere(), turn in -180.0..180.0_f64) {
        let turned = |p: Position| at(p.lat_deg(), (p.lon_deg() + turn + 180.0).rem_euclid(360.0) - 180.0);
        // Nearly opposite longitudes may go round the other way, which is as long to within rounding.
        for track in [Track::RhumbLine, Track::GreatCircle] {
            let (one, other) = (Leg::new(a, b, track), Leg::new(turned(a), turned(b), track));
            prop_assert!((one.length().m() - other.length().m()).abs() < 1e-4, "{one:?} {other:?}");
            let back = Leg::new(b, a, track);
            prop_assert!((one.length().m() - back.length().m()).abs() < 1e-5, "{one:?} {back:?}");
        }
    }

    #[test]
    fn ident_points_along_a_leg_are_as_far_as_asked(a in anywhere(), b in anywhere(), part in 0.0..=1.0_f64) {
        for track in [Track::RhumbLine, Track::GreatCircle] {
            let leg = Leg::new(a, b, track);
            let p = leg.point_at(leg.length() * part);
            let (first, rest) = (Leg::new(a, p, track), Leg::new(p, b, track));
            // A rhumb line winds round the poles without end: there only its parts along the meridian keep sense.
            if a.lat_deg().abs().max(b.lat_deg().abs()) < 89.0 {
                prop_assert!((first.length().m() + rest.length().m() - leg.length().m()).abs() < 1e-4, "{leg:?} {p:?}");
            }
        }
    }

    #[test]
    fn ident_no_finite_input_panics(a in anywhere(), course in any::<f64>(), m in any::<f64>()) {
        if let Some(course) = Course::from_degrees(course) {
            for track in [Track::RhumbLine, Track::GreatCircle] {
                if let Ok(p) = track.destination(a, course, Distance::from_m(m)) {
                    prop_assert!(p.lat_deg().abs() <= 90.0 && p.lon_deg() > -180.0 && p.lon_deg() <= 180.0, "{p:?}");
                }
            }
        }
    }
}
