//! What is known of the plant when a guard is asked: readings from the record, figures of the ship and of the model.

use std::fmt;

use jiff::Timestamp;

use crate::kind::Towards;

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

    /// A figure that stands: `limit.…`, `order.…` and `set.…` of the ship, `expected.…` of the model; `None` where nobody knows it.
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
        /// What was found beside it: the pace a minute, how far two readings are apart, the counter's last reading.
        found: Option<f64>,
    },
    /// It says what it must, and has not done so for long enough.
    TooShort {
        /// The reading's name.
        name: String,
        /// What it must say and for how long.
        wanted: String,
        /// How long it has, min.
        so_far_min: f64,
        /// The first of the readings that say so.
        since: Timestamp,
        /// From then on one more that says so is enough.
        until: Timestamp,
        /// How many readings say so, one after the other.
        count: usize,
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
    /// A second person has to look, and has given no initials.
    NoSecond {
        /// What that person signs.
        second: String,
    },
    /// The step before is not old enough.
    Wait {
        /// From then on it is.
        until: Timestamp,
    },
    /// What a step before it did was undone since.
    Undone {
        /// That step's key.
        step: String,
        /// When it was undone.
        at: Timestamp,
        /// What is so since, by what.
        says: String,
    },
    /// A list that shut the way to a tank or to heat is open, or its own way back is not done.
    Shut {
        /// The way that is shut.
        way: Towards,
        /// Number of its run.
        run: u64,
        /// What it is called.
        list: String,
        /// When it was begun.
        since: Timestamp,
        /// When its own way back was done; none while it is not.
        until: Option<Timestamp>,
        /// What it still wants, in sentences.
        wants: String,
    },
    /// A second instrument was out of what every way back to a tank asks of it, and none read long enough after says otherwise.
    StillOut {
        /// The reading's name.
        name: String,
        /// What it said when it was out last.
        read: String,
        /// When that was.
        at: Timestamp,
        /// What it must say.
        wanted: String,
        /// One from then on that says so is enough.
        until: Timestamp,
    },
    /// Steps before it have neither been done nor passed over.
    Before {
        /// Their keys.
        steps: Vec<String>,
    },
}

impl Unmet {
    /// How far a term is from being met: the nearest of several is told.
    pub(crate) fn far(&self) -> u8 {
        match self {
            Self::TooShort { .. } => 0,
            Self::Out { .. } => 1,
            Self::NotRead { .. } => 2,
            _ => 3,
        }
    }

    /// The reading it is about.
    #[must_use]
    pub fn reading(&self) -> Option<&str> {
        match self {
            Self::NotRead { name, .. }
            | Self::Out { name, .. }
            | Self::TooShort { name, .. }
            | Self::StillOut { name, .. } => Some(name),
            _ => None,
        }
    }

    /// Nothing speaks against it: it only has to be read or looked at once the step is done.
    #[must_use]
    pub fn only_asks(&self) -> bool {
        matches!(
            self,
            Self::NotRead { .. }
                | Self::NotLooked { .. }
                | Self::NoSecond { .. }
                | Self::TooShort { .. }
        )
    }

    /// The step is not even to be done yet: what lies before it is open or was undone.
    #[must_use]
    pub fn comes_before(&self) -> bool {
        matches!(self, Self::Undone { .. } | Self::Before { .. })
    }

    /// Which of several binds most, the least first: what is out before what is only not read.
    #[must_use]
    pub fn rank(&self) -> u8 {
        match self {
            Self::Out { .. } | Self::Undone { .. } | Self::Shut { .. } | Self::StillOut { .. } => 0,
            Self::Before { .. } => 1,
            Self::Wait { .. } => 2,
            Self::NoFigure { .. } => 3,
            Self::TooShort { .. } => 4,
            Self::NotRead { .. } => 5,
            Self::NotLooked { .. } => 6,
            Self::NoSecond { .. } => 7,
        }
    }
}

impl fmt::Display for Unmet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotRead { name, wanted } => {
                write!(f, "{name} has not been read for this step: wanted is {wanted}")
            }
            Self::Out { name, read, at, wanted, .. } => {
                write!(f, "{name} read {read} at {at}: wanted is {wanted}")
            }
            Self::TooShort { name, wanted, so_far_min, .. } => {
                write!(f, "{name} has been so for {so_far_min:.0} min: wanted is {wanted}")
            }
            Self::NoFigure { name, wanted } => {
                write!(f, "{name} is not known aboard, and {wanted} needs it")
            }
            Self::NotLooked { look } => write!(f, "not ticked as seen: {look}"),
            Self::NoSecond { second } => write!(f, "no initials of a second person: {second}"),
            Self::Undone { step, at, says } => {
                write!(f, "{says} since {at}: take it up at {step}")
            }
            Self::Shut { way: Towards::Heat, list, since, wants, .. } => {
                write!(f, "{list} is open since {since}, no heat is taken meanwhile: {wants}")
            }
            Self::Shut { list, since, wants, .. } => {
                write!(f, "{list} is open since {since} and shut the way to a tank: {wants}")
            }
            Self::StillOut { name, read, at, wanted, until } => write!(
                f,
                "{name} read {read} at {at}: wanted is {wanted}, read at {until} or later"
            ),
            Self::Wait { until } => write!(f, "not before {until}"),
            Self::Before { steps } => write!(f, "not done yet: {}", steps.join(", ")),
        }
    }
}
