//! A waypoint: where it is, how she comes to it, how long she lies there and what begins there.

use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use ocean::{Position, Track};
use quantity::Fraction;

/// A waypoint, with what belongs to the leg that leads to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Waypoint {
    /// Its name; empty where it has none.
    pub name: String,
    /// Where it is.
    pub position: Position,
    /// The line sailed to it.
    pub track: Track,
    /// How fast she comes to it. Without it the speed of the leg before holds, or follows from the next ETA. On the first
    /// waypoint a speed is the one she starts with, and an ETA her arrival there.
    pub pace: Option<Pace>,
    /// The most she may make on the leg to it, knots over the ground, as a route exchange file's `speedMax`; above 0 and up to
    /// [`FASTEST_KN`]. A leg sailed faster is told, not refused.
    pub most_kn: Option<f64>,
    /// Where and how long she lies here, in order; empty where she passes.
    pub stays: Vec<Stay>,
    /// When she leaves. On the first waypoint this is the departure.
    pub etd: Option<Timestamp>,
    /// What begins here: on arrival for [`Mark::EndOfPassage`], else when she goes on.
    pub mark: Option<Mark>,
    /// Engine load on the leg to it, as a share of rated, 0 to 1.1. It holds on the legs that follow in the same phase.
    pub load: Option<Fraction>,
    /// The ship's clocks are put on this offset from UTC when she arrives here.
    pub zone: Option<Offset>,
}

impl Waypoint {
    /// A waypoint passed on a rhumb line, with nothing else said of it.
    #[must_use]
    pub const fn at(position: Position) -> Self {
        Self {
            name: String::new(),
            position,
            track: Track::RhumbLine,
            pace: None,
            most_kn: None,
            stays: Vec::new(),
            etd: None,
            mark: None,
            load: None,
            zone: None,
        }
    }
}

/// How fast a leg is sailed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pace {
    /// Over the ground, knots, above 0 and up to [`FASTEST_KN`].
    Speed {
        /// Knots over the ground.
        kn: f64,
    },
    /// She arrives then, and the speed follows.
    Eta(Timestamp),
}

/// The highest speed taken for a ship's, knots; beyond it a figure is a slip (common practice).
pub const FASTEST_KN: f64 = 60.0;

/// The longest stay, days.
pub const LONGEST_STAY_DAYS: f64 = 400.0;

/// The highest engine load, as a share of rated: the overload that engines are tested at (IACS UR M51).
pub const HIGHEST_LOAD: Fraction = Fraction::from_ratio(1.1);

/// A time that she lies still.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stay {
    /// How she lies.
    pub lying: Lying,
    /// How long, up to [`LONGEST_STAY_DAYS`]. Without it until the waypoint's `etd`, and on the last waypoint for good.
    pub length: Option<SignedDuration>,
}

/// How a ship lies that is not under way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lying {
    /// Alongside.
    AtBerth,
    /// At anchor.
    AtAnchor,
    /// Engine stopped off a port, about the waypoint; how far she sets is not planned.
    Drifting,
}

/// What begins at a waypoint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// Manoeuvring in harbour.
    Manoeuvring,
    /// Pilotage.
    Pilotage,
    /// A canal: a stretch of pilotage.
    Canal,
    /// Full away: the sea passage.
    FullAway,
    /// The sea passage ends, and pilotage begins.
    EndOfPassage,
}

impl Lying {
    /// The word it is written with.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::AtBerth => "berth",
            Self::AtAnchor => "anchor",
            Self::Drifting => "drift",
        }
    }
}

impl Mark {
    /// The words it is written with.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Manoeuvring => "manoeuvring",
            Self::Pilotage => "pilotage",
            Self::Canal => "canal",
            Self::FullAway => "full away",
            Self::EndOfPassage => "end of passage",
        }
    }
}
