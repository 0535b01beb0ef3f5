//! The evaporating plant at rest: plant sheet, components, the steady solution, its limits and its band.

mod air;
mod arith;
mod backwards;
mod band;
mod bracket;
mod calibrate;
pub mod closures;
mod condenser;
mod demister;
mod ejector;
mod engine;
mod error;
mod evaporator;
mod guess;
pub mod keys;
mod lanes;
mod limits;
mod map;
mod model;
mod neighbours;
mod plant;
mod point;
mod quick;
mod sheet;
mod solution;
mod solve;
mod tangent;
mod together;
mod trim;
mod value;

pub use backwards::{Lever, Reach};
pub use band::{Banded, Banding, Influence, NINE_IN_TEN, Spread, Uncertainty};
pub use calibrate::Calibration;
pub use engine::JacketHeat;
pub use error::{FieldError, Infeasible, SheetError};
pub use limits::BRINE_PRACTICE_G_KG;
pub use map::{Axis, Row};
pub use plant::Plant;
pub use point::{HeatShort, Point};
pub use sheet::{ColdTrim, FeedFrom, Sheet};
pub use solution::{
    Effort, Flag, Inside, Limit, LimitKind, RESULT_FIGURES, Residuals, Solution, Trim, TrimLever,
    TrimReason,
};
pub use tangent::{MOST_INPUTS, MOST_SHEET_INPUTS, Tangent, Tangents};
pub use value::Value;

/// kg/s in one tonne a day.
pub(crate) const KG_S_PER_T_DAY: f64 = 1000.0 / 86_400.0;
