//! Row by row: what would be taken, and of what is not, where it stands, what was read and what to do.

use jiff::Timestamp;

use super::decode::FileRefused;
use super::layout::{Column, Layout};
use super::moment::{self, DayOrder, Moment};
use super::{Reading, Text};
use crate::entry::Value;
use crate::hash::Hash;
use crate::words::Quality;

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

/// What a file would bring into the record.
#[derive(Clone, Debug)]
pub struct Plan {
    /// SHA-256 of the file as it came.
    pub file: Hash,
    /// How it is laid out.
    pub layout: Layout,
    /// How it was encoded, where that is worth saying.
    pub note: Option<&'static str>,
    /// Rows with something to take, in the order of the file.
    pub rows: Vec<PlannedRow>,
    /// Cells and rows that are not taken.
    pub problems: Vec<CellProblem>,
    /// Rows read, headings not counted.
    pub read: u64,
}

impl Plan {
    /// Values that would be taken.
    pub fn values(&self) -> usize {
        self.rows.iter().map(|r| r.values.len()).sum()
    }
}

/// Reads a file against the ship's names and units; writes nothing.
///
/// # Errors
/// Why the file as a whole cannot be understood. A bad row or cell is a problem in the plan and stops nothing.
pub fn plan(bytes: &[u8], text: &Text, how: &Reading<'_>) -> Result<Plan, FileRefused> {
    let layout = Layout::of(text, how)?;
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(u8::try_from(layout.delimiter).unwrap_or(b','))
        .from_reader(text.text.as_bytes());
    let mut out = Plan {
        file: Hash::of(bytes),
        note: text.note,
        rows: Vec::new(),
        problems: Vec::new(),
        read: 0,
        layout,
    };
    let mut order = how.day_order;
    let mut record = csv::StringRecord::new();
    loop {
        let line = reader.position().line();
        match reader.read_record(&mut record) {
            Ok(false) => break,
            Ok(true) => {}
            Err(e) => {
                out.problems.push(problem(line, "", "", format!("not a row of cells: {e}")));
                continue;
            }
        }
        let line = record.position().map_or(line, csv::Position::line);
        if record.iter().all(|c| c.trim().is_empty()) {
            continue;
        }
        out.read += 1;
        if order.is_none() {
            order = settle_order(text, &out.layout, &record, line)?;
        }
        row(&mut out, &record, line, order, how);
    }
    merge(&mut out.rows);
    Ok(out)
}

fn problem(line: u64, column: &str, read: &str, message: impl Into<String>) -> CellProblem {
    CellProblem {
        line,
        column: column.to_owned(),
        read: read.chars().take(80).collect(),
        message: message.into(),
    }
}

/// A date that can be read both ways is settled by any other date of the file that cannot.
fn settle_order(
    text: &Text,
    layout: &Layout,
    record: &csv::StringRecord,
    line: u64,
) -> Result<Option<DayOrder>, FileRefused> {
    let Some(at) = layout.columns.iter().position(|c| matches!(c, Column::Time | Column::Date))
    else {
        return Ok(None);
    };
    let Some(cell) = record.get(at) else { return Ok(None) };
    if !matches!(moment::read(cell), Some(Moment::Open(_, _))) {
        return Ok(None);
    }
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(u8::try_from(layout.delimiter).unwrap_or(b','))
        .from_reader(text.text.as_bytes());
    for other in reader.records().flatten() {
        let date = other.get(at).unwrap_or_default();
        let mut parts = date.split('/');
        let number = |s: Option<&str>| s.and_then(|s| s.trim().parse::<u32>().ok()).unwrap_or(0);
        let (a, b) = (number(parts.next()), number(parts.next()));
        if a > 12 && a <= 31 && b <= 12 {
            return Ok(Some(DayOrder::DayFirst));
        }
        if b > 12 && b <= 31 && a <= 12 {
            return Ok(Some(DayOrder::MonthFirst));
        }
    }
    Err(FileRefused::DayOrder { line: usize::try_from(line).unwrap_or(0), read: cell.to_owned() })
}

fn row(
    out: &mut Plan,
    record: &csv::StringRecord,
    line: u64,
    order: Option<DayOrder>,
    how: &Reading<'_>,
) {
    let layout = &out.layout;
    let cell = |wanted: &Column| {
        layout
            .columns
            .iter()
            .position(|c| c == wanted)
            .and_then(|i| record.get(i))
            .unwrap_or_default()
            .trim()
    };
    let written = match (cell(&Column::Date), cell(&Column::Time)) {
        ("", time) => time.to_owned(),
        (date, "") => date.to_owned(),
        (date, time) => format!("{date} {time}"),
    };
    let Some(at) = instant(&written, order, how) else {
        let message = "no time: wanted 2026-11-25T06:15:00Z, 2026-11-25 06:15 or 25.11.2026 06:15; the row is left out";
        out.problems.push(problem(line, "time", &written, message));
        return;
    };
    let actor = Some(cell(&Column::Actor)).filter(|a| !a.is_empty()).map(str::to_owned);
    let mut values = Vec::new();
    let mut problems = Vec::new();
    if layout.long {
        let (heading, text, unit) =
            (cell(&Column::Name), cell(&Column::Value), cell(&Column::Unit));
        match how.catalogue.named(heading) {
            Some(name) => {
                let spelled = how.catalogue.unit(&name, unit).unwrap_or_else(|| {
                    if unit.is_empty() { how.catalogue.own_unit(&name) } else { unit.to_owned() }
                });
                let taken = long_value(
                    &name,
                    text,
                    &spelled,
                    cell(&Column::Quality),
                    cell(&Column::Why),
                    layout,
                    how,
                );
                match taken {
                    Ok(Some(value)) => values.push(value),
                    Ok(None) => {}
                    Err(message) => problems.push(problem(line, &name, text, message)),
                }
            }
            None => {
                let near = how
                    .catalogue
                    .nearest(heading)
                    .map_or(String::new(), |n| format!("; did you mean {n}?"));
                problems.push(problem(line, "name", heading, format!("no such reading{near}")));
            }
        }
    } else {
        for (i, column) in layout.columns.iter().enumerate() {
            let Column::Reading { name, unit } = column else { continue };
            let text = unescaped(record.get(i).unwrap_or_default().trim());
            if text.is_empty() || matches!(text, "-" | "–" | "n/a" | "N/A") {
                continue;
            }
            match how.catalogue.take(name, text, unit, layout.decimal) {
                Ok(value) => values.push(value),
                Err(message) => problems.push(problem(line, &layout.headings[i], text, message)),
            }
        }
    }
    out.problems.append(&mut problems);
    if !values.is_empty() {
        out.rows.push(PlannedRow { line, at, actor, values });
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

/// Rows of a long file that speak of one moment and one reader become one.
fn merge(rows: &mut Vec<PlannedRow>) {
    let mut merged: Vec<PlannedRow> = Vec::with_capacity(rows.len());
    for row in rows.drain(..) {
        match merged.last_mut() {
            Some(last)
                if last.at == row.at
                    && last.actor == row.actor
                    && !row.values.iter().any(|v| last.values.iter().any(|w| w.name == v.name)) =>
            {
                last.values.extend(row.values);
            }
            _ => merged.push(row),
        }
    }
    *rows = merged;
}
