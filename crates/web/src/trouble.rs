//! What can go wrong between a request and its page, and the page that says how to go on.

use axum::extract::multipart::MultipartError;
use axum::http::StatusCode;
use axum::http::header::RETRY_AFTER;
use axum::response::{IntoResponse, Response};
use desk::DeskError;
use maud::{Markup, html};

use crate::app::NoEntropy;
use crate::guard::UPLOAD_BYTES;
use crate::parts;
use crate::paths::Page;

/// Why a page was not given. As a response it is dressed as a page by the guards.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Trouble {
    /// No page has this address.
    NotFound,
    /// The address takes requests of another method only.
    WrongMethod,
    /// The request itself is at fault.
    Bad {
        /// What is wrong with it, as a clause.
        what: String,
        /// What to do, as a sentence.
        remedy: String,
    },
    /// More was sent than is taken.
    TooLarge {
        /// The most that is taken, in bytes.
        limit_bytes: usize,
    },
    /// The request did not arrive in time.
    TooSlow {
        /// The time given, in seconds.
        limit_s: u64,
    },
    /// The form's token is not from this start of the program.
    Stale {
        /// Where the form was sent and what was in it, to be sent again.
        again: Option<Again>,
    },
    /// The request came from a page of another site.
    Foreign {
        /// The site it came from, as the browser says.
        from: String,
    },
    /// A form was sent by somebody who is not signed in.
    SignedOut,
    /// Too many workers are busy.
    Busy,
    /// The program failed.
    Internal {
        /// What failed, as a clause.
        cause: String,
    },
}

/// A form that was not taken, with everything typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Again {
    /// Where it was sent.
    pub action: String,
    /// Names and texts in the order sent, without the old token.
    pub fields: Vec<(String, String)>,
}

impl Trouble {
    /// The HTTP status that goes with it.
    pub fn status(&self) -> StatusCode {
        match self {
            Trouble::NotFound => StatusCode::NOT_FOUND,
            Trouble::WrongMethod => StatusCode::METHOD_NOT_ALLOWED,
            Trouble::Bad { .. } => StatusCode::BAD_REQUEST,
            Trouble::TooLarge { .. } => StatusCode::PAYLOAD_TOO_LARGE,
            Trouble::TooSlow { .. } => StatusCode::REQUEST_TIMEOUT,
            Trouble::Stale { .. } | Trouble::Foreign { .. } => StatusCode::FORBIDDEN,
            Trouble::SignedOut => StatusCode::UNAUTHORIZED,
            Trouble::Busy => StatusCode::SERVICE_UNAVAILABLE,
            Trouble::Internal { .. } => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// What happened, as a sentence.
    pub fn sentence(&self) -> String {
        match self {
            Trouble::NotFound => "No page has this address.".to_owned(),
            Trouble::WrongMethod => "This address is not read or written this way.".to_owned(),
            Trouble::Bad { what, .. } => format!("This could not be taken: {what}."),
            Trouble::TooLarge { limit_bytes } => {
                let limit = match limit_bytes / 1024 {
                    kb if kb < 1024 => format!("{kb} kB"),
                    kb => format!("{} MB", kb / 1024),
                };
                format!("This is larger than the {limit} taken here.")
            }
            Trouble::TooSlow { limit_s } => {
                format!("This did not arrive within {limit_s} seconds.")
            }
            Trouble::Stale { .. } => {
                "Nothing was written yet: the page was older than the program’s last start."
                    .to_owned()
            }
            Trouble::Foreign { from } => format!("Nothing was written: this was sent by {from}."),
            Trouble::SignedOut => {
                "Nothing was written: nobody is signed in on this device.".to_owned()
            }
            Trouble::Busy => "The computer is busy with other pages.".to_owned(),
            Trouble::Internal { cause } => format!("This page failed: {cause}."),
        }
    }

    /// What to do now, as one or two sentences.
    pub fn remedy(&self) -> String {
        match self {
            Trouble::NotFound => "Choose a page from the index above.",
            Trouble::WrongMethod => "Open the page from the index above and use its form.",
            Trouble::Bad { remedy, .. } => remedy,
            Trouble::TooLarge { .. } => "Send less at a time, or split the file.",
            Trouble::TooSlow { .. } => "Check the link to the ship’s computer and send it again.",
            Trouble::Stale { again: Some(_) } => {
                "Everything typed stands below. Read it through and send it again."
            }
            Trouble::Stale { again: None } => "Go back, load the page again and send it once more.",
            Trouble::Foreign { .. } => "Use the form on this program’s own page.",
            Trouble::SignedOut => {
                "Go back: what you typed still stands in the form. Sign in on another tab, then send it again."
            }
            Trouble::Busy => "Wait a few seconds and load it again.",
            Trouble::Internal { .. } => {
                "What is in the record is not touched by this. Load it again; if it fails again, note what you did and the words above."
            }
        }
        .to_owned()
    }

    /// The entries of the error page; `resend` draws the form of a stale page with a fresh token.
    pub(crate) fn body(&self, resend: impl FnOnce(&Again) -> Markup) -> Markup {
        let then = html! { p.then { (self.remedy()) } };
        let links = html! { p.acts {
            a.act href=(Page::Now.path()) { "To Now" }
            @if *self == Trouble::SignedOut { a.act.first href=(crate::paths::SIGN_IN) target="_blank" { "Sign in" } }
        } };
        html! {
            (parts::answer("What went wrong?", html! { (self.sentence()) }, then, links, html! {}))
            @if let Trouble::Stale { again: Some(again) } = self {
                (parts::entry("As you typed it", html! {}, resend(again)))
            }
        }
    }
}

impl std::fmt::Display for Trouble {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} {}", self.sentence(), self.remedy())
    }
}

impl std::error::Error for Trouble {}

impl From<NoEntropy> for Trouble {
    fn from(none: NoEntropy) -> Trouble {
        Trouble::Internal { cause: none.to_string() }
    }
}

impl From<DeskError> for Trouble {
    fn from(error: DeskError) -> Trouble {
        match error {
            DeskError::Asked(what) | DeskError::Doubtful(what) => {
                Trouble::Bad { what, remedy: "Go back, mend it and send it again.".to_owned() }
            }
            other => Trouble::Internal { cause: other.to_string() },
        }
    }
}

impl From<MultipartError> for Trouble {
    /// Keeps the trouble that stopped the body, where it was one of ours.
    fn from(error: MultipartError) -> Trouble {
        let mut cause: Option<&(dyn std::error::Error + 'static)> = Some(&error);
        while let Some(inner) = cause {
            if let Some(ours) = inner.downcast_ref::<Trouble>() {
                return ours.clone();
            }
            cause = inner.source();
        }
        if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
            return Trouble::TooLarge { limit_bytes: UPLOAD_BYTES };
        }
        Trouble::Bad {
            what: format!("the file did not arrive whole ({})", error.body_text()),
            remedy: "Choose the file again and send it once more.".to_owned(),
        }
    }
}

impl IntoResponse for Trouble {
    fn into_response(self) -> Response {
        let mut response = (self.status(), self.to_string()).into_response();
        if self == Trouble::Busy {
            response.headers_mut().insert(RETRY_AFTER, axum::http::HeaderValue::from_static("5"));
        }
        response.extensions_mut().insert(self);
        response
    }
}
