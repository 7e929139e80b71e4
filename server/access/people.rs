//! People and the links by which they join.

use super::{Role, session};
use crate::{
    app::App,
    error::PageError,
    journal::{value::Id, writer::now_ms},
    store::Store,
};

/// A day, in milliseconds.
const DAY_MS: i64 = 24 * 3600 * 1000;

/// Makes the first lead if the book has nobody yet, and a link that signs in as lead. Returns the link's token.
///
/// # Errors
/// The store's.
pub async fn lead_link(store: &Store) -> Result<String, PageError> {
    let token = session::new_token();
    let (hash, now, fresh) = (session::token_hash(&token), now_ms(), Id::new().to_string());
    store
        .aside(Box::new(move |db| {
            Box::pin(async move {
                sqlx::query!(
                    "insert into person (id, name, name_key, role, made_at_ms)
                     select ?, 'lead', 'lead', 'lead', ? where not exists (select 1 from person where role = 'lead' and left_at_ms is null)",
                    fresh,
                    now
                )
                .execute(&mut *db)
                .await?;
                let expires = now + 30 * DAY_MS;
                sqlx::query!(
                    "insert into join_link (token_hash, role, person, uses_left, made_at_ms, expires_at_ms)
                     select ?, 'lead', id, 20, ?, ? from person where role = 'lead' and left_at_ms is null order by made_at_ms limit 1",
                    hash,
                    now,
                    expires
                )
                .execute(db)
                .await
                .map(drop)
            })
        }))
        .await?;
    Ok(token)
}

/// What the sheet calls a journal actor: a craft, a role, or the program's own word.
pub fn shown_name(app: &App, actor: &str) -> String {
    app.doors
        .names
        .read()
        .ok()
        .and_then(|names| names.get(actor).map(ToString::to_string))
        .unwrap_or_else(|| {
            if actor.is_empty() || Id::parse(actor).is_some_and(|id| id.as_str().len() > 20) {
                "crew".into()
            } else {
                actor.to_owned()
            }
        })
}

/// Reads the names of all people, for [`shown_name`].
///
/// # Errors
/// The store's.
pub async fn learn_names(app: &App) -> Result<(), PageError> {
    let rows = sqlx::query!("select id as \"id!\", role, craft from person")
        .fetch_all(app.store.readers())
        .await?;
    let names = rows
        .into_iter()
        .map(|r| {
            (
                r.id,
                if r.craft.is_empty() {
                    r.role.into()
                } else {
                    r.craft.into()
                },
            )
        })
        .collect();
    *app.doors
        .names
        .write()
        .map_err(|_| PageError::Internal("names".into()))? = names;
    Ok(())
}

/// Uses a join link: the person it signs in. Someone new is made for a link that names nobody.
///
/// # Errors
/// [`PageError::NotFound`] for a link that is unknown, used up, expired or withdrawn; the store's.
pub async fn use_link(store: &Store, token: &str) -> Result<Id, PageError> {
    let hash = session::token_hash(token);
    let now = now_ms();
    let gone = || {
        PageError::NotFound(
            "This link has been used up, withdrawn or has expired. Ask the lead for a new one."
                .into(),
        )
    };
    let row = sqlx::query!(
        "select role, person from join_link where token_hash = ? and uses_left > 0 and expires_at_ms > ? and withdrawn_at_ms is null",
        hash,
        now
    )
    .fetch_optional(store.readers())
    .await?
    .ok_or_else(gone)?;
    let role = Role::from_word(&row.role).ok_or_else(gone)?.word();
    let person = row.person.as_deref().and_then(Id::parse);
    let is_new = person.is_none();
    let person = person.unwrap_or_default();
    let (id, name) = (
        person.to_string(),
        format!("{role} {}", &person.as_str()[person.as_str().len() - 4..]),
    );
    store
        .aside(Box::new(move |db| {
            Box::pin(async move {
                sqlx::query!("update join_link set uses_left = uses_left - 1 where token_hash = ? and uses_left > 0", hash).execute(&mut *db).await?;
                if is_new {
                    sqlx::query!("insert into person (id, name, name_key, role, made_at_ms) values (?, ?, ?, ?, ?)", id, name, name, role, now)
                        .execute(&mut *db)
                        .await?;
                }
                Ok(())
            })
        }))
        .await?;
    Ok(person)
}
