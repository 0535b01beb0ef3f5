//! Beside the handles: the list, a second person, hidden troubles, a reader who goes away.

use super::*;

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
