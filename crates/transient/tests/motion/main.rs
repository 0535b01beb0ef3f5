//! The plant in motion against rest, reference traces, textbook bodies and the consequences of wrong orders.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test's helpers may fail it")]

mod anything;
mod consequences;
mod drills;
mod foretold;
mod integrator;
mod live;
mod rest;
mod textbook;
mod traces;

use std::sync::Arc;

use plant::{Plant, Sheet};
use transient::{Model, Parameters, Row, Run, Scenario};

/// The demonstration plant.
fn demonstration() -> Arc<Model> {
    Arc::new(Model::new(Plant::calibrate(&Sheet::default()).unwrap(), Parameters::default()))
}

/// A scenario from its text.
fn scenario(model: &Model, text: &str) -> Scenario {
    Scenario::read(model, text, None).unwrap_or_else(|e| panic!("{e}"))
}

/// A run from a scenario's text, at its end, with a row every `every_s`.
fn run(model: &Arc<Model>, text: &str, every_s: f64) -> (Run, Vec<Row>) {
    let scenario = scenario(model, text);
    let mut run = scenario.start(model);
    let mut rows = Vec::new();
    let mut next = every_s;
    run.advance_telling(scenario.until_s, &mut |passed| {
        while next <= passed.to_s() {
            rows.push(passed.row(next));
            next += every_s;
        }
    })
    .unwrap_or_else(|e| panic!("{e}"));
    (run, rows)
}

/// A running plant with one trouble from the beginning.
fn troubled(
    model: &Arc<Model>,
    at: &str,
    fault: &str,
    amount: f64,
    until_s: f64,
) -> (Run, Vec<Row>) {
    let text = format!(
        r#"{{"begin": "running", "at": {at}, "until": {until_s},
            "actions": [{{"t": 0, "do": {{"fault": "{fault}", "amount": {amount}}}}}]}}"#
    );
    run(model, &text, 60.0)
}

fn near(what: &str, got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{what}: got {got}, want {want} within {within}");
}
