//! The capacity map: what the plant makes over two conditions, as contours labelled like
//! soundings, with the regions where something holds it hatched and named.

use crate::alone::stand_alone;
use crate::canvas::{Anchor, Canvas, Ids, Size};
use crate::contour::Grid;
use crate::geometry::{Rect, Scale, extent};
use crate::labels::Placer;
use crate::number::{nice_ticks, number, usable, with_unit};
use crate::region::{self, Region, Slope};
use crate::series::stroke;
use crate::text::{Type, sentence_case};
use crate::thin::{Line, simplify, spots};

/// A region in which one limit holds the plant.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// What holds it, "held by the engine's heat".
    pub name: String,
    /// How far past the limit, at the crossings of the map's grid and in their order: above 0
    /// held, below 0 free, `None` not known. Its 0 line is drawn as the edge.
    pub past: Vec<Option<f64>>,
}

/// The point that is true now, or asked about.
#[derive(Clone, Debug, PartialEq)]
pub struct Present {
    /// Along the first axis.
    pub x: f64,
    /// Along the second axis.
    pub y: f64,
    /// In red beside it, "now: should make 23.0".
    pub label: String,
    /// In ink under that, "makes 21.3"; may be empty.
    pub note: String,
}

/// One point of the passage drawn through the map.
#[derive(Clone, Debug, PartialEq)]
pub struct TrackPoint {
    /// Along the first axis.
    pub x: f64,
    /// Along the second axis.
    pub y: f64,
    /// A date, or empty.
    pub label: String,
}

/// Everything a capacity map shows.
#[derive(Clone, Debug, PartialEq)]
pub struct CapacityMap {
    /// What the picture is, one line.
    pub title: String,
    /// What it shows, in a sentence or two; the numbers are added to it.
    pub says: String,
    /// Name and unit of the first axis, "sea temperature, °C".
    pub x_label: String,
    /// Name and unit of the second axis, "jacket water in, °C".
    pub y_label: String,
    /// Unit of the contours, "t/day".
    pub unit: String,
    /// The field; `None` where the plant cannot run at all.
    pub grid: Grid,
    /// Contours to draw; round ones are chosen when empty.
    pub levels: Vec<f64>,
    /// What holds the plant, and where.
    pub held: Vec<Held>,
    /// Said in the region without values, "no steady running here".
    pub none_label: String,
    /// The red point.
    pub present: Option<Present>,
    /// A passage through the map.
    pub track: Vec<TrackPoint>,
}

/// The capacity map, wide and narrow.
#[must_use]
pub fn capacity_map(ids: &mut Ids, map: &CapacityMap) -> String {
    Size::both(|size| draw(ids, map, size))
}

/// The capacity map as a file of its own, with the style it needs inside.
#[must_use]
pub fn capacity_map_file(map: &CapacityMap) -> String {
    stand_alone(&draw(&mut Ids::new("map"), map, Size::Wide))
}

struct Frame {
    area: Rect,
    x: Scale,
    y: Scale,
}

impl Frame {
    fn line(&self, points: &[(f64, f64)]) -> Line {
        points.iter().map(|p| (self.x.at(p.0), self.y.at(p.1))).collect()
    }

    fn holds(&self, x: f64, y: f64) -> bool {
        usable(x) && usable(y) && self.x.holds(x) && self.y.holds(y)
    }
}

fn draw(ids: &mut Ids, map: &CapacityMap, size: Size) -> String {
    let narrow = size.narrow();
    let (width, height) = (size.width(), if narrow { 356.0 } else { 450.0 });
    let area = if narrow {
        Rect::new(30.0, 24.0, width - 36.0, height - 68.0)
    } else {
        Rect::new(46.0, 26.0, width - 60.0, height - 76.0)
    };
    let mut sheet = Canvas::new(ids, size.class(), width, height);
    sheet.rect(area, "f-leaf");
    let grid = &map.grid;
    if !grid.is_sound() || extent(grid.values.iter().copied().flatten()).is_none() {
        sheet.rect(area, "ink1");
        let (x, y) = (area.x + area.w / 2.0, area.y + area.h / 2.0);
        sheet.text(x, y, "nothing to show: no values", Type::Name, Anchor::Middle, "");
        return sheet.finish(&map.title, &words(map));
    }
    let ends = |axis: &[f64]| (axis[0], axis[axis.len() - 1]);
    let ((x0, x1), (y0, y1)) = (ends(&grid.x), ends(&grid.y));
    let frame = Frame {
        area,
        x: Scale::new(x0, x1, area.x, area.right()),
        y: Scale::new(y0, y1, area.bottom(), area.y),
    };
    axes(&mut sheet, map, &frame, narrow);

    let mut placer = Placer::new(area.grown(-2.0));
    let regions = draw_regions(&mut sheet, map, &frame, &mut placer);
    let contours = draw_contours(&mut sheet, map, &frame);
    for region in &regions {
        stroke(&mut sheet, &region.edges, "ink2");
    }
    draw_track(&mut sheet, map, &frame, &mut placer);
    draw_present(&mut sheet, map, &frame, &mut placer);
    label_contours(&mut sheet, &contours, &mut placer);
    for (_, lines) in &contours {
        placer.add_ink(lines.iter().flatten().copied());
    }
    let nameless: Vec<&str> = regions
        .iter()
        .filter(|region| !name_region(&mut sheet, region, &frame, &mut placer))
        .map(|region| region.name)
        .collect();
    name_below(&mut sheet, &nameless, map, &frame);
    sheet.rect(area, "ink1");
    sheet.finish(&map.title, &words(map))
}

