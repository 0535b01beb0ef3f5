//! Runs: where they stand, what is held and by whom it may be passed, and that stopping is never held.

use procedure::{
    Act, Answer, Beside, Names, Procedure, Run, Standing, State, Unmet, Who, Wrong, read,
};
use proptest::prelude::*;

use crate::help::{Board, minute};

const TEXT: &str = r#"
key = "start"
name = "Start"
about = "A short one."
nature = "work"
source = "invented for this test"

[[step]]
key = "pump"
do = "Pump on."
why = "First."
see = ["nozzle >= 3"]
towards = "heat"
takes_min = [1, 2]
way_out = "Pump off."

[[step]]
key = "look"
do = "Look round."
why = "Second."
takes_min = [5, 5]

[[step]]
key = "heat"
do = "Heat on."
why = "Last."
after = ["pump: heat before the pump bakes scale"]
look = "Boiling seen"
towards = "tank"
takes_min = [10, 20]
wait_min = 5
overridden_by = "chief"
way_out = "Heat off."
"#;

fn text_of(nature: &str) -> Procedure {
    let names = Names { readings: vec!["nozzle"], figures: Vec::new(), ranges: Vec::new() };
    read(&TEXT.replace("\"work\"", &format!("\"{nature}\"")), &names).expect("a procedure")
}

fn began(at: i64) -> Act {
    Act::Began { at: minute(at), by: "2e".into(), procedure: "start".into(), version: "1".into() }
}

fn done(step: &str, at: i64, looked: bool) -> Act {
    Act::Done {
        at: minute(at),
        by: "2e".into(),
        step: step.into(),
        looked,
        beside: Beside::default(),
    }
}

fn overrode(step: &str, at: i64, who: Who, reason: &str) -> Act {
    let (step, reason, held) = (step.into(), reason.into(), "a guard".into());
    Act::Overrode {
        at: minute(at),
        by: "ce".into(),
        who,
        step,
        reason,
        held,
        looked: true,
        beside: Beside::default(),
    }
}

fn passed(step: &str, at: i64) -> Act {
    Act::Passed { at: minute(at), by: "2e".into(), step: step.into(), reason: "not fitted".into() }
}

fn back(step: &str, at: i64) -> Act {
    let (by, reason) = ("3e".into(), "wrong step".into());
    Act::TakenBack { at: minute(at), by, step: step.into(), reason }
}

fn mended(step: &str, at: i64, time: i64) -> Act {
    let (by, reason, hand) = ("3e".into(), "by the bell book".into(), "3e".into());
    Act::Mended {
        at: minute(at),
        by,
        step: step.into(),
        time: minute(time),
        hand,
        reason,
        anew: None,
    }
}

fn again(step: &str, at: i64, looked: bool) -> Act {
    let beside = Beside::default();
    Act::Looked { at: minute(at), by: "3e".into(), step: step.into(), looked, beside }
}

#[test]
fn ident_a_tick_taken_back_opens_the_step_again_and_both_stay_told() {
    let procedure = text_of("work");
    let seen = Board::default().read("nozzle", 1, 3.4);
    let mut run = Run::of(&procedure, &[began(0), done("pump", 2, true), done("look", 3, true)]);
    let mut no_reason = back("pump", 4);
    if let Act::TakenBack { reason, .. } = &mut no_reason {
        reason.clear();
    }
    assert_eq!(run.ask(&no_reason, &seen, minute(5)), Answer::Wrong(Wrong::NoReason));
    let open = Wrong::NotDone { step: "heat".into() };
    assert_eq!(run.ask(&back("heat", 4), &seen, minute(5)), Answer::Wrong(open));
    run.apply(&back("pump", 4)).expect("taken back");
    assert!(matches!(run.state(&seen, minute(5)), State::AtStep { step: 0, .. }));
    assert_eq!(run.standing[1].as_ref().map(Standing::by), Some("2e"), "the other stands");
    let change = &run.told[0].changes[0];
    assert!(change.back && change.was.at() == minute(2) && change.reason == "wrong step");
    run.apply(&done("pump", 6, true)).expect("ticked again");
    // A run that is over is open again too; one given up stays so.
    run.apply(&done("heat", 12, true)).expect("done");
    assert_eq!(run.state(&seen, minute(13)), State::Done { at: minute(12) });
    run.apply(&back("heat", 14)).expect("taken back");
    assert!(matches!(run.state(&seen, minute(15)), State::AtStep { step: 2, .. }));
}

