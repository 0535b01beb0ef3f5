//! The rules for making water: each sample is allowed, or the first rule that forbids it is named.

use std::fmt;

use jiff::Timestamp;
use ocean::Distance;
use route::Phase;

use super::area::Area;
use super::sea::Sea;

/// The ship's standing orders for making water.
#[derive(Debug, Clone, PartialEq)]
pub struct Orders {
    /// No water nearer to land.
    pub distance_off: Distance,
    /// No water where it is less deep, m; 0 for no such order.
    pub depth_min_m: f64,
    /// No water under this share of rated engine load.
    pub load_min: f64,
    /// After full away, hours.
    pub settle_h: f64,
    /// Before end of sea passage, hours.
    pub notice_h: f64,
    /// Areas where no water is made, or for the distilled tank only.
    pub areas: Vec<Area>,
    /// Whether there is a tank for distilled water with no way to the taps; without one those are areas without water.
    pub distilled_tank: bool,
    /// Hours of the ship's own discharges ahead of the sea suction: from, until.
    pub discharges: Vec<(Timestamp, Timestamp)>,
}

/// So long after a discharge the water is still left alone, hours (common practice).
const AFTER_DISCHARGE_H: f64 = 0.5;

/// Fresh water from a river floats on the sea under this salinity, g/kg.
const PLUME_G_KG: f64 = 30.0;
/// In colder water slush may fill the strainers, °C.
const SLUSH_C: f64 = 2.0;
/// In less depth mud is drawn in, m.
const MUD_M: f64 = 30.0;
/// The coast data are only so good.
const GUARD_NMI: f64 = 1.0;

/// Why no water may go to a tank.
#[derive(Debug, Clone, PartialEq)]
pub enum Rule {
    /// Not on sea passage.
    Phase(Phase),
    /// The track runs over land.
    Land,
    /// Too soon after full away.
    Settling,
    /// Too near the end of sea passage.
    Notice,
    /// Too near to land.
    Distance {
        /// How far off.
        off: Distance,
        /// How far it should be.
        least: Distance,
    },
    /// Too shallow.
    Depth {
        /// How deep, m.
        depth_m: f64,
        /// How deep it should be, m.
        least_m: f64,
    },
    /// In an area of the ship's own.
    Area(String),
    /// Too little engine load.
    Load {
        /// Share of rated load.
        load: f64,
        /// Least share.
        least: f64,
    },
    /// The ship's own discharge lies ahead of the suction.
    Discharge,
}

impl Rule {
    /// One word for a legend.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Phase(_) => "phase",
            Self::Land => "land",
            Self::Settling => "settling",
            Self::Notice => "notice",
            Self::Distance { .. } => "distance",
            Self::Depth { .. } => "depth",
            Self::Area(_) => "area",
            Self::Load { .. } => "load",
            Self::Discharge => "discharge",
        }
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Phase(phase) => write!(f, "{phase}: water is made on sea passage only"),
            Self::Land => f.write_str("the track runs over land here"),
            Self::Settling => {
                f.write_str("full away was not long ago: engine and sea chests settle first")
            }
            Self::Notice => f.write_str("the end of sea passage is too near"),
            Self::Distance { off, least } => {
                // As many decimals as tell the two apart.
                let near = (least.nmi() - off.nmi()).abs() < 0.05;
                let decimals = if near { 2 } else { 1 };
                write!(f, "{:.decimals$} nmi off, {:.0} are ordered", off.nmi(), least.nmi())
            }
            Self::Depth { depth_m, least_m } => {
                write!(f, "{depth_m:.0} m deep, {least_m:.0} are ordered")
            }
            Self::Area(name) => write!(f, "inside \"{name}\""),
            Self::Load { load, least } => write!(
                f,
                "{:.0} % load, {:.0} are needed before heat is taken",
                load * 100.0,
                least * 100.0
            ),
            Self::Discharge => f.write_str("our own discharge lies ahead of the suction"),
        }
    }
}

/// What is worth knowing and forbids nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Caution {
    /// Fresh water of a river may float here.
    Plume,
    /// Slush in the sea chests.
    Slush,
    /// Mud in the sea chests.
    Mud,
    /// The distance is within what the coast data can be trusted to.
    CoastData,
    /// Water made here is for the distilled tank only.
    DistilledOnly,
    /// No sea temperature is known here; this is assumed, °C.
    AssumedTemp(f64),
    /// No salinity is known here; this is assumed, g/kg.
    AssumedSalinity(f64),
    /// The depth data have next to none close by; what lies between them is taken, m, where anything is.
    PassedOver(Option<f64>),
    /// The track runs over land.
    OverLand {
        /// The leg, counted from 0: from the waypoint of this index to the next.
        leg: usize,
        /// Where it comes to it.
        position: ocean::Position,
    },
}

