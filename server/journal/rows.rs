//! The rows a group writes: its own in the journal, and what they do to the tables.
//!
//! A call to the database costs more than the statements in it, so neighbours that run the same statements go in one call.
//! Parameters are never numbered: in a string of several statements the driver counts those a later one leaves out.

use super::{
    apply,
    change::{Change, OpKind, Outcome},
    group::Group,
    record::{AnyEntry, RecordKind, is_text, versions_json},
    value::Column,
};
use crate::plan::Scope as _;
use serde_json::Value as Json;
use sqlx::{Arguments as _, AssertSqlSafe, SqliteConnection, sqlite::SqliteArguments};
use std::{collections::HashMap, sync::Arc};

const ROW: &str = crate::insert_change!();
const BESIDE: &str = concat!(
    crate::insert_change!(),
    "; insert into beside (seq, plan, entity, field, value, actor, at_ms) values (?, ?, ?, ?, ?, ?, ?)"
);
const SETTLE: &str = "update beside set settled_seq = ? where seq = ?";

/// Most changes in one call, and how runs of them are cut, so that few different strings are kept ready.
const RUNS: [usize; 4] = [8, 4, 2, 1];

/// Writes rows, and remembers the statements it made.
#[derive(Default)]
pub(super) struct Rows {
    inserts: HashMap<&'static str, Arc<str>>,
    /// A string of statements several times over, by how many times (the place in [`RUNS`]).
    repeated: HashMap<Arc<str>, [Option<Arc<str>>; RUNS.len()]>,
}

/// Statements with their parameters.
struct Step {
    sql: Sql,
    values: Values,
}

/// SQL that was written down, or made from a record's declaration.
#[derive(Clone)]
enum Sql {
    Fixed(&'static str),
    Made(Arc<str>),
}

impl std::ops::Deref for Sql {
    type Target = str;
    fn deref(&self) -> &str {
        match self {
            Self::Fixed(sql) => sql,
            Self::Made(sql) => sql,
        }
    }
}

impl PartialEq for Sql {
    fn eq(&self, other: &Self) -> bool {
        **self == **other
    }
}

impl Rows {
    /// Stores all changes of a group. Its plans stand already after the whole of it: where a later change writes the same
    /// cell again, both write the same end.
    pub async fn store(
        &mut self,
        db: &mut SqliteConnection,
        group: &Group,
    ) -> Result<(), sqlx::Error> {
        let mut steps = Vec::with_capacity(group.changes.len());
        for change in &group.changes {
            self.steps(change, group, &mut steps);
        }
        let mut steps = steps.into_iter().peekable();
        while let Some(first) = steps.next() {
            let (sql, mut run) = (first.sql, vec![first.values]);
            while let Some(more) = steps.next_if(|s| s.sql == sql) {
                run.push(more.values);
            }
            self.execute(db, &sql, run).await?;
        }
        Ok(())
    }

    /// Runs the same statements once for each set of values.
    async fn execute(
        &mut self,
        db: &mut SqliteConnection,
        sql: &str,
        run: Vec<Values>,
    ) -> Result<(), sqlx::Error> {
        let mut run = run.into_iter();
        while run.len() > 0 {
            let place = RUNS
                .iter()
                .position(|n| *n <= run.len())
                .unwrap_or(RUNS.len() - 1);
            let mut arguments = SqliteArguments::default();
            for value in run.by_ref().take(RUNS[place]).flat_map(|values| values.0) {
                add(&mut arguments, value).map_err(sqlx::Error::Encode)?;
            }
            sqlx::query_with(AssertSqlSafe(self.several(sql, place)), arguments)
                .execute(&mut *db)
                .await?;
        }
        Ok(())
    }

    fn several(&mut self, sql: &str, place: usize) -> Arc<str> {
        if !self.repeated.contains_key(sql) {
            self.repeated.insert(sql.into(), Default::default());
        }
        let made = self.repeated.get_mut(sql).map(|made| &mut made[place]);
        let make = || Arc::from(vec![sql; RUNS[place]].join("; "));
        match made {
            Some(made) => made.get_or_insert_with(make).clone(),
            None => make(),
        }
    }

