//! The two tables of a ship: the usual ones, with what her settings file and her own looks change, line by line with the reason.

use ::findings::instrument::{Line as InstrumentLine, Scale};
use ::findings::prior::Line as CauseLine;
use ::findings::{Cause, Instrument, Sizes, Tables};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::instrument;
use crate::setup::Setup;

use super::words::ToldOfPlant;

/// Name of the settings file in the ship's folder.
pub const TABLES_FILE: &str = "findings.toml";

/// Looks that the usual chance of a cause counts for (our estimate): her own weigh in beside them.
const USUAL_LOOKS: f64 = 10.0;
/// Chances taken.
const ODDS: (f64, f64) = (0.001, 0.6);

#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    cause: BTreeMap<String, CauseChange>,
    #[serde(default)]
    instrument: BTreeMap<String, InstrumentChange>,
}

#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct CauseChange {
    odds: Option<f64>,
    limit: Option<f64>,
    reason: Option<String>,
}

#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct InstrumentChange {
    standing: Option<f64>,
    each: Option<f64>,
    limit: Option<f64>,
    odds: Option<f64>,
    minutes: Option<f64>,
    reason: Option<String>,
}

/// One cause as it is weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct CauseRow {
    /// Its key in the file.
    pub key: String,
    /// In words.
    pub words: String,
    /// How likely before anything is read.
    pub odds: f64,
    /// The usual chance, where another stands.
    pub usual_odds: Option<f64>,
    /// Past this something is to be done, with its unit.
    pub limit: String,
    /// Why.
    pub reason: String,
}

/// One instrument as it is weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct InstrumentRow {
    /// Its key in the file: the name of its reading.
    pub key: String,
    /// In words.
    pub words: String,
    /// Error that stays and error of each reading, with their unit.
    pub errors: (String, String),
    /// Off by more than this it counts as wrong, with its unit.
    pub limit: String,
    /// How likely it is wrong before anything is read.
    pub odds: f64,
    /// Whether the ship trusts it otherwise than its kind.
    pub changed: bool,
    /// Why.
    pub reason: String,
}

/// The tables with their reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct ShipTables {
    /// What is reckoned with.
    pub(crate) tables: Tables,
    /// The causes, for a person.
    pub causes: Vec<CauseRow>,
    /// The instruments, for a person.
    pub instruments: Vec<InstrumentRow>,
    /// What her own looks do to the chances, in sentences.
    pub learned: Vec<String>,
}

/// Reads a settings file for a ship.
///
/// # Errors
/// In words what cannot be taken, with key, figure, range and remedy.
pub(crate) fn check(setup: &Setup, text: &str) -> Result<(), String> {
    of(setup, text, &ToldOfPlant::default()).map(|_| ())
}

/// The tables of a ship: the usual ones, her settings file, the trust of her ship file, her own looks.
pub(crate) fn of(setup: &Setup, text: &str, told: &ToldOfPlant) -> Result<ShipTables, String> {
    let file: File = toml::from_str(text).map_err(|e| e.to_string())?;
    let usual = Tables::usual(setup.plant.sheet().rated_product_t_day);
    let mut tables = usual.clone();
    let mut reasons: BTreeMap<String, String> = BTreeMap::new();
    for (key, change) in &file.cause {
        let line = Cause::of_key(key)
            .and_then(|cause| tables.causes.iter_mut().find(|line| line.cause == cause))
            .ok_or_else(|| unknown("cause", key, usual.causes.iter().map(|l| l.cause.key())))?;
        change_cause(line, key, change)?;
        reasons.insert(key.clone(), reason("cause", key, change.reason.as_deref())?);
    }
    for (key, change) in &file.instrument {
        let line =
            tables.instruments.iter_mut().find(|line| line.instrument.key() == key).ok_or_else(
                || {
                    unknown(
                        "instrument",
                        key,
                        usual.instruments.iter().map(|l| l.instrument.key().to_owned()),
                    )
                },
            )?;
        change_instrument(line, key, change)?;
        reasons.insert(key.clone(), reason("instrument", key, change.reason.as_deref())?);
    }
    let untold = |line: &&mut InstrumentLine| !file.instrument.contains_key(line.instrument.key());
    for line in tables.instruments.iter_mut().filter(untold) {
        trust(setup, line, &mut reasons);
    }
    let learned = learn(&mut tables, told);
    let causes = tables
        .causes
        .iter()
        .zip(&usual.causes)
        .map(|(line, was)| {
            let key = line.cause.key();
            let own = reasons.get(&key).filter(|r| !r.is_empty());
            CauseRow {
                words: line.cause.words(),
                odds: line.odds,
                usual_odds: (line.odds != was.odds).then_some(was.odds),
                limit: limit(setup, line),
                reason: own.cloned().unwrap_or_else(|| line.reason.to_owned()),
                key,
            }
        })
        .collect();
    let instruments = tables
        .instruments
        .iter()
        .zip(&usual.instruments)
        .map(|(line, was)| {
            let key = line.instrument.key().to_owned();
            let own = reasons.get(&key).filter(|r| !r.is_empty());
            InstrumentRow {
                words: line.instrument.words().to_owned(),
                errors: (error(line, line.standing), error(line, line.each)),
                limit: error(line, line.limit),
                odds: line.odds,
                changed: (line.standing, line.each, line.limit, line.odds)
                    != (was.standing, was.each, was.limit, was.odds),
                reason: own.cloned().unwrap_or_else(|| line.reason.to_owned()),
                key,
            }
        })
        .collect();
    Ok(ShipTables { tables, causes, instruments, learned })
}

