//! The sheet one picture is drawn on: shapes and words in, SVG text out, nothing outside the frame.

use crate::geometry::Rect;
use crate::text::{Type, escape};
use std::fmt::Write;

/// Hands out element ids that are unique on one page.
///
/// One counter serves a whole page; a page built from separately made parts gives each part its
/// own prefix.
#[derive(Clone, Debug)]
pub struct Ids {
    prefix: String,
    next: u32,
}

impl Ids {
    /// A counter whose ids begin with `prefix` (letters, digits and hyphens are kept).
    #[must_use]
    pub fn new(prefix: &str) -> Ids {
        let prefix: String =
            prefix.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
        // An id must not begin with a digit.
        let starts_well = prefix.starts_with(|c: char| c.is_ascii_alphabetic());
        Ids { prefix: if starts_well { prefix } else { format!("p{prefix}") }, next: 0 }
    }

    fn take(&mut self) -> String {
        self.next += 1;
        format!("{}{}", self.prefix, self.next)
    }
}

/// The two widths every large picture is drawn at; the stylesheet shows the one that fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// 760 units, for 640 px of page and more, and for paper.
    Wide,
    /// 336 units, for a phone.
    Narrow,
}

impl Size {
    /// Width of the picture, units (px at scale 1).
    #[must_use]
    pub fn width(self) -> f64 {
        match self {
            Size::Wide => 760.0,
            Size::Narrow => 336.0,
        }
    }

    pub(crate) fn class(self) -> &'static str {
        match self {
            Size::Wide => "wide",
            Size::Narrow => "narrow",
        }
    }

    pub(crate) fn narrow(self) -> bool {
        self == Size::Narrow
    }

    /// The wide drawing followed by the narrow one.
    pub(crate) fn both(mut draw: impl FnMut(Size) -> String) -> String {
        let mut pair = draw(Size::Wide);
        pair.push_str(&draw(Size::Narrow));
        pair
    }
}

/// Where a word hangs on its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    fn attribute(self) -> &'static str {
        match self {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        }
    }

    /// Left edge of a word `width` wide that hangs at `x`.
    pub(crate) fn left(self, x: f64, width: f64) -> f64 {
        match self {
            Anchor::Start => x,
            Anchor::Middle => x - width / 2.0,
            Anchor::End => x - width,
        }
    }
}

/// One picture in the making.
pub(crate) struct Canvas {
    id: String,
    class: String,
    width: f64,
    height: f64,
    body: String,
}

impl Canvas {
    pub(crate) fn new(ids: &mut Ids, class: &str, width: f64, height: f64) -> Canvas {
        Canvas { id: ids.take(), class: String::from(class), width, height, body: String::new() }
    }

    pub(crate) fn width(&self) -> f64 {
        self.width
    }

    /// An id of something on this sheet that other things on it refer to.
    pub(crate) fn own_id(&self, end: &str) -> String {
        format!("{}{end}", self.id)
    }

    /// Shapes drawn elsewhere, as they are.
    pub(crate) fn put(&mut self, svg: &str) {
        self.body.push_str(svg);
    }

    /// A new path that cannot leave the picture.
    pub(crate) fn pen(&self) -> Path {
        Path {
            d: String::new(),
            at: (0, 0),
            drawing: false,
            width: self.width,
            height: self.height,
        }
    }

    pub(crate) fn path(&mut self, path: &Path, class: &str) {
        if !path.d.is_empty() {
            let _ = write!(self.body, "<path class=\"{class}\" d=\"{}\"/>", path.d);
        }
    }

    pub(crate) fn line(&mut self, x1: f64, y1: f64, x2: f64, y2: f64, class: &str) {
        let mut path = self.pen();
        path.go(x1, y1);
        path.to(x2, y2);
        self.path(&path, class);
    }

    pub(crate) fn rect(&mut self, area: Rect, class: &str) {
        let mut path = self.pen();
        path.go(area.x, area.y);
        path.to(area.right(), area.y);
        path.to(area.right(), area.bottom());
        path.to(area.x, area.bottom());
        path.close();
        self.path(&path, class);
    }

