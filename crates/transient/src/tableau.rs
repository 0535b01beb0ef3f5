//! Coefficients of the implicit Runge-Kutta methods.

/// An explicit first stage, then implicit ones with one diagonal; the last stage is the step's end.
#[derive(Debug)]
pub(crate) struct Tableau<const S: usize> {
    pub(crate) gamma: f64,
    pub(crate) c: [f64; S],
    pub(crate) a: [[f64; S]; S],
    /// Weights of the step less those of its embedded companion.
    pub(crate) error: [f64; S],
    /// Order of the embedded companion plus one: the power by which the error goes with the step.
    pub(crate) error_power: f64,
}

/// Order 4 with an embedded 3, six stages: ARK4(3)6L[2]SA, implicit part; C. A. Kennedy and M. H. Carpenter, "Additive Runge-Kutta
/// schemes for convection-diffusion-reaction equations", Applied Numerical Mathematics 44 (2003) 139-181.
pub(crate) const FOURTH: Tableau<6> = {
    let g = 0.25;
    let b = [
        82_889.0 / 524_892.0,
        0.0,
        15_625.0 / 83_664.0,
        69_875.0 / 102_672.0,
        -2_260.0 / 8_211.0,
        g,
    ];
    let embedded = [
        4_586_570_599.0 / 29_645_900_160.0,
        0.0,
        178_811_875.0 / 945_068_544.0,
        814_220_225.0 / 1_159_782_912.0,
        -3_700_637.0 / 11_593_932.0,
        61_727.0 / 225_920.0,
    ];
    let mut error = [0.0; 6];
    let mut i = 0;
    while i < 6 {
        error[i] = b[i] - embedded[i];
        i += 1;
    }
    Tableau {
        gamma: g,
        c: [0.0, 0.5, 83.0 / 250.0, 31.0 / 50.0, 17.0 / 20.0, 1.0],
        a: [
            [0.0; 6],
            [g, g, 0.0, 0.0, 0.0, 0.0],
            [8_611.0 / 62_500.0, -1_743.0 / 31_250.0, g, 0.0, 0.0, 0.0],
            [
                5_012_029.0 / 34_652_500.0,
                -654_441.0 / 2_922_500.0,
                174_375.0 / 388_108.0,
                g,
                0.0,
                0.0,
            ],
            [
                15_267_082_809.0 / 155_376_265_600.0,
                -71_443_401.0 / 120_774_400.0,
                730_878_875.0 / 902_184_768.0,
                2_285_395.0 / 8_070_912.0,
                g,
                0.0,
            ],
            b,
        ],
        error,
        error_power: 4.0,
    }
};

#[cfg(test)]
mod tests {
    use super::*;

    fn conditions<const S: usize>(t: &Tableau<S>) {
        let b = t.a[S - 1];
        let sum = |f: &dyn Fn(usize) -> f64| (0..S).map(f).sum::<f64>();
        for i in 0..S {
            assert!((sum(&|j| t.a[i][j]) - t.c[i]).abs() < 1e-14, "row {i}");
        }
        let inner = |i: usize, p: i32| (0..S).map(|j| t.a[i][j] * t.c[j].powi(p)).sum::<f64>();
        let mut checks = vec![
            (sum(&|i| b[i]), 1.0),
            (sum(&|i| b[i] * t.c[i]), 0.5),
            (sum(&|i| b[i] * t.c[i].powi(2)), 1.0 / 3.0),
            (sum(&|i| b[i] * inner(i, 1)), 1.0 / 6.0),
        ];
        checks.push((sum(&|i| b[i] * t.c[i].powi(3)), 0.25));
        checks.push((sum(&|i| b[i] * t.c[i] * inner(i, 1)), 0.125));
        checks.push((sum(&|i| b[i] * inner(i, 2)), 1.0 / 12.0));
        checks.push((
            sum(&|i| b[i] * (0..S).map(|j| t.a[i][j] * inner(j, 1)).sum::<f64>()),
            1.0 / 24.0,
        ));
        for (k, (got, want)) in checks.iter().enumerate() {
            assert!((got - want).abs() < 1e-13, "condition {k}: {got} {want}");
        }
        // the companion: all conditions up to one order less, and not those of the full order
        let low = |i: usize| b[i] - t.error[i];
        assert!((sum(&|i| low(i)) - 1.0).abs() < 1e-13);
        assert!((sum(&|i| low(i) * t.c[i]) - 0.5).abs() < 1e-13);
        assert!((sum(&|i| low(i) * t.c[i].powi(2)) - 1.0 / 3.0).abs() < 1e-13);
        assert!((sum(&|i| low(i) * inner(i, 1)) - 1.0 / 6.0).abs() < 1e-13);
    }

    #[test]
    fn ident_order_conditions_hold() {
        conditions(&FOURTH);
    }
}
