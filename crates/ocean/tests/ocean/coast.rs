//! Distance to nearest land beside a more detailed coast, the legal line, and what any distance must obey.

use crate::common::{at, table};
use ocean::{
    Coast, Course, Distance, GUARD, Ground, Land, Leg, NearestLand, Position, Sea, TRUST, Track,
};
use proptest::prelude::*;

const COAST: &[u8] = include_bytes!("../../data/coast.bin");

fn nearest(p: Position) -> NearestLand {
    Coast::embedded().unwrap().nearest_land(p)
}

fn way(a: Position, b: Position) -> Distance {
    Leg::new(a, b, Track::GreatCircle).length()
}

#[test]
fn cross_named_positions_beside_gshhg_full() {
    // GSHHG 2.3.7, full resolution, distances on WGS-84.
    for row in table("checks.csv") {
        let found = nearest(at(row.number("lat"), row.number("lon")));
        let name = row.text("name");
        if name.starts_with("Great Barrier Reef") {
            // 33 nmi from the coast, but behind the line.
            assert_eq!(found.land, Land::InsideAustralianLine);
            continue;
        }
        let off = found.distance.nmi() - row.number("dist_land_nmi_wgs84");
        assert!(off.abs() <= row.number("dist_tol_nmi"), "{name}: {found:?} off by {off:.2}");
        assert_eq!(found.land, Land::Coast, "{name}");
    }
}

#[test]
fn cross_three_thousand_positions_beside_gshhg_full() {
    // GSHHG 2.3.7, full resolution: at sea, within 60 nmi of land, 60 S to 75 N.
    let mut off: Vec<f64> = table("gshhg.csv")
        .iter()
        .map(|row| (nearest(at(row.number("lat"), row.number("lon"))), row.number("distance_nmi")))
        .filter(|(found, _)| found.land == Land::Coast)
        .map(|(found, wanted)| found.distance.nmi() - wanted)
        .collect();
    assert!(off.len() > 2900, "{}", off.len());
    let count = off.len();
    // What matters: told to be farther from land than the reference says.
    let unsafe_by_guard = off.iter().filter(|off| **off > GUARD.nmi()).count();
    off.iter_mut().for_each(|off| *off = off.abs());
    off.sort_by(f64::total_cmp);
    let (median, p95, p99) = (off[count / 2], off[count * 95 / 100], off[count * 99 / 100]);
    let beyond = off.iter().filter(|off| **off > GUARD.nmi()).count();
    println!(
        "{count} positions: median {median:.3}, p95 {p95:.3}, p99 {p99:.3}, max {:.2}; beyond the guard {beyond}, unsafe {unsafe_by_guard}",
        off[count - 1]
    );
    assert!(median <= 0.1 && p95 <= 0.3 && p99 <= 0.5, "{median} {p95} {p99}");
    assert!(unsafe_by_guard * 200 <= count, "{unsafe_by_guard}");
}

fn on_land(p: Position) -> bool {
    Coast::embedded().unwrap().on_land(p, Sea::embedded().unwrap().ground(p))
}

#[test]
fn cross_three_thousand_positions_at_sea_are_not_on_land() {
    // The same positions by GSHHG 2.3.7: sea, all of them. Its coast and ours part by up to a mile and more at bars and lagoons.
    let told: Vec<(f64, f64, f64)> = table("gshhg.csv")
        .iter()
        .map(|row| (row.number("lat"), row.number("lon"), row.number("distance_nmi")))
        .filter(|(lat, lon, _)| on_land(at(*lat, *lon)))
        .collect();
    let off = told.iter().filter(|(.., nmi)| *nmi > GUARD.nmi());
    println!("{} of 3000 on land, {} of them beyond the guard", told.len(), off.clone().count());
    assert!(told.len() <= 45 && off.clone().count() <= 13, "{:?}", off.collect::<Vec<_>>());
}

