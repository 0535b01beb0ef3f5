//! The salinity alarm: water sent to a tank past it, and how long it stood without a sample tried by hand.

use crate::noted::Sample;
use crate::row::Row;

/// The instrument must have been on for so long before a low reading takes its alarm back, s (ours): a cell just switched on reads little.
const BELIEVED_S: f64 = 60.0;
/// The alarm is over under this part of the limit: where the relay lets go.
const OVER: f64 = crate::controls::LETS_GO;
/// Water past the alarm that is more than a splash, kg (ours).
pub(crate) const SPLASH_KG: f64 = 3.0;
/// Water in limit to the tank after which an alarm is one that came, and no rinsing of a start, kg (ours).
const FILLED_KG: f64 = 50.0;
/// A sample in limit speaks for the water for so long, s (ours: the lists ask twice, ten minutes apart).
const PROVES_S: f64 = 600.0;
/// Water past it that pauses for longer has ended, s.
const PAUSE_S: f64 = 15.0;

/// What stands at the instrument and the valve at a moment.
#[derive(Debug, Clone, Copy)]
pub(crate) struct At {
    /// The salinometer is on.
    pub(crate) reads: bool,
    /// The diverting valve is forced to the tank.
    pub(crate) forced: bool,
    /// Where the relay's limit is set, mg/kg.
    pub(crate) limit_mg_kg: f64,
    /// Jacket water goes through the heater.
    pub(crate) heated: bool,
}

/// What is kept of it while a run goes on.
#[derive(Debug, Clone)]
pub(crate) struct Alarm {
    /// The limit as it stood at the beginning: the ship's, mg/kg.
    ship_mg_kg: f64,
    /// Since when it stands, s.
    since_s: Option<f64>,
    on_since_s: Option<f64>,
    before_s: f64,
    tank_kg: f64,
    /// Water in limit that went to the tank, kg.
    filled_kg: f64,
    /// It came over water that had been good.
    came: bool,
    /// At one go past it, kg, and when the last of it, s.
    at_one_go: (f64, f64),
    /// Past it in all, kg, and since when, s.
    pub(crate) past_kg: f64,
    pub(crate) past_from_s: Option<f64>,
    /// Stood untried with the heat on, s, and since when, s.
    pub(crate) untried_s: f64,
    pub(crate) untried_from_s: Option<f64>,
}

impl Alarm {
    pub(crate) fn new(ship_mg_kg: f64, first: &Row) -> Self {
        Alarm {
            ship_mg_kg,
            since_s: None,
            on_since_s: Some(first.time_s - BELIEVED_S),
            before_s: first.time_s,
            tank_kg: first.tank_kg,
            filled_kg: 0.0,
            came: false,
            at_one_go: (0.0, f64::NEG_INFINITY),
            past_kg: 0.0,
            past_from_s: None,
            untried_s: 0.0,
            untried_from_s: None,
        }
    }

    /// The ship's limit, mg/kg.
    pub(crate) fn ship_mg_kg(&self) -> f64 {
        self.ship_mg_kg
    }

    /// It stands, and no second instrument has shown the water in limit since, or none of late: what a sample said holds for a while only.
    pub(crate) fn unproven(&self, samples: &[Sample], now_s: f64) -> bool {
        let in_limit = |sample: &Sample| sample.mg_kg.is_some_and(|mg_kg| mg_kg <= self.ship_mg_kg);
        self.since_s.is_some_and(|since_s| {
            let from_s = since_s.max(now_s - PROVES_S);
            !samples.iter().any(|sample| sample.at_s >= from_s && in_limit(sample))
        })
    }

    /// Water goes to the tank past it now, more than a splash.
    pub(crate) fn passed(&self) -> bool {
        self.at_one_go.0 > SPLASH_KG
    }

    pub(crate) fn see(&mut self, row: &Row, at: At, samples: &[Sample]) {
        let (now_s, over) = (row.time_s, row.cell_reading_mg_kg >= self.ship_mg_kg);
        if !at.reads {
            self.on_since_s = None;
        } else if self.on_since_s.is_none() {
            self.on_since_s = Some(now_s);
        }
        let believed = self.on_since_s.is_some_and(|on_s| now_s - on_s >= BELIEVED_S);
        if at.reads && over && self.since_s.is_none() {
            (self.since_s, self.came) = (Some(now_s), self.filled_kg > FILLED_KG);
        } else if believed && row.cell_reading_mg_kg < OVER * self.ship_mg_kg {
            self.since_s = None;
        }
        let filled_kg = (row.tank_kg - self.tank_kg).max(0.0);
        let by_hand = at.forced || at.limit_mg_kg > self.ship_mg_kg;
        let (mut kg, mut last_s) = self.at_one_go;
        if filled_kg > 0.0 && by_hand && self.unproven(samples, now_s) {
            (kg, last_s) = (kg + filled_kg, now_s);
            self.past_kg += filled_kg;
            if kg > SPLASH_KG {
                self.past_from_s.get_or_insert(now_s);
            }
        } else if now_s - last_s > PAUSE_S {
            kg = 0.0;
        }
        self.at_one_go = (kg, last_s);
        if self.since_s.is_none() {
            self.filled_kg += filled_kg;
        }
        let tried = |since_s: f64| samples.iter().any(|sample| sample.at_s >= since_s);
        let stands = self.came && at.heated && at.reads;
        if stands && self.since_s.is_some_and(|since_s| !tried(since_s)) {
            self.untried_s += now_s - self.before_s;
            self.untried_from_s.get_or_insert(now_s);
        }
        (self.before_s, self.tank_kg) = (now_s, row.tank_kg);
    }
}
