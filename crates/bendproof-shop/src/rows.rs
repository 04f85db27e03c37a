//! Rows of the shop file read back as documents and events.
//!
//! The functions take one connection, so that a caller decides whether they run
//! inside a write or on their own; they check nothing about the request.

use sqlx::Row;
use sqlx::sqlite::{SqliteConnection, SqliteRow};

use crate::error::ShopError;
use crate::model::{Change, Document, Event, EventKind, Subject, take_undone};

/// Selects documents with their values, one row per document: handing a row over
/// costs more than reading a value. What is no text is damage, and null here, which
/// no value reads from. [`each_document`] follows the condition.
macro_rules! document_sql {
    ($($rest:expr),+) => {
        concat!(
            "SELECT d.subject, d.id, d.version, d.created_at_ms, d.created_by, d.changed_at_ms, d.changed_by, ",
            "json_group_object(v.path, CASE typeof(v.value) WHEN 'text' THEN v.value END) ",
            "FILTER (WHERE v.path IS NOT NULL) FROM document d ",
            "LEFT JOIN current_value v ON v.subject = d.subject AND v.id = d.id",
            $($rest),+
        )
    };
}

/// What [`document_sql`] groups by.
macro_rules! each_document {
    () => {
        " GROUP BY d.subject, d.id"
    };
}

/// Selects events with their changes, one row per change.
macro_rules! event_sql {
    ($rest:literal) => {
        concat!(
            "SELECT e.seq, e.subject, e.subject_id, e.version, e.at_ms, e.who, e.kind, e.reverses, e.note, ",
            "e.token, e.prev_hash, e.hash, c.path, c.before_value, c.after_value ",
            "FROM event e LEFT JOIN event_change c ON c.seq = e.seq ",
            $rest,
            " ORDER BY e.seq, c.ordinal"
        )
    };
}

pub(crate) use {document_sql, each_document};

/// One document, or `None` where the id is unknown.
pub(crate) async fn document(
    conn: &mut SqliteConnection,
    subject: Subject,
    id: &str,
) -> Result<Option<Document>, ShopError> {
    let sql = document_sql!(" WHERE d.subject = $1 AND d.id = $2", each_document!());
    let rows = sqlx::query(sql).bind(subject.word()).bind(id).fetch_all(conn).await?;
    Ok(documents_from(&rows)?.into_iter().next())
}

/// The events of one document with versions in `after + 1 ..= up_to`, oldest
/// first.
pub(crate) async fn events(
    conn: &mut SqliteConnection,
    subject: Subject,
    id: &str,
    after: i64,
    up_to: i64,
) -> Result<Vec<Event>, ShopError> {
    let sql = event_sql!("WHERE e.subject = $1 AND e.subject_id = $2 AND e.version > $3 AND e.version <= $4");
    let query = sqlx::query(sql).bind(subject.word()).bind(id).bind(after).bind(up_to);
    events_from(&query.fetch_all(conn).await?)
}

/// The stamps of one document and its changes with a reason.
pub(crate) async fn stamps_and_reasons(
    conn: &mut SqliteConnection,
    subject: Subject,
    id: &str,
) -> Result<Vec<Event>, ShopError> {
    let sql = event_sql!(
        "WHERE e.subject = $1 AND e.subject_id = $2 AND (e.kind = 'stamp' \
         OR e.kind <> 'create' AND e.note IS NOT NULL)"
    );
    events_from(&sqlx::query(sql).bind(subject.word()).bind(id).fetch_all(conn).await?)
}

/// The event of one document that carries a token.
pub(crate) async fn event_with_token(
    conn: &mut SqliteConnection,
    subject: Subject,
    id: &str,
    token: &str,
) -> Result<Option<Event>, ShopError> {
    let sql = event_sql!("WHERE e.subject = $1 AND e.subject_id = $2 AND e.token = $3");
    let rows = sqlx::query(sql).bind(subject.word()).bind(id).bind(token).fetch_all(conn).await?;
    Ok(events_from(&rows)?.pop())
}

/// The events of the whole shop with `seq` in `after + 1 ..= up_to`.
pub(crate) async fn chain_part(
    conn: &mut SqliteConnection,
    after: i64,
    up_to: i64,
) -> Result<Vec<Event>, ShopError> {
    let sql = event_sql!("WHERE e.seq > $1 AND e.seq <= $2");
    events_from(&sqlx::query(sql).bind(after).bind(up_to).fetch_all(conn).await?)
}

/// The documents of a subject with ids from `first` to `last`, in order.
pub(crate) async fn documents_between(
    conn: &mut SqliteConnection,
    subject: Subject,
    first: &str,
    last: &str,
) -> Result<Vec<Document>, ShopError> {
    let sql = document_sql!(
        " WHERE d.subject = $1 AND d.id >= $2 AND d.id <= $3",
        each_document!(),
        " ORDER BY d.id"
    );
    documents_from(&sqlx::query(sql).bind(subject.word()).bind(first).bind(last).fetch_all(conn).await?)
}

/// Every event of those documents, oldest first.
pub(crate) async fn events_between(
    conn: &mut SqliteConnection,
    subject: Subject,
    first: &str,
    last: &str,
) -> Result<Vec<Event>, ShopError> {
    let sql = event_sql!("WHERE e.subject = $1 AND e.subject_id >= $2 AND e.subject_id <= $3");
    events_from(&sqlx::query(sql).bind(subject.word()).bind(first).bind(last).fetch_all(conn).await?)
}

