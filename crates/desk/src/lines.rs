//! One JSON object a line in, one result a line out: the plant model for other programs.

use std::borrow::Cow;
use std::fmt;

use plant::keys::{self, Kind, Part};
use plant::{FieldError, Plant, Point, Sheet, Solution, Value};
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;
use serde_json::{Map, Value as Json, json};

/// Most a line may measure, bytes; a full sheet and point take under four thousand.
pub const LONGEST_LINE: usize = 64 * 1024;

/// What became of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// There was nothing on it.
    Passed,
    /// It has its result.
    Answered,
    /// Its answer says what is wrong, or why no plant runs like this.
    Refused,
}

/// Answers lines, keeping the last calibrated sheet at hand.
#[derive(Debug)]
pub struct Answerer {
    base: Sheet,
    /// The last overrides as they were written, and their plant.
    ready: Option<(Option<Box<str>>, Plant)>,
}

impl Answerer {
    /// Answers with this sheet where a line says nothing else.
    #[must_use]
    pub fn new(base: Sheet) -> Self {
        Self { base, ready: None }
    }

    /// Appends the answer to one line to `out`, as JSON with its line break. `number` counts the input's lines from 1.
    ///
    /// An empty line is passed over. Whatever is wrong with the line becomes an answer that says so.
    pub fn answer(&mut self, line: &[u8], number: usize, out: &mut Vec<u8>) -> Outcome {
        if line.trim_ascii().is_empty() {
            return Outcome::Passed;
        }
        let start = out.len();
        let wrong = match text(line).and_then(|line| self.solve(line)) {
            Ok(solution) => match write(&solution, out) {
                Ok(()) => return Outcome::Answered,
                Err(e) => Wrong::new("internal", e.to_string()),
            },
            Err(wrong) => wrong,
        };
        out.truncate(start);
        refused(&wrong.kind, &wrong.message, number, wrong.numbers, out);
        Outcome::Refused
    }

    fn solve(&mut self, line: &str) -> Result<Solution, Wrong> {
        let (mut overrides, mut at) = (None, None);
        for (part, value) in Members::of_line(line, r#"{"at": {"sea_temp_c": 29}}"#)?.0 {
            let place = match &*part {
                "plant" => &mut overrides,
                "at" => &mut at,
                _ => {
                    let message = format!("{part}: no such part of a line; known are plant and at");
                    return Err(Wrong::new("unknown_key", message));
                }
            };
            if place.replace(value).is_some() {
                return Err(twice(&part));
            }
        }
        let plant = self.plant(overrides.filter(|v| v.get() != "null"))?;
        let mut point = Point::rated(plant.sheet());
        each(at, "at", Part::Point, |key, value| point.set(key, &value))?;
        plant.rate(&point).map_err(|e| {
            let numbers = e.numbers().into_iter().map(|(k, x)| (k.to_owned(), json!(x))).collect();
            Wrong { kind: e.kind().into(), message: e.to_string(), numbers }
        })
    }

    /// The plant of these overrides, the one at hand when they are written as they were last.
    fn plant(&mut self, overrides: Option<&RawValue>) -> Result<&Plant, Wrong> {
        let written = overrides.map(RawValue::get);
        let plant = match self.ready.take() {
            Some((known, plant)) if known.as_deref() == written => plant,
            _ => {
                let mut sheet = self.base.clone();
                each(overrides, "plant", Part::Sheet, |key, value| sheet.set(key, &value))?;
                Plant::calibrate(&sheet).map_err(|e| Wrong::new(e.kind(), e.to_string()))?
            }
        };
        Ok(&self.ready.insert((written.map(Box::from), plant)).1)
    }
}

/// Hands every key of a part of the line to `take`; a part that is left out or null has none.
fn each(
    part: Option<&RawValue>,
    name: &str,
    keys: Part,
    mut take: impl FnMut(&str, Value) -> Result<(), FieldError>,
) -> Result<(), Wrong> {
    let Some(part) = part.map(RawValue::get).filter(|text| *text != "null") else {
        return Ok(());
    };
    let members: Members<'_> = serde_json::from_str(part).map_err(|_| {
        let read = shortened(part);
        let message = format!("{name}: read {read}, wanted an object of keys and values");
        Wrong::new("refused", message)
    })?;
    let members = members.0;
    for (i, (key, value)) in members.iter().enumerate() {
        // Unknown keys end the line, so that no more keys are looked back over than there are.
        if members[..i].iter().any(|(before, _)| before == key) {
            return Err(twice(key));
        }
        take(key, shape(key, keys, value.get())?)?;
    }
    Ok(())
}

