//! What Now and the lists tell: runs under way, what one given up left open, nothing of before a start as it is, minutes across a stop.

use std::collections::BTreeMap;

use desk::now::Verdict;
use desk::procedures::{Losing, Outcome, What};

use desk::round::{Cell, Round};
use desk::switched::{Switch, stopped};
use jiff::Timestamp;
use logbook::{ShipClock, Zone};

use crate::{aboard, act, minute, refused, tick, to_the_pump, whole_round};

#[test]
fn ident_every_list_under_way_is_told_with_its_step_and_who_leads_it_the_newest_tick_first() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let told = |at: i64| -> Vec<(String, String, String)> {
        let runs = desk.now(minute(at)).expect("now").under_way;
        runs.into_iter().map(|run| (run.key, run.step, run.led_by)).collect()
    };
    let line = |key: &str, step: &str, by: &str| (key.to_owned(), step.to_owned(), by.to_owned());
    let start = to_the_pump(&desk);
    let stop = desk.begin_run("stop", "3e", None, minute(45)).expect("begun");
    // Begun with nothing ticked is told too, and is the newest.
    let stop_at = line("stop", "step 1 of 8 (heat off)", "3e");
    let start_at = line("start", "step 5 of 16 (ejector pump)", "2e");
    assert_eq!(told(46), [stop_at.clone(), start_at.clone()]);
    let runs = desk.now(minute(46)).expect("now").under_way;
    assert_eq!((runs[0].since, runs[0].ticked), (minute(45), None));
    assert_eq!(runs[1].ticked, Some(minute(39)));
    tick(
        &desk,
        (start, "ejector-pump", 50),
        &[("ejector_pressure_bar_g", "3.6"), ("back_pressure_bar_g", "0.4")],
    );
    let start_at = line("start", "step 6 of 16 (vacuum)", "2e");
    assert_eq!(told(51), [start_at.clone(), stop_at.clone()]);
    // An emergency stands before both.
    let alarm = desk.begin_run("salinity-alarm", "3e", None, minute(40)).expect("begun");
    let alarm_at = line("salinity-alarm", "step 1 of 5 (heat back)", "3e");
    assert_eq!(told(52), [alarm_at, start_at.clone(), stop_at]);
    for run in [alarm, stop] {
        act(&desk, (run, "", 53), &[], What::GiveUp { reason: "a trial" }).expect("given up");
    }
    assert_eq!(told(54), [start_at]);
}

#[test]
fn ident_a_stop_given_up_leaves_open_what_its_ticks_left_until_something_settles_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    whole_round(&desk, -60, 1000.0);
    let left = |at: i64| desk.now(minute(at)).expect("now").left_open;
    // Nothing ticked, nothing moved.
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    act(&desk, (stop, "", 1), &[], What::GiveUp { reason: "bridge" }).expect("given up");
    assert!(left(2).is_empty());
    let stop = desk.begin_run("stop", "2e", None, minute(3)).expect("begun");
    tick(&desk, (stop, "heat-off", 20), &[("engine_jacket_out_c", "83")]);
    tick(&desk, (stop, "tank-shut", 22), &[]);
    assert!(left(23).is_empty(), "it is under way, and told as such");
    act(&desk, (stop, "", 30), &[], What::GiveUp { reason: "bridge" }).expect("given up");
    let told = left(31);
    assert_eq!(told.len(), 1);
    let told = &told[0];
    assert_eq!((told.run, told.at, told.by.as_str()), (stop, minute(30), "2e"));
    assert_eq!((told.done, told.steps, told.heat), (2, 8, Some((false, minute(20)))));
    assert_eq!(told.open, ["step 3 (cool)", "step 4 (feed shut)", "step 5 (breaker)"]);
    assert_eq!(
        (told.more, told.way_out.as_str()),
        (3, "Leave pumps running; the shell still cools.")
    );
    // A list begun settles nothing, its first tick does.
    let again = desk.begin_run("stop", "2e", None, minute(40)).expect("begun");
    assert_eq!(left(41).len(), 1);
    tick(&desk, (again, "cool", 60), &[("vapour_temp_c", "45")]);
    assert!(left(61).is_empty());
    act(&desk, (again, "", 62), &[], What::GiveUp { reason: "bridge" }).expect("given up");
    // Begun behind its first step, the way out is that step.
    assert!(left(63)[0].way_out.starts_with("By-pass open in even steps"));
    assert_eq!(left(63)[0].heat, None);
    whole_round(&desk, 70, 1000.5);
    assert!(left(71).is_empty(), "a round tells how she stands");
    // A start given up while a stop is followed: the stop has the plant since, not the start.
    let start = desk.begin_run("start", "2e", None, minute(80)).expect("begun");
    let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
    act(&desk, (start, "permission", 81), &[], over).expect("by his word");
    let stop = desk.begin_run("stop", "2e", None, minute(82)).expect("begun");
    tick(&desk, (stop, "heat-off", 90), &[("engine_jacket_out_c", "83")]);
    act(&desk, (start, "", 95), &[], What::GiveUp { reason: "stopped" }).expect("given up");
    assert!(left(96).is_empty());
}

