//! What is done in a run, and how it stands in the record: words by their names.

use std::collections::BTreeMap;
use std::fmt;

use jiff::Timestamp;

use crate::kind::Who;

/// Who did what was done without initials, as a stop or an emergency may be; named afterwards by [`Act::Named`].
pub const UNNAMED: &str = "unnamed";

/// Says of a mended time that the guard was asked of it.
const ANEW: (&str, &str) = ("guard", "asked anew");

/// What is written down beside a tick or a look; each may be empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Beside {
    /// What was not as it should be then, in sentences.
    pub unmet: String,
    /// What is to be said of it although nothing was out: done quicker than usual.
    pub remark: String,
    /// What the step asks to write down.
    pub note: String,
    /// Initials of the second person who looked.
    pub second: String,
}

impl Beside {
    fn words(&self) -> impl Iterator<Item = (&'static str, &str)> {
        let all = [
            ("not as wanted", self.unmet.as_str()),
            ("remark", &self.remark),
            ("note", &self.note),
            ("second", &self.second),
        ];
        all.into_iter().filter(|(_, word)| !word.is_empty())
    }

    fn from_words(words: &BTreeMap<String, String>) -> Self {
        let word = |name: &str| words.get(name).cloned().unwrap_or_default();
        Self {
            unmet: word("not as wanted"),
            remark: word("remark"),
            note: word("note"),
            second: word("second"),
        }
    }
}

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
        /// What was written down beside it.
        beside: Beside,
    },
    /// A step that stands was looked at again.
    Looked {
        /// When it was.
        at: Timestamp,
        /// By whom.
        by: String,
        /// The step's key.
        step: String,
        /// What must be looked at was seen.
        looked: bool,
        /// What was written down beside it; all is as wanted where nothing is said of it.
        beside: Beside,
    },
    /// What stands of a step is taken back: it is open again.
    TakenBack {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// The step's key.
        step: String,
        /// Why.
        reason: String,
    },
    /// Time or initials of a step were wrong.
    Mended {
        /// When they were mended.
        at: Timestamp,
        /// By whom.
        by: String,
        /// The step's key.
        step: String,
        /// The step's true time.
        time: Timestamp,
        /// Initials of who did the step.
        hand: String,
        /// Why.
        reason: String,
        /// What the guard says of the true time, and what is to be said of it; none where it was not asked anew.
        anew: Option<Beside>,
    },
    /// Times that do not follow the list are true: so it was.
    SoItWas {
        /// When it was said.
        at: Timestamp,
        /// By whom.
        by: String,
    },
    /// The run is led by somebody else from here on.
    HandedOver {
        /// When.
        at: Timestamp,
        /// By whom.
        by: String,
        /// Initials of who leads it now.
        to: String,
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
        /// What must be looked at was seen.
        looked: bool,
        /// What was written down beside it.
        beside: Beside,
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
            | Self::Looked { at, .. }
            | Self::TakenBack { at, .. }
            | Self::Mended { at, .. }
            | Self::SoItWas { at, .. }
            | Self::HandedOver { at, .. }
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
            | Self::Looked { by, .. }
            | Self::TakenBack { by, .. }
            | Self::Mended { by, .. }
            | Self::SoItWas { by, .. }
            | Self::HandedOver { by, .. }
            | Self::Named { by, .. }
            | Self::Abandoned { by, .. } => by,
        }
    }

    /// The step it is about.
    #[must_use]
    pub fn step(&self) -> Option<&str> {
        match self {
            Self::Done { step, .. }
            | Self::Passed { step, .. }
            | Self::Overrode { step, .. }
            | Self::Looked { step, .. }
            | Self::TakenBack { step, .. }
            | Self::Mended { step, .. } => Some(step),
            Self::Began { .. }
            | Self::Named { .. }
            | Self::SoItWas { .. }
            | Self::HandedOver { .. }
            | Self::Abandoned { .. } => None,
        }
    }

    /// Its words for the record, without moment and initials, which an entry has of its own.
    #[must_use]
    pub fn words(&self) -> BTreeMap<String, String> {
        let time;
        let seen = |looked: &bool| ("looked", if *looked { "yes" } else { "no" });
        let words: Vec<(&str, &str)> = match self {
            Self::Began { procedure, version, .. } => {
                vec![("act", "began"), ("procedure", procedure), ("version", version)]
            }
            Self::Done { step, looked, beside, .. } => {
                let mut words = vec![("act", "done"), ("step", step.as_str()), seen(looked)];
                words.extend(beside.words());
                words
            }
            Self::Looked { step, looked, beside, .. } => {
                let mut words =
                    vec![("act", "looked again"), ("step", step.as_str()), seen(looked)];
                words.extend(beside.words());
                words
            }
            Self::TakenBack { step, reason, .. } => {
                vec![("act", "taken back"), ("step", step), ("reason", reason)]
            }
            Self::Mended { step, time: at, hand, reason, anew, .. } => {
                time = at.to_string();
                let mut words = vec![
                    ("act", "mended"),
                    ("step", step.as_str()),
                    ("time", &time),
                    ("hand", hand),
                    ("reason", reason),
                ];
                if let Some(beside) = anew {
                    words.push(ANEW);
                    words.extend(beside.words());
                }
                words
            }
            Self::SoItWas { .. } => vec![("act", "so it was")],
            Self::HandedOver { to, .. } => vec![("act", "handed over"), ("to", to)],
            Self::Passed { step, reason, .. } => {
                vec![("act", "passed over"), ("step", step), ("reason", reason)]
            }
            Self::Overrode { who, step, reason, held, looked, beside, .. } => {
                let mut words = vec![
                    ("act", "overrode"),
                    ("step", step.as_str()),
                    ("who", who.word()),
                    ("reason", reason),
                    ("held", held),
                    seen(looked),
                ];
                words.extend(beside.words());
                words
            }
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
        // Where a step has nothing to look at, nothing is said of it.
        let looked = || words.get("looked").is_none_or(|word| word == "yes");
        let beside = Beside::from_words(words);
        let act = word("act")?;
        Ok(match act.as_str() {
            "began" => {
                Self::Began { at, by, procedure: word("procedure")?, version: word("version")? }
            }
            "done" => Self::Done { at, by, step: word("step")?, looked: looked(), beside },
            "looked again" => {
                Self::Looked { at, by, step: word("step")?, looked: looked(), beside }
            }
            "taken back" => {
                Self::TakenBack { at, by, step: word("step")?, reason: word("reason")? }
            }
            "mended" => {
                let read = word("time")?;
                let time = read.parse().map_err(|_| ActError::Unknown { name: "time", read })?;
                let (step, hand, reason) = (word("step")?, word("hand")?, word("reason")?);
                let anew = words.contains_key(ANEW.0).then_some(beside);
                Self::Mended { at, by, step, time, hand, reason, anew }
            }
            "so it was" => Self::SoItWas { at, by },
            "handed over" => Self::HandedOver { at, by, to: word("to")? },
            "passed over" => Self::Passed { at, by, step: word("step")?, reason: word("reason")? },
            "overrode" => {
                let read = word("who")?;
                let who = Who::from_word(&read).ok_or(ActError::Unknown { name: "who", read })?;
                let (step, reason, held) = (word("step")?, word("reason")?, word("held")?);
                Self::Overrode { at, by, who, step, reason, held, looked: looked(), beside }
            }
            "named" => Self::Named { at, by },
            "abandoned" => Self::Abandoned { at, by, reason: word("reason")? },
            _ => return Err(ActError::Unknown { name: "act", read: act }),
        })
    }
}
