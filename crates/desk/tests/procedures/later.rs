//! What is said of a step later: not as wanted, looked at again, taken back, mended, put right.

use desk::Desk;
use desk::procedures::{Outcome, Stands, What};
use logbook::Kind;

use crate::{aboard, act, minute, refused, tick, to_the_pump, written};

pub(super) fn to_cooling(desk: &Desk) -> u64 {
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
