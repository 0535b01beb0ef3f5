//! Row by row: what would be taken, and of what is not, where it stands, what was read and what to do.

use jiff::Timestamp;

use super::decode::FileRefused;
use super::layout::{Column, Layout};
use super::moment::{self, DayOrder, Moment};
use super::{Reading, Text};
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
    pub fn add(&mut self, row: PlannedRow) {
        self.taken += 1;
        if self.rows.len() < MOST_SHOWN {
            self.rows.push(row);
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
    order: Option<DayOrder>,
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
        let order = match how.day_order {
            None => settle_order(text, &layout)?,
            said => said,
        };
        Ok(Self {
            reader: reader(text, &layout),
            record: csv::StringRecord::new(),
            layout,
            order,
            how,
            open: None,
            problems: Vec::new(),
            refused: 0,
            read: 0,
        })
    }

    /// The plan of these rows with none taken in yet; `bytes` is the file as it came.
    pub fn plan(&self, bytes: &[u8], text: &Text) -> Plan {
        Plan {
            file: Hash::of(bytes),
            layout: self.layout.clone(),
            note: text.note,
            rows: Vec::new(),
            taken: 0,
            problems: Vec::new(),
            refused: 0,
            read: 0,
        }
    }

    /// Tells the plan, after the last row, how many were read and what was not taken.
    pub fn finish(self, plan: &mut Plan) {
        plan.read = self.read;
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
        let Some(at) = instant(&written, self.order, self.how) else {
            let message = "no time: wanted 2026-11-25T06:15:00Z, 2026-11-25 06:15 or 25.11.2026 06:15; the row is left out";
            self.refuse(line, "time", &written, message);
            return None;
        };
        let actor = Some(cell(&Column::Actor)).filter(|a| !a.is_empty()).map(str::to_owned);
        let values =
            if self.layout.long { self.long(record, line) } else { self.wide(record, line) };
        (!values.is_empty()).then_some(PlannedRow { line, at, actor, values })
    }

    /// The one reading of a row that names it.
    fn long(&mut self, record: &csv::StringRecord, line: u64) -> Vec<Value> {
        let cell = |wanted: &Column| cell(&self.layout, record, wanted);
        let catalogue = self.how.catalogue;
        let (heading, text, unit) =
            (cell(&Column::Name), cell(&Column::Value), cell(&Column::Unit));
        let Some(name) = catalogue.named(heading) else {
            let near = catalogue
                .nearest(heading)
                .map_or(String::new(), |n| format!("; did you mean {n}?"));
            self.refuse(line, "name", heading, format!("no such reading{near}"));
            return Vec::new();
        };
        let spelled = catalogue.unit(&name, unit).unwrap_or_else(|| {
            if unit.is_empty() { catalogue.own_unit(&name) } else { unit.to_owned() }
        });
        let (quality, why) = (cell(&Column::Quality), cell(&Column::Why));
        match long_value(&name, text, &spelled, quality, why, &self.layout, self.how) {
            Ok(value) => value.into_iter().collect(),
            Err(message) => {
                self.refuse(line, &name, text, message);
                Vec::new()
            }
        }
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

/// Dates that can be read both ways are settled by any other date of the file that cannot.
fn settle_order(text: &Text, layout: &Layout) -> Result<Option<DayOrder>, FileRefused> {
    let Some(at) = layout.columns.iter().position(|c| matches!(c, Column::Time | Column::Date))
    else {
        return Ok(None);
    };
    let mut open = None;
    for record in reader(text, layout).records().flatten() {
        let date = record.get(at).unwrap_or_default();
        let mut parts = date.split('/');
        let number = |s: Option<&str>| s.and_then(|s| s.trim().parse::<u32>().ok()).unwrap_or(0);
        let (a, b) = (number(parts.next()), number(parts.next()));
        if a > 12 && a <= 31 && b <= 12 && b > 0 {
            return Ok(Some(DayOrder::DayFirst));
        }
        if b > 12 && b <= 31 && a <= 12 && a > 0 {
            return Ok(Some(DayOrder::MonthFirst));
        }
        if open.is_none() && matches!(moment::read(date), Some(Moment::Open(_, _))) {
            let line = record.position().map_or(0, csv::Position::line);
            open = Some((usize::try_from(line).unwrap_or(0), date.to_owned()));
        }
    }
    match open {
        Some((line, read)) => Err(FileRefused::DayOrder { line, read }),
        None => Ok(None),
    }
}

/// A text escaped against spreadsheets loses its apostrophe.
fn unescaped(text: &str) -> &str {
    match text.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@']) => rest,
        _ => text,
    }
}

fn long_value(
    name: &str,
    text: &str,
    unit: &str,
    quality: &str,
    why: &str,
    layout: &Layout,
    how: &Reading<'_>,
) -> Result<Option<Value>, String> {
    let quality = match quality {
        "" => Quality::Ok,
        word => Quality::from_word(word).ok_or_else(|| format!("quality \"{word}\": not known"))?,
    };
    if quality == Quality::NotTaken {
        return Ok(Some(Value::not_taken(name, unescaped(why))));
    }
    if text.is_empty() {
        return Ok(None);
    }
    let value = how.catalogue.take(name, unescaped(text), unit, layout.decimal)?;
    Ok(Some(if quality == Quality::Ok {
        value
    } else {
        value.with_quality(quality, unescaped(why))
    }))
}

fn instant(text: &str, order: Option<DayOrder>, how: &Reading<'_>) -> Option<Timestamp> {
    let local = match moment::read(text)? {
        Moment::Instant(at) => return Timestamp::from_second(at.as_second()).ok(),
        Moment::Local(dt) => dt,
        Moment::Open(day_first, month_first) => match order? {
            DayOrder::DayFirst => day_first,
            DayOrder::MonthFirst => month_first,
        },
    };
    match how.ships_time {
        Some(to_utc) => to_utc(local),
        None => crate::zone::Zone::UTC.instant(local).ok(),
    }
}
