//! A lane's values as curves on the sheet: unbroken pieces, steps drawn out, parted at now.

use super::data::{Joined, StripLane};
use crate::clock::Span;
use crate::data::Band;
use crate::number::{some_usable, usable};

/// A corner of a lane's curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Corner {
    pub(super) at_s: f64,
    pub(super) value: f64,
    pub(super) band: Option<Band>,
}

/// A lane with its curve, made once for all the widths at which it is drawn.
pub(super) struct Curve<'a> {
    pub(super) lane: &'a StripLane,
    pub(super) pieces: Vec<Vec<Corner>>,
}

impl Curve<'_> {
    /// The curves of lanes within a span.
    pub(super) fn all(lanes: &[StripLane], span: Span) -> Vec<Curve<'_>> {
        lanes.iter().map(|lane| Curve { lane, pieces: pieces(lane, span) }).collect()
    }

    pub(super) fn corners(&self) -> impl DoubleEndedIterator<Item = &Corner> {
        self.pieces.iter().flatten()
    }

    /// The corner whose figures are told: the one nearest to the lane's own moment, or its last.
    pub(super) fn told(&self) -> Option<Corner> {
        let Some(told) = self.lane.told.as_ref().filter(|t| usable(t.at_s)) else {
            return self.corners().next_back().copied();
        };
        let off = |c: &Corner| (c.at_s - told.at_s).abs();
        self.corners().min_by(|a, b| off(a).total_cmp(&off(b))).copied()
    }
}

/// The unbroken pieces of a lane within a span, in order of time.
fn pieces(lane: &StripLane, span: Span) -> Vec<Vec<Corner>> {
    let mut points: Vec<_> = lane.points.iter().filter(|p| usable(p.at_s)).collect();
    points.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let usual = usual_step(&points.iter().map(|p| p.at_s).collect::<Vec<_>>());
    let mut pieces: Vec<Vec<Corner>> = vec![Vec::new()];
    for (k, point) in points.iter().enumerate() {
        let Some(value) = some_usable(point.value) else {
            pieces.push(Vec::new());
            continue;
        };
        let band = point.band.filter(|b| usable(b.low) && usable(b.high));
        let band = band.map(|b| Band { low: b.low.min(b.high), high: b.high.max(b.low) });
        let Some(piece) = pieces.last_mut() else { continue };
        match lane.joined {
            Joined::Line if span.holds(point.at_s) => {
                piece.push(Corner { at_s: point.at_s, value, band });
            }
            Joined::Line => {}
            Joined::Step => {
                let until = points.get(k + 1).map_or(point.at_s + usual, |next| next.at_s);
                let (from, to) = (point.at_s.max(span.from_s), until.min(span.to_s));
                if from <= to {
                    piece.push(Corner { at_s: from, value, band });
                    piece.push(Corner { at_s: to, value, band });
                }
            }
        }
    }
    pieces.retain(|p| !p.is_empty());
    pieces
}

/// The middle distance between moments, s; 0 when there are not two.
fn usual_step(at_s: &[f64]) -> f64 {
    let mut steps: Vec<f64> = at_s.windows(2).map(|w| w[1] - w[0]).filter(|s| *s > 0.0).collect();
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len() / 2).copied().unwrap_or(0.0)
}

/// The part of a piece up to a moment and the part from it on; both touch it when it lies between.
pub(super) fn parted(piece: &[Corner], at_s: f64) -> (Vec<Corner>, Vec<Corner>) {
    let first_after = piece.iter().take_while(|c| c.at_s <= at_s).count();
    let (mut before, mut after) = (piece[..first_after].to_vec(), piece[first_after..].to_vec());
    if let (Some(a), Some(b)) = (before.last().copied(), after.first().copied()) {
        let part = (at_s - a.at_s) / (b.at_s - a.at_s);
        let mix = |from: f64, to: f64| from + part * (to - from);
        let band = a
            .band
            .zip(b.band)
            .map(|(a, b)| Band { low: mix(a.low, b.low), high: mix(a.high, b.high) });
        let between = Corner { at_s, value: mix(a.value, b.value), band };
        if a.at_s < at_s {
            before.push(between);
        }
        after.insert(0, between);
    }
    (before, after)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::passage::data::StripPoint;

    fn lane(joined: Joined, values: &[Option<f64>]) -> StripLane {
        let at = |k: usize| k as f64 * 10.0;
        let points = values.iter().enumerate();
        let points = points.map(|(k, v)| StripPoint { at_s: at(k), value: *v, band: None });
        StripLane { joined, points: points.collect(), ..StripLane::default() }
    }

    fn places(piece: &[Corner]) -> Vec<(f64, f64)> {
        piece.iter().map(|c| (c.at_s, c.value)).collect()
    }

    const SPAN: Span = Span { from_s: 5.0, to_s: 100.0 };

    #[test]
    fn a_step_holds_until_the_next() {
        let found = pieces(&lane(Joined::Step, &[Some(1.0), Some(4.0), None, Some(2.0)]), SPAN);
        assert_eq!(places(&found[0]), [(5.0, 1.0), (10.0, 1.0), (10.0, 4.0), (20.0, 4.0)]);
        assert_eq!(places(&found[1]), [(30.0, 2.0), (40.0, 2.0)]);
    }

    #[test]
    fn a_line_is_parted_on_itself() {
        let found = pieces(&lane(Joined::Line, &[None, Some(1.0), Some(3.0)]), SPAN);
        let (before, after) = parted(&found[0], 15.0);
        assert_eq!(places(&before), [(10.0, 1.0), (15.0, 2.0)]);
        assert_eq!(places(&after), [(15.0, 2.0), (20.0, 3.0)]);
        assert_eq!(parted(&found[0], 99.0).0, found[0]);
        assert!(parted(&found[0], 0.0).0.is_empty());
    }
}
