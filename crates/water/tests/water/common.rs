//! Reading the check tables of `validation/` and judging a whole error distribution at once.

use std::path::PathBuf;

/// A CSV table with a header row and `#` comments.
pub struct Table {
    header: csv::StringRecord,
    rows: Vec<csv::StringRecord>,
}

pub struct Row<'a> {
    table: &'a Table,
    record: &'a csv::StringRecord,
}

impl Table {
    pub fn read(path: &str) -> Self {
        let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../validation").join(path);
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .from_path(&file)
            .unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        let header = reader.headers().unwrap().clone();
        let rows = reader.records().map(|row| row.unwrap()).collect();
        Self { header, rows }
    }

    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(move |record| Row { table: self, record })
    }
}

impl Row<'_> {
    pub fn text(&self, column: &str) -> &str {
        let at = self.table.header.iter().position(|name| name == column);
        &self.record[at.unwrap_or_else(|| panic!("no column {column}"))]
    }

    pub fn number(&self, column: &str) -> f64 {
        self.optional(column).unwrap_or_else(|| panic!("{column} is empty in {:?}", self.record))
    }

    /// `None` for an empty cell.
    pub fn optional(&self, column: &str) -> Option<f64> {
        let text = self.text(column).trim();
        (!text.is_empty()).then(|| text.parse().unwrap())
    }
}

/// The errors of many cases, judged by the worst and by the 95 % quantile.
#[derive(Default)]
pub struct Errors(Vec<f64>);

impl Errors {
    pub fn new() -> Self {
        Self::default()
    }

    pub fn relative(&mut self, ours: f64, expected: f64) {
        self.push(if expected == 0.0 { ours.abs() } else { (ours / expected - 1.0).abs() });
    }

    pub fn absolute(&mut self, ours: f64, expected: f64) {
        self.push((ours - expected).abs());
    }

    /// An error already divided by what is allowed.
    pub fn share(&mut self, share: f64) {
        self.push(share);
    }

    fn push(&mut self, error: f64) {
        assert!(error.is_finite(), "case {} is not finite", self.0.len());
        self.0.push(error);
    }

    /// At least `count` cases, 95 % of them within `most`, none beyond `worst`.
    #[track_caller]
    pub fn within(mut self, what: &str, count: usize, most: f64, worst: f64) {
        assert!(self.0.len() >= count, "{what}: only {} cases", self.0.len());
        self.0.sort_by(f64::total_cmp);
        let rank = (0.95 * self.0.len() as f64).ceil() as usize - 1;
        let (q95, max) = (self.0[rank], self.0[self.0.len() - 1]);
        println!("{what}: {} cases, 95 % {q95:.3e}, worst {max:.3e}", self.0.len());
        assert!(q95 <= most, "{what}: 95 % error {q95:e} exceeds {most:e}");
        assert!(max <= worst, "{what}: worst error {max:e} exceeds {worst:e}");
    }
}
