//! The running program: its store, its people, and the one router.

use crate::{
    access, api,
    error::PageError,
    live, plan,
    store::Store,
    sums,
    web::{self, routes::Routes},
};
use axum::{
    Router,
    extract::DefaultBodyLimit,
    middleware::{from_fn, from_fn_with_state},
};
use std::{sync::Arc, time::Duration};
use tower_http::compression::CompressionLayer;

/// Everything a handler can reach. Cheap to copy.
#[derive(Clone)]
pub struct App {
    /// The plan book.
    pub store: Store,
    /// Who is signed in.
    pub doors: Arc<access::Doors>,
    /// Who follows which plan, and which blank each hand is in.
    pub live: Arc<live::hub::Hub>,
    /// Shot lists between look and store.
    pub lists: Arc<plan::handover::held::Held>,
    /// Whether a proxy in front says who calls and whether it was over https.
    pub behind_proxy: bool,
    /// How long the body of a request may take to arrive.
    pub body_deadline: Duration,
}

/// Largest body of an ordinary request; uploads set their own.
pub const MOST_BYTES: usize = 1 << 20;
/// Long enough for a shot list over a poor line, short enough that nobody holds the door.
const BODY_DEADLINE: Duration = Duration::from_mins(1);

impl App {
    /// The program around an open store.
    pub fn new(store: Store) -> Self {
        Self {
            store,
            doors: Arc::default(),
            live: Arc::default(),
            lists: Arc::default(),
            behind_proxy: false,
            body_deadline: BODY_DEADLINE,
        }
    }

    /// What the sheet calls whoever made a change.
    pub fn name_of(&self, actor: &str, own: &access::Hand) -> String {
        if actor == own.id.as_str() {
            return own.shown().to_owned();
        }
        access::people::shown_name(self, actor)
    }

    /// The line that stands for a hand in the title block and under the blank it is in.
    pub fn line_of(who: &str) -> &'static str {
        match who {
            "camera" => "solid",
            "light/haze" | "water" => "dashed",
            "rig/model" | "grip" => "dotted",
            "art" => "double",
            _ => "plain",
        }
    }

    /// Every address there is.
    pub fn routes() -> Routes {
        api::routes()
            .merge(access::routes())
            .merge(live::routes())
            .merge(plan::routes())
            .merge(sums::routes())
            .merge(web::routes())
    }

    /// Every address behind what all of them share; what stands last is met first.
    pub fn router(self) -> Router {
        let (shared, bare) = Self::routes().into_routers();
        shared
            .fallback(async || PageError::no_such("page"))
            .method_not_allowed_fallback(async || PageError::MethodNotAllowed)
            .layer(DefaultBodyLimit::max(MOST_BYTES))
            .layer(from_fn_with_state(self.clone(), access::gate::keep))
            .layer(from_fn(web::security::own_origin))
            .layer(from_fn_with_state(self.clone(), web::security::in_time))
            .layer(tower_http::catch_panic::CatchPanicLayer::custom(
                web::problem::panicked,
            ))
            .layer(from_fn(web::problem::render))
            .layer(from_fn(web::changed::only))
            .layer(from_fn(web::security::headers))
            .layer(CompressionLayer::new())
            .merge(bare)
            .with_state(self)
    }
}
