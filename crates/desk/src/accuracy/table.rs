//! A check table as it is kept in the program: CSV with a header and remarks.

use super::AccuracyError;

pub(crate) struct Table {
    name: &'static str,
    header: csv::StringRecord,
    rows: Vec<csv::StringRecord>,
}

pub(crate) struct Row<'a> {
    table: &'a Table,
    record: &'a csv::StringRecord,
}

impl Table {
    pub(crate) fn read(name: &'static str, text: &str) -> Result<Self, AccuracyError> {
        let wrong = |e: csv::Error| AccuracyError::Table { table: name, why: e.to_string() };
        let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
        let header = reader.headers().map_err(wrong)?.clone();
        let rows = reader.records().collect::<Result<_, _>>().map_err(wrong)?;
        Ok(Self { name, header, rows })
    }

    pub(crate) fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(move |record| Row { table: self, record })
    }
}

impl Row<'_> {
    pub(crate) fn text(&self, column: &str) -> Result<&str, AccuracyError> {
        let at = self.table.header.iter().position(|name| name == column);
        at.and_then(|at| self.record.get(at))
            .ok_or_else(|| self.wrong(format!("no column {column}")))
    }

    pub(crate) fn number(&self, column: &str) -> Result<f64, AccuracyError> {
        self.optional(column)?.ok_or_else(|| self.wrong(format!("{column} is empty")))
    }

    /// `None` for an empty cell.
    pub(crate) fn optional(&self, column: &str) -> Result<Option<f64>, AccuracyError> {
        let text = self.text(column)?.trim();
        if text.is_empty() {
            return Ok(None);
        }
        text.parse().map(Some).map_err(|_| self.wrong(format!("{column}: {text} is no number")))
    }

    pub(crate) fn wrong(&self, why: String) -> AccuracyError {
        AccuracyError::Table { table: self.table.name, why }
    }
}
