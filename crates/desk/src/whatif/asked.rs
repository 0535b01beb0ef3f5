//! The conditions of a what-if: the plant's latest readings, changed by what was typed.

use std::collections::BTreeMap;

use plant::keys::{self, Key, Part};
use plant::{Plant, Point, Value};
use quantity::Unit;

use crate::conditions::{Figures, conditions};
use crate::figure::{Beside, figure};
use crate::now::with_last;
use crate::round::{Round, made_t_day};
use crate::setup::Setup;
use crate::switched::Switch;

/// Keys of the operating point that can be asked about, in the order of the form.
pub const KNOBS: [&str; 13] = [
    "sea_temp_c",
    "jacket_in_c",
    "engine_load",
    "jacket_flow_kg_s",
    "condenser_flow_kg_s",
    "feed_ratio",
    "ejector_pressure_bar_g",
    "back_pressure_bar_g",
    "air_leak_kg_h",
    "scale_m2k_w",
    "condenser_fouling_m2k_w",
    "barometer_hpa",
    "sea_salinity_g_kg",
];

/// One condition that can be turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knob {
    /// Its entry in the interchange table.
    pub key: &'static Key,
    /// Ends of the slider, in the key's unit; a number may be typed beyond them, up to the key's hard range.
    pub ends: (f64, f64),
    /// What one press of ± changes, in the key's unit.
    pub step: f64,
    /// Decimals shown.
    pub digits: u8,
}

impl Knob {
    /// The unit it is typed in.
    #[must_use]
    pub fn unit(&self) -> Unit {
        crate::ship_page::unit(self.key.unit)
    }

    /// A value as it stands in the box: plain decimals, no more of them than are worth having.
    #[must_use]
    pub fn text(&self, value: f64) -> String {
        let text = format!("{value:.*}", usize::from(self.digits));
        let text = if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.')
        } else {
            &text
        };
        if text == "-0" { "0".to_owned() } else { text.to_owned() }
    }

    fn rounded(&self, value: f64) -> f64 {
        self.text(value).parse().unwrap_or(value)
    }
}

/// The knobs of a plant: slider ends follow what is usual, flows follow the sheet's rated ones.
#[must_use]
pub fn knobs(plant: &Plant) -> Vec<Knob> {
    let sheet = plant.sheet();
    KNOBS
        .iter()
        .filter_map(|name| keys::find(Part::Point, name))
        .map(|key| {
            let (ends, step, digits) = match key.key {
                "sea_temp_c" => ((0.0, 36.0), 0.5, 1),
                "jacket_in_c" => (key.typical, 0.5, 1),
                "engine_load" => {
                    let rows = &sheet.jacket_heat_table;
                    let ends =
                        rows.first().zip(rows.last()).map_or(key.typical, |(a, b)| (a[0], b[0]));
                    (ends, 1.0, 0)
                }
                "jacket_flow_kg_s" => flow(sheet.rated_jacket_flow_kg_s),
                "condenser_flow_kg_s" => flow(sheet.rated_condenser_flow_kg_s),
                "feed_ratio" => ((1.5, 6.0), 0.1, 2),
                "ejector_pressure_bar_g" | "back_pressure_bar_g" => (
                    (key.typical.0.min(0.0_f64.max(key.typical.0 - 1.0)), key.typical.1 + 0.5),
                    0.05,
                    2,
                ),
                "air_leak_kg_h" => ((0.0, key.typical.1), 0.2, 2),
                "barometer_hpa" => ((950.0, 1050.0), 1.0, 2),
                "sea_salinity_g_kg" => (key.typical, 0.5, 3),
                _ => (key.typical, 1.0e-5, 6),
            };
            Knob { key, ends, step, digits }
        })
        .collect()
}

fn flow(rated_kg_s: f64) -> ((f64, f64), f64, u8) {
    let step = if rated_kg_s > 5.0 { 0.2 } else { 0.02 };
    ((0.1 * rated_kg_s, 1.1 * rated_kg_s), step, 2)
}

/// Where a what-if starts from.
#[derive(Debug, Clone, PartialEq)]
pub struct Base {
    /// Conditions as read, with by-pass shut and throttle open: what the plant can make, not what it is set to make.
    pub point: Point,
    /// What was read or follows from a reading, by key, valves as they stand included.
    pub now: BTreeMap<&'static str, f64>,
}

impl Base {
    /// Whether it comes from readings; else it is the rated point.
    #[must_use]
    pub fn is_read(&self) -> bool {
        !self.now.is_empty()
    }
}

