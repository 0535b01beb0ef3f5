//! Ship file to TOML: every key with a line above it that says what it is, its unit and its range.

use std::fmt::Write as _;

use plant::Value;
use plant::keys::{self, Kind};
use quantity::Unit;

use super::Ship;
use super::item::{CHECKS, DEMAND, DOUBTS, Item, LIMITS, ORDERS, PRICES, SETTINGS};

/// Writes the ship file. Reading it back gives the same ship.
#[must_use]
pub fn write(ship: &Ship) -> String {
    let mut out = String::new();
    out.push_str(
        "# The ship's own figures. Edit here or on the page Ship: either shows the other.\n",
    );
    out.push_str("# Numbers take a decimal point. The maker's manual comes before anything written here.\n\n");
    out.push_str("[ship]\n");
    for (key, value, meaning) in [
        ("name", &ship.name, "Stands at the head of every page."),
        ("kind", &ship.kind, "What she is."),
        ("voyage", &ship.voyage, "From where to where; stands at the head of every page."),
        (
            "node",
            &ship.node,
            "Mark of this record in every entry; never change it while a record is kept.",
        ),
    ] {
        line(&mut out, meaning, key, &text(value));
    }
    line(&mut out, "People aboard.", "crew", &number(ship.crew));
    line(&mut out, "Hours between rounds of readings.", "round_hours", &number(ship.round_hours));
    line(&mut out, "What prices are counted in.", "currency", &text(&ship.currency));
    if !ship.unconfirmed.is_empty() {
        let keys: Vec<String> = ship.unconfirmed.iter().map(|key| text(key)).collect();
        line(
            &mut out,
            "Figures of [plant] that are still a typical plant's, not hers: take a key off when its figure is right.",
            "unconfirmed",
            &format!("[{}]", keys.join(", ")),
        );
    }

    out.push_str("\n[plant]\n");
    for key in keys::SHEET {
        let unit = symbol(key.unit);
        let range = match key.kind {
            Kind::Number | Kind::Optional => {
                format!(
                    " Usual {} to {}. Read off: {}.",
                    number(key.typical.0),
                    number(key.typical.1),
                    key.place
                )
            }
            Kind::Word(words) => format!(" One of {}.", words.join(", ")),
            _ => format!(" {}.", key.place),
        };
        let comment = format!("{}{unit}{range}", key.meaning);
        match ship.sheet.get(key.key) {
            Ok(Value::Absent) | Err(_) => {
                let _ = writeln!(out, "# {comment}\n# {} =", key.key);
            }
            Ok(value) => line(&mut out, &comment, key.key, &shaped(&value)),
        }
    }

    out.push_str("\n[positions]\n");
    line(
        &mut out,
        "By-pass position in % open, and jacket water through the heater then, kg/s.",
        "bypass_percent",
        &rows(&ship.positions.bypass),
    );
    line(
        &mut out,
        "Condenser throttle in % open, and sea water through the condenser then, kg/s.",
        "condenser_throttle_percent",
        &rows(&ship.positions.throttle),
    );
    items(&mut out, "limits", LIMITS, |key| ship.limits.get(key));
    items(&mut out, "settings", SETTINGS, |key| ship.settings.get(key));
    items(&mut out, "doubts", DOUBTS, |key| ship.doubts.get(key));
    items(&mut out, "orders", ORDERS, |key| ship.orders.get(key));
    items(&mut out, "demand", DEMAND, |key| ship.demand.get(key));
    items(&mut out, "prices", PRICES, |key| ship.prices.get(key));
    items(&mut out, "checks", CHECKS, |key| ship.checks.get(key));
    if !ship.trusts.is_empty() {
        out.push_str("\n# Instruments trusted more or less than their kind: one standard deviation, in the reading's unit.\n[trust]\n");
        for trust in &ship.trusts {
            let _ = writeln!(
                out,
                "{} = {{ standing = {}, each = {} }}",
                trust.reading,
                number(trust.standing),
                number(trust.each)
            );
        }
    }
    for tank in &ship.tanks {
        let _ = writeln!(
            out,
            "\n[[tank]]\nkey = {}\nname = {}\nholds = {}\ncapacity_m3 = {}\nunpumpable_m3 = {}\n# Sounding in cm, volume in m³.\nsoundings_cm_m3 = {}",
            text(&tank.key),
            text(&tank.name),
            text(tank.holds.word()),
            number(tank.capacity_m3),
            number(tank.unpumpable_m3),
            rows(&tank.soundings)
        );
    }
    out
}

fn line(out: &mut String, comment: &str, key: &str, value: &str) {
    let _ = writeln!(out, "# {comment}\n{key} = {value}");
}

fn items(out: &mut String, section: &str, items: &[Item], get: impl Fn(&str) -> Option<f64>) {
    let _ = writeln!(out, "\n[{section}]");
    for item in items {
        if let Some(value) = get(item.key) {
            let unit = symbol(item.unit);
            let comment = format!(
                "{}{unit} Usual {} to {}. Read off: {}.",
                item.meaning,
                number(item.typical.0),
                number(item.typical.1),
                item.place
            );
            line(out, &comment, item.key, &number(value));
        }
    }
}

/// A unit as people write it ("°C", not "degC"), as a sentence of its own; a note that is no unit code as it stands.
fn symbol(unit: &str) -> String {
    match unit.parse::<Unit>().map(Unit::symbol) {
        _ if unit.is_empty() => String::new(),
        Ok("") => String::new(),
        Ok(symbol) => format!(" {symbol}."),
        Err(_) => format!(" {unit}."),
    }
}

/// Shortest decimal that reads back the same.
fn number(x: f64) -> String {
    if x != 0.0 && (x.abs() < 1.0e-4 || x.abs() >= 1.0e9) {
        format!("{x:e}")
    } else {
        format!("{x}")
    }
}

fn text(s: &str) -> String {
    toml::Value::String(s.to_owned()).to_string()
}

fn rows(rows: &[[f64; 2]]) -> String {
    let rows: Vec<String> =
        rows.iter().map(|[x, y]| format!("[{}, {}]", number(*x), number(*y))).collect();
    format!("[{}]", rows.join(", "))
}

fn shaped(value: &Value) -> String {
    match value {
        Value::Absent => String::new(),
        Value::Flag(b) => b.to_string(),
        Value::Number(x) => number(*x),
        Value::Word(w) => text(w),
        Value::List(list) => {
            format!("[{}]", list.iter().map(|x| number(*x)).collect::<Vec<_>>().join(", "))
        }
        Value::Table(table) => rows(table),
    }
}
