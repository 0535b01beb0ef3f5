//! Runs beside each other: what excludes what, what of the one is no evidence for the other, two tablets at one run.

use desk::DeskError;
use desk::procedures::{Doing, Meanwhile, More, Outcome, Stands, What};
use logbook::Kind;

use crate::{aboard, act, minute, refused, tick, to_the_pump, told, written};

#[test]
fn ident_a_list_that_excludes_one_under_way_is_asked_about_and_a_stop_never() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    let asked = desk.begin_run("leak-test", "3e", None, minute(45)).expect_err("asked");
    assert!(matches!(asked, DeskError::Doubtful(_)));
    assert_eq!(
        asked.to_string(),
        "Start the plant is under way since 04:00 (step 5): abandon it there, or go on with both?"
    );
    let list = desk.procedure("leak-test", minute(45)).expect("a list");
    assert_eq!(list.meanwhile.iter().map(|run| run.id).collect::<Vec<_>>(), [start]);
    assert!(desk.procedure("round", minute(45)).expect("a list").meanwhile.is_empty());
    let both = desk
        .begin_run_beside("leak-test", "3e", None, Meanwhile::GoOn, minute(46))
        .expect("both go on");
    let view = desk.run_view(both, minute(46)).expect("a run");
    assert_eq!(view.others.iter().map(|run| (run.id, run.next)).collect::<Vec<_>>(), [(start, 5)]);
    act(&desk, (both, "", 47), &[], What::GiveUp { reason: "wrong list" }).expect("given up");
    // A stop is begun at once, and says what is under way beside it.
    let stop = desk.begin_run("stop", "", None, minute(48)).expect("never asked");
    let view = desk.run_view(stop, minute(48)).expect("a run");
    assert_eq!(view.others.iter().map(|run| run.id).collect::<Vec<_>>(), [start]);
    assert!(desk.procedure("stop", minute(48)).expect("it").meanwhile.is_empty());
    // One press gives the start up, also where the stop stands without initials.
    let unnamed = Doing {
        run: start,
        step: "",
        by: &view.line.by,
        at: None,
        readings: &[],
        what: What::GiveUp { reason: "Stop the plant begun" },
        more: More::default(),
        token: "",
    };
    desk.do_step(&unnamed, minute(49)).expect("given up");
    assert!(matches!(desk.run_view(start, minute(50)).expect("it").stands, Stands::GivenUp { .. }));
    // The other answer: what was under way is given up with the begin, in one go.
    let asked = desk.begin_run("start", "2e", None, minute(51)).expect_err("the stop is under way");
    assert!(asked.to_string().starts_with("Stop the plant is under way"), "{asked}");
    desk.begin_run_beside("start", "2e", None, Meanwhile::GiveUp, minute(51)).expect("begun");
    match desk.run_view(stop, minute(52)).expect("the stop").stands {
        Stands::GivenUp { reason, by, .. } => {
            assert_eq!((reason.as_str(), by.as_str()), ("Start the plant begun", "2e"));
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn ident_what_was_read_for_a_start_is_no_evidence_for_the_stop_within_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let jacket = [("engine_jacket_out_c", "83")];
    act(&desk, (start, "permission", 1), &jacket, What::Read).expect("read");
    let stop = desk.begin_run("stop", "2e", None, minute(10)).expect("begun");
    let Outcome::Written { warned } = tick(&desk, (stop, "heat-off", 25), &[]) else {
        panic!("a stop is never held")
    };
    assert!(warned.iter().any(|why| why.contains("has not been read")), "{warned:?}");
    // In the stop's own time it was read of the same plant, whichever list it was typed at.
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let stop = desk.begin_run("stop", "2e", None, minute(10)).expect("begun");
    act(&desk, (start, "permission", 20), &jacket, What::Read).expect("read");
    assert_eq!(tick(&desk, (stop, "heat-off", 25), &[]), written());
}

#[test]
fn ident_a_tick_of_a_run_given_up_on_another_tablet_is_told_by_whom_and_writes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    act(&desk, (start, "", 41), &[], What::GiveUp { reason: "bridge says no" }).expect("given up");
    let head = desk.head().expect("a head");
    let pump = [("ejector_pressure_bar_g", "3.6"), ("back_pressure_bar_g", "0.4")];
    let why = refused(act(&desk, (start, "ejector-pump", 42), &pump, What::Tick { looked: true }));
    assert_eq!(
        why,
        "This run is over: it was given up at 04:41 by 2e, “bridge says no”. Nothing more is ticked in it, and what was typed is not written down."
    );
    assert_eq!(desk.head().expect("a head"), head);
    // Both at once: one of them stands, the other is told.
    let start = desk.begin_run("start", "2e", None, minute(50)).expect("begun");
    let tablets: Vec<Result<Outcome, String>> = std::thread::scope(|scope| {
        let up = What::GiveUp { reason: "no" };
        let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
        let both = [("", up), ("permission", over)].map(|(step, what)| {
            let desk = &desk;
            scope.spawn(move || act(desk, (start, step, 55), &[], what).map_err(|e| told(&e)))
        });
        both.map(|tablet| tablet.join().expect("no panic")).into()
    });
    let view = desk.run_view(start, minute(56)).expect("a run");
    assert!(matches!(view.stands, Stands::GivenUp { .. }) && tablets[0].is_ok());
    assert_eq!(view.line.done, usize::from(tablets[1].is_ok()));
    assert_eq!(view.strange, 0);
    assert!(tablets[1].as_ref().err().is_none_or(|why| why.contains("given up")), "{tablets:?}");
}

#[test]
fn ident_a_list_begun_without_initials_is_told_as_a_list_and_no_setting_of_the_ship() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    desk.begin_run("blackout", "", None, minute(0)).expect("begun");
    let entries = desk.entries(None, 5).expect("entries");
    let text =
        entries.iter().find(|e| e.details.contains_key("version") && e.kind == Kind::Setting);
    let words = text.and_then(|entry| entry.text.clone()).expect("in words");
    assert!(words.starts_with("The list “Blackout"), "{words}");
}
