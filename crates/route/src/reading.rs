//! Reading a route in whatever form it comes, and what was read of it.

use std::io::Read;

use crate::problem::{Fault, Place, Problem};
use crate::route::Route;
use crate::{container, lines, rtz, table};

/// The largest file looked at, bytes. Route exchange files have a few hundred kilobytes at most.
pub const LARGEST_FILE: u64 = 4 << 20;

/// What was read of a route, and what was not.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The waypoints that could be read, in order; `None` where there was not one.
    pub route: Option<Route>,
    /// What is wrong, and what was taken with a doubt.
    pub problems: Vec<Problem>,
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
        self.problems.iter().any(|problem| match &problem.fault {
            Fault::Position(_) => true,
            Fault::Missing { what, of } => *of == "waypoint" && *what != "id",
            Fault::Number { field, .. } => ["lat", "lon"].contains(field),
            _ => false,
        })
    }

    pub(crate) fn refused(fault: Fault) -> Self {
        Self { route: None, problems: vec![Problem::at(Place::Whole, fault)] }
    }

    /// Ends a reading: what was read is looked at as a route, unless a waypoint is missing from it.
    pub(crate) fn of(route: Route, mut problems: Vec<Problem>) -> Self {
        if route.waypoints.is_empty() {
            if problems.iter().all(Problem::is_note) {
                problems.push(Problem::at(Place::Whole, Fault::NothingRead));
            }
            return Self { route: None, problems };
        }
        if problems.iter().all(Problem::is_note) {
            match route.schedule() {
                Ok(_) => problems.extend(route.notes()),
                Err(more) => problems.extend(more),
            }
        }
        problems.extend(route.suspects());
        Self { route: Some(route), problems }
    }
}
