//! Whether anything stands on a thing since some changes were made to it. What was written later and taken back again is
//! nothing: so a hand can rub out one change after the other, back to where it began.

use super::{
    change::{Change, Outcome},
    value::Id,
};
use sqlx::SqliteConnection;
use std::{collections::HashSet, sync::Arc};

/// A later journal row, as far as it matters here.
struct Later {
    seq: i64,
    field: Option<String>,
    of_seq: Option<i64>,
}

/// Whether nothing that was written after the last of `changes` still stands where one of them wrote.
///
/// # Errors
/// The database's.
pub(super) async fn is_quiet_since(
    db: &mut SqliteConnection,
    changes: &[Arc<Change>],
) -> Result<bool, sqlx::Error> {
    let Some(last) = changes.iter().map(|c| c.seq).max() else {
        return Ok(false);
    };
    let mut seen = HashSet::new();
    for change in changes {
        if !seen.insert((&change.entity, &change.field)) {
            continue;
        }
        let later = later_on(db, &change.entity, last).await?;
        if !is_nothing(&later, change.field.as_deref(), last) {
            return Ok(false);
        }
    }
    Ok(true)
}

async fn later_on(
    db: &mut SqliteConnection,
    thing: &Id,
    after: i64,
) -> Result<Vec<Later>, sqlx::Error> {
    let (thing, applied) = (thing.as_str(), Outcome::Applied.word());
    sqlx::query_as!(
        Later,
        "select seq as \"seq!\", field, of_seq from change where entity = ? and seq > ? and outcome = ? order by seq",
        thing,
        after,
        applied
    )
    .fetch_all(db)
    .await
}

/// Whether the later rows of a thing come to nothing, for one field or, where none is named, for all. Rows are gone
/// through from the newest, since a taking-back may itself have been taken back.
fn is_nothing(later: &[Later], field: Option<&str>, last: i64) -> bool {
    let mut taken_back = HashSet::new();
    for row in later.iter().rev() {
        if taken_back.contains(&row.seq) {
            continue;
        }
        match row.of_seq {
            Some(of_seq) if of_seq > last => {
                taken_back.insert(of_seq);
            }
            _ if field.is_none() || row.field.as_deref() == field || row.field.is_none() => {
                return false;
            }
            _ => {}
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use super::{Later, is_nothing};

    fn row(seq: i64, field: Option<&str>, of_seq: Option<i64>) -> Later {
        Later {
            seq,
            field: field.map(str::to_owned),
            of_seq,
        }
    }

    #[test]
    fn what_was_taken_back_is_nothing_and_what_was_done_again_is_not() {
        let (name, key) = (Some("name"), Some("key_stops"));
        let mut later = vec![row(5, name, None)];
        assert!(!is_nothing(&later, name, 4));
        assert!(is_nothing(&later, key, 4), "another field");
        assert!(!is_nothing(&later, None, 4), "the thing as a whole");
        later.push(row(6, name, Some(5)));
        assert!(is_nothing(&later, name, 4) && is_nothing(&later, None, 4));
        later.push(row(7, name, Some(6)));
        assert!(!is_nothing(&later, name, 4), "done again");
        later.push(row(8, name, Some(7)));
        assert!(is_nothing(&later, name, 4));
        // Taking back what came before says something new.
        later.push(row(9, name, Some(3)));
        assert!(!is_nothing(&later, name, 4));
    }

    #[test]
    fn a_removal_counts_for_every_field() {
        assert!(!is_nothing(&[row(5, None, None)], Some("name"), 4));
    }
}
