//! Marks and the ways left at them, the debrief on the way, the list that the gauges call for.

use super::*;

#[test]
fn ident_a_mark_brings_back_the_very_same_run() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    good_start(&aboard, id);
    aboard.act(id, Practising::Mark);
    let there = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    let forth = |minutes: &str| {
        aboard.act(id, Practising::On { minutes: minutes.to_owned() });
        aboard.desk.practice_standing(id, "a", at(0)).unwrap()
    };
    let first = forth("20");
    aboard.act(id, turn("feed", "0"));
    forth("10");
    aboard.act(id, Practising::Back { to: there.time_s.to_string() });
    let mut back = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    assert_eq!(back.vessel, there.vessel);
    assert_eq!(back.clock, there.clock);
    back = forth("20");
    assert_eq!(back.vessel, first.vessel);
    // A minute back, on the run's own marks.
    aboard.act(id, Practising::Back { to: "-60".to_owned() });
    assert!((aboard.time_s(id) - (first.time_s - 60.0)).abs() <= 60.0);
    assert!(aboard.time_s(id) < first.time_s);
}

fn marks(aboard: &Aboard, id: u64) -> Vec<(String, Way)> {
    let standing = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    standing.marks.iter().map(|mark| (mark.clock.clone(), mark.way)).collect()
}

/// A mark says how it lies: behind, ahead on the same way, or on a way that was left for another.
#[test]
fn ident_a_mark_keeps_the_way_it_was_set_on() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    aboard.on_to(id, 600.0);
    aboard.act(id, turn("overboard", "100"));
    aboard.on_to(id, 1200.0);
    aboard.act(id, Practising::Mark);
    let way = |clock: &str| {
        let found = marks(&aboard, id).into_iter().find(|(at, _)| at == clock);
        found.expect("the mark").1
    };
    assert_eq!(way("0:20:00"), Way::Back);
    let marked = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    let marked_s = marked.marks.last().unwrap().at_s;
    aboard.act(id, Practising::Back { to: "0".to_owned() });
    assert_eq!(way("0:20:00"), Way::On, "nothing was done otherwise yet");
    aboard.on_to(id, 300.0);
    aboard.act(id, turn("feed", "0"));
    assert_eq!(way("0:20:00"), Way::Left);
    aboard.on_to(id, 1500.0);
    assert_eq!(way("0:20:00"), Way::Left, "this run never came by it");
    // A minute ago is a minute ago of this run, not of the way that was left.
    aboard.act(id, Practising::Back { to: "-240".to_owned() });
    let standing = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    assert_eq!(standing.valves.iter().find(|valve| valve.name == "feed").unwrap().stands, "shut");
    aboard.act(id, Practising::Back { to: marked_s.to_string() });
    let over = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    assert_eq!(over.vessel, marked.vessel);
    assert_eq!(way("0:20:00"), Way::Back);
}

/// What the gauges show calls for its list, until it is followed.
#[test]
fn ident_a_dark_ship_is_offered_the_list_for_it() {
    let aboard = aboard();
    let id = aboard.begin("blackout");
    let offered = || aboard.desk.practice_standing(id, "a", at(0)).unwrap().suits.map(|s| s.key);
    assert_eq!(offered(), None);
    while aboard.time_s(id) < 3600.0 && offered().is_none() {
        aboard.act(id, Practising::On { minutes: "1".to_owned() });
    }
    assert_eq!(offered(), Some("blackout"));
    aboard.act(id, Practising::Step(AtStep::Follow { key: "blackout".to_owned() }));
    assert_eq!(offered(), None);
}

/// A heater that was not vented makes less than it should (common practice): the debrief names it, once.
#[test]
fn ident_air_left_in_the_heater_is_named() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    good_start_with(&aboard, id, false);
    let against: Vec<String> =
        aboard.desk.practice_debrief(id).unwrap().against.iter().map(|h| h.says.clone()).collect();
    let air: Vec<_> =
        against.iter().filter(|says| says.contains("air left in the heater")).collect();
    assert_eq!(air.len(), 1, "{against:?}");
}

/// Back one minute is a minute of this run wherever it is pressed: the run is lived again, and stands where it stood.
#[test]
fn ident_a_minute_back_is_a_minute_back_after_a_mark_as_well() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    good_start(&aboard, id);
    let at_end = aboard.time_s(id);
    let gauges = || aboard.desk.practice_standing(id, "a", at(0)).unwrap().gauges;
    let back = |to: &str| aboard.act(id, Practising::Back { to: to.to_owned() });
    aboard.act(id, Practising::Mark);
    let here = gauges();
    back("1300");
    assert!((aboard.time_s(id) - 1300.0).abs() < 1e-6);
    for k in 1..=15 {
        back("-60");
        assert!((aboard.time_s(id) - (1300.0 - 60.0 * f64::from(k))).abs() < 1e-6, "{k}");
    }
    back(&at_end.to_string());
    assert_eq!(gauges(), here, "the mark's very run");
    // What was done stands in the run that is lived again, in its order.
    back("-60");
    let debrief = aboard.desk.practice_debrief(id).unwrap();
    let by_hand = debrief.happened.iter().filter(|h| h.by_hand).count();
    assert!(by_hand >= 20, "{by_hand}");
}

/// In an emergency's list too, a tick that the handles do not bear out is told.
#[test]
fn ident_a_blackout_ticked_and_not_done_is_told() {
    let aboard = aboard();
    let id = aboard.begin("blackout");
    aboard.on_to(id, 615.0);
    aboard.act(id, Practising::Step(AtStep::Follow { key: "blackout".to_owned() }));
    for _ in 0..3 {
        aboard.act(id, Practising::Step(AtStep::Tick { looked: true }));
    }
    let against = aboard.desk.practice_debrief(id).unwrap().against;
    let told = against.iter().filter(|h| h.says.contains("ticked, and not so")).count();
    assert_eq!(told, 3, "{against:?}");
}

/// Back to before another list was taken up, the first is followed again, as far as it was ticked.
#[test]
fn ident_the_list_of_then_is_followed_again_with_its_ticks() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    let follow = |key: &str| Practising::Step(AtStep::Follow { key: key.to_owned() });
    aboard.on_to(id, 60.0);
    aboard.act(id, Practising::Step(AtStep::Tick { looked: true }));
    aboard.on_to(id, 120.0);
    aboard.act(id, follow("blackout"));
    aboard.on_to(id, 150.0);
    aboard.act(id, Practising::Back { to: "-60".to_owned() });
    let beside = aboard.desk.practice_standing(id, "a", at(0)).unwrap().beside.expect("a list");
    assert_eq!((beside.key.as_str(), beside.step.map(|step| step.no)), ("start", Some(2)));
}

/// A tank shut and heat off at once as the lights go out: what the diverting valve lets by on its way is a splash, no water over the
/// limit to the tank.
#[test]
fn ident_a_splash_is_not_told_as_water_to_the_tank() {
    let aboard = aboard();
    let id = aboard.begin("blackout");
    aboard.on_to(id, 600.0);
    for (valve, to) in [("tank filling", "0"), ("jacket by-pass", "100"), ("jacket inlet", "0")] {
        aboard.act(id, turn(valve, to));
    }
    aboard.on_to(id, 900.0);
    let happened = aboard.desk.practice_debrief(id).unwrap().happened;
    assert!(happened.iter().any(|h| h.says == "diverting valve has gone to dump"), "{happened:?}");
    assert!(happened.iter().all(|h| !h.says.contains("water over the limit")), "{happened:?}");
}
