//! Small pictures for rows and fields: a reading between its limits, or against what was expected.

use crate::canvas::{Anchor, Canvas, Ids};
use crate::data::Band;
use crate::geometry::{Rect, Scale, extent};
use crate::labels::spread;
use crate::number::{nice_ticks, number, some_usable, usable, with_unit};
use crate::text::{Type, sentence_case};

/// One reading against its limits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LimitStrip {
    /// What is read, "Vacuum".
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// Decimals its instrument gives.
    pub decimals: u8,
    /// The limit it must not fall below.
    pub low: Option<f64>,
    /// The limit it must not rise above.
    pub high: Option<f64>,
    /// Where it should be.
    pub expected: Option<Band>,
    /// What was read.
    pub read: Option<f64>,
    /// The other readings contradict it: drawn as an open red ring.
    pub in_doubt: bool,
    /// Ends of the rule; chosen from the numbers when `None`.
    pub range: Option<(f64, f64)>,
}

/// How large a limit strip is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StripSize {
    /// 204 units, for rows.
    Row,
    /// 150 units, for entry fields.
    Field,
}

/// A rule with ticks: gates at the limits with hatching beyond, a pencil box where the reading
/// should be, an ink dot where it is.
#[must_use]
pub fn limit_strip(ids: &mut Ids, strip: &LimitStrip, size: StripSize) -> String {
    let (width, class) = match size {
        StripSize::Row => (204.0, "strip"),
        StripSize::Field => (150.0, "strip field-strip"),
    };
    let mut sheet = Canvas::new(ids, class, width, 44.0);
    let (low, high) = (some_usable(strip.low), some_usable(strip.high));
    let band = strip.expected.filter(|b| usable(b.low) && usable(b.high));
    let read = some_usable(strip.read);
    let y = 21.0;
    let (ends_low, ends_high) = strip_range(strip, low, high, band, read);
    let x = Scale::new(ends_low, ends_high, 10.0, width - 10.0);

    if let Some(band) = band {
        let (from, to) = (x.at(band.low.min(band.high)), x.at(band.high.max(band.low)));
        let to = to.max(from + 3.0).min(width - 10.0);
        sheet.rect(Rect::new(from, y - 9.0, to - from, 9.0), "f-band");
    }
    if let Some(limit) = low {
        sheet.hatch(Rect::new(10.0, y - 10.0, x.at(limit) - 10.0, 10.0), 5.0);
    }
    if let Some(limit) = high {
        sheet.hatch(Rect::new(x.at(limit), y - 10.0, width - 10.0 - x.at(limit), 10.0), 5.0);
    }
    let mut ticks = sheet.pen();
    for v in nice_ticks(x.low, x.high, 15).values {
        ticks.go(x.at(v), y);
        ticks.to(x.at(v), y + 3.5);
    }
    sheet.path(&ticks, "edge");
    sheet.line(10.0, y, width - 10.0, y, "ink1");

    let mut figures: Vec<(f64, String)> = Vec::new();
    for (limit, hook) in [(low, -6.0), (high, 6.0)] {
        let Some(limit) = limit else { continue };
        let mut gate = sheet.pen();
        gate.go(x.at(limit), y + 6.0);
        gate.to(x.at(limit), y - 13.0);
        gate.to(x.at(limit) + hook, y - 13.0);
        sheet.path(&gate, "ink");
        figures.push((x.at(limit), number(limit, limit_decimals(limit, strip.decimals))));
    }
    let wishes: Vec<(f64, f64)> =
        figures.iter().map(|(at, text)| (*at, Type::Tick.width(text) + 4.0)).collect();
    for (at, (_, text)) in spread(&wishes, 0.0, width).into_iter().zip(&figures) {
        sheet.text(at, 41.0, text, Type::Tick, Anchor::Middle, "");
    }
    match read {
        Some(v) if strip.in_doubt => sheet.dot(x.at(v), y - 4.5, 5.0, "f-paper redl"),
        Some(v) => sheet.dot(x.at(v), y - 4.5, 5.5, "f-ink"),
        None => {}
    }
    sheet.finish(&format!("{} against its limits", sentence_case(&strip.name)), &strip_words(strip))
}

/// A limit is written with the decimals it needs, at most those of the instrument.
fn limit_decimals(limit: f64, decimals: u8) -> u8 {
    if (limit - limit.round()).abs() < 1e-9 && limit.abs() >= 10.0 { 0 } else { decimals }
}

fn strip_range(
    strip: &LimitStrip,
    low: Option<f64>,
    high: Option<f64>,
    band: Option<Band>,
    read: Option<f64>,
) -> (f64, f64) {
    if let Some((a, b)) = strip.range
        && usable(a)
        && usable(b)
        && a < b
    {
        return (a, b);
    }
    let must = [low, high, band.map(|b| b.low), band.map(|b| b.high)].into_iter().flatten();
    let Some((a, b)) = extent(must.clone()).or_else(|| extent(read)) else { return (0.0, 1.0) };
    let band_width = band.map_or(0.0, |b| (b.high - b.low).abs());
    let reach =
        ((b - a) * 0.25).max(2.0 * band_width).max(10f64.powi(-i32::from(strip.decimals.min(9))));
    // A reading a little past the gates is shown where it is; one far past stands at the end.
    let (mut from, mut to) = (a - reach, b + reach);
    if let Some(v) = read {
        from = from.min(v - 0.2 * reach).max(a - 3.0 * reach);
        to = to.max(v + 0.2 * reach).min(b + 3.0 * reach);
    }
    let never_negative = must.chain(read).all(|v| v >= 0.0);
    (if never_negative { from.max(0.0) } else { from }, to)
}

