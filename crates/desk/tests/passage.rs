//! The demonstration ship's passage: planned again when a tank is sounded, quoted, held against what came.

#![allow(clippy::expect_used, reason = "a test's helpers may fail it")]

use desk::entry::TypedRound;
use desk::passage::{
    Ahead, Events, Foresight, Heat, How, Outlook, PassageView, Seas, Voyage, Wanted, strip,
};
use desk::{Desk, demo};
use jiff::{SignedDuration, Timestamp};
use passage::decision::{Class, State, Tank, TankState, Want};

fn now() -> Timestamp {
    "2025-11-16T04:20:00Z".parse().expect("a moment")
}

fn aboard() -> (tempfile::TempDir, Desk) {
    let folder = tempfile::tempdir().expect("folder");
    let desk = demo::open(folder.path(), now(), 1789).expect("opened");
    (folder, desk)
}

/// The plan begins with what was sounded, and a sounding written now is in the next plan.
#[test]
fn ident_a_sounding_replans() {
    let (_folder, desk) = aboard();
    let first = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let stock = first.aboard.stock_t();
    assert!((first.brief.bands.p50[0] - stock).abs() < 0.01, "{stock}");
    let tank = desk.setup().ship.tanks[0].clone();
    let before = tank.soundings[0][0];
    let round = TypedRound {
        actor: "3e".into(),
        values: [(format!("sounding_cm.{}", tank.key), (before.to_string(), String::new()))].into(),
        ..TypedRound::default()
    };
    desk.sign_round(&round, now(), now()).expect("signed");
    let second = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert!(second.aboard.stock_t() < stock - 1.0, "{} {stock}", second.aboard.stock_t());
    assert!((second.brief.bands.p50[0] - second.aboard.stock_t()).abs() < 0.01);
}

/// The band begins as wide as what is aboard is known, and the sentence that says so has the same figures.
#[test]
fn ident_the_band_begins_as_the_sentence_says() {
    let (_folder, desk) = aboard();
    let at = now() + SignedDuration::from_hours(6);
    let view = desk.passage(at, How::AtOnce).expect("planned").expect("a route");
    let bands = &view.brief.bands;
    let (low, high) = (bands.p10[0], bands.p90[0]);
    let sd_t = view.aboard.stock_sd_t;
    assert!(sd_t > 0.5 && (high - low - 2.0 * 1.281_55 * sd_t).abs() < 0.02 * sd_t, "{low} {high}");
    let says = view.reckoned.iter().find(|note| note.starts_with("What is aboard is reckoned"));
    let says = says.expect("reckoned forward");
    let told = format!(
        "Together {:.1} t to use, between {low:.1} and {high:.1} t eight times in ten.",
        view.aboard.stock_t()
    );
    assert!(says.ends_with(&told), "{says} {told}");
    assert!((bands.p50[0] - view.aboard.stock_t()).abs() < 0.01);
    // The older the soundings, the less is known.
    let first = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert!(first.aboard.stock_sd_t < sd_t);
}

/// What Now quotes is the plan itself, and a plan made lately is quoted, not made anew.
#[test]
fn ident_the_plan_is_quoted_as_it_is() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let planned = |at| match desk.ahead(at).expect("read") {
        Outlook::Planned(ahead) => ahead,
        other => panic!("{other:?}"),
    };
    let ahead = planned(now());
    assert_eq!(ahead, Ahead::of(&view, now()));
    assert_eq!(ahead.on_arrival_t, view.on_arrival_t());
    let later = now() + SignedDuration::from_hours(2);
    let quoted = planned(later);
    assert_eq!((quoted.planned, quoted.on_arrival_t), (ahead.planned, ahead.on_arrival_t));
    assert!(quoted.next.is_none_or(|order| order.at > later));
}

/// What is drawn is what is ordered: making only between first water and heat off, at the trim of the moment.
#[test]
fn ident_the_strip_draws_what_is_ordered() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let samples = &view.timeline.samples;
    for (k, made) in view.making_t_day.iter().enumerate() {
        let ordered = view.brief.policy.orders.iter().any(|order| {
            order.first_water.or(order.start).unwrap_or(0) <= k
                && k < order.heat_off.unwrap_or(samples.len())
        });
        let share = view.brief.policy.trims[k].map_or(0.0, |trim| [1.0, 0.5][trim]);
        assert_eq!(share > 0.0, ordered, "sample {k}");
        assert!((made - share * samples[k].make.t_day).abs() < 1.0e-9, "sample {k}: {made}");
    }
    let strip = strip(&view, now(), None).expect("drawn");
    let lane = strip.lanes.iter().find(|lane| lane.name == "Making").expect("a lane");
    let drawn: Vec<f64> = lane.points.iter().filter_map(|p| p.value).collect();
    assert_eq!(drawn, view.making_t_day);
    // The figure beside the lane is the stock on arrival, not that at the end of what is planned.
    let lane = strip.lanes.iter().find(|lane| lane.name == "Aboard").expect("a lane");
    let told = lane.told.as_ref().expect("a moment");
    assert_eq!(told.at_s, samples[view.arrival].at.as_second() as f64);
    for line in &view.cautions {
        let at = samples.iter().find(|s| s.at == line.from).expect("a sample");
        assert!(at.cautions.iter().any(|c| c.sentence() == line.says));
    }
}

