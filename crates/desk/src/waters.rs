//! Properties of water for other programs: one JSON state a line in, its properties a line out.

use quantity::{Pressure, Salinity, Temperature};
use serde_json::{Map, Value as Json, json};
use water::State;

use crate::lines::{Members, Outcome, Wrong, number, refused, text};

/// Keys of a state, with their standing value where there is one: °C, g/kg, Pa absolute.
const KEYS: [(&str, Option<f64>); 3] =
    [("temp_c", None), ("salinity_g_kg", Some(0.0)), ("pressure_pa", Some(101_325.0))];

/// Every property at a state, as one JSON object: value, unit, source, and whether the source covers the state.
#[must_use]
pub fn object(state: &State) -> Json {
    let properties: Map<String, Json> = state
        .properties()
        .map(|p| {
            let entry = json!({
                "value": p.value, "unit": p.unit, "source": p.source, "in_range": p.in_range,
            });
            (p.key.to_owned(), entry)
        })
        .collect();
    json!({
        "temp_c": state.temperature().celsius(),
        "salinity_g_kg": state.salinity().g_kg(),
        "pressure_pa": state.pressure().pa(),
        "properties": properties,
    })
}

/// Appends the answer to one line, as [`crate::lines::Answerer::answer`] does for the plant.
pub fn answer(line: &[u8], number_of_line: usize, out: &mut Vec<u8>) -> Outcome {
    if line.trim_ascii().is_empty() {
        return Outcome::Passed;
    }
    match state(line) {
        Ok(state) => {
            out.extend_from_slice(object(&state).to_string().as_bytes());
            out.push(b'\n');
            Outcome::Answered
        }
        Err(wrong) => {
            refused(&wrong.kind, &wrong.message, number_of_line, Map::new(), out);
            Outcome::Refused
        }
    }
}

fn state(line: &[u8]) -> Result<State, Wrong> {
    let like = r#"{"temp_c": 45, "salinity_g_kg": 60}"#;
    let members = Members::of_line(text(line)?, like)?;
    let mut values = KEYS.map(|(_, standing)| standing);
    for (key, value) in members.0 {
        let Some(i) = KEYS.iter().position(|(k, _)| *k == key) else {
            let near = KEYS
                .iter()
                .map(|(k, _)| (strsim::jaro_winkler(k, &key), *k))
                .max_by(|a, b| a.0.total_cmp(&b.0))
                .filter(|(score, _)| *score >= 0.8);
            let hint = near.map_or_else(
                || "; known are temp_c, salinity_g_kg and pressure_pa".to_owned(),
                |(_, k)| format!("; did you mean {k}?"),
            );
            return Err(Wrong::new("unknown_key", format!("{key}: no such key{hint}")));
        };
        values[i] = Some(number(&key, value.get())?);
    }
    let [Some(t), Some(s), Some(p)] = values else {
        let message = "temp_c is missing: give the temperature in °C".to_owned();
        return Err(Wrong::new("refused", message));
    };
    water::state(Temperature::from_celsius(t), Salinity::from_g_kg(s), Pressure::from_pa(p))
        .map_err(|e| Wrong::new("refused", e.to_string()))
}
