//! A whole run written down: its rows, what happened when, and what it cost.

use std::sync::Arc;

use serde::Serialize;

use crate::action::{Action, Do};
use crate::alarm::{Alarm, SPLASH_KG};
use crate::error::Stopped;
use crate::ledger::Ledgers;
use crate::matter::FULL_SCALE_MG_KG;
use crate::model::Model;
use crate::row::Row;
use crate::run::Run;
use crate::scenario::Scenario;
use crate::score::{Borne, NO_WAY_S, SETTLING_S, Score, Seen};
use crate::solver::Work;

/// Something that happened.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Event {
    /// When, s.
    pub time_s: f64,
    /// What, in words.
    pub says: String,
}

/// A run from its beginning to its end.
#[derive(Debug, Clone)]
pub struct Record {
    /// A row a minute and at every action.
    pub rows: Vec<Row>,
    /// What was done and what came of it, in order of time.
    pub events: Vec<Event>,
    /// What it cost.
    pub score: Score,
    /// What the ledgers miss.
    pub ledgers: Ledgers,
    /// The solver's work.
    pub work: Work,
    /// The run at its end.
    pub run: Run,
}

/// A thing that is told when it begins and when it ends.
#[derive(Debug, Clone)]
struct Watch {
    begins: &'static str,
    ends: &'static str,
    on: bool,
}

impl Watch {
    fn new(begins: &'static str, ends: &'static str) -> Self {
        Watch { begins, ends, on: false }
    }

    fn see(&mut self, on: bool, time_s: f64, events: &mut Vec<Event>) {
        if on != self.on {
            self.on = on;
            let says = if on { self.begins } else { self.ends };
            if !says.is_empty() {
                events.push(Event { time_s, says: says.to_owned() });
            }
        }
    }
}

/// Everything that is watched for in a run.
#[derive(Debug, Clone)]
struct Watches {
    vacuum: Watch,
    boiling: Watch,
    reading: Watch,
    tank: Watch,
    spoilt: Watch,
    weir_run: Watch,
    dry: Watch,
    pump_dry: Watch,
    cold: Watch,
    hot: Watch,
    over: Watch,
    no_way: Watch,
    full_well: Watch,
    bakes: Watch,
    past_alarm: Watch,
    drain: Watch,
    flooded: Watch,
    air_lock: Watch,
    /// Since when the heater has been heated with air left in it, s.
    air_lock_s: Option<f64>,
    /// Since when the jacket's water has had no way, s.
    no_way_s: Option<f64>,
    /// Water over the limit that came to the tank at one go, kg, and when the last of it did, s.
    salted: (f64, f64),
    set_point_c: f64,
    atmosphere_pa: f64,
    weir: f64,
    wetting: f64,
    scale: f64,
    tank_kg: f64,
}

