//! Invented passages for the gallery: tracks over the map, and one passage on its clock.

use chart::{
    Clock, Coastline, GeoPoint, Joined, MapArea, MapLine, MapName, MapNow, PassageStrip, Remark,
    Span, Spell, StripLane, StripPoint, Threshold, ThresholdKind, TrackFix, TrackMap, TrackWater,
    Wash, Zone,
};

const HOUR: f64 = 3600.0;
const DAY: f64 = 24.0 * HOUR;
/// 9 November 2025, 01:00 UTC.
const SAILED: f64 = 1_762_650_000.0;
const STEP: f64 = 900.0;

/// Chains of "latitude longitude" lines, parted by blank lines.
pub fn read_coast(text: &str) -> Vec<Vec<(f64, f64)>> {
    let point = |line: &str| {
        let mut numbers = line.split_whitespace().filter_map(|n| n.parse().ok());
        Some((numbers.next()?, numbers.next()?))
    };
    text.split("\n\n").map(|chain| chain.lines().filter_map(point).collect()).collect()
}

/// A few rough islands where no land is.
pub fn coast() -> Vec<Vec<(f64, f64)>> {
    let island = |lat: f64, lon: f64, size: f64, seed: f64| -> Vec<(f64, f64)> {
        let mut ring: Vec<(f64, f64)> = (0..720)
            .map(|k| (f64::from(k) / 720.0 * std::f64::consts::TAU, f64::from(k)))
            .map(|(a, k)| {
                let rough = (3.0 * a + seed).sin() * 0.3 + (7.0 * a).cos() * 0.14;
                let size = size * (1.0 + rough + 0.03 * (k * 12.9898).sin());
                (lat + size * a.sin(), lon + size * a.cos() / lat.to_radians().cos())
            })
            .collect();
        ring.push(ring[0]);
        ring
    };
    vec![
        island(-25.0, 140.0, 11.0, 0.3),
        island(-6.0, 142.0, 4.0, 1.0),
        island(36.0, 139.0, 3.0, 2.0),
        island(-5.5, 151.0, 1.6, 3.0),
        island(52.0, -178.0, 1.2, 3.3),
        island(45.0, -118.0, 8.0, 0.1),
        island(78.0, 16.0, 2.0, 0.8),
        island(69.0, 25.0, 3.0, 2.8),
    ]
}

/// Positions every `STEP` along straight pieces between corners.
fn along(corners: &[(f64, f64)], water: impl Fn(f64) -> TrackWater) -> Vec<TrackFix> {
    let pieces = corners.windows(2);
    let mut track: Vec<TrackFix> = pieces
        .flat_map(|w| (0..160).map(move |k| (w[0], w[1], f64::from(k) / 160.0)))
        .map(|(a, b, p)| GeoPoint::new(a.0 + p * (b.0 - a.0), a.1 + p * (b.1 - a.1)))
        .map(|at| TrackFix { at, water: TrackWater::Not })
        .collect();
    if let Some(last) = corners.last() {
        track.push(TrackFix { at: GeoPoint::new(last.0, last.1), water: TrackWater::Not });
    }
    let count = track.len() as f64;
    for (k, fix) in track.iter_mut().enumerate() {
        fix.water = water(k as f64 / count);
    }
    track
}

fn name(lat: f64, lon: f64, name: &str) -> MapName {
    MapName::new(GeoPoint::new(lat, lon), name)
}

/// South to north.
pub fn north(coast: &[Vec<(f64, f64)>]) -> TrackMap {
    let corners = [
        (-32.93, 151.82),
        (-31.0, 153.5),
        (-25.0, 154.2),
        (-19.0, 153.0),
        (-12.0, 152.0),
        (-9.8, 151.3),
        (-7.0, 152.4),
        (-4.0, 153.1),
        (4.0, 150.8),
        (19.0, 146.0),
        (33.9, 139.9),
        (35.3, 139.75),
    ];
    let water = |p: f64| match p {
        p if !(0.07..=0.95).contains(&p) => TrackWater::Not,
        p if (0.45..0.5).contains(&p) || (0.62..0.64).contains(&p) => TrackWater::Not,
        p if p > 0.72 && p < 0.86 => TrackWater::May,
        _ => TrackWater::Made,
    };
    TrackMap {
        title: "Track from Sand Haven to Heron Bay".into(),
        says: "Water is made along most of the way.".into(),
        coast: Coastline::new(coast),
        track: along(&corners, water),
        orders: vec![
            name(-31.2, 153.3, "start, 9 Nov 15:15"),
            name(33.2, 140.2, "heat off, 22 Nov 11:15"),
        ],
        ports: vec![name(-32.93, 151.82, "Sand Haven"), name(35.3, 139.75, "Heron Bay")],
        names: vec![name(-25.0, 140.0, "Great Southland"), name(-6.0, 143.0, "Cloud Island")],
        sea: vec![
            name(-18.0, 158.0, "sea 26 °C"),
            name(8.0, 155.0, "sea 29 °C"),
            name(22.0, 152.0, "sea 28 °C"),
        ],
        areas: vec![MapArea {
            name: "no water here".into(),
            ring: [(-13.0, 149.5), (-13.0, 153.5), (-8.0, 153.0), (-9.0, 150.0)]
                .map(|p| GeoPoint::new(p.0, p.1))
                .to_vec(),
        }],
        lines: vec![MapLine {
            name: "counts as nearest land".into(),
            points: [
                (-10.9, 142.2),
                (-9.1, 144.0),
                (-10.6, 144.0),
                (-15.0, 146.0),
                (-21.0, 153.0),
                (-24.7, 153.25),
            ]
            .map(|p| GeoPoint::new(p.0, p.1))
            .to_vec(),
        }],
        now: Some(MapNow {
            at: GeoPoint::new(4.0, 150.8),
            label: "now, 16 Nov".into(),
            note: "14:20".into(),
        }),
    }
}

