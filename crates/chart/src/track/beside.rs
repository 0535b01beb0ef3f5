//! A track that comes back the way it went: out and home drawn side by side, each to its own starboard.

use std::collections::HashMap;

use crate::thin::{Line, spots};

/// How far each lies beside the track, units: two broad lines and a gap.
pub(super) const BESIDE: f64 = 3.4;
/// Places in one square of this side, units, lie on top of each other.
const SQUARE: f64 = 3.0;
/// Steps along the track within which it is still the same piece of it.
const SAME: usize = 16;
/// So many places on top of others are more than a crossing.
const MANY: usize = 12;

/// Whether a track runs over itself for more than a crossing.
pub(super) fn retraces(track: &[Line]) -> bool {
    let mut seen: HashMap<(i64, i64), usize> = HashMap::new();
    let mut again = 0;
    for (step, (x, y)) in track.iter().flat_map(|line| spots(line)).enumerate() {
        let square = ((x / SQUARE).floor() as i64, (y / SQUARE).floor() as i64);
        let first = *seen.entry(square).or_insert(step);
        again += usize::from(step - first > SAME);
    }
    again >= MANY
}

/// A line so far to the starboard of who follows it; its corners are cut where they would grow long.
pub(super) fn to_starboard(line: &[(f64, f64)], by: f64) -> Line {
    let along = |a: (f64, f64), b: (f64, f64)| {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy);
        // Down the sheet is upwards in numbers: starboard of (dx, dy) is (-dy, dx).
        (length > 1.0e-9).then(|| (-dy / length, dx / length))
    };
    let sides: Vec<Option<(f64, f64)>> =
        line.windows(2).map(|pair| along(pair[0], pair[1])).collect();
    let side = |i: usize| sides.get(i).copied().flatten();
    let corner = |(i, p): (usize, &(f64, f64))| {
        let (before, after) = (i.checked_sub(1).and_then(side), side(i));
        let (x, y) = match (before, after) {
            (Some(a), Some(b)) => {
                let (x, y) = (a.0 + b.0, a.1 + b.1);
                // The mean of both, drawn out as a corner needs, at most by half.
                let square = (x * x + y * y).max(1.0e-9);
                let out = (2.0 / square).min(1.5 / square.sqrt());
                (x * out, y * out)
            }
            (Some(only), None) | (None, Some(only)) => only,
            (None, None) => (0.0, 0.0),
        };
        (p.0 + by * x, p.1 + by * y)
    };
    line.iter().enumerate().map(corner).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_out_and_home_lie_on_both_sides() {
        let out: Line = (0..40).map(|k| (100.0, 10.0 * f64::from(k))).collect();
        let home: Line = out.iter().rev().copied().collect();
        assert!(!retraces(std::slice::from_ref(&out)));
        assert!(retraces(&[out.clone(), home.clone()]));
        // Down the sheet starboard is to the left, up it to the right.
        assert!(to_starboard(&out, 3.0).iter().all(|p| (p.0 - 97.0).abs() < 1.0e-9));
        assert!(to_starboard(&home, 3.0).iter().all(|p| (p.0 - 103.0).abs() < 1.0e-9));
    }

    #[test]
    fn ident_a_corner_keeps_its_distance() {
        let line = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)];
        let beside = to_starboard(&line, 2.0);
        assert!((beside[1].0 - 8.0).abs() < 1.0e-9 && (beside[1].1 - 2.0).abs() < 1.0e-9);
        // A turn back on itself does not run away.
        let back = to_starboard(&[(0.0, 0.0), (10.0, 0.0), (0.0, 0.0)], 2.0);
        assert!((back[1].0 - 10.0).hypot(back[1].1) <= 3.0 + 1.0e-9);
    }

    #[test]
    fn ident_a_crossing_is_no_way_back() {
        let line = [(0.0, 0.0), (200.0, 200.0), (200.0, 0.0), (0.0, 200.0)];
        assert!(!retraces(&[line.to_vec()]));
    }
}
