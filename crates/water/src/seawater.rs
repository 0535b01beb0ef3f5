//! Sea water and its concentrates, evaporator range: Sharqawy, Lienhard and Zubair (2010).
//!
//! Source: M. H. Sharqawy, J. H. Lienhard V, S. M. Zubair, "Thermophysical properties of seawater: a
//! review of existing correlations and data", Desalination and Water Treatment 16 (2010) 354-380.
//! Salinity is absolute, g/kg; temperature °C (ITS-90) unless a line says otherwise. The functions here
//! answer outside their range too: [`crate::check`] says when that happens.

use crate::CELSIUS_ZERO_K;
use crate::number::{Number, polynomial};

/// The enthalpy correlation turns upward beyond 120 g/kg, so the salinity is held there.
pub const ENTHALPY_SALINITY_CAP_G_KG: f64 = 120.0;

/// ITS-90 to IPTS-68: T68 = 1.00024 T90, the form the correlation's authors use.
const T68_OVER_T90: f64 = 1.00024;

/// Density, kg/m³, at atmospheric pressure (equation 8; 0-180 °C, 0-160 g/kg, ±0.1 %).
#[inline]
pub fn density_kg_m3<T: Number>(t_c: T, s_g_kg: T) -> T {
    let s = s_g_kg * 1e-3;
    let water = polynomial(t_c, &[9.999e2, 2.034e-2, -6.162e-3, 2.261e-5, -4.657e-8]);
    let linear = polynomial(t_c, &[8.020e2, -2.001, 1.677e-2, -3.060e-5]);
    water + s * (linear + s * t_c * t_c * -1.613e-5)
}

/// Isobaric heat capacity, J/(kg K), at atmospheric pressure (equation 9, Jamieson et al. 1969;
/// 0-180 °C, 0-180 g/kg, ±0.28 %).
#[inline]
pub fn heat_capacity_j_kg_k<T: Number>(t_c: T, s_g_kg: T) -> T {
    let t68 = (t_c + CELSIUS_ZERO_K) * T68_OVER_T90;
    let a = polynomial(s_g_kg, &[5.328e3, -9.76e1, 4.04e-1]);
    let b = polynomial(s_g_kg, &[-6.913, 7.351e-1, -3.15e-3]);
    let c = polynomial(s_g_kg, &[9.6e-3, -1.927e-3, 8.23e-6]);
    let d = polynomial(s_g_kg, &[2.5e-6, 1.666e-6, -7.125e-9]);
    ((d * t68 + c) * t68 + b) * t68 + a
}

/// What salt changes in the enthalpy, h(T, S) − h(T, 0), J/kg (equation 43; 10-120 °C, 0-120 g/kg, ±0.5 %
/// of the enthalpy). Above 120 g/kg the salinity is held at 120.
#[inline]
pub fn enthalpy_difference_j_kg<T: Number>(t_c: T, s_g_kg: T) -> T {
    let capped = if s_g_kg.re() > ENTHALPY_SALINITY_CAP_G_KG {
        T::from(ENTHALPY_SALINITY_CAP_G_KG)
    } else {
        s_g_kg
    };
    let s = capped * 1e-3;
    let s0 = polynomial(t_c, &[-2.348e4, 7.826e3, -4.417e1, 2.139e-1]);
    let s1 = polynomial(t_c, &[3.152e5, -1.991e4, 9.728e1]);
    let s2 = t_c * 2.778e4 + 2.803e6;
    -s * (((s * -1.446e7 + s2) * s + s1) * s + s0)
}

/// Boiling point elevation, K, of sea water over pure water boiling at `t_c` °C (equation 36;
/// 0-200 °C, 0-120 g/kg, ±0.018 K).
#[inline]
pub fn boiling_point_elevation_k<T: Number>(t_c: T, s_g_kg: T) -> T {
    let s = s_g_kg * 1e-3;
    let a = polynomial(t_c, &[17.95, 2.823e-1, -4.584e-4]);
    let b = polynomial(t_c, &[6.56, 5.267e-2, 1.536e-4]);
    s * (a * s + b)
}
