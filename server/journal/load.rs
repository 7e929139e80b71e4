//! Rebuilds plans and the studio from their tables, and reads journal rows back.

use super::{
    change::{Change, OpKind, Outcome},
    field::Kind,
    record::{RecordKind, Row},
    value::{Column, Id},
};
use crate::plan::{Beside, LastChange, Plan, Scope, Studio};
use sqlx::{
    AssertSqlSafe, Row as _, SqliteConnection, TypeInfo as _, ValueRef as _, sqlite::SqliteRow,
};
use std::{
    collections::{HashMap, HashSet},
    sync::Arc,
};

/// Every column of a journal row, in the order in which [`read_change`] takes them.
macro_rules! change_row {
    () => {
        "select seq, plan, op_id, batch, client, actor, at_server_ms, at_client_ms, kind, entity_type, entity, field, base, value, before, outcome, of_seq, body_hash from change"
    };
}

/// Selects journal rows for [`read_change`]; conditions follow.
pub const CHANGE_ROW: &str = change_row!();

/// The studio as its tables say.
///
/// # Errors
/// The database's.
pub async fn studio(db: &mut SqliteConnection) -> Result<Studio, sqlx::Error> {
    let mut studio = Studio::empty();
    for kind in Studio::KINDS {
        read_list(db, &mut studio, kind, None).await?;
    }
    (studio.seq, studio.last) = last_change(db, None).await?;
    studio.besides = besides(db, None).await?;
    Ok(studio)
}

/// A plan as its tables say; none if there is no such production.
///
/// # Errors
/// The database's.
pub async fn plan(
    db: &mut SqliteConnection,
    id: &Id,
    epoch: Arc<str>,
    studio: Arc<Studio>,
) -> Result<Option<Plan>, sqlx::Error> {
    let mut plan = Plan::empty(id.clone(), epoch, studio);
    for kind in Plan::KINDS {
        read_list(db, &mut plan, kind, Some(id)).await?;
    }
    if plan.productions.with_removed().next().is_none() {
        return Ok(None);
    }
    (plan.seq, plan.last) = last_change(db, Some(id)).await?;
    plan.besides = besides(db, Some(id)).await?;
    Ok(Some(plan))
}

async fn read_list(
    db: &mut SqliteConnection,
    scope: &mut dyn Scope,
    kind: &'static RecordKind,
    plan: Option<&Id>,
) -> Result<(), sqlx::Error> {
    let sql = if plan.is_some() {
        format!("{} where plan = ?1 order by id", kind.select)
    } else {
        format!("{} order by id", kind.select)
    };
    let mut query = sqlx::query(AssertSqlSafe(sql));
    if let Some(id) = plan {
        query = query.bind(id.as_str().to_owned());
    }
    let rows = query.fetch_all(db).await?;
    let Some(list) = scope.list_mut(kind.entity_type) else {
        return Ok(());
    };
    for row in &rows {
        list.load(read_row(row, kind)?);
    }
    list.settle();
    Ok(())
}

fn read_row(row: &SqliteRow, kind: &RecordKind) -> Result<Row, sqlx::Error> {
    let id: String = row.try_get(0)?;
    let versions: String = row.try_get(3)?;
    let bad = |what: &str| sqlx::Error::Decode(format!("{}: {what}", kind.entity_type).into());
    Ok(Row {
        id: Id::parse(&id).ok_or_else(|| bad("an id that is none"))?,
        created_seq: row.try_get(1)?,
        removed_seq: row.try_get(2)?,
        versions: serde_json::from_str(&versions)
            .map_err(|_| bad("versions that are no JSON object"))?,
        cells: (4..4 + kind.fields.len())
            .map(|i| cell(row, i))
            .collect::<Result<_, _>>()?,
    })
}

fn cell(row: &SqliteRow, index: usize) -> Result<Column, sqlx::Error> {
    let raw = row.try_get_raw(index)?;
    if raw.is_null() {
        return Ok(Column::Null);
    }
    Ok(match raw.type_info().name() {
        "REAL" => Column::Real(row.try_get(index)?),
        "INTEGER" => Column::Integer(row.try_get(index)?),
        _ => Column::Text(row.try_get::<String, _>(index)?.into()),
    })
}

