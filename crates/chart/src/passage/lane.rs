//! The inside of one lane: scale, hatching, band, past in ink and future in pencil, lines across.

use super::curve::{Corner, Curve, parted};
use super::data::{StripLane, ThresholdKind, Wash};
use crate::canvas::{Anchor, Canvas};
use crate::clock::Span;
use crate::data::Band;
use crate::geometry::{Rect, Scale, extent};
use crate::labels::{Placer, spread};
use crate::number::{nice_ticks, number, some_usable, usable};
use crate::series::stroke;
use crate::text::Type;
use crate::thin::{Line, spots, thin};

/// Room for the figures beside the lanes, units.
pub(super) const FIGURES: f64 = 74.0;

/// A place on the sheet for one lane.
pub(super) struct Plot<'a> {
    pub(super) curve: &'a Curve<'a>,
    pub(super) span: Span,
    /// Before it ink, after it pencil.
    pub(super) now_s: f64,
    pub(super) area: Rect,
    /// Where water may not be made, as places along the sheet.
    pub(super) forbidden: &'a [(f64, f64)],
    /// Where upright lines cross the lane, as places along the sheet.
    pub(super) crossed: &'a [f64],
    /// Points a line may have.
    pub(super) points: usize,
}

impl Plot<'_> {
    pub(super) fn draw(&self, sheet: &mut Canvas) {
        let area = self.area;
        let pieces = &self.curve.pieces;
        let Some((low, high)) = range(self.curve) else {
            sheet.line(area.x, area.bottom(), area.right(), area.bottom(), "edge");
            let middle = area.y + area.h / 2.0 + 5.0;
            sheet.text(area.x + 8.0, middle, "nothing known", Type::Name, Anchor::Start, "halo");
            return;
        };
        let x = Scale::new(self.span.from_s, self.span.to_s, area.x, area.right());
        let (bottom, top) = (area.bottom(), area.y);
        let y = if self.curve.lane.downward {
            Scale::new(low, high, top, bottom)
        } else {
            Scale::new(low, high, bottom, top)
        };
        self.axis(sheet, &y);
        let count: usize = pieces.iter().map(Vec::len).sum();
        let share = |c: &[Corner]| (self.points * c.len() / count.max(1)).max(8);
        let curve = |corners: &[Corner], pick: fn(&Corner) -> f64| -> Line {
            let line: Line = corners.iter().map(|c| (x.at(c.at_s), y.at(pick(c)))).collect();
            thin(&line, share(corners), 0.3)
        };
        let middle = |corners: &[Corner]| curve(corners, |c| c.value);
        // Where what came stands over it, all that was foreseen is pencil.
        let parted_at =
            if self.curve.lane.came.is_empty() { self.now_s } else { f64::NEG_INFINITY };
        let parts: Vec<_> = pieces.iter().map(|p| parted(p, parted_at)).collect();
        let past: Vec<Line> = parts.iter().map(|p| middle(&p.0)).collect();
        let coming: Vec<Line> = parts.iter().map(|p| middle(&p.1)).collect();

        let zero = y.at(low.max(0.0).min(high));
        match self.curve.lane.wash {
            Wash::None => {}
            Wash::Sea => past.iter().chain(&coming).for_each(|l| wash(sheet, l, zero, "f-sea")),
            Wash::Fresh => past.iter().for_each(|l| wash(sheet, l, zero, "f-fresh")),
        }
        if self.curve.lane.hatched {
            for &(from, to) in self.forbidden {
                sheet.hatch(Rect::new(from, area.y, to - from, area.h), 7.0);
            }
        }
        let mut placer = Placer::new(area.grown(1.0));
        for piece in pieces {
            for banded in piece.split(|c| c.band.is_none()).filter(|b| b.len() > 1) {
                let high = curve(banded, |c| c.band.map_or(c.value, |b| b.high));
                let low = curve(banded, |c| c.band.map_or(c.value, |b| b.low));
                placer.add_ink(spots(&high).into_iter().chain(spots(&low)));
                let mut outline = sheet.pen();
                outline.go(high[0].0, high[0].1);
                high.iter().skip(1).chain(low.iter().rev()).for_each(|p| outline.to(p.0, p.1));
                outline.close();
                sheet.path(&outline, "f-band");
            }
        }
        sheet.line(area.x, zero, area.right(), zero, "edge");
        self.thresholds(sheet, &y);
        stroke(sheet, &coming, "pen");
        stroke(sheet, &past, "ink");
        for (lines, class) in [(&coming, "dots-was"), (&past, "dots")] {
            let mut dots = sheet.pen();
            let lone = lines.iter().filter(|l| l.len() == 1);
            lone.for_each(|l| dots.point(l[0].0, l[0].1));
            sheet.path(&dots, class);
        }
        past.iter().chain(&coming).for_each(|l| placer.add_ink(spots(l)));
        self.came(sheet, &mut placer, &x, &y);
        for &at in self.crossed {
            placer.add_ink(spots(&[(at, area.y), (at, area.bottom())]));
        }
        self.remarks(sheet, &mut placer, &x, &past, &coming);
        self.threshold_names(sheet, &mut placer, &y);
    }

    /// What came: each point a dot, joined in ink.
    fn came(&self, sheet: &mut Canvas, placer: &mut Placer, x: &Scale, y: &Scale) {
        let line: Line = came(self.curve.lane, self.span)
            .iter()
            .map(|(at_s, v)| (x.at(*at_s), y.at(*v)))
            .collect();
        let line = thin(&line, self.points, 0.3);
        placer.add_ink(spots(&line));
        let mut dots = sheet.pen();
        line.iter().for_each(|p| dots.point(p.0, p.1));
        stroke(sheet, &[line], "ink");
        sheet.path(&dots, "dots");
    }

    fn axis(&self, sheet: &mut Canvas, y: &Scale) {
        let area = self.area;
        let axis = nice_ticks(y.low, y.high, (area.h / 22.0) as usize + 1);
        for &v in &axis.values {
            let at = y.at(v);
            sheet.line(area.x, at, area.right(), at, "hair");
            let more = self.curve.lane.cap.is_some_and(|cap| (cap - v).abs() < 1e-9 * cap.abs());
            let figure = number(v, axis.decimals) + if more { "+" } else { "" };
            sheet.text(area.x - 6.0, at + 4.0, &figure, Type::Tick, Anchor::End, "");
        }
    }

    fn thresholds(&self, sheet: &mut Canvas, y: &Scale) {
        let area = self.area;
        for threshold in self.curve.lane.thresholds.iter().filter(|t| y.holds(t.value)) {
            let at = y.at(threshold.value);
            let class = match threshold.kind {
                ThresholdKind::Order => "ink1 dash",
                ThresholdKind::Reserve => "redl dash",
                ThresholdKind::Ceiling => {
                    let beyond = if self.curve.lane.downward {
                        Rect::new(area.x, at, area.w, area.bottom() - at)
                    } else {
                        Rect::new(area.x, area.y, area.w, at - area.y)
                    };
                    sheet.hatch(beyond, 7.0);
                    "ink1"
                }
            };
            sheet.line(area.x, at, area.right(), at, class);
        }
    }

    fn threshold_names(&self, sheet: &mut Canvas, placer: &mut Placer, y: &Scale) {
        let area = self.area;
        let shown = || self.curve.lane.thresholds.iter().filter(|t| y.holds(t.value));
        placer.add_ink(shown().flat_map(|t| {
            let at = y.at(t.value);
            spots(&[(area.x, at), (area.right(), at)])
        }));
        for threshold in shown() {
            let at = y.at(threshold.value);
            let label = Type::Small.fit(&threshold.label, area.w - 8.0);
            let width = Type::Small.width(&label);
            let columns = [0.0, 0.25, 0.5, 0.75, 1.0];
            let wishes = columns.map(|c| area.x + 4.0 + c * (area.w - 8.0 - width));
            let wishes: Vec<_> =
                wishes.into_iter().flat_map(|x| [(x, at + 2.0), (x, at - 15.0)]).collect();
            if let Some(spot) = placer.place(width, 13.0, &wishes).filter(|_| !label.is_empty()) {
                sheet.text(spot.x, spot.y + 10.5, &label, Type::Small, Anchor::Start, "halo");
            }
        }
    }

    fn remarks(
        &self,
        sheet: &mut Canvas,
        placer: &mut Placer,
        x: &Scale,
        past: &[Line],
        coming: &[Line],
    ) {
        for remark in self.curve.lane.remarks.iter().filter(|r| self.span.holds(r.at_s)) {
            let text = Type::Name.fit(&remark.text, self.area.w - 16.0);
            let (width, px) = (Type::Name.width(&text), x.at(remark.at_s));
            let near = past.iter().chain(coming).flatten();
            let near = near.min_by(|a, b| (a.0 - px).abs().total_cmp(&(b.0 - px).abs())).copied();
            let py = near.map_or(self.area.y + self.area.h / 2.0, |p| p.1);
            let wishes = [
                (px + 6.0, py - 20.0),
                (px - 6.0 - width, py - 20.0),
                (px + 6.0, py + 6.0),
                (px - 6.0 - width, py + 6.0),
            ];
            if text.is_empty() {
                continue;
            }
            if let Some(spot) = placer.place_near(width, 15.0, &wishes) {
                sheet.text(spot.x, spot.y + 11.5, &text, Type::Name, Anchor::Start, "halo");
            }
        }
    }

    /// What the lane comes to, beside it: the figure that matters and the ends of its band.
    pub(super) fn end_figures(&self, sheet: &mut Canvas) {
        let (Some(end), Some((low, high))) = (self.curve.told(), range(self.curve)) else { return };
        let Some(band) = end.band else { return };
        let y = Scale::new(low, high, self.area.bottom(), self.area.y);
        let y = |v: f64| {
            let at = y.at(v);
            if self.curve.lane.downward { self.area.y + self.area.bottom() - at } else { at }
        };
        let show = |v: f64| number(v, self.curve.lane.decimals);
        let mut figures = vec![(y(end.value), 19.0, show(end.value), Type::Figure)];
        let mut under = |text: &str| {
            let word = Type::Tick.fit(text, FIGURES - 8.0);
            figures.push((y(end.value), 13.0, word, Type::Tick));
        };
        if let Some(told) = &self.curve.lane.told {
            under(&told.text);
        }
        if show(band.low) != show(band.high) {
            under("8 in 10:");
            under(&format!("{} to {}", show(band.low), show(band.high)));
        }
        let wishes: Vec<(f64, f64)> = figures.iter().map(|f| (f.0, f.1)).collect();
        let (top, bottom) = (self.area.y - 6.0, self.area.bottom() + 8.0);
        for (at, (_, _, text, ty)) in spread(&wishes, top, bottom).into_iter().zip(&figures) {
            let below = 0.36 * ty.size();
            sheet.text(self.area.right() + 8.0, at + below, text, *ty, Anchor::Start, "");
        }
    }
}

