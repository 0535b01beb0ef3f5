//! Procedures over a ship's folder: runs that survive a restart, guards, overrides, emergencies, texts and their versions.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test ends where its helper fails"
)]

use std::path::Path;

use desk::procedures::{
    Afterwards, Doing, Losing, More, Outcome, Sort, Stands, StepError, TypedReading, What,
};
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
    let doing = Doing {
        run,
        step,
        by: "2e",
        at: Some(minute(at)),
        readings: &readings,
        what,
        more: More::default(),
        token: "",
    };
    desk.do_step(&doing, minute(at))
}

fn tick(desk: &Desk, at: (u64, &str, i64), readings: &[(&str, &str)]) -> Outcome {
    act(desk, at, readings, What::Tick { looked: true }).expect(at.1)
}

fn afterwards(steps: &[(&str, i64)]) -> Vec<Afterwards> {
    let of = |(step, at): &(&str, i64)| {
        let (note, second) = (String::new(), String::new());
        Afterwards { step: (*step).to_owned(), at: minute(*at), note, second }
    };
    steps.iter().map(of).collect()
}

fn written() -> Outcome {
    Outcome::Written { warned: Vec::new() }
}

fn told(e: &StepError) -> String {
    match e {
        StepError::Desk(e) => e.to_string(),
        StepError::Typed(faults) => format!("{faults:?}"),
        StepError::Doubtful(doubts) => format!("{doubts:?}"),
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
    let times = afterwards(&[("sea-shut", 56), ("heat-off", 55)]);
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
    // What was given up is no measure of how long it takes.
    assert_eq!(compared.runs.iter().map(|run| run.id).collect::<Vec<_>>(), [second]);
    assert_eq!(compared.given_up.iter().map(|run| run.id).collect::<Vec<_>>(), [run]);
    assert_eq!(compared.steps[0].took_min, [None]);
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
        more: More::default(),
        token: "",
    };
    desk.do_step(&doing, minute(2)).expect("ticked");
    let second = view(2).steps[1].key.clone();
    desk.do_afterwards(run, "3e", &afterwards(&[(second.as_str(), 3)]), minute(4)).expect("ticked");
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

/// A stop whose heat is off and whose tank is shut.
fn to_cooling(desk: &Desk) -> u64 {
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    tick(desk, (stop, "heat-off", 8), &[("engine_jacket_out_c", "83.4")]);
    tick(desk, (stop, "tank-shut", 12), &[("distillate_meter_m3", "47720")]);
    stop
}

#[test]
fn ident_what_was_not_as_wanted_stands_with_the_step_until_a_later_look_finds_it_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let stop = to_cooling(&desk);
    let hot = [("vapour_temp_c", "57")];
    let Outcome::Written { warned } = tick(&desk, (stop, "cool", 20), &hot) else { panic!("held") };
    assert!(
        warned.iter().any(|why| why.contains("57") && why.contains("at most 50")),
        "{warned:?}"
    );
    let view = desk.run_view(stop, minute(21)).expect("a run");
    let standing = view.steps[2].standing.clone().expect("done");
    assert_eq!((standing.word, standing.stands_out), ("done, not as wanted", true));
    assert!(standing.unmet.contains("Vapour read 57.0"), "{}", standing.unmet);
    assert!(
        standing.unmet.contains("Not before 04:27"),
        "ticked before its time: {}",
        standing.unmet
    );
    assert_eq!(view.line.stand_out, 1);
    assert_eq!(view.steps[2].reads.len(), 1, "it can be read again");
    let entry = desk.entries(None, 1).expect("entries").remove(0);
    assert!(entry.details["not as wanted"].contains("57.0"), "{entry:?}");
    assert!(!entry.details.contains_key("looked"), "nothing is to be looked at: {entry:?}");
    // Still too hot, then as wanted: both looks are added, the first finding stays.
    let still = [("vapour_temp_c", "52")];
    let told =
        act(&desk, (stop, "cool", 25), &still, What::Again { looked: true }).expect("looked");
    assert!(matches!(told, Outcome::Written { warned } if !warned.is_empty()));
    let cool = [("vapour_temp_c", "48")];
    let told = act(&desk, (stop, "cool", 31), &cool, What::Again { looked: true }).expect("looked");
    assert_eq!(told, written());
    let view = desk.run_view(stop, minute(32)).expect("a run");
    let standing = view.steps[2].standing.clone().expect("done");
    assert_eq!(standing.word, "done, not as wanted then; as wanted later");
    assert_eq!(standing.looks.len(), 2);
    assert!(standing.looks[0].unmet.contains("52.0") && standing.looks[1].unmet.is_empty());
    assert!(standing.unmet.contains("57.0") && view.line.stand_out == 0);
    // Every reading typed there is shown at its step, and no other step’s.
    let read: Vec<&str> = view.steps[2].readings.iter().map(|read| read.text.as_str()).collect();
    assert_eq!(read, ["57.0\u{a0}°C", "52.0\u{a0}°C", "48.0\u{a0}°C"]);
    assert_eq!(view.steps[1].readings[0].label, "Distillate meter");
}