#[test]
fn ident_continents_and_great_islands_are_land_and_seas_are_not() {
    // Well-known places, from memory, to a tenth of a degree or so.
    for (name, lat, lon) in [
        ("Paris", 48.86, 2.35),
        ("Madrid", 40.4, -3.7),
        ("Moscow", 55.75, 37.6),
        ("Nairobi", -1.3, 36.8),
        ("Denver", 39.7, -105.0),
        ("Mexico", 19.4, -99.1),
        ("Guatemala", 15.5, -90.5),
        ("Bogota", 4.7, -74.0),
        ("Brasilia", -15.8, -47.9),
        ("Alice Springs", -23.7, 133.9),
        ("Lhasa", 29.6, 91.0),
        ("Chukotka", 67.0, -175.0),
        ("Chukotka, west of the date line", 67.0, 178.0),
        ("Midlands", 52.5, -1.5),
        ("Iceland", 64.8, -18.5),
        ("Honshu", 36.0, 138.5),
        ("Luzon", 16.5, 121.2),
    ] {
        assert!(on_land(at(lat, lon)), "{name}");
    }
    for (name, lat, lon) in [
        ("Caspian Sea", 42.0, 51.0),
        ("Black Sea", 43.0, 34.0),
        ("Baltic", 56.0, 19.0),
        ("Mediterranean", 35.0, 18.0),
        ("Red Sea", 20.0, 38.5),
        ("Persian Gulf", 27.0, 51.0),
        ("Hudson Bay", 60.0, -85.0),
        ("Caribbean", 15.0, -75.0),
        ("Gulf of Mexico", 25.0, -92.0),
        ("Java Sea", -5.0, 110.0),
        ("off Peru", -12.5, -78.0),
        ("off Chile", -35.0, -75.0),
        ("Bering Sea", 60.0, -178.0),
        ("north pole", 90.0, 0.0),
        ("English Channel", 50.2, -0.5),
    ] {
        assert!(!on_land(at(lat, lon)), "{name}");
    }
    // On a way over a coast it is sea, then land, and the coast between the two is near to where it changes.
    let leg = Leg::new(at(50.3, -1.3), at(51.3, -1.3), Track::RhumbLine);
    let along: Vec<Position> =
        (0..=200).map(|i| leg.point_at(leg.length() * (f64::from(i) / 200.0))).collect();
    let changes: Vec<&[Position]> =
        along.windows(2).filter(|pair| on_land(pair[0]) != on_land(pair[1])).collect();
    assert!(!on_land(along[0]) && on_land(along[200]));
    // The Isle of Wight, the Solent, and the mainland.
    assert!((1..=5).contains(&changes.len()), "{changes:?}");
    for pair in changes {
        let step = leg.length() * (1.0 / 200.0);
        assert!(nearest(pair[0]).distance <= step * 1.01, "{pair:?}");
    }
}

#[test]
fn ident_small_islands_are_there() {
    // Nominal positions as commonly published, from memory, whole minutes.
    for (name, lat, lon) in [
        ("Saint Helena", -15.96, -5.71),
        ("Bouvet", -54.42, 3.36),
        ("Pitcairn", -25.07, -130.10),
        ("Clipperton", 10.30, -109.22),
        ("Midway", 28.21, -177.37),
        ("Rockall", 57.60, -13.69),
        ("Diego Garcia", -7.31, 72.41),
        ("St Peter and St Paul Rocks", 0.92, -29.35),
        ("Shag Rocks", -53.55, -42.02),
        ("Ceva-i-Ra", -21.74, 174.64),
        ("Fiery Cross Reef", 9.55, 112.89),
    ] {
        let found = nearest(at(lat, lon));
        assert!(found.distance.nmi() < 5.0, "{name}: {found:?}");
    }
    let caspian = nearest(at(42.0, 50.5));
    assert!((30.0..80.0).contains(&caspian.distance.nmi()), "{caspian:?}");
}

#[test]
fn ref_the_line_off_north_east_australia() {
    // MARPOL 73/78, definition of "nearest land": its fifth to last and tenth points, and waters to both sides.
    for (lat, lon) in [(-9.0, 144.5), (-21.0, 152.0 + 55.0 / 60.0), (-24.5, 154.0)] {
        let found = nearest(at(lat + 0.05, lon + 0.05));
        assert!(found.distance.nmi() < 5.0, "{found:?}");
    }
    for (lat, lon) in
        [(-20.0, 150.0), (-16.5, 146.2), (-10.0, 143.5), (-23.0, 152.5), (-20.5, 147.0)]
    {
        let found = nearest(at(lat, lon));
        assert_eq!(
            (found.land, found.distance),
            (Land::InsideAustralianLine, Distance::ZERO),
            "{lat} {lon}"
        );
    }
    for (lat, lon) in [
        (-17.3, 147.4),
        (-22.0, 155.0),
        (-12.0, 146.0),
        (-10.0, 141.0),
        (-27.0, 154.5),
        (-8.5, 144.0),
        (-33.0, 152.5),
    ] {
        assert!(nearest(at(lat, lon)).land != Land::InsideAustralianLine, "{lat} {lon}");
    }
}

