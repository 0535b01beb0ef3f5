//! A scenario as it is written: how a run begins, what is around it, what is done when, and until when.

use std::sync::Arc;

use plant::{Point, Value as Given};
use serde_json::{Map, Value};

use crate::action::{Action, Do};
use crate::begin::Begin;
use crate::error::{Fault, ScenarioError};
use crate::lines;
use crate::model::Model;
use crate::parts::{
    self, F_AIR, F_BACK, F_CONDENSER, F_DEMISTER, F_FOULING, F_NOZZLE, FAULTS, PUMPS, Part,
    S_BAROMETER, S_LOAD, S_ROOM, S_SALT, S_SEA, SETS, SWITCHES, VALVES,
};
use crate::run::{Run, TOLERANCE};
use crate::state::SCALE;

/// Longest run, s: thirty days.
const LONGEST_S: f64 = 30.0 * 86_400.0;

/// Time in which a running plant comes to rest, s.
const REST_S: f64 = 2.0 * 3600.0;

/// What is around the plant when a run begins.
#[derive(Debug, Clone, PartialEq)]
pub struct Around {
    /// Point of the steady plant whose surroundings and troubles are taken over.
    point: Point,
    load: f64,
    set_point_c: f64,
}

/// A scenario that has been read and checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    /// Its name, when it has one.
    pub name: Option<String>,
    /// How it begins.
    pub begin: Begin,
    around: Around,
    /// What is done, in order of time.
    pub actions: Vec<Action>,
    /// When it ends, s.
    pub until_s: f64,
    /// A running plant is brought to rest before the clock begins.
    at_rest: bool,
}

fn wrong(line: usize, field: impl Into<String>, fault: Fault) -> ScenarioError {
    ScenarioError { line, field: field.into(), fault }
}

fn shown(value: &Value) -> String {
    let text = value.to_string();
    if text.chars().count() > 40 {
        format!("{}…", text.chars().take(40).collect::<String>())
    } else {
        text
    }
}

/// One object with the place it stands at, for telling what is wrong in it.
struct Fields<'a> {
    map: &'a Map<String, Value>,
    field: String,
    line: usize,
}

