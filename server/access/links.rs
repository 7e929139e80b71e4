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

/// A link to be made.
#[derive(Debug)]
pub struct Wanted {
    /// What it lets people do.
    pub role: Role,
    /// Whom it signs in; none for somebody new.
    pub person: Option<Id>,
    /// The one plan that a guest reads.
    pub plan: Option<Id>,
    /// How many browsers it signs in.
    pub uses: i64,
    /// How long it works.
    pub days: i64,
    /// Who made it.
    pub by: Id,
}

/// Makes a link and returns its token, which is nowhere else.
///
/// # Errors
/// The store's.
pub async fn make(store: &Store, wanted: Wanted) -> Result<String, StoreError> {
    let token = session::new_token();
    let hash = session::token_hash(&token);
    aside(store, move |db| {
        Box::pin(async move {
            let now = now_ms();
            let expires = now + wanted.days * DAY_MS;
            let (role, by) = (wanted.role.word(), wanted.by.as_str());
            let person = wanted.person.as_ref().map(Id::as_str);
            let plan = wanted.plan.as_ref().map(Id::as_str);
            sqlx::query!(
                "insert into join_link (token_hash, role, person, plan, made_by, uses_left, made_at_ms, expires_at_ms) values (?, ?, ?, ?, ?, ?, ?, ?)",
                hash,
                role,
                person,
                plan,
                by,
                wanted.uses,
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

/// A link in the list; its token is known to whoever has it alone.
#[derive(Debug)]
pub struct Listed {
    /// The beginning of its hash, by which it is withdrawn.
    pub id: String,
    /// What it lets people do.
    pub role: String,
    /// Whom it signs in.
    pub person: Option<String>,
    /// The one plan that a guest reads.
    pub plan: Option<String>,
    /// How often it was opened.
    pub uses_made: i64,
    /// How often it may be.
    pub uses_left: i64,
    /// When it ends.
    pub expires_at_ms: i64,
}

/// Links that work now, the newest first.
///
/// # Errors
/// The store's.
pub async fn open_ones(store: &Store) -> Result<Vec<Listed>, StoreError> {
    let now = now_ms();
    Ok(sqlx::query_as!(
        Listed,
        "select substr(l.token_hash, 1, 16) as \"id!: String\", l.role, p.name as \"person?\", l.plan, l.uses_made, l.uses_left, l.expires_at_ms
         from join_link l left join person p on p.id = l.person
         where l.uses_left > 0 and l.expires_at_ms > ? and l.withdrawn_at_ms is null
         order by l.made_at_ms desc",
        now
    )
    .fetch_all(store.readers())
    .await?)
}

/// Withdraws a link; those it let in stay.
///
/// # Errors
/// The store's.
pub async fn withdraw(store: &Store, id: String) -> Result<(), StoreError> {
    aside(store, move |db| {
        Box::pin(async move {
            let now = now_ms();
            sqlx::query!(
                "update join_link set withdrawn_at_ms = ? where substr(token_hash, 1, 16) = ? and withdrawn_at_ms is null",
                now,
                id
            )
            .execute(db)
            .await
            .map(drop)
        })
    })
    .await
}

/// A link that works now.
#[derive(Debug)]
pub struct Link {
    /// What it lets people do.
    pub role: Role,
    /// The one plan that a guest reads.
    pub plan: Option<Id>,
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
        "select l.role, l.person, l.plan from join_link l left join person p on p.id = l.person
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
        plan: row.plan.as_deref().and_then(Id::parse),
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
                "update join_link set uses_left = uses_left - 1, uses_made = uses_made + 1
                 where token_hash = ? and uses_left > 0 and expires_at_ms > ? and withdrawn_at_ms is null",
                hash,
                now
            )
            .execute(&mut *db)
            .await?;
            if used.rows_affected() == 0 {
                return Ok(None);
            }
            if link.person.is_some() {
                return Ok(link.person);
            }
            let person = people::add_in(db, link.role).await?;
            if let Some(plan) = &link.plan {
                let (plan, id) = (plan.as_str(), person.as_str());
                sqlx::query!("update person set plan = ? where id = ?", plan, id)
                    .execute(db)
                    .await?;
            }
            Ok(Some(person))
        })
    })
    .await?
    .ok_or_else(gone)
}
