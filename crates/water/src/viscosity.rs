//! Viscosity of pure water.
//!
//! Source: IAPWS R12-08, equations 10-12, tables 1 and 2, without the critical enhancement. Claimed ±1 % for
//! the liquid below 110 °C at moderate pressure.

use crate::CELSIUS_ZERO_K;
use crate::number::{Number, polynomial};

/// Table 1, in powers of 1/T̄.
const DILUTE: [f64; 4] = [1.67752, 2.20462, 0.6366564, -0.241605];

/// Table 2: row i in powers of (1/T̄ − 1), column j in powers of (ρ̄ − 1).
const DENSE: [[f64; 7]; 6] = [
    [5.20094e-1, 2.22531e-1, -2.81378e-1, 1.61913e-1, -3.25372e-2, 0.0, 0.0],
    [8.50895e-2, 9.99115e-1, -9.06851e-1, 2.57399e-1, 0.0, 0.0, 0.0],
    [-1.08374, 1.88797, -7.72479e-1, 0.0, 0.0, 0.0, 0.0],
    [-2.89555e-1, 1.26613, -4.89837e-1, 0.0, 6.98452e-2, 0.0, -4.35673e-3],
    [0.0, 0.0, -2.57040e-1, 0.0, 0.0, 8.72102e-3, 0.0],
    [0.0, 1.20573e-1, 0.0, 0.0, 0.0, 0.0, -5.93264e-4],
];

/// Dynamic viscosity, Pa s, of water at `t_c` °C and `density_kg_m3`.
pub fn dynamic_pa_s<T: Number>(t_c: T, density_kg_m3: T) -> T {
    let reduced = (t_c + CELSIUS_ZERO_K) * (1.0 / 647.096);
    let inverse = reduced.recip();
    let delta = density_kg_m3 * (1.0 / 322.0);
    let (x, y) = (inverse - 1.0, delta - 1.0);
    let mut exponent = T::from(0.0);
    for row in DENSE.iter().rev() {
        exponent = exponent * x + polynomial(y, row);
    }
    reduced.sqrt() / polynomial(inverse, &DILUTE) * (delta * exponent).exp() * 1e-4
}
