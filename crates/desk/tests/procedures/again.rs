//! A start come back to after what it stands on was undone: no later step is ticked silently, and it does not end as if all were so.

use desk::Desk;
use desk::procedures::{Meanwhile, Outcome, Stands, What};

use crate::{aboard, act, afterwards, minute, refused, tick};

const CHIEF: What<'_> = What::Override { who: "chief", chief: "ce", reason: "trial", looked: true };
const TICK: What<'_> = What::Tick { looked: true };

/// Steps of a start up to one, by the chief's word where they are held, a minute each.
fn start_to(desk: &Desk, step: &str) -> u64 {
    let run =
        desk.begin_run_beside("start", "2e", None, Meanwhile::GoOn, minute(0)).expect("begun");
    let steps = desk.run_view(run, minute(0)).expect("it").steps;
    for (k, one) in (1..).zip(steps.iter().take_while(|one| one.key != step)) {
        let at = (run, one.key.as_str(), k);
        if !matches!(act(desk, at, &[], TICK), Ok(Outcome::Written { .. })) {
            let over = act(desk, at, &[], CHIEF);
            // The round that ends a start is none here.
            over.or_else(|_| act(desk, at, &[], What::Pass { reason: "none" })).expect(step);
        }
    }
    run
}

/// A stop whose heat is off at a minute, given up three minutes later.
fn stop_given_up(desk: &Desk, at: i64) {
    let stop = desk.begin_run("stop", "3e", None, minute(at)).expect("begun");
    tick(desk, (stop, "heat-off", at), &[("engine_jacket_out_c", "83")]);
    act(desk, (stop, "", at + 3), &[], What::GiveUp { reason: "bridge" }).expect("given up");
}

#[test]
fn ident_behind_heat_taken_off_no_step_of_a_start_is_ticked_silently_and_its_end_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = start_to(&desk, "disinfection");
    stop_given_up(&desk, 33);
    // Said at once, at a step that leads nowhere.
    let view = desk.run_view(start, minute(40)).expect("it");
    let Stands::Held { briefly, to_read: false, .. } = &view.stands else {
        panic!("{:?}", view.stands)
    };
    let says = "by the list Stop the plant (given up) the heat is off since 04:33";
    assert!(briefly.starts_with(says) && briefly.contains("take it up at step 9"), "{briefly}");
    assert!(view.steps[14].holds && view.steps[14].overridden_by == "chief engineer");
    let named = format!("step 9 was undone: {says}");
    assert_eq!(view.line.undone.as_deref(), Some(named.as_str()));
    // Asked at every later step, and neither passed over.
    for (step, at) in [("disinfection", 41), ("first-round", 42)] {
        let Stands::Held { why, .. } = desk.run_view(start, minute(at)).expect("it").stands else {
            panic!("{step} is held")
        };
        assert!(why[0].contains("the heat is off since 04:33"), "{why:?}");
        let ticked = act(&desk, (start, step, at), &[], TICK);
        assert!(!matches!(ticked, Ok(Outcome::Written { .. })), "{step}: {ticked:?}");
        let pass = act(&desk, (start, step, at), &[], What::Pass { reason: "later" });
        assert!(refused(pass).contains("not passed over"));
        act(&desk, (start, step, at), &[], CHIEF).expect("by his word");
    }
    // Its end, what is over and the runs side by side name it.
    let line = desk.run_view(start, minute(50)).expect("it").line;
    assert_eq!(line.undone.as_deref(), Some(named.as_str()));
    let past = desk.procedures().expect("them").past;
    let past = past.iter().find(|run| run.id == start).expect("over");
    assert!(past.ended.is_some() && past.undone.as_deref() == Some(named.as_str()), "{past:?}");
    let compared = desk.compare_runs("start").expect("compared");
    assert_eq!(compared.runs[0].undone.as_deref(), Some(named.as_str()));
}

#[test]
fn ident_a_start_that_was_done_before_the_stop_is_a_start_that_was_done() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let start = start_to(&desk, "no step of it");
    assert!(desk.run_view(start, minute(20)).expect("it").line.ended.is_some());
    stop_given_up(&desk, 33);
    assert_eq!(desk.run_view(start, minute(40)).expect("it").line.undone, None);
    assert_eq!(desk.procedures().expect("them").past.last().expect("it").undone, None);
}

/// The list of the blackout says "from the first step of the start list, never from where it was", and so does the start.
#[test]
fn ident_after_a_blackout_a_start_is_taken_up_at_its_first_step_only() {
    for (key, first) in [("blackout", true), ("ejector-trip", true), ("salinity-alarm", false)] {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = aboard(folder.path());
        let start = start_to(&desk, "by-pass");
        let run = desk.begin_run(key, "3e", None, minute(30)).expect("begun");
        let step = if first { "heat-off" } else { "heat-back" };
        desk.do_afterwards(run, "3e", &afterwards(&[(step, 31)]), minute(31)).expect("done");
        let (Stands::Held { why, .. } | Stands::At { warned: why, .. }) =
            desk.run_view(start, minute(35)).expect("it").stands
        else {
            panic!("it is under way")
        };
        let says = why.iter().any(|why| why.contains("the heat is off since 04:31"));
        assert_eq!(says, first, "{key}: {why:?}");
        if first {
            let anew = "start from the first step: give this run up and begin the list anew, or take this one up at step 1 ";
            assert!(why.iter().any(|why| why.contains(anew)), "{why:?}");
        }
    }
}
