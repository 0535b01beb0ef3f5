//! A stream that gives up on a reader who does not take up what is written.

use std::io;
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Instant, Sleep, sleep};

/// Wraps a stream; a write that makes no progress for the time given fails.
pub(super) struct Patient<S> {
    stream: S,
    patience: Duration,
    wait: Option<Pin<Box<Sleep>>>,
}

impl<S> Patient<S> {
    pub(super) fn new(stream: S, patience: Duration) -> Patient<S> {
        Patient { stream, patience, wait: None }
    }

    /// Passes progress on and starts the wait afresh; without progress, waits on.
    fn judge<T>(
        &mut self,
        cx: &mut Context<'_>,
        progress: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if progress.is_ready() {
            self.wait = None;
            return progress;
        }
        let patience = self.patience;
        let wait = self.wait.get_or_insert_with(|| Box::pin(sleep(patience)));
        ready!(wait.as_mut().poll(cx));
        wait.as_mut().reset(Instant::now() + patience);
        Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Patient<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(cx, buffer)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Patient<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let progress = Pin::new(&mut self.stream).poll_write(cx, bytes);
        self.judge(cx, progress)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bytes: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let progress = Pin::new(&mut self.stream).poll_write_vectored(cx, bytes);
        self.judge(cx, progress)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let progress = Pin::new(&mut self.stream).poll_flush(cx);
        self.judge(cx, progress)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        let progress = Pin::new(&mut self.stream).poll_shutdown(cx);
        self.judge(cx, progress)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};

    #[tokio::test(start_paused = true)]
    async fn ident_a_reader_who_takes_nothing_up_is_given_up_on() {
        let (ours, mut theirs) = tokio::io::duplex(8);
        let mut ours = Patient::new(ours, Duration::from_secs(30));
        ours.write_all(b"12345678").await.unwrap();
        let start = Instant::now();
        let refused = ours.write_all(b"9").await.unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::TimedOut);
        assert_eq!(start.elapsed().as_secs(), 30);
        let mut taken = [0; 8];
        theirs.read_exact(&mut taken).await.unwrap();
        ours.write_all(b"9").await.unwrap();
    }
}