/// Soundings since departure beside the plan of then: the newest is what the page Now has aboard.
#[test]
fn ident_plan_against_actual_counts_what_was_sounded() {
    let (_folder, desk) = aboard();
    let at = now() + SignedDuration::from_hours(1);
    let against = desk.against(at).expect("read").expect("under way with soundings");
    let (last, stock) = *against.sounded_t.last().expect("a sounding");
    assert!(against.plan.away <= last && last <= at && against.inside <= against.sounded_t.len());
    let aboard: f64 = desk
        .now(at)
        .expect("now")
        .tanks
        .iter()
        .map(|t| (t.content_m3.expect("in the table") - t.unpumpable_m3).max(0.0))
        .sum();
    assert!((stock - aboard).abs() < 1.0e-6, "{stock} {aboard}");
    let planned = against.plan.samples[against.plan.index(last)].stock_t.1;
    assert!((against.off_t - (stock - planned)).abs() < 1.0e-9);
    assert!(against.says().contains("since departure"), "{}", against.says());
    // The strip begins at departure: the soundings over the band of then, the plan of now from now on.
    let view = desk.passage(at, How::AtOnce).expect("planned").expect("a route");
    let strip = strip(&view, at, Some(&against)).expect("drawn");
    let lane = strip.lanes.iter().find(|lane| lane.name == "Aboard").expect("a lane");
    assert_eq!(lane.came.len(), against.sounded_t.len());
    for (point, (when, t)) in lane.came.iter().zip(&against.sounded_t) {
        assert_eq!((point.at_s, point.value), (when.as_second() as f64, Some(*t)));
        assert!((strip.span.from_s..=strip.span.to_s).contains(&point.at_s));
    }
    let departure = against.plan.samples[0].at.as_second() as f64;
    assert_eq!(strip.span.from_s, departure);
    let behind = against.plan.index(view.timeline.samples[0].at);
    assert_eq!(lane.points.len(), behind + 1 + view.timeline.samples.len());
    let drawn = lane.points[behind / 2].band.expect("a band");
    let (low, _, high) = against.plan.samples[behind / 2].stock_t;
    assert_eq!((drawn.low, drawn.high), (low, high));
    let word = if against.off_t > 0.0 { "more than reckoned" } else { "less than reckoned" };
    assert!(against.ahead().contains(word) && strip.says.contains(word), "{}", strip.says);
}

/// A restart, with events, use and plan changed since, leaves the plan of the departure and what is held against it as they
/// were; a plan reckoned long after departure says so, and a file that nobody can read is reckoned anew.
#[test]
fn ident_the_plan_of_the_departure_outlives_a_restart() {
    let (folder, desk) = aboard();
    assert_eq!(desk.departure_kept(now()).expect("read"), None);
    let first = desk.against(now()).expect("read").expect("under way with soundings");
    assert!(!first.plan.at_once() && first.plan.reckoned == now());
    assert!(first.plan.says().starts_with("No plan was kept at departure"));
    assert!(first.plan.orders.iter().any(|order| order.plant));
    let head = desk.head().expect("read");
    drop(desk);

    let desk = Desk::open(folder.path(), now()).expect("opened");
    assert_eq!(desk.head().expect("read"), head, "the record has no part in it");
    let before = desk.against_at_hand(now()).expect("read").expect("kept");
    let draw = "[[draw]]\nname = \"hold 9\"\nfrom = \"2025-11-17T02:00Z\"\nhours = 6\nt = 25\n";
    let text = desk.events_text().expect("read").unwrap_or_default();
    desk.save_events(&format!("{text}\n{draw}"), "ce", now()).expect("kept");
    drop(desk);

    let desk = Desk::open(folder.path(), now()).expect("opened");
    let anew = desk.passage(before.plan.away, How::AtDeparture).expect("planned").expect("a route");
    let of_then = before.plan.samples.iter().map(|then| then.stock_t.1);
    let moved = of_then.zip(&anew.brief.bands.p50).any(|(a, b)| (a - b).abs() > 5.0);
    assert!(moved, "reckoned anew it would be another plan");
    for later in [desk.against_at_hand(now()), desk.against(now())] {
        assert_eq!(later.expect("read").expect("kept"), before);
    }
    // As it was first told, but for the thousandth of a tonne.
    assert_eq!((before.inside, before.plan.orders.len()), (first.inside, first.plan.orders.len()));
    assert!((before.off_t - first.off_t).abs() < 2.0e-3);
    assert_eq!(before.plan.samples.len(), first.plan.samples.len());
    for (then, as_it_was) in before.plan.samples.iter().zip(&first.plan.samples) {
        assert_eq!((then.at, &then.rule), (as_it_was.at, &as_it_was.rule));
        assert!((then.stock_t.1 - as_it_was.stock_t.1).abs() < 1.0e-3);
    }

    // A file that cannot be understood is as good as none.
    let path = folder.path().join(desk::passage::DEPARTURE_FILE);
    std::fs::write(&path, "{\"route\": 3").expect("written");
    assert_eq!(desk.against_at_hand(now()).expect("read"), None);
    let later = now() + SignedDuration::from_mins(30);
    let anew = desk.departure(later).expect("reckoned").expect("a departure");
    assert_eq!((anew.reckoned, anew.not_kept), (later, None));
    assert!(desk.departure_kept(later).expect("read").is_some());
}

/// The plan of a departure is kept as the passage begins, with no sounding since and nobody asking; a departure put off is
/// another one.
#[test]
fn ident_the_plan_is_kept_as_the_passage_begins() {
    let (_folder, desk) = aboard();
    let away = desk.departure(now()).expect("reckoned").expect("a departure").away;
    let (_folder, desk) = aboard();
    let mut foresight = Foresight::default();
    let just_after = away + SignedDuration::from_mins(10);
    assert!(foresight.look(&desk, just_after).expect("looked"));
    let kept = desk.departure_kept(just_after).expect("read").expect("kept");
    assert!(kept.at_once() && kept.away == away && kept.reckoned == just_after);
    assert!(kept.says().contains("and kept"), "{}", kept.says());
    assert_eq!(desk.departure(now()).expect("read"), Some(kept.clone()));
    assert_eq!(desk.departure_kept(away - SignedDuration::from_mins(1)).expect("read"), None);
}

/// The route as a chart system takes it is the route that was typed.
#[test]
fn ident_the_route_file_holds_the_route() {
    let (_folder, desk) = aboard();
    let file = desk.route_rtz().expect("read").expect("a route");
    let back = route::Reading::of_bytes(file.as_bytes()).route.expect("a route");
    let text = desk.route_text().expect("read").expect("a route");
    let kept = route::Reading::of_bytes(text.as_bytes()).route.expect("a route");
    assert_eq!(back.waypoints.len(), kept.waypoints.len());
    for (a, b) in back.waypoints.iter().zip(&kept.waypoints) {
        assert!((a.position.lat_deg() - b.position.lat_deg()).abs() < 1.0e-4);
        assert!((a.position.lon_deg() - b.position.lon_deg()).abs() < 1.0e-4);
    }
}

