//! Ship file from TOML: every problem found is told with its line, what was read, what is allowed and what to do.

use std::fmt;

use plant::keys::{self, Part};
use plant::{FieldError, Sheet};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::item::{CHECKS, DEMAND, DOUBTS, Item, LIMITS, ORDERS, PRICES, SETTINGS};
use super::{HERS, Holds, Positions, Ship, Tank, Trust};
use crate::field;

/// One thing in a ship file that cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Line in the file, counted from 1; none when it is about the whole.
    pub line: Option<usize>,
    /// Section and key, as in `plant.rated_product_t_day`.
    pub key: String,
    /// What was read, what is allowed and what to do.
    pub message: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            Some(line) => write!(f, "line {line}, {}: {}", self.key, self.message),
            None => write!(f, "{}: {}", self.key, self.message),
        }
    }
}

/// Most a ship file may measure, bytes: a file of this kind has a few hundred lines.
const LARGEST: usize = 256 * 1024;

/// Reads a ship file; keys that are left out keep the value of a blank ship, and those of [`HERS`] count as not confirmed.
///
/// # Errors
/// Every problem found, in the order of the file.
pub fn read(text: &str) -> Result<Ship, Vec<Problem>> {
    if text.len() > LARGEST {
        let message =
            format!("{} bytes, at most {LARGEST} are read: is it another file?", text.len());
        return Err(vec![Problem { line: None, key: "the file".into(), message }]);
    }
    if text.trim().is_empty() {
        let message = "it is empty: nothing would be left of her. Take the last good text from the record or the backup";
        return Err(vec![Problem { line: None, key: "the file".into(), message: message.into() }]);
    }
    let table = DeTable::parse(text).map_err(|e| vec![syntax(text, &e)])?;
    let mut reader = Reader { text, problems: Vec::new() };
    let mut ship = Ship::blank();
    reader.sections(table.get_ref(), &mut ship);
    let told = table.get_ref().get("plant").and_then(|plant| plant.get_ref().as_table());
    let left_out = HERS.iter().filter(|key| !told.is_some_and(|t| t.contains_key(**key)));
    for key in left_out.filter(|key| !ship.unconfirmed.contains(key)).collect::<Vec<_>>() {
        ship.unconfirmed.push(key);
    }
    reader.pairs(&ship);
    if reader.problems.is_empty() {
        if let Err(e) = plant::Plant::calibrate(&ship.sheet) {
            let message = e.to_string();
            return Err(vec![Problem { line: None, key: "plant".into(), message }]);
        }
        Ok(ship)
    } else {
        reader.problems.sort_by_key(|p| p.line);
        Err(reader.problems)
    }
}

fn syntax(text: &str, error: &toml::de::Error) -> Problem {
    let line = error.span().map(|span| line_of(text, span.start));
    let shown = line.and_then(|l| text.lines().nth(l - 1)).unwrap_or("").trim();
    let comma = shown.split_once('=').is_some_and(|(_, v)| {
        let v = v.trim();
        v.contains(',') && v.replace(',', "").chars().all(|c| c.is_ascii_digit() || c == '-')
    });
    let remedy =
        if comma { "; a TOML file wants a decimal point: write 24.5, not 24,5" } else { "" };
    Problem {
        line,
        key: "TOML".into(),
        message: format!("{}{remedy} (read: \"{shown}\")", error.message().replace('\n', ", ")),
    }
}

fn line_of(text: &str, offset: usize) -> usize {
    text.as_bytes().iter().take(offset).filter(|b| **b == b'\n').count() + 1
}

struct Reader<'t> {
    text: &'t str,
    problems: Vec<Problem>,
}

type Entry<'a, 'i> = (&'a Spanned<toml::de::DeString<'i>>, &'a Spanned<DeValue<'i>>);

