//! What another list or hand undid of a run holds its way on; and which of two lists Now believes.

use desk::Desk;
use desk::now::Verdict;
use desk::procedures::{ByList, Meanwhile, Outcome, Stands, What};

use crate::{aboard, act, minute, refused, tick, whole_round};

/// Ticks a step, by the chief's word where it is held.
fn through(desk: &Desk, (run, step, at): (u64, &str, i64)) {
    let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
    let ticked = act(desk, (run, step, at), &[], What::Tick { looked: true });
    if !matches!(ticked, Ok(Outcome::Written { .. })) {
        act(desk, (run, step, at), &[], over).expect(step);
    }
}

/// A start with its heat cracked, five minutes a step from a minute on.
fn heated(desk: &Desk, from: i64) -> u64 {
    let run =
        desk.begin_run_beside("start", "2e", None, Meanwhile::GoOn, minute(from)).expect("begun");
    let steps = ["permission", "line-up", "overboard", "cooling", "ejector-pump", "vacuum"];
    for (k, step) in (1..).zip(steps.into_iter().chain(["feed", "guards-on", "crack-heat"])) {
        through(desk, (run, step, from + 5 * k));
    }
    run
}

const JACKET: [(&str, &str); 1] = [("engine_jacket_out_c", "83")];

#[test]
fn ident_a_start_whose_heat_was_taken_off_by_a_stop_is_held_until_it_is_taken_up_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = heated(&desk, 0);
    let stop = desk.begin_run("stop", "3e", None, minute(46)).expect("begun");
    tick(&desk, (stop, "heat-off", 49), &JACKET);
    let view = desk.run_view(start, minute(60)).expect("it");
    let Stands::Held { why, briefly, to_read: false, .. } = &view.stands else {
        panic!("{:?}", view.stands)
    };
    let says = "By the list Stop the plant the heat is off since 04:49: begin this list again, or take it up at step 9";
    assert!(why[0].starts_with(says) && briefly.contains("heat is off since 04:49"), "{why:?}");
    assert_eq!(view.steps[9].overridden_by, "chief engineer");
    for at in [62, 64] {
        act(&desk, (start, "by-pass", at), &JACKET, What::Read).expect("read");
    }
    let held = act(&desk, (start, "by-pass", 65), &JACKET, What::Tick { looked: true });
    let Ok(Outcome::Held { why, overridden_by }) = held else { panic!("{held:?}") };
    assert!(why.len() == 1 && why[0].starts_with(says), "{why:?}");
    assert_eq!(overridden_by, "chief engineer");
    let watch = What::Override { who: "engineer", chief: "", reason: "hurry", looked: true };
    assert!(refused(act(&desk, (start, "by-pass", 66), &[], watch)).contains("chief engineer"));
    // A tick dated before the heat was off is none of this; the stop itself is never held.
    tick(&desk, (stop, "ejector-pump", 67), &[]);
    // Taken up again where it was undone, only what else was undone since still holds.
    act(&desk, (start, "crack-heat", 68), &[], What::TakeBack { reason: "heat was off" })
        .expect("");
    let view = desk.run_view(start, minute(69)).expect("it");
    let Stands::Held { why, .. } = &view.stands else { panic!("{:?}", view.stands) };
    assert!(why[0].contains("the ejector pump is off since 05:07"), "{why:?}");
    act(&desk, (stop, "ejector-pump", 70), &[], What::TakeBack { reason: "it ran" }).expect("back");
    let view = desk.run_view(start, minute(71)).expect("it");
    let (Stands::Held { why, .. } | Stands::At { warned: why, .. }) = &view.stands else {
        panic!("{:?}", view.stands)
    };
    assert!(why.iter().all(|why| !why.contains("by the list")), "{why:?}");
}

