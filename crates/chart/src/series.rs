//! The inside of a lane: expected in pencil, readings in ink, corrections and doubts to be seen.

use crate::canvas::{Anchor, Canvas};
use crate::clock::{Clock, Span};
use crate::data::{Lane, Reading, Spell};
use crate::geometry::{Rect, Scale, extent};
use crate::labels::Placer;
use crate::number::{nice_ticks, number, some_usable, usable, with_unit};
use crate::text::{Type, sentence_case};
use crate::thin::{Line, spots, thin};

/// A place on the sheet for one quantity.
pub(crate) struct Plot<'a> {
    pub(crate) lane: &'a Lane,
    pub(crate) span: Span,
    pub(crate) area: Rect,
    pub(crate) stopped: &'a [Spell],
    /// Points a line may have.
    pub(crate) points: usize,
    /// Room right of the area for the names of limits, units; none where limits are named elsewhere.
    pub(crate) beside: Option<f64>,
    /// Axis figures to aim for.
    pub(crate) ticks: usize,
}

impl Plot<'_> {
    fn x(&self) -> Scale {
        Scale::new(self.span.from_s, self.span.to_s, self.area.x, self.area.right())
    }

    fn y(&self) -> Scale {
        let (low, high) = range(self.lane, self.span, self.stopped).unwrap_or((0.0, 1.0));
        Scale::new(low, high, self.area.bottom(), self.area.y)
    }

    /// Draw everything; axis figures hang left of the area.
    pub(crate) fn draw(&self, sheet: &mut Canvas) {
        let (x, y) = (self.x(), self.y());
        let area = self.area;
        // An axis without a single number on it would be an invention.
        let ticks =
            if range(self.lane, self.span, self.stopped).is_some() { self.ticks } else { 0 };
        let axis = nice_ticks(y.low, y.high, ticks);
        for &v in &axis.values {
            sheet.line(area.x, y.at(v), area.right(), y.at(v), "hair");
            let figure = number(v, axis.decimals);
            sheet.text(area.x - 6.0, y.at(v) + 4.0, &figure, Type::Tick, Anchor::End, "");
        }
        self.draw_envelope(sheet, &x, &y);
        self.draw_expected(sheet, &x, &y);
        for spell in self.stopped {
            let (from, to) = (x.at(spell.span.from_s), x.at(spell.span.to_s));
            if spell.span.from_s < self.span.to_s && spell.span.to_s > self.span.from_s {
                sheet.hatch(Rect::new(from, area.y, to - from, area.h), 7.0);
            }
        }

        let mut placer = Placer::new(area.grown(1.0));
        let lines = self.lines(&x, &y);
        let missing = lines.iter().all(Vec::is_empty) && self.lane.envelope.is_empty();
        if missing && !self.lane.worked_out {
            let middle = area.y + area.h / 2.0 + 5.0;
            sheet.text(area.x + 8.0, middle, "no reading", Type::Name, Anchor::Start, "halo");
            placer.keep_clear(Rect::new(area.x, middle - 16.0, 90.0, 20.0));
        }
        for line in &lines {
            placer.add_ink(spots(line));
        }
        placer.add_ink(self.band_spots(&x, &y));
        self.draw_limits(sheet, &mut placer, &y);
        self.draw_readings(sheet, &lines, &x, &y, &mut placer);
        self.draw_cut_off(sheet, &x, &y, &mut placer);
        self.draw_remarks(sheet, &mut placer, &x, &y);
    }

    fn draw_envelope(&self, sheet: &mut Canvas, x: &Scale, y: &Scale) {
        let inside = self.lane.envelope.iter().filter(|e| self.span.holds(e.at_s));
        let inside: Vec<_> = inside.filter(|e| usable(e.low) && usable(e.high)).collect();
        let upper: Line = inside.iter().map(|e| (x.at(e.at_s), y.at(e.high))).collect();
        let lower: Line = inside.iter().map(|e| (x.at(e.at_s), y.at(e.low))).collect();
        fill_between(
            sheet,
            &thin(&upper, self.points / 3, 0.25),
            &thin(&lower, self.points / 3, 0.25),
            "f-env",
        );
    }

    fn draw_expected(&self, sheet: &mut Canvas, x: &Scale, y: &Scale) {
        let here = self.lane.expected.iter().filter(|e| self.span.holds(e.at_s));
        let here: Vec<_> = here.filter(|e| usable(e.middle)).collect();
        let banded =
            |e: &&&crate::data::Expected| e.band.is_some_and(|b| usable(b.low) && usable(b.high));
        // What should have been is not drawn through a time of which nothing was read.
        let within = self.within();
        let pieces = here.chunk_by(|a, b| b.at_s - a.at_s <= within);
        for piece in pieces.flat_map(|piece| piece.split(|e| !banded(&e))) {
            let edge = |pick: fn(&crate::data::Band) -> f64| -> Line {
                let points =
                    piece.iter().filter_map(|e| e.band.as_ref().map(|b| (e.at_s, pick(b))));
                thin(
                    &points.map(|(t, v)| (x.at(t), y.at(v))).collect::<Line>(),
                    self.points / 3,
                    0.5,
                )
            };
            fill_between(sheet, &edge(|b| b.high), &edge(|b| b.low), "f-band");
        }
        let lines = here.chunk_by(|a, b| b.at_s - a.at_s <= within).map(|piece| {
            let line: Line = piece.iter().map(|e| (x.at(e.at_s), y.at(e.middle))).collect();
            let share = self.points * piece.len() / here.len().max(1);
            thin(&line, share / 3, 0.25)
        });
        stroke(sheet, &lines.collect::<Vec<_>>(), "pen");
    }

    /// Seconds over which two readings in a row are still joined.
    fn within(&self) -> f64 {
        self.lane.joined_within_s.unwrap_or_else(|| usual_gap(&self.lane.readings))
    }

    /// Height of a reading: one of a stand that lies off the scale stands at its edge.
    fn height(&self, y: &Scale, at_s: f64, value: f64) -> f64 {
        match stands(self.stopped, at_s) {
            true => y.at(value).clamp(self.area.y, self.area.bottom()),
            false => y.at(value),
        }
    }

    /// The figure of the first reading of each stand that lies off the scale, beside where it is cut off.
    fn draw_cut_off(&self, sheet: &mut Canvas, x: &Scale, y: &Scale, placer: &mut Placer) {
        let cut = cut_off(self.lane, self.span, self.stopped);
        let of = |spell: &Spell| cut.iter().find(|(at_s, _)| within(spell, *at_s));
        for &(at_s, value) in self.stopped.iter().filter_map(of) {
            let text = number(value, self.lane.decimals);
            let (width, px) = (Type::Small.width(&text), x.at(at_s));
            let py = self.height(y, at_s, value);
            let (right, left) = (px + 8.0, px - 8.0 - width);
            let wishes =
                [(right, py - 12.0), (left, py - 12.0), (right, py - 2.0), (left, py - 2.0)];
            if let Some(spot) = placer.place_near(width, 13.0, &wishes) {
                sheet.text(spot.x, spot.y + 10.5, &text, Type::Small, Anchor::Start, "halo");
            }
        }
    }

    /// The readings as unbroken lines.
    fn lines(&self, x: &Scale, y: &Scale) -> Vec<Line> {
        let within = self.within();
        let mut lines: Vec<Line> = vec![Line::new()];
        let mut last_s = f64::NEG_INFINITY;
        for reading in self.lane.readings.iter().filter(|r| self.span.holds(r.at_s)) {
            let Some(value) = some_usable(reading.value) else {
                lines.push(Line::new());
                continue;
            };
            let stopped_between = self.stopped.iter().any(|s| {
                s.span.from_s < reading.at_s && s.span.to_s > last_s && last_s.is_finite()
            });
            if reading.at_s - last_s > within || stopped_between {
                lines.push(Line::new());
            }
            if let Some(line) = lines.last_mut() {
                line.push((x.at(reading.at_s), self.height(y, reading.at_s, value)));
            }
            last_s = reading.at_s;
        }
        lines.retain(|l| !l.is_empty());
        lines
    }

    fn draw_readings(
        &self,
        sheet: &mut Canvas,
        lines: &[Line],
        x: &Scale,
        y: &Scale,
        placer: &mut Placer,
    ) {
        let count: usize = lines.iter().map(Vec::len).sum();
        // Each unbroken piece has its share of the points.
        let share = |l: &Line| self.points * l.len() / count.max(1);
        let thinned: Vec<Line> = lines.iter().map(|l| thin(l, share(l), 0.35)).collect();
        stroke(sheet, &thinned, "ink");
        // Points only where they stand apart; a lone reading always has one.
        let apart = self.area.w / (count.max(1) as f64) > 6.0;
        let mut dots = sheet.pen();
        for line in lines.iter().filter(|l| apart || l.len() == 1) {
            line.iter().for_each(|p| dots.point(p.0, p.1));
        }
        sheet.path(&dots, "dots");

        let (mut struck, mut olds, mut moved) = (sheet.pen(), sheet.pen(), sheet.pen());
        for reading in self.lane.readings.iter().filter(|r| self.span.holds(r.at_s)) {
            let px = x.at(reading.at_s);
            if let Some(was) = some_usable(reading.was) {
                // A slip that lies off the picture is struck through at its edge.
                let py = y.at(was).clamp(self.area.y, self.area.bottom());
                placer.keep_clear(Rect::new(px - 6.0, py - 5.0, 12.0, 10.0));
                struck.go(px - 5.0, py + 2.5);
                struck.to(px + 5.0, py - 2.5);
                olds.point(px, py);
                if let Some(value) = some_usable(reading.value) {
                    moved.go(px, py);
                    moved.to(px, y.at(value));
                }
            }
            if let (true, Some(value)) = (reading.in_doubt, some_usable(reading.value)) {
                sheet.dot(px, y.at(value), 5.0, "f-paper redl");
            }
        }
        sheet.path(&moved, "pen");
        sheet.path(&olds, "dots-was");
        sheet.path(&struck, "ink1");
        if let Some(&(px, py)) = lines.last().and_then(|l| l.last()) {
            sheet.dot(px, py, 4.0, "f-ink");
            placer.keep_clear(Rect::new(px - 5.0, py - 5.0, 10.0, 10.0));
        }
    }

    /// Points over the band, close enough that no label slips between them.
    fn band_spots(&self, x: &Scale, y: &Scale) -> Line {
        const ACROSS: f64 = 12.0;
        const DOWN: f64 = 6.0;
        let here = self.lane.expected.iter().filter(|e| self.span.holds(e.at_s));
        let edges: Vec<(f64, f64, f64)> = here
            .filter_map(|e| {
                Some((x.at(e.at_s), e.band.filter(|b| usable(b.low) && usable(b.high))?))
            })
            .map(|(px, b)| (px, y.at(b.high), y.at(b.low)))
            .collect();
        let mut spots = Line::new();
        for pair in edges.windows(2) {
            let [(x0, top0, bottom0), (x1, top1, bottom1)] = [pair[0], pair[1]];
            let columns = ((x1 - x0) / ACROSS).ceil().clamp(1.0, 200.0) as usize;
            for column in 0..=columns {
                let share = column as f64 / columns as f64;
                let (top, bottom) =
                    (top0 + share * (top1 - top0), bottom0 + share * (bottom1 - bottom0));
                let rows = ((bottom - top) / DOWN).ceil().clamp(1.0, 100.0) as usize;
                let px = x0 + share * (x1 - x0);
                spots.extend(
                    (0..=rows).map(|r| (px, top + (bottom - top) * r as f64 / rows as f64)),
                );
            }
        }
        spots
    }

    fn draw_limits(&self, sheet: &mut Canvas, placer: &mut Placer, y: &Scale) {
        let area = self.area;
        for limit in self.lane.limits.iter().filter(|l| usable(l.value) && y.holds(l.value)) {
            let at = y.at(limit.value);
            sheet.line(area.x, at, area.right(), at, "ink1 dash");
            placer.add_ink(spots(&[(area.x, at), (area.right(), at)]));
            let Some(beside) = self.beside else { continue };
            let label = Type::Small.fit(&limit.label, area.w - 8.0);
            let width = Type::Small.width(&label);
            // Clear of band and readings: beside the plot, unless the last reading's figure stands there.
            let apart = self.last_place().is_none_or(|last| (last - at).abs() > 16.0);
            if width <= beside && apart {
                sheet.text(area.right() + 6.0, at + 4.0, &label, Type::Small, Anchor::Start, "");
                continue;
            }
            let columns = [0.0, 0.25, 0.5, 0.75, 1.0];
            let wishes = columns.map(|c| area.x + 4.0 + c * (area.w - 8.0 - width));
            let wishes = wishes.into_iter().flat_map(|x| [(x, at + 2.0), (x, at - 15.0)]);
            let wishes: Vec<(f64, f64)> = wishes.collect();
            if let Some(spot) = placer.place(width, 13.0, &wishes) {
                sheet.text(spot.x, spot.y + 10.5, &label, Type::Small, Anchor::Start, "halo");
            }
        }
    }

    fn draw_remarks(&self, sheet: &mut Canvas, placer: &mut Placer, x: &Scale, y: &Scale) {
        for remark in self.lane.remarks.iter().filter(|r| self.span.holds(r.at_s)) {
            let text = Type::Small.fit(&remark.text, self.area.w - 16.0);
            let width = Type::Small.width(&text);
            let px = x.at(remark.at_s);
            let near = self.lane.readings.iter().filter(|r| r.value.is_some_and(usable));
            let near = near.min_by(|a, b| {
                let off = |r: &Reading| (r.at_s - remark.at_s).abs();
                off(a).total_cmp(&off(b))
            });
            let py =
                near.and_then(|r| r.value).map_or(self.area.y + self.area.h / 2.0, |v| y.at(v));
            let beside = [(px + 9.0, py - 6.0), (px - 9.0 - width, py - 6.0)];
            let around = [(px - width / 2.0, py - 20.0), (px - width / 2.0, py + 8.0)];
            let wishes = [beside[0], beside[1], around[0], around[1]];
            if let Some(spot) = placer.place_near(width, 13.0, &wishes) {
                sheet.text(spot.x, spot.y + 10.5, &text, Type::Small, Anchor::Start, "halo");
            }
        }
    }
}

