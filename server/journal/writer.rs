//! The one writer: takes asks, decides them on the plan as it will be, stores a whole group in one commit, and only then
//! answers. Waiting asks share the commit, so that a slow disk costs one flush for many hands.

use super::{
    apply,
    change::{Change, Op, OpKind, Outcome},
    decide::{Draft, Refused, decide},
    load,
    value::{Column, Id},
};
use crate::{
    plan::{Plan, Studio},
    store::{Shared, StoreError},
};
use serde_json::Value as Json;
use sqlx::{AssertSqlSafe, Connection as _, SqliteConnection};
use std::{
    collections::{HashMap, HashSet},
    hash::{DefaultHasher, Hash as _, Hasher as _},
    sync::Arc,
    time::{Duration, Instant},
};
use tokio::sync::{mpsc, oneshot};

/// Writes asked for by one hand at once.
#[derive(Debug)]
pub struct Ask {
    /// The plan they belong to (what the studio shares is written through any plan).
    pub plan: Id,
    /// What is asked.
    pub ops: Vec<Op>,
    /// All or none.
    pub atomic: bool,
    /// Name under which they are undone together.
    pub batch: Option<Arc<str>>,
    /// Person id, or the program's own word.
    pub actor: Arc<str>,
    /// Browser or program.
    pub client: Arc<str>,
}

/// What came of one op.
#[derive(Clone, Debug)]
pub struct Reply {
    /// The maker's id for it.
    pub op_id: Arc<str>,
    /// Its journal number and outcome, or why it was refused.
    pub result: Result<(i64, Outcome), Refused>,
}

/// Work that is not journalled but goes through the same writer: sessions, links, picture bytes.
pub type Aside =
    Box<dyn for<'c> FnOnce(&'c mut SqliteConnection) -> futures_box::BoxFuture<'c> + Send>;

/// The future an [`Aside`] returns.
pub mod futures_box {
    /// Boxed, sent between threads, ends with the database's word.
    pub type BoxFuture<'c> =
        std::pin::Pin<Box<dyn Future<Output = Result<(), sqlx::Error>> + Send + 'c>>;
}

/// What waits for the writer.
pub enum Waiting {
    /// Journalled writes.
    Write(Ask, oneshot::Sender<Result<Vec<Reply>, StoreError>>),
    /// Anything else.
    Aside(Aside, oneshot::Sender<Result<(), StoreError>>),
}

/// The writer's own state.
pub struct Writer {
    db: SqliteConnection,
    shared: Arc<Shared>,
    newest: i64,
    /// Hashes of all op ids ever stored: an id that is not here is new for certain.
    known_ops: HashSet<u64>,
    inserts: HashMap<&'static str, Arc<str>>,
    /// Who wrote in the last two commits: they are likely to write again at once.
    recent_hands: [HashSet<Arc<str>>; 2],
    last_commit: Duration,
}

/// A group's plans as they will be once it is committed.
struct Next {
    studio: Arc<Studio>,
    plans: HashMap<Id, Plan>,
    newest: i64,
    changes: Vec<Arc<Change>>,
}

const MOST_IN_A_GROUP: usize = 256;
const LONGEST_GATHERING: Duration = Duration::from_millis(1);

impl Writer {
    /// Takes over the connection.
    ///
    /// # Errors
    /// The database's.
    pub async fn new(mut db: SqliteConnection, shared: Arc<Shared>) -> Result<Self, sqlx::Error> {
        let newest = sqlx::query_scalar!("select max(seq) from change")
            .fetch_one(&mut db)
            .await?
            .unwrap_or(0);
        let ops = sqlx::query_scalar!("select op_id from change")
            .fetch_all(&mut db)
            .await?;
        let known_ops = ops.iter().map(|op| hash(op)).collect();
        Ok(Self {
            db,
            shared,
            newest,
            known_ops,
            inserts: HashMap::new(),
            recent_hands: Default::default(),
            last_commit: Duration::ZERO,
        })
    }

    /// Works until nobody can ask any more.
    pub async fn run(mut self, mut asks: mpsc::Receiver<Waiting>) {
        let mut waiting = Vec::new();
        while asks.recv_many(&mut waiting, MOST_IN_A_GROUP).await > 0 {
            self.gather(&mut waiting, &mut asks).await;
            self.serve(std::mem::take(&mut waiting)).await;
        }
        let _ = self.db.close().await;
    }