#[test]
fn ident_time_and_initials_are_mended_and_the_old_ones_stay_told() {
    let procedure = text_of("work");
    let seen = Board::default();
    let mut run = Run::of(&procedure, &[began(0), done("pump", 12, true)]);
    let ahead = Wrong::Ahead { at: minute(30), now: minute(20) };
    assert_eq!(run.ask(&mended("pump", 20, 30), &seen, minute(20)), Answer::Wrong(ahead));
    let early = Wrong::TooEarly { at: minute(-1), after: minute(0) };
    assert_eq!(run.ask(&mended("pump", 20, -1), &seen, minute(20)), Answer::Wrong(early));
    run.apply(&mended("pump", 20, 2)).expect("mended");
    let standing = run.standing[0].as_ref().expect("done");
    assert_eq!((standing.at(), standing.by()), (minute(2), "3e"));
    let was = &run.told[0].changes[0].was;
    assert_eq!((was.at(), was.by()), (minute(12), "2e"));
    assert_eq!(
        run.ask(&mended("pump", 21, 2), &seen, minute(22)),
        Answer::Wrong(Wrong::NothingChanged)
    );
}

#[test]
fn ident_a_step_not_as_wanted_stands_out_until_a_later_look_finds_it_so() {
    let procedure = text_of("stop");
    let low = Board::default().read("nozzle", 1, 2.2);
    let mut run = Run::of(&procedure, &[began(0)]);
    let told = run.found(0, &low, minute(2), (true, ""));
    assert!(matches!(told[..], [Unmet::Out { .. }]), "{told:?}");
    let beside = Beside { unmet: "Nozzle read 2.2".into(), ..Beside::default() };
    let tick =
        Act::Done { at: minute(2), by: "2e".into(), step: "pump".into(), looked: true, beside };
    let again_read = Act::from_words(minute(2), "2e", &tick.words()).expect("an act");
    assert_eq!(again_read, tick);
    run.apply(&tick).expect("ticked");
    assert!(run.told[0].stands_out());
    let good = low.read("nozzle", 5, 3.4);
    let answer = run.ask(&again("pump", 6, true), &good, minute(6));
    assert_eq!(answer, Answer::Go { warned: Vec::new() });
    run.apply(&again("pump", 6, true)).expect("looked at");
    assert!(!run.told[0].stands_out());
    assert_eq!(run.told[0].beside.unmet, "Nozzle read 2.2", "what was found first stays");
    // A box that was not ticked is told although the entry has no words for it.
    run.apply(&done("look", 7, true)).expect("done");
    run.apply(&done("heat", 8, false)).expect("done");
    assert_eq!(run.told[2].beside.unmet, "Not ticked as seen: Boiling seen.");
}

#[test]
fn ident_times_against_the_list_are_named_until_they_are_confirmed_or_mended() {
    let procedure = text_of("stop");
    let heat_first = [began(0), done("pump", 30, true), done("heat", 5, true)];
    let mut run = Run::of(&procedure, &heat_first);
    let pairs = run.questions();
    assert_eq!(pairs.len(), 1, "{pairs:?}");
    assert_eq!((pairs[0].later, pairs[0].before), (2, 0));
    assert_eq!(pairs[0].harm.as_deref(), Some("heat before the pump bakes scale"));
    let yes = Act::SoItWas { at: minute(40), by: "2e".into() };
    assert!(matches!(run.ask(&yes, &(), minute(40)), Answer::Go { .. }));
    run.apply(&yes).expect("confirmed");
    assert!(run.questions().is_empty() && run.out_of_order()[0].confirmed);
    assert_eq!(run.ask(&yes, &(), minute(41)), Answer::Wrong(Wrong::InOrder));
    // Other times are another question.
    run.apply(&mended("heat", 42, 6)).expect("mended");
    assert_eq!(run.questions().len(), 1);
    run.apply(&mended("heat", 43, 31)).expect("mended");
    // The step between the two is still open: that is named, and nothing to confirm.
    let open = run.out_of_order();
    assert_eq!((open.len(), open[0].later, open[0].before), (1, 2, 1), "{open:?}");
    // Done while what must come first is still open is told, and nothing to confirm yet.
    let open = Run::of(&procedure, &[began(0), done("heat", 5, true)]);
    assert_eq!((open.out_of_order().len(), open.questions().len()), (2, 0));
}

