//! Records of a coupon or a procedure: kept in the shop issue by issue, and
//! printed from what was kept. A record is one document; a new issue adds to it and replaces
//! nothing.

use std::collections::BTreeMap;

use bendproof_bench::desk::{
    Download, Entered, Finding, Hand, IssueAsk, IssuedRow, RecordFile, RecordOf, RecordsView, Trouble,
};
use bendproof_paper::{Issued, RecordPaper, record_pdf, workbook};
use bendproof_shop::{By, Edit, Event, ShopError, Subject, VALUE_BYTES_MAX};
use bendproof_traveler::issued::{Issue, Record, RecordKind, file, read_file};

use super::judged::amended_after;
use super::papers::{issue_time, issued_at};
use super::{ShopDesk, computing, page_size, trouble};

/// Digits of a hash shown on the page; the file holds them all.
const HASH_SHOWN: usize = 16;
/// Most issues looked for, whatever number an altered record names. Basis: choice.
const ISSUES_MAX: u32 = 10_000;
/// How often an issue is tried again when another came in between.
const TRIES: usize = 3;

impl ShopDesk {
    pub(super) async fn records_of(&self, of: RecordOf, number: &str) -> Result<RecordsView, Trouble> {
        let source = self.record_source(of, number).await?;
        let kept = self.shop.list(Subject::Record, &[of.word()]).await.map_err(trouble)?;
        let amendments = match of {
            RecordOf::Coupon => {
                self.shop.stamps_and_reasons(Subject::Coupon, number).await.map_err(trouble)?
            }
            RecordOf::Procedure => Vec::new(),
        };
        let mut issued = Vec::new();
        for one in kept.iter().filter(|one| one.values.get(of.word()).is_some_and(|own| own == number)) {
            let record = self.shop.document(Subject::Record, &one.id).await.map_err(trouble)?;
            issued.extend(issues(&record.id, &record.values, &amendments));
        }
        let newest = |row: &IssuedRow| std::cmp::Reverse((row.at.clone(), row.revision));
        issued.sort_by_key(|row| (newest(row), row.id.clone()));
        let kinds = source.kinds().iter().map(|kind| (kind.word().to_owned(), kind.title().to_owned()));
        let (number, kinds, codes) = (number.to_owned(), kinds.collect(), source.codes(self.context())?);
        let context = self.context();
        let open = computing(move || source.open_of_welder_record(context)).await?;
        Ok(RecordsView { of, number, kinds, codes, open, issued })
    }

    pub(super) async fn record_issued(&self, ask: IssueAsk<'_>) -> Result<Entered<String>, Trouble> {
        if let Err(why) = self.sound().await {
            return Ok(Entered::Refused(vec![refused(&why)]));
        }
        let source = self.record_source(ask.of, ask.number).await?;
        let Some(kind) = RecordKind::from_word(ask.kind).filter(|kind| source.kinds().contains(kind)) else {
            return Ok(Entered::Refused(vec![refused("choose which record to issue")]));
        };
        let first = Issue::first(issue_time(issued_at(self.clock.now())), ask.who);
        let code = Some(ask.code.to_owned()).filter(|code| !code.is_empty());
        let context = self.context();
        let version = source.coupon_version();
        let work = move || source.made(kind, code.as_deref(), context, first);
        let record = match computing(work).await? {
            Ok(record) => record,
            Err(reasons) => return Ok(Entered::Refused(reasons.iter().map(|why| refused(why)).collect())),
        };
        self.keep(&record, version, &ask).await
    }

