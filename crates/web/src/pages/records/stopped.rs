//! What can be written when nothing else can: an emergency note, and going on after a newest entry out of order.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use desk::written::initials;
use desk::{Desk, DeskError};
use logbook::Broken;
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Field, Mark};
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

/// Writes an emergency note.
pub(super) const EMERGENCY: &str = "/records/emergency";
/// Goes on after a newest entry out of order.
pub(super) const GO_ON: &str = "/records/go-on";

/// Longest note or reason, characters.
const LONGEST: usize = 400;

/// One of the two forms: its fields, and what writes what stands in them.
struct Asked {
    by: &'static str,
    words: &'static str,
    missing: &'static str,
    write: fn(&Desk, &str, &str, jiff::Timestamp) -> Result<u64, DeskError>,
}

const EMERGENCY_NOTE: Asked = Asked {
    by: "noted_by",
    words: "note",
    missing: "Write in a few words what happens.",
    write: Desk::emergency,
};

const GOING_ON: Asked = Asked {
    by: "chief",
    words: "found",
    missing: "Say what the comparison with the backup and the bound book showed.",
    write: Desk::go_on,
};

pub(super) async fn emergency(
    app: State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    answer(app, reader, form, EMERGENCY_NOTE).await
}

pub(super) async fn go_on(
    app: State<App>,
    reader: Reader,
    form: FormState,
) -> Result<Response, Trouble> {
    answer(app, reader, form, GOING_ON).await
}

async fn answer(
    State(app): State<App>,
    reader: Reader,
    mut form: FormState,
    asked: Asked,
) -> Result<Response, Trouble> {
    let (by, words) = (form.typed(asked.by).to_owned(), form.typed(asked.words).trim().to_owned());
    if let Err(refusal) = initials(&by) {
        form.refuse(asked.by, refusal.message);
    }
    match words.chars().count() {
        0 => form.refuse(asked.words, asked.missing),
        1..=LONGEST => {}
        more => form
            .refuse(asked.words, format!("{more} characters, at most {LONGEST}: make it shorter")),
    }
    if form.is_sound() {
        let (now, desk) = (app.clock().now(), app.desk().clone());
        match app.work().run(move |_| (asked.write)(&desk, &by, &words, now)).await? {
            Ok(seq) => {
                let to = format!("{}?written={seq}#stopped", Page::Records.path());
                return Ok(Redirect::to(&to).into_response());
            }
            Err(why) => form.refuse(asked.words, why.to_string()),
        }
    }
    super::refused(&app, &reader, &form).await
}

/// The two forms, folded away; `written` is the entry one of them has just made.
pub(super) fn entry(
    reader: &Reader,
    form: &FormState,
    broken: Option<&Broken>,
    written: Option<u64>,
    newest: u64,
) -> Markup {
    let note = html! { p { "For the day on which the record takes nothing else." } };
    let open = |fields: [&str; 2]| fields.iter().any(|name| form.error(name).is_some());
    let body = html! {
        @if let Some(seq) = written {
            p id="stopped" role="status" { (parts::state(Mark::Done, "Written.")) " It is entry " (seq) "." }
        }
        (parts::details_shown("Emergency note", open(["note", "noted_by"]), html! {
            p { "Taken at once, whatever is wrong: the clock in doubt, the disk full, the newest entry out of order. What happens and what was shut down; the rest can follow later." }
            (reader.form(EMERGENCY, &format!("emergency-{newest}"), html! {
                div.fields {
                    (Field::new("note", "What happens").text().from_form(form))
                    (Field::new("noted_by", "Initials").text().from_form(form))
                }
                p.acts { button { "Write it down" } }
            }))
        }))
        (parts::details_shown("Going on after an entry out of order", broken.is_some() || open(["found", "chief"]), match broken {
            Some(broken) => html! {
                p { (broken) ". Compare the record with the backup and the bound book first: a whole copy is better than going on. Whoever goes on is named, and the entry stays named as out of order ever after." }
                (reader.form(GO_ON, &format!("go-on-{newest}"), html! {
                    div.fields {
                        (Field::new("found", "What the comparison showed").text().from_form(form))
                        (Field::new("chief", "Initials").place("who goes on: the chief").text().from_form(form))
                    }
                    p.acts { button { "Go on after it" } }
                }))
            },
            None => html! {
                p { "The newest entry is in order. Should it ever be altered or spoilt, every page says so, nothing but emergency notes is taken, and here the chief goes on by name and with what the comparison with the backup showed (on the command line " code { "stillwatch log go-on" } ")." }
            },
        }))
    };
    parts::entry("When nothing else is taken", note, body)
}
