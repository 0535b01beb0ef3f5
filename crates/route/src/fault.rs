//! Every way in which a route can be wrong or doubtful, with its numbers.

use jiff::Timestamp;
use ocean::{Distance, Position, PositionError};
use quantity::Fraction;

use crate::waypoint::Lying;

/// A way in which a route or its file can be wrong, or was taken with a doubt.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Fault {
    /// Not one waypoint.
    NoWaypoint,
    /// A single waypoint.
    OneWaypoint,
    /// More waypoints than a route may have.
    ManyWaypoints {
        /// How many.
        count: usize,
    },
    /// More changes of the ship's clocks than a route may plan.
    ManyClockChanges {
        /// How many.
        count: usize,
    },
    /// Nothing says when she sails.
    NoDeparture,
    /// Nothing says how fast a leg is sailed.
    NoSpeed,
    /// A speed no ship sails at.
    Speed {
        /// Knots.
        kn: f64,
    },
    /// An ETA at or before the departure.
    EtaBeforeDeparture {
        /// The ETA.
        eta: Timestamp,
        /// The departure.
        departure: Timestamp,
    },
    /// An ETA before she can be there.
    EtaOutOfOrder {
        /// The ETA.
        eta: Timestamp,
        /// When she leaves the waypoint before it, stays between included.
        earliest: Timestamp,
    },
    /// An ETA that asks for more speed than a ship has.
    EtaNeeds {
        /// The speed it asks for, knots.
        kn: f64,
        /// The way to go.
        way: Distance,
        /// The time for it, hours.
        hours: f64,
    },
    /// An ETD before she has come, or before her stay is over.
    LeavesTooEarly {
        /// The ETD.
        etd: Timestamp,
        /// When she is ready to leave.
        ready: Timestamp,
    },
    /// Two waypoints at one place.
    SamePlace {
        /// The place.
        position: Position,
    },
    /// A stay that is negative or longer than any.
    Stay {
        /// Its length, days.
        days: f64,
    },
    /// A stay without a length where she goes on.
    OpenStay {
        /// How she lies.
        lying: Lying,
    },
    /// A load no engine runs at.
    Load {
        /// The load, as a share of rated.
        load: Fraction,
    },
    /// Times beyond what a calendar holds.
    TooLong,
    /// A text that is no position.
    Position(PositionError),
    /// A waypoint that would lie far nearer the track with latitude and longitude changed over.
    Swapped {
        /// As read.
        position: Position,
        /// Changed over.
        swapped: Position,
        /// The legs to and from it.
        as_read: Distance,
        /// The same, changed over.
        if_swapped: Distance,
    },
    /// A leg sailed faster than the route exchange file allows on it.
    OverLegLimit {
        /// The speed it is sailed at, knots.
        kn: f64,
        /// The file's most, knots.
        most_kn: f64,
    },
    /// Nobody has said where full away is.
    FullAwayTaken,
    /// Nobody has said where the sea passage ends.
    EndOfPassageTaken,
    /// A stay of which nobody has said how she lies.
    LyingTaken {
        /// How long, hours.
        hours: f64,
    },
    /// A word that was not understood.
    Word {
        /// The word.
        read: String,
    },
    /// A word that is nearly one that has a meaning: a slip, or a name.
    Nearly {
        /// The word.
        read: String,
        /// What has the meaning.
        meant: &'static str,
    },
    /// Two marks at one waypoint.
    TwoMarks {
        /// The mark that is kept.
        kept: &'static str,
        /// The second, as written.
        read: String,
    },
    /// Something said twice.
    Twice {
        /// What it is about.
        field: &'static str,
        /// The second saying.
        read: String,
    },
    /// A speed and an ETA for one leg: the ETA is taken.
    SpeedBesideEta {
        /// The speed that was left, knots.
        kn: f64,
    },
    /// A text that is no number.
    Number {
        /// The field.
        field: &'static str,
        /// What was read.
        read: String,
    },
    /// A text that is no instant.
    Instant {
        /// The field.
        field: &'static str,
        /// What was read.
        read: String,
    },
    /// A date only with the month first.
    MonthFirst {
        /// Which field.
        field: &'static str,
        /// What was read.
        read: String,
        /// What it would be, and how to write it.
        why: quantity::DateError,
    },
    /// An instant without a zone, taken as UTC.
    UtcTaken {
        /// The field.
        field: &'static str,
        /// What was read.
        read: String,
    },
    /// A text that is no length of time.
    Length {
        /// What was read.
        read: String,
    },
    /// A text that is no offset of a clock.
    Zone {
        /// What was read.
        read: String,
    },
    /// A file larger than is looked at.
    TooLarge {
        /// Bytes it has; at least so many where it was not read to its end.
        bytes: u64,
        /// Bytes allowed.
        allowed: u64,
    },
    /// Bytes that are no text.
    NotText {
        /// The byte at which the text ends.
        at: usize,
    },
    /// Not one line with a position.
    NothingRead,
    /// A file that could not be read.
    Unreadable {
        /// What the system said.
        said: String,
    },
    /// A table whose headings name no position.
    NoPositionColumns {
        /// The headings read.
        read: String,
    },
    /// A heading that was not understood; its column is left out.
    Heading {
        /// The heading.
        read: String,
    },
    /// Not well-formed XML, or XML with a DTD.
    Xml {
        /// What the reader said.
        said: String,
    },
    /// XML that is no route exchange file.
    NotRtz {
        /// The root element found.
        root: String,
        /// Its namespace.
        namespace: String,
    },
    /// A version that the namespace does not go with; the namespace counts.
    Version {
        /// The version attribute.
        version: String,
        /// The namespace.
        namespace: String,
    },
    /// An element without something it must have.
    Missing {
        /// What is missing.
        what: &'static str,
        /// Where.
        of: &'static str,
    },
    /// A value outside those of the route exchange format; the usual one is taken.
    Unknown {
        /// The field.
        field: &'static str,
        /// What was read.
        read: String,
        /// Those there are.
        allowed: &'static str,
    },
    /// An id that two waypoints have.
    SameId,
    /// A schedule element for a waypoint that is not there; it is left out.
    NoSuchWaypoint,
    /// More than one schedule; the first is taken.
    Schedules {
        /// How many.
        count: usize,
        /// The name of the one taken.
        taken: String,
    },
    /// A container that is no ZIP file, or damaged.
    Zip {
        /// What the reader said.
        said: String,
    },
    /// A container without a single route in it.
    ZipRoutes {
        /// How many there are.
        count: usize,
    },
}

impl Fault {
    /// Whether it hangs on the waypoints before or after: over one that is missing it says nothing.
    pub(crate) const fn is_between_waypoints(&self) -> bool {
        matches!(
            self,
            Self::OneWaypoint
                | Self::NoDeparture
                | Self::NoSpeed
                | Self::SamePlace { .. }
                | Self::EtaNeeds { .. }
                | Self::TooLong
        )
    }

    /// Whether the route was taken all the same.
    #[must_use]
    pub const fn is_note(&self) -> bool {
        matches!(
            self,
            Self::Swapped { .. }
                | Self::OverLegLimit { .. }
                | Self::FullAwayTaken
                | Self::EndOfPassageTaken
                | Self::LyingTaken { .. }
                | Self::UtcTaken { .. }
                | Self::SpeedBesideEta { .. }
                | Self::Heading { .. }
                | Self::Version { .. }
                | Self::Unknown { .. }
                | Self::NoSuchWaypoint
                | Self::Schedules { .. }
        )
    }
}
