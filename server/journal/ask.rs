//! What can be asked of the writer, and what it answers.

use super::{
    change::{Op, Outcome},
    decide::Refused,
    value::Id,
};
use crate::{plan::Plan, store::StoreError};
use sqlx::SqliteConnection;
use std::sync::Arc;
use tokio::sync::oneshot;

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

/// Where an answer goes.
pub type Answer<T> = oneshot::Sender<Result<T, StoreError>>;

/// What waits for the writer.
pub enum Waiting {
    /// Journalled writes.
    Write(Ask, Answer<Vec<Reply>>),
    /// Anything else that is stored.
    Aside(Aside, Answer<()>),
    /// A plan to be brought into memory: by the writer, so that no reader can put an older plan over a newer one.
    Load(Id, Answer<Option<Arc<Plan>>>),
    /// Finish what is asked, take nothing more, close the file.
    Stop(oneshot::Sender<()>),
}
