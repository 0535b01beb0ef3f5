//! Finding the nearest piece: boxes in space around short runs of pieces, packed into a tree.
//!
//! Runs are cut where the shoreline lies in its file, sorted along a curve that keeps neighbours together, and boxed eight
//! by eight up to one. That takes one pass and a short sort, so that the tree is made anew at each start.

use crate::shoreline::Chains;
use crate::space::{Point, nearest_on, square};

/// Most points in a run.
const RUN: usize = 12;
/// Boxes in the box above.
const FAN: usize = 8;
/// Points further apart than this do not share a run, m.
const NEAR_M: f64 = 40_000.0;
/// Half the width of the cube around the earth, m.
const CUBE_M: f64 = 6_400_000.0;

/// A box, its faces moved out to the next number of half the width: it still holds all it was drawn around.
#[derive(Debug, Clone, Copy)]
struct Bounds {
    low: [f32; 3],
    high: [f32; 3],
}

impl Bounds {
    const NONE: Self = Self { low: [f32::INFINITY; 3], high: [f32::NEG_INFINITY; 3] };

    /// Around everything between two corners.
    fn between(low: Point, high: Point) -> Self {
        #[allow(clippy::cast_possible_truncation)] // to the nearest, then outward
        let (low, high) = (low.map(|m| (m as f32).next_down()), high.map(|m| (m as f32).next_up()));
        Self { low, high }
    }

    fn join(&mut self, other: &Self) {
        for axis in 0..3 {
            self.low[axis] = self.low[axis].min(other.low[axis]);
            self.high[axis] = self.high[axis].max(other.high[axis]);
        }
    }

    fn faces(&self) -> impl Iterator<Item = (f64, f64)> {
        self.low.iter().zip(&self.high).map(|(low, high)| (f64::from(*low), f64::from(*high)))
    }

    /// The square of the distance to the nearest point that could be inside.
    fn square(&self, p: &Point) -> f64 {
        let mut sum = 0.0;
        for ((low, high), p) in self.faces().zip(p) {
            let out = (low - p).max(p - high).max(0.0);
            sum += out * out;
        }
        sum
    }

    /// Whether the plane through the earth's axis and a point could cut it.
    fn is_cut_by_meridian(&self, of: &Point) -> bool {
        // How far east of that plane: least and most over the box.
        let east = |x: f32, y: f32| of[0] * f64::from(y) - of[1] * f64::from(x);
        let ([x0, y0, _], [x1, y1, _]) = (self.low, self.high);
        let (west_x, east_x) = if of[1] >= 0.0 { (x1, x0) } else { (x0, x1) };
        let (west_y, east_y) = if of[0] >= 0.0 { (y0, y1) } else { (y1, y0) };
        east(west_x, west_y) <= 0.0 && east(east_x, east_y) >= 0.0
    }

    /// Where the middle lies along a curve through the cube: the bits of its three coordinates in turn (Morton 1966).
    fn along_curve(&self) -> u64 {
        let mut key = 0;
        for (low, high) in self.faces() {
            let part = ((0.5 * (low + high) / CUBE_M + 1.0) * 524_288.0).clamp(0.0, 1_048_575.0);
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 to 2^20 - 1
            let part = part as u64;
            key = key << 1 | spread(part);
        }
        key
    }
}

/// The twenty bits of a number with two free ones between each.
fn spread(mut bits: u64) -> u64 {
    bits = (bits | bits << 32) & 0x001f_0000_0000_ffff;
    bits = (bits | bits << 16) & 0x001f_0000_ff00_00ff;
    bits = (bits | bits << 8) & 0x100f_00f0_0f00_f00f;
    bits = (bits | bits << 4) & 0x10c3_0c30_c30c_30c3;
    (bits | bits << 2) & 0x1249_2492_4924_9249
}

/// Chains with the tree above them.
#[derive(Debug)]
pub struct Tree {
    chains: Chains,
    /// First and last point of each run, along the curve; every point begins the piece to the next.
    runs: Vec<(u32, u32)>,
    /// The runs' boxes, then those above them, level by level up to one.
    levels: Vec<Vec<Bounds>>,
}

/// What is nearest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// The nearest point of the nearest piece.
    pub point: Point,
    /// The point that piece begins at, counted through the chains.
    pub index: usize,
    square: f64,
}

impl Tree {
    /// Builds the tree above the chains.
    pub fn new(chains: Chains) -> Self {
        let mut cut: Vec<(u64, (u32, u32), Bounds)> = runs(&chains);
        cut.sort_unstable_by_key(|(key, ..)| *key);
        let mut levels: Vec<Vec<Bounds>> = vec![cut.iter().map(|(.., bounds)| *bounds).collect()];
        while let Some(last) = levels.last()
            && last.len() > 1
        {
            let above = last.chunks(FAN).map(|boxes| {
                let mut all = Bounds::NONE;
                boxes.iter().for_each(|one| all.join(one));
                all
            });
            levels.push(above.collect());
        }
        Self { chains, runs: cut.into_iter().map(|(_, run, _)| run).collect(), levels }
    }

