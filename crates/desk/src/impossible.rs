//! Readings of a round that cannot be as they stand: which are doubted and why. Nothing is advised by them.

use jiff::Timestamp;

use crate::conditions::Figures;
use crate::field;
use crate::findings::set_of;
use crate::round::{Cell, Round};
use crate::setup::Setup;
use crate::view::{Compared, State};

/// What cannot be in a round, as the findings have it.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Impossible {
    /// Readings that cannot stand together, or one that cannot be.
    groups: Vec<Vec<&'static str>>,
    /// In sentences.
    pub(crate) says: Vec<String>,
}

impl Impossible {
    pub(crate) fn of(setup: &Setup, round: &Round) -> Self {
        let mut out = Self::default();
        for (instruments, says) in
            ::findings::impossible(setup.plant.sheet(), &set_of(setup, round))
        {
            out.groups.push(instruments.into_iter().map(::findings::Instrument::key).collect());
            out.says.push(says);
        }
        out
    }

    /// The same of figures that are not written down yet, each in the reading's own unit.
    pub(crate) fn of_figures(setup: &Setup, figures: &Figures) -> Self {
        let cell = |value: f64| Cell {
            value: Some(value),
            text: String::new(),
            unit: String::new(),
            why: None,
            not_taken: false,
            struck: None,
            seq: 0,
        };
        let cells = figures.iter().map(|(key, value)| (key.clone(), cell(*value))).collect();
        Self::of(setup, &Round { at: Timestamp::UNIX_EPOCH, actors: Vec::new(), cells })
    }

    /// Whether a reading is among them.
    pub(crate) fn holds(&self, key: &str) -> bool {
        self.groups.iter().any(|group| group.contains(&key))
    }

    /// What is said beside a reading that is among them, on every page; none of any other.
    pub(crate) fn beside(&self, key: &str) -> Option<String> {
        let group = self.groups.iter().find(|group| group.contains(&key))?;
        let label = |key: &&'static str| field::reading(key).map_or(*key, |reading| reading.label);
        let labels: Vec<&'static str> = group.iter().map(label).collect();
        Some(match labels[..] {
            [one, other] => format!(
                "{one} and {} cannot stand together: read both again.",
                crate::typed::lower_first(other)
            ),
            _ => "Cannot be as it was read: read it again.".to_owned(),
        })
    }

    /// Whether what should be cannot be worked out: jacket or sea water in is among them.
    pub(crate) fn spoils_expectation(&self) -> bool {
        self.holds("jacket_in_c") || self.holds("sea_temp_c")
    }

    /// Whether the heat taken from the engine cannot be worked out.
    pub(crate) fn spoils_heat(&self) -> bool {
        self.holds("jacket_in_c") || self.holds("jacket_out_c")
    }

    /// The same of a reading that cannot stand beside another one; none of one that cannot be by itself.
    pub(crate) fn beside_another(&self, key: &str) -> Option<String> {
        let pair = self.groups.iter().any(|group| group.len() == 2 && group.contains(&key));
        self.beside(key).filter(|_| pair)
    }

    /// Doubts a row that cannot be, whatever limit it passes.
    pub(crate) fn doubt(&self, row: &mut Compared) {
        if let Some(says) = self.beside(&row.key) {
            row.state = State::InDoubt;
            row.meaning = Some(says);
        }
    }

    /// The rows that something may be advised by.
    pub(crate) fn sound(&self, rows: &[Compared]) -> Vec<Compared> {
        rows.iter().filter(|row| !self.holds(&row.key)).cloned().collect()
    }
}
