//! Agreement with an independent implementation (Python, scipy, CoolProp 8.0.0 IF97) over the whole stated range.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use plant::{Plant, Point, RESULT_FIGURES, Sheet, Value};

/// Relative agreement asked of every figure.
const TOLERANCE: f64 = 1.0e-6;
/// Figures that pass through nought are compared against this much of their own unit.
const FLOORS: &[(&str, f64)] =
    &[("over_level", 1e-3), ("blanketed_fraction", 1e-3), ("vent_loss_kg_s", 1e-5)];

fn values(json: &str) -> Vec<(String, Value)> {
    let map: serde_json::Map<String, serde_json::Value> = serde_json::from_str(json).unwrap();
    map.into_iter().map(|(k, v)| (k, serde_json::from_value(v).unwrap())).collect()
}

struct Case {
    name: String,
    sheet: Sheet,
    point: Result<Point, String>,
    feasible: bool,
    kind: String,
    figures: Vec<(String, f64)>,
    trims: Vec<(String, f64, String)>,
}

fn cases() -> Vec<Case> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../validation/plant/points.csv");
    let mut reader = csv::Reader::from_path(path).unwrap();
    let headers = reader.headers().unwrap().clone();
    let mut cases = Vec::new();
    for record in reader.records() {
        let record = record.unwrap();
        let cell = |name: &str| record[headers.iter().position(|h| h == name).unwrap()].to_owned();
        let mut sheet = Sheet::default();
        for (key, value) in values(&cell("plant")) {
            sheet.set(&key, &value).unwrap();
        }
        let mut point = Ok(Point::rated(&sheet));
        for (key, value) in values(&cell("at")) {
            point =
                point.and_then(|mut p| p.set(&key, &value).map(|()| p).map_err(|e| e.to_string()));
        }
        let figures = RESULT_FIGURES
            .iter()
            .chain(&["jacket_flow_kg_s", "condenser_flow_kg_s", "air_bleed_kg_h"])
            .filter_map(|name| cell(name).parse().ok().map(|x| ((*name).to_owned(), x)))
            .collect();
        let trims: Vec<serde_json::Value> =
            serde_json::from_str(&cell("trims")).unwrap_or_default();
        let word = |t: &serde_json::Value, k: &str| t[k].as_str().unwrap_or_default().to_owned();
        cases.push(Case {
            name: cell("case"),
            sheet,
            point,
            feasible: cell("feasible") == "1",
            kind: cell("kind"),
            figures,
            trims: trims
                .iter()
                .map(|t| (word(t, "lever"), t["to"].as_f64().unwrap(), word(t, "why")))
                .collect(),
        });
    }
    assert!(cases.len() > 700, "{} cases", cases.len());
    cases
}

#[test]
fn cross_python_points_agree_in_every_figure() {
    let mut worst: (f64, String) = (0.0, String::new());
    let mut wrong = Vec::new();
    let mut all = Vec::new();
    for case in cases() {
        let plant = match Plant::calibrate(&case.sheet) {
            Ok(plant) => plant,
            Err(e) if case.kind == "sheet_refused" => {
                assert!(!e.to_string().is_empty());
                continue;
            }
            Err(e) => {
                wrong.push(format!("{}: sheet refused: {e}", case.name));
                continue;
            }
        };
        let point = match case.point {
            Ok(point) => point,
            Err(e) => {
                wrong.push(format!("{}: {e}", case.name));
                continue;
            }
        };
        match (plant.rate(&point), case.feasible) {
            (Ok(s), true) => {
                for (name, theirs) in &case.figures {
                    let ours = match name.as_str() {
                        "jacket_flow_kg_s" => s.inside.jacket_flow_kg_s,
                        "condenser_flow_kg_s" => s.inside.condenser_flow_kg_s,
                        "air_bleed_kg_h" => s.inside.air_bleed_kg_h,
                        _ => s.get(name).unwrap(),
                    };
                    let floor = FLOORS.iter().find(|f| f.0 == name).map_or(1e-9, |f| f.1);
                    let off = (ours - theirs).abs() / theirs.abs().max(floor);
                    all.push(off);
                    if off > worst.0 {
                        worst =
                            (off, format!("{} {name}: ours {ours}, theirs {theirs}", case.name));
                    }
                    if off > TOLERANCE {
                        wrong.push(format!(
                            "{} {name}: ours {ours}, theirs {theirs}, off {off:.1e}",
                            case.name
                        ));
                    }
                }
                let ours: Vec<(String, String)> = s
                    .trims
                    .iter()
                    .map(|t| serde_json::to_value(t).unwrap())
                    .map(|t| {
                        (
                            t["lever"].as_str().unwrap().to_owned(),
                            t["why"].as_str().unwrap().to_owned(),
                        )
                    })
                    .collect();
                let theirs: Vec<(String, String)> =
                    case.trims.iter().map(|t| (t.0.clone(), t.2.clone())).collect();
                if ours != theirs {
                    wrong.push(format!("{} trims: ours {ours:?}, theirs {theirs:?}", case.name));
                }
            }
            (Err(e), false) if e.kind() == case.kind => {}
            (Err(e), false) => {
                wrong.push(format!("{}: ours {} ({e}), theirs {}", case.name, e.kind(), case.kind))
            }
            (Ok(_), false) => {
                wrong.push(format!("{}: ours feasible, theirs {}", case.name, case.kind))
            }
            (Err(e), true) => {
                wrong.push(format!("{}: ours {} ({e}), theirs feasible", case.name, e.kind()))
            }
        }
    }
    all.sort_by(f64::total_cmp);
    let quantile = |q: f64| all[((all.len() - 1) as f64 * q) as usize];
    println!(
        "{} figures: median {:.1e}, 95 % {:.1e}, worst {:.1e} ({})",
        all.len(),
        quantile(0.5),
        quantile(0.95),
        worst.0,
        worst.1
    );
    assert!(
        wrong.is_empty(),
        "{} disagree:\n{}",
        wrong.len(),
        wrong[..wrong.len().min(40)].join("\n")
    );
    assert!(quantile(0.95) < 1.0e-8, "{}", quantile(0.95));
}
