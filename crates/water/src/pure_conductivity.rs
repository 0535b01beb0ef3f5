//! Conductivity of water with nothing in it: its own ions.
//!
//! Sources: IAPWS, "Electrolytic conductivity (specific conductance) of liquid and dense supercritical water
//! from 0 °C to 800 °C and pressures up to 1000 MPa" (1990), equations 2-6; ion product by IAPWS R11-07.
//! Claimed ±1-2 % near 25 °C.

use crate::CELSIUS_ZERO_K;
use crate::number::{Number, polynomial};

/// Conductivity, µS/cm, of pure water at `t_c` °C and `density_kg_m3`.
pub fn us_cm<T: Number>(t_c: T, density_kg_m3: T) -> T {
    let density = density_kg_m3 * 1e-3;
    let limit =
        -(polynomial(t_c, &[1.0 / 1410.0, 2.16417e-6, 1.81609e-7, -1.75297e-9, 7.20708e-12])
            .recip())
            + 1850.0;
    let dense = -(polynomial(t_c, &[1.0 / 11.6, 3.26e-4, -2.3e-6, 1.1e-8]).recip()) + 16.0;
    let molar = limit * (dense - density) / dense;
    // √K_w in mol/kg times the density in kg/l, times S cm²/mol: mS/cm
    molar * density * (ln_ion_product(t_c, density) * 0.5).exp() * 1e3
}

/// ln K_w, molal, at `t_c` °C and a density in g/cm³ (R11-07, equations 3 and 4).
fn ln_ion_product<T: Number>(t_c: T, density: T) -> T {
    let inverse = (t_c + CELSIUS_ZERO_K).recip();
    let two_thirds = (density.ln() * (2.0 / 3.0)).exp();
    let q = density * (inverse * (inverse * two_thirds * -22786.2 + 8659.19) - 0.864671).exp();
    let beta = inverse * -56.8534 + density * -0.375754 + 0.642044;
    let log10_q = (q + 1.0).ln() * std::f64::consts::LOG10_E;
    let gas = polynomial(inverse, &[6.141500e-1, 4.825133e4, -6.770793e4, 1.010210e7]);
    let molal = 2.0 * (0.018015268_f64).log10();
    let p_kw = (log10_q - q / (q + 1.0) * density * beta) * -12.0 + gas + molal;
    p_kw * -std::f64::consts::LN_10
}
