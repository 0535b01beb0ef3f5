//! A scenario as it is written: how a run begins, what is around it, what is done when, and until when.

use std::sync::Arc;

use plant::{Point, Value as Given};
use serde_json::Value;

use crate::action::Action;
use crate::begin::Begin;
use crate::error::{Fault, ScenarioError};
use crate::lines;
use crate::model::Model;
use crate::parts::{
    F_AIR, F_BACK, F_CONDENSER, F_DEMISTER, F_FOULING, F_NOZZLE, FAULTS, Part, S_BAROMETER, S_LOAD,
    S_ROOM, S_SALT, S_SEA, SETS,
};
use crate::run::{Run, TOLERANCE};
use crate::state::SCALE;
use crate::written::{Fields, LONGEST_S, list, names, shown, text, wrong};

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
    /// Something around it is its own, not what runs are exchanged with.
    own: bool,
    /// What is done, in order of time.
    pub actions: Vec<Action>,
    /// When it ends, s.
    pub until_s: f64,
    /// A running plant is brought to rest before the clock begins.
    at_rest: bool,
    /// Its dosing is on while it comes to rest, and after.
    dosed: bool,
    /// The plant's own board stays dead once its power has gone: an emergency generator feeds the jacket pump only.
    dark: bool,
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
        let own = around != Around::usual(model);
        let (at_rest, dosed, dark) = (false, false, false);
        Ok(Scenario { name, begin, around, own, actions, until_s, at_rest, dosed, dark })
    }

    /// The same, with a running plant brought to rest, its dosing on, before the clock begins.
    #[must_use]
    pub fn at_rest(self) -> Self {
        Scenario { at_rest: true, dosed: true, ..self }
    }

    /// The same, a running plant brought to rest in its own line-up where anything around it is its own; without, it is the one that runs
    /// are exchanged with, which begins near its rest and not at it.
    #[must_use]
    pub fn settled(self) -> Self {
        Scenario { at_rest: self.own, ..self }
    }

    /// The same, with no power on the plant's own board again once it has gone.
    pub(crate) fn dark(self, dark: bool) -> Self {
        Scenario { dark, ..self }
    }

    /// Whether the plant's own board stays dead once its power has gone.
    pub(crate) fn is_dark(&self) -> bool {
        self.dark
    }

    /// Takes the scale off that it begins with.
    pub(crate) fn forget_scale(&mut self) {
        self.around.point.scale_m2k_w = 0.0;
    }

    /// Whether a running plant is still coming to rest at the beginning: one that begins where runs are exchanged begins near it.
    #[must_use]
    pub fn comes_to_rest(&self) -> bool {
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
            run.come_to_rest(REST_S, self.dosed);
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
