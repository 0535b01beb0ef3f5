//! How long thirty days take: sampled over the seas built in, and planned anew after an edit, the sentence first.

#![allow(clippy::unwrap_used, reason = "a bench may fail like a test")]

use std::hint::black_box;

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use desk::demo;
use desk::passage::{How, Seas};
use ocean::{Distance, Position, Track};
use passage::timeline::{Demand, Hands, Make, Orders, Plan, Sea, Still, timeline};
use route::{Pace, Route, Schedule, Waypoint};

struct Ten;

impl Still for Ten {
    fn makes(&self, _sea: &Sea, _load: f64) -> Make {
        Make { t_day: 10.0, sea_slope_per_k: 0.0 }
    }
}

/// Thirty days at 13.2 knots, up and down between these corners.
fn schedule(corners: &[(f64, f64)]) -> Schedule {
    let mut waypoints: Vec<Waypoint> = Vec::new();
    let there = corners.iter().chain(corners.iter().rev().skip(1));
    for (lat, lon) in there.cycle().take(400) {
        let mut waypoint = Waypoint::at(Position::from_degrees(*lat, *lon).unwrap());
        waypoint.track = Track::GreatCircle;
        waypoint.pace = Some(Pace::Speed { kn: 13.2 });
        if waypoints.last().is_none_or(|last| last.position != waypoint.position) {
            waypoints.push(waypoint);
        }
    }
    waypoints[0].etd = Some("2026-11-09T02:00Z".parse().unwrap());
    Route::new("bench", waypoints).schedule().unwrap()
}

/// The first thirty days of a schedule, as a plan asks for them.
fn sampled(schedule: &Schedule, seas: &Seas) -> usize {
    let orders = Orders {
        distance_off: Distance::from_nmi(20.0),
        depth_min_m: 0.0,
        load_min: 0.4,
        settle_h: 1.0,
        notice_h: 2.0,
        areas: Vec::new(),
        distilled_tank: true,
        discharges: Vec::new(),
    };
    let demand = Demand {
        drinking_t_day: 0.2,
        domestic_t_day: 3.6,
        technical_sea_t_day: 3.2,
        technical_port_t_day: 1.8,
        draws: Vec::new(),
    };
    let asked = Plan {
        schedule,
        orders: &orders,
        hands: Hands { from_h: 7.0, to_h: 19.0 },
        demand: &demand,
        sea_temps: &[],
        sea_load: 0.8,
        harbour_load: 0.3,
        beyond_days: 0.0,
    };
    let from = schedule.end() - jiff::SignedDuration::from_hours(30 * 24);
    timeline(&asked, from, seas, &Ten).unwrap().samples.len()
}

/// From an edit of the events, kept before the clock starts, to the sentence, the orders and the tanks of the plan: thirty
/// days of the demonstration ship's passage are still ahead.
fn replanned(c: &mut Criterion) {
    let folder = tempfile::tempdir().unwrap();
    let now = "2025-11-16T04:20:00Z".parse().unwrap();
    let desk = demo::open(folder.path(), now, 1789).unwrap();
    let kept = desk.events_text().unwrap().unwrap_or_default();
    let mut edits = 0_u32;
    let mut group = c.benchmark_group("passage planned anew after an edit, 30 days");
    group.sample_size(20);
    group.bench_function("the sentence first", |b| {
        let edit = || {
            edits += 1;
            let t = 20.0 + 0.001 * f64::from(edits);
            let draw = format!(
                "[[draw]]\nname = \"hold 9\"\nfrom = \"2025-12-05T02:00Z\"\nhours = 6\nt = {t}\n"
            );
            desk.save_events(&format!("{kept}\n{draw}"), "ce", now).unwrap();
        };
        let plan = |()| desk.passage(now, How::AtOnce).unwrap().map(|view| view.says.len());
        b.iter_batched(edit, plan, BatchSize::PerIteration);
    });
    group.finish();
}

fn benches(c: &mut Criterion) {
    let seas = Seas::built_in().unwrap();
    let mut group = c.benchmark_group("passage sampled, 30 days");
    group.sample_size(20);
    let ocean = schedule(&[(-32.75, 153.1), (-12.0, 156.4), (4.0, 154.3), (33.0, 141.5)]);
    let coast = schedule(&[(43.5, -9.8), (38.7, -9.95), (36.6, -9.2)]);
    for (name, schedule) in [("across an ocean", ocean), ("along a coast", coast)] {
        group.bench_function(name, |b| b.iter(|| sampled(black_box(&schedule), &seas)));
    }
    group.finish();
}

criterion_group!(all, benches, replanned);
criterion_main!(all);