impl Watches {
    fn new(model: &Model, run: &Run, first: &Row) -> Self {
        let mut watches = Watches {
            vacuum: Watch::new("90 % vacuum reached", "vacuum under 90 %"),
            boiling: Watch::new("boiling", "boiling has died"),
            reading: Watch::new("reading over the limit", "reading under the limit"),
            tank: Watch::new(
                "diverting valve has gone to the tank",
                "diverting valve has gone to dump",
            ),
            spoilt: Watch::new(
                "water over the limit goes to the tank",
                "no more water over the limit to the tank",
            ),
            weir_run: Watch::new(
                "brine over the weir into the distillate",
                "level under the weir again",
            ),
            dry: Watch::new("heater plates dry and hot", "plates wetted or cold again"),
            bakes: Watch::new("heater plates dry and hot: salt bakes on", ""),
            past_alarm: Watch::new(
                "water goes to the tank past an alarm that no second instrument has borne out",
                "no more water to the tank past the alarm",
            ),
            drain: Watch::new(
                "air is drawn in through the open shell drain",
                "no more air through the shell drain",
            ),
            flooded: Watch::new(
                "distillate stands up into the condenser: fewer of its tubes are left for the vapour",
                "the condenser’s tubes are free of distillate again",
            ),
            air_lock: Watch::new(
                "air is left in the heater, it was not vented: part of its plates does not heat",
                "no more air in the heater to speak of",
            ),
            air_lock_s: None,
            pump_dry: Watch::new("distillate pump runs dry", "distillate pump has water again"),
            cold: Watch::new(
                "engine jacket more than 2 K under its set point",
                "engine jacket back within 2 K",
            ),
            hot: Watch::new(
                "engine jacket more than 2 K over its set point",
                "engine jacket back within 2 K",
            ),
            over: Watch::new(
                "shell over the atmosphere: the relief will lift at half a bar",
                "shell no longer over the atmosphere",
            ),
            no_way: Watch::new(
                "heater and by-pass both shut: the engine’s heat has no way out",
                "the engine’s heat has a way again",
            ),
            full_well: Watch::new(
                "distillate well over its glass: nothing draws it off",
                "distillate well in its glass again",
            ),
            no_way_s: None,
            salted: (0.0, 0.0),
            set_point_c: run.set_point_c(),
            atmosphere_pa: run.atmosphere_pa(),
            weir: model.p.weir_level,
            wetting: model.p.wetting_kg / model.p.full_brine_kg,
            scale: first.scale_m2k_w,
            tank_kg: first.tank_kg,
        };
        watches.vacuum.on = first.vacuum_percent >= 90.0;
        watches.boiling.on = first.vapour_made_kg_s > BOILING_KG_S;
        watches.tank.on = first.diverting_valve > 0.5;
        watches
    }

    fn see(
        &mut self,
        row: &Row,
        limit: f64,
        borne: Borne,
        past_alarm: bool,
        events: &mut Vec<Event>,
    ) {
        let at_s = row.time_s;
        let off = row.engine_outlet_c - self.set_point_c;
        let over = row.shell_pressure_pa - self.atmosphere_pa;
        let dry = row.brine_level < self.wetting && row.heater_body_c > DRY_C;
        // What was never wetted has nothing on it to bake.
        let bakes = dry && row.scale_m2k_w > self.scale + BAKED_M2K_W;
        self.bakes.see(bakes || self.bakes.on && dry, at_s, events);
        self.dry.on |= self.bakes.on;
        self.dry.see(dry, at_s, events);
        if !dry {
            self.scale = row.scale_m2k_w;
        }
        self.past_alarm.see(past_alarm, at_s, events);
        let drawn_in = borne.drain_open && row.shell_pressure_pa < DRAWN_IN * self.atmosphere_pa;
        self.drain.see(drawn_in, at_s, events);
        self.flooded.see(
            above(borne.flooded, FLOODED, 0.5 * FLOODED, self.flooded.on),
            at_s,
            events,
        );
        let locked = borne.air_lock > AIR_LOCK && row.jacket_flow_kg_s > HEATED_KG_S;
        self.air_lock_s = locked.then(|| self.air_lock_s.unwrap_or(at_s));
        let long = self.air_lock_s.is_some_and(|from_s| at_s - from_s > VENTS_S);
        self.air_lock.see(long, at_s, events);
        let well = if self.pump_dry.on { DRY_WELL_KG.1 } else { DRY_WELL_KG.0 };
        // A pump that was stopped has no water again, and an instrument that is off reads nothing.
        self.pump_dry.on &= borne.pumps_distillate;
        self.reading.on &= borne.reads;
        self.pump_dry.see(borne.pumps_distillate && row.well_kg < well, at_s, events);
        let fills = row.tank_kg > self.tank_kg + FILLS_KG;
        // What a valve lets by while it shuts is a splash, and what pauses for a moment goes on.
        let (mut kg, mut last_s) = self.salted;
        if fills && row.product_salt_mg_kg > limit {
            (kg, last_s) = (kg + row.tank_kg - self.tank_kg, at_s);
        } else if at_s - last_s > PAUSE_S {
            kg = 0.0;
        }
        self.salted = (kg, last_s);
        self.spoilt.see(kg > SPLASH_KG, at_s, events);
        self.tank_kg = row.tank_kg;
        self.no_way_s = borne.no_way.then(|| self.no_way_s.unwrap_or(at_s));
        let no_way = self.no_way_s.is_some_and(|from_s| at_s - from_s > NO_WAY_S);
        self.no_way.see(no_way, at_s, events);
        // Steam that a cold shell gives off as air comes in is no boiling.
        let heated = row.evaporator_heat_w > HEATED_W && row.jacket_flow_kg_s > HEATED_KG_S;
        let boils = if heated || self.boiling.on { row.vapour_made_kg_s } else { 0.0 };
        let shown = row.cell_reading_mg_kg.min(FULL_SCALE_MG_KG);
        let read = if borne.reads { shown } else { 0.0 };
        for (watch, figure, mark, band) in [
            (&mut self.vacuum, row.vacuum_percent, 90.0, 0.5),
            (&mut self.boiling, boils, BOILING_KG_S, 0.002),
            (&mut self.reading, read, limit, 0.1 * limit),
            (&mut self.tank, row.diverting_valve, 0.5, 0.1),
            (&mut self.weir_run, row.brine_level, self.weir, 0.05),
            (&mut self.cold, -off, 2.0, 0.2),
            (&mut self.hot, off, 2.0, 0.2),
            (&mut self.over, over, OVER_PA, 1.0e3),
            (&mut self.full_well, row.well_kg, FULL_WELL_KG, 5.0),
        ] {
            watch.see(above(figure, mark, band, watch.on), at_s, events);
        }
    }
}

