//! Signing in by name and passphrase, and signing out.

use super::{let_in, sheet};
use crate::{
    access::{caller::Caller, people, session, tries},
    app::App,
    error::PageError,
    journal::{value::Id, writer::now_ms},
    web::{
        look::{Look, own_path},
        page::page,
        sheet::Sheet,
    },
};
use axum::{
    Form,
    extract::{Query, State},
    http::{HeaderMap, HeaderValue, StatusCode, header},
    response::{IntoResponse as _, Redirect, Response},
};
use serde::Deserialize;

#[derive(askama::Template)]
#[template(path = "access/sign-in.html")]
struct SignIn {
    sheet: Sheet,
    name: String,
    to: String,
    fault: String,
    signed_out: bool,
}

/// What the address may say.
#[derive(Default, Deserialize)]
pub struct Asked {
    #[serde(default)]
    to: String,
    #[serde(default)]
    signed_out: bool,
}

fn door(look: Look, name: &str, to: &str, fault: String, signed_out: bool) -> SignIn {
    SignIn {
        sheet: sheet("Sign in", "", look, "/sign-in"),
        name: name.to_owned(),
        to: own_path(to).to_owned(),
        fault,
        signed_out,
    }
}

/// The page; whoever is signed in is shown on.
pub async fn show(
    State(app): State<App>,
    Query(asked): Query<Asked>,
    look: Look,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    if let Some(token) = session::token(&headers)
        && session::find(&app, token).await?.is_some()
    {
        return Ok(Redirect::to(own_path(&asked.to)).into_response());
    }
    page(
        &door(look, "", &asked.to, String::new(), asked.signed_out),
        false,
    )
}

/// What the form sends.
#[derive(Deserialize)]
pub struct Typed {
    name: String,
    passphrase: String,
    #[serde(default)]
    to: String,
}

/// Signs in, or says why not and keeps the name.
pub async fn enter(
    State(app): State<App>,
    look: Look,
    headers: HeaderMap,
    caller: Caller,
    Form(typed): Form<Typed>,
) -> Result<Response, PageError> {
    let subject = tries::Subject {
        name_key: people::name_key(&typed.name)
            .chars()
            .take(people::LONGEST_NAME)
            .collect(),
        address: caller.address.clone(),
    };
    if let Err(seconds) = tries::begin(&app.store, subject.clone(), now_ms()).await? {
        return too_soon(
            &door(look, &typed.name, &typed.to, wait_words(seconds), false),
            seconds,
        );
    }
    let Some(person) = check(&app, &subject.name_key, typed.passphrase).await? else {
        let fault = "Name and passphrase do not belong together. Nobody here has both; try again, or ask the lead for a link.";
        return page(
            &door(look, &typed.name, &typed.to, fault.into(), false),
            true,
        );
    };
    tries::forgive(&app.store, subject).await?;
    let (_, answer) = let_in(&app, &person, &headers, &caller, own_path(&typed.to)).await?;
    Ok(answer)
}

/// What a door says that is shut for a while.
pub fn wait_words(seconds: u64) -> String {
    let how_long = match seconds {
        0 | 1 => "one second".to_owned(),
        2..=90 => format!("{seconds} seconds"),
        _ => format!("{} minutes", seconds.div_ceil(60)),
    };
    format!("Too many wrong passphrases. Wait {how_long}, then try again.")
}

fn too_soon(door: &SignIn, seconds: u64) -> Result<Response, PageError> {
    let mut answer = page(door, true)?;
    *answer.status_mut() = StatusCode::TOO_MANY_REQUESTS;
    answer
        .headers_mut()
        .insert(header::RETRY_AFTER, HeaderValue::from(seconds));
    Ok(answer)
}

/// Whoever has this name and passphrase. A name nobody has takes as long as any other.
pub async fn check(app: &App, name_key: &str, passphrase: String) -> Result<Option<Id>, PageError> {
    let row = sqlx::query!(
        "select id as \"id!\", passphrase_hash from person where name_key = ? and left_at_ms is null",
        name_key
    )
    .fetch_optional(app.store.readers())
    .await?;
    let (id, hash) = row.map_or((None, None), |row| {
        (Id::parse(&row.id), row.passphrase_hash)
    });
    let is_right = app.doors.bench.is_right(passphrase, hash).await?;
    Ok(id.filter(|_| is_right))
}

/// Ends this browser's session.
pub async fn leave(State(app): State<App>, headers: HeaderMap) -> Result<Response, PageError> {
    if let Some(token) = session::token(&headers) {
        session::end(&app, token).await?;
    }
    let gone = [(header::SET_COOKIE, session::no_cookie())];
    Ok((gone, Redirect::to("/sign-in?signed_out=true")).into_response())
}