fn twice(key: &str) -> Wrong {
    Wrong::new("refused", format!("{key}: given twice; keep one of them"))
}

/// Appends a solution as it serialises, its figures without asking of each key whether it must be escaped.
fn write(solution: &Solution, out: &mut Vec<u8>) -> serde_json::Result<()> {
    let mut before = b'{';
    let mut key = |out: &mut Vec<u8>, key: &str| {
        out.push(before);
        before = b',';
        out.push(b'"');
        out.extend_from_slice(key.as_bytes());
        out.extend_from_slice(b"\":");
    };
    for (name, value) in solution.figures() {
        key(out, name);
        serde_json::to_writer(&mut *out, &value)?;
    }
    key(out, "flags");
    serde_json::to_writer(&mut *out, &solution.flags)?;
    key(out, "residuals");
    serde_json::to_writer(&mut *out, &solution.residuals)?;
    key(out, "trims");
    serde_json::to_writer(&mut *out, &solution.trims)?;
    key(out, "heat_limited");
    serde_json::to_writer(&mut *out, &solution.heat_limited)?;
    out.extend_from_slice(b"}\n");
    Ok(())
}

/// The members of a JSON object in their order, each value as it was written.
pub(crate) struct Members<'a>(pub(crate) Vec<(Cow<'a, str>, &'a RawValue)>);

impl<'a> Members<'a> {
    /// The members of a line; `like` is an example of one.
    pub(crate) fn of_line(line: &'a str, like: &str) -> Result<Self, Wrong> {
        serde_json::from_str(line).map_err(|e| {
            let message = format!("column {}: {e}; wanted one object like {like}", e.column());
            Wrong::new("not_json", message)
        })
    }
}

impl<'de> Deserialize<'de> for Members<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Object;
        impl<'de> Visitor<'de> for Object {
            type Value = Members<'de>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut members = Vec::with_capacity(8);
                while let Some((Name(key), value)) = map.next_entry()? {
                    members.push((key, value));
                }
                Ok(Members(members))
            }
        }
        deserializer.deserialize_map(Object)
    }
}

/// A key, borrowed from the line unless escapes stand in it.
struct Name<'a>(Cow<'a, str>);

impl<'de> Deserialize<'de> for Name<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Text;
        impl<'de> Visitor<'de> for Text {
            type Value = Name<'de>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a key")
            }

            fn visit_borrowed_str<E>(self, text: &'de str) -> Result<Self::Value, E> {
                Ok(Name(Cow::Borrowed(text)))
            }

            fn visit_str<E>(self, text: &str) -> Result<Self::Value, E> {
                Ok(Name(Cow::Owned(text.to_owned())))
            }
        }
        deserializer.deserialize_str(Text)
    }
}

/// Why a line has no result.
pub(crate) struct Wrong {
    pub(crate) kind: String,
    pub(crate) message: String,
    numbers: Map<String, Json>,
}

impl Wrong {
    pub(crate) fn new(kind: &str, message: String) -> Self {
        Self { kind: kind.into(), message, numbers: Map::new() }
    }
}

impl From<FieldError> for Wrong {
    fn from(e: FieldError) -> Self {
        let kind =
            if matches!(e, FieldError::UnknownKey { .. }) { "unknown_key" } else { "refused" };
        let mut numbers = Map::new();
        numbers.insert("field".into(), json!(e.key()));
        if let FieldError::OutOfRange { key, value } = &e {
            numbers.insert("value".into(), json!(value));
            numbers.insert("min".into(), json!(key.hard.0));
            numbers.insert("max".into(), json!(key.hard.1));
        }
        Self { kind: kind.into(), message: e.to_string(), numbers }
    }
}