fn axes(sheet: &mut Canvas, map: &CapacityMap, frame: &Frame, narrow: bool) {
    let area = frame.area;
    let across = nice_ticks(frame.x.low, frame.x.high, if narrow { 5 } else { 8 });
    for v in &across.values {
        sheet.line(frame.x.at(*v), area.y, frame.x.at(*v), area.bottom(), "hair");
        let figure = number(*v, across.decimals);
        sheet.text(frame.x.at(*v), area.bottom() + 16.0, &figure, Type::Pencil, Anchor::Middle, "");
    }
    let up = nice_ticks(frame.y.low, frame.y.high, if narrow { 6 } else { 8 });
    for v in &up.values {
        sheet.line(area.x, frame.y.at(*v), area.right(), frame.y.at(*v), "hair");
        let figure = number(*v, up.decimals);
        sheet.text(area.x - 6.0, frame.y.at(*v) + 4.0, &figure, Type::Pencil, Anchor::End, "");
    }
    let contours = format!("contours: {}", map.unit);
    let half = area.w / 2.0;
    let bottom = area.bottom() + if narrow { 36.0 } else { 38.0 };
    sheet.text(area.right(), bottom, &map.x_label, Type::Label, Anchor::End, "");
    let y_label = Type::Label.fit(&map.y_label, half + area.x);
    sheet.text(0.0, area.y - 9.0, &y_label, Type::Label, Anchor::Start, "");
    sheet.text(
        area.right(),
        area.y - 9.0,
        &Type::Pencil.fit(&contours, half),
        Type::Pencil,
        Anchor::End,
        "",
    );
}

fn draw_regions<'a>(
    sheet: &mut Canvas,
    map: &'a CapacityMap,
    frame: &Frame,
    placer: &mut Placer,
) -> Vec<Region<'a>> {
    let slopes = [Slope::Rising, Slope::Falling];
    let mut regions = Vec::new();
    for (k, held) in map.held.iter().enumerate() {
        let past = Grid { values: held.past.clone(), ..map.grid.clone() };
        if !past.is_sound() {
            continue;
        }
        let inside = |x: f64, y: f64| past.at(frame.x.value(x), frame.y.value(y));
        let gap = 9.0 + 2.0 * (k / 2 % 3) as f64;
        region::hatch(sheet, frame.area, slopes[k % 2], gap, inside);
        let edges: Vec<Line> =
            past.contours(0.0).iter().map(|c| simplify(&frame.line(c), 0.25)).collect();
        placer.add_ink(edges.iter().flat_map(|e| spots(e)));
        regions.push(Region { name: &held.name, edges, field: past, none: false });
    }
    if map.grid.values.iter().any(|v| v.is_none_or(|v| !usable(v))) {
        let field = map.grid.clone();
        let absent = |x: f64, y: f64| match field.at(frame.x.value(x), frame.y.value(y)) {
            Some(_) => Some(-1.0),
            None => Some(1.0),
        };
        region::hatch(sheet, frame.area, Slope::Falling, 5.0, absent);
        let name = map.none_label.as_str();
        regions.push(Region { name, edges: Vec::new(), field, none: true });
    }
    regions
}

fn draw_contours(sheet: &mut Canvas, map: &CapacityMap, frame: &Frame) -> Vec<(String, Vec<Line>)> {
    let (levels, decimals) = levels(map);
    let mut drawn = Vec::new();
    for level in levels {
        let lines = map.grid.contours(level);
        let lines: Vec<Line> = lines.iter().map(|c| simplify(&frame.line(c), 0.25)).collect();
        stroke(sheet, &lines, "ink1");
        drawn.push((number(level, decimals), lines));
    }
    drawn
}