    /// Keeps a record as the first issue or the next one, of a version of its
    /// coupon, whose verdict is stamped with it.
    async fn keep(
        &self,
        record: &Record,
        version: Option<i64>,
        ask: &IssueAsk<'_>,
    ) -> Result<Entered<String>, Trouble> {
        let id = record_id(record.kind, ask, &record.code);
        let by = By { token: Some(ask.token).filter(|t| !t.is_empty()), ..By::new(ask.who, self.saving()?) };
        for _ in 0..TRIES {
            let written = match self.shop.document(Subject::Record, &id).await {
                Err(ShopError::NotFound { .. }) => {
                    let mut first = record.clone();
                    if !ask.why.trim().is_empty() {
                        first.issue.why = ask.why.to_owned();
                    }
                    let Some(made_of) = self.stamped_with(ask, version).await? else { return Ok(changed()) };
                    let mut edits = edits(&first, made_of);
                    edits.push(Edit::set(ask.of.word(), ask.number));
                    self.shop.create(Subject::Record, &id, &edits, &by).await
                }
                Ok(kept) => {
                    if !ask.token.is_empty()
                        && self.shop.was_sent(Subject::Record, &id, ask.token).await.map_err(trouble)?
                    {
                        return Ok(Entered::Kept(id));
                    }
                    let old = latest_text(&kept.values).ok_or_else(|| broken("holds no issue"))?;
                    match record.clone().after(&old, ask.who, ask.why) {
                        Ok(next) => {
                            let Some(made_of) = self.stamped_with(ask, version).await? else {
                                return Ok(changed());
                            };
                            let by = By { note: Some(ask.why), ..by };
                            let edits = edits(&next, made_of);
                            self.shop.change(Subject::Record, &id, kept.version, &edits, &by).await
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

    /// Stamps the coupon's verdict where no stamp stands. The version the record
    /// is of, 0 for a procedure; `None` where the coupon changed meanwhile.
    async fn stamped_with(&self, ask: &IssueAsk<'_>, version: Option<i64>) -> Result<Option<i64>, Trouble> {
        let Some(version) = version else { return Ok(Some(0)) };
        let hand = Hand { who: ask.who, why: "", token: "" };
        self.stamped_for_record(ask.number, version, hand).await
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
                let pdf = self.printers.print(move || record_pdf(&paper)).await?;
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

fn changed() -> Entered<String> {
    Entered::Refused(vec![refused(
        "the coupon changed while the record was made; look at it and issue again",
    )])
}

/// What one issue adds to its document: the record file, in pieces a value can
/// hold, under its number, and the version of the coupon it was made of.
fn edits(record: &Record, made_of: i64) -> Vec<Edit> {
    let revision = record.issue.revision;
    let text = file(record).to_string();
    let pieces = pieces(&text);
    let path = |n: usize| format!("issue.{revision}.{:03}", n + 1);
    let mut out: Vec<Edit> = pieces.iter().enumerate().map(|(n, text)| Edit::set(&path(n), text)).collect();
    out.push(Edit::set("latest", &revision.to_string()));
    out.push(Edit::set(&made_of_path(revision), &made_of.to_string()));
    out
}

/// Where the version of the coupon stands that an issue was made of. Issues of
/// older programs say none: they are older than any amendment.
fn made_of_path(revision: u32) -> String {
    format!("made_of.{revision}")
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

/// An issue with its hash; or, in words, why it is not what was issued.
type Kept = Result<(Record, String), String>;

/// Every issue of a record by its number. The file of each is read, and so checked.
pub fn kept_issues(values: &BTreeMap<String, String>) -> Vec<(u32, Kept)> {
    let counted = latest(values);
    let kept = values.keys().filter_map(|path| path.strip_prefix("issue.")?.split('.').next()?.parse().ok());
    let last = counted.unwrap_or(0).min(ISSUES_MAX).max(kept.max().unwrap_or(0));
    let read = |revision| match text_of(values, revision) {
        _ if counted != Some(last) => {
            Err(format!("the record counts {} of {last} issues", counted.unwrap_or(0)))
        }
        Some(text) => read_file(&text).map_err(|why| why.to_string()),
        None => Err("it is missing".to_owned()),
    };
    (1..=last.max(1)).map(|revision| (revision, read(revision))).collect()
}

/// The lines of the page for a record, each with what was amended since.
fn issues(id: &str, values: &BTreeMap<String, String>, amendments: &[Event]) -> Vec<IssuedRow> {
    let kept = kept_issues(values);
    let latest = kept.len();
    let mut rows = Vec::new();
    for (revision, read) in kept {
        let mut row = IssuedRow { id: id.to_owned(), revision, ..IssuedRow::default() };
        row.is_replaced = usize::try_from(revision).is_ok_and(|revision| revision < latest);
        match read {
            Ok((record, hash)) => {
                (row.title, row.code, row.state) = (record.title, record.code, record.state);
                (row.at, row.who, row.why) = (record.issue.at, record.issue.who, record.issue.why);
                row.hash = hash.chars().take(HASH_SHOWN).collect();
                let made_of = values.get(&made_of_path(revision)).and_then(|text| text.parse().ok());
                row.amended = amended_after(amendments, made_of.unwrap_or(0)).map(|amended| amended.words());
            }
            Err(why) => row.altered = Some(why),
        }
        rows.push(row);
    }
    rows
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
    use crate::clock::Standing;

    async fn desk() -> ShopDesk {
        let shop = bendproof_shop::Shop::open_in_memory().await.unwrap();
        crate::fill_with_demo(&shop, &*Standing::clock()).await.unwrap();
        ShopDesk::new(shop, None, Standing::clock())
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
        let hand = Hand { who: "Ida Voss", why: "the mark was missing", token: "" };
        let outcome = desk.changed("0308", version, change, hand).await.unwrap();
        assert!(matches!(outcome, bendproof_bench::desk::Outcome::Saved(_)), "{outcome:?}");
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

    /// An issue with one word altered, as a program that writes into the file
    /// and keeps its history whole would leave it.
    async fn altered(desk: &ShopDesk, id: &str) {
        let kept = desk.shop.document(Subject::Record, id).await.unwrap();
        let text = kept.values["issue.1.001"].replacen("Halvorsen", "Halvorson", 1);
        assert_ne!(text, kept.values["issue.1.001"], "{text}");
        let edit = [Edit::set("issue.1.001", &text)];
        desk.shop.change(Subject::Record, id, kept.version, &edit, &By::new("x", 1)).await.unwrap();
    }

    #[tokio::test]
    async fn a_record_whose_hash_fails_shows_itself_as_altered_and_the_others_as_they_are() {
        let desk = desk().await;
        let id = kept(&desk, ask("0308", "welder", "", "t1")).await;
        let other = kept(&desk, ask("0308", "bends", "", "t2")).await;
        altered(&desk, &id).await;
        let rows = desk.records_of(RecordOf::Coupon, "0308").await.unwrap().issued;
        let row = |id: &str| rows.iter().find(|row| row.id == id).unwrap();
        assert!(row(&id).altered.is_some() && row(&id).who.is_empty());
        assert!(row(&other).altered.is_none() && row(&other).who == "Ida Voss");
        assert!(matches!(desk.record_downloaded(&id, 1, RecordFile::Json).await, Err(Trouble::Broken(_))));
        let audit = crate::audit(&desk.shop).await.unwrap();
        let said: Vec<String> = audit.faults.iter().map(ToString::to_string).collect();
        assert_eq!(said.len(), 1, "{said:?}");
        assert!(said[0].starts_with(&format!("record {id}: issue 1 was altered")), "{said:?}");
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
    async fn what_a_welder_record_lacks_is_reported_before_it_is_issued() {
        let desk = desk().await;
        let open = async |number| desk.records_of(RecordOf::Coupon, number).await.unwrap().open;
        let lacks = open("0310").await;
        assert!(lacks[0].contains("not stated: ") && lacks[0].contains("WPS followed"), "{lacks:?}");
        assert_eq!(open("0308").await, [] as [String; 0]);
        assert_eq!(open("0304").await, [] as [String; 0], "a rejected coupon has no welder record");
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
