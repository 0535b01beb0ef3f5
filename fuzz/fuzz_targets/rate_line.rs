//! Any bytes as a line of `stillwatch rate`.
#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../../crates/desk/tests/sound/line.rs"]
mod sound;

fuzz_target!(|bytes: &[u8]| {
    if !bytes.contains(&b'\n') {
        sound::line(bytes);
    }
});
