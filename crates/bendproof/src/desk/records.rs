//! Records of a coupon or a procedure: kept in the shop issue by issue, and
//! printed from what was kept. A record is one document; a new issue adds to it and replaces
//! nothing.

use std::collections::BTreeMap;

use bendproof_bench::desk::{
    Download, Entered, Finding, IssueAsk, IssuedRow, RecordFile, RecordOf, RecordsView, Trouble,
};
use bendproof_paper::{Issued, RecordPaper, record_pdf, workbook};
use bendproof_shop::{By, Edit, ShopError, Subject, VALUE_BYTES_MAX};
use bendproof_traveler::issued::{Issue, Record, RecordKind, file, read_file};

use super::words::now_ms;
use super::{ShopDesk, computing, page_size, trouble};
use crate::command::{issue_time, issued_now};

/// Digits of a hash shown on the page; the file holds them all.
const HASH_SHOWN: usize = 16;
/// How often an issue is tried again when another came in between.
const TRIES: usize = 3;

impl ShopDesk {
    pub(super) async fn records_of(&self, of: RecordOf, number: &str) -> Result<RecordsView, Trouble> {
        let source = self.record_source(of, number).await?;
        let kept = self.shop.list(Subject::Record, &[of.word()]).await.map_err(trouble)?;
        let mut issued = Vec::new();
        for one in kept.iter().filter(|one| one.values.get(of.word()).is_some_and(|own| own == number)) {
            let record = self.shop.document(Subject::Record, &one.id).await.map_err(trouble)?;
            issued.extend(issues(&record.id, &record.values)?);
        }
        let newest = |row: &IssuedRow| std::cmp::Reverse((row.at.clone(), row.revision));
        issued.sort_by_key(|row| (newest(row), row.id.clone()));
        let kinds = source.kinds().iter().map(|kind| (kind.word().to_owned(), kind.title().to_owned()));
        let (number, kinds, codes) = (number.to_owned(), kinds.collect(), source.codes(self.told())?);
        Ok(RecordsView { of, number, kinds, codes, issued })
    }

    pub(super) async fn record_issued(&self, ask: IssueAsk<'_>) -> Result<Entered<String>, Trouble> {
        let source = self.record_source(ask.of, ask.number).await?;
        let Some(kind) = RecordKind::from_word(ask.kind).filter(|kind| source.kinds().contains(kind)) else {
            return Ok(Entered::Refused(vec![refused("choose which record to issue")]));
        };
        let first = Issue::first(issue_time(issued_now()), ask.who);
        let code = Some(ask.code.to_owned()).filter(|code| !code.is_empty());
        let told = self.told();
        let work = move || source.made(kind, code.as_deref(), told, first);
        let record = match computing(work).await? {
            Ok(record) => record,
            Err(reasons) => return Ok(Entered::Refused(reasons.iter().map(|why| refused(why)).collect())),
        };
        self.keep(&record, &ask).await
    }

    /// Keeps a record as the first issue or the next one.
    async fn keep(&self, record: &Record, ask: &IssueAsk<'_>) -> Result<Entered<String>, Trouble> {
        let id = record_id(record.kind, ask, &record.code);
        let by = By { token: Some(ask.token).filter(|t| !t.is_empty()), ..By::new(ask.who, now_ms()) };
        for _ in 0..TRIES {
            let written = match self.shop.document(Subject::Record, &id).await {
                Err(ShopError::NotFound { .. }) => {
                    let mut first = record.clone();
                    if !ask.why.trim().is_empty() {
                        first.issue.why = ask.why.to_owned();
                    }
                    let mut edits = edits(&first);
                    edits.push(Edit::set(ask.of.word(), ask.number));
                    self.shop.create(Subject::Record, &id, &edits, &by).await
                }
                Ok(kept) => {
                    if !ask.token.is_empty() && self.is_sent_again(&id, ask.token).await? {
                        return Ok(Entered::Kept(id));
                    }
                    let old = latest_text(&kept.values).ok_or_else(|| broken("holds no issue"))?;
                    match record.clone().after(&old, ask.who, ask.why) {
                        Ok(next) => {
                            let by = By { note: Some(ask.why), ..by };
                            self.shop.change(Subject::Record, &id, kept.version, &edits(&next), &by).await
                        }
                        Err(why) => return Ok(Entered::Refused(vec![refused(&why.to_string())])),
                    }
                }
                Err(other) => return Err(trouble(other)),
            };
            match written {
                Ok(_) => return Ok(Entered::Kept(id)),
                // Somebody else issued it since it was read.
                Err(ShopError::Conflict { .. } | ShopError::AlreadyExists { .. }) => {}
                Err(other) => return Err(trouble(other)),
            }
        }
        Ok(Entered::Refused(vec![refused("others are issuing this record just now; try again")]))
    }

