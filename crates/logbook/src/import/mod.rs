//! A CSV file read into drafts: what would be taken row by row, and why not the rest. Nothing is written here.

mod decode;
mod layout;
mod order;
mod plan;
mod times;

pub use decode::{FileRefused, Text, decode};
pub use layout::{Column, DATE, Decimal, Layout, TIME, WHO};
pub use order::{Order, OrderBy};
pub use plan::{CellProblem, MOST_SHOWN, MOST_TOLD, Plan, PlannedRow, Rows};
pub use quantity::DayOrder;
pub use times::{Times, TimesBy, TimesTaken};

use crate::clock::ShipClock;
use crate::entry::Value;
use jiff::Timestamp;

/// Largest file taken through a page, bytes.
pub const LARGEST_FILE: usize = 64 * 1024 * 1024;

/// What a heading or a name in a file means.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Meant {
    /// A reading in this unit.
    Reading {
        /// Its name.
        name: String,
        /// Unit code its cells are written in; empty for words.
        unit: String,
    },
    /// A reading, but not in that unit.
    Misfit {
        /// What was read, which units would do, what to do.
        message: String,
    },
    /// No reading.
    Unknown {
        /// The nearest known name, for "did you mean".
        nearest: Option<String>,
    },
}

/// What the ship knows of names, units and ranges; the record itself knows none of it.
pub trait Catalogue: Sync {
    /// What a column's heading means, with the unit it carries.
    fn heading(&self, heading: &str) -> Meant;
    /// What a name means whose unit stands apart from it; empty where none does.
    fn named(&self, name: &str, unit: &str) -> Meant;
    /// A text as a value.
    ///
    /// # Errors
    /// What was read, what is allowed and why, what to do.
    fn take(&self, name: &str, text: &str, unit: &str, decimal: Decimal) -> Result<Value, String>;
}

/// How a file is to be understood where it does not say itself.
pub struct Reading<'a> {
    /// Names, units, ranges.
    pub catalogue: &'a dyn Catalogue,
    /// What headings were declared to be: heading, reading (or [`TIME`], [`DATE`], [`WHO`], or empty for
    /// a column that is left out), unit code.
    pub mapping: Vec<(String, String, String)>,
    /// What times without an offset are; none: what the heading says, else ship's time.
    pub times: Option<Times>,
    /// Which of 3/4 is the day; none: a file that leaves it open is asked about.
    pub day_order: Option<DayOrder>,
    /// The ship's clock.
    pub clock: &'a ShipClock,
    /// Of an hour lived twice the later one that is not ahead of this is meant.
    pub now: Timestamp,
}