fn unknown(what: &str, key: &str, known: impl Iterator<Item = String>) -> String {
    let known: Vec<String> = known.collect();
    let near = known
        .iter()
        .map(|k| (strsim::jaro_winkler(k, key), k))
        .filter(|(score, _)| *score > 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0));
    match near {
        Some((_, near)) => format!("{what}.{key}: no such {what}; did you mean {near}?"),
        None => format!("{what}.{key}: no such {what}; known are {}", known.join(", ")),
    }
}

fn within(name: &str, value: f64, (low, high): (f64, f64)) -> Result<f64, String> {
    if value.is_finite() && (low..=high).contains(&value) {
        return Ok(value);
    }
    Err(format!("{name} = {value}: write {low} to {high}, or leave the line out"))
}

/// Each change says why.
fn reason(what: &str, key: &str, reason: Option<&str>) -> Result<String, String> {
    let reason = reason.map(str::trim).filter(|reason| !reason.is_empty());
    reason.map(str::to_owned).ok_or_else(|| {
        format!(
            "{what}.{key}: add reason = \"…\", so that who comes after knows why it was changed"
        )
    })
}

fn change_cause(line: &mut CauseLine, key: &str, change: &CauseChange) -> Result<(), String> {
    if let Some(odds) = change.odds {
        line.odds = within(&format!("cause.{key}.odds"), odds, ODDS)?;
    }
    if let Some(limit) = change.limit {
        // From what is healthy to twice as far off as a usual fault.
        let (healthy, far) = (line.healthy.0, 2.0 * line.fault.0 - line.healthy.0);
        let range = (healthy.min(far), healthy.max(far));
        line.limit = within(&format!("cause.{key}.limit"), limit, range)?;
    }
    Ok(())
}

fn change_instrument(
    line: &mut InstrumentLine,
    key: &str,
    change: &InstrumentChange,
) -> Result<(), String> {
    let name = |what: &str| format!("instrument.{key}.{what}");
    let range = (0.05, 20.0);
    if let Some(standing) = change.standing {
        let (low, high) = (range.0 * line.standing, range.1 * line.standing);
        line.standing = within(&name("standing"), standing, (low, high))?;
    }
    if let Some(each) = change.each {
        let (low, high) = (range.0 * line.each, range.1 * line.each);
        line.each = within(&name("each"), each, (low, high))?;
    }
    if let Some(limit) = change.limit {
        let (low, high) = (0.2 * line.limit, 10.0 * line.limit);
        line.limit = within(&name("limit"), limit, (low, high))?;
    }
    if let Some(odds) = change.odds {
        line.odds = within(&name("odds"), odds, ODDS)?;
    }
    if let Some(minutes) = change.minutes {
        line.minutes = within(&name("minutes"), minutes, (0.5, 1440.0))?;
    }
    Ok(())
}

/// How often it was looked for and found: "looked for once, not found", "looked for 3 times, found twice".
fn looked_for(looked: usize, found: usize) -> String {
    let times = |n: usize| match n {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    };
    match (looked, found) {
        (_, 0) => format!("looked for {}, not found", times(looked)),
        (1, _) => "looked for once and found".to_owned(),
        (looked, found) if looked == found => {
            format!("looked for {} and found each time", times(looked))
        }
        _ => format!("looked for {}, found {}", times(looked), times(found)),
    }
}

/// The record's reading that an instrument gives.
fn reading_of(instrument: Instrument) -> &'static str {
    instrument.key()
}

/// What the ship file trusts an instrument with, in the scale of its line.
fn trust(setup: &Setup, line: &mut InstrumentLine, reasons: &mut BTreeMap<String, String>) {
    let key = reading_of(line.instrument);
    let Some(trust) = setup.ship.trusts.iter().find(|t| t.reading == key) else { return };
    let sheet = setup.plant.sheet();
    // From the reading's own unit to the scale of the table.
    let factor = match (line.scale, key) {
        (Scale::Times(_), "shell_gauge_bar_g") => 10.1325,
        (Scale::Ln, "product_t_day") => sheet.rated_product_t_day.recip(),
        (Scale::Ln, "jacket_flow_kg_s") => sheet.rated_jacket_flow_kg_s.recip(),
        (Scale::Ln, "condenser_flow_kg_s") => sheet.rated_condenser_flow_kg_s.recip(),
        (Scale::Asinh(unit), _) => sheet.rated_product_salt_mg_kg.max(unit).recip(),
        (Scale::Ln, _) => return,
        _ => 1.0,
    };
    line.standing = trust.standing * factor;
    line.each = trust.each * factor;
    reasons
        .entry(key.to_owned())
        .or_insert_with(|| "trusted otherwise than its kind, on the page Ship".to_owned());
}

