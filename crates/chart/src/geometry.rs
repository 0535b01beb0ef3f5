//! Rectangles and straight scales.

use crate::number::usable;

/// A rectangle on the sheet, units; `y` grows downwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width.
    pub w: f64,
    /// Height.
    pub h: f64,
}

impl Rect {
    /// A rectangle from its left top corner and size.
    #[must_use]
    pub fn new(x: f64, y: f64, w: f64, h: f64) -> Rect {
        Rect { x, y, w, h }
    }

    /// Right edge.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.x + self.w
    }

    /// Bottom edge.
    #[must_use]
    pub fn bottom(&self) -> f64 {
        self.y + self.h
    }

    /// Whether the two share any area.
    #[must_use]
    pub fn overlaps(&self, other: &Rect) -> bool {
        self.x < other.right()
            && other.x < self.right()
            && self.y < other.bottom()
            && other.y < self.bottom()
    }

    /// Whether `other` lies wholly inside, edges included.
    #[must_use]
    pub fn contains(&self, other: &Rect) -> bool {
        other.x >= self.x
            && other.y >= self.y
            && other.right() <= self.right()
            && other.bottom() <= self.bottom()
    }

    /// Whether a point lies inside, edges included.
    #[must_use]
    pub fn holds(&self, x: f64, y: f64) -> bool {
        x >= self.x && x <= self.right() && y >= self.y && y <= self.bottom()
    }

    /// The same rectangle with `margin` more on every side.
    #[must_use]
    pub fn grown(&self, margin: f64) -> Rect {
        Rect::new(self.x - margin, self.y - margin, self.w + 2.0 * margin, self.h + 2.0 * margin)
    }
}

/// A straight scale from values to places.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    pub(crate) low: f64,
    pub(crate) high: f64,
    from: f64,
    to: f64,
}

impl Scale {
    /// Values `low..high` onto places `from..to`; a range without extent is widened around itself.
    pub(crate) fn new(low: f64, high: f64, from: f64, to: f64) -> Scale {
        let (low, high) = if usable(low) && usable(high) { (low, high) } else { (0.0, 1.0) };
        let (low, high) = if high < low { (high, low) } else { (low, high) };
        let slack = (high.abs() * 1e-9).max(1e-9);
        if high - low < slack {
            let half = (low.abs() * 0.02).max(0.5);
            return Scale { low: low - half, high: high + half, from, to };
        }
        Scale { low, high, from, to }
    }

    /// Place of a value, held inside the range.
    pub(crate) fn at(&self, value: f64) -> f64 {
        let part = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.from + (self.to - self.from) * part
    }

    /// Value at a place.
    pub(crate) fn value(&self, place: f64) -> f64 {
        self.low + (self.high - self.low) * (place - self.from) / (self.to - self.from)
    }

    pub(crate) fn holds(&self, value: f64) -> bool {
        value >= self.low && value <= self.high
    }
}

/// Smallest and largest of the drawable values.
pub(crate) fn extent(values: impl IntoIterator<Item = f64>) -> Option<(f64, f64)> {
    values.into_iter().filter(|v| usable(*v)).fold(None, |seen, v| match seen {
        None => Some((v, v)),
        Some((low, high)) => Some((f64::min(low, v), f64::max(high, v))),
    })
}
