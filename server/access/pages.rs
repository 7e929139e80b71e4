//! Pages of joining and signing in.

use super::{people, session};
use crate::{app::App, error::PageError};
use axum::{
    extract::{Path, State},
    http::header,
    response::{IntoResponse as _, Redirect, Response},
    routing::get,
};

/// Addresses of joining and signing in.
pub fn routes() -> axum::Router<App> {
    axum::Router::new().route("/join/{token}", get(join))
}

/// Opening a join link signs its person in on this browser.
async fn join(State(app): State<App>, Path(token): Path<String>) -> Result<Response, PageError> {
    let person = people::use_link(&app.store, &token).await?;
    let token = session::open(&app.store, &person, "").await?;
    Ok((
        [(header::SET_COOKIE, session::cookie(&token))],
        Redirect::to("/"),
    )
        .into_response())
}
