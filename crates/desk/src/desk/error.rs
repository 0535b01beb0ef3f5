//! Why the desk cannot do what was asked, in words, with what to try.

use std::fmt;
use std::path::PathBuf;

use crate::entry::CheckedRound;
use crate::ship::Problem;

/// Why the desk cannot do what was asked.
#[derive(Debug)]
pub enum DeskError {
    /// The record says why.
    Record(logbook::Error),
    /// The ship file has problems.
    Ship(Vec<Problem>),
    /// A file cannot be read or written.
    File {
        /// Which.
        path: PathBuf,
        /// What the system says.
        source: std::io::Error,
    },
    /// A file of readings is not understood as a whole.
    Import {
        /// The file's name.
        name: String,
        /// Why.
        why: logbook::import::FileRefused,
    },
    /// What was asked for cannot be, in words.
    Asked(String),
    /// What was asked for can be, but wants a second look first: why, in words.
    Doubtful(String),
}

impl fmt::Display for DeskError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DeskError::Record(e) => e.fmt(f),
            DeskError::Ship(problems) => {
                write!(f, "the ship file has {} to mend", problems.len())?;
                problems.iter().take(20).try_for_each(|p| write!(f, "\n  {p}"))
            }
            DeskError::File { path, source } => write!(f, "{}: {source}", path.display()),
            DeskError::Import { name, why } => write!(f, "{name}: {why}"),
            DeskError::Asked(words) | DeskError::Doubtful(words) => f.write_str(words),
        }
    }
}

impl std::error::Error for DeskError {}

impl From<logbook::Error> for DeskError {
    fn from(e: logbook::Error) -> Self {
        DeskError::Record(e)
    }
}

impl DeskError {
    /// What to try, where something can be tried.
    #[must_use]
    pub fn hint(&self) -> Option<String> {
        match self {
            DeskError::Record(logbook::Error::Locked { .. }) => Some(
                "seal on the page Records and take files in on the page Readings while the program is open".into(),
            ),
            DeskError::Record(_) | DeskError::Import { .. } | DeskError::Asked(_) => None,
            DeskError::Doubtful(_) => Some("look at it again, or say that it stands".into()),
            DeskError::Ship(_) => Some("mend the lines named; nothing has been changed".into()),
            DeskError::File { .. } => Some(
                "is the disk full, or the folder write-protected? Nothing has been changed".into(),
            ),
        }
    }
}

/// Why a round was not signed.
#[derive(Debug)]
pub enum SignError {
    /// Lines are refused or wait for a word.
    Refused(Box<CheckedRound>),
    /// Something else.
    Desk(DeskError),
}

impl<E: Into<DeskError>> From<E> for SignError {
    fn from(e: E) -> Self {
        SignError::Desk(e.into())
    }
}
