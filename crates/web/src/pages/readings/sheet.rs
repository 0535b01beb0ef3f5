//! The blank watch sheet, for the clipboard: the order of the entry form, with lines to write on.

use axum::extract::State;
use desk::DeskError;
use desk::entry::{CheckedRound, TypedRound};
use desk::field::Often;
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
            section.entry { (table(&checked, rounds)) }
        },
    ))
}

/// One row a reading in the order of the form, one column a round.
fn table(checked: &CheckedRound, rounds: usize) -> Markup {
    let line = || Cell::from(html! { span.write {} });
    let mut table = Table::new("", "Reading").words("Unit");
    for nth in 1..=rounds {
        table = table.words(&format!("Round {nth}"));
    }
    let blank = |name: &str| {
        Row::new(
            html! { b { (name) } },
            std::iter::once(Cell::from("")).chain((0..rounds).map(|_| line())),
        )
    };
    let mut rows = vec![blank("Time")];
    for (title, lines) in form::groups(checked) {
        rows.push(Row::new(html! { i { (title) } }, [Cell::over(rounds + 1, html! {})]));
        for l in lines {
            let unit =
                l.reading.map_or("cm", |r| r.unit.parse::<Symbol>().map_or("", Symbol::symbol));
            let seldom = l.reading.is_some_and(|r| r.often != Often::Always);
            let place = l.reading.map_or("", |r| r.place);
            let name = html! {
                span data-key=(l.key) { (l.label) }
                @if !place.is_empty() { small.muted { " " (place) @if seldom { ", not every round" } } }
            };
            rows.push(Row::new(
                name,
                std::iter::once(Cell::from(unit)).chain((0..rounds).map(|_| line())),
            ));
        }
    }
    rows.extend(["Remark", "Initials"].map(blank));
    html! { (table.rows(rows)) }
}
