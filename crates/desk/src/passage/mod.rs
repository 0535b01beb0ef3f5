//! "Where and when may water be made, and will it last?": the passage plan as plain values.

mod aboard;
mod against;
mod ahead;
mod alternative;
mod bound;
mod carried;
mod changes;
mod cost;
mod departure;
mod earlier;
mod edited;
mod event_lines;
mod events;
mod foresight;
mod given;
mod kept;
mod legs;
mod missing;
mod ordered;
mod remedy;
mod route_file;
mod seas;
mod stands;
mod still;
mod stretch;
mod strip;
mod tanks;
mod view;
mod why;

pub use ::passage::timeline::{Area, Rule};
pub use against::Against;
pub use ahead::{Ahead, Outlook};
pub use alternative::{AtSpeed, Figures};
pub use changes::{LegChange, NotTaken, StopChange, Wanted};
pub use departure::{DEPARTURE_FILE, Departure, Then};
pub use events::{EVENTS_LEAD, EXAMPLE, Events, EventsRefused};
pub use foresight::Foresight;
pub use given::ORDERS_FILE;
pub use legs::LegLine;
pub use route_file::{EVENTS_FILE, LARGEST_ROUTE, ROUTE_FILE, RouteRead, read_route, too_large};
pub use seas::Seas;
pub use stretch::{Stretch, Water};
pub use strip::{strip, strip_file};
pub use tanks::TankAhead;
pub use view::{CautionLine, Heat, OrderLine, PassageView};

use std::sync::Arc;

use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use logbook::{ShipClock, Zone};
use passage::decision::{
    Before, Draws, Noise, Remedy, State, Verdict, binding, brief_after, plainly, remedies,
    sentence, verdict, worth,
};
use passage::timeline::{Aboard, Demand, Plan, STEP_MIN, Timeline, Waters, timeline};
use plant::Point;
use route::{Phase, Reading, Route, Schedule};

use crate::desk::{Desk, DeskError};
use crate::setup::Setup;
use crate::ship::Ship;

pub(crate) use self::kept::Plans;

use self::given::Given;
use self::kept::{Asked, quarter};
use self::stands::Old;
use self::still::Ours;

impl Desk {
    /// Plans the route that is kept from now on, over the seas built in; `None` where no route has been given.
    ///
    /// # Errors
    /// Why the route cannot be planned, in words; or why the record cannot be read.
    pub fn passage(&self, now: Timestamp, how: How) -> Result<Option<Arc<PassageView>>, DeskError> {
        let Some(asked) = self.asked(now, how)? else { return Ok(None) };
        let (route, from) = (asked.route.clone(), asked.from);
        let plan = || {
            let seas = Seas::built_in()?;
            let shores = |line: &Timeline| {
                let track: Vec<_> = line.samples.iter().map(|s| s.moment.position).collect();
                seas.shores(&track)
            };
            let (mut view, shores) =
                self.plan_from(route.as_bytes(), (from, now), how, &seas, shores)?;
            view.shores = shores;
            view.edited = edited::says(self.plans(), &asked, &view);
            if how != How::AtDeparture {
                self.keep_orders(&asked, &view);
            }
            Ok(view)
        };
        self.plans().of(&asked, plan).map(Some)
    }

    /// What a plan of the kept route would be made from.
    pub(crate) fn asked(&self, now: Timestamp, how: How) -> Result<Option<Asked>, DeskError> {
        let Some(route) = self.route_text()? else { return Ok(None) };
        Ok(Some(Asked {
            from: quarter(now),
            how,
            route,
            events: self.events_text()?.unwrap_or_default(),
            ship: self.setup().text.clone(),
            head: self.head()?.1,
        }))
    }

    /// Plans a route as typed from now on, from the same quarter of an hour as the page does.
    ///
    /// # Errors
    /// As [`Desk::passage`].
    pub fn passage_of(
        &self,
        text: impl AsRef<[u8]>,
        now: Timestamp,
        how: How,
        waters: &(dyn Waters + Sync),
    ) -> Result<PassageView, DeskError> {
        Ok(self.plan_from(text.as_ref(), (quarter(now), now), how, waters, |_| ())?.0)
    }