#[test]
fn ident_a_box_not_ticked_is_named_with_its_step() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let unsigned = What::Override { who: "chief", chief: "", reason: "trial", looked: true };
    let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
    let why = refused(act(&desk, (start, "permission", 1), &[], unsigned));
    assert!(why.contains("chief engineer’s initials"), "{why}");
    act(&desk, (start, "permission", 1), &[], over).expect("done");
    tick(&desk, (start, "line-up", 6), &[]);
    let told =
        act(&desk, (start, "overboard", 8), &[], What::Tick { looked: false }).expect("done");
    assert!(
        matches!(told, Outcome::Written { warned } if warned[0].contains("Overboard full open"))
    );
    let view = desk.run_view(start, minute(9)).expect("a run");
    let standing = view.steps[2].standing.as_ref().expect("done");
    assert!(standing.stands_out && standing.unmet.contains("Overboard full open, by its spindle"));
    act(&desk, (start, "overboard", 10), &[], What::Again { looked: true }).expect("looked");
    assert!(
        !desk.run_view(start, minute(11)).expect("it").steps[2]
            .standing
            .as_ref()
            .expect("done")
            .stands_out
    );
}

#[test]
fn ident_a_tick_is_taken_back_and_mended_and_the_record_keeps_both() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    assert!(
        refused(act(&desk, (start, "cooling", 41), &[], What::TakeBack { reason: " " }))
            .contains("eason")
    );
    let head = desk.head().expect("a head").0;
    let back = What::TakeBack { reason: "the water box was not vented" };
    act(&desk, (start, "cooling", 41), &[], back).expect("taken back");
    let view = desk.run_view(start, minute(42)).expect("a run");
    assert!(matches!(view.stands, Stands::At { place: 3, .. }), "{:?}", view.stands);
    assert!(view.steps[3].standing.is_none());
    let change = &view.steps[3].changes[0];
    assert!(change.contains("Taken back 04:41 by 2e") && change.contains("not vented"), "{change}");
    assert!(change.contains("it stood as done at 04:39 by 2e"), "{change}");
    assert_eq!(desk.head().expect("a head").0, head + 1, "appended, nothing overwritten");
    tick(&desk, (start, "cooling", 43), &[]);
    let time = Some(minute(38));
    let mend = What::Mend { time, hand: "3e", reason: "by the bell book" };
    act(&desk, (start, "overboard", 44), &[], mend).expect("mended");
    let view = desk.run_view(start, minute(45)).expect("a run");
    let standing = view.steps[2].standing.as_ref().expect("done");
    assert_eq!((standing.at, standing.by.as_str()), (minute(38), "3e"));
    assert!(
        view.steps[2].changes[0].contains("it stood at 04:38 by 2e"),
        "{:?}",
        view.steps[2].changes
    );
    let early = What::Mend { time: Some(minute(-5)), hand: "", reason: "guess" };
    assert!(refused(act(&desk, (start, "overboard", 46), &[], early)).contains("before"));
    // An emergency too, and in a run that is over.
    let fire = desk.begin_run("fire", "", None, minute(50)).expect("begun");
    for step in ["heat-off", "pump", "after"] {
        tick(&desk, (fire, step, 52), &[]);
    }
    assert!(matches!(desk.run_view(fire, minute(53)).expect("it").stands, Stands::Done { .. }));
    act(&desk, (fire, "pump", 54), &[], What::TakeBack { reason: "another pump" }).expect("back");
    assert!(matches!(
        desk.run_view(fire, minute(55)).expect("it").stands,
        Stands::At { place: 1, .. }
    ));
}

#[test]
fn ident_readings_stand_at_their_steps_also_in_a_run_given_up() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    let low = [("ejector_pressure_bar_g", "2.6"), ("back_pressure_bar_g", "0.4")];
    assert!(matches!(tick(&desk, (start, "ejector-pump", 42), &low), Outcome::Held { .. }));
    act(&desk, (start, "", 44), &[], What::GiveUp { reason: "pump" }).expect("given up");
    // However long ago that was, and whatever has been read since.
    let view = desk.run_view(start, minute(60 * 24 * 40)).expect("a run");
    let texts = |place: usize| -> Vec<String> {
        view.steps[place].readings.iter().map(|read| read.text.clone()).collect()
    };
    assert_eq!(texts(4), ["0.40\u{a0}bar\u{a0}g", "2.6\u{a0}bar\u{a0}g"]);
    assert!(texts(0).iter().any(|text| text.starts_with("83.2")), "{:?}", texts(0));
    assert!(texts(5).is_empty());
}

#[test]
fn ident_a_doubtful_reading_is_asked_about_at_a_step_and_never_stands_before_a_stop() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let typed_low = [("engine_load_percent", "7.2")];
    let head = desk.head().expect("a head");
    let asked = act(&desk, (start, "permission", 5), &typed_low, What::Read).expect_err("asked");
    let StepError::Doubtful(doubts) = asked else { panic!("{asked:?}") };
    assert_eq!(doubts[0].key, "engine_load_percent");
    assert_eq!(doubts[0].offers[0].1, "72", "{doubts:?}");
    assert_eq!(desk.head().expect("a head"), head, "nothing was written");
    // It stands for a word why.
    let kept = [("engine_load_percent".to_owned(), "engine cold, read twice".to_owned())];
    let (readings, what) = (typed(&typed_low), What::Read);
    let more = More { kept: &kept, ..More::default() };
    let at = Some(minute(6));
    let doing = Doing {
        run: start,
        step: "permission",
        by: "2e",
        at,
        readings: &readings,
        what,
        more,
        token: "",
    };
    desk.do_step(&doing, minute(6)).expect("written");
    let view = desk.run_view(start, minute(7)).expect("a run");
    assert_eq!(view.steps[0].readings[0].doubt.as_deref(), Some("engine cold, read twice"));
    // Nothing stands before a stop: it is written, marked and said.
    let stop = to_cooling(&desk);
    let Outcome::Written { warned } = tick(&desk, (stop, "cool", 40), &[("vapour_temp_c", "5")])
    else {
        panic!("held")
    };
    assert!(warned.iter().any(|why| why.contains("written as doubtful")), "{warned:?}");
    let view = desk.run_view(stop, minute(41)).expect("a run");
    assert!(view.steps[2].readings[0].doubt.is_some() && view.steps[2].standing.is_some());
}

