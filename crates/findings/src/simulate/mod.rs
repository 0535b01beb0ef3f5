//! Simulated plants with known faults, and how the findings fare on them.

mod chance;
mod sheets;
mod tally;
mod trial;
mod truth;

pub use sheets::sheets;
pub use tally::{BANDS, Band, Share, Tally};
pub use trial::{EXPERIMENTS, Experiment, Group, SIX, Said, Trial, trial};
pub use truth::{Coming, Fault, Level, Simulated, Wanted, times_limit};

use chance::Chance;

/// Draws again where a drawn plant cannot run, so many times.
pub(crate) const TRIES: usize = 20;

/// A simulated plant under a seed; each number has its own stream. `None` where no draw could run.
#[must_use]
pub fn simulate(wanted: &Wanted<'_>, seed: u64, number: u64) -> Option<Simulated> {
    let mut chance = Chance::new(seed, number);
    (0..TRIES).find_map(|_| truth::draw(wanted, &mut chance))
}
