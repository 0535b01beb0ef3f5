//! The band against a Monte Carlo of the independent implementation (20,000 draws a point), and slopes against differences.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use plant::{HeatShort, Plant, Point, RESULT_FIGURES, Sheet, Spread, Uncertainty, Value};

fn read_json() -> serde_json::Value {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../validation/plant/monte_carlo.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn spread(v: &serde_json::Value) -> Spread {
    let sigma = v["sigma"].as_f64().unwrap();
    if v["kind"] == "add" { Spread::Plain(sigma) } else { Spread::Share(sigma) }
}

#[test]
fn cross_python_monte_carlo_spreads() {
    let json = read_json();
    let mut uncertainty = Uncertainty::default();
    for (key, v) in json["sigmas"]["at"].as_object().unwrap() {
        uncertainty.point(key, spread(v)).unwrap();
    }
    for (key, v) in json["sigmas"]["plant"].as_object().unwrap() {
        uncertainty.sheet(key, spread(v)).unwrap();
    }
    let plant = Plant::calibrate(&Sheet::default()).unwrap();
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../validation/plant/monte_carlo.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let headers = reader.headers().unwrap().clone();
    let mut compared = 0;
    for record in reader.records() {
        let record = record.unwrap();
        let cell = |name: &str| record[headers.iter().position(|h| h == name).unwrap()].to_owned();
        let mut point = Point::default();
        for (key, v) in json["points"][cell("point").as_str()].as_object().unwrap() {
            point.set(key, &Value::Number(v.as_f64().unwrap())).unwrap();
        }
        let banded = plant.band(&point, &uncertainty).unwrap();
        let quantity = cell("quantity");
        let number = |name: &str| cell(name).parse::<f64>().unwrap();
        let ours = banded.sigma(&quantity).unwrap();
        let theirs = number("sd");
        // First order against the full model: a tenth, plus what 20,000 draws leave uncertain (0.5 %).
        assert!(
            (ours / theirs - 1.0).abs() < 0.12,
            "{} {quantity}: ours {ours}, theirs {theirs}",
            cell("point")
        );
        let (low, high) = banded.band(&quantity).unwrap();
        let (p5, p95) = (number("p5"), number("p95"));
        // The ends bend away where heat is short: half a standard deviation is what first order leaves there.
        let (off_low, off_high) = ((low - p5).abs() / theirs, (high - p95).abs() / theirs);
        assert!(off_low < 0.5 && off_high < 0.5, "{quantity}: {low} {high} against {p5} {p95}");
        compared += 1;
    }
    assert!(compared >= 18, "{compared}");
}

/// Slopes against central differences of the solution itself, free, trimmed, limited by the engine and sagging.
#[test]
fn ident_slopes_are_those_of_the_solution() {
    let sheet = Sheet::default();
    let plant = Plant::calibrate(&sheet).unwrap();
    let rated = Point::default();
    let points = [
        rated.clone(),
        Point { sea_temp_c: 15.0, trimmed: true, ..rated.clone() },
        Point { sea_temp_c: 26.0, jacket_in_c: 88.0, trimmed: true, ..rated.clone() },
        Point { engine_load: Some(40.0), ..rated.clone() },
        Point { engine_load: Some(40.0), heat_short: HeatShort::Sag, ..rated.clone() },
        Point {
            air_leak_kg_h: 5.0,
            condenser_fouling_m2k_w: 1e-4,
            condenser_leak_kg_h: 1.0,
            ..rated
        },
    ];
    let at_keys = [
        "sea_temp_c",
        "jacket_in_c",
        "jacket_flow_kg_s",
        "condenser_flow_kg_s",
        "ejector_pressure_bar_g",
        "air_leak_kg_h",
        "scale_m2k_w",
        "condenser_fouling_m2k_w",
        "barometer_hpa",
        "feed_ratio",
        "engine_load",
    ];
    let sheet_keys = [
        "rated_product_t_day",
        "rated_vapour_temp_c",
        "rated_gas_capacity_m3_s",
        "convective_share",
        "rated_condenser_flow_kg_s",
    ];
    let mut uncertainty = Uncertainty::default();
    at_keys.iter().for_each(|k| uncertainty.point(k, Spread::Share(0.01)).unwrap());
    sheet_keys.iter().for_each(|k| uncertainty.sheet(k, Spread::Share(0.01)).unwrap());
    for point in &points {
        let banded = plant.band(point, &uncertainty).unwrap();
        assert!(banded.inputs.len() >= 13);
        for input in &banded.inputs {
            let step =
                (input.sigma * 1e-2).max(if input.key.ends_with("m2k_w") { 1e-8 } else { 0.0 });
            let shifted = |by: f64| {
                let (mut sheet, mut point) = (sheet.clone(), point.clone());
                let add = |v: Value, fallback: f64| match v {
                    Value::Number(x) => Value::Number(x + by),
                    _ => Value::Number(fallback + by),
                };
                if input.part == plant::keys::Part::Sheet {
                    let v = add(sheet.get(input.key).unwrap(), 0.0);
                    sheet.set(input.key, &v).unwrap();
                } else {
                    let v = add(point.get(input.key).unwrap(), sheet.rated_feed_ratio);
                    point.set(input.key, &v).unwrap();
                }
                Plant::calibrate(&sheet).unwrap().rate(&point).unwrap()
            };
            if step == 0.0 || !step.is_finite() {
                continue;
            }
            let one_sided = input.key.ends_with("m2k_w");
            let (low, high) =
                (if one_sided { shifted(0.0) } else { shifted(-step) }, shifted(step));
            for (i, name) in RESULT_FIGURES.iter().enumerate() {
                let width = if one_sided { step } else { 2.0 * step };
                let difference = (high.get(name).unwrap() - low.get(name).unwrap()) / width;
                let scale = (high.get(name).unwrap().abs() / (100.0 * step)).max(difference.abs());
                let off = (input.slopes[i] - difference).abs();
                assert!(
                    off <= 2e-3 * scale.max(1e-12),
                    "d {name} / d {}: {} against {difference} (load {:?}, trimmed {})",
                    input.key,
                    input.slopes[i],
                    point.engine_load,
                    point.trimmed
                );
            }
        }
    }
}