/// Longest time between two looks at the plant, s.
const LOOK_S: f64 = 5.0;

/// Vapour that is seen to boil, kg/s.
pub(crate) const BOILING_KG_S: f64 = 0.01;

/// Heat on the shell that counts as heat, W.
const HEATED_W: f64 = 5.0e3;

/// Jacket water through the heater that is heat, kg/s.
pub(crate) const HEATED_KG_S: f64 = 0.3;

/// A tank that rises by more between two looks is being filled, kg.
const FILLS_KG: f64 = 1.0e-3;

/// Water in the well under which its pump draws air, and over which it has water again, kg.
pub(crate) const DRY_WELL_KG: (f64, f64) = (1.0, 3.0);

/// Heater body over which dry plates are hot, °C (ours).
pub(crate) const DRY_C: f64 = 60.0;

/// Scale that is laid down while they are dry and is told, m²K/W: two hundredths of what calls for acid (ours).
const BAKED_M2K_W: f64 = 2.0e-6;

/// Part of the atmosphere under which an open drain draws air in (ours).
const DRAWN_IN: f64 = 0.95;

/// Part of the condenser under distillate that is told (ours).
pub(crate) const FLOODED: f64 = 0.05;

/// Part of the heater under air that is told, and how long a vent may take, s (ours).
pub(crate) const AIR_LOCK: f64 = 0.2;
const VENTS_S: f64 = 300.0;

/// Water over the limit to the tank may pause for so long, s (ours).
const PAUSE_S: f64 = 15.0;

/// Water in the well at the head of its glass, kg (ours).
pub const FULL_WELL_KG: f64 = 60.0;

/// A shell this far over the atmosphere is told, Pa.
const OVER_PA: f64 = 5.0e3;

impl Record {
    /// Runs a scenario to its end.
    ///
    /// # Errors
    /// [`Stopped`] when the equations could not be carried on.
    pub fn of(model: &Arc<Model>, scenario: &Scenario) -> Result<Self, Stopped> {
        let mut watched = Watched::begin(model, scenario);
        let times = scenario.row_times();
        watched.advance(scenario.until_s, &times)?;
        let done = scenario.actions.iter().filter(|action| action.time_s <= scenario.until_s);
        let done: Vec<Event> = watched.told(done);
        Ok(watched.record(done))
    }
}

