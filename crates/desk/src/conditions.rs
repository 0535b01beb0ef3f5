//! From what was read to the point the plant works at: what is known, what had to be assumed, and why.

use std::collections::BTreeMap;

use plant::{Plant, Point};

use crate::field::{self, Role};
use crate::figure::{jacket_density_kg_m3, sea_density_kg_m3};
use crate::ship::{Ship, between};

/// Figures by reading name, each in the unit of its [`field::Reading`].
pub type Figures = BTreeMap<String, f64>;

/// How one condition of the point is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// Key of the operating point.
    pub key: &'static str,
    /// Value in the key's unit.
    pub value: f64,
    /// Name of the reading it comes from; none when assumed.
    pub from: Option<&'static str>,
    /// In words, for "how this was computed".
    pub how: String,
}

/// The point the plant works at, and how each of its conditions is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditions {
    /// The operating point.
    pub point: Point,
    /// How each condition is known.
    pub known: Vec<Known>,
}

/// Conditions without which nothing can be expected.
const NEEDED: [&str; 2] = ["sea_temp_c", "jacket_in_c"];

/// Why there is no point to work at.
#[derive(Debug, Clone, PartialEq)]
pub enum NoPoint {
    /// Readings without which nothing can be expected, by their labels.
    Missing(Vec<&'static str>),
    /// A condition as read, or a flow by the ship's table, that the model does not take.
    Refused(plant::FieldError),
}

impl std::fmt::Display for NoPoint {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NoPoint::Missing(labels) => {
                let it = if labels.len() > 1 { "them" } else { "it" };
                write!(
                    f,
                    "{} not read, or not taken as typed: without {it} nothing can be expected",
                    labels.join(" and ")
                )
            }
            NoPoint::Refused(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for NoPoint {}

/// Builds the operating point from the readings of one round.
///
/// Where the flow through the heater or the condenser is read (meter or position), the plant is taken as it stands:
/// diagnosis. Where it is not, the plant is taken as run to its limits: trimmed.
///
/// # Errors
/// [`NoPoint`] when sea or jacket temperature was not read, or a condition is outside what the model takes.
pub fn conditions(ship: &Ship, plant: &Plant, read: &Figures) -> Result<Conditions, NoPoint> {
    let labels: Vec<&'static str> = NEEDED
        .iter()
        .filter(|key| !read.contains_key(**key))
        .filter_map(|key| field::reading(key).map(|r| r.label))
        .collect();
    if !labels.is_empty() {
        return Err(NoPoint::Missing(labels));
    }
    let sheet = plant.sheet();
    let mut point = Point::rated(sheet);
    let mut known: Vec<Known> = Vec::new();
    for reading in field::READINGS {
        let Some(&value) = read.get(reading.key) else { continue };
        if let Role::Condition(key) = reading.role {
            known.push(Known {
                key,
                value,
                from: Some(reading.key),
                how: format!("{} as read", reading.label),
            });
        }
    }
    let jacket_in = read.get("jacket_in_c").copied().unwrap_or(sheet.rated_jacket_in_c);
    // A meter beats a mark: volumes come before positions, and what is known is not replaced.
    let is_position = |r: &&field::Reading| matches!(r.role, Role::Position(_));
    let meters = field::READINGS.iter().filter(|r| !is_position(r));
    for reading in meters.chain(field::READINGS.iter().filter(is_position)) {
        let Some(&value) = read.get(reading.key) else { continue };
        let (key, flow, how) = match reading.role {
            Role::Volume(key @ "jacket_flow_kg_s") => {
                let density = jacket_density_kg_m3(jacket_in);
                (
                    key,
                    value * density / 3600.0,
                    format!("meter, {value} m³/h at {density:.0} kg/m³"),
                )
            }
            Role::Volume(key) => {
                let sea = read.get("sea_out_c").or(read.get("sea_temp_c")).copied().unwrap_or(30.0);
                let density = sea_density_kg_m3(sea, point.sea_salinity_g_kg);
                (
                    key,
                    value * density / 3600.0,
                    format!("meter, {value} m³/h at {density:.0} kg/m³"),
                )
            }
            Role::Position(key) => {
                let rows = if key == "jacket_flow_kg_s" {
                    &ship.positions.bypass
                } else {
                    &ship.positions.throttle
                };
                (
                    key,
                    between(rows, value),
                    format!("{} at {value} %, by the ship's table", reading.label),
                )
            }
            _ => continue,
        };
        if !known.iter().any(|k| k.key == key) {
            known.push(Known { key, value: flow, from: Some(reading.key), how });
        }
    }
    let as_it_stands = ["jacket_flow_kg_s", "condenser_flow_kg_s"]
        .iter()
        .all(|f| known.iter().any(|k| k.key == *f));
    for k in &known {
        point.set(k.key, &plant::Value::Number(k.value)).map_err(NoPoint::Refused)?;
    }
    if as_it_stands {
        // The by-pass is where it is: the engine's limit must not move it, it is told beside.
        point.engine_load = None;
    } else {
        point.trimmed = true;
    }
    for (key, what) in [
        ("jacket_flow_kg_s", "rated jacket flow, by-pass as the limits ask"),
        ("condenser_flow_kg_s", "rated condenser flow, throttle as the limits ask"),
        ("ejector_pressure_bar_g", "rated nozzle pressure"),
        ("back_pressure_bar_g", "rated back pressure"),
        ("barometer_hpa", "standard atmosphere"),
        ("feed_ratio", "rated feed"),
    ] {
        let fed = key == "feed_ratio" && known.iter().any(|k| k.key == "feed_flow_kg_s");
        if known.iter().any(|k| k.key == key) || fed {
            continue;
        }
        let value = match point.get(key) {
            Ok(plant::Value::Number(x)) => x,
            _ => sheet.rated_feed_ratio,
        };
        known.push(Known { key, value, from: None, how: format!("not read: {what}") });
    }
    Ok(Conditions { point, known })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo::marram;

    fn point_of(pairs: &[(&str, f64)]) -> Result<Conditions, NoPoint> {
        let ship = marram();
        let plant = Plant::calibrate(&ship.sheet).expect("demonstration sheet");
        let base = [("sea_temp_c", 29.0), ("jacket_in_c", 83.0)];
        let read = base.iter().chain(pairs).map(|(k, v)| ((*k).to_owned(), *v)).collect();
        conditions(&ship, &plant, &read)
    }

    #[test]
    fn ident_a_meter_beats_the_by_pass_mark() {
        let metered =
            point_of(&[("bypass_percent", 60.0), ("jacket_flow_m3_h", 58.0)]).expect("point");
        // 58 m³/h of water at 83 °C (IAPWS-IF97: 970 kg/m³) is 15.6 kg/s; the mark says 8.9.
        assert!(
            (metered.point.jacket_flow_kg_s - 15.63).abs() < 0.05,
            "{}",
            metered.point.jacket_flow_kg_s
        );
        let marked = point_of(&[("bypass_percent", 60.0)]).expect("point");
        assert!((marked.point.jacket_flow_kg_s - 8.9).abs() < 1e-9);
    }

    #[test]
    fn ident_a_condition_the_model_cannot_take_is_told_not_replaced() {
        match point_of(&[("sea_temp_c", 200.0)]) {
            Err(NoPoint::Refused(e)) => assert!(e.to_string().contains("sea_temp_c")),
            other => panic!("taken for something else: {other:?}"),
        }
    }
}
