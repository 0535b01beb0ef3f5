//! A run step by step: where it stands, what holds it, who may go on, and what is said of a step in few words.

use desk::Desk;
use desk::procedures::{Doing, More, Outcome, Sort, Stands, StepError, What};
use logbook::Kind;

use crate::{aboard, act, minute, refused, tick, to_the_pump, told, typed, written};

#[test]
fn ident_a_run_goes_on_where_it_stood_after_a_restart() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = to_the_pump(&desk);
    let before = desk.run_view(run, minute(40)).expect("a run");
    assert!(matches!(before.stands, Stands::Held { place: 4, .. }), "{:?}", before.stands);
    drop(desk);
    let desk = Desk::open(folder.path(), minute(41)).expect("again");
    let after = desk.run_view(run, minute(40)).expect("the run");
    assert_eq!(after, before);
    assert_eq!(after.line.done, 4);
    assert_eq!(
        after.way_out.as_deref(),
        Some("Cooling off, then shut pump valves, the overboard last.")
    );
    let list = desk.procedures().expect("the list");
    assert_eq!(list.open, std::slice::from_ref(&after.line));
    assert!(
        list.lists.iter().take(7).all(|line| line.sort == Sort::Emergency),
        "emergencies first"
    );
    assert_eq!(list.lists.len(), 18);
    let pump = [("ejector_pressure_bar_g", "3.6"), ("back_pressure_bar_g", "0.4")];
    assert_eq!(tick(&desk, (run, "ejector-pump", 42), &pump), written());
    // A reading typed at a step is an ordinary one.
    let rounds = desk.rounds(minute(42), 1).expect("rounds");
    assert_eq!(rounds[0].value("ejector_pressure_bar_g"), Some(3.6));
}

#[test]
fn ident_a_guard_is_told_by_labels_units_and_ships_time_and_keeps_what_was_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = to_the_pump(&desk);
    let low = [("ejector_pressure_bar_g", "2.8"), ("back_pressure_bar_g", "0.4")];
    let Outcome::Held { why, overridden_by } = tick(&desk, (run, "ejector-pump", 41), &low) else {
        panic!("a low nozzle holds");
    };
    assert_eq!(overridden_by, "engineer in charge");
    let nozzle = why.iter().find(|why| why.contains("2.8")).expect("the nozzle");
    assert!(nozzle.contains("04:41") && nozzle.contains("at least 3.0"), "{nozzle}");
    assert!(!why.iter().any(|why| why.contains('_')), "no names of files: {why:?}");
    assert_eq!(
        desk.rounds(minute(41), 1).expect("rounds")[0].value("ejector_pressure_bar_g"),
        Some(2.8)
    );
    let view = desk.run_view(run, minute(42)).expect("a run");
    let Stands::Held { place: 4, briefly, .. } = &view.stands else { panic!("{:?}", view.stands) };
    assert!(briefly.contains("2.8") && briefly.contains("wanted"), "{briefly}");
    let reads: Vec<&str> = view.steps[4].reads.iter().map(|read| read.key).collect();
    assert_eq!(reads, ["ejector_pressure_bar_g", "back_pressure_bar_g"]);
    // Nothing is written where a figure cannot be.
    let head = desk.head().expect("a head");
    let wild =
        act(&desk, (run, "ejector-pump", 43), &[("ejector_pressure_bar_g", "warm")], What::Read);
    assert!(
        matches!(wild, Err(StepError::Typed(ref faults)) if faults[0].0 == "ejector_pressure_bar_g")
    );
    assert_eq!(desk.head().expect("a head"), head);
}

#[test]
fn ident_the_vacuum_is_corrected_by_the_barometer_before_it_is_compared() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = to_the_pump(&desk);
    let pump = [("ejector_pressure_bar_g", "3.6"), ("back_pressure_bar_g", "0.4")];
    tick(&desk, (run, "ejector-pump", 42), &pump);
    // 87 % on the dial under 970 hPa are 87 x 1013.25/970 = 90.9 % of what there is.
    let high = [("shell_gauge_bar_g", "87"), ("barometer_hpa", "1013")];
    assert!(matches!(tick(&desk, (run, "vacuum", 52), &high), Outcome::Held { .. }));
    let low = [("shell_gauge_bar_g", "87"), ("barometer_hpa", "970")];
    assert_eq!(tick(&desk, (run, "vacuum", 54), &low), written());
}

