//! Values of a JSON document taken out with the path to each, so that a refusal can name it.

use serde_json::{Map, Value};

use super::error::ProblemError;

/// Least and most of a number, and what to do when it is outside.
#[derive(Debug, Clone, Copy)]
pub(super) struct Range(pub f64, pub f64, pub &'static str);

/// A value and where it stands.
#[derive(Debug, Clone)]
pub(super) struct Field<'a> {
    pub path: String,
    pub value: &'a Value,
}

fn kind(value: &Value) -> String {
    match value {
        Value::Null => "null".into(),
        Value::Bool(b) => b.to_string(),
        Value::Number(n) => n.to_string(),
        Value::String(s) => format!("\"{}\"", s.chars().take(40).collect::<String>()),
        Value::Array(a) => format!("a list of {}", a.len()),
        Value::Object(_) => "an object".into(),
    }
}

impl<'a> Field<'a> {
    pub fn root(value: &'a Value) -> Self {
        Self { path: String::new(), value }
    }

    fn wrong(&self, wanted: &'static str) -> ProblemError {
        let path = if self.path.is_empty() { "the file".into() } else { self.path.clone() };
        ProblemError::WrongKind { path, got: kind(self.value), wanted }
    }

    /// The path of a key beneath this.
    pub fn below(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    fn object(&self) -> Result<&'a Map<String, Value>, ProblemError> {
        self.value.as_object().ok_or_else(|| self.wrong("an object with keys"))
    }

    /// The value of a key, if it is there.
    pub fn get(&self, key: &str) -> Result<Option<Field<'a>>, ProblemError> {
        let value = self.object()?.get(key);
        Ok(value.map(|value| Field { path: self.below(key), value }))
    }

    /// The value of a key that must be there.
    pub fn need(&self, key: &str, remedy: &'static str) -> Result<Field<'a>, ProblemError> {
        self.get(key)?.ok_or_else(|| ProblemError::Missing { path: self.below(key), remedy })
    }

    pub fn number(&self, range: Range) -> Result<f64, ProblemError> {
        let value = self.value.as_f64().ok_or_else(|| self.wrong("a number"))?;
        if (range.0..=range.1).contains(&value) {
            return Ok(value);
        }
        let path = self.path.clone();
        Err(ProblemError::OutOfRange { path, value, range: (range.0, range.1), remedy: range.2 })
    }

    /// A whole number.
    pub fn count(&self, range: Range) -> Result<usize, ProblemError> {
        let number = self.number(range)?;
        if number.fract() == 0.0 { Ok(number as usize) } else { Err(self.wrong("a whole number")) }
    }

    /// A number under a key, or what it is when left out.
    pub fn number_or(&self, key: &str, range: Range, otherwise: f64) -> Result<f64, ProblemError> {
        self.get(key)?.map_or(Ok(otherwise), |field| field.number(range))
    }

    pub fn text(&self) -> Result<String, ProblemError> {
        self.value.as_str().map(str::to_owned).ok_or_else(|| self.wrong("a text"))
    }

    pub fn flag(&self) -> Result<bool, ProblemError> {
        match self.value {
            Value::Bool(flag) => Ok(*flag),
            Value::Number(n) if n.as_f64() == Some(0.0) => Ok(false),
            Value::Number(n) if n.as_f64() == Some(1.0) => Ok(true),
            _ => Err(self.wrong("0 or 1")),
        }
    }

    /// The values of a list.
    pub fn list(&self) -> Result<Vec<Field<'a>>, ProblemError> {
        let list = self.value.as_array().ok_or_else(|| self.wrong("a list"))?;
        let place = |i| format!("{}[{i}]", self.path);
        Ok(list.iter().enumerate().map(|(i, value)| Field { path: place(i), value }).collect())
    }

    /// A list of one value for each sample; paths are only spelt out for what is refused.
    fn each<T>(
        &self,
        n: usize,
        take: impl Fn(&Field<'a>) -> Result<T, ProblemError>,
    ) -> Result<Vec<T>, ProblemError> {
        let list = self.value.as_array().ok_or_else(|| self.wrong("a list, a value a sample"))?;
        if list.len() != n {
            return Err(ProblemError::Length {
                path: self.path.clone(),
                got: list.len(),
                wanted: n,
            });
        }
        let take = |(i, value)| {
            take(&Field { path: String::new(), value })
                .or_else(|_| take(&Field { path: format!("{}[{i}]", self.path), value }))
        };
        list.iter().enumerate().map(take).collect()
    }

    pub fn numbers(&self, n: usize, range: Range) -> Result<Vec<f64>, ProblemError> {
        self.each(n, |field| field.number(range))
    }

    pub fn flags(&self, n: usize) -> Result<Vec<bool>, ProblemError> {
        self.each(n, Field::flag)
    }

    pub fn texts(&self, n: usize) -> Result<Vec<String>, ProblemError> {
        self.each(n, Field::text)
    }

    /// One number for all samples, or a list of them.
    pub fn spread(&self, n: usize, range: Range) -> Result<Vec<f64>, ProblemError> {
        if self.value.is_array() {
            return self.numbers(n, range);
        }
        Ok(vec![self.number(range)?; n])
    }
}
