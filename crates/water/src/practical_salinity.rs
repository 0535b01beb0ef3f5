//! Practical salinity from conductivity and back: the Practical Salinity Scale 1978.
//!
//! Source: UNESCO technical papers in marine science 37 (1981) and 44 (Fofonoff and Millard 1983).
//! Range 2-42, −2 to 35 °C, 0 to 10 000 dbar; claimed 0.0015 in salinity. Temperatures here are ITS-90 and
//! turned into IPTS-68, the scale of the polynomials. Outside 2-42 the polynomial is only an extrapolation:
//! [`in_range`] says so.

use crate::number::{Number, polynomial};

/// Conductivity of standard sea water at 35, 15 °C (IPTS-68), 0 dbar, mS/cm (Culkin and Smith 1980).
pub const STANDARD_CONDUCTIVITY_MS_CM: f64 = 42.914;

/// Lowest and highest salinity of the scale.
pub const RANGE: (f64, f64) = (2.0, 42.0);

const A: [f64; 6] = [0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081];
const B: [f64; 6] = [0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144];
const C: [f64; 5] = [0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9];
const D: [f64; 4] = [3.426e-2, 4.464e-4, 4.215e-1, -3.107e-3];
const E: [f64; 4] = [0.0, 2.070e-5, -6.370e-10, 3.989e-15];
const K: f64 = 0.0162;
const T68_OVER_T90: f64 = 1.00024;

/// Whether a practical salinity lies on the scale, 2-42.
#[must_use]
pub const fn in_range(practical: f64) -> bool {
    practical >= RANGE.0 && practical <= RANGE.1
}

/// Practical salinity of water of conductivity `c_ms_cm` mS/cm (above 0) at `t_c` °C and `p_dbar` dbar of
/// sea pressure (0 at the surface).
#[inline]
pub fn from_conductivity<T: Number>(c_ms_cm: T, t_c: T, p_dbar: T) -> T {
    let t68 = t_c * T68_OVER_T90;
    let ratio = c_ms_cm * (1.0 / STANDARD_CONDUCTIVITY_MS_CM);
    let (b, d) = pressure_terms(t68);
    let r_p = polynomial(p_dbar, &E) / (b + d * ratio) + 1.0;
    salinity((ratio / (r_p * polynomial(t68, &C))).sqrt(), t68)
}

/// Conductivity, mS/cm, of water of practical salinity `practical` (above 0) at `t_c` °C and `p_dbar` dbar.
#[inline]
pub fn to_conductivity<T: Number>(practical: T, t_c: T, p_dbar: T) -> T {
    let t68 = t_c * T68_OVER_T90;
    // Newton on √R_t: the scale is close to quadratic in it, so a few steps reach rounding.
    let mut root = (practical * (1.0 / 35.0)).sqrt();
    for _ in 0..8 {
        root -= (salinity(root, t68) - practical) / salinity_slope(root, t68);
    }
    // R = R_t r_t R_p, where R_p itself depends on R: a quadratic with one positive root.
    let (b, d) = pressure_terms(t68);
    let at_surface = root * root * polynomial(t68, &C);
    let linear = b - d * at_surface;
    let constant = at_surface * (b + polynomial(p_dbar, &E));
    let ratio = ((linear * linear + d * constant * 4.0).sqrt() - linear) / (d * 2.0);
    ratio * STANDARD_CONDUCTIVITY_MS_CM
}

/// The temperature-dependent terms of the pressure correction.
#[inline]
fn pressure_terms<T: Number>(t68: T) -> (T, T) {
    ((t68 * D[1] + D[0]) * t68 + 1.0, t68 * D[3] + D[2])
}

/// How far from 15 °C, as the scale weighs it.
#[inline]
fn temperature_factor<T: Number>(t68: T) -> T {
    let from_15 = t68 - 15.0;
    from_15 / (from_15 * K + 1.0)
}

#[inline]
fn salinity<T: Number>(root: T, t68: T) -> T {
    polynomial(root, &A) + temperature_factor(t68) * polynomial(root, &B)
}

#[inline]
fn salinity_slope<T: Number>(root: T, t68: T) -> T {
    let slope =
        |c: &[f64; 6]| polynomial(root, &[c[1], 2.0 * c[2], 3.0 * c[3], 4.0 * c[4], 5.0 * c[5]]);
    slope(&A) + temperature_factor(t68) * slope(&B)
}
