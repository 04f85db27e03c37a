//! Proving that the file still says what was written: its structure, the chain
//! of events, and the projection against the events.
//!
//! The chain shows an event that was altered, moved or removed from the middle.
//! It cannot show that the newest events were cut off together with what they
//! made; whoever needs more keeps the newest event's hash somewhere else
//! ([`Shop::head`], [`Shop::verify_head`]).

use std::collections::{BTreeMap, BTreeSet};

use sqlx::sqlite::SqliteConnection;
use sqlx::{Connection, Row};

use crate::chain::{self, NO_HASH};
use crate::error::ShopError;
use crate::fault::{Audit, Fault, FaultKind};
use crate::model::{Document, Event, Subject, apply};
use crate::read::document_of;
use crate::rows;
use crate::schema;
use crate::shop::Shop;

/// How many events one step of the audit reads, a count; bounds its memory.
/// Basis: choice.
const EVENTS_PER_STEP: usize = 1_000;
/// How many documents one step reads with all their events. Basis: choice.
const DOCUMENTS_PER_STEP: usize = 50;

/// The newest event of a shop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Head {
    /// Its place in the chain.
    pub seq: i64,
    /// Its hash, 64 hexadecimal digits.
    pub hash: String,
    /// When it was made, ms since 1970-01-01T00:00Z.
    pub at_ms: i64,
}

impl Shop {
    /// The newest event; `None` in an empty shop.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn head(&self) -> Result<Option<Head>, ShopError> {
        let mut conn = self.reader().await?;
        let sql = "SELECT seq, hash, at_ms FROM event ORDER BY seq DESC LIMIT 1";
        let row = sqlx::query(sql).fetch_optional(&mut *conn).await?;
        row.map(|row| Ok(Head { seq: row.try_get(0)?, hash: row.try_get(1)?, at_ms: row.try_get(2)? }))
            .transpose()
    }

    /// Whether an event that was the newest once is still in its place. What it
    /// finds is a file put back to an older state, which is whole in itself.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn verify_head(&self, then: &Head) -> Result<Option<Fault>, ShopError> {
        let mut conn = self.reader().await?;
        let sql = "SELECT hash FROM event WHERE seq = $1";
        let hash: Option<String> = sqlx::query_scalar(sql).bind(then.seq).fetch_optional(&mut *conn).await?;
        let newest: Option<i64> =
            sqlx::query_scalar("SELECT max(seq) FROM event").fetch_one(&mut *conn).await?;
        Ok(match hash {
            Some(hash) if hash == then.hash => None,
            Some(_) => Some(Fault::new(
                FaultKind::CutOff,
                format!("event {} is another than the one that stood there", then.seq),
            )),
            None => {
                let newest = newest.unwrap_or(0);
                let detail = format!("the file ends at event {newest}, it has held {}", then.seq);
                Some(Fault::new(FaultKind::CutOff, detail))
            }
        })
    }

    /// Checks the whole file: the structure of the file and its tables, every
    /// hash of the chain, and every document against the fold of its events.
    /// Reads only; others may write meanwhile.
    ///
    /// # Errors
    /// Only storage trouble other than damage; damage is a result.
    pub async fn verify(&self) -> Result<Audit, ShopError> {
        let mut audit = Audit::default();
        let mut conn = self.reader().await?;
        let found = structure(&mut conn, &mut audit).await;
        noted(found, &mut audit, |fault| fault)?;
        let found = chain_of(&mut conn, &mut audit).await;
        noted(found, &mut audit, |fault| fault)?;
        let found = projection(&mut conn, &mut audit).await;
        noted(found, &mut audit, |fault| fault)?;
        Ok(audit)
    }
}

/// Turns damage that stopped a step into a fault; other trouble stays an error.
fn noted<T>(
    result: Result<T, ShopError>,
    audit: &mut Audit,
    place: impl FnOnce(Fault) -> Fault,
) -> Result<Option<T>, ShopError> {
    match result {
        Ok(found) => Ok(Some(found)),
        Err(ShopError::Damaged { detail }) => {
            audit.push(place(Fault::new(FaultKind::Unreadable, detail)));
            Ok(None)
        }
        Err(bad @ ShopError::BadRow { .. }) => {
            audit.push(place(Fault::new(FaultKind::Unreadable, bad.to_string())));
            Ok(None)
        }
        Err(other) => Err(other),
    }
}

