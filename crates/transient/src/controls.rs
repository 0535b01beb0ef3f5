//! Where every valve, switch and trouble stands, and how it moves: hands that turn, pumps, the relay of the diverting valve.

use crate::action::Do;
use crate::conditions::{Around, Conditions};
use crate::matter::FULL_SCALE_MG_KG;
use crate::model::Model;
use crate::parts::{
    F_AIR, F_ROLLING, FAULTS, FIRST_FAULT, FIRST_SET, MOVING, P_DISTILLATE, P_JACKET, RUNNING,
    S_LIMIT, S_LOAD, SETS, VALVES, W_ANTISCALANT, W_DIVERTER, W_POWER, W_SALINOMETER, W_THERMOSTAT,
};
use crate::stands::{Stands, Turned};

/// How long the relay stays at dump after the distillate pump starts, s: a cell that is not wetted yet reads nought.
const HELD_S: f64 = 300.0;

/// The relay lets water to the tank again under this part of the limit.
pub(crate) const LETS_GO: f64 = 0.9;

/// More than any cell reads, mg/kg.
const NEVER_MG_KG: f64 = 1.0e9;

const AUTO: usize = 1;
const FORCED: usize = 2;

#[derive(Debug, Clone, Copy, PartialEq)]
struct Travel {
    from_s: f64,
    to_s: f64,
    from: f64,
}

/// Everything that is handled, as it stands.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Controls {
    /// Where each thing is going, or is.
    to: [f64; MOVING],
    travel: [Option<Travel>; MOVING],
    switches: [usize; 5],
    started: [bool; 4],
    /// An emergency generator drives the jacket pump: it was started while there was no power.
    emergency: bool,
    /// Whether the reading last passed under the lower mark, not over the limit.
    clean: bool,
    held_until_s: f64,
    set_point_c: f64,
}

impl Controls {
    /// As a cold plant stands, or a running one.
    pub(crate) fn new(running: bool, set_point_c: f64) -> Self {
        let mut to = [0.0; MOVING];
        for (i, part) in VALVES.iter().enumerate() {
            to[i] = 0.01 * if running { RUNNING[i] } else { part.usual };
        }
        for (i, part) in SETS.iter().enumerate() {
            to[FIRST_SET + i] = part.usual;
        }
        for (i, part) in FAULTS.iter().enumerate() {
            to[FIRST_FAULT + i] = part.usual;
        }
        let mut switches = [0; 5];
        switches[W_POWER] = 1;
        if running {
            switches[W_SALINOMETER] = 1;
            switches[W_DIVERTER] = AUTO;
        }
        Controls {
            to,
            travel: [None; MOVING],
            switches,
            started: [running, running, running, true],
            emergency: false,
            clean: true,
            held_until_s: if running { 0.0 } else { f64::INFINITY },
            set_point_c,
        }
    }

    pub(crate) fn put_set(&mut self, place: usize, value: f64) {
        self.to[FIRST_SET + place] = value;
    }

    pub(crate) fn put_fault(&mut self, place: usize, amount: f64) {
        self.to[FIRST_FAULT + place] = amount;
    }

    /// Where a moving thing is at a time.
    fn at(&self, place: usize, time_s: f64) -> f64 {
        match self.travel[place] {
            Some(t) if time_s < t.to_s => {
                t.from
                    + (self.to[place] - t.from)
                        * ((time_s - t.from_s) / (t.to_s - t.from_s)).max(0.0)
            }
            _ => self.to[place],
        }
    }

    fn send(&mut self, place: usize, value: f64, now_s: f64, over_s: f64) {
        let from = self.at(place, now_s);
        self.to[place] = value;
        self.travel[place] = (over_s > 0.0 && from != value).then_some(Travel {
            from_s: now_s,
            to_s: now_s + over_s,
            from,
        });
    }

    /// Does one thing.
    pub(crate) fn apply(&mut self, what: &Do, now_s: f64) {
        match *what {
            Do::Valve { place, percent, over_s } => {
                let value = 0.01 * percent;
                let by_hand = (value - self.at(place, now_s)).abs() * VALVES[place].travel_s;
                self.send(place, value, now_s, over_s.unwrap_or(by_hand));
            }
            Do::Set { place, value, over_s } => self.send(FIRST_SET + place, value, now_s, over_s),
            Do::Fault { place, amount, over_s } => {
                self.send(FIRST_FAULT + place, amount, now_s, over_s)
            }
            Do::Pump { place, run } => {
                let before = self.started[place];
                self.started[place] = run;
                if place == P_JACKET {
                    self.emergency = run && !self.powered();
                }
                if place == P_DISTILLATE && run != before {
                    self.held_until_s = if run { now_s + HELD_S } else { f64::INFINITY };
                }
            }
            Do::Switch { place, word } => {
                let before = self.switches[place];
                self.switches[place] = word;
                // It takes over when it is asked to, and steps back when the lights are on again.
                self.emergency &= place != W_POWER;
                if place == W_POWER && word == 1 && before == 0 && self.started[P_DISTILLATE] {
                    self.held_until_s = now_s + HELD_S;
                }
            }
            // Neither moves anything of the plant.
            Do::Sample | Do::Answer { .. } => {}
        }
    }