/// From the last stop to the first round after the start nothing that was read before is told as it is.
#[test]
fn ident_what_was_read_before_the_start_is_told_with_its_time_and_not_as_it_is() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    whole_round(&desk, -480, 1000.0);
    whole_round(&desk, -240, 1004.0);
    let salt = desk::written::written(
        &desk.setup().ship,
        "product_salt_mg_kg",
        "2.2",
        "",
        quantity::Style::Either,
    );
    let value = salt.expect("a figure").value;
    let draft = logbook::Draft::reading(minute(-230), logbook::Author::hand("3e"), vec![value]);
    desk.write(draft, minute(-230)).expect("written");
    let salt = |at: i64| {
        let now = desk.now(minute(at)).expect("now");
        now.rows.iter().find(|row| row.key == "product_salt_mg_kg").and_then(|row| row.read)
    };
    assert_eq!(salt(-60), Some(2.2));
    let event = |on: &str, at: i64| {
        let draft = logbook::Draft::new(logbook::Kind::Event, logbook::Author::hand("3e"));
        desk.write(draft.at(minute(at)).detail("plant", on), minute(at)).expect("written");
    };
    event("off", -50);
    let due = desk.due(minute(60)).expect("due").expect("a round was read");
    assert!(due <= minute(0), "by the old round it was due before the start");
    event("on", 0);
    let now = desk.now(minute(61)).expect("now");
    assert!(matches!(now.verdict, Verdict::Across { .. }), "{:?}", now.verdict);
    let before = now.before.expect("the round is of before the start");
    assert_eq!(before.switch, (minute(0), true));
    assert_eq!(before.salt, Some((minute(-230), 2.2)));
    assert!(now.rows.iter().all(|row| row.read.is_none()), "{:?}", now.rows);
    assert!(now.computed.is_empty() && now.beyond.is_empty() && now.heat_taken_kw.is_none());
    // The round falls due after the start, and the stand is hatched.
    assert!(desk.due(minute(60)).expect("due").expect("one") > minute(60));
    let seconds = |at: i64| minute(at).as_second() as f64;
    assert_eq!(now.stopped, [(seconds(-50), seconds(0))]);
    // One figure read since is told as it is, and no other.
    let run = desk.begin_run("change-tank", "2e", None, minute(62)).expect("begun");
    act(&desk, (run, "open-new", 63), &[("product_salt_mg_kg", "6")], What::Read).expect("read");
    assert_eq!(salt(64), Some(6.0));
    let now = desk.now(minute(64)).expect("now");
    assert!(now.before.expect("still").salt.is_none());
    assert_eq!(now.rows.iter().filter(|row| row.read.is_some()).count(), 1);
    whole_round(&desk, 70, 1004.5);
    assert!(desk.now(minute(71)).expect("now").before.is_none());
}

#[test]
fn ident_the_step_of_the_first_round_is_not_ticked_while_none_stands_since_the_heat_came_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    whole_round(&desk, -300, 1000.0);
    let start = desk.begin_run("start", "2e", None, minute(0)).expect("begun");
    let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
    let steps = desk.run_view(start, minute(0)).expect("it").steps;
    let (first, before) = steps.split_last().expect("steps");
    assert_eq!(first.key, "first-round");
    for (step, at) in before.iter().zip((5..).step_by(5)) {
        let ticked = act(&desk, (start, &step.key, at), &[], What::Tick { looked: true });
        if !matches!(ticked, Ok(Outcome::Written { .. })) {
            act(&desk, (start, &step.key, at), &[], over).expect(&step.key);
        }
    }
    let why = refused(act(&desk, (start, "first-round", 150), &[], What::Tick { looked: true }));
    assert!(why.starts_with("No whole round stands since the heat came on, 04:45"), "{why}");
    let view = desk.run_view(start, minute(150)).expect("it");
    match view.stands {
        desk::procedures::Stands::At { warned, .. } => assert!(warned.contains(&why), "{warned:?}"),
        other => panic!("{other:?}"),
    }
    whole_round(&desk, 151, 1001.0);
    tick(&desk, (start, "first-round", 152), &[]);
}