/// The same ship and route with an empty record: nobody has sounded her tanks yet.
#[test]
fn ident_a_tank_nobody_sounded_is_named() {
    let (_folder, known) = aboard();
    let view = known.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert!(view.unsounded.is_empty(), "{:?}", view.unsounded);
    let folder = tempfile::tempdir().expect("folder");
    let ship = folder.path().join(desk::SHIP_FILE);
    std::fs::write(ship, &known.setup().text).expect("ship file");
    let unread = Desk::open(folder.path(), now()).expect("opened");
    let route = known.route_text().expect("read").expect("a route");
    unread.save_route(&route, "2o", now()).expect("kept");
    let view = unread.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert_eq!(view.unsounded, ["Port", "Starboard", "Drinking", "Distilled"]);
}

/// After a start somebody who only looks in finds a plan that nobody asked for; nothing is planned twice, and a sounding,
/// a route or the next quarter of an hour is planned anew.
#[test]
fn ident_the_plan_is_made_before_anybody_asks() {
    let (_folder, desk) = aboard();
    assert_eq!(desk.ahead(now()).expect("read"), Outlook::NotPlanned);
    let mut foresight = Foresight::default();
    let mut look = |desk: &Desk, at| foresight.look(desk, at).expect("looked");
    assert!(look(&desk, now()));
    let Outlook::Planned(first) = desk.ahead(now()).expect("read") else { panic!("no plan") };
    let kept = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert_eq!(first, Ahead::of(&kept, now()));
    assert!(!look(&desk, now()), "nothing has changed");
    assert!(!look(&desk, now() + SignedDuration::from_mins(9)), "the same quarter of an hour");

    let later = now() + SignedDuration::from_mins(15);
    assert!(look(&desk, later));
    let Outlook::Planned(second) = desk.ahead(later).expect("read") else { panic!("no plan") };
    assert_eq!(second.planned, first.planned + SignedDuration::from_mins(15));

    let tank = desk.setup().ship.tanks[0].clone();
    let round = TypedRound {
        actor: "3e".into(),
        values: [(
            format!("sounding_cm.{}", tank.key),
            (tank.soundings[0][0].to_string(), String::new()),
        )]
        .into(),
        ..TypedRound::default()
    };
    desk.sign_round(&round, later, later).expect("signed");
    assert!(look(&desk, later));
    let Outlook::Planned(third) = desk.ahead(later).expect("read") else { panic!("no plan") };
    assert_ne!(third.on_arrival_t, second.on_arrival_t);

    // The ship's file says that the crew uses more.
    let ship = desk.setup().text.replace("crew = 22", "crew = 40");
    assert_ne!(ship, desk.setup().text);
    desk.save_ship(&ship, "ce", later).expect("kept");
    assert!(look(&desk, later));
    let Outlook::Planned(fourth) = desk.ahead(later).expect("read") else { panic!("no plan") };
    assert!(fourth.days_in_hand < third.days_in_hand);
}

/// A route that was mended by hand into one that cannot be sailed is told as such, once, and not tried again.
#[test]
fn ident_a_route_that_cannot_be_planned_is_told_to_who_looks_in() {
    let (folder, desk) = aboard();
    let lines = "departure: 2025-11-16T02:00Z\n12 00.0 S 045 10.0 E, \"Roads\"\n";
    std::fs::write(folder.path().join(desk::passage::ROUTE_FILE), lines).expect("written");
    let mut foresight = Foresight::default();
    assert!(foresight.look(&desk, now()).expect("looked"));
    assert!(!foresight.look(&desk, now()).expect("looked"));
    let Outlook::Refused(why) = desk.ahead(now()).expect("read") else { panic!("not refused") };
    let asked = desk.passage(now(), How::AtOnce).expect_err("no plan");
    assert_eq!(why, asked.to_string());
}

/// Eight who ask at once are answered by one plan: the very same.
#[test]
fn ident_nothing_is_planned_twice_at_once() {
    let (_folder, desk) = aboard();
    let plans: Vec<_> = std::thread::scope(|scope| {
        let ask = || desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
        let asking: Vec<_> = (0..8).map(|_| scope.spawn(ask)).collect();
        asking.into_iter().map(|asked| asked.join().expect("answered")).collect()
    });
    assert!(plans.iter().all(|plan| std::sync::Arc::ptr_eq(plan, &plans[0])));
}

/// Water aboard is counted by one rule, what the pump can reach: on Now, in the plan, and in the plan against actual. The plan
/// says what it reckons since the soundings.
#[test]
fn ident_water_aboard_is_what_the_pump_can_reach() {
    let (_folder, desk) = aboard();
    // As they were sounded: later the plan reckons them forward.
    let tanks = desk.now(now()).expect("read").tanks;
    let sounded = tanks.iter().map(|tank| tank.at).min().expect("a sounding");
    assert!(tanks.iter().all(|tank| tank.at == sounded));
    let view = desk.passage(sounded, How::AtOnce).expect("planned").expect("a route");
    let reach: f64 = tanks.iter().filter_map(|tank| tank.pumpable_m3).sum();
    let all: f64 = tanks.iter().filter_map(|tank| tank.content_m3).sum();
    assert!((view.aboard.stock_t() - reach).abs() < 1.0e-9 && reach < all - 1.0, "{reach} {all}");
    let reckons = |view: &PassageView| {
        view.reckoned.iter().any(|note| note.starts_with("What is aboard is reckoned forward"))
    };
    assert!(!reckons(&view), "{:?}", view.reckoned);
    let later = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert!(reckons(&later), "{:?}", later.reckoned);
}

/// Five holds rinsed with so much each, no less and none for sale: more than she can carry there.
fn far_too_much_rinsing(desk: &Desk) {
    let kept = desk.events_text().expect("read").expect("events");
    let draws = kept.split("[[for_sale]]").next().expect("draws");
    let lines = draws.lines().filter(|line| !line.starts_with("less_price_t"));
    let text: Vec<String> = lines.map(|line| line.replace("t = 30", "t = 72")).collect();
    desk.save_events(&text.join("\n"), "ce", now()).expect("kept");
}

