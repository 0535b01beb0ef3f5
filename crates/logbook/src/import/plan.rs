//! Row by row: what would be taken, and of what is not, where it stands, what was read and what to do.

use jiff::Timestamp;
use quantity::{DayOrder, Style, day_first, read_moment, read_number};

use super::decode::FileRefused;
use super::layout::{Column, Decimal, Layout};
use super::order::{self, Order};
use super::times::TimesTaken;
use super::{Meant, Reading, Text};
use crate::entry::Value;
use crate::hash::Hash;
use crate::words::Quality;

/// Rows of a plan kept to be shown.
pub const MOST_SHOWN: usize = 200;
/// Problems kept to be told.
pub const MOST_TOLD: usize = 1000;

/// One cell that is not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CellProblem {
    /// Line in the file, counted from 1.
    pub line: u64,
    /// Heading of the column.
    pub column: String,
    /// What was read.
    pub read: String,
    /// What is allowed and what to do.
    pub message: String,
}

/// One row of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedRow {
    /// Line in the file, counted from 1.
    pub line: u64,
    /// When it was so.
    pub at: Timestamp,
    /// Who read, where the file says.
    pub actor: Option<String>,
    /// What would be taken.
    pub values: Vec<Value>,
}

/// What a file would bring into the record, told in numbers and by its first rows.
#[derive(Clone, Debug)]
pub struct Plan {
    /// SHA-256 of the file as it came.
    pub file: Hash,
    /// How it is laid out.
    pub layout: Layout,
    /// How it was encoded, where that is worth saying.
    pub note: Option<&'static str>,
    /// How times without an offset were taken.
    pub times: TimesTaken,
    /// Which of day and month comes first, where that changes a date.
    pub order: Option<Order>,
    /// The first [`MOST_SHOWN`] rows with something to take, in the order of the file.
    pub rows: Vec<PlannedRow>,
    /// All rows with something to take.
    pub taken: u64,
    /// The first [`MOST_TOLD`] cells and rows that are not taken.
    pub problems: Vec<CellProblem>,
    /// All of them.
    pub refused: u64,
    /// Rows read, headings not counted.
    pub read: u64,
}

impl Plan {
    /// Takes in the next row that has something to take.
    pub fn add(&mut self, row: &PlannedRow) {
        self.taken += 1;
        if self.rows.len() < MOST_SHOWN {
            self.rows.push(row.clone());
        }
    }
}

/// The rows of a file, read one after the other against the ship's names and units: however long the file, one row and
/// the first problems are held at a time. A bad row or cell is a problem and stops nothing. Rows of a long file that
/// speak of one moment and one reader, one after the other, come as one.
pub struct Rows<'a> {
    reader: csv::Reader<&'a [u8]>,
    record: csv::StringRecord,
    layout: Layout,
    order: Option<Order>,
    times: TimesTaken,
    how: &'a Reading<'a>,
    /// The row that the next one may still join.
    open: Option<PlannedRow>,
    problems: Vec<CellProblem>,
    refused: u64,
    read: u64,
}

impl<'a> Rows<'a> {
    /// Finds out how the file is laid out.
    ///
    /// # Errors
    /// Why the file as a whole cannot be understood.
    pub fn of(text: &'a Text, how: &'a Reading<'a>) -> Result<Self, FileRefused> {
        let layout = Layout::of(text, how)?;
        let order = order::settle(reader(text, &layout), &layout, how)?;
        let mut rows = Self {
            reader: reader(text, &layout),
            record: csv::StringRecord::new(),
            order,
            times: TimesTaken::of(&layout, how),
            layout,
            how,
            open: None,
            problems: Vec::new(),
            refused: 0,
            read: 0,
        };
        rows.refuse_misfits(text);
        Ok(rows)
    }

    /// Tells the columns whose unit does not measure what they hold, at the line of the headings.
    fn refuse_misfits(&mut self, text: &Text) {
        let blank = text.text.lines().take_while(|line| line.trim().is_empty()).count();
        for i in 0..self.layout.columns.len() {
            if let Column::Misfit { message } = self.layout.columns[i].clone() {
                let heading = self.layout.headings[i].clone();
                self.refuse(blank as u64 + 1, &heading, &heading, message);
            }
        }
    }

    /// The plan of these rows with none taken in yet; `bytes` is the file as it came.
    pub fn plan(&self, bytes: &[u8], text: &Text) -> Plan {
        Plan {
            file: Hash::of(bytes),
            layout: self.layout.clone(),
            note: text.note,
            times: self.times,
            order: self.order.clone(),
            rows: Vec::new(),
            taken: 0,
            problems: Vec::new(),
            refused: 0,
            read: 0,
        }
    }

