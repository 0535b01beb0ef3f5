//! How long a finding takes: one set of readings, a history of 30, a history of 400.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use findings::prior::Unknown;
use findings::simulate::{Coming, Fault, Level, Wanted, sheets, simulate, times_limit};
use findings::{Cause, ReadingSet, Tables, explain};
use plant::Sheet;

/// Readings of the demonstration plant with an air leak, in so many sets.
fn readings(sheet: &Sheet, tables: &Tables, moments: usize) -> Vec<ReadingSet> {
    let line = tables.causes.iter().find(|l| l.unknown == Unknown::Air);
    let coming = if moments == 1 { Coming::Stood } else { Coming::At(0.5) };
    let faults = line
        .map(|l| Fault { cause: Cause::AirLeak, end: times_limit(l, 2.0), coming })
        .into_iter()
        .collect();
    let wanted = Wanted {
        sheet,
        tables,
        level: Level::Routine,
        faults,
        moments,
        missing_and_slips: (0.05, 0.02),
        closures: None,
    };
    simulate(&wanted, 7, 1).map_or_else(Vec::new, |s| s.sets)
}

fn bench(c: &mut Criterion) {
    let [sheet, ..] = sheets();
    let tables = Level::Routine.tables(&sheet);
    let mut group = c.benchmark_group("finding");
    for (name, moments, samples) in
        [("one set", 1, 50), ("history of 30", 30, 10), ("history of 400", 400, 10)]
    {
        let sets = readings(&sheet, &tables, moments);
        assert_eq!(sets.len(), moments, "the simulated plant runs");
        group.sample_size(samples);
        group.bench_function(name, |b| b.iter(|| explain(&sheet, &tables, black_box(&sets))));
    }
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
