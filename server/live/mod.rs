//! What goes on right now: who follows a plan, the stream of its changes, and which blank each hand is in. Nothing of it is
//! stored; a stream reads what was committed, so it never tells of a change that might be lost.

mod events;
mod feed;
pub mod hub;
mod presence;

use crate::web::routes::Routes;
use axum::routing::{get, post};

/// Addresses of following along.
pub fn routes() -> Routes {
    Routes::new()
        .route("/api/plans/{plan}/stream", get(feed::follow))
        .route("/plans/{plan}/here", post(presence::here))
}
