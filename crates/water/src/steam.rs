//! Steam: IAPWS-IF97 region 2.
//!
//! Source: IAPWS R7-97(2012), equations 15-17, tables 10 and 11. Range 273.15-1073.15 K up to 100 MPa,
//! below saturation; it stays sound a little beyond saturation. Claimed uncertainty at the pressures of a
//! vacuum shell: density 0.05 %, heat capacity 0.2 %.

use crate::number::{Number, derivative_table, polynomial};
use crate::{CELSIUS_ZERO_K, WATER_GAS_CONSTANT_J_KG_K};

/// Reducing temperature, K; the reducing pressure is 1 MPa.
const T_STAR: f64 = 540.0;

/// Table 10 of R7-97(2012), ordered by exponent: (0, J, n) for J = −5 … 3.
const IDEAL: [(i32, i32, f64); 9] = [
    (0, -5, -0.560_879_112_830_20e-2),
    (0, -4, 0.714_527_380_814_55e-1),
    (0, -3, -0.407_104_982_239_28),
    (0, -2, 0.142_408_191_714_44e1),
    (0, -1, -0.438_395_113_194_50e1),
    (0, 0, -0.969_276_865_002_17e1),
    (0, 1, 0.100_866_559_680_18e2),
    (0, 2, -0.284_086_324_607_72),
    (0, 3, 0.212_684_637_533_07e-1),
];

/// Table 11 of R7-97(2012): (I, J, n).
const RESIDUAL: [(i32, i32, f64); 43] = [
    (1, 0, -0.177_317_424_732_13e-2),
    (1, 1, -0.178_348_622_923_58e-1),
    (1, 2, -0.459_960_136_963_65e-1),
    (1, 3, -0.575_812_590_834_32e-1),
    (1, 6, -0.503_252_787_279_30e-1),
    (2, 1, -0.330_326_416_702_03e-4),
    (2, 2, -0.189_489_875_163_15e-3),
    (2, 4, -0.393_927_772_433_55e-2),
    (2, 7, -0.437_972_956_505_73e-1),
    (2, 36, -0.266_745_479_140_87e-4),
    (3, 0, 0.204_817_376_923_09e-7),
    (3, 1, 0.438_706_672_844_35e-6),
    (3, 3, -0.322_776_772_385_70e-4),
    (3, 6, -0.150_339_245_421_48e-2),
    (3, 35, -0.406_682_535_626_49e-1),
    (4, 1, -0.788_473_095_593_67e-9),
    (4, 2, 0.127_907_178_522_85e-7),
    (4, 3, 0.482_253_727_185_07e-6),
    (5, 7, 0.229_220_763_376_61e-5),
    (6, 3, -0.167_147_664_510_61e-10),
    (6, 16, -0.211_714_723_213_55e-2),
    (6, 35, -0.238_957_419_341_04e2),
    (7, 0, -0.590_595_643_242_70e-17),
    (7, 11, -0.126_218_088_991_01e-5),
    (7, 25, -0.389_468_424_357_39e-1),
    (8, 8, 0.112_562_113_604_59e-10),
    (8, 36, -0.823_113_408_979_98e1),
    (9, 13, 0.198_097_128_020_88e-7),
    (10, 4, 0.104_069_652_101_74e-18),
    (10, 10, -0.102_347_470_959_29e-12),
    (10, 14, -0.100_181_793_795_11e-8),
    (16, 29, -0.808_829_086_469_85e-10),
    (16, 50, 0.106_930_318_794_09),
    (18, 57, -0.336_622_505_741_71),
    (20, 20, 0.891_858_453_554_21e-24),
    (20, 35, 0.306_293_168_762_32e-12),
    (20, 48, -0.420_024_676_982_08e-5),
    (21, 21, -0.590_560_296_856_39e-25),
    (22, 53, 0.378_269_476_134_57e-5),
    (23, 39, -0.127_686_089_346_81e-14),
    (24, 26, 0.730_876_105_950_61e-28),
    (24, 40, 0.554_147_153_507_78e-16),
    (24, 58, -0.943_697_072_412_10e-6),
];

/// Below 20 kPa (in MPa) the terms from π¹⁶ on are less than the rounding of the ideal part at any temperature
/// from 0 °C up (5e-18 of it): they are left out there, where a vacuum shell lives.
const DILUTE: f64 = 0.02;

const IDEAL_0: [f64; 9] = derivative_table(&IDEAL, 0, 0);
const IDEAL_T: [f64; 9] = derivative_table(&IDEAL, 0, 1);
const IDEAL_TT: [f64; 9] = derivative_table(&IDEAL, 0, 2);
const RESIDUAL_0: [f64; 43] = derivative_table(&RESIDUAL, 0, 0);
const RESIDUAL_P: [f64; 43] = derivative_table(&RESIDUAL, 1, 0);
const RESIDUAL_Y: [f64; 43] = derivative_table(&RESIDUAL, 0, 1);
const RESIDUAL_YY: [f64; 43] = derivative_table(&RESIDUAL, 0, 2);

struct State<T> {
    t_k: T,
    /// Pressure over 1 MPa.
    pi: T,
    /// 1/τ = T/540 K, for the negative powers of the ideal part.
    tau_inverse: T,
    tau: T,
    /// τ − 0.5, the variable of the residual part.
    y: T,
}

