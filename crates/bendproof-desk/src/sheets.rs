//! One coupon: opened, changed, taken back, made, taken away as a file.

use std::sync::Arc;

use bendproof_bench::desk::*;
use bendproof_files::{COUPON, Document, check_field, generic_path};
use bendproof_paper::{RecordPaper, record_pdf};
use bendproof_shop::{By, Edit, ShopError, Subject};
use bendproof_traveler::build::{build_with, in_unit_of_box};
use bendproof_traveler::context::{AssessmentContext, known};
use bendproof_traveler::drawn::Look;
use bendproof_traveler::forecast::document_forecast;
use bendproof_traveler::issued::{Issue, welder};
use bendproof_traveler::judgement::stampable;
use bendproof_traveler::plates::PastPlate;
use bendproof_traveler::sheet::Sheet;
use bendproof_traveler::solved::{SolvedCoupon, solved_sheet};

use super::judged::{Judged, Reason, by};
use super::papers::{issue_time, issued_at, record_behind, sheet_pdf};
use super::solved::beads;
use super::words::{history_entries, whole_entries};
use super::{SheetKey, ShopDesk, computing, locked, page_size, trouble};
use bendproof_contract as contract;
use jiff::civil::Date;

/// Latest changes shown under a sheet.
const HISTORY_SHOWN: usize = 12;
/// Sheets kept computed; a shop looks at a handful at a time.
const SHEETS_KEPT: usize = 32;

/// What a new coupon can start from: id, title, coupon file.
const TEMPLATES: [(&str, &str, &str); 5] = [
    ("blank", "Blank", ""),
    (
        "plate-stick",
        "3/8 in plate on backing, 3G uphill, stick",
        include_str!("../../../examples/plate-3g-stick.toml"),
    ),
    (
        "plate-down",
        "3/8 in open-root plate, 3G, root downhill",
        include_str!("../../../examples/plate-3g-downhill.toml"),
    ),
    (
        "plate-up",
        "3/8 in open-root plate, 3G, root uphill",
        include_str!("../../../examples/plate-3g-uphill.toml"),
    ),
    ("pipe-6g", "6 in pipe, 6G, open root", include_str!("../../../examples/pipe-6g.toml")),
];

pub(super) fn templates() -> Vec<Template> {
    TEMPLATES
        .iter()
        .map(|(id, title, _)| Template { id: (*id).to_owned(), title: (*title).to_owned() })
        .collect()
}

impl ShopDesk {
    /// Version and values of a coupon.
    pub(super) async fn document(&self, number: &str) -> Result<(i64, Document), Trouble> {
        #[cfg(test)]
        self.documents_read.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        let kept = self.shop.document(Subject::Coupon, number).await.map_err(trouble)?;
        Ok((kept.version, Document::from_values(kept.values)))
    }

    pub(super) async fn sheet_of(
        &self,
        number: &str,
        document: Document,
        plates: Arc<Vec<PastPlate>>,
        look: Look,
    ) -> Result<Sheet, Trouble> {
        let judgement = self.judgement(number).await?;
        let number = number.to_owned();
        // Once the section is solved the sheet rests on it; until then, and
        // while a hand moves, the fast model answers.
        let kept = self.shelf.found(&document);
        let context = self.context();
        computing(move || {
            let sheet = build_with(&number, &document, &plates, context, look, beads(&kept));
            judgement.on_sheet(sheet, stampable(&document, context).as_ref())
        })
        .await
    }

    /// The sheet of a kept version, computed once for everyone who looks at it.
    async fn screen_sheet(
        &self,
        number: &str,
        version: i64,
        document: Document,
    ) -> Result<Arc<Sheet>, Trouble> {
        let plates = self.plates().await?;
        let is_solved = self.shelf.found(&document).is_some();
        let key = SheetKey { version, plates_changed: plates.changed, day: self.clock.today(), is_solved };
        let kept = locked(&self.sheets).get(number).filter(|(k, _)| *k == key).map(|(_, s)| Arc::clone(s));
        if let Some(sheet) = kept {
            return Ok(sheet);
        }
        let sheet = Arc::new(self.sheet_of(number, document, plates.all, Look::Screen).await?);
        let mut sheets = locked(&self.sheets);
        if sheets.len() >= SHEETS_KEPT {
            sheets.pop_first();
        }
        sheets.insert(number.to_owned(), (key, Arc::clone(&sheet)));
        Ok(sheet)
    }