    /// The events as typed without those dated outside the kept route's time; as they are where there is no route.
    ///
    /// # Errors
    /// The route cannot be read.
    pub fn events_inside(&self, text: &str) -> Result<String, DeskError> {
        let route = self.route_text()?.and_then(|t| Reading::of_bytes(t.as_bytes()).route);
        let scheduled = route.and_then(|route| Some((route.schedule().ok()?, route)));
        Ok(scheduled.map_or_else(
            || text.to_owned(),
            |(schedule, route)| Events::inside(text, sailed(&schedule), &route),
        ))
    }

    /// Plans a route from one moment with what the record holds up to another; what is asked of the way is found meanwhile.
    fn plan_from<T: Send>(
        &self,
        text: &[u8],
        (from, now): (Timestamp, Timestamp),
        how: How,
        waters: &(dyn Waters + Sync),
        beside: impl FnOnce(&Timeline) -> T + Send,
    ) -> Result<(PassageView, T), DeskError> {
        let reading = Reading::of_bytes(text);
        if let Some(refusal) = route_file::refusal(&reading) {
            return Err(DeskError::Asked(refusal));
        }
        let doubts = reading.problems.iter().filter(|problem| problem.is_note());
        let mut doubts: Vec<String> = doubts.map(|problem| format!("{problem}.")).collect();
        let mut route =
            reading.route.ok_or_else(|| DeskError::Asked("no waypoint was read".into()))?;
        let recorded = self.clock()?.zone(from);
        let zoneless = tells_no_zone(&route, text);
        if zoneless && let Ok(zone) = Offset::from_seconds(60 * recorded.minutes()) {
            route.zone = zone;
        }
        let events_text = self.events_text()?.unwrap_or_default();
        let (events, earlier) =
            Events::of(&events_text, &route).map_err(|e| DeskError::Asked(e.in_the_plan()))?;
        let setup = self.setup();
        let current = self.now(now)?;
        let share = aboard::share(self, now)?;
        let mut aboard = aboard::aboard(&setup.ship, &current, &events);
        (aboard.start_min, aboard.stop_min) = self.start_and_stop_min(now)?;
        // A plan that begins at a departure still to come begins with the plant off, whatever it does now.
        let (changed, schedule) = as_changed(&route, &events, &setup.ship)?;
        if from < schedule.start() {
            aboard.state = State::Off;
        }
        let aboard::Share { value: share, says: share_says, is_new: share_fell } = share;
        let demand = aboard::demand(&setup.ship, &events);
        let carried = self.carry(
            (&current, &setup.ship),
            (&demand, &schedule, share),
            &mut aboard.tanks,
            (from, now),
        )?;
        aboard.stock_sd_t = carried.sd_t;
        let read = current.tanks.iter().map(|tank| (tank.seq, tank.sounding_cm));
        let soundings: Vec<(u64, f64)> = read.collect();
        let voyage = Voyage { route: &route, events: &events, aboard: &aboard, share };
        let unsounded = aboard::unsounded(&setup.ship, &current);
        let old = match how {
            How::AtDeparture => None,
            How::AtOnce | How::Whole => kept::before(self.plans(), text, from),
        };
        let edited = |kept: &Asked| kept.events != events_text || kept.ship != setup.text;
        let edited = old.as_ref().is_some_and(|(kept, _)| edited(kept));
        let margin = setup.ship.prices.start;
        let begins = from.max(schedule.start());
        let given = old.map(|(_, view)| Given::of(&view, margin, edited)).or_else(|| {
            // A program begun again goes on from what the one before it kept.
            let text = std::str::from_utf8(text).ok().filter(|_| how != How::AtDeparture)?;
            self.orders_kept((text, &events_text, &setup.text), begins, margin)
        });
        let old = given.map(|given| Old::new(given, begins, (&aboard, &soundings), &setup.ship));
        let before = old.as_ref().map(Old::before).unwrap_or_default();
        let (mut view, found) =
            planned_beside(&setup, &voyage, (from, how, &before), waters, beside)?;
        if let Some(old) = &old {
            let (ordered, says) = old.told(&view, &setup.ship);
            view.ordered = ordered;
            view.brief.notes.extend(says);
        }
        if how == How::Whole {
            view.speeds = alternative::at_other_speeds(&setup, &voyage, (from, &view), waters)?;
        }
        let zones = zones_differ(&view, &self.clock()?, from);
        if !unsounded.is_empty() && unsounded.len() == setup.ship.tanks.len() {
            view.says =
                format!("No tank has been sounded, all are counted as empty. {}", view.says);
        }
        if zoneless {
            view.brief.notes.push(format!(
                "The route tells no ship’s time: times here are by the record’s clocks as they are now, {recorded}, all the way."
            ));
        }
        let too_fast = changed.too_fast(&schedule);
        view.brief.notes.extend(too_fast.iter().map(|problem| format!("{problem}.")));
        doubts.splice(0..0, legs::hurried(&changed, &schedule));
        let on_land = legs::inland(&changed, &schedule, waters);
        view.brief.notes.extend(aboard::over_full(&setup.ship, &current));
        let mut reckoned: Vec<String> = carried.says(view.stock_t(0)).into_iter().collect();
        reckoned.extend(aboard::out_of_reach(&view.aboard));
        reckoned.extend(aboard::days_of_use(&demand, view.from));
        let used_t_day = demand.drinking_t_day + demand.domestic_t_day + demand.technical_sea_t_day;
        let stale = aboard::stale(&current, from, used_t_day);
        view.brief.notes.extend(stale.clone());
        if let Some(waits) = waits(&view, &demand, now) {
            view.brief.notes.push(waits);
        }
        let view = PassageView {
            on_land,
            doubts,
            reckoned,
            unsounded,
            stale,
            zones,
            share_says,
            share_fell,
            earlier,
            soundings,
            ..view
        };
        Ok((view, found))
    }
}