/// The last reading of a lane inside a span.
pub(crate) fn last_reading(lane: &Lane, span: Span) -> Option<(f64, f64)> {
    let mut back = lane.readings.iter().rev().filter(|r| span.holds(r.at_s));
    back.find_map(|r| some_usable(r.value).map(|v| (r.at_s, v)))
}

/// What a lane shows, in words.
pub(crate) fn lane_words(lane: &Lane, span: Span, stopped: &[Spell], clock: &Clock) -> String {
    let name = sentence_case(&lane.name);
    let here = || lane.readings.iter().filter(|r| span.holds(r.at_s));
    let values = || here().filter_map(|r| some_usable(r.value));
    let show = |v: f64| number(v, lane.decimals);
    let mut words = match (extent(values()), last_reading(lane, span)) {
        (Some((low, high)), Some((at_s, last))) => {
            let count = values().count();
            let when = clock.moment(at_s).map_or_else(String::new, |m| format!(" at {m}"));
            let last = with_unit(last, lane.decimals, &lane.unit);
            match count {
                1 => format!("{name}: one reading, {last}{when}"),
                _ => format!(
                    "{name}: {count} readings from {} to {}, the last {last}{when}",
                    show(low),
                    show(high)
                ),
            }
        }
        _ => match extent(lane.envelope.iter().flat_map(|e| [e.low, e.high])) {
            Some((low, high)) => format!(
                "{name}: between {} and {}",
                show(low),
                with_unit(high, lane.decimals, &lane.unit)
            ),
            None if lane.worked_out => format!("{name}: worked out"),
            None => format!("{name}: no reading"),
        },
    };
    let expected = lane.expected.iter().filter(|e| span.holds(e.at_s));
    let edges = expected.flat_map(|e| match e.band {
        Some(b) => [b.low, b.high],
        None => [e.middle, e.middle],
    });
    if let Some((low, high)) = extent(edges) {
        let high = with_unit(high, lane.decimals, &lane.unit);
        let what = if lane.worked_out { "from" } else { "expected" };
        words.push_str(&format!("; {what} {} to {high}", show(low)));
    }
    for limit in lane.limits.iter().filter(|l| usable(l.value)) {
        words.push_str(&format!("; limit {}: {}", show(limit.value), limit.label));
    }
    let corrected = here().filter(|r| r.was.is_some()).count();
    if corrected > 0 {
        words.push_str(&format!("; {corrected} corrected"));
    }
    let doubted = here().filter(|r| r.in_doubt).count();
    if doubted > 0 {
        words.push_str(&format!("; {doubted} in doubt"));
    }
    let cut = cut_off(lane, span, stopped).len();
    if cut > 0 {
        words.push_str(&format!("; {cut} of the time it stood off the scale, drawn at its edge"));
    }
    words.push('.');
    words
}

