//! The list that suits what the gauges show: offered beside a run, followed only when it is asked for.

use transient::{Row, Stands};

use super::panel::Look;
use super::room::Room;
use super::shown::HEATED_KG_S;

/// Gauges are held against what they showed at most so long ago, s.
const LATELY_S: f64 = 3600.0;
/// A fall of the engine's load that nobody at the plant asked for, % (ours).
const FELL_PERCENT: f64 = 15.0;
/// Part of its pressure under which the nozzle has lost its water, and over which it had it (ours).
const NOZZLE: (f64, f64) = (0.5, 0.8);
/// Water to the tank from which on it was good enough for it, kg.
const FILLED_KG: f64 = 50.0;

/// A list that suits, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suits {
    /// Key of the list.
    pub key: &'static str,
    /// What the list is called in a button.
    pub name: &'static str,
    /// What the gauges show, as a sentence.
    pub says: &'static str,
}

impl Room {
    /// What is offered now; nothing where that list is followed already, or once it was.
    pub(super) fn suits(&self, row: &Row, stands: &Stands) -> Option<Suits> {
        let heated = row.jacket_flow_kg_s > HEATED_KG_S;
        let was = |name: &str, so: &dyn Fn(f64) -> bool| {
            let lately = |look: &&Look| look.at_s >= self.time_s() - LATELY_S;
            let mut looks = self.play.looks.iter().filter(lately);
            looks.any(|look| look.figure(name).is_some_and(so))
        };
        let now = Look::at(&self.play.live);
        let read = |name: &str| now.figure(name).unwrap_or(0.0);
        let nozzle = self.setup.ship.sheet.rated_ejector_pressure_bar_g;
        let limit = self.play.live.run().limit_mg_kg();
        let (load, salt) = (read("engine_load_percent"), read("product_salt_mg_kg"));
        let stopped = |pump: &str| stands.pump(pump) == Some(false);
        let dark = stands.switch("power") == Some("off");
        let suits = if dark || heated && stopped("ejector") && stopped("cooling") {
            let says = if dark {
                "There is no power."
            } else {
                "Every pump of the plant stands with the heat on."
            };
            Suits { key: "blackout", name: "Blackout", says }
        } else if heated
            && read("ejector_pressure_bar_g") < NOZZLE.0 * nozzle
            && was("ejector_pressure_bar_g", &|was| was > NOZZLE.1 * nozzle)
        {
            let says = "The nozzle has lost its pressure with the heat on.";
            Suits { key: "ejector-trip", name: "Ejector pump trips", says }
        } else if heated && was("engine_load_percent", &|was| was > load + FELL_PERCENT) {
            let says = "The engine’s load has fallen with the heat on.";
            Suits { key: "engine-slow-down", name: "Engine slow-down", says }
        } else if heated
            && salt > limit
            && self.play.live.score().to_tank_kg > FILLED_KG
            && was("product_salt_mg_kg", &|was| was <= limit)
        {
            let says = "The salinometer has gone over its limit.";
            Suits { key: "salinity-alarm", name: "Salinity alarm", says }
        } else {
            return None;
        };
        let mut lists = self.play.followed.iter().chain(&self.play.following);
        (!lists.any(|list| list.key == suits.key)).then_some(suits)
    }
}
