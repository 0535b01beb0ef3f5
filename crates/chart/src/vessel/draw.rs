//! The vessel drawn: a section through shell and pipes, wide with its words, narrow with its numbers.

use std::collections::BTreeMap;
use std::fmt::Write;

use crate::canvas::{Canvas, Ids, Size};
use crate::text::escape;

use super::data::{Fluid, Gauge, Vessel};
use super::moves::{Attribute, Move, flow_key, gauge_key, percent, vessel_moves};
use super::places::{
    HANDLES, Handle, LED, NAMES, PIPES, PUMPS, Side, VESSEL_HANDLES, VESSEL_PUMPS, WIDE, gauge_at,
};

const SHELL: &str = "M258 138C258 58 482 58 482 138V498C482 566 258 566 258 498Z";
const INSIDE: &str = "M268 140C268 70 472 70 472 140V496C472 554 268 554 268 496Z";
const EJECTOR: &str = "M496 588V584H618V590C638 596 642 599 650 599C664 599 674 594 688 594";
const EJECTOR_UNDER: &str = "M496 620V624H618V618C638 612 642 609 650 609C664 609 674 614 688 614";

/// Height of the narrow drawing and the scale of everything but words on it.
const NARROW_HEIGHT: f64 = 300.0;

/// The vessel, wide and narrow. What moves carries `data-live` and can be brought up to date with [`vessel_moves`].
#[must_use]
pub fn vessel(ids: &mut Ids, shown: &Vessel) -> String {
    let moves = vessel_moves(shown);
    let moves: BTreeMap<&str, &Move> = moves.iter().map(|m| (m.key.as_str(), m)).collect();
    Size::both(|size| draw(ids, shown, &moves, size))
}

/// Shapes going down on the sheet.
struct Sheet<'a> {
    body: String,
    moves: &'a BTreeMap<&'a str, &'a Move>,
}

impl Sheet<'_> {
    fn put(&mut self, svg: &str) {
        self.body.push_str(svg);
    }

    fn path(&mut self, class: &str, line: &str) {
        let _ = write!(self.body, "<path class=\"{class}\" d=\"{line}\"/>");
    }

    /// The attributes of something that moves.
    fn live(&self, key: &str) -> String {
        match self.moves.get(key) {
            Some(Move { attribute: Attribute::Class, value, .. }) => {
                format!(" data-live=\"{key}\" class=\"{value}\"")
            }
            Some(Move { attribute: Attribute::Transform, value, .. }) => {
                format!(" data-live=\"{key}\" transform=\"{value}\"")
            }
            _ => format!(" data-live=\"{key}\""),
        }
    }

    fn words_of(&self, key: &str) -> String {
        self.moves.get(key).map_or_else(String::new, |m| escape(&m.value))
    }

    fn text(&mut self, (x, y, side): (f64, f64, Side), class: &str, inside: &str) {
        let anchor = match side {
            Side::Start => "",
            Side::Middle => " text-anchor=\"middle\"",
            Side::End => " text-anchor=\"end\"",
        };
        let class = if class.is_empty() { String::new() } else { format!(" class=\"{class}\"") };
        let _ = write!(self.body, "<text x=\"{x:.1}\" y=\"{y:.1}\"{class}{anchor}>{inside}</text>");
    }

    /// Words that change.
    fn live_text(&mut self, at: (f64, f64, Side), class: &str, key: &str) {
        let inside = format!("<tspan data-live=\"{key}\">{}</tspan>", self.words_of(key));
        self.text(at, class, &inside);
    }
}

fn draw(ids: &mut Ids, shown: &Vessel, moves: &BTreeMap<&str, &Move>, size: Size) -> String {
    let narrow = size.narrow();
    let (width, height) = if narrow { (size.width(), NARROW_HEIGHT) } else { WIDE };
    let mut canvas = Canvas::new(ids, size.class(), width, height);
    let mut sheet = Sheet { body: String::new(), moves };
    let scale = width / WIDE.0;
    if narrow {
        let _ = write!(sheet.body, "<g transform=\"scale({scale:.3})\">");
    }
    pipes(&mut sheet);
    shell(&mut sheet, &canvas.own_id("w"));
    ejector(&mut sheet);
    for ((at, radius, _), i) in PUMPS.iter().zip(1..) {
        pump(&mut sheet, *at, *radius, &format!("wheel-{i}"));
    }
    sheet.put("<rect class=\"f-leaf ink\" x=\"660\" y=\"246\" width=\"13\" height=\"24\"/>");
    sheet.path("ink1", "M664 240V262M669 240V262");
    for (handle, i) in HANDLES.iter().zip(1..) {
        lever(&mut sheet, handle, &format!("lever-{i}"));
    }
    sheet.path("f-paper ink2", "M700 258m-12 0a12 12 0 1 0 24 0a12 12 0 1 0 -24 0");
    let turns = sheet.live("three-way");
    // Its way in stays; the way out turns: rotated to 0 it would lead on to the right.
    let _ = write!(
        sheet.body,
        "<path class=\"ink2\" d=\"M689 258H700\"/><g{turns}><path class=\"ink2\" d=\"M700 258H711\"/></g>"
    );
    if narrow {
        sheet.put("</g>");
        narrow_words(&mut sheet, scale);
    } else {
        wide_words(&mut sheet);
    }
    canvas.put(&sheet.body);
    canvas.finish("The evaporator cut open", &told(shown))
}

