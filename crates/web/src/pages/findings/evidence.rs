//! The evidence: each reading beside what it should be, and what each likely cause would make of it.

use chart::{ExpectedRead, Ids};
use desk::findings::{EvidenceLine, FindingsView};
use desk::view::State;
use maud::{Markup, PreEscaped, html};

use crate::pages::drawn;
use crate::parts::{self, Cell, Row, Table};

use super::capital;

pub(super) fn entry(view: &FindingsView) -> Markup {
    if view.evidence.is_empty() {
        return html! {};
    }
    let mut ids = Ids::new("evidence");
    let note = html! {
        p { "The last round, " (view.day(view.until)) ". The pencil box holds nine in ten clean, sound plants under the same sea, jacket water and marks: the same numbers as on the page Readings. The ink dot is what was read." }
        p { "The columns behind say what would be read with that cause alone." }
    };
    let body = html! {
        div.rows { @for line in &view.evidence { (row(&mut ids, line)) } }
        @if view.explained_by.is_empty() {
            p.muted { "No cause is likely enough to lay beside them." }
        } @else {
            (parts::details_shown("What each cause would make of it", true, table(view)))
        }
    };
    parts::entry("The evidence", note, body)
}

fn row(ids: &mut Ids, line: &EvidenceLine) -> Markup {
    let row = &line.compared;
    let picture = row.expected.map(|band| {
        let drawn = ExpectedRead {
            name: row.label.clone(),
            unit: row.unit.clone(),
            decimals: row.digits,
            expected: band.middle,
            half_band: band.half(),
            read: row.read,
            in_doubt: row.state == State::InDoubt,
        };
        chart::evr(ids, &drawn)
    });
    html! { div.row {
        p.name {
            (row.label)
            @if let Some(band) = row.expected { small { "expected " (row.text(band.middle)) } }
        }
        p.read { @if let Some(read) = row.read { (row.text(read)) small { "\u{2009}" (row.unit) } } @else { "–" } }
        div.strip { @if let Some(picture) = &picture { (PreEscaped(picture)) } }
        div.word { (parts::state(drawn::mark(row.state), row.state.word())) }
    } }
}

fn table(view: &FindingsView) -> Markup {
    let mut table = Table::new("", "Reading").numbers("Read", "").words("Should be");
    for words in &view.explained_by {
        table = table.numbers(&format!("With {words}"), "");
    }
    let rows = view.evidence.iter().map(|line| {
        let row = &line.compared;
        let mut cells: Vec<Cell> = vec![
            row.read.map_or("–".to_owned(), |x| row.text(x)).into(),
            row.expected
                .map_or("–".to_owned(), |b| {
                    format!("{} to {}", row.text(b.low), row.text(b.high))
                })
                .into(),
        ];
        cells.extend(
            line.would_read.iter().map(|x| Cell::from(x.map_or("–".to_owned(), |x| row.text(x)))),
        );
        Row::new(html! { (capital(&row.label)) " " small.muted { (row.unit) } }, cells)
    });
    html! { (table.rows(rows)) }
}
