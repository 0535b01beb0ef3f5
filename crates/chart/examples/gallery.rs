//! Every picture on one page, with the pages' stylesheet: `cargo run -p chart --example gallery -- DIR`.

use chart::{
    Band, CapacityMap, Clock, Envelope, Expected, ExpectedRead, Grid, HeatFlows, Held, Ids, Lane,
    Lanes, Limit, LimitStrip, Mark, Present, Reading, Remark, Span, Spell, StripSize, Tank,
    TrackPoint, Trend, WaterFlows, Zone, capacity_map, capacity_map_file, evr, flow_diagram, lanes,
    limit_strip, mark, share_bar, spark, tanks, trend,
};
use std::fmt::Write;
use std::path::PathBuf;

const HOUR: f64 = 3600.0;
const DAY: f64 = 24.0 * HOUR;
/// 16 November 2025, 00:00 UTC.
const MIDNIGHT: f64 = 1_763_251_200.0;
const NOW: f64 = MIDNIGHT + 4.0 * HOUR + 1200.0;
const STYLE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../web/assets/stillwatch.css"));

fn main() -> std::io::Result<()> {
    let dir = PathBuf::from(std::env::args().nth(1).unwrap_or_else(|| String::from(".")));
    std::fs::create_dir_all(&dir)?;
    std::fs::write(dir.join("stillwatch.css"), STYLE)?;
    for palette in ["day", "night"] {
        std::fs::write(dir.join(format!("gallery-{palette}.html")), page(palette))?;
    }
    std::fs::write(dir.join("map.svg"), capacity_map_file(&map()))?;
    println!("wrote the gallery to {}", dir.display());
    Ok(())
}

/// A repeatable wobble between -1 and 1, so that invented readings look read.
fn wobble(k: u32) -> f64 {
    let x = f64::from(k);
    (12.9898 * x).sin() * 0.5 + (4.1414 * x + 1.3).sin() * 0.5
}

fn page(palette: &str) -> String {
    let mut ids = Ids::new("g");
    let mut out = String::new();
    let mut entry = |heading: &str, note: &str, body: &str| {
        let note = if note.is_empty() {
            String::new()
        } else {
            format!("<div class=\"note\"><p>{note}</p></div>")
        };
        let _ = write!(out, "<section class=\"entry\"><h2>{heading}</h2>{note}{body}</section>");
    };
    let figure = |picture: String| format!("<figure>{picture}</figure>");
    entry(
        "The last 24 hours",
        "Pencil: expected. Ink: read. Red: now.",
        &figure(lanes(&mut ids, &day())),
    );
    entry(
        "Sixty days",
        "Every watch of the passage so far.",
        &figure(lanes(&mut ids, &sixty_days())),
    );
    entry(
        "Made, with a correction",
        "A correction stands beside the old figure.",
        &figure(trend(&mut ids, &corrected())),
    );
    entry(
        "A year, thinned",
        "Grey: least and most of each day.",
        &figure(trend(&mut ids, &thinned())),
    );
    entry("Little or nothing read", "", &figure(lanes(&mut ids, &bare())));
    entry("How near the limits", "Gates are limits; hatched lies past them.", &rows(&mut ids));
    entry("The evidence", "", &evidence(&mut ids));
    entry("Entry", "Last watch, expected, read, and whether it fits.", &fields(&mut ids));
    entry("The capacity map", "", &figure(capacity_map(&mut ids, &map())));
    entry(
        "The same with a field that has holes",
        "",
        &figure(capacity_map(&mut ids, &holed_map())),
    );
    let water =
        WaterFlows { feed_t_h: 3.49, distillate_t_h: 0.89, brine_t_h: 2.6, brine_g_kg: Some(46.4) };
    let flows = flow_diagram(&mut ids, &HEAT, &water);
    entry("Where the heat and the water go", "Heat counted from sea temperature.", &figure(flows));
    let small = HeatFlows {
        jacket_kw: 90.0,
        engine_cooler_kw: 820.0,
        feed_return_kw: 6.0,
        sea_kw: 74.0,
        distillate_kw: 0.4,
        brine_kw: 8.0,
        vent_kw: 1.0,
    };
    let trickle =
        WaterFlows { feed_t_h: 3.4, distillate_t_h: 0.01, brine_t_h: 3.2, brine_g_kg: None };
    entry("Hardly running, and not closing", "", &figure(flow_diagram(&mut ids, &small, &trickle)));
    entry("185 tonnes aboard", "Soundings 08:00.", &figure(tanks(&mut ids, &fresh_water())));
    entry("In a table", "", &table(&mut ids));
    let marks: String = Mark::ALL
        .iter()
        .map(|m| format!("<p><span class=\"state\">{} {m:?}</span></p>", mark(*m)))
        .collect();
    entry("Marks", "", &marks);
    format!(
        "<!doctype html><html lang=\"en\" data-palette=\"{palette}\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\
         <title>Gallery</title><link rel=\"stylesheet\" href=\"stillwatch.css\"></head><body>\
         <header class=\"heading\"><p class=\"vessel\">Marram</p></header>\
         <main class=\"sheet\"><section class=\"entry\" id=\"answer\"><h1 class=\"question\">Do the pictures read?</h1>\
         <p class=\"says\">Making <b class=\"fig\">21.3<small>t/day</small></b>, 1.7 less than this sea and this engine should give.</p>\
         <p class=\"acts\"><a class=\"act first\" href=\"#answer\">Enter the 16:00 readings</a><a class=\"act\" href=\"#answer\">Why 1.7 less</a></p></section>\
         {out}</main></body></html>"
    )
}

