//! A file of readings into the record: sent, looked at row by row, then taken or left.

mod asked;
mod looked;

use axum::extract::{Multipart, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use desk::import::{Asked, Import};
use desk::{Desk, DeskError};
use jiff::Timestamp;
use logbook::import::FileRefused;
use logbook::{Entry, ShipClock};
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Field};
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

use self::asked::Wish;
use super::earlier;

/// Looks at a file that was sent.
pub(super) const IMPORT: &str = "/readings/import";
/// Takes it into the record.
pub(super) const TAKE: &str = "/readings/import/take";

/// What became of a look at a file.
enum Look {
    /// None was sent yet.
    None,
    /// It was sent too long ago.
    Gone,
    /// It is not understood as a whole; the headings, where it has any.
    Refused { why: String, headings: Vec<String>, order: bool },
    /// Row by row.
    Plan(Box<Import>),
}

struct Looked {
    look: Look,
    clock: ShipClock,
    names: Vec<(String, String)>,
}

impl Looked {
    fn of(desk: &Desk, wish: &Wish, now: Timestamp) -> Result<Looked, DeskError> {
        let tanks = &desk.setup().ship.tanks;
        let names = asked::names(tanks.iter().map(|tank| (tank.key.as_str(), tank.name.as_str())));
        let clock = desk.clock()?;
        let look = match (wish.mark.as_str(), desk.held(&wish.mark)?) {
            ("", _) => Look::None,
            (_, None) => Look::Gone,
            (_, Some(bytes)) => {
                let asked = wish.asked().map_err(DeskError::Asked);
                match asked.and_then(|asked| desk.import_plan(&bytes, &asked, now)) {
                    Ok(found) => Look::Plan(Box::new(found)),
                    Err(DeskError::Import { why, .. }) => Look::refused(&why),
                    Err(DeskError::Asked(why)) => {
                        Look::Refused { why, headings: wish.headings(), order: false }
                    }
                    Err(other) => return Err(other),
                }
            }
        };
        Ok(Looked { look, clock, names })
    }
}

impl Look {
    fn refused(why: &FileRefused) -> Look {
        let headings = match why {
            FileRefused::NoTime { headings } | FileRefused::NoReadings { headings } => {
                headings.clone()
            }
            _ => Vec::new(),
        };
        let order = matches!(why, FileRefused::DayOrder { .. } | FileRefused::DayOrders { .. });
        Look::Refused { why: why.to_string(), headings, order }
    }
}

