//! A form that changes something is taken only from our own pages.

use axum::http::HeaderMap;
use axum::http::header::{HOST, ORIGIN};

use crate::trouble::Trouble;

/// Checks `Sec-Fetch-Site` and `Origin`, each where the browser sent it. A program that sends
/// neither is left to the form token.
///
/// # Errors
/// [`Trouble::Foreign`] with the site the browser named.
pub(crate) fn check(headers: &HeaderMap) -> Result<(), Trouble> {
    if let Some(site) = headers.get("sec-fetch-site") {
        // `none`: the reader acted himself, without any page.
        if site != "same-origin" && site != "none" {
            return Err(foreign("a page of another site"));
        }
    }
    let mut origins = headers.get_all(ORIGIN).iter();
    let Some(origin) = origins.next() else { return Ok(()) };
    let host = headers.get(HOST).and_then(|host| host.to_str().ok()).unwrap_or("");
    let origin = origin.to_str().unwrap_or("an unreadable site");
    let own = origin.strip_prefix("http://").is_some_and(|rest| rest.eq_ignore_ascii_case(host));
    if own && origins.next().is_none() { Ok(()) } else { Err(foreign(origin)) }
}

/// Whether the browser vouched for the page the request came from.
pub(crate) fn is_vouched(headers: &HeaderMap) -> bool {
    headers.contains_key(ORIGIN)
        || headers.get("sec-fetch-site").is_some_and(|s| s == "same-origin")
}

fn foreign(from: &str) -> Trouble {
    Trouble::Foreign { from: from.to_owned() }
}
