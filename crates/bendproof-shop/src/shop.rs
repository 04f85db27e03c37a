//! The shop file itself: opening, closing, coupon numbers and backups.
//!
//! One connection writes, a few read. SQLite lets only one writer in at a time
//! anyway, and queueing writers in this process is fairer than letting them
//! meet in the file's lock; other programs are waited for up to
//! [`BUSY_TIMEOUT_MS`], unless the options say otherwise.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::time::Duration;

use sqlx::pool::PoolConnection;
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteConnection, SqliteJournalMode, SqlitePool, SqlitePoolOptions,
    SqliteSynchronous,
};
use sqlx::{Connection, Sqlite};

use crate::error::ShopError;
use crate::schema::{self, STEPS};

/// How long a write waits for another program to let go of the file, in
/// milliseconds. Longer than any save here takes, shorter than a person waits.
/// Basis: choice.
pub const BUSY_TIMEOUT_MS: u64 = 5_000;

/// Most connections that read at the same time, a count. Basis: choice.
pub const READERS_MAX: u32 = 4;

/// How a shop file is opened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShopOptions {
    /// Largest size of the file, in pages of 4096 bytes; `None` leaves it to
    /// the disk. A write beyond it fails with [`ShopError::DiskFull`].
    pub file_pages_max: Option<u32>,
    /// How long a write waits for another program, in milliseconds; then it
    /// fails with [`ShopError::Busy`].
    pub busy_timeout_ms: u64,
}

impl Default for ShopOptions {
    fn default() -> Self {
        Self { file_pages_max: None, busy_timeout_ms: BUSY_TIMEOUT_MS }
    }
}

/// An open shop. Cloning is cheap and shares the connections.
#[derive(Debug, Clone)]
pub struct Shop {
    writer: SqlitePool,
    readers: SqlitePool,
    in_memory: bool,
}

impl Shop {
    /// Opens a shop file, creates it where it is missing, and brings its schema
    /// up to date.
    ///
    /// # Errors
    /// [`ShopError::CannotOpen`], [`ShopError::Damaged`],
    /// [`ShopError::NotAShop`], [`ShopError::SchemaFromFuture`],
    /// [`ShopError::SchemaDiffers`] (the last three leave the file as it was),
    /// or another storage error.
    pub async fn open(path: impl AsRef<Path>) -> Result<Self, ShopError> {
        Self::open_with(path, &ShopOptions::default()).await
    }

    /// [`Shop::open`] with options.
    ///
    /// # Errors
    /// As [`Shop::open`].
    pub async fn open_with(path: impl AsRef<Path>, options: &ShopOptions) -> Result<Self, ShopError> {
        let path = path.as_ref();
        if !path.exists() {
            // SQLite gives its own files next to this one the same mode. Where it
            // cannot be made, SQLite says so below.
            let _ = new_private_file(path);
        }
        let plain = SqliteConnectOptions::new()
            .filename(path)
            .create_if_missing(true)
            .foreign_keys(true)
            .busy_timeout(Duration::from_millis(options.busy_timeout_ms));
        // Switching to WAL writes to the file, so a plain connection looks first
        // whether the file is ours to write.
        let mut first = SqliteConnection::connect_with(&plain).await.map_err(|e| cannot_open(path, e))?;
        schema::survey(&mut first, path, STEPS).await?;
        first.close().await?;

        let mut writing = plain
            .clone()
            .journal_mode(SqliteJournalMode::Wal)
            // In WAL mode only FULL syncs the log at every commit; acknowledged
            // has to mean durable, power cuts included.
            .synchronous(SqliteSynchronous::Full);
        if let Some(pages) = options.file_pages_max {
            writing = writing.pragma("max_page_count", pages.to_string());
        }
        let writer = pool(1).connect_with(writing).await?;
        schema::migrate(&mut *writer.acquire().await?, path, STEPS).await?;
        let readers = pool(READERS_MAX).connect_lazy_with(plain.pragma("query_only", "ON"));
        Ok(Self { writer, readers, in_memory: false })
    }

    /// [`Shop::open`] for a shop that must be there: a missing file is not
    /// created, and one of 0 bytes is refused, because it would open as an empty
    /// shop.
    ///
    /// # Errors
    /// [`ShopError::CannotOpen`], [`ShopError::Empty`], and as [`Shop::open`].
    pub async fn open_existing(path: impl AsRef<Path>) -> Result<Self, ShopError> {
        must_hold_something(path.as_ref())?;
        Self::open(path).await
    }

    /// Opens a shop that is there for reading only, while others may write:
    /// nothing of the file changes, its schema neither.
    ///
    /// # Errors
    /// As [`Shop::open_existing`], and [`ShopError::SchemaOlder`].
    pub async fn open_read_only(path: impl AsRef<Path>) -> Result<Self, ShopError> {
        let path = path.as_ref();
        must_hold_something(path)?;
        let options = SqliteConnectOptions::new()
            .filename(path)
            .read_only(true)
            .busy_timeout(Duration::from_millis(BUSY_TIMEOUT_MS));
        let mut first = SqliteConnection::connect_with(&options).await.map_err(|e| cannot_open(path, e))?;
        let found = schema::survey(&mut first, path, STEPS).await?;
        first.close().await?;
        if found < STEPS.len() {
            return Err(ShopError::SchemaOlder { found, known: STEPS.len() });
        }
        let readers = pool(READERS_MAX).connect_lazy_with(options);
        Ok(Self { writer: readers.clone(), readers, in_memory: false })
    }

