//! What a picture says in words carries its numbers; what it shows can be told apart by class.

use crate::sound::sound;
use chart::{
    Band, Clock, Expected, ExpectedRead, Ids, Lane, Limit, LimitStrip, Mark, PassageStrip, Reading,
    Remark, Span, Spell, StripLane, StripPoint, StripSize, Tank, Trend, evr, limit_strip, mark,
    passage_strip, tanks, trend,
};
use std::collections::HashSet;

const HOUR: f64 = 3600.0;

fn vacuum(readings: Vec<Reading>) -> Trend {
    let span = Span { from_s: 0.0, to_s: 24.0 * HOUR };
    let expected = |at_s| Expected { at_s, middle: 91.3, band: Some(Band::around(91.3, 0.5)) };
    Trend {
        says: "Under its band.".into(),
        span,
        now_s: Some(20.0 * HOUR),
        clock: Clock::fixed(10 * 3600),
        stopped: Vec::new(),
        lane: Lane {
            name: "Vacuum".into(),
            unit: "%".into(),
            decimals: 1,
            readings,
            expected: vec![expected(0.0), expected(24.0 * HOUR)],
            limits: vec![Limit { value: 94.0, label: "not above 94".into() }],
            ..Lane::default()
        },
    }
}

#[test]
fn a_trend_says_its_numbers() {
    let at = |h: f64, v: f64| Reading::new(h * HOUR, v);
    let mut readings = vec![at(0.0, 90.9), at(4.0, 90.2), at(8.0, 90.4)];
    readings[1].was = Some(94.2);
    readings[2].in_doubt = true;
    let says = sound(&trend(&mut Ids::new("p"), &vacuum(readings)));
    assert_eq!(
        says[0],
        "Under its band. From 1 Jan 10:00 to 2 Jan 10:00 ship's time. Vacuum: 3 readings from 90.2 \
         to 90.9, the last 90.4\u{a0}% at 1 Jan 18:00; expected 90.8 to 91.8\u{a0}%; limit 94.0: not \
         above 94; 1 corrected; 1 in doubt."
    );
}

/// Number of separate strokes in the readings' line.
fn strokes(page: &str) -> usize {
    let wide = &page[..page.find("</svg>").unwrap()];
    let line = wide.split("class=\"ink\" d=\"").nth(1).unwrap_or_default();
    line.split('"').next().unwrap_or_default().matches('M').count()
}

#[test]
fn gaps_are_not_bridged() {
    let at = |h: f64| Reading::new(h * HOUR, 90.0 + h / 100.0);
    let even: Vec<Reading> = (0..6).map(|k| at(f64::from(k) * 4.0)).collect();
    let page = |p: &Trend| trend(&mut Ids::new("p"), p);
    assert_eq!(strokes(&page(&vacuum(even.clone()))), 1);

    let mut unread = even.clone();
    unread[2].value = None;
    assert_eq!(strokes(&page(&vacuum(unread))), 2);

    let hourly: Vec<Reading> =
        (0..24).filter(|k| !(8..16).contains(k)).map(|k| at(f64::from(k))).collect();
    assert_eq!(strokes(&page(&vacuum(hourly))), 2);

    let mut stopped = vacuum(even);
    let span = Span { from_s: 9.0 * HOUR, to_s: 11.0 * HOUR };
    stopped.stopped = vec![Spell { span, label: "plant stopped".into() }];
    let page = page(&stopped);
    assert_eq!(strokes(&page), 2);
    assert!(page.contains(">plant stopped<") && page.contains("class=\"hatch\""));
}

#[test]
fn a_lone_reading_is_a_point_and_none_is_said() {
    let one = trend(&mut Ids::new("p"), &vacuum(vec![Reading::new(HOUR, 90.1)]));
    assert!(one.contains("class=\"dots\"") && sound(&one)[0].contains("one reading, 90.1"));
    let none = trend(&mut Ids::new("p"), &vacuum(vec![Reading::new(HOUR, f64::NAN)]));
    assert!(none.contains(">no reading<") && sound(&none)[0].contains("Vacuum: no reading"));
}

