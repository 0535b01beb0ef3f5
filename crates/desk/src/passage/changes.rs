//! What is to be otherwise than the route has it: the speed and the sea temperature of a leg, the length of a stop.

use jiff::SignedDuration;
use ocean::{Leg, Position, Track};
use quantity::{Fraction, Unit};
use route::{HIGHEST_LOAD, Phase, Route, Sail, Schedule, ScheduledLeg};
use serde::Deserialize;

use crate::ship::Ship;

use super::event_lines::{Faults, within};
use super::events::{Events, EventsRefused};

/// A change holds for the waypoint it was written for: one so far from there is another route's, nmi.
const SAME_NMI: f64 = 0.5;
/// Speeds taken, kn.
const SPEED_KN: (f64, f64) = (1.0, 40.0);
/// Sea temperatures taken, °C.
const SEA_C: (f64, f64) = (-2.0, 38.0);
/// Lengths of a stop taken, hours.
const STOP_H: (f64, f64) = (0.0, 2400.0);

/// A leg is sailed at another speed, or its sea is known better than the climatology does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LegChange {
    /// The waypoint the leg leads to, counted from 1.
    pub to: usize,
    /// Where that waypoint was when this was written.
    pub position: Option<Position>,
    /// Speed over the ground, knots.
    pub kn: Option<f64>,
    /// Temperature of the sea on it, °C.
    pub sea_temp_c: Option<f64>,
}

