//! What a passage strip is drawn from: series in their own units on one clock, and words.

use crate::clock::{Clock, Span};
use crate::data::{Band, Remark, Spell};

/// A value of a lane and what is foreseen around it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StripPoint {
    /// When, s on the picture's clock.
    pub at_s: f64,
    /// The value, or the middle of what is foreseen; `None` breaks the line.
    pub value: Option<f64>,
    /// From where one in ten lies below to where one in ten lies above.
    pub band: Option<Band>,
}

impl StripPoint {
    /// A value without a band.
    #[must_use]
    pub fn new(at_s: f64, value: f64) -> StripPoint {
        StripPoint { at_s, value: Some(value), band: None }
    }

    /// A foreseen value in its band.
    #[must_use]
    pub fn banded(at_s: f64, value: f64, low: f64, high: f64) -> StripPoint {
        StripPoint { at_s, value: Some(value), band: Some(Band { low, high }) }
    }
}

/// How a lane's values are joined.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Joined {
    /// Straight from each to the next.
    #[default]
    Line,
    /// Each holds until the next.
    Step,
}

/// What the space between a lane's values and zero is washed with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Wash {
    /// Nothing.
    #[default]
    None,
    /// Sea water.
    Sea,
    /// Fresh water, as far as it was read; what is foreseen stays unfilled.
    Fresh,
}

/// What a line across a lane means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThresholdKind {
    /// An order, dashed in ink, "20 nmi ordered".
    Order,
    /// What must not be used up, dashed in red, "reserve 38 t".
    Reserve,
    /// What there is room for, a full line, "full 160 t".
    Ceiling,
}

/// A line across a lane, named.
#[derive(Clone, Debug, PartialEq)]
pub struct Threshold {
    /// Where it lies, in the lane's unit.
    pub value: f64,
    /// What it is, "20 nmi ordered".
    pub label: String,
    /// What it means.
    pub kind: ThresholdKind,
}

/// One quantity along the passage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StripLane {
    /// What it is, "Distance off".
    pub name: String,
    /// Its unit, "nmi".
    pub unit: String,
    /// Decimals worth showing.
    pub decimals: u8,
    /// The values.
    pub points: Vec<StripPoint>,
    /// What came, in ink over the values, which then are foreseen throughout; empty where nothing is told.
    pub came: Vec<StripPoint>,
    /// What that is, "sounded".
    pub came_word: String,
    /// How they are joined.
    pub joined: Joined,
    /// What lies between them and zero.
    pub wash: Wash,
    /// Lines across the lane.
    pub thresholds: Vec<Threshold>,
    /// The scale ends here, lane's unit: what is more runs along the edge.
    pub cap: Option<f64>,
    /// The scale grows downwards, as depth does.
    pub downward: bool,
    /// Hatched where water may not be made.
    pub hatched: bool,
    /// Remarks in the lane, "hold washing, 46 t a day".
    pub remarks: Vec<Remark>,
    /// Drawn nearly twice as high as the others.
    pub tall: bool,
    /// The moment whose figures stand beside the lane, named, "on arrival"; the end of the span when `None`.
    pub told: Option<Remark>,
}

/// The whole passage on one clock: where water may be made and is made, and its lanes.
#[derive(Clone, Debug, PartialEq)]
pub struct PassageStrip {
    /// What the picture is, one line.
    pub title: String,
    /// What it shows, in a sentence or two; the numbers of each lane are added to it.
    pub says: String,
    /// The time it covers.
    pub span: Span,
    /// The present moment, s: before it ink, after it pencil. All is pencil when `None`.
    pub now_s: Option<f64>,
    /// Where time labels come from.
    pub clock: Clock,
    /// Where water may not be made, each named by the rule that forbids it.
    pub forbidden: Vec<Spell>,
    /// Where water was or will be made.
    pub making: Vec<Span>,
    /// What happens at a moment, "heat off".
    pub events: Vec<Remark>,
    /// The lanes, top to bottom.
    pub lanes: Vec<StripLane>,
}
