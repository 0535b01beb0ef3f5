//! Series and diagrams to SVG text that CSS themes and that reads without script.
//!
//! Plain numbers go in, SVG elements for an HTML page come out; nothing here knows the plant.
//! Three pens are kept apart by class: pencil is what is expected, ink what was read, red what
//! asks or marks now. Every large picture comes as a wide and a narrow drawing in one string, and
//! the stylesheet shows the one that fits. Every picture has a title and says in words, with its
//! numbers, what it shows. No picture carries a style attribute or a script, so a strict content
//! policy lets it pass.
//!
//! Values that are not numbers, or beyond ±10¹², are drawn as "no reading".

mod alone;
mod canvas;
mod capacity;
mod clock;
mod contour;
mod data;
mod fitted;
mod flow;
mod geometry;
mod labels;
mod lanes;
mod mark;
mod number;
mod passage;
mod region;
mod reliability;
mod series;
mod spark;
mod strip;
mod tanks;
mod text;
mod thin;
mod track;
mod vessel;

pub use canvas::{Ids, Size};
pub use capacity::{CapacityMap, Held, Present, TrackPoint, capacity_map, capacity_map_file};
pub use clock::{Clock, Span, TimeTick, Zone};
pub use contour::{Contour, Grid};
pub use data::{Band, Envelope, Expected, Lane, Lanes, Limit, Reading, Remark, Spell, Trend};
pub use flow::{HeatFlows, WaterFlows, flow_diagram};
pub use geometry::Rect;
pub use labels::{Placer, spread};
pub use lanes::{lanes, trend};
pub use mark::{Mark, mark};
pub use number::{Ticks, nice_ticks, number};
pub use passage::{
    Joined, PassageStrip, StripLane, StripPoint, Threshold, ThresholdKind, Wash, passage_strip,
    passage_strip_file,
};
pub use reliability::{Reliability, Said, reliability_file};
pub use spark::spark;
pub use strip::{ExpectedRead, LimitStrip, StripSize, evr, limit_strip, share_bar};
pub use tanks::{Tank, tanks};
pub use text::escape;
pub use track::{
    Coastline, GeoPoint, MapArea, MapLine, MapName, MapNow, TrackFix, TrackMap, TrackWater,
    track_map, track_map_file,
};
pub use vessel::{
    Attribute, Flow, Fluid, Gauge, Move, VESSEL_HANDLES, VESSEL_PUMPS, Vessel, vessel, vessel_moves,
};
