//! What was said against how often it was so: probabilities in bands, beside the line on which both agree.

use crate::alone::stand_alone;
use crate::canvas::{Anchor, Canvas, Ids};
use crate::geometry::{Rect, Scale};
use crate::number::{number, usable};
use crate::text::Type;

/// One band of probability.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Said {
    /// What was said on the average, 0 to 1.
    pub said: f64,
    /// How many were so.
    pub yes: usize,
    /// Of all.
    pub of: usize,
}

/// One series of bands, in a panel of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Reliability {
    /// What it is, "one set, routine".
    pub name: String,
    /// Its bands.
    pub bands: Vec<Said>,
}

/// Panels beside each other.
const ACROSS: usize = 3;
/// A panel, units: its width, its height with the name above, the room for figures left and below.
const PANEL: (f64, f64, f64, f64) = (250.0, 270.0, 34.0, 26.0);

/// Where the truth lies nine times in ten when `yes` of `of` were so (Wilson's interval, J. Am. Stat. Assoc. 22, 1927).
fn wilson(yes: usize, of: usize) -> (f64, f64) {
    const Z: f64 = 1.645;
    let (n, z2) = (of as f64, Z * Z);
    let p = yes as f64 / n;
    let middle = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
    let half = Z * (p * (1.0 - p) / n + z2 / (4.0 * n * n)).sqrt() / (1.0 + z2 / n);
    ((middle - half).max(0.0), (middle + half).min(1.0))
}

/// The panels as a file of its own, with the style it needs inside.
#[must_use]
pub fn reliability_file(panels: &[Reliability]) -> String {
    let rows = panels.len().div_ceil(ACROSS).max(1);
    let across = panels.len().clamp(1, ACROSS);
    let (w, h, left, below) = PANEL;
    let mut sheet = Canvas::new(&mut Ids::new("said"), "pic", w * across as f64, h * rows as f64);
    let mut words = Vec::new();
    for (i, panel) in panels.iter().enumerate() {
        let corner = (w * (i % ACROSS) as f64, h * (i / ACROSS) as f64);
        let area =
            Rect::new(corner.0 + left, corner.1 + 26.0, w - left - 14.0, h - 26.0 - below - 16.0);
        draw(&mut sheet, panel, area);
        words.push(told(panel));
    }
    let picture = sheet.finish("What was said, and how often it was so", &words.join(" "));
    stand_alone(&picture)
}

fn draw(sheet: &mut Canvas, panel: &Reliability, area: Rect) {
    let x = Scale::new(0.0, 1.0, area.x, area.right());
    let y = Scale::new(0.0, 1.0, area.bottom(), area.y);
    sheet.text(area.x, area.y - 10.0, &panel.name, Type::Name, Anchor::Start, "");
    for tick in [0.0, 0.25, 0.5, 0.75, 1.0] {
        sheet.line(area.x, y.at(tick), area.right(), y.at(tick), "hair");
        sheet.line(x.at(tick), area.y, x.at(tick), area.bottom(), "hair");
        let text = number(100.0 * tick, 0);
        sheet.text(area.x - 6.0, y.at(tick) + 4.0, &text, Type::Tick, Anchor::End, "");
        sheet.text(x.at(tick), area.bottom() + 15.0, &text, Type::Tick, Anchor::Middle, "");
    }
    sheet.line(x.at(0.0), y.at(0.0), x.at(1.0), y.at(1.0), "ink1");
    sheet.text(area.right(), area.bottom() + 29.0, "said, in 100", Type::Tick, Anchor::End, "");
    for band in panel.bands.iter().filter(|b| b.of > 0 && usable(b.said)) {
        let (low, high) = wilson(band.yes, band.of);
        let at = x.at(band.said);
        sheet.line(at, y.at(low), at, y.at(high), "ink");
        sheet.dot(at, y.at(band.yes as f64 / band.of as f64), 4.0, "f-red");
    }
}

fn told(panel: &Reliability) -> String {
    let bands = panel.bands.iter().filter(|b| b.of > 0).map(|b| {
        let so = 100.0 * b.yes as f64 / b.of as f64;
        format!("{} said, {} so, of {}", number(100.0 * b.said, 0), number(so, 0), b.of)
    });
    format!("{}, in 100: {}.", panel.name, bands.collect::<Vec<_>>().join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand from the formula: 81 of 263 at z 1.645.
    #[test]
    fn ident_the_interval_holds_the_share_and_stays_within_nought_and_one() {
        for (yes, of) in [(0, 5), (5, 5), (81, 263), (1, 1000)] {
            let (low, high) = wilson(yes, of);
            let p = yes as f64 / of as f64;
            assert!((0.0..=p).contains(&low) && (p..=1.0).contains(&high), "{low} {p} {high}");
        }
        let (low, high) = wilson(81, 263);
        assert!((low - 0.2633).abs() < 1.0e-3 && (high - 0.3566).abs() < 1.0e-3, "{low} {high}");
    }

    #[test]
    fn ident_every_band_is_a_dot_and_told() {
        let bands = vec![Said { said: 0.1, yes: 3, of: 30 }, Said { said: 0.9, yes: 0, of: 0 }];
        let file = reliability_file(&[Reliability { name: "one set".into(), bands }]);
        assert_eq!(file.matches("<circle").count(), 1, "{file}");
        assert!(file.contains("10 said, 10 so, of 30") && file.starts_with("<?xml"));
    }
}
