//! How long the plant in motion takes: a two-hour cold start, a minute of practice, a mark and going back to it.

use std::hint::black_box;
use std::sync::Arc;

use criterion::{Criterion, criterion_group, criterion_main};
use plant::{Plant, Sheet};
use transient::{Begin, Model, Parameters, Run, Scenario};

const COLD_START: &str = include_str!("../../../validation/transient/reference_cold_start.json");

fn motion(c: &mut Criterion) {
    let plant = Plant::calibrate(&Sheet::default()).unwrap_or_else(|e| unreachable!("{e}"));
    let model = Arc::new(Model::new(plant, Parameters::default()));
    let scenario = Scenario::read(&model, COLD_START, None).unwrap_or_else(|e| unreachable!("{e}"));
    let end = |mut run: Run| {
        let until = scenario.until_s;
        let _ = run.advance(until);
        run
    };
    c.bench_function("two-hour cold start", |b| b.iter(|| end(black_box(&scenario).start(&model))));
    c.bench_function("two-hour cold start, tolerance 1e-4", |b| {
        b.iter(|| end(black_box(&scenario).start_to(&model, 1.0e-4)))
    });
    let mut settled = Run::new(Arc::clone(&model), Begin::Running);
    let _ = settled.advance(3600.0);
    c.bench_function("a minute of a running plant, from a mark", |b| {
        b.iter(|| {
            let mut run = black_box(&settled).clone();
            let _ = run.advance(3660.0);
            run
        })
    });
}

criterion_group!(benches, motion);
criterion_main!(benches);