    pub(super) async fn opened(&self, number: &str) -> Result<Opened, Trouble> {
        let judged = self.judged(number).await?;
        let events = self.shop.latest(Subject::Coupon, number, HISTORY_SHOWN).await.map_err(trouble)?;
        let can_undo = self.shop.can_undo(Subject::Coupon, number).await.map_err(trouble)?;
        let stampable = judged.offered();
        let sheet = self.screen_sheet(number, judged.version, judged.document).await?;
        Ok(Opened {
            version: u64::try_from(judged.version).unwrap_or(0),
            judgement: judged.judgement,
            stampable,
            can_undo,
            sheet: (*sheet).clone(),
            history: history_entries(&events, HISTORY_SHOWN),
        })
    }

    /// Everything that was changed on a coupon, newest first, a page at a time.
    pub(super) async fn history_of(
        &self,
        number: &str,
        ask: ListAsk,
    ) -> Result<Listed<HistoryEntry>, Trouble> {
        let kept = self.shop.document(Subject::Coupon, number).await.map_err(trouble)?;
        // Each event makes the next version.
        let found = usize::try_from(kept.version).unwrap_or(0);
        let (page, lines) = ask.lines(found);
        let events = self.shop.latest(Subject::Coupon, number, lines.end).await.map_err(trouble)?;
        let rows = whole_entries(&events).into_iter().skip(lines.start).collect();
        Ok(Listed { rows, found, page })
    }

    pub(super) async fn previewed(&self, number: &str, changes: Vec<Change>) -> Result<Sheet, Trouble> {
        let (_, mut document) = self.document(number).await?;
        for (path, text) in &in_units_of_boxes(&document, changes) {
            document.set(path, text.as_deref());
        }
        let plates = self.plates().await?.all;
        self.sheet_of(number, document, plates, Look::Screen).await
    }

    /// Keeps what a hand wrote; a field that it emptied states nothing any more.
    pub(super) async fn changed(
        &self,
        number: &str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'_>,
    ) -> Result<Outcome, Trouble> {
        let (_, document) = self.document(number).await?;
        let stated = |(path, text): Change| (path, text.filter(|text| !text.trim().is_empty()));
        let changes = in_units_of_boxes(&document, changes).into_iter().map(stated).collect();
        self.kept(number, version, changes, hand).await
    }

    /// Keeps changes as they are: a blank text keeps a row that states nothing yet.
    pub(super) async fn kept(
        &self,
        number: &str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'_>,
    ) -> Result<Outcome, Trouble> {
        let refused = refusals(number, &changes, self.clock.today());
        if !refused.is_empty() {
            return Ok(Outcome::Refused(refused));
        }
        let version = i64::try_from(version).unwrap_or(i64::MAX);
        let edits: Vec<Edit> = changes
            .iter()
            .map(|(path, text)| match text {
                Some(text) => Edit::set(path, text.trim()),
                None => Edit::clear(path),
            })
            .collect();
        let new = edits.iter().map(|edit| (edit.path.as_str(), edit.value.as_deref()));
        let note = match self.reason(number, version, new, hand.why).await? {
            Reason::Kept(note) => note,
            Reason::Asked(question) => return self.why_asked(number, question).await,
        };
        let by = by(hand, note.as_deref(), self.saving()?);
        let kept = self.shop.change(Subject::Coupon, number, version, &edits, &by).await;
        self.outcome(number, kept).await
    }

    pub(super) async fn undone(
        &self,
        number: &str,
        version: u64,
        hand: Hand<'_>,
    ) -> Result<Outcome, Trouble> {
        let version = i64::try_from(version).unwrap_or(i64::MAX);
        let undone = self.shop.next_undo(Subject::Coupon, number).await.map_err(trouble)?;
        let changes = undone.iter().flat_map(|event| &event.changes);
        let new = changes.map(|change| (change.path.as_str(), change.before.as_deref()));
        let note = match self.reason(number, version, new, hand.why).await? {
            Reason::Kept(note) => note,
            Reason::Asked(question) => return self.why_asked(number, question).await,
        };
        let by = by(Hand { token: "", ..hand }, note.as_deref(), self.saving()?);
        let kept = self.shop.undo(Subject::Coupon, number, version, &by).await;
        self.outcome(number, kept).await
    }

