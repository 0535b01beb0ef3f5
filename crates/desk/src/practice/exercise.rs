//! What is practised: one of the drills, or a start or a watch of one's own with the sea and the troubles one likes.

use std::sync::Arc;

use jiff::SignedDuration;
use jiff::Timestamp;
use serde_json::{Value, json};
use transient::{
    Aim, Begin, COLDEST_START_C, Drill, Foretold, Live, Model, Outside, Parameters, Scenario,
    Trouble, drawn,
};

use crate::desk::{Desk, DeskError};
use crate::history;
use crate::procedures::aboard;
use crate::setup::Setup;
use crate::typed::digits;

use super::doing::{clock, plain_number};
use super::panel::Look;
use super::room::{Following, Pace, Planted, Play, Room};

/// Longest exercise of one's own, s.
const LONGEST_S: f64 = 8.0 * 3600.0;
/// A trouble drawn by chance comes between these, s.
const DRAWN_S: (f64, f64) = (900.0, 5400.0);
/// An exercise with one ends then, s.
const DRAWN_END_S: f64 = 9000.0;
/// Rounds looked at for what the sea and the engine are now.
const LATELY: SignedDuration = SignedDuration::from_hours(26);

/// What somebody wants to practise, as typed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Wish {
    /// Key of a drill; empty for an exercise of one's own.
    pub drill: String,
    /// "cold" or "running".
    pub begin: String,
    /// Sea water, °C.
    pub sea_temp: String,
    /// Engine load, %.
    pub load: String,
    /// Barometer, hPa.
    pub barometer: String,
    /// Trouble: empty for none, the name of one, or "hidden" for one drawn by the seed.
    pub trouble: String,
    /// Number the hidden trouble is drawn by.
    pub seed: String,
}

/// What is not taken of a wish: the field and why.
pub type NotTaken = Vec<(&'static str, String)>;

/// Why no exercise was begun.
#[derive(Debug)]
pub enum BeginError {
    /// Fields that are not taken.
    Typed(NotTaken),
    /// Something else.
    Desk(DeskError),
}

impl From<DeskError> for BeginError {
    fn from(e: DeskError) -> Self {
        BeginError::Desk(e)
    }
}

/// What the sea and the engine are now, for the boxes.
#[derive(Debug, Clone, PartialEq)]
pub struct AsNow {
    /// Sea water, °C.
    pub sea_temp_c: f64,
    /// Engine load, %.
    pub load_percent: f64,
    /// Barometer, hPa.
    pub barometer_hpa: f64,
    /// It is from the record, not usual figures.
    pub read: bool,
}

impl Desk {
    /// What the newest rounds say of sea, engine and barometer.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn as_now(&self, now: Timestamp) -> Result<AsNow, DeskError> {
        let from = now.checked_sub(LATELY).unwrap_or(Timestamp::MIN);
        let rounds = history::between(&self.reader(), Some(from), now, 100)?;
        let newest = |key: &str| rounds.iter().rev().find_map(|round| round.value(key));
        let sheet = &self.setup().ship.sheet;
        Ok(AsNow {
            sea_temp_c: newest("sea_temp_c").unwrap_or(sheet.rated_sea_temp_c),
            load_percent: newest("engine_load_percent").unwrap_or(85.0),
            barometer_hpa: newest("barometer_hpa").unwrap_or(1013.0),
            read: newest("sea_temp_c").is_some(),
        })
    }
}

/// The plant of the ship made ready to be run.
pub(super) fn model(setup: &Setup) -> Arc<Model> {
    Arc::new(Model::new(setup.plant.clone(), Parameters::default()))
}

/// A number of a box within its range.
fn number(
    wrong: &mut NotTaken,
    field: &'static str,
    text: &str,
    (low, high): (f64, f64),
    unit: &str,
) -> f64 {
    match plain_number(text) {
        Some(x) if x >= low && x <= high => return x,
        Some(_) => wrong.push((
            field,
            format!("“{}” {unit} cannot be here: type {low} to {high} {unit}.", text.trim()),
        )),
        None if text.trim().is_empty() => {
            wrong.push((field, format!("Type a number, {low} to {high} {unit}.")));
        }
        None => wrong.push((
            field,
            format!("“{}” is not a number: type {low} to {high} {unit}.", text.trim()),
        )),
    }
    low
}

