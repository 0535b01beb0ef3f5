//! Whether the coast runs round a position: shores counted along its meridian, to the north pole and to the south.

use crate::space::Point;
use crate::tree::Tree;

/// Shores on a meridian, on either side of a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shores {
    /// To the north.
    pub north: usize,
    /// To the south.
    pub south: usize,
}

/// The shores among the first `before` points that a position's meridian crosses.
pub fn shores(tree: &Tree, before: usize, at: &Point) -> Shores {
    let mut shores = Shores { north: 0, south: 0 };
    tree.cut_by_meridian(at, before, |a, b| count(&mut shores, at, a, b));
    shores
}

/// Counts a piece of shore from end to end, where the meridian crosses it.
fn count(shores: &mut Shores, at: &Point, a: &Point, b: &Point) {
    // East of the meridian, or on it.
    let side = |p: &Point| at[0] * p[1] - at[1] * p[0];
    let (east_a, east_b) = (side(a), side(b));
    if (east_a >= 0.0) == (east_b >= 0.0) {
        return;
    }
    let t = east_a / (east_a - east_b);
    let on = |axis: usize| a[axis] + t * (b[axis] - a[axis]);
    let (x, y, z) = (on(0), on(1), on(2));
    // The meridian on the other side of the earth is another.
    if x * at[0] + y * at[1] <= 0.0 {
        return;
    }
    if z * at[0].hypot(at[1]) > at[2] * x.hypot(y) {
        shores.north += 1;
    } else {
        shores.south += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::{Shores, count, shores};
    use crate::data::DataError;
    use crate::tree::Tree;
    use crate::{Position, shoreline, space};

    #[test]
    fn the_tree_leaves_out_no_piece_that_the_meridian_crosses() -> Result<(), DataError> {
        let tree = Tree::new(shoreline::unpacked(crate::embedded::COAST)?);
        let mut seen = 0;
        for i in 0..60 {
            let lat = -85.0 + 170.0 * (f64::from(i) * 0.618_034).fract();
            let lon = -180.0 + 360.0 * (f64::from(i) * 0.754_878).fract();
            let at = space::point(Position::wrapped(lat, lon));
            let chains = tree.chains();
            let mut every = Shores { north: 0, south: 0 };
            for (_, chain) in chains.each() {
                for pair in chain.windows(2) {
                    count(&mut every, &at, &pair[0].point(), &pair[1].point());
                }
            }
            seen += every.north + every.south;
            assert_eq!(shores(&tree, usize::MAX, &at), every, "at {lat}, {lon}");
        }
        assert!(seen > 1000, "{seen} shores on sixty meridians");
        Ok(())
    }
}
