//! The desk behind the page: the shop's file on one side, the sheet builder,
//! the code engine and the paper on the other. It passes things on and puts
//! nothing into them.

mod audit;
mod clock;
mod codes;
mod days;
mod demo;
mod demo_fill;
mod finder;
mod judged;
mod keeping;
mod ledger;
mod lists;
mod papers;
mod printers;
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
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use bendproof_bench::desk::*;
use bendproof_codes::catalogue::ShopRules;
use bendproof_shop::{Shop, ShopError, Subject};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::sheet::Sheet;

pub use audit::audit;
pub use clock::Clock;
pub use demo_fill::fill_with_demo;
pub use keeping::{Keeping, Waited};
pub use papers::{issue_time, issued_at, record_behind, sheet_pdf};
pub use words::moment;

/// A desk over one shop file.
pub struct ShopDesk {
    shop: Shop,
    /// The shop's own limits, where it has any.
    rules: Option<&'static ShopRules>,
    /// Coupons and people as lists need them.
    ledger: tokio::sync::Mutex<Arc<ledger::Ledger>>,
    /// This shop's finished plates.
    plates: tokio::sync::Mutex<ledger::Plates>,
    /// Lines of the list of coupons with what they were made from.
    rows: Mutex<BTreeMap<String, (lists::RowKey, CouponRow)>>,
    /// Lines of the list of welders with what they were made from.
    standings: Mutex<BTreeMap<String, (lists::StandingKey, WelderRow)>>,
    /// Sheets computed for the screen, with what they were computed from.
    sheets: Mutex<BTreeMap<String, (SheetKey, Arc<Sheet>)>>,
    /// Solved coupons.
    shelf: Arc<solved::Shelf>,
    printers: printers::Printers,
    /// Held while a coupon is made, so that a press sent twice finds the first.
    creating: tokio::sync::Mutex<()>,
    /// Documents of coupons read so far.
    #[cfg(test)]
    documents_read: std::sync::atomic::AtomicUsize,
    clock: Arc<dyn Clock>,
    /// Looks after the shop's file, where it has one.
    keeper: Option<Arc<dyn Keeping>>,
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
    pub fn new(shop: Shop, rules: Option<&'static ShopRules>, clock: Arc<dyn Clock>) -> Self {
        Self {
            shop,
            rules,
            ledger: tokio::sync::Mutex::default(),
            plates: tokio::sync::Mutex::default(),
            rows: Mutex::default(),
            standings: Mutex::default(),
            sheets: Mutex::default(),
            shelf: Arc::default(),
            printers: printers::Printers::default(),
            creating: tokio::sync::Mutex::default(),
            #[cfg(test)]
            documents_read: std::sync::atomic::AtomicUsize::new(0),
            clock,
            keeper: None,
        }
    }

    /// The same with somebody who looks after the shop's file.
    pub fn kept_by(self, keeper: Arc<dyn Keeping>) -> Self {
        Self { keeper: Some(keeper), ..self }
    }

    /// The time for an entry about to be made, ms since 1970-01-01T00:00Z.
    fn saving(&self) -> Result<i64, Trouble> {
        let asked = self.keeper.as_ref().map(|keeper| keeper.saving());
        asked.unwrap_or_else(|| Ok(self.clock.now_ms())).map_err(Trouble::Held)
    }

    /// Waits until the check of the file has ended.
    ///
    /// # Errors
    /// Why nothing may be signed from it, in words.
    async fn sound(&self) -> Result<(), String> {
        match &self.keeper {
            Some(keeper) => keeper.sound().await,
            None => Ok(()),
        }
    }

    /// What is given with a document: the day, and the shop's own limits.
    fn context(&self) -> AssessmentContext {
        AssessmentContext { day: Some(self.clock.today()), rules: self.rules }
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
    fn notices(&self) -> Notices {
        self.keeper.as_ref().map(|keeper| keeper.notices()).unwrap_or_default()
    }

    fn confirm_clock(&self) {
        if let Some(keeper) = &self.keeper {
            keeper.confirm_clock();
        }
    }

    fn coupons(&self, ask: ListAsk) -> Answer<'_, Listed<CouponRow>> {
        Box::pin(self.coupon_list(ask))
    }

    fn templates(&self) -> Answer<'_, Vec<Template>> {
        Box::pin(async { Ok(sheets::templates()) })
    }

    fn welders(&self, ask: ListAsk) -> Answer<'_, Listed<WelderRow>> {
        Box::pin(self.welder_list(ask))
    }

    fn unlisted<'a>(&'a self, find: &'a str) -> Answer<'a, Vec<String>> {
        Box::pin(self.unlisted_names(find))
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

    fn history<'a>(&'a self, number: &'a str, ask: ListAsk) -> Answer<'a, Listed<HistoryEntry>> {
        Box::pin(self.history_of(number, ask))
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
            if self.shop.was_sent(Subject::Coupon, number, hand.token).await.map_err(trouble)? {
                return Ok(Outcome::Saved(Box::new(self.opened(number).await?)));
            }
            let document = self.document(number).await?;
            match rows::changes(&document.1, &kind, &action) {
                Ok(changes) => self.kept(number, version, changes, hand).await,
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

    fn create<'a>(&'a self, template: &'a str, who: &'a str, token: &'a str) -> Answer<'a, String> {
        Box::pin(self.created(template, who, token))
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
        let context = self.context();
        Box::pin(
            async move { computing(move || finder::view(&ask, context)).await?.map_err(Trouble::Broken) },
        )
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

    fn procedures(&self, ask: ListAsk) -> Answer<'_, ProcedureList> {
        Box::pin(self.procedure_list(ask))
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

    fn record<'a>(&'a self, welder: &'a str, coupon: Option<&'a str>, paper: Paper) -> Answer<'a, Download> {
        Box::pin(self.welder_record(welder, coupon, paper))
    }

    fn explain<'a>(&'a self, rule: &'a str, code: Option<&'a str>) -> Answer<'a, RuleView> {
        Box::pin(async move { words::rule_view(rule, code, self.rules).ok_or(Trouble::Absent) })
    }

    fn about(&self) -> Answer<'_, About> {
        Box::pin(async { Ok(words::about()) })
    }
}
