//! How long it takes to be ready, and to answer.

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use ocean::{Coast, Ground, Position, Sea, Season};

const COAST: &[u8] = include_bytes!("../data/coast.bin");
const DEPTH: &[u8] = include_bytes!("../data/depth.bin");
const SEA_TEMPERATURE: &[u8] = include_bytes!("../data/sea_temperature.bin");
const SALINITY: &[u8] = include_bytes!("../data/salinity.bin");

/// Positions at sea, evenly over the earth: steps of the golden angle.
fn at_sea(sea: &Sea, count: usize) -> Vec<Position> {
    let mut out = Vec::with_capacity(count);
    let mut i = 0.5;
    while out.len() < count {
        let lat = (1.0 - 2.0 * (i * 0.618_033_988_749_f64).fract()).asin().to_degrees();
        let lon = 360.0 * (i * 0.754_877_666_247_f64).fract() - 180.0;
        if let Ok(p) = Position::from_degrees(lat, lon)
            && matches!(sea.ground(p), Ground::Sea(_))
        {
            out.push(p);
        }
        i += 1.0;
    }
    out
}

fn benches(c: &mut Criterion) {
    c.bench_function("ocean/load_coast", |b| b.iter(|| Coast::unpack(black_box(COAST))));
    c.bench_function("ocean/load_sea", |b| {
        b.iter(|| Sea::unpack(black_box(DEPTH), SEA_TEMPERATURE, SALINITY));
    });
    let (Ok(coast), Ok(sea), Ok(july)) = (Coast::embedded(), Sea::embedded(), Season::mid_month(7))
    else {
        return;
    };
    let everywhere = at_sea(sea, 2000);
    let near: Vec<Position> = at_sea(sea, 20_000)
        .into_iter()
        .filter(|p| coast.nearest_land(*p).distance.nmi() < 60.0)
        .take(2000)
        .collect();
    let mut group = c.benchmark_group("ocean");
    for (name, positions) in [("nearest_land_anywhere", &everywhere), ("nearest_land_near", &near)]
    {
        group.throughput(Throughput::Elements(positions.len() as u64));
        group.bench_function(name, |b| {
            b.iter(|| positions.iter().map(|p| coast.nearest_land(*p).distance.m()).sum::<f64>());
        });
    }
    group.throughput(Throughput::Elements(everywhere.len() as u64));
    group.bench_function("fields", |b| {
        b.iter(|| {
            for p in &everywhere {
                let _ = black_box((
                    sea.ground(*p),
                    sea.surface_temperature(*p, july),
                    sea.surface_salinity(*p),
                ));
            }
        });
    });
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
