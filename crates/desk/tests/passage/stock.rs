//! Passage through the desk: what is aboard, tank by tank, and what is missing.

use desk::Desk;
use desk::entry::TypedRound;
use desk::passage::{Ahead, Events, How, PassageView, Seas, Voyage, strip};
use jiff::{SignedDuration, Timestamp};
use passage::decision::{Class, State, Tank, TankState, Want};

use crate::{aboard, far_too_much_rinsing, now};

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
