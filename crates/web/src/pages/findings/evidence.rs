//! The evidence: each reading beside what it should be, and what each likely cause would make of it.

use chart::{ExpectedRead, Ids};
use desk::field;
use desk::findings::{EvidenceLine, FindingsView};
use desk::view::State;
use maud::{Markup, PreEscaped, html};
use quantity::Unit as Symbol;

use crate::pages::drawn;
use crate::parts::{self, Cell, Field, Row, Table};

use crate::form::FormState;
use crate::reader::Reader;
use crate::shiptime;

use super::closed::{sure, wrong};
use super::{Shown, TAKE_BACK, capital};

/// Checks in the table and to be taken back.
const MOST: usize = 12;

pub(super) fn entry(reader: &Reader, shown: &Shown, view: &FindingsView) -> Markup {
    if view.evidence.is_empty() {
        return html! {};
    }
    let mut ids = Ids::new("evidence");
    let note = html! {
        p { "The last round, " (view.day(view.until)) ". The pencil box holds nine in ten clean, sound plants under the same sea, jacket water and marks: the same numbers as on the page Readings. The ink dot is what was read. Expected is of a clean plant; with the causes found a doubted instrument should show what stands below it." }
        @if view.made.is_some() { p { "The output’s box is wider than Plant and Readings have it: the error of the counter between its two readings is in it, as on Now." } }
        p { "The columns behind say what would be read with that cause alone in a clean plant: output then is short by what that one would cost by itself, not by its part of the costs above." }
    };
    let body = html! {
        div.rows { @for line in &view.evidence { (row(&mut ids, view, line)) } }
        @for blamed in &view.blamed { p { b { "Why an instrument is blamed. " } (blamed.says()) } }
        (checked(reader, shown, view))
        @if view.explained_by.is_empty() {
            p.muted { "No cause is likely enough to lay beside them." }
        } @else {
            (parts::details_shown("What each cause alone would make of it", true, table(view)))
        }
    };
    parts::entry("The evidence", note, body)
}

/// Checks among the rounds, each beside what the watch read in the same place, and the form that takes one back.
fn checked(reader: &Reader, shown: &Shown, view: &FindingsView) -> Markup {
    if view.checked.is_empty() {
        return html! {};
    }
    let table = Table::new("Checks among these rounds", "Check")
        .numbers("It read", "")
        .numbers("The watch read", "")
        .numbers("Explained as", "")
        .words("Entry");
    let rows = view.checked.iter().take(MOST).map(|made| {
        let reading = field::reading(made.reading);
        let decimals = usize::from(reading.map_or(1, |r| r.digits));
        let unit = reading.map_or("", |r| r.unit).parse::<Symbol>().map_or("", Symbol::symbol);
        let text = |x: Option<f64>| x.map_or("–".to_owned(), |x| format!("{x:.decimals$}"));
        let cells: [Cell; 4] = [
            text(Some(made.read)).into(),
            text(made.watch).into(),
            text(made.explained).into(),
            html! {
                (made.seq)
                @if !made.used { " " small.muted { "no round beside it, not used" } }
                @if !made.alone { " " small.muted { "in its round" } }
            }
            .into(),
        ];
        let name = html! { (made.title) " " small.muted { (unit) ", " span.nb { (shiptime::dated(&shown.clock, made.at)) } } };
        Row::new(name, cells)
    });
    let form = &shown.form;
    html! {
        (table.rows(rows))
        @if view.checked.iter().any(|made| made.alone) {
            (parts::details_shown("Take a check back", form.was_sent("back"), take_back(reader, shown, form, view)))
        }
    }
}

fn take_back(reader: &Reader, shown: &Shown, form: &FormState, view: &FindingsView) -> Markup {
    let chosen = form.typed("back");
    reader.form(TAKE_BACK, "findings-back", html! {
        (shown.span())
        div.fields {
            div.field {
                label for="back" { "Take back" small { "it stays readable and counts no more" } }
                p.box { select.value.words id="back" name="back" {
                    @for made in view.checked.iter().filter(|made| made.alone).take(MOST) {
                        option value=(made.seq) selected[made.seq.to_string() == chosen] { (made.title) ", " (shiptime::dated(&shown.clock, made.at)) }
                    }
                } }
                (wrong(form, "back"))
            }
            (Field::new("back_why", "Reason").place("why it is not to count").text().from_form(form))
            (Field::new("back_by", "Initials").place("who takes it back").text().from_form(form))
        }
        p.acts { button { "Take it back" } (sure(form, "back")) }
    })
}

fn row(ids: &mut Ids, view: &FindingsView, line: &EvidenceLine) -> Markup {
    let row = &line.compared;
    let blamed = view.blamed.iter().find(|blamed| blamed.key == row.key);
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
            @if let Some(blamed) = blamed { small { "with the causes found " (row.text(blamed.right)) } }
            @if let Some(as_read) = line.set_right { small { "set right since: the dial showed " (row.text(as_read)) } }
        }
        p.read { @if let Some(read) = row.read { (row.text(read)) small { "\u{2009}" (row.unit) } } @else { "–" } }
        div.strip { @if let Some(picture) = &picture { (PreEscaped(picture)) } }
        div.word {
            (parts::state(drawn::mark(row.state), row.state.word()))
            @if let (State::InDoubt, Some(meaning)) = (row.state, &row.meaning) { small.muted { br; (meaning) } }
        }
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
                    format!("{}\u{a0}to\u{a0}{}", row.text(b.low), row.text(b.high))
                })
                .into(),
        ];
        cells.extend(
            line.would_read.iter().map(|x| Cell::from(x.map_or("–".to_owned(), |x| row.text(x)))),
        );
        Row::new(html! { (capital(&row.label)) " " small.muted { (row.unit) } }, cells)
    });
    html! { div.alone { (table.rows(rows)) } }
}
