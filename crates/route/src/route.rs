//! A route: its waypoints in order, its ports and the ship's clock along it.

use jiff::Timestamp;
use jiff::tz::Offset;
use ocean::Leg;

use crate::problem::Problem;
use crate::schedule::Schedule;
use crate::waypoint::Waypoint;

/// The most waypoints a route may have.
pub const MOST_WAYPOINTS: usize = 5_000;

/// The most changes of the ship's clocks by date that a route may plan.
pub const MOST_CLOCK_CHANGES: usize = 1_000;

/// A route as an officer knows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Route {
    /// Its name.
    pub name: String,
    /// The port she sails from.
    pub from_port: Option<String>,
    /// The port she sails to.
    pub to_port: Option<String>,
    /// The offset of the ship's clocks from UTC when the route begins.
    pub zone: Offset,
    /// Planned changes of the ship's clocks by instant; those by place stand with their [`Waypoint::zone`].
    pub clock_changes: Vec<(Timestamp, Offset)>,
    /// The waypoints, in the order she comes to them.
    pub waypoints: Vec<Waypoint>,
}

impl Default for Route {
    fn default() -> Self {
        Self::new("", Vec::new())
    }
}

impl Route {
    /// A route with this name and these waypoints, clocks on UTC.
    #[must_use]
    pub fn new(name: impl Into<String>, waypoints: Vec<Waypoint>) -> Self {
        Self {
            name: name.into(),
            from_port: None,
            to_port: None,
            zone: Offset::UTC,
            clock_changes: Vec::new(),
            waypoints,
        }
    }

    /// The legs, the first being that from the first waypoint to the second.
    pub fn legs(&self) -> impl Iterator<Item = Leg> + '_ {
        self.waypoints
            .windows(2)
            .map(|pair| Leg::new(pair[0].position, pair[1].position, pair[1].track))
    }

    /// When she is where: the times of every waypoint, from the departure with leg speeds and ETAs.
    ///
    /// # Errors
    /// Every [`Problem`] that keeps the route from being sailed as written, in the order of its waypoints.
    pub fn schedule(&self) -> Result<Schedule, Vec<Problem>> {
        Schedule::new(self)
    }
}
