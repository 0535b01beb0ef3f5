//! "What is the matter?": the causes that can be named, when the gauges could show one first, and what an answer is worth.

use std::sync::Arc;

use serde::Serialize;

use crate::action::{Action, Do};
use crate::error::Stopped;
use crate::model::Model;
use crate::noted::Answered;
use crate::parts::FAULTS;
use crate::record::Record;
use crate::row::Row;
use crate::scenario::Scenario;
use crate::score::Mark;
use crate::trouble::Trouble;

/// A cause that can be named.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cause {
    /// Its name in a list of actions.
    pub name: &'static str,
    /// What it is called aboard.
    pub aboard: &'static str,
}

/// Causes beside the troubles that can be set.
const SCALE: Cause = Cause { name: "scale", aboard: "The heater's plates are scaled" };
const NOTHING: Cause = Cause { name: "nothing", aboard: "Nothing is the matter" };
const NOT_KNOWN: Cause = Cause { name: "not known", aboard: "I do not know" };

/// Every cause that can be named: the troubles, scale, nothing, and that one does not know.
#[must_use]
pub fn causes() -> Vec<Cause> {
    let troubles = Trouble::all().iter();
    let troubles = troubles.map(|trouble| Cause { name: trouble.name, aboard: trouble.aboard });
    troubles.chain([SCALE, NOTHING, NOT_KNOWN]).collect()
}

/// A cause by its place; none where there is no such place.
#[must_use]
pub fn cause(place: usize) -> Cause {
    causes().get(place).copied().unwrap_or(NOT_KNOWN)
}

/// The place of a cause by its name.
#[must_use]
pub fn cause_named(name: &str) -> Option<usize> {
    causes().iter().position(|cause| cause.name == name)
}

/// A trouble that nobody was told of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hidden {
    /// Place of what it was among [`causes`].
    pub cause: usize,
    /// When it came, s.
    pub came_s: f64,
    /// When a gauge could show it first, s, and which; none where none did.
    pub shown: Option<(f64, &'static str)>,
}

/// What was answered to one hidden trouble.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// What it was.
    pub what: &'static str,
    /// When it came, s.
    pub came_s: f64,
    /// When a gauge could show it first, s.
    pub shown_s: Option<f64>,
    /// Which.
    pub gauge: Option<&'static str>,
    /// When it was named, s, where that stood to the end.
    pub named_s: Option<f64>,
    /// What that was, in a few words.
    pub says: &'static str,
    /// Part of the points lost, 0 to 1.
    pub lost: f64,
    /// It counts: there was time to see it.
    pub counts: bool,
}

/// Points for naming what is the matter (ours).
const POINTS: f64 = 20.0;
/// Named within so long of its showing is in time, s (ours).
const TIMELY_S: f64 = 1200.0;
/// A trouble that shows less than this before the end is not counted, s (ours).
const SEEN_S: f64 = 300.0;

