//! A file looked at: what it would bring, row by row, and why not the rest.

use desk::import::Import;
use logbook::import::{Column, Decimal, PlannedRow};
use logbook::{Entry, ShipClock};
use maud::{Markup, html};

use crate::pages::figures::figures;
use crate::parts::{self, Cell, Row, Table, fig};
use crate::paths::Page;
use crate::shiptime;

use super::asked::Wish;

/// Cells told that are not taken.
const MOST_REFUSED: usize = 200;
/// Figures told that are worth a second look.
const MOST_ODD: usize = 200;
/// Rows shown that would be taken.
const MOST_ROWS: usize = 60;
/// Figures shown of one row.
const MOST_FIGURES: usize = 12;

/// The sentence, and how the file was read.
pub(super) fn answer(wish: &Wish, found: &Import, said: Markup) -> Markup {
    let (plan, layout) = (&found.plan, &found.plan.layout);
    let refused = plan.refused;
    let says = html! {
        @if found.new == 0 { "Nothing new: " } @else { (fig(&found.new.to_string(), "values")) " new to the record; " }
        (found.known) @if found.known == 1 { " stands" } @else { " stand" } " already, in it or twice in the file, " (refused) @if refused == 1 { " cell is" } @else { " cells are" } " not taken."
    };
    let parted = match layout.delimiter {
        '\t' => "tabs".to_owned(),
        sign => format!("“{sign}”"),
    };
    let decimal = if layout.decimal == Decimal::Comma { "comma" } else { "point" };
    let shape = if layout.long { "one reading a row" } else { "one reading a column" };
    let ignored = |(heading, column): (&String, &Column)| {
        matches!(column, Column::Ignored { .. }).then(|| format!("“{heading}”"))
    };
    let out: Vec<_> = layout.headings.iter().zip(&layout.columns).filter_map(ignored).collect();
    let then = html! {
        (said)
        p.then {
            b { (wish.name()) } ": " (plan.read) " rows, cells parted by " (parted) ", decimal " (decimal) ", " (shape)
            "."
            @if !out.is_empty() && !layout.long { " Left out: " (out.join(", ")) "; say below what they hold." }
            @if let Some(note) = plan.note { " " (note) "." }
        }
        p.then { (found.times_told()) " " (found.dates_told()) }
        p.then { "Nothing is written yet." }
    };
    parts::answer("What would this file bring?", says, then, html! {}, html! {})
}

/// Where, what was read, what is allowed.
pub(super) fn refused(found: &Import) -> Markup {
    let problems = &found.plan.problems;
    if problems.is_empty() {
        return html! {};
    }
    let table =
        Table::new("", "Where").words("Column").words("Read").words("Why not, and what to do");
    let table = table.rows(problems.iter().take(MOST_REFUSED).map(|p| {
        let cells: [Cell; 3] =
            [p.column.as_str().into(), p.read.as_str().into(), p.message.as_str().into()];
        Row::new(html! { "line " (p.line) }, cells)
    }));
    let note = html! { p { "These stop nothing: the rest of their row is taken. Mend them in the file and send it again; what is in the record already is not taken twice." } };
    let told = problems.len().min(MOST_REFUSED) as u64;
    let more = found.plan.refused.saturating_sub(told);
    parts::entry(
        "Not taken",
        note,
        html! {
            (table)
            @if more > 0 { p.muted { "And " (more) " more." } }
        },
    )
}

/// What would be taken and is worth a second look.
pub(super) fn odd(found: &Import, clock: &ShipClock) -> Markup {
    if found.odd.is_empty() {
        return html! {};
    }
    let table = Table::new("", "Where")
        .words("Ship’s time")
        .words("Reading")
        .words("Read")
        .words("What is odd about it");
    let table = table.rows(found.odd.iter().take(MOST_ODD).map(|odd| {
        let cells: [Cell; 4] = [
            shiptime::long(clock, odd.at).into(),
            odd.label.into(),
            odd.read.as_str().into(),
            odd.says.as_str().into(),
        ];
        Row::new(html! { "line " (odd.line) }, cells)
    }));
    let note = html! { p { "These are taken as they stand if you take the file. Mend what is a slip in the file first." } };
    let more = found.all_odd.saturating_sub(found.odd.len().min(MOST_ODD) as u64);
    parts::entry(
        "Worth a second look",
        note,
        html! {
            (table)
            @if more > 0 { p.muted { "And " (more) " more." } }
        },
    )
}

/// The first rows that would be taken.
pub(super) fn rows(found: &Import, clock: &ShipClock) -> Markup {
    let rows = &found.plan.rows;
    if rows.is_empty() {
        return html! {};
    }
    let table =
        Table::new("", "Where").words("UTC").words("Ship’s time").words("Who").words("What");
    let table = table.rows(rows.iter().take(MOST_ROWS).map(|row| planned(row, clock)));
    let more = found.plan.taken.saturating_sub(rows.len().min(MOST_ROWS) as u64);
    parts::entry(
        "Would be taken",
        html! {},
        html! {
            (table)
            @if more > 0 { p.muted { "And " (more) " rows more." } }
        },
    )
}

fn planned(row: &PlannedRow, clock: &ShipClock) -> Row {
    let utc = row.at.strftime("%Y-%m-%d %H:%M").to_string();
    let who = row.actor.clone().unwrap_or_else(|| "you".to_owned());
    let cells: [Cell; 4] = [
        utc.into(),
        shiptime::long(clock, row.at).into(),
        who.into(),
        figures(&row.values, MOST_FIGURES).into(),
    ];
    Row::new(html! { "line " (row.line) }, cells)
}

/// What the record says of a file that was taken.
pub(super) fn taken(entry: &Entry) -> Markup {
    let told = |key: &str| {
        entry.details.iter().find(|(k, _)| *k == key).map_or("–", |(_, v)| v.as_str()).to_owned()
    };
    html! {
        p.then role="status" {
            (parts::state(parts::Mark::Done, "Taken."))
            " " b { (told("values")) " values" } " of " (told("file")) ", by " (entry.author.actor) ", under entry "
            a href={ (Page::Records.path()) "#entry-" (entry.seq) } { (entry.seq) } "; " (told("refused")) @if told("refused") == "1" { " cell was not taken." } @else { " cells were not taken." }
        }
    }
}
