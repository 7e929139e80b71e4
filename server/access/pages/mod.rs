//! Pages of the doors: joining by a link, signing in and out, and what a person says about themselves.

mod crew;
mod join;
mod me;
mod sign_in;

use super::{caller::Caller, session};
use crate::{
    app::App,
    error::PageError,
    journal::{value::Id, writer::now_ms},
    web::{look::Look, page::TABS, routes::Routes, sheet::Sheet},
};
use axum::{
    http::{HeaderMap, header},
    response::{IntoResponse as _, Redirect, Response},
    routing::{get, post},
};
use std::{
    collections::HashMap,
    sync::{Mutex, PoisonError},
};

/// Addresses of the doors.
pub fn routes() -> Routes {
    Routes::new()
        .route("/join/{token}", get(join::open).post(join::press))
        .route("/sign-in", get(sign_in::show).post(sign_in::enter))
        .route("/sign-out", post(sign_in::leave))
        .route("/me", get(me::show).post(me::write))
        .route("/me/elsewhere", post(me::end_elsewhere))
        .route("/crew", get(crew::show))
        .route("/crew/links", post(crew::make_link))
        .route("/crew/links/{link}/withdraw", post(crew::withdraw))
        .route("/crew/people/{person}", post(crew::write))
}

/// The frame of a page outside every plan.
fn sheet(name: &str, subtitle: &str, look: Look, path: &str) -> Sheet {
    Sheet {
        name: name.into(),
        subtitle: subtitle.into(),
        tabs: TABS,
        look,
        path: path.into(),
        ..Sheet::default()
    }
}

/// Signs a person in on the browser that asks. Its session is always a new one, and the one it had before ends, so that
/// nobody can hand a browser a session they know.
async fn let_in(
    app: &App,
    person: &Id,
    headers: &HeaderMap,
    caller: &Caller,
    to: &str,
) -> Result<(String, Response), PageError> {
    if let Some(before) = session::token(headers) {
        session::end(app, before).await?;
    }
    let token = session::open(&app.store, person, &caller.address).await?;
    let cookie = session::cookie(&token, caller.is_secure);
    let answer = ([(header::SET_COOKIE, cookie)], Redirect::to(to)).into_response();
    Ok((token, answer))
}

/// Browsers that came by a link within the hour. Kept in memory alone: whoever comes later opens the link again.
#[derive(Debug, Default)]
pub struct ByLink(Mutex<HashMap<String, i64>>);

const BY_LINK_MS: i64 = 3600 * 1000;

impl ByLink {
    fn note(&self, token: &str) {
        let mut came = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let now = now_ms();
        came.retain(|_, at| now - *at < BY_LINK_MS);
        came.insert(session::token_hash(token), now);
    }

    fn is_recent(&self, token: &str) -> bool {
        let came = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        came.get(&session::token_hash(token))
            .is_some_and(|at| now_ms() - at < BY_LINK_MS)
    }

    fn clear(&self, token: &str) {
        let mut came = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        came.remove(&session::token_hash(token));
    }
}
