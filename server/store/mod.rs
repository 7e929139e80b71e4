//! The store: one folder with one database file, one writer, readers beside it, and the plans in memory.

mod keep;
mod moments;
mod open;
mod shared;

pub use keep::{backup, restore};
pub use open::{FILE, Options};
pub use shared::{Shared, Watch};

use crate::{
    journal::{
        change::Change,
        value::Id,
        writer::{Answer, Aside, Ask, Reply, Waiting},
    },
    plan::{Plan, Studio},
};
use sqlx::SqlitePool;
use std::{path::PathBuf, sync::Arc};
use tokio::sync::{mpsc, oneshot, watch};

/// What can go wrong with the store, in a sentence for whoever started the program.
#[derive(Clone, Debug, thiserror::Error)]
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
    /// Our own fault.
    #[error("Something went wrong in the program. Nothing was stored.")]
    Fault,
    /// The writer has stopped.
    #[error("The program is shutting down; nothing was stored.")]
    Closed,
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        Self::Database(error.to_string())
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
    /// Whether any shot stands in it.
    pub has_shots: bool,
}

/// The open store. Cheap to copy.
#[derive(Clone)]
pub struct Store {
    shared: Arc<Shared>,
    writer: mpsc::Sender<Waiting>,
    readers: SqlitePool,
    moments: Arc<moments::Moments>,
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
        self.shared.newest()
    }

    /// The newest changes that are still in memory, oldest first, after `seq`; none if older ones would be needed.
    pub fn recent_after(&self, seq: i64) -> Option<Vec<Arc<Change>>> {
        self.shared.recent_after(seq)
    }

    /// A plan as it stands.
    ///
    /// # Errors
    /// The database's, at first use.
    pub async fn plan(&self, id: &Id) -> Result<Option<Arc<Plan>>, StoreError> {
        match self.shared.loaded(id) {
            Some(plan) => Ok(Some(plan)),
            None => self.ask(|answer| Waiting::Load(id.clone(), answer)).await,
        }
    }

    /// Keeps a plan in memory as long as the guard lives: somebody follows it.
    pub fn watch(&self, id: &Id) -> Watch {
        Watch::new(self.shared.clone(), id.clone())
    }

    /// What the plans share.
    pub fn studio(&self) -> Arc<Studio> {
        self.shared.studio()
    }

    /// All productions, newest change first.
    ///
    /// # Errors
    /// The database's.
    pub async fn plans(&self) -> Result<Vec<Listed>, StoreError> {
        let rows = sqlx::query!(
            "select p.id as \"id!\", p.title as \"title!\", c.seq as \"seq!\", c.at_server_ms as \"at_ms!\",
                    exists (select 1 from shot s where s.plan = p.id and s.removed_seq = 0) as \"has_shots!: bool\"
             from plan p
             join change c on c.seq = (select max(seq) from change where plan = p.id)
             where p.removed_seq = 0
             order by c.seq desc"
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
                    has_shots: r.has_shots,
                })
            })
            .collect())
    }

    /// Asks the writer and waits until it is stored.
    ///
    /// # Errors
    /// When it could not be stored; refusals are in the replies.
    pub async fn write(&self, ask: Ask) -> Result<Vec<Reply>, StoreError> {
        self.ask(|answer| Waiting::Write(ask, answer)).await
    }

    /// Runs work that is not journalled (sessions, links, pictures) on the writer, in a transaction of its own.
    ///
    /// # Errors
    /// The database's; then nothing of it is stored.
    pub async fn aside(&self, work: Aside) -> Result<(), StoreError> {
        self.ask(|answer| Waiting::Aside(work, answer)).await
    }

    /// Finishes what was asked, takes nothing more and closes the file. Every copy of the store is closed by it.
    pub async fn close(&self) {
        let (stopped, done) = oneshot::channel();
        if self.writer.send(Waiting::Stop(stopped)).await.is_ok() {
            let _ = done.await;
        }
        self.readers.close().await;
    }

    async fn ask<T>(&self, waiting: impl FnOnce(Answer<T>) -> Waiting) -> Result<T, StoreError> {
        let (answer, reply) = oneshot::channel();
        self.writer
            .send(waiting(answer))
            .await
            .map_err(|_| StoreError::Closed)?;
        reply.await.map_err(|_| StoreError::Closed)?
    }
}
