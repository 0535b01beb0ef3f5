//! From the form's texts to a ship, or every fault beside the field it was typed into.

use plant::Value;

use super::fields::{self, Shape, ShipField};
use super::unit;
use crate::figure::{Beside, figure};
use crate::ship::{
    self, CHECKS, DEMAND, DOUBTS, Holds, Item, LIMITS, ORDERS, PRICES, SETTINGS, Ship, Tank, Trust,
};

/// What is wrong with one field, or with the whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Name of the field; empty when it is about the whole.
    pub field: String,
    /// What was read, what is allowed, what to do.
    pub message: String,
}

/// The box that says the rest of the marked figures are hers too.
pub const CONFIRMED: &str = "confirmed";

/// Most tanks a form may send.
const MOST_TANKS: usize = 24;

/// Builds a ship from what was typed over `base`: a field that was not sent keeps its value.
///
/// # Errors
/// Every fault, in the order of the form; nothing is taken then.
pub fn take<'t>(base: &Ship, typed: &dyn Fn(&str) -> Option<&'t str>) -> Result<Ship, Vec<Fault>> {
    let mut taking = Taking { typed, faults: Vec::new(), beside: Beside::rated(&base.sheet) };
    let mut ship = base.clone();
    taking.identity(&mut ship);
    for field in fields::groups(base).iter().flat_map(|g| &g.fields) {
        if let Some(key) = field.name.strip_prefix("plant.") {
            taking.sheet(&mut ship, field, key);
        }
    }
    taking.rows("positions.bypass_percent", &mut ship.positions.bypass);
    taking.rows("positions.condenser_throttle_percent", &mut ship.positions.throttle);
    taking.items("limits", LIMITS, &mut |key, x| ship.limits.set(key, x));
    taking.items("settings", SETTINGS, &mut |key, x| ship.settings.set(key, x));
    taking.items("doubts", DOUBTS, &mut |key, x| ship.doubts.set(key, x));
    taking.items("orders", ORDERS, &mut |key, x| ship.orders.set(key, x));
    taking.items("demand", DEMAND, &mut |key, x| ship.demand.set(key, x));
    taking.items("prices", PRICES, &mut |key, x| ship.prices.set(key, x));
    taking.items("checks", CHECKS, &mut |key, x| ship.checks.set(key, x));
    taking.trusts(&mut ship);
    taking.tanks(&mut ship);
    ship.follow(base);
    if taking.text(CONFIRMED).is_some() {
        ship.unconfirmed.clear();
    }
    if !taking.faults.is_empty() {
        return Err(taking.faults);
    }
    // What only the whole can tell (calibration, rising rows, two tanks of one name) the file's own reader says.
    match ship::read(&ship::write(&ship)) {
        Ok(read) => Ok(read),
        Err(problems) => Err(problems
            .into_iter()
            .map(|p| {
                let known =
                    fields::groups(&ship).iter().flat_map(|g| &g.fields).any(|f| f.name == p.key);
                if known {
                    Fault { field: p.key, message: p.message }
                } else {
                    let message = match p.key.as_str() {
                        "plant" => contradiction(base, &ship, &p.message),
                        key => format!("{}: {}", key.replace('.', ", "), p.message),
                    };
                    Fault { field: String::new(), message }
                }
            })
            .collect()),
    }
}

struct Taking<'f, 't> {
    typed: &'f dyn Fn(&str) -> Option<&'t str>,
    faults: Vec<Fault>,
    /// What units are turned with, by the sheet as it was.
    beside: Beside,
}

impl Taking<'_, '_> {
    fn text(&self, name: &str) -> Option<String> {
        (self.typed)(name).map(|text| text.trim().to_owned())
    }

    fn refuse(&mut self, field: &str, message: impl Into<String>) {
        self.faults.push(Fault { field: field.to_owned(), message: message.into() });
    }

