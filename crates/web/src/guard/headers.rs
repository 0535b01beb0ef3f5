//! Response headers that tell the browser what this page may never do.

use axum::extract::Request;
use axum::http::header::{self, HeaderName};
use axum::http::{HeaderValue, Response};
use axum::middleware::Next;

/// Nothing but our own files; no inline script or style; no frame around us.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; \
    img-src 'self' data:; connect-src 'self'; form-action 'self'; frame-ancestors 'none'; \
    base-uri 'none'";

/// No device of the reader's is ever asked for.
const PERMISSIONS: &str = "accelerometer=(), camera=(), display-capture=(), geolocation=(), \
    gyroscope=(), magnetometer=(), microphone=(), midi=(), payment=(), serial=(), usb=()";

/// The referrer stays within this site. It is not `no-referrer`: with that, browsers send
/// `Origin: null` with our own forms (Fetch standard, "append a request `Origin` header"), and they
/// could no longer be told from a stranger's.
const REFERRER: &str = "same-origin";

const ALWAYS: [(HeaderName, &str); 7] = [
    (header::CONTENT_SECURITY_POLICY, POLICY),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, REFERRER),
    (header::X_FRAME_OPTIONS, "DENY"),
    (HeaderName::from_static("permissions-policy"), PERMISSIONS),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

pub(crate) async fn add(request: Request, next: Next) -> Response<axum::body::Body> {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in ALWAYS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}
