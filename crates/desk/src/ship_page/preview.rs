//! What a change of the ship file would do: which figures differ, and what the plant would then be expected to make.

use plant::{Plant, Point};
use quantity::Precision;

use super::fields;
use crate::setup::Setup;
use crate::ship::Ship;
use crate::view::Line;

/// A figure of the file that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// Label.
    pub label: String,
    /// Symbol of the unit.
    pub unit: &'static str,
    /// As it stands.
    pub old: String,
    /// As typed.
    pub new: String,
}

/// What the plant is expected to do, before and after.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Effect {
    /// What it is.
    pub label: String,
    /// Symbol of the unit.
    pub unit: &'static str,
    /// Before.
    pub old: String,
    /// After.
    pub new: String,
}

/// The figures that differ between two ships, in the order of the form.
#[must_use]
pub fn changed(old: &Ship, new: &Ship) -> Vec<Changed> {
    let list = |ship: &Ship| -> Vec<(String, String, &'static str, String)> {
        let mut list: Vec<_> = fields::groups(ship)
            .into_iter()
            .filter(|g| g.title != fields::ANOTHER_TANK)
            .flat_map(|g| {
                let title = g.title;
                g.fields.into_iter().map(move |f| {
                    let label = if f.name.starts_with("tank.") {
                        format!("{title}, {}", f.label)
                    } else {
                        f.label
                    };
                    (f.name, label, f.unit, f.text)
                })
            })
            .collect();
        let unconfirmed = ship.unconfirmed.len().to_string();
        let label = "Figures of the maker’s not confirmed".to_owned();
        list.push(("ship.unconfirmed".to_owned(), label, "", unconfirmed));
        list.extend(fields::trusts(ship).into_iter().map(|t| {
            (
                format!("trust.{}", t.reading),
                format!("Trust in {}", t.label),
                t.unit,
                t.own.join(" and ").trim().to_owned(),
            )
        }));
        list
    };
    let (before, after) = (list(old), list(new));
    let text = |list: &[(String, String, &'static str, String)], name: &str| {
        list.iter()
            .find(|(n, ..)| n == name)
            .map_or_else(String::new, |(.., text)| text.replace('\n', "; "))
    };
    let mut names: Vec<&(String, String, &'static str, String)> = before.iter().collect();
    names.extend(after.iter().filter(|(n, ..)| !before.iter().any(|(b, ..)| b == n)));
    names
        .into_iter()
        .map(|(name, label, unit, _)| Changed {
            label: label.clone(),
            unit,
            old: text(&before, name),
            new: text(&after, name),
        })
        .filter(|c| c.old != c.new)
        .collect()
}

/// Figures that were changed in the file's text and still stand on its list of those not confirmed.
#[must_use]
pub fn still_marked(old: &Ship, new: &Ship) -> Option<String> {
    let changed = |key: &&&str| old.sheet.get(key) != new.sheet.get(key);
    let marked: Vec<&str> = new.unconfirmed.iter().filter(changed).copied().collect();
    (!marked.is_empty()).then(|| {
        format!(
            "Changed, and still on the list of figures not confirmed: {}. Take them off “unconfirmed” if they are hers.",
            marked.join(", ")
        )
    })
}

/// What of a ship's figures deserves a word before it is kept: allowed, but more than unusual.
#[must_use]
pub fn doubts(ship: &Ship) -> Vec<String> {
    let mut doubts = Vec::new();
    let (sheet, limits) = (&ship.sheet, &ship.limits);
    if sheet.rated_product_t_day > sheet.product_max_t_day {
        doubts.push(format!(
            "The rated output, {} t/day, is over the maker’s maximum, {} t/day: one of the two is wrong.",
            sheet.rated_product_t_day, sheet.product_max_t_day
        ));
    }
    if limits.salinity_dump_mg_kg > DUMP_USUAL_PPM {
        doubts.push(format!(
            "With the dump set at {} ppm, distillate of up to that salinity goes to the tank; {DUMP_USUAL_PPM} ppm is usual, and less for boilers. The maker’s and the flag’s limits come first.",
            limits.salinity_dump_mg_kg
        ));
    }
    if sheet.jacket_low_limit_c >= sheet.rated_jacket_in_c {
        doubts.push(format!(
            "The jacket low limit, {} °C, is not under the rated jacket water, {} °C: the plant would never be given heat.",
            sheet.jacket_low_limit_c, sheet.rated_jacket_in_c
        ));
    }
    if let Ok(plant) = Plant::calibrate(sheet) {
        let c = plant.calibration();
        for (what, key, u) in [
            ("evaporator", "evaporator_u_w_m2k", c.evaporator_u_w_m2k),
            ("condenser", "condenser_u_w_m2k", c.condenser_u_w_m2k),
        ] {
            let usual = plant::keys::find(plant::keys::Part::Result, key).map(|k| k.typical);
            if let Some((low, high)) = usual
                && !(low / U_APART..=high * U_APART).contains(&u)
            {
                doubts.push(format!(
                    "For this the {what} would pass {u:.0} W/m²K; {low:.0} to {high:.0} are usual. Look at its area, its flow and the temperatures of the rated point again."
                ));
            }
        }
    }
    let most = |table: &[[f64; 2]]| table.iter().map(|row| row[1]).fold(f64::NAN, f64::max);
    for (what, table, rated) in [
        ("Jacket by-pass", &ship.positions.bypass, sheet.rated_jacket_flow_kg_s),
        ("Condenser throttle", &ship.positions.throttle, sheet.rated_condenser_flow_kg_s),
    ] {
        let most = most(table);
        if (most / rated - 1.0).abs() > FLOWS_APART {
            doubts.push(format!(
                "{what}: the table of positions gives {most} kg/s at the most, the plant is rated for {rated} kg/s: one of the two is wrong, or what is expected at these marks is."
            ));
        }
    }
    doubts
}

/// The overall U found may lie so far outside what is usual without a question, as a factor.
const U_APART: f64 = 1.4;

/// A table of positions may give so much more or less than the rated flow, as a share, without a question.
const FLOWS_APART: f64 = 0.25;

/// Highest setting of the salinometer that is usual, ppm (common practice).
const DUMP_USUAL_PPM: f64 = 10.0;

/// What the plant is expected to do under the same conditions, before and after.
#[must_use]
pub fn effects(old: &Setup, new: &Setup) -> Vec<Effect> {
    let sheet = new.plant.sheet();
    let points = [(sheet.rated_sea_temp_c, sheet.rated_jacket_in_c), (25.0, 80.0), (15.0, 80.0)];
    // Each plant with the flows of its own sheet.
    let makes = |plant: &Plant, (sea_temp_c, jacket_in_c): (f64, f64)| {
        let rated = Point::rated(plant.sheet());
        match plant.rate(&Point { sea_temp_c, jacket_in_c, trimmed: true, ..rated }) {
            Ok(s) => quantity::show_number(s.product_t_day, Precision::Decimals(2)),
            Err(_) => "does not run".to_owned(),
        }
    };
    let mut effects: Vec<Effect> = points
        .into_iter()
        .map(|(sea, jacket)| Effect {
            label: format!("Makes in {sea} °C sea with {jacket} °C jacket water"),
            unit: "t/day",
            old: makes(&old.plant, (sea, jacket)),
            new: makes(&new.plant, (sea, jacket)),
        })
        .collect();
    let (before, after) = (calibration(&old.plant), calibration(&new.plant));
    effects.extend(before.into_iter().zip(after).filter(|(b, a)| b.value != a.value).map(
        |(b, a)| Effect { label: b.label, unit: symbol_of(&b.unit), old: b.value, new: a.value },
    ));
    effects
}

fn symbol_of(unit: &str) -> &'static str {
    ["W/m²K", "kPa", "kg/s", "kW", "m/s", "°C", "mmol/s", "%", ""]
        .into_iter()
        .find(|u| *u == unit)
        .unwrap_or("")
}

/// What calibration found: the constants that make the plant meet its rated point, each with its meaning.
#[must_use]
pub fn calibration(plant: &Plant) -> Vec<Line> {
    let c = plant.calibration();
    let line = |label: &str, value: f64, digits: Precision, unit: &str, source: &str| Line {
        label: label.into(),
        value: quantity::show_number(value, digits),
        unit: unit.into(),
        source: source.into(),
    };
    let (whole, one, three) =
        (Precision::Decimals(0), Precision::Decimals(1), Precision::Significant(3));
    vec![
        line(
            "Evaporator, overall U",
            c.evaporator_u_w_m2k,
            whole,
            "W/m²K",
            "clean, at the rated point; scale comes on top",
        ),
        line(
            "Jacket-water film",
            c.jacket_film_w_m2k,
            whole,
            "W/m²K",
            "moves with flow and temperature",
        ),
        line(
            "Boiling film",
            c.boiling_film_w_m2k,
            whole,
            "W/m²K",
            "moves with heat flux and vacuum",
        ),
        line(
            "Condenser, overall U",
            c.condenser_u_w_m2k,
            whole,
            "W/m²K",
            "clean, at the rated point; fouling comes on top",
        ),
        line("Sea-water film", c.sea_film_w_m2k, whole, "W/m²K", "moves with flow and temperature"),
        line("Condensing film", c.condensing_film_w_m2k, whole, "W/m²K", "moves with vapour made"),
        line(
            "Shell pressure",
            c.shell_pressure_pa / 1000.0,
            Precision::Decimals(2),
            "kPa",
            "from the rated evaporating temperature",
        ),
        line(
            "Vapour made",
            c.vapour_kg_s,
            Precision::Decimals(4),
            "kg/s",
            "rated output and what the vent takes",
        ),
        line(
            "Heat from the jacket water",
            c.evaporator_heat_w / 1000.0,
            whole,
            "kW",
            "what the rated output costs the engine",
        ),
        line("Heat to the sea", c.condenser_heat_w / 1000.0, whole, "kW", "through the condenser"),
        line(
            "Jacket water out",
            c.jacket_out_c,
            one,
            "°C",
            "compare with the maker’s or the sea trial’s",
        ),
        line(
            "Sea water out",
            c.sea_out_c,
            one,
            "°C",
            "compare with the maker’s or the sea trial’s",
        ),
        line("Brine", c.brine_temp_c, one, "°C", "boiling, salt and depth included"),
        line("Vent", c.vent_temp_c, one, "°C", "vapour and gas at the air suction"),
        line(
            "Air blanket",
            100.0 * c.blanketed_fraction,
            one,
            "%",
            "part of the condenser full of gas",
        ),
        line(
            "Gas drawn",
            1000.0 * c.gas_mol_s,
            three,
            "mmol/s",
            "in-leak and what the feed gives off",
        ),
        line(
            "Load on the demister",
            c.load_factor_m_s,
            three,
            "m/s",
            "against its flooding velocity",
        ),
        line(
            "Carry-over",
            c.carry_over * 1.0e6,
            three,
            "",
            "mg of brine in a kg of vapour, from the rated salt",
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_table_of_positions_far_from_the_rated_flow_is_asked_about() {
        let mut ship = crate::demo::marram();
        assert_eq!(doubts(&ship), [""; 0]);
        ship.sheet.rated_jacket_flow_kg_s = 60.0;
        let told = doubts(&ship);
        assert_eq!(told.len(), 1, "{told:?}");
        assert!(told[0].starts_with("Jacket by-pass: ") && told[0].contains("rated for 60 kg/s"));
    }
}
