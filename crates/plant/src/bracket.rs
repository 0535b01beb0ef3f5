//! A bracketed root: converges from any two ends of opposite sign, quickly where the function is smooth.

/// Root of `f` between `a` and `b`, whose values `fa` and `fb` differ in sign; `None` in place of a value stops the search.
///
/// Chandrupatla's method (1997): inverse quadratic interpolation where it is safe, halving elsewhere. Ends when the bracket is
/// under `tol` relative to the root (plus `tol` itself), or after 200 evaluations, which halving alone does not need.
pub(crate) fn root(
    mut f: impl FnMut(f64) -> f64,
    (a, fa): (f64, f64),
    (b, fb): (f64, f64),
    tol: f64,
) -> f64 {
    let (mut a, mut fa) = (a, fa);
    let (mut b, mut fb) = (b, fb);
    if fa == 0.0 {
        return a;
    }
    if fb == 0.0 {
        return b;
    }
    let mut t = 0.5;
    for _ in 0..200 {
        let x = a + t * (b - a);
        let fx = f(x);
        // c is the end left behind: [a, b] stays the bracket, (c, fc) serves the interpolation
        let (c, fc);
        if (fx > 0.0) == (fa > 0.0) {
            (c, fc) = (a, fa);
        } else {
            (c, fc) = (b, fb);
            (b, fb) = (a, fa);
        }
        (a, fa) = (x, fx);
        let (best, f_best) = if fb.abs() < fa.abs() { (b, fb) } else { (a, fa) };
        let width = (b - a).abs();
        // Two neighbouring numbers cannot be brought nearer.
        let slack = tol.max(f64::EPSILON) * best.abs() + tol * 1.0e-3;
        if f_best == 0.0 || width <= slack {
            return best;
        }
        let xi = (a - b) / (c - b);
        let phi = (fa - fb) / (fc - fb);
        t = if phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi {
            fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        } else {
            0.5
        };
        if !t.is_finite() {
            t = 0.5;
        }
        let least = 0.5 * slack / width;
        t = t.clamp(least.min(0.5), 1.0 - least.min(0.5));
    }
    if fb.abs() < fa.abs() { b } else { a }
}

#[cfg(test)]
mod tests {
    use super::root;

    #[test]
    fn ident_root_of_monotone_functions_from_any_bracket() {
        for target in [1.0e-6_f64, 0.3, 2.0, 19.0] {
            for power in [0.2, 1.0, 3.0, 9.0] {
                let f = |x: f64| x.powf(power) - target.powf(power);
                let x = root(f, (0.0, f(0.0)), (20.0, f(20.0)), 1.0e-14);
                assert!((x / target - 1.0).abs() < 1.0e-9, "{target} {power} {x}");
            }
        }
    }

    #[test]
    fn ident_root_closes_on_a_jump() {
        let f = |x: f64| if x < 0.7 { -1.0 } else { 2.0 };
        let x = root(f, (0.0, -1.0), (1.0, 2.0), 1.0e-12);
        assert!((x - 0.7).abs() < 1.0e-11);
    }
}
