//! The saturation line of water: IAPWS-IF97 region 4, both ways.
//!
//! Source: IAPWS R7-97(2012), equations 30 and 31, table 34. Range 273.15 K to 647.096 K
//! (611.213 Pa to 22.064 MPa). Claimed uncertainty of the pressure: 0.025 % at 0-100 °C.

use crate::number::Number;
use crate::{CELSIUS_ZERO_K, TRIPLE_POINT_C, TRIPLE_POINT_PA};

/// Table 34 of R7-97(2012).
const N: [f64; 10] = [
    0.116_705_214_527_67e4,
    -0.724_213_167_032_06e6,
    -0.170_738_469_400_92e2,
    0.120_208_247_024_70e5,
    -0.323_255_503_223_33e7,
    0.149_151_086_135_30e2,
    -0.482_326_573_615_91e4,
    0.405_113_405_420_57e6,
    -0.238_555_575_678_49,
    0.650_175_348_447_98e3,
];

/// Saturation pressure, Pa, at `t_c` °C (equation 30; 0.01-373.946 °C).
#[inline]
pub fn pressure_pa<T: Number>(t_c: T) -> T {
    let t_k = t_c + CELSIUS_ZERO_K;
    // The equation's theta is `over / under`; its root does not change when a, b and c are all taken `under²` times, which
    // saves a division.
    let under = t_k - N[9];
    let over = t_k * under + N[8];
    let a = (over + under * N[0]) * over + under * under * N[1];
    let b = (over * N[2] + under * N[3]) * over + under * under * N[4];
    let c = (over * N[5] + under * N[6]) * over + under * under * N[7];
    let root = c * 2.0 / ((b * b - a * c * 4.0).sqrt() - b);
    let squared = root * root;
    squared * squared * 1e6
}

/// Saturation temperature, °C, at `p_pa` Pa absolute (equation 31; 611.657 Pa to 22.064 MPa).
///
/// Below the triple-point pressure there is no liquid: the temperature is held at 0.01 °C, with
/// derivative zero.
#[inline]
pub fn temperature_c<T: Number>(p_pa: T) -> T {
    if p_pa.re() <= TRIPLE_POINT_PA {
        return T::from(TRIPLE_POINT_C);
    }
    let beta = (p_pa * 1e-6).sqrt().sqrt();
    let e = (beta + N[2]) * beta + N[5];
    let f = (beta * N[0] + N[3]) * beta + N[6];
    let g = (beta * N[1] + N[4]) * beta + N[7];
    let d = g * 2.0 / (-f - (f * f - e * g * 4.0).sqrt());
    let sum = d + N[9];
    (sum - (sum * sum - (d * N[9] + N[8]) * 4.0).sqrt()) * 0.5 - CELSIUS_ZERO_K
}
