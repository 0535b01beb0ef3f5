//! Grids over the whole earth: the corners around a position, and fields of cell means with gaps.

use crate::Position;
use crate::data::{Damage, DataError, unpack_exactly};
use crate::sea::Basis;

/// The four nodes around a position and the share of each.
pub struct Corners([((usize, usize), f64); 4]);

impl Corners {
    /// Rows and columns around a place given in rows and columns; columns go round, rows end.
    pub fn around(row: f64, col: f64, rows: usize, cols: usize) -> Self {
        let split = |x: f64| {
            #[allow(clippy::cast_possible_truncation)] // at most some thousands
            let whole = x.floor() as i64;
            (whole, x - x.floor())
        };
        let ((j, v), (i, u)) = (split(row), split(col));
        let row = |j: i64| usize::try_from(j).unwrap_or(0).min(rows.saturating_sub(1));
        let col = |i: i64| {
            let turn = i64::try_from(cols).unwrap_or(1);
            usize::try_from(i.rem_euclid(turn)).unwrap_or(0)
        };
        Self([
            ((row(j), col(i)), (1.0 - v) * (1.0 - u)),
            ((row(j), col(i + 1)), (1.0 - v) * u),
            ((row(j + 1), col(i)), v * (1.0 - u)),
            ((row(j + 1), col(i + 1)), v * u),
        ])
    }

    /// Those that count, as index into rows of that many columns, with their share.
    pub fn shares(&self, cols: usize) -> impl Iterator<Item = (usize, f64)> {
        self.0
            .iter()
            .filter(|(_, share)| *share > 0.0)
            .map(move |((row, col), share)| (row * cols + col, *share))
    }
}

/// Layers of square cells from 90 S and 180 W, some of them empty.
#[derive(Debug)]
pub struct Field {
    rows: usize,
    step_deg: f64,
    unit: f64,
    /// Of each cell: 0 empty, 1 carried over, 2 observed.
    basis: Vec<u8>,
    values: Vec<i16>,
}

impl Field {
    /// Unpacks the basis of each cell, then low bytes and high bytes of the differences from the layer before (in the first
    /// of several from the column before) or, in a single layer, from the row before.
    pub fn unpack(
        name: &'static str,
        packed: &[u8],
        layers: usize,
        rows: usize,
        unit: f64,
    ) -> Result<Self, DataError> {
        let cols = 2 * rows;
        let cells = rows * cols;
        let raw = unpack_exactly(name, packed, cells + 2 * layers * cells)?;
        let (basis, halves) = raw.split_at(cells);
        let (low, high) = halves.split_at(layers * cells);
        let mut values: Vec<i16> =
            low.iter().zip(high).map(|(l, h)| i16::from_le_bytes([*l, *h])).collect();
        for i in 0..values.len() {
            let before = match (layers, i < cells) {
                (1, _) => i.checked_sub(cols),
                (_, false) => i.checked_sub(cells),
                (_, true) if i % cols > 0 => i.checked_sub(1),
                (_, true) => None,
            };
            if let Some(before) = before {
                values[i] = values[i].wrapping_add(values[before]);
            }
        }
        if basis.iter().any(|basis| *basis > 2) {
            return Err(DataError { data: name, why: Damage::Content });
        }
        #[allow(clippy::cast_precision_loss)] // at most 180
        let step_deg = 180.0 / rows as f64;
        Ok(Self { rows, step_deg, unit, basis: basis.to_vec(), values })
    }

    /// The value between the middles of the cells that have one, and of layers with their shares; `None` where none has.
    pub fn at(&self, position: Position, layers: &[(usize, f64)]) -> Option<(f64, Basis)> {
        let row = (position.lat_deg() + 90.0) / self.step_deg - 0.5;
        let col = (position.lon_deg() + 180.0) / self.step_deg - 0.5;
        let cols = 2 * self.rows;
        let (mut sum, mut known, mut observed) = (0.0, 0.0, 0.0);
        for (cell, share) in Corners::around(row, col, self.rows, cols).shares(cols) {
            let basis = self.basis.get(cell).copied().unwrap_or(0);
            if basis == 0 {
                continue;
            }
            known += share;
            observed += if basis == 2 { share } else { 0.0 };
            for (layer, part) in layers {
                let value = self.values.get(layer * self.basis.len() + cell).copied().unwrap_or(0);
                sum += share * part * f64::from(value);
            }
        }
        let basis = if observed >= 0.5 * known { Basis::Observed } else { Basis::Neighbours };
        (known > 0.0).then(|| (sum / known * self.unit, basis))
    }
}