    /// The chains it was built above.
    pub fn chains(&self) -> &Chains {
        &self.chains
    }

    /// The nearest piece; `None` only where there is none at all.
    pub fn nearest(&self, to: &Point) -> Option<Found> {
        self.nearest_before(to, usize::MAX)
    }

    /// The nearest piece of those that begin at one of the first `count` points.
    pub fn nearest_before(&self, to: &Point, count: usize) -> Option<Found> {
        let mut best = None;
        self.search((self.levels.len().checked_sub(1)?, 0), to, count, &mut best);
        best
    }

    /// Every piece of the first `count` points' that the plane through the earth's axis and a point could cut, from end to end.
    pub fn cut_by_meridian(&self, of: &Point, count: usize, mut each: impl FnMut(&Point, &Point)) {
        let Some(top) = self.levels.len().checked_sub(1) else { return };
        let mut open = vec![(top, 0)];
        while let Some((level, index)) = open.pop() {
            let cut = self.levels.get(level).and_then(|boxes| boxes.get(index));
            if !cut.is_some_and(|bounds| bounds.is_cut_by_meridian(of)) {
                continue;
            }
            match level.checked_sub(1) {
                Some(below) => open.extend((0..FAN).map(|i| (below, index * FAN + i))),
                None => self.pieces(index, count, &mut each),
            }
        }
    }

    fn pieces(&self, run: usize, count: usize, each: &mut impl FnMut(&Point, &Point)) {
        let Some((first, last)) = self.runs.get(run) else { return };
        let Chains { points, joined } = &self.chains;
        for index in (*first as usize..=*last as usize).take_while(|index| *index < count) {
            if let (Some(a), Some(true), Some(b)) =
                (points.get(index), joined.get(index), points.get(index + 1))
            {
                each(&a.point(), &b.point());
            }
        }
    }

    fn search(
        &self,
        (level, index): (usize, usize),
        to: &Point,
        count: usize,
        best: &mut Option<Found>,
    ) {
        let Some(below) = level.checked_sub(1) else {
            self.search_run(index, to, count, best);
            return;
        };
        let first = index * FAN;
        let boxes = self.levels.get(below).map_or(&[][..], |boxes| {
            boxes.get(first..(first + FAN).min(boxes.len())).unwrap_or_default()
        });
        // The nearest box first: what is found in it rules most of the others out.
        let mut order = [(f64::INFINITY, 0); FAN];
        for (i, (slot, one)) in order.iter_mut().zip(boxes).enumerate() {
            *slot = (one.square(to), first + i);
        }
        let order = &mut order[..boxes.len()];
        order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
        for (square, child) in order {
            if best.is_some_and(|found| *square >= found.square) {
                break;
            }
            self.search((below, *child), to, count, best);
        }
    }

    fn search_run(&self, run: usize, to: &Point, count: usize, best: &mut Option<Found>) {
        let Some((first, last)) = self.runs.get(run) else { return };
        let Chains { points, joined } = &self.chains;
        for index in (*first as usize..=*last as usize).take_while(|index| *index < count) {
            let (Some(a), Some(joined)) = (points.get(index), joined.get(index)) else { return };
            let point = match points.get(index + 1) {
                Some(b) if *joined => nearest_on(&a.point(), &b.point(), to),
                _ => a.point(),
            };
            let square = square(&point, to);
            if best.is_none_or(|found| square < found.square) {
                *best = Some(Found { point, index, square });
            }
        }
    }
}

/// The corners of a box as it is drawn.
#[derive(Clone, Copy)]
struct Reach {
    low: Point,
    high: Point,
}

impl Reach {
    const NONE: Self = Self { low: [f64::INFINITY; 3], high: [f64::NEG_INFINITY; 3] };

    fn add(&mut self, p: &Point) {
        for ((low, high), p) in self.low.iter_mut().zip(&mut self.high).zip(p) {
            *low = low.min(*p);
            *high = high.max(*p);
        }
    }
}

/// Cuts the chains, in the order they come, into runs of neighbours.
fn runs(chains: &Chains) -> Vec<(u64, (u32, u32), Bounds)> {
    let points = &chains.points;
    let mut out = Vec::with_capacity(points.len() / RUN * 2);
    let mut first = 0;
    let mut reach = Reach::NONE;
    let mut at = points.first().map(|p| p.point());
    for (i, joined) in chains.joined.iter().enumerate() {
        let Some(p) = at else { break };
        reach.add(&p);
        let next = points.get(i + 1).map(|next| next.point());
        if let Some(next) = next
            && *joined
        {
            reach.add(&next);
        }
        let goes_on = next.is_some_and(|next| square(&p, &next) < NEAR_M * NEAR_M);
        if !goes_on || i + 1 - first >= RUN {
            // Chains have fewer points than 2^32: each takes two bytes of at most 16 MB.
            let run = (u32::try_from(first).unwrap_or(u32::MAX), u32::try_from(i).unwrap_or(0));
            let bounds = Bounds::between(reach.low, reach.high);
            out.push((bounds.along_curve(), run, bounds));
            first = i + 1;
            reach = Reach::NONE;
        }
        at = next;
    }
    out
}