#[test]
fn ident_a_reading_of_before_a_step_that_is_out_is_told_with_its_figure_and_range() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let stop = desk.begin_run("stop", "2e", None, minute(0)).expect("begun");
    // Read while the third step was looked at first, then the first one ticked behind it.
    act(&desk, (stop, "cool", 10), &[("vapour_temp_c", "62")], What::Read).expect("read");
    tick(&desk, (stop, "heat-off", 12), &[("engine_jacket_out_c", "83")]);
    let Outcome::Written { warned } = tick(&desk, (stop, "cool", 30), &[]) else {
        panic!("a stop is never held")
    };
    let told = warned.iter().find(|why| why.starts_with("Vapour")).expect("told");
    assert_eq!(
        told,
        "Vapour read 62.0\u{a0}°C at 04:10, which is out, and was not read again since; wanted: at most 50.0\u{a0}°C."
    );
}

#[test]
fn ident_what_a_step_says_is_written_down_goes_by_the_chiefs_word_only() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let usual = desk.procedure("start", minute(0)).expect("a start").text;
    let note = "note = \"Position, distance off, and who said yes\"\n";
    assert!(usual.contains(note));
    let without = usual.replace(note, "");
    let lost = desk.guards_lost("start", &without).expect("looked through");
    assert_eq!(
        lost,
        [
            "step 1, Ask the bridge: what is written down is no longer asked for; it was “Position, distance off, and who said yes”."
        ]
    );
    let refused = desk.save_procedure("start", &without, "2e", minute(1)).expect_err("asked");
    assert!(refused.to_string().contains("chief engineer"), "{refused}");
    let word = Losing { chief: "ce", why: "it stands in the bridge’s book" };
    assert!(desk.keep_procedure("start", &without, "2e", word, minute(2)).expect("by his word"));
    // A note of which no step speaks is free.
    let coast = desk.procedure("coast", minute(3)).expect("it").text;
    let line = "note = \"Who was told on the bridge, and how much water\"\n";
    assert!(coast.contains(line));
    assert_eq!(desk.guards_lost("coast", &coast.replace(line, "")).expect("it"), [""; 0]);
    let line = "note = \"Soundings, tank by tank\"\n";
    assert_eq!(desk.guards_lost("coast", &coast.replace(line, "")).expect("it").len(), 1);
}

/// A stop within a start: the minutes across it are told with it and without.
#[test]
fn ident_minutes_across_a_stop_are_told_with_it_and_without() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    let stop = desk.begin_run("stop", "3e", None, minute(50)).expect("begun");
    tick(&desk, (stop, "heat-off", 55), &[("engine_jacket_out_c", "83")]);
    act(&desk, (stop, "", 70), &[], What::GiveUp { reason: "bridge" }).expect("given up");
    let pump = [("ejector_pressure_bar_g", "3.6"), ("back_pressure_bar_g", "0.4")];
    tick(&desk, (start, "ejector-pump", 75), &pump);
    let compared = desk.compare_runs("start").expect("compared");
    let pump = &compared.steps[4];
    assert_eq!(pump.took_min, [Some(36.0)]);
    let between = pump.between[0].clone().expect("the stop lay between");
    assert_eq!((between.from, between.to), (minute(50), minute(70)));
    assert_eq!((between.by.as_str(), between.more, between.own_min), ("Stop the plant", 0, 16.0));
    assert!(compared.steps[..4].iter().all(|step| step.between == [None]));
    assert_eq!(compared.whole_between, [None], "it is under way");
    // One that was only begun interrupted nothing.
    let other = desk.begin_run("stop", "3e", None, minute(80)).expect("begun");
    act(&desk, (other, "", 81), &[], What::GiveUp { reason: "bridge" }).expect("given up");
    act(&desk, (start, "vacuum", 90), &[], What::TakeBack { reason: "" }).expect_err("not done");
    assert_eq!(desk.compare_runs("start").expect("it").steps[4].between[0], Some(between));
}

