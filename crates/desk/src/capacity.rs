//! A capacity map over two conditions of the caller's, as figures and as a picture.

use std::fmt;

use chart::{CapacityMap, Grid, capacity_map_file};
use plant::keys::{self, Part};
use plant::{Axis, FieldError, Plant, Point, Row, Solution};
use rayon::prelude::*;

use crate::whatif::map::{Cell, regions};

/// Most places along one axis.
pub const MOST_PLACES: usize = 1000;

/// One axis of a map: the condition and its places, rising, in the condition's unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Places {
    /// The condition.
    pub axis: Axis,
    /// Where it is asked.
    pub at: Vec<f64>,
}

impl Places {
    /// From `low` to `high` in steps, both ends included where the step meets them.
    ///
    /// # Errors
    /// [`Uneven`] if the three make no rising row of 2 to [`MOST_PLACES`] places.
    pub fn stepped(axis: Axis, low: f64, high: f64, step: f64) -> Result<Self, Uneven> {
        let uneven = Uneven { low, high, step };
        let steps = (high - low) / step;
        if !(low.is_finite() && high.is_finite() && step > 0.0 && steps.is_finite()) {
            return Err(uneven);
        }
        // A step that divides the span but for rounding still reaches its end.
        let count = (steps + 1.0e-9).floor() + 1.0;
        if !(2.0..=MOST_PLACES as f64).contains(&count) {
            return Err(uneven);
        }
        let at = (0..count as usize).map(|i| low + step * i as f64).collect();
        Ok(Self { axis, at })
    }
}

/// Ends and step that make no axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uneven {
    /// First place.
    pub low: f64,
    /// Last place.
    pub high: f64,
    /// Step.
    pub step: f64,
}

impl fmt::Display for Uneven {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} to {} in steps of {} is no row of 2 to {MOST_PLACES} places: the end must lie above the start, \
             the step above nought",
            self.low, self.high, self.step
        )
    }
}

impl std::error::Error for Uneven {}

/// A map worked out.
#[derive(Debug, Clone)]
pub struct Capacity {
    /// Along the rows.
    pub x: Places,
    /// From row to row.
    pub y: Places,
    /// The answers, row by row.
    pub rows: Vec<Row>,
}

/// Works a map out, rows side by side; `base` holds for everything else.
///
/// # Errors
/// The base's own field, or a place on an axis that cannot be taken.
pub fn capacity(plant: &Plant, base: &Point, x: Places, y: Places) -> Result<Capacity, FieldError> {
    let rows =
        y.at.par_iter()
            .map(|place| plant.map_row(base, (x.axis, &x.at), (y.axis, *place)))
            .collect::<Result<Vec<Row>, FieldError>>()?;
    Ok(Capacity { x, y, rows })
}

impl Capacity {
    /// One result over the map, row by row; none where the plant does not run.
    ///
    /// # Errors
    /// [`FieldError::UnknownKey`] with the nearest known one.
    pub fn values(&self, of: &str) -> Result<Vec<Option<f64>>, FieldError> {
        let cells = self.rows.iter().flatten();
        cells.map(|cell| cell.as_ref().ok().map(|s| s.get(of)).transpose()).collect()
    }

    /// The picture of one result as an SVG file, with the regions in which limits hold.
    ///
    /// `unit` and `scale` say how the result is shown.
    ///
    /// # Errors
    /// As [`Capacity::values`]; and a field of `base` that cannot be taken.
    pub fn picture(
        &self,
        plant: &Plant,
        base: &Point,
        of: &str,
        unit: &str,
        scale: f64,
    ) -> Result<String, FieldError> {
        let values = self.values(of)?.into_iter().map(|v| v.map(|v| v * scale)).collect();
        let untrimmed = Point { trimmed: false, engine_load: None, ..base.clone() };
        let free = self.free(plant, &untrimmed)?;
        let cells: Vec<Cell> = self
            .rows
            .iter()
            .flatten()
            .zip(free)
            .map(|(cell, free)| cell.as_ref().ok().cloned().zip(free))
            .collect();
        let width = self.x.at.len();
        let load = |i: usize| match (self.x.axis, self.y.axis) {
            (Axis::EngineLoad, _) => self.x.at.get(i % width).copied(),
            (_, Axis::EngineLoad) => self.y.at.get(i / width).copied(),
            _ => base.engine_load,
        };
        let label = keys::find(Part::Result, of).map_or(of, |key| key.label);
        let map = CapacityMap {
            title: format!("{label} over {} and {}", word(self.x.axis), word(self.y.axis)),
            says: format!("{label} of the plant, everything else as asked."),
            x_label: axis_label(self.x.axis),
            y_label: axis_label(self.y.axis),
            unit: unit.to_owned(),
            levels: Vec::new(),
            grid: Grid { x: self.x.at.clone(), y: self.y.at.clone(), values },
            held: regions(plant, &load, &cells),
            none_label: "no steady running here".into(),
            present: None,
            track: Vec::new(),
        };
        Ok(capacity_map_file(&map))
    }

    /// The same places with every flow as given and the engine's load left out.
    fn free(&self, plant: &Plant, base: &Point) -> Result<Vec<Option<Solution>>, FieldError> {
        let moved = |point: &Point, axis: Axis, place: f64| {
            let mut point = point.clone();
            if axis != Axis::EngineLoad {
                point.set(axis.key(), &place.into())?;
            }
            Ok(point)
        };
        let rows = self
            .y
            .at
            .par_iter()
            .map(|y| {
                let row = moved(base, self.y.axis, *y)?;
                self.x
                    .at
                    .iter()
                    .map(|x| Ok(plant.free(&moved(&row, self.x.axis, *x)?).ok()))
                    .collect()
            })
            .collect::<Result<Vec<Vec<_>>, FieldError>>()?;
        Ok(rows.into_iter().flatten().collect())
    }
}

fn word(axis: Axis) -> &'static str {
    match axis {
        Axis::SeaTemp => "sea temperature",
        Axis::JacketIn => "jacket water in",
        Axis::EngineLoad => "engine load",
    }
}

fn axis_label(axis: Axis) -> String {
    let unit = if axis == Axis::EngineLoad { "%" } else { "°C" };
    format!("{}, {unit}", word(axis))
}
