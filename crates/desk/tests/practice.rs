//! Practice through the desk: a cold start by the good hands, wrong orders, marks, two at one run, a reader who goes away.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test ends where its helper fails"
)]

use std::time::Duration;

use desk::Desk;
use desk::practice::{AtStep, BeginError, Far, Handles, Pace, Practising, Wish};
use jiff::Timestamp;
use tempfile::TempDir;

fn at(s: u64) -> Duration {
    Duration::from_secs(s)
}

struct Aboard {
    desk: Desk,
    _folder: TempDir,
}

fn aboard() -> Aboard {
    let folder = TempDir::new().unwrap();
    let now: Timestamp = "2025-11-16T04:20:00Z".parse().unwrap();
    let desk = Desk::open(folder.path(), now).unwrap();
    Aboard { desk, _folder: folder }
}

impl Aboard {
    fn begin(&self, drill: &str) -> u64 {
        let wish = Wish { drill: drill.to_owned(), ..Wish::default() };
        self.desk.begin_practice(&wish, "a", at(0)).expect("begun")
    }

    fn act(&self, id: u64, what: Practising) {
        self.desk.practise(id, "a", &what, at(0)).unwrap_or_else(|e| panic!("{what:?}: {e}"));
    }

    fn refused(&self, id: u64, who: &str, what: &Practising) -> String {
        self.desk.practise(id, who, what, at(0)).expect_err("refused").to_string()
    }

    /// Lets time on to a moment of the run.
    fn on_to(&self, id: u64, to_s: f64) {
        loop {
            let left = to_s - self.time_s(id);
            if left <= 0.0 {
                return;
            }
            self.act(id, Practising::On { minutes: format!("{}", (left / 60.0).min(30.0)) });
        }
    }

    fn time_s(&self, id: u64) -> f64 {
        self.desk.practice_standing(id, "a", at(0)).unwrap().time_s
    }
}

fn turn(valve: &str, to: &str) -> Practising {
    Practising::Turn { valve: valve.to_owned(), to: Far::To(to.to_owned()) }
}

fn pump(pump: &str, run: bool) -> Practising {
    Practising::Pump { pump: pump.to_owned(), run }
}

fn switch(switch: &str, to: &str) -> Practising {
    Practising::Switch { switch: switch.to_owned(), to: to.to_owned() }
}

/// The order of the trade (common practice), with the waits it asks for.
fn good_start(aboard: &Aboard, id: u64) {
    for (valve, s) in [("overboard", 0.0), ("pump suction", 20.0), ("pump discharge", 40.0)] {
        aboard.on_to(id, s);
        aboard.act(id, turn(valve, "100"));
    }
    aboard.on_to(id, 60.0);
    aboard.act(id, turn("feed", "0"));
    aboard.act(id, pump("cooling", true));
    aboard.on_to(id, 120.0);
    aboard.act(id, pump("ejector", true));
    aboard.on_to(id, 840.0);
    aboard.act(id, turn("feed", "100 %"));
    aboard.act(id, switch("antiscalant", "on"));
    aboard.act(id, switch("salinometer", "on"));
    aboard.on_to(id, 1020.0);
    aboard.act(id, turn("jacket outlet", "100"));
    aboard.act(id, turn("jacket vent", "100"));
    for (step, percent) in [10, 25, 40, 55, 70, 85, 100].into_iter().enumerate() {
        aboard.on_to(id, 1080.0 + 100.0 * step as f64);
        aboard.act(id, turn("jacket inlet", &percent.to_string()));
        if step == 1 {
            aboard.act(id, turn("jacket vent", "0"));
        }
    }
    aboard.act(id, pump("distillate", true));
    for (step, percent) in [92, 84, 76, 68, 60, 50, 35, 0].into_iter().enumerate() {
        aboard.on_to(id, 1800.0 + 120.0 * step as f64);
        aboard.act(id, turn("jacket by-pass", &percent.to_string()));
    }
    aboard.on_to(id, 3600.0);
    aboard.act(id, turn("tank filling", "100"));
    aboard.act(id, switch("diverting valve", "auto"));
}

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
    assert!(place("boiling") < place("diverting valve to the tank"));
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

/// A step that is ticked is not done by the tick: the debrief says what the handles stood at.
#[test]
fn ident_a_step_ticked_without_its_handles_is_told_in_the_debrief() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    let tick = || Practising::Step(AtStep::Tick { looked: true });
    let told = || {
        let against = aboard.desk.practice_debrief(id).unwrap().against;
        against.into_iter().map(|one| one.says).collect::<Vec<_>>()
    };
    aboard.act(id, turn("feed", "0"));
    aboard.on_to(id, 60.0);
    aboard.act(id, tick());
    aboard.act(id, tick());
    assert!(told().is_empty(), "the cold plant is lined up: {:?}", told());
    aboard.act(id, turn("pump suction", "100"));
    aboard.act(id, turn("pump discharge", "100"));
    aboard.act(id, tick());
    assert_eq!(told(), ["step 3 ticked, and not so: overboard at 0 %"]);
}

#[test]
fn ident_of_two_at_one_run_one_has_the_handles() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    let sees = |who: &str| aboard.desk.practice_standing(id, who, at(0)).unwrap().handles;
    assert_eq!((sees("a"), sees("b")), (Handles::Yours, Handles::Others));
    let why = aboard.refused(id, "b", &turn("overboard", "100"));
    assert!(why.contains("another’s hands"), "{why}");
    aboard.desk.practise(id, "b", &Practising::TakeHandles, at(0)).unwrap();
    assert_eq!((sees("a"), sees("b")), (Handles::Others, Handles::Yours));
    aboard.desk.practise(id, "b", &turn("overboard", "100"), at(0)).unwrap();
    assert!(aboard.refused(id, "a", &turn("overboard", "0")).contains("another’s hands"));
}

