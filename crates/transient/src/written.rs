//! Lists of actions and scenarios as they are written: read field by field, and told where something cannot be taken.

use serde_json::{Map, Value};

use crate::action::{Action, Do};
use crate::error::{Fault, ScenarioError};
use crate::lines;
use crate::matter;
use crate::parts::{self, FAULTS, PUMPS, Part, SETS, SWITCHES, VALVES};

/// Longest run, s: thirty days.
pub(crate) const LONGEST_S: f64 = 30.0 * 86_400.0;

pub(crate) fn wrong(line: usize, field: impl Into<String>, fault: Fault) -> ScenarioError {
    ScenarioError { line, field: field.into(), fault }
}

pub(crate) fn shown(value: &Value) -> String {
    let text = value.to_string();
    if text.chars().count() > 40 {
        format!("{}…", text.chars().take(40).collect::<String>())
    } else {
        text
    }
}

/// What a sample is tried with.
const HAND_METER: &str = "hand meter";

/// One object with the place it stands at, for telling what is wrong in it.
pub(crate) struct Fields<'a> {
    pub(crate) map: &'a Map<String, Value>,
    field: String,
    line: usize,
}

impl<'a> Fields<'a> {
    pub(crate) fn of(
        value: &'a Value,
        field: &str,
        line: usize,
        wanted: &'static str,
    ) -> Result<Self, ScenarioError> {
        match value {
            Value::Object(map) => Ok(Fields { map, field: field.to_owned(), line }),
            other => Err(wrong(line, field, Fault::Kind { got: shown(other), wanted })),
        }
    }

    pub(crate) fn path(&self, key: &str) -> String {
        if self.field.is_empty() { key.to_owned() } else { format!("{}.{key}", self.field) }
    }

    pub(crate) fn fail<T>(&self, key: &str, fault: Fault) -> Result<T, ScenarioError> {
        Err(wrong(self.line, self.path(key), fault))
    }

