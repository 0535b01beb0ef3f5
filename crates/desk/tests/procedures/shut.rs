//! The way to a tank is shut for every list while an emergency that shut it is open, and while a second instrument is over its
//! limit.

use desk::Desk;
use desk::procedures::{Doing, Meanwhile, More, Outcome, Stands, What};

use crate::{aboard, act, afterwards, minute, refused, tick, written};

/// Every step of a list up to one, passed or ticked by the chief's word where it is held, a minute each.
fn up_to(desk: &Desk, key: &str, step: &str, from: i64) -> u64 {
    let run = desk.begin_run_beside(key, "2e", None, Meanwhile::GoOn, minute(from)).expect("begun");
    let steps = desk.run_view(run, minute(from)).expect("it").steps;
    for (k, one) in (1..).zip(steps.iter().take_while(|one| one.key != step)) {
        let over = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
        let at = (run, one.key.as_str(), from + k);
        let ticked = act(desk, at, &[], What::Tick { looked: true });
        if !matches!(ticked, Ok(Outcome::Written { .. })) {
            act(desk, at, &[], over).expect(step);
        }
    }
    run
}

fn why(desk: &Desk, run: u64, at: i64) -> Vec<String> {
    match desk.run_view(run, minute(at)).expect("it").stands {
        Stands::Held { why, .. } => why,
        other => panic!("{other:?}"),
    }
}

fn read(desk: &Desk, run: u64, step: &str, salt: &[(i64, &[(&str, &str)])]) {
    for (at, readings) in salt {
        act(desk, (run, step, *at), readings, What::Read).expect("read");
    }
}

const CELL: (&str, &str) = ("product_salt_mg_kg", "5");
const OVER: (&str, &str) = ("second_product_salt_mg_kg", "25");
const WELL: (&str, &str) = ("second_product_salt_mg_kg", "5");

#[test]
fn ident_no_list_leads_to_a_tank_beside_an_open_salinity_alarm_and_its_hand_meter() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = up_to(&desk, "start", "dump", 0);
    let alarm = desk.begin_run("salinity-alarm", "3e", None, minute(20)).expect("begun");
    desk.do_afterwards(alarm, "3e", &afterwards(&[("heat-back", 21)]), minute(21)).expect("done");
    tick(&desk, (alarm, "hand-meter", 23), &[OVER]);
    read(&desk, start, "dump", &[(24, &[CELL]), (29, &[CELL]), (34, &[CELL])]);
    // The cell is in limit for ten minutes, and all the same nothing goes on.
    let held = act(&desk, (start, "dump", 35), &[], What::Tick { looked: true });
    let Ok(Outcome::Held { why: says, overridden_by }) = held else { panic!("{held:?}") };
    assert!(
        says[0].starts_with("Salinity alarm is open since 04:20 and shut the way to a tank: its way back is step 5, Back to the tank"),
        "{says:?}"
    );
    assert!(says[0].contains("Steps 3, 4 stand open") && says[0].contains("second instrument"));
    assert!(says[1].contains("read 25") && says[1].contains("nothing goes to a tank"), "{says:?}");
    assert_eq!((says.len(), overridden_by), (2, "chief engineer"));
    let view = desk.run_view(start, minute(35)).expect("it");
    assert_eq!(view.shut_by, [(alarm, "Salinity alarm".to_owned())]);
    assert_eq!(view.steps[12].overridden_by, "chief engineer");
    // The second instrument has its box there.
    assert!(view.steps[12].reads.iter().any(|read| read.key == WELL.0), "{:?}", view.steps[12]);
    let engineer = What::Override { who: "engineer", chief: "", reason: "bridge", looked: true };
    assert!(refused(act(&desk, (start, "dump", 36), &[], engineer)).contains("chief engineer"));
    // So does no other list that leads to a tank; what leads nowhere is ticked.
    let change = desk.begin_run("change-tank", "2e", None, minute(36)).expect("begun");
    act(&desk, (change, "sound", 37), &[], What::Tick { looked: true }).expect("sounded");
    assert!(why(&desk, change, 38).iter().any(|why| why.starts_with("Salinity alarm is open")));
    // To give the alarm up opens nothing: it is gone through, or the chief goes on. Its hand meter shuts it besides.
    act(&desk, (alarm, "", 39), &[], What::GiveUp { reason: "wet cell" }).expect("given up");
    let says = why(&desk, start, 40);
    assert!(says[0].contains("it was given up at 04:39 before its way back"), "{says:?}");
    assert!(says.iter().any(|says| says.contains("read 25")), "{says:?}");
    // Begun again and gone through, it opens the way for its own time on, the first one's as well.
    let again = desk.begin_run("salinity-alarm", "3e", None, minute(40)).expect("begun");
    let others = [("heat-back", 40), ("hand-meter", 40), ("cause", 40), ("tank", 40)];
    desk.do_afterwards(again, "3e", &afterwards(&others), minute(40)).expect("done");
    let chief = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
    act(&desk, (again, "back", 40), &[], chief).expect("the chief's word");
    let says = why(&desk, start, 40);
    assert!(says.len() == 1 && says[0].contains("read 25"), "{says:?}");
    // One in limit within ten minutes of one over it is no proof; one later is.
    read(&desk, start, "dump", &[(41, &[OVER]), (44, &[CELL, WELL])]);
    assert!(why(&desk, start, 45)[0].contains("at 04:51 or later"), "{:?}", why(&desk, start, 45));
    let done = act(&desk, (start, "dump", 52), &[CELL, WELL], What::Tick { looked: true });
    assert_eq!(done.expect("ticked"), written());
}

