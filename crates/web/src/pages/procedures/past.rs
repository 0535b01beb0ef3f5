//! Runs of one procedure side by side: minutes of each step beside the usual ones.

use axum::extract::State;
use desk::procedures::{Compared, Interrupted};
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Cell, Row, Table, fig};
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

use super::{Around, address, emergencies, minutes, read, run_address, takes, time};

pub(super) async fn show(
    State(app): State<App>,
    reader: Reader,
    asked: FormState,
) -> Result<Markup, Trouble> {
    let key = asked.typed("key").to_owned();
    let (around, compared) = {
        let key = key.clone();
        read(&app, move |desk, _| desk.compare_runs(&key)).await?
    };
    Ok(reader.page(Page::Procedures, page(&around, &compared, &key)))
}

fn page(around: &Around, compared: &Compared, key: &str) -> Markup {
    let runs = &compared.runs;
    let whole: Vec<f64> = compared.whole_min.iter().flatten().copied().collect();
    let says = match (runs.len(), whole.as_slice()) {
        (0, _) if compared.given_up.is_empty() => {
            html! { (compared.name) " has not been run yet." }
        }
        (0, _) => html! { (compared.name) " has not been run to its end yet." },
        (n, []) => {
            html! { (compared.name) ": " (fig(&n.to_string(), if n == 1 { "run" } else { "runs" })) ", none over yet." }
        }
        (_, [last, ..]) => {
            html! { (compared.name) " took " b.fig { (minutes(*last)) } " last time." }
        }
    };
    let note = html! { p { "The newest first. A step’s minutes run from the one done before it, by the clock; its wait is in them. The first step’s run from the begin of the list; the others add up to the whole. A step that was not done in its place has none. Where a stop, an emergency or a list that excludes it lay between, the minutes are told with it and without." } };
    let acts = parts::acts(parts::act(&address(key), "The whole list", false));
    html! {
        (emergencies(around, None))
        (parts::answer("How long does it take us?", says, html! {}, acts, note))
        @if !runs.is_empty() { (parts::entry("Step by step", html! {}, table(around, compared))) }
        @let undone: Vec<_> = runs.iter().filter_map(|run| Some((run, run.undone.as_ref()?))).collect();
        @if !undone.is_empty() { (parts::entry("Undone by another list", html! {}, html! { ul { @for (run, undone) in &undone { li {
            a href=(run_address(run.id)) { (time(around, run.began)) } ": " (undone)
        } } } })) }
        @if !compared.given_up.is_empty() { (parts::entry("Given up", html! { p { "No measure of how long it takes." } }, html! { ul { @for run in &compared.given_up { li {
            a href=(run_address(run.id)) { (time(around, run.began)) } ", after " (run.done) " of " (run.steps) " steps"
            @if let Some(why) = &run.given_up { ": " (why) }
        } } } })) }
    }
}

fn table(around: &Around, compared: &Compared) -> Markup {
    let mut table = Table::new("", "Step").words("Usual");
    for run in &compared.runs {
        table = table.numbers(&crate::shiptime::dated(&around.clock, run.began), "");
    }
    let mut rows: Vec<Row> = compared
        .steps
        .iter()
        .enumerate()
        .map(|(i, step)| {
            let runs = step.took_min.iter().zip(&step.out_of_order).zip(&step.between);
            let took = runs.map(|((min, swapped), between)| match swapped {
                true => Cell::from("– out of order"),
                false => cell(around, *min, between.as_ref()),
            });
            let cells = std::iter::once(Cell::from(takes(step.takes_min).replace(' ', "\u{a0}")))
                .chain(took);
            let first = step.what.split(['.', ';']).next().unwrap_or(&step.what).trim();
            Row::new(html! { (i + 1) ". " (first) }, cells)
        })
        .collect();
    let whole = compared.whole_min.iter().zip(&compared.whole_between);
    let whole = whole.map(|(min, between)| cell(around, *min, between.as_ref()));
    rows.push(Row::new(
        html! { b { "First to last" } },
        std::iter::once(Cell::from("")).chain(whole),
    ));
    html! {
        (table.rows(rows))
        p.acts { @for run in &compared.runs { (parts::act(&run_address(run.id), &format!("Run of {}", time(around, run.began)), false)) } }
    }
}

/// Minutes; where another list lay between, with it and without.
fn cell(around: &Around, min: Option<f64>, between: Option<&Interrupted>) -> Cell {
    let Some(min) = min else { return Cell::from("–") };
    let nb = |min: f64| minutes(min).replace(' ', "\u{a0}");
    let Some(of) = between else { return Cell::from(nb(min)) };
    html! {
        (nb(min)) br;
        small {
            (nb(of.own_min)) " without: interrupted " span.nb { (time(around, of.from)) "–" (time(around, of.to)) } " by " (of.by)
            @if of.more > 0 { " and " (of.more) " more" }
        }
    }
    .into()
}
