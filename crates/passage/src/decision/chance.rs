//! Draws for one passage of many: each passage has its own stream, so that order and threads change nothing.

use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// The golden section, (√5 − 1) / 2.
const GOLDEN: f64 = 0.618_033_988_749_894_9;
/// Without five, whose root is in the golden section.
const PRIMES: [f64; 12] = [2.0, 3.0, 7.0, 11.0, 13.0, 17.0, 19.0, 23.0, 29.0, 31.0, 37.0, 41.0];
/// Shares so near to nought or one are no nearer.
const LEAST_SHARE: f64 = 1.0e-6;

/// The value under which a standard normal holds a share, by Newton's method on its series (Marsaglia, J. Stat. Softw. 11(4),
/// 2004).
fn quantile(share: f64) -> f64 {
    let upper = share.max(1.0 - share).min(1.0 - LEAST_SHARE);
    let mut z = 0.0_f64;
    for _ in 0..60 {
        let density = (-0.5 * z * z).exp() / std::f64::consts::TAU.sqrt();
        let (mut sum, mut term, mut odd) = (z, z, 1.0);
        while term > 1.0e-16 * sum {
            odd += 2.0;
            term *= z * z / odd;
            sum += term;
        }
        // From below the root every step stays below it, as the share over the middle is concave.
        let step = (upper - 0.5 - density * sum) / density;
        z += step;
        if step < 1.0e-10 {
            break;
        }
    }
    if share < 0.5 { -z } else { z }
}

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

    /// The standard normal level of this passage among all: evenly spread, so that a few passages have every level, and the same
    /// under every seed. The other draws do not hang on it.
    pub fn level(&self) -> f64 {
        // Multiples of the golden section without their whole parts leave no gap (Weyl, Math. Ann. 77, 1916).
        quantile((0.5 + self.rng.get_stream() as f64 * GOLDEN).fract())
    }

    /// Levels of several things of this passage, each as evenly spread over the passages as [`Normal::level`], and none hanging
    /// on another's.
    pub fn levels(&self, count: usize) -> Vec<f64> {
        let stream = self.rng.get_stream() as f64;
        // Roots of primes: multiples of none of them are multiples of another's, nor of the golden section's.
        let of = |which: usize| {
            let rate = PRIMES[which % PRIMES.len()].sqrt();
            quantile((0.5 + which as f64 * GOLDEN + stream * rate).fract())
        };
        (0..count).map(of).collect()
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz and Stegun, Handbook of Mathematical Functions (1964), table 26.1: P(1) and P(2); table 26.5 of percentage
    /// points: Q = 0.1 and 0.001.
    #[test]
    fn ref_normal_quantiles() {
        for (share, z) in [
            (0.841_344_746_068_543, 1.0),
            (0.977_249_868_051_821, 2.0),
            (0.9, 1.281_55),
            (0.999, 3.090_23),
        ] {
            assert!((quantile(share) - z).abs() < 6.0e-6, "{share}: {}", quantile(share));
            assert!((quantile(1.0 - share) + z).abs() < 6.0e-6, "{share}");
        }
        assert_eq!(quantile(0.5), 0.0);
        assert!(quantile(0.0).is_finite() && quantile(1.0).is_finite());
    }

    /// Levels of the first sixty and of two thousand passages are spread as a normal is, under any seed; the other draws go on
    /// as if they had not been asked for.
    #[test]
    fn ident_levels_are_evenly_spread_and_take_no_draw() {
        // Within two passages of their rank, where a normal is 0.175 5 dense at ±1.281 55.
        for count in [60_u32, 2000] {
            let near = 2.0 / f64::from(count) / 0.175_5;
            let mut levels: Vec<f64> =
                (0..count).map(|i| Normal::new(7, u64::from(i)).level()).collect();
            levels.sort_by(f64::total_cmp);
            let at = |share: f64| levels[(share * f64::from(count)) as usize];
            for (share, z) in [(0.1, -1.281_55), (0.5, 0.0), (0.9, 1.281_55)] {
                assert!((at(share) - z).abs() < near, "{count} {share}: {}", at(share));
            }
        }
        let (mut asked, mut other) = (Normal::new(7, 3), Normal::new(7, 3));
        assert_eq!(asked.level().to_bits(), Normal::new(8, 3).level().to_bits());
        assert_eq!(asked.draw().to_bits(), other.draw().to_bits());
    }
}
