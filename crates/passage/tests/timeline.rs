//! Route to samples to plan, over a sea made for the test: every rule in its place, and the plan inside them.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where its helper fails")]

use jiff::civil::Date;
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use ocean::{Distance, Position};
use passage::decision::{Class, Noise, State, Tank, TankState, plan};
use passage::timeline::{
    Aboard, Area, Assumed, Caution, Demand, Draw, Hands, Make, Near, Orders, Plan, Prices, Rule,
    Sea, Still, Timeline, TimelineError, Waters, timeline,
};
use route::{Lying, Mark, Pace, Route, Schedule, Stay, Waypoint};

/// Land lies along the meridian of Greenwich: a minute of longitude is a mile off. Deeper by 1000 m a degree.
struct Plain;

impl Waters for Plain {
    fn near(&self, position: Position) -> Near {
        let off = Distance::from_nmi(position.lon_deg().abs() * 60.0);
        Near { off, coast: off }
    }

    fn at(&self, position: Position, _date: Date) -> Sea {
        Sea {
            distance_off: self.near(position).off,
            coast_off: self.near(position).coast,
            depth_m: Some(position.lon_deg().abs() * 1000.0),
            temp_c: 27.0,
            salinity_g_kg: 35.0,
            assumed: Assumed { temp: position.lon_deg() > 1.0, ..Assumed::default() },
            land: (2.0..2.5).contains(&position.lon_deg()),
        }
    }
}

/// Twenty tonnes a day at any load that heats at all.
struct Twenty;

impl Still for Twenty {
    fn makes(&self, _sea: &Sea, load: f64) -> Make {
        let t_day = if load > 0.2 { 20.0 + 10.0 * (load - 0.8) } else { 0.0 };
        Make { t_day, sea_slope_per_k: -0.01 }
    }
}

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// Six hours alongside, then due east for ten degrees at 12 knots; pilotage for the last mile or so.
fn schedule() -> Schedule {
    let place = |lon: f64| Position::from_degrees(0.0, lon).unwrap();
    let sailing = |kn, mark, lon| Waypoint {
        pace: Some(Pace::Speed { kn }),
        mark,
        ..Waypoint::at(place(lon))
    };
    let berth = Stay { lying: Lying::AtBerth, length: None };
    let first = Waypoint {
        stays: vec![berth],
        etd: Some(at("2026-11-16T06:00:00Z")),
        pace: Some(Pace::Eta(at("2026-11-16T00:00:00Z"))),
        ..Waypoint::at(place(0.0))
    };
    let mut route = Route::new(
        "there",
        vec![
            first,
            sailing(12.0, Some(Mark::FullAway), 0.1),
            sailing(12.0, Some(Mark::EndOfPassage), 10.0),
            sailing(6.0, None, 10.2),
        ],
    );
    route.zone = Offset::UTC;
    route.clock_changes = vec![(at("2026-11-17T00:00:00Z"), Offset::constant(1))];
    route.schedule().unwrap()
}

fn orders() -> Orders {
    Orders {
        distance_off: Distance::from_nmi(20.0),
        depth_min_m: 400.0,
        load_min: 0.4,
        settle_h: 0.5,
        notice_h: 2.0,
        areas: Vec::new(),
        distilled_tank: true,
        discharges: vec![(at("2026-11-17T08:00:00Z"), at("2026-11-17T09:00:00Z"))],
    }
}

fn demand() -> Demand {
    let hold = Draw {
        name: "hold 1".into(),
        from: at("2026-11-17T12:00:00Z"),
        hours: 6.0,
        t: 20.0,
        less_price_t: Some(30.0),
    };
    Demand {
        drinking_t_day: 0.2,
        domestic_t_day: 3.6,
        technical_sea_t_day: 3.2,
        technical_port_t_day: 1.8,
        draws: vec![hold],
    }
}

fn drawn(schedule: &Schedule, now: &str) -> Result<Timeline, TimelineError> {
    let (demand, orders) = (demand(), orders());
    let asked = Plan {
        schedule,
        orders: &orders,
        hands: Hands { from_h: 7.0, to_h: 19.0 },
        demand: &demand,
        sea_temps: &[],
        sea_load: 0.8,
        harbour_load: 0.3,
        beyond_days: 1.0,
    };
    timeline(&asked, at(now), &Plain, &Twenty)
}