#[test]
fn ident_steps_done_against_the_list_are_named_with_what_that_may_have_done() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    let times = afterwards(&[("sea-valves", 5), ("heat-off", 30)]);
    let told = desk.do_afterwards(stop, "2e", &times, minute(31)).expect("written");
    let order = told.iter().find(|told| told.contains("before step 1")).expect("it is said");
    assert!(order.starts_with("Step 7 (") && order.contains("stands at 04:05"), "{order}");
    assert!(order.contains("04:30") && order.contains("brine boils dry on the plates"), "{order}");
    let view = desk.run_view(stop, minute(32)).expect("a run");
    assert!(view.order.iter().any(|pair| pair.asks && pair.forbidden), "{:?}", view.order);
    act(&desk, (stop, "", 33), &[], What::SoItWas).expect("confirmed");
    let view = desk.run_view(stop, minute(34)).expect("a run");
    assert!(view.order.iter().any(|pair| pair.confirmed) && !view.order.iter().any(|p| p.asks));
    let again = refused(act(&desk, (stop, "", 35), &[], What::SoItWas));
    assert!(again.contains("follow the list"), "{again}");
    // Mended, the pair is gone; what is still open is named as open.
    let mend = What::Mend { time: Some(minute(31)), hand: "", reason: "typed wrong" };
    act(&desk, (stop, "sea-valves", 36), &[], mend).expect("mended");
    let view = desk.run_view(stop, minute(37)).expect("a run");
    assert!(view.order.iter().all(|pair| !pair.says.contains("before step 1")), "{:?}", view.order);
    assert!(
        view.order
            .iter()
            .any(|pair| pair.says.contains("step 6") && pair.says.contains("still open"))
    );
}

#[test]
fn ident_a_counter_under_its_last_reading_is_not_as_wanted_and_the_equals_sign_repeats_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("change-tank", "2e", None, minute(0)).expect("begun");
    tick(&desk, (run, "sound", 5), &[]);
    let none = act(&desk, (run, "shut-old", 6), &[("distillate_meter_m3", "=")], What::Read);
    assert!(refused(none).contains("there is none yet"));
    act(&desk, (run, "shut-old", 6), &[("distillate_meter_m3", "47720")], What::Read)
        .expect("read");
    let over = What::Override { who: "chief", chief: "ce", reason: "alone on watch", looked: true };
    act(&desk, (run, "open-new", 8), &[("product_salt_mg_kg", "3")], over).expect("over it");
    let same = [("distillate_meter_m3", "=")];
    act(&desk, (run, "shut-old", 9), &same, What::Read).expect("repeated");
    assert_eq!(
        desk.rounds(minute(9), 1).expect("it")[0].value("distillate_meter_m3"),
        Some(47_720.0)
    );
    let kept = [("distillate_meter_m3".to_owned(), "read twice".to_owned())];
    let readings = typed(&[("distillate_meter_m3", "47700")]);
    let (what, at) = (What::Tick { looked: true }, Some(minute(10)));
    let more = More { kept: &kept, ..More::default() };
    let doing =
        Doing { run, step: "shut-old", by: "2e", at, readings: &readings, what, more, token: "" };
    let Outcome::Written { warned } = desk.do_step(&doing, minute(10)).expect("written") else {
        panic!("held")
    };
    assert!(warned.iter().any(|why| why.contains("not under the last reading")), "{warned:?}");
    assert!(warned.iter().any(|why| why.contains("47\u{202f}720.0")), "{warned:?}");
}

#[test]
fn ident_minutes_compared_add_up_to_the_whole_also_of_what_was_ticked_afterwards() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("blackout", "3e", None, minute(30)).expect("begun");
    let steps = ["heat-off", "tank-shut", "sea-shut", "breaker", "restart"];
    let of: Vec<(&str, i64)> = steps.into_iter().zip([2, 2, 2, 13, 20]).collect();
    desk.do_afterwards(run, "3e", &afterwards(&of), minute(31)).expect("written");
    let compared = desk.compare_runs("blackout").expect("compared");
    assert_eq!(compared.whole_min, [Some(18.0)]);
    let took: Vec<f64> = compared.steps.iter().filter_map(|step| step.took_min[0]).collect();
    assert_eq!(took, [0.0, 0.0, 0.0, 11.0, 7.0]);
}

