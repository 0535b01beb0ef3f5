//! Liquid water: IAPWS-IF97 region 1.
//!
//! Source: IAPWS R7-97(2012), equation 7, tables 2 and 3. Range 273.15-623.15 K, from saturation to
//! 100 MPa. Claimed uncertainty below 373 K at low pressure: density 0.001-0.003 %, heat capacity 0.1-0.2 %.

use crate::number::{Number, derivative_table};
use crate::{CELSIUS_ZERO_K, WATER_GAS_CONSTANT_J_KG_K, saturation};

/// Reducing pressure, Pa, and temperature, K.
const P_STAR: f64 = 16.53e6;
const T_STAR: f64 = 1386.0;

/// Table 2 of R7-97(2012): (I, J, n).
const TERMS: [(i32, i32, f64); 34] = [
    (0, -2, 0.146_329_712_131_67),
    (0, -1, -0.845_481_871_691_14),
    (0, 0, -0.375_636_036_720_40e1),
    (0, 1, 0.338_551_691_683_85e1),
    (0, 2, -0.957_919_633_878_72),
    (0, 3, 0.157_720_385_132_28),
    (0, 4, -0.166_164_171_995_01e-1),
    (0, 5, 0.812_146_299_835_68e-3),
    (1, -9, 0.283_190_801_238_04e-3),
    (1, -7, -0.607_063_015_658_74e-3),
    (1, -1, -0.189_900_682_184_19e-1),
    (1, 0, -0.325_297_487_705_05e-1),
    (1, 1, -0.218_417_171_754_14e-1),
    (1, 3, -0.528_383_579_699_30e-4),
    (2, -3, -0.471_843_210_732_67e-3),
    (2, 0, -0.300_017_807_930_26e-3),
    (2, 1, 0.476_613_939_069_87e-4),
    (2, 3, -0.441_418_453_308_46e-5),
    (2, 17, -0.726_949_962_975_94e-15),
    (3, -4, -0.316_796_448_450_54e-4),
    (3, 0, -0.282_707_979_853_12e-5),
    (3, 6, -0.852_051_281_201_03e-9),
    (4, -5, -0.224_252_819_080_00e-5),
    (4, -2, -0.651_712_228_956_01e-6),
    (4, 10, -0.143_417_299_379_24e-12),
    (5, -8, -0.405_169_968_601_17e-6),
    (8, -11, -0.127_343_017_416_41e-8),
    (8, -6, -0.174_248_712_306_34e-9),
    (21, -29, -0.687_621_312_955_31e-18),
    (23, -31, 0.144_783_078_285_21e-19),
    (29, -38, 0.263_357_816_627_95e-22),
    (30, -39, -0.119_476_226_400_71e-22),
    (31, -40, 0.182_280_945_814_04e-23),
    (32, -41, -0.935_370_872_924_58e-25),
];

const GAMMA: [f64; 34] = derivative_table(&TERMS, 0, 0);
const GAMMA_X: [f64; 34] = derivative_table(&TERMS, 1, 0);
const GAMMA_Y: [f64; 34] = derivative_table(&TERMS, 0, 1);
const GAMMA_YY: [f64; 34] = derivative_table(&TERMS, 0, 2);

/// The two variables of the sum: x = 7.1 − π and y = τ − 1.222, with 1/y, which most terms need.
struct State<T> {
    t_k: T,
    tau: T,
    x: T,
    y: T,
    y_inverse: T,
}

impl<T: Number> State<T> {
    #[inline(always)]
    fn new(t_c: T, p_pa: T) -> Self {
        let t_k = t_c + CELSIUS_ZERO_K;
        let tau = t_k.recip() * T_STAR;
        let y = tau - 1.222;
        Self { t_k, tau, x: -p_pa * (1.0 / P_STAR) + 7.1, y, y_inverse: y.recip() }
    }

