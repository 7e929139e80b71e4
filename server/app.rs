//! The running program: its store, its people, and the one router.

use crate::{access, api, error::PageError, plan, store::Store, web};
use axum::{Router, extract::DefaultBodyLimit, routing::get};
use std::sync::Arc;
use tower_http::compression::CompressionLayer;

/// Everything a handler can reach. Cheap to copy.
#[derive(Clone)]
pub struct App {
    /// The plan book.
    pub store: Store,
    /// Who is signed in.
    pub doors: Arc<access::Doors>,
}

/// Largest body of an ordinary request; uploads set their own.
const MOST_BYTES: usize = 1 << 20;

impl App {
    /// The program around an open store.
    pub fn new(store: Store) -> Self {
        Self {
            store,
            doors: Arc::default(),
        }
    }

    /// What the sheet calls whoever made a change.
    pub fn name_of(&self, actor: &str, own: &access::Hand) -> String {
        if actor == own.id.as_str() {
            return own.shown().to_owned();
        }
        access::people::shown_name(self, actor)
    }

    /// Every address there is.
    pub fn router(self) -> Router {
        Router::new()
            .route("/health", get(api::health))
            .merge(api::routes())
            .merge(access::routes())
            .merge(plan::routes())
            .merge(web::routes())
            .fallback(async || PageError::no_such("page"))
            .method_not_allowed_fallback(async || PageError::MethodNotAllowed)
            .layer(DefaultBodyLimit::max(MOST_BYTES))
            .layer(axum::middleware::from_fn(web::security::own_origin))
            .layer(axum::middleware::from_fn(web::problem::render))
            .layer(axum::middleware::from_fn(web::security::headers))
            .layer(tower_http::catch_panic::CatchPanicLayer::custom(
                web::problem::panicked,
            ))
            .layer(CompressionLayer::new())
            .with_state(self)
    }
}
