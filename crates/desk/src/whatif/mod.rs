//! "What can it make here?": the plant under conditions as asked, run to its limits and left to itself, and what holds it.

pub mod asked;
pub mod flows;
pub mod holds;
pub mod map;
pub mod reach;
pub mod side;

use plant::{Banding, Infeasible, Point, Solution};

use crate::setup::Setup;
use crate::view::Band;

pub use asked::{Asked, Base, KNOBS, Knob, Latest, Refused, asked, base, knobs, latest};
pub use flows::{HeatBalance, WaterBalance};
pub use map::{MapOver, MapView};
pub use reach::{Reached, Wanted, wanted};
pub use side::SideRow;

/// What the plant makes when it is run to its limits, with its band.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// The plant's answer.
    pub solution: Solution,
    /// Output, t/day; nine in ten lie within.
    pub product_t_day: Band,
    /// Heat taken from the engine, kW; nine in ten lie within.
    pub heat_kw: Band,
}

/// The answer to "what can it make here?".
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The conditions it is for.
    pub point: Point,
    /// Run to its limits, as aboard; or why it cannot run.
    pub made: Result<Made, Infeasible>,
    /// Every flow as given, no limit looked at; or why it cannot run.
    pub free: Result<Solution, Infeasible>,
    /// Heat the engine can spare at its load, kW; none when no load was given.
    pub spare_kw: Option<f64>,
}

/// Works out what the plant can make at `point`.
#[must_use]
pub fn answer(setup: &Setup, banding: &Banding<'_>, point: &Point) -> Answer {
    let run = Point { trimmed: true, ..point.clone() };
    let made = banding.at(&run).map(|banded| {
        let band = |key: &str, scale: f64| {
            let middle = banded.solution.get(key).unwrap_or(f64::NAN);
            // An answer without a band is still an answer: then the band has no width.
            let (low, high) = banded.band(key).unwrap_or((middle, middle));
            Band { middle: middle * scale, low: low * scale, high: high * scale }
        };
        let product_t_day = band("product_t_day", 1.0);
        let heat_kw = band("evaporator_heat_w", 1.0e-3);
        Made { product_t_day, heat_kw, solution: banded.solution }
    });
    Answer {
        free: setup.plant.free(point),
        spare_kw: point.engine_load.map(|load| (setup.plant.spare_heat_w(load) / 1000.0).max(0.0)),
        made,
        point: run,
    }
}