#[test]
fn ident_the_record_is_asked_before_a_start_of_a_plant_that_makes_water() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let round = |at: i64, running: bool| {
        let mut readings = vec![
            ("engine_load_percent", "72"),
            ("engine_jacket_out_c", "83"),
            ("barometer_hpa", "1012"),
            ("sea_temp_c", "26"),
        ];
        if running {
            readings.extend([("jacket_in_c", "82"), ("vapour_temp_c", "46")]);
        }
        let entry = |(key, text): (&str, &str)| {
            desk::written::written(&desk.setup().ship, key, text, "", quantity::Style::Either)
                .expect("a figure")
                .value
        };
        let values = readings.into_iter().map(entry).collect();
        let draft = logbook::Draft::reading(minute(at), logbook::Author::hand("3e"), values);
        desk.write(draft, minute(at)).expect("written");
    };
    round(-120, true);
    let remark = |key: &str, at: i64| desk.procedure(key, minute(at)).expect("a list").remark;
    let told = remark("start", 0).expect("a question");
    assert_eq!(told, "She is making water by the round of 02:00: is it a start?");
    assert_eq!((remark("stop", 0), remark("round", 0)), (None, None));
    // It is a question only.
    let run = desk.begin_run("start", "2e", None, minute(0)).expect("nothing holds");
    assert_eq!(desk.run_view(run, minute(1)).expect("it").remark.as_deref(), Some(told.as_str()));
    act(&desk, (run, "", 2), &[], What::GiveUp { reason: "she runs" }).expect("given up");
    let stop = desk.begin_run("stop", "2e", None, minute(3)).expect("begun");
    tick(&desk, (stop, "heat-off", 9), &[]);
    assert_eq!(remark("start", 60), None, "the stop says more than the round before it");
    round(120, false);
    act(&desk, (stop, "", 121), &[], What::GiveUp { reason: "stopped" }).expect("given up");
    assert_eq!(
        remark("stop", 122).as_deref(),
        Some("She stands by the round of 06:00: is it a stop?")
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
fn ident_guards_lost_want_the_chief_and_the_usual_text_is_the_usual_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("start", minute(0)).expect("a start");
    let guard = "see = [\"vacuum_percent >= 90 or vacuum_percent >= limit.vacuum_min_percent for 5 min\"]\n";
    assert!(usual.text.contains(guard));
    let text = usual.text.replace(guard, "");
    let lost = desk.guards_lost("start", &text).expect("looked through");
    assert_eq!(lost.len(), 1, "{lost:?}");
    let gone = "step 6, Pull vacuum: Vacuum, corrected is no longer asked for; it was: ";
    assert!(lost[0].starts_with(gone), "{lost:?}");
    let refused = desk.save_procedure("start", &text, "2e", minute(1)).expect_err("asked");
    assert!(refused.to_string().contains("chief engineer"), "{refused}");
    let no_why =
        desk.keep_procedure("start", &text, "2e", Losing { chief: "ce", why: " " }, minute(1));
    assert!(no_why.is_err());
    let losing = Losing { chief: "ce", why: "gauge ashore for repair" };
    assert!(desk.keep_procedure("start", &text, "2e", losing, minute(2)).expect("kept"));
    let entry = desk.entries(None, 1).expect("entries").remove(0);
    assert_eq!((entry.details["chief"].as_str(), entry.author.actor.as_str()), ("ce", "2e"));
    assert!(entry.details["guards taken away"].contains("Pull vacuum"));
    assert!(desk.procedure("start", minute(3)).expect("it").line.own);
    // The usual text again, from her own and from one that cannot be read.
    assert!(
        desk.keep_procedure("start", &usual.text, "2e", Losing::default(), minute(4))
            .expect("kept")
    );
    let again = desk.procedure("start", minute(5)).expect("it");
    assert!(!again.line.own && again.version == usual.version && again.usual.is_none());
    assert!(!folder.path().join("procedures/start.toml").exists());
    assert!(
        !desk
            .keep_procedure("start", &usual.text, "2e", Losing::default(), minute(6))
            .expect("as it was")
    );
    std::fs::create_dir_all(folder.path().join("procedures")).expect("a folder");
    std::fs::write(folder.path().join("procedures/start.toml"), "key = 5\n").expect("written");
    assert!(!desk.procedure("start", minute(7)).expect("it").problems.is_empty());
    assert!(
        desk.keep_procedure("start", &usual.text, "2e", Losing::default(), minute(8))
            .expect("kept")
    );
    assert!(desk.procedure("start", minute(9)).expect("it").problems.is_empty());
    // A copy that is the usual one word for word is the usual one.
    std::fs::write(folder.path().join("procedures/start.toml"), &usual.text).expect("written");
    assert!(!desk.procedure("start", minute(10)).expect("it").line.own);
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
fn ident_the_way_back_to_a_tank_is_held_at_the_end_of_a_salinity_alarm() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("salinity-alarm", "3e", None, minute(0)).expect("begun");
    let others = afterwards(&[("heat-back", 1), ("hand-meter", 3), ("cause", 8), ("tank", 9)]);
    desk.do_afterwards(run, "", &others, minute(10)).expect("never held");
    let view = desk.run_view(run, minute(10)).expect("a run");
    assert!(matches!(view.stands, Stands::Held { place: 4, .. }), "{:?}", view.stands);
    for at in [12, 23] {
        let salt = [("product_salt_mg_kg", "25")];
        act(&desk, (run, "back", at), &salt, What::Read).expect("read");
    }
    let Outcome::Held { why, overridden_by } = tick(&desk, (run, "back", 24), &[]) else {
        panic!("25 ppm hold")
    };
    assert!(why[0].contains("25") && overridden_by == "chief engineer", "{why:?}");
    let told = desk.do_afterwards(run, "3e", &afterwards(&[("back", 24)]), minute(24));
    assert!(told.expect_err("held there too").to_string().contains("Step 5 leads back to a tank"));
    for at in [30, 41] {
        let salt = [("product_salt_mg_kg", "4"), ("second_product_salt_mg_kg", "25")];
        act(&desk, (run, "back", at), &salt, What::Read).expect("read");
    }
    // A cell in limit beside a hand meter that is not opens no tank.
    let held = tick(&desk, (run, "back", 41), &[]);
    assert!(matches!(held, Outcome::Held { ref why, .. } if why[0].contains("second")), "{held:?}");
    act(&desk, (run, "back", 42), &[("second_product_salt_mg_kg", "5")], What::Read).expect("read");
    assert_eq!(tick(&desk, (run, "back", 42), &[]), written());
}

