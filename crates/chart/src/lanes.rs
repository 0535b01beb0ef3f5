//! Several quantities stacked on one clock, and one quantity on its own.

use crate::canvas::{Anchor, Canvas, Ids, Size};
use crate::clock::{Clock, Span};
use crate::data::{Lane, Lanes, Spell, Trend};
use crate::geometry::{Rect, Scale};
use crate::number::{number, usable};
use crate::series::{Plot, lane_words, last_reading};
use crate::text::Type;

/// Height of the time labels above the lanes, units.
const HEAD: f64 = 24.0;
/// Height of a lane's own name line on the narrow drawing, units.
const NAME_LINE: f64 = 26.0;

/// Stacked lanes on one clock, wide and narrow: name and unit at the left, last value at the
/// right, expected in pencil, readings in ink, stopped spells hatched, a red line at now.
#[must_use]
pub fn lanes(ids: &mut Ids, picture: &Lanes) -> String {
    Size::both(|size| draw(ids, picture, size))
}

/// One quantity over a span, wide and narrow.
#[must_use]
pub fn trend(ids: &mut Ids, picture: &Trend) -> String {
    let title = match picture.lane.unit.as_str() {
        "" => picture.lane.name.clone(),
        unit => format!("{}, {unit}", picture.lane.name),
    };
    let one = Lanes {
        title,
        says: picture.says.clone(),
        span: picture.span,
        now_s: picture.now_s,
        clock: picture.clock.clone(),
        stopped: picture.stopped.clone(),
        lanes: vec![picture.lane.clone()],
    };
    Size::both(|size| draw_with(ids, &one, size, |_| if size.narrow() { 190.0 } else { 240.0 }))
}

fn draw(ids: &mut Ids, picture: &Lanes, size: Size) -> String {
    draw_with(ids, picture, size, |lane| if lane.tall { 104.0 } else { 60.0 })
}

fn draw_with(ids: &mut Ids, picture: &Lanes, size: Size, tall: impl Fn(&Lane) -> f64) -> String {
    let narrow = size.narrow();
    let left = left_margin(&picture.lanes, narrow);
    let right = if narrow { 6.0 } else { 88.0 };
    let gap = if narrow { 14.0 } else { 18.0 };
    let line = if narrow { NAME_LINE } else { 0.0 };
    let stack: f64 = picture.lanes.iter().map(|l| tall(l) + gap + line).sum();
    let height = HEAD + stack.max(40.0) + 6.0;
    let mut sheet = Canvas::new(ids, size.class(), size.width(), height);
    let x = Scale::new(picture.span.from_s, picture.span.to_s, left, size.width() - right);
    let (top, bottom) = (HEAD - 6.0, height - gap / 2.0);

    let now = picture.now_s.filter(|n| usable(*n) && picture.span.holds(*n)).map(|n| x.at(n));

    time_axis(&mut sheet, picture, &x, now, (top, bottom), narrow);
    // The more lanes, the fewer points in each, so that a picture of many stays small.
    let points = (1200 / picture.lanes.len().max(1)).clamp(100, 450) / if narrow { 2 } else { 1 };
    let mut y = HEAD + 2.0;
    for lane in &picture.lanes {
        let last = last_reading(lane, picture.span);
        let none = || String::from(if lane.worked_out { "" } else { "–" });
        let last = last.map_or_else(none, |(_, v)| number(v, lane.decimals));
        if narrow {
            let room = size.width() - Type::Figure.width(&last) - 14.0;
            // Limits are told with the name: between the edges of so small a plot they would hide the band.
            let told = lane.limits.iter().filter(|l| usable(l.value)).map(|l| l.label.as_str());
            let told: Vec<_> = std::iter::once(lane.unit.as_str()).chain(told).collect();
            let told = told.join(", ");
            let fits = Type::Bold.width(&lane.name) + Type::Tick.width(&told) + 6.0 <= room;
            sheet.heading(0.0, y + 15.0, &lane.name, if fits { &told } else { &lane.unit }, room);
            sheet.text(size.width(), y + 15.0, &last, Type::Figure, Anchor::End, "");
            y += NAME_LINE;
        } else {
            let room = left - 40.0;
            sheet.text(
                0.0,
                y + 12.0,
                &Type::Bold.fit(&lane.name, room),
                Type::Bold,
                Anchor::Start,
                "",
            );
            sheet.text(
                0.0,
                y + 28.0,
                &Type::Tick.fit(&lane.unit, room),
                Type::Tick,
                Anchor::Start,
                "",
            );
        }
        let area = Rect::new(left, y, size.width() - right - left, tall(lane));
        let plot = Plot {
            lane,
            span: picture.span,
            area,
            stopped: &picture.stopped,
            beside: (!narrow).then_some(right - 6.0),
            points,
            ticks: (tall(lane) / 26.0) as usize + 1,
        };
        plot.draw(&mut sheet);
        if !narrow {
            let at = plot.last_place().unwrap_or(area.y + area.h / 2.0);
            let at = at.clamp(area.y + 6.0, area.bottom());
            sheet.text(area.right() + 10.0, at + 5.5, &last, Type::Figure, Anchor::Start, "");
        }
        if let (true, Some(at)) = (narrow, now) {
            // Between lanes stand names and values: the line of now stops short of them.
            sheet.line(at, area.y - 2.0, at, area.bottom() + 4.0, "redl");
        }
        y += tall(lane) + gap;
    }
    if picture.lanes.is_empty() {
        sheet.text(left, HEAD + 24.0, "no reading", Type::Name, Anchor::Start, "");
    }
    stopped_names(&mut sheet, &picture.stopped, picture.span, &x, bottom);
    if let (false, Some(at)) = (narrow, now) {
        sheet.line(at, top, at, bottom, "redl");
    }
    sheet.finish(&picture.title, &words(picture))
}

