//! scratch
use plant::*;
use std::sync::atomic::Ordering::Relaxed;
fn main() {
    let plant = Plant::calibrate(&Sheet::default()).unwrap();
    let grid = |low: f64, high: f64| -> Vec<f64> {
        (0..100).map(|i| low + (high - low) * f64::from(i) / 99.0).collect()
    };
    let (sea, jacket, load) = (grid(5.0, 35.0), grid(62.0, 92.0), grid(25.0, 100.0));
    for (name, base, y, ys) in [
        ("free", Point::default(), Axis::JacketIn, &jacket),
        ("trim", Point { trimmed: true, ..Point::default() }, Axis::JacketIn, &jacket),
        ("load", Point { trimmed: true, ..Point::default() }, Axis::EngineLoad, &load),
    ] {
        let n0 = trim::NESTED.load(Relaxed);
        let t = std::time::Instant::now();
        let mut ev = 0u64;
        let mut br = 0;
        let mut bad = 0;
        let mut moved = [0; 4];
        for v in ys.iter() {
            for c in plant.map_row(&base, (Axis::SeaTemp, &sea), (y, *v)).unwrap() {
                match c {
                    Ok(s) => {
                        ev += s.effort.evaluations as u64;
                        br += s.effort.bracketed as u32;
                        moved[s.trims.len()] += 1;
                    }
                    Err(_) => bad += 1,
                }
            }
        }
        println!(
            "{name}: {:.1} ms, evals {}, bracketed {br}, bad {bad}, nested {}, trims {moved:?}",
            t.elapsed().as_secs_f64() * 1e3,
            ev as f64 / 1e4,
            trim::NESTED.load(Relaxed) - n0
        );
    }
}
