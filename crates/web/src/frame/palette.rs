//! Day, night, or as the device says: chosen by a form, kept in a cookie.

use axum::Router;
use axum::http::HeaderMap;
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;

use crate::app::App;
use crate::form::FormState;
use crate::guard::cookie;
use crate::paths;
use crate::trouble::Trouble;

const COOKIE: &str = "stillwatch-palette";
const YEAR_S: u64 = 31_536_000;

/// The palette a page is drawn in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Palette {
    /// Dark ink on light paper.
    Day,
    /// Light ink on dark paper, low glare.
    Night,
    /// As the device is set.
    #[default]
    Auto,
}

impl Palette {
    pub(crate) const ALL: [Palette; 3] = [Palette::Day, Palette::Night, Palette::Auto];

    /// As written in the cookie, the form and `data-palette`.
    pub const fn key(self) -> &'static str {
        match self {
            Palette::Day => "day",
            Palette::Night => "night",
            Palette::Auto => "auto",
        }
    }

    pub(crate) const fn name(self) -> &'static str {
        match self {
            Palette::Day => "Day",
            Palette::Night => "Night",
            Palette::Auto => "Auto",
        }
    }

    pub(crate) const fn scheme(self) -> &'static str {
        match self {
            Palette::Day => "light",
            Palette::Night => "dark",
            Palette::Auto => "light dark",
        }
    }

    fn named(key: &str) -> Option<Palette> {
        Palette::ALL.into_iter().find(|palette| palette.key() == key)
    }

    pub(crate) fn of(headers: &HeaderMap) -> Palette {
        cookie::find(headers, COOKIE).and_then(Palette::named).unwrap_or_default()
    }
}

pub(crate) fn routes() -> Router<App> {
    Router::new().route(paths::PALETTE, post(choose))
}

async fn choose(form: FormState) -> Result<Response, Trouble> {
    let asked = form.typed("palette");
    let palette = Palette::named(asked).ok_or_else(|| Trouble::Bad {
        what: format!("“{asked}” is not a palette"),
        remedy: "Choose day, night or auto.".to_owned(),
    })?;
    let cookie = cookie::lasting(COOKIE, palette.key(), YEAR_S);
    let back = Redirect::to(paths::own_path(form.typed("back")));
    Ok(([(SET_COOKIE, cookie)], back).into_response())
}
