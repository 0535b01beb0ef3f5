//! Findings of a ship's own record: a module for each thing they are made from or say.

#![allow(clippy::expect_used, reason = "a test's helpers may fail it")]
#![allow(clippy::panic, reason = "a test ends where its helper fails")]

mod causes;
mod checks;
mod cleanings;
mod closings;
mod fresh;
mod kept;
mod rounds;
mod settings;

use desk::findings::FindingsView;
use desk::{Desk, demo};
use jiff::{Timestamp, ToSpan};
use logbook::{Author, Draft, Value};

fn now() -> Timestamp {
    "2025-11-16T04:20:00Z".parse().expect("moment")
}

fn marram(folder: &std::path::Path) -> Desk {
    demo::open(folder, now(), 1789).expect("demonstration")
}

fn chance(view: &FindingsView, key: &str) -> f64 {
    view.finding
        .finding()
        .causes
        .iter()
        .find(|j| j.cause.key() == key)
        .map_or(0.0, |j| j.p_over_limit)
}

/// A round of a running plant with these figures, an hour after the last of the demonstration.
fn short_round(desk: &Desk, figures: &[(&'static str, &'static str, f64, f64)]) -> Timestamp {
    let at = now().checked_add(1.hours()).expect("moment");
    let values = figures
        .iter()
        .map(|(name, unit, text, si)| Value::number(*name, text.to_string(), *unit, *si))
        .collect();
    desk.write(Draft::reading(at, Author::hand("3e"), values), at).expect("written");
    at
}

/// A round like the last one, read so many hours after it, with some figures changed; the counter goes on at a rate, t/day.
fn round_after(desk: &Desk, hours: i64, changed: &[(&str, f64)], made_t_day: f64) -> Timestamp {
    let rounds = desk.rounds(now(), 14).expect("rounds");
    let last = rounds.iter().rev().find(|r| r.running() && r.counts()).expect("ran");
    let at = last.at.checked_add(hours.hours()).expect("moment");
    let counter = "distillate_meter_m3";
    let counted = made_t_day / 24.0 * hours as f64 / 0.992;
    let values: Vec<Value> = last
        .cells
        .iter()
        .filter_map(|(key, cell)| {
            let old = cell.value?;
            let new = match changed.iter().find(|(name, _)| name == key) {
                Some((_, value)) => *value,
                None if key == counter => old + counted,
                None => old,
            };
            let reading = desk::field::reading(key)?;
            let si = desk::typed::to_si(reading, new);
            Some(Value::number(key, format!("{new:.1}"), reading.unit, si))
        })
        .collect();
    desk.write(Draft::reading(at, Author::hand("3e"), values), at).expect("written");
    at
}