    pub(crate) fn only(&self, known: &[&'static str]) -> Result<(), ScenarioError> {
        for key in self.map.keys() {
            if let Err(near) = parts::find(known.iter().copied(), key) {
                let fault =
                    Fault::Name { what: "field", got: key.clone(), near, known: known.to_vec() };
                return self.fail(key, fault);
            }
        }
        Ok(())
    }

    pub(crate) fn number(
        &self,
        key: &str,
        range: (f64, f64),
        unit: &'static str,
    ) -> Result<Option<f64>, ScenarioError> {
        match self.map.get(key) {
            None => Ok(None),
            Some(value) => match value.as_f64() {
                Some(got) if got >= range.0 && got <= range.1 => Ok(Some(got)),
                Some(got) => {
                    self.fail(key, Fault::Range { got, low: range.0, high: range.1, unit })
                }
                None => self.fail(key, Fault::Kind { got: shown(value), wanted: "a number" }),
            },
        }
    }

    pub(crate) fn need(
        &self,
        key: &str,
        range: (f64, f64),
        unit: &'static str,
    ) -> Result<f64, ScenarioError> {
        match self.number(key, range, unit)? {
            Some(x) => Ok(x),
            None => self.fail(key, Fault::Missing { wanted: "a number" }),
        }
    }

    pub(crate) fn part(
        &self,
        key: &str,
        what: &'static str,
        list: &'static [Part],
    ) -> Result<usize, ScenarioError> {
        self.name(key, what, list.iter().map(|part| part.name).collect())
    }

    pub(crate) fn name(
        &self,
        key: &str,
        what: &'static str,
        known: Vec<&'static str>,
    ) -> Result<usize, ScenarioError> {
        let Some(Value::String(name)) = self.map.get(key) else {
            let got = self.map.get(key).map_or_else(String::new, shown);
            return self.fail(key, Fault::Kind { got, wanted: "a name in quotes" });
        };
        match parts::find(known.iter().copied(), name) {
            Ok(place) => Ok(place),
            Err(near) => self.fail(key, Fault::Name { what, got: name.clone(), near, known }),
        }
    }

    pub(crate) fn over(&self) -> Result<Option<f64>, ScenarioError> {
        self.number("over", (0.0, LONGEST_S), "s")
    }
}

/// Reads one action, told by its place in the list and its line.
fn action(value: &Value, field: &str, line: usize) -> Result<Action, ScenarioError> {
    let outer = Fields::of(value, field, line, "an object {\"t\": seconds, \"do\": {…}}")?;
    outer.only(&["t", "do"])?;
    let time_s = outer.need("t", (0.0, LONGEST_S), "s")?;
    let Some(inner) = outer.map.get("do") else {
        return outer.fail(
            "do",
            Fault::Missing {
                wanted: "what is done, such as {\"pump\": \"ejector\", \"run\": true}",
            },
        );
    };
    let f = Fields::of(
        inner,
        &outer.path("do"),
        line,
        "an object such as {\"pump\": \"ejector\", \"run\": true}",
    )?;
    let what = if f.map.contains_key("valve") {
        f.only(&["valve", "percent", "over"])?;
        let place = f.part("valve", "valve", &VALVES)?;
        Do::Valve { place, percent: f.need("percent", (0.0, 100.0), "%")?, over_s: f.over()? }
    } else if f.map.contains_key("pump") {
        f.only(&["pump", "run"])?;
        let place = f.name("pump", "pump", PUMPS.to_vec())?;
        match f.map.get("run") {
            Some(Value::Bool(run)) => Do::Pump { place, run: *run },
            Some(other) => {
                return f.fail("run", Fault::Kind { got: shown(other), wanted: "true or false" });
            }
            None => return f.fail("run", Fault::Missing { wanted: "true or false" }),
        }
    } else if f.map.contains_key("set") {
        set(&f)?
    } else if f.map.contains_key("sample") {
        f.only(&["sample"])?;
        f.name("sample", "way to try a sample", vec![HAND_METER])?;
        Do::Sample
    } else if f.map.contains_key("answer") {
        f.only(&["answer"])?;
        let known = matter::causes().iter().map(|cause| cause.name).collect();
        Do::Answer { cause: f.name("answer", "cause", known)? }
    } else if f.map.contains_key("fault") {
        f.only(&["fault", "amount", "over"])?;
        let place = f.part("fault", "trouble", &FAULTS)?;
        let part = &FAULTS[place];
        let amount = f.need("amount", (part.low, part.high), part.unit)?;
        Do::Fault { place, amount, over_s: f.over()?.unwrap_or(0.0) }
    } else {
        let known = vec!["valve", "pump", "set", "fault", "sample", "answer"];
        let got = f.map.keys().next().cloned().unwrap_or_default();
        let near = parts::find(known.iter().copied(), &got).err().flatten();
        return outer.fail("do", Fault::Name { what: "kind of action", got, near, known });
    };
    Ok(Action { time_s, what })
}

fn set(f: &Fields<'_>) -> Result<Do, ScenarioError> {
    f.only(&["set", "to", "over"])?;
    let figures = SETS.iter().map(|part| part.name);
    let words = SWITCHES.iter().map(|(name, _)| *name);
    let place = f.name("set", "setting", figures.chain(words).collect())?;
    if let Some(part) = SETS.get(place) {
        let value = f.need("to", (part.low, part.high), part.unit)?;
        return Ok(Do::Set { place, value, over_s: f.over()?.unwrap_or(0.0) });
    }
    let place = place - SETS.len();
    let word = f.name("to", "position", SWITCHES[place].1.to_vec())?;
    if f.map.contains_key("over") {
        return f.fail("over", Fault::Decided { key: "over".into(), by: "a switch turns at once" });
    }
    Ok(Do::Switch { place, word })
}

pub(crate) fn list(
    value: &Value,
    field: &str,
    lines: &[usize],
) -> Result<Vec<Action>, ScenarioError> {
    let Value::Array(entries) = value else {
        return Err(wrong(
            0,
            field,
            Fault::Kind {
                got: shown(value),
                wanted: "a list of actions [{\"t\": …, \"do\": {…}}, …]",
            },
        ));
    };
    let mut actions: Vec<Action> = Vec::with_capacity(entries.len());
    for (i, entry) in entries.iter().enumerate() {
        let line = lines.get(i).copied().unwrap_or(0);
        let one = action(entry, &format!("{field}[{i}]"), line)?;
        if let Some(above) = actions.last()
            && one.time_s < above.time_s
        {
            let fault = Fault::Back { got_s: one.time_s, after_s: above.time_s };
            return Err(wrong(line, format!("{field}[{i}].t"), fault));
        }
        actions.push(one);
    }
    Ok(actions)
}

pub(crate) fn text(source: &str) -> Result<Value, ScenarioError> {
    let source = source.strip_prefix('\u{feff}').unwrap_or(source);
    serde_json::from_str(source)
        .map_err(|e| wrong(e.line(), "", Fault::Text { says: format!("{e}") }))
}

/// Reads one thing done, such as `{"valve": "feed", "percent": 40}`, at a time, s.
///
/// # Errors
/// What cannot be taken, what is allowed and the nearest known name.
pub fn read_action(time_s: f64, what: &Value) -> Result<Action, ScenarioError> {
    action(&serde_json::json!({ "t": time_s, "do": what }), "", 0)
}

/// Reads a list of actions.
///
/// # Errors
/// The first entry that cannot be taken, with its line, what is allowed and the nearest known name.
pub fn read_actions(source: &str) -> Result<Vec<Action>, ScenarioError> {
    list(&text(source)?, "actions", &lines::of_elements(source, None))
}

/// Names of the scenarios in a text that holds a list of them; empty when it holds one scenario.
///
/// # Errors
/// Text that is not JSON.
pub fn names(source: &str) -> Result<Vec<String>, ScenarioError> {
    let Value::Array(all) = text(source)? else { return Ok(Vec::new()) };
    let name = |(i, one): (usize, &Value)| {
        one.get("name").and_then(Value::as_str).map_or_else(|| format!("{}", i + 1), str::to_owned)
    };
    Ok(all.iter().enumerate().map(name).collect())
}
