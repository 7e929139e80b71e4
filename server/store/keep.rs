//! Backup, restore, and the check that tables and journal agree.

use super::{Store, StoreError, open::FILE};
use crate::journal::{apply, load, value::Id};
use sqlx::{ConnectOptions as _, Connection as _, SqliteConnection, sqlite::SqliteConnectOptions};
use std::path::Path;

/// Copies a book, in use or not, into one file that is whole.
///
/// # Errors
/// A sentence: no book there, the file exists, the disk.
pub async fn backup(folder: &Path, file: &Path) -> Result<(), StoreError> {
    let from = folder.join(FILE);
    if !from.is_file() {
        return Err(StoreError::Folder {
            path: folder.into(),
            why: "it holds no plan book".into(),
        });
    }
    if file.exists() {
        return Err(StoreError::Folder {
            path: file.into(),
            why: "that file exists already; choose another name".into(),
        });
    }
    let mut db: SqliteConnection = SqliteConnectOptions::new().filename(from).connect().await?;
    sqlx::query("vacuum into ?")
        .bind(file.to_string_lossy().into_owned())
        .execute(&mut db)
        .await?;
    db.close().await?;
    Ok(())
}

/// Puts a backup into an empty folder and gives it a new epoch.
///
/// # Errors
/// A sentence: the folder holds a book already, the file is none, the disk. Nothing is left in the folder then.
pub async fn restore(folder: &Path, file: &Path) -> Result<(), StoreError> {
    let to = folder.join(FILE);
    // A log left behind by another book would be played into this one.
    let left_behind = ["", "-wal", "-shm"].map(|end| folder.join(format!("{FILE}{end}")));
    if left_behind.iter().any(|file| file.exists()) {
        return Err(StoreError::Folder {
            path: folder.into(),
            why: "it holds a plan book already; choose an empty folder".into(),
        });
    }
    let io = |e: std::io::Error| StoreError::Folder {
        path: file.into(),
        why: super::open::in_words(&e),
    };
    if !file.is_file() {
        return Err(io(std::io::ErrorKind::NotFound.into()));
    }
    std::fs::create_dir_all(folder).map_err(io)?;
    std::fs::copy(file, &to).map_err(io)?;
    if let Ok(1) = new_epoch(&to).await {
        return Ok(());
    }
    for file in left_behind {
        let _ = std::fs::remove_file(file);
    }
    Err(StoreError::Folder {
        path: file.into(),
        why: "it is no plan book".into(),
    })
}

/// Gives a book a new epoch; how many it has had to give (one, if it is a book).
async fn new_epoch(file: &Path) -> Result<u64, sqlx::Error> {
    let mut db: SqliteConnection = SqliteConnectOptions::new().filename(file).connect().await?;
    let fresh = uuid::Uuid::now_v7().simple().to_string();
    let fresh = &fresh[20..];
    let done = sqlx::query!("update meta set value = ? where name = 'epoch'", fresh)
        .execute(&mut db)
        .await?;
    db.close().await?;
    Ok(done.rows_affected())
}

impl Store {
    /// Reads everything twice, from the tables and by folding the journal, and compares.
    ///
    /// # Errors
    /// A sentence that says where they differ, or the database's.
    pub async fn check(&self) -> Result<String, StoreError> {
        let mut db = self.readers().acquire().await?;
        let changes = load::changes_after(&mut db, 0, i64::MAX).await?;
        let (studio, plans) = apply::fold(self.epoch(), &changes);
        if load::studio(&mut db).await? != *studio {
            return Err(StoreError::Database(
                "the studio's tables say something else than the journal".into(),
            ));
        }
        for (id, folded) in &plans {
            let id: &Id = id;
            let stored = load::plan(&mut db, id, self.epoch().clone(), studio.clone()).await?;
            if stored.as_ref() != Some(folded) {
                return Err(StoreError::Database(format!(
                    "the tables of plan {id} say something else than the journal"
                )));
            }
        }
        Ok(format!(
            "{} changes, {} plans: tables and journal agree.",
            changes.len(),
            plans.len()
        ))
    }
}