/// Across the date line.
pub fn east(coast: &[Vec<(f64, f64)>]) -> TrackMap {
    let corners =
        [(35.3, 139.8), (34.6, 141.0), (45.0, 165.0), (49.5, 185.0), (50.0, 210.0), (48.4, 235.0)];
    TrackMap {
        title: "Track from Heron Bay to Cedar Sound".into(),
        coast: Coastline::new(coast),
        track: along(&corners, |p| {
            if (0.08..0.93).contains(&p) { TrackWater::Made } else { TrackWater::Not }
        }),
        orders: vec![name(36.0, 144.0, "start"), name(48.9, -131.0, "heat off")],
        ports: vec![name(35.3, 139.8, "Heron Bay"), name(48.4, -125.0, "Cedar Sound")],
        areas: vec![MapArea {
            name: "fishing ground".into(),
            ring: [(47.0, 178.0), (47.0, -176.0), (52.0, -176.0), (52.0, 178.0)]
                .map(|p| GeoPoint::new(p.0, p.1))
                .to_vec(),
        }],
        ..TrackMap::default()
    }
}

/// Beyond the Mercator chart.
pub fn ice(coast: &[Vec<(f64, f64)>]) -> TrackMap {
    let corners = [(70.7, 23.6), (71.8, 22.0), (76.0, 16.0), (78.0, 12.5), (78.2, 15.5)];
    TrackMap {
        title: "Track from Northwick to Whitefell".into(),
        coast: Coastline::new(coast),
        track: along(&corners, |p| {
            if (0.3..0.7).contains(&p) { TrackWater::May } else { TrackWater::Not }
        }),
        ports: vec![name(70.7, 23.6, "Northwick"), name(78.2, 15.5, "Whitefell")],
        ..TrackMap::default()
    }
}

fn wobble(k: f64) -> f64 {
    (12.9898 * k).sin() * 0.5 + (4.1414 * k + 1.3).sin() * 0.5
}

