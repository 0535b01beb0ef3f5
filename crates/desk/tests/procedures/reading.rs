//! Readings typed at steps: doubtful, mistyped, repeated, of their own time.

use desk::procedures::{Doing, More, Outcome, Stands, StepError, TypedReading, What};
use logbook::Kind;

use crate::later::to_cooling;
use crate::{aboard, act, minute, refused, tick, to_the_pump, typed, written};

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
fn ident_a_reading_mistyped_at_a_step_is_put_right_within_its_minute() {
    let folder = tempfile::tempdir().expect("a folder");
    let desk = aboard(folder.path());
    let run = to_the_pump(&desk);
    let wrong = [("ejector_pressure_bar_g", "2.6"), ("back_pressure_bar_g", "0.4")];
    act(&desk, (run, "ejector-pump", 41), &wrong, What::Read).expect("read");
    let right = [("ejector_pressure_bar_g", "3.6")];
    let asked = act(&desk, (run, "ejector-pump", 41), &right, What::Tick { looked: true });
    match asked {
        Err(StepError::Doubtful(doubts)) => {
            assert!(doubts.len() == 1 && doubts[0].again, "{doubts:?}");
            assert!(doubts[0].says.starts_with("2.6") && doubts[0].says.contains("say why"));
        }
        other => panic!("{other:?}"),
    }
    let (typed, kept) =
        (typed(&right), [("ejector_pressure_bar_g".to_owned(), "a row too low".to_owned())]);
    let again = |at: i64, what, readings: &[TypedReading]| {
        let more = More { kept: &kept, ..More::default() };
        let at = Some(minute(at));
        let (step, by) = ("ejector-pump", "2e");
        desk.do_step(&Doing { run, step, by, at, readings, what, more, token: "" }, minute(41))
    };
    assert_eq!(again(41, What::Tick { looked: true }, &typed).expect("ticked"), written());
    let entries = desk.entries(None, 2).expect("entries");
    let mended = entries.iter().find(|entry| entry.kind == Kind::Correction).expect("a new entry");
    let said = "typed again at step 5 by 2e";
    let why = mended.reason.as_deref().expect("a reason");
    assert!(why.starts_with("a row too low (") && why.contains(said), "{why}");
    let view = desk.run_view(run, minute(42)).expect("a run");
    let was: Vec<&str> =
        view.steps[4].readings.iter().filter_map(|read| read.was.as_deref()).collect();
    assert!(was.len() == 1 && was[0].starts_with("2.6"), "the old beside the new: {was:?}");
    let texts: Vec<&str> = view.steps[4].readings.iter().map(|read| read.text.as_str()).collect();
    assert_eq!(texts.len(), 2, "{texts:?}");
    assert!(texts.iter().any(|text| text.starts_with("3.6")), "{texts:?}");
    // The tick used the new one. Typed again after it, the tick is marked.
    assert!(view.steps[4].readings.iter().all(|read| !read.ticked_by_old));
    let other = [("ejector_pressure_bar_g".to_owned(), "3.4".to_owned(), String::new())];
    again(41, What::Read, &other).expect("read");
    let view = desk.run_view(run, minute(42)).expect("a run");
    let marked = view.steps[4].readings.iter().find(|read| read.text.starts_with("3.4"));
    assert!(marked.is_some_and(|read| read.ticked_by_old), "{:?}", view.steps[4].readings);
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
