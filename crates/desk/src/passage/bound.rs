//! Where she is bound for, when she is there, how far it is and what it is called.

use jiff::Timestamp;
use passage::timeline::Timeline;
use route::{Lying, Route, Schedule, Waypoint};

/// Where she is bound for: the next waypoint at which she goes alongside, else the last of the route. A stop at anchor or a
/// drift on the way is no arrival.
pub(super) fn bound_for(route: &Route, schedule: &Schedule, now: Timestamp) -> usize {
    let last = route.waypoints.len().saturating_sub(1);
    let alongside =
        |waypoint: &Waypoint| waypoint.stays.iter().any(|stay| stay.lying == Lying::AtBerth);
    let calls = route.waypoints.iter().zip(schedule.calls()).enumerate().skip(1);
    let mut ahead = calls.filter(|(_, (_, call))| call.arrive > now);
    ahead.find(|(_, (waypoint, _))| alongside(waypoint)).map_or(last, |(place, _)| place)
}

/// When she arrives there.
pub(super) fn arrival(schedule: &Schedule, place: usize) -> Timestamp {
    schedule.calls().get(place).map_or(schedule.arrival(), |call| call.arrive)
}

/// What the place she is bound for is called.
pub(super) fn called(route: &Route, place: usize) -> String {
    let last = route.waypoints.len().saturating_sub(1);
    let own = route.waypoints.get(place).map(|waypoint| waypoint.name.clone());
    let own = own.filter(|name| !name.is_empty());
    let port = if place == last { route.to_port.clone() } else { None };
    let near = || last_name(route).filter(|_| place == last);
    port.or(own).or_else(near).unwrap_or_else(|| format!("waypoint {}", place + 1))
}

/// The named ends of the route and where she lies.
pub(super) fn ports(route: &Route) -> Vec<(String, ocean::Position)> {
    let last = route.waypoints.len().saturating_sub(1);
    let named = route.waypoints.iter().enumerate().filter(|(i, waypoint)| {
        !waypoint.name.is_empty() && (*i == 0 || *i == last || waypoint.lies())
    });
    named.map(|(_, waypoint)| (waypoint.name.clone(), waypoint.position)).collect()
}

/// The last waypoint may be a pilot's or a berth without a name: so far off, nmi, a named one still tells where it is.
const NEAR_NMI: f64 = 50.0;

/// The last name on the route that tells where it ends.
fn last_name(route: &Route) -> Option<String> {
    let end = route.waypoints.last()?.position;
    let named = route.waypoints.iter().rev().find(|waypoint| !waypoint.name.is_empty())?;
    let near = ocean::Leg::new(named.position, end, ocean::Track::GreatCircle);
    (near.length().nmi() <= NEAR_NMI).then(|| named.name.clone())
}

/// How far it is there from the beginning of the plan, nmi.
pub(super) fn to_go_nmi(line: &Timeline, arrival: usize) -> f64 {
    let run = |k: usize| line.samples.get(k).map_or(0.0, |sample| sample.moment.run.nmi());
    run(arrival) - run(0)
}
