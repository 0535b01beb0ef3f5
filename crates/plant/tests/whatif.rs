//! Maps and backwards answers agree with the forward solution; nothing panics, nothing is not a number.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test's helpers may fail it")]

mod sound;

use plant::{Axis, Lever, Plant, Point, Reach, Sheet, Value, keys};
use proptest::prelude::*;

fn plant() -> Plant {
    Plant::calibrate(&Sheet::default()).unwrap()
}

/// A map's cells against the same points asked one by one.
fn a_map_is_its_points(plant: &Plant, base: &Point, y_axis: Axis, ys: &[f64]) {
    let xs: Vec<f64> = (0..32).map(|i| 4.0 + f64::from(i)).collect();
    for y in ys {
        let row = plant.map_row(base, (Axis::SeaTemp, &xs), (y_axis, *y)).unwrap();
        for (x, cell) in xs.iter().zip(&row) {
            let mut at = Point { sea_temp_c: *x, ..base.clone() };
            at.set(y_axis.key(), &Value::Number(*y)).unwrap();
            match (cell, &plant.rate(&at)) {
                (Ok(a), Ok(b)) => {
                    assert!((a.product_t_day / b.product_t_day - 1.0).abs() < 1e-9, "{x} {y}");
                    let moved = |s: &plant::Solution| -> Vec<_> {
                        s.trims.iter().map(|t| (t.lever, t.why)).collect()
                    };
                    assert_eq!(moved(a), moved(b), "{x} {y}");
                }
                (Err(a), Err(b)) => assert_eq!(a.kind(), b.kind(), "{x} {y}"),
                (cell, alone) => panic!("{x} {y}: {cell:?} {alone:?}"),
            }
        }
    }
}

#[test]
fn ident_a_map_is_its_points() {
    let plant = plant();
    let base = Point { trimmed: true, ..Point::default() };
    let jacket = [58.0, 66.0, 74.0, 82.0, 90.0];
    for feed_ratio in [None, Some(0.5), Some(1.0), Some(1.4), Some(6.0)] {
        let base = Point { feed_ratio, ..base.clone() };
        a_map_is_its_points(&plant, &base, Axis::JacketIn, &jacket);
        a_map_is_its_points(&plant, &base, Axis::EngineLoad, &[5.0, 25.0, 40.0, 60.0, 100.0]);
    }
    let leaking = Point { air_leak_kg_h: 9.0, ejector_pressure_bar_g: 3.0, ..base };
    a_map_is_its_points(&plant, &leaking, Axis::JacketIn, &jacket);
}

#[test]
fn ident_backwards_is_forwards() {
    let plant = plant();
    let worn = Point {
        sea_temp_c: 30.0,
        condenser_fouling_m2k_w: 2.5e-4,
        scale_m2k_w: 1.2e-4,
        air_leak_kg_h: 3.0,
        ..Point::default()
    };
    let now = plant.rate(&worn).unwrap().product_t_day;
    let mut reached = 0;
    for lever in Lever::ALL {
        for wanted in [0.6 * now, now + 1.0, 40.0] {
            match plant.solve_for(&worn, wanted, lever).unwrap() {
                Reach::At { value, solution } => {
                    reached += 1;
                    let mut at = worn.clone();
                    at.set(lever.key(), &Value::Number(value)).unwrap();
                    let forward = plant.rate(&at).unwrap().product_t_day;
                    assert!((forward / wanted - 1.0).abs() < 1e-6, "{lever:?} {wanted}");
                    assert!((solution.product_t_day / wanted - 1.0).abs() < 1e-6);
                }
                Reach::Best { solution, .. } => assert!(solution.product_t_day < 40.0),
            }
        }
    }
    assert!(reached >= 6, "{reached}");
    assert!(plant.solve_for(&worn, f64::NAN, Lever::Feed).is_err());
}

