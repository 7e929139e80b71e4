//! The stream of a plan's changes: what a reader missed first, then each commit as it comes.
//!
//! A stream reads numbers above its own from the newest changes in memory, or from the journal when it comes back late; the
//! wake-up only says that there are some, so order and completeness do not rest on the timing of tasks. It writes no more
//! than the reader takes: one that stops reading holds a piece at most, falls behind what is in memory, is cut off, and
//! comes back by replay.

use super::{
    events,
    hub::{Hub, Table},
};
use crate::{
    access::{Hand, session},
    app::App,
    error::PageError,
    journal::{
        change::Change,
        load,
        replay::{Replay, replay_after},
        value::Id,
    },
    store::Watch,
};
use axum::{
    body::Body,
    extract::{Path, Query, State},
    http::{HeaderMap, HeaderValue, header},
    response::{IntoResponse as _, Response},
};
use futures_util::stream;
use serde::Deserialize;
use std::{convert::Infallible, sync::Arc, time::Duration, time::Instant};
use tokio::sync::watch;

/// How often a silent stream says that it is there.
const HEARTBEAT: Duration = Duration::from_secs(15);
/// Most changes written in one piece.
const MOST_IN_A_PIECE: usize = 256;
/// The oldest number the journal can send: nothing is ever taken out of it.
const FLOOR: i64 = 1;

/// Where a page's own snapshot stands; a page cannot set a header on its stream.
#[derive(Deserialize)]
pub struct After {
    after: Option<String>,
    /// The window that listens: when its stream ends, its hand has left the table.
    window: Option<String>,
}

/// `GET /api/plans/{plan}/stream`.
pub async fn follow(
    State(app): State<App>,
    hand: Hand,
    Path(plan): Path<String>,
    Query(asked): Query<After>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let no_such = || PageError::no_such("plan");
    let plan = Id::parse(&plan).ok_or_else(no_such)?;
    app.store.plan(&plan).await?.ok_or_else(no_such)?;
    // The header is the newer of the two: a browser sends it when it comes back.
    let last_event_id = headers
        .get("last-event-id")
        .and_then(|v| v.to_str().ok())
        .map(str::to_owned)
        .or(asked.after);
    let token = session::token(&headers).unwrap_or_default().to_owned();
    let seat = asked
        .window
        .map(|window| Seat(app.live.clone(), plan.clone(), window));
    let mut follower = Follower::new(app, hand, token, plan, last_event_id.as_deref());
    follower.seat = seat;
    let pieces = stream::unfold(follower, |mut follower| async move {
        let piece = follower.next().await?;
        Some((Ok::<_, Infallible>(piece), follower))
    });
    let own = [
        (header::CONTENT_TYPE, "text/event-stream"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    let mut response = (own, Body::from_stream(pieces)).into_response();
    response
        .headers_mut()
        .insert("x-accel-buffering", HeaderValue::from_static("no"));
    Ok(response)
}

/// A window's place at the table, given up when its stream ends however that comes.
struct Seat(Arc<Hub>, Id, String);

impl Drop for Seat {
    fn drop(&mut self) {
        self.0.leave(&self.1, &self.2, Instant::now());
    }
}

struct Follower {
    app: App,
    hand: Hand,
    token: String,
    plan: Id,
    _held: Watch,
    seat: Option<Seat>,
    epoch: Arc<str>,
    /// The newest number written, or passed over because it is of another plan.
    last: i64,
    /// Still catching up with what the journal has.
    replays: bool,
    /// What is written before anything else.
    greeting: Option<String>,
    newest: watch::Receiver<i64>,
    table: watch::Receiver<Table>,
    closing: watch::Receiver<bool>,
    signed_out: watch::Receiver<u64>,
}

impl Follower {
    fn new(app: App, hand: Hand, token: String, plan: Id, last_event_id: Option<&str>) -> Self {
        let mut newest = app.store.newest();
        let at = *newest.borrow_and_update();
        let epoch = app.store.epoch().clone();
        let mut greeting = events::RETRY.to_owned();
        let last = match replay_after(last_event_id, &epoch, FLOOR, at) {
            Replay::Tail { after } => after,
            Replay::Snapshot { at, ahead } => {
                if ahead {
                    tracing::error!(
                        last_event_id,
                        newest = at,
                        "a reader has seen changes that this store never made: acknowledged work is missing here"
                    );
                }
                events::reload(&mut greeting, &epoch, at, ahead);
                at
            }
        };
        // The newest number may have moved on since it was read above; it is asked for again before waiting.
        newest.mark_changed();
        let mut table = app.live.table(&plan);
        table.mark_changed();
        Self {
            hand,
            token,
            _held: app.store.watch(&plan),
            seat: None,
            epoch,
            last,
            replays: true,
            greeting: Some(greeting),
            newest,
            table,
            closing: app.live.closing(),
            signed_out: app.live.signed_out(),
            plan,
            app,
        }
    }

    /// The next piece to write; none when the stream ends.
    async fn next(&mut self) -> Option<String> {
        if let Some(greeting) = self.greeting.take() {
            return Some(greeting);
        }
        loop {
            let piece = self.changes().await?;
            if !piece.is_empty() {
                return Some(piece);
            }
            if self.last < *self.newest.borrow_and_update() {
                continue;
            }
            if *self.closing.borrow() {
                return None;
            }
            tokio::select! {
                biased;
                _ = self.closing.changed() => return None,
                woken = self.signed_out.changed() => {
                    woken.ok()?;
                    self.is_let_in().await.then_some(())?;
                }
                woken = self.newest.changed() => woken.ok()?,
                woken = self.table.changed() => {
                    woken.ok()?;
                    let mut piece = String::new();
                    events::presence(&mut piece, &self.table.borrow_and_update().clone());
                    return Some(piece);
                }
                () = tokio::time::sleep(HEARTBEAT) => {
                    self.app.live.sweep(&self.plan, Instant::now());
                    self.is_let_in().await.then_some(())?;
                    return Some(events::STILL_HERE.to_owned());
                }
            }
        }
    }

    /// Changes after the last one written, at most a piece; none ends the stream.
    async fn changes(&mut self) -> Option<String> {
        let mut piece = String::new();
        match self.app.store.recent_after(self.last) {
            Some(recent) => {
                self.replays = false;
                for change in recent.iter().take(MOST_IN_A_PIECE) {
                    self.write(&mut piece, change);
                }
            }
            // Whoever read too slowly to stay within what is in memory is cut off, and comes back.
            None if !self.replays => return None,
            None => {
                let older = self.older().await.ok()?;
                for change in &older {
                    self.write(&mut piece, change);
                }
            }
        }
        // Changes of other plans make no piece; the number has moved past them.
        Some(piece)
    }

    async fn older(&self) -> Result<Vec<Change>, sqlx::Error> {
        let mut db = self.app.store.readers().acquire().await?;
        #[expect(clippy::cast_possible_wrap, reason = "a piece is small")]
        load::changes_after(&mut db, self.last, MOST_IN_A_PIECE as i64).await
    }

    fn write(&mut self, piece: &mut String, change: &Change) {
        self.last = change.seq;
        if change.plan.as_ref().is_none_or(|p| *p == self.plan) {
            events::change(piece, &self.epoch, change);
        }
    }

    async fn is_let_in(&self) -> bool {
        let found = session::find(&self.app, &self.token).await;
        found.is_ok_and(|hand| hand.is_some_and(|hand| hand.id == self.hand.id))
    }
}
