//! How near concentrated sea water is to dropping scale: saturation indices over temperature and
//! concentration factor.
//!
//! Source: table computed with PHREEQC and its Pitzer database (Parkhurst and Appelo 2013; Plummer et al.
//! 1988) for reference-composition sea water; `data/SOURCE` says how. Range 20-100 °C, concentration factor
//! 1-4; nothing is claimed beyond ±0.1 for hemihydrate, whose constant comes from another data set. Between
//! the nodes: linear in temperature and in the logarithm of the concentration factor, within 0.01.

use crate::number::Number;

/// Temperatures of the table, °C.
const TEMPERATURES: [f64; 12] =
    [20.0, 30.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 80.0, 90.0, 100.0];

/// Concentration factors of the table: brine salinity over sea salinity.
const FACTORS: [f64; 8] = [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0];

/// Carbon × temperature × concentration factor × mineral.
#[allow(clippy::approx_constant, reason = "saturation indices that happen to look like π/3")]
const TABLE: [[[[f64; 6]; 8]; 12]; 2] = include!("../data/scale.in");

/// Range of the table: temperature, °C.
pub const TEMPERATURE_RANGE_C: (f64, f64) = (20.0, 100.0);

/// Range of the table: concentration factor.
pub const FACTOR_RANGE: (f64, f64) = (1.0, 4.0);

/// Salinity of the sea water the table starts from, g/kg.
pub const SEA_SALINITY_G_KG: f64 = 35.165;

/// What becomes of the carbon dioxide while the brine is concentrated. A real brine lies between the two.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Carbon {
    /// No gas leaves: the lower bound for calcite and brucite.
    Closed,
    /// The ejector draws off what 60 % of the bicarbonate can release: the upper bound.
    Degassed,
}

/// A mineral that may settle on the evaporator.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mineral {
    /// CaCO₃, the stable form.
    Calcite,
    /// CaCO₃, the form sea water usually drops.
    Aragonite,
    /// Mg(OH)₂.
    Brucite,
    /// CaSO₄·2H₂O.
    Gypsum,
    /// CaSO₄.
    Anhydrite,
    /// CaSO₄·½H₂O.
    Hemihydrate,
}

impl Mineral {
    /// All minerals of the table, in its order.
    pub const ALL: [Mineral; 6] = [
        Mineral::Calcite,
        Mineral::Aragonite,
        Mineral::Brucite,
        Mineral::Gypsum,
        Mineral::Anhydrite,
        Mineral::Hemihydrate,
    ];
}

/// Saturation index log10(IAP/K): 0 is saturated, above it the mineral may settle.
///
/// `t_c` is held to 20-100 °C and `factor` to 1-4; [`in_range`] tells whether that happened.
pub fn saturation_index<T: Number>(mineral: Mineral, carbon: Carbon, t_c: T, factor: T) -> T {
    let (i, u) = place(&TEMPERATURES, t_c, |t| t, |t| t);
    let (j, v) = place(&FACTORS, factor, f64::ln, |f| f.ln());
    let table = &TABLE[carbon as usize];
    let row = |i: usize| {
        let (from, to) = (table[i][j][mineral as usize], table[i][j + 1][mineral as usize]);
        v * (to - from) + from
    };
    let low = row(i);
    low + u * (row(i + 1) - low)
}

/// Saturation ratio Ω = IAP/K, 10 to the power of the index.
pub fn saturation_ratio<T: Number>(mineral: Mineral, carbon: Carbon, t_c: T, factor: T) -> T {
    (saturation_index(mineral, carbon, t_c, factor) * std::f64::consts::LN_10).exp()
}

/// Whether the table covers this state.
#[must_use]
pub fn in_range(t_c: f64, factor: f64) -> bool {
    (TEMPERATURE_RANGE_C.0..=TEMPERATURE_RANGE_C.1).contains(&t_c)
        && (FACTOR_RANGE.0..=FACTOR_RANGE.1).contains(&factor)
}

/// Index of the interval of `axis` that holds `x`, and how far along it `x` lies on the given scale, 0 to 1.
fn place<T: Number, const N: usize>(
    axis: &[f64; N],
    x: T,
    scale_node: impl Fn(f64) -> f64,
    scale: impl Fn(T) -> T,
) -> (usize, T) {
    let last = N - 2;
    let value = x.re();
    if value >= axis[N - 1] {
        return (last, T::from(1.0));
    }
    let inside = axis.iter().skip(1).position(|&node| value < node).unwrap_or(last).min(last);
    if value <= axis[0] {
        return (0, T::from(0.0));
    }
    let (from, to) = (scale_node(axis[inside]), scale_node(axis[inside + 1]));
    (inside, (scale(x) - from) / (to - from))
}
