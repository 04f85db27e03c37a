//! Writing things down: create, change, undo and redo.
//!
//! Every write is one `BEGIN IMMEDIATE` transaction that reads the document,
//! decides, appends one event, and carries it into the projection. It returns
//! only after the commit reached the disk.

use std::collections::BTreeMap;

use sqlx::Connection;
use sqlx::sqlite::SqliteConnection;

use crate::chain::{self, NO_HASH};
use crate::error::ShopError;
use crate::limits;
use crate::model::{By, Change, Document, Edit, Event, EventKind, Stamp, Subject, apply};
use crate::read::{document_of, not_found};
use crate::rows;
use crate::shop::Shop;

/// One request to write.
struct Request<'a> {
    subject: Subject,
    id: &'a str,
    /// The version the caller has read; 0 where nothing is there yet.
    expected_version: i64,
    kind: EventKind,
    /// Empty for undo and redo, which find their changes in the history.
    edits: &'a [Edit],
    by: &'a By<'a>,
}

impl Shop {
    /// Creates a coupon with its first values; see [`Shop::create`].
    ///
    /// # Errors
    /// As [`Shop::create`].
    pub async fn create_coupon(&self, id: &str, edits: &[Edit], by: &By<'_>) -> Result<Document, ShopError> {
        self.create(Subject::Coupon, id, edits, by).await
    }

    /// Creates a person with the first values; see [`Shop::create`].
    ///
    /// # Errors
    /// As [`Shop::create`].
    pub async fn create_person(&self, id: &str, edits: &[Edit], by: &By<'_>) -> Result<Document, ShopError> {
        self.create(Subject::Person, id, edits, by).await
    }

    /// Creates a document at version 1. With no edits it is empty.
    ///
    /// # Errors
    /// [`ShopError::AlreadyExists`], [`ShopError::OutOfRange`],
    /// [`ShopError::DuplicatePath`], [`ShopError::TokenReused`], or a storage
    /// error.
    pub async fn create(
        &self,
        subject: Subject,
        id: &str,
        edits: &[Edit],
        by: &By<'_>,
    ) -> Result<Document, ShopError> {
        self.write(&Request { subject, id, expected_version: 0, kind: EventKind::Create, edits, by }).await
    }

    /// Changes a document that the caller has read at `expected_version`.
    ///
    /// Edits that change nothing are left out; where none is left, no event is
    /// appended and the document comes back as it is. Where the document has
    /// moved on, the answer is a conflict even if the edits would not meet;
    /// [`crate::disjoint`] helps the page to offer them again.
    ///
    /// # Errors
    /// [`ShopError::Conflict`], [`ShopError::NotFound`],
    /// [`ShopError::UnknownVersion`], [`ShopError::OutOfRange`],
    /// [`ShopError::DuplicatePath`], [`ShopError::TokenReused`], or a storage
    /// error. After [`ShopError::Disk`] send the same request with the same
    /// token to learn whether it was kept.
    pub async fn change(
        &self,
        subject: Subject,
        id: &str,
        expected_version: i64,
        edits: &[Edit],
        by: &By<'_>,
    ) -> Result<Document, ShopError> {
        self.write(&Request { subject, id, expected_version, kind: EventKind::Change, edits, by }).await
    }

    /// Takes back the newest change that is still in force, by a new event that
    /// restores the values before it.
    ///
    /// Undo again takes back the change before that, down to the creation, which
    /// stays. Undoing an undo is [`Shop::redo`]. Example: after changes 2 and 3,
    /// undo (version 4) reverses 3, undo (5) reverses 2, redo (6) makes 2 again;
    /// a change (7) now ends redo, and the next undo reverses 7, then 2.
    ///
    /// # Errors
    /// [`ShopError::NothingToUndo`], and as [`Shop::change`].
    pub async fn undo(
        &self,
        subject: Subject,
        id: &str,
        expected_version: i64,
        by: &By<'_>,
    ) -> Result<Document, ShopError> {
        self.write(&Request { subject, id, expected_version, kind: EventKind::Undo, edits: &[], by }).await
    }