    /// Opens an empty shop that lives in memory and ends with the last clone;
    /// for tests and demonstrations.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn open_in_memory() -> Result<Self, ShopError> {
        let options = SqliteConnectOptions::new().in_memory(true).foreign_keys(true);
        let writer = pool(1).connect_with(options).await?;
        schema::migrate(&mut *writer.acquire().await?, Path::new(":memory:"), STEPS).await?;
        // Another connection would be another, empty database.
        Ok(Self { readers: writer.clone(), writer, in_memory: true })
    }

    /// Waits for work in progress, closes all connections and folds the log
    /// into the file. Without it nothing is lost, the log only stays next to the
    /// file until the next opening.
    pub async fn close(&self) {
        self.readers.close().await;
        self.writer.close().await;
    }

    /// The next coupon number of this shop: 1, 2, 3 … Each call returns another
    /// number, also across programs; a number that is not used leaves a gap.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn next_number(&self) -> Result<i64, ShopError> {
        let sql = "INSERT INTO counter (name, value) VALUES ('coupon', 1) \
                   ON CONFLICT (name) DO UPDATE SET value = counter.value + 1 RETURNING value";
        let mut conn = self.writer().await?;
        let result = sqlx::query_scalar(sql).fetch_one(&mut *conn).await.map_err(ShopError::from);
        self.settle(conn, result).await
    }

    /// Writes a copy of the whole shop into a new file, while others work on.
    /// The copy is for its owner's eyes, and appears under its name only when it
    /// is complete, checked as by [`Shop::verify`], and synced.
    ///
    /// # Errors
    /// [`ShopError::BackupExists`] where `to` is there already,
    /// [`ShopError::BackupUnsound`] where the check finds anything,
    /// [`ShopError::Backup`] where the copy cannot be put in place or the shop
    /// lives in memory, or a storage error.
    pub async fn backup(&self, to: impl AsRef<Path>) -> Result<(), ShopError> {
        let to = to.as_ref();
        if to.exists() {
            return Err(ShopError::BackupExists { path: to.to_owned() });
        }
        let failed = |source| ShopError::Backup { path: to.to_owned(), source };
        if self.in_memory {
            // SQLite would keep the copy in memory as well.
            let source =
                std::io::Error::new(std::io::ErrorKind::Unsupported, "this shop lives in memory only");
            return Err(failed(source));
        }
        let part = unfinished_part(to);
        // Left over from a backup that was killed.
        if part.exists() {
            std::fs::remove_file(&part).map_err(failed)?;
        }
        new_private_file(&part).map_err(failed)?;
        let Some(part_text) = part.to_str() else {
            let source = std::io::Error::new(std::io::ErrorKind::InvalidInput, "the name is not UTF-8");
            return Err(failed(source));
        };
        let mut conn = self.writer().await?;
        let copied = sqlx::query("VACUUM INTO $1").bind(part_text).execute(&mut *conn).await;
        if let Err(error) = self.settle(conn, copied.map_err(ShopError::from)).await {
            // The half-written copy is of no use; its removal may fail for the
            // same reason as the copy, and that reason is the one to report.
            let _ = std::fs::remove_file(&part);
            return Err(error);
        }
        if let Err(error) = sound(&part).await {
            let _ = std::fs::remove_file(&part);
            return Err(error);
        }
        put_in_place(&part, to).map_err(failed)
    }

    /// A connection for one write.
    pub(crate) async fn writer(&self) -> Result<PoolConnection<Sqlite>, ShopError> {
        Ok(self.writer.acquire().await?)
    }

    /// A connection for reading.
    pub(crate) async fn reader(&self) -> Result<PoolConnection<Sqlite>, ShopError> {
        Ok(self.readers.acquire().await?)
    }

    /// Gives a writing connection back, or closes it after a storage error.
    ///
    /// On a full disk SQLite may roll the transaction back by itself, after
    /// which the connection's own count of open transactions is wrong and every
    /// later write on it would fail. A fresh connection starts clean. The one
    /// connection of a shop in memory is kept, since the shop would go with it.
    pub(crate) async fn settle<T>(
        &self,
        conn: PoolConnection<Sqlite>,
        result: Result<T, ShopError>,
    ) -> Result<T, ShopError> {
        if let Err(error) = &result
            && error.is_storage()
            && !self.in_memory
        {
            // The first error is the one to report, not the one of closing.
            let _ = conn.detach().close_hard().await;
        }
        result
    }
}