    pub(crate) fn dot(&mut self, x: f64, y: f64, radius: f64, class: &str) {
        let x = x.clamp(radius, self.width - radius);
        let y = y.clamp(radius, self.height - radius);
        if x.is_finite() && y.is_finite() {
            let _ = write!(
                self.body,
                "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
                Tenths::of(x),
                Tenths::of(y),
                Tenths::of(radius)
            );
        }
    }

    /// 45-degree strokes across a rectangle: "not here" or "past a limit".
    pub(crate) fn hatch(&mut self, area: Rect, gap: f64) {
        if area.w <= 0.0 || area.h <= 0.0 {
            return;
        }
        let mut path = self.pen();
        // Strokes x + y = c, phased by the page so that neighbouring areas line up.
        let mut c = ((area.x + area.y) / gap).ceil() * gap;
        while c < area.right() + area.bottom() {
            let x1 = (c - area.bottom()).max(area.x);
            let x2 = (c - area.y).min(area.right());
            if x2 - x1 > 0.5 {
                path.go(x1, c - x1);
                path.to(x2, c - x2);
            }
            c += gap;
        }
        self.path(&path, "hatch");
    }

    /// Words on the sheet, moved or cut as needed to stay inside it. `halo` is the paper they
    /// are written over: "" for none, "halo" for the page, "halo leaf" for a chart's ground.
    pub(crate) fn text(
        &mut self,
        x: f64,
        y: f64,
        text: &str,
        ty: Type,
        anchor: Anchor,
        halo: &str,
    ) {
        let text = ty.fit(text, self.width - 1.0);
        if text.is_empty() || !(x.is_finite() && y.is_finite()) {
            return;
        }
        let width = ty.width(&text);
        let left = anchor.left(x, width);
        let x = x + (left.clamp(0.0, (self.width - width).max(0.0)) - left);
        let y = y.clamp(ty.size() * 0.8, self.height - ty.size() * 0.22);
        let class = match (ty.class(), halo) {
            ("", "") => String::new(),
            (a, "") => format!(" class=\"{a}\""),
            ("", b) => format!(" class=\"{b}\""),
            (a, b) => format!(" class=\"{a} {b}\""),
        };
        let _ = write!(
            self.body,
            "<text x=\"{}\" y=\"{}\"{class}{}>{}</text>",
            Tenths::of(x),
            Tenths::of(y),
            anchor.attribute(),
            escape(&text)
        );
    }

    /// A name in bold with its unit in pencil after it, cut to `room`; gives the width used.
    pub(crate) fn heading(&mut self, x: f64, y: f64, name: &str, unit: &str, room: f64) -> f64 {
        let unit_width = if unit.is_empty() { 0.0 } else { Type::Tick.width(unit) + 6.0 };
        let name = Type::Bold.fit(name, room - unit_width);
        let name_width = Type::Bold.width(&name);
        let _ = write!(
            self.body,
            "<text x=\"{}\" y=\"{}\"><tspan class=\"tb\">{}</tspan>",
            Tenths::of(x),
            Tenths::of(y),
            escape(&name)
        );
        if !unit.is_empty() && unit_width <= room {
            let _ = write!(self.body, " <tspan class=\"tp ts\">{}</tspan>", escape(unit));
        }
        self.body.push_str("</text>");
        name_width + unit_width
    }

    /// The finished picture, named and described in words.
    pub(crate) fn finish(self, title: &str, desc: &str) -> String {
        let Canvas { id, class, width, height, body } = self;
        format!(
            "<svg class=\"pic {class}\" viewBox=\"0 0 {} {}\" role=\"img\" \
             aria-labelledby=\"{id}t {id}d\"><title id=\"{id}t\">{}</title>\
             <desc id=\"{id}d\">{}</desc>{body}</svg>",
            Tenths::of(width),
            Tenths::of(height),
            escape(title),
            escape(desc)
        )
    }
}

/// A path written in tenths of a unit, steps relative, so that it stays short.
pub(crate) struct Path {
    d: String,
    at: (i64, i64),
    drawing: bool,
    width: f64,
    height: f64,
}

