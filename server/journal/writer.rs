//! The one writer: takes asks, decides them on the plan as it will be, stores a whole group in one commit, and only then
//! answers. Waiting asks share the commit, so that a slow disk costs one flush for many hands.

pub use super::ask::{Answer, Aside, Ask, Reply, Waiting, futures_box};
use super::{
    group::{Group, Known},
    load,
    rows::Rows,
};
use crate::{
    plan::Plan,
    store::{Shared, StoreError},
};
use sqlx::{Connection as _, SqliteConnection};
use std::{
    collections::HashSet,
    hash::{DefaultHasher, Hash as _, Hasher as _},
    panic::{AssertUnwindSafe, catch_unwind},
    sync::Arc,
    time::{Duration, Instant},
};
use tokio::sync::{mpsc, oneshot};

/// The writer's own state.
pub struct Writer {
    db: SqliteConnection,
    shared: Arc<Shared>,
    newest: i64,
    /// Hashes of all op ids ever stored: an id that is not here is new for certain.
    known_ops: HashSet<u64>,
    rows: Rows,
    one_commit: bool,
    last: LastGroup,
}

/// The newest commit: how many asks it answered, how many came too late for it, when it ended and how long it took.
struct LastGroup {
    answered: usize,
    missed: usize,
    at: Instant,
    took: Duration,
}

/// Why a group could not be stored.
enum Failed {
    Database(sqlx::Error),
    /// Our own fault while deciding.
    Panicked,
}

impl From<sqlx::Error> for Failed {
    fn from(error: sqlx::Error) -> Self {
        Self::Database(error)
    }
}

impl From<Failed> for StoreError {
    fn from(failed: Failed) -> Self {
        match failed {
            Failed::Database(error) => error.into(),
            Failed::Panicked => Self::Fault,
        }
    }
}

type Write = (Ask, Answer<Vec<Reply>>);

const MOST_IN_A_GROUP: usize = 256;
const LONGEST_GATHERING: Duration = Duration::from_micros(2500);
/// Hands that were answered longer ago than this are not waited for.
const STILL_WRITING: Duration = Duration::from_millis(5);

impl Writer {
    /// Takes over the connection. `one_commit` gives every ask a commit of its own, to measure what sharing brings.
    ///
    /// # Errors
    /// The database's.
    pub async fn new(
        mut db: SqliteConnection,
        shared: Arc<Shared>,
        one_commit: bool,
    ) -> Result<Self, sqlx::Error> {
        let newest = load::newest(&mut db).await?;
        let known_ops = load::op_ids(&mut db, hash).await?;
        Ok(Self {
            db,
            shared,
            newest,
            known_ops,
            rows: Rows::default(),
            one_commit,
            last: LastGroup {
                answered: 0,
                missed: 0,
                at: Instant::now(),
                took: Duration::ZERO,
            },
        })
    }

    /// Works until it is stopped, or nobody can ask any more.
    pub async fn run(mut self, mut asks: mpsc::Receiver<Waiting>) {
        let mut waiting = Vec::new();
        let mut stops = Vec::new();
        while asks.recv_many(&mut waiting, MOST_IN_A_GROUP).await > 0 {
            if !self.one_commit && stops.is_empty() {
                self.gather(&mut waiting, &mut asks).await;
            }
            self.serve(std::mem::take(&mut waiting), &mut stops).await;
            (self.last.at, self.last.missed) = (Instant::now(), asks.len());
            if !stops.is_empty() {
                // What was asked before is still served; then the queue runs dry.
                asks.close();
            }
        }
        if let Err(error) = self.db.close().await {
            tracing::warn!(%error, "the plan book did not close cleanly");
        }
        for stopped in stops {
            let _: Result<(), ()> = stopped.send(());
        }
    }

    /// Waits a moment for the hands that were answered just now: they are likely to write again at once, and without
    /// waiting half of them would miss every commit.
    async fn gather(&self, waiting: &mut Vec<Waiting>, asks: &mut mpsc::Receiver<Waiting>) {
        let start = Instant::now();
        if start.duration_since(self.last.at) > STILL_WRITING {
            return;
        }
        let expected = (self.last.answered + self.last.missed).min(MOST_IN_A_GROUP);
        let patience = (self.last.took / 2).min(LONGEST_GATHERING);
        while waiting.len() < expected && start.elapsed() < patience {
            match asks.try_recv() {
                Ok(more) => waiting.push(more),
                Err(_) => tokio::task::yield_now().await,
            }
        }
    }