    /// Makes the change again that was undone last, by a new event. Possible
    /// until someone makes another change.
    ///
    /// # Errors
    /// [`ShopError::NothingToRedo`], and as [`Shop::change`].
    pub async fn redo(
        &self,
        subject: Subject,
        id: &str,
        expected_version: i64,
        by: &By<'_>,
    ) -> Result<Document, ShopError> {
        self.write(&Request { subject, id, expected_version, kind: EventKind::Redo, edits: &[], by }).await
    }

    /// Stamps a verdict, in words and with its code, on a document that the
    /// caller has read at `expected_version`. Later changes stay possible; what
    /// they need is for the caller to say, who finds them by
    /// [`Shop::stamps_and_reasons`].
    ///
    /// # Errors
    /// As [`Shop::change`].
    pub async fn stamp(
        &self,
        subject: Subject,
        id: &str,
        expected_version: i64,
        [word, code]: [&str; 2],
        by: &By<'_>,
    ) -> Result<Document, ShopError> {
        let stamp = Stamp { word: word.to_owned(), code: code.to_owned(), version: expected_version };
        let edits = stamp.edits();
        let kind = EventKind::Stamp;
        self.write(&Request { subject, id, expected_version, kind, edits: &edits, by }).await
    }

    /// Checks a request before touching the file, then runs it.
    async fn write(&self, request: &Request<'_>) -> Result<Document, ShopError> {
        limits::id(request.id)?;
        limits::edits(request.edits)?;
        if request.kind != EventKind::Stamp {
            limits::outside_stamp(request.edits)?;
        }
        limits::by(request.by)?;
        let mut conn = self.writer().await?;
        let result = in_transaction(&mut conn, request).await;
        self.settle(conn, result).await
    }
}

/// Runs one request; any error on the way rolls all of it back.
async fn in_transaction(conn: &mut SqliteConnection, request: &Request<'_>) -> Result<Document, ShopError> {
    // IMMEDIATE takes the write lock before the document is read. With a plain
    // BEGIN two writers could both read version 3 and one would fail late.
    let mut tx = conn.begin_with("BEGIN IMMEDIATE").await?;
    let document = answer(&mut tx, request).await?;
    tx.commit().await?;
    Ok(document)
}

/// Decides what a request does and does it.
async fn answer(conn: &mut SqliteConnection, request: &Request<'_>) -> Result<Document, ShopError> {
    let (subject, id) = (request.subject, request.id);
    if let Some(token) = request.by.token
        && let Some(event) = rows::event_with_token(conn, subject, id, token).await?
    {
        return earlier_result(conn, request, &event).await;
    }
    let current = match (rows::document(conn, subject, id).await?, request.kind) {
        (Some(_), EventKind::Create) => {
            return Err(ShopError::AlreadyExists { subject, id: id.to_owned() });
        }
        (None, EventKind::Create) => {
            count_given_number(conn, request).await?;
            unborn(request)
        }
        (None, _) => return Err(not_found(subject, id)),
        (Some(current), _) => {
            check_version(conn, request, &current).await?;
            current
        }
    };
    let (reverses, changes) = wanted_changes(conn, request, &current).await?;
    if changes.is_empty() && request.kind != EventKind::Create {
        return Ok(current);
    }
    append(conn, request, current, reverses, changes).await
}

/// Takes a number given by hand into the count, so that the shop's own numbers
/// go on after it.
async fn count_given_number(conn: &mut SqliteConnection, request: &Request<'_>) -> Result<(), ShopError> {
    let Some(number) = Some(request.id).filter(|_| request.subject == Subject::Coupon).and_then(plain_number)
    else {
        return Ok(());
    };
    let sql = "INSERT INTO counter (name, value) VALUES ('coupon', $1) ON CONFLICT (name) DO UPDATE \
               SET value = CASE WHEN counter.value < $1 THEN $1 ELSE counter.value END";
    sqlx::query(sql).bind(number).execute(conn).await?;
    Ok(())
}

/// A coupon id that is a number of at most nine digits, leading zeros allowed.
/// A longer one is a date or a serial number, which the count must not follow.
fn plain_number(id: &str) -> Option<i64> {
    let is_plain = !id.is_empty() && id.len() <= 9 && id.bytes().all(|b| b.is_ascii_digit());
    is_plain.then(|| id.parse().ok()).flatten()
}

