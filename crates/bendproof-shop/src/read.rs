//! Looking things up: documents now and then, their history, and lists.
//!
//! Every call but [`Shop::next_undo`] is one query, so what it returns belongs
//! together even while others write.

use sqlx::sqlite::Sqlite;
use sqlx::{QueryBuilder, Row};

use crate::error::ShopError;
use crate::limits;
use crate::model::{Document, Event, Subject, Summary, fold};
use crate::rows::{self, document_sql, each_document};
use crate::shop::Shop;

impl Shop {
    /// A document as it is now.
    ///
    /// # Errors
    /// [`ShopError::NotFound`], or a storage error.
    pub async fn document(&self, subject: Subject, id: &str) -> Result<Document, ShopError> {
        let mut conn = self.reader().await?;
        rows::document(&mut conn, subject, id).await?.ok_or_else(|| not_found(subject, id))
    }

    /// A document as it was at `version`, 1 to its newest, read from its events
    /// alone.
    ///
    /// # Errors
    /// [`ShopError::NotFound`], [`ShopError::UnknownVersion`], or a storage
    /// error.
    pub async fn document_at(&self, subject: Subject, id: &str, version: i64) -> Result<Document, ShopError> {
        let events = {
            let mut conn = self.reader().await?;
            rows::events(&mut conn, subject, id, 0, version).await?
        };
        match document_of(&events) {
            Some(document) if document.version == version => Ok(document),
            _ => {
                let newest = self.document(subject, id).await?.version;
                Err(ShopError::UnknownVersion { subject, id: id.to_owned(), asked: version, newest })
            }
        }
    }

    /// All events of a document, oldest first.
    ///
    /// # Errors
    /// [`ShopError::NotFound`], or a storage error.
    pub async fn history(&self, subject: Subject, id: &str) -> Result<Vec<Event>, ShopError> {
        let mut conn = self.reader().await?;
        let events = rows::events(&mut conn, subject, id, 0, i64::MAX).await?;
        // A document always has the event that created it.
        if events.is_empty() { Err(not_found(subject, id)) } else { Ok(events) }
    }

    /// The events of a document after `version`, oldest first; empty where
    /// nothing happened since, or where the id is unknown.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn history_since(
        &self,
        subject: Subject,
        id: &str,
        version: i64,
    ) -> Result<Vec<Event>, ShopError> {
        let mut conn = self.reader().await?;
        rows::events(&mut conn, subject, id, version, i64::MAX).await
    }

    /// The newest events of a document, at most `most`, oldest of them first. It
    /// costs no more where a long history stands before them.
    ///
    /// # Errors
    /// [`ShopError::NotFound`], or a storage error.
    pub async fn latest(&self, subject: Subject, id: &str, most: usize) -> Result<Vec<Event>, ShopError> {
        let most = i64::try_from(most).unwrap_or(i64::MAX).max(1);
        let mut conn = self.reader().await?;
        let events = rows::latest_events(&mut conn, subject, id, most).await?;
        if events.is_empty() { Err(not_found(subject, id)) } else { Ok(events) }
    }

    /// Whether [`Shop::undo`] would find a change to take back; no for an id that
    /// is unknown.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn can_undo(&self, subject: Subject, id: &str) -> Result<bool, ShopError> {
        let mut conn = self.reader().await?;
        Ok(rows::next_undo(&mut conn, subject, id).await?.is_some())
    }

    /// Whether a document holds an event with this token: the request was sent
    /// before.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn was_sent(&self, subject: Subject, id: &str, token: &str) -> Result<bool, ShopError> {
        let mut conn = self.reader().await?;
        Ok(rows::event_with_token(&mut conn, subject, id, token).await?.is_some())
    }

    /// The id of the document that was created with this token, if one was.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn created_with(&self, subject: Subject, token: &str) -> Result<Option<String>, ShopError> {
        let sql = "SELECT subject_id FROM event WHERE subject = $1 AND token = $2 AND kind = 'create'";
        let mut conn = self.reader().await?;
        let query = sqlx::query_scalar(sql).bind(subject.word()).bind(token);
        Ok(query.fetch_optional(&mut *conn).await?)
    }

    /// Place of the newest event of the whole shop, 0 for none, and every
    /// document that an event after `seq` belongs to, each once. It tells what
    /// to read again, whoever wrote it.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn touched_since(&self, seq: i64) -> Result<(i64, Vec<(Subject, String)>), ShopError> {
        let sql = "SELECT subject, subject_id, max(seq) FROM event WHERE seq > $1 \
                   GROUP BY subject, subject_id";
        let mut conn = self.reader().await?;
        let (mut head, mut touched) = (seq, Vec::new());
        for row in sqlx::query(sql).bind(seq).fetch_all(&mut *conn).await? {
            head = head.max(row.try_get(2)?);
            touched.push((rows::subject_from(row.try_get(0)?)?, row.try_get(1)?));
        }
        Ok((head, touched))
    }

    /// The stamps of a document and every change made with a reason, oldest
    /// first: what was judged, and what was amended since.
    ///
    /// # Errors
    /// Only what the storage reports; an unknown id has none.
    pub async fn stamps_and_reasons(&self, subject: Subject, id: &str) -> Result<Vec<Event>, ShopError> {
        let mut conn = self.reader().await?;
        rows::stamps_and_reasons(&mut conn, subject, id).await
    }

    /// The change that [`Shop::undo`] would take back now.
    ///
    /// # Errors
    /// Only what the storage reports; an unknown id has none.
    pub async fn next_undo(&self, subject: Subject, id: &str) -> Result<Option<Event>, ShopError> {
        let mut conn = self.reader().await?;
        match rows::next_undo(&mut conn, subject, id).await? {
            Some(version) => Ok(rows::events(&mut conn, subject, id, version - 1, version).await?.pop()),
            None => Ok(None),
        }
    }

    /// All coupons or all persons, the latest changed first, each with the asked
    /// values only. A path that ends in `.*` asks for the whole branch below it
    /// (`strap.*`). One query, however long the list.
    ///
    /// # Errors
    /// [`ShopError::OutOfRange`] for a malformed path or more than
    /// [`crate::PATHS_PER_QUERY_MAX`] paths, or a storage error.
    pub async fn list(&self, subject: Subject, paths: &[&str]) -> Result<Vec<Summary>, ShopError> {
        let mut query = select_values(subject, paths)?;
        query.push(concat!(each_document!(), " ORDER BY d.changed_at_ms DESC, d.id"));
        let mut conn = self.reader().await?;
        rows::documents_from(&query.build().fetch_all(&mut *conn).await?)
    }

    /// Coupons as they stand, by id: the shop's own plates as evidence. Gives the
    /// first `at_most` coupons whose id comes after `after`, in the order of their
    /// ids; an empty answer is the end. A large shop is so read in parts, and never
    /// stands in memory as a whole.
    ///
    /// # Errors
    /// Only what the storage reports.
    pub async fn coupons_after(&self, after: &str, at_most: u32) -> Result<Vec<Document>, ShopError> {
        let sql = document_sql!(
            " WHERE d.subject = $1 AND d.id IN \
             (SELECT id FROM document WHERE subject = $1 AND id > $2 ORDER BY id LIMIT $3)",
            each_document!(),
            " ORDER BY d.id"
        );
        let mut conn = self.reader().await?;
        let query = sqlx::query(sql).bind(Subject::Coupon.word()).bind(after).bind(i64::from(at_most));
        rows::documents_from(&query.fetch_all(&mut *conn).await?)
    }
}

