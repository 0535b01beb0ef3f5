//! The record as a file, written while it is sent: a long voyage is never held in memory whole.

use std::io::{self, BufWriter, Write};
use std::pin::Pin;
use std::task::{Context, Poll, ready};

use axum::body::{Body, Bytes, HttpBody};
use axum::extract::State;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use desk::{DeskError, export};
use http_body::Frame;
use logbook::Reader as Record;
use tokio::sync::mpsc::{Receiver, Sender, channel};

use crate::app::App;
use crate::trouble::Trouble;

/// Standing values, one a row.
pub(super) const CSV: &str = "/records/record.csv";
/// Every entry to the letter, JSON lines.
pub(super) const LINES: &str = "/records/record.jsonl";

/// Bytes sent at a time.
const PIECE: usize = 64 * 1024;
/// Pieces written ahead of a slow reader.
const AHEAD: usize = 8;

pub(super) async fn csv(State(app): State<App>) -> Result<Response, Trouble> {
    file(&app, "csv", "text/csv; charset=utf-8", |record, out| export::csv(record, out)).await
}

pub(super) async fn lines(State(app): State<App>) -> Result<Response, Trouble> {
    file(&app, "jsonl", "application/jsonl; charset=utf-8", |record, out| {
        export::lines(record, out)
    })
    .await
}

async fn file(
    app: &App,
    ending: &str,
    mime: &'static str,
    write: fn(&Record, &mut dyn Write) -> Result<u64, DeskError>,
) -> Result<Response, Trouble> {
    let desk = app.desk().clone();
    let name = format!("record-{}.{ending}", app.clock().now().strftime("%Y-%m-%d-%H%M"));
    // Opened before anything is answered: a record that cannot be read is a page that says so.
    let record = app.work().run(move |_| desk.record()).await??;
    let (sender, receiver) = channel(AHEAD);
    tokio::task::spawn_blocking(move || {
        let mut out = BufWriter::with_capacity(PIECE, Pieces(sender.clone()));
        let done = write(&record, &mut out).and_then(|_| {
            out.flush().map_err(|e| DeskError::Asked(format!("the file could not be sent: {e}")))
        });
        if let Err(error) = done {
            // The link is broken off, so that nobody takes half a record for the whole.
            let _ = sender.blocking_send(Err(io::Error::other(error.to_string())));
        }
    });
    let headers = [
        (CONTENT_TYPE, mime.to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((headers, Body::new(Sent(receiver))).into_response())
}

/// Where the export writes to; fails when the reader has left.
struct Pieces(Sender<io::Result<Bytes>>);

impl Write for Pieces {
    fn write(&mut self, piece: &[u8]) -> io::Result<usize> {
        let sent = self.0.blocking_send(Ok(Bytes::copy_from_slice(piece)));
        sent.map(|()| piece.len()).map_err(|_| io::ErrorKind::BrokenPipe.into())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// What is sent, piece by piece.
struct Sent(Receiver<io::Result<Bytes>>);

impl HttpBody for Sent {
    type Data = Bytes;
    type Error = io::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<io::Result<Frame<Bytes>>>> {
        let piece = ready!(self.0.poll_recv(cx));
        Poll::Ready(piece.map(|piece| piece.map(Frame::data)))
    }
}
