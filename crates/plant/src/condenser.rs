//! The condenser: condensing film, the sea water's outlet, the duty the clean part can pass.

use water::number::Number;
use water::seawater;

use crate::arith::{at_most, settle};
use crate::evaporator::{HEAT_CAPACITY_BOUND, effectiveness};

/// Condensing film over its rated value (Nusselt film on a wall: power −1/3 of the condensate).
#[inline]
pub fn condensing_film<T: Number>(vapour_over_rated: T) -> T {
    vapour_over_rated.cbrt().recip()
}

/// Sea water out, °C, and its heat capacity at the mean, when it takes `heat` W; held at `cap_c`.
///
/// At a solution the outlet is colder than the condensing vapour; the hold only keeps trial values within the property range,
/// where the duty asked for is more than the condenser could ever pass and the sign of the balance is the same.
#[inline]
pub(crate) fn sea_out<T: Number>(
    heat: T,
    flow: T,
    in_c: T,
    salinity: T,
    cap_c: f64,
    hint_c: f64,
) -> (T, T) {
    let (q, m, t_in) = (heat.re(), flow.re(), in_c.re());
    if q <= 0.0 {
        return (in_c, seawater::heat_capacity_j_kg_k(in_c, salinity));
    }
    let high = cap_c.max(t_in);
    if q >= m * HEAT_CAPACITY_BOUND * (high - t_in) {
        let held = T::from(high);
        return (held, seawater::heat_capacity_j_kg_k((in_c + held) * 0.5, salinity));
    }
    let start = T::from(hint_c.clamp(t_in, high));
    let cap = T::from(high);
    settle(start, |t: T| {
        let cp = seawater::heat_capacity_j_kg_k((in_c + t) * 0.5, salinity);
        (at_most(in_c + heat / (flow * cp), cap), cp)
    })
}

/// Duty, W, that the part of the condenser free of gas can pass.
#[inline]
pub(crate) fn rate_duty<T: Number>(
    ua_w_k: T,
    free_part: T,
    capacity_w_k: T,
    condensing_c: T,
    in_c: T,
) -> T {
    let drive = condensing_c - in_c;
    if drive.re() <= 0.0 || free_part.re() <= 0.0 {
        return T::from(0.0);
    }
    capacity_w_k * drive * effectiveness(ua_w_k * free_part, capacity_w_k)
}
