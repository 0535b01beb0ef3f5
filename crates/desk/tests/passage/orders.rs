//! Passage through the desk: orders, how long they stand, the plan of the departure, and why heat comes off.

use desk::Desk;
use desk::entry::TypedRound;
use desk::passage::{Ahead, Foresight, Heat, How, Outlook, PassageView, strip};
use jiff::{SignedDuration, Timestamp};
use passage::decision::State;

use crate::{aboard, far_too_much_rinsing, now};

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

/// A plan made before the plant was stopped by a list says so, until it is planned anew.
#[test]
fn ident_a_plan_made_before_a_stop_by_a_list_says_so() {
    let (_folder, desk) = aboard();
    desk.passage(now(), How::AtOnce).expect("planned").expect("a route");
    let at = |min: i64| now().checked_add(SignedDuration::from_mins(min)).expect("a moment");
    let ahead = |at| match desk.ahead(at).expect("read") {
        Outlook::Planned(ahead) => ahead,
        other => panic!("{other:?}"),
    };
    assert_eq!(ahead(at(25)).switched, None);
    let stop = desk.begin_run("stop", "2e", None, at(20)).expect("begun");
    let doing = desk::procedures::Doing {
        run: stop,
        step: "heat-off",
        by: "2e",
        at: None,
        readings: &[],
        what: desk::procedures::What::Tick { looked: true },
        more: desk::procedures::More::default(),
        token: "",
    };
    desk.do_step(&doing, at(30)).expect("ticked");
    assert_eq!(ahead(at(31)).switched, Some((at(30), false)));
    let view = desk.passage(at(31), How::AtOnce).expect("planned").expect("a route");
    assert!(matches!(view.aboard.state, State::Off), "{:?}", view.aboard.state);
    assert_eq!(ahead(at(32)).switched, None);
}