fn pipes(sheet: &mut Sheet<'_>) {
    for pipe in &PIPES {
        let fluid = pipe.fluid.class();
        let live = sheet.live(&flow_key(pipe.key, pipe.fluid));
        let line = pipe.line;
        let _ = write!(
            sheet.body,
            "<path class=\"casing\" d=\"{line}\"/><path class=\"pipe\" d=\"{line}\"/><path class=\"lumen {fluid}\" d=\"{line}\"/><path{live} d=\"{line}\"/>"
        );
    }
}

/// Numbers that look scattered and are always the same.
fn scatter(n: u32) -> f64 {
    let bits = n.wrapping_mul(2_654_435_761).rotate_left(13).wrapping_mul(2_246_822_519);
    f64::from(bits >> 16) / 65_536.0
}

fn shell(sheet: &mut Sheet<'_>, id: &str) {
    sheet.path("f-paper", SHELL);
    sheet.path("f-vap", INSIDE);
    let _ = write!(
        sheet.body,
        "<clipPath id=\"{id}i\"><path d=\"{INSIDE}\"/></clipPath><clipPath id=\"{id}\"><path clip-rule=\"evenodd\" d=\"{SHELL}{INSIDE}\"/></clipPath><clipPath id=\"{id}g\"><path d=\"M493 384H502V516H493Z\"/></clipPath>"
    );
    // The brine up to its level, and its surface.
    let level = sheet.live("level");
    let _ = write!(
        sheet.body,
        "<g clip-path=\"url(#{id}i)\"><g{level}><path class=\"f-sea\" d=\"M262 0q26 -4 52 0t52 0t52 0t60 0V400H262Z\"/><path class=\"sea w-ink2\" d=\"M262 0q26 -4 52 0t52 0t52 0t60 0\"/></g></g>"
    );
    // The heater: jacket water round the tubes, brine in them.
    sheet.path("f-fresh", "M280 436H460V508H280Z");
    for k in 0..9 {
        let x = 288 + 19 * k;
        sheet.path("f-sea", &format!("M{x} 434H{}V510H{x}Z", x + 9));
        sheet.path("ink1", &format!("M{x} 436V508M{} 436V508", x + 9));
    }
    sheet.path("ink2", "M272 436H468M272 508H468");
    sheet.path("ink", "M280 436V508M460 436V508");
    boiling(sheet);
    let mut wall = String::new();
    for k in 0..115 {
        let x = -285 + 7 * k;
        let _ = write!(wall, "M{x} 580L{} 50", x + 530);
    }
    let _ = write!(sheet.body, "<path class=\"hatch\" clip-path=\"url(#{id})\" d=\"{wall}\"/>");
    sheet.path("ink2", SHELL);
    sheet.path("ink", INSIDE);
    inside(sheet);
    // The sight glass and its water.
    sheet.path("ink", "M482 388H492M482 512H492");
    sheet.path("f-paper ink", "M492 384H503V516H492Z");
    let glass = sheet.live("glass-water");
    let _ = write!(
        sheet.body,
        "<g clip-path=\"url(#{id}g)\"><g{glass}><path class=\"f-sea\" d=\"M493 0H502V140H493Z\"/><path class=\"ink\" d=\"M493 0H502\"/></g></g>"
    );
    sheet.path("edge", "M503 384H509M503 417H509M503 450H509M503 483H509M503 516H509");
}

