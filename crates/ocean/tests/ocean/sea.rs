//! Depth, temperature and salinity beside their sources and other figures, and where nothing is known.

use crate::common::{at, table};
use ocean::{Basis, Ground, Sea, Season, SeasonError};
use proptest::prelude::*;

const DEPTH: &[u8] = include_bytes!("../../data/depth.bin");
const SEA_TEMPERATURE: &[u8] = include_bytes!("../../data/sea_temperature.bin");
const SALINITY: &[u8] = include_bytes!("../../data/salinity.bin");

fn sea() -> &'static Sea {
    Sea::embedded().unwrap()
}

fn july() -> Season {
    Season::mid_month(7).unwrap()
}

#[test]
fn cross_depth_at_named_positions_beside_etopo1() {
    // ETOPO1 every 6', bilinear. Ours leaves land corners out and is written in steps of 5 % of depth plus 15 m.
    for row in table("checks.csv") {
        let ground = sea().ground(at(row.number("lat"), row.number("lon")));
        let wanted = row.number("depth_etopo1_m");
        let depth = ground.depth().unwrap();
        let step = 0.03 * (wanted + 15.0);
        let off = depth.depth_m - wanted;
        match ground {
            Ground::Sea(_) => {
                assert!(off.abs() <= step, "{}: {depth:?} {wanted}", row.text("name"))
            }
            // Without the land the depth is greater.
            _ => assert!(off > -step, "{}: {depth:?} {wanted}", row.text("name")),
        }
        assert!(depth.least_m <= depth.depth_m);
    }
}

#[test]
fn regr_temperature_and_salinity_at_named_positions() {
    for row in table("checks.csv") {
        let p = at(row.number("lat"), row.number("lon"));
        for month in 1..=12 {
            let found = sea().surface_temperature(p, Season::mid_month(month).unwrap()).unwrap();
            let wanted = row.number(&format!("sst_{month:02}"));
            let off = found.value.celsius() - wanted;
            assert!(off.abs() <= 0.25, "{} month {month}: {found:?} {wanted}", row.text("name"));
        }
        let found = sea().surface_salinity(p).unwrap();
        let off = found.value.practical() - row.number("salinity_psu");
        assert!(off.abs() <= 0.3, "{}: {found:?} {off}", row.text("name"));
    }
}

#[test]
fn ref_seas_that_textbooks_describe() {
    // Common oceanography, from memory: the North Pacific subtropical gyre, the saltiest Atlantic, the Red Sea's head, the Gulf's
    // summer, the Southern Ocean, the Baltic proper, the Black Sea.
    let psu = |lat, lon| sea().surface_salinity(at(lat, lon)).unwrap().value.practical();
    let celsius = |lat, lon, month| {
        let season = Season::mid_month(month).unwrap();
        sea().surface_temperature(at(lat, lon), season).unwrap().value.celsius()
    };
    assert!((37.0..37.8).contains(&psu(25.0, -38.0)));
    assert!((39.0..41.5).contains(&psu(27.0, 34.5)));
    assert!((33.5..34.3).contains(&psu(-60.0, 0.0)));
    assert!((6.0..9.0).contains(&psu(57.0, 19.5)));
    assert!((17.0..19.0).contains(&psu(43.0, 33.0)));
    assert!((31.0..34.5).contains(&celsius(26.5, 52.0, 8)));
    assert!((28.0..30.5).contains(&celsius(5.0, 150.0, 7)));
    assert!((-1.9..1.5).contains(&celsius(-62.0, 20.0, 8)));
    assert!((4.0..8.0).contains(&celsius(54.5, 3.0, 2)));
}

