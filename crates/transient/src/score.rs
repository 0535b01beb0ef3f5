//! What a run cost, in physics: salt to the tank, scale, the engine's jacket, a pump run dry, brine where it should not be.

use serde::Serialize;

use crate::alarm::{Alarm, SPLASH_KG};
use crate::matter::{self, Verdict};
use crate::record::{AIR_LOCK, DRY_C, DRY_WELL_KG, FLOODED, HEATED_KG_S};
use crate::row::Row;
use crate::run::Run;
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
#[derive(Debug, Clone, Copy, PartialEq)]
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
    /// The shell drain is open.
    pub(crate) drain_open: bool,
    /// Part of the heater that air keeps from the jacket water.
    pub(crate) air_lock: f64,
    /// Part of the condenser under distillate.
    pub(crate) flooded: f64,
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
    /// Plates dry and hot with the heat on.
    bare: Lasted,
    /// Distillate in the condenser, air in the heater.
    flooded: Lasted,
    air_lock: Lasted,
    before: Row,
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
            bare: Lasted::default(),
            flooded: Lasted::default(),
            air_lock: Lasted::default(),
            before: *first,
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
        let heated = row.jacket_flow_kg_s > HEATED_KG_S;
        let bare = heated && row.brine_level < BARE_LEVEL && row.heater_body_c > DRY_C;
        self.bare.see(bare, look);
        self.flooded.see(borne.flooded > FLOODED, look);
        self.air_lock.see(heated && borne.air_lock > AIR_LOCK, look);
        self.before = *row;
    }

    pub(crate) fn score(&self, run: &Run, rows: &[Row], alarm: &Alarm) -> Score {
        let end = run.state();
        let saved = run.noted().saved.last();
        let saved_kind = saved.map_or(0.0, |saved| if saved.tripped { 2.0 } else { 1.0 });
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
                ENGINE[3].0,
                saved_kind,
                "engine",
                ENGINE[3].1(saved_kind),
                saved.map(|saved| saved.at_s),
                "the plant is there for the ship, and not the other way round",
            ),
            mark(
                "water to the tank past an unproven alarm",
                alarm.past_kg,
                "kg",
                if alarm.past_from_s.is_some() && alarm.past_kg > SPLASH_KG {
                    PAST_ALARM
                } else {
                    0.0
                },
                alarm.past_from_s,
                "two instruments must agree before water goes to a tank: past an alarm it goes after the hand meter has read in limit, or overboard",
            ),
            mark(
                "salinity alarm not tried with the hand meter",
                alarm.untried_s / 60.0,
                "min",
                lost(alarm.untried_s / 60.0, 10.0, 2.0, 30.0),
                alarm.untried_from_s,
                "overboard is safe and settles nothing: a sample by hand says within a minute whether the water is salt or the cell false",
            ),
            mark(
                "salt of the water to the tank",
                tank_salt_mg_kg,
                "mg/kg",
                lost(tank_salt_mg_kg, alarm.ship_mg_kg(), 5.0, 60.0)
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
                BARE,
                self.bare.s / 60.0,
                "min",
                lost(self.bare.s / 60.0, 1.0, 0.5, 10.0),
                self.bare.from_s,
                "dry plates stand as hot as the jacket water: their gaskets age, and feed let on to them shocks them and flashes to scale",
            ),
            mark(
                FLOOD,
                self.flooded.s / 60.0,
                "min",
                stood_lost(self.flooded.s / 60.0),
                self.flooded.from_s,
                "a well that is not drawn off stands up between the tubes, and each one under water makes no more",
            ),
            mark(
                LOCK,
                self.air_lock.s / 60.0,
                "min",
                stood_lost(self.air_lock.s / 60.0),
                self.air_lock.from_s,
                "plates that hold air do not heat: the heater is vented before its inlet is opened",
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

/// Points for water sent to a tank past an unproven alarm: the exercise fails, whatever else (ours).
const PAST_ALARM: f64 = 80.0;

/// Air in the heater, or distillate in the condenser, for so long is why there was little water, min (ours).
const STOOD_IN_MIN: f64 = 10.0;

/// Level under which no plate is wetted.
const BARE_LEVEL: f64 = 0.083;

const FLOOD: &str = "distillate up in the condenser";
const BARE: &str = "plates dry and hot with the heat on";
const LOCK: &str = "air left in the heater";
const SAVED: &str = "the main engine by its own safeties";

const FASTEST: &str = "fastest change of the engine jacket";

/// What is told of the engine's jacket, each with the points of so many of its unit.
const ENGINE: [(&str, Points); 4] = [
    ("engine jacket under its set point", |under_k| lost(under_k, 2.0, 5.0, 35.0)),
    ("engine jacket over its set point", |over_k| lost(over_k, 2.0, 3.0, 40.0)),
    (FASTEST, |k_min| lost(k_min, 1.0, 5.0, 20.0)),
    (SAVED, |kind| if kind >= 2.0 { 60.0 } else { 30.0 * kind }),
];

const BRINE: &str = "brine in the distillate well";

/// Points for minutes of distillate in the condenser, or of air in the heater.
fn stood_lost(minutes: f64) -> f64 {
    lost(minutes, 10.0, 0.2, 5.0)
}

/// Points for minutes of brine in the well.
fn brine_lost(minutes: f64) -> f64 {
    lost(minutes, 0.0, 3.0, 20.0)
}

impl Mark {
    /// Its value in a word, where it is no figure.
    #[must_use]
    pub fn word(&self) -> Option<&'static str> {
        (self.unit == "engine").then_some(match self.value {
            kind if kind >= 2.0 => "tripped",
            kind if kind >= 1.0 => "slowed down",
            _ => "untouched",
        })
    }
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
            let lost = if what == FASTEST { 0.0 } else { points(beyond.max(0.0)) };
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

    /// The same with what was answered to "what is the matter?" counted.
    #[must_use]
    pub fn with_matter(mut self, verdicts: &[Verdict]) -> Self {
        self.marks.push(matter::mark(verdicts));
        self.recounted()
    }

    /// The same with only what was lost beyond another's.
    pub(crate) fn beyond(mut self, other: &Score) -> Self {
        for mark in &mut self.marks {
            let theirs = other.marks.iter().find(|one| one.what == mark.what);
            mark.lost = (mark.lost - theirs.map_or(0.0, |one| one.lost)).max(0.0);
            mark.at_s = mark.at_s.filter(|_| mark.lost > 0.0);
        }
        self.recounted()
    }

    /// Why there was less water than there might have been, where air or distillate stood in its way.
    pub(crate) fn short_of_water(&self) -> Option<&'static str> {
        let min = |what: &str| {
            self.marks.iter().find(|mark| mark.what == what).map_or(0.0, |mark| mark.value)
        };
        let (flooded, locked, bare) = (min(FLOOD), min(LOCK), min(BARE));
        if flooded.max(locked).max(bare) < STOOD_IN_MIN {
            return None;
        }
        Some(if bare > flooded.max(locked) {
            "that is what it was for; plates that stood dry made none: feed comes before heat"
        } else if flooded > locked {
            "that is what it was for; distillate that nothing drew off stood up in the condenser and took its tubes"
        } else {
            "that is what it was for; air left in the heater kept its plates from heating: it was never vented"
        })
    }

    /// The same with its points as the marks have them.
    pub(crate) fn recounted(self) -> Self {
        let lost: f64 = self.marks.iter().map(|mark| mark.lost).sum();
        Score { points: (100.0 - lost).max(0.0), ..self }
    }

    /// How long there was brine in the well, and how long it stood up in the condenser, min.
    pub(crate) fn let_in_min(&self) -> [f64; 2] {
        [BRINE, FLOOD].map(|what| {
            self.marks.iter().find(|mark| mark.what == what).map_or(0.0, |mark| mark.value)
        })
    }

    /// Without so many minutes of either: they are a leaking tube's, and no hand could have kept them out.
    pub(crate) fn without_let_in(mut self, [brine_min, flood_min]: [f64; 2]) -> Self {
        for mark in &mut self.marks {
            let (min, points): (f64, Points) = match mark.what {
                BRINE => (brine_min, brine_lost),
                FLOOD => (flood_min, stood_lost),
                _ => continue,
            };
            if min <= 0.0 {
                continue;
            }
            mark.lost = points(mark.value - min);
            mark.at_s = mark.at_s.filter(|_| mark.lost > 0.0);
            mark.why = "a leaking tube fills the well by itself, for as long as in the reference run: what goes beyond counts";
        }
        self.recounted()
    }
}