/// A stop takes longer or less long.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StopChange {
    /// The waypoint, counted from 1.
    pub at: usize,
    /// Where it was when this was written.
    pub position: Option<Position>,
    /// All the time she lies there, hours; 0 where she does not.
    pub hours: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LegLine {
    to: usize,
    position: Option<String>,
    kn: Option<f64>,
    sea_temp_c: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StopLine {
    at: usize,
    position: Option<String>,
    hours: f64,
}

impl LegLine {
    pub(super) fn read(self, faults: &mut Faults) -> Option<LegChange> {
        let at = format!("leg to waypoint {}", self.to);
        let number = faults.take(number(&at, self.to));
        let is_any = self.kn.is_some() || self.sea_temp_c.is_some();
        let none = || EventsRefused(format!("{at}: give kn, sea_temp_c or both"));
        let is_any = faults.take(is_any.then_some(()).ok_or_else(none));
        let kn = self.kn.map(|kn| within(&at, "kn", kn, SPEED_KN, "kn")).transpose();
        let sea = self.sea_temp_c.map(|c| within(&at, "sea_temp_c", c, SEA_C, "°C")).transpose();
        let (kn, sea) = (faults.take(kn), faults.take(sea));
        let position = faults.take(position(&at, self.position));
        number.and(is_any)?;
        Some(LegChange { to: self.to, position: position?, kn: kn?, sea_temp_c: sea? })
    }
}

impl StopLine {
    pub(super) fn read(self, faults: &mut Faults) -> Option<StopChange> {
        let at = format!("stop at waypoint {}", self.at);
        let number = faults.take(number(&at, self.at));
        let hours = faults.take(within(&at, "hours", self.hours, STOP_H, "h"));
        let position = faults.take(position(&at, self.position));
        number?;
        Some(StopChange { at: self.at, position: position?, hours: hours? })
    }
}

fn number(at: &str, number: usize) -> Result<(), EventsRefused> {
    if number >= 2 {
        return Ok(());
    }
    Err(EventsRefused(format!("{at}: waypoints are counted from 1, and a leg leads to 2 or more")))
}

fn position(at: &str, text: Option<String>) -> Result<Option<Position>, EventsRefused> {
    let read = text.map(|text| text.parse().map_err(|e| EventsRefused(format!("{at}: {e}"))));
    read.transpose()
}

/// Whether a waypoint of a route is the one meant.
pub(super) fn fits(route: &Route, number: usize, position: Option<Position>) -> bool {
    let waypoint = number.checked_sub(1).and_then(|i| route.waypoints.get(i));
    waypoint.is_some_and(|waypoint| {
        let off = |p| Leg::new(p, waypoint.position, Track::GreatCircle).length().nmi();
        position.is_none_or(|p| off(p) <= SAME_NMI)
    })
}

impl Events {
    /// Changes that are another route's, each in words.
    pub(super) fn of_another_route(&self, route: &Route) -> Vec<String> {
        let legs = self.legs.iter().filter(|leg| !fits(route, leg.to, leg.position));
        let stops = self.stops.iter().filter(|stop| !fits(route, stop.at, stop.position));
        let legs = legs.map(|leg| format!("the leg to waypoint {}", leg.to));
        legs.chain(stops.map(|stop| format!("the stop at waypoint {}", stop.at))).collect()
    }

    /// Sea temperatures told for legs of this route: the leg counted from 0, °C.
    pub(super) fn sea_temps(&self, route: &Route) -> Vec<(usize, f64)> {
        let told = self.legs.iter().filter(|leg| fits(route, leg.to, leg.position));
        told.filter_map(|leg| Some((leg.to.checked_sub(2)?, leg.sea_temp_c?))).collect()
    }

    /// The route with its speeds and stops as changed; itself where nothing of it is changed.
    pub(super) fn applied(
        &self,
        route: &Route,
        schedule: &Schedule,
        ship: &Ship,
    ) -> Result<Route, String> {
        let legs = self.legs.iter().filter(|leg| fits(route, leg.to, leg.position));
        let speeds: Vec<(usize, f64)> =
            legs.filter_map(|leg| Some((leg.to.checked_sub(2)?, leg.kn?))).collect();
        let stops = self.stops.iter().filter(|stop| fits(route, stop.at, stop.position));
        let stops: Vec<(usize, f64)> = stops.map(|stop| (stop.at - 1, stop.hours)).collect();
        if speeds.is_empty() && stops.is_empty() {
            return Ok(route.clone());
        }
        let mut refused = None;
        let loads = |i: usize, leg: &ScheduledLeg| {
            let kn = speeds.iter().find(|(at, _)| *at == i).map_or(leg.speed_kn, |(_, kn)| *kn);
            Sail { kn, load: Some(load_at(leg, kn, ship)) }
        };
        for (i, leg) in schedule.legs().iter().enumerate() {
            let sail = loads(i, leg);
            if let Some(load) = sail.load.filter(|load| *load > HIGHEST_LOAD) {
                refused = refused.or(Some(too_fast(i + 2, sail.kn, load)));
            }
        }
        if let Some(refused) = refused {
            return Err(refused);
        }
        let lies = |i: usize| {
            let (_, hours) = stops.iter().find(|(at, _)| *at == i)?;
            SignedDuration::try_from_secs_f64(3600.0 * hours).ok()
        };
        Ok(route.resailed(schedule, schedule.start(), loads, lies))
    }
}

/// What another speed asks of the engine, told as a refusal.
pub(super) fn too_fast(to: usize, kn: f64, load: Fraction) -> String {
    format!(
        "leg to waypoint {to}: {kn:.1} kn asks for {:.0} % engine load by the third power of speed, allowed are {:.0} %; give less speed, or mend the leg’s load",
        load.percent(),
        HIGHEST_LOAD.percent()
    )
}

/// Load on a leg at another speed: by the third power on sea passage (propeller law, common practice); elsewhere as it is.
pub(super) fn load_at(leg: &ScheduledLeg, kn: f64, ship: &Ship) -> Fraction {
    let scheduled = leg.load.unwrap_or_else(|| {
        Fraction::from_ratio(match leg.phase {
            Phase::SeaPassage => ship.orders.sea_load_percent / 100.0,
            _ => super::HARBOUR_LOAD,
        })
    });
    if leg.phase != Phase::SeaPassage {
        return scheduled;
    }
    Fraction::from_ratio(scheduled.ratio() * (kn / leg.speed_kn).powi(3))
}

/// What is to hold for a leg and the stop at its end; nothing for what stands as the route has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wanted {
    /// The waypoint the leg leads to, counted from 1.
    pub to: usize,
    /// Speed, knots.
    pub kn: Option<f64>,
    /// Sea temperature, °C.
    pub sea_temp_c: Option<f64>,
    /// Length of the stop, hours.
    pub stop_h: Option<f64>,
}