/// The contours to draw, at most two dozen, and the decimals their labels need.
fn levels(map: &CapacityMap) -> (Vec<f64>, u8) {
    if map.levels.is_empty() {
        let (low, high) = extent(map.grid.values.iter().copied().flatten()).unwrap_or((0.0, 0.0));
        let ticks = nice_ticks(low, high, 11);
        return (ticks.values, ticks.decimals);
    }
    let whole = map.levels.iter().all(|l| (l - l.round()).abs() < 1e-9);
    (
        map.levels.iter().copied().filter(|l| usable(*l)).take(24).collect(),
        if whole { 0 } else { 1 },
    )
}

fn draw_track(sheet: &mut Canvas, map: &CapacityMap, frame: &Frame, placer: &mut Placer) {
    let on = |p: &&TrackPoint| frame.holds(p.x, p.y);
    let pieces: Vec<Line> = map
        .track
        .split(|p| !frame.holds(p.x, p.y))
        .map(|piece| piece.iter().map(|p| (frame.x.at(p.x), frame.y.at(p.y))).collect())
        .collect();
    let pieces: Vec<Line> = pieces.iter().map(|p: &Line| simplify(p, 0.3)).collect();
    stroke(sheet, &pieces, "fresh w-heavy");
    placer.add_ink(pieces.iter().flat_map(|p| spots(p)));
    for point in map.track.iter().filter(on).filter(|p| !p.label.is_empty()) {
        let (x, y) = (frame.x.at(point.x), frame.y.at(point.y));
        sheet.dot(x, y, 3.4, "f-freshfull");
        placer.keep_clear(Rect::new(x - 4.0, y - 4.0, 8.0, 8.0));
        let label = Type::Small.fit(&point.label, 120.0);
        let width = Type::Small.width(&label);
        let wishes = [
            (x - width / 2.0, y - 19.0),
            (x - width / 2.0, y + 6.0),
            (x + 7.0, y - 6.0),
            (x - 7.0 - width, y - 6.0),
        ];
        if let Some(spot) = placer.place_near(width, 13.0, &wishes) {
            sheet.text(spot.x, spot.y + 10.5, &label, Type::Small, Anchor::Start, "halo leaf");
        }
    }
}

fn draw_present(sheet: &mut Canvas, map: &CapacityMap, frame: &Frame, placer: &mut Placer) {
    let Some(present) = map.present.as_ref().filter(|p| usable(p.x) && usable(p.y)) else { return };
    let (x, y) = (frame.x.at(present.x), frame.y.at(present.y));
    let outside = !frame.holds(present.x, present.y);
    sheet.dot(x, y, 6.5, if outside { "f-leaf redl" } else { "f-red" });
    placer.keep_clear(Rect::new(x - 8.0, y - 8.0, 16.0, 16.0));
    let room = frame.area.w - 8.0;
    let label =
        if outside { format!("{} (off the map)", present.label) } else { present.label.clone() };
    let label = Type::Red.fit(&label, room);
    let note = Type::Label.fit(&present.note, room);
    let width = Type::Red.width(&label).max(Type::Label.width(&note));
    let height = if note.is_empty() { 16.0 } else { 32.0 };
    let (above, below, middle) = (y - 9.0 - height, y + 10.0, y - height / 2.0);
    let wishes = [
        (x - width / 2.0, below),
        (x + 8.0, below),
        (x - 8.0 - width, below),
        (x - width / 2.0, above),
        (x + 8.0, above),
        (x - 8.0 - width, above),
        (x + 12.0, middle),
        (x - 12.0 - width, middle),
    ];
    let Some(spot) = placer.place_near(width, height, &wishes) else { return };
    let centre = spot.x + spot.w / 2.0;
    sheet.text(centre, spot.y + 12.0, &label, Type::Red, Anchor::Middle, "halo leaf");
    sheet.text(centre, spot.y + 28.0, &note, Type::Label, Anchor::Middle, "halo leaf");
}

