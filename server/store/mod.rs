//! The store: one folder with one SQLite file, one writer, readers beside it, and the plans in memory.

mod keep;
mod open;

pub use keep::{backup, restore};

use crate::{
    journal::{
        change::Change,
        load,
        value::Id,
        writer::{Aside, Ask, Reply, Waiting},
    },
    plan::{Plan, Studio},
};
use arc_swap::ArcSwap;
use sqlx::{SqliteConnection, SqlitePool};
use std::{
    collections::{HashMap, VecDeque},
    path::PathBuf,
    sync::{Arc, Mutex, PoisonError},
};
use tokio::sync::{mpsc, oneshot, watch};

/// How many of the newest changes stay in memory for whoever follows along.
const RECENT: usize = 4096;

/// What can go wrong with the store, in a sentence for whoever started the program.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The folder.
    #[error("The folder {} cannot be used: {why}.", path.display())]
    Folder {
        /// Which.
        path: PathBuf,
        /// Why, in words.
        why: String,
    },
    /// Another program has it.
    #[error("The folder {} is in use by another stillair. Stop that one, or choose another folder with --data.", .0.display())]
    InUse(PathBuf),
    /// Made by a newer program.
    #[error("The plan book in {} was written by a newer stillair. Start that newer version; this one would not understand it.", .0.display())]
    Newer(PathBuf),
    /// Anything the database says.
    #[error("The plan book could not be read or written: {0}.")]
    Database(String),
    /// The writer has stopped.
    #[error("The program is shutting down; nothing was stored.")]
    Closed,
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        Self::Database(error.to_string())
    }
}

/// What the writer and the readers both see.
pub struct Shared {
    /// What the plans share.
    pub studio: ArcSwap<Studio>,
    plans: Mutex<HashMap<Id, Arc<Plan>>>,
    recent: Mutex<VecDeque<Arc<Change>>>,
    newest: watch::Sender<i64>,
    /// Random word made with the store, or when it is restored.
    pub epoch: Arc<str>,
}

impl Shared {
    fn loaded(&self, id: &Id) -> Option<Arc<Plan>> {
        let plan = self
            .plans
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .get(id)
            .cloned()?;
        let studio = self.studio.load();
        if Arc::ptr_eq(&plan.studio, &studio) {
            return Some(plan);
        }
        let mut plan = Plan::clone(&plan);
        plan.studio = studio.clone();
        Some(Arc::new(plan))
    }

    fn remember(&self, plan: Plan) -> Arc<Plan> {
        let plan = Arc::new(plan);
        self.plans
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .insert(plan.id.clone(), plan.clone());
        plan
    }

    /// A plan, loaded if need be; an empty one if it is about to be made. For the writer only: readers must not put an
    /// older plan over a newer one.
    pub async fn plan_or_empty(
        &self,
        db: &mut SqliteConnection,
        id: &Id,
    ) -> Result<Arc<Plan>, sqlx::Error> {
        if let Some(plan) = self.loaded(id) {
            return Ok(plan);
        }
        let studio = self.studio.load_full();
        let found = load::plan(db, id, self.epoch.clone(), studio.clone()).await?;
        Ok(match found {
            Some(plan) => self.remember(plan),
            None => Arc::new(Plan::empty(id.clone(), self.epoch.clone(), studio)),
        })
    }

    /// Makes a committed group visible: plans first, then the changes, then the number that wakes whoever follows.
    pub fn publish(
        &self,
        studio: Arc<Studio>,
        plans: HashMap<Id, Plan>,
        changes: Vec<Arc<Change>>,
        newest: i64,
    ) {
        self.studio.store(studio);
        for plan in plans.into_values().filter(|p| p.seq > 0) {
            self.remember(plan);
        }
        let mut recent = self.recent.lock().unwrap_or_else(PoisonError::into_inner);
        recent.extend(changes);
        let surplus = recent.len().saturating_sub(RECENT);
        recent.drain(..surplus);
        drop(recent);
        self.newest.send_replace(newest);
    }
}