#[test]
fn ident_the_second_person_is_another_and_a_run_is_handed_over() {
    let procedure = text_of("work");
    let seen = Board::default().read("nozzle", 1, 3.4);
    let mut run = Run::of(&procedure, &[began(0)]);
    let beside = Beside { second: "2E".into(), ..Beside::default() };
    let own =
        Act::Done { at: minute(2), by: "2e".into(), step: "pump".into(), looked: true, beside };
    assert_eq!(run.ask(&own, &seen, minute(2)), Answer::Wrong(Wrong::SameHand));
    assert_eq!(run.led_by(), Some("2e"));
    run.apply(&Act::HandedOver { at: minute(3), by: "2e".into(), to: "3e".into() }).expect("over");
    assert_eq!(run.led_by(), Some("3e"));
    // Handed over by who leads it or by who takes it over, and never to who leads it already.
    let over = |by: &str, to: &str| {
        run.ask(&Act::HandedOver { at: minute(4), by: by.into(), to: to.into() }, &(), minute(4))
    };
    assert_eq!(over("3e", "3E"), Answer::Wrong(Wrong::LedAlready { by: "3e".into() }));
    assert!(matches!(over("2e", "4e"), Answer::Wrong(Wrong::NotLed { .. })));
    assert!(matches!(over("3E", "4e"), Answer::Go { .. }));
    assert!(matches!(over("4e", "4e"), Answer::Go { .. }));
    assert_eq!(run.handed[0].by, "2e");
}

#[test]
fn ident_where_a_second_person_has_to_look_a_step_towards_a_tank_is_held_without_their_initials() {
    let names = Names { readings: vec!["nozzle"], figures: Vec::new(), ranges: Vec::new() };
    let text = TEXT.replace("look = \"Boiling seen\"", "second = \"Second person, who looked\"");
    let procedure = read(&text, &names).expect("a procedure");
    let run = Run::of(&procedure, &[began(0), done("pump", 2, false), done("look", 3, false)]);
    let alone = run.ask(&done("heat", 20, false), &(), minute(20));
    assert!(
        matches!(&alone, Answer::Held(held) if matches!(held.why[..], [Unmet::NoSecond { .. }])),
        "{alone:?}"
    );
    let beside = Beside { second: "3e".into(), ..Beside::default() };
    let (step, by) = ("heat".to_owned(), "2e".to_owned());
    let both = Act::Done { at: minute(20), by, step, looked: false, beside };
    assert_eq!(run.ask(&both, &(), minute(20)), Answer::Go { warned: Vec::new() });
    assert!(matches!(
        run.ask(&overrode("heat", 20, Who::Chief, "alone on watch"), &(), minute(20)),
        Answer::Go { .. }
    ));
}

#[test]
fn ident_it_goes_from_not_started_by_held_and_open_steps_to_done() {
    let procedure = text_of("work");
    let nothing = Board::default();
    let good = Board::default().read("nozzle", 1, 3.4);
    let mut run = Run::of(&procedure, &[]);
    assert_eq!(run.state(&nothing, minute(0)), State::NotStarted);
    run.apply(&began(0)).expect("begun");
    let held = run.state(&nothing, minute(1));
    assert!(
        matches!(&held, State::Held { step: 0, why } if matches!(why[..], [Unmet::NotRead { .. }])),
        "{held:?}"
    );
    assert!(matches!(run.state(&good, minute(1)), State::AtStep { step: 0, .. }));
    run.apply(&done("pump", 2, false)).expect("done");
    assert_eq!(run.state(&nothing, minute(3)), State::AtStep { step: 1, warned: Vec::new() });
    run.apply(&done("look", 4, false)).expect("done");
    let waits = run.state(&nothing, minute(5));
    assert!(
        matches!(&waits, State::Held { step: 2, why } if why[..] == [Unmet::Wait { until: minute(9) }]),
        "{waits:?}"
    );
    assert_eq!(run.left_min(), (10.0, 20.0));
    assert_eq!(run.way_out(), Some("Pump off."));
    run.apply(&done("heat", 9, true)).expect("done");
    assert_eq!(run.state(&nothing, minute(10)), State::Done { at: minute(9) });
    assert_eq!(run.apply(&done("heat", 9, true)), Err(Wrong::Ended));
}