    /// Waits a moment for the hands that wrote lately, so that half of them do not always miss the commit.
    async fn gather(&self, waiting: &mut Vec<Waiting>, asks: &mut mpsc::Receiver<Waiting>) {
        let hands = |waiting: &[Waiting]| -> HashSet<Arc<str>> {
            waiting
                .iter()
                .filter_map(|w| {
                    if let Waiting::Write(ask, _) = w {
                        Some(ask.client.clone())
                    } else {
                        None
                    }
                })
                .collect()
        };
        let expected: HashSet<_> = self.recent_hands[0]
            .union(&self.recent_hands[1])
            .cloned()
            .collect();
        let patience = (self.last_commit / 4).min(LONGEST_GATHERING);
        let start = Instant::now();
        while waiting.len() < MOST_IN_A_GROUP
            && !expected.is_subset(&hands(waiting))
            && start.elapsed() < patience
        {
            match asks.try_recv() {
                Ok(more) => waiting.push(more),
                Err(_) => tokio::task::yield_now().await,
            }
        }
    }

    async fn serve(&mut self, waiting: Vec<Waiting>) {
        let mut writes = Vec::new();
        let mut asides = Vec::new();
        for one in waiting {
            match one {
                Waiting::Write(ask, answer) => writes.push((ask, answer)),
                Waiting::Aside(work, answer) => asides.push((work, answer)),
            }
        }
        for (work, answer) in asides {
            let done = self.aside(work).await.map_err(StoreError::from);
            let _ = answer.send(done);
        }
        if writes.is_empty() {
            return;
        }
        let start = Instant::now();
        let hands = writes.iter().map(|(ask, _)| ask.client.clone()).collect();
        self.recent_hands.swap(0, 1);
        self.recent_hands[0] = hands;
        let asks: Vec<&Ask> = writes.iter().map(|(ask, _)| ask).collect();
        match self.group(&asks).await {
            Ok(replies) => {
                self.last_commit = start.elapsed();
                for ((_, answer), reply) in writes.into_iter().zip(replies) {
                    let _ = answer.send(Ok(reply));
                }
            }
            // One bad ask must not cost the others theirs: each alone.
            Err(_) if writes.len() > 1 => {
                for (ask, answer) in writes {
                    let alone = self
                        .group(&[&ask])
                        .await
                        .map(|mut replies| replies.remove(0))
                        .map_err(StoreError::from);
                    let _ = answer.send(alone);
                }
            }
            Err(error) => {
                for (_, answer) in writes {
                    let _ = answer.send(Err(StoreError::Database(error.to_string())));
                }
            }
        }
    }

    async fn aside(&mut self, work: Aside) -> Result<(), sqlx::Error> {
        sqlx::query("begin immediate").execute(&mut self.db).await?;
        let done = work(&mut self.db).await;
        let end = if done.is_ok() { "commit" } else { "rollback" };
        sqlx::query(end).execute(&mut self.db).await?;
        done
    }

    /// Decides and stores a group in one transaction, then publishes it.
    async fn group(&mut self, asks: &[&Ask]) -> Result<Vec<Vec<Reply>>, sqlx::Error> {
        sqlx::query("begin immediate").execute(&mut self.db).await?;
        let mut next = Next {
            studio: self.shared.studio.load_full(),
            plans: HashMap::new(),
            newest: self.newest,
            changes: Vec::new(),
        };
        let done = self.store_group(asks, &mut next).await;
        match done {
            Ok(replies) => {
                if let Err(error) = sqlx::query("commit").execute(&mut self.db).await {
                    let _ = sqlx::query("rollback").execute(&mut self.db).await;
                    return Err(error);
                }
                self.publish(next);
                Ok(replies)
            }
            Err(error) => {
                sqlx::query("rollback").execute(&mut self.db).await?;
                Err(error)
            }
        }
    }

    async fn store_group(
        &mut self,
        asks: &[&Ask],
        next: &mut Next,
    ) -> Result<Vec<Vec<Reply>>, sqlx::Error> {
        let mut all = Vec::with_capacity(asks.len());
        for ask in asks {
            all.push(self.store_ask(ask, next).await?);
        }
        Ok(all)
    }