/// Bubbles in the tubes, vapour rising through the mesh and over to the condenser, drops falling from it.
fn boiling(sheet: &mut Sheet<'_>) {
    let live = sheet.live("boil");
    let _ = write!(sheet.body, "<g{live}>");
    for i in 0..42_u32 {
        let x = 292.0 + 19.0 * f64::from(i % 9) + 4.0 * scatter(i) - 2.0;
        let y = 424.0 + 80.0 * scatter(i + 100);
        let r = 1.0 + 1.6 * scatter(i + 200);
        let _ = write!(
            sheet.body,
            "<circle class=\"bubble\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"{r:.1}\"/>"
        );
    }
    let mut wisps = String::new();
    for row in 0..5_u32 {
        for column in 0..9_u32 {
            let n = 9 * row + column;
            let x = 286.0 + 20.0 * f64::from(column) + 10.0 * f64::from(row % 2) + 4.0 * scatter(n);
            let y = 400.0 - 17.0 * f64::from(row) + 4.0 * scatter(n + 300);
            // The figures in the middle stand clear.
            if !((296.0..444.0).contains(&x) && (306.0..386.0).contains(&y)) {
                let _ = write!(wisps, "M{x:.1} {y:.1}q3 -3 0 -6t0 -6");
            }
        }
    }
    for i in 0..9_u32 {
        let y = 270 - 15 * i;
        let _ = write!(wisps, "M{} {y}q3 -3 0 -6t0 -6", 290 + 14 * (i % 2));
        let _ = write!(wisps, "M{} {y}q3 -4 2 -6t3 -5", 318 + 10 * (i % 2));
    }
    sheet.path("vap wisp", &wisps);
    sheet.put("</g>");
}

/// Demister, baffle, tray and condenser tubes.
fn inside(sheet: &mut Sheet<'_>) {
    let mut mesh = String::new();
    for k in 0..23 {
        let x = 269 + 5 * k;
        if x <= 361 {
            let _ = write!(mesh, "M{x} 310L{} 292M{x} 292L{} 310", x + 5, x + 5);
        }
    }
    sheet.path("hatch", &mesh);
    sheet.path("ink1", "M269 292H366V310H269Z");
    let tray = sheet.live("tray");
    let _ = write!(sheet.body, "<g{tray}><path d=\"M367 251L471 251V264L367 252Z\"/></g>");
    sheet.path("ink2", "M366 318V236M366 254L471 266");
    sheet.path("fresh w-ink", "M367 250H471");
    for row in 0..4 {
        for column in 0..6 - row % 2 {
            let (x, y) = (354 + 19 * column + 9 * (row % 2), 146 + 21 * row);
            if x < 462 {
                let _ = write!(
                    sheet.body,
                    "<circle class=\"f-sea ink1\" cx=\"{x}\" cy=\"{y}\" r=\"6.2\"/>"
                );
            }
        }
    }
    let drops: String =
        (0..9).map(|i| format!("M{} {}v7", 372 + 11 * i, 222 + (i % 3) * 8)).collect();
    let live = sheet.live("drops");
    let _ = write!(sheet.body, "<g{live}><path class=\"fresh w-ink\" d=\"{drops}\"/></g>");
    sheet.path("sea dotted", "M336 96V124H466V152");
}

fn ejector(sheet: &mut Sheet<'_>) {
    sheet.path(
        "f-sea",
        "M496 588V584H618V590C638 596 642 599 650 599C664 599 674 594 688 594V614C674 614 664 609 650 609C642 609 638 612 618 618V624H496V620Z",
    );
    sheet.path("ink2", &format!("{EJECTOR}{EJECTOR_UNDER}"));
    sheet.path("f-paper ink", "M498 594L548 601V607L498 614");
    let live = sheet.live(&flow_key("motive", Fluid::Sea));
    let _ = write!(sheet.body, "<path{live} d=\"M502 604H686\"/>");
}

/// A casing and the wheel in it.
fn pump(sheet: &mut Sheet<'_>, (x, y): (f64, f64), r: f64, key: &str) {
    let _ = write!(
        sheet.body,
        "<path class=\"f-paper ink2\" d=\"M{:.1} {y:.1}a{r} {r} 0 1 1 {:.1} {:.1}L{:.1} {:.1}\"/>",
        x + r,
        -r * 0.3 - r * 0.7,
        -r,
        x + r + 9.0,
        y - r,
    );
    let mut wheel = String::new();
    for k in 0..6 {
        let angle = f64::from(k) * std::f64::consts::FRAC_PI_3;
        let point = |radius: f64, turn: f64| {
            let a = angle + turn;
            (radius * a.cos() * r / 19.0, radius * a.sin() * r / 19.0)
        };
        let ((ax, ay), (bx, by), (cx, cy)) = (point(3.0, 0.0), point(9.0, 0.2), point(13.0, 0.8));
        let _ = write!(wheel, "M{ax:.1} {ay:.1}Q{bx:.1} {by:.1} {cx:.1} {cy:.1}");
    }
    let live = sheet.live(key);
    let _ = write!(
        sheet.body,
        "<g transform=\"translate({x} {y})\"><g{live}><path class=\"ink1\" d=\"{wheel}\"/></g></g>"
    );
}