const HEAT: HeatFlows = HeatFlows {
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

fn day() -> Lanes {
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

fn sixty_days() -> Lanes {
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

fn corrected() -> Trend {
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

fn thinned() -> Trend {
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

fn bare() -> Lanes {
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

fn strips() -> Vec<(LimitStrip, &'static str, Mark, &'static str)> {
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

fn rows(ids: &mut Ids) -> String {
    let row = |(strip, place, state, word): (LimitStrip, &str, Mark, &str)| {
        let read = strip.read.map_or_else(|| String::from("–"), |v| format!("{v:.1}"));
        let picture = limit_strip(ids, &strip, StripSize::Row);
        format!(
            "<div class=\"row\"><p class=\"name\">{}<small>{place}</small></p><p class=\"read\">{read}<small> {}</small></p>\
             <div class=\"strip\">{picture}</div><p class=\"word\"><span class=\"state\">{} {word}</span></p></div>",
            strip.name,
            strip.unit,
            mark(state)
        )
    };
    format!("<div class=\"rows\">{}</div>", strips().into_iter().map(row).collect::<String>())
}

fn evidence(ids: &mut Ids) -> String {
    let mut out = String::from("<div class=\"rows\">");
    let rows = [
        ("Made", "t/day", 23.0, 0.6, Some(21.3), false),
        ("Sea water out", "°C", 38.7, 0.7, Some(39.8), true),
        ("Jacket water out", "°C", 73.1, 0.7, Some(73.7), false),
        ("Vacuum", "%", 91.3, 0.1, Some(90.2), false),
        ("Salinity", "µS/cm", 6.6, 2.0, None, false),
    ];
    for (name, unit, expected, half_band, read, in_doubt) in rows {
        let row = ExpectedRead {
            name: name.into(),
            unit: unit.into(),
            decimals: 1,
            expected,
            half_band,
            read,
            in_doubt,
        };
        let figure = read.map_or_else(|| String::from("–"), |v| format!("{v:.1}"));
        let _ = write!(
            out,
            "<div class=\"row\"><p class=\"name\">{name}<small>expected {expected:.1}</small></p><p class=\"read\">{figure}<small> {unit}</small></p>\
             <div class=\"strip\">{}</div><p class=\"word\"></p></div>",
            evr(ids, &row)
        );
    }
    let share = share_bar(ids, "Share of the lost output", 0.88);
    let _ = write!(
        out,
        "<div class=\"row\"><p class=\"name\">Share</p><p class=\"read\">1.5</p><div class=\"strip\">{share}</div><p class=\"word\"></p></div></div>"
    );
    out
}

fn fields(ids: &mut Ids) -> String {
    let mut out = String::from("<div class=\"fields\">");
    for (k, (strip, place, state, word)) in strips().into_iter().enumerate() {
        let value = strip.read.map_or_else(String::new, |v| format!("{v:.1}"));
        let class = match state {
            Mark::Doubt => " asks-you",
            Mark::Missing => " unread",
            _ => "",
        };
        let expect = strip
            .expected
            .map_or_else(String::new, |b| format!("expect {:.1} to {:.1}", b.low, b.high));
        let words = if state == Mark::Doubt {
            format!(
                "<div class=\"word\"><p><span class=\"state\">{}</span> <b>does not fit</b> 1.9 °C above what the heat balance leaves room for.</p>\
                 <p class=\"choices\"><button type=\"button\">Read again, same</button><button type=\"button\">Second thermometer</button><button type=\"button\">Keep, with a remark</button></p></div>",
                mark(state)
            )
        } else {
            format!("<p class=\"word\"><span class=\"state\">{} {word}</span></p>", mark(state))
        };
        let _ = write!(
            out,
            "<div class=\"field{class}\"><label for=\"f{k}\">{}<small>{place}</small></label><p class=\"was\">12:00 <b>{value}</b><br>{expect}</p>\
             <p class=\"box\"><button class=\"step\" type=\"button\">−</button><input id=\"f{k}\" inputmode=\"decimal\" value=\"{value}\"><button class=\"step\" type=\"button\">+</button><span class=\"unit\">{}</span></p>\
             <div class=\"strip\">{}</div>{words}</div>",
            strip.name,
            strip.unit,
            limit_strip(ids, &strip, StripSize::Field)
        );
    }
    out.push_str("</div>");
    out
}

fn axis(from: f64, to: f64, cells: u32) -> Vec<f64> {
    (0..=cells).map(|k| from + (to - from) * f64::from(k) / f64::from(cells)).collect()
}

/// An invented field with the shape of a capacity map.
fn made(sea: f64, jacket: f64) -> f64 {
    24.0 + 0.55 * (jacket - 85.0) - 0.42 * (sea - 32.0) - 0.004 * (sea - 20.0).powi(2)
}

fn map() -> CapacityMap {
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

fn holed_map() -> CapacityMap {
    let hole = |x: f64, y: f64| 2.2 * (x - 14.0) + (90.0 - y) > 48.0;
    let grid = Grid::from_fn(axis(14.0, 34.0, 40), axis(66.0, 90.0, 48), |x, y| {
        (!hole(x, y)).then(|| made(x, y) + 1.5 * (0.6 * x).sin() * (0.5 * y).cos())
    });
    let past = vec![None; grid.values.len()];
    let held = vec![Held { name: "never known".into(), past }];
    CapacityMap { grid, held, levels: Vec::new(), track: Vec::new(), present: None, ..map() }
}

fn fresh_water() -> Vec<Tank> {
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

fn table(ids: &mut Ids) -> String {
    let picture = day();
    let mut out = String::from(
        "<div class=\"wide-table\"><table><thead><tr><th>What</th><th>Last day</th><th class=\"n\">Now</th></tr></thead><tbody>",
    );
    for lane in &picture.lanes {
        let line = spark(ids, lane, picture.span, &picture.clock);
        let last = lane.readings.last().and_then(|r| r.value).unwrap_or_default();
        let _ = write!(
            out,
            "<tr><th>{}</th><td>{line}</td><td class=\"n\">{last:.1} <small>{}</small></td></tr>",
            lane.name, lane.unit
        );
    }
    out.push_str("</tbody></table></div>");
    out
}
