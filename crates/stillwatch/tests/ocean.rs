//! `stillwatch ocean` on the command line: for a person, for a program, and what it refuses.
#![allow(clippy::unwrap_used, clippy::panic)] // in tests a broken expectation should stop the test

use std::io::Write;
use std::process::{Command, Output, Stdio};

fn ocean(args: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_stillwatch"))
        .arg("ocean")
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that refuses its flags does not read.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    child.wait_with_output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn cross_one_position_for_a_person_and_for_a_program() {
    // GSHHG 2.3.7 full: 14.02 nmi north-west of Saint Helena.
    let page = ocean(&["--at", "15°48.0'S 005°57.0'W", "--month", "7"], "");
    assert_eq!(page.status.code(), Some(0));
    let page = text(&page.stdout);
    assert!(page.starts_with("15°48.0'S 005°57.0'W\n"), "{page}");
    for wanted in [
        "Nearest land",
        "nmi to the coast at 15°5",
        "Sea temperature  ",
        "21.5 °C",
        "Not for navigation",
        "baselines",
    ] {
        assert!(page.replace('\u{202f}', " ").contains(wanted), "{wanted}: {page}");
    }
    let object = ocean(&["--at", "-15.8 -5.95", "--month", "7", "--json"], "");
    let object: serde_json::Value = serde_json::from_slice(&object.stdout).unwrap();
    assert!((object["distance_nmi"].as_f64().unwrap() - 14.02).abs() < 0.5, "{object}");
    assert_eq!((object["land"].as_str(), object["ground"].as_str()), (Some("coast"), Some("sea")));
    assert_eq!(object["sea_temp_basis"], "observed");
    assert!(object["trust"].as_str().unwrap().contains("1 nmi"));
}

#[test]
fn ident_lines_are_answered_in_order_and_mistakes_told() {
    let lines = "{\"at\": \"12°34.5'S 045°10'E\", \"month\": 7}\n\n{\"lat_deg\": -12.575, \"lon_deg\": 45.16666667, \"month\": 7}\n\
        {\"lat_deg\": 23.0, \"lon_deg\": 10.0}\n{\"at\": \"12 61 S 45 E\"}\n{\"at\": 7}\n{\"lat_deg\": 91, \"lon_deg\": 0}\n{\"lat_deg\": 1}\n\
        {\"at\": \"1N 1E\", \"month\": 13}\n{\"at\": \"1N 1E\", \"day\": 3}\n{\"att\": \"1N 1E\"}\n[1]\n";
    let out = ocean(&["--json"], lines);
    assert_eq!(out.status.code(), Some(1));
    let answers: Vec<serde_json::Value> =
        text(&out.stdout).lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(answers.len(), 11);
    assert_eq!(answers[0]["distance_nmi"], answers[1]["distance_nmi"]);
    assert_eq!(answers[2]["ground"], "land");
    // The middle of the Sahara: no distance off to trust, and the sea is far.
    assert_eq!((&answers[2]["on_land"], &answers[2]["distance_nmi"]), (&true.into(), &0.0.into()));
    assert!(answers[2]["coast_nmi"].as_f64().unwrap() > 500.0, "{}", answers[2]);
    assert_eq!(answers[0]["on_land"], false);
    let inland = text(&ocean(&["--at", "48 51.4 N 002 21.0 E"], "").stdout);
    assert!(
        inland.contains("0 nmi: on land, the coast is ") && inland.contains("none: on land"),
        "{inland}"
    );
    assert_eq!(answers[2]["sea_temp_basis"], "on_land");
    assert_eq!(answers[2]["sea_temp_c_by_month"].as_array().unwrap().len(), 12);
    let said = |i: usize, line: u64, words: &[&str]| {
        let error = &answers[i]["error"];
        assert_eq!(error["line"], line, "{error}");
        for word in words {
            assert!(error["message"].as_str().unwrap().contains(word), "{word}: {error}");
        }
    };
    said(3, 5, &["at: ", "61", "below 60", "write 12°34.5'S"]);
    said(4, 6, &["at: read 7", "quotes"]);
    said(5, 7, &["latitude 91", "90°N"]);
    said(6, 8, &["lon_deg is missing"]);
    said(7, 9, &["month 13", "1 (January) to 12"]);
    said(8, 10, &["day 3", "give the month"]);
    said(9, 11, &["att", "known are at"]);
    said(10, 12, &["wanted one object"]);
}

/// A name is no position, and is named as it was typed.
#[test]
fn ident_a_name_is_refused_by_its_name() {
    for (typed, says) in [
        ("Paris", "position \"Paris\": a name is not looked up"),
        ("12 S 45 O", "O can be Ost (east)"),
        ("12 S 45 E Paris", "the word \"Paris\" is not understood"),
    ] {
        let output = ocean(&["--at", typed], "");
        let told = text(&output.stderr);
        assert!(output.status.code() == Some(2) && told.contains(says), "{says}: {told}");
    }
}

#[test]
fn ident_mistakes_in_the_words_have_their_exit_code_and_a_remedy() {
    for (args, wanted) in [
        (&["--at", "12,34"][..], "the comma can be"),
        (&["--at", "1N 1E", "--month", "13"][..], "1 (January) to 12"),
        (&["--at", "1N 1E", "--month", "July"][..], "1 (January) to 12, in figures"),
        (&["--at", "1N 1E", "--month", "2", "--day", "30"][..], "days 1 to 29"),
        (&[][..], "try: stillwatch ocean --at"),
        (&["--lines", "no/such/file"][..], "no/such/file"),
    ] {
        let out = ocean(args, "");
        assert_eq!(out.status.code(), Some(2), "{args:?}");
        assert!(text(&out.stderr).contains(wanted), "{args:?}: {}", text(&out.stderr));
    }
}