/// The document before its first event.
fn unborn(request: &Request<'_>) -> Document {
    Document {
        subject: request.subject,
        id: request.id.to_owned(),
        version: 0,
        values: BTreeMap::new(),
        created_at_ms: request.by.at_ms,
        created_by: request.by.who.to_owned(),
        changed_at_ms: request.by.at_ms,
        changed_by: request.by.who.to_owned(),
    }
}

/// What the same request returned the first time.
///
/// A token that comes back with another request is a mistake of the sender, and
/// answering it with the earlier result would silently drop the new change.
async fn earlier_result(
    conn: &mut SqliteConnection,
    request: &Request<'_>,
    event: &Event,
) -> Result<Document, ShopError> {
    let events = rows::events(conn, request.subject, request.id, 0, event.version).await?;
    let then = document_of(&events).ok_or_else(|| not_found(request.subject, request.id))?;
    let asked_alike = match event.kind {
        // What these carry follows from the document, not from the sender.
        EventKind::Undo | EventKind::Redo | EventKind::Stamp => true,
        EventKind::Create | EventKind::Change => {
            let holds = |edit: &Edit| then.values.get(&edit.path) == edit.value.as_ref();
            let asked = |change: &Change| request.edits.iter().any(|edit| edit.path == change.path);
            request.edits.iter().all(holds) && event.changes.iter().all(asked)
        }
    };
    if event.kind == request.kind && asked_alike {
        return Ok(then);
    }
    Err(ShopError::TokenReused {
        subject: request.subject,
        id: request.id.to_owned(),
        token: request.by.token.unwrap_or_default().to_owned(),
        version: event.version,
    })
}

/// Refuses a request made on another version than the current one.
async fn check_version(
    conn: &mut SqliteConnection,
    request: &Request<'_>,
    current: &Document,
) -> Result<(), ShopError> {
    let (subject, id, asked) = (request.subject, request.id, request.expected_version);
    if asked == current.version {
        return Ok(());
    }
    if asked < 1 || asked > current.version {
        let newest = current.version;
        return Err(ShopError::UnknownVersion { subject, id: id.to_owned(), asked, newest });
    }
    let since = rows::events(conn, subject, id, asked, current.version).await?;
    Err(ShopError::Conflict { current: Box::new(current.clone()), ours: asked, since })
}

/// The changes a request makes to the current values, and the version that an
/// undo or redo reverses.
async fn wanted_changes(
    conn: &mut SqliteConnection,
    request: &Request<'_>,
    current: &Document,
) -> Result<(Option<i64>, Vec<Change>), ShopError> {
    let (subject, id) = (request.subject, request.id);
    let version = match request.kind {
        EventKind::Create | EventKind::Change | EventKind::Stamp => {
            return Ok((None, changes_from(&current.values, request.edits)));
        }
        EventKind::Undo => rows::next_undo(conn, subject, id).await?,
        EventKind::Redo => rows::undone(conn, subject, id).await?.pop(),
    };
    let Some(version) = version else {
        let id = id.to_owned();
        return Err(if request.kind == EventKind::Undo {
            ShopError::NothingToUndo { subject, id }
        } else {
            ShopError::NothingToRedo { subject, id }
        });
    };
    let mut changes: Vec<Change> = rows::events(conn, subject, id, version - 1, version)
        .await?
        .into_iter()
        .flat_map(|e| e.changes)
        .collect();
    if request.kind == EventKind::Undo {
        for change in &mut changes {
            std::mem::swap(&mut change.before, &mut change.after);
        }
    }
    Ok((Some(version), changes))
}

/// The edits that change something, with the value before each.
fn changes_from(values: &BTreeMap<String, String>, edits: &[Edit]) -> Vec<Change> {
    let change = |edit: &Edit| Change {
        path: edit.path.clone(),
        before: values.get(&edit.path).cloned(),
        after: edit.value.clone(),
    };
    edits.iter().map(change).filter(|change| change.before != change.after).collect()
}

