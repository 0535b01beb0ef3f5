//! Any text as a ship's file with her plant sheet.
#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../../crates/desk/tests/sound/ship.rs"]
mod sound;

fuzz_target!(|text: &str| sound::text(text));
