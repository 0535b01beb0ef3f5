//! The band by exact derivatives against twenty thousand draws through the independent implementation.

use plant::{Plant, Point, Sheet, Spread, Uncertainty, Value};
use serde_json::Value as Json;

use super::table::Table;
use super::{AccuracyError, Errors, Evidence::Independent, Finding, Measure};

const DRAWS: &str = include_str!("../../../../validation/plant/monte_carlo.csv");
const SETUP: &str = include_str!("../../../../validation/plant/monte_carlo.json");

pub(crate) fn findings() -> Result<Vec<Finding>, AccuracyError> {
    let wrong = |why: String| AccuracyError::Table { table: "plant/monte_carlo.json", why };
    let setup: Json = serde_json::from_str(SETUP).map_err(|e| wrong(e.to_string()))?;
    let figures = |v: &Json| v.as_object().cloned().ok_or_else(|| wrong("no object".into()));
    let mut uncertainty = Uncertainty::default();
    for (part, state) in [("at", true), ("plant", false)] {
        for (key, v) in figures(&setup["sigmas"][part])? {
            let sigma = v["sigma"].as_f64().ok_or_else(|| wrong(format!("{key}: no sigma")))?;
            let spread =
                if v["kind"] == "add" { Spread::Plain(sigma) } else { Spread::Share(sigma) };
            let stated = if state {
                uncertainty.point(&key, spread)
            } else {
                uncertainty.sheet(&key, spread)
            };
            stated.map_err(|e| wrong(e.to_string()))?;
        }
    }
    let plant = Plant::calibrate(&Sheet::default()).map_err(|e| wrong(e.to_string()))?;
    let table = Table::read("plant/monte_carlo.csv", DRAWS)?;
    let (mut spreads, mut ends) = (Errors::default(), Errors::default());
    for row in table.rows() {
        let mut point = Point::default();
        for (key, v) in figures(&setup["points"][row.text("point")?])? {
            let value = Value::Number(v.as_f64().unwrap_or(f64::NAN));
            point.set(&key, &value).map_err(|e| wrong(e.to_string()))?;
        }
        let banded = plant.band(&point, &uncertainty).map_err(|e| row.wrong(e.to_string()))?;
        let quantity = row.text("quantity")?;
        let none = || row.wrong(format!("{quantity}: no band"));
        let sd = row.number("sd")?;
        spreads.relative(banded.sigma(quantity).ok_or_else(none)?, sd);
        let (low, high) = banded.band(quantity).ok_or_else(none)?;
        ends.push((low - row.number("p5")?).abs() / sd);
        ends.push((high - row.number("p95")?).abs() / sd);
    }
    let source = "Monte Carlo, 20,000 draws a point, Python";
    Ok(vec![
        spreads.finding(
            ("band: standard deviation", source, Independent),
            Measure::Relative,
            0.12,
            "first order; what is claimed is ours",
        ),
        ends.finding(
            ("band: ends that hold nine in ten", source, Independent),
            Measure::Absolute("standard deviations"),
            0.5,
            "worst where heat is short and the output bends; what is claimed is ours",
        ),
    ])
}