/// Place and hash of the newest event of the whole shop.
pub(crate) async fn chain_head(conn: &mut SqliteConnection) -> Result<Option<(i64, String)>, ShopError> {
    let sql = "SELECT seq, hash FROM event ORDER BY seq DESC LIMIT 1";
    match sqlx::query(sql).fetch_optional(conn).await? {
        Some(row) => Ok(Some((row.try_get(0)?, row.try_get(1)?))),
        None => Ok(None),
    }
}

/// The newest events of one document, at most `most`, oldest of them first.
pub(crate) async fn latest_events(
    conn: &mut SqliteConnection,
    subject: Subject,
    id: &str,
    most: i64,
) -> Result<Vec<Event>, ShopError> {
    let sql = "SELECT version FROM document WHERE subject = $1 AND id = $2";
    let newest: Option<i64> =
        sqlx::query_scalar(sql).bind(subject.word()).bind(id).fetch_optional(&mut *conn).await?;
    match newest {
        Some(newest) => events(conn, subject, id, newest - most, newest).await,
        None => Ok(Vec::new()),
    }
}

/// The version that the next undo of a document takes back.
///
/// Read from the end of the history, so that a long one costs no more than a
/// short one: after a change it is that change, after a redo the change made
/// again, and after an undo whatever stood before the change it took back. A
/// stamp is walked past: a verdict is not taken out of the world.
pub(crate) async fn next_undo(
    conn: &mut SqliteConnection,
    subject: Subject,
    id: &str,
) -> Result<Option<i64>, ShopError> {
    let sql = "WITH RECURSIVE back (version, kind, reverses) AS ( \
               SELECT e.version, e.kind, e.reverses FROM event e \
               JOIN document d ON d.subject = e.subject AND d.id = e.subject_id AND d.version = e.version \
               WHERE e.subject = $1 AND e.subject_id = $2 \
               UNION ALL \
               SELECT e.version, e.kind, e.reverses FROM back b \
               JOIN event e ON e.subject = $1 AND e.subject_id = $2 \
               AND e.version = CASE b.kind WHEN 'undo' THEN b.reverses - 1 ELSE b.version - 1 END \
               WHERE b.kind IN ('undo', 'stamp')) \
               SELECT coalesce(reverses, version) FROM back WHERE kind IN ('change', 'redo')";
    Ok(sqlx::query_scalar(sql).bind(subject.word()).bind(id).fetch_optional(conn).await?)
}

/// The versions whose changes may be made again, the next one last.
pub(crate) async fn undone(
    conn: &mut SqliteConnection,
    subject: Subject,
    id: &str,
) -> Result<Vec<i64>, ShopError> {
    let sql = "SELECT kind, reverses FROM event WHERE subject = $1 AND subject_id = $2 ORDER BY version";
    let mut undone = Vec::new();
    for row in sqlx::query(sql).bind(subject.word()).bind(id).fetch_all(conn).await? {
        take_undone(&mut undone, kind_from(row.try_get(0)?)?, row.try_get(1)?);
    }
    Ok(undone)
}

/// Reads rows of [`document_sql`].
pub(crate) fn documents_from(rows: &[SqliteRow]) -> Result<Vec<Document>, ShopError> {
    rows.iter().map(document_from).collect()
}

fn document_from(row: &SqliteRow) -> Result<Document, ShopError> {
    Ok(Document {
        subject: subject_from(row.try_get(0)?)?,
        id: row.try_get(1)?,
        version: row.try_get(2)?,
        created_at_ms: row.try_get(3)?,
        created_by: row.try_get(4)?,
        changed_at_ms: row.try_get(5)?,
        changed_by: row.try_get(6)?,
        values: serde_json::from_str(row.try_get(7)?).map_err(|why| sqlx::Error::Decode(why.into()))?,
    })
}

/// Groups rows of [`event_sql`] into events.
fn events_from(rows: &[SqliteRow]) -> Result<Vec<Event>, ShopError> {
    let mut events: Vec<Event> = Vec::new();
    for row in rows {
        let seq: i64 = row.try_get(0)?;
        if events.last().is_none_or(|last| last.seq != seq) {
            events.push(event_from(row, seq)?);
        }
        if let (Some(path), Some(event)) = (row.try_get(12)?, events.last_mut()) {
            let change = Change { path, before: row.try_get(13)?, after: row.try_get(14)? };
            event.changes.push(change);
        }
    }
    Ok(events)
}

/// The event of a row, still without its changes.
fn event_from(row: &SqliteRow, seq: i64) -> Result<Event, ShopError> {
    Ok(Event {
        seq,
        subject: subject_from(row.try_get(1)?)?,
        subject_id: row.try_get(2)?,
        version: row.try_get(3)?,
        at_ms: row.try_get(4)?,
        who: row.try_get(5)?,
        kind: kind_from(row.try_get(6)?)?,
        reverses: row.try_get(7)?,
        note: row.try_get(8)?,
        token: row.try_get(9)?,
        changes: Vec::new(),
        prev_hash: row.try_get(10)?,
        hash: row.try_get(11)?,
    })
}

pub(crate) fn subject_from(word: &str) -> Result<Subject, ShopError> {
    Subject::from_word(word).ok_or_else(|| ShopError::BadRow { what: "subject", value: word.to_owned() })
}

fn kind_from(word: &str) -> Result<EventKind, ShopError> {
    EventKind::from_word(word)
        .ok_or_else(|| ShopError::BadRow { what: "kind of event", value: word.to_owned() })
}