/// The page: nothing sent, a file looked at, or what was taken.
pub(super) async fn show(
    State(app): State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Markup, Trouble> {
    let (now, desk, wish) = (app.clock().now(), app.desk().clone(), Wish::of(&form));
    let taken = form.typed("taken").parse::<u64>().ok();
    let asked = wish.clone();
    let found = app.work().run(move |_| {
        let told = taken.map(|seq| earlier::entry(&desk, seq)).transpose()?.flatten();
        Ok::<_, DeskError>((Looked::of(&desk, &asked, now)?, told))
    });
    let (looked, told) = found.await??;
    Ok(page(&reader, &wish, &looked, told.as_ref(), &form))
}

/// A file arrives: it is held beside the record and looked at; nothing is written in the record.
pub(super) async fn send(State(app): State<App>, mut sent: Multipart) -> Result<Response, Trouble> {
    while let Some(field) = sent.next_field().await? {
        if field.name() != Some("file") {
            continue;
        }
        let name = plain_name(field.file_name().unwrap_or_default());
        let bytes = field.bytes().await?;
        if bytes.is_empty() {
            break;
        }
        let desk = app.desk().clone();
        let mark = app.work().run(move |_| desk.hold(&bytes)).await??;
        return Ok(Redirect::to(&Wish::new(mark, name).address()).into_response());
    }
    Ok(Redirect::to(IMPORT).into_response())
}

/// The last part of a file's name, so short that it can stand in an address and in an entry.
fn plain_name(given: &str) -> String {
    let last = given.rsplit(['/', '\\']).next().unwrap_or_default();
    let name: String = last.chars().filter(|c| !c.is_control()).take(80).collect();
    if name.trim().is_empty() { "a file".to_owned() } else { name }
}

/// Takes the file that was looked at.
pub(super) async fn take(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let (now, desk, wish) = (app.clock().now(), app.desk().clone(), Wish::of(&form));
    let actor = form.typed("actor").trim().to_owned();
    if let Err(refusal) = desk::written::initials(&actor) {
        form.refuse("actor", refusal.message);
    }
    let (sound, looking) = (form.is_sound(), wish.clone());
    let done = app.work().run(move |_| {
        let held = desk.held(&looking.mark)?.filter(|_| sound);
        let asked = looking.asked().map(|asked| Asked { actor, ..asked });
        let taken = held.map(|bytes| desk.import(&bytes, &asked.map_err(DeskError::Asked)?, now));
        match taken {
            Some(Ok(done)) => {
                desk.let_go(&looking.mark);
                Ok(Ok(done.entry))
            }
            Some(Err(error)) => {
                let looked = Looked::of(&desk, &looking, now)?;
                Ok(Err((looked, Some(super::told(&error)))))
            }
            None => Ok::<_, DeskError>(Err((Looked::of(&desk, &looking, now)?, None))),
        }
    });
    Ok(match done.await?? {
        Ok(entry) => {
            let seq = entry.map_or(String::new(), |seq| seq.to_string());
            Redirect::to(&format!("{IMPORT}?taken={seq}")).into_response()
        }
        Err((looked, why)) => {
            if let Some(why) = why {
                form.refuse_whole(format!("Not taken: {why}"));
            }
            let page = page(&reader, &wish, &looked, None, &form);
            (StatusCode::UNPROCESSABLE_ENTITY, page).into_response()
        }
    })
}

fn page(
    reader: &Reader,
    wish: &Wish,
    looked: &Looked,
    taken: Option<&Entry>,
    form: &FormState,
) -> Markup {
    let said = html! {
        @if let Some(entry) = taken { (looked::taken(entry)) }
        @else if form.was_sent("taken") { p.then role="status" { "Everything in that file was in the record already: nothing was written." } }
        @for why in form.overall() { p.then { span.asks { "Not taken." } " " (why) } }
    };
    let body = match &looked.look {
        Look::None => html! { (first(said)) (choose(reader)) },
        Look::Gone => {
            let gone =
                html! { (said) p.then { "That file is no longer held here: send it again." } };
            html! { (first(gone)) (choose(reader)) }
        }
        Look::Refused { why, headings, order } => html! {
            (parts::answer("What would this file bring?", html! { "Nothing yet: it is not understood." }, html! { (said) p.then { span.asks { "Not understood." } " " (why) } }, html! {}, html! {}))
            (asked::form(wish, headings, &[], &looked.names, *order))
            (choose(reader))
        },
        Look::Plan(found) => html! {
            (looked::answer(wish, found, said))
            (looked::refused(found))
            (looked::odd(found, &looked.clock))
            (looked::rows(found, &looked.clock))
            (take_it(reader, wish, found, form))
            (asked::form(wish, &found.plan.layout.headings, &found.plan.layout.columns, &looked.names, true))
            (choose(reader))
        },
    };
    reader.page(Page::Readings, body)
}

fn first(then: Markup) -> Markup {
    let says = html! { "None chosen. Readings kept in a spreadsheet or by an instrument can be taken in as a CSV file." };
    parts::answer("What would a file bring?", says, then, html! {}, html! {})
}

fn choose(reader: &Reader) -> Markup {
    let note = html! {
        p { "Nothing is written by looking. A row that cannot be read never stops the others, and the same file twice changes nothing." }
    };
    let form = reader.upload(IMPORT, html! {
        div.fields { div.field {
            label for="file" { "CSV file" small { "columns in any order, decimal point or comma, one reading a column or one a row; at most 64 MB" } }
            p.box { input.words type="file" id="file" name="file" accept=".csv,.txt,.tsv,text/csv"; }
        } }
        p.acts { button.first { "Look at it" } a.act href=(Page::Readings.path()) { "Back to Readings" } }
    });
    parts::entry("Choose a file", note, form)
}

fn take_it(reader: &Reader, wish: &Wish, found: &Import, form: &FormState) -> Markup {
    if found.new == 0 {
        return html! {};
    }
    let note = html! { p { "What is taken becomes entries like any other: from a file, in your name, never changed afterwards." } };
    parts::entry(
        "Take it into the record",
        note,
        reader.form(TAKE, "import", html! {
            (wish.hidden())
            div.fields { (Field::new("actor", "Initials").place("where the file does not say who read").text().from_form(form)) }
            p.acts { button.first { "Take " (found.new) @if found.new == 1 { " value" } @else { " values" } } }
        }),
    )
}
