//! Why a problem is not taken: which place in it, what was read, what is allowed, and what to do.

use std::fmt;

/// A problem that cannot be planned.
#[derive(Debug, Clone, PartialEq)]
pub enum ProblemError {
    /// More text than any passage needs.
    TooLarge {
        /// Bytes that were given.
        bytes: usize,
        /// Most that are read.
        most: usize,
    },
    /// The text is not JSON.
    NotJson {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What the reader of JSON says.
        why: String,
    },
    /// A key that is needed is missing.
    Missing {
        /// Where it should stand.
        path: String,
        /// What to write there.
        remedy: &'static str,
    },
    /// Another kind of value than is wanted.
    WrongKind {
        /// Where it stands.
        path: String,
        /// What was found.
        got: String,
        /// What is wanted.
        wanted: &'static str,
    },
    /// A number out of its range.
    OutOfRange {
        /// Where it stands.
        path: String,
        /// What was read.
        value: f64,
        /// Least and most.
        range: (f64, f64),
        /// What to do.
        remedy: &'static str,
    },
    /// An array of another length than the samples.
    Length {
        /// Where it stands.
        path: String,
        /// Its length.
        got: usize,
        /// Length of `samples.allowed`.
        wanted: usize,
    },
    /// Two figures that cannot both be.
    Conflict {
        /// Where the second stands.
        path: String,
        /// What it says.
        value: f64,
        /// Most that it could be beside the other.
        most: f64,
        /// What to do.
        remedy: &'static str,
    },
}

impl ProblemError {
    /// The place in the problem the refusal is about, if it is about one.
    #[must_use]
    pub fn path(&self) -> Option<&str> {
        match self {
            ProblemError::TooLarge { .. } | ProblemError::NotJson { .. } => None,
            ProblemError::Missing { path, .. }
            | ProblemError::WrongKind { path, .. }
            | ProblemError::OutOfRange { path, .. }
            | ProblemError::Length { path, .. }
            | ProblemError::Conflict { path, .. } => Some(path),
        }
    }
}

impl fmt::Display for ProblemError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ProblemError::TooLarge { bytes, most } => write!(
                f,
                "{bytes} bytes: more than the {most} that are read; is it another file? plan fewer samples"
            ),
            ProblemError::NotJson { line, column, why } => write!(
                f,
                "line {line}, column {column}: not JSON ({why}); write it as RFC 8259 has it, without NaN or Infinity"
            ),
            ProblemError::Missing { path, remedy } => write!(f, "{path}: missing; {remedy}"),
            ProblemError::WrongKind { path, got, wanted } => {
                write!(f, "{path}: {got} given; write {wanted}")
            }
            ProblemError::OutOfRange { path, value, range: (least, most), remedy } => {
                write!(f, "{path} = {value}: outside {least} to {most}; {remedy}")
            }
            ProblemError::Length { path, got, wanted } => write!(
                f,
                "{path}: {got} values where samples.allowed has {wanted}; every array is of one length"
            ),
            ProblemError::Conflict { path, value, most, remedy } => {
                write!(f, "{path} = {value}: at most {most} here; {remedy}")
            }
        }
    }
}

impl std::error::Error for ProblemError {}