/// How much is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum How {
    /// What has to be known at once: will it last, the orders, the tanks.
    AtOnce,
    /// Also what binds and what could be done otherwise: a dozen plans more.
    Whole,
    /// What was to be foreseen at the last departure, to be held against what came.
    AtDeparture,
}

/// The passage and what she has for it.
#[derive(Debug, Clone, Copy)]
pub struct Voyage<'a> {
    /// The route.
    pub route: &'a Route,
    /// What is dated on it.
    pub events: &'a Events,
    /// What is aboard.
    pub aboard: &'a Aboard,
    /// What she makes of a sound, clean plant's output.
    pub share: f64,
}

/// Plans a route for a ship with so much aboard.
///
/// # Errors
/// [`DeskError::Asked`]: why there is nothing to plan.
pub fn planned(
    setup: &Setup,
    voyage: &Voyage<'_>,
    now: Timestamp,
    how: How,
    waters: &(dyn Waters + Sync),
) -> Result<PassageView, DeskError> {
    Ok(planned_beside(setup, voyage, (now, how, &Before::default()), waters, |_| ())?.0)
}

/// The same, and what is asked of the way, which is found while the plan is made: a plan has three modes of output, a machine
/// rarely three cores to spare. `before` is what is known of the plan before it.
fn planned_beside<T: Send>(
    setup: &Setup,
    voyage: &Voyage<'_>,
    (now, how, before): (Timestamp, How, &Before),
    waters: &(dyn Waters + Sync),
    beside: impl FnOnce(&Timeline) -> T + Send,
) -> Result<(PassageView, T), DeskError> {
    let ship = &setup.ship;
    let Voyage { route, events, aboard, share } = *voyage;
    let (changed, schedule) = as_changed(route, events, ship)?;
    let (orders, demand) = (aboard::orders(ship, events), aboard::demand(ship, events));
    let sea_temps = events.sea_temps(route);
    let asked = Plan {
        schedule: &schedule,
        orders: &orders,
        hands: aboard::hands(ship),
        demand: &demand,
        sea_temps: &sea_temps,
        sea_load: ship.orders.sea_load_percent / 100.0,
        harbour_load: HARBOUR_LOAD,
        beyond_days: BEYOND_DAYS,
    };
    let ours = Ours::new(&setup.plant, Point::rated(&setup.ship.sheet), share);
    let line =
        timeline(&asked, now, waters, &ours).map_err(|why| DeskError::Asked(why.to_string()))?;
    let prices = aboard::prices(ship, events);
    let problem = line.problem(&route.name, aboard, &demand, &prices, Noise::default());
    let draws = Draws::default();
    let (mut brief, found) = rayon::join(|| brief_after(&problem, draws, before), || beside(&line));
    let (binds, relaxed, remedies) = match how {
        How::AtOnce | How::AtDeparture => (None, Vec::new(), Vec::new()),
        How::Whole => {
            let together = brief.together();
            let relaxed = worth(&problem, together);
            let list = Remedy::usual(&problem);
            let remedies =
                remedies(&problem, &brief, &list, Draws { count: REMEDY_DRAWS, ..draws });
            (Some(binding(&relaxed, together.expected_cost)), relaxed, remedies)
        }
    };
    let policy = &brief.policy;
    let says = plainly(&problem, policy, &brief.bands, binds.as_deref(), |k| view::at(&line, k));
    let missing = missing::says(&line, &problem, &brief);
    let binding = match &binds {
        _ if missing.is_some() => missing.clone().unwrap_or_default(),
        // What binds was not asked: nothing is said of it.
        None if verdict(&problem, policy) == Verdict::Lasts => says.clone(),
        named => sentence(&problem, policy, named.as_deref().unwrap_or_default()),
    };
    let just = missing::just(&line, &brief);
    // Tanks that cannot carry the plan come before what would be missing with them.
    let cannot = brief.tank_plan.as_ref().and_then(|plan| plan.cannot.as_ref());
    let says = match (cannot, missing) {
        (Some(cannot), missing) => {
            missing.map_or(cannot.to_string(), |missing| format!("{cannot} {missing}"))
        }
        (_, missing) => missing.unwrap_or(says),
    };
    let cannot = cannot.map(ToString::to_string).unwrap_or_default();
    brief.notes.retain(|note| *note != cannot);
    let place = bound::bound_for(route, &schedule, now);
    let arrival = line.index(bound::arrival(&schedule, place));
    let orders = ordered::orders_of(&line, &brief);
    let from = line.samples.first().map_or(now, |sample| sample.at);
    let way_out = remedy::way_out(&remedies, &ship.currency, |k| view::at(&line, k));
    let view = PassageView {
        name: route.name.clone(),
        to: bound::called(route, place),
        to_go_nmi: bound::to_go_nmi(&line, arrival),
        making_t_day: ordered::making(&line, &problem, &brief),
        says,
        binding,
        // Without a tank there is nothing that could be full.
        why_off: why::heat_comes_off(&line, &problem, &brief, &ship.currency)
            .filter(|_| !ship.tanks.is_empty() && cannot.is_empty()),
        just,
        costs: cost::parts(&problem, &brief.policy),
        in_port: events.in_port(&line),
        doubts: Vec::new(),
        reckoned: Vec::new(),
        share_fell: false,
        route_ends: schedule.end(),
        outside: events.outside(sailed(&schedule), route),
        earlier: Vec::new(),
        edited: None,
        on_land: Vec::new(),
        legs: legs::lines(&changed, &schedule, &line, events),
        speeds: Vec::new(),
        ordered: from,
        currency: ship.currency.clone(),
        how,
        reserve_t: problem.samples.reserve_t.clone(),
        ceiling_t: problem.samples.ceiling_t.clone(),
        day_t: demand.day_at_sea_t(),
        cautions: view::stretches(&line.samples),
        aboard: aboard.clone(),
        unsounded: Vec::new(),
        soundings: Vec::new(),
        stale: None,
        zones: None,
        timeline: line,
        brief,
        worth: remedy::worth(&relaxed, &ship.currency),
        way_out,
        remedies,
        arrival,
        orders,
        share,
        share_says: String::new(),
        from,
        distance_off_nmi: ship.orders.distance_off_nmi,
        ports: bound::ports(route),
        areas: events.areas.clone(),
        shores: chart::Coastline::default(),
    };
    Ok((view, found))
}

