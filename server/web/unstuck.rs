//! A connection whose reader has stopped taking anything is given up, so that it holds neither memory nor a plan.

use std::{
    io,
    pin::Pin,
    task::{Context, Poll, ready},
    time::Duration,
};
use tokio::{
    io::{AsyncRead, AsyncWrite, ReadBuf},
    time::{Sleep, sleep},
};

/// A connection that fails when what is written to it was not taken for so long.
pub struct Unstuck<S> {
    inner: S,
    patience: Duration,
    waiting: Option<Pin<Box<Sleep>>>,
}

impl<S> Unstuck<S> {
    /// Wraps a connection.
    pub fn new(inner: S, patience: Duration) -> Self {
        Self {
            inner,
            patience,
            waiting: None,
        }
    }

    /// What came of a write: any progress sets the clock back, none for too long ends the connection.
    fn settle<T>(
        &mut self,
        context: &mut Context<'_>,
        done: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if done.is_ready() {
            self.waiting = None;
            return done;
        }
        let patience = self.patience;
        let waiting = self
            .waiting
            .get_or_insert_with(|| Box::pin(sleep(patience)));
        ready!(waiting.as_mut().poll(context));
        Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Unstuck<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_read(context, buffer)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Unstuck<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let done = Pin::new(&mut self.inner).poll_write(context, bytes);
        self.settle(context, done)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        parts: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let done = Pin::new(&mut self.inner).poll_write_vectored(context, parts);
        self.settle(context, done)
    }

    fn is_write_vectored(&self) -> bool {
        self.inner.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let done = Pin::new(&mut self.inner).poll_flush(context);
        self.settle(context, done)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.inner).poll_shutdown(context)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};

    const PATIENCE: Duration = Duration::from_millis(40);

    #[tokio::test]
    async fn a_reader_that_takes_nothing_is_given_up() {
        let (server, _client) = tokio::io::duplex(16);
        let mut server = Unstuck::new(server, PATIENCE);
        let done = server.write_all(&[0; 64]).await;
        assert_eq!(
            done.expect_err("nobody reads").kind(),
            io::ErrorKind::TimedOut
        );
    }

    #[tokio::test]
    async fn a_slow_reader_that_takes_something_is_waited_for() {
        let (server, mut client) = tokio::io::duplex(16);
        let mut server = Unstuck::new(server, PATIENCE);
        let reader = tokio::spawn(async move {
            let mut taken = [0; 8];
            for _ in 0..8 {
                tokio::time::sleep(PATIENCE / 4).await;
                client.read_exact(&mut taken).await.expect("it is written");
            }
        });
        server.write_all(&[0; 64]).await.expect("it is taken");
        reader.await.expect("all of it");
    }
}