    pub(super) async fn outcome(
        &self,
        number: &str,
        kept: Result<bendproof_shop::Document, ShopError>,
    ) -> Result<Outcome, Trouble> {
        match kept {
            Ok(_) => Ok(Outcome::Saved(Box::new(self.opened(number).await?))),
            Err(ShopError::Conflict { since, .. }) => Ok(Outcome::Conflict(Box::new(Conflict {
                since: history_entries(&since, HISTORY_SHOWN),
                current: self.opened(number).await?,
            }))),
            Err(
                why @ (ShopError::OutOfRange { .. }
                | ShopError::DuplicatePath { .. }
                | ShopError::NothingToUndo { .. }
                | ShopError::TokenReused { .. }
                | ShopError::UnknownVersion { .. }),
            ) => Ok(Outcome::Refused(vec![Finding { path: None, message: why.to_string() }])),
            Err(other) => Err(trouble(other)),
        }
    }

    pub(super) async fn created(&self, template: &str, who: &str, token: &str) -> Result<String, Trouble> {
        let (_, _, text) = TEMPLATES.iter().find(|(id, ..)| *id == template).ok_or(Trouble::Absent)?;
        let _one_at_a_time = self.creating.lock().await;
        let mut by = By::new(who, self.saving()?);
        if !token.is_empty() {
            if let Some(number) = self.shop.created_with(Subject::Coupon, token).await.map_err(trouble)? {
                return Ok(number);
            }
            by = by.token(token);
        }
        let number = format!("{:04}", self.shop.next_number().await.map_err(trouble)?);
        let (document, _) = Document::from_toml(&COUPON, text);
        let mut edits = vec![Edit::set("number", &number)];
        let planned = document.values().iter().filter(|(path, _)| !is_the_examples_own(&document, path));
        edits.extend(planned.map(|(path, text)| Edit::set(path, text)));
        self.shop.create_coupon(&number, &edits, &by).await.map_err(trouble)?;
        Ok(number)
    }

    pub(super) async fn downloaded(&self, number: &str, kind: FileKind) -> Result<Download, Trouble> {
        let (_, document) = self.document(number).await?;
        let file_name = format!("coupon-{number}{}", kind.ending());
        let (content_type, bytes) = match kind {
            FileKind::Toml => ("application/toml; charset=utf-8", document.to_toml(&COUPON).into_bytes()),
            FileKind::Json => {
                let kept = self.shelf.found(&document);
                ("application/json", forecast_json(&document, self.context(), beads(&kept)))
            }
            FileKind::Pdf(paper) => {
                self.sound().await.map_err(Trouble::Held)?;
                ("application/pdf", self.traveler_printed(number, document, paper).await?)
            }
        };
        Ok(Download { content_type: content_type.to_owned(), file_name, bytes })
    }

    /// The traveler; its sheet and its section rest on the same beads, those the
    /// page shows where it has them.
    async fn traveler_printed(
        &self,
        number: &str,
        document: Document,
        paper: Paper,
    ) -> Result<Vec<u8>, Trouble> {
        let plates = self.plates().await?.all;
        let judgement = self.judgement(number).await?;
        let (shelf, number, context) = (Arc::clone(&self.shelf), number.to_owned(), self.context());
        let (issued, today) = (issued_at(self.clock.now()), self.clock.today());
        let work = move || {
            let kept = shelf.solved_for_paper(&number, &document, today);
            let solved = kept.as_ref().as_ref().ok();
            let now = stampable(&document, context);
            let sheet = build_with(&number, &document, &plates, context, Look::Paper, solved);
            let record = record_behind(&sheet, &document, context, issued);
            let record = record.map(|record| judgement.on_record(record, now.as_ref()));
            let sheet = judgement.on_paper(sheet, now.as_ref());
            let section = solved.map(|solved| solved_sheet(solved, Look::Paper));
            sheet_pdf(&sheet, record, context, section.as_ref(), issued, page_size(paper))
        };
        self.printers.print(work).await?.map_err(|why| Trouble::Broken(why.to_string()))
    }

