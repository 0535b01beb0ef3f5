//! Steps and corners without a break in their slope.

/// 3x² − 2x³ between 0 and 1, held outside.
#[inline]
pub(crate) fn step(x: f64) -> f64 {
    if x <= 0.0 {
        0.0
    } else if x >= 1.0 {
        1.0
    } else {
        x * x * (3.0 - 2.0 * x)
    }
}

/// The positive part of x: 0 below 0, x above `d`, joined without a corner.
#[inline]
pub(crate) fn ramp(x: f64, d: f64) -> f64 {
    if x <= 0.0 {
        0.0
    } else if x >= d {
        x
    } else {
        x * x * (2.0 * d - x) / (d * d)
    }
}

/// The signed square root x/√|x|, straight through 0 within about `e`.
#[inline]
pub(crate) fn root(x: f64, e: f64) -> f64 {
    x / (x * x + e * e).sqrt().sqrt()
}

/// Share of its full conductance that a valve passes at an opening 0 to 1: equal percentage with the range 20, shut at 0.
#[inline]
pub(crate) fn equal_percentage(opening: f64) -> f64 {
    if opening <= 0.0 {
        return 0.0;
    }
    const LN_20: f64 = 2.995_732_273_553_991;
    (opening.min(1.0) * LN_20).exp_m1() / 19.0
}

/// (a⁸ + b⁸)^⅛: the larger of the two, the other felt only near it.
#[inline]
pub(crate) fn larger(a: f64, b: f64) -> f64 {
    let (a2, b2) = (a * a, b * b);
    let (a4, b4) = (a2 * a2, b2 * b2);
    (a4 * a4 + b4 * b4).sqrt().sqrt().sqrt()
}

/// (eˣ − 1)/x, held at x = 2: what lets three cells in a row make one exponential.
#[inline]
pub(crate) fn cell_factor(x: f64) -> f64 {
    let x = x.min(2.0);
    if x < 1.0e-8 { 1.0 + 0.5 * x } else { x.exp_m1() / x }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_corners_are_joined_with_their_slope() {
        for (x, d) in [(0.0, 0.1), (0.1, 0.1), (1.0, 1.0), (0.0, 1.0)] {
            let h = 1.0e-7;
            let slope = |a: f64, b: f64| (ramp(b, d) - ramp(a, d)) / (b - a);
            assert!((slope(x - h, x) - slope(x, x + h)).abs() < 1.0e-5, "{x} {d}");
        }
        assert_eq!(step(-1.0), 0.0);
        assert_eq!(step(2.0), 1.0);
        assert!((step(0.5) - 0.5).abs() < 1.0e-15);
    }

    #[test]
    fn ident_three_cells_make_the_exponential_of_the_whole() {
        for units in [0.3, 1.1, 3.9] {
            let x: f64 = units / 3.0;
            let k = units / 3.0 * cell_factor(x);
            let left = (1.0 / (1.0 + k)).powi(3);
            assert!((left - (-units).exp()).abs() < 1.0e-14, "{units}");
        }
    }

    #[test]
    fn ident_a_valve_runs_from_shut_to_full() {
        assert_eq!(equal_percentage(0.0), 0.0);
        assert!((equal_percentage(1.0) - 1.0).abs() < 1.0e-14);
        assert!((equal_percentage(0.5) - (20.0_f64.sqrt() - 1.0) / 19.0).abs() < 1.0e-14);
    }
}
