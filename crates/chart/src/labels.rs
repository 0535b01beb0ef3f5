//! Where labels go: no label on another, none outside the frame, as little ink covered as may be.

use crate::geometry::Rect;

/// How far from its first wish a label may be moved, in label heights.
const REACH: i32 = 6;

/// Places labels one after another in a frame, each clear of what was placed before.
#[derive(Clone, Debug)]
pub struct Placer {
    frame: Rect,
    taken: Vec<Rect>,
    ink: Vec<(f64, f64)>,
}

impl Placer {
    /// An empty frame.
    #[must_use]
    pub fn new(frame: Rect) -> Placer {
        Placer { frame, taken: Vec::new(), ink: Vec::new() }
    }

    /// Keep an area free of labels.
    pub fn keep_clear(&mut self, area: Rect) {
        self.taken.push(area);
    }

    /// Points of drawn lines: a label covers them only when there is no better place.
    pub fn add_ink(&mut self, points: impl IntoIterator<Item = (f64, f64)>) {
        self.ink.extend(points);
    }

    /// Whether a rectangle is inside the frame and clear of everything placed.
    #[must_use]
    pub fn free(&self, area: &Rect) -> bool {
        self.frame.contains(area) && !self.taken.iter().any(|t| t.overlaps(area))
    }

    fn covered(&self, area: &Rect) -> usize {
        self.ink.iter().filter(|p| area.holds(p.0, p.1)).count()
    }

    /// Place a label of `width` × `height` at the best of `wishes` (left top corners, the most
    /// wished for first); `None` when all of them are taken or outside.
    pub fn place(&mut self, width: f64, height: f64, wishes: &[(f64, f64)]) -> Option<Rect> {
        let mut best: Option<(usize, Rect)> = None;
        for &(x, y) in wishes {
            let area = Rect::new(x, y, width, height);
            if !self.free(&area) {
                continue;
            }
            let covered = self.covered(&area);
            if best.is_none_or(|(least, _)| covered < least) {
                best = Some((covered, area));
            }
            if covered == 0 {
                break;
            }
        }
        let (_, area) = best?;
        self.taken.push(area);
        Some(area)
    }

    /// As [`Placer::place`], but looks round the first wish too, within a few label heights, when
    /// the wishes are taken or cover ink; moving a label away costs as ink under it does.
    pub fn place_near(&mut self, width: f64, height: f64, wishes: &[(f64, f64)]) -> Option<Rect> {
        let &(x, y) = wishes.first()?;
        if !(x.is_finite() && y.is_finite() && width > 0.0 && height > 0.0) {
            return None;
        }
        let step = height / 2.0;
        let around = (-2 * REACH..=2 * REACH)
            .flat_map(|i| (-2 * REACH..=2 * REACH).map(move |j| (i, j)))
            .map(|(i, j)| (x + f64::from(i) * step, y + f64::from(j) * step))
            .map(|spot| (spot, 1.0 + distance(spot, (x, y)) / height));
        let wished = wishes.iter().enumerate().map(|(rank, spot)| (*spot, 0.1 * rank as f64));
        let mut best: Option<(f64, Rect)> = None;
        for ((x, y), cost) in wished.chain(around) {
            let area = Rect::new(x, y, width, height);
            if best.is_some_and(|(least, _)| least <= cost) || !self.free(&area) {
                continue;
            }
            let covered = self.covered(&area);
            let cost = cost + covered as f64;
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, area));
            }
        }
        let (_, area) = best?;
        self.taken.push(area);
        Some(area)
    }
}

