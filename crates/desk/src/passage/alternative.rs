//! The same passage faster or slower from now on, each planned anew: when she arrives, what is aboard, what it burns.

use jiff::Timestamp;
use jiff::tz::Offset;
use passage::timeline::{STEP_MIN, Waters};
use route::{HIGHEST_LOAD, Phase, Route, Sail, Schedule, ScheduledLeg};

use crate::desk::DeskError;
use crate::setup::Setup;

use super::changes::{LegChange, load_at, too_fast};
use super::events::Events;
use super::{How, PassageView, Voyage, as_changed, planned};

/// Faster and slower by this, kn.
const STEP_KN: f64 = 1.0;
/// Where neither lasts, up to so many such steps are tried.
const MOST_STEPS: u8 = 4;
/// Slower than this no ship steers (common practice), kn.
const SLOWEST_KN: f64 = 4.0;

/// The passage at another speed.
#[derive(Debug, Clone, PartialEq)]
pub struct AtSpeed {
    /// Knots more, or less where negative, on sea passage from now on.
    pub more_kn: f64,
    /// In words, "1 kn slower from now on, 12.2 kn".
    pub what: String,
    /// What comes of it, or why she cannot sail so.
    pub plan: Result<Figures, String>,
}

/// What comes of another speed.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// She arrives then.
    pub arrives: Timestamp,
    /// The ship's zone then.
    pub zone: Offset,
    /// Whether the water lasts.
    pub lasts: bool,
    /// On arrival: one in ten below, middle, one in ten above, t.
    pub on_arrival_t: (f64, f64, f64),
    /// Expected cost of the water; the fuel is not in it.
    pub expected_cost: f64,
    /// Lowest stock that one in ten passages stays under, t.
    pub lowest_p10_t: f64,
    /// Greatest chance of being under the reserve.
    pub worst_chance: f64,
    /// Tonnes bought or cut if nothing scatters.
    pub bought_t: f64,
    /// What the main engine burns more up to arrival, in the ship's currency; none where the ship does not say what it
    /// burns or what that costs.
    pub fuel_more: Option<f64>,
}

/// A knot faster and a knot slower; where the water lasts at neither, the smallest change at which it does, if there is one.
pub(super) fn at_other_speeds(
    setup: &Setup,
    voyage: &Voyage<'_>,
    (from, as_ordered): (Timestamp, &PassageView),
    waters: &(dyn Waters + Sync),
) -> Result<Vec<AtSpeed>, DeskError> {
    let (route, schedule) = as_changed(voyage.route, voyage.events, &setup.ship)?;
    let kn = speed_ahead(&schedule, from);
    let Some(kn) = kn else { return Ok(Vec::new()) };
    let other = Other { setup, voyage, route, schedule, from, as_ordered, kn };
    let at = |more_kn: f64| other.at(more_kn, waters);
    let mut all = vec![at(STEP_KN), at(-STEP_KN)];
    let lasts = |one: &AtSpeed| one.plan.as_ref().is_ok_and(|figures| figures.lasts);
    if as_ordered.lasts() || all.iter().any(lasts) {
        return Ok(all);
    }
    let chance =
        |one: &AtSpeed| one.plan.as_ref().map_or(f64::INFINITY, |figures| figures.worst_chance);
    let first = if chance(&all[0]) <= chance(&all[1]) { STEP_KN } else { -STEP_KN };
    let tries = (2..=MOST_STEPS).flat_map(|n| [first * f64::from(n), -first * f64::from(n)]);
    all.extend(tries.map(at).find(lasts));
    Ok(all)
}

/// Speed on the sea passage she is on or comes to next, kn.
fn speed_ahead(schedule: &Schedule, from: Timestamp) -> Option<f64> {
    let legs = schedule.legs().iter().zip(schedule.calls().iter().skip(1));
    let mut ahead = legs.filter(|(leg, call)| leg.phase == Phase::SeaPassage && call.arrive > from);
    ahead.next().map(|(leg, _)| leg.speed_kn)
}

/// The passage as ordered and what is needed to plan it otherwise.
struct Other<'a> {
    setup: &'a Setup,
    voyage: &'a Voyage<'a>,
    route: Route,
    schedule: Schedule,
    from: Timestamp,
    as_ordered: &'a PassageView,
    kn: f64,
}

