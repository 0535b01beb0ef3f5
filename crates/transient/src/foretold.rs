//! How long a start and a stop take on this plant, in this sea, by good hands; and what they do to the engine.

use std::sync::Arc;

use serde_json::json;

use crate::action::{Action, Do};
use crate::drill;
use crate::error::{ScenarioError, Stopped};
use crate::model::Model;
use crate::parts::{P_EJECTOR, V_BYPASS, V_IN};
use crate::record::Record;
use crate::scenario::Scenario;

/// A start is followed so long, s.
const START_S: f64 = 3.0 * 3600.0;
/// A stop is followed so long, s.
const STOP_S: f64 = 2.0 * 3600.0;
/// Heater under which its plates are cold, °C (common practice).
const COLD_C: f64 = 50.0;

/// What is around the plant when it is started or stopped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outside {
    /// Sea water, °C, −2 to 40.
    pub sea_temp_c: f64,
    /// Engine load, %, 0 to 110.
    pub engine_load_percent: f64,
    /// Barometer, hPa, 850 to 1100.
    pub barometer_hpa: f64,
}

/// What is foretold of a start and a stop; a time is left out where it does not come within three and two hours.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Foretold {
    /// From the ejector pump's start to 90 % vacuum, s.
    pub vacuum_s: Option<f64>,
    /// From the first heat to boiling, s.
    pub boiling_s: Option<f64>,
    /// From the first heat to a salinity in limit, s.
    pub water_s: Option<f64>,
    /// From lining up to a salinity in limit, s.
    pub start_s: Option<f64>,
    /// From the first step of taking the heat off to plates under 50 °C, s.
    pub cold_s: Option<f64>,
    /// From the first step of taking the heat off to the plant shut down, s: cold, and the last valve shut.
    pub secured_s: Option<f64>,
    /// How far the engine's jacket falls under its set point in the start, K.
    pub start_dip_k: f64,
    /// How far it rises over it in the stop, K.
    pub stop_rise_k: f64,
}

/// Why nothing can be foretold.
#[derive(Debug, Clone, PartialEq)]
pub enum NotForetold {
    /// What is around the plant cannot be.
    Outside(ScenarioError),
    /// The equations could not be carried on.
    Stopped(Stopped),
}

impl std::fmt::Display for NotForetold {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Outside(e) => e.fmt(f),
            Self::Stopped(e) => e.fmt(f),
        }
    }
}

impl std::error::Error for NotForetold {}

impl From<ScenarioError> for NotForetold {
    fn from(e: ScenarioError) -> Self {
        Self::Outside(e)
    }
}

impl From<Stopped> for NotForetold {
    fn from(e: Stopped) -> Self {
        Self::Stopped(e)
    }
}

/// Coldest sea beside which a cold shell is held, °C: beside a colder one what the warm heater evaporates into a shell full of air sweeps
/// that air to the vent, which it does not on a ship.
pub const COLDEST_START_C: f64 = 3.0;

impl Foretold {
    /// Runs a start and a stop by the hands of the reference runs.
    ///
    /// # Errors
    /// A figure outside its range, or equations that could not be carried on.
    pub fn of(model: &Arc<Model>, outside: &Outside) -> Result<Self, NotForetold> {
        let start = run(model, outside, "cold", "start", START_S)?;
        let (record, hands) = &start;
        let pump_s = first(hands, |what| matches!(what, Do::Pump { place: P_EJECTOR, run: true }));
        let heat_s = first(
            hands,
            |what| matches!(what, Do::Valve { place: V_IN, percent, .. } if *percent > 0.0),
        );
        let at = |says: &str, from_s: f64| {
            let after =
                |event: &&crate::record::Event| event.says == says && event.time_s >= from_s;
            record.events.iter().find(after).map(|event| event.time_s)
        };
        let vacuum = at("90 % vacuum reached", pump_s);
        let boiling = at("boiling", heat_s);
        let water = boiling.and_then(|boiling| {
            // A reading that never passed the limit was in it all the time.
            match at("reading over the limit", 0.0) {
                Some(_) => at("reading under the limit", boiling),
                None => Some(boiling),
            }
        });
        let (stop, hands) = run(model, outside, "running", "stop", STOP_S)?;
        let off_s = first(&hands, |what| matches!(what, Do::Valve { place: V_BYPASS, .. }));
        let cold = stop.rows.windows(2).find_map(|pair| {
            let (before, after) = (pair[0].heater_body_c, pair[1].heater_body_c);
            (before > COLD_C && after <= COLD_C).then(|| {
                let share = (before - COLD_C) / (before - after);
                pair[0].time_s + share * (pair[1].time_s - pair[0].time_s)
            })
        });
        let marked = |record: &Record, what: &str| {
            record.score.marks.iter().find(|mark| mark.what == what).map_or(0.0, |mark| mark.value)
        };
        Ok(Foretold {
            vacuum_s: vacuum.map(|s| s - pump_s),
            boiling_s: boiling.map(|s| s - heat_s),
            water_s: water.map(|s| s - heat_s),
            start_s: water,
            cold_s: cold.map(|s| (s - off_s).max(0.0)),
            // The hands of the list wait for the cold; what they do after it they do in any sea.
            secured_s: cold.map(|s| (s - off_s).max(0.0) + after_cold_s(&hands)),
            start_dip_k: marked(record, "engine jacket under its set point"),
            stop_rise_k: marked(&stop, "engine jacket over its set point"),
        })
    }
}

/// Time from the last wait of a stop, for the cold, to its last valve, s.
fn after_cold_s(hands: &[Action]) -> f64 {
    let waits = hands.windows(2).map(|pair| (pair[1].time_s - pair[0].time_s, pair[1].time_s));
    let after = waits.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(0.0, |(_, at_s)| at_s);
    hands.last().map_or(0.0, |last| last.time_s - after)
}

fn first(hands: &[Action], what: impl Fn(&Do) -> bool) -> f64 {
    hands.iter().find(|action| what(&action.what)).map_or(0.0, |action| action.time_s)
}

fn run(
    model: &Arc<Model>,
    outside: &Outside,
    begin: &str,
    hands: &str,
    until_s: f64,
) -> Result<(Record, Vec<Action>), NotForetold> {
    let hands = drill::hands(hands)?;
    let text = json!({
        "begin": begin,
        "until": until_s,
        "at": {
            // In a colder sea a start is told as in this one.
            "sea_temp_c": if begin == "cold" { outside.sea_temp_c.max(COLDEST_START_C) } else { outside.sea_temp_c },
            "engine_load": outside.engine_load_percent,
            "barometer_hpa": outside.barometer_hpa,
        },
    });
    let mut scenario = Scenario::read(model, &text.to_string(), None)?;
    scenario.add(&hands);
    Ok((Record::of(model, &scenario)?, hands))
}
