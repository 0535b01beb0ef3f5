//! Plain values as a reader needs them: figure with unit and digits, expected beside read, a word for the state.

use serde::Serialize;

/// The state of one figure, always said by a word and a shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Within the band of what is expected.
    AsExpected,
    /// Under the band, within limits.
    Low,
    /// Over the band, within limits.
    High,
    /// Past a limit of the ship.
    PastLimit,
    /// Contradicted by other readings.
    InDoubt,
    /// Not read.
    NotRead,
    /// Read, and nothing to compare it with.
    Read,
}

impl State {
    /// The word beside the shape.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            State::AsExpected => "as expected",
            State::Low => "low, inside limits",
            State::High => "high, inside limits",
            State::PastLimit => "past the limit",
            State::InDoubt => "in doubt",
            State::NotRead => "not read",
            State::Read => "read",
        }
    }

    /// Whether it asks something of the reader.
    #[must_use]
    pub fn asks(self) -> bool {
        matches!(self, State::PastLimit | State::InDoubt)
    }
}

/// What a figure should be, with the band that holds nine in ten.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Band {
    /// Expected value.
    pub middle: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Band {
    /// Half the width: the figure after "±".
    #[must_use]
    pub fn half(&self) -> f64 {
        (self.high - self.low) / 2.0
    }

    /// Whether a value lies within.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

/// A limit on either side; none where there is none.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Gates {
    /// Not under.
    pub low: Option<f64>,
    /// Not over.
    pub high: Option<f64>,
}

impl Gates {
    /// Whether a value is past one of them.
    #[must_use]
    pub fn passed_by(&self, value: f64) -> bool {
        self.low.is_some_and(|l| value < l) || self.high.is_some_and(|h| value > h)
    }
}

/// One reading beside what it should be.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compared {
    /// Name of the reading.
    pub key: String,
    /// What the engineer calls it.
    pub label: String,
    /// Where it is read.
    pub place: String,
    /// Symbol of the unit.
    pub unit: String,
    /// Decimals to show.
    pub digits: u8,
    /// What was read.
    pub read: Option<f64>,
    /// What it should be.
    pub expected: Option<Band>,
    /// Limits.
    pub gates: Gates,
    /// Ends of the strip it is drawn on.
    pub axis: (f64, f64),
    /// The state.
    pub state: State,
    /// What it means, where it asks something.
    pub meaning: Option<String>,
    /// The instrument was set right since it was read: what was read is shown as it would read now.
    pub set_right: Option<SetRight>,
}

/// An instrument set right after a reading was taken.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SetRight {
    /// When, seconds since 1970, UTC.
    pub at_s: i64,
    /// By how much it read too high before, in the reading's own unit; none where nobody wrote it down, and the reading stands as read.
    pub high_by: Option<f64>,
}

impl Compared {
    /// A figure of this row as text with its digits.
    #[must_use]
    pub fn text(&self, value: f64) -> String {
        crate::typed::digits(value, self.digits)
    }
}

/// A point of a series.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Spot {
    /// Seconds since 1970, UTC.
    pub at_s: f64,
    /// What was read; none where it was not.
    pub read: Option<f64>,
    /// A figure that was corrected, struck through.
    pub struck: Option<f64>,
    /// What it should have been then.
    pub expected: Option<Band>,
    /// Smallest and largest where many readings were drawn together.
    pub envelope: Option<(f64, f64)>,
}

/// A quantity over time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Series {
    /// Name of the reading.
    pub key: String,
    /// What the engineer calls it.
    pub label: String,
    /// Symbol of the unit.
    pub unit: String,
    /// Decimals to show.
    pub digits: u8,
    /// Spots in order of time.
    pub spots: Vec<Spot>,
    /// The rounds are too many to be worked out one by one: a spot is a piece of the span.
    pub thinned: bool,
    /// When the plant was not running, from and to in seconds since 1970.
    pub stopped: Vec<(f64, f64)>,
    /// Limits.
    pub gates: Gates,
}

/// A labelled figure of a table, already in words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// What it is.
    pub label: String,
    /// Figure as text.
    pub value: String,
    /// Symbol of the unit.
    pub unit: String,
    /// How it is known, or where it comes from.
    pub source: String,
}