#[test]
fn ident_what_is_written_down_stands_with_a_step_ticked_afterwards() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("salinity-alarm", "3e", None, minute(0)).expect("begun");
    let mut steps = afterwards(&[("tank", 9)]);
    steps[0].note = "port set apart, 31 ppm top and bottom".to_owned();
    desk.do_afterwards(run, "3e", &steps, minute(10)).expect("ticked");
    let view = desk.run_view(run, minute(11)).expect("a run");
    let standing = view.steps[3].standing.as_ref().expect("done");
    assert_eq!(standing.note, "port set apart, 31 ppm top and bottom");
}

/// A round of the watch with its counter, written by hand.
fn whole_round(desk: &Desk, at: i64, meter_m3: f64) {
    let meter = meter_m3.to_string();
    let readings = [
        ("engine_load_percent", "72"),
        ("engine_jacket_out_c", "83"),
        ("jacket_in_c", "82"),
        ("barometer_hpa", "1012"),
        ("sea_temp_c", "26"),
        ("vapour_temp_c", "46"),
        ("distillate_meter_m3", meter.as_str()),
    ];
    let ship = &desk.setup().ship;
    let value = |(key, text): (&str, &str)| {
        let style = quantity::Style::Either;
        desk::written::written(ship, key, text, "", style).expect("a figure").value
    };
    let values = readings.into_iter().map(value).collect();
    let draft = logbook::Draft::reading(minute(at), logbook::Author::hand("3e"), values);
    desk.write(draft, minute(at)).expect("written");
}

#[test]
fn ident_what_is_read_at_steps_pushes_no_round_out_of_sight_and_the_counter_counts_there_too() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    whole_round(&desk, -480, 1000.0);
    whole_round(&desk, -240, 1004.0);
    let run = desk.begin_run("change-tank", "2e", None, minute(0)).expect("begun");
    for at in 1..40 {
        let salt = [("product_salt_mg_kg", "3")];
        act(&desk, (run, "open-new", at), &salt, What::Read).expect("read");
    }
    let now = desk.now(minute(40)).expect("now");
    let round = now.round.expect("the last round stands");
    assert_eq!(round.at, minute(-240));
    assert!(matches!(now.verdict, desk::now::Verdict::Running { .. }), "{:?}", now.verdict);
    // 4 m³ since the round, four hours and forty-one minutes ago.
    let made = |now: desk::now::NowView| match now.verdict {
        desk::now::Verdict::Running { made, .. } => made,
        other => panic!("{other:?}"),
    };
    let before = made(desk.now(minute(40)).expect("now"));
    act(&desk, (run, "shut-old", 41), &[("distillate_meter_m3", "1008")], What::Read)
        .expect("read");
    let after = made(desk.now(minute(42)).expect("now"));
    assert!((before - 4.0 * 0.992 * 6.0).abs() < 1e-6, "{before}");
    assert!((after - 4.0 * 0.992 * 24.0 * 60.0 / 281.0).abs() < 1e-6, "{after}");
    // "=" is the last of the record, however much was read since.
    act(&desk, (run, "shut-old", 43), &[("distillate_meter_m3", "=")], What::Read).expect("read");
    let rounds = desk.rounds(minute(43), 1).expect("rounds");
    assert_eq!(rounds[0].value("distillate_meter_m3"), Some(1008.0));
}

#[test]
fn ident_a_reading_mistyped_at_a_step_is_put_right_within_its_minute() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = to_the_pump(&desk);
    let wrong = [("ejector_pressure_bar_g", "2.6"), ("back_pressure_bar_g", "0.4")];
    act(&desk, (run, "ejector-pump", 41), &wrong, What::Read).expect("read");
    let right = [("ejector_pressure_bar_g", "3.6")];
    assert_eq!(tick(&desk, (run, "ejector-pump", 41), &right), written());
    let entries = desk.entries(None, 2).expect("entries");
    let mended = entries.iter().find(|entry| entry.kind == Kind::Correction).expect("a new entry");
    let again = "typed again at step 5 by 2e";
    assert!(mended.reason.as_deref().is_some_and(|why| why.contains(again)));
    let view = desk.run_view(run, minute(42)).expect("a run");
    let was: Vec<&str> =
        view.steps[4].readings.iter().filter_map(|read| read.was.as_deref()).collect();
    assert!(was.len() == 1 && was[0].starts_with("2.6"), "the old beside the new: {was:?}");
    let texts: Vec<&str> = view.steps[4].readings.iter().map(|read| read.text.as_str()).collect();
    assert_eq!(texts.len(), 2, "{texts:?}");
    assert!(texts.iter().any(|text| text.starts_with("3.6")), "{texts:?}");
}