fn within(spell: &Spell, at_s: f64) -> bool {
    spell.span.from_s < at_s && at_s <= spell.span.to_s
}

/// Whether a moment lies in one of these spells.
fn stands(stopped: &[Spell], at_s: f64) -> bool {
    stopped.iter().any(|spell| within(spell, at_s))
}

/// Readings of a stand that lie off the scale of the running plant: when and what.
fn cut_off(lane: &Lane, span: Span, stopped: &[Spell]) -> Vec<(f64, f64)> {
    let Some((low, high)) = range(lane, span, stopped) else { return Vec::new() };
    let here = lane.readings.iter().filter(|r| span.holds(r.at_s) && stands(stopped, r.at_s));
    let here = here.filter_map(|r| Some((r.at_s, some_usable(r.value)?)));
    here.filter(|(_, value)| !(low..=high).contains(value)).collect()
}

/// The range a lane needs; `None` when there is no number to show.
fn range(lane: &Lane, span: Span, stopped: &[Spell]) -> Option<(f64, f64)> {
    if let Some((low, high)) = lane.range
        && usable(low)
        && usable(high)
        && low < high
    {
        return Some((low, high));
    }
    let all = || lane.readings.iter().filter(|r| span.holds(r.at_s));
    // What was read of a standing plant must not press what the running one shows flat.
    let runs = all().any(|r| r.value.is_some() && !stands(stopped, r.at_s));
    let here = || all().filter(move |r| !runs || !stands(stopped, r.at_s));
    let readings = here().filter_map(|r| r.value);
    let expected = lane.expected.iter().filter(|e| span.holds(e.at_s));
    let expected = expected.flat_map(|e| {
        e.band.map_or([e.middle, e.middle], |b| [b.low, b.high]).into_iter().chain([e.middle])
    });
    let envelope = lane.envelope.iter().filter(|e| span.holds(e.at_s));
    let envelope = envelope.flat_map(|e| [e.low, e.high]);
    let shown = extent(readings.chain(expected).chain(envelope));
    // A struck figure has its place, but a slip of a decimal must not press everything else flat.
    let struck = here().filter_map(|r| r.was);
    let shown = match shown {
        None => extent(struck),
        Some((low, high)) => {
            let reach = (high - low).max(0.5 * high.abs()).max(1e-9);
            let near = struck.filter(|was| (low - reach..=high + reach).contains(was));
            extent(near.chain([low, high]))
        }
    };
    let limits = lane.limits.iter().map(|l| l.value);
    // Limits belong in the picture unless they would squeeze the readings flat.
    let (low, high) = match (shown, extent(limits)) {
        (None, None) => return None,
        (None, Some(limits)) => limits,
        (Some(shown), None) => shown,
        (Some((low, high)), Some((limit_low, limit_high))) => {
            let reach = 2.5 * (high - low).max(1e-6 * high.abs()).max(1e-9);
            let low = if limit_low > low - reach { low.min(limit_low) } else { low };
            let high = if limit_high < high + reach { high.max(limit_high) } else { high };
            (low, high)
        }
    };
    let air = ((high - low) * 0.12).max(2.0 * 10f64.powi(-i32::from(lane.decimals.min(9))));
    // A quantity that is never negative keeps its zero on the line.
    let floor = if low >= 0.0 { (low - air).max(0.0) } else { low - air };
    Some((floor, high + air))
}