    fn identity(&mut self, ship: &mut Ship) {
        for (name, least, most, into) in [
            ("ship.name", 1, 60, &mut ship.name),
            ("ship.kind", 0, 80, &mut ship.kind),
            ("ship.voyage", 0, 80, &mut ship.voyage),
            ("ship.node", 1, 8, &mut ship.node),
            ("ship.currency", 1, 12, &mut ship.currency),
        ] {
            let Some(text) = self.text(name) else { continue };
            let length = text.chars().count();
            if (least..=most).contains(&length) && !text.chars().any(char::is_control) {
                *into = text;
            } else {
                self.refuse(
                    name,
                    format!("{length} signs, wanted {least} to {most} without line breaks."),
                );
            }
        }
        self.number("ship.crew", "", (0.0, 10_000.0), &mut |x| ship.crew = x);
        self.number("ship.round_hours", "", (0.5, 24.0), &mut |x| ship.round_hours = x);
    }

    fn sheet(&mut self, ship: &mut Ship, field: &ShipField, key: &str) {
        let Some(text) = self.text(&field.name) else { return };
        if text == field.text {
            return;
        }
        let code = plant::keys::find(plant::keys::Part::Sheet, key).map_or("", |k| k.unit);
        let value = match field.shape {
            Shape::Optional if text.is_empty() => Ok(Value::Absent),
            Shape::Number | Shape::Optional => {
                figure(&text, key, unit(code), &Beside::rated(&ship.sheet)).map(Value::Number)
            }
            Shape::Word(_) | Shape::Text => Ok(Value::Word(text)),
            Shape::List => numbers(&text).map(Value::List),
            Shape::Rows => rows(&text).map(Value::Table),
        };
        match value {
            Ok(value) => {
                if let Err(e) = ship.sheet.set(key, &value) {
                    self.refuse(&field.name, format!("Read {}.", ship::without_key(&e)));
                }
            }
            Err(message) => self.refuse(&field.name, message),
        }
    }

    fn rows(&mut self, name: &str, into: &mut Vec<[f64; 2]>) {
        let Some(text) = self.text(name) else { return };
        match rows(&text) {
            Ok(rows) => *into = rows,
            Err(message) => self.refuse(name, message),
        }
    }

    fn number(&mut self, name: &str, code: &str, range: (f64, f64), set: &mut dyn FnMut(f64)) {
        let Some(text) = self.text(name) else { return };
        match figure(&text, name, unit(code), &self.beside) {
            Ok(x) if x >= range.0 && x <= range.1 => set(x),
            Ok(x) => {
                let unit = super::symbol(code);
                self.refuse(
                    name,
                    format!("Read {x} {unit}, allowed {} to {} {unit}.", range.0, range.1),
                );
            }
            Err(message) => self.refuse(name, message),
        }
    }

    fn items(
        &mut self,
        section: &str,
        items: &'static [Item],
        set: &mut dyn FnMut(&str, f64) -> bool,
    ) {
        for item in items {
            self.number(&format!("{section}.{}", item.key), item.unit, item.hard, &mut |x| {
                set(item.key, x);
            });
        }
    }

    fn trusts(&mut self, ship: &mut Ship) {
        for trust in fields::trusts(ship) {
            let names =
                ["standing", "each"].map(|which| format!("trust.{}.{which}", trust.reading));
            let sent: Vec<Option<String>> = names.iter().map(|name| self.text(name)).collect();
            let (Some(Some(standing)), Some(Some(each))) = (sent.first(), sent.get(1)) else {
                continue;
            };
            let others = |t: &Trust| t.reading != trust.reading;
            if standing.is_empty() && each.is_empty() {
                ship.trusts.retain(others);
                continue;
            }
            let mut errors = [0.0, 0.0];
            for (name, error) in names.iter().zip(&mut errors) {
                self.number(name, "", (0.0, 1.0e6), &mut |x| *error = x);
            }
            let [standing, each] = errors;
            let said = Trust { reading: trust.reading.to_owned(), standing, each };
            match ship.trusts.iter_mut().find(|t| t.reading == trust.reading) {
                Some(old) => *old = said,
                None => ship.trusts.push(said),
            }
        }
    }

