//! Each property beside the general-purpose library that offers the nearest thing, in one run.
//!
//! `ours` and `ours, with derivative` are this crate over `f64` and over dual numbers; `seuif97` is told the
//! region, its fastest path; `gsw` (TEOS-10) has no evaporator range: its density ends at 42 g/kg, so it is
//! timed where it does speak. Run with `cargo bench -p water`.

use criterion::{Criterion, criterion_group, criterion_main};
use num_dual::Dual64;
use seuif97::{OCP, OD, OH, OP, OT, pt, px, tx};
use std::hint::black_box;
use water::{gas, liquid, practical_salinity, saturation, seawater, steam};

/// One group: ours over `f64` and over dual numbers, and the other library's.
macro_rules! beside {
    ($c:ident, $name:literal, $law:path, ($x:expr, $y:expr), $other:literal, |$a:ident, $b:ident| $theirs:expr) => {
        let mut group = $c.benchmark_group($name);
        let dual = (Dual64::from($x).derivative(), Dual64::from($y));
        group.bench_function("ours", |b| b.iter(|| $law(black_box($x), black_box($y))));
        group.bench_function("ours, with derivative", |b| {
            b.iter(|| $law(black_box(dual.0), black_box(dual.1)))
        });
        group.bench_function($other, |b| {
            b.iter(|| {
                let ($a, $b) = (black_box($x), black_box($y));
                $theirs
            })
        });
        group.finish();
    };
}

fn steam_and_water(c: &mut Criterion) {
    let mut group = c.benchmark_group("saturation pressure");
    group.bench_function("ours", |b| b.iter(|| saturation::pressure_pa(black_box(46.0))));
    group.bench_function("seuif97", |b| b.iter(|| tx(black_box(46.0), 0.0, OP)));
    group.finish();

    let mut group = c.benchmark_group("saturation temperature");
    group.bench_function("ours", |b| b.iter(|| saturation::temperature_c(black_box(10_000.0))));
    group.bench_function("seuif97", |b| b.iter(|| px(black_box(0.01), 0.0, OT)));
    group.finish();

    let mut group = c.benchmark_group("saturated liquid enthalpy");
    group.bench_function("ours", |b| b.iter(|| liquid::saturated_enthalpy_j_kg(black_box(46.0))));
    group.bench_function("seuif97", |b| b.iter(|| tx(black_box(46.0), 0.0, OH)));
    group.finish();

    beside!(c, "liquid enthalpy", liquid::enthalpy_j_kg, (46.0, 3e5), "seuif97", |t, p| pt(
        p * 1e-6,
        t,
        (OH, 1)
    ));
    beside!(c, "liquid density", liquid::density_kg_m3, (46.0, 3e5), "seuif97", |t, p| pt(
        p * 1e-6,
        t,
        (OD, 1)
    ));
    beside!(
        c,
        "liquid heat capacity",
        liquid::heat_capacity_j_kg_k,
        (46.0, 3e5),
        "seuif97",
        |t, p| pt(p * 1e-6, t, (OCP, 1))
    );
    beside!(c, "steam enthalpy", steam::enthalpy_j_kg, (1e4, 47.0), "seuif97", |p, t| pt(
        p * 1e-6,
        t,
        (OH, 2)
    ));
    beside!(c, "steam density", steam::density_kg_m3, (1e4, 47.0), "seuif97", |p, t| pt(
        p * 1e-6,
        t,
        (OD, 2)
    ));
}

fn sea_water(c: &mut Criterion) {
    // gsw takes conservative temperature and sea pressure; the conversion is left out, in its favour.
    beside!(c, "seawater density", seawater::density_kg_m3, (30.0, 35.0), "gsw", |t, s| {
        gsw::volume::rho(s, t, 0.0)
    });
    beside!(c, "seawater enthalpy", seawater::enthalpy_j_kg, (30.0, 35.0), "gsw", |t, s| {
        gsw::volume::enthalpy(s, t, 0.0)
    });

    let mut group = c.benchmark_group("practical salinity");
    group.bench_function("ours", |b| {
        b.iter(|| practical_salinity::from_conductivity(black_box(53.0), black_box(25.0), 0.0))
    });
    group.bench_function("gsw", |b| {
        b.iter(|| gsw::practical_salinity::sp_from_c(black_box(53.0), black_box(25.0), 0.0))
    });
    group.finish();

    let mut group = c.benchmark_group("evaporator correlations");
    group.bench_function("heat capacity", |b| {
        b.iter(|| seawater::heat_capacity_j_kg_k(black_box(46.0), black_box(50.0)))
    });
    group.bench_function("boiling point elevation", |b| {
        b.iter(|| seawater::boiling_point_elevation_k(black_box(46.0), black_box(50.0)))
    });
    group.bench_function("dissolved air", |b| {
        b.iter(|| gas::dissolved_air_mol_kg(black_box(30.0), black_box(35.0)))
    });
    group.finish();
}

criterion_group!(properties, steam_and_water, sea_water);
criterion_main!(properties);
