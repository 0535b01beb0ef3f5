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
    /// The depth: a node of next to none beside it was passed over.
    pub depth: bool,
}

/// How far the land is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// To the nearest land, or to a line that counts as it: what orders go by. Nothing at all on land.
    pub off: Distance,
    /// To the coast itself.
    pub coast: Distance,
}

/// The sea at a place on a day of the year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sea {
    /// To the nearest land, or to a line that counts as it; nothing at all on land.
    pub distance_off: Distance,
    /// To the coast itself.
    pub coast_off: Distance,
    /// Climatological depth, m; `None` where the data say nothing. Not for navigation.
    pub depth_m: Option<f64>,
    /// Temperature at the surface, °C.
    pub temp_c: f64,
    /// Salinity at the surface, g/kg.
    pub salinity_g_kg: f64,
    /// Which of these figures are assumed, the data having none.
    pub assumed: Assumed,
    /// The position is on land, as far as the data can tell.
    pub land: bool,
}

impl Sea {
    /// The same sea at a temperature that somebody aboard knows, °C.
    #[must_use]
    pub fn told(self, temp_c: f64) -> Self {
        Self { temp_c, assumed: Assumed { temp: false, ..self.assumed }, ..self }
    }
}

/// Where such figures come from: the embedded data, the ship's own readings, a test.
pub trait Waters {
    /// The sea at a position on a date.
    fn at(&self, position: Position, date: Date) -> Sea;

    /// How far the land is from a position; as in [`Waters::at`].
    fn near(&self, position: Position) -> Near;
}

/// What the plant makes with full heat at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Make {
    /// Output run to limits, t per 24 h; 0 where it cannot run.
    pub t_day: f64,
    /// d ln(output)/d(sea temperature), 1/K.
    pub sea_slope_per_k: f64,
}

impl Make {
    /// So much and no more, t per 24 h, whatever the sea's temperature.
    pub(super) fn no_more_than(self, most_t_day: f64) -> Self {
        if self.t_day <= most_t_day {
            self
        } else {
            Self { t_day: most_t_day, sea_slope_per_k: 0.0 }
        }
    }
}

/// The plant as the planner sees it.
pub trait Still {
    /// What it makes in this sea at this share of rated engine load.
    fn makes(&self, sea: &Sea, load: f64) -> Make;
}
