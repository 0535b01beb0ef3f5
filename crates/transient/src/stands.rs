//! How everything that is handled stands at a moment: valves and where they are going, pumps, switches, settings.

use crate::parts::{PUMPS, SETS, SWITCHES, VALVES};

/// One valve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turned {
    /// Opening now, %.
    pub at_percent: f64,
    /// Where a hand is turning it, %; the same where none is.
    pub to_percent: f64,
}

/// How everything stands; the places are those of [`VALVES`], [`PUMPS`], [`SETS`] and [`SWITCHES`].
#[derive(Debug, Clone, PartialEq)]
pub struct Stands {
    /// Every valve.
    pub valves: [Turned; VALVES.len()],
    /// Whether each pump is driven.
    pub driven: [bool; PUMPS.len()],
    /// Every figure that is set, in its unit.
    pub sets: [f64; SETS.len()],
    /// Place of the word each switch stands at.
    pub switches: [usize; SWITCHES.len()],
}

impl Stands {
    /// A valve by its name.
    #[must_use]
    pub fn valve(&self, name: &str) -> Option<Turned> {
        self.valves.get(VALVES.iter().position(|part| part.name == name)?).copied()
    }

    /// Whether a pump is driven, by its name.
    #[must_use]
    pub fn pump(&self, name: &str) -> Option<bool> {
        self.driven.get(PUMPS.iter().position(|pump| *pump == name)?).copied()
    }

    /// A figure that is set, by its name, in its unit.
    #[must_use]
    pub fn set(&self, name: &str) -> Option<f64> {
        self.sets.get(SETS.iter().position(|part| part.name == name)?).copied()
    }

    /// The word a switch stands at, by its name.
    #[must_use]
    pub fn switch(&self, name: &str) -> Option<&'static str> {
        let place = SWITCHES.iter().position(|(switch, _)| *switch == name)?;
        SWITCHES[place].1.get(*self.switches.get(place)?).copied()
    }
}
