//! People: what they are called, and how the sheet names them.

use super::{
    Role,
    aside::{Working, aside},
};
use crate::{
    app::App,
    journal::{value::Id, writer::now_ms},
    store::{Store, StoreError},
};
use sqlx::SqliteConnection;
use std::sync::PoisonError;
use unicode_normalization::UnicodeNormalization as _;

/// Longest name to sign in with, in characters.
pub const LONGEST_NAME: usize = 60;
/// Longest craft, in characters.
pub const LONGEST_CRAFT: usize = 40;
/// Crafts that are offered; any other word will do.
pub const CRAFTS: &[&str] = &[
    "camera",
    "light/haze",
    "rig/model",
    "art",
    "water",
    "grip",
    "production",
];

/// A name as it is kept: without blanks around it, one blank between words.
pub fn tidy(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What two spellings of one name have in common, whatever keyboard they came from.
pub fn name_key(name: &str) -> String {
    tidy(&name.nfkc().collect::<String>().to_lowercase())
}

/// Why a tidy name will not do; `None` when it will.
pub fn name_fault(name: &str) -> Option<String> {
    if name.is_empty() {
        Some("A name is needed: it is what you sign in with.".into())
    } else if name.chars().count() > LONGEST_NAME {
        Some(format!(
            "A name has at most {LONGEST_NAME} characters; write a shorter one."
        ))
    } else if name.chars().any(char::is_control) {
        Some("A name is made of letters, digits and blanks.".into())
    } else {
        None
    }
}

/// Makes somebody new, called by role and number until they choose a name.
///
/// # Errors
/// The store's.
pub async fn add(store: &Store, role: Role) -> Result<Id, StoreError> {
    aside(store, move |db| add_in(db, role)).await
}

/// The same inside other work.
pub(super) fn add_in(db: &mut SqliteConnection, role: Role) -> Working<'_, Id> {
    Box::pin(async move {
        let word = role.word();
        let taken: Vec<String> = sqlx::query_scalar!("select name_key from person")
            .fetch_all(&mut *db)
            .await?;
        // The first of its role has no number.
        let name = (1_u32..=u32::MAX)
            .map(|n| {
                if n == 1 {
                    word.to_owned()
                } else {
                    format!("{word} {n}")
                }
            })
            .find(|name| !taken.contains(name))
            .expect("there are fewer people than numbers");
        let (id, now) = (Id::new(), now_ms());
        let id_text = id.as_str();
        sqlx::query!(
            "insert into person (id, name, name_key, role, made_at_ms) values (?, ?, ?, ?, ?)",
            id_text,
            name,
            name,
            word,
            now
        )
        .execute(db)
        .await?;
        Ok(id)
    })
}

/// Somebody in the list of the crew.
#[derive(Debug)]
pub struct Listed {
    /// Person id.
    pub id: String,
    /// What they sign in with.
    pub name: String,
    /// What they may do.
    pub role: String,
    /// How the sheet names their hand; empty for their role.
    pub craft: String,
    /// The one plan that a guest reads.
    pub plan: Option<String>,
    /// Whether a passphrase was chosen.
    pub has_passphrase: bool,
    /// When they were taken off the list.
    pub left_at_ms: Option<i64>,
    /// When they were last here.
    pub seen_at_ms: Option<i64>,
    /// On how many browsers they are signed in.
    pub browsers: i64,
}

/// Everybody who ever was in the book: those who may come in first, by role and then by name.
///
/// # Errors
/// The store's.
pub async fn all(store: &Store) -> Result<Vec<Listed>, StoreError> {
    Ok(sqlx::query_as!(
        Listed,
        "select p.id as \"id!\", p.name as \"name!\", p.role as \"role!\", p.craft as \"craft!\", p.plan, p.passphrase_hash is not null as \"has_passphrase!: bool\", p.left_at_ms,
                max(s.seen_at_ms) as \"seen_at_ms?: i64\", count(s.token_hash) as \"browsers!: i64\"
         from person p left join session s on s.person = p.id
         group by p.id
         order by p.left_at_ms is not null,
                  case p.role when 'lead' then 0 when 'crew' then 1 when 'supervisor' then 2 else 3 end,
                  p.name_key"
    )
    .fetch_all(store.readers())
    .await?)
}

