//! A request body that has to be there in time.

use axum::body::{Body, Bytes, HttpBody};
use std::{
    pin::Pin,
    task::{Context, Poll},
    time::{Duration, Instant},
};
use tokio::time::{Sleep, sleep_until};

/// The server begins to read a body only when it is asked for, and says only when asked again that it has ended: so the first
/// askings are too early though everything is there.
const TOO_EARLY: u8 = 3;

/// A body that fails once its deadline has passed. Most bodies arrive with their head: a timer is set only for one that
/// keeps us waiting, since setting one wakes another thread and costs more than a calculation.
pub struct InTime {
    body: Body,
    deadline: Instant,
    waits: u8,
    timer: Option<Pin<Box<Sleep>>>,
}

impl InTime {
    /// A body that has so long from now.
    pub fn new(body: Body, patience: Duration) -> Self {
        Self {
            body,
            deadline: Instant::now() + patience,
            waits: 0,
            timer: None,
        }
    }
}

/// The body did not arrive in time.
#[derive(Debug, thiserror::Error)]
#[error("the body did not arrive in time")]
struct Late;

impl HttpBody for InTime {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<http_body::Frame<Bytes>, axum::Error>>> {
        // However steadily it trickles, its time runs out.
        if Instant::now() >= self.deadline {
            return Poll::Ready(Some(Err(axum::Error::new(Late))));
        }
        if let Poll::Ready(frame) = Pin::new(&mut self.body).poll_frame(context) {
            return Poll::Ready(frame);
        }
        if self.waits < TOO_EARLY {
            self.waits += 1;
            context.waker().wake_by_ref();
            return Poll::Pending;
        }
        let deadline = self.deadline.into();
        let timer = self
            .timer
            .get_or_insert_with(|| Box::pin(sleep_until(deadline)));
        timer
            .as_mut()
            .poll(context)
            .map(|()| Some(Err(axum::Error::new(Late))))
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> http_body::SizeHint {
        self.body.size_hint()
    }
}