#[test]
fn ident_a_trouble_set_by_another_comes_and_is_told_only_in_the_debrief() {
    let aboard = aboard();
    let wish = Wish {
        begin: "running".into(),
        sea_temp: "29,5".into(),
        load: "85".into(),
        barometer: "1013".into(),
        ..Wish::default()
    };
    let id = aboard.desk.begin_practice(&wish, "a", at(0)).expect("begun");
    let plant = |min: &str| Practising::Plant {
        trouble: "air leak".into(),
        in_min: min.into(),
        mended: false,
    };
    assert!(aboard.refused(id, "a", &plant("10")).contains("somebody else"));
    assert!(aboard.refused(id, "b", &plant("900")).contains("0 to 240"));
    aboard.desk.practise(id, "b", &plant("10"), at(0)).unwrap();
    let secret = aboard.desk.practice_secret(id, "a").unwrap();
    assert!(secret.yours && secret.planted.is_empty());
    assert_eq!(aboard.desk.practice_secret(id, "b").unwrap().planted.len(), 1);
    aboard.on_to(id, 540.0);
    let vacuum = || aboard.desk.practice_standing(id, "a", at(0)).unwrap().vessel.gauges[0].clone();
    let sound = vacuum();
    aboard.on_to(id, 2400.0);
    assert_ne!(vacuum(), sound);
    let shown = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
    assert!(!shown.latest.iter().any(|h| h.says.contains("air")), "{:?}", shown.latest);
    aboard.act(id, Practising::End);
    let debrief = aboard.desk.practice_debrief(id).unwrap();
    assert_eq!(debrief.revealed.len(), 1);
    assert!(debrief.revealed[0].came && debrief.revealed[0].what.contains("Air"));
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
fn ident_the_same_number_draws_the_same_hidden_trouble() {
    let aboard = aboard();
    let run = |seed: &str| {
        let wish = Wish {
            begin: "running".into(),
            sea_temp: "28".into(),
            load: "85".into(),
            barometer: "1013".into(),
            trouble: "hidden".into(),
            seed: seed.into(),
            ..Wish::default()
        };
        let id = aboard.desk.begin_practice(&wish, "a", at(0)).expect("begun");
        aboard.act(id, Practising::End);
        aboard.desk.practice_debrief(id).unwrap().revealed
    };
    assert_eq!(run("12"), run("12"));
    assert!((0..6).any(|seed| run(&seed.to_string()) != run("12")));
    let wish = Wish {
        begin: "warm".into(),
        sea_temp: "99".into(),
        load: "".into(),
        barometer: "x".into(),
        trouble: "hidden".into(),
        seed: "many".into(),
        ..Wish::default()
    };
    let Err(desk::practice::BeginError::Typed(wrong)) =
        aboard.desk.begin_practice(&wish, "a", at(0))
    else {
        panic!("taken")
    };
    let fields: Vec<&str> = wrong.iter().map(|(field, _)| *field).collect();
    assert_eq!(fields, ["sea_temp", "load", "barometer", "seed", "begin"]);
}

#[test]
fn ident_time_goes_at_its_pace_and_waits_when_nobody_looks() {
    let aboard = aboard();
    let id = aboard.begin("tropics");
    aboard.act(id, Practising::Pace(Pace::Sixty));
    let look = |s: u64| aboard.desk.practice_standing(id, "a", at(s)).unwrap();
    assert_eq!(look(2).time_s, 120.0);
    assert_eq!(look(2).time_s, 120.0);
    // A clock that jumps back changes nothing.
    assert_eq!(look(1).time_s, 120.0);
    assert_eq!(look(12).time_s, 720.0);
    let away = look(3600);
    assert!(away.away && away.pace == Pace::Hold);
    assert_eq!(away.time_s, 720.0);
    assert_eq!(look(3700).time_s, 720.0);
}

#[test]
fn ident_runs_make_room_for_newer_ones() {
    let aboard = aboard();
    let first = aboard.begin("tropics");
    let others: Vec<u64> = (0..6).map(|_| aboard.begin("winter")).collect();
    assert!(aboard.desk.practice_standing(first, "a", at(0)).is_err());
    assert!(others.iter().all(|id| aboard.desk.practice_standing(*id, "a", at(0)).is_ok()));
    let list = aboard.desk.practice(Timestamp::UNIX_EPOCH, at(60)).unwrap();
    assert_eq!(list.rooms.len(), 6);
    assert!(list.drills.len() >= 12);
}

#[test]
fn ident_a_run_ended_before_anything_was_done_wins_nothing() {
    let aboard = aboard();
    for drill in ["tropics", "cell", "heater"] {
        let id = aboard.begin(drill);
        let start = aboard.desk.practice_standing(id, "a", at(0)).unwrap();
        let filled = start.gauges.iter().find(|gauge| gauge.key == "g-tank").unwrap();
        assert_eq!(filled.value, "0 kg", "{drill}");
        aboard.act(id, Practising::End);
        let debrief = aboard.desk.practice_debrief(id).unwrap();
        assert!(debrief.points <= 60.0, "{drill}: {debrief:?}");
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
