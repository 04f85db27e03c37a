//! The desk behind the page: the shop's file on one side, the sheet builder,
//! the code engine and the paper on the other. It passes things on and puts
//! nothing into them.

mod codes;
mod days;
mod demo_fill;
mod finder;
mod judged;
mod lists;
mod procedure_view;
mod procedures;
mod record_source;
mod records;
mod rows;
mod sheets;
mod solved;
mod window;
mod words;

use std::collections::BTreeMap;
use std::sync::atomic::AtomicU64;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use bendproof_bench::desk::*;
use bendproof_codes::ShopRules;
use bendproof_shop::{Shop, ShopError, Subject};
use bendproof_traveler::{PastPlate, Sheet, Told};

pub use demo_fill::fill_with_demo;

/// A desk over one shop file.
pub struct ShopDesk {
    shop: Shop,
    /// The shop's own limits, where it has any.
    rules: Option<&'static ShopRules>,
    /// This shop's finished plates by coupon, loaded once and kept fresh by
    /// every save; `None` until first asked for.
    plates: Mutex<Option<BTreeMap<String, PastPlate>>>,
    /// Counts the changes of `plates`, so that a sheet computed beside older
    /// plates is not taken for a fresh one.
    plates_changed: AtomicU64,
    /// Lines of the list of coupons with the version they were made from.
    rows: Mutex<BTreeMap<String, (i64, CouponRow)>>,
    /// Sheets computed for the screen, with what they were computed from.
    sheets: Mutex<BTreeMap<String, (SheetKey, Arc<Sheet>)>>,
    /// Solved coupons.
    shelf: Arc<solved::Shelf>,
}

/// What a computed sheet depends on besides the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct SheetKey {
    version: i64,
    plates_changed: u64,
    day: jiff::civil::Date,
    is_solved: bool,
}

impl ShopDesk {
    /// A desk over an open shop that may hold its codes to limits of its own.
    pub fn new(shop: Shop, rules: Option<&'static ShopRules>) -> Self {
        Self {
            shop,
            rules,
            plates: Mutex::new(None),
            plates_changed: AtomicU64::new(0),
            rows: Mutex::new(BTreeMap::new()),
            sheets: Mutex::new(BTreeMap::new()),
            shelf: Arc::default(),
        }
    }

    /// What is told beside a document: the day, and the shop's own limits.
    fn told(&self) -> Told {
        Told { day: Some(crate::source::today()), rules: self.rules }
    }
}

/// Locks a cache. A panic while it was held cannot leave half an entry, so a
/// poisoned lock is used as it is.
fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn trouble(error: ShopError) -> Trouble {
    match error {
        ShopError::NotFound { .. } => Trouble::Absent,
        other => Trouble::Broken(other.to_string()),
    }
}

/// The page a PDF for this paper has.
fn page_size(paper: Paper) -> bendproof_paper::PageSize {
    match paper {
        Paper::Letter => bendproof_paper::PageSize::Letter,
        Paper::A4 => bendproof_paper::PageSize::A4,
    }
}

/// Runs work that computes for milliseconds away from the threads that answer.
async fn computing<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Trouble> {
    tokio::task::spawn_blocking(work).await.map_err(|why| Trouble::Broken(why.to_string()))
}