/// A field of the form, and why it was not taken.
pub type NotTaken = (&'static str, String);

impl Wanted {
    /// From what was typed; an empty figure stands for what the route, or the climatology, has.
    ///
    /// # Errors
    /// Each field that is no figure: `leg`, `leg_kn`, `leg_sea_c`, `leg_stop_h`.
    pub fn typed(leg: &str, kn: &str, sea_c: &str, stop_h: &str) -> Result<Wanted, Vec<NotTaken>> {
        let mut wrong = Vec::new();
        let mut figure = |field: &'static str, text: &str, range: (f64, f64), unit: &str| {
            if text.trim().is_empty() {
                return None;
            }
            let read = in_unit(text, unit).and_then(|value| {
                let (low, high) = range;
                let is_in = (low..=high).contains(&value);
                let refused = || format!("{value:.1} {unit}, allowed {low} to {high} {unit}");
                is_in.then_some(value).ok_or_else(refused)
            });
            read.map_err(|why| wrong.push((field, why))).ok()
        };
        let kn = figure("leg_kn", kn, SPEED_KN, "kn");
        let sea_temp_c = figure("leg_sea_c", sea_c, SEA_C, "°C");
        let stop_h = figure("leg_stop_h", stop_h, STOP_H, "h");
        let to = leg.trim().parse().map_err(|_| {
            wrong.push(("leg", format!("\"{leg}\" is no waypoint; choose one of the list")));
        });
        match to {
            Ok(to) if wrong.is_empty() => Ok(Wanted { to, kn, sea_temp_c, stop_h }),
            _ => Err(wrong),
        }
    }

    /// The events with this in place of what was said of the leg and of the stop before; all else as it was typed.
    pub(super) fn written(&self, text: &str, position: Position) -> String {
        let is_this = |block: &String| {
            Events::read(block).is_ok_and(|events| {
                let leg = events.legs.iter().any(|leg| leg.to == self.to);
                leg || events.stops.iter().any(|stop| stop.at == self.to)
            })
        };
        let mut out: String =
            super::events::blocks(text).into_iter().filter(|block| !is_this(block)).collect();
        let mut add = |head: &str, lines: &[(&str, Option<f64>)]| {
            if lines.iter().all(|(_, value)| value.is_none()) {
                return;
            }
            if !out.is_empty() && !out.ends_with('\n') {
                out.push('\n');
            }
            out += &format!("{head} = {}\nposition = \"{position:.2}\"\n", self.to);
            for (key, value) in lines {
                if let Some(value) = value {
                    out += &format!("{key} = {value}\n");
                }
            }
        };
        add("[[leg]]\nto", &[("kn", self.kn), ("sea_temp_c", self.sea_temp_c)]);
        add("[[stop]]\nat", &[("hours", self.stop_h)]);
        out
    }
}

/// A figure in `unit`, which may stand after it; a sea temperature also in another unit of temperature.
fn in_unit(text: &str, unit: &str) -> Result<f64, String> {
    let style = quantity::Style::Either;
    if unit == "°C" {
        let read = quantity::read_styled(text, Unit::DegC, style).map_err(|e| e.to_string())?;
        if read.unit == Unit::DegC {
            return Ok(read.value);
        }
        let kelvin = read.si(None).map_err(|e| e.to_string())?;
        return Unit::DegC.from_si(kelvin, None).map_err(|e| e.to_string());
    }
    let figure = text.trim().strip_suffix(unit).unwrap_or(text);
    quantity::read_number(figure, style).map_err(|e| e.to_string())
}