    async fn store_ask(&mut self, ask: &Ask, next: &mut Next) -> Result<Vec<Reply>, sqlx::Error> {
        let mut plan = match next.plans.remove(&ask.plan) {
            Some(plan) => plan,
            None => Plan::clone(&*self.shared.plan_or_empty(&mut self.db, &ask.plan).await?),
        };
        plan.studio = next.studio.clone();
        let before = (plan.clone(), next.newest, next.changes.len());
        let mut replies: Vec<Reply> = Vec::with_capacity(ask.ops.len());
        for op in &ask.ops {
            let result = self.take(ask, op, &mut plan, next).await?;
            replies.push(Reply {
                op_id: op.op_id.clone(),
                result,
            });
        }
        if ask.atomic && replies.iter().any(|r| r.result.is_err()) {
            (plan, next.newest) = (before.0, before.1);
            next.changes.truncate(before.2);
            let good = |r: &mut Reply| {
                if r.result.is_ok() {
                    r.result = Err(Refused::Invalid(Vec::new()));
                }
            };
            replies.iter_mut().for_each(good);
        }
        let changes: Vec<_> = next.changes[before.2..].to_vec();
        next.studio = plan.studio.clone();
        for change in changes {
            self.execute(&change, &plan).await?;
        }
        next.plans.insert(ask.plan.clone(), plan);
        Ok(replies)
    }

    /// Decides one op and advances the plan by it.
    async fn take(
        &mut self,
        ask: &Ask,
        op: &Op,
        plan: &mut Plan,
        next: &mut Next,
    ) -> Result<Result<(i64, Outcome), Refused>, sqlx::Error> {
        let body_hash = op.body_hash();
        if let Some((seq, outcome, hash)) = self.seen(&op.op_id, next).await? {
            return Ok(if hash == body_hash {
                Ok((seq, outcome))
            } else {
                Err(Refused::SameKeyOtherContent)
            });
        }
        let mut op = op.clone();
        if let Some(after) = op.after.clone()
            && let Some((seq, ..)) = self.seen(&after, next).await?
        {
            op.base = Some(seq);
        }
        let undone = self.undone(&op, ask, next).await?;
        if op.kind == OpKind::Undo && op.whole_batch && undone.len() > 1 {
            return self.take_back_batch(ask, &op, &undone, plan, next, &body_hash);
        }
        let earlier = |seq: i64| undone.iter().find(|c| c.seq == seq).cloned();
        Ok(decide(plan, next.newest, &op, &ask.actor, &earlier)
            .map(|drafts| keep(ask, &op, drafts, ask.batch.clone(), plan, next, &body_hash)))
    }

    /// The change an undo speaks of, with its batch if the whole batch is meant.
    async fn undone(
        &mut self,
        op: &Op,
        ask: &Ask,
        next: &Next,
    ) -> Result<Vec<Arc<Change>>, sqlx::Error> {
        let (OpKind::Undo, Some(of_seq)) = (op.kind, op.of_seq) else {
            return Ok(Vec::new());
        };
        let mut found: Vec<Arc<Change>> = next
            .changes
            .iter()
            .filter(|c| c.seq == of_seq)
            .cloned()
            .collect();
        if found.is_empty() {
            found = load::changes(&mut self.db, "?1 is not null and seq = ?2", "", of_seq)
                .await?
                .into_iter()
                .map(Arc::new)
                .collect();
        }
        let batch = found
            .first()
            .filter(|c| op.whole_batch && c.actor == ask.actor)
            .and_then(|c| c.batch.clone());
        if let Some(batch) = batch {
            found = load::changes(&mut self.db, "batch = ?1 and ?2 is not null", &batch, 0)
                .await?
                .into_iter()
                .map(Arc::new)
                .collect();
        }
        Ok(found)
    }

