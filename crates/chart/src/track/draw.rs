//! The map on its sheet, from the sea upwards: grid, land, areas, track, marks, names.

use super::beside::{BESIDE, retraces, to_starboard};
use super::clip::{in_ring, line_inside, ring_inside, strokes_inside};
use super::coast::Coast;
use super::data::{GeoPoint, MapName, TrackMap, TrackWater};
use super::project::{Projection, drawable, near, unwound};
use super::words::words;
use crate::canvas::{Anchor, Canvas, Ids};
use crate::geometry::Rect;
use crate::labels::Placer;
use crate::series::stroke;
use crate::text::Type;
use crate::thin::{Line, simplify, spots};

/// Height of a line of words, units.
const LINE: f64 = 15.0;
/// Half the length of the bar of an order across the track, units.
const BAR: f64 = 9.0;

/// Everything laid on one sheet while it is drawn.
struct Sheet<'a> {
    map: &'a TrackMap,
    on: Projection,
    canvas: Canvas,
    placer: Placer,
    /// The track, cut to the frame, in order.
    track: Vec<Line>,
    /// How far the ways out and home are drawn beside it, units: nothing where it is sailed once.
    beside: f64,
}

/// One drawing `width` units wide; `class` says at which widths of page it is shown.
pub(super) fn draw(ids: &mut Ids, map: &TrackMap, (width, class): (f64, &str)) -> String {
    let narrow = width < 400.0;
    let (left, top, below) = (if narrow { 36.0 } else { 42.0 }, 6.0, 22.0);
    let room = width - left - 6.0;
    let heights = if narrow { (190.0, 440.0) } else { (0.42 * room, (1.3 * room).min(660.0)) };
    let shown = shown(map);
    if shown.is_empty() {
        let mut canvas = Canvas::new(ids, class, width, 120.0);
        canvas.rect(Rect::new(left, top, room, 92.0), "f-leaf ink1");
        let middle = (left + room / 2.0, top + 50.0);
        canvas.text(middle.0, middle.1, "no track entered", Type::Name, Anchor::Middle, "");
        return canvas.finish(&map.title, &words(map));
    }
    let on = Projection::fitting(&shown, (left, top), room, heights);
    let canvas = Canvas::new(ids, class, width, on.frame.bottom() + below);
    let placer = Placer::new(on.frame.grown(-3.0));
    let mut sheet = Sheet { map, on, canvas, placer, track: Vec::new(), beside: 0.0 };
    sheet.canvas.rect(on.frame, "f-leaf");
    sheet.grid(narrow);
    Coast::on(&on, map.coast.shores()).draw(&mut sheet.canvas);
    let areas = sheet.areas();
    let lines = sheet.lines();
    sheet.draw_track();
    // Marks first, so that no name takes their places; then names by what they matter.
    sheet.bars();
    let ports = sheet.dots(&map.ports);
    sheet.now();
    sheet.order_names();
    sheet.names(&ports, Type::Name, Around::Point);
    sheet.area_names(&areas);
    for (name, line) in &lines {
        sheet.name_along(name, line);
    }
    let at = |names: &[MapName]| -> Vec<(String, (f64, f64))> {
        names.iter().filter_map(|n| Some((n.name.clone(), on.spot(&n.at)?))).collect()
    };
    sheet.names(&at(&map.sea), Type::Tick, Around::Near);
    sheet.names(&at(&map.names), Type::Name, Around::Centre);
    sheet.canvas.rect(on.frame, "ink1");
    sheet.canvas.finish(&map.title, &words(map))
}

/// Where a name may stand.
#[derive(Clone, Copy, PartialEq)]
enum Around {
    /// Beside a point, close enough to be told from others.
    Point,
    /// Over the place or not at all.
    Centre,
    /// Over the place or near it.
    Near,
}

/// The positions that must be in the picture, without jumps.
fn shown(map: &TrackMap) -> Vec<GeoPoint> {
    let mut shown = unwound(map.track.iter().map(|f| f.at));
    let others = map.ports.iter().map(|p| p.at).chain(map.now.iter().map(|n| n.at));
    for p in others.filter(drawable) {
        // Beside the track, on whichever turn that is.
        let beside = shown.iter().map(|s| s.lon_deg);
        let ends = beside.fold(None, |ends: Option<(f64, f64)>, lon| {
            Some(ends.map_or((lon, lon), |(a, b)| (a.min(lon), b.max(lon))))
        });
        let middle = ends.map_or(p.lon_deg, |(a, b)| (a + b) / 2.0);
        shown.push(GeoPoint { lon_deg: near(p.lon_deg, middle), ..p });
    }
    shown
}

