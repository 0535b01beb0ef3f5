//! What speed is asked for: bench/targets.toml.

use std::fs;
use std::path::Path;

use serde::Deserialize;

use crate::failure::{Failure, Outcome};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Targets {
    target: Vec<Target>,
}

/// One line of the report.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Target {
    /// In the reader's words.
    pub what: String,
    /// Full id of the bench.
    pub bench: String,
    /// How many items one run of the bench handles.
    #[serde(default = "one")]
    pub items: f64,
    /// Longest time for an item.
    at_most_us: Option<f64>,
    /// Longest time for the whole run of the bench, where `items` is left out.
    at_most_ms: Option<f64>,
    /// Fewest items in a second.
    at_least_per_s: Option<f64>,
    /// No slower than what stands beside it.
    #[serde(default)]
    as_fast: bool,
    /// A bench or a peer script to stand beside it, measured in the same run.
    pub beside: Option<String>,
}

fn one() -> f64 {
    1.0
}

impl Target {
    /// The target in words.
    pub fn asked(&self) -> String {
        if let Some(limit) = self.at_most_us {
            return format!("≤ {limit} µs");
        }
        if let Some(limit) = self.at_most_ms {
            return format!("≤ {limit} ms");
        }
        if let Some(limit) = self.at_least_per_s {
            return format!("≥ {limit} /s");
        }
        if self.as_fast { "as fast".to_owned() } else { String::new() }
    }

    /// Whether `time_s` for an item keeps the target, with `beside_s` the time of what stands beside it. One without
    /// a target is kept by any; one that is to be as fast as what was not measured is missed.
    pub fn is_met(&self, time_s: f64, beside_s: Option<f64>) -> bool {
        let longest = [
            self.at_most_us.map(|limit| limit * 1e-6),
            self.at_most_ms.map(|limit| limit * 1e-3),
            self.at_least_per_s.map(f64::recip),
            self.as_fast.then(|| beside_s.unwrap_or(0.0)),
        ];
        longest.into_iter().flatten().all(|limit_s| time_s <= limit_s)
    }

    /// A time for an item in the unit of the target, three digits.
    pub fn written(&self, time_s: f64) -> String {
        let (value, unit) = match self {
            Target { at_least_per_s: Some(_), .. } => (time_s.recip(), "/s"),
            Target { at_most_ms: Some(_), .. } => (time_s * 1e3, "ms"),
            _ => (time_s * 1e6, "µs"),
        };
        let decimals = match value {
            v if v >= 100.0 => 0,
            v if v >= 10.0 => 1,
            v if v >= 1.0 => 2,
            _ => 3,
        };
        format!("{value:.decimals$} {unit}")
    }
}

pub fn read(path: &Path) -> Outcome<Vec<Target>> {
    let text = fs::read_to_string(path).map_err(Failure::of(path.display()))?;
    parse(&text).map_err(Failure::of(path.display()))
}

pub fn parse(text: &str) -> Result<Vec<Target>, toml::de::Error> {
    toml::from_str::<Targets>(text).map(|targets| targets.target)
}
