//! Whether the coast runs round a position: shores counted along its meridian, to the north pole and to the south.

use crate::shoreline::Chains;
use crate::space::Point;

/// Slices of longitude in which pieces are looked for.
const SLICES: usize = 4096;

/// Pieces of coast by the slices of longitude they lie in.
#[derive(Debug)]
pub struct Meridians {
    /// Where each slice's pieces begin in the list, and the list's end.
    begins: Vec<u32>,
    /// The points that pieces begin at, slice after slice.
    pieces: Vec<u32>,
}

/// Shores on a meridian, on either side of a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shores {
    /// To the north.
    pub north: usize,
    /// To the south.
    pub south: usize,
}

impl Meridians {
    /// Sorts the pieces among the first `count` points into slices.
    pub fn new(chains: &Chains, count: usize) -> Self {
        let points = chains.points.get(..count).unwrap_or(&chains.points);
        let slices: Vec<usize> = points.iter().map(slice).collect();
        let spans = || {
            let pairs = slices.windows(2).zip(&chains.joined).enumerate();
            pairs
                .filter(|(_, (_, joined))| **joined)
                .map(|(i, (pair, _))| (i, span(pair[0], pair[1])))
        };
        let mut begins = vec![0_u32; SLICES + 1];
        for (_, (first, length)) in spans() {
            for k in 0..length {
                begins[(first + k) % SLICES + 1] += 1;
            }
        }
        for k in 0..SLICES {
            begins[k + 1] += begins[k];
        }
        let mut next = begins.clone();
        let mut pieces = vec![0_u32; begins.last().map_or(0, |end| *end as usize)];
        for (i, (first, length)) in spans() {
            for k in 0..length {
                let slot = &mut next[(first + k) % SLICES];
                // Chains have fewer points than 2^32: each takes two bytes of at most 16 MB.
                pieces[*slot as usize] = u32::try_from(i).unwrap_or(u32::MAX);
                *slot += 1;
            }
        }
        Self { begins, pieces }
    }

    /// The shores that a position's meridian crosses.
    pub fn shores(&self, chains: &Chains, at: &Point) -> Shores {
        let mut shores = Shores { north: 0, south: 0 };
        let k = slice(at);
        let range = self.begins[k] as usize..self.begins[k + 1] as usize;
        let out = at[0].hypot(at[1]);
        // East of the meridian, or on it.
        let side = |p: &Point| at[0] * p[1] - at[1] * p[0];
        for i in self.pieces.get(range).unwrap_or_default() {
            let i = *i as usize;
            let (Some(a), Some(b)) = (chains.points.get(i), chains.points.get(i + 1)) else {
                continue;
            };
            let (east_a, east_b) = (side(a), side(b));
            if (east_a >= 0.0) == (east_b >= 0.0) {
                continue;
            }
            let t = east_a / (east_a - east_b);
            let on = |axis: usize| a[axis] + t * (b[axis] - a[axis]);
            let (x, y, z) = (on(0), on(1), on(2));
            // The meridian on the other side of the earth is another.
            if x * at[0] + y * at[1] <= 0.0 {
                continue;
            }
            if z * out > at[2] * x.hypot(y) {
                shores.north += 1;
            } else {
                shores.south += 1;
            }
        }
        shores
    }
}

/// The slice a point lies in, by an angle that is quicker than longitude and grows with it.
fn slice(p: &Point) -> usize {
    let (x, y) = (p[0], p[1]);
    let sum = x.abs() + y.abs();
    let share = if sum > 0.0 { y / sum } else { 0.0 };
    let turn = match (x >= 0.0, y >= 0.0) {
        (true, true) => share,
        (false, _) => 2.0 - share,
        (true, false) => 4.0 + share,
    };
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 to 4
    let slice = (turn / 4.0 * SLICES as f64) as usize;
    slice.min(SLICES - 1)
}

/// The first slice of a piece and how many it lies in, the shorter way round.
fn span(a: usize, b: usize) -> (usize, usize) {
    let east = (b + SLICES - a) % SLICES;
    if east <= SLICES / 2 { (a, east + 1) } else { (b, SLICES - east + 1) }
}