impl Caution {
    /// The caution as a sentence.
    #[must_use]
    pub fn sentence(self) -> String {
        match self {
            Self::Plume => "Fresh river water may float here: expect silt and dirt from ashore.".into(),
            Self::Slush => "Sea under 2 °C: slush may choke the strainers.".into(),
            Self::Mud => "Less than 30 m: mud may be drawn in.".into(),
            Self::CoastData => "Within a mile of the distance ordered: the coast data are no better. Verify on the chart.".into(),
            Self::DistilledOnly => "Water made here is for the distilled tank only, which stays marked until it has been emptied.".into(),
            Self::AssumedTemp(temp_c) => format!("No sea temperature is known here: planned with {temp_c:.0} °C."),
            Self::AssumedSalinity(g_kg) => format!("No salinity is known here: planned with {g_kg:.0} g/kg."),
            Self::PassedOver(depth_m) => {
                let taken = depth_m.map_or_else(String::new, |m| format!(" Planned with {m:.0} m."));
                format!("The depth data have less than 2 m within nine miles: a bank, or nothing but a mistake. Look at the chart.{taken}")
            }
            Self::OverLand { leg, position } => format!("From waypoint {} to waypoint {} the track runs over land, at {position} first: look at these waypoints on the chart.", leg + 1, leg + 2),
        }
    }
}

/// Where in the passage a sample lies, as far as the rules ask.
#[derive(Debug, Clone, Copy)]
pub struct Instant<'a> {
    /// The moment.
    pub at: Timestamp,
    /// What the ship is doing.
    pub phase: Phase,
    /// Hours since full away, if on sea passage.
    pub since_full_away_h: f64,
    /// Hours to the end of sea passage, if on sea passage.
    pub to_end_h: f64,
    /// Share of rated engine load.
    pub load: f64,
    /// The sea there.
    pub sea: &'a Sea,
    /// The track is on land here, or touches the coast before the next sample.
    pub land: bool,
    /// The least distance off from here to the next sample.
    pub off: Distance,
    /// Where.
    pub position: ocean::Position,
}

impl Orders {
    /// The first rule that forbids making water here; none where it is allowed.
    #[must_use]
    pub fn forbids(&self, here: &Instant<'_>) -> Option<Rule> {
        if here.phase != Phase::SeaPassage {
            return Some(Rule::Phase(here.phase));
        }
        if here.land {
            return Some(Rule::Land);
        }
        if here.since_full_away_h < self.settle_h {
            return Some(Rule::Settling);
        }
        if here.to_end_h < self.notice_h {
            return Some(Rule::Notice);
        }
        let off = here.off;
        let distilled = self.distilled_only(here.position);
        if off < self.distance_off && distilled.is_none() {
            return Some(Rule::Distance { off, least: self.distance_off });
        }
        if let Some(depth_m) = here.sea.depth_m.filter(|d| *d < self.depth_min_m) {
            return Some(Rule::Depth { depth_m, least_m: self.depth_min_m });
        }
        let bars = |area: &&Area| {
            !(area.is_for_distilled() && self.distilled_tank) && area.holds(here.position)
        };
        if let Some(area) = self.areas.iter().find(bars) {
            return Some(Rule::Area(area.name().to_owned()));
        }
        if here.load < self.load_min {
            return Some(Rule::Load { load: here.load, least: self.load_min });
        }
        let discharged = self.discharges.iter().any(|(from, until)| {
            let after_h = here.at.duration_since(*until).as_secs_f64() / 3600.0;
            here.at >= *from && after_h < AFTER_DISCHARGE_H
        });
        discharged.then_some(Rule::Discharge)
    }

    /// The area in which a position lies where water may be made for the distilled tank only.
    #[must_use]
    pub fn distilled_only(&self, position: ocean::Position) -> Option<&Area> {
        let mut areas = self.areas.iter().filter(|_| self.distilled_tank);
        areas.find(|area| area.is_for_distilled() && area.holds(position))
    }

    /// What is worth saying where water is allowed.
    #[must_use]
    pub fn cautions(&self, sea: &Sea) -> Vec<Caution> {
        let near = (sea.distance_off.nmi() - self.distance_off.nmi()).abs() < GUARD_NMI;
        [
            (sea.salinity_g_kg < PLUME_G_KG, Caution::Plume),
            (sea.temp_c < SLUSH_C, Caution::Slush),
            (sea.depth_m.is_some_and(|d| d < MUD_M), Caution::Mud),
            (near, Caution::CoastData),
            (sea.assumed.temp, Caution::AssumedTemp(sea.temp_c)),
            (sea.assumed.depth, Caution::PassedOver(sea.depth_m)),
            (sea.assumed.salinity, Caution::AssumedSalinity(sea.salinity_g_kg)),
        ]
        .into_iter()
        .filter_map(|(is, caution)| is.then_some(caution))
        .collect()
    }
}
