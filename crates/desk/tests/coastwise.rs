//! Legs near real coasts beside a dense sampling of their own: where the distance ordered is passed, and where land is crossed.

#![allow(clippy::expect_used, reason = "a test's helpers may fail it")]

use desk::passage::Seas;
use jiff::{SignedDuration, Timestamp};
use ocean::{Coast, Distance, Position, Track};
use passage::timeline::{
    Caution, Demand, Hands, Make, Orders, Plan, Rule, Sea, Still, Timeline, timeline,
};
use route::{Pace, Route, Schedule, Waypoint};

struct Ten;

impl Still for Ten {
    fn makes(&self, _sea: &Sea, _load: f64) -> Make {
        Make { t_day: 10.0, sea_slope_per_k: 0.0 }
    }
}

const ORDERED_NMI: f64 = 20.0;

fn schedule(corners: &[(f64, f64)], kn: f64, track: Track) -> Schedule {
    let mut waypoints: Vec<Waypoint> = corners
        .iter()
        .map(|(lat, lon)| Waypoint::at(Position::from_degrees(*lat, *lon).expect("a position")))
        .collect();
    waypoints[0].etd = Some("2026-11-09T02:00Z".parse().expect("a time"));
    for waypoint in waypoints.iter_mut().skip(1) {
        waypoint.pace = Some(Pace::Speed { kn });
        waypoint.track = track;
    }
    Route::new("coastwise", waypoints).schedule().expect("a schedule")
}

fn drawn(schedule: &Schedule) -> Timeline {
    ordered(schedule, ORDERED_NMI)
}

fn ordered(schedule: &Schedule, nmi: f64) -> Timeline {
    let orders = Orders {
        distance_off: Distance::from_nmi(nmi),
        depth_min_m: 0.0,
        load_min: 0.0,
        settle_h: 0.0,
        notice_h: 0.0,
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
        hands: Hands { from_h: 0.0, to_h: 24.0 },
        demand: &demand,
        sea_temps: &[],
        sea_load: 0.8,
        harbour_load: 0.3,
        beyond_days: 0.0,
    };
    timeline(&asked, schedule.start(), &Seas::built_in().expect("data"), &Ten).expect("a timeline")
}

/// Distance off every few seconds: (when, nmi, nmi to the coast itself is the same where no line counts as land).
fn dense(
    schedule: &Schedule,
    from: Timestamp,
    to: Timestamp,
    step_s: i64,
) -> Vec<(Timestamp, f64)> {
    let coast = Coast::embedded().expect("a coast");
    let mut all = Vec::new();
    let mut at = from;
    while at < to {
        let off = coast.nearest_land(schedule.at(at).position).distance.nmi();
        all.push((at, off));
        at += SignedDuration::from_secs(step_s);
    }
    all
}