#[test]
fn ident_the_line_is_ten_miles_off_ten_miles_square_to_it() {
    let leg = Leg::new(at(-17.5, 147.0), at(-21.0, 152.0 + 55.0 / 60.0), Track::RhumbLine);
    let middle = leg.point_at(leg.length() * 0.5);
    let abeam = |side: f64| {
        let course = Course::from_degrees(leg.course_from().unwrap().degrees() + side).unwrap();
        Track::GreatCircle.destination(middle, course, Distance::from_nmi(10.0)).unwrap()
    };
    let seaward = nearest(abeam(-90.0));
    assert_eq!(seaward.land, Land::AustralianLine);
    assert!((seaward.distance.nmi() - 10.0).abs() < 0.02, "{seaward:?}");
    assert_eq!(nearest(abeam(90.0)).land, Land::InsideAustralianLine);
}

#[test]
fn ident_poles_and_date_line() {
    // The north coast of Greenland and its islets lie at 83.6 to 83.7 N; the Ross Sea side of the pole is land or ice.
    let north = nearest(at(90.0, 0.0));
    assert!((360.0..400.0).contains(&north.distance.nmi()), "{north:?}");
    assert_eq!(nearest(at(90.0, 123.0)).distance, north.distance);
    assert!(nearest(at(-90.0, 0.0)).distance.nmi() > 100.0);
    let (west, east) = (nearest(at(-18.6, 180.0)), nearest(at(-18.6, -180.0)));
    assert_eq!(west, east);
}

#[test]
fn ident_shores_for_a_map() {
    let coast = Coast::embedded().unwrap();
    // Saint Helena alone in a thousand miles of sea.
    let shores: Vec<_> =
        coast.shores_near(at(-15.96, -5.71), Distance::from_nmi(300.0), Distance::ZERO).collect();
    let island = shores.iter().max_by_key(|shore| shore.positions.len()).unwrap();
    assert!(island.closed && island.positions.len() > 8, "{island:?}");
    assert!(island.positions.iter().all(|p| way(*p, at(-15.96, -5.71)).nmi() < 10.0));
    let ends = (island.positions[0], island.positions[island.positions.len() - 1]);
    assert!(ends.0 != ends.1 && way(ends.0, ends.1).nmi() < 12.5);
    for p in shores.iter().flat_map(|shore| &shore.positions) {
        assert!(nearest(*p).distance.m() < 1.0);
    }
    assert_eq!(
        coast.shores_near(at(0.0, -30.0), Distance::from_nmi(40.0), Distance::ZERO).count(),
        0
    );
    let everything =
        coast.shores_near(at(0.0, 0.0), Distance::from_m(12_742_000.0), Distance::ZERO);
    assert!(everything.map(|shore| shore.positions.len()).sum::<usize>() > 700_000);
    // The continents at the Strait of Gibraltar are whole: far coasts are among them.
    let strait: Vec<_> = coast
        .shores_near(at(35.95, -5.6), Distance::from_nmi(200.0), Distance::from_nmi(1.0))
        .flat_map(|shore| shore.positions)
        .collect();
    let near_china = strait.iter().filter(|p| way(**p, at(30.0, 122.0)).nmi() < 300.0).count();
    assert!(near_china > 3, "{near_china} of {}", strait.len());
    let far_cape = strait.iter().filter(|p| way(**p, at(-34.4, 18.5)).nmi() < 200.0).count();
    assert!(far_cape > 3, "{far_cape} of {}", strait.len());
    assert!(coast.australian_line().len() > 100);
}

/// Thinned, a coast is less than half of its points and no point of it is farther from what is left than was asked for.
#[test]
fn ident_thinned_shores_stay_where_they_are() {
    let coast = Coast::embedded().unwrap();
    let (centre, reach, apart) =
        (at(56.0, 8.0), Distance::from_nmi(300.0), Distance::from_nmi(2.0));
    let whole: Vec<_> = coast.shores_near(centre, reach, Distance::ZERO).collect();
    let fewer: Vec<_> = coast.shores_near(centre, reach, apart).collect();
    let count = |shores: &[ocean::Shore]| shores.iter().map(|s| s.positions.len()).sum::<usize>();
    assert_eq!(whole.len(), fewer.len());
    assert!(2 * count(&fewer) < count(&whole), "{} of {}", count(&fewer), count(&whole));
    for (whole, fewer) in whole.iter().zip(&fewer) {
        assert_eq!(whole.positions.first(), fewer.positions.first());
        assert!(whole.closed || whole.positions.last() == fewer.positions.last());
        for point in whole.positions.iter().step_by(1 + whole.positions.len() / 4) {
            let off =
                fewer.positions.iter().map(|p| way(*p, *point).nmi()).fold(f64::MAX, f64::min);
            // An islet that is but a place is told by its first point.
            let most = if whole.closed && !fewer.closed { 4.0 } else { 2.0 };
            assert!(off <= most, "{off}");
        }
    }
}