/// Appends one event and carries it into the projection.
async fn append(
    conn: &mut SqliteConnection,
    request: &Request<'_>,
    current: Document,
    reverses: Option<i64>,
    changes: Vec<Change>,
) -> Result<Document, ShopError> {
    let by = request.by;
    let mut next = current;
    next.version = limits::next_version(next.version)?;
    next.changed_at_ms = by.at_ms;
    by.who.clone_into(&mut next.changed_by);
    apply(&mut next.values, &changes);
    let step = "remove paths that are no longer needed, or begin another document";
    limits::count("paths in one document", next.values.len(), limits::PATHS_PER_DOCUMENT_MAX, step)?;

    let (head, prev_hash) = rows::chain_head(conn).await?.unwrap_or((0, NO_HASH.to_owned()));
    let mut event = Event {
        seq: head + 1,
        subject: next.subject,
        subject_id: next.id.clone(),
        version: next.version,
        at_ms: by.at_ms,
        who: by.who.to_owned(),
        kind: request.kind,
        reverses,
        note: by.note.map(str::to_owned),
        token: by.token.map(str::to_owned),
        changes,
        prev_hash,
        hash: String::new(),
    };
    event.hash = chain::hash(&event);
    keep_document(conn, &next).await?;
    keep_event(conn, &event).await?;
    for (ordinal, change) in event.changes.iter().enumerate() {
        keep_change(conn, &event, ordinal as i64, change).await?;
    }
    Ok(next)
}

/// Writes the document's own row.
async fn keep_document(conn: &mut SqliteConnection, document: &Document) -> Result<(), ShopError> {
    let sql = "INSERT INTO document \
               (subject, id, version, created_at_ms, created_by, changed_at_ms, changed_by) \
               VALUES ($1, $2, $3, $4, $5, $6, $7) \
               ON CONFLICT (subject, id) DO UPDATE SET version = excluded.version, \
               changed_at_ms = excluded.changed_at_ms, changed_by = excluded.changed_by";
    sqlx::query(sql)
        .bind(document.subject.word())
        .bind(&document.id)
        .bind(document.version)
        .bind(document.created_at_ms)
        .bind(&document.created_by)
        .bind(document.changed_at_ms)
        .bind(&document.changed_by)
        .execute(conn)
        .await?;
    Ok(())
}

/// Appends the event's own row.
async fn keep_event(conn: &mut SqliteConnection, event: &Event) -> Result<(), ShopError> {
    let sql = "INSERT INTO event (seq, subject, subject_id, version, at_ms, who, kind, reverses, note, token, \
               prev_hash, hash) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)";
    sqlx::query(sql)
        .bind(event.seq)
        .bind(event.subject.word())
        .bind(&event.subject_id)
        .bind(event.version)
        .bind(event.at_ms)
        .bind(&event.who)
        .bind(event.kind.word())
        .bind(event.reverses)
        .bind(&event.note)
        .bind(&event.token)
        .bind(&event.prev_hash)
        .bind(&event.hash)
        .execute(conn)
        .await?;
    Ok(())
}

/// Appends one change of an event and carries it into the current values.
async fn keep_change(
    conn: &mut SqliteConnection,
    event: &Event,
    ordinal: i64,
    change: &Change,
) -> Result<(), ShopError> {
    let sql = "INSERT INTO event_change (seq, ordinal, path, before_value, after_value) \
               VALUES ($1, $2, $3, $4, $5)";
    sqlx::query(sql)
        .bind(event.seq)
        .bind(ordinal)
        .bind(&change.path)
        .bind(&change.before)
        .bind(&change.after)
        .execute(&mut *conn)
        .await?;
    let query = match &change.after {
        Some(after) => sqlx::query(
            "INSERT INTO current_value (subject, id, path, value) VALUES ($1, $2, $3, $4) \
             ON CONFLICT (subject, id, path) DO UPDATE SET value = excluded.value",
        )
        .bind(event.subject.word())
        .bind(&event.subject_id)
        .bind(&change.path)
        .bind(after),
        None => sqlx::query("DELETE FROM current_value WHERE subject = $1 AND id = $2 AND path = $3")
            .bind(event.subject.word())
            .bind(&event.subject_id)
            .bind(&change.path),
    };
    query.execute(conn).await?;
    Ok(())
}