/// A gauge, what of its figure can be seen to have changed, and where it stands in a row.
type Gauge = (&'static str, f64, fn(&Row) -> f64);

/// Gauges a trouble may show at, each with the least change that is seen (ours).
const GAUGES: [Gauge; 14] = [
    ("the vacuum", 0.5, |row| row.vacuum_percent),
    ("the engine's jacket", 0.7, |row| row.engine_outlet_c),
    ("the jacket water into the heater", 0.7, |row| row.jacket_in_c),
    ("the jacket water out of the heater", 0.7, |row| row.jacket_out_c),
    ("the sea water out of the condenser", 0.7, |row| row.sea_out_c),
    ("the brine in the glass", 0.1, |row| row.brine_level),
    ("the feed", 0.05, |row| row.feed_kg_s),
    ("the nozzle", 0.1e5, |row| row.nozzle_pressure_pa),
    ("the distillate drawn off", 0.012, |row| row.drawn_kg_s),
    ("the salinometer", 1.5, |row| row.cell_reading_mg_kg.min(FULL_SCALE_MG_KG)),
    ("the diverting valve", 0.5, |row| row.diverting_valve),
    ("the distillate well", 5.0, |row| row.well_kg),
    ("the jacket's expansion tank", 2.0, |row| row.expansion_tank_kg),
    ("the thermostat", 0.05, |row| row.thermostat_valve),
];

/// Most the salinometer shows, mg/kg.
pub const FULL_SCALE_MG_KG: f64 = 100.0;

/// The first whole minute at which a gauge shows otherwise than it would without.
fn shown(with: &[Row], without: &[Row]) -> Option<(f64, &'static str)> {
    with.iter().find_map(|row| {
        let other = without.iter().find(|other| other.time_s == row.time_s)?;
        let (gauge, ..) =
            GAUGES.iter().find(|(_, seen, of)| (of(row) - of(other)).abs() >= *seen)?;
        Some((row.time_s, *gauge))
    })
}

/// What was hidden in a run of a scenario, each with when it could be seen: by the same run with the same hands without it. `among` are the
/// causes hidden, each with when it came; `planted` are troubles set besides, as they came and went.
///
/// # Errors
/// [`Stopped`] when the equations could not be carried on.
pub fn hidden(
    model: &Arc<Model>,
    scenario: &Scenario,
    among: &[(usize, f64)],
    planted: &[Action],
    hands: &[Action],
    rows: &[Row],
) -> Result<Vec<Hidden>, Stopped> {
    let until_s = rows.last().map_or(0.0, |row| row.time_s);
    let one = |&(place, came_s): &(usize, f64)| {
        if came_s > until_s || until_s < 1.0 {
            return Ok(Hidden { cause: place, came_s, shown: None });
        }
        let name = cause(place).name;
        let is_it =
            |what: &Do| matches!(*what, Do::Fault { place, .. } if FAULTS[place].name == name);
        let mut sound = scenario.clone();
        sound.until_s = until_s;
        sound.add(planted);
        sound.actions.retain(|action| !is_it(&action.what));
        if name == SCALE.name {
            sound.forget_scale();
        }
        sound.add(hands);
        let without = Record::of(model, &sound)?.rows;
        Ok(Hidden { cause: place, came_s, shown: shown(rows, &without) })
    };
    among.iter().map(one).collect()
}

/// What was answered, judged: the right first answer in time is worth all, late or second half, none nothing; what was taken back does not stand.
#[must_use]
pub fn judged(hidden: &[Hidden], answers: &[Answered], end_s: f64) -> Vec<Verdict> {
    let right = |answer: &Answered| hidden.iter().any(|one| one.cause == answer.cause);
    let knows = |answer: &Answered| cause(answer.cause) != NOT_KNOWN;
    hidden
        .iter()
        .map(|one| {
            let last_wrong = answers.iter().rposition(|answer| !right(answer));
            let after = last_wrong.map_or(0, |place| place + 1);
            let stands = answers[after..].iter().any(|answer| answer.cause == one.cause);
            let first = answers.iter().position(|answer| answer.cause == one.cause);
            let named_s = first.filter(|_| stands).map(|place| answers[place].at_s);
            let guessed = first.map_or(0, |place| {
                answers[..place].iter().filter(|a| knows(a) && !right(a)).count()
            });
            let late = named_s
                .zip(one.shown)
                .is_some_and(|(named_s, (shown_s, _))| named_s > shown_s + TIMELY_S);
            let (lost, says) = match (named_s, first) {
                (None, Some(_)) => (1.0, "named, and taken back"),
                (None, None) => (1.0, "not named"),
                (Some(_), _) if guessed > 0 => (0.5, "named, after another had been"),
                (Some(_), _) if late => (0.5, "named, late"),
                (Some(_), _) => (0.0, "named first and in time"),
            };
            let seen = one.shown.is_some_and(|(shown_s, _)| shown_s <= end_s - SEEN_S);
            Verdict {
                what: cause(one.cause).aboard,
                came_s: one.came_s,
                shown_s: one.shown.map(|(shown_s, _)| shown_s),
                gauge: one.shown.map(|(_, gauge)| gauge),
                named_s,
                says,
                lost,
                counts: seen || named_s.is_some(),
            }
        })
        .collect()
}

/// What the answers are worth, as one thing that counts.
#[must_use]
pub(crate) fn mark(verdicts: &[Verdict]) -> Mark {
    let counted: Vec<&Verdict> = verdicts.iter().filter(|verdict| verdict.counts).collect();
    let lost = counted.iter().map(|verdict| verdict.lost).sum::<f64>();
    let named = verdicts.iter().filter(|verdict| verdict.named_s.is_some()).count();
    let first_s = counted.iter().filter_map(|verdict| verdict.shown_s).reduce(f64::min);
    Mark {
        what: "what was the matter",
        value: named as f64,
        unit: "named",
        lost: if counted.is_empty() { 0.0 } else { POINTS * lost / counted.len() as f64 },
        at_s: first_s.filter(|_| lost > 0.0),
        why: "what is not found is not mended: named first and within twenty minutes of its showing is worth all, later or after another half",
    }
}