/// A pool whose connections stay open: a shop in memory lives in its one
/// connection, and a file gains nothing from reopening.
fn pool(connections_max: u32) -> SqlitePoolOptions {
    SqlitePoolOptions::new()
        .max_connections(connections_max)
        .acquire_timeout(Duration::from_millis(2 * BUSY_TIMEOUT_MS))
        .idle_timeout(None)
        .max_lifetime(None)
}

/// Names the file in an error of the very first contact.
fn cannot_open(path: &Path, error: sqlx::Error) -> ShopError {
    match ShopError::from(error) {
        damaged @ ShopError::Damaged { .. } => damaged,
        busy @ ShopError::Busy { .. } => busy,
        other => {
            let detail = match other {
                ShopError::Disk { detail }
                | ShopError::ReadOnly { detail }
                | ShopError::DiskFull { detail } => detail,
                other => other.to_string(),
            };
            ShopError::CannotOpen { path: path.to_owned(), detail }
        }
    }
}

/// The name a backup has while it is being written.
fn unfinished_part(to: &Path) -> PathBuf {
    let mut name = OsString::from(to);
    name.push(".part");
    PathBuf::from(name)
}

/// Holds that a finished copy says what was written.
async fn sound(copy: &Path) -> Result<(), ShopError> {
    let shop = Shop::open_read_only(copy).await?;
    let audit = shop.verify().await;
    shop.close().await;
    match audit?.faults.first() {
        Some(first) => Err(ShopError::BackupUnsound { first: first.to_string() }),
        None => Ok(()),
    }
}

/// Refuses a shop's file that is not there or holds nothing.
fn must_hold_something(path: &Path) -> Result<(), ShopError> {
    let found = std::fs::metadata(path)
        .map_err(|why| ShopError::CannotOpen { path: path.to_owned(), detail: why.to_string() })?;
    // Opening a pipe would wait for somebody to write into it.
    if !found.is_file() {
        return Err(ShopError::NoFile { path: path.to_owned() });
    }
    if found.len() == 0 {
        return Err(ShopError::Empty { path: path.to_owned() });
    }
    Ok(())
}

/// Makes a file that only its owner may read and write, where none is yet.
fn new_private_file(path: &Path) -> std::io::Result<()> {
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path).map(drop)
}

/// Takes a shop's file, and SQLite's files next to it, from everybody but their
/// owner. Returns whether anybody else could read or write one.
///
/// # Errors
/// What the system says; a file that is not there is none.
pub fn owner_only(path: &Path) -> std::io::Result<bool> {
    let mut changed = false;
    #[cfg(unix)]
    for ending in ["", "-wal", "-shm"] {
        use std::os::unix::fs::PermissionsExt;
        let mut name = OsString::from(path);
        name.push(ending);
        let found = match std::fs::metadata(&name) {
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => continue,
            found => found?,
        };
        let mode = found.permissions().mode();
        // What the owner may not do, a file set to be read only, stays so.
        if mode & 0o077 != 0 {
            std::fs::set_permissions(&name, std::fs::Permissions::from_mode(mode & 0o700))?;
            changed = true;
        }
    }
    Ok(changed)
}

/// Syncs a finished file and gives it its name, so that a power cut leaves the
/// old state or the new one.
///
/// # Errors
/// What the system says.
pub fn put_in_place(part: &Path, to: &Path) -> std::io::Result<()> {
    std::fs::File::open(part)?.sync_all()?;
    std::fs::rename(part, to)?;
    // The new name is durable once its folder is synced; only Unix opens
    // folders as files.
    #[cfg(unix)]
    if let Some(folder) = to.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        std::fs::File::open(folder)?.sync_all()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    async fn pragma(conn: &mut SqliteConnection, sql: &'static str) -> String {
        let row = sqlx::query(sql).fetch_one(conn).await.unwrap();
        let number: Result<i64, _> = sqlx::Row::try_get(&row, 0);
        number.map_or_else(|_| sqlx::Row::get(&row, 0), |number| number.to_string())
    }

    /// A killed process leaves the system's cache alone, so only this test sees
    /// whether a power cut is covered.
    #[tokio::test]
    async fn a_commit_is_synced_and_readers_cannot_write() {
        let dir = tempfile::tempdir().unwrap();
        let shop = Shop::open(dir.path().join("shop.db")).await.unwrap();
        let mut writer = shop.writer().await.unwrap();
        // FULL is 2 in SQLite's numbering.
        assert_eq!(pragma(&mut writer, "PRAGMA synchronous").await, "2");
        let mut reader = shop.reader().await.unwrap();
        for conn in [&mut writer, &mut reader] {
            assert_eq!(pragma(conn, "PRAGMA journal_mode").await, "wal");
            assert_eq!(pragma(conn, "PRAGMA foreign_keys").await, "1");
            assert_eq!(pragma(conn, "PRAGMA busy_timeout").await, BUSY_TIMEOUT_MS.to_string());
        }
        let error = sqlx::query("DELETE FROM counter").execute(&mut *reader).await.unwrap_err();
        assert!(matches!(ShopError::from(error), ShopError::ReadOnly { .. }));
    }
}
