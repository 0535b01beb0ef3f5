//! What a run cost, in physics: salt to the tank, scale, the engine's jacket, a pump run dry, brine where it should not be.

use serde::Serialize;

use crate::record::{DRY_WELL_KG, HEATED_KG_S};
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
    /// When it was worst, or began, s; none where it cost nothing or has no moment.
    pub at_s: Option<f64>,
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

/// What the handles have the plant bear at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Borne {
    /// The ejector's pump drives against a shut overboard valve.
    pub(crate) shut_in: bool,
    /// Nothing cools the condenser.
    pub(crate) uncooled: bool,
    /// The distillate pump is driven.
    pub(crate) pumps_distillate: bool,
    /// The salinometer is on.
    pub(crate) reads: bool,
    /// Heater and by-pass are both shut on the jacket's pump.
    pub(crate) no_way: bool,
}

/// The greatest of a figure and when it was.
#[derive(Debug, Clone, Copy, Default)]
struct Worst {
    value: f64,
    at_s: Option<f64>,
}

impl Worst {
    fn see(&mut self, value: f64, at_s: f64) {
        if value > self.value {
            *self = Worst { value, at_s: Some(at_s) };
        }
    }
}

/// How long something lasted and when it began.
#[derive(Debug, Clone, Copy, Default)]
struct Lasted {
    s: f64,
    from_s: Option<f64>,
}

impl Lasted {
    fn see(&mut self, on: bool, (from_s, to_s): (f64, f64)) {
        if on {
            self.s += to_s - from_s;
            self.from_s.get_or_insert(to_s);
        }
    }
}

/// What is kept while a run goes on.
#[derive(Debug, Clone)]
pub(crate) struct Seen {
    set_point_c: f64,
    start: State,
    /// Before this the engine's jacket does not count, s.
    settling_s: f64,
    hottest_k: Worst,
    coldest_k: Worst,
    over_pa: Worst,
    /// Scale laid down between two looks, m2K/W.
    scaling: Worst,
    salted: Lasted,
    dry: Lasted,
    uncooled: Lasted,
    shut_in: Lasted,
    /// The jacket's water had no way.
    no_way: Lasted,
    /// Water over the limit went to the tank.
    spoilt: Lasted,
    before: Row,
    limit_mg_kg: f64,
}

/// Salt in the well that counts as brine in it, mg/kg.
const SALTED_MG_KG: f64 = 3000.0;

/// Water to the tank from which on its salt counts in full, kg: what a valve lets by while it shuts is a splash.
const COUNTS_KG: f64 = 50.0;

/// So long a running plant that was not brought to rest first may come to it before the engine's jacket counts, s.
pub(crate) const SETTLING_S: f64 = 300.0;

/// So long without a way is no turning of two handles, s.
pub(crate) const NO_WAY_S: f64 = 45.0;

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
            hottest_k: Worst::default(),
            coldest_k: Worst::default(),
            over_pa: Worst::default(),
            scaling: Worst::default(),
            salted: Lasted::default(),
            dry: Lasted::default(),
            uncooled: Lasted::default(),
            shut_in: Lasted::default(),
            no_way: Lasted::default(),
            spoilt: Lasted::default(),
            before: *first,
            limit_mg_kg: 10.0,
        }
    }

    pub(crate) fn see(&mut self, row: &Row, limit_mg_kg: f64, atmosphere_pa: f64, borne: Borne) {
        let (off, at_s) = (row.engine_outlet_c - self.set_point_c, row.time_s);
        if at_s > self.settling_s {
            self.hottest_k.see(off, at_s);
            self.coldest_k.see(-off, at_s);
        }
        self.over_pa.see(row.shell_pressure_pa - atmosphere_pa, at_s);
        let before = &self.before;
        let look = (before.time_s, at_s);
        self.scaling.see(row.scale_m2k_w - before.scale_m2k_w, at_s);
        self.salted.see(row.product_salt_mg_kg > SALTED_MG_KG, look);
        self.dry.see(borne.pumps_distillate && row.well_kg < DRY_WELL_KG.0, look);
        self.uncooled.see(borne.uncooled && row.jacket_flow_kg_s > HEATED_KG_S, look);
        self.shut_in.see(borne.shut_in, look);
        self.no_way.see(borne.no_way, look);
        let fills = row.tank_kg > before.tank_kg + 1.0e-3;
        self.spoilt.see(fills && row.product_salt_mg_kg > limit_mg_kg, look);
        self.before = *row;
        self.limit_mg_kg = limit_mg_kg;
    }

    pub(crate) fn score(&self, end: &State, rows: &[Row]) -> Score {
        let to_tank_kg = end[TANK] - self.start[TANK];
        let salt_kg = end[TANK_SALT] - self.start[TANK_SALT];
        let tank_salt_mg_kg = if to_tank_kg > 0.0 { 1.0e6 * salt_kg / to_tank_kg } else { 0.0 };
        let scale = (end[SCALE] - self.start[SCALE]) * 1.0e6;
        let mut fastest = Worst::default();
        let settled = rows.windows(2).filter(|pair| {
            pair[1].time_s - pair[0].time_s > 30.0 && pair[0].time_s >= self.settling_s
        });
        for pair in settled {
            let by = (pair[1].engine_outlet_c - pair[0].engine_outlet_c).abs();
            fastest.see(60.0 * by / (pair[1].time_s - pair[0].time_s), pair[0].time_s);
        }
        let mark = |what, value, unit, lost, at_s: Option<f64>, why| {
            let at_s = at_s.filter(|_| lost > 0.0);
            Mark { what, value, unit, lost, at_s, why }
        };
        let marks = vec![
            mark(
                "salt of the water to the tank",
                tank_salt_mg_kg,
                "mg/kg",
                lost(tank_salt_mg_kg, self.limit_mg_kg, 5.0, 60.0)
                    * (to_tank_kg / COUNTS_KG).clamp(0.0, 1.0),
                self.spoilt.from_s,
                "a tank salted once is salted whole: nothing to it until the salinity is proven",
            ),
            mark(
                "scale laid down",
                scale,
                "1e-6 m2K/W",
                lost(scale, 0.5, 1.0, 30.0),
                self.scaling.at_s,
                "scale stays until acid takes it off; plates dry and hot lay down most",
            ),
            mark(
                ENGINE[0].0,
                self.coldest_k.value,
                "K",
                ENGINE[0].1(self.coldest_k.value),
                self.coldest_k.at_s,
                "a cold slug chills the liners and may slow the engine down",
            ),
            mark(
                ENGINE[1].0,
                self.hottest_k.value,
                "K",
                ENGINE[1].1(self.hottest_k.value),
                self.hottest_k.at_s,
                if self.no_way.s > NO_WAY_S {
                    "heater and by-pass were both shut: its heat had no way out; the by-pass opens with the heater's shutting"
                } else {
                    "heat taken off too fast leaves the engine with it"
                },
            ),
            mark(
                ENGINE[2].0,
                fastest.value,
                "K/min",
                ENGINE[2].1(fastest.value),
                fastest.at_s,
                "the thermostat follows slowly; a degree a minute is what it bears",
            ),
            mark(
                "shell over the atmosphere",
                self.over_pa.value / 1.0e5,
                "bar",
                lost(self.over_pa.value / 1.0e5, 0.05, 100.0, 30.0),
                self.over_pa.at_s,
                "a shell made for vacuum bears little the other way: hot steam blows at whoever stands by",
            ),
            mark(
                "heat on without cooling water",
                self.uncooled.s / 60.0,
                "min",
                lost(self.uncooled.s / 60.0, 2.0, 2.0, 20.0),
                self.uncooled.from_s,
                "steam that nothing condenses ends the vacuum and heats the shell",
            ),
            mark(
                "ejector pump against a shut overboard",
                self.shut_in.s / 60.0,
                "min",
                lost(self.shut_in.s / 60.0, 1.0, 2.0, 15.0),
                self.shut_in.from_s,
                "the pump heats what it cannot deliver, and brine and air stay in the shell",
            ),
            mark(
                "distillate pump run dry",
                self.dry.s,
                "s",
                lost(self.dry.s, 20.0, 0.15, 15.0),
                self.dry.from_s,
                "a dry seal is soon a leaking one, and lets air in",
            ),
            mark(
                BRINE,
                self.salted.s / 60.0,
                "min",
                brine_lost(self.salted.s / 60.0),
                self.salted.from_s,
                "brine over the weir or carried over must be rinsed out again",
            ),
        ];
        Score { points: 0.0, marks, to_tank_kg, tank_salt_mg_kg }.recounted()
    }
}

