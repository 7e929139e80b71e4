//! Work on people, links and sessions, done by the writer in a transaction of its own, with an answer.

use crate::store::{Store, StoreError};
use sqlx::SqliteConnection;
use std::pin::Pin;
use tokio::sync::oneshot;

/// What such work returns.
pub type Working<'c, T> = Pin<Box<dyn Future<Output = Result<T, sqlx::Error>> + Send + 'c>>;

/// Runs the work and returns what it found, once it is stored.
///
/// # Errors
/// The database's; then nothing of it is stored.
pub async fn aside<T, F>(store: &Store, work: F) -> Result<T, StoreError>
where
    T: Send + 'static,
    F: for<'c> FnOnce(&'c mut SqliteConnection) -> Working<'c, T> + Send + 'static,
{
    let (tell, told) = oneshot::channel();
    store
        .aside(Box::new(move |db| {
            Box::pin(async move {
                // Nobody listens when the request was given up; what was done stays done.
                let _ = tell.send(work(db).await?);
                Ok(())
            })
        }))
        .await?;
    told.await.map_err(|_| StoreError::Closed)
}
