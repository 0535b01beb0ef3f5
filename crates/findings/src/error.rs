//! Why readings cannot be taken or a finding cannot be made, with line, name and numbers.

use std::fmt;

use plant::SheetError;

/// What went wrong.
#[derive(Debug, Clone, PartialEq)]
pub enum FindingsError {
    /// The sheet contradicts itself.
    Sheet(SheetError),
    /// The file is not a table of comma-separated values.
    NotATable {
        /// Line counted from 1.
        line: u64,
        /// What the reader of the table says.
        message: String,
    },
    /// The first line does not name the columns that are wanted.
    Heading {
        /// What stands there.
        got: String,
        /// What is wanted.
        wanted: &'static str,
    },
    /// A column of the settings that nobody knows.
    UnknownColumn {
        /// What stands there.
        got: String,
        /// The nearest known one.
        nearest: Option<&'static str>,
    },
    /// A row with too few or too many columns.
    Columns {
        /// Line counted from 1.
        line: u64,
        /// How many it has.
        got: usize,
        /// How many are wanted.
        wanted: usize,
    },
    /// Not a moment.
    Time {
        /// Line counted from 1.
        line: u64,
        /// What stands there.
        got: String,
    },
    /// No such reading.
    UnknownName {
        /// Line counted from 1.
        line: u64,
        /// What stands there.
        got: String,
        /// The nearest known one.
        nearest: Option<&'static str>,
    },
    /// Not a number.
    NotANumber {
        /// Line counted from 1.
        line: u64,
        /// The reading.
        name: String,
        /// What stands there.
        got: String,
    },
    /// A number no such instrument shows.
    OutOfRange {
        /// Line counted from 1.
        line: u64,
        /// The reading.
        name: String,
        /// The number.
        value: f64,
        /// Lowest taken.
        low: f64,
        /// Highest taken.
        high: f64,
    },
    /// The same reading twice at one moment, and they differ.
    Twice {
        /// Line counted from 1.
        line: u64,
        /// The reading.
        name: String,
        /// The first figure.
        first: f64,
        /// The second.
        second: f64,
    },
    /// More rows than are taken.
    TooLong {
        /// Most rows taken.
        most: usize,
    },
    /// Nothing to explain.
    NoReadings {
        /// What was found of the readings there are.
        notes: Vec<String>,
    },
    /// No state of the plant is anywhere near the readings.
    CannotRun {
        /// What was found of the readings before.
        notes: Vec<String>,
    },
}

impl fmt::Display for FindingsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let near =
            |f: &mut fmt::Formatter<'_>, nearest: &Option<&str>, otherwise: &str| match nearest {
                Some(name) => write!(f, "; did you mean {name}?"),
                None => write!(f, "; {otherwise}"),
            };
        match self {
            FindingsError::Sheet(e) => write!(f, "{e}"),
            FindingsError::NotATable { line, message } => {
                write!(f, "line {line}: {message}; write comma-separated rows with a heading")
            }
            FindingsError::Heading { got, wanted } => {
                write!(f, "line 1: heading \"{got}\", wanted {wanted}")
            }
            FindingsError::UnknownColumn { got, nearest } => {
                write!(f, "line 1: column {got}: no such setting")?;
                near(
                    f,
                    nearest,
                    "known are jacket_flow_set_kg_s, condenser_flow_set_kg_s, feed_flow_set_kg_s",
                )
            }
            FindingsError::Columns { line, got, wanted } => {
                write!(
                    f,
                    "line {line}: {got} columns, wanted {wanted}; put a figure with a decimal comma in quotes, or part the columns by semicolons"
                )
            }
            FindingsError::Time { line, got } => write!(
                f,
                "line {line}, time: \"{got}\" is not a moment with its offset; write 2025-11-16T04:20:00Z or 2025-11-16T12:20:00+08:00; of readings 16.11.2025 04:20 is taken by UTC, the day first"
            ),
            FindingsError::UnknownName { line, got, nearest } => {
                write!(f, "line {line}: {got}: no such reading")?;
                near(
                    f,
                    nearest,
                    "known are jacket_in_c, jacket_out_c, product_t_day and others: see the command's help",
                )
            }
            FindingsError::NotANumber { line, name, got } => write!(
                f,
                "line {line}, {name}: \"{got}\" is not a number; write 83.5, and leave the row out where nothing was read"
            ),
            FindingsError::OutOfRange { line, name, value, low, high } => write!(
                f,
                "line {line}, {name} = {value}: outside {low} to {high}; read it off again, and mind the unit at the end of the name"
            ),
            FindingsError::Twice { line, name, first, second } => write!(
                f,
                "line {line}, {name}: {second}, but the same moment has {first}; keep one of them"
            ),
            FindingsError::TooLong { most } => {
                write!(f, "more than {most} rows; take a shorter span")
            }
            FindingsError::NoReadings { notes } if notes.is_empty() => f.write_str(
                "no readings; give at least output, vapour temperature and jacket water out",
            ),
            FindingsError::NoReadings { notes } => f.write_str(&notes.join(" ")),
            FindingsError::CannotRun { notes } => write!(
                f,
                "{}these readings fit no state in which this plant can run; is it the right sheet, and are the set flows hers?",
                notes.iter().map(|n| format!("{n} ")).collect::<String>()
            ),
        }
    }
}

impl std::error::Error for FindingsError {}

impl From<SheetError> for FindingsError {
    fn from(e: SheetError) -> Self {
        FindingsError::Sheet(e)
    }
}