#[test]
fn ident_each_rule_forbids_in_its_own_place() {
    let schedule = schedule();
    let line = drawn(&schedule, "2026-11-16T00:00:00Z").unwrap();
    let word = |time: &str| {
        let sample = &line.samples[line.index(at(time))];
        sample.rule.as_ref().map_or("allowed", Rule::word)
    };
    // Full away half an hour after 0600; twenty miles off at 0740, 400 m deep at 24 miles.
    for (time, expected) in [
        ("2026-11-16T03:00:00Z", "phase"),
        ("2026-11-16T06:15:00Z", "phase"),
        ("2026-11-16T06:45:00Z", "settling"),
        ("2026-11-16T07:15:00Z", "distance"),
        ("2026-11-16T07:45:00Z", "depth"),
        ("2026-11-16T08:15:00Z", "allowed"),
        ("2026-11-17T08:30:00Z", "discharge"),
        ("2026-11-17T09:20:00Z", "discharge"),
        ("2026-11-17T09:45:00Z", "allowed"),
    ] {
        assert_eq!(word(time), expected, "{time}");
    }
    let end = schedule.sea_passages()[0].end;
    let minutes = |m: i64| line.index(end - SignedDuration::from_mins(m));
    assert!(line.samples[minutes(150)].rule.is_none());
    assert_eq!(line.samples[minutes(90)].rule, Some(Rule::Notice));
    assert!(line.hour_later[minutes(90)] && !line.hour_later[minutes(30)]);
}

#[test]
fn ident_hands_follow_the_ships_clock() {
    let schedule = schedule();
    let line = drawn(&schedule, "2026-11-16T00:00:00Z").unwrap();
    let manned = |time: &str| line.samples[line.index(at(time))].manned;
    assert!(manned("2026-11-16T18:45:00Z") && !manned("2026-11-16T19:00:00Z"));
    assert!(manned("2026-11-17T06:00:00Z") && !manned("2026-11-17T18:00:00Z"), "an hour ahead");
    let over_midnight = Hands { from_h: 20.0, to_h: 4.0 };
    assert!(over_midnight.at(schedule.clock(), at("2026-11-16T21:00:00Z")));
    assert!(!over_midnight.at(schedule.clock(), at("2026-11-16T12:00:00Z")));
}

#[test]
fn ident_a_route_that_is_over_or_far_too_long_is_told() {
    let over = drawn(&schedule(), "2027-01-01T00:00:00Z");
    assert!(matches!(over, Err(TimelineError::Over { .. })));
    let waypoint = |lon: f64| Waypoint::at(Position::from_degrees(0.0, lon).unwrap());
    let long = Stay { lying: Lying::AtAnchor, length: Some(SignedDuration::from_hours(24 * 300)) };
    let first = Waypoint { etd: Some(at("2026-11-16T06:00:00Z")), ..waypoint(0.0) };
    let pace = Some(Pace::Speed { kn: 12.0 });
    let last = Waypoint { pace, stays: vec![long], ..waypoint(1.0) };
    let route = Route::new("lies long", vec![first, last]);
    let long = drawn(&route.schedule().unwrap(), "2026-11-16T00:00:00Z");
    assert!(matches!(long, Err(TimelineError::TooLong { .. })), "{long:?}");
}