/// Her own looks beside the usual chances: so many usual looks, and hers.
fn learn(tables: &mut Tables, told: &ToldOfPlant) -> Vec<String> {
    let mut said = Vec::new();
    for (cause, (looked, found)) in told.looks() {
        let Some(line) = tables.causes.iter_mut().find(|line| line.cause == cause) else {
            continue;
        };
        let before = line.odds;
        let after = (USUAL_LOOKS * before + found as f64) / (USUAL_LOOKS + looked as f64);
        line.odds = after.clamp(ODDS.0, ODDS.1);
        said.push(format!(
            "{}: {}, so its chance before anything is read goes from {:.0} to {:.0} in 100.",
            capital(&cause.words()),
            looked_for(looked, found),
            100.0 * before,
            100.0 * line.odds
        ));
    }
    said
}

/// Every line of both tables as it stands, to be changed: what stands in the settings file until somebody writes it.
#[must_use]
pub fn tables_example(setup: &Setup) -> String {
    let mut out = String::from(
        "\
# How findings are weighed aboard this ship. Every line of both tables stands below as it is usual, behind a #.
# To change one take the # from its heading, from what is changed and from the reason, and say why.
# odds: how likely it is before anything is read, 0.001 to 0.6. limit: past this something is to be done.
# standing, each: error that stays and error of each reading, one standard deviation. minutes: work of one reading.
",
    );
    let usual = Tables::usual(setup.plant.sheet().rated_product_t_day);
    for line in &usual.causes {
        let unit = match line.cause.unit() {
            "" => "part of what was set or is rated",
            "m2K_W" => "m²K/W",
            "kg_h" => "kg/h",
            "bar_g" => "bar above what is rated",
            unit => unit,
        };
        let _ = write!(
            out,
            "\n# [cause.{}]\n# odds = {}\n# limit = {}  # {unit}\n# reason = \"{}\"\n",
            line.cause.key(),
            line.odds,
            shown(line.limit),
            line.reason
        );
    }
    for line in &usual.instruments {
        let unit = match line.scale {
            Scale::Ln | Scale::Asinh(_) => "as a part, 0.03 is 3 %".to_owned(),
            _ => line.instrument.error_unit().replace("g_kg", "g/kg"),
        };
        let _ = write!(
            out,
            "\n# [instrument.{}]\n# standing = {}  # {unit}\n# each = {}\n# limit = {}\n# odds = {}\n# minutes = {}\n# reason = \"{}\"\n",
            line.instrument.key(),
            line.standing,
            line.each,
            line.limit,
            line.odds,
            line.minutes,
            line.reason
        );
    }
    out
}

/// A limit as it would be typed: small ones with their power of ten.
fn shown(x: f64) -> String {
    if x != 0.0 && x.abs() < 1.0e-3 {
        format!("{x:e}")
    } else {
        format!("{:.3}", x).trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

pub(crate) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

fn limit(setup: &Setup, line: &CauseLine) -> String {
    let sheet = setup.plant.sheet();
    let value = match line.cause {
        Cause::MotivePressure => line.limit + sheet.rated_ejector_pressure_bar_g,
        Cause::Overboard => line.limit + sheet.rated_back_pressure_bar_g,
        _ => line.limit,
    };
    Sizes::of(sheet).told(line.cause, value)
}

/// An error of an instrument in words.
fn error(line: &InstrumentLine, sd: f64) -> String {
    match line.scale {
        Scale::Ln | Scale::Asinh(_) => format!("{:.1} %", 100.0 * sd),
        _ => format!("{} {}", trimmed(sd), line.instrument.error_unit().replace("g_kg", "g/kg")),
    }
}

fn trimmed(x: f64) -> String {
    let text = format!("{x:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// How much an instrument is trusted less at a press: its errors times this.
pub(crate) const LESS: f64 = 3.0;

/// Errors of an instrument trusted less, in the reading's unit: standing, each.
pub(crate) fn less(setup: &Setup, reading: &str) -> Option<(f64, f64)> {
    let at = match reading {
        "product_t_day" => setup.plant.sheet().rated_product_t_day,
        "product_salt_mg_kg" => setup.plant.sheet().rated_product_salt_mg_kg,
        "jacket_flow_kg_s" => setup.plant.sheet().rated_jacket_flow_kg_s,
        "condenser_flow_kg_s" => setup.plant.sheet().rated_condenser_flow_kg_s,
        _ => 1.0,
    };
    let kind = instrument::of(reading)?;
    let scale = if kind.relative { at } else { 1.0 };
    let two = |x: f64| (x * 100.0).round() / 100.0;
    Some((two(LESS * kind.standing * scale), two(LESS * kind.each * scale)))
}
