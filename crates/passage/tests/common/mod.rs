//! Problems for the tests: read from `validation`, or laid out from a few figures.

#![allow(dead_code, clippy::unwrap_used, reason = "every test file uses its part")]

use std::path::PathBuf;

use passage::decision::Problem;
use serde_json::{Value, json};

/// A file of the tables made outside.
pub fn validation(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../validation/passage").join(name)
}

/// Runs of equal values, `[[value, count], ...]`, laid out as lists.
pub fn laid_out(text: &str) -> Value {
    let mut problem: Value = serde_json::from_str(text).unwrap();
    lay_out(&mut problem["samples"]);
    if problem["relaxed"].is_object() {
        for relaxed in problem["relaxed"].as_object_mut().unwrap().values_mut() {
            lay_out(relaxed);
        }
    }
    problem
}

fn lay_out(lists: &mut Value) {
    for list in lists.as_object_mut().unwrap().values_mut() {
        if list.is_object() {
            lay_out(list);
            continue;
        }
        let Some(runs) = list.as_array() else { continue };
        let mut all = Vec::new();
        for run in runs {
            let count = run[1].as_u64().unwrap() as usize;
            all.extend(std::iter::repeat_n(run[0].clone(), count));
        }
        *list = Value::Array(all);
    }
}

pub fn parse(problem: &Value) -> Problem {
    Problem::from_json(problem.to_string().as_bytes()).unwrap()
}

/// A passage of `days` with allowed water throughout, hands from 0700 to 1900, 24 t/day made, 7 used.
pub fn plain(days: usize) -> Value {
    let n = 96 * days;
    let manned: Vec<u8> = (0..n).map(|k| u8::from((28..76).contains(&(k % 96)))).collect();
    json!({
        "initial": {"stock_t": 60.0, "state": "off", "steps_left": 0},
        "samples": {
            "allowed": vec![1; n], "manned": manned, "make_t_day": vec![24.0; n], "use_t_day": vec![7.0; n],
            "ceiling_t": vec![200.0; n], "reserve_t": vec![35.0; n],
        },
        "end": {"target_t": 35.0, "price_t": 9.0},
    })
}

/// The worked passage: laden to port, three days alongside, out in ballast with five holds to rinse.
pub fn worked() -> Problem {
    parse(&laid_out(&std::fs::read_to_string(validation("worked.json")).unwrap()))
}
