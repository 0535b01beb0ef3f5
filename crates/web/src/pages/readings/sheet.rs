//! The blank watch sheet, for the clipboard: the order of the entry form, with lines to write on.

use axum::extract::State;
use desk::DeskError;
use desk::entry::{Checked, CheckedRound, TypedRound};
use maud::{Markup, html};
use quantity::Unit as Symbol;

use crate::app::App;
use crate::parts::{self, Cell, Row, Table, fig};
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

use super::form;

/// Rounds a sheet has room for beside each other on A4.
const MOST_ROUNDS: usize = 6;
/// Signs of the chain's head that are copied on the sheet.
const HEAD_SIGNS: usize = 8;

/// The sheet.
pub(super) async fn show(State(app): State<App>, reader: Reader) -> Result<Markup, Trouble> {
    let (now, desk) = (app.clock().now(), app.desk().clone());
    let found = app.work().run(move |_| {
        let checked = desk.check_round(&TypedRound::default(), now)?;
        Ok::<_, DeskError>((checked, desk.head()?, desk.clock()?, desk.setup()))
    });
    let (checked, (count, head), clock, setup) = found.await??;
    let rounds = ((24.0_f64 / setup.ship.round_hours).round() as usize).clamp(1, MOST_ROUNDS);
    let head: String = head.to_string().chars().take(HEAD_SIGNS).collect();
    let date = clock.local(now).strftime("%-d %b %Y").to_string();
    let says = html! { "Watch sheet of " (setup.ship.name) ", " (fig(&rounds.to_string(), "rounds")) ", " (date) "." };
    let then = html! {
        p.then { "Record of " (count) " entries; its head begins " b { (head) } ". Type the rounds in when the link is back, each with its own time." }
        p.then { "Not taken? Write why: weather, engine room not manned, instrument broken. A guess is not an entry." }
    };
    let note = html! { p { "Printed " (shiptime::long(&clock, now)) ", ship’s time." } };
    let acts = parts::acts(
        html! { button.first type="button" data-print hidden { "Print" } (parts::act(Page::Readings.path(), "Back", false)) },
    );
    Ok(reader.page(
        Page::Readings,
        html! {
            (parts::answer("What is to be read?", says, then, acts, note))
            section.entry { (tables(&checked, rounds)) }
        },
    ))
}

/// One row a reading in the order of the form: a column a round for what every round reads, and below it one place
/// with its time for what is read once a day or when a check asks.
fn tables(checked: &CheckedRound, rounds: usize) -> Markup {
    let [always, seldom] = form::groups(checked);
    let line = || Cell::from(html! { span.write {} });
    let row = |name: Markup, unit: &str, places: usize| {
        Row::new(name, std::iter::once(Cell::from(unit)).chain((0..places).map(|_| line())))
    };
    let blank = |name: &str| row(html! { b { (name) } }, "", rounds);
    let mut table = Table::new("", "Every round").words("Unit");
    for nth in 1..=rounds {
        table = table.words(&format!("Round {nth}"));
    }
    let lines = always.iter().flat_map(|(_, lines)| lines);
    table = table.row(blank("Time")).rows(lines.map(|l| row(name(l), unit(l), rounds)));
    table = table.rows(["Remark", "Initials"].map(blank));
    let lines: Vec<_> = seldom.iter().flat_map(|(_, lines)| lines).collect();
    let halves = lines.chunks(lines.len().div_ceil(2).max(1)).map(|half| {
        let table = Table::new("", "Not every round").words("Unit").words("Time").words("Reading");
        table.rows(half.iter().map(|l| row(name(l), unit(l), 2)))
    });
    html! { div.watch-sheet { (table) div.halves { @for half in halves { (half) } } } }
}

fn name(line: &Checked) -> Markup {
    let place = line.reading.map_or("", |r| r.place);
    html! { span data-key=(line.key) { (line.label) } @if !place.is_empty() { small.muted { " " (place) } } }
}

fn unit(line: &Checked) -> &'static str {
    line.reading.map_or("cm", |r| r.unit.parse::<Symbol>().map_or("", Symbol::symbol))
}
