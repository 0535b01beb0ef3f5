//! How long planning takes: the deterministic plan, one policy, the three policies of a ladder, 2,000 passages.

#![allow(clippy::unwrap_used, reason = "a bench may stop at a file it cannot read")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::hint::black_box;

use common::{laid_out, parse, plain, validation, worked};
use criterion::{Criterion, criterion_group, criterion_main};
use passage::decision::{Draws, Problem, bench, plan, policy, worth};

/// Thirty days, water allowed throughout.
fn thirty_days() -> Problem {
    let mut problem = plain(30);
    problem["samples"]["ceiling_t"] = vec![320.0; 2880].into();
    parse(&problem)
}

/// The problem file whose plan takes the middle of all their times: bench/peer/passage_mip.py takes the middle of its own.
fn middle_file() -> Problem {
    let lines = std::fs::read_to_string(validation("cases.jsonl")).unwrap();
    let timed = |line: &str| {
        let problem = parse(&laid_out(line));
        let begun = std::time::Instant::now();
        black_box(plan(&problem, 0.02));
        (begun.elapsed(), problem)
    };
    let mut timed: Vec<_> = lines.lines().map(timed).collect();
    timed.sort_by_key(|(took, _)| *took);
    timed.swap_remove(timed.len() / 2).1
}

fn benches(c: &mut Criterion) {
    let problem = thirty_days();
    c.bench_function("passage/plan 30 days, 0.05 t", |b| {
        b.iter(|| plan(black_box(&problem), 0.05))
    });
    c.bench_function("passage/plan 30 days, 0.02 t", |b| {
        b.iter(|| plan(black_box(&problem), 0.02))
    });
    c.bench_function("passage/policy 30 days, values", |b| {
        b.iter(|| bench::policy_value(black_box(&problem), 30.0, false));
    });
    c.bench_function("passage/policy 30 days, with actions", |b| {
        b.iter(|| bench::policy_value(black_box(&problem), 30.0, true));
    });
    c.bench_function("passage/three policies of a ladder, 30 days", |b| {
        let rung = |price| bench::policy_value(&problem, price, true);
        b.iter(|| (rung(30.0), rayon::join(|| rung(120.0), || rung(480.0))));
    });
    let sea = bench::Sea::new(&problem, 30.0);
    c.bench_function("passage/2,000 passages of 30 days", |b| {
        b.iter(|| sea.sail(Draws::default()))
    });
    let worked = worked();
    let (policy, _) = policy(&worked, Draws { count: 500, seed: 1 });
    c.bench_function("passage/worth, worked passage", |b| b.iter(|| worth(&worked, &policy)));
    // The same file that bench/peer/passage_mip.py solves.
    let line = std::fs::read_to_string(validation("cases.jsonl")).unwrap();
    let line = line.lines().find(|l| l.contains("tricky-below-reserve-at-start")).unwrap();
    let case = parse(&laid_out(line));
    c.bench_function("passage/plan of one case", |b| b.iter(|| plan(black_box(&case), 0.02)));
    let file = middle_file();
    c.bench_function("passage/plan of the problem files, the middle one", |b| {
        b.iter(|| plan(black_box(&file), 0.02));
    });
}

criterion_group! {
    name = all;
    config = Criterion::default().sample_size(10);
    targets = benches
}
criterion_main!(all);
