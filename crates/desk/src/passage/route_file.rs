//! The route and the dated events as typed, kept in the ship's folder and remembered in the record.

use jiff::Timestamp;
use route::Reading;
use route::Version;

use crate::desk::{Desk, DeskError};

use super::changes::Wanted;
use super::events::Events;

/// Name of the route file in the folder.
pub const ROUTE_FILE: &str = "route.txt";
/// Name of the file of dated events in the folder.
pub const EVENTS_FILE: &str = "events.toml";

impl Desk {
    /// The route as it is kept; none where no route has been given yet.
    ///
    /// # Errors
    /// [`DeskError::File`] when it is there and cannot be read.
    pub fn route_text(&self) -> Result<Option<String>, DeskError> {
        self.kept_text(ROUTE_FILE)
    }

    /// The route as a route exchange file of the first version, which every chart system reads; none without a route.
    ///
    /// # Errors
    /// The route cannot be read.
    pub fn route_rtz(&self) -> Result<Option<String>, DeskError> {
        let Some(text) = self.route_text()? else { return Ok(None) };
        let route = Reading::of_bytes(text.as_bytes()).route;
        Ok(route.map(|route| route.to_rtz(Version::V1_0)))
    }

    /// The dated events as they are kept.
    ///
    /// # Errors
    /// [`DeskError::File`] when they are there and cannot be read.
    pub fn events_text(&self) -> Result<Option<String>, DeskError> {
        self.kept_text(EVENTS_FILE)
    }

    /// Keeps a route that can be sailed as written.
    ///
    /// # Errors
    /// [`DeskError::Asked`] with every problem of the route; or why it cannot be kept.
    pub fn save_route(&self, text: &str, actor: &str, now: Timestamp) -> Result<(), DeskError> {
        let reading = Reading::of_bytes(text.as_bytes());
        match refusal(&reading) {
            Some(refusal) => Err(DeskError::Asked(refusal)),
            None => self.keep_text(ROUTE_FILE, text, actor, now),
        }
    }

    /// Keeps dated events that can be read, and with which the route that is kept can be sailed.
    ///
    /// # Errors
    /// [`DeskError::Asked`] with what is wrong; or why they cannot be kept.
    pub fn save_events(&self, text: &str, actor: &str, now: Timestamp) -> Result<(), DeskError> {
        let events = Events::read(text).map_err(|e| DeskError::Asked(e.to_string()))?;
        let route = self.route_text()?.and_then(|text| Reading::of_bytes(text.as_bytes()).route);
        // A route that cannot be sailed by itself is no fault of the events.
        if let Some(route) = route.filter(|route| route.schedule().is_ok()) {
            super::as_changed(&route, &events, &self.setup().ship)?;
        }
        self.keep_text(EVENTS_FILE, text, actor, now)
    }

    /// Keeps another speed or sea temperature of a leg, and another length of the stop at its end, among the events; the
    /// route is left alone.
    ///
    /// # Errors
    /// [`DeskError::Asked`]: there is no such waypoint, or the route cannot be sailed so; or why it cannot be kept.
    pub fn change_leg(
        &self,
        wanted: &Wanted,
        actor: &str,
        now: Timestamp,
    ) -> Result<(), DeskError> {
        let route = self.route_text()?.and_then(|text| Reading::of_bytes(text.as_bytes()).route);
        let waypoints = route.map_or_else(Vec::new, |route| route.waypoints);
        let waypoint = wanted.to.checked_sub(1).filter(|i| *i > 0).and_then(|i| waypoints.get(i));
        let Some(waypoint) = waypoint else {
            return Err(DeskError::Asked(format!(
                "waypoint {}: the route has legs to waypoints 2 to {}; choose one of them",
                wanted.to,
                waypoints.len()
            )));
        };
        let text = self.events_text()?.unwrap_or_default();
        self.save_events(&wanted.written(&text, waypoint.position), actor, now)
    }
}

/// Why a route is not planned, in words; none where it can be.
pub(super) fn refusal(reading: &Reading) -> Option<String> {
    let wrong = reading.problems.iter().filter(|problem| !problem.is_note());
    let mut told: Vec<String> = wrong.map(ToString::to_string).collect();
    match &reading.route {
        None if told.is_empty() => told.push("no waypoint was read".to_owned()),
        None => {}
        Some(route) => {
            if let Err(problems) = route.schedule() {
                told.extend(problems.iter().map(ToString::to_string));
            }
        }
    }
    (!told.is_empty()).then(|| told.join("\n"))
}

/// A route file as it would be typed, with what is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RouteRead {
    /// One waypoint a line; empty where none could be read.
    pub text: String,
    /// What was not taken, or taken with a doubt.
    pub told: Vec<String>,
}

/// Reads a route file of any kind: lines, a table, a route exchange file or its container.
#[must_use]
pub fn read_route(bytes: &[u8]) -> RouteRead {
    let reading = Reading::of_bytes(bytes);
    RouteRead {
        told: reading.problems.iter().map(ToString::to_string).collect(),
        text: reading.route.map_or_else(String::new, |route| route.to_lines()),
    }
}
