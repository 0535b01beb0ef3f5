//! What stands between the network and a page, from the outside in.

pub(crate) mod body;
pub(crate) mod cookie;
pub(crate) mod headers;
pub(crate) mod host;
pub(crate) mod once;
pub(crate) mod origin;
pub(crate) mod panic;
pub(crate) mod post;
pub(crate) mod token;
pub(crate) mod visit;

pub use body::{FORM_BYTES, UPLOAD_BYTES};
pub use host::Arrived;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::{from_fn, from_fn_with_state};

use crate::access;
use crate::app::App;
use crate::trouble::Trouble;

/// Lays the guards around `pages`; `open` (assets) is behind the outer ones only.
pub(crate) fn around(app: App, pages: Router<App>, open: Router<App>) -> Router<App> {
    let pages = pages
        .fallback(|| async { Trouble::NotFound })
        .method_not_allowed_fallback(|| async { Trouble::WrongMethod })
        .layer(DefaultBodyLimit::max(UPLOAD_BYTES))
        .layer(from_fn_with_state(app.clone(), post::check))
        .layer(from_fn(access::require))
        .layer(from_fn_with_state(app.clone(), visit::attend));
    pages
        .merge(open)
        .layer(from_fn_with_state(app, host::check))
        .layer(from_fn(panic::contain))
        .layer(from_fn(headers::add))
}
