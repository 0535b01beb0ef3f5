//! The record's speed: writing a history, walking the chain, and the questions a page asks of it.
//!
//! `STILLWATCH_BENCH_VALUES` sets how many values the record holds (1,000,000 if left out).

use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};

use criterion::{BatchSize, Criterion, Throughput, criterion_group, criterion_main};
use jiff::Timestamp;
use logbook::{Author, Book, Draft, Reader, Value, verify};

/// Values of one round.
const VALUES: i64 = 25;
/// Seconds between rounds: an hourly log of ten years holds 2.2 million values.
const EVERY_S: i64 = 3600;

fn at(second: i64) -> Timestamp {
    Timestamp::from_second(1_500_000_000 + second).unwrap_or(Timestamp::UNIX_EPOCH)
}

fn round(i: i64) -> (Draft, Timestamp) {
    let values = (0..VALUES).map(|k| {
        let si = 273.15 + ((i * 7 + k * 13) % 1000) as f64 / 10.0;
        Value::number(format!("reading_{k:02}"), format!("{:.1}", si - 273.15), "degC", si)
    });
    let second = i * EVERY_S;
    (Draft::reading(at(second), Author::hand("3e"), values.collect()), at(second + 300))
}

fn begin(path: &Path) -> Option<Book> {
    Book::open_with_ballast(path, "A1", at(0), 0).ok()
}

fn filled(path: &Path, values: i64) -> Option<Reader> {
    let mut book = begin(path)?;
    let started = Instant::now();
    book.append_many((0..values / VALUES).map(round)).ok()?;
    let rate = values as f64 / started.elapsed().as_secs_f64();
    println!("{values} values written at {rate:.0} values/s, drafts made on the way included");
    Reader::open(path).ok()
}

fn bench(criterion: &mut Criterion) {
    let values = std::env::var("STILLWATCH_BENCH_VALUES")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(1_000_000);
    let Ok(folder) = tempfile::tempdir() else { return };
    let Some(reader) = filled(&folder.path().join("record.sqlite"), values) else { return };
    let end = at(values / VALUES * EVERY_S);
    let mut group = criterion.benchmark_group("record");
    group.sample_size(10).measurement_time(Duration::from_secs(5));

    group.throughput(Throughput::Elements(100_000));
    let mut number = 0;
    group.bench_function("append_many, values", |bencher| {
        bencher.iter_batched(
            || {
                number += 1;
                let book = begin(&folder.path().join(format!("new-{number}.sqlite")));
                (book, (0..100_000 / VALUES).map(round).collect::<Vec<_>>())
            },
            |(book, drafts)| book.map(|mut book| book.append_many(drafts).map(|r| r.len())),
            BatchSize::PerIteration,
        );
    });
    group.throughput(Throughput::Elements((values / VALUES).unsigned_abs()));
    group.bench_function("verify, entries of 25 values", |bencher| {
        bencher.iter(|| verify(&reader, |_, _| ()).map(|verdict| verdict.entries));
    });

    let single = folder.path().join("single.sqlite");
    if let Some(mut book) = begin(&single) {
        let one = |i: i64| (Draft::note(Author::hand("3e"), "plant as before"), at(i * 60));
        let _ = book.append_many((0..300_000).map(one));
    }
    if let Ok(notes) = Reader::open(&single) {
        group.throughput(Throughput::Elements(300_000));
        group.bench_function("verify, short entries", |bencher| {
            bencher.iter(|| verify(&notes, |_, _| ()).map(|verdict| verdict.entries));
        });
    }
    group.finish();

    let mut group = criterion.benchmark_group("questions");
    group.bench_function("latest", |bencher| {
        bencher.iter(|| reader.latest(black_box("reading_07"), None).map(|r| r.is_some()));
    });
    group.bench_function("60 rounds", |bencher| {
        bencher.iter(|| reader.rounds(None, Some(black_box(end)), 60).map(|r| r.len()));
    });
    group.bench_function("series, all in 600 points", |bencher| {
        bencher.iter(|| reader.series(black_box("reading_07"), at(0), end, 600).map(|b| b.len()));
    });
    group.bench_function("series, 30 days in 600 points", |bencher| {
        let from = at(values / VALUES * EVERY_S - 30 * 86_400);
        bencher.iter(|| reader.series(black_box("reading_07"), from, end, 600).map(|b| b.len()));
    });
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