#[test]
fn ident_a_guard_is_passed_only_by_those_who_may_and_with_a_reason() {
    let procedure = text_of("work");
    let seen = Board::default().read("nozzle", 1, 2.8);
    let run = Run::of(&procedure, &[began(0)]);
    let answer = run.ask(&done("pump", 2, false), &seen, minute(2));
    assert!(
        matches!(&answer, Answer::Held(held) if held.overridden_by == Who::Engineer && held.why.len() == 1),
        "{answer:?}"
    );
    assert_eq!(run.ask(&passed("pump", 2), &seen, minute(2)), Answer::Wrong(Wrong::Guarded));
    let ask = |who, reason| run.ask(&overrode("pump", 2, who, reason), &seen, minute(2));
    assert_eq!(ask(Who::Watch, "no time"), Answer::Wrong(Wrong::NotYours { needs: Who::Engineer }));
    assert_eq!(ask(Who::Chief, "  "), Answer::Wrong(Wrong::NoReason));
    assert!(matches!(ask(Who::Engineer, "gauge reads low, hand gauge 3.2"), Answer::Go { .. }));
    // Where nothing holds there is nothing to override.
    let good = Board::default().read("nozzle", 1, 3.2);
    let nothing = run.ask(&overrode("pump", 2, Who::Chief, "why not"), &good, minute(2));
    assert_eq!(nothing, Answer::Wrong(Wrong::NothingHolds));
    let run = Run::of(&procedure, &[began(0), overrode("pump", 2, Who::Engineer, "hand gauge")]);
    assert!(matches!(run.standing[0], Some(Standing::Overridden { who: Who::Engineer, .. })));
}

#[test]
fn ident_a_guarded_step_waits_for_those_before_it_and_for_what_must_be_looked_at() {
    let procedure = text_of("work");
    let seen = Board::default().read("nozzle", 1, 3.4);
    let run = Run::of(&procedure, &[began(0), done("pump", 2, false)]);
    let answer = run.ask(&done("heat", 20, true), &seen, minute(20));
    assert!(
        matches!(&answer, Answer::Held(held) if held.why[..] == [Unmet::Before { steps: vec!["look".into()] }]),
        "{answer:?}"
    );
    let run = Run::of(&procedure, &[began(0), done("pump", 2, false), passed("look", 3)]);
    let answer = run.ask(&done("heat", 20, false), &seen, minute(20));
    assert!(
        matches!(&answer, Answer::Held(held) if matches!(held.why[..], [Unmet::NotLooked { .. }])),
        "{answer:?}"
    );
    assert_eq!(
        run.ask(&done("heat", 20, true), &seen, minute(20)),
        Answer::Go { warned: Vec::new() }
    );
}

#[test]
fn ident_times_are_true_ones() {
    let procedure = text_of("work");
    let seen = Board::default().read("nozzle", 5, 3.4);
    let run = Run::of(&procedure, &[began(4)]);
    let ask = |at, now| run.ask(&done("pump", at, false), &seen, minute(now));
    assert_eq!(ask(9, 8), Answer::Wrong(Wrong::Ahead { at: minute(9), now: minute(8) }));
    assert_eq!(ask(3, 8), Answer::Wrong(Wrong::TooEarly { at: minute(3), after: minute(4) }));
    assert_eq!(ask(6, 8), Answer::Go { warned: Vec::new() });
    let unsigned = Act::Done {
        at: minute(6),
        by: " ".into(),
        step: "pump".into(),
        looked: false,
        beside: Beside::default(),
    };
    assert_eq!(run.ask(&unsigned, &seen, minute(8)), Answer::Wrong(Wrong::NoInitials));
}

#[test]
fn ident_a_run_given_up_tells_the_safe_way_out_and_takes_nothing_more() {
    let procedure = text_of("work");
    let up =
        Act::Abandoned { at: minute(9), by: "2e".into(), reason: "bridge calls stand-by".into() };
    let run = Run::of(
        &procedure,
        &[
            began(0),
            done("pump", 2, false),
            done("look", 3, false),
            up.clone(),
            done("heat", 10, true),
        ],
    );
    assert!(matches!(run.state(&Board::default(), minute(12)), State::Abandoned { .. }));
    assert_eq!(run.way_out(), Some("Pump off."));
    assert_eq!(run.strange, [done("heat", 10, true)]);
}

#[test]
fn ident_of_two_tablets_that_tick_one_step_the_first_stands() {
    let procedure = text_of("work");
    let other = Act::Done {
        at: minute(3),
        by: "3e".into(),
        step: "pump".into(),
        looked: false,
        beside: Beside::default(),
    };
    let run = Run::of(&procedure, &[began(0), done("pump", 2, false), other.clone()]);
    assert_eq!(run.standing[0].as_ref().map(Standing::at), Some(minute(2)));
    assert_eq!(run.strange, [other]);
}

