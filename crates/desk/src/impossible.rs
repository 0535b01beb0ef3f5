//! Readings of a round that cannot be as they stand: which are doubted and why. Nothing is advised by them.

use crate::findings::set_of;
use crate::round::Round;
use crate::setup::Setup;
use crate::view::{Compared, State};

/// What cannot be in a round, as the findings have it.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Impossible {
    keys: Vec<&'static str>,
    /// In sentences.
    pub(crate) says: Vec<String>,
}

impl Impossible {
    pub(crate) fn of(setup: &Setup, round: &Round) -> Self {
        let mut out = Self::default();
        for (instruments, says) in
            ::findings::impossible(setup.plant.sheet(), &set_of(setup, round))
        {
            out.keys.extend(instruments.into_iter().map(::findings::Instrument::key));
            out.says.push(says);
        }
        out
    }

    /// Whether a reading is among them.
    pub(crate) fn holds(&self, key: &str) -> bool {
        self.keys.contains(&key)
    }

    /// Whether what should be cannot be worked out: jacket or sea water in is among them.
    pub(crate) fn spoils_expectation(&self) -> bool {
        self.holds("jacket_in_c") || self.holds("sea_temp_c")
    }

    /// Whether the heat taken from the engine cannot be worked out.
    pub(crate) fn spoils_heat(&self) -> bool {
        self.holds("jacket_in_c") || self.holds("jacket_out_c")
    }

    /// Doubts a row that cannot be, whatever limit it passes.
    pub(crate) fn doubt(&self, row: &mut Compared) {
        if self.holds(&row.key) {
            row.state = State::InDoubt;
            row.meaning = Some("cannot be as it was read: read it again".to_owned());
        }
    }

    /// The rows that something may be advised by.
    pub(crate) fn sound(&self, rows: &[Compared]) -> Vec<Compared> {
        rows.iter().filter(|row| !self.holds(&row.key)).cloned().collect()
    }
}
