//! Procedures over a ship's folder: what every test of them begins with.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test ends where its helper fails"
)]

mod again;
mod asked;
mod beside;
mod emergency;
mod going;
mod later;
mod order;
mod plant;
mod reading;
mod shut;
mod steps;
mod text;
mod told;
mod undone;

use std::path::Path;

use desk::Desk;
use desk::procedures::{Afterwards, Doing, More, Outcome, StepError, TypedReading, What};
use jiff::{SignedDuration, Timestamp};

fn minute(k: i64) -> Timestamp {
    let first: Timestamp = "2026-11-16T04:00:00Z".parse().expect("a moment");
    first.checked_add(SignedDuration::from_mins(k)).expect("a moment")
}

/// A ship whose set point and feed mark are told.
fn aboard(folder: &Path) -> Desk {
    let desk = Desk::open(folder, minute(-600)).expect("a desk");
    let mut ship = desk.setup().ship.clone();
    ship.settings.engine_jacket_out_c = 83.0;
    ship.settings.feed_pressure_bar_g = 2.4;
    desk.save_ship(&desk::ship::write(&ship), "ce", minute(-500)).expect("kept");
    desk
}

fn typed(readings: &[(&str, &str)]) -> Vec<TypedReading> {
    let of = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned(), String::new());
    readings.iter().map(of).collect()
}

fn act(
    desk: &Desk,
    (run, step, at): (u64, &str, i64),
    readings: &[(&str, &str)],
    what: What<'_>,
) -> Result<Outcome, StepError> {
    let readings = typed(readings);
    let doing = Doing {
        run,
        step,
        by: "2e",
        at: Some(minute(at)),
        readings: &readings,
        what,
        more: More::default(),
        token: "",
    };
    desk.do_step(&doing, minute(at))
}

fn tick(desk: &Desk, at: (u64, &str, i64), readings: &[(&str, &str)]) -> Outcome {
    act(desk, at, readings, What::Tick { looked: true }).expect(at.1)
}

fn afterwards(steps: &[(&str, i64)]) -> Vec<Afterwards> {
    let of = |(step, at): &(&str, i64)| {
        let (note, second) = (String::new(), String::new());
        Afterwards { step: (*step).to_owned(), at: minute(*at), note, second }
    };
    steps.iter().map(of).collect()
}

fn written() -> Outcome {
    Outcome::Written { warned: Vec::new() }
}

fn told(e: &StepError) -> String {
    match e {
        StepError::Desk(e) => e.to_string(),
        StepError::Typed(faults) => format!("{faults:?}"),
        StepError::Doubtful(doubts) => format!("{doubts:?}"),
    }
}

fn refused(outcome: Result<Outcome, StepError>) -> String {
    told(&outcome.expect_err("refused"))
}

/// A start up to the ejector pump, which is the fifth step.
fn to_the_pump(desk: &Desk) -> u64 {
    let run = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    for at in [0, 31] {
        let steady = [("engine_load_percent", "72"), ("engine_jacket_out_c", "83.2")];
        act(desk, (run, "permission", at), &steady, What::Read).expect("read");
    }
    assert_eq!(tick(desk, (run, "permission", 32), &[]), written());
    for (step, at) in [("line-up", 37), ("overboard", 38), ("cooling", 39)] {
        assert_eq!(tick(desk, (run, step, at), &[]), written());
    }
    run
}

fn whole_round(desk: &Desk, at: i64, meter_m3: f64) {
    let meter = meter_m3.to_string();
    let readings = [
        ("engine_load_percent", "72"),
        ("engine_jacket_out_c", "83"),
        ("jacket_in_c", "82"),
        ("barometer_hpa", "1012"),
        ("sea_temp_c", "26"),
        ("vapour_temp_c", "46"),
        ("distillate_meter_m3", meter.as_str()),
    ];
    let ship = &desk.setup().ship;
    let value = |(key, text): (&str, &str)| {
        let style = quantity::Style::Either;
        desk::written::written(ship, key, text, "", style).expect("a figure").value
    };
    let values = readings.into_iter().map(value).collect();
    let draft = logbook::Draft::reading(minute(at), logbook::Author::hand("3e"), values);
    desk.write(draft, minute(at)).expect("written");
}
