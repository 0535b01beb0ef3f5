//! Tables that become lists on a phone: each cell carries its column's name and keeps its role.

use maud::{Markup, Render, html};

/// A table with a heading row. From four columns on it is drawn as a list on a narrow screen.
#[derive(Debug, Clone, Default)]
pub struct Table {
    caption: String,
    columns: Vec<Column>,
    rows: Vec<Row>,
}

#[derive(Debug, Clone)]
struct Column {
    name: String,
    unit: String,
    numbers: bool,
}

/// A row: its name, then a cell for each further column.
#[derive(Debug, Clone)]
pub struct Row {
    name: Markup,
    cells: Vec<Cell>,
    class: Option<&'static str>,
}

/// What stands in a cell.
#[derive(Debug, Clone)]
pub struct Cell {
    content: Markup,
    span: usize,
}

impl Cell {
    /// A cell over `span` columns ("not read: weather"), which has no column's name.
    pub fn over(span: usize, content: Markup) -> Cell {
        Cell { content, span: span.max(1) }
    }
}

impl From<Markup> for Cell {
    fn from(content: Markup) -> Cell {
        Cell { content, span: 1 }
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Cell {
        Cell::from(html! { (text) })
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Cell {
        Cell::from(text.as_str())
    }
}

impl Row {
    /// A row of this name; cells follow in the order of the columns.
    pub fn new<C: Into<Cell>>(name: Markup, cells: impl IntoIterator<Item = C>) -> Row {
        Row { name, cells: cells.into_iter().map(Into::into).collect(), class: None }
    }

    /// The sum of the rows above.
    pub fn sum(self) -> Row {
        Row { class: Some("sum"), ..self }
    }

    /// A remark on the row above, which it belongs to.
    pub fn under(self) -> Row {
        Row { class: Some("under"), ..self }
    }

    /// The row the page is about, marked in red ink.
    pub fn on(self) -> Row {
        Row { class: Some("on"), ..self }
    }
}

impl Table {
    /// A table whose first column, of row names, is headed `first`.
    pub fn new(caption: &str, first: &str) -> Table {
        Table { caption: caption.to_owned(), ..Table::default() }.column(first, "", false)
    }

    /// Adds a column of words.
    pub fn words(self, name: &str) -> Table {
        self.column(name, "", false)
    }

    /// Adds a column of numbers, set to the right, in `unit`.
    pub fn numbers(self, name: &str, unit: &str) -> Table {
        self.column(name, unit, true)
    }

    /// Adds a row.
    pub fn row(mut self, row: Row) -> Table {
        self.rows.push(row);
        self
    }

    /// Adds rows.
    pub fn rows(mut self, rows: impl IntoIterator<Item = Row>) -> Table {
        self.rows.extend(rows);
        self
    }

    fn column(mut self, name: &str, unit: &str, numbers: bool) -> Table {
        self.columns.push(Column { name: name.to_owned(), unit: unit.to_owned(), numbers });
        self
    }

    fn cells(&self, row: &Row) -> Markup {
        let mut next = 1;
        let placed = row.cells.iter().map(|cell| {
            let at = next;
            next += cell.span;
            (self.columns.get(at).filter(|_| cell.span == 1), cell)
        });
        html! {
            @for (column, cell) in placed {
                td class=[column.filter(|c| c.numbers).map(|_| "n")]
                    role="cell"
                    data-l=(column.map_or_else(String::new, Column::label))
                    colspan=[(cell.span > 1).then_some(cell.span)]
                { (cell.content) }
            }
        }
    }
}

impl Column {
    fn label(&self) -> String {
        if self.unit.is_empty() {
            self.name.clone()
        } else {
            format!("{} {}", self.name, self.unit)
        }
    }
}

impl Render for Table {
    fn render(&self) -> Markup {
        html! {
            div.wide-table tabindex="0" role="group" aria-label=(self.caption) {
                table class=[(self.columns.len() >= 4).then_some("many")] role="table" {
                    @if !self.caption.is_empty() { caption { (self.caption) } }
                    thead role="rowgroup" { tr role="row" {
                        @for column in &self.columns {
                            th class=[column.numbers.then_some("n")] role="columnheader" scope="col" {
                                (column.name)
                                @if !column.unit.is_empty() { br; (column.unit) }
                            }
                        }
                    } }
                    tbody role="rowgroup" {
                        @for row in &self.rows {
                            tr class=[row.class] role="row" {
                                th role="rowheader" scope="row" { (row.name) }
                                (self.cells(row))
                            }
                        }
                    }
                }
            }
        }
    }
}
