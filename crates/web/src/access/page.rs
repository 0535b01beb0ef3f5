//! The sign-in page, which tells a stranger nothing about the ship.

use axum::extract::{Extension, State};
use axum::http::header::{RETRY_AFTER, SET_COOKIE};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Router, http::HeaderValue};
use maud::{Markup, html};

use super::{COOKIE, Lock, PHRASE_FIELD};
use crate::app::App;
use crate::form::FormState;
use crate::frame;
use crate::guard::visit::Visit;
use crate::guard::{Arrived, cookie};
use crate::paths::{SIGN_IN, SIGN_OUT, own_path};
use crate::trouble::Trouble;
use crate::{parts, parts::Field};

pub(super) fn routes() -> Router<App> {
    Router::new().route(SIGN_IN, get(show).post(enter)).route(SIGN_OUT, post(leave))
}

async fn show(Extension(visit): Extension<Visit>, form: FormState) -> Response {
    if visit.admitted {
        return Redirect::to(own_path(form.typed("then"))).into_response();
    }
    draw(&visit, &form).into_response()
}

fn draw(visit: &Visit, form: &FormState) -> Markup {
    let field = Field::new(PHRASE_FIELD, "Pass-phrase").secret().from_form(form).typed("");
    let body = html! {
        form method="post" action=(SIGN_IN) {
            input type="hidden" name="_token" value=(visit.token);
            input type="hidden" name="then" value=(own_path(form.typed("then")));
            div.fields { (field) }
            p.acts { button.first { "Sign in" } }
        }
    };
    let says = html! { "This computer asks for its pass-phrase." };
    let then =
        html! { p.then { "Whoever started the program on the ship’s network has chosen it." } };
    let note = html! { p { "What is sent is not encrypted yet: use it on a network you trust." } };
    let page = html! {
        (parts::answer("Who is reading?", says, then, html! {}, note))
        (parts::entry("Sign in", html! {}, body))
    };
    frame::plain(visit.palette, "Sign in", &page)
}

async fn enter(
    State(app): State<App>,
    Extension(visit): Extension<Visit>,
    arrived: Option<Extension<Arrived>>,
    mut form: FormState,
) -> Result<Response, Trouble> {
    let Some(lock) = app.lock() else { return Err(Trouble::NotFound) };
    let now = app.clock().steady();
    let from = arrived.map_or(std::net::Ipv4Addr::UNSPECIFIED.into(), |Extension(a)| a.peer.ip());
    if let Err(wait) = lock.attempts.begin(from, now) {
        let seconds = wait.as_secs() + u64::from(wait.subsec_nanos() > 0);
        form.refuse(
            PHRASE_FIELD,
            format!("Too soon after a wrong one. Wait {seconds} s, then try again."),
        );
        let retry = (RETRY_AFTER, HeaderValue::from(seconds));
        return Ok((StatusCode::TOO_MANY_REQUESTS, [retry], draw(&visit, &form)).into_response());
    }
    if !check(lock, form.typed(PHRASE_FIELD)).await? {
        form.refuse(PHRASE_FIELD, "This is not the pass-phrase. Capital letters and blanks count.");
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, draw(&visit, &form)).into_response());
    }
    lock.attempts.succeed(from);
    let token = app.draw::<32>()?;
    lock.sessions.open(&token, now);
    let then = Redirect::to(own_path(form.typed("then")));
    Ok(([(SET_COOKIE, cookie::passing(COOKIE, &token))], then).into_response())
}

/// Off the pages' threads, and no more than two at a time.
async fn check(lock: &Lock, typed: &str) -> Result<bool, Trouble> {
    let turn = lock.checks.clone().acquire_owned().await.map_err(|_| Trouble::Busy)?;
    let (phrase, typed) = (lock.phrase.clone(), typed.to_owned());
    let job = move || {
        let _turn = turn;
        phrase.is(&typed)
    };
    let checked = tokio::task::spawn_blocking(job).await;
    match checked {
        Ok(Ok(right)) => Ok(right),
        Ok(Err(super::PhraseError::Long { .. })) => Ok(false),
        Ok(Err(cause)) => Err(Trouble::Internal { cause: cause.to_string() }),
        Err(_) => Err(crate::guard::panic::failed()),
    }
}

async fn leave(State(app): State<App>, headers: HeaderMap) -> Response {
    if let (Some(lock), Some(token)) = (app.lock(), cookie::find(&headers, COOKIE)) {
        lock.sessions.end(token);
    }
    let gone = cookie::lasting(COOKIE, "", 0);
    ([(SET_COOKIE, gone)], Redirect::to(SIGN_IN)).into_response()
}
