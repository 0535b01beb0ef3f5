//! One JSON object a line in, one result a line out: the plant model for other programs.

use plant::keys::Part;
use plant::{FieldError, Plant, Point, Sheet, Value};
use serde_json::{Map, Value as Json, json};

/// Most a line may measure, bytes; a full sheet and point take under four thousand.
pub const LONGEST_LINE: usize = 64 * 1024;

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

    /// The answer to one line, as JSON without a line break. `number` counts the input's lines from 1.
    ///
    /// An empty line gives `None`. Whatever is wrong with the line becomes an answer that says so.
    pub fn answer(&mut self, line: &str, number: usize) -> Option<String> {
        if line.trim().is_empty() {
            return None;
        }
        Some(match self.solve(line) {
            Ok(solution) => match serde_json::to_string(&solution) {
                Ok(text) => text,
                Err(e) => refused("internal", &e.to_string(), number, Map::new()),
            },
            Err(Wrong { kind, message, numbers }) => refused(&kind, &message, number, numbers),
        })
    }

    fn solve(&mut self, line: &str) -> Result<plant::Solution, Wrong> {
        if line.len() > LONGEST_LINE {
            let message =
                format!("{} bytes, a line may have {LONGEST_LINE}: one object a line", line.len());
            return Err(Wrong::new("too_long", message));
        }
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

fn refused(kind: &str, message: &str, line: usize, numbers: Map<String, Json>) -> String {
    let mut error = Map::new();
    error.insert("kind".into(), json!(kind));
    error.insert("message".into(), json!(message));
    error.insert("line".into(), json!(line));
    for (key, value) in numbers {
        error.insert(key, value);
    }
    json!({ "error": error }).to_string()
}
