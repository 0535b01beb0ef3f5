//! Reading the tables under `validation/ocean`.

use std::collections::HashMap;
use std::path::Path;

use ocean::Position;

/// One row of a table by the names of its columns.
pub struct Row(HashMap<String, String>);

impl Row {
    pub fn text(&self, column: &str) -> &str {
        self.0.get(column).unwrap_or_else(|| panic!("no column {column}"))
    }

    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|e| panic!("{column} \"{text}\": {e}"))
    }
}

/// A table of `validation/ocean`.
pub fn table(name: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../validation/ocean").join(name);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(path).unwrap();
    let rows: Vec<Row> = reader.deserialize().map(|row| Row(row.unwrap())).collect();
    assert!(!rows.is_empty(), "{name} is empty");
    rows
}

/// A position from degrees, longitude of any turn.
pub fn at(lat_deg: f64, lon_deg: f64) -> Position {
    let lon = lon_deg - 360.0 * (lon_deg / 360.0).round();
    Position::from_degrees(lat_deg, lon).unwrap()
}
