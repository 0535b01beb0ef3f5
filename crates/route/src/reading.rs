//! Reading a route in whatever form it comes, and what was read of it.

use std::io::Read;

use crate::problem::{Fault, Place, Problem};
use crate::route::Route;
use crate::waypoint::Waypoint;
use crate::{container, lines, rtz, table};

/// The largest file looked at, bytes. Route exchange files have a few hundred kilobytes at most.
pub const LARGEST_FILE: u64 = 4 << 20;

/// What stands in place of a waypoint that was not read.
const NOT_READ: &str = "not read; write its position here";

/// A route as it is taken from a file, with where everything of it stands.
#[derive(Debug, Clone, Default)]
pub(crate) struct Taken {
    pub route: Route,
    pub places: Vec<Place>,
    pub holes: Vec<(usize, Place)>,
}

impl Taken {
    /// The waypoint that stands there, if it could be taken.
    pub fn push(&mut self, waypoint: Option<Waypoint>, place: Place) {
        match waypoint {
            Some(waypoint) => {
                self.route.waypoints.push(waypoint);
                self.places.push(place);
            }
            None => self.holes.push((self.route.waypoints.len(), place)),
        }
    }
}

/// What was read of a route, and what was not.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The waypoints that could be read, in order; `None` where there was not one.
    pub route: Option<Route>,
    /// What is wrong, and what was taken with a doubt.
    pub problems: Vec<Problem>,
    /// Where each waypoint of the route stands in what was read.
    places: Vec<Place>,
    /// Waypoints that could not be taken: how many were read before each, and where it stands.
    holes: Vec<(usize, Place)>,
}

impl Reading {
    /// Reads a file or a pasted text: a route exchange file, its container, a table, or one waypoint a line. Which one it is
    /// shows in what it begins with.
    ///
    /// ```
    /// let text = "route: Two islands\n\
    ///             20 10.0 S 057 30.0 E, Port Louis, ETD 2026-05-04 06:00Z, full away\n\
    ///             20 55.0 S 055 17.0 E, Le Port, 12.5 kn, end of passage, anchor 6 h\n";
    /// let reading = route::Reading::of_bytes(text.as_bytes());
    /// assert!(reading.is_clear());
    /// assert_eq!(reading.route.unwrap().waypoints.len(), 2);
    /// ```
    #[must_use]
    pub fn of_bytes(bytes: &[u8]) -> Self {
        let size = bytes.len() as u64;
        if size > LARGEST_FILE {
            return Self::refused(Fault::TooLarge { bytes: size, allowed: LARGEST_FILE });
        }
        if container::is_one(bytes) {
            return match container::route_file(bytes) {
                Ok(inside) => Self::of_text(&inside),
                Err(fault) => Self::refused(fault),
            };
        }
        Self::of_text(bytes)
    }

    /// As [`Reading::of_bytes`], taking no more from the source than is looked at.
    #[must_use]
    pub fn of_source(source: impl Read) -> Self {
        let mut bytes = Vec::new();
        match source.take(LARGEST_FILE + 1).read_to_end(&mut bytes) {
            Ok(_) => Self::of_bytes(&bytes),
            Err(error) => Self::refused(Fault::Unreadable { said: error.to_string() }),
        }
    }

    fn of_text(bytes: &[u8]) -> Self {
        match std::str::from_utf8(bytes) {
            Ok(text) => {
                let text = text.strip_prefix('\u{feff}').unwrap_or(text);
                if text.trim_start().starts_with('<') {
                    rtz::read(text)
                } else if let Some(layout) = table::layout(text) {
                    table::read(text, &layout)
                } else {
                    lines::read(text)
                }
            }
            Err(error) => Self::refused(Fault::NotText { at: error.valid_up_to() }),
        }
    }

    /// How many waypoints were read.
    #[must_use]
    pub fn waypoints_read(&self) -> usize {
        self.route.as_ref().map_or(0, |route| route.waypoints.len())
    }

    /// Whether the route was read whole and can be sailed as written; notes do not count.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        self.route.is_some() && self.problems.iter().all(Problem::is_note)
    }

    /// Whether a waypoint of the file could not be taken: what was read of it is a route with a hole.
    #[must_use]
    pub fn lacks_a_waypoint(&self) -> bool {
        !self.holes.is_empty()
    }

    /// The waypoints read as lines; in place of each that could not be taken a line that says where it stands and that cannot
    /// be taken either, so that nobody sails over the hole.
    #[must_use]
    pub fn to_lines(&self) -> String {
        let Some(route) = &self.route else { return String::new() };
        let lines = route.to_lines();
        let above = lines.lines().count().saturating_sub(route.waypoints.len());
        let mut out = String::new();
        let mut holes = self.holes.iter().peekable();
        for (i, line) in lines.lines().enumerate() {
            while let Some((_, place)) = holes.next_if(|(before, _)| i >= above + before) {
                out.push_str(&format!("{place}: {NOT_READ}\n"));
            }
            out.push_str(line);
            out.push('\n');
        }
        for (_, place) in holes {
            out.push_str(&format!("{place}: {NOT_READ}\n"));
        }
        out
    }

    pub(crate) fn refused(fault: Fault) -> Self {
        Self::nothing(vec![Problem::at(Place::Whole, fault)])
    }

    /// Not one waypoint.
    pub(crate) fn nothing(problems: Vec<Problem>) -> Self {
        Self { route: None, problems, places: Vec::new(), holes: Vec::new() }
    }

    /// Ends a reading: what was read is looked at as a route. Where a waypoint is missing from it only what holds of each
    /// waypoint by itself is told.
    pub(crate) fn of(taken: Taken, mut problems: Vec<Problem>) -> Self {
        let Taken { route, places, holes } = taken;
        only_once(&mut problems);
        if route.waypoints.is_empty() {
            if problems.iter().all(Problem::is_note) {
                problems.push(Problem::at(Place::Whole, Fault::NothingRead));
            }
            return Self { holes, ..Self::nothing(problems) };
        }
        match route.schedule() {
            Ok(_) if problems.iter().all(Problem::is_note) => problems.extend(route.notes()),
            Ok(_) => {}
            Err(mut more) => {
                more.retain(|problem| holes.is_empty() || !problem.fault.is_between_waypoints());
                // Waypoints are counted as they stand in the route; in one with a hole they stand elsewhere in the file.
                for problem in more.iter_mut().filter(|_| !holes.is_empty()) {
                    if let Place::Waypoint { number, .. } = problem.place
                        && let Some(place) = number.checked_sub(1).and_then(|i| places.get(i))
                    {
                        problem.place = place.clone();
                    }
                }
                problems.extend(more);
            }
        }
        if holes.is_empty() {
            problems.extend(route.suspects());
        }
        Self { route: Some(route), problems, places, holes }
    }
}

/// A table has a speed beside every ETA: the first is told for all.
fn only_once(problems: &mut Vec<Problem>) {
    let mut is_told = false;
    problems.retain(|problem| {
        let again = is_told && matches!(problem.fault, Fault::SpeedBesideEta { .. });
        is_told |= matches!(problem.fault, Fault::SpeedBesideEta { .. });
        !again
    });
}
