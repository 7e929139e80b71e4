//! Sessions: a random token in a cookie, its hash in the store, and the newest of them in memory.

use super::{Hand, Role, aside::aside};
use crate::{
    app::App,
    journal::{value::Id, writer::now_ms},
    store::{Store, StoreError},
};
use axum::http::{HeaderMap, header};
use sha2::{Digest as _, Sha256};
use std::{
    collections::HashMap,
    fmt::Write as _,
    sync::{PoisonError, RwLock},
};

/// Name of the cookie.
pub const COOKIE: &str = "stillair";

const HOUR_MS: i64 = 3600 * 1000;
/// A session that was not used for so long has ended.
pub const UNUSED_MS: i64 = 60 * 24 * HOUR_MS;
/// How often the store is told that a session is in use.
const SEEN_EVERY_MS: i64 = HOUR_MS;
/// The longest a browser keeps a cookie; the store decides when a session ends.
const COOKIE_S: u32 = 400 * 24 * 3600;

/// 128 random bits as text.
///
/// # Panics
/// When the system has no random numbers: then nobody may be let in.
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

/// The token a request carries.
pub fn token(headers: &HeaderMap) -> Option<&str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|line| line.to_str().ok())
        .flat_map(|line| line.split(';'))
        .find_map(|pair| pair.trim().strip_prefix(COOKIE)?.strip_prefix('='))
}

/// The cookie that carries a token.
pub fn cookie(token: &str, secure: bool) -> String {
    let secure = if secure { "; Secure" } else { "" };
    format!("{COOKIE}={token}; Path=/; HttpOnly; SameSite=Lax; Max-Age={COOKIE_S}{secure}")
}

/// The cookie that takes the last one away.
pub fn no_cookie() -> String {
    format!("{COOKIE}=; Path=/; HttpOnly; SameSite=Lax; Max-Age=0")
}

/// Opens a session for a person and returns the token for the cookie. Sessions that have ended are cleared away.
///
/// # Errors
/// The store's.
pub async fn open(store: &Store, person: &Id, address: &str) -> Result<String, StoreError> {
    let token = new_token();
    let (hash, person, address) = (token_hash(&token), person.clone(), address.to_owned());
    aside(store, move |db| {
        Box::pin(async move {
            let (now, person) = (now_ms(), person.as_str());
            let ended = now - UNUSED_MS;
            sqlx::query!("delete from session where seen_at_ms < ?", ended)
                .execute(&mut *db)
                .await?;
            sqlx::query!(
                "insert into session (token_hash, person, made_at_ms, seen_at_ms, from_address) values (?, ?, ?, ?, ?)",
                hash,
                person,
                now,
                now,
                address
            )
            .execute(db)
            .await
            .map(drop)
        })
    })
    .await?;
    Ok(token)
}

/// Sessions kept at hand, so that a request does not ask the database who it is.
#[derive(Debug, Default)]
pub struct Known(RwLock<Inner>);

#[derive(Debug, Default)]
struct Inner {
    by_hash: HashMap<String, Signed>,
    /// Counts whatever took sessions away: what was read from the store before then must not be kept after.
    ended: u64,
}

#[derive(Clone, Debug)]
struct Signed {
    hand: Hand,
    seen_at_ms: i64,
}

impl Known {
    fn read<T>(&self, look: impl FnOnce(&Inner) -> T) -> T {
        look(&self.0.read().unwrap_or_else(PoisonError::into_inner))
    }
    fn write<T>(&self, change: impl FnOnce(&mut Inner) -> T) -> T {
        change(&mut self.0.write().unwrap_or_else(PoisonError::into_inner))
    }

    fn keep(&self, hash: &str, signed: Signed, ended: u64) {
        self.write(|inner| {
            if inner.ended == ended {
                inner.by_hash.insert(hash.to_owned(), signed);
            }
        });
    }

    /// Whoever is gone or changed is asked for in the store again. Called after the store has been written.
    pub fn forget(&self, which: impl Fn(&Hand) -> bool) {
        self.write(|inner| {
            inner.ended += 1;
            inner.by_hash.retain(|_, signed| !which(&signed.hand));
        });
    }
}

