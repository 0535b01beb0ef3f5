//! What the cut vessel shows, in plain numbers and words.

use super::places::{VESSEL_HANDLES, VESSEL_PUMPS};

/// What runs in a pipe, by the colours pipes carry aboard (ISO 14726).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fluid {
    /// Sea water and brine.
    Sea,
    /// Fresh water: jacket water and distillate.
    Fresh,
    /// Vapour and air.
    Vapour,
}

impl Fluid {
    pub(super) fn class(self) -> &'static str {
        match self {
            Fluid::Sea => "sea",
            Fluid::Fresh => "fresh",
            Fluid::Vapour => "vap",
        }
    }
}

/// How fast it runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Flow {
    /// Nothing runs.
    #[default]
    Still,
    /// Less than half of what runs usually.
    Slow,
    /// As usual.
    Full,
}

impl Flow {
    /// From a share of what runs usually.
    #[must_use]
    pub fn of(share: f64) -> Flow {
        match share {
            s if s >= 0.5 => Flow::Full,
            s if s > 0.02 => Flow::Slow,
            _ => Flow::Still,
        }
    }

    pub(super) fn class(self) -> &'static str {
        match self {
            Flow::Still => " still",
            Flow::Slow => " slow",
            Flow::Full => "",
        }
    }
}

/// A gauge on the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gauge {
    /// Vacuum of the shell, in its middle.
    Vacuum,
    /// Vapour in the shell.
    Vapour,
    /// Level in the glass.
    Glass,
    /// Sea water to the condenser.
    SeaIn,
    /// Sea water from the condenser.
    SeaOut,
    /// Jacket water from the engine.
    JacketIn,
    /// Jacket water back to the engine.
    JacketOut,
    /// Feed to the shell.
    Feed,
    /// Before the ejector's nozzle.
    Nozzle,
    /// Behind the ejector.
    Outlet,
    /// Salinity at the cell.
    Cell,
    /// Distillate made.
    Made,
}

impl Gauge {
    /// Every gauge, in the order of [`Vessel::gauges`].
    pub const ALL: [Gauge; 12] = [
        Gauge::Vacuum,
        Gauge::Vapour,
        Gauge::Glass,
        Gauge::SeaIn,
        Gauge::SeaOut,
        Gauge::JacketIn,
        Gauge::JacketOut,
        Gauge::Feed,
        Gauge::Nozzle,
        Gauge::Outlet,
        Gauge::Cell,
        Gauge::Made,
    ];
}

/// The vessel at one moment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Vessel {
    /// Opening of each handle, %, in the order of [`VESSEL_HANDLES`].
    pub openings: [f64; VESSEL_HANDLES.len()],
    /// Whether each pump turns, in the order of [`VESSEL_PUMPS`].
    pub pumps: [bool; VESSEL_PUMPS.len()],
    /// What each gauge reads, figure and unit, in the order of [`Gauge::ALL`].
    pub gauges: [String; Gauge::ALL.len()],
    /// Sea water through the condenser.
    pub cooling: Flow,
    /// Feed.
    pub feed: Flow,
    /// Jacket water through the heater.
    pub jacket: Flow,
    /// Jacket water past the heater.
    pub by_pass: Flow,
    /// Distillate to the diverting valve.
    pub distillate: Flow,
    /// Water to the ejector's nozzle.
    pub motive: Flow,
    /// Air and vapour to the ejector.
    pub air: Flow,
    /// Brine to the ejector.
    pub brine: Flow,
    /// Level of the brine, 1 at its mark, 2.2 at the weir.
    pub level: f64,
    /// Level in the glass, % of it.
    pub glass_percent: f64,
    /// The brine boils.
    pub boiling: bool,
    /// Where the diverting valve stands: 0 to dump, 1 to the tank.
    pub to_tank: f64,
}

impl Vessel {
    /// What a gauge reads.
    pub(super) fn gauge(&self, gauge: Gauge) -> &str {
        let place = Gauge::ALL.iter().position(|one| *one == gauge);
        place.and_then(|place| self.gauges.get(place)).map_or("", String::as_str)
    }
}
