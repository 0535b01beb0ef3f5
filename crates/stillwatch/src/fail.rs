//! Why a command stopped: who must act, what to do, and the exit code that says so to a script.

use std::fmt;

/// Exit codes, told in `stillwatch help` and the manual.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Code {
    /// Done, but part of the input was refused or a point cannot be.
    Partly = 1,
    /// The words of the command, a file or a figure need mending by the person who typed it.
    Usage = 2,
    /// The record is not what it was: broken chain, altered seal, foreign file.
    Record = 3,
    /// The machine is in the way: disk full, read-only, port taken, held by another process.
    Machine = 4,
    /// Our own mistake.
    Internal = 70,
}

/// A command's failure as it is printed.
#[derive(Debug)]
pub struct Fail {
    code: Code,
    message: String,
    hint: Option<String>,
}

impl Fail {
    /// A failure of this kind in one sentence.
    pub fn new(code: Code, message: impl fmt::Display) -> Self {
        Self { code, message: without_numbers(message.to_string()), hint: None }
    }

    /// Something the person can do about it.
    #[must_use]
    pub fn hint(mut self, hint: impl fmt::Display) -> Self {
        self.hint = Some(hint.to_string());
        self
    }

    /// The input needs mending.
    pub fn usage(message: impl fmt::Display) -> Self {
        Self::new(Code::Usage, message)
    }

    /// The machine is in the way.
    pub fn machine(message: impl fmt::Display) -> Self {
        Self::new(Code::Machine, message)
    }

    /// The exit code.
    pub fn code(&self) -> u8 {
        self.code as u8
    }
}

impl fmt::Display for Fail {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let who = match self.code {
            Code::Partly => "partly done",
            Code::Usage => "cannot do that",
            Code::Record => "the record",
            Code::Machine => "this computer",
            Code::Internal => "our mistake",
        };
        write!(f, "stillwatch: {who}: {}", self.message)?;
        if let Some(hint) = &self.hint {
            write!(f, "\n  try: {hint}")?;
        }
        Ok(())
    }
}

impl From<std::io::Error> for Fail {
    fn from(error: std::io::Error) -> Self {
        match error.kind() {
            std::io::ErrorKind::InvalidData => Self::usage(error),
            _ => Self::machine(error),
        }
    }
}

/// A system's message without its number: "No such file or directory (os error 2)" says enough without it.
fn without_numbers(mut message: String) -> String {
    while let Some(from) = message.find(" (os error ") {
        let Some(end) = message[from..].find(')') else { break };
        message.replace_range(from..=from + end, "");
    }
    message
}

/// What a command returns.
pub type Done = Result<(), Fail>;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ident_a_systems_number_is_left_out_and_the_rest_stands() {
        let told = Fail::machine("a.csv: No such file (os error 2); b: Not allowed (os error 13).");
        assert_eq!(
            told.to_string(),
            "stillwatch: this computer: a.csv: No such file; b: Not allowed."
        );
        assert!(Fail::usage("as it is (os error").to_string().ends_with("as it is (os error"));
    }
}