/// A plan that takes heat off says why: one that lasts by what a tonne more would cost, one that does not by what binds.
#[test]
fn ident_heat_off_while_it_does_not_last_is_explained() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert!(view.lasts() && view.heat_off().is_some());
    let why = view.why_off.clone().unwrap_or_default();
    assert!(why.contains("because what is aboard lasts"), "{why}");

    far_too_much_rinsing(&desk);
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert!(!view.brief.policy.lasts() && view.heat_off().is_some());
    let why = view.why_off.clone().expect("a reason");
    let off = view.brief.policy.orders[0].heat_off.expect("ordered");
    let soon = &view.timeline.samples[off..off + 4];
    let rule = soon.iter().find_map(|sample| sample.rule.as_ref()).expect("a rule");
    assert!(
        why.contains("no water may be made after that") && why.contains(&rule.to_string()),
        "{why}"
    );
}

/// A speed, a sea and a stop told on the form are events in the record; the route stays as it is written, and the next plan
/// is by them. Told empty, the route holds again.
#[test]
fn ident_a_leg_changed_is_an_event_and_replans() {
    let (_folder, desk) = aboard();
    let route = desk.route_text().expect("read").expect("a route");
    let events = desk.events_text().expect("read").unwrap_or_default();
    let first = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let leg = first.legs.iter().find(|leg| leg.nmi > 200.0).expect("a long leg").clone();
    let head = desk.head().expect("read").0;
    let wanted = Wanted::typed(&leg.to.to_string(), "10,5", "30.5", "").expect("figures");
    desk.change_leg(&wanted, "2o", now()).expect("kept");
    assert_eq!(desk.route_text().expect("read").as_ref(), Some(&route));
    assert_eq!(desk.head().expect("read").0, head + 1, "one entry in the record");
    let second = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let changed = second.legs.iter().find(|other| other.to == leg.to).expect("the leg");
    assert!((changed.kn - 10.5).abs() < 1e-9 && changed.sea_temp_c == Some(30.5));
    assert_eq!(changed.told, (Some(10.5), Some(30.5), None));
    let load = leg.load_percent.expect("on it") * (10.5 / leg.kn).powi(3);
    assert!((changed.load_percent.expect("on it") - load).abs() < 0.1, "{changed:?} {load}");
    let later = changed.arrives.duration_since(leg.arrives).as_secs_f64() / 3600.0;
    let whole = leg.nmi / 10.5 - leg.nmi / leg.kn;
    assert!((later - whole).abs() < 0.01, "{later} {whole}");
    // What it made of the plan is told, and only where something was changed.
    assert_eq!(first.edited, None);
    let edited = second.edited.as_deref().expect("an edit");
    let arrives = |view: &PassageView| {
        let sample = &view.timeline.samples[view.arrival];
        view.timeline.clock.local(sample.at).strftime("%-d %b %H:%M").to_string()
    };
    let moved = format!("arrival {}, was {}", arrives(&second), arrives(&first));
    assert!(edited.starts_with("a speed, a stop") && edited.contains(&moved), "{edited}");
    let quarter = now() + SignedDuration::from_mins(15);
    let later = desk.passage(quarter, How::AtOnce).expect("planned").expect("a route");
    assert_eq!(later.edited, None);

    // The stop at Yokohama, a day longer; then everything as the route has it.
    let stop = first.legs.iter().find(|leg| leg.stop_h > 0.0).expect("a stop").clone();
    let hours = format!("{}", stop.stop_h + 24.0);
    let wanted = Wanted::typed(&stop.to.to_string(), "", "", &hours).expect("figures");
    desk.change_leg(&wanted, "2o", now()).expect("kept");
    let third = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let longer = third.legs.iter().find(|leg| leg.to == stop.to).expect("the stop");
    assert!((longer.stop_h - stop.stop_h - 24.0).abs() < 0.01, "{longer:?}");
    for to in [leg.to, stop.to] {
        let wanted = Wanted::typed(&to.to_string(), "", "", "").expect("nothing");
        desk.change_leg(&wanted, "2o", now()).expect("kept");
    }
    assert_eq!(desk.events_text().expect("read").unwrap_or_default(), events);

    for (to, kn, says) in [("1", "9", "waypoints 2 to"), ("900", "9", "waypoints 2 to")] {
        let wanted = Wanted::typed(to, kn, "", "").expect("figures");
        let refused = desk.change_leg(&wanted, "2o", now()).expect_err(to).to_string();
        assert!(refused.contains(says), "{refused}");
    }
    let wanted = Wanted::typed(&leg.to.to_string(), "24", "", "").expect("figures");
    let refused = desk.change_leg(&wanted, "2o", now()).expect_err("too fast").to_string();
    assert!(refused.contains("% engine load") && refused.contains("110 %"), "{refused}");
    let wrong = Wanted::typed("x", "fast", "99", "-3").expect_err("no figures");
    let fields: Vec<&str> = wrong.iter().map(|(field, _)| *field).collect();
    assert_eq!(fields, ["leg_kn", "leg_sea_c", "leg_stop_h", "leg"]);
}

/// A route that says nothing of the ship's clocks is planned by the record's, and that is told; one that says UTC is by UTC.
#[test]
fn ident_a_route_without_a_zone_goes_by_the_records_clocks() {
    let (_folder, desk) = aboard();
    let seas = Seas::built_in().expect("data");
    let lines = "04 24 N 154 18 E, ETD 2025-11-16 06:00Z\n09 30 N 152 42 E, 13 kn\n14 30 N 148 12 E, 13 kn\n";
    let planned = |text: &str| desk.passage_of(text, now(), How::AtOnce, &seas).expect("planned");
    let told = |view: &desk::passage::PassageView| {
        view.brief.notes.iter().filter(|note| note.contains("no ship’s time")).count()
    };
    let silent = planned(lines);
    let zone = silent.timeline.clock.zone(now()).seconds();
    assert_eq!((zone, told(&silent), silent.zones.is_none()), (10 * 3600, 1, true));
    let utc = planned(&format!("zone: +00\n{lines}"));
    assert_eq!((utc.timeline.clock.zone(now()).seconds(), told(&utc)), (0, 0));
    assert!(utc.zones.is_some(), "the record's clocks stand elsewhere");
}

