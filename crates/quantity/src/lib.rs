//! Newtypes over SI numbers: what a figure measures, in which unit it was written, and how it is shown.
//!
//! Three layers, each usable alone:
//!
//! * **types** ([`Temperature`], [`Pressure`], [`MassFlow`] …) hold SI and cannot be mixed up;
//! * **units** ([`Unit`], [`Kind`]) name what was written in a field, a file or the log;
//! * **text** ([`read`], [`show`], [`decimal`], [`read_moment`]) goes between what a person types and numbers or dates.
//!
//! ```
//! use quantity::{Pressure, Unit, read, show};
//!
//! let typed = read("92,5 % vac", Unit::PercentVac)?;
//! let barometer = Pressure::from_hpa(1009.0);
//! let shell = Pressure::from_pa(typed.si(Some(barometer))?);
//! assert!((shell.kpa() - 7.5675).abs() < 1e-9);
//! assert_eq!(show(shell.mbar(), Unit::MbarA), "75.7\u{202f}mbar abs");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod date;
mod decimal;
mod flow;
mod fraction;
mod newtype;
mod pressure;
mod read;
mod salinity;
mod show;
mod temperature;
mod thermal;
mod unit;

pub use date::{
    DateError, DayOrder, WrittenDate, WrittenMoment, day_first, read_date, read_day, read_moment,
    read_offset,
};
pub use decimal::decimal;
pub use flow::{MassFlow, VolumeFlow};
pub use fraction::Fraction;
pub use pressure::{GaugePressure, Pressure, Vacuum};
pub use read::{ReadError, Reading, Style, read, read_number, read_styled, read_unit};
pub use salinity::{Conductivity, MassFraction, Salinity};
pub use show::{Precision, show, show_number, show_to};
pub use temperature::{Temperature, TemperatureDifference};
pub use thermal::{Area, FoulingResistance, HeatTransferCoefficient, Power};
pub use unit::{ConversionError, Kind, Unit, UnknownUnit};
