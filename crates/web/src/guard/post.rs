//! Requests that change something: from our own page, with its token, each taken once.

use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::header::CONTENT_TYPE;
use axum::http::{HeaderMap, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::app::App;
use crate::guard::once::sending;
use crate::guard::visit::Visit;
use crate::guard::{body, origin, panic, token};
use crate::trouble::{Again, Trouble};

/// The header that carries the token where there is no form (a module's own request).
pub(crate) const TOKEN_HEADER: &str = "x-stillwatch-token";

/// How the body is written, which says where the token is.
enum Kind {
    Form,
    Files,
    Other,
}

/// Lets safe methods pass; checks origin, then token, then takes the request once.
pub(crate) async fn check(State(app): State<App>, request: Request, next: Next) -> Response {
    if matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS) {
        return next.run(request).await;
    }
    checked(app, request, next).await.unwrap_or_else(IntoResponse::into_response)
}

async fn checked(app: App, request: Request, next: Next) -> Result<Response, Trouble> {
    origin::check(request.headers())?;
    let expected = request.extensions().get::<Visit>().map(|v| v.token.clone()).unwrap_or_default();
    let is_own = |sent: &str| token::same(sent.as_bytes(), expected.as_bytes());
    let (parts, sent) = request.into_parts();
    match kind(&parts.headers) {
        Kind::Files => {
            if !is_own(&named(parts.uri.query().unwrap_or("").as_bytes(), "_token")) {
                return Err(Trouble::Stale { again: None });
            }
            let _turn = app.uploads().try_acquire().map_err(|_| Trouble::Busy)?;
            let timed = body::upload(&parts.headers, sent)?;
            Ok(next.run(Request::from_parts(parts, timed)).await)
        }
        Kind::Other => {
            let token = parts.headers.get(TOKEN_HEADER).and_then(|token| token.to_str().ok());
            if !is_own(token.unwrap_or("")) {
                return Err(Trouble::Stale { again: None });
            }
            let bytes = body::form(&parts.headers, sent).await?;
            Ok(next.run(Request::from_parts(parts, Body::from(bytes))).await)
        }
        Kind::Form => {
            let bytes = body::form(&parts.headers, sent).await?;
            let fields: Vec<_> = form_urlencoded::parse(&bytes).into_owned().collect();
            let path = parts.uri.path_and_query().map_or("/", |path| path.as_str()).to_owned();
            if !fields.iter().any(|(name, text)| name == "_token" && is_own(text)) {
                return Err(stale(&parts.headers, path, fields));
            }
            let sending = sending(&path, &fields);
            let request = Request::from_parts(parts, Body::from(bytes));
            let Some(sending) = sending else { return Ok(next.run(request).await) };
            // Worked on to its end even when the link is lost meanwhile: only so is the outcome known
            // when the reader asks again.
            let work = async move { app.once().take(sending, next.run(request)).await };
            tokio::spawn(work).await.map_err(|_| panic::failed())
        }
    }
}

fn kind(headers: &HeaderMap) -> Kind {
    let mime = headers.get(CONTENT_TYPE).and_then(|mime| mime.to_str().ok()).unwrap_or("");
    match mime.split(';').next().unwrap_or("").trim().to_ascii_lowercase().as_str() {
        "application/x-www-form-urlencoded" => Kind::Form,
        "multipart/form-data" => Kind::Files,
        _ => Kind::Other,
    }
}

fn named(encoded: &[u8], name: &str) -> String {
    let mut pairs = form_urlencoded::parse(encoded);
    pairs.find(|(key, _)| key == name).map(|(_, text)| text.into_owned()).unwrap_or_default()
}

/// What was typed is handed back only when the browser vouches that our own page sent it.
fn stale(headers: &HeaderMap, action: String, mut fields: Vec<(String, String)>) -> Trouble {
    fields.retain(|(name, _)| !name.starts_with('_') && !is_secret(name));
    let again = origin::is_vouched(headers) && !fields.is_empty();
    Trouble::Stale { again: again.then_some(Again { action, fields }) }
}

/// Never written into a page.
fn is_secret(name: &str) -> bool {
    name == crate::access::PHRASE_FIELD
}
