//! Tanks, cut open: how much is in each, of how much, and what it is doing.

use crate::canvas::{Anchor, Canvas, Ids, Size};
use crate::geometry::Rect;
use crate::number::{number, some_usable, usable, with_unit};
use crate::text::{Type, sentence_case};

/// One tank.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tank {
    /// Its name, "Port".
    pub name: String,
    /// What it is doing, "filling".
    pub duty: String,
    /// What is in it, t.
    pub content_t: Option<f64>,
    /// What it holds when full, t.
    pub capacity_t: f64,
}

/// Cut tanks side by side, as wide as they are large, wide and narrow.
#[must_use]
pub fn tanks(ids: &mut Ids, tanks: &[Tank]) -> String {
    Size::both(|size| draw(ids, tanks, size))
}

fn draw(ids: &mut Ids, tanks: &[Tank], size: Size) -> String {
    let (between, depth, block) = (26.0, 108.0, 178.0);
    let width = size.width();
    let largest = tanks.iter().map(|t| t.capacity_t).filter(|c| usable(*c)).fold(0.0, f64::max);
    // Breadth follows capacity, within what the words above and inside need.
    let breadth = |tank: &Tank| -> f64 {
        let part =
            if largest > 0.0 && usable(tank.capacity_t) { tank.capacity_t / largest } else { 1.0 };
        let words = Type::Bold.width(&tank.name).max(Type::Tick.width(&tank.duty)) + 4.0;
        let most = if size.narrow() { 155.0 } else { 168.0 };
        (132.0 * part.clamp(0.0, 1.0).sqrt()).max(words.min(most)).clamp(84.0, most)
    };
    // Lay the tanks in rows first, so that the height is known.
    let mut places: Vec<(f64, f64)> = Vec::new();
    let (mut x, mut row) = (4.0, 0.0);
    for tank in tanks {
        if x > 4.0 && x + breadth(tank) > width - 4.0 {
            (x, row) = (4.0, row + 1.0);
        }
        places.push((x, row * block));
        x += breadth(tank) + between;
    }
    let mut sheet = Canvas::new(ids, size.class(), width, (row + 1.0) * block);
    for (tank, &(x, y)) in tanks.iter().zip(&places) {
        cut_tank(&mut sheet, tank, Rect::new(x, y + 40.0, breadth(tank), depth));
    }
    if tanks.is_empty() {
        sheet.text(4.0, 24.0, "no tanks entered", Type::Name, Anchor::Start, "");
    }
    let words: Vec<String> = tanks.iter().map(tank_words).collect();
    let desc = if words.is_empty() { String::from("No tanks entered.") } else { words.join(" ") };
    sheet.finish("Fresh water aboard, tank by tank", &desc)
}

fn cut_tank(sheet: &mut Canvas, tank: &Tank, shell: Rect) {
    let room = shell.w;
    sheet.text(
        shell.x,
        shell.y - 26.0,
        &Type::Bold.fit(&tank.name, room),
        Type::Bold,
        Anchor::Start,
        "",
    );
    sheet.text(
        shell.x,
        shell.y - 11.0,
        &Type::Tick.fit(&tank.duty, room),
        Type::Tick,
        Anchor::Start,
        "",
    );
    let capacity = some_usable(Some(tank.capacity_t)).filter(|c| *c > 0.0);
    let content = some_usable(tank.content_t);
    if let (Some(capacity), Some(content)) = (capacity, content) {
        let level = shell.bottom() - shell.h * (content / capacity).clamp(0.0, 1.0);
        if content > 0.0 {
            water(sheet, shell, level);
        }
        let figure = format!("{} t", number(content, 0));
        let above = level - 8.0 > shell.y + 12.0;
        let at = if above { level - 8.0 } else { level + 21.0 };
        sheet.text(shell.right() - 7.0, at, &figure, Type::Figure, Anchor::End, "");
    } else {
        let middle = shell.y + shell.h / 2.0;
        sheet.text(shell.x + shell.w / 2.0, middle, "no sounding", Type::Name, Anchor::Middle, "");
    }
    for k in 1..4 {
        let at = shell.y + shell.h * f64::from(k) / 4.0;
        sheet.line(shell.x, at, shell.x + 6.0, at, "edge");
    }
    let mut wall = sheet.pen();
    wall.go(shell.x, shell.y - 4.0);
    wall.to(shell.x, shell.bottom());
    wall.to(shell.right(), shell.bottom());
    wall.to(shell.right(), shell.y - 4.0);
    sheet.path(&wall, "ink");
    if let Some(capacity) = capacity {
        let of = format!("of {}", number(capacity, 0));
        sheet.text(shell.right(), shell.bottom() + 17.0, &of, Type::Tick, Anchor::End, "");
    }
}

/// Water up to a level, with a wave on it.
fn water(sheet: &mut Canvas, shell: Rect, level: f64) {
    let (left, right) = (shell.x + 0.8, shell.right() - 0.8);
    let quarter = (right - left) / 4.0;
    let wave = |path: &mut crate::canvas::Path| {
        for k in 0..4 {
            let from = left + quarter * f64::from(k);
            let lift = if k % 2 == 0 { -3.0 } else { 3.0 };
            let high = (level + lift).clamp(shell.y - 3.0, shell.bottom());
            path.curve(
                (from + quarter * 0.4, high),
                (from + quarter * 0.6, high),
                (from + quarter, level),
            );
        }
    };
    let mut body = sheet.pen();
    body.go(left, level);
    wave(&mut body);
    body.to(right, shell.bottom());
    body.to(left, shell.bottom());
    body.close();
    sheet.path(&body, "f-fresh");
    let mut surface = sheet.pen();
    surface.go(left, level);
    wave(&mut surface);
    sheet.path(&surface, "fresh w-ink");
}

fn tank_words(tank: &Tank) -> String {
    let name = sentence_case(&tank.name);
    let duty = if tank.duty.is_empty() { String::new() } else { format!(", {}", tank.duty) };
    match some_usable(tank.content_t) {
        Some(content) => {
            let of = with_unit(tank.capacity_t, 0, "t");
            format!("{name}: {} of {of}{duty}.", number(content, 0))
        }
        None => format!("{name}: no sounding{duty}."),
    }
}