/// Two and a half times the middle distance between readings, s.
fn usual_gap(readings: &[Reading]) -> f64 {
    let mut steps: Vec<f64> = readings.windows(2).map(|w| w[1].at_s - w[0].at_s).collect();
    steps.retain(|s| s.is_finite() && *s > 0.0);
    steps.sort_by(f64::total_cmp);
    steps.get(steps.len() / 2).map_or(f64::INFINITY, |s| 2.5 * s)
}

pub(crate) fn stroke(sheet: &mut Canvas, lines: &[Line], class: &str) {
    let mut path = sheet.pen();
    for line in lines.iter().filter(|l| l.len() > 1) {
        path.go(line[0].0, line[0].1);
        line.iter().skip(1).for_each(|p| path.to(p.0, p.1));
    }
    sheet.path(&path, class);
}

fn fill_between(sheet: &mut Canvas, upper: &Line, lower: &Line, class: &str) {
    let (Some(first), true) = (upper.first(), upper.len() + lower.len() > 3) else { return };
    let mut path = sheet.pen();
    path.go(first.0, first.1);
    upper.iter().skip(1).chain(lower.iter().rev()).for_each(|p| path.to(p.0, p.1));
    path.close();
    sheet.path(&path, class);
}

impl Plot<'_> {
    /// Height of the last reading on the sheet.
    pub(crate) fn last_place(&self) -> Option<f64> {
        last_reading(self.lane, self.span).map(|(at_s, v)| self.height(&self.y(), at_s, v))
    }
}
