//! How a step stands: done, passed over or against its guard, what was written beside it, and what became of it later.

use jiff::Timestamp;

use crate::act::Beside;
use crate::kind::Who;

/// How a step stands.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing {
    /// Done.
    Done {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
    },
    /// Done although a guard held.
    Overridden {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// What they are aboard.
        who: Who,
        /// Why.
        reason: String,
        /// What the guard said.
        held: String,
    },
    /// Passed over.
    Passed {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// Why.
        reason: String,
    },
}

impl Standing {
    /// When it was done or passed over.
    #[must_use]
    pub fn at(&self) -> Timestamp {
        match self {
            Self::Done { at, .. } | Self::Overridden { at, .. } | Self::Passed { at, .. } => *at,
        }
    }

    /// By whom.
    #[must_use]
    pub fn by(&self) -> &str {
        match self {
            Self::Done { by, .. } | Self::Overridden { by, .. } | Self::Passed { by, .. } => by,
        }
    }

    pub(crate) fn parts_mut(&mut self) -> (&mut Timestamp, &mut String) {
        match self {
            Self::Done { at, by } => (at, by),
            Self::Overridden { at, by, .. } | Self::Passed { at, by, .. } => (at, by),
        }
    }

    /// Whether it was done, with its guard or against it.
    #[must_use]
    pub fn is_done(&self) -> bool {
        !matches!(self, Self::Passed { .. })
    }
}

/// A later look at a step that stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// When.
    pub at: Timestamp,
    /// By whom.
    pub by: String,
    /// What was written beside it.
    pub beside: Beside,
}

/// What was taken back or mended of a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// When.
    pub at: Timestamp,
    /// By whom.
    pub by: String,
    /// Why.
    pub reason: String,
    /// How it stood until then.
    pub was: Standing,
    /// It was taken back; else time or initials were mended.
    pub back: bool,
}

/// A run handed over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Handed {
    /// When.
    pub at: Timestamp,
    /// Who signed it: who led it, or who leads it then.
    pub by: String,
    /// Who leads it then.
    pub to: String,
}

/// What the record says of a step beside how it stands.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Told {
    /// What was written beside its tick.
    pub beside: Beside,
    /// What must be looked at was ticked as seen.
    pub looked: bool,
    /// Later looks, oldest first.
    pub looks: Vec<Look>,
    /// What was taken back or mended, oldest first.
    pub changes: Vec<Change>,
}

impl Told {
    /// It was not as it should be when it was ticked, and no later look found it as it should be.
    #[must_use]
    pub fn stands_out(&self) -> bool {
        let newest = self.looks.last().map_or(&self.beside, |look| &look.beside);
        !newest.unmet.is_empty()
    }
}

/// Two steps whose times run against the list.
#[derive(Debug, Clone, PartialEq)]
pub struct OutOfOrder {
    /// Place of the step that comes later in the list and was done first.
    pub later: usize,
    /// Place of the step that comes before it in the list; it may still be open.
    pub before: usize,
    /// What that may have done, where the list forbids it.
    pub harm: Option<String>,
    /// Somebody said that so it was.
    pub confirmed: bool,
}
