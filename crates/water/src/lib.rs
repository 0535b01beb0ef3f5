//! Properties of steam, water, sea water, distillate and dissolved gas, one file per property or law.

//!
//! Two layers:
//!
//! * **laws** ([`saturation`], [`liquid`], [`steam`], [`seawater`], [`osmotic`], [`gas`], [`distillate`],
//!   [`mod@practical_salinity`], [`scale`] …): plain functions with the unit in the name, generic over
//!   [`number::Number`] so that the same formula gives exact derivatives; they answer outside their range too;
//! * **checked** ([`state`], [`saturation_temperature`], [`distillate_salt`] …): typed quantities, refused
//!   where no source speaks, flagged where one ends. [`PROPERTIES`] lists every property with its source.
//!
//! ```
//! use num_dual::Dual64;
//! // How fast saturation pressure rises at 46 °C, exactly.
//! let p = water::saturation::pressure_pa(Dual64::from(46.0).derivative());
//! assert!((p.re - 10_098.811).abs() < 1e-3, "{}", p.re);
//! // Clausius-Clapeyron with the ideal-gas volume: p L/(R T²) is 1 % from it.
//! assert!((p.eps / (10_098.8 * 2.3917e6 / (461.526 * 319.15_f64.powi(2))) - 1.0).abs() < 0.01);
//! ```

mod checked;
pub mod dielectric;
pub mod distillate;
pub mod gas;
pub mod liquid;
pub mod number;
pub mod osmotic;
pub mod practical_salinity;
mod property;
pub mod pure_conductivity;
mod range;
pub mod saturation;
pub mod scale;
pub mod seawater;
pub mod steam;
pub mod viscosity;

pub use checked::{
    State, distillate_conductivity, distillate_salt, practical_salinity, saturation_pressure,
    saturation_temperature, state,
};
pub use property::{Entry, PROPERTIES, Phase, Property};
pub use range::{Flagged, PropertyError, Range};

/// 0 °C in K.
pub const CELSIUS_ZERO_K: f64 = 273.15;

/// Molar mass of water, kg/mol (R7-97(2012) by way of the IAPWS-95 release).
pub const M_WATER_KG_MOL: f64 = 0.018_015_257;

/// Molar mass of dry air, kg/mol: the usual engineering figure (U.S. Standard Atmosphere 1976: 28.9644 g/mol,
/// CIPM-2007: 28.9655 g/mol).
pub const M_AIR_KG_MOL: f64 = 0.028_964_7;

/// Molar gas constant, J/(mol K): exact in the SI since 2019.
pub const GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// Specific gas constant of water, J/(kg K), R7-97(2012) equation 1.
pub const WATER_GAS_CONSTANT_J_KG_K: f64 = 461.526;

/// Triple point of water: pressure, Pa (R7-97(2012)).
pub const TRIPLE_POINT_PA: f64 = 611.657;

/// Triple point of water: temperature, °C.
pub const TRIPLE_POINT_C: f64 = 0.01;

/// Absolute (reference-composition) salinity in g/kg per unit of practical salinity, TEOS-10.
pub const ABSOLUTE_OVER_PRACTICAL: f64 = 35.16504 / 35.0;
