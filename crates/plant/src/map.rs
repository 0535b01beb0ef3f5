//! Capacity maps: the plant over two conditions, row by row, each cell started from its neighbour.

use crate::error::{FieldError, Infeasible};
use crate::keys::{self, Key, Part};
use crate::neighbours::Neighbours;
use crate::plant::Plant;
use crate::point::Point;
use crate::solution::Solution;
use crate::value::Value;

/// A condition a map runs over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Axis {
    /// Sea temperature, °C.
    SeaTemp,
    /// Jacket water in, °C.
    JacketIn,
    /// Main engine load, percent: the heat limit applies.
    EngineLoad,
}

impl Axis {
    /// The key of the operating point it moves.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Axis::SeaTemp => "sea_temp_c",
            Axis::JacketIn => "jacket_in_c",
            Axis::EngineLoad => "engine_load",
        }
    }

    /// The axis of this key.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        [Axis::SeaTemp, Axis::JacketIn, Axis::EngineLoad].into_iter().find(|axis| axis.key() == key)
    }

    /// What the key is called, its unit and range.
    #[must_use]
    pub fn meaning(self) -> Option<&'static Key> {
        keys::find(Part::Point, self.key())
    }
}

/// One row of a map: what the plant does at each x, or why it does nothing.
pub type Row = Vec<Result<Solution, Infeasible>>;

impl Plant {
    /// One row of a capacity map: `base` with the y condition at `y` and the x condition at each of `xs`.
    ///
    /// A pure function, so that rows can be worked out side by side. The rest of `base` holds: flows, trims, barometer.
    ///
    /// # Errors
    /// The base's own field or an axis value that cannot be taken; a cell that cannot be is an answer in the row.
    pub fn map_row(
        &self,
        base: &Point,
        (x_axis, xs): (Axis, &[f64]),
        (y_axis, y): (Axis, f64),
    ) -> Result<Row, FieldError> {
        base.check()?;
        let mut point = base.clone();
        point.set(y_axis.key(), &Value::Number(y))?;
        let mut neighbours = Neighbours::default();
        let mut row = Vec::with_capacity(xs.len());
        for x in xs {
            point.set(x_axis.key(), &Value::Number(*x))?;
            neighbours.go_to(*x);
            let cell = self.rate_from(&point, &mut neighbours);
            if cell.is_err() {
                neighbours = Neighbours::default();
            }
            row.push(cell);
        }
        Ok(row)
    }
}