/// Gives somebody another role, or takes them off the list and puts them back. `false` when that would leave the book
/// without a lead.
///
/// # Errors
/// The store's.
pub async fn set(
    store: &Store,
    person: Id,
    role: Option<Role>,
    has_left: bool,
) -> Result<bool, StoreError> {
    aside(store, move |db| {
        Box::pin(async move {
            let (id, role) = (person.as_str(), role.map(Role::word));
            let left = has_left.then(now_ms);
            let keeps_a_lead = sqlx::query_scalar!(
                "select exists (select 1 from person where role = 'lead' and left_at_ms is null and id <> ?1)
                     or (?2 is null and coalesce(?3, role) = 'lead')
                     or role <> 'lead' or left_at_ms is not null as \"keeps!: bool\"
                 from person where id = ?1",
                id,
                left,
                role
            )
            .fetch_optional(&mut *db)
            .await?;
            if keeps_a_lead != Some(true) {
                return Ok(false);
            }
            // A guest who becomes more reads everything.
            sqlx::query!(
                "update person set role = coalesce(?2, role), left_at_ms = ?3, plan = case when coalesce(?2, role) = 'guest' then plan end where id = ?1",
                id,
                role,
                left
            )
            .execute(&mut *db)
            .await?;
            if has_left {
                sqlx::query!("delete from session where person = ?", id)
                    .execute(db)
                    .await?;
            }
            Ok(true)
        })
    })
    .await
}

/// Whether the book has no people yet, as a new one.
///
/// # Errors
/// The store's.
pub async fn are_none(store: &Store) -> Result<bool, StoreError> {
    let one = sqlx::query_scalar!("select 1 as \"one!: i64\" from person limit 1")
        .fetch_optional(store.readers())
        .await?;
    Ok(one.is_none())
}

/// What a person may change about themselves.
#[derive(Debug)]
pub struct Choice {
    /// Whose.
    pub id: Id,
    /// Tidy name.
    pub name: String,
    /// Craft, or empty.
    pub craft: String,
    /// Hash of a new passphrase, or none to keep the old one.
    pub passphrase_hash: Option<String>,
    /// Hash of the token of the browser that asks: it stays signed in when the passphrase changes, all others do not.
    pub own_session: String,
}

/// Writes the choice, all of it or nothing. `false` when somebody else has that name.
///
/// # Errors
/// The store's.
pub async fn choose(store: &Store, choice: Choice) -> Result<bool, StoreError> {
    aside(store, move |db| {
        Box::pin(async move {
            let key = name_key(&choice.name);
            let id = choice.id.as_str();
            let other = sqlx::query_scalar!(
                "select id as \"id!\" from person where name_key = ? and id <> ?",
                key,
                id
            )
            .fetch_optional(&mut *db)
            .await?;
            if other.is_some() {
                return Ok(false);
            }
            sqlx::query!(
                "update person set name = ?, name_key = ?, craft = ?, passphrase_hash = coalesce(?, passphrase_hash) where id = ?",
                choice.name,
                key,
                choice.craft,
                choice.passphrase_hash,
                id
            )
            .execute(&mut *db)
            .await?;
            if choice.passphrase_hash.is_some() {
                sqlx::query!(
                    "delete from session where person = ? and token_hash <> ?",
                    id,
                    choice.own_session
                )
                .execute(db)
                .await?;
            }
            Ok(true)
        })
    })
    .await
}

/// What the sheet calls a journal actor: a craft, a role, or the program's own word.
pub fn shown_name(app: &App, actor: &str) -> String {
    app.doors
        .names
        .read()
        .unwrap_or_else(PoisonError::into_inner)
        .get(actor)
        .map_or_else(
            || {
                if actor.is_empty() || Id::parse(actor).is_some_and(|id| id.as_str().len() > 20) {
                    "crew".into()
                } else {
                    actor.to_owned()
                }
            },
            ToString::to_string,
        )
}

/// Reads the names of all people, for [`shown_name`].
///
/// # Errors
/// The store's.
pub async fn learn_names(app: &App) -> Result<(), StoreError> {
    let rows = sqlx::query!("select id as \"id!\", role, craft from person")
        .fetch_all(app.store.readers())
        .await?;
    let names = rows.into_iter().map(|r| {
        let shown = if r.craft.is_empty() { r.role } else { r.craft };
        (r.id, shown.into())
    });
    *app.doors
        .names
        .write()
        .unwrap_or_else(PoisonError::into_inner) = names.collect();
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spellings_of_one_name_fold_into_one() {
        // é as one letter, as a letter with an accent after it, and in wide letters, as keyboards of three systems send it.
        for name in [
            "Renée Lamp",
            "  rene\u{301}e   LAMP ",
            "\u{ff32}\u{ff25}\u{ff2e}\u{c9}\u{ff25} lamp",
        ] {
            assert_eq!(name_key(name), "renée lamp", "{name}");
        }
        assert_ne!(name_key("Rene Lamp"), name_key("Renée Lamp"));
    }

    #[test]
    fn a_name_is_refused_in_words() {
        assert_eq!(name_fault("Key grip 2"), None);
        for bad in ["", "a\u{7}b", &"n".repeat(61)] {
            assert!(name_fault(bad).is_some(), "{bad:?}");
        }
    }
}