#[test]
fn rows_say_their_numbers() {
    let strip = LimitStrip {
        name: "vacuum".into(),
        unit: "%".into(),
        decimals: 1,
        low: Some(86.0),
        high: Some(94.0),
        expected: Some(Band { low: 90.8, high: 91.8 }),
        read: Some(90.4),
        ..LimitStrip::default()
    };
    let says = sound(&limit_strip(&mut Ids::new("p"), &strip, StripSize::Row));
    assert_eq!(says[0], "Reads 90.4\u{a0}%, expected 90.8 to 91.8, low limit 86, high limit 94.");
    let row = ExpectedRead {
        name: "Made".into(),
        unit: "t/day".into(),
        decimals: 1,
        expected: 23.0,
        half_band: 0.6,
        read: Some(21.8),
        in_doubt: false,
    };
    let says = sound(&evr(&mut Ids::new("p"), &row));
    assert_eq!(says[0], "Read 21.8\u{a0}t/day, expected 23.0 ± 0.6: 2.0 half bands below.");
    let tank = Tank {
        name: "Port".into(),
        duty: "filling".into(),
        content_t: Some(112.0),
        capacity_t: 160.0,
    };
    assert_eq!(sound(&tanks(&mut Ids::new("p"), &[tank]))[0], "Port: 112 of 160\u{a0}t, filling.");
}

#[test]
fn marks_differ_in_shape_and_stay_silent() {
    let drawn: HashSet<String> = Mark::ALL.into_iter().map(mark).collect();
    assert_eq!(drawn.len(), Mark::ALL.len());
    assert!(drawn.iter().all(|m| m.contains("aria-hidden=\"true\"") && !m.contains("fill=\"")));
}

/// Four days of stock, arrival after the second.
fn passage(told: Option<Remark>) -> PassageStrip {
    let day = 24.0 * HOUR;
    let point = |d: f64, t: f64| StripPoint::banded(d * day, t, t - 5.0, t + 5.0);
    let aboard = StripLane {
        name: "Aboard".into(),
        unit: "t".into(),
        points: vec![point(0.0, 90.0), point(2.0, 76.0), point(4.0, 62.0)],
        tall: true,
        told,
        ..StripLane::default()
    };
    PassageStrip {
        title: "The passage".into(),
        says: String::new(),
        span: Span { from_s: 0.0, to_s: 4.0 * day },
        now_s: None,
        clock: Clock::fixed(0),
        forbidden: Vec::new(),
        making: vec![Span { from_s: 0.0, to_s: day }],
        events: Vec::new(),
        lanes: vec![aboard],
    }
}

#[test]
fn a_passage_tells_the_figures_of_the_moment_it_is_asked_for() {
    let page = |told| passage_strip(&mut Ids::new("p"), &passage(told));
    let end = page(None);
    assert!(sound(&end)[0].contains("at the end 62, eight in ten 57 to 67"), "{}", sound(&end)[0]);
    assert!(end.contains(">62</text>") && !end.contains(">76</text>"));
    let arrival = Remark { at_s: 47.0 * HOUR, text: "on arrival".into() };
    let page = page(Some(arrival));
    let says = &sound(&page)[0];
    assert!(says.contains("on arrival 76, eight in ten 71 to 81"), "{says}");
    assert!(says.contains("Water is made 1 Jan 00:00 to 2 Jan 00:00."), "{says}");
    assert!(page.contains(">76</text>") && page.contains(">on arrival</text>"));
    assert!(!page.contains(">62</text>"));
}

#[test]
fn ident_what_was_read_of_a_standing_plant_is_cut_off_at_the_edge_and_said() {
    let all = |values: &[f64]| {
        let moments = values.iter().enumerate();
        moments
            .map(|(i, value)| Reading {
                at_s: i as f64 * 4.0 * HOUR,
                value: Some(*value),
                was: None,
                in_doubt: false,
            })
            .collect::<Vec<_>>()
    };
    let mut picture = vacuum(all(&[90.0, 90.5, 0.0, 91.0]));
    let squashed = trend(&mut Ids::new("a"), &picture);
    assert!(!squashed.contains("off the scale"), "nobody said that it stood");
    picture.stopped = vec![Spell {
        span: Span { from_s: 7.0 * HOUR, to_s: 11.0 * HOUR },
        label: "shut down".into(),
    }];
    let drawn = trend(&mut Ids::new("a"), &picture);
    assert!(drawn.contains("1 of the time it stood off the scale, drawn at its edge"), "{drawn}");
    // Its figure stands beside it, and the scale no longer begins at nothing.
    assert!(squashed.contains(">0<") || squashed.contains(">0.0<"), "{squashed}");
    assert!(drawn.contains(">0.0<"), "{drawn}");
    assert!(drawn.matches(">90").count() > squashed.matches(">90").count(), "{drawn}");
    // Of nothing but a stand the scale is that of the stand.
    picture.lane.readings = all(&[0.0, 0.0, 0.0]);
    picture.stopped[0].span = Span { from_s: -1.0, to_s: 24.0 * HOUR };
    assert!(!trend(&mut Ids::new("a"), &picture).contains("off the scale"));
}
