//! Which column is what: delimiter, decimal sign, wide or long, names and units from the headings.

use super::decode::FileRefused;
use super::{Meant, Reading, Text};

/// The decimal sign of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// 31.5
    Point,
    /// 31,5
    Comma,
}

/// What a column holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Column {
    /// The time of the row.
    Time,
    /// The date, where time and date stand apart.
    Date,
    /// Name of the reading, in a long file.
    Name,
    /// Its value, in a long file.
    Value,
    /// Its value as it was typed, beside the figure it means, in a long file.
    Typed,
    /// Its unit, in a long file.
    Unit,
    /// Why it is doubtful or was not taken, in a long file.
    Why,
    /// Its quality, in a long file.
    Quality,
    /// Who read.
    Actor,
    /// A reading.
    Reading {
        /// Its name.
        name: String,
        /// Unit code it is written in.
        unit: String,
    },
    /// A reading in a unit that does not measure it: not taken.
    Misfit {
        /// Which units would do, and what to do.
        message: String,
    },
    /// Not taken, with the nearest known name.
    Ignored {
        /// What may have been meant.
        nearest: Option<String>,
    },
}

/// How a file is laid out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// The sign between cells.
    pub delimiter: char,
    /// The decimal sign.
    pub decimal: Decimal,
    /// One reading a row instead of one a column.
    pub long: bool,
    /// The heading over the times says that they are UTC.
    pub utc: bool,
    /// The headings as they stand.
    pub headings: Vec<String>,
    /// What each column is.
    pub columns: Vec<Column>,
}

/// Declared in place of a reading: the column holds the time of the row.
pub const TIME: &str = "time";
/// Declared in place of a reading: the column holds the date, beside a column of times.
pub const DATE: &str = "date";
/// Declared in place of a reading: the column holds who read.
pub const WHO: &str = "who";

/// Rows whose figures tell the decimal sign.
const ROWS_LOOKED_AT: usize = 200;

const DELIMITERS: [char; 4] = [';', '\t', '|', ','];
/// Headings over times, UTC and GMT taken out of them.
const TIMES: &[&str] = &[
    "",
    "time",
    "timestamp",
    "date time",
    "datetime",
    "date and time",
    "at",
    "when",
    "ship's time",
    "ships time",
    "local time",
    "time lt",
    "lt",
];
const DATES: &[&str] = &["date", "day"];

impl Layout {
    /// Finds the layout from the headings and the first rows.
    ///
    /// # Errors
    /// No column of times, or none of readings.
    pub fn of(text: &Text, how: &Reading<'_>) -> Result<Self, FileRefused> {
        let first = text.text.lines().find(|l| !l.trim().is_empty()).unwrap_or_default();
        let delimiter = DELIMITERS
            .into_iter()
            .max_by_key(|d| (outside_quotes(first, *d), *d == ';'))
            .unwrap_or(',');
        let headings: Vec<String> = cells(first, delimiter);
        let folded: Vec<String> = headings.iter().map(|h| fold(h)).collect();
        let has = |names: &[&str]| folded.iter().any(|h| names.contains(&h.as_str()));
        let long = has(&["name", "reading", "quantity"]) && has(&["value"]);
        let mut columns: Vec<Column> =
            headings.iter().zip(&folded).map(|(h, f)| column(h, f, long, how)).collect();
        let declared = headings.iter().position(|h| {
            how.mapping.iter().any(|(heading, name, _)| heading == h && name == TIME)
        });
        keep_one_time(&mut columns, &folded, declared);
        if !columns.iter().any(|c| matches!(c, Column::Time | Column::Date)) {
            return Err(FileRefused::NoTime { headings });
        }
        let reads = |c: &Column| matches!(c, Column::Reading { .. } | Column::Misfit { .. });
        if !long && !columns.iter().any(reads) {
            return Err(FileRefused::NoReadings { headings });
        }
        let utc = columns.iter().zip(&folded).any(|(column, heading)| {
            matches!(column, Column::Time | Column::Date) && words(heading).any(is_utc)
        });
        let decimal = decimal_of(&text.text, delimiter, &columns);
        Ok(Self { delimiter, decimal, long, utc, headings, columns })
    }
}