    /// The record of one of a welder's accepted coupons; without a number of the
    /// latest, a stamped one before others.
    pub(super) async fn welder_record(
        &self,
        id: &str,
        coupon: Option<&str>,
        paper: Paper,
    ) -> Result<Download, Trouble> {
        self.sound().await.map_err(Trouble::Held)?;
        let accepted = self.accepted(id).await?;
        let asked = accepted.into_iter().find(|number| coupon.is_none_or(|asked| asked == number));
        let number = asked.ok_or(Trouble::Absent)?;
        let Judged { document, judgement, now, .. } = self.judged(&number).await?;
        let issued = issued_at(self.clock.now());
        let context = self.context();
        let print = Issue::print(issue_time(issued));
        let work = move || {
            let record = welder(&document, None, context, print);
            let record = record.map(|record| judgement.on_record(record, now.as_ref()));
            record.map(|record| record_pdf(&RecordPaper { record, issued, page: page_size(paper) }))
        };
        let pdf = self.printers.print(work).await?.map_err(|why| Trouble::Broken(why.to_string()))?;
        Ok(Download {
            content_type: "application/pdf".to_owned(),
            file_name: format!("record-{id}-{number}{}.pdf", paper.slug()),
            bytes: pdf.map_err(|why| Trouble::Broken(why.to_string()))?,
        })
    }
}

/// What an example says of its own plate and a new coupon does not take over: its
/// people and place, and what somebody read on it. A stick's amps are set, not read.
fn is_the_examples_own(example: &Document, path: &str) -> bool {
    let is_stick = example.get("settings.process") == Some("SMAW");
    let own = ["number", "welder", "booth", "title"];
    let read: &[&str] = match is_stick {
        true => &["fit.mismatch", "fit.start_temperature"],
        false => &["fit.mismatch", "fit.start_temperature", "pass.#.amps"],
    };
    own.contains(&path) || read.contains(&generic_path(path).as_str())
}

/// Numbers said alone, each in the unit of its box: what is kept says its unit.
fn in_units_of_boxes(document: &Document, changes: Vec<Change>) -> Vec<Change> {
    let said = |(path, text): Change| {
        let whole = text.as_deref().and_then(|text| in_unit_of_box(document, &path, text));
        (path, whole.or(text))
    };
    changes.into_iter().map(said).collect()
}

/// What cannot be kept: a text its field does not hold. Faults that need two
/// values to show are kept and shown on the sheet, because a fit is typed one
/// value at a time.
fn refusals(number: &str, changes: &[Change], today: Date) -> Vec<Finding> {
    changes
        .iter()
        .filter_map(|(path, text)| {
            let text = text.as_deref().map(str::trim).filter(|t| !t.is_empty());
            // Records, straps and the log name the coupon by it.
            if path == "number" && text != Some(number) {
                let message = format!("the number of a coupon stays; this one is {number}");
                return Some(Finding { path: Some(path.clone()), message });
            }
            let text = text?;
            let finding = check_field(&COUPON, path, text, &known(Some(today))).err()?;
            Some(Finding { path: Some(path.clone()), message: finding.message })
        })
        .collect()
}

