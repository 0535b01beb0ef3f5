//! Stops and emergencies: begun at once, ticked afterwards, held only on the way back to a tank.

use desk::procedures::{Doing, More, Outcome, Stands, What};

use crate::{aboard, act, afterwards, minute, refused, tick, to_the_pump, written};

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
    // Nor does the first in limit within ten minutes of it.
    let Outcome::Held { why, .. } = tick(&desk, (run, "back", 42), &[]) else { panic!("too soon") };
    assert!(why.len() == 1 && why[0].contains("of 04:51 or later"), "{why:?}");
    act(&desk, (run, "back", 51), &[("second_product_salt_mg_kg", "5")], What::Read).expect("read");
    assert_eq!(tick(&desk, (run, "back", 52), &[]), written());
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
fn ident_it_is_said_from_when_the_ten_minutes_of_a_salinity_alarm_count_and_by_what_they_were_shown()
 {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = desk.begin_run("salinity-alarm", "3e", None, minute(0)).expect("begun");
    let others = afterwards(&[("heat-back", 1), ("hand-meter", 3), ("cause", 8), ("tank", 9)]);
    desk.do_afterwards(run, "", &others, minute(10)).expect("never held");
    // Before the last tick it was in limit for long: that counts not.
    let lasts = |now: i64| {
        let view = desk.run_view(run, minute(now)).expect("a run");
        view.steps[4].wanted.iter().map(|wanted| wanted.lasts.clone()).collect::<Vec<_>>()
    };
    let counts = "counts from 04:09, when step 4 was ticked; till 04:19 at the earliest";
    assert!(lasts(10).contains(&counts.to_owned()), "{:?}", lasts(10));
    // The time is counted from the first that says so, and told once.
    let salt = [("product_salt_mg_kg", "4"), ("second_product_salt_mg_kg", "4")];
    act(&desk, (run, "back", 11), &salt, What::Read).expect("read");
    assert!(lasts(11).contains(&"counts from 04:11; till 04:21".to_owned()), "{:?}", lasts(11));
    let over = [("product_salt_mg_kg", "15")];
    act(&desk, (run, "back", 12), &over, What::Read).expect("read");
    let anew = "counts 10 min anew from the next reading that says so".to_owned();
    assert!(lasts(12).contains(&anew), "{:?}", lasts(12));
    for at in [13, 24] {
        let salt = [("product_salt_mg_kg", "4"), ("second_product_salt_mg_kg", "4")];
        act(&desk, (run, "back", at), &salt, What::Read).expect("read");
    }
    assert!(lasts(24).contains(&"read 04:13 and 04:24".to_owned()), "{:?}", lasts(24));
}
