//! Procedures over a ship's folder: runs that survive a restart, guards, overrides, emergencies, texts and their versions.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test ends where its helper fails"
)]

use std::path::Path;

use desk::procedures::{Doing, Outcome, Sort, Stands, StepError, TypedReading, What};
use desk::{Desk, DeskError};
use jiff::{SignedDuration, Timestamp};
use logbook::Kind;

fn minute(k: i64) -> Timestamp {
    let first: Timestamp = "2026-11-16T04:00:00Z".parse().expect("a moment");
    first.checked_add(SignedDuration::from_mins(k)).expect("a moment")
}

/// A ship whose set point and feed mark are told.
fn aboard(folder: &Path) -> Desk {
    let desk = Desk::open(folder, minute(-600)).expect("a desk");
    let mut ship = desk.setup().ship.clone();
    ship.settings.engine_jacket_out_c = 83.0;
    ship.settings.feed_pressure_bar_g = 2.4;
    desk.save_ship(&desk::ship::write(&ship), "ce", minute(-500)).expect("kept");
    desk
}

fn typed(readings: &[(&str, &str)]) -> Vec<TypedReading> {
    let of = |(key, text): &(&str, &str)| ((*key).to_owned(), (*text).to_owned(), String::new());
    readings.iter().map(of).collect()
}

fn act(
    desk: &Desk,
    (run, step, at): (u64, &str, i64),
    readings: &[(&str, &str)],
    what: What<'_>,
) -> Result<Outcome, StepError> {
    let readings = typed(readings);
    let doing =
        Doing { run, step, by: "2e", at: Some(minute(at)), readings: &readings, what, token: "" };
    desk.do_step(&doing, minute(at))
}

fn tick(desk: &Desk, at: (u64, &str, i64), readings: &[(&str, &str)]) -> Outcome {
    act(desk, at, readings, What::Tick { looked: true }).expect(at.1)
}

fn written() -> Outcome {
    Outcome::Written { warned: Vec::new() }
}

fn told(e: &StepError) -> String {
    match e {
        StepError::Desk(e) => e.to_string(),
        StepError::Typed(faults) => format!("{faults:?}"),
    }
}

fn refused(outcome: Result<Outcome, StepError>) -> String {
    told(&outcome.expect_err("refused"))
}

/// A start up to the ejector pump, which is the fifth step.
fn to_the_pump(desk: &Desk) -> u64 {
    let run = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    for at in [0, 31] {
        let steady = [("engine_load_percent", "72"), ("engine_jacket_out_c", "83.2")];
        act(desk, (run, "permission", at), &steady, What::Read).expect("read");
    }
    assert_eq!(tick(desk, (run, "permission", 32), &[]), written());
    for (step, at) in [("line-up", 37), ("overboard", 38), ("cooling", 39)] {
        assert_eq!(tick(desk, (run, step, at), &[]), written());
    }
    run
}

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
                let doing =
                    Doing { run, step: "ejector-pump", by, at, readings: &[], what, token: "" };
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
    let over =
        |who, reason| act(&desk, (run, "permission", 2), &[], What::Override { who, reason });
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
    assert!(
        entry.details["held"].contains("Load") || entry.details["held"].contains("load"),
        "{entry:?}"
    );
    let view = desk.run_view(run, minute(3)).expect("a run");
    let standing = view.steps[0].standing.as_ref().expect("done");
    assert_eq!(standing.word, "done against its guard");
    assert_eq!(standing.reason.as_deref(), Some("sea trial, engine steady by the log"));
}