/// A run with everything that is watched for in it.
#[derive(Debug, Clone)]
pub(crate) struct Watched {
    pub(crate) run: Run,
    pub(crate) rows: Vec<Row>,
    pub(crate) events: Vec<Event>,
    watches: Watches,
    pub(crate) alarm: Alarm,
    seen: Seen,
}

impl Watched {
    pub(crate) fn begin(model: &Arc<Model>, scenario: &Scenario) -> Self {
        let run = scenario.start(model);
        let first = run.row();
        let watches = Watches::new(model, &run, &first);
        let settling_s = if scenario.comes_to_rest() { SETTLING_S } else { 0.0 };
        let seen = Seen::new(run.set_point_c(), &first, run.state(), settling_s);
        let alarm = Alarm::new(run.ship_limit_mg_kg(), &first);
        Watched { run, rows: Vec::new(), events: Vec::new(), watches, alarm, seen }
    }

    /// Whether salt bakes on dry plates.
    pub(crate) fn bakes(&self) -> bool {
        self.watches.bakes.on
    }

    /// What it has cost so far.
    pub(crate) fn score(&self) -> Score {
        self.seen.score(&self.run, &self.rows, &self.alarm)
    }

    /// What was done by hand as it is told, a sample with what it read.
    pub(crate) fn told<'a>(&self, done: impl Iterator<Item = &'a Action>) -> Vec<Event> {
        let mut samples = self.run.noted().samples.iter();
        let mut says = |what: &Do| match what {
            Do::Sample => samples.next().map_or_else(|| what.says(), |sample| sample.says()),
            what => what.says(),
        };
        done.map(|action| Event { time_s: action.time_s, says: says(&action.what) }).collect()
    }

    /// Everything that happened, in order of time, with what was done by hand.
    pub(crate) fn happened(&self, done: Vec<Event>) -> Vec<Event> {
        let saved = self.run.noted().saved.iter();
        let saved = saved.map(|saved| Event { time_s: saved.at_s, says: saved.says() });
        in_order(done.into_iter().chain(self.events.iter().cloned()).chain(saved).collect())
    }

    /// It written down.
    pub(crate) fn record(self, done: Vec<Event>) -> Record {
        Record {
            score: self.score(),
            events: self.happened(done),
            ledgers: self.run.ledgers(),
            work: self.run.work(),
            rows: self.rows,
            run: self.run,
        }
    }

    /// Lets time go on; rows are written down at those of these times that pass, of which it has so many already.
    pub(crate) fn advance(&mut self, until_s: f64, times: &[f64]) -> Result<(), Stopped> {
        let Watched { run, rows, events, watches, alarm, seen } = self;
        let mut next = times.partition_point(|time| *time <= run.time_s() && *time > 0.0);
        run.advance_telling(until_s, &mut |passed| {
            while next < times.len() && times[next] <= passed.to_s() {
                rows.push(passed.row(times[next]));
                next += 1;
            }
            let (from_s, span_s) = (passed.from_s(), passed.to_s() - passed.from_s());
            let looks = (span_s / LOOK_S).ceil().max(1.0) as u32;
            for look in 1..=looks {
                let row = passed.row(from_s + span_s * f64::from(look) / f64::from(looks));
                let (limit, borne) = (passed.limit_mg_kg(), passed.borne());
                alarm.see(&row, passed.at_alarm(&row, borne), passed.samples());
                seen.see(&row, alarm.ship_mg_kg(), passed.atmosphere_pa(), borne);
                watches.see(&row, limit, borne, alarm.passed(), events);
            }
        })
    }
}

/// Events in order of time; at one moment as they stand.
pub(crate) fn in_order(mut events: Vec<Event>) -> Vec<Event> {
    events.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    events
}

/// Whether a figure counts as above a mark, once it has been: it must fall a little under it to be below again.
fn above(x: f64, mark: f64, band: f64, was: bool) -> bool {
    x > if was { mark - band } else { mark }
}
