//! Depth every 6': one byte a node, in steps that widen with depth.

use crate::Position;
use crate::data::{Damage, DataError, unpack_exactly};
use crate::grid::Corners;
use crate::sea::{Depth, Ground};

const NAME: &str = "depth";
const ROWS: usize = 1801;
const COLS: usize = 3600;
/// Nodes in a degree.
const PER_DEGREE: f64 = 10.0;
/// Codes of depth, 1 up.
const CODES: u8 = 127;
/// Depth at the last code, m, and the depth below which steps become equal, m.
const DEEPEST_M: f64 = 11_000.0;
const EVEN_M: f64 = 15.0;
/// From this parallel on southward there is land and shelf ice, and no sea: the fronts of the Ross and the Filchner ice lie at 77 to
/// 78.5 S (general knowledge). The depths there are of the rock under the ice.
const ICE_LAT_DEG: f64 = -79.0;

/// Depths of the world, nodes from 90 N and 180 W.
#[derive(Debug)]
pub struct Depths {
    codes: Vec<u8>,
    metres: Vec<f64>,
}

impl Depths {
    /// Unpacks the codes: each is written as its difference from the guess that its three neighbours before it give (the
    /// median of west, north and west + north - north-west).
    pub fn unpack(packed: &[u8]) -> Result<Self, DataError> {
        let mut codes = unpack_exactly(NAME, packed, ROWS * COLS)?;
        let mut above = [0_u8; COLS];
        for row in codes.chunks_exact_mut(COLS) {
            let (mut west, mut corner) = (0_u8, 0_u8);
            for (code, up) in row.iter_mut().zip(&mut above) {
                let (low, high) = (west.min(*up), west.max(*up));
                let guess = if corner >= high {
                    low
                } else if corner <= low {
                    high
                } else {
                    // Between the two, so that it neither carries nor borrows.
                    low + (high - corner)
                };
                *code = code.wrapping_add(guess);
                corner = *up;
                west = *code;
                *up = *code;
            }
        }
        if codes.iter().any(|code| *code > CODES) {
            return Err(DataError { data: NAME, why: Damage::Content });
        }
        let metres = (0..=CODES).map(metres).collect();
        Ok(Self { codes, metres })
    }

    /// Land, shore or sea.
    pub fn ground(&self, position: Position) -> Ground {
        if position.lat_deg() <= ICE_LAT_DEG {
            return Ground::Land;
        }
        let row = (90.0 - position.lat_deg()) * PER_DEGREE;
        let col = (position.lon_deg() + 180.0) * PER_DEGREE;
        let (mut sum, mut wet, mut least) = (0.0, 0.0, f64::INFINITY);
        let mut has_land = false;
        for (node, share) in Corners::around(row, col, ROWS, COLS).shares(COLS) {
            match self.codes.get(node) {
                None | Some(0) => has_land = true,
                Some(code) => {
                    let depth = self.metres.get(usize::from(*code)).copied().unwrap_or(0.0);
                    sum += share * depth;
                    wet += share;
                    least = least.min(depth);
                }
            }
        }
        if wet == 0.0 {
            return Ground::Land;
        }
        let depth = Depth { depth_m: sum / wet, least_m: least };
        if has_land { Ground::Shore(depth) } else { Ground::Sea(depth) }
    }
}

/// The depth a code stands for, m.
fn metres(code: u8) -> f64 {
    let part = (f64::from(code) - 1.0).max(0.0) / f64::from(CODES - 1);
    EVEN_M * (part * (DEEPEST_M / EVEN_M).ln_1p()).exp_m1()
}