    /// Σ c x^I y^J with the exponents of table 2, nested so that each power is built once.
    ///
    /// The last six terms are written in q = x/y, which keeps their huge and tiny powers together.
    #[inline(always)]
    fn sum(&self, c: &[f64; 34]) -> T {
        let Self { x, y, y_inverse: r, .. } = *self;
        let (y2, r2) = (y * y, r * r);
        let (y3, r3) = (y2 * y, r2 * r);
        let (y4, r4, y6) = (y2 * y2, r2 * r2, y3 * y3);
        let (r5, r8, y12) = (r4 * r, r4 * r4, y6 * y6);

        let x0 = ((((((y * c[7] + c[6]) * y + c[5]) * y + c[4]) * y + c[3]) * y + c[2]) * y + c[1])
            * y
            + c[0];
        let x1 = ((((y2 * c[13] + c[12]) * y + c[11]) * y + c[10]) * y6 + c[9]) * y2 + c[8];
        let x2 = (((y12 * y2 * c[18] + c[17]) * y2 + c[16]) * y + c[15]) * y3 + c[14];
        let x3 = (y6 * c[21] + c[20]) * y4 + c[19];
        let x4 = (y12 * c[24] + c[23]) * y3 + c[22];
        let x8 = r8 * r3 * (y4 * y * c[27] + c[26]);
        let x3_power = x * x * x;
        let low = x0 * r2
            + x * (x1 * r8 * r
                + x * (x2 * r3 + x * (x3 * r4 + x * (x4 * r5 + x * (r8 * c[25] + x3_power * x8)))));

        let q = x * r;
        let q2 = q * q;
        let q4 = q2 * q2;
        let q6 = q4 * q2;
        let q16 = (q4 * q4) * (q4 * q4);
        let high = ((q * c[33] + c[32]) * q + c[31]) * q + c[30];
        low + q16 * q4 * q * r8 * (q2 * (q6 * r * high + c[29]) + c[28])
    }
}

/// Specific enthalpy, J/kg, of liquid water at `t_c` °C and `p_pa` Pa absolute.
#[inline]
pub fn enthalpy_j_kg<T: Number>(t_c: T, p_pa: T) -> T {
    let at = State::new(t_c, p_pa);
    at.sum(&GAMMA_Y) * at.y_inverse * (WATER_GAS_CONSTANT_J_KG_K * T_STAR)
}

/// Enthalpy of saturated liquid h', J/kg, at `t_c` °C: region 1 at the saturation pressure.
#[inline]
pub fn saturated_enthalpy_j_kg<T: Number>(t_c: T) -> T {
    enthalpy_j_kg(t_c, saturation::pressure_pa(t_c))
}

/// Density, kg/m³, of liquid water at `t_c` °C and `p_pa` Pa absolute.
#[inline]
pub fn density_kg_m3<T: Number>(t_c: T, p_pa: T) -> T {
    let at = State::new(t_c, p_pa);
    // γ_π = −Σ n I x^(I−1) y^J
    -(at.x * P_STAR) / (at.t_k * at.sum(&GAMMA_X) * WATER_GAS_CONSTANT_J_KG_K)
}

/// Isobaric heat capacity, J/(kg K), of liquid water at `t_c` °C and `p_pa` Pa absolute.
#[inline]
pub fn heat_capacity_j_kg_k<T: Number>(t_c: T, p_pa: T) -> T {
    let at = State::new(t_c, p_pa);
    let ratio = at.tau * at.y_inverse;
    ratio * ratio * at.sum(&GAMMA_YY) * -WATER_GAS_CONSTANT_J_KG_K
}

/// Specific entropy, J/(kg K), of liquid water at `t_c` °C and `p_pa` Pa absolute.
#[inline]
pub fn entropy_j_kg_k<T: Number>(t_c: T, p_pa: T) -> T {
    let at = State::new(t_c, p_pa);
    (at.tau * at.y_inverse * at.sum(&GAMMA_Y) - at.sum(&GAMMA)) * WATER_GAS_CONSTANT_J_KG_K
}
