//! The two tables a ship may edit, together: causes and instruments.

use crate::instrument::{self, Instrument};
use crate::prior;

/// What is assumed before anything is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Tables {
    /// The causes.
    pub causes: Vec<prior::Line>,
    /// The instruments.
    pub instruments: Vec<instrument::Line>,
}

impl Tables {
    /// The usual ones for a plant of this rated output, t/day.
    #[must_use]
    pub fn usual(rated_product_t_day: f64) -> Self {
        Tables { causes: prior::usual(rated_product_t_day), instruments: instrument::usual() }
    }

    /// The line of an instrument.
    #[must_use]
    pub fn instrument(&self, instrument: Instrument) -> Option<&instrument::Line> {
        self.instruments.iter().find(|line| line.instrument == instrument)
    }
}
