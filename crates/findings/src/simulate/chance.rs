//! Draws for one simulated plant: its own stream under a seed, so that order and threads change nothing.

use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// A stream of draws.
pub(crate) struct Chance {
    rng: ChaCha8Rng,
    spare: Option<f64>,
}

impl Chance {
    pub(crate) fn new(seed: u64, stream: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(stream);
        Chance { rng, spare: None }
    }

    /// Between nought and one, one left out.
    pub(crate) fn even(&mut self) -> f64 {
        self.rng.random::<f64>()
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    /// One of so many.
    pub(crate) fn one_of(&mut self, count: usize) -> usize {
        ((self.even() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// Standard normal, by Box and Muller's method (Ann. Math. Stat. 29, 1958).
    pub(crate) fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        // In (0, 1], so that its logarithm is finite.
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        let (sin, cos) = (std::f64::consts::TAU * self.even()).sin_cos();
        self.spare = Some(radius * sin);
        radius * cos
    }
}