impl Reader<'_> {
    fn refuse(&mut self, at: usize, key: impl Into<String>, message: impl Into<String>) {
        let line = Some(line_of(self.text, at));
        self.problems.push(Problem { line, key: key.into(), message: message.into() });
    }

    fn sections(&mut self, top: &DeTable<'_>, ship: &mut Ship) {
        const KNOWN: &[&str] = &[
            "ship",
            "plant",
            "positions",
            "limits",
            "settings",
            "doubts",
            "orders",
            "demand",
            "prices",
            "checks",
            "trust",
            "tank",
        ];
        for (name, value) in top {
            let key: &str = name.get_ref();
            match (key, value.get_ref()) {
                ("ship", DeValue::Table(t)) => self.identity(t, ship),
                ("plant", DeValue::Table(t)) => self.plant(t, &mut ship.sheet),
                ("positions", DeValue::Table(t)) => self.positions(t, &mut ship.positions),
                ("limits", DeValue::Table(t)) => {
                    self.items("limits", LIMITS, t, |k, x| ship.limits.set(k, x));
                }
                ("settings", DeValue::Table(t)) => {
                    self.items("settings", SETTINGS, t, |k, x| ship.settings.set(k, x));
                }
                ("doubts", DeValue::Table(t)) => {
                    self.items("doubts", DOUBTS, t, |k, x| ship.doubts.set(k, x));
                }
                ("orders", DeValue::Table(t)) => {
                    self.items("orders", ORDERS, t, |k, x| ship.orders.set(k, x));
                }
                ("demand", DeValue::Table(t)) => {
                    self.items("demand", DEMAND, t, |k, x| ship.demand.set(k, x));
                }
                ("prices", DeValue::Table(t)) => {
                    self.items("prices", PRICES, t, |k, x| ship.prices.set(k, x));
                }
                ("checks", DeValue::Table(t)) => {
                    self.items("checks", CHECKS, t, |k, x| ship.checks.set(k, x));
                }
                ("trust", DeValue::Table(t)) => self.trusts(t, ship),
                ("tank", DeValue::Array(list)) => {
                    for entry in list.iter() {
                        self.tank(entry, ship);
                    }
                }
                _ if KNOWN.contains(&key) => {
                    let wanted = if key == "tank" { "[[tank]]" } else { "a section in brackets" };
                    self.refuse(
                        name.span().start,
                        key,
                        format!("wanted {wanted}, read {}", shape(value.get_ref())),
                    );
                }
                _ => self.unknown(name.span().start, "", key, KNOWN),
            }
        }
        let mut seen = Vec::new();
        for tank in &ship.tanks {
            if seen.contains(&&tank.key) {
                let message = "two tanks have this key: give one another".to_owned();
                self.problems.push(Problem {
                    line: None,
                    key: format!("tank.{}", tank.key),
                    message,
                });
            }
            seen.push(&tank.key);
        }
    }

    fn unknown(&mut self, at: usize, section: &str, key: &str, known: &[&str]) {
        let near = known
            .iter()
            .map(|k| (strsim::jaro_winkler(k, key), *k))
            .filter(|(score, _)| *score > 0.75)
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let message = match near {
            Some((_, near)) => format!("no such key; did you mean {near}?"),
            None => format!("no such key; known are {}", known.join(", ")),
        };
        self.refuse(at, join(section, key), message);
    }

    fn identity(&mut self, table: &DeTable<'_>, ship: &mut Ship) {
        const KNOWN: &[&str] =
            &["name", "kind", "voyage", "node", "crew", "round_hours", "currency", "unconfirmed"];
        for entry in table {
            let key: &str = entry.0.get_ref();
            let at = entry.0.span().start;
            match key {
                "name" => self.word(entry, 1..=60, &mut ship.name),
                "kind" => self.word(entry, 0..=80, &mut ship.kind),
                "voyage" => self.word(entry, 0..=80, &mut ship.voyage),
                "currency" => self.word(entry, 1..=12, &mut ship.currency),
                "node" => {
                    self.word(entry, 1..=8, &mut ship.node);
                    if !ship.node.chars().all(|c| c.is_ascii_alphanumeric()) {
                        self.refuse(at, "ship.node", "letters and figures only, as A1");
                    }
                }
                "crew" => {
                    self.number(entry, "ship", (0.0, 10_000.0), "", &mut ship.crew);
                    if ship.crew.fract() != 0.0 {
                        let message =
                            format!("read {}, wanted whole people, 0 to 10000", ship.crew);
                        self.refuse(at, "ship.crew", message);
                    }
                }
                "round_hours" => {
                    self.number(entry, "ship", (0.5, 24.0), "hours", &mut ship.round_hours)
                }
                "unconfirmed" => self.unconfirmed(entry, &mut ship.unconfirmed),
                _ => self.unknown(at, "ship", key, KNOWN),
            }
        }
    }

    fn unconfirmed(&mut self, (name, value): Entry<'_, '_>, into: &mut Vec<&'static str>) {
        let at = name.span().start;
        let DeValue::Array(list) = value.get_ref() else {
            let message =
                format!("read {}, wanted a list of keys of [plant]", shape(value.get_ref()));
            self.refuse(at, "ship.unconfirmed", message);
            return;
        };
        into.clear();
        for item in list.iter() {
            let word = match item.get_ref() {
                DeValue::String(word) => word.as_ref(),
                _ => "",
            };
            match HERS.iter().find(|key| **key == word) {
                Some(key) if into.contains(key) => {}
                Some(key) => into.push(key),
                None => self.unknown(item.span().start, "ship.unconfirmed", word, HERS),
            }
        }
    }

    fn plant(&mut self, table: &DeTable<'_>, sheet: &mut Sheet) {
        for (name, value) in table {
            let key: &str = name.get_ref();
            match plain(value.get_ref()) {
                Ok(plain) => {
                    if let Err(e) = sheet.set(key, &plain) {
                        self.refuse(name.span().start, join("plant", key), without_key(&e));
                    }
                }
                Err(what) => {
                    let wanted = keys::find(Part::Sheet, key).map_or("", |k| k.meaning);
                    self.refuse(
                        name.span().start,
                        join("plant", key),
                        format!("{what} cannot be taken here. {wanted}"),
                    );
                }
            }
        }
    }

    fn positions(&mut self, table: &DeTable<'_>, positions: &mut Positions) {
        for entry in table {
            let key: &str = entry.0.get_ref();
            match key {
                "bypass_percent" => {
                    self.rows(entry, "positions", (0.0, 100.0), false, &mut positions.bypass)
                }
                "condenser_throttle_percent" => {
                    self.rows(entry, "positions", (0.0, 100.0), false, &mut positions.throttle);
                }
                _ => self.unknown(
                    entry.0.span().start,
                    "positions",
                    key,
                    &["bypass_percent", "condenser_throttle_percent"],
                ),
            }
        }
    }

    fn items(
        &mut self,
        section: &str,
        items: &'static [Item],
        table: &DeTable<'_>,
        mut set: impl FnMut(&str, f64) -> bool,
    ) {
        for entry in table {
            let key: &str = entry.0.get_ref();
            match items.iter().find(|item| item.key == key) {
                Some(item) => {
                    let mut value = f64::NAN;
                    self.number(entry, section, item.hard, item.unit, &mut value);
                    if value.is_finite() {
                        set(key, value);
                    }
                }
                None => {
                    let known: Vec<&str> = items.iter().map(|i| i.key).collect();
                    self.unknown(entry.0.span().start, section, key, &known);
                }
            }
        }
    }

    fn trusts(&mut self, table: &DeTable<'_>, ship: &mut Ship) {
        for (name, value) in table {
            let key: &str = name.get_ref();
            let at = name.span().start;
            let Some(reading) = field::reading(key) else {
                let known: Vec<&str> = field::READINGS.iter().map(|r| r.key).collect();
                self.unknown(at, "trust", key, &known);
                continue;
            };
            let DeValue::Table(figures) = value.get_ref() else {
                self.refuse(at, join("trust", key), "wanted { standing = …, each = … }");
                continue;
            };
            let mut trust = Trust { reading: reading.key.into(), standing: 0.0, each: 0.0 };
            let section = join("trust", key);
            for entry in figures {
                let name: &str = entry.0.get_ref();
                match name {
                    "standing" => {
                        self.number(entry, &section, (0.0, 1e6), reading.unit, &mut trust.standing)
                    }
                    "each" => {
                        self.number(entry, &section, (0.0, 1e6), reading.unit, &mut trust.each)
                    }
                    _ => self.unknown(entry.0.span().start, &section, name, &["standing", "each"]),
                }
            }
            ship.trusts.push(trust);
        }
    }

    /// Limits that bound one another.
    fn pairs(&mut self, ship: &Ship) {
        let (limits, sheet) = (&ship.limits, &ship.sheet);
        for (low_key, low, high_label, high) in [
            (
                "limits.engine_jacket_min_c",
                limits.engine_jacket_min_c,
                "“Engine jacket outlet not over”",
                limits.engine_jacket_max_c,
            ),
            (
                "plant.vapour_temp_min_c",
                sheet.vapour_temp_min_c,
                "“Vapour not over”",
                limits.vapour_max_c,
            ),
            (
                "limits.output_act_percent",
                limits.output_act_percent,
                "“Look when output falls under”",
                limits.output_look_percent,
            ),
        ] {
            if low > high {
                let message = format!(
                    "{low} lies over {high_label}, {high}: every reading would be past one of the two. Mend the one that is wrong"
                );
                self.problems.push(Problem { line: None, key: low_key.into(), message });
            }
        }
    }

    fn tank(&mut self, entry: &Spanned<DeValue<'_>>, ship: &mut Ship) {
        const KNOWN: &[&str] =
            &["key", "name", "holds", "capacity_m3", "unpumpable_m3", "soundings_cm_m3"];
        let at = entry.span().start;
        let DeValue::Table(table) = entry.get_ref() else {
            self.refuse(
                at,
                "tank",
                "wanted [[tank]] with key, name, holds, capacity_m3, soundings_cm_m3",
            );
            return;
        };
        let before = self.problems.len();
        let mut tank = Tank {
            key: String::new(),
            name: String::new(),
            holds: Holds::Fresh,
            capacity_m3: f64::NAN,
            unpumpable_m3: 0.0,
            soundings: Vec::new(),
        };
        for entry in table {
            let key: &str = entry.0.get_ref();
            match key {
                "key" => self.word(entry, 1..=20, &mut tank.key),
                "name" => self.word(entry, 1..=40, &mut tank.name),
                "holds" => {
                    let mut word = String::new();
                    self.word(entry, 1..=20, &mut word);
                    match Holds::from_word(&word) {
                        Some(holds) => tank.holds = holds,
                        None => {
                            self.unknown(entry.1.span().start, "tank.holds", &word, Holds::WORDS)
                        }
                    }
                }
                "capacity_m3" => {
                    self.number(entry, "tank", (0.1, 100_000.0), "m³", &mut tank.capacity_m3)
                }
                "unpumpable_m3" => {
                    self.number(entry, "tank", (0.0, 100_000.0), "m³", &mut tank.unpumpable_m3)
                }
                "soundings_cm_m3" => {
                    self.rows(entry, "tank", (0.0, 5000.0), true, &mut tank.soundings)
                }
                _ => self.unknown(entry.0.span().start, "tank", key, KNOWN),
            }
        }
        if self.problems.len() > before {
            return;
        }
        if tank.key.is_empty()
            || !tank.key.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
        {
            self.refuse(
                at,
                "tank.key",
                format!("\"{}\": wanted small letters, figures and _ only, as port", tank.key),
            );
        } else if tank.capacity_m3.is_nan() {
            self.refuse(
                at,
                join("tank", &tank.key),
                "capacity_m3 is missing: how much she holds when full",
            );
        } else if tank.unpumpable_m3 >= tank.capacity_m3 {
            let message = format!(
                "unpumpable_m3 {} of {} m³: nothing of it could be used. What the pump cannot reach is usually 3 to 5 %",
                tank.unpumpable_m3, tank.capacity_m3
            );
            self.refuse(at, join("tank", &tank.key), message);
        } else {
            if tank.name.is_empty() {
                tank.name.clone_from(&tank.key);
            }
            if tank.soundings.is_empty() {
                let message = "soundings_cm_m3 is missing: rows of [cm, m³] from the tank's sounding table, two at least";
                self.refuse(at, join("tank", &tank.key), message);
            }
            ship.tanks.push(tank);
        }
    }

    fn word(
        &mut self,
        (name, value): Entry<'_, '_>,
        length: std::ops::RangeInclusive<usize>,
        into: &mut String,
    ) {
        let key: &str = name.get_ref();
        match value.get_ref() {
            DeValue::String(text)
                if length.contains(&text.chars().count())
                    && !text.chars().any(char::is_control) =>
            {
                text.as_ref().clone_into(into);
            }
            DeValue::String(text) => {
                let message = format!(
                    "{} signs, wanted {} to {} without line breaks",
                    text.chars().count(),
                    length.start(),
                    length.end()
                );
                self.refuse(name.span().start, key, message);
            }
            other => self.refuse(
                name.span().start,
                key,
                format!("read {}, wanted text in quotes", shape(other)),
            ),
        }
    }

    fn number(
        &mut self,
        (name, value): Entry<'_, '_>,
        section: &str,
        range: (f64, f64),
        unit: &str,
        into: &mut f64,
    ) {
        let key = join(section, name.get_ref());
        match figure(value.get_ref()) {
            Some(x) if x >= range.0 && x <= range.1 => *into = x,
            Some(x) => {
                let message = format!("read {x}, allowed {} to {} {unit}", range.0, range.1);
                let message = format!("{}: correct it", message.trim_end());
                self.refuse(name.span().start, key, &message);
            }
            None => {
                let message = format!(
                    "read {}, wanted a number, {} to {} {unit}",
                    shape(value.get_ref()),
                    range.0,
                    range.1
                );
                self.refuse(name.span().start, key, message.trim_end());
            }
        }
    }

    fn rows(
        &mut self,
        (name, value): Entry<'_, '_>,
        section: &str,
        range: (f64, f64),
        rising: bool,
        into: &mut Vec<[f64; 2]>,
    ) {
        let key = join(section, name.get_ref());
        let at = name.span().start;
        let Ok(plant::Value::Table(rows)) = plain(value.get_ref()) else {
            self.refuse(at, key, "wanted rows of two numbers: [[0, 0], [400, 160]]");
            return;
        };
        if rows.len() < 2 {
            self.refuse(at, key, format!("{} rows, wanted two at least", rows.len()));
            return;
        }
        let mut before = [f64::NEG_INFINITY; 2];
        for (i, row) in rows.iter().enumerate() {
            let [x, y] = *row;
            if !(x.is_finite() && y.is_finite()) || x < range.0 || x > range.1 || y < 0.0 {
                let message = format!(
                    "row {}: read [{x}, {y}], first {} to {}, second not under 0",
                    i + 1,
                    range.0,
                    range.1
                );
                self.refuse(at, key, message);
                return;
            }
            if x <= before[0] || (rising && y < before[1]) {
                let message = format!(
                    "row {}: [{x}, {y}] does not rise from [{}, {}]",
                    i + 1,
                    before[0],
                    before[1]
                );
                self.refuse(at, key, message);
                return;
            }
            before = *row;
        }
        *into = rows;
    }
}