#[test]
fn ident_a_point_left_out_is_named_where_the_figure_cannot_be() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let typed = [("engine_jacket_out_c", "850")];
    let told = refused(act(&desk, (run, "permission", 1), &typed, What::Read));
    assert!(told.contains("Is 85.0") && told.contains("meant"), "{told}");
}

#[test]
fn ident_a_run_entered_afterwards_is_asked_by_the_record_of_its_own_time() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let pump = |at: i64, bar: &str| {
        let readings = [("ejector_pressure_bar_g", bar), ("back_pressure_bar_g", "0.4")];
        let ship = &desk.setup().ship;
        let value = |(key, text): (&str, &str)| {
            let style = quantity::Style::Either;
            desk::written::written(ship, key, text, "", style).expect("a figure").value
        };
        let values = readings.into_iter().map(value).collect();
        let draft = logbook::Draft::reading(minute(at), logbook::Author::hand("3e"), values);
        desk.write(draft, minute(at)).expect("written");
    };
    for at in [-31, -1] {
        let steady = [("engine_load_percent", "72"), ("engine_jacket_out_c", "83.2")];
        let ship = &desk.setup().ship;
        let value = |(key, text): (&str, &str)| {
            let style = quantity::Style::Either;
            desk::written::written(ship, key, text, "", style).expect("a figure").value
        };
        let values = steady.into_iter().map(value).collect();
        let draft = logbook::Draft::reading(minute(at), logbook::Author::hand("3e"), values);
        desk.write(draft, minute(at)).expect("written");
    }
    pump(10, "3.6");
    pump(200, "1.2");
    let now = minute(210);
    let run = desk.begin_run("start", "2e", Some(minute(0)), now).expect("begun");
    let done = |step: &str, at: i64| {
        let (what, at) = (What::Tick { looked: true }, Some(minute(at)));
        let more = More::default();
        let doing = Doing { run, step, by: "2e", at, readings: &[], what, more, token: "" };
        desk.do_step(&doing, now).expect("ticked")
    };
    for (step, at) in [("permission", 1), ("line-up", 6), ("overboard", 7), ("cooling", 8)] {
        assert_eq!(done(step, at), written(), "{step}");
    }
    let typed = desk.run_view_by(run, Some(minute(10)), now).expect("a run");
    assert!(matches!(typed.stands, Stands::At { place: 4, .. }), "{:?}", typed.stands);
    let later = desk.run_view_by(run, Some(minute(9)), now).expect("a run");
    assert!(later.steps[4].readings.is_empty(), "{:?}", later.steps[4].readings);
    let view = desk.run_view(run, now).expect("a run");
    assert!(matches!(view.stands, Stands::Held { place: 4, .. }), "{:?}", view.stands);
    assert!(view.steps.iter().filter_map(|s| s.foretold.as_ref()).all(|f| f.late.is_none()));
    assert_eq!(view.own_time, Some(minute(8)), "the last tick's, never a later round's");
    assert_eq!(done("ejector-pump", 11), written());
}

#[test]
fn ident_order_that_goes_with_a_text_is_named_like_a_guard() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("stop", minute(0)).expect("a stop");
    let (head, steps) = usual.text.split_once("[[step]]").expect("steps");
    let mut steps: Vec<&str> = steps.split("[[step]]").collect();
    steps.swap(0, 1);
    let text = format!("{head}[[step]]{}", steps.join("[[step]]"));
    let lost = desk.guards_lost("stop", &text).expect("looked through");
    assert!(lost[0].starts_with("step 1, ") && lost[0].ends_with("no longer comes first."));
    assert!(lost[1].contains(" comes after step 2, "), "{lost:?}");
    assert!(desk.save_procedure("stop", &text, "2e", minute(1)).is_err(), "the chief is asked");
}

#[test]
fn ident_a_step_left_open_behind_which_another_is_done_is_named() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    let keys: Vec<String> = desk
        .procedure("stop", minute(0))
        .expect("it")
        .steps
        .into_iter()
        .map(|step| step.key)
        .collect();
    let done = afterwards(&[(keys[0].as_str(), 5), (keys[2].as_str(), 9)]);
    desk.do_afterwards(stop, "2e", &done, minute(31)).expect("written");
    let view = desk.run_view(stop, minute(32)).expect("a run");
    let told: Vec<&str> = view.order.iter().map(|pair| pair.says.as_str()).collect();
    assert!(
        told.len() == 1 && told[0].contains("and step 2 (") && told[0].contains("is still open"),
        "{told:?}"
    );
}