#[test]
fn ident_the_way_to_a_tank_opens_with_the_emergencys_own_way_back_and_for_its_own_time() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = up_to(&desk, "start", "dump", 0);
    let alarm = desk.begin_run("salinity-alarm", "3e", None, minute(20)).expect("begun");
    let others = [("heat-back", 21), ("hand-meter", 22), ("cause", 23), ("tank", 24)];
    desk.do_afterwards(alarm, "3e", &afterwards(&others), minute(24)).expect("done");
    let both: &[(&str, &str)] = &[CELL, WELL];
    read(&desk, alarm, "back", &[(25, both), (36, both)]);
    read(&desk, start, "dump", &[(26, &[CELL]), (37, &[CELL])]);
    assert!(why(&desk, start, 37)[0].contains("step 5, Back to the tank"));
    // Another alarm does not stand in the way of the first one's way back, nor the first in that of the other.
    let second = desk.begin_run("salinity-alarm", "3e", None, minute(37)).expect("begun");
    assert_eq!(tick(&desk, (alarm, "back", 38), &[]), written());
    act(&desk, (second, "", 39), &[], What::GiveUp { reason: "the same" }).expect("given up");
    // What is written down for the time when it was shut is held as it was then.
    let doing = |at: i64| {
        let doing = Doing {
            run: start,
            step: "dump",
            by: "2e",
            at: Some(minute(at)),
            readings: &[],
            what: What::Tick { looked: true },
            more: More::default(),
            token: "",
        };
        desk.do_step(&doing, minute(41))
    };
    let held = doing(37);
    let Ok(Outcome::Held { why: says, .. }) = held else { panic!("{held:?}") };
    assert!(says[0].starts_with("Salinity alarm was open from 04:20 to 04:38"), "{says:?}");
    assert_eq!(doing(40).expect("ticked"), written());
}

#[test]
fn ident_a_blackout_shuts_the_way_to_a_tank_until_its_last_step_and_heat_is_not_held_by_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let blackout = desk.begin_run("blackout", "3e", None, minute(0)).expect("begun");
    let steps = [("heat-off", 1), ("tank-shut", 1), ("sea-shut", 2), ("breaker", 8)];
    desk.do_afterwards(blackout, "3e", &afterwards(&steps), minute(9)).expect("done");
    let start = up_to(&desk, "start", "boiling", 10);
    let says = why(&desk, start, 30);
    assert!(says[0].contains("Blackout is open since 04:00") && says[0].contains("step 5"));
    let against = desk.run_view(start, minute(30)).expect("it").steps;
    let against = against.iter().filter_map(|step| step.standing.as_ref()?.held.as_ref());
    assert!(against.clone().count() > 0 && against.clone().all(|held| !held.contains("Blackout")));
    tick(&desk, (blackout, "restart", 31), &[]);
    assert!(why(&desk, start, 32).iter().all(|why| !why.contains("Blackout")));
}

/// A hand meter over its limit days ago is the newest all the same.
#[test]
fn ident_a_second_instrument_over_its_limit_long_ago_still_shuts_the_way_to_a_tank() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let alarm = desk.begin_run("salinity-alarm", "3e", None, minute(0)).expect("begun");
    read(&desk, alarm, "hand-meter", &[(1, &[OVER])]);
    act(&desk, (alarm, "", 2), &[], What::GiveUp { reason: "plant stopped" }).expect("given up");
    desk.begin_run("round", "2e", None, minute(1400)).expect("begun");
    let change = desk.begin_run("change-tank", "2e", None, minute(2600)).expect("begun");
    act(&desk, (change, "sound", 2601), &[], What::Tick { looked: true }).expect("sounded");
    assert!(why(&desk, change, 2602).iter().any(|why| why.contains("read 25")));
}

/// An emergency is done first and ticked afterwards: until its heat is ticked off, nothing leads to more of it.
#[test]
fn ident_no_list_leads_to_heat_beside_an_open_emergency_whose_heat_is_not_ticked_off() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = up_to(&desk, "start", "by-pass", 0);
    let slow = desk.begin_run("engine-slow-down", "3e", None, minute(20)).expect("begun");
    let says = why(&desk, start, 21);
    let held = " is open since 04:20, and nothing leads to heat meanwhile: its step ";
    assert!(says.iter().any(|says| says.contains(held)), "{says:?}");
    // Given up it holds nothing; ticked off, it undoes what the start did.
    act(&desk, (slow, "", 23), &[], What::GiveUp { reason: "a drill" }).expect("given up");
    assert!(why(&desk, start, 24).iter().all(|says| !says.contains("leads to heat meanwhile")));
}

/// Salt that was read anywhere counts at every list's steps to a tank.
#[test]
fn ident_a_salinometer_over_its_limit_shuts_the_way_to_a_tank() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let change = desk.begin_run("change-tank", "2e", None, minute(0)).expect("begun");
    act(&desk, (change, "sound", 1), &[], What::Tick { looked: true }).expect("sounded");
    let start = desk.begin_run("start", "3e", None, minute(2)).expect("begun");
    read(&desk, start, "dump", &[(3, &[("product_salt_mg_kg", "30")])]);
    let says = why(&desk, change, 4);
    assert!(says.iter().any(|says| says.contains("read 30")), "{says:?}");
}
