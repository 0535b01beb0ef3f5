//! The plant run to its limits and left to itself, side by side: one row a figure, with the difference.

use plant::keys::{self, Part};
use plant::{Point, Solution};
use quantity::{Precision, Unit};

use super::Answer;

/// One figure of both solutions.
#[derive(Debug, Clone, PartialEq)]
pub struct SideRow {
    /// Key of the result, or of the point for what a valve passes.
    pub key: &'static str,
    /// What it is.
    pub label: &'static str,
    /// Unit shown.
    pub unit: Unit,
    /// Run to its limits; none when it cannot run.
    pub trimmed: Option<f64>,
    /// Every flow as given; none when it cannot run.
    pub free: Option<f64>,
}

impl SideRow {
    /// A figure of this row as text, in plausible digits; a dash where there is none.
    #[must_use]
    pub fn text(&self, value: Option<f64>) -> String {
        value.map_or_else(|| "—".to_owned(), |x| quantity::show_number(x, self.precision()))
    }

    /// Trimmed less free as text, with its sign; "same" where the two do not differ in the digits shown.
    #[must_use]
    pub fn difference(&self) -> String {
        let Some((trimmed, free)) = self.trimmed.zip(self.free) else { return "—".to_owned() };
        let by = trimmed - free;
        let text = quantity::show_number(by, self.precision());
        if text.chars().all(|c| matches!(c, '0' | '.' | '\u{2212}')) {
            "same".to_owned()
        } else if by > 0.0 {
            format!("+{text}")
        } else {
            text
        }
    }

    fn precision(&self) -> Precision {
        match self.key {
            "vapour_kg_s" => Precision::Decimals(3),
            "evaporator_heat_w" => Precision::Decimals(0),
            "brine_kg_s" => Precision::Decimals(2),
            _ => Precision::Decimals(1),
        }
    }
}

/// Result figures of the table, in its order, and the unit each is shown in.
const ROWS: [(&str, Unit); 10] = [
    ("product_t_day", Unit::TDay),
    ("vacuum_percent", Unit::PercentVac),
    ("vapour_temp_c", Unit::DegC),
    ("vapour_kg_s", Unit::KgS),
    ("jacket_out_c", Unit::DegC),
    ("sea_out_c", Unit::DegC),
    ("brine_temp_c", Unit::DegC),
    ("brine_salinity_g_kg", Unit::GKg),
    ("product_salt_mg_kg", Unit::MgKg),
    ("evaporator_heat_w", Unit::KW),
];

/// Both solutions of an answer, row by row.
#[must_use]
pub fn rows(answer: &Answer) -> Vec<SideRow> {
    let trimmed = answer.made.as_ref().ok().map(|m| &m.solution);
    let free = answer.free.as_ref().ok();
    let result = |key: &'static str, unit: Unit| {
        let scale = if key == "evaporator_heat_w" { 1.0e-3 } else { 1.0 };
        let of = |s: Option<&Solution>| s.and_then(|s| s.get(key).ok()).map(|x| x * scale);
        let label = keys::find(Part::Result, key).map_or(key, |k| k.label);
        SideRow { key, label, unit, trimmed: of(trimmed), free: of(free) }
    };
    let mut rows: Vec<SideRow> = ROWS.iter().map(|(key, unit)| result(key, *unit)).collect();
    let through = |key, label, of: fn(&Solution) -> f64| SideRow {
        key,
        label,
        unit: Unit::KgS,
        trimmed: trimmed.map(of),
        free: free.map(of),
    };
    rows.push(through("jacket_flow_kg_s", "Jacket water through the heater", |s| {
        s.inside.jacket_flow_kg_s
    }));
    rows.push(through("bypass_kg_s", "Jacket water by the by-pass", |_| 0.0));
    rows.push(through("condenser_flow_kg_s", "Sea water through the condenser", |s| {
        s.inside.condenser_flow_kg_s
    }));
    rows.push(through("brine_kg_s", "Brine overboard", |s| s.inside.brine_kg_s));
    past(&mut rows, &answer.point);
    rows
}

/// What the trim sends past the heater: the given flow less what still goes through it.
fn past(rows: &mut [SideRow], point: &Point) {
    let through = rows.iter().find(|r| r.key == "jacket_flow_kg_s").map(|r| (r.trimmed, r.free));
    if let (Some((trimmed, free)), Some(row)) =
        (through, rows.iter_mut().find(|r| r.key == "bypass_kg_s"))
    {
        let past = |through: Option<f64>| through.map(|x| (point.jacket_flow_kg_s - x).max(0.0));
        (row.trimmed, row.free) = (past(trimmed), past(free));
    }
}