#[test]
fn ident_a_start_is_held_where_the_plant_was_written_shut_down_behind_its_heat() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = heated(&desk, 0);
    let shut = logbook::Draft::new(logbook::Kind::Event, logbook::Author::hand("3e"))
        .at(minute(50))
        .detail("plant", "shut down");
    desk.write(shut, minute(50)).expect("written");
    let view = desk.run_view(start, minute(60)).expect("it");
    let Stands::Held { why, .. } = &view.stands else { panic!("{:?}", view.stands) };
    assert!(why[0].contains("written of the plant she is shut down since 04:50"), "{why:?}");
}

#[test]
fn ident_the_newest_tick_decides_what_now_says_and_two_lists_against_each_other_are_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    whole_round(&desk, -480, 1000.0);
    whole_round(&desk, -240, 1004.0);
    let start = heated(&desk, 0);
    let stop = desk.begin_run("stop", "3e", None, minute(46)).expect("begun");
    tick(&desk, (stop, "heat-off", 49), &JACKET);
    let by_list = |at: i64| desk.now(minute(at)).expect("now").by_list;
    assert!(matches!(by_list(50), Some(ByList::Stopped { at, .. }) if at == minute(49)));
    through(&desk, (start, "by-pass", 82));
    let Some(ByList::Both { names, runs, .. }) = by_list(83) else { panic!("{:?}", by_list(83)) };
    assert_eq!((names[0].as_str(), names[1].as_str()), ("Stop the plant", "Start the plant"));
    assert_eq!(runs, [stop, start]);
    act(&desk, (stop, "", 84), &[], What::GiveUp { reason: "bridge wants water" }).expect("up");
    assert!(matches!(by_list(85), Some(ByList::Starting { run, .. }) if run == start));
    // Neither heat nor a share is told of the round before all that.
    act(&desk, (start, "", 86), &[], What::GiveUp { reason: "done by hand" }).expect("up");
    let now = desk.now(minute(87)).expect("now");
    assert!(now.by_list.is_none() && now.heat_taken_kw.is_none() && now.heat_should_kw.is_none());
    assert!(!matches!(now.verdict, Verdict::Running { .. } | Verdict::ShutDown { .. }));
    assert!(now.asks.iter().all(|ask| !ask.contains('%')), "{:?}", now.asks);
}

#[test]
fn ident_the_last_reading_is_the_newest_whoever_read_it_and_is_listed_where_it_was_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    act(&desk, (start, "permission", 5), &JACKET, What::Read).expect("read");
    let stop = desk.begin_run("stop", "3e", None, minute(10)).expect("begun");
    let view = desk.run_view(stop, minute(11)).expect("it");
    let jacket = view.steps[0].reads.iter().find(|read| read.key == "engine_jacket_out_c");
    let (text, at) = jacket.and_then(|read| read.last.clone()).expect("read for the start");
    assert!(text.starts_with("83") && at == "04:05", "{text} {at}");
    assert!(view.steps[0].readings.is_empty(), "{:?}", view.steps[0].readings);
    // Read for the start while the stop is under way, it is listed at the start only.
    act(&desk, (start, "permission", 12), &JACKET, What::Read).expect("read");
    let listed = |run: u64| desk.run_view(run, minute(13)).expect("it").steps[0].readings.len();
    assert_eq!((listed(start), listed(stop)), (2, 0));
}

