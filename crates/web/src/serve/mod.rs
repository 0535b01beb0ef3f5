//! The open port: whom it answers, how many at a time, how long each may take.

mod listen;
mod patience;
mod places;

pub use listen::{Listen, ListenError};

use std::future::poll_fn;
use std::io::Write;
use std::net::SocketAddr;
use std::pin::pin;
use std::task::Poll;
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::{sleep, timeout};
use tower::ServiceExt;

use crate::guard::Arrived;
use patience::Patient;
use places::{Place, Places};

/// The head of a request arrives within this; a connection idle for as long is closed.
const HEAD: Duration = Duration::from_secs(10);
/// The largest head, in bytes.
const HEAD_BYTES: usize = 32 * 1024;
/// A reader takes up each piece of an answer within this.
const TAKE_UP: Duration = Duration::from_secs(30);
/// At the end, pages being drawn get this long.
const FAREWELL: Duration = Duration::from_secs(5);
/// After a failed accept (no file handles left) the next try waits this long.
const BREATH: Duration = Duration::from_millis(100);

/// A port that is open and not yet answered on.
#[derive(Debug)]
pub struct Bound {
    listener: TcpListener,
    address: SocketAddr,
}

/// Opens the port of `listen`.
///
/// # Errors
/// [`ListenError::Taken`] when the address cannot be had.
pub async fn bind(listen: &Listen) -> Result<Bound, ListenError> {
    let taken = |cause: std::io::Error| ListenError::Taken {
        address: listen.address(),
        cause: cause.to_string(),
    };
    let listener = TcpListener::bind(listen.address()).await.map_err(taken)?;
    let address = listener.local_addr().map_err(taken)?;
    Ok(Bound { listener, address })
}

impl Bound {
    /// The address listened on, with the port the system gave where 0 was asked for.
    pub fn address(&self) -> SocketAddr {
        self.address
    }

    /// The address to open in a browser on this computer.
    pub fn url(&self) -> String {
        match self.address {
            any if any.ip().is_unspecified() => format!("http://localhost:{}/", any.port()),
            one => format!("http://{one}/"),
        }
    }

    /// Answers with `router` until `end` comes; pages being drawn then have five seconds.
    pub async fn serve(self, router: Router, end: impl Future<Output = ()>) {
        let places = Places::default();
        let (farewell, ending) = watch::channel(false);
        let mut open = JoinSet::new();
        let mut end = pin!(end);
        loop {
            let accepted = tokio::select! {
                () = &mut end => break,
                accepted = self.listener.accept() => accepted,
                Some(_) = open.join_next() => continue,
            };
            let Ok((stream, peer)) = accepted else {
                sleep(BREATH).await;
                continue;
            };
            match places.take(peer.ip()) {
                Some(place) => {
                    open.spawn(converse(stream, peer, router.clone(), place, ending.clone()));
                }
                None => turn_away(stream),
            }
        }
        farewell.send_replace(true);
        let _ = timeout(FAREWELL, async { while open.join_next().await.is_some() {} }).await;
    }
}

/// Answers one connection to its end.
async fn converse(
    stream: TcpStream,
    peer: SocketAddr,
    router: Router,
    place: Place,
    mut ending: watch::Receiver<bool>,
) {
    let Ok(here) = stream.local_addr() else { return };
    // Small answers are sent at once; a socket that refuses the option still works.
    let _ = stream.set_nodelay(true);
    let service = service_fn(move |request: Request<Incoming>| {
        let mut request = request.map(Body::new);
        request.extensions_mut().insert(Arrived { here, peer });
        router.clone().oneshot(request)
    });
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEAD).max_buf_size(HEAD_BYTES);
    let io = TokioIo::new(Patient::new(stream, TAKE_UP));
    let mut connection = pin!(http.serve_connection(io, service));
    let mut told = false;
    let mut ended = pin!(async move { ending.wait_for(|ending| *ending).await.is_ok() });
    // A broken link is the reader's affair: he loads the page again.
    let _ = poll_fn(|cx| {
        if !told && ended.as_mut().poll(cx).is_ready() {
            told = true;
            connection.as_mut().graceful_shutdown();
        }
        match connection.as_mut().poll(cx) {
            Poll::Ready(done) => Poll::Ready(done),
            Poll::Pending => Poll::Pending,
        }
    })
    .await;
    drop(place);
}

/// Says in one write that all places are taken; a reader who cannot take it up learns by the closed link.
fn turn_away(stream: TcpStream) {
    const FULL: &[u8] = b"HTTP/1.1 503 Service Unavailable\r\nContent-Type: text/plain\r\n\
        Content-Length: 66\r\nRetry-After: 10\r\nConnection: close\r\n\r\n\
        Too many links are open to Stillwatch. Try again in ten seconds.\r\n";
    if let Ok(mut stream) = stream.into_std() {
        let _ = stream.write(FULL);
    }
}