    /// What one change writes.
    fn steps(&mut self, change: &Change, group: &Group, steps: &mut Vec<Step>) {
        let mut values = Values::of(change);
        let mut step = |sql: &'static str, values: Values| {
            steps.push(Step {
                sql: Sql::Fixed(sql),
                values,
            });
        };
        if matches!(
            change.outcome,
            Outcome::KeptBeside | Outcome::KeptBesideRemoval
        ) {
            values.beside(change);
            return step(BESIDE, values);
        }
        let entry = match &change.plan {
            Some(id) => group
                .plans
                .get(id)
                .and_then(|p| p.find(change.entity.as_str())),
            None => group.studio.find(change.entity.as_str()),
        };
        let (Outcome::Applied, Some(entry)) = (change.outcome, entry) else {
            return step(ROW, values);
        };
        let kind = entry.kind();
        if change.kind == OpKind::Insert {
            values.entry(change, entry);
            let sql = Sql::Made(self.insert(kind).clone());
            return steps.push(Step { sql, values });
        }
        if let Some(removed) = apply::removes(change) {
            values.push(if removed { change.seq } else { 0 });
            values.push(&change.entity);
            // A removal kept beside is settled once it is decided whether the thing stands.
            values.push(change.seq);
            values.push(change.plan.as_ref());
            values.push(&change.entity);
            return step(kind.remove, values);
        }
        let index = change.field.as_deref().and_then(|f| kind.index(f));
        match index.filter(|_| !apply::only_settles(change)) {
            Some(index) => {
                values.cell(entry, index);
                values.push(versions_json(entry));
                values.push(&change.entity);
                step(kind.updates[index], values);
            }
            None => step(ROW, values),
        }
        for seq in apply::settled_by(change) {
            let mut values = Values(Vec::with_capacity(2));
            values.push(change.seq);
            values.push(seq);
            step(SETTLE, values);
        }
    }

    fn insert(&mut self, kind: &'static RecordKind) -> &Arc<str> {
        self.inserts.entry(kind.entity_type).or_insert_with(|| {
            let names: Vec<_> = kind.fields.iter().map(|f| f.name).collect();
            let marks = vec!["?"; names.len()].join(", ");
            format!("{ROW}; insert into {} (id, plan, created_seq, removed_seq, versions, {}) values (?, ?, ?, 0, ?, {marks})", kind.entity_type, names.join(", ")).into()
        })
    }
}

/// Values of a step's parameters, in order.
struct Values(Vec<Column>);

impl Values {
    /// Those of a journal row.
    fn of(change: &Change) -> Self {
        let json = |value: &Json| (!value.is_null()).then(|| value.to_string());
        let mut values = Self(Vec::with_capacity(24));
        values.push(change.seq);
        values.push(change.plan.as_ref());
        values.push(change.op_id.clone());
        values.push(change.batch.clone());
        values.push(change.client.clone());
        values.push(change.actor.clone());
        values.push(change.at_server_ms);
        values.push(change.at_client_ms);
        values.push(change.kind.word());
        values.push(&change.entity);
        values.push(change.entity_type.clone());
        values.push(change.field.clone());
        values.push(change.base);
        values.push(json(&change.value));
        values.push(json(&change.before));
        values.push(change.outcome.word());
        values.push(change.of_seq);
        values.push(change.body_hash.clone());
        values
    }

    fn push(&mut self, value: impl Into<Column>) {
        self.0.push(value.into());
    }

    /// Those of a value kept beside.
    fn beside(&mut self, change: &Change) {
        self.push(change.seq);
        self.push(change.plan.as_ref());
        self.push(&change.entity);
        self.push(change.field.clone().unwrap_or_default());
        self.push(change.value.to_string());
        self.push(change.actor.clone());
        self.push(change.at_server_ms);
    }

    /// Those of a new record.
    fn entry(&mut self, change: &Change, entry: &dyn AnyEntry) {
        self.push(&change.entity);
        self.push(change.plan.as_ref());
        self.push(change.seq);
        self.push(versions_json(entry));
        for index in 0..entry.kind().fields.len() {
            self.cell(entry, index);
        }
    }

    /// A field as its column holds it: text columns are never null, nothing written is empty text.
    fn cell(&mut self, entry: &dyn AnyEntry, index: usize) {
        let column = match entry.get(index).to_column() {
            Column::Null if is_text(&entry.kind().fields[index]) => Column::Text("".into()),
            column => column,
        };
        self.0.push(column);
    }
}

fn add(
    arguments: &mut SqliteArguments,
    column: Column,
) -> Result<(), Box<dyn std::error::Error + Send + Sync>> {
    match column {
        Column::Null => arguments.add(None::<String>),
        Column::Real(n) => arguments.add(n),
        Column::Integer(n) => arguments.add(n),
        Column::Text(text) => arguments.add(text),
    }
}
