//! The rows a change writes: its own in the journal, and what it does to the tables.

use super::{
    apply,
    change::{Change, OpKind, Outcome},
    record::{AnyEntry, is_text, versions_json},
    value::{Column, Id},
};
use crate::plan::Plan;
use serde_json::Value as Json;
use sqlx::{AssertSqlSafe, Sqlite, SqliteConnection, query::Query, sqlite::SqliteArguments};
use std::{collections::HashMap, sync::Arc};

const BESIDE: &str = concat!(
    crate::insert_change!(),
    "; insert into beside (seq, plan, entity, field, value, actor, at_ms) values (?1, ?2, ?10, coalesce(?12, ''), coalesce(?14, 'null'), ?6, ?7)"
);

/// Writes rows, and remembers the statements it made for inserts.
#[derive(Default)]
pub(super) struct Rows {
    inserts: HashMap<&'static str, Arc<str>>,
}

impl Rows {
    /// Stores a change. `plan` stands already after the whole ask: where a later op of it writes the same cell again, both
    /// write the same end.
    pub async fn store(
        &mut self,
        db: &mut SqliteConnection,
        change: &Change,
        plan: &Plan,
    ) -> Result<(), sqlx::Error> {
        if matches!(
            change.outcome,
            Outcome::KeptBeside | Outcome::KeptBesideRemoval
        ) {
            return row(db, BESIDE, change, &[]).await;
        }
        let entry = plan.anything(change.entity.as_str());
        let (Outcome::Applied, Some(entry)) = (change.outcome, entry) else {
            return row(db, crate::insert_change!(), change, &[]).await;
        };
        if change.kind == OpKind::Insert {
            row(db, crate::insert_change!(), change, &[]).await?;
            return self.insert(db, change, entry).await;
        }
        if let Some(removed) = apply::removes(change) {
            let removed_seq = Column::Integer(if removed { change.seq } else { 0 });
            row(db, entry.kind().remove, change, &[removed_seq]).await?;
            return settle_removal(db, change).await;
        }
        let index = change.field.as_deref().and_then(|f| entry.kind().index(f));
        match index.filter(|_| !apply::only_settles(change)) {
            Some(index) => {
                let versions = Column::Text(versions_json(entry).into());
                let sql = entry.kind().updates[index];
                row(db, sql, change, &[versions, cell(entry, index)]).await?;
            }
            None => row(db, crate::insert_change!(), change, &[]).await?,
        }
        settle(db, change).await
    }

    async fn insert(
        &mut self,
        db: &mut SqliteConnection,
        change: &Change,
        entry: &dyn AnyEntry,
    ) -> Result<(), sqlx::Error> {
        let kind = entry.kind();
        let sql = self.inserts.entry(kind.entity_type).or_insert_with(|| {
            let names: Vec<_> = kind.fields.iter().map(|f| f.name).collect();
            let marks = vec!["?"; names.len()].join(", ");
            format!("insert into {} (id, plan, created_seq, removed_seq, versions, {}) values (?, ?, ?, 0, ?, {marks})", kind.entity_type, names.join(", ")).into()
        });
        let mut query = sqlx::query(AssertSqlSafe(sql.clone()))
            .bind(change.entity.as_str())
            .bind(change.plan.as_ref().map(Id::as_str))
            .bind(change.seq)
            .bind(versions_json(entry));
        for index in 0..kind.fields.len() {
            query = bind(query, &cell(entry, index));
        }
        query.execute(db).await.map(drop)
    }
}

async fn settle(db: &mut SqliteConnection, change: &Change) -> Result<(), sqlx::Error> {
    for seq in apply::settled_by(change) {
        sqlx::query!(
            "update beside set settled_seq = ? where seq = ?",
            change.seq,
            seq
        )
        .execute(&mut *db)
        .await?;
    }
    Ok(())
}

/// Removals kept beside are settled once it is decided whether the thing stands. A statement of its own: the parameters
/// that a third one in the same string leaves out would be counted past the end.
async fn settle_removal(db: &mut SqliteConnection, change: &Change) -> Result<(), sqlx::Error> {
    let (plan, entity) = (change.plan.as_ref().map(Id::as_str), change.entity.as_str());
    sqlx::query!(
        "update beside set settled_seq = ? where settled_seq is null and plan is ? and entity = ? and field = ''",
        change.seq,
        plan,
        entity
    )
    .execute(db)
    .await
    .map(drop)
}

/// A field as its column holds it: text columns are never null, nothing written is empty text.
fn cell(entry: &dyn AnyEntry, index: usize) -> Column {
    match entry.get(index).to_column() {
        Column::Null if is_text(&entry.kind().fields[index]) => Column::Text("".into()),
        column => column,
    }
}

type SqlQuery<'q> = Query<'q, Sqlite, SqliteArguments>;

fn bind<'q>(query: SqlQuery<'q>, column: &Column) -> SqlQuery<'q> {
    match column {
        Column::Null => query.bind(None::<String>),
        Column::Real(n) => query.bind(*n),
        Column::Integer(n) => query.bind(*n),
        Column::Text(text) => query.bind(text.to_string()),
    }
}

/// One call for the journal row and the statements behind it. Only `execute` runs them all.
async fn row(
    db: &mut SqliteConnection,
    sql: &'static str,
    change: &Change,
    columns: &[Column],
) -> Result<(), sqlx::Error> {
    let json = |value: &Json| (!value.is_null()).then(|| value.to_string());
    let mut query = sqlx::query(sql)
        .bind(change.seq)
        .bind(change.plan.as_ref().map(Id::as_str))
        .bind(&*change.op_id)
        .bind(change.batch.as_deref())
        .bind(&*change.client)
        .bind(&*change.actor)
        .bind(change.at_server_ms)
        .bind(change.at_client_ms)
        .bind(change.kind.word())
        .bind(change.entity.as_str())
        .bind(&*change.entity_type)
        .bind(change.field.as_deref())
        .bind(change.base)
        .bind(json(&change.value))
        .bind(json(&change.before))
        .bind(change.outcome.word())
        .bind(change.of_seq)
        .bind(&*change.body_hash);
    for column in columns {
        query = bind(query, column);
    }
    query.execute(db).await.map(drop)
}
