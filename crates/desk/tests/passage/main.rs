//! The demonstration ship's passage: planned again when a tank is sounded, quoted, held against what came.

#![allow(clippy::expect_used, reason = "a test's helpers may fail it")]

mod orders;
mod route;
mod stock;

use desk::{Desk, demo};
use jiff::Timestamp;

fn now() -> Timestamp {
    "2025-11-16T04:20:00Z".parse().expect("a moment")
}

fn aboard() -> (tempfile::TempDir, Desk) {
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    (folder, desk)
}

/// Five holds rinsed with so much each, no less and none for sale: more than she can carry there.
fn far_too_much_rinsing(desk: &Desk) {
    let kept = desk.events_text().expect("read").expect("events");
    let draws = kept.split("[[for_sale]]").next().expect("draws");
    let lines = draws.lines().filter(|line| !line.starts_with("less_price_t"));
    let text: Vec<String> = lines.map(|line| line.replace("t = 30", "t = 72")).collect();
    desk.save_events(&text.join("\n"), "ce", now()).expect("kept");
}
