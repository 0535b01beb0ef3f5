//! The reader of JSON lines: every mistake told by its field; whatever comes, one answer a line.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test's helpers may fail it")]

#[path = "sound/line.rs"]
mod sound;

use desk::lines::{Answerer, LONGEST_LINE, Outcome};
use plant::{Plant, Point, Sheet, keys};
use proptest::prelude::*;
use serde_json::Value;

fn answer(line: &str) -> Value {
    let mut out = Vec::new();
    Answerer::new(Sheet::default()).answer(line.as_bytes(), 1, &mut out);
    serde_json::from_slice(&out).unwrap()
}

#[test]
fn ident_mistakes_are_told_by_their_field_and_remedy() {
    let long = format!(r#"{{"at": {{"sea_temp_c": {}}}}}"#, "9".repeat(400));
    for (line, kind, parts) in [
        (r#"{"at": {"sea_temp_c": 1e400}}"#, "refused", &["sea_temp_c", "1e400", "larger"][..]),
        (r#"{"at": {"jacket_in_c": -1e400}}"#, "refused", &["jacket_in_c", "-1e400"]),
        (&long, "refused", &["sea_temp_c", "999…", "larger"]),
        (r#"{"plant": {"demister_drop": 1e999}}"#, "refused", &["demister_drop", "1e999"]),
        (r#"{"at": {"sea_tmp_c": 20}}"#, "unknown_key", &["sea_tmp_c", "sea_temp_c"]),
        (r#"{"plant": {"rated_product": 20}}"#, "unknown_key", &["rated_product_t_day"]),
        (r#"{"at": {"sea_temp_c": "20,5"}}"#, "refused", &["sea_temp_c", "20,5", "decimal point"]),
        (r#"{"at": {"sea_temp_c": 20,5}}"#, "not_json", &["column 26"]),
        (r#"{"at": {"sea_temp_c": 400}}"#, "refused", &["sea_temp_c", "400", "-2 to 45"]),
        (r#"{"at": {"sea_temp_c": null}}"#, "refused", &["sea_temp_c", "nothing"]),
        (r#"{"at": {"sea_temp_c": {"c": 20}}}"#, "refused", &["sea_temp_c", "neither a number"]),
        (r#"{"at": {"sea_temp_c": 20, "sea_temp_c": 21}}"#, "refused", &["sea_temp_c", "twice"]),
        (r#"{"at": {}, "at": {}}"#, "refused", &["at", "twice"]),
        (r#"{"at": [1]}"#, "refused", &["at", "[1]", "object"]),
        (r#"{"sea_temp_c": 20}"#, "unknown_key", &["sea_temp_c", "plant and at"]),
        (r#"{"at": {"heat_short": "boost"}}"#, "refused", &["heat_short", "boost", "sag"]),
        (r#"{"plant": {"evaporator_split": [1, 2, "x"]}}"#, "refused", &["evaporator_split"]),
        (r#"{"plant": {"jacket_heat_table": [[1, 2, 3]]}}"#, "refused", &["jacket_heat_table"]),
        ("[]", "not_json", &["wanted", "object"]),
        ("{", "not_json", &["column"]),
    ] {
        let error = &answer(line)["error"];
        assert_eq!(error["kind"], kind, "{line}: {error}");
        let message = error["message"].as_str().unwrap();
        for part in parts {
            assert!(message.contains(part), "{line}: {message:?} lacks {part:?}");
        }
    }
}

#[test]
fn ident_a_line_may_be_written_in_any_sound_way() {
    let plain = answer(r#"{"at": {"sea_temp_c": 20.5, "trimmed": true}}"#);
    assert!(plain["product_t_day"].is_f64());
    for line in [
        "\t{ \"at\" : { \"trimmed\":true , \"sea_temp_c\":2.05e1 } , \"plant\" : null }\r",
        r#"{"plant": {}, "at": {"sea_temp\u005fc": 20.5, "trimmed": true}}"#,
    ] {
        assert_eq!(answer(line), plain, "{line}");
    }
    assert_eq!(answer(r#"{"at": null}"#), answer("{}"));
}

#[test]
fn ident_each_line_has_the_plant_it_asks_for() {
    let lines = [
        r#"{"plant": {"rated_product_t_day": 20}}"#,
        r#"{"plant": {"rated_product_t_day": 20}, "at": {"sea_temp_c": 20}}"#,
        "{}",
        r#"{"plant": {"rated_product_t_day": -1}}"#,
        r#"{"at": {"sea_temp_c": 20}}"#,
        r#"{"plant": {"rated_product_t_day": 20}}"#,
    ];
    let mut together = Answerer::new(Sheet::default());
    for line in lines {
        let mut out = Vec::new();
        together.answer(line.as_bytes(), 1, &mut out);
        assert_eq!(serde_json::from_slice::<Value>(&out).unwrap(), answer(line), "{line}");
    }
}

#[test]
fn ident_a_line_too_long_is_refused_with_its_length() {
    let mut out = Vec::new();
    let line = vec![b' '; LONGEST_LINE + 1];
    let mut answerer = Answerer::new(Sheet::default());
    assert_eq!(answerer.answer(&line, 3, &mut out), Outcome::Passed);
    let line = vec![b'1'; LONGEST_LINE + 1];
    assert_eq!(answerer.answer(&line, 3, &mut out), Outcome::Refused);
    let error = &serde_json::from_slice::<Value>(&out).unwrap()["error"];
    assert_eq!((&error["kind"], &error["line"]), (&"too_long".into(), &3.into()));
}

/// Pieces of lines, sound and not.
fn piece() -> impl Strategy<Value = String> {
    let key = prop::sample::select(
        keys::POINT.iter().chain(keys::SHEET).map(|k| k.key).collect::<Vec<_>>(),
    );
    let value = prop_oneof![
        any::<f64>().prop_map(|x| x.to_string()),
        (-5.0..120.0_f64).prop_map(|x| x.to_string()),
        prop::sample::select(vec![
            "1e400",
            "-0",
            "null",
            "true",
            "\"sag\"",
            "\"\\u00e9\"",
            "[1,2]",
            "[[1,2],[3,4]]",
            "{}",
            "NaN",
            "1,5",
            "\"",
            "[[[[",
        ])
        .prop_map(str::to_owned),
    ];
    (key, value, prop::sample::select(vec!["at", "plant", "bat"]))
        .prop_map(|(key, value, part)| format!("\"{part}\":{{\"{key}\":{value}}}"))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn ident_any_line_has_one_answer(pieces in prop::collection::vec(piece(), 0..3)) {
        sound::line(format!("{{{}}}", pieces.join(",")).as_bytes());
    }

    #[test]
    fn ident_any_bytes_have_one_answer(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let line: Vec<u8> = bytes.into_iter().filter(|b| *b != b'\n').collect();
        sound::line(&line);
    }

    /// Numbers are read to the nearest double: the answer is that of the very same number.
    #[test]
    fn ident_numbers_are_read_to_the_last_bit(sea_temp_c in 5.0..34.0_f64) {
        let plant = Plant::calibrate(&Sheet::default()).unwrap();
        let there = plant.rate(&Point { sea_temp_c, ..Point::default() }).unwrap();
        let answer = answer(&format!("{{\"at\":{{\"sea_temp_c\":{sea_temp_c}}}}}"));
        prop_assert_eq!(answer["product_t_day"].to_string(), serde_json::to_string(&there.product_t_day).unwrap());
    }
}