async fn last_change(
    db: &mut SqliteConnection,
    plan: Option<&Id>,
) -> Result<(i64, LastChange), sqlx::Error> {
    let plan = plan.map(Id::as_str);
    let row = sqlx::query!("select seq as \"seq!\", actor, at_server_ms from change where plan is ? order by seq desc limit 1", plan)
        .fetch_optional(db)
        .await?;
    Ok(row.map_or((0, LastChange::default()), |r| {
        (
            r.seq,
            LastChange {
                actor: r.actor.into(),
                at_ms: r.at_server_ms,
            },
        )
    }))
}

async fn besides(
    db: &mut SqliteConnection,
    plan: Option<&Id>,
) -> Result<Arc<Vec<Arc<Beside>>>, sqlx::Error> {
    let plan = plan.map(Id::as_str);
    let rows = sqlx::query!(
        "select seq as \"seq!\", entity, field, value, actor, at_ms from beside where plan is ? and settled_seq is null order by seq",
        plan
    )
    .fetch_all(db)
    .await?;
    let open = rows.into_iter().filter_map(|r| {
        let value = serde_json::from_str(&r.value).unwrap_or_default();
        Some(Arc::new(Beside {
            seq: r.seq,
            entity: Id::parse(&r.entity)?,
            field: r.field.into(),
            value,
            actor: r.actor.into(),
            at_ms: r.at_ms,
        }))
    });
    Ok(Arc::new(open.collect()))
}

/// The newest number of the journal.
///
/// # Errors
/// The database's.
pub async fn newest(db: &mut SqliteConnection) -> Result<i64, sqlx::Error> {
    let newest = sqlx::query_scalar!("select max(seq) from change")
        .fetch_one(db)
        .await?;
    Ok(newest.unwrap_or(0))
}

/// Every op id ever stored, each as its hash only: a long journal has many.
///
/// # Errors
/// The database's.
pub async fn op_ids(
    db: &mut SqliteConnection,
    hash: fn(&str) -> u64,
) -> Result<HashSet<u64>, sqlx::Error> {
    let mut rows = sqlx::query("select op_id from change").fetch(db);
    let mut ids = HashSet::new();
    while let Some(row) = std::future::poll_fn(|cx| rows.as_mut().poll_next(cx)).await {
        ids.insert(hash(row?.try_get::<&str, _>(0)?));
    }
    Ok(ids)
}

/// Which of these ids belong to things of other plans.
///
/// # Errors
/// The database's.
pub async fn ids_of_other_plans(
    db: &mut SqliteConnection,
    ids: &[&Id],
    plan: &Id,
) -> Result<HashSet<Id>, sqlx::Error> {
    let ids: serde_json::Value = ids.iter().map(|id| id.as_str()).collect();
    let ids = ids.to_string();
    let plan = plan.as_str();
    let found = sqlx::query_scalar!(
        "select distinct entity from change where entity in (select value from json_each(?)) and plan is not ? and plan is not null",
        ids,
        plan
    )
    .fetch_all(db)
    .await?;
    Ok(found.iter().filter_map(|id| Id::parse(id)).collect())
}

/// Who in other plans refers to what the studio shares: by the shared thing, what they are called there.
///
/// # Errors
/// The database's.
pub async fn referrers_in_other_plans(
    db: &mut SqliteConnection,
    plan: &Id,
) -> Result<HashMap<Id, Vec<String>>, sqlx::Error> {
    let shared = |to: &str| Studio::KINDS.iter().any(|k| k.entity_type == to);
    let mut found: HashMap<Id, Vec<String>> = HashMap::new();
    for kind in Plan::KINDS {
        let named = ["code", "name"]
            .into_iter()
            .find(|f| kind.index(f).is_some());
        let called = named.map_or_else(|| format!("'{}'", kind.word), |f| format!("r.{f}"));
        for field in kind.fields {
            if !matches!(field.blank.kind, Kind::Reference(to) if shared(to)) {
                continue;
            }
            let (table, field) = (kind.entity_type, field.name);
            let sql = format!(
                "select r.{field}, {called} || ' in ' || p.title from {table} r join plan p on p.id = r.plan
                 where r.{field} is not null and r.removed_seq = 0 and r.plan is not ?"
            );
            let rows = sqlx::query(AssertSqlSafe(sql))
                .bind(plan.as_str())
                .fetch_all(&mut *db)
                .await?;
            for row in rows {
                if let Some(id) = Id::parse(row.try_get(0)?) {
                    found.entry(id).or_default().push(row.try_get(1)?);
                }
            }
        }
    }
    Ok(found)
}