/// The forecast as a script reads it, from the beads the page shows where it has them.
fn forecast_json(document: &Document, context: AssessmentContext, solved: Option<&SolvedCoupon>) -> Vec<u8> {
    let read = document_forecast(document, context, solved);
    let value = contract::forecast_read(&read)
        .unwrap_or_else(|| serde_json::json!({ "findings": contract::findings_json(&read.findings) }));
    serde_json::to_vec_pretty(&value).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Standing;
    use bendproof_shop::Shop;
    use bendproof_traveler::plates::past_plate;
    use std::sync::atomic::Ordering;

    async fn demo_desk() -> ShopDesk {
        let shop = Shop::open_in_memory().await.unwrap();
        crate::fill_with_demo(&shop, &*Standing::clock()).await.unwrap();
        ShopDesk::new(shop, None, Standing::clock())
    }

    const MARTA: Hand<'_> = Hand { who: "Marta", why: "the sheet was wrong", token: "" };

    #[tokio::test]
    async fn a_press_sent_twice_makes_one_coupon() {
        let desk = demo_desk().await;
        let press = |token: &'static str| desk.created("plate-up", "Marta", token);
        let (first, again) = tokio::join!(press("t1"), press("t1"));
        assert_eq!(first, again);
        assert_eq!(press("t1").await, first);
        let others = [press("t2").await, press("").await, press("").await];
        let all: std::collections::BTreeSet<_> =
            others.iter().chain([&first]).map(|n| n.clone().unwrap()).collect();
        assert_eq!(all.len(), 4);
    }

    #[tokio::test]
    async fn a_template_states_a_plan_and_no_reading() {
        let desk = demo_desk().await;
        for template in templates() {
            let number = desk.created(&template.id, "Marta", "").await.unwrap();
            let (_, document) = desk.document(&number).await.unwrap();
            for path in document.values().keys() {
                assert!(!is_the_examples_own(&document, path) || path == "number", "{}: {path}", template.id);
            }
            assert_eq!(document.get("number"), Some(number.as_str()));
        }
    }

    #[tokio::test]
    async fn a_new_strap_arrives_empty_and_is_shown_with_its_open_question() {
        let desk = demo_desk().await;
        let number = desk.created("plate-down", "Marta", "").await.unwrap();
        let before = desk.opened(&number).await.unwrap();
        let row = desk.row(&number, before.version, RowKind::Strap, RowAction::Add(Vec::new()), MARTA);
        let Outcome::Saved(after) = row.await.unwrap() else { panic!("not kept") };
        assert_eq!(after.sheet.straps.len(), before.sheet.straps.len() + 1);
        let strap = after.sheet.straps.last().unwrap();
        assert!(strap.verdict.contains("kind of bend and mark not stated"), "{}", strap.verdict);
        let (_, document) = desk.document(&number).await.unwrap();
        for name in ["id", "kind"] {
            assert_eq!(document.get(&format!("strap.{}.{name}", strap.strap)), None, "{name}");
        }
    }

    #[tokio::test]
    async fn a_coupon_keeps_its_number() {
        let desk = demo_desk().await;
        for text in [Some("0301"), None, Some(" ")] {
            let change = vec![("number".to_owned(), text.map(str::to_owned))];
            let version = desk.opened("0308").await.unwrap().version;
            let Outcome::Refused(findings) = desk.changed("0308", version, change, MARTA).await.unwrap()
            else {
                panic!("kept {text:?}")
            };
            assert!(findings[0].message.contains("this one is 0308"), "{}", findings[0].message);
        }
    }

    #[tokio::test]
    async fn every_change_of_a_coupon_stands_in_its_history_with_who_made_it() {
        let desk = demo_desk().await;
        let number = desk.created("plate-down", "Marta", "").await.unwrap();
        let changes: Vec<Change> =
            (1..=5).map(|n| (format!("log.{n}.volts"), Some(format!("1{n}.5 V")))).collect();
        let ida = Hand { who: "Ida", why: "", token: "" };
        for change in [changes.clone(), vec![("welder".to_owned(), Some("Zoë".to_owned()))]] {
            let version = desk.opened(&number).await.unwrap().version;
            let kept = desk.changed(&number, version, change, ida).await.unwrap();
            assert!(matches!(kept, Outcome::Saved(_)), "{kept:?}");
        }
        let all = desk.history_of(&number, ListAsk::default()).await.unwrap();
        assert_eq!((all.found, all.rows.len()), (3, 3));
        assert!(all.rows[0].words.contains("Zoë") && all.rows[0].who == "Ida", "{:?}", all.rows[0]);
        for (path, text) in &changes {
            let line = path.split('.').nth(1).unwrap();
            let start = format!("log {line}: ");
            assert!(all.rows[1].words.contains(&start), "{start}: {}", all.rows[1].words);
            assert!(all.rows[1].words.contains(text.as_deref().unwrap()), "{}", all.rows[1].words);
        }
        assert!(all.rows[2].who == "Marta" && all.rows[2].words.contains("position 3G"), "{:?}", all.rows[2]);
    }

    #[tokio::test]
    async fn a_long_history_is_read_page_by_page_from_its_end() {
        let desk = demo_desk().await;
        let number = desk.created("blank", "Marta", "").await.unwrap();
        for version in 1..=150_i64 {
            let edit = [Edit::set("title", &format!("plate {version}"))];
            desk.shop.change(Subject::Coupon, &number, version, &edit, &By::new("Ida", 1)).await.unwrap();
        }
        let page = async |n| {
            let ask = ListAsk { page: Some(n), ..ListAsk::default() };
            desk.history_of(&number, ask).await.unwrap()
        };
        let (first, second) = (page(1).await, page(2).await);
        assert_eq!((first.found, first.rows[0].version, first.rows.len()), (151, 151, 100));
        assert_eq!((second.rows[0].version, second.rows.last().unwrap().version), (51, 1));
    }

    #[tokio::test]
    async fn a_number_typed_alone_is_kept_with_the_unit_of_its_box() {
        let desk = demo_desk().await;
        let number = desk.created("plate-down", "Marta", "").await.unwrap();
        let typed = [
            ("fit.thickness", "1/2", "1/2 in"),
            ("fit.root_face", ".0625", ".0625 in"),
            ("fit.mismatch", "1 mm", "1 mm"),
            ("fit.groove_angle", "75", "75 deg"),
            ("pass.1.volts", "17.5", "17.5 V"),
            ("pass.1.travel", "9", "9 in/min"),
            ("pass.1.beads", "1", "1"),
            ("fit.start_temperature", "150", "150 F"),
            ("title", "12", "12"),
        ];
        let changes = typed.map(|(path, text, _)| (path.to_owned(), Some(text.to_owned()))).to_vec();
        let before = desk.previewed(&number, changes.clone()).await.unwrap();
        assert!(before.fit.iter().all(|field| field.error.is_none()), "{:?}", before.fit);
        assert!(matches!(desk.changed(&number, 1, changes, MARTA).await.unwrap(), Outcome::Saved(_)));
        let (_, kept) = desk.document(&number).await.unwrap();
        for (path, _, said) in typed {
            assert_eq!(kept.get(path), Some(said), "{path}");
        }
        // A box that holds millimeters takes millimeters.
        let again = vec![("fit.mismatch".to_owned(), Some("0,5".to_owned()))];
        desk.changed(&number, 2, again, MARTA).await.unwrap();
        assert_eq!(desk.document(&number).await.unwrap().1.get("fit.mismatch"), Some("0,5 mm"));
    }

    #[tokio::test]
    async fn a_second_print_solves_nothing() {
        let desk = demo_desk().await;
        let solves = || desk.shelf.solves.load(Ordering::Relaxed);
        let print = |paper| desk.downloaded("0308", FileKind::Pdf(paper));
        let first = print(Paper::Letter).await.unwrap().bytes;
        assert!(first.starts_with(b"%PDF"));
        assert_eq!(solves(), 1);
        print(Paper::A4).await.unwrap();
        assert_eq!(solves(), 1);
        // A strap's opening changes no heat; the page's own section is the paper's.
        let version = u64::try_from(desk.document("0308").await.unwrap().0).unwrap();
        let change = vec![("booth".to_owned(), Some("9".to_owned()))];
        desk.changed("0308", version, change, MARTA).await.unwrap();
        desk.section_of("0308", SectionAsk::default()).await.unwrap().unwrap();
        print(Paper::Letter).await.unwrap();
        assert_eq!(solves(), 1);
    }

    #[tokio::test]
    async fn a_plate_counts_on_the_next_sheet_and_an_unjudged_one_changes_no_plates() {
        let desk = demo_desk().await;
        let before = desk.plates().await.unwrap();
        let version = u64::try_from(desk.document("0308").await.unwrap().0).unwrap();
        let put = |text: Option<&str>| vec![("strap.1.kind".to_owned(), text.map(str::to_owned))];
        desk.changed("0308", version, put(None), MARTA).await.unwrap();
        let without = desk.plates().await.unwrap();
        assert_eq!(without.all.len() + 1, before.all.len());
        desk.undone("0308", version + 1, MARTA).await.unwrap();
        let after = desk.plates().await.unwrap();
        assert_eq!(after.all, before.all);
        assert!(after.changed > before.changed);
        desk.created("blank", "Marta", "").await.unwrap();
        assert_eq!(desk.plates().await.unwrap().changed, after.changed);
    }

    #[tokio::test]
    async fn a_plate_read_from_its_branches_fares_as_the_whole_coupon_does() {
        let desk = demo_desk().await;
        let kept: Vec<(String, bool)> =
            desk.plates().await.unwrap().all.iter().map(|p| (p.number.clone(), p.held)).collect();
        let mut whole = Vec::new();
        for number in desk.ledger().await.unwrap().coupons.keys() {
            let document = desk.document(number).await.unwrap().1;
            whole.extend(past_plate(number, &document, desk.context()).map(|p| (p.number.clone(), p.held)));
        }
        assert_eq!(kept, whole);
    }
}
