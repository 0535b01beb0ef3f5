//! The plain numbers pictures are drawn from.

use crate::clock::{Clock, Span};

/// Where nine in ten values should lie, in the quantity's own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Lower edge.
    pub low: f64,
    /// Upper edge.
    pub high: f64,
}

impl Band {
    /// A band of `half` either side of `middle`.
    #[must_use]
    pub fn around(middle: f64, half: f64) -> Band {
        Band { low: middle - half, high: middle + half }
    }
}

/// What was read at one moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Reading {
    /// When, s on the picture's clock.
    pub at_s: f64,
    /// The figure that stands; `None` when it was not read, which breaks the line.
    pub value: Option<f64>,
    /// The figure it replaced, drawn struck through.
    pub was: Option<f64>,
    /// The other readings contradict it: drawn as an open red ring.
    pub in_doubt: bool,
}

impl Reading {
    /// A reading that stands as first written.
    #[must_use]
    pub fn new(at_s: f64, value: f64) -> Reading {
        Reading { at_s, value: Some(value), was: None, in_doubt: false }
    }
}

/// What should be read at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// When, s on the picture's clock.
    pub at_s: f64,
    /// The likeliest value.
    pub middle: f64,
    /// Where nine in ten should lie.
    pub band: Option<Band>,
}

/// Least and most of the readings in one piece of a long record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Envelope {
    /// Middle of the piece, s on the picture's clock.
    pub at_s: f64,
    /// Least reading in it.
    pub low: f64,
    /// Greatest reading in it.
    pub high: f64,
}

/// A limit, drawn dashed and named.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Where it lies, in the quantity's unit.
    pub value: f64,
    /// What it is, "turns back at 20".
    pub label: String,
}

/// A stretch of time when something held, drawn hatched and named.
#[derive(Clone, Debug, PartialEq)]
pub struct Spell {
    /// When.
    pub span: Span,
    /// What, "plant stopped".
    pub label: String,
}

/// A short remark beside a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    /// When, s on the picture's clock.
    pub at_s: f64,
    /// What happened, "04:30 sent back".
    pub text: String,
}

/// One quantity over time: expected in pencil, read in ink.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lane {
    /// What it is, "Made".
    pub name: String,
    /// Its unit, "t/day".
    pub unit: String,
    /// Decimals its instrument gives.
    pub decimals: u8,
    /// Readings, earliest first.
    pub readings: Vec<Reading>,
    /// What should have been read, earliest first; may run on past now.
    pub expected: Vec<Expected>,
    /// Least and most of a long record that was thinned, earliest first.
    pub envelope: Vec<Envelope>,
    /// Limits to draw.
    pub limits: Vec<Limit>,
    /// Remarks to write beside the readings.
    pub remarks: Vec<Remark>,
    /// Range of the lane, unit; chosen from the numbers when `None`.
    pub range: Option<(f64, f64)>,
    /// Readings further apart than this are not joined, s; chosen from their usual distance when
    /// `None`.
    pub joined_within_s: Option<f64>,
    /// Drawn nearly twice as high as the others.
    pub tall: bool,
    /// Nothing is ever read of it: it is worked out, and no reading is missing.
    pub worked_out: bool,
}

/// One quantity in a picture of its own, or several stacked on one clock.
#[derive(Clone, Debug, PartialEq)]
pub struct Lanes {
    /// What the picture is, one line.
    pub title: String,
    /// What it shows, in a sentence or two; the numbers of each lane are added to it.
    pub says: String,
    /// The time it covers.
    pub span: Span,
    /// The present moment, s; a red line.
    pub now_s: Option<f64>,
    /// Where time labels come from.
    pub clock: Clock,
    /// Stretches hatched across all lanes, "plant stopped".
    pub stopped: Vec<Spell>,
    /// The lanes, top to bottom.
    pub lanes: Vec<Lane>,
}

/// One quantity over any span, larger than a lane.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// What it shows, in a sentence or two; the numbers are added to it.
    pub says: String,
    /// The time it covers.
    pub span: Span,
    /// The present moment, s; a red line.
    pub now_s: Option<f64>,
    /// Where time labels come from.
    pub clock: Clock,
    /// Stretches hatched, "plant stopped".
    pub stopped: Vec<Spell>,
    /// The quantity.
    pub lane: Lane,
}
