//! Tables of a Markdown file, read between two marks.

/// A row: its line in the file, and its cells by the head of their column.
pub struct Row {
    pub line: usize,
    cells: Vec<(String, String)>,
}

impl Row {
    /// The cell under a heading; empty when there is none.
    pub fn cell(&self, head: &str) -> &str {
        let found = self.cells.iter().find(|(name, _)| name == head);
        found.map_or("", |(_, text)| text)
    }

    /// The words in code quotes in a cell.
    pub fn names(&self, head: &str) -> Vec<&str> {
        self.cell(head).split('`').skip(1).step_by(2).collect()
    }
}

/// The rows of the tables between `<!-- mark -->` and `<!-- /mark -->`.
pub fn rows(text: &str, mark: &str) -> Vec<Row> {
    let (open, close) = (format!("<!-- {mark} -->"), format!("<!-- /{mark} -->"));
    let mut rows = Vec::new();
    let mut heads: Vec<String> = Vec::new();
    let lines = (1..).zip(text.lines());
    let between = lines
        .skip_while(|(_, line)| line.trim() != open)
        .skip(1)
        .take_while(|(_, line)| line.trim() != close);
    for (line, content) in between {
        let Some(inside) = content.trim().strip_prefix('|') else {
            heads.clear();
            continue;
        };
        let cells: Vec<String> =
            inside.trim_end_matches('|').split('|').map(|cell| cell.trim().to_owned()).collect();
        if heads.is_empty() {
            heads = cells;
        } else if cells.iter().any(|cell| cell.chars().any(|c| !matches!(c, '-' | ':'))) {
            rows.push(Row { line, cells: heads.iter().cloned().zip(cells).collect() });
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::rows;

    #[test]
    fn only_the_marked_table_is_read() {
        let text = "| a |\n|---|\n| `no` |\n<!-- x -->\n| crate | may use |\n|---|:-:|\n\
                    | `web` | `desk`, `chart` |\n<!-- /x -->\n| `no` |";
        let rows = rows(text, "x");
        assert_eq!(rows.len(), 1);
        assert_eq!(rows[0].line, 7);
        assert_eq!(rows[0].names("crate"), ["web"]);
        assert_eq!(rows[0].names("may use"), ["desk", "chart"]);
        assert!(rows[0].names("never").is_empty());
    }
}
