//! The legend under the strip: the pens, and the rule behind each key over the hatching.

use super::data::PassageStrip;
use crate::canvas::{Anchor, Canvas};
use crate::geometry::Rect;
use crate::text::Type;

/// Height of a line of the legend, units.
const LINE: f64 = 18.0;
/// Breadth of a drawn sample, units.
const SAMPLE: f64 = 26.0;
/// Rules named; more than these are counted.
const MOST_RULES: usize = 12;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sample {
    Made,
    May,
    Hatch,
    Band,
    Came,
    None,
}

struct Item {
    sample: Sample,
    text: String,
    x: f64,
    line: usize,
}

/// The legend, laid out in lines.
pub(super) struct Legend {
    rules: Vec<String>,
    items: Vec<Item>,
}

impl Legend {
    /// What a strip needs explained, in lines of `width` units.
    pub(super) fn of(strip: &PassageStrip, width: f64) -> Legend {
        let mut rules: Vec<String> = Vec::new();
        for spell in strip.forbidden.iter().filter(|s| s.span.length_s() > 0.0) {
            let here = spell.span.from_s < strip.span.to_s && spell.span.to_s > strip.span.from_s;
            if here && !spell.label.is_empty() && !rules.contains(&spell.label) {
                rules.push(spell.label.clone());
            }
        }
        let mut told: Vec<(Sample, String)> = Vec::new();
        if !strip.making.is_empty() {
            told.push((Sample::Made, String::from("water is made")));
        }
        if strip.span.length_s() > 0.0 {
            told.push((Sample::May, String::from("may be made")));
        }
        if strip.lanes.iter().any(|l| l.points.iter().any(|p| p.band.is_some())) {
            told.push((Sample::Band, String::from("eight in ten lie within")));
        }
        let mut came: Vec<&str> = strip
            .lanes
            .iter()
            .filter(|l| !l.came.is_empty())
            .map(|l| l.came_word.as_str())
            .collect();
        came.dedup();
        told.extend(came.into_iter().map(|word| (Sample::Came, word.to_owned())));
        if !rules.is_empty() {
            told.push((Sample::Hatch, String::from("may not be made:")));
        }
        for (k, rule) in rules.iter().take(MOST_RULES).enumerate() {
            told.push((Sample::None, format!("{}\u{2002}{rule}", key(k))));
        }
        if rules.len() > MOST_RULES {
            told.push((Sample::None, format!("and {} more", rules.len() - MOST_RULES)));
        }
        let (mut x, mut line) = (0.0, 0);
        let mut items = Vec::new();
        for (sample, text) in told {
            let lead = if sample == Sample::None { 0.0 } else { SAMPLE + 6.0 };
            let text = Type::Tick.fit(&text, width - lead - 2.0);
            let broad = lead + Type::Tick.width(&text);
            if x > 0.0 && x + broad > width {
                (x, line) = (0.0, line + 1);
            }
            items.push(Item { sample, text, x, line });
            x += broad + 16.0;
        }
        rules.truncate(MOST_RULES);
        Legend { rules, items }
    }

    pub(super) fn height(&self) -> f64 {
        self.items.last().map_or(0.0, |i| (i.line + 1) as f64 * LINE + 6.0)
    }

    /// Place of a rule among those named.
    pub(super) fn rank(&self, rule: &str) -> Option<usize> {
        self.rules.iter().position(|r| r == rule)
    }

    pub(super) fn draw(&self, sheet: &mut Canvas, top: f64) {
        for item in &self.items {
            let y = top + item.line as f64 * LINE + 12.0;
            let (x, middle) = (item.x, y - 4.0);
            let end = x + SAMPLE;
            let swatch = Rect::new(x, y - 10.0, SAMPLE, 11.0);
            match item.sample {
                Sample::Made => sheet.line(x, middle, end, middle, "made butt"),
                Sample::May => {
                    sheet.line(x, middle, end, middle, "may butt");
                    sheet.line(x, middle, end, middle, "between butt page");
                }
                Sample::Hatch => sheet.hatch(swatch, 5.0),
                Sample::Band => {
                    sheet.rect(swatch, "f-band");
                    sheet.line(x, middle, end, middle, "pen");
                }
                Sample::Came => {
                    sheet.line(x, middle, end, middle, "ink");
                    let mut dots = sheet.pen();
                    [x + 2.0, end - 2.0].into_iter().for_each(|at| dots.point(at, middle));
                    sheet.path(&dots, "dots");
                }
                Sample::None => {}
            }
            let start = if item.sample == Sample::None { x } else { end + 6.0 };
            sheet.text(start, y, &item.text, Type::Tick, Anchor::Start, "");
        }
    }
}

/// The key of the nth rule: a, b, c.
pub(super) fn key(k: usize) -> String {
    let letter = u8::try_from(k).ok().filter(|k| *k < 26).map(|k| char::from(b'a' + k));
    letter.map_or_else(|| (k + 1).to_string(), String::from)
}