#[test]
fn ident_an_emergency_begins_at_once_beside_a_start_and_is_ticked_afterwards() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    assert!(desk.begin_run("start", "3e", None, minute(50)).is_err(), "one start at a time");
    let run = desk.begin_run("blackout", "3e", None, minute(60)).expect("nothing holds");
    let view = desk.run_view(run, minute(60)).expect("a run");
    assert_eq!(
        view.others.iter().map(|run| run.id).collect::<Vec<_>>(),
        [start],
        "the start is offered"
    );
    let times = [("sea-shut".to_owned(), minute(56)), ("heat-off".to_owned(), minute(55))];
    desk.do_afterwards(run, "3e", &times, minute(61)).expect("true times");
    let view = desk.run_view(run, minute(62)).expect("a run");
    assert_eq!(view.steps[0].standing.as_ref().map(|standing| standing.at), Some(minute(55)));
    assert_eq!(view.line.done, 2);
    assert!(matches!(view.stands, Stands::At { place: 1, .. }), "{:?}", view.stands);
    // A step that does not fit is ticked all the same, and warned of.
    let stop = desk.begin_run("stop", "3e", None, minute(63)).expect("begun");
    let Outcome::Written { warned } = tick(&desk, (stop, "cool", 64), &[("vapour_temp_c", "58")])
    else {
        panic!("a stop is never held");
    };
    assert!(warned.iter().any(|why| why.contains("58")), "{warned:?}");
    act(&desk, (start, "", 65), &[], What::GiveUp { reason: "blackout" }).expect("given up");
    let view = desk.run_view(start, minute(66)).expect("the start");
    assert!(matches!(view.stands, Stands::GivenUp { .. }));
    assert!(
        refused(act(&desk, (start, "ejector-pump", 67), &[], What::Tick { looked: true }))
            .contains("over")
    );
    assert!(desk.do_afterwards(start, "3e", &times, minute(68)).is_err(), "not for work");
}

#[test]
fn ident_an_emergency_is_written_although_the_clock_is_doubted() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    // Days ahead of the newest entry: nothing else is taken until somebody vouches for the clock.
    let later = 60 * 24 * 5;
    assert!(desk.begin_run("round", "2e", None, minute(later)).is_err());
    let run = desk.begin_run("flooding", "2e", None, minute(later)).expect("begun");
    assert_eq!(tick(&desk, (run, "sea-shut", later + 1), &[]), written());
    assert_eq!(desk.run_view(run, minute(later + 2)).expect("a run").line.done, 1);
}

#[test]
fn ident_acid_and_chlorine_are_never_open_together() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    desk.begin_run("acid-clean", "2e", None, minute(0)).expect("begun");
    let told =
        desk.begin_run("disinfect-tank", "3e", None, minute(9)).expect_err("never").to_string();
    assert!(told.starts_with("Acid clean has been under way since 04:00"), "{told}");
}

#[test]
fn ident_a_text_with_problems_is_refused_with_its_lines_and_a_good_one_goes_into_the_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("round", minute(0)).expect("a round");
    assert!(!usual.line.own);
    let text = usual.text.replace("vapour_temp_c <=", "vapour_tmp_c <=");
    let problems = desk.procedure_problems("round", &text);
    let line = text.lines().position(|line| line.contains("vapour_tmp_c")).expect("a line") + 1;
    assert!(
        problems
            .iter()
            .any(|p| p.line == Some(line) && p.message.contains("is “vapour_temp_c” meant?")),
        "{problems:#?}"
    );
    let head = desk.head().expect("a head");
    assert!(desk.save_procedure("round", &text, "ce", minute(1)).is_err());
    assert_eq!(desk.head().expect("a head"), head, "nothing was written");
    let stop = desk.procedure("stop", minute(0)).expect("a stop").text;
    let held =
        desk.procedure_problems("stop", &stop.replace("nature = \"stop\"", "nature = \"work\""));
    assert!(held.iter().any(|p| p.key == "nature" && p.message.contains("nothing holds a stop")));
    for key in ["../ship", "", "Round"] {
        assert!(matches!(
            desk.save_procedure(key, &stop, "ce", minute(1)),
            Err(DeskError::Asked(_))
        ));
    }
    let mended = usual.text.replace("name = \"Round\"", "name = \"Round of the watch\"");
    desk.save_procedure("round", &mended, "ce", minute(2)).expect("kept");
    let own = desk.procedure("round", minute(0)).expect("her own");
    assert!(own.line.own && own.line.name == "Round of the watch");
    assert_eq!(own.usual.as_deref(), Some(usual.text.as_str()));
    let entry = desk.entries(None, 1).expect("entries").remove(0);
    assert_eq!((entry.kind, entry.details["old"].as_str()), (Kind::Setting, usual.text.as_str()));
    // Spoiled by hand: the usual one holds, and it is told.
    std::fs::write(folder.path().join("procedures/round.toml"), "key = 5\n").expect("written");
    let spoiled = desk.procedure("round", minute(0)).expect("the usual");
    assert!(!spoiled.problems.is_empty() && spoiled.line.name == "Round");
}

