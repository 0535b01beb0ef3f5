//! Lines and rings cut to the frame of the map.

use crate::geometry::Rect;
use crate::thin::Line;

/// The pieces of a line that lie inside the frame.
pub(super) fn line_inside(line: &[(f64, f64)], frame: Rect) -> Vec<Line> {
    let mut pieces: Vec<Line> = Vec::new();
    // Whether the last piece may be drawn on from where it ends.
    let mut open = false;
    for pair in line.windows(2) {
        let Some((from, to)) = part_inside(pair[0], pair[1], frame) else {
            open = false;
            continue;
        };
        match pieces.last_mut().filter(|p| open && p.last() == Some(&from)) {
            Some(piece) => piece.push(to),
            None => pieces.push(vec![from, to]),
        }
        open = to == pair[1];
    }
    pieces
}

/// The part of one straight piece inside the frame (after Liang and Barsky).
fn part_inside(a: (f64, f64), b: (f64, f64), frame: Rect) -> Option<((f64, f64), (f64, f64))> {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    let sides = [
        (-dx, a.0 - frame.x),
        (dx, frame.right() - a.0),
        (-dy, a.1 - frame.y),
        (dy, frame.bottom() - a.1),
    ];
    for (towards, room) in sides {
        if towards == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if towards < 0.0 {
            enters = enters.max(room / towards);
        } else {
            leaves = leaves.min(room / towards);
        }
    }
    if enters > leaves {
        return None;
    }
    let at = |part: f64| (a.0 + part * dx, a.1 + part * dy);
    let from = if enters > 0.0 { at(enters) } else { a };
    let to = if leaves < 1.0 { at(leaves) } else { b };
    Some((from, to))
}

/// What of a ring lies inside the frame, as one ring that may run along the frame's sides (after
/// Sutherland and Hodgman); empty when nothing does.
pub(super) fn ring_inside(ring: &[(f64, f64)], frame: Rect) -> Line {
    type Side = fn(&(f64, f64), &Rect) -> f64;
    // Each above 0 inside.
    let sides: [Side; 4] =
        [|p, f| p.0 - f.x, |p, f| f.right() - p.0, |p, f| p.1 - f.y, |p, f| f.bottom() - p.1];
    let mut ring = ring.to_vec();
    for side in sides {
        let mut kept = Line::with_capacity(ring.len());
        let Some(&last) = ring.last() else { break };
        let mut before = last;
        for &p in &ring {
            let (was, is) = (side(&before, &frame), side(&p, &frame));
            if (was < 0.0) != (is < 0.0) {
                let part = was / (was - is);
                kept.push((before.0 + part * (p.0 - before.0), before.1 + part * (p.1 - before.1)));
            }
            if is >= 0.0 {
                kept.push(p);
            }
            before = p;
        }
        ring = kept;
    }
    ring
}

/// Strokes x + y = c across a ring, `gap` units apart, as pairs of ends.
pub(super) fn strokes_inside(ring: &[(f64, f64)], gap: f64) -> Vec<[(f64, f64); 2]> {
    let sums = ring.iter().map(|p| p.0 + p.1);
    let (low, high) =
        sums.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), s| (a.min(s), b.max(s)));
    let mut strokes = Vec::new();
    if !(low.is_finite() && high.is_finite()) {
        return strokes;
    }
    let mut c = (low / gap).ceil() * gap;
    while c < high {
        // Where the ring's sides cross the stroke, by x.
        let sides = ring.iter().zip(ring.iter().cycle().skip(1));
        let mut crossings: Vec<f64> = sides
            .filter_map(|(a, b)| {
                let (was, is) = (a.0 + a.1 - c, b.0 + b.1 - c);
                ((was < 0.0) != (is < 0.0)).then(|| a.0 + was / (was - is) * (b.0 - a.0))
            })
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2).filter(|p| p[1] - p[0] > 0.5) {
            strokes.push([(pair[0], c - pair[0]), (pair[1], c - pair[1])]);
        }
        c += gap;
    }
    strokes
}

/// Whether a place lies inside a ring.
pub(super) fn in_ring(ring: &[(f64, f64)], x: f64, y: f64) -> bool {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    let crossed = sides
        .filter(|(a, b)| (a.1 > y) != (b.1 > y) && x < a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0));
    crossed.count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const FRAME: Rect = Rect { x: 10.0, y: 10.0, w: 80.0, h: 40.0 };

    #[test]
    fn a_line_that_leaves_and_comes_back_is_two() {
        let line = [(0.0, 20.0), (50.0, 20.0), (50.0, 80.0), (60.0, 80.0), (60.0, 30.0)];
        let pieces = line_inside(&line, FRAME);
        assert_eq!(
            pieces,
            [vec![(10.0, 20.0), (50.0, 20.0), (50.0, 50.0)], vec![(60.0, 50.0), (60.0, 30.0)]]
        );
    }

    #[test]
    fn a_ring_round_the_frame_covers_it() {
        let ring = [(0.0, 0.0), (200.0, 0.0), (200.0, 200.0), (0.0, 200.0)];
        let inside = ring_inside(&ring, FRAME);
        assert!(in_ring(&inside, 11.0, 11.0) && in_ring(&inside, 89.0, 49.0));
        assert!(ring_inside(&ring, Rect::new(300.0, 0.0, 9.0, 9.0)).is_empty());
    }

    #[test]
    fn ident_hatching_covers_by_its_area() {
        // Strokes g apart in x + y are g/√2 apart; each is √2 times as long as it is broad in x.
        let ring = [(10.0, 10.0), (90.0, 10.0), (90.0, 50.0), (10.0, 50.0)];
        let broad: f64 = strokes_inside(&ring, 1.0).iter().map(|s| s[1].0 - s[0].0).sum();
        assert!((broad - 80.0 * 40.0).abs() < 60.0, "{broad}");
    }

    proptest! {
        #[test]
        fn what_is_cut_lies_inside(points in prop::collection::vec((-1e4f64..1e4, -1e4f64..1e4), 0..30)) {
            let grown = FRAME.grown(1e-6);
            for piece in line_inside(&points, FRAME) {
                prop_assert!(piece.len() > 1 && piece.iter().all(|p| grown.holds(p.0, p.1)));
            }
            let ring = ring_inside(&points, FRAME);
            prop_assert!(ring.iter().all(|p| grown.holds(p.0, p.1)));
            // A place is in the cut ring when it was in the whole one.
            for (x, y) in [(20.3, 20.7), (50.1, 30.2), (80.9, 45.3)] {
                prop_assert_eq!(in_ring(&ring, x, y), in_ring(&points, x, y));
            }
        }
    }
}
