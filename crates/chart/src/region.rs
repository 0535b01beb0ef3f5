//! Regions of a map: hatching them, walking their edges, finding room for their names.

use crate::canvas::Canvas;
use crate::contour::Grid;
use crate::geometry::Rect;
use crate::thin::Line;

/// A named part of a map.
pub(crate) struct Region<'a> {
    pub(crate) name: &'a str,
    /// Its edges on the sheet.
    pub(crate) edges: Vec<Line>,
    /// Above 0 inside; or, for `none`, the field that has no value inside.
    pub(crate) field: Grid,
    /// The region is where the field has no value.
    pub(crate) none: bool,
}

impl Region<'_> {
    /// Whether the region covers a place, in the grid's axes.
    pub(crate) fn covers(&self, x: f64, y: f64) -> bool {
        match self.field.at(x, y) {
            Some(v) => !self.none && v > 0.0,
            None => self.none,
        }
    }
}

/// Which way hatching leans.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Slope {
    Rising,
    Falling,
}

/// Distance between looks along a stroke, units.
const LOOK: f64 = 4.0;

/// Strokes where `inside` is above 0, each ended where it crosses 0.
pub(crate) fn hatch(
    sheet: &mut Canvas,
    area: Rect,
    slope: Slope,
    gap: f64,
    inside: impl Fn(f64, f64) -> Option<f64>,
) {
    let mut path = sheet.pen();
    // A stroke is written for x along the area and y = c - x (rising) or, mirrored, c' + x.
    let place = |x: f64, c: f64| match slope {
        Slope::Rising => (x, c - x),
        Slope::Falling => (x, area.y + area.bottom() - (c - x)),
    };
    let mut c = area.x + area.y + gap / 2.0;
    while c < area.right() + area.bottom() {
        let from = (c - area.bottom()).max(area.x);
        let to = (c - area.y).min(area.right());
        let looks = ((to - from) / LOOK).ceil().max(1.0) as u32;
        let at = |k: u32| from + (to - from) * f64::from(k) / f64::from(looks);
        let mut before: Option<(f64, f64)> = None;
        let mut drawing = false;
        for k in 0..=looks {
            let x = at(k);
            let (px, py) = place(x, c);
            let value = inside(px, py);
            let is_in = value.is_some_and(|v| v > 0.0);
            if is_in != drawing {
                // Where between the two looks the edge lies; at the look itself when not known.
                let edge = match (before, value) {
                    (Some((x0, v0)), Some(v)) if (v - v0).abs() > 0.0 => {
                        x0 + (x - x0) * (v0 / (v0 - v)).clamp(0.0, 1.0)
                    }
                    (Some((x0, _)), None) => x0,
                    _ => x,
                };
                let (ex, ey) = place(edge, c);
                if is_in { path.go(ex, ey) } else { path.to(ex, ey) }
            }
            if is_in && k == looks {
                path.to(px, py);
            }
            drawing = is_in;
            before = value.map(|v| (x, v));
        }
        c += gap;
    }
    sheet.path(&path, "hatch");
}

/// Places for a word of `width` × `height` (left top corners) that lie in a region, those
/// nearest to its middle first; places only partly inside follow when none is wholly so.
pub(crate) fn places_inside(
    area: Rect,
    width: f64,
    height: f64,
    inside: impl Fn(f64, f64) -> bool,
) -> Vec<(f64, f64)> {
    let step = 14.0;
    let (mut seen, mut middle) = (0.0, (0.0, 0.0));
    let mut found: Vec<(u32, (f64, f64))> = Vec::new();
    let mut y = area.y + 3.0;
    while y + height < area.bottom() {
        let mut x = area.x + 3.0;
        while x + width < area.right() {
            let looks = [0.0, 0.25, 0.5, 0.75, 1.0].map(|p| x + p * width);
            let looks = looks.into_iter().flat_map(|lx| [y, y + height].map(|ly| (lx, ly)));
            let covered = looks.filter(|(lx, ly)| inside(*lx, *ly)).count() as u32;
            if covered > 0 {
                found.push((covered, (x, y)));
            }
            let centre = (x + width / 2.0, y + height / 2.0);
            if inside(centre.0, centre.1) {
                seen += 1.0;
                middle = (middle.0 + x, middle.1 + y);
            }
            x += step;
        }
        y += step;
    }
    let most = found.iter().map(|f| f.0).max().unwrap_or(0);
    let mut places: Vec<(f64, f64)> =
        found.into_iter().filter(|f| f.0 == most).map(|f| f.1).collect();
    if seen > 0.0 {
        middle = (middle.0 / seen, middle.1 / seen);
        let off = |p: &(f64, f64)| (p.0 - middle.0).hypot(p.1 - middle.1);
        places.sort_by(|a, b| off(a).total_cmp(&off(b)));
    }
    places
}