impl<'a> Fields<'a> {
    fn of(
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

    fn path(&self, key: &str) -> String {
        if self.field.is_empty() { key.to_owned() } else { format!("{}.{key}", self.field) }
    }

    fn fail<T>(&self, key: &str, fault: Fault) -> Result<T, ScenarioError> {
        Err(wrong(self.line, self.path(key), fault))
    }

    fn only(&self, known: &[&'static str]) -> Result<(), ScenarioError> {
        for key in self.map.keys() {
            if let Err(near) = parts::find(known.iter().copied(), key) {
                let fault =
                    Fault::Name { what: "field", got: key.clone(), near, known: known.to_vec() };
                return self.fail(key, fault);
            }
        }
        Ok(())
    }

    fn number(
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

    fn need(&self, key: &str, range: (f64, f64), unit: &'static str) -> Result<f64, ScenarioError> {
        match self.number(key, range, unit)? {
            Some(x) => Ok(x),
            None => self.fail(key, Fault::Missing { wanted: "a number" }),
        }
    }

    fn part(
        &self,
        key: &str,
        what: &'static str,
        list: &'static [Part],
    ) -> Result<usize, ScenarioError> {
        self.name(key, what, list.iter().map(|part| part.name).collect())
    }

    fn name(
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

    fn over(&self) -> Result<Option<f64>, ScenarioError> {
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
    } else if f.map.contains_key("fault") {
        f.only(&["fault", "amount", "over"])?;
        let place = f.part("fault", "trouble", &FAULTS)?;
        let part = &FAULTS[place];
        let amount = f.need("amount", (part.low, part.high), part.unit)?;
        Do::Fault { place, amount, over_s: f.over()?.unwrap_or(0.0) }
    } else {
        let known = vec!["valve", "pump", "set", "fault"];
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

fn list(value: &Value, field: &str, lines: &[usize]) -> Result<Vec<Action>, ScenarioError> {
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

fn text(source: &str) -> Result<Value, ScenarioError> {
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

/// Keys of the steady plant's point that are decided by something else here, and by what.
const DECIDED: [(&str, &str); 10] = [
    ("jacket_flow_kg_s", "the jacket valves decide it; use actions"),
    ("condenser_flow_kg_s", "the condenser cooling valve decides it; use actions"),
    ("ejector_pressure_bar_g", "pump and valves decide it; use actions or the fault \"pump wear\""),
    ("air_bleed_kg_h", "the air screw decides it; use actions"),
    ("feed_ratio", "the feed valve decides it; use actions"),
    ("feed_flow_kg_s", "the feed valve decides it; use actions"),
    ("motive_temp_c", "it follows the sea"),
    ("heat_short", "the thermostat decides it"),
    ("trimmed", "hands decide it; use actions"),
    ("jacket_flow", "the jacket valves decide it; use actions"),
];

impl Around {
    /// The demonstration's: the sheet's rated point, engine at 85 %.
    fn usual(model: &Model) -> Self {
        let sheet = model.plant.sheet();
        let point = Point::rated(sheet);
        Around { load: SETS[S_LOAD].usual, set_point_c: sheet.rated_jacket_in_c, point }
    }

    fn read(model: &Model, value: &Value) -> Result<Self, ScenarioError> {
        let mut around = Self::usual(model);
        let f = Fields::of(
            value,
            "at",
            0,
            "an object of the steady plant's keys, such as {\"sea_temp_c\": 18}",
        )?;
        for (key, value) in f.map {
            if let Some((_, by)) = DECIDED.iter().find(|(decided, _)| decided == key) {
                return f.fail(key, Fault::Decided { key: key.clone(), by });
            }
            let given = match value.as_f64() {
                Some(x) => Given::Number(x),
                None => return f.fail(key, Fault::Kind { got: shown(value), wanted: "a number" }),
            };
            around
                .point
                .set(key, &given)
                .map_err(|e| wrong(0, f.path(key), Fault::Plant { says: e.to_string() }))?;
            // the run's own ranges are narrower than the steady plant's here and there
            let range = |part: &Part| f.number(key, (part.low, part.high), part.unit).map(|_| ());
            match key.as_str() {
                "sea_temp_c" => range(&SETS[S_SEA])?,
                "sea_salinity_g_kg" => range(&SETS[S_SALT])?,
                "room_temp_c" => range(&SETS[S_ROOM])?,
                "air_leak_kg_h" => range(&FAULTS[F_AIR])?,
                "condenser_leak_kg_h" => range(&FAULTS[F_CONDENSER])?,
                "ejector_factor" => range(&FAULTS[F_NOZZLE])?,
                "engine_load" => {
                    around.load = f.need(key, (SETS[S_LOAD].low, SETS[S_LOAD].high), "%")?;
                }
                "jacket_in_c" => around.set_point_c = f.need(key, (50.0, 100.0), "degC")?,
                _ => {}
            }
        }
        Ok(around)
    }
}

impl Scenario {
    /// Reads a scenario; `name` chooses one where the text holds a list of them.
    ///
    /// # Errors
    /// The first thing in it that cannot be taken: where it stands, what was read, what is allowed, the nearest known name.
    pub fn read(model: &Model, source: &str, name: Option<&str>) -> Result<Self, ScenarioError> {
        let whole = text(source)?;
        let (value, lines) = match &whole {
            Value::Array(all) => {
                let known = names(source)?;
                let listed = || format!("one of {}", known.join(", "));
                let place = match name {
                    Some(name) => known.iter().position(|one| one == name),
                    None if all.len() == 1 => Some(0),
                    None => None,
                };
                match place.and_then(|place| all.get(place)) {
                    Some(one) => (one, Vec::new()),
                    None => {
                        let says =
                            format!("the file holds {} scenarios; name {}", all.len(), listed());
                        return Err(wrong(0, "name", Fault::Plant { says }));
                    }
                }
            }
            one => (one, lines::of_elements(source, Some("actions"))),
        };
        let f = Fields::of(
            value,
            "",
            0,
            "an object {\"begin\": …, \"at\": {…}, \"actions\": […], \"until\": s}",
        )?;
        f.only(&["name", "begin", "at", "actions", "until"])?;
        let begin = match f.map.get("begin") {
            None => return f.fail("begin", Fault::Missing { wanted: "\"cold\" or \"running\"" }),
            Some(_) => match f.name("begin", "beginning", vec!["cold", "running"])? {
                0 => Begin::Cold,
                _ => Begin::Running,
            },
        };
        let around = f
            .map
            .get("at")
            .map_or_else(|| Ok(Around::usual(model)), |at| Around::read(model, at))?;
        let actions = f
            .map
            .get("actions")
            .map_or_else(|| Ok(Vec::new()), |all| list(all, "actions", &lines))?;
        let until_s = f.need("until", (1.0, LONGEST_S), "s")?;
        let name = f.map.get("name").and_then(Value::as_str).map(str::to_owned);
        Ok(Scenario { name, begin, around, actions, until_s, at_rest: false })
    }

    /// The same, with a running plant brought to rest, its dosing on, before the clock begins.
    #[must_use]
    pub fn at_rest(self) -> Self {
        Scenario { at_rest: true, ..self }
    }

    /// Whether the plant is still coming to rest at the beginning.
    pub(crate) fn comes_to_rest(&self) -> bool {
        self.begin == Begin::Running && !self.at_rest
    }

    /// Puts more actions between its own, in order of time; at one moment its own come first.
    pub fn add(&mut self, actions: &[Action]) {
        self.actions.extend_from_slice(actions);
        self.actions.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    }

    /// The run at its beginning, everything that is to be done left to be done.
    #[must_use]
    pub fn start(&self, model: &Arc<Model>) -> Run {
        self.start_to(model, TOLERANCE)
    }

    /// The same with a tolerated relative error of a step of its own.
    #[must_use]
    pub fn start_to(&self, model: &Arc<Model>, tolerance: f64) -> Run {
        let around = &self.around;
        let point = &around.point;
        let back =
            (point.back_pressure_bar_g - model.plant.sheet().rated_back_pressure_bar_g) * 1.0e5;
        let mut run = Run::begin(
            Arc::clone(model),
            self.begin,
            around.set_point_c,
            |controls| {
                controls.put_set(S_LOAD, around.load);
                controls.put_set(S_SEA, point.sea_temp_c);
                controls.put_set(S_SALT, point.sea_salinity_g_kg);
                controls.put_set(S_BAROMETER, point.barometer_hpa * 100.0);
                controls.put_set(S_ROOM, point.room_temp_c.unwrap_or(SETS[S_ROOM].usual));
                controls.put_fault(F_AIR, point.air_leak_kg_h);
                controls.put_fault(F_CONDENSER, point.condenser_leak_kg_h);
                controls.put_fault(F_FOULING, point.condenser_fouling_m2k_w);
                controls.put_fault(F_DEMISTER, point.demister_factor);
                controls.put_fault(F_NOZZLE, point.ejector_factor);
                controls.put_fault(F_BACK, back);
            },
            tolerance,
        );
        if point.scale_m2k_w > 0.0 {
            run.put(SCALE, point.scale_m2k_w);
        }
        if self.at_rest && self.begin == Begin::Running {
            run.come_to_rest(REST_S);
        }
        let mut actions = self.actions.clone();
        // those at one moment are done in the order they stand
        actions.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        run.plan(&actions);
        run
    }

    /// Times at which a trace has a row, s: every minute, every moment something is done, and the end.
    #[must_use]
    pub fn row_times(&self) -> Vec<f64> {
        let mut times: Vec<f64> = (1..)
            .map(|minute| 60.0 * f64::from(minute))
            .take_while(|t| *t <= self.until_s)
            .collect();
        times.extend(
            self.actions
                .iter()
                .map(|action| action.time_s)
                .filter(|t| *t > 0.0 && *t <= self.until_s),
        );
        times.push(self.until_s);
        times.sort_by(f64::total_cmp);
        times.dedup();
        times
    }
}
