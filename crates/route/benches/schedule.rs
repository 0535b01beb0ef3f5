//! A passage of thirty days sampled every quarter of an hour, and a file of hundreds of waypoints read.

#![allow(clippy::unwrap_used, reason = "a bench may fail like a test")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use ocean::{Position, Track};
use route::{Pace, Reading, Route, Version, Waypoint};

/// Thirty days at 13.2 knots, 9504 nautical miles, with a waypoint every 60.
fn route(track: Track) -> Route {
    let mut waypoints = Vec::new();
    for i in 0..160_u32 {
        let along = f64::from(i);
        let position = Position::from_degrees(-32.0 + along * 0.4, 100.0 + (along * 0.9) % 79.0);
        let mut waypoint = Waypoint::at(position.unwrap());
        waypoint.track = track;
        waypoint.pace = Some(Pace::Speed { kn: 13.2 });
        waypoints.push(waypoint);
    }
    waypoints[0].etd = Some("2026-11-09T02:00Z".parse().unwrap());
    Route::new("bench", waypoints)
}

fn sampling(c: &mut Criterion) {
    let mut group = c.benchmark_group("route, 30 days at 15 min");
    for (name, track) in [("great circles", Track::GreatCircle), ("rhumb lines", Track::RhumbLine)]
    {
        let schedule = route(track).schedule().unwrap();
        let from = schedule.departure();
        let to = from + jiff::SignedDuration::from_hours(30 * 24);
        group.bench_function(name, |b| {
            b.iter(|| black_box(&schedule).samples(from, to, 15).map(|(_, at)| at.run).last());
        });
    }
    group.finish();
    let route = route(Track::GreatCircle);
    c.bench_function("route, schedule of 160 waypoints", |b| {
        b.iter(|| black_box(&route).schedule())
    });
    let file = route.to_rtz(Version::V1_2);
    c.bench_function("route, exchange file of 160 waypoints", |b| {
        b.iter(|| Reading::of_bytes(black_box(file.as_bytes())));
    });
}

criterion_group!(benches, sampling);
criterion_main!(benches);
