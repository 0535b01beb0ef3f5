//! One set of readings: what stood on the instruments at a moment, and what the valves were set to.

use jiff::Timestamp;

use crate::instrument::Instrument;
use crate::observe::SetFlows;

/// How many instruments there are.
pub(crate) const INSTRUMENTS: usize = Instrument::ALL.len();

/// What was read at one moment; anything may be missing.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingSet {
    /// When.
    pub time: Timestamp,
    /// The figures as read, each in the unit of its instrument's name.
    figures: [Option<f64>; INSTRUMENTS],
    /// Barometer, hPa.
    pub barometer_hpa: Option<f64>,
    /// Jacket expansion tank, cm.
    pub expansion_tank_cm: Option<f64>,
    /// Feed pressure, bar gauge: kept, for a choked orifice does not show on it and no mark goes with it.
    pub feed_pressure_bar_g: Option<f64>,
    /// Flows as set; the sheet's rated ones when none.
    pub set: Option<SetFlows>,
}

impl ReadingSet {
    /// Nothing read yet.
    #[must_use]
    pub fn at(time: Timestamp) -> Self {
        ReadingSet {
            time,
            figures: [None; INSTRUMENTS],
            barometer_hpa: None,
            expansion_tank_cm: None,
            feed_pressure_bar_g: None,
            set: None,
        }
    }

    /// A figure as read, in the unit of its name.
    #[must_use]
    pub fn get(&self, instrument: Instrument) -> Option<f64> {
        self.figures[instrument as usize]
    }

    /// Puts a figure in its place; `None` takes it out.
    pub fn put(&mut self, instrument: Instrument, figure: Option<f64>) {
        self.figures[instrument as usize] = figure;
    }

    /// The instruments that were read, in the order of the table.
    pub fn read(&self) -> impl Iterator<Item = (Instrument, f64)> + '_ {
        Instrument::ALL.iter().filter_map(|i| self.get(*i).map(|x| (*i, x)))
    }

    /// How many figures there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.figures.iter().flatten().count()
    }
}
