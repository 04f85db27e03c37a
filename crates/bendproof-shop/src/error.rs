//! What can go wrong in the shop, said so that a person knows the next step.
//!
//! Each message names what, the value, what is allowed and what to do. Storage
//! trouble is sorted by what a person can do about it (make room, close the
//! other program, restore a backup), not by the library that reported it.

use std::path::PathBuf;

use crate::model::{Document, Event, Subject};

/// Every way in which the shop can refuse or fail.
#[derive(Debug, thiserror::Error)]
pub enum ShopError {
    /// No document has this id.
    #[error("no {subject} {id:?} in this shop; look in the list of {subject}s or create it first")]
    NotFound {
        /// What was looked for.
        subject: Subject,
        /// The id asked for.
        id: String,
    },
    /// A document with this id is already there.
    #[error("{subject} {id:?} exists already; open it, or choose another id")]
    AlreadyExists {
        /// What was to be created.
        subject: Subject,
        /// The id that is taken.
        id: String,
    },
    /// The document has moved on since the caller read it. Nothing was written.
    #[error(
        "{} {:?} is at version {}, your change was made on version {ours}: {}; look at what changed and save again on version {}",
        current.subject, current.id, current.version, authors(since), current.version
    )]
    Conflict {
        /// The document as it is now.
        current: Box<Document>,
        /// The version the caller's change was made on.
        ours: i64,
        /// The events made since that version, oldest first.
        since: Vec<Event>,
    },
    /// A version that the document never had.
    #[error("{subject} {id:?} has no version {asked}; its versions are 1 to {newest}, read it again")]
    UnknownVersion {
        /// What the document is about.
        subject: Subject,
        /// Its id.
        id: String,
        /// The version asked for.
        asked: i64,
        /// The newest version.
        newest: i64,
    },
    /// A text or a count outside what the shop accepts. Nothing was written.
    #[error("{quantity} is {value}, allowed: {allowed}; {next_step}")]
    OutOfRange {
        /// What was refused, in words.
        quantity: String,
        /// The refused value, shortened.
        value: String,
        /// The allowed range or form.
        allowed: String,
        /// What to do.
        next_step: &'static str,
    },
    /// One request changes the same path twice.
    #[error("path {path:?} comes twice in one change, allowed: once; keep the value that is meant")]
    DuplicatePath {
        /// The path.
        path: String,
    },
    /// The token belongs to another request on this document.
    #[error(
        "token {token:?} was already used for another change of {subject} {id:?} (version {version}), allowed: one change per token; send this one with a new token"
    )]
    TokenReused {
        /// What the document is about.
        subject: Subject,
        /// Its id.
        id: String,
        /// The token.
        token: String,
        /// The version that the token made.
        version: i64,
    },
    /// No change is left to undo.
    #[error("{subject} {id:?} has no change left to undo; its creation stays")]
    NothingToUndo {
        /// What the document is about.
        subject: Subject,
        /// Its id.
        id: String,
    },
    /// No undone change is left to make again.
    #[error("{subject} {id:?} has no undone change to make again; a new change after an undo ends redo")]
    NothingToRedo {
        /// What the document is about.
        subject: Subject,
        /// Its id.
        id: String,
    },
    /// The file was written by a newer program.
    #[error(
        "the shop file has schema step {found}, this program knows steps 1 to {known}; start the newer program"
    )]
    SchemaFromFuture {
        /// Newest step in the file.
        found: i64,
        /// Newest step this program knows.
        known: i64,
    },
    /// The file was written by an older program, and is opened to be read only.
    #[error(
        "the shop's file has schema step {found}, this program works with step {known}; `bendproof bench` brings it up to date when it opens it"
    )]
    SchemaOlder {
        /// Newest step in the file.
        found: usize,
        /// The step this program works with.
        known: usize,
    },
    /// A schema step in the file is not the one this program has.
    #[error(
        "schema step {step} in the shop file has checksum {found}, expected {expected}; the file was made by another build, use that one or restore a backup"
    )]
    SchemaDiffers {
        /// The step.
        step: i64,
        /// Checksum in the file.
        found: String,
        /// Checksum in this program.
        expected: String,
    },
    /// A SQLite file that holds something else.
    #[error("{} holds other tables ({table}, …) and no shop; name another file", path.display())]
    NotAShop {
        /// The file.
        path: PathBuf,
        /// One of the tables found.
        table: String,
    },
    /// The file is damaged or is no SQLite file.
    #[error(
        "the shop's file is damaged or no SQLite file ({detail}); `bendproof shop verify` says where, `bendproof shop restore BACKUP` puts a backup in its place"
    )]
    Damaged {
        /// What the storage said.
        detail: String,
    },
    /// A row holds something this program never writes.
    #[error(
        "the shop file holds {what} = {value:?}, which this program never writes; `bendproof shop verify` says where, `bendproof shop restore BACKUP` puts a backup in its place"
    )]
    BadRow {
        /// The column, in words.
        what: &'static str,
        /// The value found.
        value: String,
    },
    /// The file is there and holds nothing, which no shop's file ever does.
    #[error(
        "{} is empty: 0 bytes, and a shop's file never is; `bendproof shop restore BACKUP` puts a backup in its place, or move it away to begin a new shop", path.display()
    )]
    Empty {
        /// The file.
        path: PathBuf,
    },
    /// A folder, a pipe or a device stands where a shop's file should.
    #[error("{} is not a file; name a shop's file, usually shop.db", path.display())]
    NoFile {
        /// What was named.
        path: PathBuf,
    },
    /// The file cannot be opened.
    #[error("cannot open the shop file {} ({detail}); check that the folder exists and may be written", path.display())]
    CannotOpen {
        /// The file.
        path: PathBuf,
        /// What the storage said.
        detail: String,
    },
    /// No room on the disk, or the file reached its allowed size. Nothing of
    /// this change was kept; everything acknowledged before still is.
    #[error(
        "no room to save ({detail}); make room on the disk and save again, everything saved before is still there"
    )]
    DiskFull {
        /// What the storage said.
        detail: String,
    },
    /// Reading or writing failed. A change that met this error may or may not
    /// have been kept; sending it again with the same token is safe.
    #[error("the disk reported an error ({detail}); check disk and cable, then save again")]
    Disk {
        /// What the storage said.
        detail: String,
    },
    /// The file or its folder may not be written.
    #[error("the shop file may not be written ({detail}); check its permissions and those of its folder")]
    ReadOnly {
        /// What the storage said.
        detail: String,
    },
    /// Another writer held the file for too long. Nothing was written.
    #[error("the shop file is busy ({detail}); close the other program that uses it, or try again")]
    Busy {
        /// What the storage said.
        detail: String,
    },
    /// A backup is not written over an existing file.
    #[error("{} exists already; a backup never replaces a file, choose another name", path.display())]
    BackupExists {
        /// The file.
        path: PathBuf,
    },
    /// The copy does not say what was written; it was not kept.
    #[error(
        "{first}; nothing was written: `bendproof shop verify` says what else is wrong with the shop's file"
    )]
    BackupUnsound {
        /// The first fault, in words.
        first: String,
    },
    /// The backup could not be put in place.
    #[error("cannot write the backup {} ({source}); check the folder and the room on the disk", path.display())]
    Backup {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// Anything else the storage reported.
    #[error("the storage failed ({0}); try again, and report it if it stays")]
    Storage(sqlx::Error),
}

