//! Readings by the minute, for guards to look at.

use std::collections::BTreeMap;

use jiff::{Timestamp, ToSpan};
use procedure::{Reading, Seen};

/// The first minute.
pub fn minute(k: i64) -> Timestamp {
    let first: Timestamp = "2026-11-16T04:00:00Z".parse().expect("a moment");
    first.checked_add(k.minutes()).expect("a moment")
}

/// What is known, written down by hand.
#[derive(Debug, Clone, Default)]
pub struct Board {
    readings: BTreeMap<String, Vec<Reading>>,
    figures: BTreeMap<String, f64>,
}

impl Board {
    /// A reading at a minute.
    pub fn read(mut self, name: &str, at: i64, value: f64) -> Self {
        let reading = Reading { at: minute(at), value: Some(value), text: value.to_string() };
        self.readings.entry(name.to_owned()).or_default().push(reading);
        self
    }

    /// A word at a minute.
    pub fn word(mut self, name: &str, at: i64, word: &str) -> Self {
        let reading = Reading { at: minute(at), value: None, text: word.to_owned() };
        self.readings.entry(name.to_owned()).or_default().push(reading);
        self
    }

    /// A figure that stands.
    pub fn stands(mut self, name: &str, value: f64) -> Self {
        self.figures.insert(name.to_owned(), value);
        self
    }
}

impl Seen for Board {
    fn since(&self, name: &str, from: Timestamp) -> Vec<Reading> {
        let all = self.readings.get(name).cloned().unwrap_or_default();
        all.into_iter().filter(|reading| reading.at >= from).collect()
    }

    fn figure(&self, name: &str) -> Option<f64> {
        self.figures.get(name).copied()
    }
}