#[test]
fn ident_of_two_who_tick_one_step_the_second_is_told_that_it_stands() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = to_the_pump(&desk);
    let good = [("ejector_pressure_bar_g", "3.6"), ("back_pressure_bar_g", "0.4")];
    act(&desk, (run, "ejector-pump", 42), &good, What::Read).expect("read");
    let both: Vec<Result<Outcome, String>> = std::thread::scope(|scope| {
        let tablets = ["2e", "3e"].map(|by| {
            let desk = &desk;
            scope.spawn(move || {
                let what = What::Tick { looked: true };
                let at = Some(minute(43));
                let doing = Doing {
                    run,
                    step: "ejector-pump",
                    by,
                    at,
                    readings: &[],
                    what,
                    more: More::default(),
                    token: "",
                };
                desk.do_step(&doing, minute(43)).map_err(|e| told(&e))
            })
        });
        tablets.map(|tablet| tablet.join().expect("no panic")).into()
    });
    let stood: Vec<&String> = both.iter().filter_map(|one| one.as_ref().err()).collect();
    assert_eq!(stood.len(), 1, "{both:?}");
    assert!(
        stood[0].starts_with("Step 5 was written down by ") && stood[0].contains("that stands")
    );
    let view = desk.run_view(run, minute(44)).expect("a run");
    assert_eq!((view.line.done, view.strange), (5, 0));
}

#[test]
fn ident_a_guard_is_passed_only_by_who_may_with_a_reason_and_it_stays_in_the_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let over = |who, reason| {
        act(
            &desk,
            (run, "permission", 2),
            &[],
            What::Override { who, chief: "ce", reason, looked: true },
        )
    };
    assert!(refused(over("engineer", "bridge waits")).contains("chief engineer"));
    assert!(refused(over("chief", " ")).contains("reason"));
    assert!(
        refused(act(&desk, (run, "permission", 2), &[], What::Pass { reason: "no time" }))
            .contains("not passed over")
    );
    assert_eq!(over("chief", "sea trial, engine steady by the log").expect("done"), written());
    let entry = desk.entries(None, 1).expect("entries").remove(0);
    assert_eq!(entry.kind, Kind::Step);
    assert_eq!(entry.details["act"], "overrode");
    assert_eq!(entry.details["looked"], "yes", "what was ticked as seen is kept");
    assert!(
        entry.details["held"].contains("Load") || entry.details["held"].contains("load"),
        "{entry:?}"
    );
    let view = desk.run_view(run, minute(3)).expect("a run");
    let standing = view.steps[0].standing.as_ref().expect("done");
    assert_eq!(standing.word, "done against its guard");
    assert_eq!(
        standing.reason.as_deref(),
        Some("sea trial, engine steady by the log (chief engineer: ce)")
    );
}

#[test]
fn ident_a_figure_that_is_not_told_aboard_names_the_page_to_write_it_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = Desk::open(folder.path(), minute(-600)).expect("a desk");
    let run = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let read = [("engine_load_percent", "72"), ("engine_jacket_out_c", "83")];
    let Outcome::Held { why, .. } = tick(&desk, (run, "permission", 1), &read) else {
        panic!("held")
    };
    assert!(
        why.iter().any(|why| why.contains("set point") && why.contains("page Ship")),
        "{why:?}"
    );
}

