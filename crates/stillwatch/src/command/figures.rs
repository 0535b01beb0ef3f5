//! Flags for the operating point, made from the plant's own table of keys, and the sheet they stand over.

use std::path::{Path, PathBuf};

use clap::{Arg, ArgMatches, ValueHint};
use desk::Setup;
use desk::figure::Beside;
use desk::ship::Ship;
use plant::keys::{self, Key, Kind, Part};
use plant::{FieldError, Point, Sheet, Value};
use quantity::{Pressure, Style, Unit, read_number};

use crate::fail::Fail;

/// Heading of the point's flags in the help.
const HEADING: &str = "What the plant works under (the rated point where left out)";

/// The unit of a key of the plant; a plain number where it has none.
pub fn unit(key: &Key) -> Unit {
    Unit::ALL
        .iter()
        .copied()
        .find(|unit| unit.code().eq_ignore_ascii_case(key.unit))
        .unwrap_or(Unit::One)
}

/// A key as a flag: without its unit, with hyphens (`jacket_in_c` is `jacket-in`).
pub fn name(key: &Key) -> String {
    let unit = if key.unit == "degC" { "c".to_owned() } else { key.unit.to_lowercase() };
    let end = format!("_{unit}");
    let bare =
        if unit.is_empty() { key.key } else { key.key.strip_suffix(&end).unwrap_or(key.key) };
    bare.replace('_', "-")
}

/// The key of one part with this flag name, or with the full key as name.
pub fn find(part: Part, typed: &str) -> Option<&'static Key> {
    let typed = typed.trim_start_matches('-').replace('_', "-");
    keys::of(part).iter().find(|key| name(key) == typed || key.key.replace('_', "-") == typed)
}

/// The flag name most like the one typed, over the keys that `fits`.
pub fn nearest(part: Part, typed: &str, fits: impl Fn(&Key) -> bool) -> String {
    let full = keys::nearest(part, &typed.replace('-', "_")).and_then(|key| keys::find(part, key));
    match full.filter(|key| fits(key)) {
        Some(key) => format!("did you mean {}?", name(key)),
        None => {
            let known: Vec<String> =
                keys::of(part).iter().filter(|key| fits(key)).map(name).collect();
            format!("known are {}", known.join(", "))
        }
    }
}

/// One flag for every key of the operating point, and the ship's file.
pub fn flags() -> Vec<Arg> {
    let sheet = Arg::new("sheet")
        .long("sheet")
        .value_name("FILE.toml")
        .value_parser(clap::value_parser!(PathBuf))
        .value_hint(ValueHint::FilePath)
        .help("The ship's file with her plant sheet; the demonstration plant when left out");
    std::iter::once(sheet).chain(keys::POINT.iter().map(flag)).collect()
}

fn flag(key: &'static Key) -> Arg {
    let mut arg = Arg::new(key.key)
        .long(name(key))
        .help_heading(HEADING)
        .allow_hyphen_values(true)
        .help(meaning(key));
    let dashed = key.key.replace('_', "-");
    for alias in [dashed, key.key.to_owned()] {
        if alias != name(key) {
            arg = arg.alias(alias);
        }
    }
    match key.kind {
        Kind::Word(words) => {
            arg.value_name("WORD").help(format!("{} ({})", key.meaning, words.join(", ")))
        }
        Kind::Flag => arg
            .value_name("yes|no")
            .num_args(0..=1)
            .require_equals(true)
            .default_missing_value("yes"),
        _ => {
            arg.value_name(if key.unit.is_empty() { "N".to_owned() } else { unit(key).to_string() })
        }
    }
}

fn meaning(key: &Key) -> String {
    if matches!(key.kind, Kind::Number | Kind::Optional) {
        return format!("{} ({} to {})", key.meaning, key.hard.0, key.hard.1);
    }
    key.meaning.to_owned()
}

/// Whether any figure of the point was given.
pub fn given(matches: &ArgMatches) -> bool {
    keys::POINT.iter().any(|key| matches.contains_id(key.key))
}

/// The ship's file, or the demonstration plant under a blank ship.
pub fn setup(matches: &ArgMatches) -> Result<Setup, Fail> {
    let problems = |path: Option<&Path>, problems: Vec<desk::ship::Problem>| {
        let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
        let file = path.map_or_else(String::new, |p| format!("{}: ", p.display()));
        Fail::usage(format!("{file}{}", told.join("\n  ")))
    };
    let Some(path) = matches.get_one::<PathBuf>("sheet") else {
        return Setup::from_ship(Ship::blank()).map_err(|e| problems(None, e));
    };
    let text = std::fs::read(path).map_err(|e| {
        Fail::usage(format!("{}: {e}", path.display())).hint("name a ship's file that can be read")
    })?;
    let text = String::from_utf8(text).map_err(|e| {
        let line = e.as_bytes().iter().take(e.utf8_error().valid_up_to()).filter(|b| **b == b'\n');
        let line = line.count() + 1;
        Fail::usage(format!("{}: line {line} is not UTF-8 text", path.display()))
            .hint("is it another file? save it as UTF-8")
    })?;
    Setup::from_text(&text).map_err(|e| problems(Some(path), e))
}

/// The sheet's rated point with the flags over it.
pub fn point(matches: &ArgMatches, setup: &Setup) -> Result<Point, Fail> {
    let mut point = Point::rated(setup.plant.sheet());
    // The barometer first: gauge and vacuum figures in other units count from it.
    let barometer = keys::POINT.iter().filter(|key| key.key == "barometer_hpa");
    for key in barometer.chain(keys::POINT) {
        if let Some(text) = matches.get_one::<String>(key.key) {
            let value = value(key, text, &Beside::point(&point))?;
            point.set(key.key, &value).map_err(|e| refused(key, &e))?;
        }
    }
    point.check().map_err(|e| Fail::usage(&e))?;
    Ok(point)
}

fn refused(key: &Key, e: &FieldError) -> Fail {
    match e {
        FieldError::OutOfRange { value, .. } => Fail::usage(format!(
            "--{}: {value} {u} is outside {} to {} {u}: {}",
            name(key),
            key.hard.0,
            key.hard.1,
            key.why,
            u = unit(key)
        ))
        .hint(format!("read it off again: {}", key.place)),
        other => Fail::usage(format!("--{}: {other}", name(key))),
    }
}

/// What was typed for a key, in the key's unit.
fn value(key: &Key, text: &str, beside: &Beside) -> Result<Value, Fail> {
    let fail = |why: &dyn std::fmt::Display| Fail::usage(format!("--{}: {why}", name(key)));
    match key.kind {
        Kind::Word(_) => Ok(Value::Word(text.trim().to_lowercase())),
        Kind::Flag => match text.trim().to_lowercase().as_str() {
            "yes" | "true" => Ok(Value::Flag(true)),
            "no" | "false" => Ok(Value::Flag(false)),
            _ => Err(fail(&format!("read {text:?}, wanted yes or no"))),
        },
        _ if key.unit.is_empty() => {
            read_number(text, Style::Either).map(Value::Number).map_err(|e| fail(&e))
        }
        _ => desk::figure::figure(text, key.key, unit(key), beside)
            .map(Value::Number)
            .map_err(|e| fail(&e)),
    }
}

/// A figure with or without its unit, in `unit`.
///
/// # Errors
/// Why it is not a figure of that kind, in words.
pub fn figure(text: &str, unit: Unit, barometer_hpa: f64) -> Result<f64, String> {
    let barometer = Pressure::from_hpa(barometer_hpa);
    desk::figure::figure(text, "", unit, &Beside { barometer, ..Beside::rated(&Sheet::default()) })
}