/// A plan in the book list.
#[derive(Clone, Debug)]
pub struct Listed {
    /// Its id.
    pub id: Id,
    /// Its title.
    pub title: String,
    /// Its newest number.
    pub seq: i64,
    /// When that change was made.
    pub at_ms: i64,
}

/// The open store. Cheap to copy.
#[derive(Clone)]
pub struct Store {
    shared: Arc<Shared>,
    writer: mpsc::Sender<Waiting>,
    readers: SqlitePool,
    /// Held as long as the store is open, so that two programs never write one folder.
    _lock: Arc<std::fs::File>,
}

impl Store {
    /// Random word made with the store, or when it is restored.
    pub fn epoch(&self) -> &Arc<str> {
        &self.shared.epoch
    }

    /// Connections for reading: history, pictures, sessions.
    pub fn readers(&self) -> &SqlitePool {
        &self.readers
    }

    /// Newest journal number, and a wake-up at each commit.
    pub fn newest(&self) -> watch::Receiver<i64> {
        self.shared.newest.subscribe()
    }

    /// The newest changes that are still in memory, oldest first, after `seq`; none if older ones would be needed.
    pub fn recent_after(&self, seq: i64) -> Option<Vec<Arc<Change>>> {
        let recent = self
            .shared
            .recent
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        let first = recent
            .front()
            .map_or(*self.shared.newest.borrow() + 1, |c| c.seq);
        (seq + 1 >= first).then(|| recent.iter().filter(|c| c.seq > seq).cloned().collect())
    }

    /// A plan as it stands.
    ///
    /// # Errors
    /// The database's, at first use.
    pub async fn plan(&self, id: &Id) -> Result<Option<Arc<Plan>>, StoreError> {
        if let Some(plan) = self.shared.loaded(id) {
            return Ok(Some(plan));
        }
        // The writer loads it, so that no reader can put an older plan over a newer one.
        self.write(Ask {
            plan: id.clone(),
            ops: Vec::new(),
            atomic: false,
            batch: None,
            actor: "".into(),
            client: "".into(),
        })
        .await?;
        Ok(self.shared.loaded(id))
    }

    /// What the plans share.
    pub fn studio(&self) -> Arc<Studio> {
        self.shared.studio.load_full()
    }

    /// All productions, newest change first.
    ///
    /// # Errors
    /// The database's.
    pub async fn plans(&self) -> Result<Vec<Listed>, StoreError> {
        let rows = sqlx::query!(
            "select p.id as \"id!\", p.title as \"title!\", max(c.seq) as \"seq!: i64\", max(c.at_server_ms) as \"at_ms!: i64\"
             from plan p join change c on c.plan = p.id where p.removed_seq = 0 group by p.id order by 3 desc"
        )
        .fetch_all(&self.readers)
        .await?;
        Ok(rows
            .into_iter()
            .filter_map(|r| {
                Some(Listed {
                    id: Id::parse(&r.id)?,
                    title: r.title,
                    seq: r.seq,
                    at_ms: r.at_ms,
                })
            })
            .collect())
    }

    /// Asks the writer and waits until it is stored.
    ///
    /// # Errors
    /// When it could not be stored; refusals are in the replies.
    pub async fn write(&self, ask: Ask) -> Result<Vec<Reply>, StoreError> {
        let (answer, reply) = oneshot::channel();
        self.writer
            .send(Waiting::Write(ask, answer))
            .await
            .map_err(|_| StoreError::Closed)?;
        reply.await.map_err(|_| StoreError::Closed)?
    }

    /// Runs work that is not journalled (sessions, links, pictures) on the writer, in a transaction of its own.
    ///
    /// # Errors
    /// The database's; then nothing of it is stored.
    pub async fn aside(&self, work: Aside) -> Result<(), StoreError> {
        let (answer, reply) = oneshot::channel();
        self.writer
            .send(Waiting::Aside(work, answer))
            .await
            .map_err(|_| StoreError::Closed)?;
        reply.await.map_err(|_| StoreError::Closed)?
    }
}