    async fn is_sent_again(&self, id: &str, token: &str) -> Result<bool, Trouble> {
        let events = self.shop.history(Subject::Record, id).await.map_err(trouble)?;
        Ok(events.iter().any(|event| event.token.as_deref() == Some(token)))
    }

    pub(super) async fn record_downloaded(
        &self,
        id: &str,
        revision: u32,
        kind: RecordFile,
    ) -> Result<Download, Trouble> {
        let kept = self.shop.document(Subject::Record, id).await.map_err(trouble)?;
        let text = text_of(&kept.values, revision).ok_or(Trouble::Absent)?;
        let (record, _) = read_file(&text).map_err(|why| broken(&why.to_string()))?;
        let issued = time_of(&record.issue.at).ok_or_else(|| broken("has no time of issue"))?;
        let (content_type, bytes) = match kind {
            RecordFile::Json => ("application/json", text.into_bytes()),
            RecordFile::Pdf(paper) => {
                let paper = RecordPaper { record, issued, page: page_size(paper) };
                let pdf = computing(move || record_pdf(&paper)).await?;
                ("application/pdf", pdf.map_err(|why| broken(&why.to_string()))?)
            }
            RecordFile::Xlsx => {
                let book = workbook(&record, issued).map_err(|why| broken(&why.to_string()))?;
                ("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", book)
            }
        };
        let file_name = format!("{id}-issue-{revision}{}", kind.ending());
        Ok(Download { content_type: content_type.to_owned(), file_name, bytes })
    }
}

/// One document a kind, a code and what it is issued from. A coupon's number may
/// be a procedure's too, and a procedure may be numbered `test-0308`; a dot
/// stands in no kind and in no number, so nothing is ever kept under another's.
fn record_id(kind: RecordKind, ask: &IssueAsk<'_>, code: &str) -> String {
    let dash = match ask.of {
        RecordOf::Coupon => '-',
        RecordOf::Procedure => '.',
    };
    format!("{}{dash}{}{dash}{code}", kind.word(), ask.number)
}

fn refused(why: &str) -> Finding {
    Finding { path: None, message: why.to_owned() }
}

pub(super) fn broken(why: &str) -> Trouble {
    Trouble::Broken(format!("the record {why}"))
}

/// What one issue adds to its document: the record file, in pieces a value can
/// hold, under its number.
fn edits(record: &Record) -> Vec<Edit> {
    let revision = record.issue.revision;
    let text = file(record).to_string();
    let pieces = pieces(&text);
    let path = |n: usize| format!("issue.{revision}.{:03}", n + 1);
    let mut out: Vec<Edit> = pieces.iter().enumerate().map(|(n, text)| Edit::set(&path(n), text)).collect();
    out.push(Edit::set("latest", &revision.to_string()));
    out
}

/// A text cut at characters into pieces no longer than a value may be.
fn pieces(text: &str) -> Vec<&str> {
    let (mut out, mut rest) = (Vec::new(), text);
    while !rest.is_empty() {
        let at = rest.floor_char_boundary(VALUE_BYTES_MAX);
        let (piece, after) = rest.split_at(at);
        out.push(piece);
        rest = after;
    }
    out
}

fn text_of(values: &BTreeMap<String, String>, revision: u32) -> Option<String> {
    let start = format!("issue.{revision}.");
    let text: String =
        values.iter().filter(|(path, _)| path.starts_with(&start)).map(|(_, text)| text.as_str()).collect();
    (!text.is_empty()).then_some(text)
}

fn latest(values: &BTreeMap<String, String>) -> Option<u32> {
    values.get("latest")?.parse().ok()
}

fn latest_text(values: &BTreeMap<String, String>) -> Option<String> {
    text_of(values, latest(values)?)
}

