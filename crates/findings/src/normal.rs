//! The normal distribution: its tail, and quantiles of a mixture of normals.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Probability that a standard normal lies under `z`; good to 1e-7 relative of the tail.
#[must_use]
pub(crate) fn under(z: f64) -> f64 {
    0.5 * erfc(-z * FRAC_1_SQRT_2)
}

/// Density of a standard normal.
pub(crate) fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// Complementary error function: the series of erf for small arguments, the continued fraction for large ones
/// (Abramowitz and Stegun 7.1.6 and 7.1.14).
fn erfc(x: f64) -> f64 {
    let a = x.abs();
    if a > 26.0 {
        return if x > 0.0 { 0.0 } else { 2.0 };
    }
    let tail = if a < 2.5 {
        // erf by its series: 2/√π e^(−x²) Σ 2ⁿ x^(2n+1) / (2n+1)!!
        let mut term = a;
        let mut sum = a;
        let mut n = 1.0;
        while term > 1.0e-17 * sum {
            term *= 2.0 * a * a / (2.0 * n + 1.0);
            sum += term;
            n += 1.0;
        }
        1.0 - 2.0 / PI.sqrt() * (-a * a).exp() * sum
    } else {
        // 7.1.14, from the back.
        let mut fraction = 0.0;
        for k in (1..=40).rev() {
            fraction = 0.5 * f64::from(k) / (a + fraction);
        }
        (-a * a).exp() / PI.sqrt() / (a + fraction)
    };
    if x >= 0.0 { tail } else { 2.0 - tail }
}

/// The value under which a mixture of normals (weight, mean, standard deviation) holds the share `p`.
pub(crate) fn quantile(parts: &[(f64, f64, f64)], p: f64) -> f64 {
    /// Parts that together weigh no more than this are left out.
    const LIGHT: f64 = 1.0e-4;
    /// Width at which the search ends, in the narrowest part's standard deviation.
    const CLOSE: f64 = 1.0e-5;
    let all: f64 = parts.iter().map(|(w, ..)| w).sum();
    let heavy: Vec<(f64, f64, f64)> =
        parts.iter().copied().filter(|(w, ..)| *w > LIGHT * all / parts.len() as f64).collect();
    let all: f64 = heavy.iter().map(|(w, ..)| w).sum();
    let share =
        |x: f64| -> f64 { heavy.iter().map(|(w, m, s)| w * under((x - m) / s)).sum::<f64>() / all };
    let low = heavy.iter().map(|(_, m, s)| m - 8.0 * s).fold(f64::INFINITY, f64::min);
    let high = heavy.iter().map(|(_, m, s)| m + 8.0 * s).fold(f64::NEG_INFINITY, f64::max);
    let narrow = heavy.iter().map(|(.., s)| *s).fold(f64::INFINITY, f64::min);
    let (mut low, mut high) = (low, high);
    while high - low > CLOSE * narrow {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if share(middle) < p {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz and Stegun, Handbook of Mathematical Functions (1964), table 26.1.
    #[test]
    fn ref_normal_probabilities() {
        for (z, p) in [
            (0.0, 0.5),
            (1.0, 0.841_344_746_068_543),
            (2.0, 0.977_249_868_051_821),
            (3.0, 0.998_650_101_968_370),
        ] {
            assert!((under(z) - p).abs() < 1e-12, "{z}");
            assert!((under(-z) - (1.0 - p)).abs() < 1e-12, "{z}");
        }
        // Table 26.2: the tail at 5 is 2.866 52e-7.
        assert!((under(-5.0) / 2.866_516e-7 - 1.0).abs() < 1e-6);
    }

    #[test]
    fn ident_quantiles_of_one_normal_and_of_two_apart() {
        assert!((quantile(&[(2.0, 3.0, 0.5)], 0.95) - (3.0 + 0.5 * 1.644_853_627)).abs() < 1e-5);
        let two = [(0.5, -10.0, 1.0), (0.5, 10.0, 1.0)];
        assert!((quantile(&two, 0.25) + 10.0).abs() < 1e-5);
    }
}
