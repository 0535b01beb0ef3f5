//! What is asked at a step: a reading that was not taken, its own time, whose word it is.

use desk::procedures::{Doing, More, Outcome, Stands, What};

use crate::{aboard, act, afterwards, minute, refused, tick, to_the_pump, typed};

const TICK: What<'_> = What::Tick { looked: true };

#[test]
fn ident_a_reading_is_given_as_not_taken_with_why_and_a_guard_wants_it_all_the_same() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    let pump = |nozzle: &str, at: i64| {
        let read = [("ejector_pressure_bar_g", nozzle), ("back_pressure_bar_g", "0.44")];
        act(&desk, (start, "ejector-pump", at), &read, TICK)
    };
    for text in ["n/a", "-", "not taken"] {
        assert!(refused(pump(text, 41)).contains("say why it was not taken"), "{text}");
    }
    let held = pump("not taken: instrument broken", 42);
    let Ok(Outcome::Held { why, .. }) = held else { panic!("{held:?}") };
    assert!(
        why.len() == 1 && why[0].contains("was not taken, 04:42 (instrument broken)"),
        "{why:?}"
    );
    let view = desk.run_view(start, minute(43)).expect("it");
    let Stands::Held { why, .. } = &view.stands else { panic!("{:?}", view.stands) };
    assert!(why[0].contains("instrument broken") && why[0].contains("is wanted here"), "{why:?}");
    let read = view.steps[4].readings.iter().find(|read| read.text == "not taken").expect("listed");
    assert_eq!(read.not_taken.as_deref(), Some("instrument broken"));
    // Read after all, it lets go on.
    assert!(matches!(pump("4.0", 44), Ok(Outcome::Written { .. })));
    // A stop goes on, and the tick says what was not taken.
    let stop = desk.begin_run("stop", "3e", None, minute(50)).expect("begun");
    let read = [("engine_jacket_out_c", "not taken: out of reach")];
    let Outcome::Written { warned } = tick(&desk, (stop, "heat-off", 51), &read) else {
        panic!("a stop is never held")
    };
    assert!(warned.iter().any(|why| why.contains("not taken, 04:51 (out of reach)")), "{warned:?}");
}

#[test]
fn ident_a_reading_for_which_a_step_has_no_box_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    let why = refused(act(&desk, (start, "ejector-pump", 41), &[("sea_temp_c", "26")], What::Read));
    assert!(why.contains("this step asks for no such reading"), "{why}");
}

#[test]
fn ident_the_chiefs_word_is_another_persons_or_said_to_be_the_chief_in_person() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let over = |who, chief, at| {
        let what = What::Override { who, chief, reason: "bridge waits", looked: true };
        act(&desk, (start, "permission", at), &[], what)
    };
    assert!(refused(over("chief", "2E", 1)).contains("another person’s"), "by oneself");
    assert!(refused(over("chief-acts", "ce", 1)).contains("acts in person"));
    over("chief-acts", "", 2).expect("the chief's own act");
    let view = desk.run_view(start, minute(3)).expect("it");
    let reason = view.steps[0].standing.as_ref().and_then(|standing| standing.reason.clone());
    assert_eq!(reason.as_deref(), Some("bridge waits (chief engineer, in person: 2e)"));
}

#[test]
fn ident_a_run_entered_afterwards_asks_each_step_for_its_own_time() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", Some(minute(0)), minute(300)).expect("begun");
    let doing = |run, step, at: Option<i64>, what| {
        let readings = typed(&[]);
        let by = "2e";
        let at = at.map(minute);
        let more = More::default();
        let doing = Doing { run, step, by, at, readings: &readings, what, more, token: "" };
        desk.do_step(&doing, minute(300))
    };
    let over = What::Override { who: "chief", chief: "ce", reason: "late", looked: true };
    assert!(refused(doing(start, "permission", None, over)).contains("give the step its own time"));
    doing(start, "permission", Some(5), over).expect("with its time");
    assert!(refused(doing(start, "line-up", None, TICK)).contains("written down afterwards"));
    // A stop is never asked before it is written.
    let stop = desk.begin_run("stop", "3e", Some(minute(10)), minute(300)).expect("begun");
    doing(stop, "heat-off", None, TICK).expect("written");
}

#[test]
fn ident_valves_not_touched_hold_a_start_and_steps_of_one_minute_are_said_quietly() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    for at in [0, 31] {
        let steady = [("engine_load_percent", "72"), ("engine_jacket_out_c", "83.2")];
        act(&desk, (start, "permission", at), &steady, What::Read).expect("read");
    }
    tick(&desk, (start, "permission", 32), &[]);
    let held = act(&desk, (start, "line-up", 33), &[], What::Tick { looked: false });
    let Ok(Outcome::Held { why, .. }) = held else { panic!("{held:?}") };
    assert!(why[0].contains("Every valve touched"), "{why:?}");
    for step in ["line-up", "overboard", "cooling"] {
        let done = act(&desk, (start, step, 33), &[], TICK).expect("ticked");
        assert_eq!(done, Outcome::Written { warned: Vec::new() }, "nothing is asked for it");
    }
    let view = desk.run_view(start, minute(34)).expect("it");
    let remark =
        |place: usize| view.steps[place].standing.as_ref().map(|standing| standing.remark.clone());
    assert_eq!(remark(1).as_deref(), Some(""));
    assert_eq!(remark(2).as_deref(), Some("Ticked in the same minute as step 2."));
    assert_eq!(remark(3).as_deref(), Some("Ticked in the same minute as step 3."));
    // What takes no minute may be ticked in the same: nothing is said.
    let dark = desk.begin_run("blackout", "3e", None, minute(40)).expect("begun");
    let steps = afterwards(&[("heat-off", 41), ("tank-shut", 41)]);
    desk.do_afterwards(dark, "3e", &steps, minute(42)).expect("done");
    let view = desk.run_view(dark, minute(42)).expect("it");
    assert_eq!(view.steps[1].standing.as_ref().map(|one| one.remark.as_str()), Some(""));
}
