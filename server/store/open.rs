//! Opening a store: the folder, its lock, the file, its migrations, its epoch.

use super::{Shared, Store, StoreError};
use crate::journal::{load, writer::Writer};
use sqlx::{
    ConnectOptions as _, SqliteConnection, SqlitePool,
    sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous},
};
use std::{
    fs::{self, File, TryLockError},
    path::Path,
    sync::{Arc, Weak},
    time::Duration,
};
use tokio::sync::mpsc;

/// Name of the database in its folder.
pub const FILE: &str = "stillair.db";
static MIGRATIONS: sqlx::migrate::Migrator = sqlx::migrate!("./migrations");

/// How a store is opened.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// A plan nobody asked for in this long leaves memory.
    pub idle: Duration,
    /// Every write has a commit of its own; only to measure what sharing commits brings.
    pub one_commit: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            idle: Duration::from_mins(20),
            one_commit: false,
        }
    }
}

impl Store {
    /// Opens the store in a folder, making both if need be.
    ///
    /// # Errors
    /// One plain sentence: folder missing and not to be made, read-only, in use, from a newer version, damaged.
    pub async fn open(folder: &Path) -> Result<Self, StoreError> {
        Self::open_with(folder, Options::default()).await
    }

    /// The same, with other settings than the usual ones.
    ///
    /// # Errors
    /// As [`Store::open`].
    pub async fn open_with(folder: &Path, settings: Options) -> Result<Self, StoreError> {
        let lock = lock(folder)?;
        let options = options(folder);
        let mut db = options
            .connect()
            .await
            .map_err(|error| folder_error(folder, &error))?;
        migrate(&mut db, folder).await?;
        let epoch = epoch(&mut db).await?;
        let studio = load::studio(&mut db).await?;
        let newest = load::newest(&mut db).await?;
        let shared = Arc::new(Shared::new(epoch, studio, newest));
        let readers: SqlitePool = SqlitePoolOptions::new()
            .max_connections(4)
            .connect_lazy_with(options.read_only(true).create_if_missing(false));
        let (writer, asks) = mpsc::channel(1024);
        let work = Writer::new(db, shared.clone(), settings.one_commit).await?;
        tokio::spawn(work.run(asks));
        tokio::spawn(forget_idle(Arc::downgrade(&shared), settings.idle));
        Ok(Self {
            shared,
            writer,
            readers,
            moments: Arc::default(),
            _lock: Arc::new(lock),
        })
    }
}

/// Lets go of plans that nobody asks for, as long as the store is open.
async fn forget_idle(shared: Weak<Shared>, idle: Duration) {
    loop {
        tokio::time::sleep(idle / 2).await;
        match shared.upgrade() {
            Some(shared) => shared.forget_idle(idle),
            None => return,
        }
    }
}

fn options(folder: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(folder.join(FILE))
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .busy_timeout(Duration::from_secs(5))
        .statement_cache_capacity(400)
        .disable_statement_logging()
}

fn lock(folder: &Path) -> Result<File, StoreError> {
    let unusable = |error: &std::io::Error| StoreError::Folder {
        path: folder.into(),
        why: in_words(error),
    };
    fs::create_dir_all(folder).map_err(|e| unusable(&e))?;
    let file = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(folder.join("stillair.lock"))
        .map_err(|e| unusable(&e))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(StoreError::InUse(folder.into())),
        Err(TryLockError::Error(error)) => Err(unusable(&error)),
    }
}

pub(super) fn in_words(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::PermissionDenied => "you may not write there".into(),
        std::io::ErrorKind::ReadOnlyFilesystem => "it is read-only".into(),
        std::io::ErrorKind::NotADirectory | std::io::ErrorKind::AlreadyExists => {
            "a file stands where the folder should be".into()
        }
        std::io::ErrorKind::StorageFull => "the disk is full".into(),
        std::io::ErrorKind::NotFound => "there is nothing there".into(),
        _ => error.to_string(),
    }
}

fn folder_error(folder: &Path, error: &sqlx::Error) -> StoreError {
    StoreError::Folder {
        path: folder.into(),
        why: format!("its plan book does not open ({error})"),
    }
}

async fn migrate(db: &mut SqliteConnection, folder: &Path) -> Result<(), StoreError> {
    use sqlx::migrate::MigrateError;
    match MIGRATIONS.run(&mut *db).await {
        Ok(()) => Ok(()),
        Err(
            MigrateError::VersionMissing(_)
            | MigrateError::VersionMismatch(_)
            | MigrateError::VersionNotPresent(_)
            | MigrateError::VersionTooNew(..),
        ) => Err(StoreError::Newer(folder.into())),
        Err(MigrateError::Execute(error)) => Err(folder_error(folder, &error)),
        Err(error) => Err(StoreError::Database(error.to_string())),
    }
}

async fn epoch(db: &mut SqliteConnection) -> Result<Arc<str>, sqlx::Error> {
    let fresh = uuid::Uuid::now_v7().simple().to_string();
    let fresh = &fresh[20..];
    sqlx::query!(
        "insert or ignore into meta (name, value) values ('epoch', ?)",
        fresh
    )
    .execute(&mut *db)
    .await?;
    sqlx::query_scalar!("select value from meta where name = 'epoch'")
        .fetch_one(&mut *db)
        .await
        .map(Into::into)
}
