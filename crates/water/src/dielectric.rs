//! Static dielectric constant of water.
//!
//! Source: IAPWS R8-97, equations 2-8, table 1. Range 238-873 K; claimed ±0.01-0.1 at the states used here.

use crate::CELSIUS_ZERO_K;
use crate::number::Number;

/// Table 1: (i, j, N) of the Harris-Alder g-factor.
const TERMS: [(i32, f64, f64); 11] = [
    (1, 0.25, 0.978224486826),
    (1, 1.0, -0.957771379375),
    (1, 2.5, 0.237511794148),
    (2, 1.5, 0.714692244396),
    (3, 1.5, -0.298217036956),
    (3, 2.5, -0.108863472196),
    (4, 2.0, 0.949327488264e-1),
    (5, 2.0, -0.980469816509e-2),
    (6, 5.0, 0.165167634970e-4),
    (7, 0.5, 0.937359795772e-4),
    (10, 10.0, -0.123179218720e-9),
];
const LAST: f64 = 0.196096504426e-2;

const CRITICAL_K: f64 = 647.096;
const CRITICAL_MOL_M3: f64 = 322.0 / MOLAR_MASS;
// The release fixes its own constants; they belong to the fit.
const MOLAR_MASS: f64 = 0.018015268;
const AVOGADRO: f64 = 6.0221367e23;
const BOLTZMANN: f64 = 1.380658e-23;
const VACUUM: f64 = 8.854_187_817_620_39e-12;
const POLARISABILITY: f64 = 1.636e-40;
const DIPOLE: f64 = 6.138e-30;

/// Static dielectric constant (relative permittivity) at `t_c` °C and `density_kg_m3`.
pub fn constant<T: Number>(t_c: T, density_kg_m3: T) -> T {
    let t_k = t_c + CELSIUS_ZERO_K;
    let molar = density_kg_m3 * (1.0 / MOLAR_MASS);
    let delta = molar * (1.0 / CRITICAL_MOL_M3);
    let ln_tau = (t_k.recip() * CRITICAL_K).ln();
    let mut g = delta * (t_k * (1.0 / 228.0) - 1.0).powf(-1.2) * LAST + 1.0;
    for (i, j, n) in TERMS {
        g += delta.powi(i) * (ln_tau * j).exp() * n;
    }
    let a = molar * g / t_k * (AVOGADRO * DIPOLE * DIPOLE / (VACUUM * BOLTZMANN));
    let b = molar * (AVOGADRO * POLARISABILITY / (3.0 * VACUUM));
    let under = a * (a + b * 10.0 + 2.0) + b * (b * 9.0 + 18.0) + 9.0;
    (a + b * 5.0 + 1.0 + under.sqrt()) / (-b * 4.0 + 4.0)
}