/// A journal row by its number.
///
/// # Errors
/// The database's.
pub async fn change(db: &mut SqliteConnection, seq: i64) -> Result<Option<Change>, sqlx::Error> {
    let row = sqlx::query(concat!(change_row!(), " where seq = ?"))
        .bind(seq)
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read_change).transpose()
}

/// A journal row by its maker's id.
///
/// # Errors
/// The database's.
pub async fn change_by_op(
    db: &mut SqliteConnection,
    op_id: &str,
) -> Result<Option<Change>, sqlx::Error> {
    let row = sqlx::query(concat!(change_row!(), " where op_id = ?"))
        .bind(op_id)
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read_change).transpose()
}

/// The rows of a batch, in order.
///
/// # Errors
/// The database's.
pub async fn batch(db: &mut SqliteConnection, batch: &str) -> Result<Vec<Change>, sqlx::Error> {
    let rows = sqlx::query(concat!(change_row!(), " where batch = ? order by seq"))
        .bind(batch)
        .fetch_all(db)
        .await?;
    rows.iter().map(read_change).collect()
}

/// Journal rows after a number, at most so many, in order.
///
/// # Errors
/// The database's.
pub async fn changes_after(
    db: &mut SqliteConnection,
    seq: i64,
    most: i64,
) -> Result<Vec<Change>, sqlx::Error> {
    let rows = sqlx::query(concat!(
        change_row!(),
        " where seq > ? order by seq limit ?"
    ))
    .bind(seq)
    .bind(most)
    .fetch_all(db)
    .await?;
    rows.iter().map(read_change).collect()
}

/// Journal rows of a plan and of what the studio shares, up to a number, in order.
///
/// # Errors
/// The database's.
pub async fn changes_of_plan(
    db: &mut SqliteConnection,
    plan: &Id,
    to: i64,
) -> Result<Vec<Change>, sqlx::Error> {
    let rows = sqlx::query(concat!(
        change_row!(),
        " where (plan = ? or plan is null) and seq <= ? order by seq"
    ))
    .bind(plan.as_str().to_owned())
    .bind(to)
    .fetch_all(db)
    .await?;
    rows.iter().map(read_change).collect()
}

/// A journal row as it was read by [`CHANGE_ROW`].
///
/// # Errors
/// A row that this program would not have written.
pub fn read_change(row: &SqliteRow) -> Result<Change, sqlx::Error> {
    let text = |i: usize| row.try_get::<Option<String>, _>(i);
    let json = |i: usize| {
        Ok::<_, sqlx::Error>(
            text(i)?
                .and_then(|t| serde_json::from_str(&t).ok())
                .unwrap_or_default(),
        )
    };
    let needed = |i: usize| Ok::<_, sqlx::Error>(text(i)?.unwrap_or_default());
    let bad =
        |what: &str| sqlx::Error::Decode(format!("a journal row with an unknown {what}").into());
    Ok(Change {
        seq: row.try_get(0)?,
        plan: text(1)?.as_deref().and_then(Id::parse),
        op_id: needed(2)?.into(),
        batch: text(3)?.map(Into::into),
        client: needed(4)?.into(),
        actor: needed(5)?.into(),
        at_server_ms: row.try_get(6)?,
        at_client_ms: row.try_get(7)?,
        kind: OpKind::from_word(&needed(8)?).ok_or_else(|| bad("kind"))?,
        entity_type: needed(9)?.into(),
        entity: Id::parse(&needed(10)?).ok_or_else(|| bad("entity"))?,
        field: text(11)?.map(Into::into),
        base: row.try_get(12)?,
        value: json(13)?,
        before: json(14)?,
        outcome: Outcome::from_word(&needed(15)?).ok_or_else(|| bad("outcome"))?,
        of_seq: row.try_get(16)?,
        body_hash: needed(17)?.into(),
    })
}
