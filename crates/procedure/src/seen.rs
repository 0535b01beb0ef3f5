//! What is known of the plant when a guard is asked: readings from the record, figures of the ship and of the model.

use std::fmt;

use jiff::Timestamp;

/// A reading at its moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// When it was so.
    pub at: Timestamp,
    /// Its figure in the unit its name ends with; none for a word.
    pub value: Option<f64>,
    /// Its word, or the figure as it was typed.
    pub text: String,
}

/// Where a guard's readings and figures come from.
pub trait Seen {
    /// Every reading of a name from a moment on, oldest first.
    fn since(&self, name: &str, from: Timestamp) -> Vec<Reading>;

    /// A figure that stands: `limit.…` and `set.…` of the ship, `expected.…` of the model; `None` where nobody knows it.
    fn figure(&self, name: &str) -> Option<f64>;
}

/// Nothing is known.
impl Seen for () {
    fn since(&self, _: &str, _: Timestamp) -> Vec<Reading> {
        Vec::new()
    }

    fn figure(&self, _: &str) -> Option<f64> {
        None
    }
}

/// Why a guard does not let go on.
#[derive(Debug, Clone, PartialEq)]
pub enum Unmet {
    /// This has not been read since the step before was done; before the first step, not within an hour and the time it must last.
    NotRead {
        /// The reading's name.
        name: String,
        /// What it must say, as the file has it.
        wanted: String,
    },
    /// It was read, and does not say what it must.
    Out {
        /// The reading's name.
        name: String,
        /// What it says.
        read: String,
        /// When it was read.
        at: Timestamp,
        /// What it must say.
        wanted: String,
    },
    /// It says what it must, and has not done so for long enough.
    TooShort {
        /// The reading's name.
        name: String,
        /// What it must say and for how long.
        wanted: String,
        /// How long it has, min.
        so_far_min: f64,
    },
    /// A figure that the guard compares with is not known aboard.
    NoFigure {
        /// Its name.
        name: String,
        /// What the guard says.
        wanted: String,
    },
    /// What must be looked at is not ticked.
    NotLooked {
        /// What must be seen.
        look: String,
    },
    /// The step before is not old enough.
    Wait {
        /// From then on it is.
        until: Timestamp,
    },
    /// Steps before it have neither been done nor passed over.
    Before {
        /// Their keys.
        steps: Vec<String>,
    },
}

impl fmt::Display for Unmet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotRead { name, wanted } => {
                write!(f, "{name} has not been read for this step: wanted is {wanted}")
            }
            Self::Out { name, read, at, wanted } => {
                write!(f, "{name} read {read} at {at}: wanted is {wanted}")
            }
            Self::TooShort { name, wanted, so_far_min } => {
                write!(f, "{name} has been so for {so_far_min:.0} min: wanted is {wanted}")
            }
            Self::NoFigure { name, wanted } => {
                write!(f, "{name} is not known aboard, and {wanted} needs it")
            }
            Self::NotLooked { look } => write!(f, "not ticked as seen: {look}"),
            Self::Wait { until } => write!(f, "not before {until}"),
            Self::Before { steps } => write!(f, "not done yet: {}", steps.join(", ")),
        }
    }
}
