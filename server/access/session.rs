//! Sessions: a random token in a cookie, its hash in the store.

use super::{Hand, Role};
use crate::{
    app::App,
    error::PageError,
    journal::{value::Id, writer::now_ms},
    store::Store,
};
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;

/// Name of the cookie.
pub const COOKIE: &str = "stillair";

/// 128 random bits as text.
pub fn new_token() -> String {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).expect("the system gives random numbers");
    hex(&bytes)
}

/// What the store keeps of a token.
pub fn token_hash(token: &str) -> String {
    hex(&Sha256::digest(token.as_bytes()))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Opens a session for a person and returns the token for the cookie.
///
/// # Errors
/// The store's.
pub async fn open(store: &Store, person: &Id, from_address: &str) -> Result<String, PageError> {
    let token = new_token();
    let (hash, person, from, now) = (
        token_hash(&token),
        person.to_string(),
        from_address.to_owned(),
        now_ms(),
    );
    store
        .aside(Box::new(move |db| {
            Box::pin(async move {
                sqlx::query!(
                    "insert into session (token_hash, person, made_at_ms, seen_at_ms, from_address) values (?, ?, ?, ?, ?)",
                    hash,
                    person,
                    now,
                    now,
                    from
                )
                .execute(db)
                .await
                .map(drop)
            })
        }))
        .await?;
    Ok(token)
}

/// The cookie that carries a token.
pub fn cookie(token: &str) -> String {
    format!("{COOKIE}={token}; Path=/; HttpOnly; SameSite=Lax; Max-Age=5184000")
}

/// Whoever a token belongs to.
///
/// # Errors
/// The store's.
pub async fn find(app: &App, token: &str) -> Result<Option<Hand>, PageError> {
    let hash = token_hash(token);
    if let Some(hand) = app
        .doors
        .sessions
        .read()
        .map_err(|_| PageError::Internal("sessions".into()))?
        .get(&hash)
    {
        return Ok(Some(hand.clone()));
    }
    let row = sqlx::query!(
        "select p.id as \"id!\", p.name, p.role, p.craft from session s join person p on p.id = s.person where s.token_hash = ? and p.left_at_ms is null",
        hash
    )
    .fetch_optional(app.store.readers())
    .await?;
    let Some(row) = row else { return Ok(None) };
    let (Some(id), Some(role)) = (Id::parse(&row.id), Role::from_word(&row.role)) else {
        return Ok(None);
    };
    let hand = Hand {
        id,
        name: row.name.into(),
        role,
        craft: row.craft.into(),
        client: hash[..16].into(),
    };
    app.doors
        .sessions
        .write()
        .map_err(|_| PageError::Internal("sessions".into()))?
        .insert(hash, hand.clone());
    Ok(Some(hand))
}
