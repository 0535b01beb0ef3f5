//! `stillwatch plan --problem`: the answer's keys, what a person reads, and what is refused.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::process::{Command, Output};

use serde_json::{Value, json};

fn passage() -> Value {
    let n = 480;
    let manned: Vec<u8> = (0..n).map(|k| u8::from((28..76).contains(&(k % 96)))).collect();
    json!({
        "initial": {"stock_t": 40.0, "state": "off", "steps_left": 0},
        "samples": {"allowed": vec![1; n], "manned": manned, "make_t_day": vec![24.0; n], "use_t_day": vec![7.0; n],
            "ceiling_t": vec![200.0; n], "reserve_t": vec![35.0; n]},
        "end": {"target_t": 35.0, "price_t": 9.0},
    })
}

fn plan(problem: &str, more: &[&str]) -> Output {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("problem.json");
    std::fs::write(&file, problem).unwrap();
    Command::new(env!("CARGO_BIN_EXE_stillwatch"))
        .args(["plan", "--problem", file.to_str().unwrap()])
        .args(more)
        .output()
        .unwrap()
}

#[test]
fn ident_the_answer_has_its_keys() {
    let output = plan(&passage().to_string(), &["--json", "--draws", "50"]);
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    for key in ["plan", "policy", "bands", "worth", "binding", "tanks"] {
        assert!(!answer[key].is_null(), "{key}");
    }
    for key in ["cost", "orders", "stock_t", "short_t", "lost_t", "supply"] {
        assert!(!answer["plan"][key].is_null(), "plan.{key}");
    }
    for key in ["expected_cost", "below_reserve_price", "worst_chance", "worst_at", "orders"] {
        assert!(!answer["policy"][key].is_null(), "policy.{key}");
    }
    assert_eq!(answer["plan"]["orders"][0].as_array().unwrap().len(), 4);
    assert_eq!(answer["bands"]["p10"].as_array().unwrap().len(), 481);

    let output = plan(&passage().to_string(), &["--json", "--deterministic", "--cell", "0.05"]);
    let alone: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(alone.as_object().unwrap().len(), 1);
    let (a, b) =
        (alone["plan"]["cost"].as_f64().unwrap(), answer["plan"]["cost"].as_f64().unwrap());
    assert!((a / b - 1.0).abs() < 2.0e-3, "{a} {b}");
}

#[test]
fn ident_a_person_reads_the_sentence_first() {
    let output = plan(&passage().to_string(), &["--draws", "50"]);
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.lines().next().unwrap().ends_with('.'), "{text}");
    assert!(text.contains("first water") && text.contains("never an order"), "{text}");
}

#[test]
fn ident_what_cannot_be_planned_is_told_with_its_place() {
    let mut problem = passage();
    problem["samples"]["use_t_day"] = json!([7.0]);
    let output = plan(&problem.to_string(), &["--json"]);
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(told.contains("samples.use_t_day: 1 values where samples.allowed has 480"), "{told}");
    let output = plan(&passage().to_string(), &["--cell", "0"]);
    assert_eq!(output.status.code(), Some(2));
    let output = plan("{\"samples\": NaN}", &[]);
    assert!(String::from_utf8_lossy(&output.stderr).contains("line 1, column"));
}

/// Where the problem tells date and zone a person reads the ship's time, and no shorthand of statistics.
#[test]
fn ident_a_person_reads_ships_time_and_plain_words() {
    let mut problem = passage();
    problem["start_utc"] = json!("2026-11-09T02:00:00Z");
    problem["samples"]["zone_h"] = json!(vec![11.0; 480]);
    problem["samples"]["make_t_day"] = json!(vec![6.0; 480]);
    let text = String::from_utf8(plan(&problem.to_string(), &["--draws", "50"]).stdout).unwrap();
    let first = text.lines().next().unwrap();
    assert!(first.starts_with("The reserve is not sure: on ") && first.contains("Nov"), "{text}");
    assert!(first.contains("UTC+11") && first.contains("one chance in ten"), "{text}");
    for shorthand in ["P10", "P90", "on day"] {
        assert!(!text.contains(shorthand), "{shorthand}: {text}");
    }
    problem["samples"]["zone_h"] = json!(vec![15.0; 480]);
    let refused = plan(&problem.to_string(), &[]);
    let told = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(told.contains("samples.zone_h") && told.contains("15"), "{told}");
}
