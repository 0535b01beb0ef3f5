//! What is wrong with a route or was taken with a doubt, and where: each with what was read, what is allowed and what to change.

use std::fmt;

use crate::route::Route;
use crate::told::Told;

pub use crate::fault::Fault;

/// Something wrong or doubtful at one place of a route or of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Where.
    pub place: Place,
    /// What.
    pub fault: Fault,
}

/// Where in a route or file something stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// All of it.
    Whole,
    /// A line of text or of a table, counted from 1.
    Line(usize),
    /// A waypoint of the route.
    Waypoint {
        /// Counted from 1.
        number: usize,
        /// Its name; empty where it has none.
        name: String,
    },
    /// A waypoint of a route exchange file, by the id it has there.
    Id(String),
}

impl Place {
    /// The waypoint with this index, counted from 0.
    pub(crate) fn waypoint(route: &Route, index: usize) -> Self {
        let name = route.waypoints.get(index).map_or_else(String::new, |one| one.name.clone());
        Self::Waypoint { number: index + 1, name }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Whole => f.write_str("route"),
            Self::Line(line) => write!(f, "line {line}"),
            Self::Waypoint { number, name } if name.is_empty() => write!(f, "waypoint {number}"),
            Self::Waypoint { number, name } => write!(f, "waypoint {number} ({name})"),
            Self::Id(id) => write!(f, "waypoint with id \"{id}\""),
        }
    }
}

impl Problem {
    pub(crate) const fn at(place: Place, fault: Fault) -> Self {
        Self { place, fault }
    }

    /// Whether the route was taken all the same, on the assumption that the message names.
    #[must_use]
    pub const fn is_note(&self) -> bool {
        self.fault.is_note()
    }

    /// The field it is about.
    #[must_use]
    pub fn field(&self) -> &'static str {
        self.fault.told().field
    }

    /// What was read or follows from it.
    #[must_use]
    pub fn read(&self) -> String {
        self.fault.told().read
    }

    /// What is allowed there.
    #[must_use]
    pub fn allowed(&self) -> String {
        self.fault.told().allowed.into_owned()
    }

    /// What to change.
    #[must_use]
    pub fn remedy(&self) -> String {
        self.fault.told().remedy.into_owned()
    }
}

/// One sentence: `line 3: speed 72 kn: allowed are above 0 to 60 kn; correct the speed`.
impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Told { field, read, allowed, remedy } = self.fault.told();
        write!(f, "{}: {field} {read}: {allowed}; {remedy}", self.place)
    }
}

impl std::error::Error for Problem {}
