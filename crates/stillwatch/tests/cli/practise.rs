//! `stillwatch practise`: its trace beside one of an independent program, the same twice, and every mistake told.

use std::path::PathBuf;

use super::{run, text};

fn held(name: &str) -> String {
    format!("{}/../../validation/transient/{name}", env!("CARGO_MANIFEST_DIR"))
}

fn written(folder: &tempfile::TempDir, name: &str, content: &str) -> PathBuf {
    let path = folder.path().join(name);
    std::fs::write(&path, content).unwrap();
    path
}

#[test]
fn ident_a_drill_is_held_against_its_reference_and_an_unknown_one_is_told_which_there_are() {
    let list = text(&run(&["practise", "--drills"], b"").stdout);
    assert!(list.lines().count() >= 12 && list.contains("blackout"), "{list}");
    let reference = text(&run(&["practise", "--drill", "arrival", "--reference"], b"").stdout);
    assert!(
        reference.contains("What it was: ")
            && reference.contains("heater body at the time that was told")
    );
    let idle = text(&run(&["practise", "--drill", "arrival"], b"").stdout);
    assert!(idle.contains("60 points: heat off comes before everything else"), "{idle}");
    // What was wrong is told after, never among what happened.
    assert!(!idle.split("points of 100").next().unwrap().contains("trouble: engine"), "{idle}");
    let unknown = run(&["practise", "--drill", "storm"], b"");
    assert_eq!(unknown.status.code(), Some(2));
    let told = text(&unknown.stderr);
    assert!(told.contains("tropics, winter") && told.contains("--drills"), "{told}");
}

#[test]
fn cross_practise_prints_the_trace_of_the_cold_start() {
    let scenario = held("reference_cold_start.json");
    let output = run(&["practise", "--scenario", &scenario, "--csv"], b"");
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let got = text(&output.stdout);
    let wanted = std::fs::read_to_string(held("reference_cold_start.csv")).unwrap();
    let mut lines = got.lines();
    assert_eq!(lines.next(), wanted.lines().next(), "the columns");
    let rows: Vec<Vec<f64>> =
        lines.map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect()).collect();
    for line in wanted.lines().skip(1) {
        let want: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
        let got = rows.iter().find(|row| row[0] == want[0]).unwrap();
        for column in [1, 3, 6, 7, 8] {
            assert!((got[column] / want[column] - 1.0).abs() < 0.01, "{} s, {column}", want[0]);
        }
    }
    // the same scenario, the same bytes
    assert_eq!(text(&run(&["practise", "--scenario", &scenario, "--csv"], b"").stdout), got);
}

#[test]
fn ident_events_and_score_are_told() {
    let scenario = held("reference_cold_start.json");
    let told = text(&run(&["practise", "--scenario", &scenario], b"").stdout);
    for wanted in
        ["90 % vacuum reached", "boiling", "diverting valve has gone to the tank", "Score ", "ppm"]
    {
        assert!(told.contains(wanted), "{wanted} is not in\n{told}");
    }
    let json = text(&run(&["practise", "--scenario", &scenario, "--json"], b"").stdout);
    let answer: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert!(answer["rows"].as_array().unwrap().len() > 120);
    assert!(answer["score"]["points"].as_f64().unwrap() > 90.0, "{}", answer["score"]);
    assert!(answer["ledgers"]["salt"].as_f64().unwrap().abs() < 1e-10);
}