    /// How much of the rows read so far was not taken.
    pub fn refused(&self) -> u64 {
        self.refused
    }

    /// Tells the plan, after the last row, how many were read and what was not taken.
    pub fn finish(self, plan: &mut Plan) {
        plan.read = self.read;
        plan.times = self.times;
        plan.refused = self.refused;
        plan.problems = self.problems;
    }

    fn refuse(&mut self, line: u64, column: &str, read: &str, message: impl Into<String>) {
        self.refused += 1;
        if self.problems.len() < MOST_TOLD {
            self.problems.push(CellProblem {
                line,
                column: column.to_owned(),
                read: read.chars().take(80).collect(),
                message: message.into(),
            });
        }
    }

    /// The next row with something to take.
    fn next_row(&mut self) -> Option<PlannedRow> {
        loop {
            let line = self.reader.position().line();
            match self.reader.read_record(&mut self.record) {
                Ok(false) => return None,
                Ok(true) => {}
                Err(e) => {
                    self.refuse(line, "", "", format!("not a row of cells: {e}"));
                    continue;
                }
            }
            let line = self.record.position().map_or(line, csv::Position::line);
            if self.record.iter().all(|c| c.trim().is_empty()) {
                continue;
            }
            self.read += 1;
            let record = std::mem::take(&mut self.record);
            let row = self.row(&record, line);
            self.record = record;
            if row.is_some() {
                return row;
            }
        }
    }

    fn row(&mut self, record: &csv::StringRecord, line: u64) -> Option<PlannedRow> {
        let cell = |wanted: &Column| cell(&self.layout, record, wanted);
        let written = match (cell(&Column::Date), cell(&Column::Time)) {
            ("", time) => time.to_owned(),
            (date, "") => date.to_owned(),
            (date, time) => format!("{date} {time}"),
        };
        let actor = Some(cell(&Column::Actor)).filter(|a| !a.is_empty()).map(str::to_owned);
        let at = match self.instant(&written) {
            Ok(at) => at,
            Err(why) => {
                self.refuse(line, "time", &written, format!("{why}; the row is left out"));
                return None;
            }
        };
        let values =
            if self.layout.long { self.long(record, line) } else { self.wide(record, line) };
        (!values.is_empty()).then_some(PlannedRow { line, at, actor, values })
    }

    /// The one reading of a row that names it.
    fn long(&mut self, record: &csv::StringRecord, line: u64) -> Vec<Value> {
        let cell = |wanted: &Column| cell(&self.layout, record, wanted);
        let (said, unit) = (cell(&Column::Name), cell(&Column::Unit));
        let (name, unit) = match self.how.catalogue.named(said, unit) {
            Meant::Reading { name, unit } => (name, unit),
            Meant::Misfit { message } => {
                self.refuse(line, said, unit, message);
                return Vec::new();
            }
            Meant::Unknown { nearest } => {
                let near = nearest.map_or(String::new(), |n| format!("; did you mean {n}?"));
                self.refuse(line, "name", said, format!("no such reading{near}"));
                return Vec::new();
            }
        };
        let written = Long {
            name: &name,
            value: cell(&Column::Value),
            typed: cell(&Column::Typed),
            unit: &unit,
            quality: cell(&Column::Quality),
            why: cell(&Column::Why),
        };
        match written.value(&self.layout, self.how) {
            Ok(value) => value.into_iter().collect(),
            Err(message) => {
                let read = if written.value.is_empty() { written.typed } else { written.value };
                self.refuse(line, &name, read, message);
                Vec::new()
            }
        }
    }

    /// When a row was so.
    fn instant(&mut self, text: &str) -> Result<Timestamp, String> {
        let Some(moment) = read_moment(text) else {
            return Err("no time: wanted 2026-11-25T06:15:00Z, 2026-11-25 06:15, 25.11.2026 06:15 or 25 Nov 2026 06:15".into());
        };
        let order = self.order.as_ref().map_or(DayOrder::DayFirst, |order| order.order);
        let date = match (moment.date.by(order), order) {
            (Some(date), _) => date,
            (None, DayOrder::DayFirst) => {
                let or = "or say that the month comes first";
                day_first(moment.date, text).map_err(|why| format!("{why}, {or}"))?
            }
            (None, DayOrder::MonthFirst) => {
                return Err("the month comes first in this file, and this has no such month: write the date as 2026-11-25".into());
            }
        };
        let Some(time) = moment.time else {
            return Err("a date without a time of day: name the column of times too, or write the time behind the date".into());
        };
        let local = date.to_datetime(time);
        let at = match moment.offset {
            Some(offset) => offset.to_timestamp(local).map_err(|e| e.to_string())?,
            None => self.times.instant(local, self.how)?,
        };
        Timestamp::from_second(at.as_second()).map_err(|e| e.to_string())
    }