#[test]
fn ident_an_emergency_is_ticked_afterwards_in_any_order() {
    let procedure = text_of("emergency");
    let nothing = Board::default();
    let run = Run::of(&procedure, &[began(30)]);
    // The pump was tripped before anybody began a list.
    let answer = run.ask(&done("pump", 10, false), &nothing, minute(40));
    assert!(matches!(&answer, Answer::Go { warned } if !warned.is_empty()), "{answer:?}");
    // Only the way back to a tank is held; it may be passed over.
    let back = run.ask(&done("heat", 10, false), &nothing, minute(40));
    assert!(
        matches!(&back, Answer::Held(held) if matches!(held.why[..], [Unmet::NotLooked { .. }]))
    );
    assert_eq!(run.ask(&passed("heat", 10), &nothing, minute(40)), Answer::Wrong(Wrong::Guarded));
    assert!(matches!(run.ask(&passed("pump", 10), &nothing, minute(40)), Answer::Go { .. }));
}

fn any_act() -> impl Strategy<Value = Act> {
    let step = prop_oneof![Just("pump"), Just("look"), Just("heat")];
    (step, 0..60_i64, any::<bool>(), 0..8).prop_map(|(step, at, looked, kind)| match kind {
        0 => done(step, at, looked),
        1 => passed(step, at),
        2 => back(step, at),
        3 => mended(step, at, at / 2),
        4 => again(step, at, looked),
        5 => Act::SoItWas { at: minute(at), by: "2e".into() },
        6 => Act::HandedOver { at: minute(at), by: "2e".into(), to: "3e".into() },
        _ => Act::Abandoned { at: minute(at), by: "2e".into(), reason: "enough".into() },
    })
}

fn any_board() -> impl Strategy<Value = Board> {
    prop::collection::vec((0..60_i64, -5.0..8.0_f64), 0..6).prop_map(|readings| {
        readings.into_iter().fold(Board::default(), |board, (at, x)| board.read("nozzle", at, x))
    })
}

proptest! {
    #[test]
    fn ident_no_guard_ever_stands_before_stopping_or_an_emergency(
        acts in prop::collection::vec(any_act(), 0..6),
        board in any_board(),
        emergency in any::<bool>(),
    ) {
        let procedure = text_of(if emergency { "emergency" } else { "stop" });
        let mut run = Run::of(&procedure, &[began(0)]);
        for act in acts {
            let answer = run.ask(&act, &board, minute(60));
            if let Answer::Held(held) = &answer {
                // Only the way back to a tank, in an emergency, and never for a step that is open.
                prop_assert!(emergency && act.step() == Some("heat"), "{:?}", answer);
                let waits = held.why.iter().any(|why| matches!(why, Unmet::Before { .. }));
                prop_assert!(!waits, "{:?}", answer);
            }
            let stands = run.apply(&act).is_ok();
            let goes = matches!(answer, Answer::Go { .. });
            prop_assert!(stands || !goes, "{:?}", answer);
            if matches!(act, Act::Done { .. } | Act::Passed { .. } | Act::Abandoned { .. }) {
                // The record takes what a guard does not let go: it was done.
                let held = matches!(answer, Answer::Held(_) | Answer::Wrong(Wrong::Guarded));
                prop_assert_eq!(stands, goes || held, "{:?}", answer);
            }
        }
        if let State::Held { step, .. } = run.state(&board, minute(60)) {
            prop_assert!(emergency && run.procedure.steps[step].key == "heat");
        }
    }

    #[test]
    fn ident_a_run_is_the_same_after_it_was_written_down_and_read_again(
        acts in prop::collection::vec(any_act(), 0..6),
        board in any_board(),
    ) {
        let procedure = text_of("work");
        let all: Vec<Act> = std::iter::once(began(0)).chain(acts).collect();
        let again: Vec<Act> = all
            .iter()
            .map(|act| Act::from_words(act.at(), act.by(), &act.words()).expect("an act"))
            .collect();
        prop_assert_eq!(&all, &again);
        let (one, two) = (Run::of(&procedure, &all), Run::of(&procedure, &again));
        prop_assert_eq!(one.state(&board, minute(61)), two.state(&board, minute(61)));
    }

    #[test]
    fn ident_what_is_asked_and_gone_is_what_the_record_takes(
        acts in prop::collection::vec(any_act(), 0..8),
        board in any_board(),
    ) {
        let procedure = text_of("work");
        let mut run = Run::of(&procedure, &[began(0)]);
        for act in acts {
            if matches!(run.ask(&act, &board, minute(60)), Answer::Go { .. }) {
                prop_assert!(run.apply(&act).is_ok(), "{:?}", act);
                if act.step() == Some("heat") && matches!(act, Act::Done { .. }) {
                    // Towards a tank: both steps before it stand, and were before it.
                    prop_assert!(run.standing.iter().all(Option::is_some));
                    prop_assert!(run.since(2).is_none_or(|before| before <= act.at()));
                }
            }
        }
    }
}
