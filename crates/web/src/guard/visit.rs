//! Who comes: the visit cookie, the palette, the session; and troubles dressed as pages on the way out.

use axum::extract::{Request, State};
use axum::http::header::SET_COOKIE;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};

use crate::access;
use crate::app::App;
use crate::frame::palette::Palette;
use crate::frame::{self};
use crate::guard::cookie;
use crate::reader::Reader;
use crate::trouble::{Again, Trouble};

const COOKIE: &str = "stillwatch-visit";

/// What is known of a request's sender; in the request's extensions.
#[derive(Debug, Clone)]
pub(crate) struct Visit {
    pub(crate) palette: Palette,
    pub(crate) token: String,
    pub(crate) path: String,
    /// Signed in, or no pass-phrase is asked for.
    pub(crate) admitted: bool,
}

pub(crate) async fn attend(State(app): State<App>, mut request: Request, next: Next) -> Response {
    let known = cookie::find(request.headers(), COOKIE).filter(|id| is_id(id)).map(str::to_owned);
    let id = match known.clone().map_or_else(|| app.draw::<32>(), Ok) {
        Ok(id) => id,
        Err(none) => return dress(&app, None, Trouble::from(none)),
    };
    let session = access::session_of(&app, request.headers());
    let visit = Visit {
        palette: Palette::of(request.headers()),
        token: app.secret().token(&id, session.as_deref().unwrap_or("")),
        path: request.uri().path_and_query().map_or("/", |path| path.as_str()).to_owned(),
        admitted: app.lock().is_none() || session.is_some(),
    };
    request.extensions_mut().insert(visit.clone());
    let mut response = next.run(request).await;
    if let Some(trouble) = response.extensions_mut().remove::<Trouble>() {
        let headers = std::mem::take(response.headers_mut());
        response = dress(&app, Some(&visit), trouble);
        for (name, value) in &headers {
            response.headers_mut().entry(name).or_insert_with(|| value.clone());
        }
    }
    if known.is_none() {
        response.headers_mut().append(SET_COOKIE, cookie::passing(COOKIE, &id));
    }
    response
}

/// A trouble as a page: with heading line and index for a reader who is admitted, bare otherwise.
fn dress(app: &App, visit: Option<&Visit>, trouble: Trouble) -> Response {
    let status = trouble.status();
    let admitted = visit.filter(|visit| visit.admitted);
    let page = match admitted.map(|visit| Reader::of(app, visit)) {
        Some(Ok(reader)) => {
            let body = trouble.body(|again| resend(&reader, again));
            frame::page(&reader, None, "Fault", &body, &[])
        }
        _ => {
            let palette = visit.map(|visit| visit.palette).unwrap_or_default();
            frame::plain(palette, "Fault", &trouble.body(|_| html! {}))
        }
    };
    (status, page).into_response()
}

/// The form of a stale page again, with a fresh token and everything typed in plain sight.
fn resend(reader: &Reader, again: &Again) -> Markup {
    html! { form method="post" action=(again.action) {
        (reader.hidden())
        div.fields {
            @for (place, (name, text)) in again.fields.iter().enumerate() {
                @if text.trim().is_empty() || name == "do" || name.contains('~') {
                    // Nothing the reader wrote by hand; it goes along unseen.
                    input type="hidden" name=(name) value=(text);
                } @else {
                    div.field {
                        label for={ "again-" (place) } { (label(name)) }
                        @if text.contains('\n') {
                            textarea.free id={ "again-" (place) } name=(name) rows="12" { "\n" (text) }
                        } @else {
                            p.box { input id={ "again-" (place) } name=(name) value=(text); }
                        }
                    }
                }
            }
        }
        p.acts { button.first { "Send again" } }
    } }
}

/// A field's name as the reader knows it.
fn label(name: &str) -> &str {
    match name {
        "actor" | "by" | "signed" => "Initials",
        _ => desk::field::reading(name).map_or(name, |reading| reading.label),
    }
}

fn is_id(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}
