//! What a running bench does for the shop's file: the check, the clock, the
//! backups; and what of it everybody at the page must know.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use bendproof_bench::desk::Notices;
use bendproof_desk::{Clock as _, Keeping, Waited, audit, moment};
use bendproof_shop::{Shop, ShopError};
use jiff::civil::Date;
use tokio::sync::{Notify, watch};
use tokio::task::JoinHandle;

use super::clock::Clock;
use super::{advice, backups, seen};
use crate::source::MachineClock;

/// How often the bench looks whether a backup is due. Basis: choice.
const LOOK_EVERY: Duration = Duration::from_secs(15 * 60);
/// How long the end of the bench waits for a backup being written. Basis: choice.
const BACKUP_WAIT: Duration = Duration::from_secs(5);
/// Faults listed on the page; all of them are listed by `shop verify`. Basis: choice.
const FAULTS_SHOWN: usize = 5;

/// How far the check of the file has come.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Check {
    Running,
    Sound,
    Faulty(Vec<String>),
}

/// Looks after one shop's file.
#[derive(Debug)]
pub struct Keeper {
    file: PathBuf,
    /// Where backups go, and whether the bench makes any.
    backups: PathBuf,
    makes_backups: bool,
    check: watch::Sender<Check>,
    clock: Mutex<Clock>,
    /// What is known of the file besides its faults, in sentences: an older file
    /// in its place, a backup that could not be made.
    remarks: Mutex<Remarks>,
    /// The check and the backups at work.
    work: Mutex<Option<JoinHandle<()>>>,
    /// AssessmentContext when the bench ends.
    ends: Notify,
}