/// Faster arrives sooner and burns more, slower later and less; what each comes to is a plan of its own.
#[test]
fn ident_other_speeds_are_planned_beside_the_remedies() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::Whole).expect("planned").expect("a route");
    let [faster, slower] = view.speeds.get(..2).expect("two at least") else { panic!("two") };
    assert!(faster.more_kn > 0.0 && slower.more_kn < 0.0);
    let (fast, slow) =
        (faster.plan.as_ref().expect("planned"), slower.plan.as_ref().expect("planned"));
    let arrives = view.timeline.samples[view.arrival].at;
    assert!(fast.arrives < arrives && arrives < slow.arrives);
    let (more, less) = (fast.fuel_more.expect("told"), slow.fuel_more.expect("told"));
    assert!(more > 0.0 && less < 0.0, "{more} {less}");
    // By the third power of speed an hour, by the second for the way: about 2 x 1/13.2 of the fuel to arrival.
    let sea_load = desk.setup().ship.orders.sea_load_percent / 100.0;
    let days: f64 = view.timeline.samples[..view.arrival]
        .iter()
        .filter(|sample| sample.moment.is_under_way())
        .map(|sample| sample.load / sea_load / 96.0)
        .sum();
    let burnt = days * 22.0 * 600.0;
    assert!((more / burnt - 2.0 / 13.2).abs() < 0.04, "{more} of {burnt}");
    for (one, plan) in [(faster, fast), (slower, slow)] {
        let (low, middle, high) = plan.on_arrival_t;
        assert!(low <= middle && middle <= high && one.what.contains("from now on"), "{one:?}");
    }
    // Where neither lasts the search goes on; what it ends with lasts.
    if !view.lasts() && view.speeds.len() == 3 {
        assert!(view.speeds[2].plan.as_ref().expect("planned").lasts);
    }
}

/// The sentence over a plan that does not last says the ship's date, no shorthand; Now has the same, and what is due now.
#[test]
fn ident_the_reason_is_told_with_its_date_and_without_shorthand() {
    let (_folder, desk) = aboard();
    far_too_much_rinsing(&desk);
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert!(!view.lasts());
    let dry = view.brief.policy.stock_t.iter().skip(1).position(|t| *t <= 0.0).expect("dry") + 1;
    let at = view.timeline.samples.get(dry).map(|sample| sample.at).expect("in the plan");
    let date = view.timeline.clock.local(at).strftime("%-d %b %H:%M").to_string();
    assert!(view.says.starts_with("It does not last: "), "{}", view.says);
    assert!(
        view.says.contains(&date) && view.says.contains("water to rinse with"),
        "{}",
        view.says
    );
    for shorthand in ["P10", "day "] {
        assert!(!view.says.contains(shorthand), "{}", view.says);
    }
    let ahead = Ahead::of(&view, now());
    assert_eq!(ahead.why.as_ref(), Some(&view.says));
    match view.heat(now()) {
        Heat::OffNow => assert_eq!(ahead.due.map(|order| order.what), Some("Heat off".into())),
        Heat::OffBy(sample) => assert!(sample.at > now()),
        Heat::StaysOn | Heat::None => panic!("it does not last and takes the heat off"),
    }
}

/// A stretch forbidden by distance tells its least and most, and when the order is passed.
#[test]
fn ident_a_stretch_tells_its_least_and_most() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let near = view.stretches();
    let near: Vec<_> = near.iter().filter(|s| s.says.contains("nmi off")).collect();
    assert!(!near.is_empty());
    for stretch in near {
        let inside =
            view.timeline.samples.iter().filter(|s| s.at >= stretch.from && s.at < stretch.to);
        let offs: Vec<f64> = inside.map(|s| s.sea.distance_off.nmi()).collect();
        let least = offs.iter().copied().fold(f64::INFINITY, f64::min);
        let told: Vec<f64> =
            stretch.says.split([' ', ',']).filter_map(|word| word.parse::<f64>().ok()).collect();
        assert!(told[0] <= least + 0.05, "{}: {least}", stretch.says);
        assert!(told.contains(&20.0), "{}", stretch.says);
    }
}

/// An empty distilled tank comes before all else that is said, though the water of all tanks together lasts.
#[test]
fn ident_water_missing_at_a_tap_comes_first() {
    let (_folder, desk) = aboard();
    let setup = desk.setup();
    let route = desk.route_text().expect("read").expect("a route");
    let route = route::Reading::of_bytes(route.as_bytes()).route.expect("read");
    let tank = |name: &str, class, stock_t, state| Tank {
        name: name.into(),
        class,
        cap_t: 400.0,
        stock_t,
        dead_t: 1.0,
        state,
        undosed_t: None,
    };
    let mut aboard =
        desk.passage(now(), How::AtOnce).expect("planned").expect("a route").aboard.clone();
    aboard.tanks = vec![
        tank("FW", Class::Domestic, 390.0, TankState::Serving),
        tank("Distilled", Class::Technical, 1.0, TankState::Ready),
    ];
    // Of its first tonnes nothing is pumped.
    aboard.tanks[1].dead_t = 12.0;
    aboard.state = State::Off;
    let events = Events::default();
    let seas = Seas::built_in().expect("built in");
    let voyage = Voyage { route: &route, events: &events, aboard: &aboard, share: 1.0 };
    let view = desk::passage::planned(&setup, &voyage, now(), How::AtOnce, &seas).expect("planned");
    let short = &view.brief.tank_plan.as_ref().expect("tanks").short;
    let distilled = short.iter().find(|s| s.what == Want::Technical).expect("missing at once");
    assert!(view.brief.policy.lasts() && !view.lasts() && view.runs_out(), "{}", view.says);
    let says = format!("{:.1} t of distilled water are missing from ", distilled.tonnes);
    assert!(view.says.starts_with(&format!("It does not last: {says}")), "{}", view.says);
    assert!(
        view.says.contains("no water left in what it is drawn from: Distilled"),
        "{}",
        view.says
    );
    let ahead = Ahead::of(&view, now());
    assert!(!ahead.holds && ahead.why.as_ref() == Some(&view.says));
}