impl<T: Number> State<T> {
    #[inline(always)]
    fn new(p_pa: T, t_c: T) -> Self {
        let t_k = t_c + CELSIUS_ZERO_K;
        let tau = t_k.recip() * T_STAR;
        Self { t_k, pi: p_pa * 1e-6, tau_inverse: t_k * (1.0 / T_STAR), tau, y: tau - 0.5 }
    }

    /// Σ c τ^J over table 10.
    #[inline(always)]
    fn ideal(&self, c: &[f64; 9]) -> T {
        let r2 = self.tau_inverse * self.tau_inverse;
        polynomial(self.tau, c) * (r2 * r2 * self.tau_inverse)
    }

    /// Σ c π^I y^J over table 11, powers of y built once and shared.
    #[inline(always)]
    fn residual(&self, c: &[f64; 43]) -> T {
        let y = self.y;
        let y2 = y * y;
        let y3 = y2 * y;
        let y4 = y2 * y2;
        let y6 = y3 * y3;
        let y7 = y4 * y3;
        let y10 = y6 * y4;
        let y14 = y7 * y7;
        let y15 = y14 * y;
        let y29 = y15 * y14;
        let y35 = y29 * y6;
        let y36 = y35 * y;

        let p1 = ((y3 * c[4] + c[3]) * y + c[2]) * y2 + y * c[1] + c[0];
        let p2 = y * c[5] + y2 * c[6] + y4 * c[7] + y7 * c[8] + y36 * c[9];
        let p3 = y * c[11] + y3 * c[12] + y6 * c[13] + y35 * c[14] + c[10];
        let p4 = y * c[15] + y2 * c[16] + y3 * c[17];
        let p5 = y7 * c[18];
        let p6 = y3 * c[19] + y15 * y * c[20] + y35 * c[21];
        let p7 = y10 * y * c[23] + y15 * y10 * c[24] + c[22];
        let p8 = y4 * y4 * c[25] + y36 * c[26];
        let p9 = y10 * y3 * c[27];
        let p10 = y4 * c[28] + y10 * c[29] + y14 * c[30];
        let p = self.pi;
        let pp = p * p;
        let dense = if p.re() < DILUTE {
            T::from(0.0)
        } else {
            self.dense(c, [y, y3, y4, y6, y7, y10, y14, y29, y35, y36])
        };
        let middle = (((dense * (pp * pp * pp) + p10) * p + p9) * p + p8) * p + p7;
        ((((((middle * p + p6) * p + p5) * p + p4) * p + p3) * p + p2) * p + p1) * p
    }

    /// The part of the residual from π¹⁶ on, over π¹⁶.
    #[inline(always)]
    fn dense(&self, c: &[f64; 43], powers: [T; 10]) -> T {
        let [y, y3, y4, y6, y7, y10, y14, y29, y35, y36] = powers;
        let y20 = y10 * y10;
        let y50 = y36 * y14;
        let p16 = y29 * c[31] + y50 * c[32];
        let p18 = y50 * y7 * c[33];
        let p20 = y20 * c[34] + y35 * c[35] + y35 * y10 * y3 * c[36];
        let p21 = y20 * y * c[37];
        let p22 = y50 * y3 * c[38];
        let p23 = y35 * y4 * c[39];
        let p24 = y20 * y6 * c[40] + y20 * y20 * c[41] + y29 * y29 * c[42];
        let p = self.pi;
        let above = (((p24 * p + p23) * p + p22) * p + p21) * p + p20;
        (above * (p * p) + p18) * (p * p) + p16
    }
}

/// Specific enthalpy, J/kg, of steam at `p_pa` Pa absolute and `t_c` °C.
#[inline]
pub fn enthalpy_j_kg<T: Number>(p_pa: T, t_c: T) -> T {
    let at = State::new(p_pa, t_c);
    let ideal = at.ideal(&IDEAL_T) * at.tau_inverse;
    let residual = at.residual(&RESIDUAL_Y) / at.y;
    (ideal + residual) * (WATER_GAS_CONSTANT_J_KG_K * T_STAR)
}

/// Density, kg/m³, of steam at `p_pa` Pa absolute and `t_c` °C.
#[inline]
pub fn density_kg_m3<T: Number>(p_pa: T, t_c: T) -> T {
    let at = State::new(p_pa, t_c);
    p_pa / (at.t_k * (at.residual(&RESIDUAL_P) + 1.0) * WATER_GAS_CONSTANT_J_KG_K)
}

/// Isobaric heat capacity, J/(kg K), of steam at `p_pa` Pa absolute and `t_c` °C.
#[inline]
pub fn heat_capacity_j_kg_k<T: Number>(p_pa: T, t_c: T) -> T {
    let at = State::new(p_pa, t_c);
    let ratio = at.tau / at.y;
    let sum = at.ideal(&IDEAL_TT) + ratio * ratio * at.residual(&RESIDUAL_YY);
    sum * -WATER_GAS_CONSTANT_J_KG_K
}

/// Specific entropy, J/(kg K), of steam at `p_pa` Pa absolute (above zero) and `t_c` °C.
#[inline]
pub fn entropy_j_kg_k<T: Number>(p_pa: T, t_c: T) -> T {
    let at = State::new(p_pa, t_c);
    let ideal = at.ideal(&IDEAL_T) - at.ideal(&IDEAL_0) - at.pi.ln();
    let residual = at.tau / at.y * at.residual(&RESIDUAL_Y) - at.residual(&RESIDUAL_0);
    (ideal + residual) * WATER_GAS_CONSTANT_J_KG_K
}
