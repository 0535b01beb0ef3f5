//! Any figures for the plant sheet and the operating point: no panic, nothing that is not a number, every balance met.
#![no_main]

use libfuzzer_sys::fuzz_target;
use plant::{Plant, Point, Sheet, Value, keys};

#[path = "../../crates/plant/tests/sound/mod.rs"]
mod sound;

/// A figure takes its key's place in the tables, one byte, and a double, eight.
const FIGURE: usize = 9;

fuzz_target!(|bytes: &[u8]| {
    let Some((first, rest)) = bytes.split_first() else { return };
    let mut sheet = Sheet::default();
    let mut figures = Vec::new();
    for figure in rest.chunks_exact(FIGURE) {
        let (place, double) = (usize::from(figure[0]), &figure[1..]);
        let Ok(double) = double.try_into().map(f64::from_le_bytes) else { continue };
        match keys::SHEET.get(place) {
            Some(key) => {
                // What cannot be taken leaves the sheet as it was.
                let _ = sheet.set(key.key, &Value::Number(double));
            }
            None => figures.push((place - keys::SHEET.len(), double)),
        }
    }
    sound::sheet(&sheet);
    let Ok(plant) = Plant::calibrate(&sheet) else { return };
    let mut point = Point { trimmed: first & 1 == 1, ..Point::rated(&sheet) };
    if first & 2 == 2 {
        let _ = point.set("heat_short", &"sag".into());
    }
    for (place, double) in figures {
        if let Some(key) = keys::POINT.get(place) {
            let _ = point.set(key.key, &Value::Number(double));
        }
    }
    sound::point(&plant, &point);
});
