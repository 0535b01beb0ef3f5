//! The evaporating plant at rest: plant sheet, components, the steady solution, its limits and its band.

mod error;
pub mod keys;
mod point;
mod sheet;
mod solution;
mod value;

pub use error::{FieldError, Infeasible, SheetError};
pub use point::{HeatShort, Point};
pub use sheet::{ColdTrim, FeedFrom, Sheet};
pub use solution::{
    Effort, Flag, Inside, Limit, LimitKind, RESULT_FIGURES, Residuals, Solution, Trim, TrimLever,
    TrimReason,
};
pub use value::Value;

/// kg/s in one tonne a day.
pub(crate) const KG_S_PER_T_DAY: f64 = 1000.0 / 86_400.0;