impl Desk for ShopDesk {
    fn coupons(&self) -> Answer<'_, Vec<CouponRow>> {
        Box::pin(self.coupon_rows())
    }

    fn templates(&self) -> Answer<'_, Vec<Template>> {
        Box::pin(async { Ok(sheets::templates()) })
    }

    fn welders(&self) -> Answer<'_, Vec<WelderRow>> {
        Box::pin(self.welder_rows())
    }

    fn welder<'a>(&'a self, id: &'a str, on: Option<&'a str>) -> Answer<'a, WelderDetail> {
        Box::pin(self.welder_detail(id, on))
    }

    fn welder_ask<'a>(&'a self, id: &'a str, ask: JointAsk) -> Answer<'a, JointAskView> {
        Box::pin(self.joint_asked(id, ask))
    }

    fn welder_names(&self) -> Answer<'_, Vec<String>> {
        Box::pin(self.names())
    }

    fn add_welder<'a>(&'a self, welder: NewWelder<'a>, who: &'a str) -> Answer<'a, Entered<String>> {
        Box::pin(self.welder_added(welder, who))
    }

    fn log_use<'a>(&'a self, id: &'a str, used: NewUse<'a>, who: &'a str) -> Answer<'a, Entered<()>> {
        Box::pin(self.use_logged(id, used, who))
    }

    fn sheet<'a>(&'a self, number: &'a str) -> Answer<'a, Opened> {
        Box::pin(self.opened(number))
    }

    fn preview<'a>(&'a self, number: &'a str, changes: Vec<Change>) -> Answer<'a, Sheet> {
        Box::pin(self.previewed(number, changes))
    }

    fn change<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'a>,
    ) -> Answer<'a, Outcome> {
        Box::pin(self.changed(number, version, changes, hand))
    }

    fn row<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        kind: RowKind,
        action: RowAction,
        hand: Hand<'a>,
    ) -> Answer<'a, Outcome> {
        Box::pin(async move {
            // Sent again after a lost answer, the row is there already, and what
            // it would change now is another row.
            let events = self.shop.history(Subject::Coupon, number).await.map_err(trouble)?;
            if events.iter().any(|event| event.token.as_deref() == Some(hand.token)) {
                return Ok(Outcome::Saved(Box::new(self.opened(number).await?)));
            }
            let document = self.document(number).await?;
            match rows::changes(&document.1, &kind, &action) {
                Ok(changes) => self.changed(number, version, changes, hand).await,
                Err(message) => Ok(Outcome::Refused(vec![Finding { path: None, message }])),
            }
        })
    }

    fn undo<'a>(&'a self, number: &'a str, version: u64, hand: Hand<'a>) -> Answer<'a, Outcome> {
        Box::pin(self.undone(number, version, hand))
    }

    fn stamp<'a>(&'a self, number: &'a str, version: u64, hand: Hand<'a>) -> Answer<'a, Outcome> {
        Box::pin(self.stamped(number, version, hand))
    }

    fn create<'a>(&'a self, template: &'a str, who: &'a str) -> Answer<'a, String> {
        Box::pin(self.created(template, who))
    }

    fn download<'a>(&'a self, number: &'a str, kind: FileKind) -> Answer<'a, Download> {
        Box::pin(self.downloaded(number, kind))
    }

    fn section<'a>(&'a self, number: &'a str, ask: SectionAsk) -> Answer<'a, Section> {
        Box::pin(self.section_of(number, ask))
    }

    fn film<'a>(&'a self, number: &'a str, ask: SectionAsk) -> Answer<'a, FilmFrame> {
        Box::pin(self.film_of(number, ask))
    }

    fn section_file<'a>(
        &'a self,
        number: &'a str,
        kind: SectionFile,
        ask: SectionAsk,
    ) -> Answer<'a, Download> {
        Box::pin(self.section_downloaded(number, kind, ask))
    }

    fn window<'a>(&'a self, number: &'a str, ask: WindowAsk) -> Answer<'a, WindowOpened> {
        Box::pin(self.window_opened(number, ask))
    }

    fn window_place<'a>(
        &'a self,
        number: &'a str,
        ask: WindowAsk,
        at: [f64; 2],
    ) -> Answer<'a, Result<WindowPlace, Vec<String>>> {
        Box::pin(self.window_pointed(number, ask, at))
    }

    fn window_set<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'a>,
    ) -> Answer<'a, Outcome> {
        Box::pin(self.window_kept(number, version, changes, hand))
    }

    fn window_chance<'a>(&'a self, number: &'a str) -> Answer<'a, Result<ChanceView, Vec<String>>> {
        Box::pin(self.window_chances(number))
    }

    fn window_file<'a>(&'a self, number: &'a str, kind: WindowFile, ask: WindowAsk) -> Answer<'a, Download> {
        Box::pin(self.window_downloaded(number, kind, ask))
    }

    fn codes<'a>(&'a self, number: &'a str) -> Answer<'a, Codes> {
        Box::pin(self.codes_of(number))
    }

    fn finder(&self, ask: FinderAsk) -> Answer<'_, FinderView> {
        let told = self.told();
        Box::pin(async move { computing(move || finder::view(&ask, told)).await?.map_err(Trouble::Broken) })
    }

    fn records<'a>(&'a self, of: RecordOf, number: &'a str) -> Answer<'a, RecordsView> {
        Box::pin(self.records_of(of, number))
    }

    fn issue<'a>(&'a self, ask: IssueAsk<'a>) -> Answer<'a, Entered<String>> {
        Box::pin(self.record_issued(ask))
    }

    fn record_file<'a>(&'a self, id: &'a str, revision: u32, kind: RecordFile) -> Answer<'a, Download> {
        Box::pin(self.record_downloaded(id, revision, kind))
    }

    fn procedures(&self) -> Answer<'_, ProcedureList> {
        Box::pin(self.procedure_list())
    }

    fn create_procedure<'a>(
        &'a self,
        start: &'a str,
        number: &'a str,
        who: &'a str,
    ) -> Answer<'a, Entered<String>> {
        Box::pin(self.procedure_created(start, number, who))
    }

    fn procedure<'a>(&'a self, number: &'a str, code: &'a str) -> Answer<'a, ProcedureView> {
        Box::pin(self.procedure_shown(number, code))
    }

    fn change_procedure<'a>(
        &'a self,
        number: &'a str,
        change: ProcedureChange<'a>,
    ) -> Answer<'a, ProcedureOutcome> {
        Box::pin(self.procedure_changed(number, change))
    }

    fn undo_procedure<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        who: &'a str,
    ) -> Answer<'a, ProcedureOutcome> {
        Box::pin(self.procedure_undone(number, version, who))
    }

    fn ask_procedure<'a>(&'a self, number: &'a str, ask: ProcedureAsk) -> Answer<'a, ProcedureAskView> {
        Box::pin(self.procedure_asked(number, ask))
    }

    fn procedure_file<'a>(&'a self, number: &'a str, part: &'a str) -> Answer<'a, Download> {
        Box::pin(self.procedure_part(number, part))
    }

    fn record<'a>(&'a self, welder: &'a str, paper: Paper) -> Answer<'a, Download> {
        Box::pin(self.welder_record(welder, paper))
    }

    fn explain<'a>(&'a self, rule: &'a str, code: Option<&'a str>) -> Answer<'a, RuleView> {
        Box::pin(async move { words::rule_view(rule, code, self.rules).ok_or(Trouble::Absent) })
    }

    fn about(&self) -> Answer<'_, About> {
        Box::pin(async { Ok(words::about()) })
    }
}