/// A new run as it was wished for.
pub(super) fn room(
    desk: &Desk,
    id: u64,
    wish: &Wish,
    steady: std::time::Duration,
) -> Result<Room, BeginError> {
    let setup = desk.setup();
    let model = model(&setup);
    let (title, story, drill, scenario, planted) = match wish.drill.as_str() {
        "" => own(&model, wish, set_point_c(&setup))?,
        key => {
            let all = Drill::all_beside(&model, set_point_c(&setup))
                .map_err(|e| DeskError::Asked(e.to_string()))?;
            let none = || DeskError::Asked(format!("“{key}”: there is no such exercise"));
            let drill = all.into_iter().find(|drill| drill.key == key).ok_or_else(none)?;
            let title = drill.title.clone();
            let story = match drill.aim {
                Aim::Water => format!(
                    "{} What counts most is water in limit in the tank by {}.",
                    drill.story,
                    clock(drill.scenario.until_s)
                ),
                _ => drill.story.clone(),
            };
            let scenario = drill.scenario.clone();
            (title, story, Some(drill), scenario, Vec::new())
        }
    };
    let live = Live::begin(&model, &scenario);
    let point = live.run().as_point();
    let foretold = Foretold::of(
        &model,
        &Outside {
            sea_temp_c: point.sea_temp_c,
            engine_load_percent: live.run().stands().set("engine load").unwrap_or(85.0),
            barometer_hpa: point.barometer_hpa,
        },
    );
    let list = list_for(drill.as_ref().map(|drill| drill.key.as_str()), &scenario);
    // Nothing changed before the run: what the gauges show at its beginning they showed for hours.
    let first = Look::at(&live);
    let looks = [-5400.0, -2700.0, -1800.0, 0.0].map(|at_s| first.moved(at_s)).to_vec();
    let following = aboard(desk.folder(), list).ok().map(|kept| Following {
        key: kept.key,
        procedure: Arc::new(kept.procedure),
        acts: super::list::begun(&kept.version, list),
    });
    let mut room = Room {
        id,
        title,
        story,
        drill,
        scenario,
        model,
        setup,
        play: Play {
            live,
            looks,
            followed: Vec::new(),
            following,
            notes: Vec::new(),
            untrue: Vec::new(),
        },
        marks: Vec::new(),
        pace: Pace::Hold,
        seen: steady,
        hands: None,
        planted,
        backs: 0,
        ended: false,
        asked: false,
        told: false,
        away: false,
        broke: false,
        foretold: foretold.ok(),
    };
    room.mark();
    Ok(room)
}

/// The list that goes with an exercise.
fn list_for(drill: Option<&str>, scenario: &Scenario) -> &'static str {
    match drill {
        // A list that names what is to come would give it away.
        Some("arrival") => "stop",
        _ if scenario.begin == Begin::Cold => "start",
        _ => "round",
    }
}

/// Temperature the engine's jacket is held at, °C: the ship's own setting, else the plant sheet's.
#[must_use]
pub fn set_point_c(setup: &Setup) -> f64 {
    let own = setup.ship.settings.engine_jacket_out_c;
    let sheet = setup.ship.sheet.rated_jacket_in_c;
    if (50.0..=100.0).contains(&own) { own } else { sheet }
}

/// So far under its set point the engine's jacket may stand beside a plant that runs, K: what costs no points.
const ROBBED_K: f64 = 2.0;

/// The least load, to 5 %, at which the engine bears a plant that runs, where that of `at` is less; none where it bears her.
fn too_little_heat(
    model: &Arc<Model>,
    at: &Value,
    set_point_c: f64,
) -> Result<Option<f64>, DeskError> {
    let bears = |at: &Value| {
        let text = json!({ "begin": "running", "at": at, "until": 60, "actions": [] }).to_string();
        let read = Scenario::read(model, &text, None);
        let scenario = read.map_err(|e| DeskError::Asked(e.to_string()))?.at_rest();
        let row = Live::begin(model, &scenario).row();
        Ok::<_, DeskError>(set_point_c - row.engine_outlet_c <= ROBBED_K)
    };
    if bears(at)? {
        return Ok(None);
    }
    for percent in (5..=110).step_by(5).map(f64::from) {
        let mut with = at.clone();
        with["engine_load"] = percent.into();
        if with["engine_load"].as_f64() > at["engine_load"].as_f64() && bears(&with)? {
            return Ok(Some(percent));
        }
    }
    Ok(Some(110.0))
}