/// Every issue of a record; the file of each is read, and so checked.
fn issues(id: &str, values: &BTreeMap<String, String>) -> Result<Vec<IssuedRow>, Trouble> {
    let latest = latest(values).ok_or_else(|| broken("holds no issue"))?;
    let mut out = Vec::new();
    for revision in 1..=latest {
        let text = text_of(values, revision).ok_or_else(|| broken("lacks an issue"))?;
        let (record, hash) = read_file(&text).map_err(|why| broken(&why.to_string()))?;
        out.push(IssuedRow {
            id: id.to_owned(),
            title: record.title,
            code: record.code,
            state: record.state,
            revision,
            at: record.issue.at,
            who: record.issue.who,
            why: record.issue.why,
            hash: hash.chars().take(HASH_SHOWN).collect(),
            is_replaced: revision < latest,
        });
    }
    Ok(out)
}

/// The time of issue a record says, `2026-11-25 14:03:09 UTC`.
fn time_of(at: &str) -> Option<Issued> {
    let (day, rest) = at.split_once(' ')?;
    let date: jiff::civil::Date = day.parse().ok()?;
    let time: jiff::civil::Time = rest.strip_suffix(" UTC")?.parse().ok()?;
    let part = |value: i8| u8::try_from(value).ok();
    Some(Issued {
        year: i32::from(date.year()),
        month: part(date.month())?,
        day: part(date.day())?,
        hour: part(time.hour())?,
        minute: part(time.minute())?,
        second: part(time.second())?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    async fn desk() -> ShopDesk {
        let shop = bendproof_shop::Shop::open_in_memory().await.unwrap();
        crate::desk::fill_with_demo(&shop).await.unwrap();
        ShopDesk::new(shop, None)
    }

    fn ask<'a>(number: &'a str, kind: &'a str, why: &'a str, token: &'a str) -> IssueAsk<'a> {
        IssueAsk { of: RecordOf::Coupon, number, kind, code: "", why, who: "Ida Voss", token }
    }

    /// The id of the record issued.
    async fn kept(desk: &ShopDesk, ask: IssueAsk<'_>) -> String {
        match desk.record_issued(ask).await.unwrap() {
            Entered::Kept(id) => id,
            Entered::Refused(findings) => panic!("{findings:?}"),
        }
    }

    /// Why the record was not issued.
    async fn why_not(desk: &ShopDesk, ask: IssueAsk<'_>) -> String {
        match desk.record_issued(ask).await.unwrap() {
            Entered::Refused(findings) => findings.into_iter().map(|f| f.message).collect(),
            Entered::Kept(id) => panic!("kept {id}"),
        }
    }

    async fn pdf(desk: &ShopDesk, id: &str, revision: u32) -> Vec<u8> {
        let kind = RecordFile::Pdf(bendproof_bench::desk::Paper::Letter);
        desk.record_downloaded(id, revision, kind).await.unwrap().bytes
    }

    #[tokio::test]
    async fn an_issue_stays_as_it_was_whatever_becomes_of_the_coupon() {
        let desk = desk().await;
        let id = kept(&desk, ask("0308", "welder", "", "t1")).await;
        let before = pdf(&desk, &id, 1).await;
        let version = u64::try_from(desk.document("0308").await.unwrap().0).unwrap();
        let change = vec![("welder_mark".to_owned(), Some("MO4".to_owned()))];
        desk.changed("0308", version, change, "Ida Voss", None).await.unwrap();
        assert!(why_not(&desk, ask("0308", "welder", " ", "t2")).await.contains("the reason why"));
        kept(&desk, ask("0308", "welder", "the mark was missing", "t3")).await;
        // Sent again after a lost answer, it is the same issue.
        kept(&desk, ask("0308", "welder", "the mark was missing", "t3")).await;
        assert_eq!(pdf(&desk, &id, 1).await, before);
        assert_ne!(pdf(&desk, &id, 2).await, before);
        let view = desk.records_of(RecordOf::Coupon, "0308").await.unwrap();
        let issues: Vec<(u32, bool)> =
            view.issued.iter().map(|row| (row.revision, row.is_replaced)).collect();
        assert_eq!(issues.len(), 2);
        assert!(issues.contains(&(1, true)) && issues.contains(&(2, false)));
        assert!(matches!(desk.record_downloaded(&id, 3, RecordFile::Json).await, Err(Trouble::Absent)));
    }

    #[tokio::test]
    async fn one_coupon_is_issued_under_two_codes_and_a_rejected_one_under_none() {
        let desk = desk().await;
        let own = kept(&desk, ask("0308", "welder", "", "t1")).await;
        let other = IssueAsk { code: "aws-d1.1-2020", ..ask("0308", "welder", "", "t2") };
        let other = kept(&desk, other).await;
        assert_ne!(own, other);
        assert_eq!(desk.records_of(RecordOf::Coupon, "0308").await.unwrap().issued.len(), 2);
        assert!(why_not(&desk, ask("0304", "welder", "", "t1")).await.contains("no welder record under"));
        kept(&desk, ask("0304", "bends", "", "t2")).await;
        assert!(why_not(&desk, ask("0304", "passport", "", "t3")).await.contains("which record"));
    }

    #[tokio::test]
    async fn every_kind_is_kept_and_comes_back() {
        let desk = desk().await;
        for (of, number, count) in [(RecordOf::Coupon, "0308", 4), (RecordOf::Procedure, "WP-12", 2)] {
            let kinds = desk.records_of(of, number).await.unwrap().kinds;
            assert_eq!(kinds.len(), count);
            for (kind, _) in kinds {
                let id = kept(&desk, IssueAsk { of, ..ask(number, &kind, "", &kind) }).await;
                assert!(pdf(&desk, &id, 1).await.starts_with(b"%PDF"), "{kind}");
            }
        }
    }

    #[tokio::test]
    async fn a_continuity_log_names_who_entered_each_use() {
        let desk = desk().await;
        let id = kept(&desk, ask("0308", "continuity", "", "t1")).await;
        let text = desk.record_downloaded(&id, 1, RecordFile::Json).await.unwrap().bytes;
        let (record, _) = read_file(std::str::from_utf8(&text).unwrap()).unwrap();
        assert_eq!(record.title, "Continuity log");
    }

    #[tokio::test]
    async fn a_procedure_is_issued_from_the_library_and_again_with_a_reason() {
        let desk = desk().await;
        let of = RecordOf::Procedure;
        let ask = |why, token| IssueAsk { of, ..ask("WP-12", "procedure", why, token) };
        let id = kept(&desk, ask("", "t1")).await;
        let before = pdf(&desk, &id, 1).await;
        assert!(why_not(&desk, ask("", "t2")).await.contains("the reason why"));
        let version = desk.procedure_shown("WP-12", "").await.unwrap().version;
        let changes = vec![("procedure.company".to_owned(), Some("Invented Fabrication".to_owned()))];
        let change = bendproof_bench::desk::ProcedureChange {
            version,
            changes,
            why: "the company was missing",
            who: "Ida Voss",
            token: "",
        };
        desk.procedure_changed("WP-12", change).await.unwrap();
        kept(&desk, ask("the company was missing", "t3")).await;
        assert_eq!(pdf(&desk, &id, 1).await, before);
        assert_ne!(pdf(&desk, &id, 2).await, before);
        assert_eq!(desk.records_of(of, "WP-12").await.unwrap().issued.len(), 2);
        assert!(desk.records_of(RecordOf::Coupon, "0308").await.unwrap().issued.is_empty());
        let other = IssueAsk { code: "iso-9606-1", ..ask("", "t4") };
        assert!(!why_not(&desk, other).await.is_empty());
        assert!(matches!(desk.records_of(of, "WP-99").await, Err(Trouble::Absent)));
    }

    #[test]
    fn no_record_is_kept_under_the_id_of_another() {
        let coupon = record_id(RecordKind::ProcedureTest, &ask("0308", "", "", ""), "c");
        let of = RecordOf::Procedure;
        let same = record_id(RecordKind::ProcedureTest, &IssueAsk { of, ..ask("0308", "", "", "") }, "c");
        let tricky = record_id(RecordKind::Procedure, &IssueAsk { of, ..ask("test-0308", "", "", "") }, "c");
        assert!(coupon != same && coupon != tricky && same != tricky);
    }

    #[test]
    fn a_long_text_comes_back_whole_from_its_pieces() {
        let text = "é".repeat(VALUE_BYTES_MAX);
        let pieces = pieces(&text);
        assert!(pieces.len() >= 2 && pieces.iter().all(|p| p.len() <= VALUE_BYTES_MAX));
        assert_eq!(pieces.concat(), text);
    }

    #[test]
    fn the_time_of_issue_reads_back() {
        let issued = Issued { year: 2026, month: 11, day: 5, hour: 4, minute: 3, second: 9 };
        assert_eq!(time_of(&issue_time(issued)), Some(issued));
        assert_eq!(time_of("2026-11-05"), None);
    }
}
