//! What holds the plant: each limit with where the plant stands, the nearest first, and what was moved for it, in words.

use plant::{Limit, LimitKind, Plant, Solution, Trim, TrimLever, TrimReason};
use quantity::Unit;

use super::Answer;
use crate::ship::Ship;

/// A limit's row, in words and figures.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitRow {
    /// Which limit.
    pub kind: LimitKind,
    /// What it is called.
    pub label: &'static str,
    /// Symbol of the unit.
    pub unit: &'static str,
    /// Where the plant is, as text.
    pub here: String,
    /// Where the limit is, as text; none where there is none.
    pub limit: Option<String>,
    /// How far to the limit, as text.
    pub room: Option<String>,
    /// Whether it acts.
    pub acts: bool,
    /// The word for it.
    pub word: &'static str,
}

/// The limits of a solution, nearest first.
#[must_use]
pub fn limits(solution: &Solution) -> Vec<LimitRow> {
    let mut lines: Vec<Limit> = solution.limits.to_vec();
    lines.sort_by(|a, b| (!a.acts).cmp(&!b.acts).then(nearness(a).total_cmp(&nearness(b))));
    lines.iter().map(row).collect()
}

/// Room as a share of the limit; endless where there is none.
fn nearness(limit: &Limit) -> f64 {
    if limit.limit.is_finite() { limit.room / limit.limit.abs().max(1.0e-9) } else { f64::INFINITY }
}

fn row(limit: &Limit) -> LimitRow {
    let unit: Unit = limit.unit.parse().unwrap_or(Unit::One);
    let text = |x: f64| quantity::show_number(x, unit.precision());
    let there = limit.limit.is_finite();
    let slack = 1.0e-6 * limit.limit.abs().max(1.0);
    LimitRow {
        kind: limit.kind,
        label: limit.kind.label(),
        unit: unit.symbol(),
        here: text(limit.here),
        limit: there.then(|| text(limit.limit)),
        room: there.then(|| text(if limit.room.abs() <= slack { 0.0 } else { limit.room })),
        acts: limit.acts,
        word: match (there, limit.acts, limit.room < -slack) {
            (false, ..) => "no limit given",
            (true, true, true) => "past it",
            (true, true, false) => "holds it",
            (true, false, _) => "free",
        },
    }
}

/// What was moved, in a clause: "the by-pass is opened until 13.2 kg/s go through the heater".
#[must_use]
pub fn moved(ship: &Ship, trim: &Trim) -> String {
    let why = match trim.why {
        TrimReason::ProductMax => "to keep to the maker’s maximum",
        TrimReason::EngineHeat => "so that the engine keeps its heat",
        TrimReason::VapourTempMin => "to keep the shell warm",
        TrimReason::SeaOutMax => "no further, or the sea water would leave too hot",
        TrimReason::FlowFloor => "as far as it may go",
        TrimReason::BleedMax => "as far as the ejector bears it",
    };
    let (from, to) = (trim.from, trim.to);
    match trim.lever {
        TrimLever::JacketFlow => {
            let mark = mark(&ship.positions.bypass, to);
            format!(
                "the by-pass is opened until {to:.1} of {from:.1} kg/s go through the heater{mark}, {why}"
            )
        }
        TrimLever::CondenserFlow => {
            let mark = mark(&ship.positions.throttle, to);
            format!(
                "the sea water to the condenser is cut from {from:.1} to {to:.1} kg/s{mark}, {why}"
            )
        }
        TrimLever::AirBleed => format!("air is bled in, {to:.1} kg/h, {why}"),
        TrimLever::JacketIn => format!("the jacket water sags from {from:.1} to {to:.1} °C"),
    }
}

fn mark(rows: &[[f64; 2]], flow_kg_s: f64) -> String {
    position(rows, flow_kg_s).map_or_else(String::new, |p| format!(" ({p:.0} % open)"))
}

/// The valve position, %, at which this much flows, by the ship's table; none outside it.
#[must_use]
pub fn position(rows: &[[f64; 2]], flow_kg_s: f64) -> Option<f64> {
    rows.windows(2).find_map(|pair| {
        let ([p0, f0], [p1, f1]) = (pair[0], pair[1]);
        let inside = flow_kg_s >= f0.min(f1) - 1.0e-9 && flow_kg_s <= f0.max(f1) + 1.0e-9;
        if !inside {
            return None;
        }
        Some(if (f1 - f0).abs() < 1.0e-12 {
            p0
        } else {
            p0 + (p1 - p0) * (flow_kg_s - f0) / (f1 - f0)
        })
    })
}

/// What limits the output, in one sentence or two.
#[must_use]
pub fn sentence(ship: &Ship, plant: &Plant, answer: &Answer) -> String {
    let Ok(made) = &answer.made else { return String::new() };
    let solution = &made.solution;
    let heat = match answer.spare_kw {
        Some(spare) if solution.heat_limited => {
            format!(
                "The engine can spare {spare:.0} kW at this load and the plant takes it all: heat is what limits you."
            )
        }
        Some(spare) => format!(
            "The engine can spare {spare:.0} kW at this load, so heat is not what limits you."
        ),
        None => {
            "No engine load was given, so what the engine can spare was not looked at.".to_owned()
        }
    };
    let holds = if solution.trims.is_empty() {
        free_of_limits(plant, answer)
    } else {
        let clauses: Vec<String> = solution.trims.iter().map(|trim| moved(ship, trim)).collect();
        format!(" Run to its limits, {}.", clauses.join("; "))
    };
    format!("{heat}{holds}")
}

fn free_of_limits(plant: &Plant, answer: &Answer) -> String {
    let sheet = plant.sheet();
    let Ok(made) = &answer.made else { return String::new() };
    let past = made.solution.limits.iter().find(|l| l.acts);
    if let Some(limit) = past {
        return format!(" {} is at its limit.", limit.kind.label());
    }
    let warm = answer.point.sea_temp_c - sheet.rated_sea_temp_c;
    let cool = sheet.rated_jacket_in_c - answer.point.jacket_in_c;
    let reason = if cool > warm.max(0.0) + 0.5 {
        format!("jacket water {cool:.1} °C under its rated {:.0}", sheet.rated_jacket_in_c)
    } else if warm > -2.0 {
        format!(
            "sea at {:.1} °C against the rated {:.0}",
            answer.point.sea_temp_c, sheet.rated_sea_temp_c
        )
    } else {
        "what the two surfaces can pass".to_owned()
    };
    format!(" No limit acts; {reason} sets the output.")
}