    /// Takes a batch back in reverse: all of it, or none if a part cannot be.
    #[expect(
        clippy::too_many_arguments,
        clippy::unused_self,
        reason = "the pieces of one decision; a struct would only rename them"
    )]
    fn take_back_batch(
        &self,
        ask: &Ask,
        op: &Op,
        undone: &[Arc<Change>],
        plan: &mut Plan,
        next: &mut Next,
        body_hash: &Arc<str>,
    ) -> Result<Result<(i64, Outcome), Refused>, sqlx::Error> {
        let (saved, newest, length) = (plan.clone(), next.newest, next.changes.len());
        let batch: Arc<str> = op.op_id.clone();
        let mut last = None;
        let parts: Vec<_> = undone
            .iter()
            .rev()
            .filter(|c| c.outcome != Outcome::SameValue && c.kind != OpKind::Append)
            .collect();
        for (place, change) in parts.iter().enumerate() {
            let is_last = place + 1 == parts.len();
            let op_id = if is_last {
                op.op_id.clone()
            } else {
                format!("{}/{}", op.op_id, place + 1).into()
            };
            let part = Op {
                op_id,
                of_seq: Some(change.seq),
                whole_batch: false,
                ..op.clone()
            };
            let earlier = |seq: i64| undone.iter().find(|c| c.seq == seq).cloned();
            match decide(plan, next.newest, &part, &ask.actor, &earlier) {
                Ok(drafts) => {
                    last = Some(keep(
                        ask,
                        &part,
                        drafts,
                        Some(batch.clone()),
                        plan,
                        next,
                        body_hash,
                    ))
                }
                Err(refused) => {
                    (*plan, next.newest) = (saved, newest);
                    next.changes.truncate(length);
                    return Ok(Err(refused));
                }
            }
        }
        let nothing = || {
            Refused::Invalid(vec![super::field::Refusal {
                field: "of_seq".into(),
                kind: "out_of_range",
                problem: "That change altered nothing.".into(),
            }])
        };
        Ok(last.ok_or_else(nothing))
    }

    /// Whether an op id is known: its number, outcome and body.
    async fn seen(
        &mut self,
        op_id: &str,
        next: &Next,
    ) -> Result<Option<(i64, Outcome, Arc<str>)>, sqlx::Error> {
        if let Some(c) = next.changes.iter().find(|c| *c.op_id == *op_id) {
            return Ok(Some((c.seq, c.outcome, c.body_hash.clone())));
        }
        if !self.known_ops.contains(&hash(op_id)) {
            return Ok(None);
        }
        let found = load::changes(&mut self.db, "op_id = ?1 and ?2 is not null", op_id, 0).await?;
        Ok(found
            .into_iter()
            .next()
            .map(|c| (c.seq, c.outcome, c.body_hash)))
    }

    /// Stores a change: its journal row and what it does to the tables.
    async fn execute(&mut self, change: &Change, plan: &Plan) -> Result<(), sqlx::Error> {
        let kept = matches!(
            change.outcome,
            Outcome::KeptBeside | Outcome::KeptBesideRemoval
        );
        if kept {
            const BESIDE: &str = concat!(
                crate::insert_change!(),
                "; insert into beside (seq, plan, entity, field, value, actor, at_ms) values (?1, ?2, ?10, coalesce(?12, ''), coalesce(?14, 'null'), ?6, ?7)"
            );
            return self.row(BESIDE, change, Column::Null, Column::Null).await;
        }
        let entry = plan.anything(change.entity.as_str());
        let (Outcome::Applied, Some(entry)) = (change.outcome, entry) else {
            return self
                .row(crate::insert_change!(), change, Column::Null, Column::Null)
                .await;
        };
        if change.kind == OpKind::Insert {
            return self.insert(change, plan).await;
        }
        if let Some(removed) = apply::removes(change) {
            return self
                .row(
                    entry.kind().remove,
                    change,
                    Column::Integer(if removed { change.seq } else { 0 }),
                    Column::Null,
                )
                .await;
        }
        let Some(index) = change.field.as_deref().and_then(|f| entry.kind().index(f)) else {
            return self
                .row(crate::insert_change!(), change, Column::Null, Column::Null)
                .await;
        };
        let versions = Column::Text(super::record::versions_json(entry).into());
        // The plan already stands after the whole ask: a later op of it writes the same cell again, with the same end.
        let value = match entry.get(index).to_column() {
            // Text columns are never null: nothing written is empty text.
            Column::Null if super::record::is_text(&entry.kind().fields[index]) => {
                Column::Text("".into())
            }
            column => column,
        };
        self.row(entry.kind().updates[index], change, versions, value)
            .await?;
        if change.kind == OpKind::Resolve {
            for seq in apply::settled_by(change) {
                sqlx::query!(
                    "update beside set settled_seq = ? where seq = ?",
                    change.seq,
                    seq
                )
                .execute(&mut self.db)
                .await?;
            }
        }
        Ok(())
    }

    async fn insert(&mut self, change: &Change, plan: &Plan) -> Result<(), sqlx::Error> {
        self.row(crate::insert_change!(), change, Column::Null, Column::Null)
            .await?;
        let Some(entry) = plan.anything(change.entity.as_str()) else {
            return Ok(());
        };
        let kind = entry.kind();
        let sql = self.inserts.entry(kind.entity_type).or_insert_with(|| {
            let names: Vec<_> = kind.fields.iter().map(|f| f.name).collect();
            let marks = vec!["?"; names.len()].join(", ");
            format!("insert into {} (id, plan, created_seq, removed_seq, versions, {}) values (?, ?, ?, 0, ?, {marks})", kind.entity_type, names.join(", ")).into()
        });
        let mut query = sqlx::query(AssertSqlSafe(sql.to_string()))
            .bind(change.entity.as_str().to_owned())
            .bind(change.plan.as_ref().map(|id| id.as_str().to_owned()))
            .bind(change.seq)
            .bind(super::record::versions_json(entry));
        for (index, field) in kind.fields.iter().enumerate() {
            query = match entry.get(index).to_column() {
                Column::Null if super::record::is_text(field) => query.bind(String::new()),
                Column::Null => query.bind(None::<String>),
                Column::Real(n) => query.bind(n),
                Column::Integer(n) => query.bind(n),
                Column::Text(text) => query.bind(text.to_string()),
            };
        }
        query.execute(&mut self.db).await.map(drop)
    }

    /// One call for the journal row and the statement behind it.
    async fn row(
        &mut self,
        sql: &'static str,
        change: &Change,
        first: Column,
        second: Column,
    ) -> Result<(), sqlx::Error> {
        let json = |value: &Json| {
            if value.is_null() {
                None
            } else {
                Some(value.to_string())
            }
        };
        let mut query = sqlx::query(sql)
            .bind(change.seq)
            .bind(change.plan.as_ref().map(|id| id.as_str().to_owned()))
            .bind(change.op_id.to_string())
            .bind(change.batch.as_ref().map(ToString::to_string))
            .bind(change.client.to_string())
            .bind(change.actor.to_string())
            .bind(change.at_server_ms)
            .bind(change.at_client_ms)
            .bind(change.kind.word())
            .bind(change.entity.as_str().to_owned())
            .bind(change.entity_type.to_string())
            .bind(change.field.as_ref().map(ToString::to_string))
            .bind(change.base)
            .bind(json(&change.value))
            .bind(json(&change.before))
            .bind(change.outcome.word())
            .bind(change.of_seq)
            .bind(change.body_hash.to_string());
        if sql.len() > crate::insert_change!().len() {
            for column in [first, second] {
                query = match column {
                    Column::Null => query.bind(None::<String>),
                    Column::Real(n) => query.bind(n),
                    Column::Integer(n) => query.bind(n),
                    Column::Text(text) => query.bind(text.to_string()),
                };
            }
        }
        query.execute(&mut self.db).await.map(drop)
    }

    fn publish(&mut self, next: Next) {
        self.newest = next.newest;
        self.known_ops
            .extend(next.changes.iter().map(|c| hash(&c.op_id)));
        self.shared
            .publish(next.studio, next.plans, next.changes, next.newest);
    }
}