    async fn serve(&mut self, waiting: Vec<Waiting>, stops: &mut Vec<oneshot::Sender<()>>) {
        let mut writes: Vec<Write> = Vec::with_capacity(waiting.len());
        for one in waiting {
            match one {
                Waiting::Write(ask, answer) => writes.push((ask, answer)),
                Waiting::Aside(work, answer) => {
                    let done = self.aside(work).await.map_err(StoreError::from);
                    let _ = answer.send(done);
                }
                Waiting::Load(id, answer) => {
                    let loaded = self.shared.load(&mut self.db, &id).await;
                    let _ = answer.send(loaded.map_err(StoreError::from));
                }
                Waiting::Stop(stopped) => stops.push(stopped),
            }
        }
        if self.one_commit {
            for write in writes {
                self.write(vec![write]).await;
            }
        } else if !writes.is_empty() {
            self.write(writes).await;
        }
    }

    /// Stores a group of asks and answers them.
    async fn write(&mut self, writes: Vec<Write>) {
        let start = Instant::now();
        let asks: Vec<&Ask> = writes.iter().map(|(ask, _)| ask).collect();
        match self.group(&asks).await {
            Ok(replies) => {
                self.last.answered = writes.len();
                self.last.took = start.elapsed();
                for ((_, answer), reply) in writes.into_iter().zip(replies) {
                    let _ = answer.send(Ok(reply));
                }
            }
            // One bad ask must not cost the others theirs: each alone.
            Err(_) if writes.len() > 1 => {
                for (ask, answer) in writes {
                    let alone = self.group(&[&ask]).await;
                    let _ = answer.send(alone.map(|mut r| r.remove(0)).map_err(not_stored));
                }
            }
            Err(failed) => {
                let error = not_stored(failed);
                for (_, answer) in writes {
                    let _ = answer.send(Err(error.clone()));
                }
            }
        }
    }

    async fn aside(&mut self, work: Aside) -> Result<(), sqlx::Error> {
        self.begin().await?;
        let done = work(&mut self.db).await;
        self.end(done).await
    }

    async fn begin(&mut self) -> Result<(), sqlx::Error> {
        sqlx::query("begin immediate")
            .execute(&mut self.db)
            .await
            .map(drop)
    }

    /// Commits what went well. Whatever did not, the commit itself included, is rolled back, so that no transaction stays
    /// open; where the database has already done so, its own word against a second rollback does not matter.
    async fn end<T, E: From<sqlx::Error>>(&mut self, done: Result<T, E>) -> Result<T, E> {
        let done = match done {
            Ok(value) => match sqlx::query("commit").execute(&mut self.db).await {
                Ok(_) => return Ok(value),
                Err(error) => Err(error.into()),
            },
            Err(error) => Err(error),
        };
        let _ = sqlx::query("rollback").execute(&mut self.db).await;
        done
    }

    /// Decides and stores a group in one transaction, then publishes it.
    async fn group(&mut self, asks: &[&Ask]) -> Result<Vec<Vec<Reply>>, Failed> {
        self.begin().await?;
        let mut group = Group::new(&self.shared, self.newest);
        let done = self.store(asks, &mut group).await;
        let replies = self.end(done).await?;
        self.newest = group.newest;
        self.known_ops
            .extend(group.changes.iter().map(|c| hash(&c.op_id)));
        self.shared
            .publish(group.studio, group.plans, group.changes, group.newest);
        Ok(replies)
    }

    async fn store(&mut self, asks: &[&Ask], group: &mut Group) -> Result<Vec<Vec<Reply>>, Failed> {
        let mut all = Vec::with_capacity(asks.len());
        for ask in asks {
            let mut plan = match group.plans.remove(&ask.plan) {
                Some(plan) => plan,
                None => match self.shared.load(&mut self.db, &ask.plan).await? {
                    Some(plan) => Plan::clone(&plan),
                    None => Plan::empty(
                        ask.plan.clone(),
                        self.shared.epoch.clone(),
                        group.studio.clone(),
                    ),
                },
            };
            let is_known = |op_id: &str| self.known_ops.contains(&hash(op_id));
            let known = Known::read(&mut self.db, ask, group, is_known).await?;
            let decided = catch_unwind(AssertUnwindSafe(|| group.decide(ask, &mut plan, &known)));
            all.push(decided.map_err(|_| Failed::Panicked)?);
            group.plans.insert(ask.plan.clone(), plan);
        }
        self.rows.store(&mut self.db, group).await?;
        Ok(all)
    }
}

fn not_stored(failed: Failed) -> StoreError {
    let error = StoreError::from(failed);
    tracing::error!(%error, "a write was not stored");
    error
}

fn hash(op_id: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    op_id.hash(&mut hasher);
    hasher.finish()
}

/// Milliseconds since 1970, UTC.
pub fn now_ms() -> i64 {
    jiff::Timestamp::now().as_millisecond()
}
