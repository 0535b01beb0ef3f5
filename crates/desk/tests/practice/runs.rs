//! What a run comes to: a start by good hands, wrong orders, what cannot be, an engine that saves itself.

use super::*;

#[test]
fn ident_the_order_of_the_trade_brings_water_to_the_tank_and_costs_nothing() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    good_start(&aboard, id);
    aboard.on_to(id, 7200.0);
    let standing = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    assert!(standing.over);
    assert!(standing.vessel.boiling && standing.vessel.to_tank > 0.9, "{standing:?}");
    let debrief = aboard.desk.practice_debrief(id).unwrap();
    assert!(debrief.points > 90.0, "{debrief:?}");
    assert!(debrief.to_tank.0 > 500.0 && debrief.to_tank.1 < 10.0, "{:?}", debrief.to_tank);
    // What was done and what came of it stand in order of time.
    let says: Vec<&str> = debrief.happened.iter().map(|h| h.says.as_str()).collect();
    let place = |what: &str| {
        says.iter().position(|says| *says == what).unwrap_or_else(|| panic!("{what}: {says:?}"))
    };
    assert!(place("ejector pump started") < place("90 % vacuum reached"));
    assert!(place("90 % vacuum reached") < place("boiling"));
    assert!(place("boiling") < place("diverting valve has gone to the tank"));
    assert!(debrief.happened[place("boiling")].by_hand.eq(&false));
    assert!(debrief.told.is_some());
}

/// Where some of it is nobody's doing, the points and the lines they are made of leave out the same.
#[test]
fn ident_the_points_are_a_hundred_less_those_of_the_lines() {
    let aboard = aboard();
    for drill in ["blackout", "tubes", "stuck"] {
        let id = aboard.begin(drill);
        if drill == "tubes" {
            good_start(&aboard, id);
        }
        aboard.on_to(id, if drill == "tubes" { 5400.0 } else { 1800.0 });
        let debrief = aboard.desk.practice_debrief(id).unwrap();
        let aim = debrief.aim.as_ref().map_or(0.0, |aim| aim.lost);
        let lost = aim + debrief.costs.iter().map(|line| line.lost).sum::<f64>();
        assert!((100.0 - lost).max(0.0) - debrief.points < 1e-9, "{drill}: {debrief:?}");
        assert!(debrief.points - (100.0 - lost).max(0.0) < 1e-9, "{drill}: {debrief:?}");
    }
}

#[test]
fn ident_heat_without_feed_bakes_salt_on_and_the_debrief_says_so() {
    let aboard = aboard();
    let (good, id) = (aboard.begin("tropics"), aboard.begin("tropics"));
    good_start(&aboard, good);
    good_start(&aboard, id);
    aboard.on_to(good, 5400.0);
    aboard.on_to(id, 4200.0);
    aboard.act(id, turn("feed", "0"));
    aboard.on_to(id, 5400.0);
    let scale = |id: u64| {
        let debrief = aboard.desk.practice_debrief(id).unwrap();
        let line =
            debrief.costs.iter().find(|line| line.what == "scale laid down").unwrap().clone();
        (line, debrief)
    };
    let ((clean, _), (baked, debrief)) = (scale(good), scale(id));
    assert!(clean.lost < 1.0, "{clean:?}");
    assert!(baked.lost > 20.0, "{baked:?}");
    let dry = "heater plates dry and hot: salt bakes on";
    assert!(debrief.happened.iter().any(|h| h.says == dry), "{:?}", debrief.happened);
    assert!(debrief.points < 70.0);
}

#[test]
fn ident_what_cannot_be_is_refused_and_changes_nothing() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    let before = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    for (what, told) in [
        (turn("feed", "140 %"), "140 % cannot be"),
        (turn("feed", "-5"), "−5 % cannot be"),
        (turn("feed", "half"), "not a number"),
        (turn("feed", ""), "not a number"),
        (turn("steam", "10"), "no valve"),
        (switch("salinometer", "loud"), "there are off, on"),
        (switch("steam", "on"), "no switch"),
        (pump("bilge", true), "no pump"),
        (
            Practising::Set { name: "salinity limit".into(), to: Far::To("1000".into()) },
            "0.5 to 100 mg/kg",
        ),
        (Practising::Set { name: "moon".into(), to: Far::To("1".into()) }, "cannot be set"),
        (Practising::On { minutes: "600".into() }, "1 to 60 minutes"),
        (Practising::On { minutes: "-3".into() }, "1 to 60 minutes"),
        (Practising::Back { to: "soon".into() }, "no moment"),
        (Practising::Step(AtStep::Follow { key: "steam".into() }), "no such procedure"),
        (Practising::Step(AtStep::Tick { looked: false }), "The list holds"),
    ] {
        let why = aboard.refused(id, "a", &what);
        assert!(why.contains(told), "{what:?}: {why}");
    }
    // A press of − is ten less, and stops at shut.
    let less = || Practising::Turn { valve: "feed".to_owned(), to: Far::By("-60".to_owned()) };
    aboard.act(id, less());
    aboard.act(id, less());
    let now = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    assert_eq!((before.valves[7].to_percent, now.valves[7].to_percent), (100.0, 0.0));
    aboard.act(id, switch("power", "off"));
    let why = aboard.refused(id, "a", &pump("ejector", true));
    assert!(why.contains("no power"), "{why}");
    assert_eq!(aboard.time_s(id), before.time_s);
    let wish = Wish { drill: "moon".to_owned(), ..Wish::default() };
    assert!(aboard.desk.begin_practice(&wish, "a", at(0)).is_err());
    let why = aboard.refused(99, "a", &Practising::Mark);
    assert!(why.contains("not there any more"), "{why}");
}