#[test]
fn ident_where_nothing_is_known_it_says_so() {
    // Kazakhstan, the Sahara, Antarctica's inside; Lake Superior, of which nothing is kept.
    for (lat, lon) in [(48.0, 70.0), (23.0, 10.0), (-85.0, 60.0)] {
        let p = at(lat, lon);
        assert_eq!(sea().ground(p), Ground::Land, "{p}");
        let said = sea().surface_temperature(p, july()).unwrap_err();
        assert!(said.on_land && said.to_string().contains("on land"), "{said}");
        assert!(sea().surface_salinity(p).unwrap_err().to_string().contains(&p.to_string()));
    }
    // Rock under the ice lies 57 m under the sea at the pole.
    assert_eq!(sea().ground(at(-90.0, 0.0)), Ground::Land);
    assert_eq!(sea().ground(at(-82.0, -170.0)), Ground::Land);
    assert!(sea().surface_salinity(at(47.7, -87.5)).is_err());
    // Inside the Black Sea one figure stands for all of it.
    assert_eq!(sea().surface_salinity(at(43.0, 33.0)).unwrap().basis, Basis::Neighbours);
    assert_eq!(sea().surface_salinity(at(45.0, -30.0)).unwrap().basis, Basis::Observed);
}

#[test]
fn ident_shallow_water_is_judged_by_the_shallowest_corner() {
    let depth = sea().ground(at(1.15, 103.8)).depth().unwrap();
    assert!(depth.least_m < 30.0);
    assert!(matches!(sea().ground(at(-30.0, -20.0)), Ground::Sea(depth) if depth.least_m > 2000.0));
}

#[test]
fn ident_seasons() {
    let p = at(45.0, -30.0);
    let on = |season| sea().surface_temperature(p, season).unwrap().value.celsius();
    let date = |month, day| on(Season::date(month, day).unwrap());
    let mid = |month| on(Season::mid_month(month).unwrap());
    // The turn of the year lies between December and January, half-way.
    assert!((date(12, 31) - 0.5 * (mid(12) + mid(1))).abs() < 0.05);
    assert!((date(1, 1) - date(12, 31)).abs() < 0.05);
    assert!((date(8, 1) - 0.5 * (mid(7) + mid(8))).abs() < 0.1);
    assert_eq!(Season::mid_month(13), Err(SeasonError::Month { month: 13 }));
    assert_eq!(Season::date(2, 30), Err(SeasonError::Day { month: 2, day: 30, last: 29 }));
    assert!(Season::date(0, 1).unwrap_err().to_string().contains("1 (January) to 12"));
    assert!(Season::date(4, 0).unwrap_err().to_string().contains("1 to 30"));
}

#[test]
fn ident_a_changed_byte_is_noticed() {
    let whole = [DEPTH, SEA_TEMPERATURE, SALINITY];
    for which in 0..3 {
        let packed = whole[which];
        for at in (0..packed.len()).step_by(packed.len() / 12 + 1).chain([packed.len() - 1]) {
            let mut changed = packed.to_vec();
            changed[at] ^= 0x04;
            let mut parts = whole;
            parts[which] = &changed;
            assert!(Sea::unpack(parts[0], parts[1], parts[2]).is_err(), "{which} {at}");
        }
    }
    // Whole, but in each other's place.
    assert!(Sea::unpack(DEPTH, SALINITY, SEA_TEMPERATURE).is_err());
}

proptest! {
    #[test]
    fn ident_every_position_has_an_answer_in_range(lat in -90.0..=90.0, lon in -180.0..=180.0, month in 1_u8..=12, day in 1_u8..=28) {
        let p = at(lat, lon);
        if let Some(depth) = sea().ground(p).depth() {
            prop_assert!(depth.least_m >= 0.0 && depth.least_m <= depth.depth_m + 1e-9 && depth.depth_m <= 11_000.0 + 1e-6);
        }
        if let Ok(found) = sea().surface_temperature(p, Season::date(month, day).unwrap()) {
            prop_assert!((-1.95..=35.0).contains(&found.value.celsius()), "{found:?}");
        }
        if let Ok(found) = sea().surface_salinity(p) {
            prop_assert!((0.0..=42.0).contains(&found.value.practical()), "{found:?}");
        }
    }
}
