//! One JSON object a line in, one result a line out: the plant model for other programs.

use plant::keys::Part;
use plant::{FieldError, Plant, Point, Sheet, Value};
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
    ready: Option<(Option<Map<String, Json>>, Plant)>,
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
            Ok(solution) => match serde_json::to_writer(&mut *out, &solution) {
                Ok(()) => {
                    out.push(b'\n');
                    return Outcome::Answered;
                }
                Err(e) => Wrong::new("internal", e.to_string()),
            },
            Err(wrong) => wrong,
        };
        out.truncate(start);
        refused(&wrong.kind, &wrong.message, number, wrong.numbers, out);
        Outcome::Refused
    }

    fn solve(&mut self, line: &str) -> Result<plant::Solution, Wrong> {
        let mut object: Map<String, Json> = serde_json::from_str(line).map_err(|e| {
            let message = format!(
                "column {}: {e}; wanted one object like {{\"at\": {{\"sea_temp_c\": 29}}}}",
                e.column()
            );
            Wrong::new("not_json", message)
        })?;
        let sheet = section(object.remove("plant"), "plant")?;
        let at = section(object.remove("at"), "at")?;
        if let Some((key, _)) = object.iter().next() {
            return Err(Wrong::new(
                "unknown_key",
                format!("{key}: no such part of a line; known are plant and at"),
            ));
        }
        self.plant(sheet)?;
        let Some((_, plant)) = &self.ready else {
            return Err(Wrong::new("internal", "no plant".into()));
        };
        let mut point = Point::rated(plant.sheet());
        for (key, value) in at.unwrap_or_default() {
            point.set(&key, &shape(&key, Part::Point, value)?)?;
        }
        plant.rate(&point).map_err(|e| {
            let numbers = e.numbers().into_iter().map(|(k, x)| (k.to_owned(), json!(x))).collect();
            Wrong { kind: e.kind().into(), message: e.to_string(), numbers }
        })
    }

    /// Makes the plant of these overrides the one at hand.
    fn plant(&mut self, overrides: Option<Map<String, Json>>) -> Result<(), Wrong> {
        if self.ready.as_ref().is_some_and(|(known, _)| *known == overrides) {
            return Ok(());
        }
        let mut sheet = self.base.clone();
        for (key, value) in overrides.iter().flatten() {
            sheet.set(key, &shape(key, Part::Sheet, value.clone())?)?;
        }
        let plant = Plant::calibrate(&sheet).map_err(|e| Wrong::new(e.kind(), e.to_string()))?;
        self.ready = Some((overrides, plant));
        Ok(())
    }
}

struct Wrong {
    kind: String,
    message: String,
    numbers: Map<String, Json>,
}

impl Wrong {
    fn new(kind: &str, message: String) -> Self {
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

fn section(value: Option<Json>, name: &str) -> Result<Option<Map<String, Json>>, Wrong> {
    match value {
        None | Some(Json::Null) => Ok(None),
        Some(Json::Object(map)) => Ok(Some(map)),
        Some(other) => Err(Wrong::new(
            "refused",
            format!("{name}: read {other}, wanted an object of keys and values"),
        )),
    }
}

/// A JSON value in the shapes the plant's keys know.
fn shape(key: &str, part: Part, value: Json) -> Result<Value, Wrong> {
    let kind = plant::keys::find(part, key);
    if let Json::String(text) = &value
        && kind.is_some_and(|k| {
            matches!(k.kind, plant::keys::Kind::Number | plant::keys::Kind::Optional)
        })
    {
        let message = format!(
            "{key}: read the text \"{text}\", wanted a number without quotes, with a decimal point"
        );
        return Err(Wrong::new("refused", message));
    }
    serde_json::from_value(value).map_err(|_| {
        Wrong::new(
            "refused",
            format!("{key}: neither a number, a word, yes or no, nor rows of numbers"),
        )
    })
}

fn text(line: &[u8]) -> Result<&str, Wrong> {
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
