//! Routes as they are read, written and sailed.

#![allow(clippy::unwrap_used, clippy::panic, reason = "helpers of tests may fail like tests")]

mod clock;
mod exchange;
mod hostile;
mod problems;
mod resail;
mod round_trip;
mod schema;
mod times;
mod voyages;

use jiff::Timestamp;
use route::{Reading, Route};

/// An instant as the tests write it.
fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// Reads a text that has nothing wrong with it; notes are let pass.
fn clear(text: &str) -> Route {
    let reading = Reading::of_bytes(text.as_bytes());
    let said: Vec<String> = reading.problems.iter().map(ToString::to_string).collect();
    assert!(reading.is_clear(), "{said:#?}");
    reading.route.unwrap()
}

/// What is said about a text.
fn said(text: &str) -> Vec<String> {
    Reading::of_bytes(text.as_bytes()).problems.iter().map(ToString::to_string).collect()
}
