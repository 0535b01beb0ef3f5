//! What is done in a run, and how it stands in the record: words by their names.

use std::collections::BTreeMap;
use std::fmt;

use jiff::Timestamp;

use crate::kind::Who;

/// Who did what was done without initials, as a stop or an emergency may be; named afterwards by [`Act::Named`].
pub const UNNAMED: &str = "unnamed";

/// Something that was done in a run.
#[derive(Debug, Clone, PartialEq)]
pub enum Act {
    /// The run was begun.
    Began {
        /// When.
        at: Timestamp,
        /// By whom, initials.
        by: String,
        /// Key of the procedure.
        procedure: String,
        /// Which version of its text.
        version: String,
    },
    /// A step was done.
    Done {
        /// When it was.
        at: Timestamp,
        /// By whom.
        by: String,
        /// The step's key.
        step: String,
        /// What must be looked at was seen.
        looked: bool,
    },
    /// A step was passed over.
    Passed {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// The step's key.
        step: String,
        /// Why.
        reason: String,
    },
    /// A step was done although a guard held.
    Overrode {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// What they are aboard.
        who: Who,
        /// The step's key.
        step: String,
        /// Why.
        reason: String,
        /// What the guard said.
        held: String,
    },
    /// Whoever did what stands without initials is named afterwards.
    Named {
        /// When they were named.
        at: Timestamp,
        /// Their initials.
        by: String,
    },
    /// The run was given up.
    Abandoned {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// Why.
        reason: String,
    },
}

/// Words that tell no act.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ActError {
    /// This word is missing.
    Missing(&'static str),
    /// This word is none of those that may stand.
    Unknown {
        /// Its name.
        name: &'static str,
        /// As it was read.
        read: String,
    },
}

impl fmt::Display for ActError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(name) => write!(f, "“{name}” is missing from a step of a procedure"),
            Self::Unknown { name, read } => {
                write!(f, "“{read}” is no {name} of a procedure’s step")
            }
        }
    }
}

impl std::error::Error for ActError {}

impl Act {
    /// When it was so.
    #[must_use]
    pub fn at(&self) -> Timestamp {
        match self {
            Self::Began { at, .. }
            | Self::Done { at, .. }
            | Self::Passed { at, .. }
            | Self::Overrode { at, .. }
            | Self::Named { at, .. }
            | Self::Abandoned { at, .. } => *at,
        }
    }

    /// Who did it, initials.
    #[must_use]
    pub fn by(&self) -> &str {
        match self {
            Self::Began { by, .. }
            | Self::Done { by, .. }
            | Self::Passed { by, .. }
            | Self::Overrode { by, .. }
            | Self::Named { by, .. }
            | Self::Abandoned { by, .. } => by,
        }
    }

    /// The step it is about.
    #[must_use]
    pub fn step(&self) -> Option<&str> {
        match self {
            Self::Done { step, .. } | Self::Passed { step, .. } | Self::Overrode { step, .. } => {
                Some(step)
            }
            Self::Began { .. } | Self::Named { .. } | Self::Abandoned { .. } => None,
        }
    }

    /// Its words for the record, without moment and initials, which an entry has of its own.
    #[must_use]
    pub fn words(&self) -> BTreeMap<String, String> {
        let words: Vec<(&str, &str)> = match self {
            Self::Began { procedure, version, .. } => {
                vec![("act", "began"), ("procedure", procedure), ("version", version)]
            }
            Self::Done { step, looked, .. } => {
                vec![
                    ("act", "done"),
                    ("step", step),
                    ("looked", if *looked { "yes" } else { "no" }),
                ]
            }
            Self::Passed { step, reason, .. } => {
                vec![("act", "passed over"), ("step", step), ("reason", reason)]
            }
            Self::Overrode { who, step, reason, held, .. } => vec![
                ("act", "overrode"),
                ("step", step),
                ("who", who.word()),
                ("reason", reason),
                ("held", held),
            ],
            Self::Named { .. } => vec![("act", "named")],
            Self::Abandoned { reason, .. } => vec![("act", "abandoned"), ("reason", reason)],
        };
        words.into_iter().map(|(name, word)| (name.to_owned(), word.to_owned())).collect()
    }

    /// From an entry's moment, initials and words; other words are passed over.
    ///
    /// # Errors
    /// [`ActError`].
    pub fn from_words(
        at: Timestamp,
        by: &str,
        words: &BTreeMap<String, String>,
    ) -> Result<Self, ActError> {
        let by = by.to_owned();
        let word = |name: &'static str| words.get(name).cloned().ok_or(ActError::Missing(name));
        let act = word("act")?;
        Ok(match act.as_str() {
            "began" => {
                Self::Began { at, by, procedure: word("procedure")?, version: word("version")? }
            }
            "done" => Self::Done { at, by, step: word("step")?, looked: word("looked")? == "yes" },
            "passed over" => Self::Passed { at, by, step: word("step")?, reason: word("reason")? },
            "overrode" => {
                let read = word("who")?;
                let who = Who::from_word(&read).ok_or(ActError::Unknown { name: "who", read })?;
                let (step, reason, held) = (word("step")?, word("reason")?, word("held")?);
                Self::Overrode { at, by, who, step, reason, held }
            }
            "named" => Self::Named { at, by },
            "abandoned" => Self::Abandoned { at, by, reason: word("reason")? },
            _ => return Err(ActError::Unknown { name: "act", read: act }),
        })
    }
}