/// Whoever a token belongs to.
///
/// # Errors
/// The store's.
pub async fn find(app: &App, token: &str) -> Result<Option<Hand>, StoreError> {
    let (hash, now) = (token_hash(token), now_ms());
    let known = &app.doors.known;
    let (kept, ended) = known.read(|k| (k.by_hash.get(&hash).cloned(), k.ended));
    let was_kept = kept.is_some();
    let signed = match kept {
        Some(signed) => signed,
        None => match stored(&app.store, &hash).await? {
            Some(signed) => signed,
            None => return Ok(None),
        },
    };
    if now - signed.seen_at_ms > UNUSED_MS {
        app.sign_out(|hand| hand.client == signed.hand.client);
        return Ok(None);
    }
    let is_stale = now - signed.seen_at_ms > SEEN_EVERY_MS;
    let seen_at_ms = if is_stale { now } else { signed.seen_at_ms };
    let hand = signed.hand;
    if is_stale || !was_kept {
        let hand = hand.clone();
        known.keep(&hash, Signed { hand, seen_at_ms }, ended);
    }
    if is_stale {
        aside(&app.store, move |db| {
            Box::pin(async move {
                sqlx::query!(
                    "update session set seen_at_ms = ? where token_hash = ?",
                    now,
                    hash
                )
                .execute(db)
                .await
                .map(drop)
            })
        })
        .await?;
    }
    Ok(Some(hand))
}

async fn stored(store: &Store, hash: &str) -> Result<Option<Signed>, StoreError> {
    let row = sqlx::query!(
        "select p.id as \"id!\", p.name, p.role, p.craft, p.plan, p.passphrase_hash is not null as \"has_passphrase!: bool\", s.seen_at_ms
         from session s join person p on p.id = s.person where s.token_hash = ? and p.left_at_ms is null",
        hash
    )
    .fetch_optional(store.readers())
    .await?;
    Ok(row.and_then(|row| {
        Some(Signed {
            hand: Hand {
                id: Id::parse(&row.id)?,
                name: row.name.into(),
                role: Role::from_word(&row.role)?,
                craft: row.craft.into(),
                plan: row.plan.as_deref().and_then(Id::parse),
                has_passphrase: row.has_passphrase,
                client: hash[..16].into(),
            },
            seen_at_ms: row.seen_at_ms,
        })
    }))
}

/// Ends the session of a token.
///
/// # Errors
/// The store's.
pub async fn end(app: &App, token: &str) -> Result<(), StoreError> {
    let hash = token_hash(token);
    let client: std::sync::Arc<str> = hash[..16].into();
    aside(&app.store, move |db| {
        Box::pin(async move {
            sqlx::query!("delete from session where token_hash = ?", hash)
                .execute(db)
                .await
                .map(drop)
        })
    })
    .await?;
    app.sign_out(|hand| hand.client == client);
    Ok(())
}

/// Ends every session of a person.
///
/// # Errors
/// The store's.
pub async fn end_everywhere(app: &App, person: &Id) -> Result<(), StoreError> {
    end_elsewhere(app, person, "").await
}

/// Ends every session of a person but the one of this token.
///
/// # Errors
/// The store's.
pub async fn end_elsewhere(app: &App, person: &Id, token: &str) -> Result<(), StoreError> {
    let (hash, whose) = (token_hash(token), person.clone());
    aside(&app.store, move |db| {
        Box::pin(async move {
            let whose = whose.as_str();
            sqlx::query!(
                "delete from session where person = ? and token_hash <> ?",
                whose,
                hash
            )
            .execute(db)
            .await
            .map(drop)
        })
    })
    .await?;
    app.sign_out(|hand| hand.id == *person);
    Ok(())
}

/// How many browsers a person is signed in on, this one left out.
///
/// # Errors
/// The store's.
pub async fn elsewhere(store: &Store, person: &Id, token: &str) -> Result<i64, StoreError> {
    let (hash, whose, ended) = (token_hash(token), person.as_str(), now_ms() - UNUSED_MS);
    Ok(sqlx::query_scalar!(
        "select count(*) from session where person = ? and token_hash <> ? and seen_at_ms >= ?",
        whose,
        hash,
        ended
    )
    .fetch_one(store.readers())
    .await?)
}