/// The route with what was changed of it, and its times.
pub(crate) fn as_changed(
    route: &Route,
    events: &Events,
    ship: &Ship,
) -> Result<(Route, Schedule), DeskError> {
    let times = |route: &Route| {
        route.schedule().map_err(|problems| {
            let told = problems.iter().map(ToString::to_string);
            DeskError::Asked(told.collect::<Vec<_>>().join("\n"))
        })
    };
    let schedule = times(route)?;
    let changed = events.applied(route, &schedule, ship).map_err(DeskError::Asked)?;
    if changed == *route {
        return Ok((changed, schedule));
    }
    let schedule = times(&changed)?;
    Ok((changed, schedule))
}

/// Hours up to a departure in which what is used makes no difference.
const SOON_H: f64 = 6.0;

/// What is to be known of a plan that begins at a departure still to come: it reckons with today's soundings.
fn waits(view: &PassageView, demand: &Demand, now: Timestamp) -> Option<String> {
    let hours = view.from.duration_since(now).as_secs_f64() / 3600.0;
    if hours < SOON_H {
        return None;
    }
    let (day_t, aboard_t) =
        (demand.at(now, f64::from(STEP_MIN) / 60.0, Phase::Berth).steady(), view.aboard.stock_t());
    let used_t = day_t * hours / 24.0;
    // Nought, not less than nought.
    let aboard_t = aboard_t + 0.0;
    Some(format!(
        "She departs in {}: the soundings of today, {aboard_t:.0} t, are taken as those of the departure. Until then about {used_t:.0} t are used in port, at {day_t:.1} t a day; what is made or taken on until then is not in it either. Sound the tanks on departure and look again.",
        if hours < 48.0 {
            format!("{hours:.0} hours")
        } else {
            format!("{:.0} days", hours / 24.0)
        }
    ))
}