/// A point whose feed is given as a flow has its feed moved all the same.
#[test]
fn ident_feed_given_as_a_flow_is_moved_as_a_ratio() {
    let plant = plant();
    let by_ratio = Point { feed_ratio: Some(2.5), sea_temp_c: 25.0, ..Point::default() };
    let feed_kg_s = plant.rate(&by_ratio).unwrap().inside.feed_kg_s;
    let by_flow = Point { feed_ratio: None, feed_flow_kg_s: Some(feed_kg_s), ..by_ratio.clone() };
    let wanted = plant.rate(&by_ratio).unwrap().product_t_day - 0.5;
    let value = |point: &Point| match plant.solve_for(point, wanted, Lever::Feed).unwrap() {
        Reach::At { value, .. } => value,
        Reach::Best { value, .. } => panic!("it comes no nearer than {value}"),
    };
    assert!((value(&by_flow) / value(&by_ratio) - 1.0).abs() < 1e-6);
}

fn wild() -> impl Strategy<Value = f64> {
    prop_oneof![
        -1.0e3..1.0e3_f64,
        Just(0.0),
        Just(1.0e300),
        Just(-1.0e300),
        Just(5e-324),
        Just(f64::NAN),
        Just(f64::INFINITY),
        -5.0..110.0_f64,
    ]
}

/// `PROPTEST_CASES` sets how many cases are tried, 600 when nothing is said.
fn config() -> ProptestConfig {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok()).unwrap_or(600);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(config())]

    /// Any finite input: an answer whose every figure is a number and balances, or a refusal that names itself.
    #[test]
    fn ident_whatever_is_asked_the_answer_is_sound(
        picks in prop::collection::vec((0..keys::POINT.len(), wild()), 0..6),
        trimmed: bool,
        inside in 0.0..1.0_f64,
        spread in prop::collection::vec((0..keys::POINT.len(), 0.0..1.0_f64), 0..10),
    ) {
        let plant = plant();
        let mut point = Point { trimmed, ..Point::default() };
        for (i, share) in spread {
            let key = &keys::POINT[i];
            // Within the allowed range, thick near the usual one.
            let (low, high) = if inside < 0.7 { key.typical } else { key.hard };
            let _ = point.set(key.key, &Value::Number(low + share * (high - low)));
        }
        for (i, x) in picks {
            let _ = point.set(keys::POINT[i].key, &Value::Number(x));
        }
        sound::point(&plant, &point);
    }

    /// The same root from any start.
    #[test]
    fn ident_one_root_from_any_start(
        sea in 5.0..36.0_f64, jacket in 60.0..92.0_f64, flow in 0.3..1.1_f64, cool in 0.4..1.1_f64,
        ln_p in 6.5..11.0_f64, vapour in 0.001..0.8_f64,
    ) {
        let plant = plant();
        let point = Point {
            sea_temp_c: sea, jacket_in_c: jacket, jacket_flow_kg_s: 16.2 * flow, condenser_flow_kg_s: 17.5 * cool,
            ..Point::default()
        };
        match (plant.free(&point), plant.free_from(&point, Some((ln_p.exp(), vapour)))) {
            (Ok(a), Ok(b)) => {
                prop_assert!((a.shell_pressure_pa / b.shell_pressure_pa - 1.0).abs() < 1e-10);
                prop_assert!((a.vapour_kg_s / b.vapour_kg_s - 1.0).abs() < 1e-9);
            }
            (Err(a), Err(b)) => prop_assert_eq!(a.kind(), b.kind()),
            (a, b) => prop_assert!(false, "{:?} {:?}", a, b),
        }
    }

    /// Any sheet of finite figures is calibrated, reproducing its rated point, or refused in words.
    #[test]
    fn ident_a_sheet_is_reproduced_or_refused(
        picks in prop::collection::vec((0..keys::SHEET.len(), 0.0..1.0_f64, any::<bool>()), 0..8)
    ) {
        let mut sheet = Sheet::default();
        for (i, share, usual) in picks {
            let key = &keys::SHEET[i];
            let (low, high) = if usual { key.typical } else { key.hard };
            let _ = sheet.set(key.key, &Value::Number(low + share * (high - low)));
        }
        sound::sheet(&sheet);
    }
}