#[test]
fn ident_a_guard_made_weaker_goes_like_one_taken_away_and_the_way_back_is_free() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("start", minute(0)).expect("a start").text;
    let with = |from: &str, to: &str| {
        assert!(usual.contains(from), "{from}");
        usual.replacen(from, to, 1)
    };
    let salt = "product_salt_mg_kg <= limit.salinity_dump_mg_kg for 10 min";
    let vacuum = "vacuum_percent >= 90 or vacuum_percent >= limit.vacuum_min_percent for 5 min";
    let second = "second = \"Second person, who looked at the tank’s valve\"\n";
    let hot = "  \"Jacket pipes and heater are hot enough to burn through gloves.\",\n";
    for (text, says) in [
        (with(salt, "product_salt_mg_kg <= 500 for 10 min"), "step 13, Let it dump until"),
        (with(vacuum, "vacuum_percent >= 10"), "step 6, Pull vacuum: asked for was Vacuum"),
        (with("wait_min = 3\n", ""), "3 min must pass before it, now none"),
        (with("wait_min = 60", "wait_min = 5"), "60 min must pass before it, now 5"),
        (
            with("overridden_by = \"chief\"", "overridden_by = \"watch\""),
            "step 1, Ask the bridge: who may go on against the guard is now the watch-keeper",
        ),
        (with(second, ""), "the second person is no longer asked for"),
        (with("look = \"Amps as usual\"", "look = \"Running\""), "was “Amps as usual” and is now"),
        (with(hot, ""), "the caution “Jacket pipes and heater"),
        (with("caution = \"Hot: stand aside of vent and flange.\"\n", ""), "step 9, "),
    ] {
        let lost = desk.guards_lost("start", &text).expect("looked through");
        assert!(lost.len() == 1 && lost[0].contains(says), "{says}: {lost:?}");
        let refused = desk.save_procedure("start", &text, "2e", minute(1)).expect_err("asked");
        assert!(refused.to_string().contains(says), "{refused}");
    }
    // What is plainly stricter asks nobody.
    for text in [
        with(vacuum, "vacuum_percent >= 92 for 5 min"),
        with("wait_min = 3\n", "wait_min = 4\n"),
        with("look = \"Amps as usual\"", "look = \"Amps as usual, no shake\""),
        with("why = \"A warming engine", "why = \"A cold engine"),
    ] {
        assert_eq!(desk.guards_lost("start", &text).expect("looked through"), [""; 0]);
    }
    let weak = with(salt, "product_salt_mg_kg <= 500 for 10 min").replacen(second, "", 1);
    let own = Losing { chief: "CE", why: "trial" };
    let same = desk.keep_procedure("start", &weak, "ce", own, minute(2)).expect_err("one hand");
    assert!(same.to_string().starts_with("Chief engineer: the same initials"), "{same}");
    assert!(desk.keep_procedure("start", &weak, "2e", own, minute(2)).expect("kept"));
    // Nearer to the usual text, and nothing else touched: the chief's word stands.
    let nearer = weak.replacen("<= 500 for", "<= 300 for", 1);
    assert_eq!(desk.guards_lost("start", &nearer).expect("looked through"), [""; 0]);
    let worse = weak.replacen("<= 500 for", "<= 900 for", 1);
    assert_eq!(desk.guards_lost("start", &worse).expect("looked through").len(), 1);
    // A stricter text of her own goes back to the usual one without the chief.
    let strict = with(salt, "product_salt_mg_kg <= 1 for 30 min");
    desk.keep_procedure("start", &usual, "2e", Losing::default(), minute(3)).expect("the usual");
    desk.keep_procedure("start", &strict, "2e", Losing::default(), minute(4))
        .expect_err("1 ppm is no ship's limit");
    let strict = with(salt, "product_salt_mg_kg <= limit.salinity_dump_mg_kg - 1 for 30 min");
    desk.keep_procedure("start", &strict, "2e", Losing::default(), minute(5)).expect("stricter");
    assert!(
        desk.keep_procedure("start", &usual, "2e", Losing::default(), minute(6)).expect("free")
    );
}

#[test]
fn ident_the_guard_is_asked_anew_of_a_time_that_is_mended() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    let jacket = [("engine_jacket_out_c", "83")];
    tick(&desk, (stop, "heat-off", 15), &jacket);
    tick(&desk, (stop, "tank-shut", 20), &[("distillate_meter_m3", "1000")]);
    // Fifteen minutes must pass: 04:35.
    act(&desk, (stop, "cool", 21), &[("vapour_temp_c", "45")], What::Read).expect("read");
    assert_eq!(tick(&desk, (stop, "cool", 36), &[]), written());
    let word = |now: i64| {
        let view = desk.run_view(stop, minute(now)).expect("a run");
        view.steps[2].standing.clone().expect("done")
    };
    assert!(!word(37).stands_out);
    let to = |at: i64| What::Mend { time: Some(minute(at)), hand: "", reason: "by the bell book" };
    act(&desk, (stop, "cool", 38), &[], to(34)).expect("mended");
    let early = word(39);
    assert!(early.stands_out && early.unmet.contains("Not before 04:35"), "{early:?}");
    act(&desk, (stop, "cool", 40), &[], to(35)).expect("mended");
    let well = word(41);
    assert!(!well.stands_out && well.unmet.is_empty() && well.word == "done", "{well:?}");
}

#[test]
fn ident_a_figure_put_right_after_a_tick_marks_the_step_with_its_correction() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    let jacket = [("engine_jacket_out_c", "83")];
    assert_eq!(tick(&desk, (stop, "heat-off", 15), &jacket), written());
    let entry = desk.entries(None, 2).expect("entries");
    let read = entry.iter().find(|entry| entry.kind == Kind::Reading).expect("the reading").seq;
    let to = desk::correct::Correction {
        seq: read,
        key: "engine_jacket_out_c",
        text: "90",
        unit: "",
        reason: "the gauge was read a row too low",
        actor: "2e",
        stands: true,
    };
    let seq = desk.correct(to, minute(30)).expect("corrected");
    let view = desk.run_view(stop, minute(31)).expect("a run");
    let standing = view.steps[0].standing.as_ref().expect("done");
    assert_eq!(standing.word, "done, not as wanted any more");
    assert!(standing.stands_out && view.line.stand_out == 1);
    assert_eq!(standing.corrected[0].entry, seq);
    let says = &standing.corrected[0].says;
    assert!(says.contains("corrected from 83.0") && says.contains("to 90.0"), "{says}");
    assert_eq!(desk.procedures().expect("lists").open[0].stand_out, 1);
    // Looked at again with a figure that is as wanted, it stands.
    act(&desk, (stop, "heat-off", 33), &jacket, What::Again { looked: true }).expect("looked");
    assert!(
        !desk.run_view(stop, minute(34)).expect("it").steps[0]
            .standing
            .as_ref()
            .expect("done")
            .stands_out
    );
}