/// With nothing but Port to begin with what is missing first in time is told first, and the distilled tank is filled from now.
#[test]
fn ident_of_several_shortages_the_first_in_time_is_told_first() {
    let (_folder, desk) = aboard();
    let setup = desk.setup();
    let sounded =
        setup.ship.tanks.iter().zip(["150", "0", "0", "0"]).map(|(tank, cm)| {
            (format!("sounding_cm.{}", tank.key), (cm.to_owned(), String::new()))
        });
    let values = sounded.collect();
    let round = TypedRound { actor: "3e".into(), values, ..TypedRound::default() };
    desk.sign_round(&round, now(), now()).expect("signed");
    far_too_much_rinsing(&desk);
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let short = &view.brief.tank_plan.as_ref().expect("tanks").short;
    assert!(short.len() > 1, "{short:?}");
    let first = short.iter().min_by_key(|short| short.from).expect("some");
    let most = short.iter().max_by(|a, b| a.tonnes.total_cmp(&b.tonnes)).expect("some");
    assert!(first.what == Want::Technical && most.what == Want::WashDown, "{short:?}");
    // Of its first tonne nothing is pumped: too little is missing for a sounding to tell, and it is told apart.
    assert!(!first.is_told(), "{first:?}");
    let says =
        format!("It just lasts: by the orders {:.1} t of distilled water from", first.tonnes);
    assert!(view.just.as_ref().is_some_and(|just| just.starts_with(&says)), "{:?}", view.just);
    let told = short.iter().filter(|short| short.is_told()).min_by_key(|short| short.from);
    let says = format!("It does not last: {:.1} t of ", told.expect("some").tonnes);
    assert!(view.says.starts_with(&says), "{}", view.says);
}

/// The small form reads a sea temperature in another unit, and a unit after a figure; what is out of range is told in its own.
#[test]
fn ident_the_small_form_takes_units() {
    let wanted = Wanted::typed("3", "10.5 kn", "86 F", "36 h").expect("figures");
    assert!((wanted.sea_temp_c.expect("a sea") - 30.0).abs() < 1.0e-9, "{wanted:?}");
    assert_eq!((wanted.kn, wanted.stop_h), (Some(10.5), Some(36.0)));
    let wrong = Wanted::typed("3", "10 kg", "120 F", "").expect_err("refused");
    let said: Vec<_> = wrong.iter().map(|(field, why)| format!("{field}: {why}")).collect();
    assert!(said.iter().any(|s| s.starts_with("leg_kn: ")), "{said:?}");
    assert!(said.iter().any(|s| s.starts_with("leg_sea_c: 48.9 °C, allowed")), "{said:?}");
}

/// Orders given stand: a quarter of an hour later with nothing changed they are the same and the plan says since when; a
/// sounding beyond what they foresaw gives new ones.
#[test]
fn ident_orders_stand_until_something_speaks_against_them() {
    let (_folder, desk) = aboard();
    let planned = |at| desk.passage(at, How::AtOnce).expect("planned").expect("a route");
    let first = planned(now());
    assert_eq!(first.ordered, first.from);
    let says = |view: &PassageView| -> Vec<String> {
        let orders = |note: &&String| note.contains("rders of") || note.contains("rders in place");
        view.brief.notes.iter().filter(orders).cloned().collect()
    };
    assert!(says(&first).is_empty(), "{:?}", first.brief.notes);
    for quarters in [1, 2, 3] {
        let later = now() + SignedDuration::from_mins(15 * quarters);
        let second = planned(later);
        let plant = |view: &PassageView| -> Vec<_> {
            let lines = view.orders.iter().filter(|order| order.plant && order.at >= later);
            lines.map(|order| (order.at, order.what.clone())).collect()
        };
        assert_eq!(plant(&second), plant(&first));
        assert_eq!(second.ordered, first.ordered);
        let says = says(&second);
        assert!(says.len() == 1 && says[0].contains(" stand: "), "{says:?}");
    }
    let later = now() + SignedDuration::from_mins(60);
    let tank = desk.setup().ship.tanks[0].clone();
    let round = TypedRound {
        actor: "3e".into(),
        values: [(
            format!("sounding_cm.{}", tank.key),
            (tank.soundings[0][0].to_string(), String::new()),
        )]
        .into(),
        ..TypedRound::default()
    };
    desk.sign_round(&round, later, later).expect("signed");
    let third = planned(later);
    assert_eq!(third.ordered, third.from);
    let says = says(&third);
    assert!(says.len() == 1 && says[0].contains("less was sounded"), "{says:?}");
}

/// A drift and an anchorage on the way are no arrival: she is bound for the last waypoint, or where she goes alongside.
#[test]
fn ident_a_stop_on_the_way_is_no_arrival() {
    let (_folder, desk) = aboard();
    let route = "departure: 2025-11-16 06:00Z\n34 S 152 E, Cape, full away, 12 kn\n30 S 160 E, drift 2 d\n25 S 165 E, anchor 12 h\n20 S 170 E, Vila, end of passage, berth 3 d\n";
    desk.save_route(route, "2o", now()).expect("kept");
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert_eq!(view.to, "Vila");
    let arrives = view.timeline.samples[view.arrival].at;
    let last = view.legs.last().expect("a leg").arrives;
    let apart = arrives.duration_since(last).as_secs_f64().abs();
    assert!(apart <= 900.0, "{arrives} {last}");
}

/// Each tank on arrival: between empty and full, in its band, and all together about what is foreseen.
#[test]
fn ident_the_tanks_on_arrival_add_up() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let tanks = view.tanks_ahead();
    assert_eq!(tanks.len(), desk.setup().ship.tanks.len());
    for tank in &tanks {
        let (low, planned, high) = tank.on_arrival_t;
        assert!(0.0 <= low && low <= planned && planned <= high, "{tank:?}");
        assert!(high <= tank.full_t + 1e-9 && tank.now_t <= tank.full_t + 1e-9, "{tank:?}");
    }
    let now_t: f64 = tanks.iter().map(|tank| tank.now_t).sum();
    assert!((now_t - view.aboard.stock_t()).abs() < 0.01, "{now_t}");
    let arriving_t: f64 = tanks.iter().map(|tank| tank.on_arrival_t.1).sum();
    let (low, middle, high) = view.on_arrival_t();
    assert!((arriving_t - middle).abs() < 2.0 + (high - low), "{arriving_t} {middle}");
    // Each has its lane under what they hold together.
    let drawn = strip(&view, now(), None).expect("a strip");
    for tank in &tanks {
        assert!(drawn.lanes.iter().any(|lane| lane.name == tank.name), "{}", tank.name);
    }
}

/// Soundings of long ago are told with what was used since; those of the day are not.
#[test]
fn ident_old_soundings_are_told() {
    let (_folder, desk) = aboard();
    let view = |hours: i64| {
        let at = now() + SignedDuration::from_hours(hours);
        desk.passage(at, How::AtOnce).expect("planned").expect("a route").stale.clone()
    };
    assert_eq!(view(0), None);
    let told = view(72).expect("told");
    assert!(told.contains("days ago") && told.contains("t were used since"), "{told}");
}

