//! Why a chore stopped: one message that says what to do next.

use std::fmt;

/// A message for the person at the terminal.
#[derive(Debug)]
pub struct Failure(String);

/// What a chore gives back.
pub type Outcome<T = ()> = Result<T, Failure>;

impl Failure {
    pub fn new(message: impl Into<String>) -> Failure {
        Failure(message.into())
    }

    /// Turns an error into a failure that says what was being done.
    pub fn of<E: fmt::Display>(doing: impl fmt::Display) -> impl FnOnce(E) -> Failure {
        move |error| Failure(format!("{doing}: {error}"))
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
