//! The route and the dated events as they are typed, and a route file read into the form.

use axum::extract::{Multipart, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Redirect, Response};
use desk::DeskError;
use desk::passage::How;
use maud::{Markup, html};

use crate::app::App;
use crate::form::FormState;
use crate::parts::{self, Field};
use crate::paths::Page;
use crate::reader::Reader;
use crate::trouble::Trouble;

use super::{EVENTS, FILE, Passage, Plan, ROUTE, RTZ, page};

/// Set where a route file was read into the form and nothing was asked to be kept.
pub(super) const LOOKED_AT: &str = "looked_at";

/// What of a route file was taken with a doubt.
const DOUBTS: &str = "doubts";

/// A route file arrives: it is read into the form, where it can be looked over and kept.
pub(super) async fn send(
    State(app): State<App>,
    reader: Reader,
    mut sent: Multipart,
) -> Result<Response, Trouble> {
    while let Some(field) = sent.next_field().await? {
        if field.name() != Some("file") {
            continue;
        }
        let bytes = field.bytes().await?;
        let (now, desk) = (app.clock().now(), app.desk().clone());
        let found = app.work().run(move |_| {
            let read = desk::passage::read_route(&bytes);
            Ok::<_, DeskError>((Passage::of(&desk, now, How::AtOnce)?, read))
        });
        let (passage, read) = found.await??;
        let mut form = FormState::default();
        if !read.text.is_empty() {
            form.set(LOOKED_AT, "yes");
            form.set("route", read.text);
        }
        if !read.wrong.is_empty() {
            form.refuse("route", read.wrong.join("\n"));
        }
        form.set(DOUBTS, read.doubts.join("\n"));
        return Ok((StatusCode::OK, page(&reader, &passage, &form)).into_response());
    }
    Ok(Redirect::to(Page::Passage.path()).into_response())
}

/// The route kept, as a route exchange file.
pub(super) async fn download(State(app): State<App>) -> Result<Response, Trouble> {
    let desk = app.desk().clone();
    Ok(match app.work().run(move |_| desk.route_rtz()).await?? {
        Some(file) => {
            let headers = [
                (CONTENT_TYPE, "application/xml"),
                (CONTENT_DISPOSITION, "attachment; filename=\"route.rtz\""),
            ];
            (headers, file).into_response()
        }
        None => Redirect::to(Page::Passage.path()).into_response(),
    })
}

/// The forms.
pub(super) fn forms(reader: &Reader, passage: &Passage, form: &FormState) -> Markup {
    let note = html! {
        p { "One waypoint a line, with commas between: " code { "34°12.5'S 152°30'E, Cape, full away, 12.5 kn" } ". In a table the departure stands in a column ETD." }
        p { "After the position in any order name, speed, " code { "great circle" } " or " code { "rhumb line" } ", " code { "full away" } ", " code { "end of passage" } ", " code { "ETA 2026-11-20 06:00Z" } ", " code { "anchor 12 h" } ", " code { "berth 3 d" } ", " code { "load 80 %" } ". Speed, ETA, track and load are those of the leg that leads to the waypoint; a time without a zone is UTC." }
        p { "Before them " code { "departure:" } ", " code { "zone: +11" } " and each change as " code { "clock: 2026-11-20 15:00Z +10" } "." }
    };
    html! {
        (parts::entry("The route", note, html! {
            (reader.form(ROUTE, "passage-route", html! {
                (text("route", "Waypoints", &passage.route, 24, form))
                (signed(form, "route"))
                p.acts { button.first { "Keep this route and plan" } }
            }))
            @if !passage.route.is_empty() { p { a href=(RTZ) { "This route as a route exchange file" } } }
            (parts::details("From a route file", reader.upload(FILE, html! {
                div.fields { div.field {
                    label for="file" { "Route file" small { "a table (CSV) or a route exchange file (IEC 61174, .rtz or .rtzp)" } }
                    p.box { input.words type="file" id="file" name="file" accept=".rtz,.rtzp,.csv,.txt,.xml"; }
                } }
                p.acts { button { "Read it into the form" } }
            })))
        }))
        (parts::entry("Dated events", html! { p { "Hold rinsing, areas without water or for distilled only, our own discharges, orders on draught, water for sale; changes of legs and stops." } }, html! {
            (reader.form(EVENTS, "passage-events", html! {
                (text("events", "Events", &passage.events, 16, form))
                (signed(form, "events"))
                p.acts {
                    button { "Keep these and plan" }
                    @if outside(passage) { button name="outside" value="drop" { "Drop those outside the route’s time or of an earlier route" } }
                }
            }))
        }))
    }
}

/// Whether events are dated outside the time of the route that is planned, or are an earlier one's.
fn outside(passage: &Passage) -> bool {
    matches!(&passage.plan, Plan::Made(view) if !view.outside.is_empty() || !view.earlier.is_empty())
}

/// Initials of who changes the text of this name.
fn signed(form: &FormState, name: &str) -> Markup {
    let actor = format!("{name}_actor");
    html! { div.fields { (Field::new(&actor, "Initials").place("who changes it").text().from_form(form)) } }
}

/// Faults told of a text; of more the count.
const MOST_TOLD: usize = 40;

fn lines(lead: &str, why: &str) -> Markup {
    let more = why.lines().count().saturating_sub(MOST_TOLD);
    html! {
        @for line in why.lines().take(MOST_TOLD) { p { span.asks { (lead) } " " (line) } }
        @if more > 0 { p { "And " (more) " more." } }
    }
}

fn text(name: &str, label: &str, kept: &str, rows: usize, form: &FormState) -> Markup {
    let shown = if form.was_sent(name) { form.typed(name) } else { kept };
    html! {
        div.field.whole {
            label for=(name) { (label) }
            textarea.toml id=(name) name=(name) rows=(rows) spellcheck="false" autocomplete="off" { (shown) }
            @if let Some(why) = form.error(name) {
                div.word id={ (name) "-word" } { (lines(if name == "route" && form.was_sent(LOOKED_AT) { "To be mended:" } else { "Not kept:" }, why)) }
            }
            @if name == "route" && !form.typed(DOUBTS).is_empty() {
                div.word { (lines("Worth a look:", form.typed(DOUBTS))) }
            }
        }
    }
}