#[test]
fn ident_an_engine_without_heat_enough_runs_no_plant() {
    let aboard = aboard();
    let running = |load: &str| {
        let wish = Wish {
            begin: "running".into(),
            sea_temp: "-1".into(),
            load: load.into(),
            barometer: "1013".into(),
            ..Wish::default()
        };
        aboard.desk.begin_practice(&wish, "a", at(0))
    };
    let Err(BeginError::Typed(wrong)) = running("5") else { panic!("begun at 5 %") };
    let (field, says) = &wrong[0];
    assert!(*field == "load" && says.contains("type at least about"), "{wrong:?}");
    let digits: String =
        says.split("about ").nth(1).unwrap().chars().take_while(char::is_ascii_digit).collect();
    assert!(running(&digits).is_ok(), "{says}");
    let colder = (digits.parse::<u32>().unwrap() - 5).to_string();
    assert!(running(&colder).is_err(), "{says}");
}

/// At one moment a step is ticked, then a pump is started: so it stands in the debrief, and gone back in is told.
#[test]
fn ident_what_was_done_at_one_moment_stands_as_it_was_done() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    aboard.on_to(id, 300.0);
    aboard.act(id, pump("cooling", true));
    aboard.act(id, Practising::Sample);
    aboard.act(id, pump("ejector", true));
    let debrief = aboard.desk.practice_debrief(id).unwrap();
    let says: Vec<&str> = debrief.happened.iter().map(|h| h.says.as_str()).collect();
    let place = |what: &str| says.iter().position(|says| says.contains(what)).unwrap();
    assert!(
        place("cooling pump") < place("sample") && place("sample") < place("ejector pump"),
        "{says:?}"
    );
    assert_eq!(debrief.backs, 0);
    aboard.act(id, Practising::Back { to: "0".into() });
    assert_eq!(aboard.desk.practice_debrief(id).unwrap().backs, 1);
}

#[test]
fn ident_a_run_ended_before_anything_was_done_is_not_judged_to_the_end() {
    let aboard = aboard();
    for drill in ["tropics", "cell", "heater"] {
        let id = aboard.begin(drill);
        let start = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
        let filled = start.gauges.iter().find(|gauge| gauge.key == "g-tank").unwrap();
        assert_eq!(filled.value, "0 kg", "{drill}");
        aboard.act(id, Practising::End);
        let debrief = aboard.desk.practice_debrief(id).unwrap();
        assert!(debrief.early && debrief.undone.is_empty(), "{drill}: {debrief:?}");
        assert!(debrief.to_tank.0.abs() < 1.0, "{drill}: {:?}", debrief.to_tank);
    }
}

#[test]
fn ident_a_running_plant_begins_at_rest() {
    let aboard = aboard();
    let id = aboard.begin("cell");
    let gauge = |key: &str| {
        let standing = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
        standing.gauges.iter().find(|gauge| gauge.key == key).unwrap().value.clone()
    };
    let before = ["g-jacket", "g-cell", "g-vacuum", "g-made"].map(gauge);
    aboard.on_to(id, 540.0);
    assert_eq!(["g-jacket", "g-cell", "g-vacuum", "g-made"].map(gauge), before);
    let happened = aboard.desk.practice_standing(id, "a", at(0)).unwrap().latest;
    assert!(happened.is_empty(), "{happened:?}");
}

/// By-pass shut with the heater inlet only cracked leaves the engine's heat no way out: it saves itself, and that is told and counted.
#[test]
fn ident_an_engine_whose_heat_finds_no_way_out_saves_itself() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    aboard.act(id, turn("jacket outlet", "100"));
    aboard.act(id, turn("jacket inlet", "5"));
    aboard.act(id, turn("jacket by-pass", "0"));
    aboard.on_to(id, 1800.0);
    aboard.act(id, Practising::End);
    let debrief = aboard.desk.practice_debrief(id).unwrap();
    let slowed = debrief.happened.iter().find(|h| h.says.starts_with("the engine slows down"));
    assert!(slowed.is_some_and(|h| !h.by_hand), "{:?}", debrief.happened);
    assert!(debrief.costs[0].what.contains("main engine") && debrief.costs[0].lost >= 30.0);
    assert!(debrief.points <= 30.0, "{}", debrief.points);
}