#[test]
fn ident_a_changed_byte_is_noticed() {
    for at in (0..COAST.len()).step_by(60_013).chain([0, 1, COAST.len() - 1]) {
        let mut changed = COAST.to_vec();
        changed[at] ^= 0x10;
        let error = Coast::unpack(&changed).expect_err("a changed byte");
        assert!(error.to_string().contains("install it again"), "{error}");
    }
    assert!(Coast::unpack(&COAST[..COAST.len() / 2]).is_err());
    assert!(Coast::unpack(&[]).is_err());
}

#[test]
fn ident_what_can_be_counted_on_is_a_guard_less() {
    let found = nearest(at(-15.8, -5.95));
    assert!((found.distance - found.at_least() - GUARD).m().abs() < 1e-6);
    assert_eq!(nearest(at(-20.0, 150.0)).at_least(), Distance::ZERO);
    assert!(TRUST.contains("Not for navigation") && TRUST.contains("baselines"));
}

fn anywhere() -> impl Strategy<Value = Position> {
    (-90.0..=90.0, -180.0..=180.0).prop_map(|(lat, lon)| at(lat, lon))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn ident_a_move_changes_the_distance_by_no_more_than_itself(a in anywhere(), course in 0.0..360.0, nmi in 0.0..300.0) {
        let course = Course::from_degrees(course).unwrap();
        let b = Track::GreatCircle.destination(a, course, Distance::from_nmi(nmi)).unwrap();
        let (here, there) = (nearest(a), nearest(b));
        // The waters behind the line end at the line, to seaward; inland their edge is only drawn, and the distance jumps there.
        let dry = |p| Sea::embedded().unwrap().ground(p) == Ground::Land;
        let behind = |found: NearestLand| found.land == Land::InsideAustralianLine;
        prop_assume!(behind(here) == behind(there) || !(dry(a) || dry(b)));
        // The pieces dip 12 m below the surface; straight distances order far points to 0.02 %.
        let slack = 0.02 + 2e-4 * here.distance.nmi().max(there.distance.nmi());
        prop_assert!((here.distance - there.distance).nmi().abs() <= nmi + slack, "{here:?} {there:?} {nmi}");
    }

    #[test]
    fn ident_the_distance_is_that_to_the_position_given(p in anywhere()) {
        let found = nearest(p);
        prop_assert!(found.distance.m().is_finite());
        prop_assert!((way(p, found.position) - found.distance).m().abs() < 1e-6);
        if found.land == Land::Coast {
            // On the coast itself nothing is left (but behind the line, where everything counts as land).
            prop_assert!(nearest(found.position).distance.m() < 20.0, "{found:?}");
        }
    }
}

/// Under the ice of Antarctica the rock lies below the level of the sea in places: it is land all the same, and the sea before
/// the ice is sea.
#[test]
fn ref_land_ice_is_land_and_the_sea_before_it_is_sea() {
    // The pole; the West Antarctic ice sheet over basins 1 to 2 km deep; the Wilkes basin.
    for (lat, lon) in [(-90.0, 0.0), (-80.0, -110.0), (-79.0, -105.0), (-72.0, 150.0)] {
        assert!(on_land(at(lat, lon)), "{}", at(lat, lon));
    }
    // The Weddell Sea, the Ross Sea, the Bellingshausen Sea, the Drake Passage.
    for (lat, lon) in [(-70.0, -40.0), (-75.5, -175.0), (-68.0, -85.0), (-61.0, -65.0)] {
        assert!(!on_land(at(lat, lon)), "{}", at(lat, lon));
    }
    // All round the deep Southern Ocean.
    for lon in (-180..180).step_by(2) {
        let p = at(-61.5, f64::from(lon));
        assert!(!on_land(p), "{p}");
    }
}