    /// The readings of a row, one a column.
    fn wide(&mut self, record: &csv::StringRecord, line: u64) -> Vec<Value> {
        let mut values = Vec::new();
        for i in 0..self.layout.columns.len() {
            let Column::Reading { name, unit } = &self.layout.columns[i] else { continue };
            let text = unescaped(record.get(i).unwrap_or_default().trim());
            if text.is_empty() || matches!(text, "-" | "–" | "n/a" | "N/A") {
                continue;
            }
            match self.how.catalogue.take(name, text, unit, self.layout.decimal) {
                Ok(value) => values.push(value),
                Err(message) => {
                    let heading = self.layout.headings[i].clone();
                    self.refuse(line, &heading, text, message);
                }
            }
        }
        values
    }
}

impl Iterator for Rows<'_> {
    type Item = PlannedRow;

    fn next(&mut self) -> Option<PlannedRow> {
        loop {
            let row = self.next_row();
            let Some(mut open) = self.open.take() else {
                self.open = Some(row?);
                continue;
            };
            match row {
                Some(row) if joins(&open, &row) => {
                    open.values.extend(row.values);
                    self.open = Some(open);
                }
                row => {
                    self.open = row;
                    return Some(open);
                }
            }
        }
    }
}

/// Whether a row speaks of the same moment and reader as the one before it, and of no reading twice.
fn joins(open: &PlannedRow, row: &PlannedRow) -> bool {
    open.at == row.at
        && open.actor == row.actor
        && !row.values.iter().any(|v| open.values.iter().any(|w| w.name == v.name))
}

fn reader<'a>(text: &'a Text, layout: &Layout) -> csv::Reader<&'a [u8]> {
    csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(u8::try_from(layout.delimiter).unwrap_or(b','))
        .from_reader(text.text.as_bytes())
}

fn cell<'r>(layout: &Layout, record: &'r csv::StringRecord, wanted: &Column) -> &'r str {
    let found = layout.columns.iter().position(|c| c == wanted).and_then(|i| record.get(i));
    found.unwrap_or_default().trim()
}

/// A text escaped against spreadsheets loses its apostrophe.
fn unescaped(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@']) => rest,
        _ => text,
    }
}

/// The cells of a row that names its reading.
struct Long<'a> {
    name: &'a str,
    value: &'a str,
    typed: &'a str,
    unit: &'a str,
    quality: &'a str,
    why: &'a str,
}

impl Long<'_> {
    /// The value, where there is one.
    fn value(&self, layout: &Layout, how: &Reading<'_>) -> Result<Option<Value>, String> {
        let quality = match self.quality {
            "" => Quality::Ok,
            word => {
                Quality::from_word(word).ok_or_else(|| format!("quality \"{word}\": not known"))?
            }
        };
        if quality == Quality::NotTaken {
            return Ok(Some(Value::not_taken(self.name, unescaped(self.why))));
        }
        let (text, typed) = (unescaped(self.value), unescaped(self.typed));
        // A word has no figure: it stands in the other column alone.
        let read = if text.is_empty() { typed } else { text };
        if read.is_empty() {
            return Ok(None);
        }
        let mut value = how.catalogue.take(self.name, read, self.unit, layout.decimal)?;
        if !text.is_empty() && !typed.is_empty() {
            if value.si.is_some() && !one_figure(text, layout.decimal, typed) {
                return Err(format!(
                    "the value is not what stands as typed, \"{typed}\": mend one of the two"
                ));
            }
            value.text = Some(typed.to_owned());
        }
        Ok(Some(if quality == Quality::Ok {
            value
        } else {
            value.with_quality(quality, unescaped(self.why))
        }))
    }
}

/// Whether a figure as typed, with either decimal sign, is the one in the column of values.
fn one_figure(value: &str, decimal: Decimal, typed: &str) -> bool {
    let style = if decimal == Decimal::Comma { Style::Comma } else { Style::Point };
    let wanted = read_number(value, style).ok();
    let either = [Style::Point, Style::Comma].map(|style| read_number(typed, style).ok());
    wanted.is_some() && either.contains(&wanted)
}
