//! The strip on its sheet: time and events above, where water is made, the lanes, the legend.

use super::curve::Curve;
use super::data::{PassageStrip, StripLane};
use super::lane::{FIGURES, Plot};
use super::legend::{Legend, key};
use super::words::words;
use crate::canvas::{Anchor, Canvas, Ids};
use crate::clock::TimeTick;
use crate::geometry::{Rect, Scale};
use crate::labels::Placer;
use crate::number::{number, usable};
use crate::series::stroke;
use crate::text::Type;
use crate::thin::Line;

/// Height of the time labels, and of a row of events, units.
const ROW: f64 = 18.0;
/// Most rows of events.
const EVENT_ROWS: usize = 3;
/// Height of the row that tells where water is made: its keys above, its line below.
const WATER: f64 = 44.0;
/// Height of a lane's own name line on the narrow drawing, units.
const NAME_LINE: f64 = 24.0;

/// An event's place and label, with the label's left edge and row when it has room.
struct Event {
    at: f64,
    label: String,
    spot: Option<(f64, usize)>,
}

/// One drawing `width` units wide; `class` says at which widths of page it is shown.
pub(super) fn draw(
    ids: &mut Ids,
    strip: &PassageStrip,
    curves: &[Curve<'_>],
    (width, class): (f64, &str),
) -> String {
    let narrow = width < 400.0;
    let left = left_margin(&strip.lanes, narrow);
    let ends = curves.iter().any(|c| c.told().is_some_and(|end| end.band.is_some()));
    let right = if narrow {
        8.0
    } else if ends {
        FIGURES
    } else {
        16.0
    };
    let x = Scale::new(strip.span.from_s, strip.span.to_s, left, width - right);
    let legend = Legend::of(strip, width);
    let events = events(strip, &x, left, width);
    let rows = events.iter().filter_map(|e| e.spot).map(|s| s.1 + 1).max().unwrap_or(0);
    let gap = if narrow { 12.0 } else { 18.0 };
    let line = if narrow { NAME_LINE } else { 0.0 };
    let tall = |lane: &StripLane| if lane.tall { 110.0 } else { 58.0 };
    let stack: f64 = strip.lanes.iter().map(|l| tall(l) + gap + line).sum();
    let head = ROW + rows as f64 * ROW + 4.0;
    let bottom = head + WATER + line + stack;
    let height = bottom + ROW + legend.height() + 4.0;
    let mut sheet = Canvas::new(ids, class, width, height);
    let now = strip.now_s.filter(|n| usable(*n) && strip.span.holds(*n)).map(|n| x.at(n));

    // Now is told once, above; the days stand above and below, for a tall strip.
    let top = ROW - 3.0;
    time_labels(&mut sheet, strip, &x, now, 12.0);
    time_labels(&mut sheet, strip, &x, None, bottom + 8.0);
    // Between lanes of the narrow drawing stand names and values: upright lines stop short of them.
    let mut plots = vec![(head + line, head + line + WATER - 10.0)];
    let mut y = head + line + WATER;
    for lane in &strip.lanes {
        plots.push((y + line - 2.0, y + line + tall(lane) + 3.0));
        y += line + tall(lane) + gap;
    }
    let uprights = if narrow { plots } else { vec![(top, bottom - gap / 2.0)] };
    day_lines(&mut sheet, strip, &x, &uprights);
    draw_events(&mut sheet, &events, head - 2.0, &uprights);

    let forbidden = forbidden(strip, &x);
    let mut y = head;
    if narrow {
        sheet.heading(0.0, y + 13.0, "Making water", "", width);
        y += line;
    } else {
        sheet.text(0.0, y + 26.0, "Making water", Type::Bold, Anchor::Start, "");
    }
    water(&mut sheet, strip, &legend, &forbidden, &x, y);
    y += WATER;

    let lines: usize = strip.lanes.iter().map(|l| if has_band(l) { 3 } else { 1 }).sum();
    let points = (3600 / lines.max(1)).clamp(60, 420) / if narrow { 2 } else { 1 };
    let now_s = strip.now_s.filter(|n| usable(*n)).unwrap_or(f64::NEG_INFINITY);
    let crossed: Vec<f64> = events.iter().map(|e| e.at).chain(now).collect();
    for curve in curves {
        let lane = curve.lane;
        let end = curve.told().and_then(|end| Some((end.value, end.band?)));
        if narrow {
            let mut room = width;
            if let Some((value, band)) = end {
                let show = |v: f64| number(v, lane.decimals);
                let figure = show(value);
                sheet.text(width, y + 14.0, &figure, Type::Figure, Anchor::End, "");
                room -= Type::Figure.width(&figure) + 8.0;
                let band = format!("{} to {}", show(band.low), show(band.high));
                let needs = Type::Tick.width(&band) + 8.0;
                if Type::Bold.width(&lane.name) + Type::Tick.width(&lane.unit) + 14.0 + needs < room
                {
                    sheet.text(room, y + 14.0, &band, Type::Tick, Anchor::End, "");
                    room -= needs;
                }
            }
            sheet.heading(0.0, y + 14.0, &lane.name, &lane.unit, room - 6.0);
            y += line;
        } else {
            let room = left - 40.0;
            let name = Type::Bold.fit(&lane.name, room);
            sheet.text(0.0, y + 12.0, &name, Type::Bold, Anchor::Start, "");
            let unit = Type::Tick.fit(&lane.unit, room);
            sheet.text(0.0, y + 27.0, &unit, Type::Tick, Anchor::Start, "");
        }
        let area = Rect::new(left, y, width - right - left, tall(lane));
        let plot = Plot {
            curve,
            span: strip.span,
            now_s,
            area,
            forbidden: &forbidden,
            crossed: &crossed,
            points,
        };
        plot.draw(&mut sheet);
        if !narrow {
            plot.end_figures(&mut sheet);
        }
        y += tall(lane) + gap;
    }
    if let Some(at) = now {
        stroke(&mut sheet, &upright(at, &uprights), "redl");
    }
    legend.draw(&mut sheet, bottom + ROW + 4.0);
    let picture = sheet.finish(&strip.title, &words(strip, curves));
    hooked(&picture, strip, &x, (head, bottom - gap / 2.0))
}

/// The picture with what a cursor needs to know: which times its plot spans, and where that lies.
fn hooked(picture: &str, strip: &PassageStrip, x: &Scale, (top, bottom): (f64, f64)) -> String {
    if strip.span.length_s() <= 0.0 {
        return String::from(picture);
    }
    let (left, right) = (x.at(strip.span.from_s), x.at(strip.span.to_s));
    let hook = format!(
        "<svg data-from-s=\"{:.0}\" data-to-s=\"{:.0}\" data-left=\"{left:.1}\" \
         data-right=\"{right:.1}\" data-top=\"{top:.1}\" data-bottom=\"{bottom:.1}\" ",
        strip.span.from_s, strip.span.to_s
    );
    picture.replacen("<svg ", &hook, 1)
}

fn has_band(lane: &StripLane) -> bool {
    lane.points.iter().any(|p| p.band.is_some())
}

/// Room for names and axis figures, units.
fn left_margin(lanes: &[StripLane], narrow: bool) -> f64 {
    if narrow {
        return 38.0;
    }
    let names = lanes.iter().map(|l| Type::Bold.width(&l.name).max(Type::Tick.width(&l.unit)));
    (names.fold(Type::Bold.width("Making water"), f64::max) + 46.0).clamp(104.0, 176.0)
}

/// A line at `at` through each stretch.
fn upright(at: f64, stretches: &[(f64, f64)]) -> Vec<Line> {
    stretches.iter().map(|s| vec![(at, s.0), (at, s.1)]).collect()
}

/// Marks of days, or of hours on the shortest passages, at most one every `apart` units.
fn ticks(strip: &PassageStrip, x: &Scale, apart: f64) -> Vec<TimeTick> {
    let most = (x.at(strip.span.to_s) - x.at(strip.span.from_s)) / apart;
    let days = strip.span.length_s() / 86_400.0;
    let most = if days < 3.0 { most.min(12.0) } else { most.min(days + 2.0) };
    strip.clock.ticks(strip.span, most as usize)
}

fn day_lines(sheet: &mut Canvas, strip: &PassageStrip, x: &Scale, uprights: &[(f64, f64)]) {
    let days = ticks(strip, x, 8.0);
    let lines: Vec<Line> = days.iter().flat_map(|t| upright(x.at(t.at_s), uprights)).collect();
    stroke(sheet, &lines, "hair");
}

fn time_labels(
    sheet: &mut Canvas,
    strip: &PassageStrip,
    x: &Scale,
    now: Option<f64>,
    baseline: f64,
) {
    let half_now = Type::Red.width("now") / 2.0;
    if let Some(at) = now {
        sheet.text(at, baseline, "now", Type::Red, Anchor::Middle, "");
    }
    // The word "now" may have been moved in from the edge.
    let now_middle = now.map(|at| at.clamp(half_now, sheet.width() - half_now));
    let mut reached = f64::NEG_INFINITY;
    for tick in ticks(strip, x, 30.0) {
        let at = x.at(tick.at_s);
        let width = Type::Tick.width(&tick.label);
        let start = (at - width / 2.0).clamp(0.0, (sheet.width() - width).max(0.0));
        let hides_now = now_middle
            .is_some_and(|n| start - 6.0 < n + half_now && start + width + 6.0 > n - half_now);
        if start < reached + 6.0 || hides_now {
            continue;
        }
        sheet.text(start, baseline, &tick.label, Type::Tick, Anchor::Start, "");
        reached = start + width;
    }
}

/// The events in the span, their labels in as few rows as hold them all.
fn events(strip: &PassageStrip, x: &Scale, left: f64, width: f64) -> Vec<Event> {
    let mut shown: Vec<_> = strip.events.iter().filter(|e| strip.span.holds(e.at_s)).collect();
    shown.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let mut laid: Vec<Event> = Vec::new();
    for rows in 1..=EVENT_ROWS {
        let mut placer = Placer::new(Rect::new(0.0, 0.0, width, rows as f64 * ROW));
        laid = shown
            .iter()
            .map(|event| {
                let at = x.at(event.at_s);
                let label = Type::Small.fit(&event.text, 0.5 * width);
                let broad = Type::Small.width(&label) + 6.0;
                let wishes: Vec<(f64, f64)> = (0..rows)
                    .flat_map(|row| {
                        let y = row as f64 * ROW + 1.0;
                        [(at, y), (at - broad, y)]
                    })
                    .filter(|wish| wish.0 >= left - 60.0)
                    .collect();
                let spot = placer.place(broad, ROW - 2.0, &wishes).filter(|_| !label.is_empty());
                let spot = spot.map(|s| (s.x + 3.0, (s.y / ROW) as usize));
                Event { at, label, spot }
            })
            .collect();
        if laid.iter().all(|e| e.spot.is_some() || e.label.is_empty()) {
            break;
        }
    }
    laid
}

fn draw_events(sheet: &mut Canvas, events: &[Event], head: f64, uprights: &[(f64, f64)]) {
    let mut lines: Vec<Line> = Vec::new();
    for event in events {
        let from = ROW + event.spot.map_or(0, |s| s.1) as f64 * ROW + 2.0;
        // From its label down; the first stretch may begin above that.
        lines.extend(upright(event.at, &[(from, head)]));
        let below = uprights.iter().map(|s| (s.0.max(head), s.1));
        lines.extend(upright(event.at, &below.collect::<Vec<_>>()));
    }
    stroke(sheet, &lines, "event");
    for event in events {
        if let Some((start, row)) = event.spot {
            let y = ROW + row as f64 * ROW + 13.0;
            sheet.text(start, y, &event.label, Type::Small, Anchor::Start, "halo");
        }
    }
}

/// Where water may not be made, as places along the sheet, those that touch taken together.
fn forbidden(strip: &PassageStrip, x: &Scale) -> Vec<(f64, f64)> {
    let here = strip.forbidden.iter().filter(|s| {
        s.span.length_s() > 0.0
            && s.span.from_s < strip.span.to_s
            && s.span.to_s > strip.span.from_s
    });
    let mut places: Vec<(f64, f64)> =
        here.map(|s| (x.at(s.span.from_s), x.at(s.span.to_s))).collect();
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined: Vec<(f64, f64)> = Vec::new();
    for (from, to) in places {
        match joined.last_mut().filter(|last| from <= last.1 + 0.5) {
            Some(last) => last.1 = last.1.max(to),
            None => joined.push((from, to)),
        }
    }
    joined
}

/// The row that tells where water may not, may and will be made, with the rules' keys over it.
fn water(
    sheet: &mut Canvas,
    strip: &PassageStrip,
    legend: &Legend,
    forbidden: &[(f64, f64)],
    x: &Scale,
    y: f64,
) {
    let (left, right) = (x.at(strip.span.from_s), x.at(strip.span.to_s));
    if strip.span.length_s() <= 0.0 {
        return;
    }
    let (top, middle) = (y + 14.0, y + 22.0);
    for &(from, to) in forbidden {
        sheet.hatch(Rect::new(from, top, to - from, 16.0), 5.0);
    }
    // A double line in each gap between what is forbidden; what is made lies over it.
    let mut free: Vec<Line> = Vec::new();
    let mut reached = left;
    for &(from, to) in forbidden.iter().chain(&[(right, right)]) {
        if from - reached > 0.5 {
            free.push(vec![(reached, middle), (from, middle)]);
        }
        reached = reached.max(to);
    }
    stroke(sheet, &free, "may butt");
    stroke(sheet, &free, "between butt page");
    let making = strip
        .making
        .iter()
        .filter(|s| s.length_s() > 0.0 && s.from_s < strip.span.to_s && s.to_s > strip.span.from_s);
    let made: Vec<Line> =
        making.map(|s| vec![(x.at(s.from_s), middle), (x.at(s.to_s), middle)]).collect();
    stroke(sheet, &made, "made butt");
    let barred: Vec<Line> = forbidden.iter().map(|f| vec![(f.0, middle), (f.1, middle)]).collect();
    stroke(sheet, &barred, "ink1");

    let mut placer = Placer::new(Rect::new(left - 8.0, y - 2.0, right - left + 16.0, 15.0));
    for spell in strip.forbidden.iter().filter(|s| s.span.length_s() > 0.0) {
        let Some(k) = legend.rank(&spell.label) else { continue };
        if spell.span.to_s < strip.span.from_s || spell.span.from_s > strip.span.to_s {
            continue;
        }
        let centre = (x.at(spell.span.from_s) + x.at(spell.span.to_s)) / 2.0;
        let mark = key(k);
        let width = Type::Small.width(&mark) + 3.0;
        if let Some(spot) = placer.place(width, 13.0, &[(centre - width / 2.0, y - 1.0)]) {
            let middle = spot.x + width / 2.0;
            sheet.text(middle, spot.y + 11.0, &mark, Type::Small, Anchor::Middle, "halo");
        }
    }
}