impl Other<'_> {
    fn at(&self, more_kn: f64, waters: &(dyn Waters + Sync)) -> AtSpeed {
        let word = if more_kn > 0.0 { "faster" } else { "slower" };
        let kn = self.kn + more_kn;
        let what = format!("{:.0} kn {word} from now on, {kn:.1} kn", more_kn.abs());
        AtSpeed { more_kn, what, plan: self.planned(more_kn, waters) }
    }

    fn planned(&self, more_kn: f64, waters: &(dyn Waters + Sync)) -> Result<Figures, String> {
        let ship = &self.setup.ship;
        let sail = |_: usize, leg: &ScheduledLeg| {
            let more = if leg.phase == Phase::SeaPassage { more_kn } else { 0.0 };
            let kn = leg.speed_kn + more;
            Sail { kn, load: Some(load_at(leg, kn, ship)) }
        };
        let legs = self.schedule.legs().iter().zip(self.schedule.calls().iter().skip(1));
        for (i, (leg, _)) in legs.enumerate().filter(|(_, (_, call))| call.arrive > self.from) {
            let Sail { kn, load } = sail(i, leg);
            if let Some(load) = load.filter(|load| *load > HIGHEST_LOAD) {
                return Err(too_fast(i + 2, kn, load));
            }
            if kn < SLOWEST_KN && kn < leg.speed_kn {
                return Err(format!(
                    "leg to waypoint {}: {kn:.1} kn, a ship steers at {SLOWEST_KN:.0} kn or more",
                    i + 2
                ));
            }
        }
        let route = self.route.resailed(&self.schedule, self.from, sail, |_| None);
        let events = self.events(&route);
        let voyage = Voyage { route: &route, events: &events, ..*self.voyage };
        let view = planned(self.setup, &voyage, self.from, How::AtOnce, waters);
        let view = view.map_err(|why| why.to_string())?;
        Ok(self.figures(&view))
    }

    /// The events for the route as it is numbered with the ship's own place in it; its speeds and stops are in it.
    fn events(&self, route: &Route) -> Events {
        let added = route.waypoints.len() - self.route.waypoints.len().min(route.waypoints.len());
        let calls = self.schedule.calls();
        let ahead = calls.iter().position(|call| call.arrive > self.from).unwrap_or(calls.len());
        let temps = self.voyage.events.sea_temps(&self.route).into_iter();
        let legs = temps.map(|(leg, temp_c)| LegChange {
            to: leg + 2 + if leg + 1 >= ahead.max(1) { added } else { 0 },
            position: None,
            kn: None,
            sea_temp_c: Some(temp_c),
        });
        Events { legs: legs.collect(), stops: Vec::new(), ..self.voyage.events.clone() }
    }

    fn figures(&self, view: &PassageView) -> Figures {
        let policy = &view.brief.policy;
        let last = view.timeline.samples.get(view.arrival).or(view.timeline.samples.last());
        let arrives = last.map_or(view.from, |sample| sample.at);
        let prices = &self.setup.ship.prices;
        let burnt = prices.fuel_day_t * prices.fuel_t;
        let fuel = |view: &PassageView| {
            let sea_load = self.setup.ship.orders.sea_load_percent / 100.0;
            let under_way = view.timeline.samples.iter().take(view.arrival);
            let under_way = under_way.filter(|sample| sample.moment.is_under_way());
            let days = f64::from(STEP_MIN) / 1440.0;
            under_way.map(|sample| sample.load / sea_load.max(0.01) * days).sum::<f64>() * burnt
        };
        Figures {
            arrives,
            zone: view.timeline.clock.zone(arrives),
            lasts: view.lasts(),
            on_arrival_t: view.on_arrival_t(),
            expected_cost: policy.expected_cost,
            lowest_p10_t: view.lowest().map_or(0.0, |(_, t)| t),
            worst_chance: policy.worst_chance,
            bought_t: policy.supply.iter().fold(0.0, |sum, (_, t)| sum + t),
            fuel_more: (burnt > 0.0).then(|| fuel(view) - fuel(self.as_ordered)),
        }
    }
}
