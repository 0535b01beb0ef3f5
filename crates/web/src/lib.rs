//! The pages: one folder each, drawn on the server, complete without script.
//!
//! `App` holds what every handler needs, `router` lays the pages behind the guards, and `bind` opens
//! the port. A page takes a [`Reader`] (who reads: palette, form token, heading line) and hands its
//! body to [`Reader::page`]. Physics and storage are not here; the clock and the source of random
//! bytes come in through [`App::new`].

pub mod access;
pub mod app;
pub mod assets;
pub mod form;
pub mod frame;
pub mod guard;
pub mod pages;
pub mod parts;
pub mod paths;
pub mod reader;
pub mod serve;
pub mod shiptime;
pub mod trouble;
pub mod work;

use axum::Router;

pub use app::{App, Clock, Entropy, Heading, NoEntropy, Shell};
pub use form::FormState;
pub use paths::Page;
pub use reader::Reader;
pub use serve::{Bound, Listen, ListenError, bind};
pub use trouble::Trouble;

/// All pages behind the guards.
pub fn router(app: App) -> Router {
    router_of(app, pages::routes())
}

/// The given pages behind the guards, beside the assets, the palette and the sign-in page.
///
/// The order is the order in which a request meets them: security headers, panic guard, host name,
/// dressed error pages, sign-in, origin and form token, page.
pub fn router_of(app: App, pages: Router<App>) -> Router {
    let pages = pages.merge(frame::palette::routes()).merge(access::routes());
    guard::around(app.clone(), pages, assets::routes()).with_state(app)
}
