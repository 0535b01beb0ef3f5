//! `stillwatch rate`: the worked example, the order of answers, lines that are wrong, readers that go away.

use std::io::{BufRead, BufReader, Read, Write};

use super::{lines, program, run, text};

/// The worked example, its four columns and three rows of it, and the engine's limit: printed to five digits by an
/// independent Python implementation over CoolProp 8.0.0 (IF97).
#[test]
fn ref_rate_gives_the_worked_example() {
    let asked = r#"{}
{"at": {"sea_temp_c": 15}}
{"at": {"jacket_in_c": 70, "jacket_flow_kg_s": 9.72, "scale_m2k_w": 1e-4}}
{"at": {"sea_temp_c": 34, "condenser_flow_kg_s": 12.0, "air_leak_kg_h": 5, "condenser_fouling_m2k_w": 1e-4, "feed_ratio": 2.0, "ejector_pressure_bar_g": 3.2, "condenser_leak_kg_h": 2}}
{"plant": {"jacket_heat_table": [[25, 430], [50, 700], [75, 950], [85, 1050], [100, 1200], [110, 1300]], "jacket_heat_reserve_kw": 50}, "at": {"engine_load": 40, "heat_short": "sag"}}
"#;
    let output = run(&["rate"], asked.as_bytes());
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stdout));
    let printed = [
        ("product_t_day", [24.000, 31.301, 9.8172, 18.585, 18.874]),
        ("shell_pressure_pa", [10106.0, 5761.8, 7325.1, 14380.0, f64::NAN]),
        ("vapour_temp_c", [46.000, 35.414, 39.817, 53.014, f64::NAN]),
        ("brine_temp_c", [47.032, 36.483, 40.717, 54.181, f64::NAN]),
        ("condensing_temp_c", [45.801, 34.470, 39.757, 52.951, f64::NAN]),
        ("vent_temp_c", [42.859, 30.200, 34.417, 41.585, f64::NAN]),
        ("jacket_out_c", [74.869, 71.590, 62.789, 77.148, f64::NAN]),
        ("sea_out_c", [41.492, 27.544, 35.906, 44.612, f64::NAN]),
        ("brine_salinity_g_kg", [49.315, 56.118, 39.845, 57.478, f64::NAN]),
        ("product_salt_mg_kg", [3.0000, 14.250, 0.69574, 92.302, f64::NAN]),
        ("blanketed_fraction", [0.045454, 0.048082, 0.47388, 0.35973, f64::NAN]),
        ("evaporator_heat_w", [688_530.0, 911_050.0, 293_350.0, 533_710.0, 544_460.0]),
        ("condenser_heat_w", [665_120.0, 877_780.0, 273_660.0, 510_040.0, f64::NAN]),
        ("evaporator_u_w_m2k", [1757.8, 1831.6, 958.36, 1665.7, f64::NAN]),
        ("condenser_u_w_m2k", [2513.1, 2234.8, 2742.5, 1812.4, f64::NAN]),
        ("jacket_in_c", [85.0, 85.0, 70.0, 85.0, 77.232]),
    ];
    let answers = lines(&output);
    assert_eq!(answers.len(), 5);
    for (key, row) in printed {
        for (answer, printed) in answers.iter().zip(row).filter(|(_, printed)| printed.is_finite())
        {
            let got = answer[key].as_f64().unwrap();
            assert!((got / printed - 1.0).abs() < 5.0e-5, "{key}: {got} against {printed}");
        }
    }
}

#[test]
fn ident_answers_keep_the_order_of_their_questions() {
    let mut input = String::new();
    let asked = |i: i32| 70.0 + f64::from(i) * 0.001;
    for i in 0..20_000 {
        input.push_str(&format!("{{\"at\": {{\"jacket_in_c\": {}}}}}\n", asked(i)));
    }
    let answers = lines(&run(&["rate"], input.as_bytes()));
    assert_eq!(answers.len(), 20_000);
    for (i, answer) in (0..).zip(&answers) {
        assert!((answer["jacket_in_c"].as_f64().unwrap() - asked(i)).abs() < 1e-9, "line {i}");
    }
}

#[test]
fn ident_a_bad_line_is_answered_and_the_rest_go_on() {
    let input = b"not json\n{\"at\": {\"sea_tmp_c\": 20}}\n{\"at\": {\"sea_temp_c\": \"20,5\"}}\n{\"at\": {\"sea_temp_c\": 1e400}}\n\xff\xfe\n[]\n{\"at\": {\"jacket_in_c\": 20}}\n{}\n";
    let output = run(&["rate"], input);
    assert_eq!(output.status.code(), Some(1));
    let answers = lines(&output);
    assert_eq!(answers.len(), 8);
    for answer in &answers[..7] {
        assert!(!answer["error"]["message"].as_str().unwrap().is_empty(), "{answer}");
    }
    assert!(answers[1]["error"]["message"].as_str().unwrap().contains("sea_temp_c"));
    assert_eq!(answers[6]["error"]["kind"], "no_heat");
    assert!(answers[7]["product_t_day"].is_number());
}

/// Fifty million bytes without a line break, then an honest question.
#[test]
fn ident_a_huge_line_is_refused_by_its_length_and_the_rest_go_on() {
    let mut input = vec![b'7'; 50_000_000];
    input.extend_from_slice(b"\n{}\n");
    let output = run(&["rate"], &input);
    assert_eq!(output.status.code(), Some(1));
    let answers = lines(&output);
    let [refused, answered] = &answers[..] else { panic!("{} answers", answers.len()) };
    let message = refused["error"]["message"].as_str().unwrap();
    assert!(message.contains("50000000"), "{message}");
    assert!(answered["product_t_day"].is_number());
}

/// As `stillwatch rate < points | head -1`: the reader goes away, and that is no mistake.
#[test]
fn ident_a_reader_that_goes_away_is_no_mistake() {
    let mut child = program(&["rate"]).spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let writer = std::thread::spawn(move || {
        // The program has ended before all is written.
        (0..2_000_000).take_while(|_| stdin.write_all(b"{}\n").is_ok()).count()
    });
    let mut first = String::new();
    let mut answers = BufReader::new(child.stdout.take().unwrap());
    answers.read_line(&mut first).unwrap();
    drop(answers);
    let status = child.wait().unwrap();
    let mut said = String::new();
    child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    assert_eq!((status.code(), said.as_str()), (Some(0), ""));
    assert!(first.contains("product_t_day"));
    assert!(writer.join().unwrap() < 2_000_000);
}

/// An answer comes when its question has come, not when the input ends.
#[test]
fn ident_a_question_is_answered_while_the_next_is_waited_for() {
    let mut child = program(&["rate"]).spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let mut answers = BufReader::new(child.stdout.take().unwrap());
    for _ in 0..3 {
        stdin.write_all(b"{}\n").unwrap();
        let mut line = String::new();
        answers.read_line(&mut line).unwrap();
        assert!(line.contains("product_t_day"), "{line}");
    }
    drop(stdin);
    assert!(child.wait().unwrap().success());
}
