//! What one cause alone would make of the last readings, on the footing of the other pages' expectation.

use ::findings::{Cause, Finding, Instrument};

use crate::view::Band;

/// What the instruments would show of a sound plant, and with one cause alone.
pub(super) struct Alone(Option<Vec<(Instrument, f64, f64)>>);

impl Alone {
    /// With this cause, as large as a finding has it.
    pub(super) fn of(finding: &Finding, cause: Cause) -> Self {
        Self(finding.with_alone(cause))
    }

    /// What a reading would be; `expected` is what the pages expect of it. None where the cause or the reading is not weighed.
    pub(super) fn reads(&self, key: &str, expected: Option<Band>) -> Option<f64> {
        let known = instrument(key)?;
        let (_, healthy, with) = self.0.as_ref()?.iter().find(|(i, ..)| *i == known)?;
        // What is set, not foretold, moves from what is usual.
        let back = known == Instrument::BackPressure;
        let from = if back { *healthy } else { expected?.middle };
        Some(moved(key, from, *healthy, *with))
    }
}

pub(super) fn instrument(key: &str) -> Option<Instrument> {
    Instrument::ALL.iter().find(|i| i.key() == key).copied()
}

/// The expectation moved as a cause moves the reading: by the same share where an instrument errs in shares, else by as much.
pub(super) fn moved(key: &str, expected: f64, healthy: f64, with: f64) -> f64 {
    match key {
        "product_t_day" | "product_salt_mg_kg" if healthy > 0.0 => expected * with / healthy,
        // From bar of gauge to per cent of a standard atmosphere.
        "shell_gauge_bar_g" => expected - (with - healthy) / 1.013_25 * 100.0,
        _ => expected + with - healthy,
    }
}
