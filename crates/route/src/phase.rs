//! What the ship is doing: the phases of a passage and which one holds on each leg.

use std::fmt;

use crate::waypoint::{Lying, Mark, Waypoint};

/// What the ship is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Phase {
    /// Alongside.
    Berth,
    /// Under way in harbour, engine at stand-by.
    Manoeuvring,
    /// Under way with a pilot, or in a canal.
    Pilotage,
    /// Between full away and end of sea passage.
    SeaPassage,
    /// At anchor, or adrift off a port.
    Anchorage,
}

impl Phase {
    /// Its name in plain words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Berth => "berth",
            Self::Manoeuvring => "manoeuvring",
            Self::Pilotage => "pilotage",
            Self::SeaPassage => "sea passage",
            Self::Anchorage => "anchorage",
        }
    }

    /// Whether she is under way.
    #[must_use]
    pub const fn is_under_way(self) -> bool {
        matches!(self, Self::Manoeuvring | Self::Pilotage | Self::SeaPassage)
    }
}

impl fmt::Display for Phase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl Lying {
    /// The phase she is in while she lies so.
    #[must_use]
    pub const fn phase(self) -> Phase {
        match self {
            Self::AtBerth => Phase::Berth,
            Self::AtAnchor | Self::Drifting => Phase::Anchorage,
        }
    }
}

impl Mark {
    /// The phase that begins with it.
    #[must_use]
    pub const fn phase(self) -> Phase {
        match self {
            Self::Manoeuvring => Phase::Manoeuvring,
            Self::Pilotage | Self::Canal | Self::EndOfPassage => Phase::Pilotage,
            Self::FullAway => Phase::SeaPassage,
        }
    }
}

/// The phase on each leg, the first being that from the first waypoint to the second.
///
/// A phase holds until a mark begins another. Where she sets out without a mark (at first, and after lying) she
/// manoeuvres if full away is still to come before the next end of passage or stay; else nobody has said where full away
/// is, and the sea passage begins at once.
pub(crate) fn of_legs(waypoints: &[Waypoint]) -> Vec<Phase> {
    let mut phases = Vec::with_capacity(waypoints.len());
    let mut phase = None;
    for (i, waypoint) in waypoints.iter().enumerate().take(waypoints.len().saturating_sub(1)) {
        if waypoint.lies() {
            phase = None;
        }
        let now = waypoint.mark.map(Mark::phase).or(phase);
        let now = now.unwrap_or_else(|| setting_out(&waypoints[i + 1..]));
        phases.push(now);
        phase = Some(now);
    }
    phases
}

/// The phase of a ship that sets out unmarked for these waypoints.
fn setting_out(ahead: &[Waypoint]) -> Phase {
    for waypoint in ahead {
        match waypoint.mark {
            Some(Mark::EndOfPassage) => return Phase::SeaPassage,
            _ if waypoint.lies() => return Phase::SeaPassage,
            Some(Mark::FullAway) => return Phase::Manoeuvring,
            _ => {}
        }
    }
    Phase::SeaPassage
}

impl Waypoint {
    /// Whether she lies here for a time.
    #[must_use]
    pub fn lies(&self) -> bool {
        !self.stays.is_empty() || self.etd.is_some()
    }
}
