//! Contour lines of a field on a grid, by marching squares; a corner that is not known opens the
//! line instead of bending it.

use crate::number::usable;

/// Values on a grid of two axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Places along the first axis, rising.
    pub x: Vec<f64>,
    /// Places along the second axis, rising.
    pub y: Vec<f64>,
    /// Values, row by row of `y`: the value at `x[i]`, `y[j]` is `values[j * x.len() + i]`.
    /// `None` (or not a number) where there is none.
    pub values: Vec<Option<f64>>,
}

/// One contour line in the grid's own axes; closed when its ends meet.
pub type Contour = Vec<(f64, f64)>;

impl Grid {
    /// A grid whose values are found by asking `f` at every crossing.
    pub fn from_fn(x: Vec<f64>, y: Vec<f64>, mut f: impl FnMut(f64, f64) -> Option<f64>) -> Grid {
        let values = y.iter().flat_map(|&b| x.iter().map(move |&a| (a, b)));
        let values = values.map(|(a, b)| f(a, b)).collect();
        Grid { x, y, values }
    }

    /// Whether the axes rise and every crossing has its place in `values`.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let rising = |axis: &[f64]| {
            axis.len() >= 2
                && axis.iter().all(|v| usable(*v))
                && axis.windows(2).all(|w| w[0] < w[1])
        };
        rising(&self.x) && rising(&self.y) && self.values.len() == self.x.len() * self.y.len()
    }

    /// Value at a crossing.
    pub(crate) fn node(&self, i: usize, j: usize) -> Option<f64> {
        if i >= self.x.len() {
            return None;
        }
        self.values.get(j * self.x.len() + i).copied().flatten().filter(|v| usable(*v))
    }

    /// Bilinear value anywhere inside; `None` outside or where a corner of the cell is not known.
    #[must_use]
    pub fn at(&self, x: f64, y: f64) -> Option<f64> {
        let (i, u) = cell(&self.x, x)?;
        let (j, v) = cell(&self.y, y)?;
        let low = lerp(self.node(i, j)?, self.node(i + 1, j)?, u);
        let high = lerp(self.node(i, j + 1)?, self.node(i + 1, j + 1)?, u);
        Some(lerp(low, high, v))
    }

    /// The lines along which the field is `level`.
    #[must_use]
    pub fn contours(&self, level: f64) -> Vec<Contour> {
        if !self.is_sound() || !usable(level) {
            return Vec::new();
        }
        let mut segments = Vec::new();
        for j in 0..self.y.len() - 1 {
            for i in 0..self.x.len() - 1 {
                self.cell_segments(i, j, level, &mut segments);
            }
        }
        chain(segments).into_iter().map(|line| self.places(&line, level)).collect()
    }

    /// The contour's pieces in one cell, each from one crossed edge to another.
    fn cell_segments(&self, i: usize, j: usize, level: f64, out: &mut Vec<(Edge, Edge)>) {
        let corners =
            [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)].map(|(a, b)| self.node(a, b));
        let [Some(a), Some(b), Some(c), Some(d)] = corners else { return };
        let (south, east) = (Edge { i, j, up: false }, Edge { i: i + 1, j, up: true });
        let (north, west) = (Edge { i, j: j + 1, up: false }, Edge { i, j, up: true });
        let above = [a >= level, b >= level, c >= level, d >= level];
        match above.map(u8::from) {
            [0, 0, 0, 0] | [1, 1, 1, 1] => {}
            [1, 0, 0, 0] | [0, 1, 1, 1] => out.push((west, south)),
            [0, 1, 0, 0] | [1, 0, 1, 1] => out.push((south, east)),
            [0, 0, 1, 0] | [1, 1, 0, 1] => out.push((east, north)),
            [0, 0, 0, 1] | [1, 1, 1, 0] => out.push((north, west)),
            [1, 1, 0, 0] | [0, 0, 1, 1] => out.push((west, east)),
            [1, 0, 0, 1] | [0, 1, 1, 0] => out.push((south, north)),
            saddle => {
                // Two pieces: the bilinear saddle value says which pair of corners is joined.
                let twist = a + c - b - d;
                let middle = if twist.abs() > 0.0 { (a * c - b * d) / twist } else { level };
                let ac_above = saddle == [1, 0, 1, 0];
                if (middle >= level) == ac_above {
                    out.extend([(south, east), (north, west)]);
                } else {
                    out.extend([(west, south), (east, north)]);
                }
            }
        }
    }

    fn places(&self, line: &[Edge], level: f64) -> Contour {
        let place = |edge: &Edge| {
            let (i, j) = (edge.i, edge.j);
            let (i2, j2) = if edge.up { (i, j + 1) } else { (i + 1, j) };
            let (from, to) = (self.node(i, j)?, self.node(i2, j2)?);
            let part =
                if to == from { 0.5 } else { ((level - from) / (to - from)).clamp(0.0, 1.0) };
            Some((lerp(self.x[i], self.x[i2], part), lerp(self.y[j], self.y[j2], part)))
        };
        line.iter().filter_map(place).collect()
    }
}

