//! Sea water and its concentrates, evaporator range: Sharqawy, Lienhard and Zubair (2010).
//!
//! Source: M. H. Sharqawy, J. H. Lienhard V, S. M. Zubair, "Thermophysical properties of seawater: a
//! review of existing correlations and data", Desalination and Water Treatment 16 (2010) 354-380.
//! Salinity is absolute, g/kg; temperature °C (ITS-90) unless a line says otherwise. The functions here
//! answer outside their range too: the table in [`crate::PROPERTIES`] says where
//! each ends. Thermal conductivity and
//! vapour pressure follow the newer correlations of K. G. Nayar, M. H. Sharqawy, L. D. Banchik,
//! J. H. Lienhard V, "Thermophysical properties of seawater: a review and new correlations that include
//! pressure dependence", Desalination 390 (2016) 1-24.

use crate::number::{Number, polynomial};
use crate::{CELSIUS_ZERO_K, liquid, saturation};

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

/// Specific enthalpy, J/kg: saturated liquid water of IAPWS-IF97 plus what salt changes in it.
#[inline]
pub fn enthalpy_j_kg<T: Number>(t_c: T, s_g_kg: T) -> T {
    liquid::saturated_enthalpy_j_kg(t_c) + enthalpy_difference_j_kg(t_c, s_g_kg)
}

/// Thermal conductivity, W/(m K) (Nayar et al. 2016; 10-90 °C, 0-120 g/kg, ±2.6 % with its data).
#[inline]
pub fn thermal_conductivity_w_m_k<T: Number>(t_c: T, s_g_kg: T) -> T {
    let ln_reduced = ((t_c + CELSIUS_ZERO_K) * (1.0 / 300.0)).ln();
    let power = |exponent: f64| (ln_reduced * exponent).exp();
    let water = power(-0.194) * 0.797015
        + power(-4.717) * -0.251242
        + power(-6.385) * 0.096437
        + power(-2.134) * -0.032696;
    water / (s_g_kg * 0.00022 + 1.0)
}

/// Dynamic viscosity, Pa s (equations 22 and 23; 0-180 °C, 0-150 g/kg, ±1.5 %).
#[inline]
pub fn viscosity_pa_s<T: Number>(t_c: T, s_g_kg: T) -> T {
    let s = s_g_kg * 1e-3;
    let shifted = t_c + 64.993;
    let water = (shifted * shifted * 0.157 - 91.296).recip() + 4.2844e-5;
    let a = polynomial(t_c, &[1.541, 1.998e-2, -9.52e-5]);
    let b = polynomial(t_c, &[7.974, -7.561e-2, 4.724e-4]);
    water * ((b * s + a) * s + 1.0)
}

/// Latent heat of vaporisation, J/kg of sea water (equations 37 and 54; 0-200 °C, 0-240 g/kg, ±0.01 % for
/// the water part).
#[inline]
pub fn latent_heat_j_kg<T: Number>(t_c: T, s_g_kg: T) -> T {
    let water = polynomial(t_c, &[2.501e6, -2.369e3, 2.678e-1, -8.103e-3, -2.079e-5]);
    water * (s_g_kg * -1e-3 + 1.0)
}

/// Vapour pressure, Pa, over IAPWS-IF97's of pure water (Nayar et al. 2016; 10-180 °C, 0-160 g/kg, ±0.26 %).
#[inline]
pub fn vapour_pressure_pa<T: Number>(t_c: T, s_g_kg: T) -> T {
    let ln_ratio = s_g_kg * (s_g_kg * -2.0443e-6 - 4.5818e-4);
    saturation::pressure_pa(t_c) * ln_ratio.exp()
}

/// Boiling temperature, °C, at `p_pa` Pa absolute: pure water's plus the elevation there.
#[inline]
pub fn boiling_temperature_c<T: Number>(p_pa: T, s_g_kg: T) -> T {
    let pure = saturation::temperature_c(p_pa);
    pure + boiling_point_elevation_k(pure, s_g_kg)
}
