//! Invented numbers for the gallery: repeatable, and shaped like what a plant gives.

use chart::{
    Band, CapacityMap, Clock, Envelope, Expected, Grid, HeatFlows, Held, Lane, Lanes, Limit,
    LimitStrip, Mark, Present, Reading, Remark, Span, Spell, Tank, TrackPoint, Trend, Zone,
};

const HOUR: f64 = 3600.0;
const DAY: f64 = 24.0 * HOUR;
const MIDNIGHT: f64 = 1_763_251_200.0;
const NOW: f64 = MIDNIGHT + 4.0 * HOUR + 1200.0;
fn wobble(k: u32) -> f64 {
    let x = f64::from(k);
    (12.9898 * x).sin() * 0.5 + (4.1414 * x + 1.3).sin() * 0.5
}

pub const HEAT: HeatFlows = HeatFlows {
    jacket_kw: 624.0,
    engine_cooler_kw: 356.0,
    feed_return_kw: 33.0,
    sea_kw: 557.0,
    distillate_kw: 16.0,
    brine_kw: 49.0,
    vent_kw: 2.0,
};

fn clock() -> Clock {
    Clock::Zones(vec![
        Zone { from_s: MIDNIGHT - 8.0 * DAY, offset_s: 11 * 3600 },
        Zone { from_s: MIDNIGHT - 3.0 * DAY, offset_s: 10 * 3600 },
    ])
}

fn series(span: Span, every_s: f64, value: impl Fn(f64, u32) -> f64) -> Vec<Reading> {
    let count = (span.length_s() / every_s) as u32;
    (0..=count)
        .map(|k| (span.from_s + f64::from(k) * every_s, k))
        .map(|(t, k)| Reading::new(t, value((t - span.from_s) / span.length_s(), k)))
        .collect()
}

fn expected(span: Span, every_s: f64, half: f64, value: impl Fn(f64) -> f64) -> Vec<Expected> {
    let count = (span.length_s() / every_s) as u32;
    (0..=count)
        .map(|k| span.from_s + f64::from(k) * every_s)
        .map(|at_s| (at_s, value((at_s - span.from_s) / span.length_s())))
        .map(|(at_s, middle)| Expected { at_s, middle, band: Some(Band::around(middle, half)) })
        .collect()
}

pub fn day() -> Lanes {
    let span = Span { from_s: NOW - DAY, to_s: NOW };
    let made = Lane {
        name: "Made".into(),
        unit: "t/day".into(),
        decimals: 1,
        readings: series(span, 900.0, |p, k| 21.7 - 0.4 * p + 0.12 * wobble(k)),
        expected: expected(span, 1800.0, 0.6, |p| 23.05 + 0.12 * (5.0 * p).sin()),
        tall: true,
        ..Lane::default()
    };
    let vacuum = Lane {
        name: "Vacuum".into(),
        unit: "%".into(),
        decimals: 1,
        readings: series(span, 900.0, |p, k| 90.55 - 0.12 * p + 0.05 * wobble(k)),
        expected: expected(span, 3600.0, 0.45, |_| 91.3),
        ..Lane::default()
    };
    let salinity = Lane {
        name: "Salinity".into(),
        unit: "µS/cm".into(),
        decimals: 1,
        readings: series(span, 900.0, |p, k| {
            4.8 + 0.25 * wobble(k) + if (p - 0.6).abs() < 0.006 { 12.5 } else { 0.0 }
        }),
        expected: expected(span, 3600.0, 2.0, |_| 6.6),
        limits: vec![Limit { value: 20.0, label: "turns back at 20".into() }],
        remarks: vec![Remark {
            at_s: span.from_s + 0.6 * DAY,
            text: "04:30 sent back, 10 min".into(),
        }],
        ..Lane::default()
    };
    Lanes {
        title: "The last 24 hours: made, vacuum and salinity".into(),
        says: "Made fell while the expected band stayed near 23.".into(),
        span,
        now_s: Some(NOW),
        clock: clock(),
        stopped: Vec::new(),
        lanes: vec![made, vacuum, salinity],
    }
}

pub fn sixty_days() -> Lanes {
    let span = Span { from_s: NOW - 60.0 * DAY, to_s: NOW };
    let stop = Span { from_s: NOW - 31.0 * DAY, to_s: NOW - 27.0 * DAY };
    let running = |r: &Reading| !stop_holds(stop, r.at_s);
    let lane = |name: &str, unit: &str, level: f64, drift: f64, noise: f64| {
        let readings = series(span, 4.0 * HOUR, |p, k| level + drift * p + noise * wobble(k));
        Lane {
            name: name.into(),
            unit: unit.into(),
            decimals: 1,
            readings: readings.into_iter().filter(running).collect(),
            expected: expected(span, 8.0 * HOUR, 3.0 * noise, |p| level + noise * (9.0 * p).sin()),
            ..Lane::default()
        }
    };
    Lanes {
        title: "Sixty days".into(),
        says: String::new(),
        span,
        now_s: Some(NOW),
        clock: clock(),
        stopped: vec![Spell { span: stop, label: "plant stopped".into() }],
        lanes: vec![
            Lane { tall: true, ..lane("Made", "t/day", 23.0, -1.7, 0.25) },
            lane("Vacuum", "%", 91.3, -0.9, 0.1),
            lane("Jacket water out", "°C", 73.0, 0.7, 0.2),
            lane("Sea water out", "°C", 38.0, 1.8, 0.3),
            lane("Engine load", "%", 78.0, 0.0, 2.0),
            lane("Brine strength", "g/kg", 47.0, 0.4, 0.5),
        ],
    }
}