/// Figures on the lines, toward their right ends so that they can be read down the map.
fn label_contours(sheet: &mut Canvas, contours: &[(String, Vec<Line>)], placer: &mut Placer) {
    for (figure, lines) in contours {
        let width = Type::Label.width(figure) + 2.0;
        for line in lines {
            let along = spots(line);
            if along.len() < 10 {
                continue;
            }
            let rightward = line.first().is_some_and(|a| line.last().is_some_and(|b| a.0 <= b.0));
            let parts = [0.9, 0.82, 0.74, 0.66, 0.58, 0.5, 0.42, 0.34, 0.26, 0.18, 0.1, 0.04];
            let wishes: Vec<(f64, f64)> = parts
                .iter()
                .map(|p| if rightward { *p } else { 1.0 - p })
                .filter_map(|p| along.get((p * along.len() as f64) as usize))
                .map(|(x, y)| (x - width / 2.0, y - 7.5))
                .collect();
            if let Some(spot) = placer.place(width, 15.0, &wishes) {
                let centre = spot.x + width / 2.0;
                sheet.text(centre, spot.y + 12.0, figure, Type::Label, Anchor::Middle, "halo leaf");
            }
        }
    }
}

/// A region's name inside it, on one line or, where that finds no room, on two; false when it
/// is there but has no room for its name at all.
fn name_region(
    sheet: &mut Canvas,
    region: &Region<'_>,
    frame: &Frame,
    placer: &mut Placer,
) -> bool {
    let (line, room) = (17.0, frame.area.w - 12.0);
    let inside = |x: f64, y: f64| region.covers(frame.x.value(x), frame.y.value(y));
    let mut there = false;
    for lines in [vec![region.name], halves(region.name)] {
        // Cut only where two lines are too wide as well.
        if lines.len() == 1 && lines.iter().any(|l| Type::Name.width(l) > room) {
            continue;
        }
        let lines: Vec<String> = lines.iter().map(|l| Type::Name.fit(l, room)).collect();
        let width = lines.iter().map(|l| Type::Name.width(l)).fold(0.0, f64::max);
        let height = line * lines.len() as f64;
        let wishes = region::places_inside(frame.area, width, height, inside);
        there |= !wishes.is_empty() && width > 0.0;
        // A name set outside its region would name another: only places inside will do.
        let Some(spot) = placer.place(width, height, &wishes).filter(|_| width > 0.0) else {
            continue;
        };
        // Two names close together would read as one.
        placer.keep_clear(spot.grown(12.0));
        let mut y = spot.y + 13.0;
        for text in &lines {
            sheet.text(spot.x, y, text, Type::Name, Anchor::Start, "halo leaf");
            y += line;
        }
        return true;
    }
    !there
}

/// Regions too small for their names are named under the map.
fn name_below(sheet: &mut Canvas, names: &[&str], map: &CapacityMap, frame: &Frame) {
    if names.is_empty() {
        return;
    }
    let room = frame.area.right() - Type::Label.width(&map.x_label) - 16.0;
    let words = Type::Name.fit(&format!("also hatched: {}", names.join("; ")), room);
    sheet.text(0.0, frame.area.bottom() + 36.0, &words, Type::Name, Anchor::Start, "");
}

/// A name parted at the blank nearest its middle.
fn halves(name: &str) -> Vec<&str> {
    let middle = name.len() / 2;
    let blanks = name.match_indices(' ').map(|(at, _)| at);
    match blanks.min_by_key(|at| at.abs_diff(middle)) {
        Some(at) => vec![name[..at].trim(), name[at..].trim()],
        None => vec![name],
    }
}

fn words(map: &CapacityMap) -> String {
    let mut words = map.says.clone();
    let mut add = |text: String| {
        if !words.is_empty() {
            words.push(' ');
        }
        words.push_str(&text);
    };
    let values = map.grid.values.iter().copied().flatten();
    match (extent(values), extent(map.grid.x.iter().copied()), extent(map.grid.y.iter().copied())) {
        (Some((low, high)), Some((x0, x1)), Some((y0, y1))) => add(format!(
            "From {} to {} over {} from {} to {} and {} from {} to {}.",
            number(low, 1),
            with_unit(high, 1, &map.unit),
            map.x_label,
            number(x0, 0),
            number(x1, 0),
            map.y_label,
            number(y0, 0),
            number(y1, 0)
        )),
        _ => add(String::from("No values.")),
    }
    for held in &map.held {
        let known = held.past.iter().flatten().filter(|v| usable(**v));
        let (count, past) = known.fold((0, 0), |(n, k), v| (n + 1, k + usize::from(*v > 0.0)));
        if past > 0 {
            let share = 100.0 * past as f64 / f64::from(count);
            add(format!(
                "{} over {} in 100 of the map.",
                sentence_case(&held.name),
                number(share, 0)
            ));
        }
    }
    if let Some(p) = &map.present {
        let note = if p.note.is_empty() { String::new() } else { format!(", {}", p.note) };
        add(format!("At {}, {}: {}{note}.", number(p.x, 1), number(p.y, 1), p.label));
    }
    words
}