/// Entered afterwards, a start is asked by the record of its own time; what holds it by that of now is said before it is sent.
#[test]
fn ident_a_start_entered_afterwards_says_what_holds_it_now() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    let pump = [("ejector_pressure_bar_g", "3.6"), ("back_pressure_bar_g", "0.4")];
    let late = |step: &str, at: i64, now: i64| {
        let readings = crate::typed(if step == "ejector-pump" { &pump } else { &[] });
        let doing = desk::procedures::Doing {
            run: start,
            step,
            by: "2e",
            at: Some(minute(at)),
            readings: &readings,
            what: What::Tick { looked: true },
            more: desk::procedures::More::default(),
            token: "",
        };
        desk.do_step(&doing, minute(now)).expect(step)
    };
    // Under way and ticked as it is done, nothing more is said.
    assert!(desk.run_view(start, minute(40)).expect("it").held_now.is_empty());
    let stop = desk.begin_run("stop", "3e", None, minute(60)).expect("begun");
    tick(&desk, (stop, "heat-off", 65), &[("engine_jacket_out_c", "83")]);
    tick(&desk, (stop, "sea-valves", 70), &[]);
    late("ejector-pump", 42, 100);
    let view = desk.run_view(start, minute(101)).expect("it");
    assert_eq!(view.own_time, Some(minute(42)));
    assert!(
        view.held_now[0].contains("the sea valves are shut since 05:10"),
        "{:?}",
        view.held_now
    );
    // Of the time typed it is asked by that time alone.
    let view = desk.run_view_by(start, Some(minute(45)), minute(101)).expect("it");
    assert!(view.held_now.is_empty());
}

#[test]
fn ident_of_two_readings_either_of_which_is_enough_each_has_its_range_in_the_sentence() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = to_the_pump(&desk);
    let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
    let pump = [("ejector_pressure_bar_g", "3.6"), ("back_pressure_bar_g", "0.4")];
    tick(&desk, (start, "ejector-pump", 42), &pump);
    act(&desk, (start, "vacuum", 50), &[], over).expect("by his word");
    match desk.run_view(start, minute(51)).expect("it").stands {
        desk::procedures::Stands::Held { briefly, .. } => {
            let (pressure, flow) = briefly.split_once(", or ").expect("two");
            assert_eq!(pressure, "feed pressure is read and 2.0 to 2.8\u{a0}bar\u{a0}g");
            assert!(flow.starts_with("feed flow is read and "), "{flow}");
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn ident_a_plant_stands_from_each_stop_to_the_start_behind_it_or_to_now() {
    let hour = |k: i64| minute(k * 60);
    let span = |from: i64, to: i64| (hour(from).as_second() as f64, hour(to).as_second() as f64);
    let switches = [(hour(20), false), (hour(12), true), (hour(8), false), (hour(2), true)];
    assert_eq!(stopped(&[], &switches, hour(24)), [span(8, 12), span(20, 24)]);
    // A stop ticked in two lists is one stand; what lies ahead of the moment asked is not known yet.
    let twice = [(hour(20), false), (hour(10), false), (hour(8), false)];
    assert_eq!(stopped(&[], &twice, hour(15)), [span(8, 15)]);
    // Nobody wrote the start, and a round says that she runs.
    let cell = |value: f64| Cell {
        value: Some(value),
        text: String::new(),
        unit: String::new(),
        why: None,
        not_taken: false,
        struck: None,
        seq: 1,
    };
    let keys = ["jacket_in_c", "vapour_temp_c", "sea_temp_c", "engine_load_percent"];
    let cells: BTreeMap<_, _> = keys.map(|key| (key.to_owned(), cell(40.0))).into();
    let ran = Round { at: hour(11), actors: Vec::new(), cells };
    assert_eq!(stopped(&[ran], &[(hour(8), false)], hour(24)), [span(8, 11)]);
}

#[test]
fn ident_after_a_start_a_round_falls_due_by_the_start_and_not_by_the_round_before_the_stop() {
    let at = |text: &str| -> Timestamp { format!("2025-11-16T{text}:00Z").parse().expect("time") };
    let clock = ShipClock::new(Zone::UTC, Vec::new(), at("00:00"));
    let round = Round { at: at("04:00"), actors: Vec::new(), cells: BTreeMap::new() };
    let due =
        |switches: &[Switch]| desk::due::next(&clock, std::slice::from_ref(&round), switches, 4.0);
    assert_eq!(due(&[]), Some(at("08:00")));
    let (off, on) = ((at("06:00"), false), (at("16:28"), true));
    assert_eq!(due(&[on, off]), Some(at("20:00")));
    // A start before the round says nothing of the next.
    assert_eq!(due(&[(at("02:00"), true)]), Some(at("08:00")));
}
