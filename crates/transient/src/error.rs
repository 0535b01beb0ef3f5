//! What can be wrong with a scenario, and what can stop a run.

use std::fmt;

/// The solver found no step it could stand for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stopped {
    /// Time reached, s.
    pub time_s: f64,
}

impl fmt::Display for Stopped {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "at {:.1} s the equations could not be carried on: no step of any length meets the tolerance",
            self.time_s
        )
    }
}

impl std::error::Error for Stopped {}

/// Why a scenario or a list of actions cannot be taken.
#[derive(Debug, Clone, PartialEq)]
pub struct ScenarioError {
    /// Line of the text, from 1; 0 where no line can be told.
    pub line: usize,
    /// Field, such as `actions[3].do.percent`.
    pub field: String,
    /// What is wrong with it.
    pub fault: Fault,
}

/// What is wrong with a field.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// Not JSON at all.
    Text {
        /// What the reader says.
        says: String,
    },
    /// The field must be there.
    Missing {
        /// What belongs there.
        wanted: &'static str,
    },
    /// The value is of another kind.
    Kind {
        /// What was read.
        got: String,
        /// What belongs there.
        wanted: &'static str,
    },
    /// The number is out of its range.
    Range {
        /// What was read.
        got: f64,
        /// Least value.
        low: f64,
        /// Greatest value.
        high: f64,
        /// Unit of the three.
        unit: &'static str,
    },
    /// Nothing has this name.
    Name {
        /// What kind of name belongs there.
        what: &'static str,
        /// What was read.
        got: String,
        /// The nearest known name.
        near: Option<String>,
        /// Every known name, when they are few.
        known: Vec<&'static str>,
    },
    /// An action stands before the one above it.
    Back {
        /// Its time, s.
        got_s: f64,
        /// The time of the one above, s.
        after_s: f64,
    },
    /// A key of the steady plant that means nothing here, because a valve or the run itself decides it.
    Decided {
        /// The key.
        key: String,
        /// What decides it.
        by: &'static str,
    },
    /// The steady plant refuses the value.
    Plant {
        /// What it says.
        says: String,
    },
}

impl fmt::Display for ScenarioError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.line > 0 {
            write!(f, "line {}: ", self.line)?;
        }
        if !self.field.is_empty() {
            write!(f, "{}: ", self.field)?;
        }
        match &self.fault {
            Fault::Text { says } => write!(f, "not JSON: {says}"),
            Fault::Missing { wanted } => write!(f, "missing; give {wanted}"),
            Fault::Kind { got, wanted } => write!(f, "{got}: give {wanted}"),
            Fault::Range { got, low, high, unit } => {
                let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
                write!(f, "{got}{unit} cannot be; allowed: {low} to {high}{unit}")
            }
            Fault::Name { what, got, near, known } => {
                write!(f, "no {what} is called \"{got}\"")?;
                match near {
                    Some(near) => write!(f, "; did you mean \"{near}\"?")?,
                    None => write!(f, ";")?,
                }
                if near.is_none() || known.len() <= 6 {
                    write!(f, " known: {}", known.join(", "))?;
                }
                Ok(())
            }
            Fault::Back { got_s, after_s } => write!(
                f,
                "{got_s} s is before the {after_s} s of the action above it: the clock does not run back; put the actions in order of time"
            ),
            Fault::Decided { key, by } => write!(f, "{key} cannot be given here: {by}"),
            Fault::Plant { says } => write!(f, "{says}"),
        }
    }
}

impl std::error::Error for ScenarioError {}
