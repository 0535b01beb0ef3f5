//! Gas in the shell: what comes in, where it gathers, how much of the condenser it blankets, what it takes up the vent.

use water::number::Number;
use water::{CELSIUS_ZERO_K, GAS_CONSTANT, M_WATER_KG_MOL, gas, saturation};

use crate::arith::{newton, refine, slope};

/// Salinity at which the sheet's alkalinity is stated, g/kg.
const ALKALINITY_SALINITY_G_KG: f64 = 35.165;

/// Pressure ratio under which a leak is choked (air; ISO 6358 form).
const CHOKED_RATIO: f64 = 0.528;

/// Leak over its choked value at shell pressure over atmosphere `ratio` (ISO 6358: an ellipse past the choked ratio).
#[inline]
pub fn leak_factor<T: Number>(ratio: T) -> T {
    if ratio.re() <= CHOKED_RATIO {
        return T::from(1.0);
    }
    if ratio.re() >= 1.0 {
        return T::from(0.0);
    }
    let past = (ratio - CHOKED_RATIO) * (1.0 / (1.0 - CHOKED_RATIO));
    (-past * past + 1.0).sqrt()
}

/// Gas given off by each kg of feed, mol/kg: dissolved air (Weiss 1970) and carbon dioxide from bicarbonate,
/// 2 HCO3⁻ → CO2 + CO3²⁻.
#[inline]
pub fn from_feed<T: Number>(sea_c: T, salinity: T, alkalinity_mmol_kg: T, co2_release: T) -> T {
    let co2 = co2_release * alkalinity_mmol_kg * 0.5e-3 * (salinity / ALKALINITY_SALINITY_G_KG);
    gas::dissolved_air_mol_kg(sea_c, salinity) + co2
}

/// Gas pressure at the vent per kelvin of absolute temperature, Pa/K.
#[inline]
pub(crate) fn gas_pressure_per_kelvin<T: Number>(gas_mol_s: T, capacity_m3_s: T) -> T {
    gas_mol_s * GAS_CONSTANT / capacity_m3_s
}

/// A temperature with the saturation pressure of water at it.
#[derive(Clone, Copy)]
pub(crate) struct Saturated<T> {
    pub(crate) c: T,
    pub(crate) pa: T,
}

/// The vent: vapour saturated there and gas at the ejector's volume share `total_pa`.
///
/// One root, for the vapour's pressure rises and what gas leaves of the total falls. `None` where none lies at or above the
/// sea's temperature; held at the condensing temperature above.
#[inline]
pub(crate) fn vent<T: Number>(
    total_pa: T,
    pa_per_k: T,
    sea: Saturated<T>,
    condensing: Saturated<T>,
    hint_c: f64,
) -> Option<Saturated<T>> {
    let (total, rate) = (total_pa.re(), pa_per_k.re());
    let excess = |at: Saturated<T>| at.pa.re() + rate * (at.c.re() + CELSIUS_ZERO_K) - total;
    let (low, high) = (sea.c.re(), condensing.c.re());
    if !(high > low && rate.is_finite()) || excess(sea) > 0.0 {
        return None;
    }
    if excess(condensing) <= 0.0 {
        return Some(condensing);
    }
    let (root, at) = newton(hint_c, low, high, 1.0e-6, |t| {
        let (p, dp) = slope(t, saturation::pressure_pa);
        (p + rate * (t + CELSIUS_ZERO_K) - total, dp + rate)
    });
    let c = refine(root, at, |t: T| {
        saturation::pressure_pa(t) + pa_per_k * (t + CELSIUS_ZERO_K) - total_pa
    });
    Some(Saturated { c, pa: total_pa - pa_per_k * (c + CELSIUS_ZERO_K) })
}

/// Closure (ours): part of the condenser blanketed by gas, x^n with x the vent's sub-cooling over the whole drive.
///
/// n = 1 is gas mixed through the whole condenser, n → ∞ gas gathered at the vent.
#[inline]
pub(crate) fn blanketed_fraction<T: Number>(
    condensing_c: T,
    vent_c: T,
    sea_c: T,
    exponent: T,
) -> T {
    let x = (condensing_c - vent_c) / (condensing_c - sea_c);
    if x.re() <= 0.0 {
        return T::from(0.0);
    }
    if x.re() >= 1.0 {
        return T::from(1.0);
    }
    x.powd(exponent)
}

/// Vapour drawn off with the gas, kg/s: the ejector's volume filled with vapour saturated at the vent.
#[inline]
pub(crate) fn vent_loss<T: Number>(capacity_m3_s: T, vent: Saturated<T>) -> T {
    capacity_m3_s * vent.pa * (M_WATER_KG_MOL / GAS_CONSTANT) / (vent.c + CELSIUS_ZERO_K)
}
