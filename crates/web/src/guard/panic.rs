//! A fault in one page never takes the program down: it becomes a page that says so.

use std::future::poll_fn;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::task::Poll;

use axum::extract::Request;
use axum::http::StatusCode;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use maud::html;

use crate::frame;
use crate::frame::palette::Palette;
use crate::trouble::Trouble;

/// Runs the rest of the request; an unwinding panic ends it with status 500.
pub(crate) async fn contain(request: Request, next: Next) -> Response {
    let palette = Palette::of(request.headers());
    let mut inner = Box::pin(next.run(request));
    // Nothing of the unwound handler is used again, so its state cannot be seen half-changed; locks
    // it held are poisoned and recovered where they are taken.
    let ended = poll_fn(|cx| match catch_unwind(AssertUnwindSafe(|| inner.as_mut().poll(cx))) {
        Ok(Poll::Pending) => Poll::Pending,
        Ok(Poll::Ready(response)) => Poll::Ready(Some(response)),
        Err(_) => Poll::Ready(None),
    })
    .await;
    ended.unwrap_or_else(|| {
        let trouble = failed();
        let body = trouble.body(|_| html! {});
        (StatusCode::INTERNAL_SERVER_ERROR, frame::plain(palette, "Fault", &body)).into_response()
    })
}

/// The trouble that stands for a panic.
pub(crate) fn failed() -> Trouble {
    Trouble::Internal { cause: "a fault in the program stopped it".to_owned() }
}