fn strip_words(strip: &LimitStrip) -> String {
    let show = |v: f64| number(v, strip.decimals);
    let mut words = match some_usable(strip.read) {
        Some(v) => format!("Reads {}", with_unit(v, strip.decimals, &strip.unit)),
        None => String::from("No reading"),
    };
    if let Some(b) = strip.expected.filter(|b| usable(b.low) && usable(b.high)) {
        words.push_str(&format!(", expected {} to {}", show(b.low), show(b.high)));
    }
    for (limit, name) in [(strip.low, "low"), (strip.high, "high")] {
        if let Some(v) = some_usable(limit) {
            words.push_str(&format!(
                ", {name} limit {}",
                number(v, limit_decimals(v, strip.decimals))
            ));
        }
    }
    words.push_str(if strip.in_doubt { "; in doubt." } else { "." });
    words
}

/// What was read against what was expected, so that rows of different quantities compare.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ExpectedRead {
    /// What is read.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// Decimals its instrument gives.
    pub decimals: u8,
    /// The likeliest value.
    pub expected: f64,
    /// Half the width of the band nine in ten readings fall in, same unit.
    pub half_band: f64,
    /// What was read.
    pub read: Option<f64>,
    /// The other readings contradict it: drawn as an open red ring.
    pub in_doubt: bool,
}

/// An axis in units of the band: hatched pencil box expected, ink stem and dot read.
#[must_use]
pub fn evr(ids: &mut Ids, row: &ExpectedRead) -> String {
    let width = 220.0;
    let mut sheet = Canvas::new(ids, "strip", width, 30.0);
    let y = 15.0;
    let x = Scale::new(-3.4, 3.4, 12.0, width - 12.0);
    let apart = match some_usable(row.read) {
        Some(v) if usable(row.expected) && usable(row.half_band) && row.half_band > 0.0 => {
            Some((v - row.expected) / row.half_band)
        }
        _ => None,
    };
    sheet.line(8.0, y, width - 8.0, y, "hair");
    let area = Rect::new(x.at(-1.0), y - 9.0, x.at(1.0) - x.at(-1.0), 18.0);
    sheet.rect(area, "f-band");
    sheet.hatch(area, 6.0);
    sheet.line(x.at(0.0), y - 11.0, x.at(0.0), y + 11.0, "pen");
    let desc = match apart {
        Some(z) => {
            sheet.line(x.at(0.0), y, x.at(z), y, "ink2");
            if z.abs() > 3.4 {
                // Further than the axis goes: the stem ends in an arrow.
                let (tip, back) = (x.at(z), x.at(z) - 8.0 * z.signum());
                let mut head = sheet.pen();
                head.go(tip, y);
                head.to(back, y - 6.0);
                head.to(back, y + 6.0);
                head.close();
                sheet.path(&head, if row.in_doubt { "f-red" } else { "f-ink" });
            } else if row.in_doubt {
                sheet.dot(x.at(z), y, 6.0, "f-paper redl");
            } else {
                sheet.dot(x.at(z), y, 6.0, "f-ink");
            }
            let side = if z < 0.0 { "below" } else { "above" };
            format!(
                "Read {}, expected {} ± {}: {} half bands {side}{}.",
                with_unit(row.read.unwrap_or(f64::NAN), row.decimals, &row.unit),
                number(row.expected, row.decimals),
                number(row.half_band, row.decimals),
                number(z.abs(), 1),
                if row.in_doubt { ", in doubt" } else { "" }
            )
        }
        None => {
            sheet.text(8.0, y + 4.0, "no reading", Type::Small, Anchor::Start, "halo");
            format!("No reading; expected {}.", with_unit(row.expected, row.decimals, &row.unit))
        }
    };
    sheet.finish(&format!("{}, expected against read", sentence_case(&row.name)), &desc)
}

/// A part of a whole as a hatched bar, 160 units: `share` from 0 to 1.
#[must_use]
pub fn share_bar(ids: &mut Ids, name: &str, share: f64) -> String {
    let width = 160.0;
    let mut sheet = Canvas::new(ids, "strip", width, 16.0);
    sheet.line(0.0, 8.0, width, 8.0, "hair");
    let desc = if usable(share) {
        let area = Rect::new(1.0, 2.0, (width - 2.0) * share.clamp(0.0, 1.0), 12.0);
        sheet.hatch(area, 4.0);
        sheet.rect(area, "ink1");
        format!("{} in 100.", number(share * 100.0, 0))
    } else {
        String::from("No reading.")
    };
    sheet.finish(name, &desc)
}
