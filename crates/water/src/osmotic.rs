//! Osmotic coefficient and osmotic pressure of sea water.
//!
//! Source: Sharqawy, Lienhard and Zubair (2010), equation 49, fitted to Bromley et al. (1974). Range
//! 0-200 °C, 10-120 g/kg, claimed ±1.4 %. The pressure follows from the definition with the salt of
//! reference-composition sea water (Millero et al. 2008), π = φ R T ρ_w m.

use crate::number::{Number, polynomial};
use crate::{CELSIUS_ZERO_K, GAS_CONSTANT, seawater};

/// Mean molar mass of the solutes of reference-composition sea water, kg/mol (Millero et al. 2008).
pub const SEA_SALT_KG_MOL: f64 = 0.031_403_821_8;

/// Osmotic coefficient φ (equation 49).
#[inline]
pub fn coefficient<T: Number>(t_c: T, s_g_kg: T) -> T {
    let s = s_g_kg * 1e-3;
    let fourth = t_c * t_c * t_c * t_c * 2.2211e-11;
    let s0 = polynomial(t_c, &[8.9453e-1, 4.1561e-4, -4.6262e-6]) + fourth;
    let s1 = polynomial(t_c, &[-1.1445e-1, -1.4783e-3, 0.0, -1.3526e-8]);
    let s2 = polynomial(t_c, &[7.0132, 5.696e-2, -2.8624e-4]);
    s0 + s * (s1 + s * s2)
}

/// Osmotic pressure, Pa: what must be overcome to push pure water out of the brine.
#[inline]
pub fn pressure_pa<T: Number>(t_c: T, s_g_kg: T) -> T {
    // kilograms of salt a kilogram of water, over the salt's molar mass: mol/kg of water
    let molality = s_g_kg / (-s_g_kg + 1000.0) * (1.0 / SEA_SALT_KG_MOL);
    let water_density = seawater::density_kg_m3(t_c, T::from(0.0));
    coefficient(t_c, s_g_kg) * (t_c + CELSIUS_ZERO_K) * molality * water_density * GAS_CONSTANT
}
