//! Track and passage pictures: every point where its position and moment put it, and no label over another.

use chart::{
    Clock, GeoPoint, Ids, MapName, MapNow, PassageStrip, Remark, Span, Spell, StripLane,
    StripPoint, TrackFix, TrackMap, TrackWater, passage_strip, track_map,
};
use roxmltree::{Document, Node};

use crate::sound::{points, sound};

const HOUR: f64 = 3600.0;

fn name(lat: f64, lon: f64, name: &str) -> MapName {
    MapName::new(GeoPoint::new(lat, lon), name)
}

/// From the south to the north with a bend, water of every kind on the way.
fn map(orders: Vec<MapName>, ports: Vec<MapName>) -> TrackMap {
    let corners = [(-33.0, 152.0), (-12.0, 157.0), (4.0, 154.0), (35.0, 140.0)];
    let fix = |i: usize, p: f64| {
        let (a, b) = (corners[i], corners[i + 1]);
        GeoPoint::new(a.0 + p * (b.0 - a.0), a.1 + p * (b.1 - a.1))
    };
    let track = (0..3).flat_map(|i| (0..50).map(move |k| (i, f64::from(k) / 50.0)));
    let water = [TrackWater::Not, TrackWater::Made, TrackWater::May];
    TrackMap {
        title: "The track".into(),
        says: "Where water is made.".into(),
        track: track.map(|(i, p)| TrackFix { at: fix(i, p), water: water[i] }).collect(),
        orders,
        ports,
        sea: vec![name(-20.0, 155.0, "sea 26 °C"), name(15.0, 149.5, "sea 28 °C")],
        now: Some(MapNow {
            at: GeoPoint::new(4.0, 154.0),
            label: "now".into(),
            note: "16 Nov 14:20".into(),
        }),
        ..TrackMap::default()
    }
}

fn pictures(markup: &str, each: impl Fn(Node)) {
    let page = format!("<page>{markup}</page>");
    let page = Document::parse(&page).unwrap();
    let pictures: Vec<Node> = page.descendants().filter(|n| n.has_tag_name("svg")).collect();
    assert!(pictures.len() >= 2, "wide and narrow");
    pictures.into_iter().for_each(each);
}

/// Dots of a class: a map's ports and the ship.
fn dots(svg: Node, class: &str) -> Vec<(f64, f64)> {
    let of_class = |n: &Node| n.has_tag_name("circle") && n.attribute("class") == Some(class);
    let number = |n: Node, name: &str| n.attribute(name).unwrap().parse::<f64>().unwrap();
    let found = svg.descendants().filter(of_class);
    found.map(|n| (number(n, "cx"), number(n, "cy"))).collect()
}

fn paths(svg: Node, class: &str) -> Vec<Vec<(f64, f64)>> {
    let of_class = |n: &Node| n.has_tag_name("path") && n.attribute("class") == Some(class);
    svg.descendants().filter(of_class).map(|n| points(n.attribute("d").unwrap())).collect()
}

/// Mercator's northing of a latitude in degrees of the equator, from the definition.
fn northing(lat_deg: f64) -> f64 {
    (std::f64::consts::FRAC_PI_4 + lat_deg.to_radians() / 2.0).tan().ln().to_degrees()
}

/// Two ports fix the chart; every other point must lie where Mercator's chart puts it.
#[test]
fn ident_points_of_a_track_map_lie_where_mercator_puts_them() {
    let ports =
        vec![name(-33.0, 152.0, "South"), name(35.0, 140.0, "North"), name(-12.0, 157.0, "Bend")];
    let page = track_map(&mut Ids::new("t"), &map(Vec::new(), ports));
    sound(&page);
    pictures(&page, |svg| {
        let ports = dots(svg, "f-ink");
        assert_eq!(ports.len(), 3);
        let (a, b) = (ports[0], ports[1]);
        let across = (b.0 - a.0) / (140.0 - 152.0);
        let up = (b.1 - a.1) / (northing(35.0) - northing(-33.0));
        // True to shape: a degree of the equator is as long both ways, and north is up.
        assert!((across + up).abs() < 0.02 * across && across > 0.0, "{across} {up}");
        let place = |lat: f64, lon: f64| {
            (a.0 + (lon - 152.0) * across, a.1 + (northing(lat) - northing(-33.0)) * up)
        };
        let is_at = |found: (f64, f64), lat: f64, lon: f64, what: &str| {
            let (x, y) = place(lat, lon);
            assert!((found.0 - x).hypot(found.1 - y) < 0.4, "{what}: {found:?}, ({x}, {y})");
        };
        is_at(ports[2], -12.0, 157.0, "the bend");
        is_at(dots(svg, "f-red")[0], 4.0, 154.0, "the ship");
        // Each kind of water from its own corner to the next.
        let made = paths(svg, "made").concat();
        is_at(made[0], -12.0, 157.0, "water is made from the bend");
        is_at(*made.last().unwrap(), 4.0, 154.0, "to the ship");
        let may = paths(svg, "may").concat();
        is_at(may[0], 4.0, 154.0, "it may be made from the ship");
    });
}