impl ShopError {
    /// Whether the storage, not the request, is at fault.
    pub(crate) fn is_storage(&self) -> bool {
        matches!(
            self,
            Self::Damaged { .. }
                | Self::DiskFull { .. }
                | Self::Disk { .. }
                | Self::ReadOnly { .. }
                | Self::Busy { .. }
                | Self::Storage(_)
        )
    }
}

/// Who made the events since, for the conflict message: `Ana (version 4)`.
fn authors(since: &[Event]) -> String {
    const NAMED_MAX: usize = 3;
    let mut named: Vec<String> = since
        .iter()
        .take(NAMED_MAX)
        .map(|event| format!("{} (version {})", event.who, event.version))
        .collect();
    if since.len() > NAMED_MAX {
        named.push(format!("{} more", since.len() - NAMED_MAX));
    }
    named.join(", ")
}

/// The primary result code of SQLite is the low byte of the extended one.
/// Source: SQLite, "Result and Error Codes". Basis: seen.
const PRIMARY_CODE_MASK: i64 = 0xff;

impl From<sqlx::Error> for ShopError {
    fn from(error: sqlx::Error) -> Self {
        let (code, detail) = match &error {
            sqlx::Error::Database(inner) => {
                let code = inner.code().and_then(|code| code.parse::<i64>().ok());
                (code.map(|code| code & PRIMARY_CODE_MASK), inner.message().to_owned())
            }
            sqlx::Error::PoolTimedOut => {
                return Self::Busy { detail: "no connection became free in time".to_owned() };
            }
            sqlx::Error::Io(inner) => return Self::Disk { detail: inner.to_string() },
            // The statements and their columns are fixed, so a value that does
            // not fit its column is one this program did not write.
            sqlx::Error::ColumnDecode { source, .. } | sqlx::Error::Decode(source) => {
                return Self::Damaged { detail: format!("a row does not read: {source}") };
            }
            _ => (None, String::new()),
        };
        // SQLite result codes: BUSY 5, LOCKED 6, READONLY 8, IOERR 10,
        // CORRUPT 11, FULL 13, CANTOPEN 14, NOTADB 26.
        match code {
            Some(5 | 6) => Self::Busy { detail },
            Some(8) => Self::ReadOnly { detail },
            Some(10 | 14) => Self::Disk { detail },
            Some(11 | 26) => Self::Damaged { detail },
            Some(13) => Self::DiskFull { detail },
            _ => Self::Storage(error),
        }
    }
}
