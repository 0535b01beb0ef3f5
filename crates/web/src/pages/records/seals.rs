//! The seals: one made by a press, its code big enough to copy by hand, and those made before.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use desk::DeskError;
use desk::written::initials;
use logbook::{Sealed, ShipClock};
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Cell, Field, Mark, Row, Table};
use crate::paths::Page;
use crate::reader::Reader;
use crate::shiptime;
use crate::trouble::Trouble;

/// Seals everything written since the last seal.
pub(super) const SEAL: &str = "/records/seal-day";

/// Seals read: a year of days and more.
pub(super) const MOST: usize = 400;
/// Seals shown before the others are folded away.
const SHOWN: usize = 7;

pub(super) async fn seal(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    match initials(form.typed("sealer")) {
        Ok(by) => {
            let (by, now, desk) = (by.to_owned(), app.clock().now(), app.desk().clone());
            match app.work().run(move |_| desk.seal(&by, now)).await? {
                Ok((seq, _)) => {
                    let to = format!("{}?sealed={seq}#sealed", Page::Records.path());
                    return Ok(Redirect::to(&to).into_response());
                }
                Err(DeskError::Record(logbook::Error::NothingToSeal { last })) => {
                    form.refuse_whole(format!(
                        "Nothing was written since the last seal: entry {last} is the newest."
                    ));
                }
                // A doubted clock, a full disk, a broken newest entry: said beside the form, with its remedy.
                Err(other) => form.refuse_whole(other.to_string()),
            }
        }
        Err(refusal) => form.refuse("sealer", refusal.message),
    }
    super::refused(&app, &reader, &form).await
}

/// Makes one, and lists those made. `just` is the entry of one made a moment ago.
pub(super) fn entry(
    reader: &Reader,
    form: &FormState,
    seals: &[Sealed],
    clock: &ShipClock,
    just: Option<u64>,
) -> Markup {
    let note = html! {
        p { "Once a day, at noon or at the end of the day: one press and thirteen signs by hand prove later that nothing before was altered." }
    };
    let keep = format!("seal-{}", seals.first().map_or(0, |sealed| sealed.seq));
    let body = html! {
        @if let Some(newest) = seals.first().filter(|sealed| Some(sealed.seq) == just) { (fresh(newest, clock)) }
        @for why in form.overall() { p { span.asks { "Not sealed." } " " (why) } }
        (reader.form(SEAL, &keep, html! {
            p { "Everything written since the last seal, up to now." }
            div.fields { (Field::new("sealer", "Initials").place("who seals").text().from_form(form)) }
            p.acts { button.first { "Seal the day" } }
        }))
        (list(seals, clock))
    };
    parts::entry("Seal the day", note, body)
}

/// The seal just made.
fn fresh(sealed: &Sealed, clock: &ShipClock) -> Markup {
    html! {
        div.seal id="sealed" role="status" {
            p { (parts::state(Mark::Done, "Sealed.")) " Write it in the bound book:" }
            p.seal-code { (sealed.code) }
            p.seal-line { (line(sealed, clock)) }
        }
    }
}

/// As it is written in the book and printed.
fn line(sealed: &Sealed, clock: &ShipClock) -> String {
    let seal = &sealed.seal;
    format!(
        "{}, entries {} to {}, code {}, by {} at {} ship’s time.",
        day(sealed),
        seal.first,
        seal.last,
        sealed.code,
        sealed.by,
        shiptime::long(clock, sealed.at)
    )
}

/// The ship's date, with the sea day where the record counts them.
fn day(sealed: &Sealed) -> String {
    let date = sealed.seal.day;
    match sealed.seal.sea_day {
        Some(n) => format!("{date}, sea day {n}"),
        None => date.to_string(),
    }
}

fn list(seals: &[Sealed], clock: &ShipClock) -> Markup {
    if seals.is_empty() {
        return parts::quiet("No seal yet", html! { "The first covers everything from entry 1." });
    }
    let table = |seals: &[Sealed]| {
        Table::new("", "Day")
            .words("Code")
            .words("Entries")
            .words("By")
            .words("Made, ship’s time")
            .rows(seals.iter().map(|sealed| {
                let entries = format!("{} to {}", sealed.seal.first, sealed.seal.last);
                let cells: [Cell; 4] = [
                    html! { code { (sealed.code) } }.into(),
                    entries.into(),
                    sealed.by.as_str().into(),
                    shiptime::long(clock, sealed.at).into(),
                ];
                Row::new(html! { (day(sealed)) }, cells)
            }))
    };
    let (newest, older) = seals.split_at(seals.len().min(SHOWN));
    html! {
        (table(newest))
        @if !older.is_empty() {
            (parts::details(&format!("{} older seals", older.len()), html! { (table(older)) }))
        }
    }
}