/// Thirteen days, sampled every quarter of an hour.
pub fn strip() -> PassageStrip {
    let span = Span { from_s: SAILED, to_s: SAILED + 13.6 * DAY };
    let now = SAILED + 7.2 * DAY;
    let steps = (span.length_s() / STEP) as u32;
    let series = |value: &dyn Fn(f64) -> f64, half: &dyn Fn(f64) -> f64| -> Vec<StripPoint> {
        (0..=steps)
            .map(|k| (SAILED + f64::from(k) * STEP, f64::from(k) * STEP / DAY))
            .map(|(at_s, day)| {
                let (value, half) = (value(day), half(day));
                if at_s > now && half > 0.0 {
                    StripPoint::banded(at_s, value, value - half, value + half)
                } else {
                    StripPoint::new(at_s, value + 0.15 * half * wobble(day * 50.0))
                }
            })
            .collect()
    };
    let none = |_: f64| 0.0;
    let days = |from: f64, to: f64| Span { from_s: SAILED + from * DAY, to_s: SAILED + to * DAY };
    let shut = [
        (0.0, 0.25, "harbour"),
        (0.25, 0.4, "within 20 nmi of land"),
        (4.4, 4.62, "within 20 nmi of land"),
        (4.8, 4.9, "area “Louisiades”"),
        (5.75, 5.85, "shallower than 50 m"),
        (13.0, 13.2, "end of passage too near"),
        (13.2, 13.6, "harbour"),
    ];
    let making = [(0.45, 4.35), (4.65, 4.78), (4.95, 5.7), (5.9, 9.3), (10.2, 12.95)];
    let makes = |day: f64| making.iter().any(|m| day >= m.0 && day < m.1);
    let off = |day: f64| {
        let near = [0.0, 4.5, 4.85, 5.8, 13.6];
        near.iter().map(|n| (day - n).abs() * 210.0).fold(400.0, f64::min) + 4.0
    };
    let sea = |day: f64| 20.5 + 9.0 * (0.24 * day).sin().max(0.1 * day - 0.7) - 0.03 * day * day;
    let make = |day: f64| if makes(day) { 24.0 - 0.2 * day } else { 0.0 };
    let stock = |day: f64| {
        let made: f64 = making.iter().map(|m| (day.min(m.1) - m.0).max(0.0) * 23.0).sum();
        let washed = (day - 9.0).clamp(0.0, 3.0) * 46.0;
        95.0 + 0.72 * made - 7.0 * day - washed + 0.3 * (day - 6.0).max(0.0) * 7.0
    };
    let widening = |rate: f64| move |day: f64| rate * (day - 7.2).max(0.0).sqrt();
    let lane = |name: &str, unit: &str, decimals: u8, points: Vec<StripPoint>| StripLane {
        name: name.into(),
        unit: unit.into(),
        decimals,
        points,
        ..StripLane::default()
    };
    let line = |value: f64, label: &str, kind: ThresholdKind| Threshold {
        value,
        label: label.into(),
        kind,
    };
    PassageStrip {
        title: "The passage on one clock".into(),
        says: "Water is made on eleven of thirteen days.".into(),
        span,
        now_s: Some(now),
        clock: Clock::Zones(vec![
            Zone { from_s: SAILED, offset_s: 11 * 3600 },
            Zone { from_s: SAILED + 5.3 * DAY, offset_s: 10 * 3600 },
            Zone { from_s: SAILED + 10.0 * DAY, offset_s: 9 * 3600 },
        ]),
        forbidden: shut.iter().map(|s| Spell { span: days(s.0, s.1), label: s.2.into() }).collect(),
        making: making.iter().map(|m| days(m.0, m.1)).collect(),
        events: [
            (0.25, "full away"),
            (0.4, "heat on"),
            (9.0, "hold washing"),
            (12.9, "heat off"),
            (13.1, "tell the bridge"),
            (13.2, "end of passage"),
        ]
        .iter()
        .map(|e| Remark { at_s: SAILED + e.0 * DAY, text: e.1.into() })
        .collect(),
        lanes: vec![
            StripLane {
                cap: Some(100.0),
                hatched: true,
                thresholds: vec![line(20.0, "20 nmi ordered", ThresholdKind::Order)],
                ..lane("Distance off", "nmi", 0, series(&off, &none))
            },
            StripLane {
                downward: true,
                wash: Wash::Sea,
                cap: Some(5000.0),
                ..lane(
                    "Depth",
                    "m, climatology",
                    0,
                    series(&|d| 30.0 * off(d).min(390.0) + 500.0 * wobble(d), &none),
                )
            },
            lane("Sea temperature", "°C", 1, series(&sea, &widening(0.25))),
            StripLane {
                joined: Joined::Step,
                thresholds: vec![line(35.0, "least 35 %", ThresholdKind::Order)],
                ..lane(
                    "Engine load",
                    "%",
                    0,
                    series(&|d| if (0.3..13.2).contains(&d) { 72.0 } else { 22.0 }, &none),
                )
            },
            StripLane {
                joined: Joined::Step,
                wash: Wash::Fresh,
                hatched: true,
                ..lane("Making", "t/day", 1, series(&make, &|d| if makes(d) { 1.1 } else { 0.0 }))
            },
            StripLane {
                tall: true,
                thresholds: vec![
                    line(38.0, "reserve 38 t, five days’ use", ThresholdKind::Reserve),
                    line(320.0, "full, 320 t", ThresholdKind::Ceiling),
                ],
                remarks: vec![Remark {
                    at_s: SAILED + 9.6 * DAY,
                    text: "hold washing, 46 t a day".into(),
                }],
                ..lane("Fresh water aboard", "t, all tanks", 0, series(&stock, &widening(9.0)))
            },
            StripLane {
                thresholds: vec![line(40.0, "full, 40 t", ThresholdKind::Ceiling)],
                ..lane("Drinking water", "t", 1, series(&|d| 34.0 - 0.6 * d, &widening(0.5)))
            },
        ],
    }
}

/// One sample, none at all, and values that are not numbers.
pub fn bare() -> PassageStrip {
    let lane = |name: &str, points: Vec<StripPoint>| StripLane {
        name: name.into(),
        unit: "t".into(),
        points,
        ..StripLane::default()
    };
    PassageStrip {
        lanes: vec![
            lane("One", vec![StripPoint::banded(SAILED + 6.0 * DAY, 12.0, 10.0, 14.0)]),
            lane("None", Vec::new()),
            lane("No numbers", vec![StripPoint::new(SAILED + DAY, f64::NAN)]),
        ],
        events: Vec::new(),
        making: Vec::new(),
        forbidden: Vec::new(),
        now_s: None,
        ..strip()
    }
}