#[test]
fn ident_a_run_is_shown_by_the_text_it_was_begun_with() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("change-tank", "2e", None, minute(0)).expect("begun");
    tick(&desk, (run, "sound", 5), &[]);
    let before = desk.run_view(run, minute(6)).expect("a run");
    let text = desk.procedure("change-tank", minute(0)).expect("a text").text;
    let text = text.replace("do = \"Sound both tanks.\"", "do = \"Sound all tanks, twice.\"");
    desk.save_procedure("change-tank", &text, "ce", minute(7)).expect("kept");
    let after = desk.run_view(run, minute(8)).expect("the run");
    assert!(after.text_changed && !after.text_lost && !before.text_changed);
    assert_eq!(after.steps[0].what, "Sound both tanks.");
    assert_eq!(after.line.version, before.line.version);
    // And of her own text, when that is changed again.
    act(&desk, (run, "", 9), &[], What::GiveUp { reason: "tanks full" }).expect("given up");
    let second = desk.begin_run("change-tank", "2e", None, minute(10)).expect("begun");
    let third = text.replace("twice.", "three times.");
    desk.save_procedure("change-tank", &third, "ce", minute(11)).expect("kept");
    let desk = {
        drop(desk);
        Desk::open(folder.path(), minute(12)).expect("again")
    };
    assert_eq!(
        desk.run_view(second, minute(12)).expect("a run").steps[0].what,
        "Sound all tanks, twice."
    );
    assert_eq!(desk.run_view(run, minute(12)).expect("a run").steps[0].what, "Sound both tanks.");
    let compared = desk.compare_runs("change-tank").expect("compared");
    assert_eq!(compared.runs.iter().map(|run| run.id).collect::<Vec<_>>(), [second, run]);
    assert_eq!(compared.steps[0].took_min, [None, Some(5.0)]);
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
fn ident_an_emergency_asks_no_initials_and_is_named_afterwards() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    assert!(desk.begin_run("start", "", None, minute(0)).is_err(), "work is signed");
    let run = desk.begin_run("blackout", "", Some(minute(0)), minute(0)).expect("begun");
    let view = |now: i64| desk.run_view(run, minute(now)).expect("a run");
    let first = view(1).steps[0].key.clone();
    let doing = Doing {
        run,
        step: &first,
        by: " ",
        at: Some(minute(2)),
        readings: &[],
        what: What::Tick { looked: true },
        token: "",
    };
    desk.do_step(&doing, minute(2)).expect("ticked");
    let second = view(2).steps[1].key.clone();
    desk.do_afterwards(run, "3e", &[(second, minute(3))], minute(4)).expect("ticked");
    assert_eq!(view(4).unnamed, 2, "the beginning and the first step");
    assert!(desk.name_run(run, "", minute(5)).is_err());
    desk.name_run(run, "2e", minute(5)).expect("named");
    let named = view(6);
    assert_eq!((named.unnamed, named.line.by.as_str()), (0, "2e"));
    let by = |i: usize| named.steps[i].standing.as_ref().expect("done").by.clone();
    assert_eq!((by(0).as_str(), by(1).as_str()), ("2e", "3e"));
    let again = desk.name_run(run, "ce", minute(7)).expect_err("everything is named");
    assert!(again.to_string().contains("has its initials"), "{again}");
    // Nothing was overwritten: what was written without initials stands in the record as it was.
    let entries = desk.entries(None, 20).expect("entries");
    assert!(entries.iter().any(|entry| entry.author.actor == procedure::UNNAMED));
}