fn distance(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// Spread labels of given heights along a line so that none overlap, each as near to its wished
/// centre as the others allow, all within `low..high` when they fit there at all.
///
/// Returns the centres in the order given.
#[must_use]
pub fn spread(wishes: &[(f64, f64)], low: f64, high: f64) -> Vec<f64> {
    // A block is a run of touching labels; its best start is the mean of its members' wishes.
    struct Block {
        members: Vec<usize>,
        height: f64,
        start_sum: f64,
    }
    let start = |block: &Block| {
        let wished = block.start_sum / block.members.len().max(1) as f64;
        wished.min(high - block.height).max(low)
    };
    let mut order: Vec<usize> = (0..wishes.len()).collect();
    order.sort_by(|a, b| wishes[*a].0.total_cmp(&wishes[*b].0));
    let mut blocks: Vec<Block> = Vec::new();
    for i in order {
        let (wish, height) = wishes[i];
        let wish = if wish.is_finite() { wish } else { low };
        blocks.push(Block { members: vec![i], height, start_sum: wish - height / 2.0 });
        while let [.., above, below] = blocks.as_slice()
            && start(above) + above.height > start(below) + 1e-9
        {
            let (Some(below), Some(above)) = (blocks.pop(), blocks.last_mut()) else { break };
            above.start_sum += below.start_sum - above.height * below.members.len() as f64;
            above.height += below.height;
            above.members.extend(below.members);
        }
    }
    let mut centres = vec![low; wishes.len()];
    for block in &blocks {
        let mut y = start(block);
        for &i in &block.members {
            centres[i] = y + wishes[i].1 / 2.0;
            y += wishes[i].1;
        }
    }
    centres
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn ink_is_avoided_when_another_wish_is_clear() {
        let mut placer = Placer::new(Rect::new(0.0, 0.0, 100.0, 100.0));
        placer.add_ink([(15.0, 15.0)]);
        let area = placer.place(20.0, 10.0, &[(10.0, 10.0), (10.0, 40.0)]);
        assert_eq!(area, Some(Rect::new(10.0, 40.0, 20.0, 10.0)));
    }

    #[test]
    fn a_taken_wish_moves_to_the_nearest_free_place() {
        let mut placer = Placer::new(Rect::new(0.0, 0.0, 200.0, 200.0));
        let first = placer.place_near(40.0, 12.0, &[(80.0, 80.0)]);
        let second = placer.place_near(40.0, 12.0, &[(80.0, 80.0)]);
        let (Some(first), Some(second)) = (first, second) else { panic!("room for both") };
        assert!(!first.overlaps(&second));
        assert!((second.y - first.y).abs() <= 12.0 && (second.x - first.x).abs() < 1.0);
    }

    #[test]
    fn lone_labels_keep_their_wish() {
        assert_eq!(spread(&[(10.0, 4.0), (50.0, 4.0)], 0.0, 100.0), [10.0, 50.0]);
        assert_eq!(spread(&[(50.0, 10.0), (50.0, 10.0)], 0.0, 100.0), [45.0, 55.0]);
        assert_eq!(spread(&[(0.0, 10.0)], 0.0, 100.0), [5.0]);
    }

    proptest! {
        #[test]
        fn placed_labels_are_inside_and_apart(
            wishes in prop::collection::vec((-50f64..450.0, -50f64..250.0, 5f64..90.0), 1..40)
        ) {
            let frame = Rect::new(0.0, 0.0, 400.0, 200.0);
            let mut placer = Placer::new(frame);
            let mut placed: Vec<Rect> = Vec::new();
            for (x, y, width) in wishes {
                if let Some(area) = placer.place_near(width, 12.0, &[(x, y)]) {
                    prop_assert!(frame.contains(&area));
                    prop_assert!(placed.iter().all(|p| !p.overlaps(&area)));
                    placed.push(area);
                }
            }
        }

        #[test]
        fn where_there_is_room_every_label_is_placed(
            wishes in prop::collection::vec((60f64..300.0, 60f64..300.0), 1..8)
        ) {
            // Eight labels of 20 × 12 cannot fill the ring of places round any one wish.
            let mut placer = Placer::new(Rect::new(0.0, 0.0, 400.0, 400.0));
            for wish in wishes {
                prop_assert!(placer.place_near(20.0, 12.0, &[wish]).is_some());
            }
        }

        #[test]
        fn spread_labels_never_overlap_and_stay_in_order(
            wishes in prop::collection::vec((-20f64..320.0, 1f64..30.0), 0..9)
        ) {
            let centres = spread(&wishes, 0.0, 300.0);
            let mut spans: Vec<(f64, f64)> =
                wishes.iter().zip(&centres).map(|(w, c)| (c - w.1 / 2.0, c + w.1 / 2.0)).collect();
            spans.sort_by(|a, b| a.0.total_cmp(&b.0));
            prop_assert!(spans.windows(2).all(|w| w[0].1 <= w[1].0 + 1e-6));
            // Nine labels of at most 30 always fit in 300.
            prop_assert!(spans.iter().all(|s| s.0 >= -1e-6 && s.1 <= 300.0 + 1e-6));
        }
    }
}