#[test]
fn ident_what_stands_already_is_told_by_whom_and_a_run_given_up_takes_no_reading() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    act(&desk, (start, "permission", 5), &JACKET, What::Read).expect("read");
    let why = refused(act(&desk, (start, "permission", 5), &JACKET, What::Read));
    assert!(why.contains("83") && why.contains("stands already, of 04:05 by 2e"), "{why}");
    // Sent when the guard is met, going on against it is a plain tick.
    let read = [("engine_jacket_out_c", "83"), ("engine_load_percent", "72")];
    for at in [6, 37] {
        act(&desk, (start, "permission", at), &read, What::Read).expect("read");
    }
    let over = What::Override { who: "chief", chief: "ce", reason: "hurry", looked: true };
    let done = act(&desk, (start, "permission", 38), &[], over).expect("ticked");
    let Outcome::Written { warned } = done else { panic!("{done:?}") };
    assert!(warned.iter().any(|why| why.starts_with("Nothing holds any more")), "{warned:?}");
    let line = desk.run_view(start, minute(39)).expect("it").line;
    assert_eq!((line.done, line.against), (1, 0));
    act(&desk, (start, "", 40), &[], What::GiveUp { reason: "no" }).expect("given up");
    let why = refused(act(&desk, (start, "line-up", 41), &JACKET, What::Read));
    assert!(why.contains("given up at 04:40 by 2e"), "{why}");
}

/// A stop puts the salinometer off: the start does not go on to a tank before it was put on again; and a pump that was stopped is not
/// proved by its pressure of before.
#[test]
fn ident_what_a_stop_put_off_is_put_on_again_and_read_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = heated(&desk, 0);
    let nozzle = [("ejector_pressure_bar_g", "4.0"), ("back_pressure_bar_g", "0.44")];
    act(&desk, (start, "ejector-pump", 44), &nozzle, What::Again { looked: true }).expect("read");
    let stop = desk.begin_run("stop", "3e", None, minute(46)).expect("begun");
    tick(&desk, (stop, "tank-shut", 50), &[]);
    let held = |at: i64| match desk.run_view(start, minute(at)).expect("it").stands {
        Stands::Held { why, .. } => why[0].clone(),
        other => format!("{other:?}"),
    };
    let says = held(52);
    assert!(
        says.contains("the salinometer is off since 04:50") && says.contains("step 8"),
        "{says}"
    );
    tick(&desk, (stop, "ejector-pump", 53), &[]);
    act(&desk, (start, "ejector-pump", 54), &[], What::TakeBack { reason: "it was stopped" })
        .expect("taken back");
    let ticked = act(&desk, (start, "ejector-pump", 60), &[], What::Tick { looked: true });
    let Ok(Outcome::Held { why, .. }) = ticked else { panic!("{ticked:?}") };
    assert!(why.iter().any(|why| why.to_lowercase().contains("nozzle")), "{why:?}");
    let ticked = act(&desk, (start, "ejector-pump", 62), &nozzle, What::Tick { looked: true });
    assert!(matches!(ticked, Ok(Outcome::Written { .. })), "{ticked:?}");
}

/// A list for an emergency stands on Now until it is done or given up.
#[test]
fn ident_an_emergency_under_way_is_told_on_now() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let under_way = |at: i64| desk.now(minute(at)).expect("now").under_way;
    let run = desk.begin_run("salinity-alarm", "3e", None, minute(5)).expect("begun");
    assert!(under_way(4).is_empty());
    let told = under_way(6);
    assert_eq!((told.len(), told[0].run, told[0].done), (1, run, 0));
    assert_eq!(told[0].name, "Salinity alarm");
    act(&desk, (run, "", 9), &[], What::GiveUp { reason: "a wet cell" }).expect("given up");
    assert!(under_way(10).is_empty());
}

/// Taken up again from a step on, every tick behind it goes back at one go, and nothing before it.
#[test]
fn ident_a_step_and_all_behind_it_are_taken_back_at_one_go() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = heated(&desk, 0);
    let from = What::TakeBackFrom { reason: "the pump was stopped" };
    assert!(refused(act(&desk, (start, "by-pass", 50), &[], from)).contains("not done"));
    let from = What::TakeBackFrom { reason: "the pump was stopped" };
    act(&desk, (start, "ejector-pump", 51), &[], from).expect("taken back");
    let view = desk.run_view(start, minute(52)).expect("it");
    assert_eq!(view.line.done, 4);
    assert!(view.steps.iter().skip(4).all(|step| step.standing.is_none()), "{:?}", view.steps[4]);
}
