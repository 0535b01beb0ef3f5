//! Bodies with an end: so many bytes, within so much time.

use std::future::poll_fn;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use axum::body::{Body, Bytes, HttpBody};
use axum::http::HeaderMap;
use axum::http::header::CONTENT_LENGTH;
use http_body::Frame;
use tokio::time::{Instant, Sleep, sleep_until, timeout};

use crate::trouble::Trouble;

/// The largest form, in bytes.
pub const FORM_BYTES: usize = 64 * 1024;
/// The largest file, in bytes.
pub const UPLOAD_BYTES: usize = 64 * 1024 * 1024;
/// A whole form, and each piece of a file, arrives within this.
const PIECE: Duration = Duration::from_secs(30);
/// A whole file arrives within this.
const UPLOAD: Duration = Duration::from_secs(600);

/// Reads a form's body whole.
///
/// # Errors
/// [`Trouble::TooLarge`] beyond 64 KiB, [`Trouble::TooSlow`] after 30 s, [`Trouble::Bad`] when the
/// link breaks.
pub(crate) async fn form(headers: &HeaderMap, body: Body) -> Result<Bytes, Trouble> {
    refuse_announced(headers, FORM_BYTES)?;
    let late = Trouble::TooSlow { limit_s: PIECE.as_secs() };
    timeout(PIECE, whole(body)).await.map_err(|_| late)?
}

async fn whole(mut body: Body) -> Result<Bytes, Trouble> {
    let mut taken = Vec::new();
    while let Some(piece) = poll_fn(|cx| Pin::new(&mut body).poll_frame(cx)).await {
        let piece = piece.map_err(|cause| Trouble::Bad {
            what: format!("the link broke while the form was read ({cause})"),
            remedy: "Send it again.".to_owned(),
        })?;
        let Ok(data) = piece.into_data() else { continue };
        if taken.len() + data.len() > FORM_BYTES {
            return Err(Trouble::TooLarge { limit_bytes: FORM_BYTES });
        }
        taken.extend_from_slice(&data);
    }
    Ok(Bytes::from(taken))
}

/// A file's body that fails when it dawdles; its length is checked as it is read, by the extractor.
///
/// # Errors
/// [`Trouble::TooLarge`] when more than 64 MiB are announced.
pub(crate) fn upload(headers: &HeaderMap, body: Body) -> Result<Body, Trouble> {
    refuse_announced(headers, UPLOAD_BYTES)?;
    let now = Instant::now();
    let timed = Timed { body, wait: Box::pin(sleep_until(now + PIECE)), last: now + UPLOAD };
    Ok(Body::new(timed))
}

fn refuse_announced(headers: &HeaderMap, limit_bytes: usize) -> Result<(), Trouble> {
    let length = headers.get(CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    match length.and_then(|length| length.parse::<u64>().ok()) {
        Some(length) if length > limit_bytes as u64 => Err(Trouble::TooLarge { limit_bytes }),
        _ => Ok(()),
    }
}

struct Timed {
    body: Body,
    wait: Pin<Box<Sleep>>,
    last: Instant,
}

impl HttpBody for Timed {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        if let Poll::Ready(piece) = Pin::new(&mut self.body).poll_frame(cx) {
            let next = (Instant::now() + PIECE).min(self.last);
            self.wait.as_mut().reset(next);
            return Poll::Ready(piece);
        }
        self.wait.as_mut().poll(cx).map(|()| {
            let late = Trouble::TooSlow { limit_s: PIECE.as_secs() };
            Some(Err(axum::Error::new(late)))
        })
    }
}