/// Of several columns of times the one declared counts, else the one that says UTC; the others are for people.
fn keep_one_time(columns: &mut [Column], folded: &[String], declared: Option<usize>) {
    let times: Vec<usize> = (0..columns.len()).filter(|i| columns[*i] == Column::Time).collect();
    let utc = times.iter().copied().find(|i| folded[*i].contains("utc"));
    let best = declared.or(utc).or(times.first().copied());
    for i in times {
        if Some(i) != best {
            columns[i] = Column::Ignored { nearest: None };
        }
    }
}

fn column(heading: &str, folded: &str, long: bool, how: &Reading<'_>) -> Column {
    if let Some((_, name, unit)) = how.mapping.iter().find(|(h, _, _)| h == heading) {
        return match name.as_str() {
            "" => Column::Ignored { nearest: None },
            TIME => Column::Time,
            DATE => Column::Date,
            WHO => Column::Actor,
            _ => Column::Reading { name: name.clone(), unit: unit.clone() },
        };
    }
    match folded {
        f if !f.is_empty() && TIMES.contains(&timeless(f).as_str()) => return Column::Time,
        f if DATES.contains(&timeless(f).as_str()) => return Column::Date,
        "name" | "reading" | "quantity" if long => return Column::Name,
        "value" if long => return Column::Value,
        "as typed" if long => return Column::Typed,
        "unit" if long => return Column::Unit,
        "why" if long => return Column::Why,
        "quality" if long => return Column::Quality,
        "actor" | "by" | "initials" | "who" | "signed" => return Column::Actor,
        _ => {}
    }
    if long {
        return Column::Ignored { nearest: None };
    }
    match how.catalogue.heading(heading) {
        Meant::Reading { name, unit } => Column::Reading { name, unit },
        Meant::Misfit { message } => Column::Misfit { message },
        Meant::Unknown { nearest } => Column::Ignored { nearest },
    }
}

fn fold(heading: &str) -> String {
    heading.trim().to_lowercase().replace(['_', '-'], " ").replace('’', "'")
}

fn words(folded: &str) -> impl Iterator<Item = &str> {
    folded.split([' ', '(', ')', '[', ']', ',']).filter(|word| !word.is_empty())
}

fn is_utc(word: &str) -> bool {
    matches!(word, "utc" | "gmt")
}

/// A heading without what it says of the clock: "Time (UTC)" is a time.
fn timeless(folded: &str) -> String {
    words(folded).filter(|word| !is_utc(word)).collect::<Vec<_>>().join(" ")
}

fn outside_quotes(line: &str, sign: char) -> usize {
    let mut quoted = false;
    line.chars()
        .filter(|c| {
            if *c == '"' {
                quoted = !quoted;
            }
            *c == sign && !quoted
        })
        .count()
}

fn cells(line: &str, delimiter: char) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(u8::try_from(delimiter).unwrap_or(b','))
        .from_reader(line.as_bytes());
    match reader.records().next() {
        Some(Ok(record)) => record.iter().map(|c| c.trim().to_owned()).collect(),
        _ => Vec::new(),
    }
}

/// The sign that more figures of the first rows have.
fn decimal_of(text: &str, delimiter: char, columns: &[Column]) -> Decimal {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(u8::try_from(delimiter).unwrap_or(b','))
        .from_reader(text.as_bytes());
    let (mut commas, mut points) = (0, 0);
    for record in reader.records().take(ROWS_LOOKED_AT).flatten() {
        let figures = columns
            .iter()
            .zip(&record)
            .filter(|(column, _)| matches!(column, Column::Value | Column::Reading { .. }));
        for (_, cell) in figures {
            let cell = cell.trim();
            commas += usize::from(has_decimal_comma(cell));
            points += usize::from(cell.matches('.').count() == 1 && !cell.contains(','));
        }
    }
    if commas > points { Decimal::Comma } else { Decimal::Point }
}

fn has_decimal_comma(cell: &str) -> bool {
    cell.split_once(',').is_some_and(|(a, b)| {
        let digits = |s: &str| {
            !s.is_empty() && s.chars().all(|c| c.is_ascii_digit() || c == '-' || c == '.')
        };
        digits(a) && digits(b)
    })
}
