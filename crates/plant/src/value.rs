//! A value as a file or a form gives it, before the sheet or the point knows it is right.

use serde::{Deserialize, Serialize};

use crate::error::FieldError;
use crate::keys::{Key, Kind};

/// What a key may be given: the shapes TOML, JSON and forms can carry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Value {
    /// Nothing: an optional figure left out.
    Absent,
    /// Yes or no.
    Flag(bool),
    /// A number in the key's unit.
    Number(f64),
    /// One of a few words.
    Word(String),
    /// A row of numbers.
    List(Vec<f64>),
    /// Rows of two numbers.
    Table(Vec<[f64; 2]>),
}

impl Value {
    /// The shape, in words for a message.
    #[must_use]
    pub fn shape(&self) -> &'static str {
        match self {
            Value::Absent => "nothing",
            Value::Flag(_) => "yes or no",
            Value::Number(_) => "a number",
            Value::Word(_) => "a word",
            Value::List(_) => "a list of numbers",
            Value::Table(_) => "a table",
        }
    }
}

impl From<f64> for Value {
    fn from(x: f64) -> Self {
        Value::Number(x)
    }
}

impl From<Option<f64>> for Value {
    fn from(x: Option<f64>) -> Self {
        x.map_or(Value::Absent, Value::Number)
    }
}

impl From<bool> for Value {
    fn from(x: bool) -> Self {
        Value::Flag(x)
    }
}

impl From<&str> for Value {
    fn from(x: &str) -> Self {
        Value::Word(x.to_owned())
    }
}

/// Refuses a number outside the key's hard range, or one that is no number.
///
/// # Errors
/// [`FieldError::NotFinite`] or [`FieldError::OutOfRange`].
pub(crate) fn within(key: &'static Key, value: f64) -> Result<f64, FieldError> {
    if !value.is_finite() {
        return Err(FieldError::NotFinite { key });
    }
    let (min, max) = key.hard;
    if value < min || value > max {
        return Err(FieldError::OutOfRange { key, value });
    }
    Ok(value)
}

/// Takes a number that must be there.
pub(crate) fn number(key: &'static Key, value: &Value) -> Result<f64, FieldError> {
    match value {
        Value::Number(x) => within(key, *x),
        other => Err(wrong(key, other)),
    }
}

/// Takes a number that may be left out.
pub(crate) fn optional(key: &'static Key, value: &Value) -> Result<Option<f64>, FieldError> {
    match value {
        Value::Absent => Ok(None),
        other => number(key, other).map(Some),
    }
}

/// Takes one of the key's words.
pub(crate) fn word<'v>(key: &'static Key, value: &'v Value) -> Result<&'v str, FieldError> {
    match (value, key.kind) {
        (Value::Word(w), Kind::Word(allowed)) if allowed.contains(&w.as_str()) => Ok(w),
        (Value::Word(w), Kind::Word(_)) => Err(FieldError::UnknownWord { key, got: w.clone() }),
        (other, _) => Err(wrong(key, other)),
    }
}

/// The refusal of a value of the wrong shape.
pub(crate) fn wrong(key: &'static Key, value: &Value) -> FieldError {
    FieldError::WrongShape { key, got: value.shape() }
}

/// Checks three shares of one resistance: films above zero, all together one.
pub(crate) fn shares(key: &'static Key, value: [f64; 3]) -> Result<[f64; 3], FieldError> {
    for share in value {
        within(key, share)?;
    }
    let sum: f64 = value.iter().sum();
    let [film, _, far_film] = value;
    if (sum - 1.0).abs() > 1.0e-6 || film < 0.01 || far_film < 0.01 {
        return Err(FieldError::Shares { key, got: value, sum });
    }
    Ok(value)
}

/// Checks the engine's heat table: two to a hundred rows, load rising, everything within range.
pub(crate) fn table(key: &'static Key, rows: &[[f64; 2]]) -> Result<(), FieldError> {
    if rows.len() < 2 || rows.len() > 100 {
        return Err(FieldError::TableRows { key, rows: rows.len() });
    }
    let mut before = f64::NEG_INFINITY;
    for (row, [load, heat]) in rows.iter().enumerate() {
        within(key, *heat)?;
        if !load.is_finite() || !(0.0..=200.0).contains(load) || *load < before + 1.0e-3 {
            return Err(FieldError::TableLoad { key, row: row + 1, load: *load });
        }
        before = *load;
    }
    Ok(())
}