/// A refusal of the sheet without the key it stands beside.
pub(crate) fn without_key(e: &FieldError) -> String {
    let text = e.to_string();
    let text = text.strip_prefix(e.key()).unwrap_or(&text);
    text.trim_start_matches([' ', ':', '=']).to_owned()
}

fn join(section: &str, key: &str) -> String {
    // An empty name is a name in TOML: it is told as it stands there.
    let key = if key.is_empty() { "\"\"" } else { key };
    if section.is_empty() { key.to_owned() } else { format!("{section}.{key}") }
}

fn shape(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(s) => format!("the text \"{s}\""),
        DeValue::Integer(i) => format!("the number {i}"),
        DeValue::Float(x) => format!("the number {x}"),
        DeValue::Boolean(b) => format!("{b}"),
        DeValue::Datetime(d) => format!("the date {d}"),
        DeValue::Array(_) => "a list".into(),
        DeValue::Table(_) => "a section".into(),
    }
}

fn figure(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(i) => i64::from_str_radix(i.as_str(), i.radix()).ok().map(|x| x as f64),
        DeValue::Float(x) => x.as_str().parse().ok().filter(|x: &f64| x.is_finite()),
        _ => None,
    }
}

/// The value in the shapes the plant sheet knows.
fn plain(value: &DeValue<'_>) -> Result<plant::Value, String> {
    use plant::Value;
    match value {
        DeValue::String(s) => Ok(Value::Word(s.to_string())),
        DeValue::Boolean(b) => Ok(Value::Flag(*b)),
        DeValue::Integer(_) | DeValue::Float(_) => {
            figure(value).map(Value::Number).ok_or_else(|| shape(value))
        }
        DeValue::Array(list) => {
            let numbers: Option<Vec<f64>> = list.iter().map(|x| figure(x.get_ref())).collect();
            if let Some(numbers) = numbers {
                return Ok(Value::List(numbers));
            }
            list.iter()
                .map(|row| match row.get_ref() {
                    DeValue::Array(pair) if pair.len() == 2 => {
                        let x = pair.first().and_then(|v| figure(v.get_ref()));
                        let y = pair.get(1).and_then(|v| figure(v.get_ref()));
                        x.zip(y).map(|(x, y)| [x, y])
                    }
                    _ => None,
                })
                .collect::<Option<Vec<_>>>()
                .map(Value::Table)
                .ok_or_else(|| "a list that is neither numbers nor rows of two".to_owned())
        }
        other => Err(shape(other)),
    }
}