type Wished = (String, String, Option<Drill>, Scenario, Vec<Planted>);

/// An exercise of one's own.
fn own(model: &Arc<Model>, wish: &Wish, set_point_c: f64) -> Result<Wished, BeginError> {
    let mut wrong = NotTaken::new();
    let sea = number(&mut wrong, "sea_temp", &wish.sea_temp, (-2.0, 36.0), "°C");
    let load = number(&mut wrong, "load", &wish.load, (0.0, 110.0), "%");
    let barometer = number(&mut wrong, "barometer", &wish.barometer, (900.0, 1080.0), "hPa");
    let planted = match wish.trouble.as_str() {
        "" => Vec::new(),
        "hidden" => {
            let seed = wish.seed.trim().parse::<u64>().unwrap_or_else(|_| {
                wrong.push(("seed", format!("“{}” is not a whole number.", wish.seed.trim())));
                0
            });
            let (trouble, at_s) = drawn(seed, DRAWN_S.0, DRAWN_S.1);
            vec![Planted { at_s, trouble: *trouble, mended: false, hidden: true }]
        }
        name => match Trouble::named(name) {
            Some(trouble) => {
                vec![Planted { at_s: 1.0, trouble: *trouble, mended: false, hidden: false }]
            }
            None => {
                wrong.push(("trouble", format!("“{name}” is no trouble that can be set.")));
                Vec::new()
            }
        },
    };
    let begin = match wish.begin.as_str() {
        begin @ ("cold" | "running") => begin,
        other => {
            wrong.push(("begin", format!("“{other}”: choose cold or running.")));
            "cold"
        }
    };
    let told = wrong.iter().any(|(field, _)| *field == "sea_temp");
    if wish.begin == "cold" && !told && sea < COLDEST_START_C {
        let says = format!(
            "In a sea under {COLDEST_START_C} °C a cold shell is not modelled well enough to practise on: type at least {COLDEST_START_C} °C, or let her run."
        );
        wrong.push(("sea_temp", says));
    }
    if !wrong.is_empty() {
        return Err(BeginError::Typed(wrong));
    }
    let at: Value = json!({
        "sea_temp_c": sea, "engine_load": load, "barometer_hpa": barometer, "jacket_in_c": set_point_c,
    });
    let hidden = wish.trouble == "hidden";
    let until_s = if hidden { DRAWN_END_S } else { LONGEST_S };
    let text = json!({ "begin": begin, "at": at, "until": until_s, "actions": [] }).to_string();
    let scenario =
        Scenario::read(model, &text, None).map_err(|e| DeskError::Asked(e.to_string()))?.at_rest();
    if begin == "running"
        && let Some(least) = too_little_heat(model, &at, set_point_c)?
    {
        let says = format!(
            "At {load} % the engine has not heat enough to run her in this sea: type at least about {least} %, or let her be cold."
        );
        return Err(BeginError::Typed(vec![("load", says)]));
    }
    let title = match (begin, wish.trouble.as_str()) {
        ("cold", "") => "A cold start of your own",
        ("cold", "hidden") => "A cold start, one hidden trouble",
        ("cold", _) => "A cold start with a trouble",
        (_, "") => "A watch of your own",
        (_, "hidden") => "A watch, one hidden trouble",
        _ => "A watch with a trouble",
    };
    let stands = if begin == "cold" { "The plant is cold" } else { "She runs" };
    let first = Live::begin(model, &scenario);
    let salt = begin == "running" && first.row().product_salt_mg_kg > first.run().limit_mg_kg();
    let story = format!(
        "{stands}; the sea is at {} °C, the engine at {load} %, the barometer at {barometer} hPa.{}{}",
        digits(sea, 1),
        if hidden {
            format!(
                " One trouble comes between {} and {} by the run’s clock, and nobody says which; the exercise ends at {}.",
                clock(DRAWN_S.0),
                clock(DRAWN_S.1),
                clock(DRAWN_END_S)
            )
        } else {
            String::new()
        },
        if salt { " Her water is over the limit, and she dumps it." } else { "" }
    );
    Ok((title.to_owned(), story, None, scenario, planted))
}
