//! Who may enter when the program listens beyond its own computer: pass-phrase, session, waiting times.

mod attempts;
mod page;
mod phrase;
mod session;

pub use phrase::{Phrase, PhraseError, Salt};

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::Request;
use axum::http::{HeaderMap, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use tokio::sync::Semaphore;

use crate::app::App;
use crate::guard::cookie;
use crate::guard::visit::Visit;
use crate::paths;
use crate::trouble::Trouble;
use attempts::Attempts;
use session::Sessions;

/// The field of the sign-in form that holds the pass-phrase.
pub(crate) const PHRASE_FIELD: &str = "phrase";

/// The cookie that names a session.
const COOKIE: &str = "stillwatch-session";

/// Pass-phrases checked at a time: each check takes 19 MiB.
const CHECKS: usize = 2;

/// The lock on a program that is listening to the ship's network.
pub(crate) struct Lock {
    phrase: Phrase,
    sessions: Sessions,
    attempts: Attempts,
    checks: Arc<Semaphore>,
}

impl Lock {
    pub(crate) fn new(phrase: Phrase) -> Lock {
        Lock {
            phrase,
            sessions: Sessions::default(),
            attempts: Attempts::default(),
            checks: Arc::new(Semaphore::new(CHECKS)),
        }
    }

    fn session(&self, token: &str, now: Duration) -> Option<String> {
        self.sessions.find(token, now)
    }
}

/// The session a request belongs to, by the hash of its token; nothing where none is valid.
pub(crate) fn session_of(app: &App, headers: &HeaderMap) -> Option<String> {
    app.lock()?.session(cookie::find(headers, COOKIE)?, app.clock().steady())
}

/// Leads a reader who is not signed in to the sign-in page, and refuses what he sends elsewhere.
pub(crate) async fn require(request: Request, next: Next) -> Response {
    let visit = request.extensions().get::<Visit>();
    let admitted = visit.is_some_and(|visit| visit.admitted);
    if admitted || request.uri().path() == paths::SIGN_IN {
        return next.run(request).await;
    }
    if *request.method() != Method::GET {
        return Trouble::SignedOut.into_response();
    }
    let then = visit.map_or("/", |visit| visit.path.as_str());
    let query = form_urlencoded::Serializer::new(String::new()).append_pair("then", then).finish();
    Redirect::to(&format!("{}?{query}", paths::SIGN_IN)).into_response()
}

pub(crate) fn routes() -> Router<App> {
    page::routes()
}