/// Points for each move against the order of things, and at most (ours).
const AGAINST_POINTS: f64 = 3.0;
const AGAINST_MOST: f64 = 15.0;

/// Points for so much of something.
type Points = fn(f64) -> f64;

const FASTEST: &str = "fastest change of the engine jacket";

/// What is told of the engine's jacket, each with the points of so many of its unit.
const ENGINE: [(&str, Points); 3] = [
    ("engine jacket under its set point", |under_k| lost(under_k, 2.0, 5.0, 35.0)),
    ("engine jacket over its set point", |over_k| lost(over_k, 2.0, 3.0, 40.0)),
    (FASTEST, |k_min| lost(k_min, 1.0, 5.0, 20.0)),
];

const BRINE: &str = "brine in the distillate well";

/// Points for minutes of brine in the well.
fn brine_lost(minutes: f64) -> f64 {
    lost(minutes, 0.0, 3.0, 20.0)
}

impl Score {
    /// The same with so many moves against the order of things counted, the first of them at a moment, s.
    #[must_use]
    pub fn with_against(mut self, moves: usize, first_s: Option<f64>) -> Self {
        let value = moves as f64;
        self.marks.push(Mark {
            what: "moves against the order",
            value,
            unit: if moves == 1 { "thing" } else { "things" },
            lost: (AGAINST_POINTS * value).min(AGAINST_MOST),
            at_s: first_s,
            why: "what went well this time by luck does not the next",
        });
        self.recounted()
    }

    /// The same where the engine was upset by what happened and not by hands: of its jacket what goes beyond a reference counts, and how
    /// fast it changed does not.
    pub(crate) fn beyond_engine_of(mut self, reference: &Score) -> Self {
        for (what, points) in ENGINE {
            let of = |score: &Score| {
                score.marks.iter().find(|mark| mark.what == what).map_or(0.0, |mark| mark.value)
            };
            let beyond = of(&self) - of(reference);
            let lost = if what == FASTEST { 0.0 } else { points(beyond) };
            for mark in self.marks.iter_mut().filter(|mark| mark.what == what) {
                mark.lost = lost;
                mark.at_s = mark.at_s.filter(|_| lost > 0.0);
                mark.why = match (what, lost > 0.0) {
                    (FASTEST, _) => "here the engine was upset by what happened: not counted",
                    (_, false) => {
                        "the engine was upset by what happened, no more than in good hands’ run"
                    }
                    (_, true) => {
                        "the engine was upset by what happened; what goes beyond good hands’ run counts"
                    }
                };
            }
        }
        self.recounted()
    }

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
            mark.at_s = mark.at_s.filter(|_| mark.lost > 0.0);
            mark.why = "a leaking tube fills the well by itself, for as long as in the reference run: what goes beyond counts";
        }
        self.recounted()
    }
}
