//! What the history asks the journal.

use crate::{
    journal::{change::Change, load, value::Id},
    store::{Store, StoreError},
};
use sqlx::{QueryBuilder, Sqlite};

/// Which changes.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    /// Person id, or the program's own word; empty for everybody.
    pub who: String,
    /// A thing, or what hangs on it; empty for all.
    pub things: Vec<String>,
    /// From this moment on, in milliseconds.
    pub from_ms: Option<i64>,
    /// Before this moment.
    pub to_ms: Option<i64>,
    /// Written together.
    pub batch: String,
    /// Older than this number.
    pub before: Option<i64>,
}

/// The newest changes of a plan and of what it shares that are wanted, newest first, at most so many.
///
/// # Errors
/// The database's.
pub async fn changes(
    store: &Store,
    plan: &Id,
    wanted: &Wanted,
    most: i64,
) -> Result<Vec<Change>, StoreError> {
    let mut query: QueryBuilder<Sqlite> = QueryBuilder::new(load::CHANGE_ROW);
    query.push(" where (plan = ").push_bind(plan.to_string());
    query.push(" or plan is null)");
    if !wanted.who.is_empty() {
        query.push(" and actor = ").push_bind(wanted.who.clone());
    }
    if !wanted.things.is_empty() {
        query.push(" and entity in (");
        let mut list = query.separated(", ");
        for thing in &wanted.things {
            list.push_bind(thing.clone());
        }
        query.push(")");
    }
    if let Some(from) = wanted.from_ms {
        query.push(" and at_server_ms >= ").push_bind(from);
    }
    if let Some(to) = wanted.to_ms {
        query.push(" and at_server_ms < ").push_bind(to);
    }
    if !wanted.batch.is_empty() {
        query.push(" and batch = ").push_bind(wanted.batch.clone());
    }
    if let Some(before) = wanted.before {
        query.push(" and seq < ").push_bind(before);
    }
    query.push(" order by seq desc limit ").push_bind(most);
    let rows = query.build().fetch_all(store.readers()).await?;
    let changes: Result<Vec<_>, _> = rows.iter().map(load::read_change).collect();
    Ok(changes?)
}

/// Everybody who wrote in a plan.
///
/// # Errors
/// The database's.
pub async fn writers(store: &Store, plan: &Id) -> Result<Vec<String>, StoreError> {
    let plan = plan.as_str();
    Ok(sqlx::query_scalar!(
        "select distinct actor from change where plan = ? or plan is null order by actor",
        plan
    )
    .fetch_all(store.readers())
    .await?)
}