#[test]
fn ident_notes_second_hands_and_what_was_too_quick_stand_with_the_step_and_a_run_is_handed_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("change-tank", "2e", None, minute(0)).expect("begun");
    let tick_with = |step: &'static str, at: i64, readings: &[(&str, &str)], more: More<'_>| {
        let (readings, what) = (typed(readings), What::Tick { looked: true });
        let at = Some(minute(at));
        let doing = Doing { run, step, by: "2e", at, readings: &readings, what, more, token: "" };
        desk.do_step(&doing, minute(30))
    };
    let note = More { note: "port 204 cm, starboard 31 cm", ..More::default() };
    tick_with("sound", 5, &[], note).expect("ticked");
    let salt = [("product_salt_mg_kg", "3")];
    let own = tick_with("open-new", 8, &salt, More { second: "2E", ..More::default() });
    assert!(refused(own).contains("second person"));
    let nobody = tick_with("open-new", 8, &salt, More::default()).expect("asked for");
    assert!(
        matches!(&nobody, Outcome::Held { why, .. } if why[..] == ["Second person, who looked at the tank’s valve: no initials."]),
        "{nobody:?}"
    );
    tick_with("open-new", 8, &salt, More { second: "3e", ..More::default() }).expect("ticked");
    let over = |to| act(&desk, (run, "", 31), &[], What::HandOver { to });
    assert_eq!(refused(over("2e")), "2e leads it already: give the initials of another.");
    over("4e").expect("handed over");
    assert!(refused(over("3e")).contains("handed over by 4e"));
    let entry = desk.entries(None, 1).expect("entries").remove(0);
    assert!(entry.text.as_deref().is_some_and(|text| text.ends_with("handed over to 4e by 2e")));
    let view = desk.run_view(run, minute(32)).expect("a run");
    let standing = |i: usize| view.steps[i].standing.clone().expect("done");
    assert_eq!(standing(0).note, "port 204 cm, starboard 31 cm");
    assert_eq!((standing(1).second.as_str(), view.line.led_by.as_str()), ("3e", "4e"));
    assert_eq!(view.handed, [(minute(31), "2e".to_owned(), "4e".to_owned())]);
}

#[test]
fn ident_a_by_pass_shut_in_four_minutes_is_remarked_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let steps = desk.procedure("start", minute(0)).expect("it").steps;
    let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
    for (nth, step) in steps.iter().take(9).enumerate() {
        let at = i64::try_from(nth).expect("small") + 1;
        let place = (start, step.key.as_str(), at);
        let what = if step.holds { over } else { What::Tick { looked: true } };
        act(&desk, place, &[], what).expect(&step.key);
    }
    let jacket = [("engine_jacket_out_c", "83.2")];
    act(&desk, (start, "by-pass", 11), &jacket, What::Read).expect("read");
    let Outcome::Written { warned } = tick(&desk, (start, "by-pass", 13), &jacket) else {
        panic!("as wanted")
    };
    assert!(warned[0].contains("Done in 4 min, usually 15 to 30"), "{warned:?}");
    let view = desk.run_view(start, minute(14)).expect("a run");
    let standing = view.steps[9].standing.as_ref().expect("done");
    assert!(standing.remark.contains("cold slug") && standing.word == "done");
}

#[test]
fn ident_late_is_counted_from_the_tick_of_the_step_it_names() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    let pump = [("ejector_pressure_bar_g", "3.6"), ("back_pressure_bar_g", "0.4")];
    // Asked for at 39, ticked at 50: the pump's start is the tick.
    tick(&desk, (start, "ejector-pump", 50), &pump);
    let view = desk.run_view(start, minute(103)).expect("a run");
    let Some(foretold) = &view.steps[5].foretold else { return };
    let late = foretold.late.as_ref().expect("late by now");
    assert!(late.starts_with("53 min since step 5 was ticked, 04:50"), "{late}");
}

#[test]
fn ident_what_only_has_to_be_read_is_said_so_and_what_is_out_comes_first() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = to_the_pump(&desk);
    let view = desk.run_view(run, minute(40)).expect("a run");
    let Stands::Held { briefly, to_read: true, .. } = &view.stands else {
        panic!("{:?}", view.stands)
    };
    assert!(briefly.starts_with("nozzle inlet is read and at least 3.0"), "{briefly}");
    // Back pressure over its limit binds, whatever else is not read yet.
    let back = [("back_pressure_bar_g", "0.9")];
    act(&desk, (run, "ejector-pump", 41), &back, What::Read).expect("read");
    let view = desk.run_view(run, minute(42)).expect("a run");
    let Stands::Held { briefly, to_read: false, .. } = &view.stands else {
        panic!("{:?}", view.stands)
    };
    assert!(briefly.contains("0.9"), "{briefly}");
}

#[test]
fn ident_of_a_step_taken_back_only_what_is_open_is_left() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    let left = |now: i64| desk.run_view(start, minute(now)).expect("a run").left_min;
    let (least, most) = left(41);
    act(&desk, (start, "line-up", 42), &[], What::TakeBack { reason: "another valve" }).expect("");
    assert_eq!(left(43), (least + 5.0, most + 5.0));
}
