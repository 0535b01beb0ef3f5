//! Why something cannot be done in a run.

use std::fmt;

use jiff::Timestamp;

use crate::kind::Who;

/// Why something cannot be done in a run.
#[derive(Debug, Clone, PartialEq)]
pub enum Wrong {
    /// The run has been begun.
    Begun,
    /// The run has not been begun.
    NotBegun,
    /// The run is done or given up.
    Ended,
    /// There is no such step.
    NoStep {
        /// As it was named.
        step: String,
    },
    /// The step is done or passed over.
    Stands {
        /// Its key.
        step: String,
    },
    /// The moment lies ahead.
    Ahead {
        /// The moment.
        at: Timestamp,
        /// Now.
        now: Timestamp,
    },
    /// The moment lies before what was done before it.
    TooEarly {
        /// The moment.
        at: Timestamp,
        /// When the step before it was done, or the run begun.
        after: Timestamp,
    },
    /// No initials were given.
    NoInitials,
    /// Nothing stands without initials.
    AllNamed,
    /// No reason was given.
    NoReason,
    /// A guarded step is not passed over: it is done, or overridden with a name and a reason.
    Guarded,
    /// Nothing holds this step.
    NothingHolds,
    /// The step has not been done: nothing is to be taken back, mended or looked at again.
    NotDone {
        /// Its key.
        step: String,
    },
    /// Time and initials are what they were.
    NothingChanged,
    /// No times of it run against the list, or they were said to be true.
    InOrder,
    /// The second person is the first.
    SameHand,
    /// It is handed over to who leads it.
    LedAlready {
        /// Their initials.
        by: String,
    },
    /// It is handed over by somebody who neither leads it nor takes it over.
    NotLed {
        /// Who leads it.
        led_by: String,
        /// Who is to take it over.
        to: String,
    },
    /// Others must say so.
    NotYours {
        /// Who may.
        needs: Who,
    },
}

impl fmt::Display for Wrong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Begun => f.write_str("this run has been begun"),
            Self::NotBegun => f.write_str("this run has not been begun"),
            Self::Ended => f.write_str("this run is over: begin another"),
            Self::NoStep { step } => write!(f, "there is no step “{step}” in this procedure"),
            Self::Stands { step } => write!(f, "“{step}” is done or passed over"),
            Self::Ahead { at, now } => write!(f, "{at} lies ahead: it is {now}"),
            Self::TooEarly { at, after } => {
                write!(f, "{at} lies before the step before it, {after}: give the true time")
            }
            Self::NoInitials => f.write_str("no initials: say who does it"),
            Self::AllNamed => f.write_str("everything of it has its initials"),
            Self::NoReason => f.write_str("no reason: say why"),
            Self::Guarded => f.write_str(
                "a guarded step is not passed over: do it, go on against the guard with a name and a reason, or give the run up",
            ),
            Self::NotDone { step } => write!(f, "“{step}” is not done"),
            Self::NothingChanged => f.write_str("time and initials are what they were"),
            Self::InOrder => f.write_str("its times follow the list: nothing is to be confirmed"),
            Self::SameHand => {
                f.write_str("the second person is another than the first: both give their initials")
            }
            Self::LedAlready { by } => {
                write!(f, "{by} leads it already: give the initials of another")
            }
            Self::NotLed { led_by, to } => write!(
                f,
                "it is handed over by {led_by}, who leads it, or taken over by {to}: one of the two signs"
            ),
            Self::NothingHolds => f.write_str("nothing holds this step: tick it"),
            Self::NotYours { needs } => write!(f, "this needs the word of the {}", needs.aboard()),
        }
    }
}

impl std::error::Error for Wrong {}

impl Who {
    /// As they are called aboard.
    #[must_use]
    pub fn aboard(self) -> &'static str {
        match self {
            Self::Watch => "watch-keeper",
            Self::Engineer => "engineer in charge",
            Self::Chief => "chief engineer",
        }
    }
}