#[test]
fn ident_a_route_that_is_over_does_not_take_the_place_of_one_that_is_not() {
    let (_folder, desk) = aboard();
    let kept = desk.route_text().expect("read");
    let over =
        "departure: 2020-12-01 06:00Z\n34 S 152 E, Cape, full away, 12 kn\n20 S 170 E, Vila\n";
    let why = desk.save_route(over, "2o", now()).expect_err("refused").to_string();
    assert!(why.contains("1 Dec 2020") && why.contains("Correct the year"), "{why}");
    assert_eq!(desk.route_text().expect("read"), kept);
}

/// Through two hours with nothing read and nothing written the orders stand, quarter after quarter, or the page says which came
/// in their place and why.
#[test]
fn ident_orders_stand_through_hours_in_which_nothing_is_heard() {
    let (_folder, desk) = aboard();
    let plan = |at: Timestamp| desk.passage(at, How::AtOnce).expect("planned").expect("a route");
    let to_come = |view: &PassageView, from: Timestamp| {
        let plant = view.orders.iter().filter(|order| order.plant && order.at > from);
        plant.map(|order| (order.at, order.what.clone())).collect::<Vec<_>>()
    };
    let mut before = plan(now());
    let mut told = 0;
    for quarter in 1..=8 {
        let at = now() + SignedDuration::from_mins(15 * quarter);
        let view = plan(at);
        let anew = view.brief.notes.iter().any(|note| note.starts_with("New orders in place"));
        if anew {
            told += 1;
        } else {
            assert_eq!(to_come(&view, at), to_come(&before, at), "quarter {quarter}, untold");
            assert_eq!(view.ordered, before.ordered);
        }
        before = view;
    }
    assert!(told <= 1, "{told} times new orders in two hours of nothing");
}

/// A departure still to come: planned from alongside with the plant off, nothing ordered before she is full away; what is
/// aboard is that of now.
#[test]
fn ident_a_departure_to_come_is_planned_from_alongside() {
    let (_folder, desk) = aboard();
    let tanks = desk.now(now()).expect("read").tanks;
    let sounded_t: f64 = tanks.iter().filter_map(|tank| tank.pumpable_m3).sum();
    let route = "departure: 2025-11-17 16:00Z\n34 S 152 E, Cape, full away, 12 kn\n20 S 165 E, 12 kn\n20 S 170 E, Vila, end of passage, berth 3 d\n";
    desk.save_route(route, "2o", now()).expect("kept");
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let departs: Timestamp = "2025-11-17T16:00:00Z".parse().expect("a moment");
    assert_eq!(view.from, departs);
    assert_eq!(view.aboard.state, State::Off);
    // Alongside nothing is made that the counter does not tell: its last rate does not go on.
    let off_t = view.aboard.stock_t() - sounded_t;
    let reckoned = |note: &&String| note.starts_with("What is aboard is reckoned");
    let says = view.reckoned.iter().find(reckoned).expect("reckoned forward");
    assert!(off_t.abs() < 6.0 && says.contains("by the meter,"), "{off_t} {says}");
    assert!(!says.contains("from its last reading on"), "{says}");
    // With next to nothing in the two main tanks she has to make water: an hour after full away at the earliest.
    let setup = desk.setup();
    let low = setup.ship.tanks.iter().take(2).map(|tank| {
        let cm = tank.soundings[0][0].to_string();
        (format!("sounding_cm.{}", tank.key), (cm, String::new()))
    });
    let round = TypedRound { actor: "3e".into(), values: low.collect(), ..TypedRound::default() };
    desk.sign_round(&round, now(), now()).expect("signed");
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let settled = departs + SignedDuration::from_hours(1);
    let first = view.orders.iter().find(|order| order.plant).expect("an order");
    assert!(first.at >= settled && first.what.starts_with("Line up"), "{first:?}");
    let notes = &view.brief.notes;
    assert!(notes.iter().any(|note| note.starts_with("She departs in 36 hours")), "{notes:?}");
    assert_eq!(desk.departure_kept(now()).expect("read"), None);
}

/// The share of a clean plant's output that the plan goes by is the middle of what Now told at each of the last rounds.
#[test]
fn cross_the_plan_goes_by_the_share_that_now_tells() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let rounds = desk.rounds(now(), 40).expect("rounds");
    let days_ago = now() - SignedDuration::from_hours(5 * 24);
    let told = |at: Timestamp| match desk.now(at).expect("now").verdict {
        desk::now::Verdict::Running { made, should } => Some(made / should.middle),
        _ => None,
    };
    let of_days = rounds.iter().filter(|round| round.at >= days_ago && round.counts());
    let mut shares: Vec<f64> = of_days.filter_map(|round| told(round.at)).collect();
    assert!(shares.len() > 10, "{shares:?}");
    let newest = *shares.last().expect("a round");
    shares.sort_by(f64::total_cmp);
    let middle = shares[shares.len() / 2];
    assert!((view.share - middle).abs() < 0.01, "{} {middle}", view.share);
    let says = format!("has {:.0} %", (100.0 * newest).floor());
    assert!(view.share_says.contains(&says), "{says}: {}", view.share_says);
}

/// Days of use are of the usual day at sea; that dated draws are not in them is said where there are some.
#[test]
fn ident_days_of_use_say_which_use() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let day_t = view.day_t;
    assert!((view.days_in_hand() - view.on_arrival_t().1 / day_t).abs() < 1.0e-9);
    let told = |view: &PassageView| {
        view.reckoned.iter().find(|note| note.starts_with("Days of use")).cloned()
    };
    let says = told(&view).expect("told");
    assert!(says.contains(&format!("{day_t:.1} t a day")) && says.contains("150 t"), "{says}");
    desk.save_events("", "ce", now()).expect("kept");
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    assert_eq!(told(&view), None);
}

