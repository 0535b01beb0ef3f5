//! What a run cost, in physics: salt to the tank, scale, the engine's jacket, a pump run dry, brine where it should not be.

use serde::Serialize;

use crate::row::Row;
use crate::state::*;

/// One thing that counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Mark {
    /// What.
    pub what: &'static str,
    /// How much.
    pub value: f64,
    /// Unit of it.
    pub unit: &'static str,
    /// Points it cost, of 100.
    pub lost: f64,
    /// Why it matters.
    pub why: &'static str,
}

/// The whole of it. The points are ours: they rank runs of one scenario, nothing else.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Score {
    /// What is left of 100.
    pub points: f64,
    /// Each thing that counts.
    pub marks: Vec<Mark>,
    /// Water to the tank, kg.
    pub to_tank_kg: f64,
    /// Its salt, mg/kg.
    pub tank_salt_mg_kg: f64,
}

/// What is kept while a run goes on.
#[derive(Debug, Clone)]
pub(crate) struct Seen {
    set_point_c: f64,
    start: State,
    /// Before this the engine's jacket does not count, s.
    settling_s: f64,
    hottest_k: f64,
    coldest_k: f64,
    salted_s: f64,
    before: Row,
    limit_mg_kg: f64,
}

/// Salt in the well that counts as brine in it, mg/kg.
const SALTED_MG_KG: f64 = 3000.0;

/// Water to the tank from which on its salt counts in full, kg: what a valve lets by while it shuts is a splash.
const COUNTS_KG: f64 = 50.0;

/// So long a running plant that was not brought to rest first may come to it before the engine's jacket counts, s.
pub(crate) const SETTLING_S: f64 = 300.0;

/// Points for each unit of a figure over what costs nothing, at most so many.
fn lost(value: f64, free: f64, each: f64, most: f64) -> f64 {
    ((value - free).max(0.0) * each).min(most)
}

impl Seen {
    pub(crate) fn new(set_point_c: f64, first: &Row, start: &State, settling_s: f64) -> Self {
        Seen {
            set_point_c,
            start: *start,
            settling_s,
            hottest_k: 0.0,
            coldest_k: 0.0,
            salted_s: 0.0,
            before: *first,
            limit_mg_kg: 10.0,
        }
    }

    pub(crate) fn see(&mut self, row: &Row, limit_mg_kg: f64) {
        let off = row.engine_outlet_c - self.set_point_c;
        if row.time_s > self.settling_s {
            self.hottest_k = self.hottest_k.max(off);
            self.coldest_k = self.coldest_k.max(-off);
        }
        if row.product_salt_mg_kg > SALTED_MG_KG {
            self.salted_s += row.time_s - self.before.time_s;
        }
        self.before = *row;
        self.limit_mg_kg = limit_mg_kg;
    }

    pub(crate) fn score(&self, end: &State, rows: &[Row]) -> Score {
        let to_tank_kg = end[TANK] - self.start[TANK];
        let salt_kg = end[TANK_SALT] - self.start[TANK_SALT];
        let tank_salt_mg_kg = if to_tank_kg > 0.0 { 1.0e6 * salt_kg / to_tank_kg } else { 0.0 };
        let scale = (end[SCALE] - self.start[SCALE]) * 1.0e6;
        let dry_s = end[DRY_RUN] - self.start[DRY_RUN];
        let fastest = rows
            .windows(2)
            .filter(|pair| {
                pair[1].time_s - pair[0].time_s > 30.0 && pair[0].time_s >= self.settling_s
            })
            .map(|pair| {
                60.0 * (pair[1].engine_outlet_c - pair[0].engine_outlet_c).abs()
                    / (pair[1].time_s - pair[0].time_s)
            })
            .fold(0.0, f64::max);
        let marks = vec![
            Mark {
                what: "salt of the water to the tank",
                value: tank_salt_mg_kg,
                unit: "mg/kg",
                lost: lost(tank_salt_mg_kg, 0.5 * self.limit_mg_kg, 5.0, 30.0)
                    * (to_tank_kg / COUNTS_KG).clamp(0.0, 1.0),
                why: "nothing to a tank until its salinity is proven",
            },
            Mark {
                what: "scale laid down",
                value: scale,
                unit: "1e-6 m2K/W",
                lost: lost(scale, 0.5, 1.0, 30.0),
                why: "scale stays until acid takes it off; plates dry and hot lay down most",
            },
            Mark {
                what: "engine jacket under its set point",
                value: self.coldest_k,
                unit: "K",
                lost: lost(self.coldest_k, 2.0, 5.0, 35.0),
                why: "a cold slug chills the liners and may slow the engine down",
            },
            Mark {
                what: "engine jacket over its set point",
                value: self.hottest_k,
                unit: "K",
                lost: lost(self.hottest_k, 2.0, 3.0, 40.0),
                why: "heat taken off too fast leaves the engine with it",
            },
            Mark {
                what: "fastest change of the engine jacket",
                value: fastest,
                unit: "K/min",
                lost: lost(fastest, 1.0, 5.0, 20.0),
                why: "the thermostat follows slowly; a degree a minute is what it bears",
            },
            Mark {
                what: "distillate pump run dry",
                value: dry_s,
                unit: "s",
                lost: lost(dry_s, 5.0, 0.3, 15.0),
                why: "a dry seal is soon a leaking one, and lets air in",
            },
            Mark {
                what: BRINE,
                value: self.salted_s / 60.0,
                unit: "min",
                lost: brine_lost(self.salted_s / 60.0),
                why: "brine over the weir or carried over must be rinsed out again",
            },
        ];
        Score { points: 0.0, marks, to_tank_kg, tank_salt_mg_kg }.recounted()
    }
}

const BRINE: &str = "brine in the distillate well";

/// Points for minutes of brine in the well.
fn brine_lost(minutes: f64) -> f64 {
    lost(minutes, 0.0, 3.0, 20.0)
}

impl Score {
    /// The same with its points as the marks have them.
    pub(crate) fn recounted(self) -> Self {
        let lost: f64 = self.marks.iter().map(|mark| mark.lost).sum();
        Score { points: (100.0 - lost).max(0.0), ..self }
    }

    /// How long there was brine in the well, min.
    pub(crate) fn brine_min(&self) -> f64 {
        self.marks.iter().find(|mark| mark.what == BRINE).map_or(0.0, |mark| mark.value)
    }

    /// Without so many minutes of brine in the well: they are a leaking tube's, and no hand could have kept them out.
    pub(crate) fn without_brine(mut self, min: f64) -> Self {
        for mark in self.marks.iter_mut().filter(|mark| min > 0.0 && mark.what == BRINE) {
            mark.lost = brine_lost(mark.value - min);
            mark.why = "a leaking tube fills the well by itself, for as long as in the reference run: what goes beyond counts";
        }
        self.recounted()
    }
}
