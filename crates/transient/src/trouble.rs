//! Troubles to practise on: what each is called, how large it may be, and one drawn by a seed.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::action::Do;
use crate::parts::{
    F_AIR, F_BACK, F_BREAKER, F_BYPASS, F_CELL, F_CONDENSER, F_COOLING, F_DEMISTER, F_DRAIN,
    F_FOULING, F_HEATER, F_HUNTING, F_NOZZLE, F_ORIFICE, F_SEAL, F_STRAINER, F_STUCK, F_WEAR,
    FAULTS,
};

/// One trouble as it may be set for somebody.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trouble {
    /// Its name among the faults of a scenario.
    pub name: &'static str,
    /// What it is called aboard.
    pub aboard: &'static str,
    /// The amount that shows it well, in the unit of the list.
    pub amount: f64,
    /// How long it takes to come, s; 0 for at once.
    pub over_s: f64,
}

const fn trouble(place: usize, aboard: &'static str, amount: f64, over_s: f64) -> Trouble {
    Trouble { name: FAULTS[place].name, aboard, amount, over_s }
}

/// Troubles worth meeting, each with an amount that shows it (ours, after the cases of the trade).
const KNOWN: [Trouble; 18] = [
    trouble(F_AIR, "Air leaks into the shell", 6.0, 120.0),
    trouble(F_CONDENSER, "A condenser tube leaks", 1.5, 60.0),
    trouble(F_SEAL, "The distillate pump's seal draws air", 25.0, 120.0),
    trouble(F_HEATER, "The heater leaks jacket water", 0.02, 60.0),
    trouble(F_NOZZLE, "The ejector's nozzle is worn or choked", 0.75, 300.0),
    trouble(F_WEAR, "The ejector pump gives less head", 0.75, 300.0),
    trouble(F_STRAINER, "The ejector pump's strainer chokes", 0.6, 600.0),
    trouble(F_ORIFICE, "The feed orifice chokes", 0.5, 300.0),
    trouble(F_CELL, "The salinity cell is fouled", 30.0, 0.0),
    trouble(F_DEMISTER, "The demister is torn", 8.0, 0.0),
    trouble(F_COOLING, "Less cooling water", 0.6, 300.0),
    trouble(F_FOULING, "The condenser is fouled", 1.2e-4, 600.0),
    trouble(F_BACK, "The overboard line backs up", 40_000.0, 120.0),
    trouble(F_BYPASS, "The jacket by-pass passes when shut", 0.5, 0.0),
    trouble(F_DRAIN, "The shell drain passes", 0.15, 0.0),
    trouble(F_BREAKER, "The vacuum breaker passes", 0.03, 0.0),
    trouble(F_HUNTING, "The engine's thermostat hunts", 10.0, 0.0),
    trouble(F_STUCK, "The diverting valve sticks", 1.0, 0.0),
];

impl Trouble {
    /// Every trouble that can be set.
    #[must_use]
    pub fn all() -> &'static [Trouble] {
        &KNOWN
    }

    /// A trouble by its name among the faults of a scenario.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Trouble> {
        KNOWN.iter().find(|trouble| trouble.name == name)
    }

    /// As it is done, in full.
    #[must_use]
    pub fn comes(&self) -> Do {
        let place = FAULTS.iter().position(|part| part.name == self.name).unwrap_or(0);
        Do::Fault { place, amount: self.amount, over_s: self.over_s }
    }

    /// As it is put right.
    #[must_use]
    pub fn goes(&self) -> Do {
        let place = FAULTS.iter().position(|part| part.name == self.name).unwrap_or(0);
        Do::Fault { place, amount: FAULTS[place].usual, over_s: 0.0 }
    }
}

/// A trouble drawn by a seed, and when it comes: a whole minute between two moments, s. The same seed always gives the same.
#[must_use]
pub fn drawn(seed: u64, from_s: f64, to_s: f64) -> (&'static Trouble, f64) {
    let mut chance = ChaCha8Rng::seed_from_u64(seed);
    let which = chance.random_range(0..KNOWN.len());
    let at_s = chance.random_range(from_s..=to_s.max(from_s));
    (&KNOWN[which], 60.0 * (at_s / 60.0).round())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_every_trouble_is_a_fault_within_its_range() {
        for trouble in Trouble::all() {
            let part = FAULTS.iter().find(|part| part.name == trouble.name).expect("a fault");
            assert!((part.low..=part.high).contains(&trouble.amount), "{}", trouble.name);
            assert_ne!(part.usual, trouble.amount, "{}", trouble.name);
            assert_eq!(Trouble::named(trouble.name), Some(trouble));
        }
    }

    #[test]
    fn ident_a_seed_draws_one_trouble_and_seeds_draw_all() {
        let mut seen = std::collections::BTreeSet::new();
        for seed in 0..400 {
            let (trouble, at_s) = drawn(seed, 600.0, 3600.0);
            assert_eq!(drawn(seed, 600.0, 3600.0), (trouble, at_s));
            assert!((600.0..=3600.0).contains(&at_s) && at_s % 60.0 == 0.0, "{at_s}");
            seen.insert(trouble.name);
        }
        assert_eq!(seen.len(), Trouble::all().len());
    }
}
