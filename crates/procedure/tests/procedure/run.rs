//! Runs: where they stand, what is held and by whom it may be passed, and that stopping is never held.

use jiff::Timestamp;
use procedure::{Act, Answer, Names, Procedure, Run, Standing, State, Unmet, Who, Wrong, read};
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
look = "Boiling seen"
towards = "tank"
takes_min = [10, 20]
wait_min = 5
overridden_by = "chief"
way_out = "Heat off."
"#;

fn text_of(nature: &str) -> Procedure {
    let names = Names { readings: vec!["nozzle"], figures: Vec::new() };
    read(&TEXT.replace("\"work\"", &format!("\"{nature}\"")), &names).expect("a procedure")
}

fn began(at: i64) -> Act {
    Act::Began { at: minute(at), by: "2e".into(), procedure: "start".into(), version: "1".into() }
}

fn done(step: &str, at: i64, looked: bool) -> Act {
    Act::Done { at: minute(at), by: "2e".into(), step: step.into(), looked }
}

fn overrode(step: &str, at: i64, who: Who, reason: &str) -> Act {
    let (step, reason, held) = (step.into(), reason.into(), "a guard".into());
    Act::Overrode { at: minute(at), by: "ce".into(), who, step, reason, held }
}

fn passed(step: &str, at: i64) -> Act {
    Act::Passed { at: minute(at), by: "2e".into(), step: step.into(), reason: "not fitted".into() }
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
    let unsigned = Act::Done { at: minute(6), by: " ".into(), step: "pump".into(), looked: false };
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
    let other = Act::Done { at: minute(3), by: "3e".into(), step: "pump".into(), looked: false };
    let run = Run::of(&procedure, &[began(0), done("pump", 2, false), other.clone()]);
    assert_eq!(run.standing[0].as_ref().map(Standing::at), Some(minute(2)));
    assert_eq!(run.strange, [other]);
}

#[test]
fn ident_an_emergency_is_ticked_afterwards_in_any_order() {
    let procedure = text_of("emergency");
    let nothing = Board::default();
    let run = Run::of(&procedure, &[began(30)]);
    // Heat was shut before anybody began a list.
    let answer = run.ask(&done("heat", 10, false), &nothing, minute(40));
    assert!(matches!(&answer, Answer::Go { warned } if !warned.is_empty()), "{answer:?}");
    assert!(matches!(run.ask(&passed("pump", 10), &nothing, minute(40)), Answer::Go { .. }));
}

fn any_act() -> impl Strategy<Value = Act> {
    let step = prop_oneof![Just("pump"), Just("look"), Just("heat")];
    (step, 0..60_i64, any::<bool>(), 0..3).prop_map(|(step, at, looked, kind)| match kind {
        0 => done(step, at, looked),
        1 => passed(step, at),
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
            prop_assert!(!matches!(answer, Answer::Held(_)), "{:?}", answer);
            let stands = run.apply(&act).is_ok();
            prop_assert_eq!(stands, matches!(answer, Answer::Go { .. }), "{:?}", answer);
        }
        let held = matches!(run.state(&board, minute(60)), State::Held { .. });
        prop_assert!(!held);
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
        let mut last: Option<Timestamp> = None;
        for act in acts {
            if matches!(run.ask(&act, &board, minute(60)), Answer::Go { .. }) {
                prop_assert!(run.apply(&act).is_ok(), "{:?}", act);
                if act.step() == Some("heat") {
                    // Towards a tank: both steps before it stand, and were before it.
                    prop_assert!(run.standing.iter().all(Option::is_some));
                    prop_assert!(last.is_none_or(|last| last <= act.at()));
                }
                last = last.max(Some(act.at()));
            }
        }
    }
}
