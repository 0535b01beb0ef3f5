//! Capacity maps: contours where the field has their level, regions, holes, the file of its own.

use crate::any::{number, words};
use crate::sound::{points, sound};
use chart::{CapacityMap, Grid, Held, Ids, Present, TrackPoint, capacity_map, capacity_map_file};
use proptest::prelude::*;
use roxmltree::{Document, Node};

fn axis(from: f64, to: f64, cells: u32) -> Vec<f64> {
    (0..=cells).map(|k| from + (to - from) * f64::from(k) / f64::from(cells)).collect()
}

fn map(grid: Grid) -> CapacityMap {
    CapacityMap {
        title: "Output".into(),
        says: String::new(),
        x_label: "sea temperature, °C".into(),
        y_label: "jacket water in, °C".into(),
        unit: "t/day".into(),
        grid,
        levels: Vec::new(),
        held: Vec::new(),
        none_label: "no steady running here".into(),
        present: None,
        track: Vec::new(),
    }
}

/// Frame of the wide map's plot, from its last rectangle.
fn wide_paths(markup: &str, class: &str) -> Vec<String> {
    let page = format!("<page>{markup}</page>");
    let page = Document::parse(&page).unwrap();
    let wide = page.descendants().find(|n| n.has_tag_name("svg")).unwrap();
    let of_class = |n: &Node| n.has_tag_name("path") && n.attribute("class") == Some(class);
    wide.descendants().filter(of_class).map(|n| n.attribute("d").unwrap().to_owned()).collect()
}

#[test]
fn ident_the_drawn_contour_of_a_circle_is_one() {
    let grid = Grid::from_fn(axis(-2.0, 2.0, 40), axis(-2.0, 2.0, 40), |x, y| Some(x * x + y * y));
    let picture = CapacityMap { levels: vec![1.0], ..map(grid) };
    let paths = wide_paths(&capacity_map(&mut Ids::new("p"), &picture), "ink1");
    assert_eq!(paths.len(), 2, "the contour and the frame");
    let frame = points(&paths[1]);
    let (left, top) = frame[0];
    let (right, bottom) = frame[2];
    let ring = points(&paths[0]);
    assert!(ring.len() > 30);
    for (px, py) in ring {
        let x = -2.0 + 4.0 * (px - left) / (right - left);
        let y = 2.0 - 4.0 * (py - top) / (bottom - top);
        // Half a cell's sagitta and a tenth of a unit of rounding.
        assert!((x.hypot(y) - 1.0).abs() < 0.004, "({x}, {y})");
    }
}

#[test]
fn held_and_empty_regions_are_hatched_and_named() {
    let grid = Grid::from_fn(axis(14.0, 34.0, 20), axis(66.0, 90.0, 20), |x, y| {
        (x < 28.0 || y > 75.0).then_some(y - x)
    });
    let past = grid.y.iter().flat_map(|y| grid.x.iter().map(move |x| Some(y - x - 60.0))).collect();
    let held = vec![Held { name: "held by the engine’s heat".into(), past }];
    let picture = CapacityMap { held, ..map(grid) };
    let page = capacity_map(&mut Ids::new("p"), &picture);
    assert_eq!(wide_paths(&page, "hatch").len(), 2);
    assert_eq!(wide_paths(&page, "ink2").len(), 1, "the edge of the held region");
    assert_eq!(page.matches(">held by the engine’s heat<").count(), 2);
    assert_eq!(page.matches(">no steady running here<").count(), 2);
    // All strokes of the held region lie where it holds: y - x ≥ 60 up to the look's distance.
    let frame = points(&wide_paths(&page, "f-leaf")[0]);
    let ((left, top), (right, bottom)) = (frame[0], frame[2]);
    for (px, py) in points(&wide_paths(&page, "hatch")[0]) {
        let x = 14.0 + 20.0 * (px - left) / (right - left);
        let y = 90.0 - 24.0 * (py - top) / (bottom - top);
        assert!(y - x > 60.0 - 0.1, "stroke end at ({x}, {y})");
    }
    assert!(sound(&page)[0].contains("Held by the engine’s heat over"));
}

#[test]
fn an_empty_field_is_said_to_be_so() {
    let grid = Grid { x: vec![0.0, 1.0], y: vec![0.0, 1.0], values: vec![None; 4] };
    let page = capacity_map(&mut Ids::new("p"), &map(grid));
    assert!(sound(&page)[0].contains("No values"));
    assert!(page.contains("nothing to show"));
}

#[test]
fn the_file_stands_alone() {
    let grid = Grid::from_fn(axis(14.0, 34.0, 20), axis(66.0, 90.0, 20), |x, y| Some(y - x));
    let past = grid.y.iter().flat_map(|y| grid.x.iter().map(move |x| Some(y - x - 60.0))).collect();
    let picture = CapacityMap {
        held: vec![Held { name: "held".into(), past }],
        present: Some(Present { x: 29.4, y: 83.0, label: "now".into(), note: "21.3".into() }),
        track: vec![
            TrackPoint { x: 20.0, y: 80.0, label: "9 Nov".into() },
            TrackPoint { x: 30.0, y: 82.0, label: String::new() },
        ],
        ..map(grid)
    };
    let file = capacity_map_file(&picture);
    let document = Document::parse(&file).unwrap();
    let root = document.root_element();
    assert_eq!(root.tag_name().namespace(), Some("http://www.w3.org/2000/svg"));
    let style = root.children().find(|n| n.tag_name().name() == "style").unwrap().text().unwrap();
    assert!(!style.contains("var("), "viewers of files know no variables");
    for node in root.descendants().filter(Node::is_element) {
        for class in node.attribute("class").unwrap_or_default().split_whitespace() {
            // "leaf" and "wide" only tell the pages' own grounds and widths apart.
            let known = ["leaf", "wide"].contains(&class) || style.contains(&format!(".{class}{{"));
            assert!(known, "no rule for {class} in the file");
        }
    }
    assert!(!file.contains("href") && !file.contains("url("), "nothing from outside");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn maps_of_anything(
        title in words(), labels in prop::array::uniform5(words()),
        sides in (0usize..9, 0usize..9), seed in prop::collection::vec(prop::option::weighted(0.85, number()), 200),
        levels in prop::collection::vec(number(), 0..30),
        held in prop::collection::vec((words(), prop::collection::vec(prop::option::of(number()), 0..90)), 0..4),
        present in prop::option::of((number(), number(), words(), words())),
        track in prop::collection::vec((number(), number(), words()), 0..12)
    ) {
        let (nx, ny) = sides;
        let grid = Grid {
            x: (0..nx).map(|k| k as f64 * 3.0).collect(),
            y: (0..ny).map(|k| 60.0 + k as f64 * 4.0).collect(),
            values: seed.into_iter().take(nx * ny).collect(),
        };
        let [x_label, y_label, unit, none_label, says] = labels;
        let picture = CapacityMap {
            title, says, x_label, y_label, unit, grid, levels, none_label,
            held: held.into_iter().map(|(name, past)| Held { name, past }).collect(),
            present: present.map(|(x, y, label, note)| Present { x, y, label, note }),
            track: track.into_iter().map(|(x, y, label)| TrackPoint { x, y, label }).collect(),
        };
        sound(&capacity_map(&mut Ids::new("p"), &picture));
        Document::parse(&capacity_map_file(&picture)).unwrap();
    }
}