#[derive(Debug, Default)]
struct Remarks {
    older: Option<String>,
    no_backup: Option<String>,
    last_backup: Option<Date>,
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Keeper {
    fn new(file: PathBuf, backups: PathBuf, makes_backups: bool, check: Check) -> Self {
        Self {
            file,
            backups,
            makes_backups,
            check: watch::Sender::new(check),
            clock: Mutex::default(),
            remarks: Mutex::default(),
            work: Mutex::default(),
            ends: Notify::new(),
        }
    }

    /// Begins to look after an open shop: its check, then its backups, go on
    /// while the bench works.
    ///
    /// # Errors
    /// What the storage reports.
    pub async fn begin(
        shop: &Shop,
        file: PathBuf,
        backups: PathBuf,
        makes_backups: bool,
    ) -> Result<Arc<Self>, ShopError> {
        let keeper = Self::new(file, backups, makes_backups, Check::Running);
        match shop.head().await {
            Ok(head) => locked(&keeper.clock).newest_ms = head.map(|head| head.at_ms),
            // The check says where.
            Err(ShopError::Damaged { .. }) => {}
            Err(other) => return Err(other),
        }
        keeper.look_back(shop).await?;
        let keeper = Arc::new(keeper);
        let work = tokio::spawn(Arc::clone(&keeper).go_on(shop.clone()));
        *locked(&keeper.work) = Some(work);
        Ok(keeper)
    }

    /// Whether the entry that was the newest at the last stop is still there.
    async fn look_back(&self, shop: &Shop) -> Result<(), ShopError> {
        let Some(then) = seen::read(&self.file) else { return Ok(()) };
        let older = match shop.verify_head(&then).await {
            Ok(fault) => fault.map(|fault| fault.to_string()),
            Err(ShopError::Damaged { .. }) => None,
            Err(other) => return Err(other),
        };
        locked(&self.remarks).older = older.map(|fault| {
            format!(
                "{fault}, the last from {}. An older file stands in the place of the shop's file; if nobody \
                 meant that, stop the bench and put the right one back.",
                moment(then.at_ms)
            )
        });
        Ok(())
    }

    async fn go_on(self: Arc<Self>, shop: Shop) {
        let found = match audit(&shop).await {
            Ok(audit) if audit.is_sound() => Check::Sound,
            Ok(audit) => Check::Faulty(audit.faults.iter().map(ToString::to_string).collect()),
            Err(why) => Check::Faulty(vec![format!("the check could not be finished: {why}")]),
        };
        let is_sound = found == Check::Sound;
        self.check.send_replace(found);
        // A damaged file is not kept in place of a sound one.
        if !is_sound || !self.makes_backups {
            return;
        }
        loop {
            self.back_up().await;
            if tokio::time::timeout(LOOK_EVERY, self.ends.notified()).await.is_ok() {
                return;
            }
        }
    }

    async fn back_up(&self) {
        let made = backups::back_up(&self.file, &self.backups, MachineClock.today()).await;
        let last = backups::days_in(&self.backups).first().copied();
        let mut remarks = locked(&self.remarks);
        remarks.last_backup = last;
        remarks.no_backup = made.err();
    }

    /// Waits for the check for so long; then it goes on by itself. Returns what
    /// it has found until then, in sentences.
    pub async fn wait(&self, at_most: Duration) -> Vec<String> {
        let mut check = self.check.subscribe();
        let _ = tokio::time::timeout(at_most, check.wait_for(|check| *check != Check::Running)).await;
        self.faults()
    }

    fn faults(&self) -> Vec<String> {
        match &*self.check.borrow() {
            Check::Faulty(faults) => faults.clone(),
            Check::Running | Check::Sound => Vec::new(),
        }
    }

    /// What is said with the faults at the start and on every page.
    pub fn warnings(&self) -> Vec<String> {
        let remarks = locked(&self.remarks);
        let no_backup =
            remarks.no_backup.as_ref().map(|why| format!("No backup could be made today: {why}."));
        remarks.older.iter().cloned().chain(no_backup).collect()
    }

    /// What to do about faults.
    pub fn advice(&self) -> String {
        advice(&self.file, &self.backups)
    }

    /// The state of the file in a line; none for a shop without one.
    fn state(&self) -> Option<String> {
        if self.file.as_os_str().is_empty() {
            return None;
        }
        let check = match &*self.check.borrow() {
            Check::Running => "is being checked",
            Check::Sound => "was checked at the start and is sound",
            Check::Faulty(_) => "is damaged",
        };
        let backup = match locked(&self.remarks).last_backup {
            Some(day) => format!("Last backup {day}."),
            None if self.makes_backups => "No backup yet.".to_owned(),
            None => "This bench makes no backups.".to_owned(),
        };
        Some(format!("The shop's file {check}. {backup}"))
    }

    /// Ends the check and the backups, and remembers the newest entry for the
    /// next start.
    pub async fn end(&self, shop: &Shop) {
        let work = locked(&self.work).take();
        if let Some(mut work) = work {
            self.ends.notify_one();
            // A check is of no use any more; a backup is let finish, because the
            // log is folded into the file only when nobody else reads it.
            let is_checking = *self.check.borrow() == Check::Running;
            if is_checking || tokio::time::timeout(BACKUP_WAIT, &mut work).await.is_err() {
                work.abort();
                // What comes back is that it was ended.
                let _ = work.await;
            }
        }
        // Without it the next start knows the one before, or none; nothing of
        // the shop is lost.
        if let Ok(Some(head)) = shop.head().await {
            let _ = seen::keep(&self.file, &head);
        }
    }
}

impl Keeping for Keeper {
    fn sound(&self) -> Waited<'_, Result<(), String>> {
        Box::pin(async {
            let mut check = self.check.subscribe();
            // The sender lives in this keeper, so the wait ends with the check.
            let _ = check.wait_for(|check| *check != Check::Running).await;
            match self.faults().first() {
                None => Ok(()),
                Some(first) => Err(format!(
                    "no record can be issued from a damaged file: {first}. Stop Bendproof; {}",
                    self.advice()
                )),
            }
        })
    }

    fn saving(&self) -> Result<i64, String> {
        let now = MachineClock.now_ms();
        locked(&self.clock).take(now).map_err(|newest| clock_question(now, newest))
    }

    fn confirm_clock(&self) {
        locked(&self.clock).is_confirmed = true;
    }

    fn notices(&self) -> Notices {
        let now = MachineClock.now_ms();
        let mut warnings = self.faults();
        let more = warnings.len().saturating_sub(FAULTS_SHOWN);
        warnings.truncate(FAULTS_SHOWN);
        if !warnings.is_empty() {
            let more = if more > 0 { format!("And {more} more. ") } else { String::new() };
            warnings.push(format!("{more}The shop's file is damaged. Stop Bendproof; {}", self.advice()));
        }
        warnings.extend(self.warnings());
        Notices {
            warnings,
            clock: locked(&self.clock).asks(now).map(|newest| clock_question(now, newest)),
            file: self.state(),
        }
    }
}