fn hash(op_id: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    op_id.hash(&mut hasher);
    hasher.finish()
}

/// Numbers the drafts and advances the plan by them; the last one answers for the op.
fn keep(
    ask: &Ask,
    op: &Op,
    drafts: Vec<Draft>,
    batch: Option<Arc<str>>,
    plan: &mut Plan,
    next: &mut Next,
    body_hash: &Arc<str>,
) -> (i64, Outcome) {
    let count = drafts.len();
    let batch = batch.or_else(|| (count > 1).then(|| op.op_id.clone()));
    let mut answer = (next.newest, Outcome::SameValue);
    for (place, draft) in drafts.into_iter().enumerate() {
        next.newest += 1;
        let own = place + 1 == count;
        let change = Change {
            seq: next.newest,
            plan: (!draft.shared).then(|| plan.id.clone()),
            op_id: if own {
                op.op_id.clone()
            } else {
                format!("{}/with/{}", op.op_id, place + 1).into()
            },
            batch: batch.clone(),
            client: ask.client.clone(),
            actor: ask.actor.clone(),
            at_server_ms: now_ms(),
            at_client_ms: op.at_client_ms,
            kind: draft.kind,
            entity_type: draft.entity_type.into(),
            entity: draft.entity,
            field: draft.field.map(Into::into),
            base: op.base,
            value: draft.value,
            before: draft.before,
            outcome: draft.outcome,
            of_seq: draft.of_seq,
            body_hash: body_hash.clone(),
        };
        answer = (change.seq, change.outcome);
        if draft.shared {
            apply::to_studio(Arc::make_mut(&mut plan.studio), &change);
        } else {
            apply::to_plan(plan, &change);
        }
        next.changes.push(Arc::new(change));
    }
    answer
}

/// Milliseconds since 1970, UTC.
pub fn now_ms() -> i64 {
    jiff::Timestamp::now().as_millisecond()
}
