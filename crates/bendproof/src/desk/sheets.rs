//! One coupon: opened, changed, taken back, made, taken away as a file.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::Ordering;

use bendproof_bench::desk::*;
use bendproof_files::{COUPON, Document, check_field};
use bendproof_paper::{RecordPaper, record_pdf};
use bendproof_shop::{By, Edit, Event, EventKind, ShopError, Subject};
use bendproof_traveler::issued::{Issue, welder};
use bendproof_traveler::{Look, PastPlate, Sheet, Told, build_with, json, known, past_plate, read_forecast};

use super::words::{history_entries, now_ms};
use super::{SheetKey, ShopDesk, computing, locked, page_size, trouble};
use crate::source::today;

/// Latest changes shown under a sheet.
const HISTORY_SHOWN: usize = 12;
/// Sheets kept computed; a shop looks at a handful at a time.
const SHEETS_KEPT: usize = 32;
/// Branches of a coupon document read for the shop's own plates.
const PLATE_PATHS: [&str; 7] = ["code", "fit.*", "settings.*", "scatter.*", "pass.*", "strap.*", "visual.*"];

/// What a new coupon can start from: id, title, coupon file.
const TEMPLATES: [(&str, &str, &str); 4] = [
    ("blank", "Blank", ""),
    (
        "plate-down",
        "3/8 in open-root plate, 3G, root downhill",
        include_str!("../../../../examples/plate-3g-downhill.toml"),
    ),
    (
        "plate-up",
        "3/8 in open-root plate, 3G, root uphill",
        include_str!("../../../../examples/plate-3g-uphill.toml"),
    ),
    ("pipe-6g", "6 in pipe, 6G, open root", include_str!("../../../../examples/pipe-6g.toml")),
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
        let kept = self.shop.document(Subject::Coupon, number).await.map_err(trouble)?;
        Ok((kept.version, Document::from_values(kept.values)))
    }

    /// This shop's finished plates.
    pub(super) async fn plates(&self) -> Result<Vec<PastPlate>, Trouble> {
        if let Some(plates) = locked(&self.plates).as_ref() {
            return Ok(plates.values().cloned().collect());
        }
        let kept = self.shop.coupons_with(&PLATE_PATHS).await.map_err(trouble)?;
        let told = self.told();
        let plates = computing(move || {
            kept.into_iter()
                .filter_map(|(id, values)| {
                    Some((id.clone(), past_plate(&id, &Document::from_values(values), told)?))
                })
                .collect::<BTreeMap<_, _>>()
        })
        .await?;
        let all = plates.values().cloned().collect();
        *locked(&self.plates) = Some(plates);
        Ok(all)
    }

    /// Keeps the cached plates true after a coupon changed.
    fn refresh_plate(&self, number: &str, document: &Document) {
        let mut plates = locked(&self.plates);
        self.plates_changed.fetch_add(1, Ordering::Relaxed);
        if let Some(plates) = plates.as_mut() {
            match past_plate(number, document, self.told()) {
                Some(plate) => plates.insert(number.to_owned(), plate),
                None => plates.remove(number),
            };
        }
    }

    pub(super) async fn sheet_of(
        &self,
        number: &str,
        document: Document,
        look: Look,
    ) -> Result<Sheet, Trouble> {
        let plates = self.plates().await?;
        let number = number.to_owned();
        // Once the section is solved the sheet rests on it; until then, and
        // while a hand moves, the fast model answers.
        let kept = self.shelf.found(&document);
        let told = self.told();
        computing(move || {
            let solved = kept.as_ref().and_then(|kept| kept.as_ref().as_ref().ok());
            build_with(&number, &document, &plates, told, look, solved)
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
        let plates_changed = self.plates_changed.load(Ordering::Relaxed);
        let is_solved = self.shelf.found(&document).is_some();
        let key = SheetKey { version, plates_changed, day: today(), is_solved };
        let kept = locked(&self.sheets).get(number).filter(|(k, _)| *k == key).map(|(_, s)| Arc::clone(s));
        if let Some(sheet) = kept {
            return Ok(sheet);
        }
        let sheet = Arc::new(self.sheet_of(number, document, Look::Screen).await?);
        let mut sheets = locked(&self.sheets);
        if sheets.len() >= SHEETS_KEPT {
            sheets.pop_first();
        }
        sheets.insert(number.to_owned(), (key, Arc::clone(&sheet)));
        Ok(sheet)
    }

    pub(super) async fn opened(&self, number: &str) -> Result<Opened, Trouble> {
        let (version, document) = self.document(number).await?;
        let events = self.shop.history(Subject::Coupon, number).await.map_err(trouble)?;
        let sheet = self.screen_sheet(number, version, document).await?;
        Ok(Opened {
            version: u64::try_from(version).unwrap_or(0),
            can_undo: can_undo(&events),
            sheet: (*sheet).clone(),
            history: history_entries(&events, HISTORY_SHOWN),
        })
    }

    pub(super) async fn previewed(&self, number: &str, changes: Vec<Change>) -> Result<Sheet, Trouble> {
        let (_, mut document) = self.document(number).await?;
        for (path, text) in &changes {
            document.set(path, text.as_deref());
        }
        self.sheet_of(number, document, Look::Screen).await
    }

    pub(super) async fn changed(
        &self,
        number: &str,
        version: u64,
        changes: Vec<Change>,
        who: &str,
        token: Option<&str>,
    ) -> Result<Outcome, Trouble> {
        let refused = refusals(&changes);
        if !refused.is_empty() {
            return Ok(Outcome::Refused(refused));
        }
        let edits: Vec<Edit> = changes
            .iter()
            .map(|(path, text)| match text.as_deref().map(str::trim) {
                Some(text) if !text.is_empty() => Edit::set(path, text),
                _ => Edit::clear(path),
            })
            .collect();
        let mut by = By::new(who, now_ms());
        if let Some(token) = token.filter(|t| !t.is_empty()) {
            by = by.token(token);
        }
        let version = i64::try_from(version).unwrap_or(i64::MAX);
        let kept = self.shop.change(Subject::Coupon, number, version, &edits, &by).await;
        self.outcome(number, kept).await
    }

    pub(super) async fn undone(&self, number: &str, version: u64, who: &str) -> Result<Outcome, Trouble> {
        let version = i64::try_from(version).unwrap_or(i64::MAX);
        let kept = self.shop.undo(Subject::Coupon, number, version, &By::new(who, now_ms())).await;
        self.outcome(number, kept).await
    }

    async fn outcome(
        &self,
        number: &str,
        kept: Result<bendproof_shop::Document, ShopError>,
    ) -> Result<Outcome, Trouble> {
        match kept {
            Ok(kept) => {
                self.refresh_plate(number, &Document::from_values(kept.values));
                Ok(Outcome::Saved(Box::new(self.opened(number).await?)))
            }
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

    pub(super) async fn created(&self, template: &str, who: &str) -> Result<String, Trouble> {
        let (_, _, text) = TEMPLATES.iter().find(|(id, ..)| *id == template).ok_or(Trouble::Absent)?;
        let number = format!("{:04}", self.shop.next_number().await.map_err(trouble)?);
        let (document, _) = Document::from_toml(&COUPON, text);
        // The template's people and place are the example's, not this shop's.
        let skipped = ["number", "welder", "booth", "title"];
        let mut edits = vec![Edit::set("number", &number)];
        edits.extend(
            document
                .values()
                .iter()
                .filter(|(path, _)| !skipped.contains(&path.as_str()))
                .map(|(path, text)| Edit::set(path, text)),
        );
        self.shop.create_coupon(&number, &edits, &By::new(who, now_ms())).await.map_err(trouble)?;
        Ok(number)
    }

    pub(super) async fn downloaded(&self, number: &str, kind: FileKind) -> Result<Download, Trouble> {
        let (_, document) = self.document(number).await?;
        let file_name = format!("coupon-{number}{}", kind.ending());
        let (content_type, bytes) = match kind {
            FileKind::Toml => ("application/toml; charset=utf-8", document.to_toml(&COUPON).into_bytes()),
            FileKind::Json => ("application/json", forecast_json(&document, self.told())),
            FileKind::Pdf(paper) => {
                // Solved first, so that the sheet rests on the beads of its section.
                let section = self.section_for_paper(number).await?;
                let sheet = self.sheet_of(number, document.clone(), Look::Paper).await?;
                let told = self.told();
                let page = page_size(paper);
                let print =
                    move || crate::command::sheet_pdf(&sheet, &document, told, section.as_ref(), page);
                let pdf = computing(print).await?;
                ("application/pdf", pdf.map_err(|why| Trouble::Broken(why.to_string()))?)
            }
        };
        Ok(Download { content_type: content_type.to_owned(), file_name, bytes })
    }

    /// The record of a welder's latest accepted coupon.
    pub(super) async fn welder_record(&self, id: &str, paper: Paper) -> Result<Download, Trouble> {
        let number = self.latest_accepted(id).await?.ok_or(Trouble::Absent)?;
        let (_, document) = self.document(&number).await?;
        let issued = crate::command::issued_now();
        let told = self.told();
        let print = Issue::print(crate::command::issue_time(issued));
        let work = move || {
            welder(&document, None, told, print)
                .map(|record| record_pdf(&RecordPaper { record, issued, page: page_size(paper) }))
        };
        let pdf = computing(work).await?.map_err(|why| Trouble::Broken(why.to_string()))?;
        Ok(Download {
            content_type: "application/pdf".to_owned(),
            file_name: format!("record-{id}-{number}{}.pdf", paper.slug()),
            bytes: pdf.map_err(|why| Trouble::Broken(why.to_string()))?,
        })
    }
}

/// What cannot be kept: a text its field does not hold. Faults that need two
/// values to show are kept and told on the sheet, because a fit is typed one
/// value at a time.
fn refusals(changes: &[Change]) -> Vec<Finding> {
    changes
        .iter()
        .filter_map(|(path, text)| {
            let text = text.as_deref().map(str::trim).filter(|t| !t.is_empty())?;
            let finding = check_field(&COUPON, path, text, &known(Some(today()))).err()?;
            Some(Finding { path: Some(path.clone()), message: finding.message })
        })
        .collect()
}

/// Whether a change is left to take back; the creation stays.
pub(super) fn can_undo(events: &[Event]) -> bool {
    let step = |event: &Event| match event.kind {
        EventKind::Create => 0,
        EventKind::Change | EventKind::Redo => 1,
        EventKind::Undo => -1,
    };
    events.iter().map(step).sum::<i32>() > 0
}

fn forecast_json(document: &Document, told: Told) -> Vec<u8> {
    let read = read_forecast(&document.to_toml(&COUPON), told);
    let value = json::forecast_read(&read)
        .unwrap_or_else(|| serde_json::json!({ "findings": crate::output::findings_json(&read.findings) }));
    serde_json::to_vec_pretty(&value).unwrap_or_default()
}
