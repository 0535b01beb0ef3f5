//! Which column is what: delimiter, decimal sign, wide or long, names and units from the headings.

use super::decode::FileRefused;
use super::{Reading, Text};

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

const DELIMITERS: [char; 4] = [';', '\t', '|', ','];
const TIMES: &[&str] = &[
    "time",
    "time utc",
    "utc",
    "timestamp",
    "date time",
    "datetime",
    "date and time",
    "at",
    "when",
    "ship's time",
    "ships time",
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
        if !long && !columns.iter().any(|c| matches!(c, Column::Reading { .. })) {
            return Err(FileRefused::NoReadings { headings });
        }
        let decimal = decimal_of(&text.text, delimiter);
        Ok(Self { delimiter, decimal, long, headings, columns })
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
        f if TIMES.contains(&f) => return Column::Time,
        f if DATES.contains(&f) => return Column::Date,
        "name" | "reading" | "quantity" if long => return Column::Name,
        "value" if long => return Column::Value,
        "unit" if long => return Column::Unit,
        "why" if long => return Column::Why,
        "quality" if long => return Column::Quality,
        "actor" | "by" | "initials" | "who" | "signed" => return Column::Actor,
        _ => {}
    }
    if long {
        return Column::Ignored { nearest: None };
    }
    let (label, spelled) = split_unit(heading);
    match how.catalogue.named(label).or_else(|| how.catalogue.named(heading)) {
        Some(name) => {
            let unit = spelled.and_then(|u| how.catalogue.unit(&name, u));
            let unit = unit.unwrap_or_else(|| how.catalogue.own_unit(&name));
            Column::Reading { name, unit }
        }
        None => Column::Ignored { nearest: how.catalogue.nearest(label) },
    }
}

/// "Jacket in (°C)" and "vacuum [%]" to label and unit.
fn split_unit(heading: &str) -> (&str, Option<&str>) {
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some((label, rest)) = heading.split_once(open)
            && let Some((unit, _)) = rest.split_once(close)
        {
            return (label.trim(), Some(unit.trim()));
        }
    }
    match heading.rsplit_once(',') {
        Some((label, unit)) if !unit.trim().is_empty() => (label.trim(), Some(unit.trim())),
        _ => (heading.trim(), None),
    }
}

fn fold(heading: &str) -> String {
    heading.trim().to_lowercase().replace(['_', '-'], " ").replace('’', "'")
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

/// A comma between figures inside a cell is a decimal sign wherever cells are parted by something else.
fn decimal_of(text: &str, delimiter: char) -> Decimal {
    if delimiter == ',' {
        // Only quoted cells can hold a decimal comma then.
        let quoted = text
            .lines()
            .skip(1)
            .take(50)
            .any(|l| l.split('"').skip(1).step_by(2).any(has_decimal_comma));
        return if quoted { Decimal::Comma } else { Decimal::Point };
    }
    let (mut commas, mut points) = (0, 0);
    for cell in text.lines().skip(1).take(200).flat_map(|l| l.split(delimiter)) {
        let cell = cell.trim().trim_matches('"');
        if cell.starts_with(|c: char| c.is_ascii_digit() || c == '-') && !cell.contains(':') {
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
