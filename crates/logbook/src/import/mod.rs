//! A CSV file read into drafts: what would be taken row by row, and why not the rest. Nothing is written here.

mod decode;
mod layout;
mod moment;
mod plan;

pub use decode::{FileRefused, Text, decode};
pub use layout::{Column, DATE, Decimal, Layout, TIME, WHO};
pub use moment::DayOrder;
pub use plan::{CellProblem, MOST_SHOWN, MOST_TOLD, Plan, PlannedRow, Rows};

use crate::entry::Value;
use jiff::Timestamp;
use jiff::civil::DateTime;

/// Largest file taken through a page, bytes.
pub const LARGEST_FILE: usize = 64 * 1024 * 1024;

/// What the ship knows of names, units and ranges; the record itself knows none of it.
pub trait Catalogue {
    /// The reading meant by a column's heading without its unit, if one is.
    fn named(&self, heading: &str) -> Option<String>;
    /// The unit code meant by what stands in brackets in a heading, for this reading.
    fn unit(&self, name: &str, spelled: &str) -> Option<String>;
    /// Unit of a reading where none is said, as a code; empty for words.
    fn own_unit(&self, name: &str) -> String;
    /// A text as a value.
    ///
    /// # Errors
    /// What was read, what is allowed and why, what to do.
    fn take(&self, name: &str, text: &str, unit: &str, decimal: Decimal) -> Result<Value, String>;
    /// The nearest known name, for "did you mean".
    fn nearest(&self, heading: &str) -> Option<String>;
}

/// How a file is to be understood where it does not say itself.
pub struct Reading<'a> {
    /// Names, units, ranges.
    pub catalogue: &'a dyn Catalogue,
    /// What headings were declared to be: heading, reading (or [`TIME`], [`DATE`], [`WHO`], or empty for
    /// a column that is left out), unit code.
    pub mapping: Vec<(String, String, String)>,
    /// Ship's time to UTC, for times without an offset; none: they are UTC.
    pub ships_time: Option<&'a dyn Fn(DateTime) -> Option<Timestamp>>,
    /// Which of 3/4 is the day; none: a file that leaves it open is asked about.
    pub day_order: Option<DayOrder>,
}