    fn powered(&self) -> bool {
        self.switches[W_POWER] == 1
    }

    /// Which pumps are driven.
    fn driven(&self) -> [bool; 4] {
        let powered = self.powered();
        let mut driven = self.started.map(|started| started && powered);
        driven[P_JACKET] |= self.started[P_JACKET] && self.emergency;
        driven
    }

    /// The load the engine is going to, or is at, %.
    pub(crate) fn load_to(&self) -> f64 {
        self.to[FIRST_SET + S_LOAD]
    }

    /// Whether the diverting valve is forced to the tank.
    pub(crate) fn is_forced(&self) -> bool {
        self.switches[W_DIVERTER] == FORCED
    }

    /// The next moment at which something stops moving or is let go, after `now_s`.
    pub(crate) fn next_change(&self, now_s: f64) -> f64 {
        let ends = self.travel.iter().flatten().map(|t| t.to_s);
        ends.chain([self.held_until_s]).filter(|t| *t > now_s).fold(f64::INFINITY, f64::min)
    }

    /// Salt at which the relay dumps, mg/kg.
    pub(crate) fn limit(&self, time_s: f64) -> f64 {
        self.at(FIRST_SET + S_LIMIT, time_s)
    }

    /// The same as the relay has it: an instrument that shows no more than its full scale never passes a limit set there.
    fn relay_limit(&self, time_s: f64) -> f64 {
        let limit = self.limit(time_s);
        if limit >= FULL_SCALE_MG_KG { NEVER_MG_KG } else { limit }
    }

    /// Tells the relay what the cell reads; true when that changes where the valve goes.
    pub(crate) fn read(&mut self, reading: f64, now_s: f64) -> bool {
        let before = self.diverter(now_s);
        let limit = self.relay_limit(now_s);
        if reading >= limit {
            self.clean = false;
        } else if reading <= LETS_GO * limit {
            self.clean = true;
        }
        self.diverter(now_s) != before
    }

    /// The reading at which the relay changes its mind, if it can.
    pub(crate) fn watched(&self, time_s: f64) -> f64 {
        let limit = self.relay_limit(time_s);
        if self.clean { limit } else { LETS_GO * limit }
    }

    pub(crate) fn is_clean(&self) -> bool {
        self.clean
    }

    fn diverter(&self, now_s: f64) -> f64 {
        let powered = self.powered();
        let lets = match self.switches[W_DIVERTER] {
            FORCED => true,
            AUTO => {
                self.clean
                    && powered
                    && self.switches[W_SALINOMETER] == 1
                    && now_s >= self.held_until_s
            }
            _ => false,
        };
        f64::from(u8::from(lets))
    }

    /// Conditions at a moment.
    pub(crate) fn conditions(&self, model: &Model, time_s: f64) -> Conditions {
        let powered = self.powered();
        let mut at = Conditions {
            moving: std::array::from_fn(|i| self.at(i, time_s)),
            running: self.driven(),
            diverter_to: self.diverter(time_s),
            salinometer: self.switches[W_SALINOMETER] == 1 && powered,
            // Brine that was dosed stays dosed: without power no feed comes either.
            antiscalant: self.switches[W_ANTISCALANT] == 1,
            doses: powered,
            thermostat_hand: self.switches[W_THERMOSTAT] == 1,
            set_point_c: self.set_point_c,
            aeration: 0.0,
            around: Around::default(),
        };
        at.look_around(model);
        at.roll(time_s);
        at
    }

    /// Moves conditions on within a stretch in which nothing else changes.
    pub(crate) fn follow(&self, at: &mut Conditions, model: &Model, time_s: f64) {
        let mut around = false;
        for (place, travel) in self.travel.iter().enumerate() {
            if travel.is_some() {
                let value = self.at(place, time_s);
                if value != at.moving[place] {
                    at.moving[place] = value;
                    around |= (FIRST_SET + S_LOAD..FIRST_FAULT).contains(&place)
                        || place == FIRST_FAULT + F_AIR;
                }
            }
        }
        if around {
            at.look_around(model);
        }
        at.roll(time_s);
    }

    /// Whether the ship rolls, so that steps must be short.
    pub(crate) fn rolls(&self) -> bool {
        self.to[FIRST_FAULT + F_ROLLING] > 0.0
    }

    /// Forgets travels that have ended.
    pub(crate) fn settle(&mut self, now_s: f64) {
        for travel in &mut self.travel {
            if travel.is_some_and(|t| t.to_s <= now_s) {
                *travel = None;
            }
        }
    }

    /// How everything that is handled stands.
    pub(crate) fn stands(&self, time_s: f64) -> Stands {
        Stands {
            valves: std::array::from_fn(|i| Turned {
                at_percent: 100.0 * self.at(i, time_s),
                to_percent: 100.0 * self.to[i],
            }),
            driven: self.driven(),
            sets: std::array::from_fn(|i| self.at(FIRST_SET + i, time_s)),
            switches: self.switches,
        }
    }

    pub(crate) fn set_point_c(&self) -> f64 {
        self.set_point_c
    }
}
