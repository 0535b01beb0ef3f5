//! What lies around a position: how far the land, how deep, how warm, how salt.

use jiff::civil::Date;
use ocean::{Distance, Position};

/// What nobody measured there and was put in its place.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Assumed {
    /// The temperature.
    pub temp: bool,
    /// The salinity.
    pub salinity: bool,
}

/// The sea at a place on a day of the year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sea {
    /// To the nearest land, or to a line that counts as it.
    pub distance_off: Distance,
    /// Climatological depth, m; `None` where the data say nothing. Not for navigation.
    pub depth_m: Option<f64>,
    /// Temperature at the surface, °C.
    pub temp_c: f64,
    /// Salinity at the surface, g/kg.
    pub salinity_g_kg: f64,
    /// Which of these figures are assumed, the data having none.
    pub assumed: Assumed,
    /// The data have land here.
    pub land: bool,
}

/// Where such figures come from: the embedded data, the ship's own readings, a test.
pub trait Waters {
    /// The sea at a position on a date.
    fn at(&self, position: Position, date: Date) -> Sea;
}

/// What the plant makes with full heat at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Make {
    /// Output run to limits, t per 24 h; 0 where it cannot run.
    pub t_day: f64,
    /// d ln(output)/d(sea temperature), 1/K.
    pub sea_slope_per_k: f64,
}

/// The plant as the planner sees it.
pub trait Still {
    /// What it makes in this sea at this share of rated engine load.
    fn makes(&self, sea: &Sea, load: f64) -> Make;
}
