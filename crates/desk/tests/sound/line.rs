//! What must hold of any line given to the reader of JSON lines: shared by the property tests and the fuzz targets.

use desk::lines::{Answerer, Outcome};
use plant::Sheet;
use serde_json::Value;

/// Any bytes: passed over, answered or refused, in one line of JSON, and the next line none the worse.
pub fn line(line: &[u8]) {
    const NUMBER: usize = 7;
    let mut answerer = Answerer::new(Sheet::default());
    let mut out = Vec::new();
    let outcome = answerer.answer(line, NUMBER, &mut out);
    if outcome == Outcome::Passed {
        assert!(out.is_empty() && line.trim_ascii().is_empty());
        return;
    }
    assert_eq!(out.iter().filter(|b| **b == b'\n').count(), 1);
    assert_eq!(out.last(), Some(&b'\n'));
    let told = String::from_utf8_lossy(&out);
    let Ok(answer) = serde_json::from_slice::<Value>(&out) else { panic!("no JSON: {told}") };
    let error = &answer["error"];
    if outcome == Outcome::Answered {
        assert!(error.is_null() && answer["product_t_day"].is_f64(), "{told}");
    } else {
        let said = |key: &str| error[key].as_str().is_some_and(|text| !text.is_empty());
        assert!(said("kind") && said("message") && error["line"] == NUMBER, "{told}");
    }
    // Nothing of this line is left behind for the next.
    let mut answers = [Vec::new(), Vec::new()];
    answerer.answer(b"{}", 1, &mut answers[0]);
    Answerer::new(Sheet::default()).answer(b"{}", 1, &mut answers[1]);
    assert_eq!(answers[0], answers[1]);
}
