//! Draws for one passage of many: each passage has its own stream, so that order and threads change nothing.

use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// Standard normal draws by Box and Muller's method (Ann. Math. Stat. 29, 1958).
pub(super) struct Normal {
    rng: ChaCha8Rng,
    spare: Option<f64>,
}

impl Normal {
    /// Draws of passage `stream` under a seed.
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(stream);
        Self { rng, spare: None }
    }

    pub fn draw(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        // The first is in (0, 1], so that its logarithm is finite.
        let radius = (-2.0 * (1.0 - self.rng.random::<f64>()).ln()).sqrt();
        let (sin, cos) = (std::f64::consts::TAU * self.rng.random::<f64>()).sin_cos();
        self.spare = Some(radius * sin);
        radius * cos
    }
}