/// Whether a route says nothing of the ship's clocks: not even that they stand on UTC.
fn tells_no_zone(route: &Route, text: &[u8]) -> bool {
    let untold = route.zone == Offset::UTC
        && route.clock_changes.is_empty()
        && route.waypoints.iter().all(|waypoint| waypoint.zone.is_none());
    let text = String::from_utf8_lossy(text).to_lowercase();
    untold && !text.contains("zone") && !text.contains("clock")
}

/// Where the record's clocks and the route's stand apart: a plan read off in the wrong hour is no plan.
fn zones_differ(view: &PassageView, clock: &ShipClock, now: Timestamp) -> Option<String> {
    let recorded = clock.zone(now);
    let reckoned = Zone::from_minutes(view.timeline.clock.zone(now).seconds() / 60).ok()?;
    (reckoned != recorded).then(|| {
        format!(
            "By the record the ship’s clocks are on {recorded}, the route reckons with {reckoned}: times on this page are the route’s."
        )
    })
}

/// The time a route plans for: events outside it belong to another voyage.
fn sailed(schedule: &Schedule) -> (Timestamp, Timestamp) {
    let beyond = SignedDuration::from_secs_f64(86_400.0 * BEYOND_DAYS);
    let end = schedule.end();
    (schedule.start(), end.checked_add(beyond).unwrap_or(end))
}

/// Passages sailed for each remedy.
const REMEDY_DRAWS: usize = 1000;
/// Engine load under way but not on sea passage, share of rated (common practice).
const HARBOUR_LOAD: f64 = 0.25;
/// The plan runs on so many days after the route's end.
const BEYOND_DAYS: f64 = 3.0;
