//! Joining by a link.
//!
//! Opening a link signs in, since it is read off paper or a terminal and has to work at once. Browsers and messengers also
//! fetch links nobody has opened; whatever says that it is no opened page gets a page with one button instead, and the link
//! is not used. So does a browser on which somebody else is signed in.

use super::{let_in, sheet};
use crate::{
    access::{Hand, caller::Caller, links, session},
    app::App,
    error::PageError,
    web::{look::Look, page::page, sheet::Sheet},
};
use axum::{
    extract::{Path, State},
    http::{HeaderMap, Method},
    response::{IntoResponse as _, Redirect, Response},
};

#[derive(askama::Template)]
#[template(path = "access/join.html")]
struct Join {
    sheet: Sheet,
    action: String,
    role: &'static str,
    /// Who is signed in on this browser; empty for nobody.
    instead_of: String,
}

/// A link is opened.
pub async fn open(
    State(app): State<App>,
    Path(token): Path<String>,
    look: Look,
    method: Method,
    headers: HeaderMap,
    caller: Caller,
) -> Result<Response, PageError> {
    let link = links::look_at(&app.store, &token).await?;
    let here = signed_in(&app, &headers).await?;
    if here.is_some() && here.as_ref().map(|h| &h.id) == link.person.as_ref() {
        return Ok(Redirect::to("/").into_response());
    }
    if here.is_none() && method == Method::GET && is_opened(&headers) {
        return enter(&app, &token, &headers, &caller).await;
    }
    let action = format!("/join/{token}");
    let join = Join {
        sheet: sheet("Join the book", "", look, &action),
        action,
        role: link.role.word(),
        instead_of: here.map(|h| h.name.to_string()).unwrap_or_default(),
    };
    page(&join, false)
}

/// The button on that page.
pub async fn press(
    State(app): State<App>,
    Path(token): Path<String>,
    headers: HeaderMap,
    caller: Caller,
) -> Result<Response, PageError> {
    enter(&app, &token, &headers, &caller).await
}

async fn enter(
    app: &App,
    token: &str,
    headers: &HeaderMap,
    caller: &Caller,
) -> Result<Response, PageError> {
    let person = links::use_once(&app.store, token).await?;
    let (session, answer) = let_in(app, &person, headers, caller, "/").await?;
    app.doors.by_link.note(&session);
    crate::access::people::learn_names(app).await?;
    Ok(answer)
}

async fn signed_in(app: &App, headers: &HeaderMap) -> Result<Option<Hand>, PageError> {
    match session::token(headers) {
        Some(token) => Ok(session::find(app, token).await?),
        None => Ok(None),
    }
}

/// Whether somebody opened this as a page. Only browsers on a secure line or on their own machine say what a request is
/// for; of those that say nothing, all but a few mean it.
fn is_opened(headers: &HeaderMap) -> bool {
    let says = |name: &str| headers.get(name).map(|v| v.to_str().unwrap_or("?"));
    let ahead = ["sec-purpose", "purpose", "x-purpose", "x-moz"];
    !ahead.iter().any(|name| headers.contains_key(*name))
        && matches!(says("sec-fetch-mode"), None | Some("navigate"))
        && matches!(says("sec-fetch-dest"), None | Some("document"))
}