#[test]
fn ident_the_way_back_to_a_tank_is_neither_passed_over_nor_ticked_without_initials() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("salinity-alarm", "", None, minute(0)).expect("begun");
    let others = afterwards(&[("heat-back", 1), ("hand-meter", 3), ("cause", 8), ("tank", 9)]);
    desk.do_afterwards(run, "", &others, minute(10)).expect("never held");
    let pass = act(&desk, (run, "back", 12), &[], What::Pass { reason: "bridge waits" });
    assert!(refused(pass).contains("not passed over"));
    for at in [12, 23] {
        let salt = [("product_salt_mg_kg", "4"), ("second_product_salt_mg_kg", "4")];
        act(&desk, (run, "back", at), &salt, What::Read).expect("read");
    }
    let no_name = |what| {
        let doing = Doing {
            run,
            step: "back",
            by: " ",
            at: Some(minute(24)),
            readings: &[],
            what,
            more: More::default(),
            token: "",
        };
        desk.do_step(&doing, minute(24))
    };
    assert!(refused(no_name(What::Tick { looked: true })).starts_with("Initials: "));
    let back = afterwards(&[("back", 24)]);
    assert!(desk.do_afterwards(run, "", &back, minute(24)).is_err());
    assert_eq!(tick(&desk, (run, "back", 25), &[]), written());
    let list = desk.begin_run("salinity-alarm", "", None, minute(30)).expect("begun");
    tick(&desk, (list, "heat-back", 31), &[]);
    let view = desk.run_view(list, minute(32)).expect("a run");
    assert_eq!(view.steps[1].reads[0].label, "Salinity, second instrument");
}

#[test]
fn ident_now_says_that_the_plant_was_stopped_by_the_list_and_that_a_start_is_under_way() {
    use desk::now::Verdict;
    use desk::procedures::ByList;
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    whole_round(&desk, -480, 1000.0);
    whole_round(&desk, -240, 1004.0);
    assert!(matches!(desk.now(minute(0)).expect("now").verdict, Verdict::Running { .. }));
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    assert!(desk.now(minute(1)).expect("now").by_list.is_none(), "begun is not done");
    tick(&desk, (stop, "heat-off", 15), &[("engine_jacket_out_c", "83")]);
    let now = desk.now(minute(20)).expect("now");
    assert_eq!(now.verdict, Verdict::ShutDown { since: Some(minute(15)) });
    assert!(now.rows.is_empty() && now.heat_should_kw.is_none(), "nothing is expected of it");
    let stopped = ByList::Stopped { at: minute(15), name: "Stop the plant".into() };
    assert_eq!(now.by_list, Some(stopped));
    act(&desk, (stop, "", 21), &[], What::GiveUp { reason: "bridge wants water" }).expect("up");
    let start = desk.begin_run("start", "2e", None, minute(22)).expect("begun");
    let anyway =
        What::Override { who: "chief", chief: "ce", reason: "steady by the log", looked: true };
    act(&desk, (start, "permission", 25), &[], anyway).expect("by the chief's word");
    let now = desk.now(minute(41)).expect("now");
    let Some(ByList::Starting { since, run, done, steps, .. }) = now.by_list else {
        panic!("{:?}", now.by_list)
    };
    assert_eq!((since, run, done, steps), (minute(22), start, 1, 16));
    // A round of a running plant says more than any list before it.
    whole_round(&desk, 240, 1006.0);
    let now = desk.now(minute(241)).expect("now");
    assert!(now.by_list.is_none() && !matches!(now.verdict, Verdict::ShutDown { .. }));
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

#[test]
fn ident_what_was_done_behind_an_open_step_stays_said_and_a_reading_before_the_run_counts_not() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let ship = &desk.setup().ship;
    let gauge = [("shell_gauge_bar_g", "0"), ("barometer_hpa", "1013")].map(|(key, text)| {
        let style = quantity::Style::Either;
        desk::written::written(ship, key, text, "", style).expect("a figure").value
    });
    let draft = logbook::Draft::reading(minute(1), logbook::Author::hand("3e"), gauge.to_vec());
    desk.write(draft, minute(1)).expect("written");
    let stop = desk.begin_run("stop", "2e", None, minute(10)).expect("begun");
    let Outcome::Written { warned } = tick(&desk, (stop, "breaker", 12), &[]) else {
        panic!("held")
    };
    let harm = |text: &str| text.contains("throws salt into the condenser");
    assert!(warned.iter().any(|why| why.contains("has not been read for this step")), "{warned:?}");
    assert!(warned.iter().any(|why| harm(why)), "{warned:?}");
    // The heat off is ticked later, with a time that lies before: what was found stays.
    let heat = [("engine_jacket_out_c", "83")];
    act(&desk, (stop, "heat-off", 12), &heat, What::Tick { looked: true }).expect("ticked");
    let view = desk.run_view(stop, minute(14)).expect("a run");
    assert!(harm(&view.steps[4].standing.as_ref().expect("done").remark), "{:?}", view.steps[4]);
}
