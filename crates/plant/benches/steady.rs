//! How long the steady solution takes: cold, from a neighbour, trimmed, with its band, and over a map of 10,000 points.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use plant::{Axis, Plant, Point, Sheet, Uncertainty};

fn demonstration() -> Plant {
    Plant::calibrate(&Sheet::default()).unwrap_or_else(|e| unreachable!("{e}"))
}

fn solve(c: &mut Criterion) {
    let plant = demonstration();
    let sheet = Sheet::default();
    c.bench_function("calibrate", |b| b.iter(|| Plant::calibrate(black_box(&sheet))));
    let points = [
        ("rated", Point::default()),
        ("cold sea", Point { sea_temp_c: 15.0, ..Point::default() }),
        (
            "low heat",
            Point {
                jacket_in_c: 70.0,
                jacket_flow_kg_s: 9.72,
                scale_m2k_w: 1e-4,
                ..Point::default()
            },
        ),
        (
            "many faults",
            Point {
                sea_temp_c: 34.0,
                condenser_flow_kg_s: 12.0,
                air_leak_kg_h: 5.0,
                condenser_fouling_m2k_w: 1e-4,
                feed_ratio: Some(2.0),
                ejector_pressure_bar_g: 3.2,
                ..Point::default()
            },
        ),
    ];
    for (name, point) in &points {
        c.bench_function(&format!("free, {name}"), |b| b.iter(|| plant.free(black_box(point))));
    }
    let start = plant.free(&points[1].1).ok().map(|s| (s.shell_pressure_pa, s.vapour_kg_s));
    c.bench_function("free, from a neighbour's pressure and vapour", |b| {
        b.iter(|| {
            plant.free_from(black_box(&Point { sea_temp_c: 15.5, ..Point::default() }), start)
        })
    });
    let trimmed = [
        ("maker's maximum", Point { sea_temp_c: 28.0, jacket_in_c: 88.0, ..Point::default() }),
        ("cold sea", Point { sea_temp_c: 15.0, jacket_in_c: 78.0, ..Point::default() }),
        ("both", Point { sea_temp_c: 10.0, jacket_in_c: 90.0, ..Point::default() }),
        ("engine heat", Point { engine_load: Some(40.0), ..Point::default() }),
    ];
    for (name, point) in &trimmed {
        c.bench_function(&format!("trimmed, {name}"), |b| {
            b.iter(|| plant.trimmed(black_box(point)))
        });
    }
}

fn band(c: &mut Criterion) {
    let plant = demonstration();
    let usual = Uncertainty::usual();
    let point = Point { sea_temp_c: 28.0, trimmed: true, ..Point::default() };
    c.bench_function("band, once", |b| b.iter(|| plant.band(black_box(&point), &usual)));
    if let Ok(banding) = plant.banding(&usual) {
        c.bench_function("band, made ready", |b| b.iter(|| banding.at(black_box(&point))));
    }
}

fn map(c: &mut Criterion) {
    let plant = demonstration();
    let grid = |low: f64, high: f64| -> Vec<f64> {
        (0..100).map(|i| low + (high - low) * f64::from(i) / 99.0).collect()
    };
    let (sea, jacket, load) = (grid(5.0, 35.0), grid(62.0, 92.0), grid(25.0, 100.0));
    let run = |base: &Point, y: Axis, ys: &[f64]| {
        ys.iter()
            .filter_map(|v| plant.map_row(base, (Axis::SeaTemp, &sea), (y, *v)).ok())
            .flatten()
            .filter(Result::is_ok)
            .count()
    };
    let mut group = c.benchmark_group("map of 10,000");
    group.sample_size(10);
    let free = Point::default();
    let trimmed = Point { trimmed: true, ..Point::default() };
    group.bench_function("free, sea by jacket", |b| b.iter(|| run(&free, Axis::JacketIn, &jacket)));
    group.bench_function("trimmed, sea by jacket", |b| {
        b.iter(|| run(&trimmed, Axis::JacketIn, &jacket))
    });
    group.bench_function("trimmed, sea by load", |b| {
        b.iter(|| run(&trimmed, Axis::EngineLoad, &load))
    });
    group.finish();
}

criterion_group!(benches, solve, band, map);
criterion_main!(benches);
