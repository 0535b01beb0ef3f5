//! The program itself on the command line: answers, order, mistakes, exit codes.

#![allow(clippy::unwrap_used, reason = "a test's helpers may fail it")]

use std::io::Write;
use std::process::{Command, Output, Stdio};

fn run(args: &[&str], input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_stillwatch"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || stdin.write_all(&input));
    let output = child.wait_with_output().unwrap();
    // A program that has said no reads no further.
    let _ = writer.join().unwrap();
    output
}

fn lines(output: &Output) -> Vec<serde_json::Value> {
    String::from_utf8_lossy(&output.stdout)
        .lines()
        .map(|l| serde_json::from_str(l).unwrap())
        .collect()
}

/// Worked example: figures printed by an independent Python implementation over CoolProp 8.0.0.
#[test]
fn ref_rate_gives_the_worked_example() {
    let output = run(&["rate"], b"{}\n{\"at\": {\"sea_temp_c\": 15}}\n");
    assert_eq!(output.status.code(), Some(0));
    let answers = lines(&output);
    for (answer, product, shell_pa, heat_w) in
        [(&answers[0], 24.000, 10106.0, 688_530.0), (&answers[1], 31.301, 5761.8, 911_050.0)]
    {
        let close = |key: &str, printed: f64| {
            (answer[key].as_f64().unwrap() / printed - 1.0).abs() < 5.0e-5
        };
        assert!(
            close("product_t_day", product)
                && close("shell_pressure_pa", shell_pa)
                && close("evaporator_heat_w", heat_w),
            "{answer}"
        );
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

#[test]
fn ident_mistakes_in_the_words_have_their_exit_code_and_a_remedy() {
    for args in [
        &["rate", "--jacket-in", "warm"][..],
        &["rate", "--jaket-in", "82"],
        &["nothing"],
        &["log", "verify", "no-such-folder"],
    ] {
        let output = run(args, b"");
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(!output.stderr.is_empty() && output.stdout.is_empty(), "{args:?}");
    }
}

#[test]
fn regr_the_accuracy_page_is_what_the_program_prints() {
    let output = run(&["accuracy", "--markdown"], b"");
    assert_eq!(output.status.code(), Some(0));
    let page = include_str!("../../../docs/accuracy.md");
    assert_eq!(
        String::from_utf8_lossy(&output.stdout),
        page,
        "stillwatch accuracy --markdown > docs/accuracy.md"
    );
}