impl Path {
    fn tenths(&self, x: f64, y: f64) -> (i64, i64) {
        // A value that is not a number falls on the edge: callers filter, this only keeps faith.
        let x = if x.is_nan() { 0.0 } else { x.clamp(0.0, self.width) };
        let y = if y.is_nan() { 0.0 } else { y.clamp(0.0, self.height) };
        ((x * 10.0).round() as i64, (y * 10.0).round() as i64)
    }

    fn step(&mut self, (x, y): (i64, i64)) {
        let dx = Tenths(x - self.at.0).to_string();
        let dy = Tenths(y - self.at.1).to_string();
        if !dx.starts_with('-') && !self.d.ends_with(|c: char| c.is_ascii_alphabetic()) {
            self.d.push(' ');
        }
        self.d.push_str(&dx);
        if !dy.starts_with('-') {
            self.d.push(' ');
        }
        self.d.push_str(&dy);
    }

    /// Lift the pen and put it down at a point.
    pub(crate) fn go(&mut self, x: f64, y: f64) {
        let to = self.tenths(x, y);
        let _ = write!(self.d, "M{} {}", Tenths(to.0), Tenths(to.1));
        self.at = to;
        self.drawing = false;
    }

    /// Draw straight to a point.
    pub(crate) fn to(&mut self, x: f64, y: f64) {
        let to = self.tenths(x, y);
        if to == self.at && self.drawing {
            return;
        }
        if !self.drawing {
            self.d.push('l');
            self.drawing = true;
        }
        self.step(to);
        self.at = to;
    }

    /// Draw an S-curve that leaves and arrives level.
    pub(crate) fn sway(&mut self, x: f64, y: f64) {
        let from = (self.at.0 as f64 / 10.0, self.at.1 as f64 / 10.0);
        let middle = (from.0 + x) / 2.0;
        self.curve((middle, from.1), (middle, y), (x, y));
    }

    /// Draw a cubic curve.
    pub(crate) fn curve(&mut self, a: (f64, f64), b: (f64, f64), end: (f64, f64)) {
        self.d.push('c');
        let (a, b, to) = (self.tenths(a.0, a.1), self.tenths(b.0, b.1), self.tenths(end.0, end.1));
        self.step(a);
        self.step(b);
        self.step(to);
        self.at = to;
        self.drawing = false;
    }

    /// A point: drawn round by the line's cap.
    pub(crate) fn point(&mut self, x: f64, y: f64) {
        self.go(x, y);
        self.d.push_str("h0");
    }

    pub(crate) fn close(&mut self) {
        self.d.push('z');
        self.drawing = false;
    }
}

/// A coordinate in tenths, written as short as it can be.
#[derive(Clone, Copy)]
struct Tenths(i64);

impl Tenths {
    fn of(v: f64) -> Tenths {
        Tenths((v * 10.0).round() as i64)
    }
}

impl std::fmt::Display for Tenths {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let (whole, tenth) = (self.0.unsigned_abs() / 10, self.0.unsigned_abs() % 10);
        match (whole, tenth) {
            (0, 0) => f.write_str("0"),
            (w, 0) => write!(f, "{sign}{w}"),
            (0, t) => write!(f, "{sign}.{t}"),
            (w, t) => write!(f, "{sign}{w}.{t}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coordinates_are_short() {
        let shown: Vec<String> = [0, 5, -5, 10, -123].map(|t| Tenths(t).to_string()).to_vec();
        assert_eq!(shown, ["0", ".5", "-.5", "1", "-12.3"]);
    }

    #[test]
    fn a_path_never_leaves_its_sheet() {
        let sheet = Canvas::new(&mut Ids::new("t"), "wide", 100.0, 50.0);
        let mut path = sheet.pen();
        path.go(-5.0, 10.0);
        path.to(250.0, f64::INFINITY);
        path.to(f64::NAN, 20.0);
        assert_eq!(path.d, "M0 10l100 40-100-30");
    }

    #[test]
    fn ids_are_clean_and_differ() {
        let mut ids = Ids::new("9 a\"b");
        assert_eq!((ids.take(), ids.take()), (String::from("p9ab1"), String::from("p9ab2")));
    }
}
