//! `stillwatch rate` as another program meets it: a file of questions, the whole program's run over it.
//!
//! The program's start is in the figure. The questions are those of a mixed sheet of conditions, free and
//! trimmed in turn. Run with `cargo bench -p stillwatch`.

use std::path::Path;
use std::process::{Command, Stdio};

use criterion::{Criterion, Throughput, criterion_group, criterion_main};

const QUESTIONS: usize = 100_000;

fn questions(trimmed: bool) -> String {
    let across = |i: usize, steps: usize, low: f64, high: f64| {
        low + (high - low) * (i % steps) as f64 / (steps - 1) as f64
    };
    (0..QUESTIONS)
        .map(|i| {
            let (sea, jacket) = (across(i, 97, 5.0, 34.0), across(i, 89, 68.0, 91.0));
            format!("{{\"at\": {{\"sea_temp_c\": {sea}, \"jacket_in_c\": {jacket}, \"trimmed\": {trimmed}}}}}\n")
        })
        .collect()
}

fn answered(file: &Path) -> Option<bool> {
    let mut program = Command::new(env!("CARGO_BIN_EXE_stillwatch"));
    let status = program.arg("rate").arg(file).stdout(Stdio::null()).status();
    status.ok().map(|status| status.success())
}

fn bench(criterion: &mut Criterion) {
    let Ok(folder) = tempfile::tempdir() else { return };
    let mut group = criterion.benchmark_group("rate of 100,000 lines");
    group.sample_size(10).throughput(Throughput::Elements(QUESTIONS as u64));
    for (name, trimmed) in [("free", false), ("trimmed", true)] {
        let file = folder.path().join(name);
        if std::fs::write(&file, questions(trimmed)).is_err() {
            return;
        }
        group.bench_function(name, |b| b.iter(|| answered(&file)));
    }
    group.finish();
}

criterion_group!(benches, bench);
criterion_main!(benches);
