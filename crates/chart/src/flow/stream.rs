//! Streams of true height, their right ends, and the figures written on them.

use crate::canvas::{Anchor, Canvas, Size};
use crate::labels::spread;
use crate::text::Type;

/// A stream on its way: a strip of constant height between two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stream {
    pub(super) from: (f64, f64),
    pub(super) to: (f64, f64),
    pub(super) height: f64,
}

/// One named end of a stream at the right of the picture.
pub(super) struct End {
    pub(super) words: String,
    pub(super) class: &'static str,
    pub(super) stream: Stream,
}

/// Places across the picture, units.
pub(super) struct Columns {
    pub(super) evaporator: f64,
    pub(super) condenser: f64,
    pub(super) ends: f64,
    pub(super) width: f64,
    pub(super) narrow: bool,
}

impl Columns {
    pub(super) fn new(size: Size) -> Columns {
        let (evaporator, condenser, ends) =
            if size.narrow() { (96.0, 194.0, 226.0) } else { (240.0, 440.0, 600.0) };
        Columns { evaporator, condenser, ends, width: size.width(), narrow: size.narrow() }
    }
}

/// Line height of a stream's label, units.
pub(super) const LINE: f64 = 19.0;

/// Move the right ends apart so that each has a line for its label.
pub(super) fn settle(ends: &mut [End]) {
    let wishes: Vec<(f64, f64)> = ends
        .iter()
        .map(|e| (e.stream.to.1 + e.stream.height / 2.0, e.stream.height.max(LINE - 5.0) + 8.0))
        .collect();
    // The first end keeps its level: the others make room below it.
    let low = wishes.first().map_or(0.0, |w| w.0 - w.1 / 2.0);
    for (end, centre) in ends.iter_mut().zip(spread(&wishes, low, f64::MAX)) {
        end.stream.to.1 = centre - end.stream.height / 2.0;
    }
}

pub(super) fn label_ends(sheet: &mut Canvas, ends: &[End], columns: &Columns) {
    for end in ends {
        let y = end.stream.to.1 + end.stream.height / 2.0 + 4.5;
        let room = columns.width - columns.ends - 8.0;
        let words = Type::Label.fit(&end.words, room);
        sheet.text(columns.ends + 8.0, y, &words, Type::Label, Anchor::Start, "");
    }
}

/// A figure that matters with its name, on one line or on two.
pub(super) struct Figure<'a> {
    pub(super) value: String,
    pub(super) name: &'a str,
    /// The name goes under the figure.
    pub(super) two_lines: bool,
}

impl Figure<'_> {
    /// Height the figure needs.
    pub(super) fn height(&self) -> f64 {
        if self.two_lines { 2.0 * LINE - 4.0 } else { LINE }
    }

    /// Write it at `x` round the height `centre`, over a stream of height `ground`.
    pub(super) fn draw(&self, sheet: &mut Canvas, x: f64, centre: f64, ground: f64) {
        // A stream too thin to hold the words is blanked under them.
        let halo = if ground < self.height() { "halo" } else { "" };
        let (first, second) = if self.two_lines {
            (centre - 1.0, (x, centre + 14.0))
        } else {
            (centre + 5.5, (x + Type::Figure.width(&self.value) + 7.0, centre + 5.0))
        };
        let ty = if self.two_lines { Type::Small } else { Type::Label };
        sheet.text(x, first, &self.value, Type::Figure, Anchor::Start, halo);
        sheet.text(second.0, second.1, self.name, ty, Anchor::Start, halo);
    }
}

/// A stream of true height with ink edges, its ends left open.
pub(super) fn ribbon(sheet: &mut Canvas, stream: &Stream, class: &str) {
    if stream.height <= 0.0 {
        return;
    }
    let Stream { from, to, height } = *stream;
    let mut body = sheet.pen();
    body.go(from.0, from.1);
    body.sway(to.0, to.1);
    body.to(to.0, to.1 + height);
    body.sway(from.0, from.1 + height);
    body.close();
    sheet.path(&body, class);
    let mut edges = sheet.pen();
    for y in [0.0, height] {
        edges.go(from.0, from.1 + y);
        edges.sway(to.0, to.1 + y);
    }
    sheet.path(&edges, "ink1");
}