/// A lever: along its pipe open, across it shut.
fn lever(sheet: &mut Sheet<'_>, handle: &Handle, key: &str) {
    let (x, y) = handle.at;
    let live = sheet.live(key);
    let line = format!("M{:.1} {y:.1}H{:.1}", x - 7.0, x + 23.0);
    let _ = write!(
        sheet.body,
        "<g{live}><path class=\"lever-clear\" d=\"{line}\"/><path class=\"lever\" d=\"{line}\"/></g><circle class=\"f-paper ink2\" cx=\"{x}\" cy=\"{y}\" r=\"7\"/>"
    );
}

fn wide_words(sheet: &mut Sheet<'_>) {
    for (x, y, side, name) in NAMES {
        sheet.text((x, y, side), "ti halo", name);
    }
    for ((x1, y1), (x2, y2), side, name) in LED {
        let end = if side == Side::End { x2 + 4.0 } else { x2 - 4.0 };
        sheet.path("pen", &format!("M{x1} {y1}L{end} {:.1}", y2 - 4.0));
        let _ = write!(sheet.body, "<circle class=\"f-ink\" cx=\"{x1}\" cy=\"{y1}\" r=\"2.2\"/>");
        sheet.text((x2, y2, side), "ti halo", name);
    }
    for gauge in Gauge::ALL {
        let (x, y, side, class) = gauge_at(gauge);
        sheet.live_text((x, y, side), class, &gauge_key(gauge));
    }
    for ((_, _, (x, y)), i) in PUMPS.iter().zip(1..) {
        sheet.live_text((*x, *y, Side::Middle), "halo", &format!("pump-{i}"));
    }
    for (handle, i) in HANDLES.iter().zip(1..) {
        let key = format!("open-{i}");
        let inside = format!(
            "<tspan class=\"ti tp\">{i}</tspan> <tspan class=\"tb\" data-live=\"{key}\">{}</tspan>",
            sheet.words_of(&key)
        );
        sheet.text(handle.label, "halo", &inside);
    }
}

fn narrow_words(sheet: &mut Sheet<'_>, scale: f64) {
    for (gauge, lower) in [(Gauge::Vacuum, 0.0), (Gauge::Vapour, 6.0)] {
        let (x, y, side, class) = gauge_at(gauge);
        sheet.live_text((x * scale, y * scale + lower, side), class, &gauge_key(gauge));
    }
    let (x, y, side, _) = gauge_at(Gauge::Glass);
    sheet.live_text((x * scale, y * scale, side), "tb halo", &gauge_key(Gauge::Glass));
    for (handle, i) in HANDLES.iter().zip(1..) {
        let (x, y) = (handle.at.0 * scale + handle.narrow.0, handle.at.1 * scale + handle.narrow.1);
        let x = x.clamp(9.0, 327.0);
        let _ = write!(
            sheet.body,
            "<circle class=\"f-paper ink1\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"8.5\"/>"
        );
        sheet.text((x, y + 4.0, Side::Middle), "ts", &i.to_string());
    }
}

/// The drawing in words, for those who do not see it.
fn told(shown: &Vessel) -> String {
    let gauge = |gauge: Gauge| shown.gauge(gauge);
    let mut says = format!(
        "Vacuum {}, vapour {}, {} of the glass, nozzle {}, cell {}. {} Distillate {}.",
        gauge(Gauge::Vacuum),
        gauge(Gauge::Vapour),
        gauge(Gauge::Glass),
        gauge(Gauge::Nozzle),
        gauge(Gauge::Cell),
        if shown.boiling { "The brine boils." } else { "Nothing boils." },
        if shown.to_tank > 0.5 { "to the tank" } else { "to dump" },
    );
    for (name, runs) in VESSEL_PUMPS.iter().zip(shown.pumps) {
        let _ = write!(says, " {name} pump {},", if runs { "running" } else { "stopped" });
    }
    for (name, opening) in VESSEL_HANDLES.iter().zip(shown.openings) {
        let _ = write!(says, " {name} {},", percent(opening));
    }
    format!("{}.", says.trim_end_matches(','))
}
