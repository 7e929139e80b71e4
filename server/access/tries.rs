//! Slows down guessing: each wrong passphrase makes the next wait longer, for that name and for that address.

use super::aside::aside;
use crate::store::{Store, StoreError};
use sqlx::SqliteConnection;

const DAY_MS: i64 = 24 * 3600 * 1000;

/// How patient the door is.
struct Patience {
    /// Misses that cost nothing.
    free: i64,
    /// The longest wait.
    longest_s: i64,
    /// Misses taken back by a right passphrase.
    forgiven: i64,
}

/// A minute at most, so that nobody can keep somebody else out for long.
static OF_A_NAME: Patience = Patience {
    free: 4,
    longest_s: 60,
    forgiven: i64::MAX,
};
/// A whole crew may sit behind one address.
static OF_AN_ADDRESS: Patience = Patience {
    free: 20,
    longest_s: 900,
    forgiven: 1,
};

impl Patience {
    /// Seconds to wait after so many misses: 1, 2, 4, 8 …
    fn wait_s(&self, misses: i64) -> i64 {
        match misses - self.free {
            ..=0 => 0,
            over => (1_i64 << (over - 1).min(20)).min(self.longest_s),
        }
    }
}

/// Whose tries are counted.
#[derive(Clone, Debug)]
pub struct Subject {
    /// Folded name, known or not.
    pub name_key: String,
    /// Where the request came from; empty when unknown.
    pub address: String,
}

impl Subject {
    fn lines(&self) -> impl Iterator<Item = (String, &'static Patience)> {
        let name = (format!("name {}", self.name_key), &OF_A_NAME);
        let address = (format!("address {}", self.address), &OF_AN_ADDRESS);
        std::iter::once(name).chain((!self.address.is_empty()).then_some(address))
    }
}

/// Counts a try as missed before it is made, so that many at once do not slip through; [`forgive`] takes it back.
/// Returns the seconds to wait when it comes too soon; then it is not counted.
///
/// # Errors
/// The store's.
pub async fn begin(
    store: &Store,
    subject: Subject,
    now_ms: i64,
) -> Result<Result<(), u64>, StoreError> {
    aside(store, move |db| {
        Box::pin(async move {
            let day_ago = now_ms - DAY_MS;
            sqlx::query!("delete from passphrase_miss where last_at_ms < ?", day_ago)
                .execute(&mut *db)
                .await?;
            let mut wait_ms = 0;
            for (line, patience) in subject.lines() {
                wait_ms = wait_ms.max(wait_of(db, &line, patience, now_ms).await?);
            }
            if wait_ms > 0 {
                return Ok(Err(wait_ms.unsigned_abs().div_ceil(1000)));
            }
            for (line, _) in subject.lines() {
                sqlx::query!(
                    "insert into passphrase_miss (subject, misses, last_at_ms) values (?, 1, ?)
                     on conflict (subject) do update set misses = misses + 1, last_at_ms = excluded.last_at_ms",
                    line,
                    now_ms
                )
                .execute(&mut *db)
                .await?;
            }
            Ok(Ok(()))
        })
    })
    .await
}

async fn wait_of(
    db: &mut SqliteConnection,
    line: &str,
    patience: &Patience,
    now_ms: i64,
) -> Result<i64, sqlx::Error> {
    let row = sqlx::query!(
        "select misses, last_at_ms from passphrase_miss where subject = ?",
        line
    )
    .fetch_optional(db)
    .await?;
    Ok(row.map_or(0, |row| {
        row.last_at_ms + patience.wait_s(row.misses) * 1000 - now_ms
    }))
}

/// The try was right: the name starts anew, the address gets this one try back.
///
/// # Errors
/// The store's.
pub async fn forgive(store: &Store, subject: Subject) -> Result<(), StoreError> {
    aside(store, move |db| {
        Box::pin(async move {
            for (line, patience) in subject.lines() {
                sqlx::query!(
                    "update passphrase_miss set misses = max(0, misses - ?) where subject = ?",
                    patience.forgiven,
                    line
                )
                .execute(&mut *db)
                .await?;
            }
            Ok(())
        })
    })
    .await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_wait_doubles_up_to_its_longest() {
        let waits: Vec<_> = (0..12).map(|misses| OF_A_NAME.wait_s(misses)).collect();
        assert_eq!(waits, [0, 0, 0, 0, 0, 1, 2, 4, 8, 16, 32, 60]);
        assert_eq!(OF_AN_ADDRESS.wait_s(20), 0);
        assert_eq!(OF_AN_ADDRESS.wait_s(i64::MAX), 900);
    }
}
