//! Only names that are ours are answered to, so that no other site's name can be pointed at this port.

use std::net::{IpAddr, SocketAddr};

use axum::extract::{Request, State};
use axum::http::header::HOST;
use axum::http::uri::Authority;
use axum::http::{HeaderMap, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::app::App;

/// The two ends of the connection a request came by; put into its extensions by the server.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arrived {
    /// Our end.
    pub here: SocketAddr,
    /// The reader's end.
    pub peer: SocketAddr,
}

/// Why a `Host` was not answered to.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Refusal {
    /// None, several, or not a host name.
    Unreadable,
    /// A name that is not ours.
    Stranger(String),
}

/// Refuses with 400 a request without one readable host, with 421 one for another host.
pub(crate) async fn check(State(app): State<App>, request: Request, next: Next) -> Response {
    let here = request.extensions().get::<Arrived>().map(|arrived| arrived.here.ip());
    match host_of(request.headers(), request.uri()) {
        Ok(host) if is_ours(&host, app.names(), here) => next.run(request).await,
        Ok(host) => Refusal::Stranger(host).into_response(),
        Err(refusal) => refusal.into_response(),
    }
}

/// The host asked for, lower case, without its port and brackets. An absolute request target must
/// agree with the header (RFC 9112, 3.2.2 lets the target win; we take no sides).
fn host_of(headers: &HeaderMap, uri: &Uri) -> Result<String, Refusal> {
    let mut sent = headers.get_all(HOST).iter();
    let (Some(value), None) = (sent.next(), sent.next()) else { return Err(Refusal::Unreadable) };
    let text = value.to_str().map_err(|_| Refusal::Unreadable)?;
    let authority: Authority = text.parse().map_err(|_| Refusal::Unreadable)?;
    if text.contains('@') || uri.authority().is_some_and(|target| *target != authority) {
        return Err(Refusal::Unreadable);
    }
    Ok(bare(authority.host()))
}

fn bare(host: &str) -> String {
    host.trim_start_matches('[').trim_end_matches(']').trim_end_matches('.').to_ascii_lowercase()
}

/// `localhost`, a loopback address, the address the connection came in by, or a name given at start.
fn is_ours(host: &str, names: &[String], here: Option<IpAddr>) -> bool {
    let address = host.parse::<IpAddr>().ok();
    host == "localhost"
        || address.is_some_and(|ip| {
            ip.is_loopback() || Some(ip.to_canonical()) == here.map(|h| h.to_canonical())
        })
        || names.iter().any(|name| bare(name) == host)
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        match self {
            Refusal::Unreadable => (
                StatusCode::BAD_REQUEST,
                "The request names no host, or more than one. Open the address that Stillwatch printed when it started.\n",
            )
                .into_response(),
            Refusal::Stranger(host) => (
                StatusCode::MISDIRECTED_REQUEST,
                format!("Stillwatch does not answer to the name {host:?}. Open the address it printed when it started, or start it with this name allowed.\n"),
            )
                .into_response(),
        }
    }
}