/// Coastal legs in several seas, most of them passing the twenty miles or a small island between two samples.
fn passages() -> Vec<(&'static str, Schedule)> {
    let rl = Track::RhumbLine;
    let mut all: Vec<(&'static str, Schedule)> =
        (0..5).map(|k| ("grazing the rock", grazing(0.03 * f64::from(k)))).collect();
    all.extend([
        (
            "between Feni and Nissan",
            schedule(&[(-5.6, 153.7), (-4.3, 153.93), (-3.3, 153.85)], 13.2, rl),
        ),
        ("past Saint Helena", schedule(&[(-16.5, -7.0), (-15.45, -4.2)], 22.0, Track::GreatCircle)),
        ("along Portugal", schedule(&[(43.5, -10.2), (38.7, -9.95), (36.6, -9.2)], 14.0, rl)),
        ("Malacca", schedule(&[(6.2, 95.2), (5.9, 97.6), (3.0, 100.6)], 12.0, rl)),
        ("by Rockall", schedule(&[(57.0, -16.0), (57.93, -12.9)], 18.0, Track::GreatCircle)),
        ("across the date line by Fiji", schedule(&[(-15.2, 178.2), (-16.2, -178.2)], 15.0, rl)),
    ]);
    all
}

/// Along a parallel that comes within 19.92 nmi of Rockall, under the order for three and a half miles; she sails five and a
/// half between two samples, which fall elsewhere with each beginning.
fn grazing(shift_deg: f64) -> Schedule {
    let off = |lat: f64| {
        let place = Position::from_degrees(lat, -13.69).expect("a position");
        Coast::embedded().expect("a coast").nearest_land(place).distance.nmi()
    };
    let (mut near, mut far) = (57.5, 57.0);
    for _ in 0..40 {
        let middle = 0.5 * (near + far);
        if off(middle) < 19.92 { near = middle } else { far = middle }
    }
    schedule(&[(near, -15.0 + shift_deg), (near, -12.4)], 22.0, Track::RhumbLine)
}

/// A quarter of an hour is forbidden by distance exactly where a point of it, sampled every six seconds, is nearer.
#[test]
fn ident_the_distance_rule_sees_all_that_a_dense_sampling_sees() {
    let mut between = 0;
    for (name, schedule) in passages() {
        let line = drawn(&schedule);
        for (k, sample) in line.samples.iter().enumerate().take(line.samples.len() - 1) {
            let next = line.samples[k + 1].at;
            let points = dense(&schedule, sample.at, next, 6);
            let least = points.iter().map(|(_, off)| *off).fold(f64::INFINITY, f64::min);
            // Between two points of the dense sampling she comes nearer by half the way between them at most.
            let slack = 0.05;
            if (least - ORDERED_NMI).abs() <= slack {
                continue;
            }
            let forbidden = matches!(sample.rule, Some(Rule::Distance { .. } | Rule::Land));
            assert_eq!(forbidden, least < ORDERED_NMI, "{name}, sample {k}: {least:.3} nmi");
            let ends =
                sample.sea.distance_off.nmi().min(line.samples[k + 1].sea.distance_off.nmi());
            between += usize::from(forbidden && ends >= ORDERED_NMI);
            if let Some(Rule::Distance { off, .. }) = &sample.rule {
                assert!(off.nmi() <= ends + 1e-9 && off.nmi() >= least - slack, "{name}, {k}");
            }
        }
    }
    assert!(between >= 1, "no leg of the test dips under the order between two samples only");
}

/// Where the order is passed, to the second: each crossing lies where a dense sampling changes sides, and none is missing.
#[test]
fn ident_crossings_lie_where_a_dense_sampling_changes_sides() {
    let mut count = 0;
    for (name, schedule) in passages() {
        let line = drawn(&schedule);
        let (first, last) = (line.samples[0].at, line.samples[line.samples.len() - 1].at);
        let points = dense(&schedule, first, last, 10);
        let sides = points.windows(2).filter(|w| (w[0].1 < ORDERED_NMI) != (w[1].1 < ORDERED_NMI));
        let sides: Vec<(Timestamp, bool)> =
            sides.map(|w| (w[1].0, w[1].1 >= ORDERED_NMI)).collect();
        for (at, outward) in &sides {
            let near = line.crossings.iter().any(|crossing| {
                crossing.outward == *outward
                    && crossing.at.duration_since(*at).as_secs().abs() <= 16
            });
            // Two sides changed within one quarter of an hour are told as its first and its last.
            let quarter = line.index(*at);
            let here = sides.iter().filter(|(other, _)| line.index(*other) == quarter).count();
            assert!(near || here > 1, "{name}: {at} {outward}, {:?}", line.crossings);
        }
        for crossing in &line.crossings {
            let off = Coast::embedded().expect("a coast").nearest_land(crossing.position).distance;
            assert!((off.nmi() - ORDERED_NMI).abs() < 0.03, "{name}: {:.3}", off.nmi());
        }
        count += sides.len();
    }
    assert!(count >= 6, "{count}");
}

type Spot = (f64, f64);

/// Whether two pieces cross, in degrees: an independent test on the chart's plane, for legs of a few hundred miles.
fn cross((a, b): (Spot, Spot), (c, d): (Spot, Spot)) -> bool {
    let side = |p: Spot, q: Spot, r: Spot| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    let apart = |x: f64, y: f64| (x > 0.0) != (y > 0.0);
    apart(side(a, b, c), side(a, b, d)) && apart(side(c, d, a), side(c, d, b))
}

/// How often a track crosses the coast as it is kept, piece by piece.
fn crossed(schedule: &Schedule, line: &Timeline) -> usize {
    let middle = line.samples[line.samples.len() / 2].moment.position;
    let reach = Distance::from_nmi(schedule.length().nmi() + 100.0);
    let mut coast: Vec<(Spot, Spot)> = Vec::new();
    for shore in Coast::embedded().expect("a coast").shores_near(middle, reach, Distance::ZERO) {
        let spots: Vec<Spot> = shore.positions.iter().map(|p| (p.lat_deg(), p.lon_deg())).collect();
        coast.extend(spots.windows(2).map(|w| (w[0], w[1])));
        if let (true, Some(first), Some(last)) = (shore.closed, spots.first(), spots.last()) {
            coast.push((*last, *first));
        }
    }
    let track: Vec<Spot> = line
        .samples
        .iter()
        .map(|s| (s.moment.position.lat_deg(), s.moment.position.lon_deg()))
        .collect();
    let legs = track.windows(2).map(|w| (w[0], w[1]));
    legs.map(|leg| coast.iter().filter(|piece| cross(leg, **piece)).count()).sum()
}

/// A leg that crosses land is told with its waypoints and its position; one that keeps clear is not.
#[test]
fn ident_a_leg_over_land_is_told_and_one_that_keeps_clear_is_not() {
    // Waypoints, the leg that runs over land if one does, counted from 0.
    let rl = Track::RhumbLine;
    let cases = [
        ("over Saint Helena", vec![(-15.0, -7.0), (-15.8, -6.4), (-16.1, -5.0)], 20.0, Some(1)),
        ("south of Saint Helena", vec![(-15.0, -7.0), (-16.3, -5.7), (-16.1, -4.0)], 20.0, None),
        ("through Malta", vec![(35.7, 13.6), (36.1, 15.2)], 16.0, Some(0)),
        ("across Jutland", vec![(56.5, 6.9), (56.6, 11.3)], 12.0, Some(0)),
        (
            "through Gibraltar",
            vec![(35.9, -7.0), (35.93, -5.75), (36.05, -5.0), (36.3, -3.5)],
            14.0,
            None,
        ),
        ("over the neck of Kra", vec![(9.5, 97.6), (9.6, 100.4)], 13.0, Some(0)),
    ];
    for (name, corners, kn, over) in cases {
        let schedule = schedule(&corners, kn, rl);
        let line = drawn(&schedule);
        let told: Vec<(usize, Position)> = line
            .samples
            .iter()
            .flat_map(|sample| sample.cautions.iter())
            .filter_map(|caution| match caution {
                Caution::OverLand { leg, position } => Some((*leg, *position)),
                _ => None,
            })
            .collect();
        let crossings = crossed(&schedule, &line);
        assert_eq!(crossings > 0, over.is_some(), "{name}: {crossings}");
        assert_eq!(told.first().map(|(leg, _)| *leg), over, "{name}: {told:?}");
        let coast = Coast::embedded().expect("a coast");
        for (leg, position) in &told {
            let off = coast.nearest_land(*position).distance.nmi();
            let says = Caution::OverLand { leg: *leg, position: *position }.sentence();
            let waypoints = format!("From waypoint {} to waypoint {}", leg + 1, leg + 2);
            assert!(says.contains(&waypoints) && says.contains(&position.to_string()), "{says}");
            assert!(off <= 0.1 || off >= 3.0, "{name}: {off}");
        }
    }
}

/// No order of distance allows water on land: over Jutland and the Spanish plateau none may be made, at sea on either side it may.
#[test]
fn ident_no_water_is_made_on_land_whatever_is_ordered() {
    let cases = [
        ("across Jutland", vec![(56.5, 6.9), (56.6, 11.3)], (8.2, 10.2), (8.0, 10.6)),
        ("across Spain", vec![(40.5, -10.5), (40.5, 2.0)], (-8.0, 0.0), (-9.1, 1.0)),
    ];
    for (name, corners, (west, east), (open_west, open_east)) in cases {
        let line = ordered(&schedule(&corners, 14.0, Track::RhumbLine), 0.0);
        let (mut land, mut sea) = (0, 0);
        for sample in &line.samples {
            let lon = sample.moment.position.lon_deg();
            // Fjords, bays and the surf are left out on either side.
            if (west..east).contains(&lon) {
                assert_eq!(sample.rule, Some(Rule::Land), "{name}, {lon}");
                assert_eq!(sample.sea.distance_off, Distance::ZERO, "{name}, {lon}");
                land += 1;
            } else if (lon < open_west || lon > open_east)
                && sample.at < line.samples[line.samples.len() - 1].at
            {
                assert_eq!(sample.rule, None, "{name}, {lon}");
                sea += 1;
            }
        }
        assert!(land > 15 && sea > 5, "{name}: {land} {sea}");
    }
}