/// Room for names and axis figures, units.
fn left_margin(lanes: &[Lane], narrow: bool) -> f64 {
    if narrow {
        return 38.0;
    }
    let widest = lanes.iter().map(|l| Type::Bold.width(&l.name)).fold(0.0, f64::max);
    (widest + 44.0).clamp(104.0, 176.0)
}

fn time_axis(
    sheet: &mut Canvas,
    picture: &Lanes,
    x: &Scale,
    now: Option<f64>,
    (top, bottom): (f64, f64),
    narrow: bool,
) {
    let mut reached = f64::NEG_INFINITY;
    let half_now = Type::Red.width("now") / 2.0;
    if let Some(at) = now {
        sheet.text(at, 12.0, "now", Type::Red, Anchor::Middle, "");
    }
    // The word "now" may have been moved in from the edge.
    let now_middle = now.map(|at| at.clamp(half_now, sheet.width() - half_now));
    for tick in picture.clock.ticks(picture.span, if narrow { 4 } else { 9 }) {
        let at = x.at(tick.at_s);
        sheet.line(at, top, at, bottom, "hair");
        let width = Type::Tick.width(&tick.label);
        let start = (at - width / 2.0).clamp(0.0, (sheet.width() - width).max(0.0));
        let hides_now = now_middle
            .is_some_and(|n| start - 6.0 < n + half_now && start + width + 6.0 > n - half_now);
        if start < reached + 6.0 || hides_now {
            continue;
        }
        sheet.text(start, 12.0, &tick.label, Type::Tick, Anchor::Start, "");
        reached = start + width;
    }
}

/// The name of each hatched spell, along the bottom, where it has room.
fn stopped_names(sheet: &mut Canvas, stopped: &[Spell], span: Span, x: &Scale, bottom: f64) {
    let mut reached = f64::NEG_INFINITY;
    for spell in stopped {
        if spell.span.to_s < span.from_s || spell.span.from_s > span.to_s {
            continue;
        }
        let middle = (x.at(spell.span.from_s) + x.at(spell.span.to_s)) / 2.0;
        let width = Type::Name.width(&spell.label);
        let start = (middle - width / 2.0).clamp(0.0, (sheet.width() - width).max(0.0));
        if start > reached + 8.0 {
            sheet.text(start, bottom + 4.0, &spell.label, Type::Name, Anchor::Start, "halo");
            reached = start + width;
        }
    }
}

fn words(picture: &Lanes) -> String {
    let mut words = picture.says.clone();
    let mut add = |text: &str| {
        if !words.is_empty() {
            words.push(' ');
        }
        words.push_str(text);
    };
    if let (Some(from), Some(to)) =
        (picture.clock.moment(picture.span.from_s), picture.clock.moment(picture.span.to_s))
    {
        add(&format!("From {from} to {to} ship's time."));
    }
    for lane in &picture.lanes {
        add(&lane_words(lane, picture.span, &picture.stopped, &picture.clock));
    }
    if picture.lanes.is_empty() {
        add("No reading.");
    }
    for spell in &picture.stopped {
        let during = |c: &Clock| Some((c.moment(spell.span.from_s)?, c.moment(spell.span.to_s)?));
        match during(&picture.clock) {
            Some((from, to)) => add(&format!("Hatched: {}, {from} to {to}.", spell.label)),
            None => add(&format!("Hatched: {}.", spell.label)),
        }
    }
    words
}