/// The cell of an axis a place lies in, and how far along it.
fn cell(axis: &[f64], at: f64) -> Option<(usize, f64)> {
    let (first, last) = (*axis.first()?, *axis.last()?);
    if !(at >= first && at <= last) || axis.len() < 2 {
        return None;
    }
    // Even axes are found at the first guess, uneven ones by walking from it.
    let cells = axis.len() - 1;
    let guess = (at - first) / (last - first) * cells as f64;
    let mut k = (guess as usize).min(cells - 1);
    while k > 0 && axis[k] > at {
        k -= 1;
    }
    while k + 1 < cells && axis[k + 1] <= at {
        k += 1;
    }
    let (low, high) = (axis[k], axis[k + 1]);
    Some((k, (at - low) / (high - low)))
}

fn lerp(a: f64, b: f64, part: f64) -> f64 {
    a + (b - a) * part
}

/// A grid edge: from crossing (i, j) to the right, or up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
struct Edge {
    i: usize,
    j: usize,
    up: bool,
}

/// Join pieces that share an edge into lines. At most two pieces meet on any edge, one from the
/// cell on either side.
fn chain(segments: Vec<(Edge, Edge)>) -> Vec<Vec<Edge>> {
    use std::collections::BTreeMap;
    let mut at: BTreeMap<Edge, Vec<usize>> = BTreeMap::new();
    for (k, (a, b)) in segments.iter().enumerate() {
        at.entry(*a).or_default().push(k);
        at.entry(*b).or_default().push(k);
    }
    let mut used = vec![false; segments.len()];
    let follow = |from: Edge, line: &mut Vec<Edge>, used: &mut Vec<bool>| {
        let mut here = from;
        while let Some(&k) = at.get(&here).and_then(|ks| ks.iter().find(|k| !used[**k])) {
            used[k] = true;
            let (a, b) = segments[k];
            here = if a == here { b } else { a };
            line.push(here);
        }
    };
    // Open lines start at an edge with one piece; what is left are closed ones.
    let starts: Vec<Edge> = at.iter().filter(|(_, ks)| ks.len() == 1).map(|(e, _)| *e).collect();
    let rings: Vec<Edge> = segments.iter().map(|s| s.0).collect();
    let mut lines = Vec::new();
    for start in starts.into_iter().chain(rings) {
        let mut line = vec![start];
        follow(start, &mut line, &mut used);
        if line.len() > 1 {
            lines.push(line);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn axis(from: f64, to: f64, cells: usize) -> Vec<f64> {
        (0..=cells).map(|k| from + (to - from) * k as f64 / cells as f64).collect()
    }

    #[test]
    fn ident_contours_of_x2_plus_y2_are_circles() {
        let n = 40;
        let step = 4.0 / n as f64;
        let grid =
            Grid::from_fn(axis(-2.0, 2.0, n), axis(-2.0, 2.0, n), |x, y| Some(x * x + y * y));
        for radius in [0.5_f64, 1.0, 1.7] {
            let lines = grid.contours(radius * radius);
            assert_eq!(lines.len(), 1, "one ring of radius {radius}");
            assert_eq!(lines[0].first(), lines[0].last(), "closed");
            // Linear interpolation of r² along an edge errs by at most step²/4 in r².
            for (x, y) in &lines[0] {
                assert!((x.hypot(*y) - radius).abs() <= step * step / (8.0 * radius) + 1e-12);
            }
        }
    }

    #[test]
    fn ident_a_saddle_keeps_its_branches_apart() {
        // f = xy on one cell with corners at ±1: at ±0.1 the hyperbola lies in opposite corners.
        let grid = Grid::from_fn(vec![-1.0, 1.0], vec![-1.0, 1.0], |x, y| Some(x * y));
        for level in [0.1, -0.1] {
            let lines = grid.contours(level);
            assert_eq!(lines.len(), 2);
            for line in lines {
                // xy = 0.1 lies in the first and third quadrant, xy = -0.1 in the others.
                let middle = ((line[0].0 + line[1].0) / 2.0, (line[0].1 + line[1].1) / 2.0);
                assert!(middle.0 * middle.1 * level > 0.0, "{middle:?} at {level}");
            }
        }
    }

    #[test]
    fn unknown_corners_open_the_line() {
        let grid = Grid::from_fn(axis(0.0, 10.0, 10), axis(0.0, 10.0, 10), |x, y| {
            (!(4.0..=5.0).contains(&x)).then_some(y)
        });
        let lines = grid.contours(4.5);
        assert_eq!(lines.len(), 2);
        assert!(
            lines
                .iter()
                .flatten()
                .all(|(x, y)| (*x <= 3.0 || *x >= 6.0) && (y - 4.5).abs() < 1e-12)
        );
    }

    #[test]
    fn uneven_axes_are_read_between_their_own_marks() {
        let uneven = vec![0.0, 0.1, 0.2, 8.0, 9.0, 100.0];
        let grid = Grid::from_fn(uneven, vec![0.0, 1.0], |x, _| Some(3.0 * x + 1.0));
        for x in [0.0, 0.05, 0.1, 0.19, 4.0, 8.5, 9.0, 55.0, 100.0] {
            let value = grid.at(x, 0.5).unwrap();
            assert!((value - (3.0 * x + 1.0)).abs() < 1e-9, "{value} at {x}");
        }
        assert_eq!(grid.at(100.1, 0.5), None);
    }

    #[test]
    fn unsound_grids_have_no_contours() {
        let bad = Grid { x: vec![0.0, 0.0], y: vec![0.0, 1.0], values: vec![Some(1.0); 4] };
        assert!(bad.contours(0.5).is_empty());
        let short = Grid { x: vec![0.0, 1.0], y: vec![0.0, 1.0], values: vec![Some(1.0); 3] };
        assert!(short.contours(0.5).is_empty() && short.at(0.5, 0.5).is_none());
    }

    proptest! {
        #[test]
        fn contours_run_where_the_bilinear_field_has_the_level(
            values in prop::collection::vec(prop::option::weighted(0.9, -5f64..5.0), 36), level in -5f64..5.0
        ) {
            let grid = Grid { x: axis(0.0, 5.0, 5), y: axis(0.0, 5.0, 5), values };
            for (x, y) in grid.contours(level).into_iter().flatten() {
                if let Some(value) = grid.at(x, y) {
                    prop_assert!((value - level).abs() < 1e-6);
                }
            }
        }

        #[test]
        fn lines_end_only_at_the_rim_or_at_unknown_cells(
            values in prop::collection::vec(-5f64..5.0, 36), level in -5f64..5.0
        ) {
            let grid = Grid { x: axis(0.0, 5.0, 5), y: axis(0.0, 5.0, 5), values: values.into_iter().map(Some).collect() };
            for line in grid.contours(level) {
                let (a, b) = (line[0], line[line.len() - 1]);
                let rim = |p: (f64, f64)| [p.0, p.1].iter().any(|v| *v == 0.0 || *v == 5.0);
                prop_assert!(a == b || (rim(a) && rim(b)), "{a:?} {b:?}");
            }
        }
    }
}
