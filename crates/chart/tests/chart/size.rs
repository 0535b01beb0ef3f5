//! Pictures stay small however long the record is.

use chart::{
    Band, CapacityMap, Clock, Expected, Grid, Ids, Lane, Lanes, Reading, Span, capacity_map, lanes,
};

const DAY: f64 = 86_400.0;

/// A noisy but repeatable value.
fn noise(k: u32) -> f64 {
    (f64::from(k) * 12.9898).sin() * 0.5 + (f64::from(k) * 4.1414).sin() * 0.5
}

fn record(days: f64, every_s: f64, count: usize) -> Lanes {
    let span = Span { from_s: 0.0, to_s: days * DAY };
    let steps = (span.length_s() / every_s) as u32;
    let lane = |name: usize| Lane {
        name: format!("Quantity {name}"),
        unit: "t/day".into(),
        decimals: 1,
        readings: (0..=steps)
            .map(|k| Reading::new(f64::from(k) * every_s, 20.0 + noise(k + name as u32)))
            .collect(),
        expected: (0..=steps)
            .map(|k| (f64::from(k) * every_s, 21.0 + (f64::from(k) * 0.01).sin()))
            .map(|(at_s, middle)| Expected { at_s, middle, band: Some(Band::around(middle, 0.6)) })
            .collect(),
        ..Lane::default()
    };
    Lanes {
        title: "A long record".into(),
        says: String::new(),
        span,
        now_s: Some(span.to_s),
        clock: Clock::fixed(0),
        stopped: Vec::new(),
        lanes: (0..count).map(lane).collect(),
    }
}

#[test]
fn six_noisy_lanes_stay_under_25_kb_a_drawing() {
    // A day every minute, sixty days every watch, and a year every hour, on six lanes.
    for (days, every_s) in [(1.0, 60.0), (60.0, 4.0 * 3600.0), (365.0, 3600.0)] {
        let pair = lanes(&mut Ids::new("p"), &record(days, every_s, 6));
        let (wide, narrow) = pair.split_at(pair.find("</svg>").unwrap() + 6);
        let sizes = (wide.len(), narrow.len());
        assert!(
            sizes.0 <= 25_000 && sizes.1 <= 15_000,
            "{days} days every {every_s} s: {sizes:?} bytes"
        );
    }
}

#[test]
fn a_noisy_day_on_three_lanes_stays_under_25_kb() {
    let pair = lanes(&mut Ids::new("p"), &record(1.0, 60.0, 3));
    assert!(pair.len() <= 25_000, "{} bytes", pair.len());
}

#[test]
fn a_capacity_map_stays_under_20_kb() {
    let axis =
        |from: f64, to: f64| (0..=100).map(move |k| from + (to - from) * f64::from(k) / 100.0);
    let (x, y) = (axis(14.0, 34.0).collect(), axis(66.0, 90.0).collect());
    let grid = Grid::from_fn(x, y, |x, y| {
        Some(24.0 + 0.55 * (y - 85.0) - 0.42 * (x - 32.0) + (0.5 * x).sin())
    });
    let map = CapacityMap {
        title: "Output".into(),
        says: String::new(),
        x_label: "sea temperature, °C".into(),
        y_label: "jacket water in, °C".into(),
        unit: "t/day".into(),
        grid,
        levels: Vec::new(),
        held: Vec::new(),
        none_label: String::new(),
        present: None,
        track: Vec::new(),
    };
    let pair = capacity_map(&mut Ids::new("p"), &map);
    assert!(pair.len() <= 20_000, "{} bytes", pair.len());
}