/// Starts from a round's figures, or from the rated point where sea or jacket temperature was not read.
#[must_use]
pub fn base(setup: &Setup, read: Option<&Figures>) -> Base {
    let (ship, plant) = (&setup.ship, &setup.plant);
    let sheet = plant.sheet();
    let found =
        read.and_then(|figures| conditions(ship, plant, figures).ok().map(|c| (c, figures)));
    let Some((found, figures)) = found else {
        return Base {
            point: rounded(plant, Point { trimmed: true, ..Point::rated(sheet) }),
            now: BTreeMap::new(),
        };
    };
    let mut now: BTreeMap<&'static str, f64> =
        found.known.iter().filter(|k| k.from.is_some()).map(|k| (k.key, k.value)).collect();
    let mut point = found.point;
    point.jacket_flow_kg_s = sheet.rated_jacket_flow_kg_s;
    point.condenser_flow_kg_s = sheet.rated_condenser_flow_kg_s;
    point.engine_load = figures.get("engine_load_percent").copied();
    if let Some(flow) = point.feed_flow_kg_s.take() {
        let ratio = flow * 86_400.0 / (1000.0 * sheet.rated_product_t_day);
        point.feed_ratio = Some(ratio);
        now.insert("feed_ratio", ratio);
    }
    point.trimmed = true;
    Base { point: rounded(plant, point), now }
}

/// The point with the digits the form shows, so that page and form never differ.
fn rounded(plant: &Plant, mut point: Point) -> Point {
    for knob in knobs(plant) {
        if let Ok(Value::Number(x)) = point.get(knob.key.key) {
            // Rounding stays within the range the value came from, or the value stands.
            let _ = point.set(knob.key.key, &Value::Number(knob.rounded(x)));
        }
    }
    point
}

/// A typed condition that is not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Key of the operating point.
    pub key: &'static str,
    /// What was read, what is allowed and why.
    pub why: String,
}

/// Conditions as asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// The point; what was refused keeps its value from the base.
    pub point: Point,
    /// What stands in each box, by key: as typed where something was typed.
    pub texts: BTreeMap<&'static str, String>,
    /// What was not taken.
    pub refused: Vec<Refused>,
    /// Keys whose value differs from the base's.
    pub changed: Vec<&'static str>,
}

/// Changes the base by what was typed: `typed` gives the text sent under a key, if any was sent.
///
/// A field sent empty stands for what is usual: the base's value, no engine limit, the sheet's feed.
#[must_use]
pub fn asked<'t>(setup: &Setup, base: &Base, typed: impl Fn(&str) -> Option<&'t str>) -> Asked {
    let mut asked = Asked {
        point: base.point.clone(),
        texts: BTreeMap::new(),
        refused: Vec::new(),
        changed: Vec::new(),
    };
    for knob in knobs(&setup.plant) {
        let key = knob.key;
        let optional = matches!(key.kind, keys::Kind::Optional);
        if let Some(text) = typed(key.key) {
            if let Err(why) = take(&mut asked.point, &knob, text, optional) {
                asked.refused.push(Refused { key: key.key, why });
                asked.texts.insert(key.key, text.chars().take(40).collect());
                continue;
            }
            if !text.trim().is_empty() {
                asked.texts.insert(key.key, text.trim().to_owned());
            }
        }
        if !asked.texts.contains_key(key.key) {
            let shown = match asked.point.get(key.key) {
                Ok(Value::Number(x)) => knob.text(x),
                _ if key.key == "feed_ratio" => knob.text(setup.plant.sheet().rated_feed_ratio),
                _ => String::new(),
            };
            asked.texts.insert(key.key, shown);
        }
        if asked.point.get(key.key) != base.point.get(key.key) {
            asked.changed.push(key.key);
        }
    }
    asked
}

fn take(point: &mut Point, knob: &Knob, text: &str, optional: bool) -> Result<(), String> {
    if text.trim().is_empty() {
        // Left empty: an optional figure is absent, any other stays as it was.
        return if optional {
            point.set(knob.key.key, &Value::Absent).map_err(|e| e.to_string())
        } else {
            Ok(())
        };
    }
    let own = knob.unit();
    let value = figure(text, knob.key.key, own, &Beside::point(point))?;
    let (low, high) = knob.key.hard;
    if !(value >= low && value <= high) {
        return Err(format!(
            "Read {}, allowed {} to {}: {}.",
            quantity::show(value, own),
            quantity::show(low, own),
            quantity::show(high, own),
            knob.key.why
        ));
    }
    point.set(knob.key.key, &Value::Number(value)).map_err(|e| e.to_string())
}

/// The latest round of a running plant, as a what-if starts from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Latest {
    /// Its figures; what is read less often stands from the rounds before.
    pub figures: Figures,
    /// What was made, t/day.
    pub made_t_day: Option<f64>,
    /// When it was read.
    pub at: jiff::Timestamp,
}

/// Finds it among rounds, oldest first; `most_t_day` is the most the plant can make, `switches` its starts and stops,
/// newest first.
#[must_use]
pub fn latest(rounds: &[Round], most_t_day: f64, switches: &[Switch]) -> Option<Latest> {
    let counted = rounds.iter().rposition(Round::counts);
    let at = counted.or_else(|| rounds.iter().rposition(Round::running))?;
    let round = rounds.get(at)?;
    Some(Latest {
        figures: with_last(rounds, round),
        made_t_day: made_t_day(&rounds[..at], &round.figures(), round.at, most_t_day, switches),
        at: round.at,
    })
}