/// The range a lane needs; `None` when there is nothing to show.
fn range(curve: &Curve<'_>) -> Option<(f64, f64)> {
    let lane = curve.lane;
    let values = curve.corners().flat_map(|c| {
        let band = c.band.unwrap_or(Band { low: c.value, high: c.value });
        [c.value, band.low, band.high]
    });
    let came = came(lane, Span { from_s: f64::NEG_INFINITY, to_s: f64::INFINITY });
    let (low, high) = extent(values.chain(came.into_iter().map(|(_, v)| v)))?;
    let across = lane.thresholds.iter().map(|t| t.value);
    let (low, high) = extent(across.chain([low, high])).unwrap_or((low, high));
    // What is filled, or cut at a cap, is measured from zero.
    let from_zero = lane.wash != Wash::None || lane.cap.is_some() || lane.downward;
    let low = if from_zero { low.min(0.0) } else { low };
    let air = ((high - low) * 0.12).max(2.0 * 10f64.powi(-i32::from(lane.decimals.min(9))));
    let floor = if low >= 0.0 { (low - air).max(0.0) } else { low - air };
    let floor = if from_zero && low >= 0.0 { 0.0 } else { floor };
    let top = high + air;
    Some(match lane.cap.filter(|cap| usable(*cap) && *cap > floor) {
        Some(cap) if top > cap => (floor, cap),
        _ => (floor, top),
    })
}

/// What came in a span, in time.
pub(super) fn came(lane: &StripLane, span: Span) -> Vec<(f64, f64)> {
    let points = lane.came.iter().filter(|p| usable(p.at_s) && span.holds(p.at_s));
    let mut came: Vec<(f64, f64)> =
        points.filter_map(|p| Some((p.at_s, some_usable(p.value)?))).collect();
    came.sort_by(|a, b| a.0.total_cmp(&b.0));
    came
}

fn wash(sheet: &mut Canvas, line: &Line, zero: f64, class: &str) {
    let (Some(first), Some(last)) = (line.first(), line.last()) else { return };
    if line.len() < 2 {
        return;
    }
    let mut path = sheet.pen();
    path.go(first.0, zero);
    line.iter().for_each(|p| path.to(p.0, p.1));
    path.to(last.0, zero);
    path.close();
    sheet.path(&path, class);
}