/// The query behind the lists, still without its order.
fn select_values(subject: Subject, paths: &[&str]) -> Result<QueryBuilder<Sqlite>, ShopError> {
    let step = "ask for a branch such as strap.*";
    limits::count("paths in one query", paths.len(), limits::PATHS_PER_QUERY_MAX, step)?;
    for path in paths {
        limits::query_path(path)?;
    }
    // The conditions stand in the join, so that a document without any of the
    // paths is listed as well.
    let mut query = QueryBuilder::new(document_sql!(" AND ("));
    let exact: Vec<&&str> = paths.iter().filter(|path| !path.ends_with('*')).collect();
    if exact.is_empty() {
        query.push("FALSE");
    } else {
        // IN alone is looked up in the primary key; joined to anything by OR it
        // makes SQLite read every value of every document.
        let mut list = query.push("v.path IN (").separated(", ");
        for path in exact {
            list.push_bind((*path).to_owned());
        }
        query.push(")");
    }
    for branch in paths.iter().filter_map(|path| path.strip_suffix(".*")) {
        // A range, because LIKE would read the `_` of a path as a wildcard. `/`
        // is the byte after `.`, and paths hold neither `/` nor other bytes
        // between; another database must compare this column by bytes too.
        query.push(" OR (v.path > ").push_bind(format!("{branch}."));
        query.push(" AND v.path < ").push_bind(format!("{branch}/")).push(")");
    }
    query.push(") WHERE d.subject = ").push_bind(subject.word());
    Ok(query)
}

/// The document that a complete run of events, from version 1 on, adds up to.
pub(crate) fn document_of(events: &[Event]) -> Option<Document> {
    let (first, last) = (events.first()?, events.last()?);
    Some(Document {
        subject: last.subject,
        id: last.subject_id.clone(),
        version: last.version,
        values: fold(events),
        created_at_ms: first.at_ms,
        created_by: first.who.clone(),
        changed_at_ms: last.at_ms,
        changed_by: last.who.clone(),
    })
}

/// [`ShopError::NotFound`] for this id.
pub(crate) fn not_found(subject: Subject, id: &str) -> ShopError {
    ShopError::NotFound { subject, id: id.to_owned() }
}
