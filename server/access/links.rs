//! Links by which people join.

use super::{Role, aside::aside, people, session};
use crate::{
    error::PageError,
    journal::{value::Id, writer::now_ms},
    store::{Store, StoreError},
};

const DAY_MS: i64 = 24 * 3600 * 1000;
/// How long a lead's link works.
const LEAD_LINK_DAYS: i64 = 30;
/// How many browsers a lead's link signs in.
const LEAD_LINK_USES: i64 = 20;

/// Makes the first lead if the book has none, and a link that signs in as lead. Returns the link's token.
///
/// # Errors
/// The store's.
pub async fn lead_link(store: &Store) -> Result<String, StoreError> {
    let token = session::new_token();
    let hash = session::token_hash(&token);
    aside(store, move |db| {
        Box::pin(async move {
            let lead = sqlx::query_scalar!(
                "select id as \"id!\" from person where role = 'lead' and left_at_ms is null order by made_at_ms limit 1"
            )
            .fetch_optional(&mut *db)
            .await?;
            let lead = match lead {
                Some(id) => id,
                None => people::add_in(db, Role::Lead).await?.to_string(),
            };
            let now = now_ms();
            let expires = now + LEAD_LINK_DAYS * DAY_MS;
            sqlx::query!(
                "insert into join_link (token_hash, role, person, uses_left, made_at_ms, expires_at_ms) values (?, 'lead', ?, ?, ?, ?)",
                hash,
                lead,
                LEAD_LINK_USES,
                now,
                expires
            )
            .execute(db)
            .await
            .map(drop)
        })
    })
    .await?;
    Ok(token)
}

/// A link that works now.
#[derive(Debug)]
pub struct Link {
    /// What it lets people do.
    pub role: Role,
    /// Whom it signs in; none for somebody new.
    pub person: Option<Id>,
}

fn gone() -> PageError {
    PageError::NotFound(
        "This link has been used up or withdrawn, or has expired. Ask the lead for a new one."
            .into(),
    )
}

/// Looks at a link without using it.
///
/// # Errors
/// [`PageError::NotFound`] for a link that is unknown, used up, expired or withdrawn; the store's.
pub async fn look_at(store: &Store, token: &str) -> Result<Link, PageError> {
    let (hash, now) = (session::token_hash(token), now_ms());
    let row = sqlx::query!(
        "select l.role, l.person from join_link l left join person p on p.id = l.person
         where l.token_hash = ? and l.uses_left > 0 and l.expires_at_ms > ? and l.withdrawn_at_ms is null and p.left_at_ms is null",
        hash,
        now
    )
    .fetch_optional(store.readers())
    .await?
    .ok_or_else(gone)?;
    Ok(Link {
        role: Role::from_word(&row.role).ok_or_else(gone)?,
        person: row.person.as_deref().and_then(Id::parse),
    })
}

/// Uses a link once: the person it signs in. Somebody new is made for a link that names nobody.
///
/// # Errors
/// As [`look_at`].
pub async fn use_once(store: &Store, token: &str) -> Result<Id, PageError> {
    let link = look_at(store, token).await?;
    let (hash, now) = (session::token_hash(token), now_ms());
    aside(store, move |db| {
        Box::pin(async move {
            // Asked again here, because two may open the last use at once.
            let used = sqlx::query!(
                "update join_link set uses_left = uses_left - 1
                 where token_hash = ? and uses_left > 0 and expires_at_ms > ? and withdrawn_at_ms is null",
                hash,
                now
            )
            .execute(&mut *db)
            .await?;
            if used.rows_affected() == 0 {
                return Ok(None);
            }
            Ok(Some(match link.person {
                Some(person) => person,
                None => people::add_in(db, link.role).await?,
            }))
        })
    })
    .await?
    .ok_or_else(gone)
}