/// A JSON value in the shapes the plant's keys know; `text` is sound JSON.
fn shape(key: &str, part: Part, text: &str) -> Result<Value, Wrong> {
    let Some(known) = keys::find(part, key) else {
        return Ok(Value::Absent);
    };
    let wanted_number = matches!(known.kind, Kind::Number | Kind::Optional);
    match text.as_bytes().first() {
        Some(b'"') if wanted_number => Err(quoted(key, text)),
        Some(b'"') => parsed(key, text).map(Value::Word),
        Some(b't') => Ok(Value::Flag(true)),
        Some(b'f') => Ok(Value::Flag(false)),
        Some(b'n') => Ok(Value::Absent),
        Some(b'[') if known.kind == Kind::Table => parsed(key, text).map(Value::Table),
        Some(b'[') => parsed(key, text).map(Value::List),
        Some(b'{') => {
            let message =
                format!("{key}: neither a number, a word, yes or no, nor rows of numbers");
            Err(Wrong::new("refused", message))
        }
        _ => number(key, text).map(Value::Number),
    }
}

fn parsed<'t, T: Deserialize<'t>>(key: &str, text: &'t str) -> Result<T, Wrong> {
    serde_json::from_str(text)
        .map_err(|e| Wrong::new("refused", format!("{key}: read {}: {e}", shortened(text))))
}

fn quoted(key: &str, text: &str) -> Wrong {
    let read = shortened(text);
    let message = format!(
        "{key}: read the text {read}, wanted a number without quotes, with a decimal point"
    );
    Wrong::new("refused", message)
}

/// The number a JSON value is, to the nearest double.
pub(crate) fn number(key: &str, text: &str) -> Result<f64, Wrong> {
    if text.starts_with('"') {
        return Err(quoted(key, text));
    }
    let read = shortened(text);
    let number: f64 = text.parse().map_err(|_| {
        Wrong::new("refused", format!("{key}: read {read}, wanted a number with a decimal point"))
    })?;
    if number.is_finite() {
        return Ok(number);
    }
    let message = format!("{key}: read {read}, larger than any figure that can be worked with");
    Err(Wrong::new("refused", message))
}

/// So much of what was read as a message can hold.
fn shortened(text: &str) -> Cow<'_, str> {
    const SHOWN: usize = 60;
    match text.char_indices().nth(SHOWN) {
        Some((end, _)) => Cow::Owned(format!("{}…", &text[..end])),
        None => Cow::Borrowed(text),
    }
}

/// A line as text, if it is one and not too long.
pub(crate) fn text(line: &[u8]) -> Result<&str, Wrong> {
    if line.len() > LONGEST_LINE {
        return Err(Wrong::new("too_long", too_long(line.len())));
    }
    std::str::from_utf8(line).map_err(|e| {
        let message = format!(
            "byte {} is not UTF-8 text: is it a binary file, or saved in another encoding?",
            e.valid_up_to() + 1
        );
        Wrong::new("not_text", message)
    })
}

fn too_long(bytes: usize) -> String {
    format!("{bytes} bytes, a line may have {LONGEST_LINE}: one object a line")
}

/// Appends the answer to a line that was too long to keep: only its length in bytes is known.
pub fn refuse_long(bytes: usize, number: usize, out: &mut Vec<u8>) -> Outcome {
    refused("too_long", &too_long(bytes), number, Map::new(), out);
    Outcome::Refused
}

/// Appends an error object with its line break: kind, message, line and the numbers behind it.
pub(crate) fn refused(
    kind: &str,
    message: &str,
    line: usize,
    numbers: Map<String, Json>,
    out: &mut Vec<u8>,
) {
    let mut error = Map::new();
    error.insert("kind".into(), json!(kind));
    error.insert("message".into(), json!(message));
    error.insert("line".into(), json!(line));
    for (key, value) in numbers {
        error.insert(key, value);
    }
    out.extend_from_slice(json!({ "error": error }).to_string().as_bytes());
    out.push(b'\n');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_solution_is_written_as_it_serialises() {
        let Ok(plant) = Plant::calibrate(&Sheet::default()) else { unreachable!("it is rated") };
        let cold = Point { sea_temp_c: 8.0, trimmed: true, ..Point::default() };
        for point in [Point::default(), cold] {
            let Ok(solution) = plant.rate(&point) else { unreachable!("it runs") };
            let mut out = Vec::new();
            let written =
                write(&solution, &mut out).and_then(|()| serde_json::to_string(&solution));
            assert_eq!(written.ok().map(|text| text + "\n"), String::from_utf8(out).ok());
        }
    }
}
