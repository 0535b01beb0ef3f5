//! What can go wrong between a test and the page it looks at.

use std::fmt;
use std::time::Duration;

/// Why a browser, a page or the served program did not do what was asked.
#[derive(Debug)]
pub enum BrowseError {
    /// A program could not be started at all.
    NotStarted {
        /// The command as tried.
        program: String,
        /// What the system said.
        cause: std::io::Error,
    },
    /// A program started but did not print what was waited for.
    NotReady {
        /// The command as run.
        program: String,
        /// What was waited for.
        wanted: &'static str,
        /// How long it was waited for.
        waited: Duration,
        /// The last lines it printed, both streams.
        said: String,
    },
    /// The driver could not be reached or gave no sensible answer.
    Wire {
        /// The call, such as `POST /session`.
        call: String,
        /// What went wrong.
        cause: String,
    },
    /// The driver answered with an error of its own.
    Refused {
        /// The call, such as `POST /session/…/element`.
        call: String,
        /// The kind of error by the WebDriver standard, such as `no such element`.
        kind: String,
        /// The driver's explanation, first line.
        message: String,
    },
    /// Something waited for did not come.
    NotSeen {
        /// What was waited for.
        what: String,
        /// How long it was waited for.
        waited: Duration,
    },
    /// A file of the browser's profile could not be made.
    Profile(std::io::Error),
}

impl BrowseError {
    /// Whether the element was taken out of the page after it was found.
    pub fn is_stale(&self) -> bool {
        matches!(self, BrowseError::Refused { kind, .. } if kind == "stale element reference")
    }
}

impl fmt::Display for BrowseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            BrowseError::NotStarted { program, cause } => write!(
                f,
                "`{program}` could not be started ({cause}); install Chromium and its driver \
                 (Debian: apt-get install chromium chromium-driver), or name them in CHROMEDRIVER \
                 and CHROMIUM; a program of our own must be built first"
            ),
            BrowseError::NotReady { program, wanted, waited, said } => write!(
                f,
                "`{program}` printed no {wanted} in {:.0} s; its last words:\n{said}",
                waited.as_secs_f64()
            ),
            BrowseError::Wire { call, cause } => write!(f, "{call}: {cause}"),
            BrowseError::Refused { call, kind, message } => {
                write!(f, "{call}: {kind}: {message}")
            }
            BrowseError::NotSeen { what, waited } => {
                write!(f, "{what} was not seen in {:.1} s", waited.as_secs_f64())
            }
            BrowseError::Profile(cause) => {
                write!(f, "no folder for the browser's profile could be made: {cause}")
            }
        }
    }
}

impl std::error::Error for BrowseError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            BrowseError::NotStarted { cause, .. } | BrowseError::Profile(cause) => Some(cause),
            _ => None,
        }
    }
}