fn stop_holds(stop: Span, at_s: f64) -> bool {
    at_s > stop.from_s && at_s < stop.to_s
}

pub fn corrected() -> Trend {
    let span = Span { from_s: NOW - 5.0 * DAY, to_s: NOW + DAY };
    let past = Span { to_s: NOW, ..span };
    let mut lane = Lane {
        name: "Vacuum".into(),
        unit: "%".into(),
        decimals: 1,
        readings: series(past, 4.0 * HOUR, |p, k| 90.9 - 0.5 * p + 0.08 * wobble(k)),
        expected: expected(span, 4.0 * HOUR, 0.5, |p| 91.3 + 0.2 * (4.0 * p).sin()),
        limits: vec![
            Limit { value: 94.0, label: "not above 94".into() },
            Limit { value: 86.0, label: "not below 86".into() },
        ],
        ..Lane::default()
    };
    lane.readings[8].was = Some(94.4);
    lane.readings[14].value = None;
    lane.readings[15].value = None;
    lane.readings[22].in_doubt = true;
    Trend {
        says: "Vacuum under its band for two days.".into(),
        span,
        now_s: Some(NOW),
        clock: clock(),
        stopped: vec![Spell {
            span: Span { from_s: NOW - 1.9 * DAY, to_s: NOW - 1.6 * DAY },
            label: "plant stopped".into(),
        }],
        lane,
    }
}

pub fn thinned() -> Trend {
    let span = Span { from_s: NOW - 365.0 * DAY, to_s: NOW };
    let day = |k: u32| NOW - 365.0 * DAY + f64::from(k) * DAY;
    let level = |k: u32| 24.0 - 2.5 * f64::from(k % 130) / 130.0;
    Trend {
        says: "Saw-tooth of fouling and cleaning.".into(),
        span,
        now_s: None,
        clock: Clock::fixed(0),
        stopped: Vec::new(),
        lane: Lane {
            name: "Made".into(),
            unit: "t/day".into(),
            decimals: 1,
            readings: (0..=365).map(|k| Reading::new(day(k), level(k) + 0.2 * wobble(k))).collect(),
            envelope: (0..=365)
                .map(|k| Envelope {
                    at_s: day(k),
                    low: level(k) - 0.9 - 0.5 * wobble(3 * k),
                    high: level(k) + 0.8 + 0.4 * wobble(5 * k),
                })
                .collect(),
            ..Lane::default()
        },
    }
}

pub fn bare() -> Lanes {
    let span = Span { from_s: NOW - 6.0 * HOUR, to_s: NOW };
    Lanes {
        title: "Hardly anything read".into(),
        says: String::new(),
        span,
        now_s: Some(NOW),
        clock: clock(),
        stopped: Vec::new(),
        lanes: vec![
            Lane {
                name: "Made".into(),
                unit: "t/day".into(),
                decimals: 1,
                readings: vec![Reading::new(NOW - 2.0 * HOUR, 21.3)],
                ..Lane::default()
            },
            Lane {
                name: "Vacuum".into(),
                unit: "%".into(),
                decimals: 1,
                expected: expected(span, HOUR, 0.5, |_| 91.0),
                ..Lane::default()
            },
            Lane {
                name: "Salinity".into(),
                unit: "µS/cm".into(),
                decimals: 1,
                readings: vec![Reading::new(NOW, f64::NAN)],
                ..Lane::default()
            },
        ],
    }
}

pub fn strips() -> Vec<(LimitStrip, &'static str, Mark, &'static str)> {
    let strip = |name: &str, unit: &str, low, high, expected: (f64, f64), read| LimitStrip {
        name: name.into(),
        unit: unit.into(),
        decimals: 1,
        low,
        high,
        expected: Some(Band { low: expected.0, high: expected.1 }),
        read,
        ..LimitStrip::default()
    };
    vec![
        (
            strip("Salinity to tank", "µS/cm", None, Some(20.0), (4.6, 8.6), Some(4.8)),
            "cell, at 25 °C",
            Mark::Ok,
            "as expected",
        ),
        (
            strip("Vacuum", "%", Some(86.0), Some(94.0), (90.8, 91.8), Some(90.4)),
            "shell gauge",
            Mark::Low,
            "low, inside limits",
        ),
        (
            strip("Vapour", "°C", Some(40.0), Some(55.0), (42.4, 44.0), Some(56.2)),
            "shell top",
            Mark::Past,
            "past its limit",
        ),
        (
            LimitStrip {
                in_doubt: true,
                ..strip("Sea water out", "°C", None, Some(48.0), (37.9, 39.4), Some(41.8))
            },
            "condenser",
            Mark::Doubt,
            "in doubt",
        ),
        (
            strip("Brine strength", "g/kg", None, Some(65.0), (46.3, 49.0), None),
            "refractometer",
            Mark::Missing,
            "not read",
        ),
        (
            strip("Ejector pressure", "bar g", Some(3.0), None, (3.8, 4.1), Some(3.9)),
            "at the nozzle",
            Mark::Ok,
            "as expected",
        ),
    ]
}