/// The stock that is shown follows from the orders beside it: what is made comes in, what is used goes out, at every sample.
#[test]
fn ident_what_is_aboard_follows_from_the_orders() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let day_t = view.day_t / 96.0;
    let mut drawn_t = 0.0;
    for k in 0..view.timeline.samples.len() {
        let (low, here, high) = view.stock_t(k);
        let next = view.stock_t(k + 1).1;
        let out_t = here + view.making_t_day[k] / 96.0 - next;
        // The day of the ship's own use, and the dated draws on top of it.
        assert!(out_t > -0.06, "sample {k}: {out_t} t came from nowhere");
        drawn_t += (out_t - day_t).max(0.0);
        assert!(low <= here && here <= high);
    }
    let dated: f64 = 150.0;
    assert!((drawn_t - dated).abs() < 8.0, "{drawn_t} t drawn, {dated} dated");
}

/// Every figure of what is aboard is what can be pumped, and the tanks add up to it at arrival; what no pump reaches is told once.
#[test]
fn ident_every_figure_is_of_water_to_use() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let tanks = view.tanks_ahead();
    let arriving_t: f64 = tanks.iter().map(|tank| tank.on_arrival_t.1).sum();
    // Tanks are told by the hour.
    let hour = view.arrival / 4 * 4;
    assert!((arriving_t - view.stock_t(hour).1).abs() < 1.0e-6, "{arriving_t}");
    let dead_t: f64 = view.aboard.tanks.iter().map(|tank| tank.stock_t.min(tank.dead_t)).sum();
    let told = format!("besides, {dead_t:.1} t are aboard that no pump reaches");
    let notes = &view.reckoned;
    assert_eq!(notes.iter().filter(|note| note.contains(&told)).count(), 1, "{notes:?}");
    // The tank that is filled is dosed for what the counter ran into it before, too.
    let filling = view.aboard.tanks.iter().find(|tank| tank.state == TankState::Filling);
    let before_t = filling.expect("one is filled").undosed_t.expect("counted");
    assert!(before_t > 0.5, "{before_t}");
    let mut doses = view.orders.iter().filter(|order| order.what.contains("chlorine"));
    let dose = doses.next().expect("dosed");
    assert!(dose.what.contains("since its last dose"), "{}", dose.what);
}

/// A route of which a part is sailed: the ways still to go add up to what is to go.
#[test]
fn ident_the_legs_add_up_to_what_is_to_go() {
    let (_folder, desk) = aboard();
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let arrives = view.timeline.samples[view.arrival].at;
    // She arrives within the sample.
    let end = arrives + SignedDuration::from_mins(15);
    let before = |leg: &&desk::passage::LegLine| leg.arrives < end;
    let to_go: f64 = view.legs.iter().filter(before).map(|leg| leg.nmi).sum();
    assert!((to_go - view.to_go_nmi).abs() < 4.0, "{to_go} {}", view.to_go_nmi);
}

/// A changed cost says what of it is more and what is less.
#[test]
fn ident_a_changed_cost_says_what_it_is_made_of() {
    let (_folder, desk) = aboard();
    desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let kept = desk.events_text().expect("read").expect("events");
    let rinse = "[[draw]]\nname = \"hold 9\"\nfrom = \"2025-11-24T02:00Z\"\nhours = 6\nt = 25\n";
    desk.save_events(&format!("{kept}\n{rinse}"), "ce", now()).expect("kept");
    let view = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let says = view.edited.clone().expect("told");
    let cost = says.split("; ").find(|part| part.starts_with("expected cost"));
    let cost = cost.unwrap_or_else(|| panic!("{says}"));
    assert!(cost.contains("(less: ") || cost.contains("(more: "), "{says}");
}

/// One tank that has to serve and cannot be filled: the reason is the tanks, and no figure behind it speaks against it.
#[test]
fn ident_what_the_tanks_cannot_carry_is_not_contradicted() {
    let (_folder, desk) = aboard();
    let setup = desk.setup();
    let route = desk.route_text().expect("read").expect("a route");
    let route = route::Reading::of_bytes(route.as_bytes()).route.expect("read");
    let planned = desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let mut aboard = planned.aboard.clone();
    aboard.tanks.truncate(1);
    aboard.tanks[0].state = TankState::Serving;
    aboard.tanks[0].stock_t = 46.0;
    let events = Events::default();
    let seas = Seas::built_in().expect("built in");
    let voyage = Voyage { route: &route, events: &events, aboard: &aboard, share: 1.0 };
    let view = desk::passage::planned(&setup, &voyage, now(), How::AtOnce, &seas).expect("planned");
    assert!(view.cannot().is_some() && !view.lasts(), "{}", view.says);
    assert!(view.says.contains("is the only one for domestic water"), "{}", view.says);
    assert!(view.says.contains("are missing from"), "{}", view.says);
    assert_eq!(view.why_off, None);
    // What is made finds no tank: it is in no figure.
    let used_t = view.day_t * view.arrival as f64 / 96.0;
    let left_t = (view.stock_t(0).1 - used_t).max(0.0);
    assert!((view.on_arrival_t().1 - left_t).abs() < 1.0, "{} {left_t}", view.on_arrival_t().1);
}

/// Orders given stand through a restart: a program begun again a quarter of an hour later, nothing having been heard, has the same
/// ones. A file that nobody can read gives them up, and no more.
#[test]
fn ident_orders_outlive_a_restart() {
    let (folder, desk) = aboard();
    let plan = |desk: &Desk, at| desk.passage(at, How::AtOnce).expect("planned").expect("a route");
    let first = plan(&desk, now());
    drop(desk);
    let later = now() + SignedDuration::from_mins(15);
    let desk = Desk::open(folder.path(), later).expect("opened");
    let second = plan(&desk, later);
    let plant = |view: &PassageView| -> Vec<_> {
        let lines = view.orders.iter().filter(|order| order.plant && order.at >= later);
        lines.map(|order| (order.at, order.what.clone())).collect()
    };
    assert_eq!((plant(&second), second.ordered), (plant(&first), first.ordered));
    assert!((second.on_arrival_t().1 - first.on_arrival_t().1).abs() < 1.0);
    drop(desk);
    let file = folder.path().join(desk::passage::ORDERS_FILE);
    std::fs::write(&file, "{\"route\": 3").expect("written");
    let desk = Desk::open(folder.path(), later).expect("opened");
    let third = plan(&desk, later);
    assert_eq!(third.ordered, third.from);
    assert!(std::fs::read_to_string(&file).expect("kept anew").contains("\"doing\""));
}
