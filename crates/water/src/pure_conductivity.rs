//! Conductivity of water with nothing in it: its own ions.
//!
//! Sources: IAPWS, "Electrolytic conductivity (specific conductance) of liquid and dense supercritical water
//! from 0 °C to 800 °C and pressures up to 1000 MPa" (1990), equations 1-6, with the ion product that
//! guideline was made with: W. L. Marshall, E. U. Franck, J. Phys. Chem. Ref. Data 10 (1981) 295-304. The
//! newer ion product (R11-07) would make it 0.05 % more at 25 °C and 0.8 % more at 40 °C.

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

/// ln K_w at `t_c` °C and a density in g/cm³ (Marshall and Franck 1981, equation 4).
fn ln_ion_product<T: Number>(t_c: T, density: T) -> T {
    let inverse = (t_c + CELSIUS_ZERO_K).recip();
    let constant = polynomial(inverse, &[-4.098, -3245.2, 2.2362e5, -3.984e7]);
    let dense = polynomial(inverse, &[13.957, -1262.3, 8.5641e5]);
    constant * std::f64::consts::LN_10 + dense * density.ln()
}
