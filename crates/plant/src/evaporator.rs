//! The evaporator: films, overall heat transfer, the duty jacket water can pass to well-mixed brine.

use water::liquid;
use water::number::Number;

use crate::arith::{at_least, settle};

/// Critical pressure of water, Pa (IAPWS R2-83).
const CRITICAL_PA: f64 = 22.064e6;

/// Pressure at which jacket water's heat capacity is taken, Pa absolute.
const JACKET_PA: f64 = 3.0e5;

/// More than water's heat capacity anywhere in range, J/(kg K): past it a trial needs no search.
pub(crate) const HEAT_CAPACITY_BOUND: f64 = 6000.0;

/// Temperature factor of a water film, 1 + 0.0146 t (McAdams, Heat Transmission, water in turbulent flow).
#[inline]
pub fn water_film_factor<T: Number>(t_c: T) -> T {
    t_c * 0.0146 + 1.0
}

/// How nucleate boiling goes with pressure: 1.8 p_r^0.17 + 4 p_r^1.2 + 10 p_r^10 (Mostinski 1963).
#[inline]
pub fn mostinski<T: Number>(p_pa: T) -> T {
    let reduced = p_pa * (1.0 / CRITICAL_PA);
    let ln = reduced.ln();
    (ln * 0.17).exp() * 1.8 + reduced * (ln * 0.2).exp() * 4.0 + reduced.powi(10) * 10.0
}

/// Closure (ours): boiling film over its rated value, nucleate part and a convective share joined with exponent 3
/// (the form of Steiner and Taborek).
///
/// `heat` is duty over rated duty, `pressure` is [`mostinski`] over its rated value.
#[inline]
pub fn boiling_film<T: Number>(heat: T, pressure: T, convective_share: T) -> T {
    let floor = convective_share * convective_share * convective_share;
    if heat.re() <= 0.0 {
        return convective_share;
    }
    let x = heat.powf(0.7) * pressure;
    ((-floor + 1.0) * (x * x * x) + floor).cbrt()
}

/// Overall heat transfer, W/m²K, from the two films, the wall and what lies on it.
#[inline]
pub fn overall<T: Number>(film: T, wall: T, deposit: T, far_film: T) -> T {
    (film.recip() + wall + deposit + far_film.recip()).recip()
}

/// Part of the largest possible duty that a stream of `capacity` W/K passes to a bath of one temperature, 1 − exp(−UA/C).
#[inline]
pub(crate) fn effectiveness<T: Number>(ua_w_k: T, capacity_w_k: T) -> T {
    -(-ua_w_k / capacity_w_k).exp_m1()
}

/// Jacket water's heat capacity, J/(kg K), at the mean of inlet and outlet.
#[inline]
pub fn jacket_heat_capacity<T: Number>(mean_c: T) -> T {
    liquid::heat_capacity_j_kg_k(mean_c, T::from(JACKET_PA))
}

/// Jacket water out, °C, and its heat capacity at the mean, when it gives `heat` W; held between 0 °C and the inlet.
///
/// At a solution the outlet lies between brine and inlet; the hold only keeps trial values within the property range.
#[inline]
pub(crate) fn jacket_out<T: Number>(heat: T, flow: T, in_c: T, hint_c: f64) -> (T, T) {
    let (q, m, t_in) = (heat.re(), flow.re(), in_c.re());
    if q <= 0.0 {
        return (in_c, jacket_heat_capacity(in_c));
    }
    let low = 0.01_f64.min(t_in);
    if q >= m * HEAT_CAPACITY_BOUND * (t_in - low) {
        let held = T::from(low);
        return (held, jacket_heat_capacity((in_c + held) * 0.5));
    }
    let start = T::from(hint_c.clamp(low, t_in));
    let (out, cp) = settle(start, |t: T| {
        let cp = jacket_heat_capacity((in_c + t) * 0.5);
        (at_least(in_c - heat / (flow * cp), T::from(low)), cp)
    });
    (out, cp)
}
