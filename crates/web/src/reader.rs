//! Who reads: the palette chosen, the form token, and the heading line, gathered for one request.

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use maud::{Markup, html};

use crate::app::{App, Heading};
use crate::assets::Asset;
use crate::frame::{self, palette::Palette};
use crate::guard::visit::Visit;
use crate::paths::Page;
use crate::trouble::Trouble;

/// What a page needs to know of its reader; an extractor.
#[derive(Debug, Clone)]
pub struct Reader {
    pub(crate) heading: Heading,
    pub(crate) palette: Palette,
    pub(crate) token: String,
    pub(crate) once: String,
    pub(crate) path: String,
    pub(crate) may_leave: bool,
}

impl Reader {
    pub(crate) fn of(app: &App, visit: &Visit) -> Result<Reader, Trouble> {
        Ok(Reader {
            heading: app.heading(),
            palette: visit.palette,
            token: visit.token.clone(),
            once: app.draw::<16>()?,
            path: visit.path.clone(),
            may_leave: app.lock().is_some(),
        })
    }

    /// The heading line this page is drawn with.
    pub fn heading(&self) -> &Heading {
        &self.heading
    }

    /// The address this page was asked for, with its query.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// A whole page: frame, thumb index with `page` open, and `body` (a row of `parts::entry`).
    pub fn page(&self, page: Page, body: Markup) -> Markup {
        frame::page(self, Some(page), page.name(), &body, &[])
    }

    /// As [`Reader::page`], with modules of its own beside the shared ones.
    pub fn page_with(&self, page: Page, body: Markup, modules: &[Asset]) -> Markup {
        frame::page(self, Some(page), page.name(), &body, modules)
    }

    /// A form sent by POST to `action`, with its tokens and the line that says what was kept.
    ///
    /// `keep` names the draft on the reader's device: the same name on a later page brings back what
    /// was typed, so it should name the thing written down ("readings-2026-11-16-12").
    pub fn form(&self, action: &str, keep: &str, body: Markup) -> Markup {
        html! {
            form method="post" action=(action) data-keep=(keep) novalidate {
                (self.hidden())
                p.kept role="status" aria-live="polite" hidden {}
                (body)
            }
        }
    }

    /// A form of a button or two that writes nothing down: no draft is kept, and pressing twice does
    /// it twice.
    pub fn press(&self, action: &str, body: Markup) -> Markup {
        html! {
            form method="post" action=(action) {
                input type="hidden" name="_token" value=(self.token);
                (body)
            }
        }
    }

    /// A form that sends files. Its token goes in the address, so that it is checked before a byte
    /// of the file is taken.
    pub fn upload(&self, action: &str, body: Markup) -> Markup {
        let join = if action.contains('?') { '&' } else { '?' };
        let action = format!("{action}{join}_token={}", self.token);
        html! { form method="post" action=(action) enctype="multipart/form-data" { (body) } }
    }

    pub(crate) fn hidden(&self) -> Markup {
        html! {
            input type="hidden" name="_token" value=(self.token);
            input type="hidden" name="_once" value=(self.once);
        }
    }
}

impl FromRequestParts<App> for Reader {
    type Rejection = Trouble;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Reader, Trouble> {
        let visit = parts.extensions.get::<Visit>().ok_or_else(|| Trouble::Internal {
            cause: "a page was reached past the guards".to_owned(),
        })?;
        Reader::of(app, visit)
    }
}