#[test]
fn ident_more_actions_are_done_beside_the_scenarios_own() {
    let folder = tempfile::tempdir().unwrap();
    let scenario =
        written(&folder, "s.json", r#"{"begin": "running", "until": 900, "actions": []}"#);
    let actions =
        written(&folder, "a.json", r#"[{"t": 300, "do": {"pump": "ejector", "run": false}}]"#);
    let (scenario, actions) = (scenario.to_str().unwrap(), actions.to_str().unwrap());
    let told = text(&run(&["practise", "--scenario", scenario, "--actions", actions], b"").stdout);
    for wanted in ["ejector pump stopped", "over the weir", "diverting valve has gone to dump"] {
        assert!(told.contains(wanted), "{wanted} is not in\n{told}");
    }
}

#[test]
fn ident_every_mistake_is_told_with_its_place_and_a_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let of = |actions: &str| {
        format!("{{\"begin\": \"cold\",\n \"until\": 60,\n \"actions\": [\n{actions}]}}")
    };
    for (content, wanted) in [
        (
            of(r#"{"t": 0, "do": {"valve": "feed", "percent": 140}}"#),
            &["line 4", "actions[0].do.percent", "140", "0 to 100"][..],
        ),
        (
            of(r#"{"t": 0, "do": {"valve": "fead", "percent": 10}}"#),
            &["actions[0].do.valve", "fead", "\"feed\""],
        ),
        (
            of(
                "{\"t\": 9, \"do\": {\"pump\": \"jacket\", \"run\": true}},\n{\"t\": 3, \"do\": {\"pump\": \"jacket\", \"run\": true}}",
            ),
            &["line 5", "actions[1].t", "3 s", "9 s", "clock"],
        ),
        (
            of(r#"{"t": 0, "do": {"pump": "bilge", "run": true}}"#),
            &["actions[0].do.pump", "bilge", "ejector"],
        ),
        (
            of(r#"{"t": 0, "do": {"set": "diverting valve", "to": "open"}}"#),
            &["do.to", "open", "forced"],
        ),
        (
            of(r#"{"t": 0, "do": {"fault": "air leek", "amount": 3}}"#),
            &["do.fault", "\"air leak\""],
        ),
        (
            of(r#"{"t": "soon", "do": {"pump": "jacket", "run": true}}"#),
            &["actions[0].t", "soon", "a number"],
        ),
        (of(r#"{"t": 0, "do": {"turn": "feed"}}"#), &["actions[0].do", "turn", "valve"]),
        (r#"{"begin": "cold", "until": 60, "wind": 3}"#.to_owned(), &["wind", "until"]),
        (r#"{"begin": "warm", "until": 60}"#.to_owned(), &["begin", "warm", "cold"]),
        (r#"{"begin": "cold"}"#.to_owned(), &["until", "missing"]),
        (
            r#"{"begin": "cold", "until": 60, "at": {"sea_temp": 10}}"#.to_owned(),
            &["at.sea_temp", "sea_temp_c"],
        ),
        (
            r#"{"begin": "cold", "until": 60, "at": {"jacket_flow_kg_s": 10}}"#.to_owned(),
            &["jacket_flow_kg_s", "valves"],
        ),
        (r#"{"begin": "cold", "until": -5}"#.to_owned(), &["until", "-5"]),
        ("{\"begin\": \"cold\",\n oops}".to_owned(), &["line 2", "JSON"]),
    ] {
        let path = written(&folder, "bad.json", &content);
        let output = run(&["practise", "--scenario", path.to_str().unwrap(), "--csv"], b"");
        assert_eq!(output.status.code(), Some(2), "{content}");
        assert!(output.stdout.is_empty(), "{content}");
        let said = text(&output.stderr);
        for word in wanted.iter().chain(&["bad.json", "try:"]) {
            assert!(said.contains(word), "{word} is not in: {said}");
        }
    }
}

#[test]
fn ident_a_scenario_begins_at_rest_and_says_how_it_begins() {
    let folder = tempfile::tempdir().unwrap();
    let told = |at: &str| {
        let content = format!(r#"{{"begin": "running", {at} "until": 600, "actions": []}}"#);
        let path = written(&folder, "s.json", &content);
        text(&run(&["practise", "--scenario", path.to_str().unwrap()], b"").stdout)
    };
    let own = told(r#""at": {"sea_temp_c": 28, "engine_load": 85},"#);
    assert!(own.starts_with("Brought to rest in its own line-up"), "{own}");
    assert!(!own.contains("over the limit") && !own.contains("under its set point\n 0"), "{own}");
    assert!(told("").starts_with("Begins as running plants are exchanged"), "{}", told(""));
}

#[test]
fn ident_samples_and_answers_stand_in_a_list_of_actions() {
    let folder = tempfile::tempdir().unwrap();
    let drill = |content: &str| {
        let path = written(&folder, "a.json", content);
        run(&["practise", "--drill", "cell", "--actions", path.to_str().unwrap()], b"")
    };
    let told = text(
        &drill(
            r#"[{"t": 660, "do": {"sample": "hand meter"}}, {"t": 700, "do": {"answer": "cell reading"}}]"#,
        )
        .stdout,
    );
    for wanted in [
        "sample by hand meter: 3.0 ppm",
        "said to be the matter",
        "named first and in time, at 700 s",
        "over 100",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    assert!(!told.contains("mg/kg"), "one unit: {told}");
    let wrong = text(&drill(r#"[{"t": 660, "do": {"answer": "cell"}}]"#).stderr);
    assert!(wrong.contains("actions[0].do.answer") && wrong.contains("cell reading"), "{wrong}");
}
