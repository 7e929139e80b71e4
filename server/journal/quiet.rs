//! Whether anything stands on a thing since some changes were made to it. What was written later and taken back again is
//! nothing: so a hand can rub out one change after the other, back to where it began.

use super::change::{Change, Outcome};
use sqlx::SqliteConnection;
use std::{collections::HashSet, sync::Arc};

/// A later journal row, as far as it matters here.
pub(super) struct Later {
    /// Its number.
    pub seq: i64,
    entity: String,
    field: Option<String>,
    of_seq: Option<i64>,
}

impl Later {
    /// A change that is not stored yet.
    pub fn of(change: &Change) -> Self {
        Self {
            seq: change.seq,
            entity: change.entity.to_string(),
            field: change.field.as_deref().map(str::to_owned),
            of_seq: change.of_seq,
        }
    }
}

/// What was applied to the things of `changes` after the last of them.
///
/// # Errors
/// The database's.
pub(super) async fn later_on(
    db: &mut SqliteConnection,
    changes: &[Arc<Change>],
) -> Result<Vec<Later>, sqlx::Error> {
    let things: HashSet<&str> = changes.iter().map(|c| c.entity.as_str()).collect();
    let things = serde_json::Value::from_iter(things).to_string();
    let last = changes.iter().map(|c| c.seq).max();
    let applied = Outcome::Applied.word();
    sqlx::query_as!(
        Later,
        "select seq as \"seq!\", entity, field, of_seq from change
         where entity in (select value from json_each(?)) and seq > ? and outcome = ?
         order by seq",
        things,
        last,
        applied
    )
    .fetch_all(db)
    .await
}

/// Whether nothing of what was written later (oldest first) still stands where one of `changes` wrote.
pub(super) fn is_quiet(changes: &[Arc<Change>], later: &[&Later]) -> bool {
    let Some(last) = changes.iter().map(|c| c.seq).max() else {
        return false;
    };
    let mut seen = HashSet::new();
    changes
        .iter()
        .filter(|c| seen.insert((&c.entity, &c.field)))
        .all(|change| {
            let own = later
                .iter()
                .copied()
                .filter(|l| l.seq > last && *l.entity == *change.entity.as_str());
            is_nothing(own, change.field.as_deref(), last)
        })
}

/// Whether the later rows of a thing come to nothing, for one field or, where none is named, for all. Rows are gone
/// through from the newest, since a taking-back may itself have been taken back.
fn is_nothing<'a>(
    later: impl DoubleEndedIterator<Item = &'a Later>,
    field: Option<&str>,
    last: i64,
) -> bool {
    let mut taken_back = HashSet::new();
    for row in later.rev() {
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
            entity: "s1".into(),
            field: field.map(str::to_owned),
            of_seq,
        }
    }

    #[test]
    fn what_was_taken_back_is_nothing_and_what_was_done_again_is_not() {
        let (name, key) = (Some("name"), Some("key_stops"));
        let mut later = vec![row(5, name, None)];
        assert!(!is_nothing(later.iter(), name, 4));
        assert!(is_nothing(later.iter(), key, 4), "another field");
        assert!(!is_nothing(later.iter(), None, 4), "the thing as a whole");
        later.push(row(6, name, Some(5)));
        assert!(is_nothing(later.iter(), name, 4) && is_nothing(later.iter(), None, 4));
        later.push(row(7, name, Some(6)));
        assert!(!is_nothing(later.iter(), name, 4), "done again");
        later.push(row(8, name, Some(7)));
        assert!(is_nothing(later.iter(), name, 4));
        // Taking back what came before says something new.
        later.push(row(9, name, Some(3)));
        assert!(!is_nothing(later.iter(), name, 4));
    }

    #[test]
    fn a_removal_counts_for_every_field() {
        assert!(!is_nothing([row(5, None, None)].iter(), Some("name"), 4));
    }
}