fn clock_question(now_ms: i64, newest_ms: i64) -> String {
    format!(
        "This computer's clock says {}, the newest entry is from {}: set the clock, or confirm that it is right. \
         Until then nothing is kept, and every day on this page is counted from the clock.",
        moment(now_ms),
        moment(newest_ms)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use bendproof_shop::By;

    async fn shop_until(at_ms: i64) -> (tempfile::TempDir, Shop, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let file = super::super::shop_file(folder.path());
        let shop = Shop::open(&file).await.unwrap();
        shop.create_coupon("C-1", &[], &By::new("Rosa", at_ms)).await.unwrap();
        (folder, shop, file)
    }

    async fn keeper(shop: &Shop, file: &std::path::Path) -> Arc<Keeper> {
        let backups = file.with_file_name("backups");
        Keeper::begin(shop, file.to_owned(), backups, true).await.unwrap()
    }

    #[tokio::test]
    async fn a_sound_file_is_backed_up_and_says_so() {
        let (_folder, shop, file) = shop_until(1).await;
        let keeper = keeper(&shop, &file).await;
        keeper.sound().await.unwrap();
        for _ in 0..600 {
            if locked(&keeper.remarks).last_backup.is_some() {
                break;
            }
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        let notices = keeper.notices();
        assert_eq!(notices.warnings, Vec::<String>::new());
        assert_eq!(notices.clock, None);
        let said = notices.file.unwrap();
        assert!(
            said.contains("is sound") && said.contains(&format!("Last backup {}", MachineClock.today())),
            "{said}"
        );
    }

    #[tokio::test]
    async fn a_damaged_file_is_reported_and_gives_no_record_and_no_backup() {
        let (_folder, shop, file) = shop_until(1).await;
        shop.close().await;
        let mut bytes = std::fs::read(&file).unwrap();
        let at = bytes.windows(4).rposition(|four| four == b"Rosa").unwrap();
        bytes[at] ^= 2;
        std::fs::write(&file, bytes).unwrap();
        let shop = Shop::open_existing(&file).await.unwrap();
        let keeper = keeper(&shop, &file).await;
        let why = keeper.sound().await.unwrap_err();
        assert!(why.contains("Posa") && why.contains("bendproof shop restore"), "{why}");
        let notices = keeper.notices();
        assert!(notices.warnings.concat().contains("The shop's file is damaged"), "{notices:?}");
        assert!(!file.with_file_name("backups").exists());
    }

    #[tokio::test]
    async fn a_clock_behind_keeps_nothing_until_it_is_confirmed() {
        let newest = MachineClock.now_ms() + 365 * 86_400_000;
        let (_folder, shop, file) = shop_until(newest).await;
        let keeper = keeper(&shop, &file).await;
        let why = keeper.saving().unwrap_err();
        let said = moment(newest);
        assert!(why.contains(&said) && why.contains("set the clock, or confirm"), "{why}");
        assert_eq!(keeper.notices().clock.map(|words| words.contains(&said)), Some(true));
        keeper.confirm_clock();
        assert!(keeper.saving().is_ok());
        assert_eq!(keeper.notices().clock, None);
    }

    #[tokio::test]
    async fn an_older_file_in_its_place_is_reported_once() {
        let (_folder, shop, file) = shop_until(1).await;
        shop.close().await;
        let older = std::fs::read(&file).unwrap();
        let shop = Shop::open(&file).await.unwrap();
        shop.create_coupon("C-2", &[], &By::new("Rosa", 2)).await.unwrap();
        keeper(&shop, &file).await.end(&shop).await;
        shop.close().await;
        std::fs::write(&file, older).unwrap();
        let shop = Shop::open(&file).await.unwrap();
        let now = keeper(&shop, &file).await;
        let said = now.notices().warnings.concat();
        assert!(said.contains("ends at event 1, it has held 2"), "{said}");
        now.end(&shop).await;
        assert_eq!(keeper(&shop, &file).await.warnings(), Vec::<String>::new());
    }
}