fn axis(from: f64, to: f64, cells: u32) -> Vec<f64> {
    (0..=cells).map(|k| from + (to - from) * f64::from(k) / f64::from(cells)).collect()
}

fn made(sea: f64, jacket: f64) -> f64 {
    24.0 + 0.55 * (jacket - 85.0) - 0.42 * (sea - 32.0) - 0.004 * (sea - 20.0).powi(2)
}

pub fn map() -> CapacityMap {
    let grid = Grid::from_fn(axis(14.0, 34.0, 40), axis(66.0, 90.0, 48), |x, y| Some(made(x, y)));
    let past = |f: &dyn Fn(f64, f64) -> f64| -> Vec<Option<f64>> {
        grid.y.iter().flat_map(|y| grid.x.iter().map(|x| Some(f(*x, *y)))).collect()
    };
    let held = vec![
        Held {
            name: "held at 26 t/day, the maker’s maximum".into(),
            past: past(&|x, y| made(x, y) - 26.0),
        },
        Held {
            name: "condenser throttled".into(),
            past: past(&|x, y| 23.0 - x - 0.35 * (y - 66.0) + 0.004 * (y - 66.0).powi(2)),
        },
        Held { name: "engine heat".into(), past: past(&|x, y| y - 0.9 * x - 62.0) },
    ];
    let track = |k: u32| {
        let part = f64::from(k) / 60.0;
        let label = match k {
            0 => "9 Nov",
            18 => "12",
            45 => "20",
            60 => "22",
            _ => "",
        };
        TrackPoint {
            x: 20.4 + 9.4 * (std::f64::consts::PI * part).sin() - 1.2 * part,
            y: 84.1 - 1.9 * part,
            label: label.into(),
        }
    };
    CapacityMap {
        title: "What the plant can make, by sea temperature and jacket water temperature".into(),
        says: "Output rises with jacket temperature and falls with sea temperature.".into(),
        x_label: "sea temperature, °C".into(),
        y_label: "jacket water in, °C".into(),
        unit: "t/day".into(),
        grid: grid.clone(),
        levels: (5..14).map(|k| f64::from(k) * 2.0).collect(),
        held,
        none_label: "no steady running here".into(),
        present: Some(Present {
            x: 29.4,
            y: 83.0,
            label: "now: should make 23.0".into(),
            note: "makes 21.3".into(),
        }),
        track: (0..=60).map(track).collect(),
    }
}

pub fn holed_map() -> CapacityMap {
    let hole = |x: f64, y: f64| 2.2 * (x - 14.0) + (90.0 - y) > 48.0;
    let grid = Grid::from_fn(axis(14.0, 34.0, 40), axis(66.0, 90.0, 48), |x, y| {
        (!hole(x, y)).then(|| made(x, y) + 1.5 * (0.6 * x).sin() * (0.5 * y).cos())
    });
    let past = vec![None; grid.values.len()];
    let held = vec![Held { name: "never known".into(), past }];
    CapacityMap { grid, held, levels: Vec::new(), track: Vec::new(), present: None, ..map() }
}

pub fn fresh_water() -> Vec<Tank> {
    let tank = |name: &str, duty: &str, content_t, capacity_t| Tank {
        name: name.into(),
        duty: duty.into(),
        content_t,
        capacity_t,
    };
    vec![
        tank("Port", "filling", Some(112.0), 160.0),
        tank("Starboard", "serving", Some(46.0), 160.0),
        tank("Drinking", "resting to 16:10", Some(27.0), 40.0),
        tank("Distilled", "full", Some(30.0), 30.0),
        tank("Feed reserve", "not sounded", None, 30.0),
    ]
}

/// The evaporator on its way up.
pub fn running() -> chart::Vessel {
    use chart::Flow::{Full, Slow};
    let gauges = [
        "90.3 %",
        "44.8 °C",
        "46 %",
        "29.4 °C",
        "38.9 °C",
        "81.2 °C",
        "71.4 °C",
        "0.98 kg/s",
        "4.0 bar",
        "0.40 bar",
        "12 mg/kg",
        "11.4 t/day",
    ];
    chart::Vessel {
        openings: [
            100.0, 100.0, 100.0, 85.0, 0.0, 0.0, 0.0, 100.0, 100.0, 0.0, 60.0, 40.0, 100.0, 75.0,
            0.0,
        ],
        pumps: [true; 3],
        gauges: gauges.map(str::to_owned),
        cooling: Full,
        feed: Full,
        jacket: Slow,
        by_pass: Full,
        distillate: Slow,
        motive: Full,
        air: Full,
        brine: Full,
        level: 0.92,
        glass_percent: 46.0,
        boiling: true,
        to_tank: 0.0,
    }
}
