//! The steady plant against an independent implementation, point by point.

use plant::{Plant, Point, RESULT_FIGURES, Sheet, Solution, Value};

use super::table::{Row, Table};
use super::{AccuracyError, Errors, Evidence::Independent, Finding, Measure};

const POINTS: &str = include_str!("../../../../validation/plant/points.csv");

/// Figures that pass through nought are compared against this much of their own unit.
const FLOORS: &[(&str, f64)] =
    &[("over_level", 1.0e-3), ("blanketed_fraction", 1.0e-3), ("vent_loss_kg_s", 1.0e-5)];

pub(crate) fn findings() -> Result<Vec<Finding>, AccuracyError> {
    let table = Table::read("plant/points.csv", POINTS)?;
    let (mut figures, mut reasons, mut balance) =
        (Errors::default(), Errors::default(), Errors::default());
    for row in table.rows() {
        let case = |why: String| AccuracyError::Case {
            case: row.text("case").unwrap_or_default().to_owned(),
            why,
        };
        let theirs = row.text("kind")?;
        match (solve(&row)?, row.text("feasible")? == "1") {
            (Ok(solution), true) => {
                compare(&row, &solution, &mut figures)?;
                let r = solution.residuals;
                balance.push(r.mass.abs().max(r.salt.abs()).max(r.energy.abs()));
            }
            // Counted as agreement in kind: nought when the reason is the same, one when it is another.
            (Err(kind), false) => reasons.push(f64::from(u8::from(kind != theirs))),
            (Ok(_), false) => return Err(case(format!("runs here, not there ({theirs})"))),
            (Err(kind), true) => return Err(case(format!("runs there, not here ({kind})"))),
        }
    }
    let source = "Python, scipy, CoolProp 8.0.0 IF97: its own equations and search";
    Ok(vec![
        figures.finding(
            ("steady plant, every figure of the points that run", source, Independent),
            Measure::Relative,
            1.0e-6,
            "figures that pass through nought against a floor",
        ),
        reasons.finding(
            ("points that cannot run: the same reason given", source, Independent),
            Measure::Absolute("differing"),
            0.0,
            "",
        ),
        balance.finding(
            ("mass, salt and energy at every point that runs", "conservation", Independent),
            Measure::Relative,
            1.0e-9,
            "what the solution leaves over",
        ),
    ])
}

/// The answer to a row, or the kind of refusal.
fn solve(row: &Row<'_>) -> Result<Result<Solution, String>, AccuracyError> {
    let mut sheet = Sheet::default();
    for (key, value) in values(row, "plant")? {
        if sheet.set(&key, &value).is_err() {
            return Ok(Err("sheet_refused".into()));
        }
    }
    let Ok(plant) = Plant::calibrate(&sheet) else { return Ok(Err("sheet_refused".into())) };
    let mut point = Point::rated(&sheet);
    for (key, value) in values(row, "at")? {
        if point.set(&key, &value).is_err() {
            return Ok(Err("refused".into()));
        }
    }
    Ok(plant.rate(&point).map_err(|e| e.kind().to_owned()))
}

fn values(row: &Row<'_>, column: &str) -> Result<Vec<(String, Value)>, AccuracyError> {
    let map: serde_json::Map<String, serde_json::Value> =
        serde_json::from_str(row.text(column)?).map_err(|e| row.wrong(e.to_string()))?;
    map.into_iter()
        .map(|(k, v)| Ok((k, serde_json::from_value(v).map_err(|e| row.wrong(e.to_string()))?)))
        .collect()
}

fn compare(row: &Row<'_>, solution: &Solution, errors: &mut Errors) -> Result<(), AccuracyError> {
    for key in RESULT_FIGURES {
        let Some(theirs) = row.optional(key)? else { continue };
        let ours = solution.get(key).map_err(|e| row.wrong(e.to_string()))?;
        let floor = FLOORS.iter().find(|f| f.0 == *key).map_or(1.0e-9, |f| f.1);
        errors.push((ours - theirs).abs() / theirs.abs().max(floor));
    }
    Ok(())
}
