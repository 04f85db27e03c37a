//! Proving that the file still says what was written: the chain of events, the
//! projection against the events, and the file's own structure.
//!
//! The chain shows an event that was altered, moved or removed from the middle.
//! It cannot show that the newest events were cut off; the projection does, as
//! long as it was not cut to match. Whoever needs more keeps the head's hash
//! somewhere else ([`ChainReport::head`]).

use sqlx::Connection;

use crate::chain::{self, NO_HASH};
use crate::error::ShopError;
use crate::model::{Event, Subject};
use crate::read::document_of;
use crate::rows;
use crate::shop::Shop;

/// How many events one step of the audit reads, a count; bounds its memory.
/// Basis: choice.
const EVENTS_PER_STEP: i64 = 1_000;

/// What [`Shop::verify_chain`] found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChainReport {
    /// How many events were checked and found right.
    pub events: i64,
    /// Hash of the last right event, 64 hexadecimal digits; zeros without one.
    pub head: String,
    /// The first broken link, if any.
    pub broken: Option<BrokenLink>,
}

/// The first place where the chain does not hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BrokenLink {
    /// Place of the event in the chain.
    pub seq: i64,
    /// What does not hold.
    pub fault: LinkFault,
}

/// How a link of the chain can be broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LinkFault {
    /// The event is missing.
    Missing,
    /// The event names another event before it than the one that is there.
    WrongPrevious,
    /// The event's content does not give its hash: it was altered.
    WrongHash,
}

/// The first document whose projection does not match its events.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProjectionFault {
    /// What the document is about.
    pub subject: Subject,
    /// Its id.
    pub id: String,
    /// What does not match, in words.
    pub what: &'static str,
}

impl Shop {
    /// Recomputes every hash of the chain, oldest first, up to the first broken
    /// link.
    ///
    /// # Errors
    /// Only what the storage reports; a broken link is a result.
    pub async fn verify_chain(&self) -> Result<ChainReport, ShopError> {
        let mut report = ChainReport { events: 0, head: NO_HASH.to_owned(), broken: None };
        let mut conn = self.reader().await?;
        let newest = rows::chain_head(&mut conn).await?.map_or(0, |(seq, _)| seq);
        while report.events < newest && report.broken.is_none() {
            let up_to = newest.min(report.events + EVENTS_PER_STEP);
            let events = rows::chain_part(&mut conn, report.events, up_to).await?;
            for event in &events {
                report.take(event);
            }
            if report.broken.is_none() && report.events < up_to {
                report.break_at(report.events + 1, LinkFault::Missing);
            }
        }
        Ok(report)
    }

    /// Compares every document with the fold of its events, and that its
    /// versions run 1, 2, 3 … without a gap. Returns the first fault.
    ///
    /// # Errors
    /// Only what the storage reports; a fault is a result.
    pub async fn verify_projection(&self) -> Result<Option<ProjectionFault>, ShopError> {
        for subject in Subject::ALL {
            for summary in self.list(subject, &[]).await? {
                let (document, events) = {
                    let mut conn = self.reader().await?;
                    // One transaction, so that a write in between is no fault.
                    let mut tx = conn.begin().await?;
                    let document = rows::document(&mut tx, subject, &summary.id).await?;
                    let events = rows::events(&mut tx, subject, &summary.id, 0, i64::MAX).await?;
                    tx.commit().await?;
                    (document, events)
                };
                let what = if !versions_are_dense(&events) {
                    "the versions of its events have a gap"
                } else if document_of(&events) != document {
                    "its current values are not what its events add up to"
                } else {
                    continue;
                };
                return Ok(Some(ProjectionFault { subject, id: summary.id, what }));
            }
        }
        Ok(None)
    }

    /// Asks SQLite to check the structure of the whole file and its references.
    /// Returns the problems in its own words; empty means sound.
    ///
    /// # Errors
    /// Only storage trouble other than damage; damage is a result.
    pub async fn verify_file(&self) -> Result<Vec<String>, ShopError> {
        match self.structure_problems().await {
            // Some damage stops the check itself, which is a finding too.
            Err(ShopError::Damaged { detail }) => Ok(vec![detail]),
            other => other,
        }
    }

    async fn structure_problems(&self) -> Result<Vec<String>, ShopError> {
        let mut conn = self.reader().await?;
        let mut problems: Vec<String> =
            sqlx::query_scalar("PRAGMA integrity_check").fetch_all(&mut *conn).await?;
        problems.retain(|problem| problem != "ok");
        if !problems.is_empty() {
            // Rows of a damaged file cannot be walked to see what they refer to.
            return Ok(problems);
        }
        let orphans: Vec<String> = sqlx::query_scalar("SELECT \"table\" FROM pragma_foreign_key_check")
            .fetch_all(&mut *conn)
            .await?;
        problems.extend(orphans.into_iter().map(|table| format!("a row of {table} refers to nothing")));
        Ok(problems)
    }
}

impl ChainReport {
    /// Checks the next event against what was found so far.
    fn take(&mut self, event: &Event) {
        if self.broken.is_some() {
            return;
        }
        if event.seq != self.events + 1 {
            self.break_at(self.events + 1, LinkFault::Missing);
        } else if event.prev_hash != self.head {
            self.break_at(event.seq, LinkFault::WrongPrevious);
        } else if event.hash != chain::hash(event) {
            self.break_at(event.seq, LinkFault::WrongHash);
        } else {
            self.events = event.seq;
            self.head.clone_from(&event.hash);
        }
    }

    fn break_at(&mut self, seq: i64, fault: LinkFault) {
        self.broken = Some(BrokenLink { seq, fault });
    }
}

/// Whether versions run 1, 2, 3 … without a gap.
fn versions_are_dense(events: &[Event]) -> bool {
    !events.is_empty() && events.iter().zip(1..).all(|(event, version)| event.version == version)
}