#[test]
fn ident_the_plan_keeps_inside_the_rules_and_uses_what_is_used() {
    let line = drawn(&schedule(), "2026-11-16T00:00:00Z").unwrap();
    let tank = |name: &str, cap_t, stock_t, state| Tank {
        name: String::from(name),
        class: Class::Domestic,
        cap_t,
        stock_t,
        dead_t: 5.0,
        state,
        undosed_t: Some(0.0),
    };
    let aboard = Aboard {
        stock_sd_t: 1.5,
        tanks: vec![
            tank("port", 100.0, 30.0, TankState::Serving),
            tank("starboard", 100.0, 20.0, TankState::Ready),
            tank("aft", 50.0, 50.0, TankState::SetApart),
        ],
        state: State::Off,
        room_kept_t: 10.0,
        ceilings: vec![(at("2026-11-17T06:00:00Z"), 60.0)],
        reserve_days: 5.0,
        start_min: 75.0,
        stop_min: 45.0,
    };
    assert!((aboard.stock_t() - 40.0).abs() < 1e-12 && (aboard.ceiling_t() - 180.0).abs() < 1e-12);
    let prices = Prices {
        start: 40.0,
        retrim: 5.0,
        callout: 150.0,
        run_h: 2.0,
        make_t: 0.3,
        carry_t_day: 0.19,
        short_t: 200.0,
        spill_t: 1.0,
        end_t: 9.0,
        more_load_h: 0.0,
        for_sale: Vec::new(),
    };
    let problem = line.problem("there", &aboard, &demand(), &prices, Noise::default());
    assert_eq!(problem.supply.len(), 1);
    let late = line.index(at("2026-11-17T07:00:00Z"));
    assert!((problem.samples.ceiling_t[late] - 60.0).abs() < 1e-12);
    let used: f64 = problem.samples.use_t_day.iter().map(|u| u * 0.25 / 24.0).sum();
    let at_berth_h = 6.0;
    let beyond_h = line.samples.len() as f64 * 0.25 - at_berth_h - schedule_h();
    let expected = 20.0 + 7.0 * schedule_h() / 24.0 + 5.6 * at_berth_h / 24.0;
    assert!((0.0..=25.0).contains(&beyond_h), "{beyond_h}");
    assert!((used - expected).abs() < 7.0 * 25.0 / 24.0, "{used} {expected}");
    let plan = plan(&problem, 0.02);
    for order in &plan.orders {
        let (Some(first), Some(off)) = (order.first_water, order.heat_off) else {
            panic!("{order:?}")
        };
        assert!((first..off).all(|k| problem.samples.allowed[k]), "{order:?}");
    }
    assert!(!plan.orders.is_empty(), "she needs water for the hold");
}

/// Hours from sailing to the end of the route.
fn schedule_h() -> f64 {
    let schedule = schedule();
    schedule.end().duration_since(schedule.departure()).as_secs_f64() / 3600.0
}

/// What was put in place of a figure nobody measured is said where it was, and so is a track over land.
#[test]
fn ident_assumed_figures_and_land_are_told_where_they_are() {
    let line = drawn(&schedule(), "2026-11-16T00:00:00Z").unwrap();
    let (mut assumed, mut known, mut land) = (0, 0, 0);
    for sample in &line.samples {
        let lon = sample.moment.position.lon_deg();
        let told = sample.cautions.contains(&Caution::AssumedTemp(27.0));
        assert_eq!(told, sample.rule.is_none() && lon > 1.0, "{lon}");
        assert!(!sample.cautions.iter().any(|c| matches!(c, Caution::AssumedSalinity(_))));
        let over = sample.cautions.iter().any(|c| matches!(c, Caution::OverLand { .. }));
        assert_eq!(over, (2.0..2.5).contains(&lon), "{lon}");
        // 120 miles off by the distance alone, and forbidden all the same.
        assert_eq!(over, sample.rule == Some(Rule::Land), "{lon}: {:?}", sample.rule);
        assumed += usize::from(told);
        known += usize::from(sample.rule.is_none() && !told);
        land += usize::from(over);
    }
    assert!(assumed > 50 && known > 5 && land > 5, "{assumed} {known} {land}");
    assert!(Caution::AssumedTemp(27.0).sentence().contains("27 °C"));
}