/// Boxes of all words, half an em a letter and seven tenths of it high: less than any face in use needs.
fn boxes(svg: Node) -> Vec<(String, [f64; 4])> {
    let texts = svg.descendants().filter(|n| n.has_tag_name("text"));
    let number = |n: Node, name: &str| n.attribute(name).unwrap().parse::<f64>().unwrap();
    texts
        .map(|n| {
            let letters: String =
                n.descendants().filter(Node::is_text).filter_map(|t| t.text()).collect();
            let width = 0.42 * 11.5 * letters.chars().count() as f64;
            let (x, y) = (number(n, "x"), number(n, "y"));
            let left = match n.attribute("text-anchor") {
                Some("middle") => x - width / 2.0,
                Some("end") => x - width,
                _ => x,
            };
            (letters, [left, y - 7.0, left + width, y])
        })
        .collect()
}

fn no_label_over_another(markup: &str) {
    pictures(markup, |svg| {
        let boxes = boxes(svg);
        for (i, (one, a)) in boxes.iter().enumerate() {
            for (other, b) in &boxes[i + 1..] {
                let apart = a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1];
                assert!(apart, "\"{one}\" {a:?} over \"{other}\" {b:?}");
            }
        }
    });
}

/// Orders and ports crowded into one corner of the map: their names make way for each other.
#[test]
fn ident_names_on_a_crowded_map_stand_apart() {
    let orders = (0..6).map(|k| {
        let k = f64::from(k);
        name(33.0 + 0.25 * k, 141.0 - 0.15 * k, &format!("heat off, {:.0} Nov 11:15", 20.0 + k))
    });
    let ports = vec![
        name(-33.0, 152.0, "Sand Haven"),
        name(35.0, 140.0, "Heron Bay"),
        name(34.7, 139.8, "Pilot Station"),
        name(34.4, 140.2, "Outer Roads"),
    ];
    let page = track_map(&mut Ids::new("t"), &map(orders.collect(), ports));
    no_label_over_another(&page);
    for word in ["Sand Haven", "Heron Bay", "now"] {
        assert!(page.matches(word).count() >= 2, "{word} is named on each drawing");
    }
}

/// Ten days with soundings over the first four, events close together, two spells and water between.
fn strip() -> PassageStrip {
    let day = 24.0 * HOUR;
    let point = |k: u32| {
        let at = f64::from(k) * 6.0 * HOUR;
        let t = 90.0 - 1.5 * f64::from(k);
        StripPoint::banded(at, t, t - 6.0, t + 6.0)
    };
    let aboard = StripLane {
        name: "Aboard".into(),
        unit: "t".into(),
        points: (0..=40).map(point).collect(),
        came: [(0.0, 90.0), (1.0, 80.0), (4.0, 60.0)]
            .map(|(d, t)| StripPoint::new(d * day, t))
            .to_vec(),
        came_word: "sounded".into(),
        tall: true,
        ..StripLane::default()
    };
    let remark = |h: f64, text: &str| Remark { at_s: h * HOUR, text: text.into() };
    let spell = |from: f64, to: f64, label: &str| Spell {
        span: Span { from_s: from * day, to_s: to * day },
        label: label.into(),
    };
    PassageStrip {
        title: "The passage".into(),
        says: String::new(),
        span: Span { from_s: 0.0, to_s: 10.0 * day },
        now_s: Some(4.0 * day),
        clock: Clock::fixed(0),
        forbidden: vec![spell(0.0, 1.0, "phase"), spell(8.0, 8.2, "distance")],
        making: vec![Span { from_s: 5.0 * day, to_s: 7.5 * day }],
        events: vec![
            remark(118.0, "start"),
            remark(121.0, "start"),
            remark(180.0, "heat off"),
            remark(184.0, "heat off"),
            remark(200.0, "arrival"),
        ],
        lanes: vec![aboard],
    }
}

/// Soundings, water made and the line of now stand at the times and figures they were given.
#[test]
fn ident_points_of_a_passage_strip_stand_at_their_times_and_figures() {
    let page = passage_strip(&mut Ids::new("p"), &strip());
    let says = &sound(&page)[0];
    assert!(says.contains("sounded 60 at 5 Jan 00:00"), "{says}");
    pictures(&page, |svg| {
        let hook = |name: &str| svg.attribute(name).unwrap().parse::<f64>().unwrap();
        let (left, right) = (hook("data-left"), hook("data-right"));
        let x = |h: f64| left + (right - left) * h / 240.0;
        let sounded = paths(svg, "dots");
        // The lane's own dots come before the legend's sample.
        let sounded = &sounded[0];
        assert_eq!(sounded.len(), 3, "{sounded:?}");
        for (point, hour) in sounded.iter().zip([0.0, 24.0, 96.0]) {
            assert!((point.0 - x(hour)).abs() < 0.3, "{hour} h: {point:?}");
        }
        // 90, 80 and 60 t: the second a third of the way down to the third.
        let part = (sounded[1].1 - sounded[0].1) / (sounded[2].1 - sounded[0].1);
        assert!((part - 1.0 / 3.0).abs() < 0.01 && sounded[2].1 > sounded[0].1, "{part}");
        let made = paths(svg, "made butt");
        let ends: Vec<f64> = made[0].iter().map(|p| p.0).collect();
        assert!((ends[0] - x(120.0)).abs() < 0.3 && (ends[1] - x(180.0)).abs() < 0.3, "{ends:?}");
        let now = paths(svg, "redl").concat();
        assert!(now.iter().all(|p| (p.0 - x(96.0)).abs() < 0.3), "{now:?}");
    });
}

#[test]
fn ident_labels_of_a_passage_strip_stand_apart() {
    no_label_over_another(&passage_strip(&mut Ids::new("p"), &strip()));
}
