//! What the plan expects of the world's scatter: shocks of use by the day, and a few modes of output.

use super::problem::{Noise, Problem};

/// Nodes and weights of Gauss-Hermite quadrature for a standard normal, seven points; Abramowitz and Stegun, table
/// 25.10, scaled from exp(−x²) to the normal's own weight.
const NODES: [(f64, f64); 7] = [
    (-3.750_439_717_725_742, 0.000_548_268_855_972_218),
    (-2.366_759_410_734_541, 0.030_757_123_967_586_5),
    (-1.154_405_394_739_968, 0.240_123_178_605_013),
    (0.0, 0.457_142_857_142_857),
    (1.154_405_394_739_968, 0.240_123_178_605_013),
    (2.366_759_410_734_541, 0.030_757_123_967_586_5),
    (3.750_439_717_725_742, 0.000_548_268_855_972_218),
];

/// ln of the output factor is not thought to be farther from nought than this.
const FARTHEST: f64 = 1.0;
/// Nor a day's use farther from its mean, in cells.
const FARTHEST_CELLS: f64 = 1.0e8;

/// Shift in cells and its weight.
pub(super) type Tap = (i32, f64);

/// Modes of output and how they follow each other from day to day.
#[derive(Debug, Clone)]
pub(super) struct Outlook {
    /// ln of the output factor of each mode; the middle one is where the plan begins.
    pub modes: Vec<f64>,
    /// Chance to go from one mode (row) to another in a day.
    pub follow: Vec<Vec<f64>>,
    noise: Noise,
}

impl Outlook {
    /// One mode and no shocks.
    pub fn certain() -> Self {
        let still = Noise {
            use_day: 0.0,
            use_mean: 0.0,
            output: 0.0,
            output_days: 1.0,
            sea_k: 0.0,
            speed: 0.0,
            alpha: 1.0,
        };
        Self { modes: vec![0.0], follow: vec![vec![1.0]], noise: still }
    }

    /// Three modes by Rouwenhorst's method; sea temperature's offset acts inside them.
    pub fn of(problem: &Problem) -> Self {
        let noise = problem.noise;
        let sd = noise.output.hypot(noise.sea_k * sea_slope(problem));
        if sd <= 0.0 {
            return Self { noise, ..Self::certain() };
        }
        let stays = if noise.output_days > 0.0 { (-1.0 / noise.output_days).exp() } else { 0.0 };
        let (p, q) = (f64::midpoint(1.0, stays), f64::midpoint(1.0, -stays));
        let follow = vec![
            vec![p * p, 2.0 * p * q, q * q],
            vec![p * q, p * p + q * q, p * q],
            vec![q * q, 2.0 * p * q, p * p],
        ];
        let far = (std::f64::consts::SQRT_2 * sd).min(FARTHEST);
        Self { modes: vec![-far, 0.0, far], follow, noise }
    }

    /// The mode the plan begins in.
    pub fn middle(&self) -> usize {
        self.modes.len() / 2
    }

    /// The mode nearest to ln of a factor.
    pub fn nearest(&self, ln_factor: f64) -> usize {
        let halves = self.modes.windows(2).map(|w| f64::midpoint(w[0], w[1]));
        halves.filter(|half| ln_factor > *half).count()
    }

    /// Shock of day `day` in cells, its mean use given in tonnes; empty where nothing scatters.
    ///
    /// The spread of the day is widened so that the variance of all days together is what it is seen from now,
    /// the ship's mean use and her speed being one draw each.
    pub fn shock(&self, day: usize, mean_t: f64, cell: f64) -> Vec<Tap> {
        let common = self.noise.use_mean.powi(2) + self.noise.speed.powi(2);
        let sd = (self.noise.use_day.powi(2) + (2 * day + 1) as f64 * common).sqrt();
        if sd <= 0.0 || mean_t <= 0.0 {
            return Vec::new();
        }
        let factor = |z: f64| (sd * z - 0.5 * sd * sd).exp();
        let mean: f64 = NODES.iter().map(|(z, w)| w * factor(*z)).sum();
        let mut taps: Vec<Tap> = Vec::with_capacity(2 * NODES.len());
        for (z, w) in NODES {
            let shift =
                (-mean_t * (factor(z) - mean) / cell).clamp(-FARTHEST_CELLS, FARTHEST_CELLS);
            let below = shift.floor();
            let part = shift - below;
            for (at, weight) in [(below as i32, w * (1.0 - part)), (below as i32 + 1, w * part)] {
                match taps.iter_mut().find(|(shift, _)| *shift == at) {
                    Some(tap) => tap.1 += weight,
                    None => taps.push((at, weight)),
                }
            }
        }
        taps
    }
}

/// Root mean square of d ln(output)/dT over the samples where water may be made, 1/K.
fn sea_slope(problem: &Problem) -> f64 {
    let s = &problem.samples;
    let slopes = || s.sea_slope_per_k.iter().zip(&s.allowed).filter(|(_, a)| **a).map(|(x, _)| *x);
    let count = slopes().count().max(1) as f64;
    (slopes().map(|x| x * x).sum::<f64>() / count).sqrt()
}