fn is_damage(error: &ShopError) -> bool {
    matches!(error, ShopError::Damaged { .. } | ShopError::BadRow { .. })
}

/// The file's own structure, its references, and its tables as they are made.
async fn structure(conn: &mut SqliteConnection, audit: &mut Audit) -> Result<(), ShopError> {
    let found = sqlx::query_scalar("PRAGMA integrity_check").fetch_all(&mut *conn).await;
    let problems: Vec<String> = match found.map_err(ShopError::from) {
        // Some damage stops the check itself, which is a finding too.
        Err(ShopError::Damaged { detail }) => vec![detail],
        other => other?,
    };
    for problem in problems.into_iter().filter(|problem| problem != "ok") {
        audit.push(Fault::new(FaultKind::Structure, problem));
    }
    for object in schema::strange_objects(conn).await? {
        audit.push(Fault::new(FaultKind::Schema, object));
    }
    if !audit.is_sound() {
        // Rows of a damaged file cannot be walked to see what they refer to.
        return Ok(());
    }
    let orphans: Vec<String> =
        sqlx::query_scalar("SELECT \"table\" FROM pragma_foreign_key_check").fetch_all(conn).await?;
    for table in orphans {
        audit.push(Fault::new(FaultKind::Structure, format!("a row of {table} refers to nothing")));
    }
    Ok(())
}

/// Recomputes every hash of the chain, oldest first.
async fn chain_of(conn: &mut SqliteConnection, audit: &mut Audit) -> Result<(), ShopError> {
    // The places are listed first: one altered place must not make the walk
    // step through all numbers up to it.
    let places: Vec<i64> =
        sqlx::query_scalar("SELECT seq FROM event ORDER BY seq").fetch_all(&mut *conn).await?;
    let mut walk = ChainWalk { seq: 0, hash: Some(NO_HASH.to_owned()) };
    for part in places.chunks(EVENTS_PER_STEP) {
        match events_in(conn, part).await {
            Ok(events) => events.iter().for_each(|event| walk.take(event, audit)),
            Err(error) if is_damage(&error) => {
                for place in part {
                    let one = events_in(conn, std::slice::from_ref(place)).await;
                    match noted(one, audit, |fault| fault.at(*place))? {
                        Some(events) => events.iter().for_each(|event| walk.take(event, audit)),
                        None => walk.pass(*place),
                    }
                }
            }
            Err(other) => return Err(other),
        }
    }
    Ok(())
}

/// The events from the first place of a part to its last.
async fn events_in(conn: &mut SqliteConnection, part: &[i64]) -> Result<Vec<Event>, ShopError> {
    match (part.first(), part.last()) {
        (Some(first), Some(last)) => rows::chain_part(conn, first - 1, *last).await,
        _ => Ok(Vec::new()),
    }
}

/// The walk along the chain.
struct ChainWalk {
    /// Place of the event before.
    seq: i64,
    /// Its hash; `None` where it was itself at fault, so that one altered event
    /// is listed once.
    hash: Option<String>,
}

impl ChainWalk {
    fn take(&mut self, event: &Event, audit: &mut Audit) {
        audit.events += 1;
        if event.seq != self.seq + 1 {
            audit.push(Fault::new(FaultKind::EventMissing, "").at(self.seq + 1));
            self.hash = None;
        }
        let is_whole = event.hash == chain::hash(event);
        let follows = self.hash.as_ref().is_none_or(|hash| *hash == event.prev_hash);
        if !is_whole {
            audit.push(Fault::event(FaultKind::EventAltered, event));
        } else if !follows {
            audit.push(Fault::event(FaultKind::EventMoved, event));
        }
        self.seq = event.seq;
        self.hash = is_whole.then(|| event.hash.clone());
    }

