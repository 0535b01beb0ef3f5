//! Problems that cannot be taken: the refusal names place, value, range and remedy.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

mod common;

use common::{parse, plain};
use passage::decision::{Problem, ProblemError, State};
use serde_json::{Value, json};

fn refused(problem: &Value) -> ProblemError {
    Problem::from_json(problem.to_string().as_bytes()).unwrap_err()
}

fn with(path: &str, value: Value) -> Value {
    let mut problem = plain(2);
    *problem.pointer_mut(path).unwrap() = value;
    problem
}

#[test]
fn ident_every_refusal_names_its_place() {
    let n = 192;
    let mut nan = vec![json!(24.0); n];
    nan[7] = Value::Null;
    let mut high = vec![json!(7.0); n];
    high[3] = json!(1.0e9);
    let cases = [
        (with("/samples/make_t_day", json!(nan)), "samples.make_t_day[7]"),
        (with("/samples/use_t_day", json!(high)), "samples.use_t_day[3]"),
        (with("/samples/manned", json!(vec![1; 5])), "samples.manned"),
        (with("/samples/manned", json!(vec![2; n])), "samples.manned[0]"),
        (with("/samples/allowed", json!([])), "samples.allowed (length)"),
        (with("/samples/ceiling_t", json!("full")), "samples.ceiling_t"),
        (with("/initial/stock_t", json!(-1)), "initial.stock_t"),
        (with("/initial/state", json!("on fire")), "initial.state"),
        (with("/initial/state", json!(3)), "initial.state"),
        (with("/end/price_t", json!(-9)), "end.price_t"),
        (with("/samples", json!(null)), "samples"),
        (json!({"samples": {"make_t_day": [1.0], "use_t_day": [1.0]}}), "samples.allowed"),
        (json!({}), "samples"),
        (json!([]), "the file"),
    ];
    for (problem, path) in cases {
        let e = refused(&problem);
        assert_eq!(e.path(), Some(path), "{e}");
        assert!(e.to_string().contains(path), "{e}");
    }
}

#[test]
fn ident_parts_are_checked_too() {
    let add = |key: &str, value: Value| {
        let mut problem = plain(2);
        problem[key] = value;
        refused(&problem).to_string()
    };
    let supply = |at: i32| json!([{"name": "barge", "at": at, "price_t": 9, "max_t": 10}]);
    assert!(add("supply", supply(192)).starts_with("supply[0].at = 192: outside 0 to 191"));
    assert!(
        add("supply", json!([{"at": 1, "max_t": 1}])).starts_with("supply[0].price_t: missing")
    );
    assert!(add("noise", json!({"use_day": 15})).contains("0.15 for 15 %"));
    assert!(add("plant", json!({"levels": []})).starts_with("plant.levels (length) = 0"));
    assert!(add("plant", json!({"levels": [2.0]})).starts_with("plant.levels[0] = 2"));
    assert!(add("plant", json!({"start_min": 0})).starts_with("plant.start_min = 0"));
    assert!(add("costs", json!({"start": "dear"})).starts_with("costs.start: \"dear\" given"));
    let tank = json!([{"name": "FW", "cls": "domestic", "cap_t": 10, "stock_t": 11}]);
    assert!(add("tanks", tank).starts_with("tanks[0].stock_t = 11: at most 10"));
    let tank = json!([{"name": "FW", "cls": "ballast", "cap_t": 10}]);
    assert!(add("tanks", tank).starts_with("tanks[0].cls: \"ballast\" given"));
    let relaxed = json!({"hour_later": {"allowed": [1]}});
    assert!(add("relaxed", relaxed).starts_with("relaxed.hour_later.allowed: 1 values"));
    assert!(
        add("initial", json!({"stock_t": 1, "state": "stopping", "steps_left": 9}))
            .contains("outside 0 to 3")
    );
}

#[test]
fn ident_text_that_is_no_json_says_where() {
    for (text, place) in [("{\"a\": NaN}", "line 1, column 7"), ("{", "line 1"), ("", "line 1")] {
        let e = Problem::from_json(text.as_bytes()).unwrap_err();
        assert!(e.to_string().starts_with(place), "{e}");
    }
    let deep = "[".repeat(100_000);
    assert!(matches!(Problem::from_json(deep.as_bytes()), Err(ProblemError::NotJson { .. })));
    let large = vec![b' '; (32 << 20) + 1];
    assert!(matches!(Problem::from_json(&large), Err(ProblemError::TooLarge { .. })));
    assert!(matches!(
        Problem::from_json(b"{\"step_min\": 1e999}"),
        Err(ProblemError::NotJson { .. })
    ));
}

#[test]
fn ident_what_is_left_out_takes_the_defaults() {
    let problem = parse(&json!({
        "samples": {"allowed": [1, 1], "make_t_day": [20, 20], "use_t_day": [7, 7], "ceiling_t": 100},
        "initial": {"stock_t": 50},
    }));
    assert_eq!(problem.state, State::Off);
    assert_eq!((problem.start_min, problem.stop_min), (75.0, 45.0));
    assert_eq!(problem.levels, [1.0, 0.5]);
    assert_eq!(problem.samples.reserve_t, [35.0, 35.0]);
    assert_eq!(problem.samples.manned, [true, true]);
    let c = &problem.costs;
    assert_eq!((c.start, c.retrim, c.run_h, c.callout, c.spill_t), (40.0, 5.0, 2.0, 150.0, 1.0));
    let tanks = parse(&json!({
        "samples": {"allowed": [1], "make_t_day": [20],
            "use_by_class": {"drinking": 1, "domestic": 4, "technical": 2, "wash_down": 10}},
        "tanks": [{"name": "FW", "cls": "domestic", "cap_t": 100, "stock_t": 60, "dead_t": 4},
                  {"name": "FPT", "cls": "domestic", "cap_t": 80, "stock_t": 80, "state": "set_apart"}],
    }));
    assert_eq!((tanks.stock_t, tanks.samples.ceiling_t[0]), (56.0, 96.0));
    assert_eq!((tanks.samples.use_t_day[0], tanks.samples.use_scatter_t_day[0]), (17.0, 7.0));
}
