//! Rows of values along riding cells: room around them, filling past the ends, shocks.

use super::outlook::Tap;

/// Cells a chunk of the inner loop handles together.
pub(super) const CHUNK: usize = 64;
/// Room below cell 0.
const ROOM: i32 = 4;

/// A row of values along riding cells.
#[derive(Debug, Clone)]
pub(super) struct Row(Vec<f64>);

impl Row {
    /// Room for cells up to `top`.
    pub fn new(top: i32) -> Self {
        Self(vec![0.0; (top + ROOM) as usize + 2 * CHUNK])
    }

    /// The cells from `from` on.
    #[inline]
    pub fn onward(&self, from: i32) -> &[f64] {
        &self.0[(from + ROOM) as usize..]
    }

    /// The cells from `from` on, to be written.
    #[inline]
    pub fn onward_mut(&mut self, from: i32) -> &mut [f64] {
        &mut self.0[(from + ROOM) as usize..]
    }

    /// The cells `lo..=hi`.
    #[inline]
    pub fn span(&self, lo: i32, hi: i32) -> &[f64] {
        &self.0[(lo + ROOM) as usize..=(hi + ROOM) as usize]
    }

    /// The cells `lo..=hi`, to be written.
    #[inline]
    pub fn span_mut(&mut self, lo: i32, hi: i32) -> &mut [f64] {
        &mut self.0[(lo + ROOM) as usize..=(hi + ROOM) as usize]
    }

    /// One cell.
    #[inline]
    pub fn at(&self, cell: i32) -> f64 {
        self.0[(cell + ROOM) as usize]
    }

    /// Past `lo` and `hi` the values go on as they are there, changed by so much for each cell.
    #[inline(always)]
    pub fn extend(&mut self, (lo, hi): (i32, i32), (to_lo, to_hi): (i32, i32), slope: (f64, f64)) {
        let (low, high) = (self.at(lo), self.at(hi));
        if to_lo < lo {
            for (i, value) in self.span_mut(to_lo, lo - 1).iter_mut().rev().enumerate() {
                *value = low + slope.0 * (i + 1) as f64;
            }
        }
        if to_hi > hi {
            for (i, value) in self.span_mut(hi + 1, to_hi).iter_mut().enumerate() {
                *value = high + slope.1 * (i + 1) as f64;
            }
        }
    }

    /// The mean over shifts of the row, which goes on past its ends as `extend` has it.
    #[inline(always)]
    pub fn shock(
        &mut self,
        (lo, hi): (i32, i32),
        taps: &[Tap],
        slope: (f64, f64),
        scratch: &mut Vec<f64>,
    ) {
        let row = self.span_mut(lo, hi);
        scratch.clear();
        scratch.resize(row.len(), 0.0);
        let count = row.len() as i32;
        let (low, high) = (row[0], row[row.len() - 1]);
        for &(shift, weight) in taps {
            // Cells before `from` look below the row, those from `upto` on above it.
            let from = (-shift).clamp(0, count);
            let upto = (count - shift).clamp(0, count);
            for (i, out) in scratch[..from as usize].iter_mut().enumerate() {
                *out += weight * (low + slope.0 * f64::from(-shift - i as i32));
            }
            if from < upto {
                let inner = &row[(from + shift) as usize..(upto + shift) as usize];
                for (out, value) in scratch[from as usize..upto as usize].iter_mut().zip(inner) {
                    *out += weight * value;
                }
            }
            let after = from.max(upto);
            for (i, out) in (after..count).zip(scratch[after as usize..].iter_mut()) {
                *out += weight * (high + slope.1 * f64::from(i + shift - count + 1));
            }
        }
        row.copy_from_slice(scratch);
    }
}