    /// Goes past an event that cannot be read.
    fn pass(&mut self, seq: i64) {
        self.seq = seq;
        self.hash = None;
    }
}

/// Compares every document with the fold of its events, and that its versions
/// run 1, 2, 3 … without a gap.
async fn projection(conn: &mut SqliteConnection, audit: &mut Audit) -> Result<(), ShopError> {
    for subject in Subject::ALL {
        let sql = "SELECT id FROM document WHERE subject = $1 ORDER BY id";
        let ids = sqlx::query_scalar(sql).bind(subject.word()).fetch_all(&mut *conn).await;
        let Some(ids): Option<Vec<String>> = noted(ids.map_err(ShopError::from), audit, |fault| fault)?
        else {
            continue;
        };
        for part in ids.chunks(DOCUMENTS_PER_STEP) {
            match compare(conn, subject, part, audit).await {
                Err(error) if is_damage(&error) => {
                    for id in part {
                        let one = compare(conn, subject, std::slice::from_ref(id), audit).await;
                        noted(one, audit, |fault| fault.of(subject, id))?;
                    }
                }
                other => other?,
            }
        }
    }
    Ok(())
}

/// Compares some documents, named in order, with their events.
async fn compare(
    conn: &mut SqliteConnection,
    subject: Subject,
    ids: &[String],
    audit: &mut Audit,
) -> Result<(), ShopError> {
    let (Some(first), Some(last)) = (ids.first(), ids.last()) else { return Ok(()) };
    // One transaction, so that a write in between is no fault.
    let mut tx = conn.begin().await?;
    let documents = rows::documents_between(&mut tx, subject, first, last).await?;
    let events = rows::events_between(&mut tx, subject, first, last).await?;
    tx.commit().await?;
    let mut histories: BTreeMap<String, Vec<Event>> = BTreeMap::new();
    for event in events {
        histories.entry(event.subject_id.clone()).or_default().push(event);
    }
    audit.documents += documents.len();
    for document in &documents {
        let history = histories.get(&document.id).map_or(&[][..], Vec::as_slice);
        compare_one(document, history, audit);
    }
    Ok(())
}

fn compare_one(document: &Document, history: &[Event], audit: &mut Audit) {
    let fault = |kind| Fault::new(kind, "").of(document.subject, &document.id);
    let Some(expected) = document_of(history).filter(|_| versions_are_dense(history)) else {
        audit.push(fault(FaultKind::VersionGap));
        return;
    };
    let stamps = |d: &Document| {
        [
            ("its version", d.version.to_string()),
            ("who made it", d.created_by.clone()),
            ("when it was made, in ms", d.created_at_ms.to_string()),
            ("who changed it last", d.changed_by.clone()),
            ("when it was changed last, in ms", d.changed_at_ms.to_string()),
        ]
    };
    for ((name, expected), (_, found)) in stamps(&expected).into_iter().zip(stamps(document)) {
        if expected != found {
            audit.push(fault(FaultKind::Stamp).texts(name, Some(&expected), Some(&found)));
        }
    }
    let paths: BTreeSet<&String> = expected.values.keys().chain(document.values.keys()).collect();
    for path in paths {
        let (expected, found) = (expected.values.get(path), document.values.get(path));
        if expected != found {
            let texts = (expected.map(String::as_str), found.map(String::as_str));
            audit.push(fault(FaultKind::Value).texts(path, texts.0, texts.1));
        }
    }
    befores(history, audit);
}

/// Holds the text before each change against what the changes before it made.
fn befores(history: &[Event], audit: &mut Audit) {
    let mut values = BTreeMap::new();
    for event in history {
        for change in &event.changes {
            let (expected, found) = (values.get(&change.path).map(String::as_str), change.before.as_deref());
            if expected != found {
                audit.push(Fault::event(FaultKind::EventAltered, event).texts(&change.path, expected, found));
            }
        }
        apply(&mut values, &event.changes);
    }
}

/// Whether versions run 1, 2, 3 … without a gap.
fn versions_are_dense(events: &[Event]) -> bool {
    !events.is_empty() && events.iter().zip(1..).all(|(event, version)| event.version == version)
}