/// In an area for distilled only, the distance order notwithstanding, no more is made than is used of distilled water, and
/// none where there is no tank for it.
#[test]
fn ident_an_area_for_distilled_only_gives_what_is_used_of_it() {
    let schedule = schedule();
    let demand = demand();
    let corner = |lat: f64, lon: f64| Position::from_degrees(lat, lon).unwrap();
    let box_of = |west: f64, east: f64| {
        let corners = [(-1.0, west), (-1.0, east), (1.0, east), (1.0, west)];
        Area::new("roads", &corners.map(|(lat, lon)| corner(lat, lon))).unwrap()
    };
    let areas = vec![box_of(0.2, 0.3).for_distilled(), box_of(3.0, 4.0).for_distilled()];
    let line = |distilled_tank: bool| {
        let orders = Orders { areas: areas.clone(), distilled_tank, depth_min_m: 0.0, ..orders() };
        let asked = Plan {
            schedule: &schedule,
            orders: &orders,
            hands: Hands { from_h: 0.0, to_h: 24.0 },
            demand: &demand,
            sea_temps: &[(1, 29.5)],
            sea_load: 0.8,
            harbour_load: 0.3,
            beyond_days: 0.0,
        };
        timeline(&asked, at("2026-11-16T00:00:00Z"), &Plain, &Twenty).unwrap()
    };
    let (with, without) = (line(true), line(false));
    let mut distilled = 0;
    for (a, b) in with.samples.iter().zip(&without.samples) {
        let lon = a.moment.position.lon_deg();
        let inside = (0.2..0.3).contains(&lon) || (3.0..4.0).contains(&lon);
        let settled = lon > 0.21 && lon < 9.5;
        let rinsed = matches!(a.rule, Some(Rule::Discharge));
        if inside && settled && !rinsed {
            assert!(a.distilled_only && a.rule.is_none(), "{lon}: {:?}", a.rule);
            assert!((a.make.t_day - 3.2).abs() < 1e-12 && a.make.sea_slope_per_k == 0.0);
            assert!(a.cautions.contains(&Caution::DistilledOnly));
            let word = b.rule.as_ref().map(Rule::word);
            assert!(matches!(word, Some("area" | "distance")), "{lon}: {word:?}");
            distilled += 1;
        } else {
            assert!(!a.distilled_only, "{lon}");
            assert_eq!(a.rule, b.rule, "{lon}");
        }
        // The officer's sea on the leg it was told for, the data's elsewhere.
        let told = a.moment.leg == Some(1);
        assert_eq!(a.sea.temp_c, if told { 29.5 } else { 27.0 });
        assert!(!(told && a.sea.assumed.temp));
    }
    assert!(distilled > 20, "{distilled}");
}

/// A rock between two samples: neither is near it, the quarter of an hour between them is forbidden, and the leg over it told.
#[test]
fn ident_a_rock_between_two_samples_is_seen() {
    struct Rock(f64);
    impl Waters for Rock {
        fn near(&self, position: Position) -> Near {
            let off = (position.lon_deg() - self.0).hypot(position.lat_deg()) * 60.0;
            Near { off: Distance::from_nmi(off), coast: Distance::from_nmi(off) }
        }
        fn at(&self, position: Position, _date: Date) -> Sea {
            let Near { off, coast } = self.near(position);
            Sea {
                distance_off: off,
                coast_off: coast,
                depth_m: None,
                temp_c: 20.0,
                salinity_g_kg: 35.0,
                assumed: Assumed::default(),
                land: false,
            }
        }
    }
    let schedule = schedule();
    let demand = demand();
    let orders = Orders { distance_off: Distance::from_nmi(1.0), ..orders() };
    let asked = Plan {
        schedule: &schedule,
        orders: &orders,
        hands: Hands { from_h: 0.0, to_h: 24.0 },
        demand: &demand,
        sea_temps: &[],
        sea_load: 0.8,
        harbour_load: 0.3,
        beyond_days: 0.0,
    };
    // Half-way between two samples of the way.
    let samples = drawn(&schedule, "2026-11-16T00:00:00Z").unwrap().samples;
    let rock = samples[120..122].iter().map(|s| s.moment.position.lon_deg()).sum::<f64>() / 2.0;
    let line = timeline(&asked, at("2026-11-16T00:00:00Z"), &Rock(rock), &Twenty).unwrap();
    let near: Vec<usize> = (0..line.samples.len())
        .filter(|k| matches!(line.samples[*k].rule, Some(Rule::Land)))
        .collect();
    assert_eq!(near.len(), 1, "one quarter of an hour, 3 miles long");
    let sample = &line.samples[near[0]];
    assert!(sample.sea.distance_off.nmi() > 1.0, "the sample itself is clear of it");
    assert!(line.samples[near[0] + 1].sea.distance_off.nmi() > 1.0);
    // A mile before the rock and a mile behind it.
    let lons: Vec<f64> = line.crossings.iter().map(|c| c.position.lon_deg()).collect();
    assert_eq!(line.crossings.iter().map(|c| c.outward).collect::<Vec<_>>(), [false, true]);
    for (lon, wanted) in lons.iter().zip([rock - 1.0 / 60.0, rock + 1.0 / 60.0]) {
        assert!((lon - wanted).abs() * 60.0 < 0.02, "{lons:?}");
    }
    let told: Vec<Caution> = line.samples.iter().flat_map(|s| s.cautions.clone()).collect();
    let over = told.iter().filter(|c| matches!(c, Caution::OverLand { leg: 1, .. })).count();
    assert_eq!(over, 1, "{told:?}");
}
