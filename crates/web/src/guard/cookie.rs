//! Reading and writing cookies: none is readable by script or sent from another site.

use axum::http::header::COOKIE;
use axum::http::{HeaderMap, HeaderValue};

/// The value of the cookie `name`. When it was sent more than once, the first counts.
pub(crate) fn find<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|line| line.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find_map(|(key, value)| (key == name).then_some(value))
}

/// A cookie kept until the browser closes. `value` is hexadecimal or a word of our own.
pub(crate) fn passing(name: &str, value: &str) -> HeaderValue {
    header(format!("{name}={value}; Path=/; HttpOnly; SameSite=Strict"))
}

/// A cookie kept for `seconds`; 0 takes it away.
pub(crate) fn lasting(name: &str, value: &str, seconds: u64) -> HeaderValue {
    header(format!("{name}={value}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Strict"))
}

fn header(line: String) -> HeaderValue {
    HeaderValue::from_str(&line).unwrap_or_else(|_| HeaderValue::from_static(""))
}