impl Sheet<'_> {
    fn grid(&mut self, narrow: bool) {
        let frame = self.on.frame;
        let mut reached = f64::INFINITY;
        for (y, label) in self.on.parallels(if narrow { 56.0 } else { 68.0 }) {
            self.canvas.line(frame.x, y, frame.right(), y, "hair");
            if y > reached - LINE || y < frame.y + 4.0 || y > frame.bottom() - 2.0 {
                continue;
            }
            reached = y;
            self.canvas.text(frame.x - 5.0, y + 4.0, &label, Type::Tick, Anchor::End, "");
        }
        let mut reached = f64::NEG_INFINITY;
        for (x, label) in self.on.meridians(if narrow { 62.0 } else { 76.0 }) {
            self.canvas.line(x, frame.y, x, frame.bottom(), "hair");
            let width = Type::Tick.width(&label);
            let start = (x - width / 2.0).clamp(0.0, self.canvas.width() - width);
            if start > reached + 8.0 {
                let y = frame.bottom() + 16.0;
                self.canvas.text(start, y, &label, Type::Tick, Anchor::Start, "");
                reached = start + width;
            }
        }
    }

    /// Hatch the areas; gives each with the largest piece of it on the sheet.
    fn areas(&mut self) -> Vec<(String, Line)> {
        let mut named = Vec::new();
        for area in &self.map.areas {
            let ring = unwound(area.ring.iter().copied());
            if ring.len() < 3 {
                continue;
            }
            for turn in self.on.turns(&ring) {
                let ring = simplify(&ring_inside(&turn, self.on.frame), 0.3);
                if ring.len() < 3 {
                    continue;
                }
                let mut outline = self.canvas.pen();
                outline.go(ring[0].0, ring[0].1);
                ring[1..].iter().for_each(|p| outline.to(p.0, p.1));
                outline.close();
                self.canvas.path(&outline, "edge");
                let mut hatching = self.canvas.pen();
                for [from, to] in strokes_inside(&ring, 7.0) {
                    hatching.go(from.0, from.1);
                    hatching.to(to.0, to.1);
                }
                self.canvas.path(&hatching, "hatch");
                named.push((area.name.clone(), ring));
            }
        }
        named
    }

    fn lines(&mut self) -> Vec<(String, Line)> {
        let mut named = Vec::new();
        for line in &self.map.lines {
            let chain = unwound(line.points.iter().copied());
            for turn in self.on.turns(&chain) {
                for piece in line_inside(&turn, self.on.frame) {
                    let piece = simplify(&piece, 0.3);
                    stroke(&mut self.canvas, std::slice::from_ref(&piece), "pen dash");
                    self.placer.add_ink(spots(&piece));
                    named.push((line.name.clone(), piece));
                }
            }
        }
        named
    }

    fn draw_track(&mut self) {
        let fixes: Vec<_> = self.map.track.iter().filter(|f| drawable(&f.at)).collect();
        let chain = unwound(fixes.iter().map(|f| f.at));
        let runs: Vec<(TrackWater, Vec<GeoPoint>)> = runs(&chain, |k| fixes[k].water);
        let cut = |sheet: &Self, run: &[GeoPoint]| -> Vec<Line> {
            let turns = sheet.on.turns(run).into_iter();
            let pieces = turns.flat_map(|turn| line_inside(&turn, sheet.on.frame));
            let pieces = pieces.map(|piece| simplify(&piece, 0.2));
            match sheet.beside > 0.0 {
                true => pieces.map(|piece| to_starboard(&piece, sheet.beside)).collect(),
                false => pieces.collect(),
            }
        };
        self.track = cut(self, &chain);
        if retraces(&self.track) {
            self.beside = BESIDE;
        }
        for line in &self.track {
            self.placer.add_ink(spots(line));
        }
        let pens: [(TrackWater, &[&str]); 3] = [
            (TrackWater::Not, &["ink1"]),
            (TrackWater::May, &["may", "between"]),
            (TrackWater::Made, &["made"]),
        ];
        for (water, classes) in pens {
            let lines: Vec<Line> =
                runs.iter().filter(|r| r.0 == water).flat_map(|r| cut(self, &r.1)).collect();
            for class in classes {
                stroke(&mut self.canvas, &lines, class);
            }
        }
    }

    /// A bar across the track at each order.
    fn bars(&mut self) {
        let mut bars = self.canvas.pen();
        let orders = self.map.orders.iter().filter_map(|o| Some((o.fix, self.on.spot(&o.at)?)));
        for (fix, (x, y)) in orders {
            let heading = fix.and_then(|fix| self.heading_from(fix));
            let (dx, dy) = heading.unwrap_or_else(|| self.heading_at(x, y));
            // On its own way where there are two.
            let (x, y) = match heading {
                Some(_) => (x - self.beside * dy, y + self.beside * dx),
                None => (x, y),
            };
            bars.go(x - BAR * dy, y + BAR * dx);
            bars.to(x + BAR * dy, y - BAR * dx);
            let (w, h) = (BAR * dy.abs() + 2.0, BAR * dx.abs() + 2.0);
            self.placer.keep_clear(Rect::new(x - w, y - h, 2.0 * w, 2.0 * h));
        }
        self.canvas.path(&bars, "ink2");
    }

    /// The way the track goes on from a fix, a step of one unit.
    fn heading_from(&self, fix: usize) -> Option<(f64, f64)> {
        let fixes = self.map.track.get(fix..)?;
        let (x, y) = self.on.spot(&fixes.first()?.at)?;
        fixes.iter().filter_map(|next| self.on.spot(&next.at)).find_map(|next| {
            let (dx, dy) = (next.0 - x, next.1 - y);
            let length = dx.hypot(dy);
            (length > 1.0).then(|| (dx / length, dy / length))
        })
    }

    /// The way the track runs where it passes a place, a step of one unit.
    fn heading_at(&self, x: f64, y: f64) -> (f64, f64) {
        let mut best = (f64::INFINITY, (0.0, 1.0));
        for line in &self.track {
            for pair in line.windows(2) {
                let [a, b] = [pair[0], pair[1]];
                let (dx, dy) = (b.0 - a.0, b.1 - a.1);
                let length = dx.hypot(dy);
                if length < 1e-6 {
                    continue;
                }
                let along = ((x - a.0) * dx + (y - a.1) * dy) / (length * length);
                let along = along.clamp(0.0, 1.0);
                let off = (a.0 + along * dx - x).hypot(a.1 + along * dy - y);
                if off < best.0 {
                    best = (off, (dx / length, dy / length));
                }
            }
        }
        best.1
    }

    fn dots(&mut self, names: &[MapName]) -> Vec<(String, (f64, f64))> {
        let mut placed = Vec::new();
        for name in names {
            let Some((x, y)) = self.on.spot(&name.at) else { continue };
            self.canvas.dot(x, y, 3.2, "f-ink");
            self.placer.keep_clear(Rect::new(x - 4.0, y - 4.0, 8.0, 8.0));
            placed.push((name.name.clone(), (x, y)));
        }
        placed
    }

    fn now(&mut self) {
        let Some(now) = &self.map.now else { return };
        let Some((x, y)) = self.on.spot(&now.at) else { return };
        self.canvas.dot(x, y, 6.0, "f-red");
        self.placer.keep_clear(Rect::new(x - 7.5, y - 7.5, 15.0, 15.0));
        let room = 0.6 * self.on.frame.w;
        let label = Type::Red.fit(&now.label, room);
        let note = Type::Small.fit(&now.note, room);
        let width = Type::Red.width(&label).max(Type::Small.width(&note));
        let height = if note.is_empty() { LINE } else { 2.0 * LINE };
        let wishes = beside(x, y, width, height, 11.0);
        let Some(spot) = self.placer.place_near(width, height, &wishes) else { return };
        // Words left of the point end at it.
        let (hang, anchor) =
            if spot.right() <= x { (spot.right(), Anchor::End) } else { (spot.x, Anchor::Start) };
        self.canvas.text(hang, spot.y + 11.5, &label, Type::Red, anchor, "halo leaf");
        self.canvas.text(hang, spot.y + 11.5 + LINE, &note, Type::Small, anchor, "halo leaf");
    }

    fn order_names(&mut self) {
        let at: Vec<(String, (f64, f64))> = self
            .map
            .orders
            .iter()
            .filter_map(|o| Some((o.name.clone(), self.on.spot(&o.at)?)))
            .collect();
        self.names(&at, Type::Label, Around::Point);
    }

    fn area_names(&mut self, areas: &[(String, Line)]) {
        for (name, ring) in areas {
            let count = ring.len() as f64;
            let sum = ring.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
            let (x, y) = (sum.0 / count, sum.1 / count);
            let label = Type::Small.fit(name, 0.5 * self.on.frame.w);
            let width = Type::Small.width(&label);
            // Under the area unless it is large enough to hold its name.
            let half = width / 2.0;
            let holds = |y: f64| in_ring(ring, x - half, y) && in_ring(ring, x + half, y);
            let bottom = ring.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
            let top = ring.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
            let within = (x - half, y - LINE / 2.0);
            let under = (x - half, bottom + 2.0);
            let over = (x - half, top - LINE - 2.0);
            let right = ring.iter().map(|p| p.0).fold(f64::NEG_INFINITY, f64::max);
            let left = ring.iter().map(|p| p.0).fold(f64::INFINITY, f64::min);
            let sides = [(right + 4.0, y - LINE / 2.0), (left - 4.0 - width, y - LINE / 2.0)];
            let inside = holds(y - LINE / 2.0) && holds(y + LINE / 2.0);
            let around = [under, over, sides[0], sides[1]];
            let wishes: Vec<(f64, f64)> =
                if inside { [within].into_iter().chain(around).collect() } else { around.to_vec() };
            self.write(&label, Type::Small, &wishes, Around::Near);
        }
    }

    /// A name beside the middle of a line.
    fn name_along(&mut self, name: &str, line: &Line) {
        let label = Type::Tick.fit(name, 0.5 * self.on.frame.w);
        let width = Type::Tick.width(&label);
        let along = spots(line);
        let parts = [0.5, 0.35, 0.65, 0.2, 0.8];
        let at = parts.iter().filter_map(|p| along.get((p * along.len() as f64) as usize));
        let wishes: Vec<(f64, f64)> =
            at.flat_map(|&(x, y)| beside(x, y, width, LINE, 7.0)).collect();
        self.write(&label, Type::Tick, &wishes, Around::Near);
    }

    fn names(&mut self, names: &[(String, (f64, f64))], ty: Type, around: Around) {
        for (name, (x, y)) in names {
            let (x, y) = (*x, *y);
            let label = ty.fit(name, 0.6 * self.on.frame.w);
            let width = ty.width(&label);
            let centre = (x - width / 2.0, y - LINE / 2.0);
            match around {
                Around::Point => {
                    self.write(&label, ty, &beside(x, y, width, LINE, 12.0), around);
                }
                Around::Near => {
                    let mut wishes = vec![centre];
                    wishes.extend(beside(x, y, width, LINE, 10.0));
                    self.write(&label, ty, &wishes, around);
                }
                Around::Centre => self.write(&label, ty, &[centre], around),
            }
        }
    }

    /// Write a label at the best of its wishes; one that must be there looks further round.
    fn write(&mut self, label: &str, ty: Type, wishes: &[(f64, f64)], around: Around) {
        let width = ty.width(label);
        if label.is_empty() {
            return;
        }
        let halo = if around == Around::Centre { "" } else { "halo leaf" };
        let placed = if around == Around::Point {
            self.placer.place_near(width, LINE, wishes)
        } else {
            self.placer.place(width, LINE, wishes)
        };
        if let Some(spot) = placed {
            // The name of a land stands on its shade, where a halo would be a stain.
            self.canvas.text(spot.x, spot.y + 11.5, label, ty, Anchor::Start, halo);
        }
    }
}

/// Places beside a point for words: right, left, over, under, and between those.
fn beside(x: f64, y: f64, width: f64, height: f64, apart: f64) -> [(f64, f64); 8] {
    let (middle, above, below) = (y - height / 2.0, y - height - 5.0, y + 5.0);
    let (right, left) = (x + apart, x - apart - width);
    [
        (right, middle),
        (left, middle),
        (right, above),
        (right, below),
        (left, above),
        (left, below),
        (x - width / 2.0, above - 4.0),
        (x - width / 2.0, below + 4.0),
    ]
}

/// The chain parted where what holds changes; each part ends where the next begins.
fn runs<T: PartialEq + Copy>(
    chain: &[GeoPoint],
    holds: impl Fn(usize) -> T,
) -> Vec<(T, Vec<GeoPoint>)> {
    let mut runs: Vec<(T, Vec<GeoPoint>)> = Vec::new();
    for k in 1..chain.len() {
        let state = holds(k - 1);
        match runs.last_mut().filter(|r| r.0 == state) {
            Some(run) => run.1.push(chain[k]),
            None => runs.push((state, vec![chain[k - 1], chain[k]])),
        }
    }
    runs
}