    fn tanks(&mut self, ship: &mut Ship) {
        if self.text("tank.0.key").is_none() {
            return;
        }
        let old = std::mem::take(&mut ship.tanks);
        for i in 0..MOST_TANKS {
            let name = |key: &str| format!("tank.{i}.{key}");
            let Some(key) = self.text(&name("key")).filter(|key| !key.is_empty()) else {
                let typed =
                    ["name", "capacity_m3", "soundings_cm_m3"].map(|key| self.text(&name(key)));
                // A tank that is taken away has every box empty; one that lacks only its short name is not thrown away.
                if old.get(i).is_none() && typed.iter().flatten().any(|text| !text.is_empty()) {
                    self.refuse(
                        &name("key"),
                        "Nothing written: give it a short name, as ap for the after peak; soundings stand in the record by it.",
                    );
                }
                continue;
            };
            let mut tank = old.get(i).cloned().unwrap_or(Tank {
                key: String::new(),
                name: String::new(),
                holds: Holds::Fresh,
                capacity_m3: f64::NAN,
                unpumpable_m3: 0.0,
                soundings: Vec::new(),
            });
            tank.name =
                self.text(&name("name")).filter(|n| !n.is_empty()).unwrap_or_else(|| key.clone());
            tank.key = key;
            if let Some(word) = self.text(&name("holds")) {
                match Holds::from_word(&word) {
                    Some(holds) => tank.holds = holds,
                    None => self.refuse(
                        &name("holds"),
                        format!("\"{word}\": one of {}.", Holds::WORDS.join(", ")),
                    ),
                }
            }
            self.number(&name("capacity_m3"), "m3", (0.1, 100_000.0), &mut |x| {
                tank.capacity_m3 = x
            });
            self.number(&name("unpumpable_m3"), "m3", (0.0, 100_000.0), &mut |x| {
                tank.unpumpable_m3 = x
            });
            let table = name("soundings_cm_m3");
            self.rows(&table, &mut tank.soundings);
            if tank.soundings.is_empty() && !self.faults.iter().any(|f| f.field == table) {
                self.refuse(
                    &table,
                    "Nothing written: a line each, cm and m³, as 0, 0 and 400, 160.",
                );
            }
            ship.tanks.push(tank);
        }
    }
}

/// The whole sheet contradicts itself: a slip of the decimal sign is the likeliest reason, so what is unusual is named first.
fn contradiction(base: &Ship, ship: &Ship, message: &str) -> String {
    let groups = fields::groups(ship);
    // The plant names its figures by key; the reader knows them by label.
    let mut message = message.to_owned();
    for field in groups.iter().flat_map(|g| &g.fields) {
        if let Some(key) = field.name.strip_prefix("plant.") {
            message = message.replace(key, &format!("“{}”", field.label));
        }
    }
    let before = fields::groups(base);
    let was = |name: &str| {
        before.iter().flat_map(|g| &g.fields).find(|f| f.name == name).map(|f| f.text.as_str())
    };
    let odd: Vec<String> = groups
        .iter()
        .flat_map(|g| &g.fields)
        .filter(|f| f.name.starts_with("plant.") && f.unusual && was(&f.name) != Some(&f.text))
        .map(|f| format!("{} {} {} ({})", f.label, f.text, f.unit, f.usual))
        .collect();
    if odd.is_empty() {
        return format!("The sheet contradicts itself: {message}");
    }
    format!("Look first at {}. The sheet contradicts itself: {message}", odd.join("; "))
}

fn numbers(text: &str) -> Result<Vec<f64>, String> {
    text.split([' ', '\t', ';', '\n']).filter(|t| !t.is_empty()).map(number).collect()
}

fn number(text: &str) -> Result<f64, String> {
    quantity::read_number(text, quantity::Style::Either).map_err(|e| e.to_string())
}

/// Rows of two numbers, one a line.
fn rows(text: &str) -> Result<Vec<[f64; 2]>, String> {
    text.lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty())
        .map(|(i, line)| {
            let numbers = numbers(line.trim()).map_err(|e| format!("Line {}: {e}", i + 1))?;
            match numbers.as_slice() {
                [x, y] => Ok([*x, *y]),
                other => Err(format!(
                    "Line {}: {} numbers, wanted two with a blank between them.",
                    i + 1,
                    other.len()
                )),
            }
        })
        .collect()
}
