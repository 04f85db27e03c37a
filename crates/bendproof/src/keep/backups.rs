//! Dated backups: one a day, the newest kept, older ones thinned to one a week.

use std::path::{Path, PathBuf};

use bendproof_shop::{Shop, ShopError};
use jiff::civil::{Date, DateTime};

use super::{private_folder, timed_names};

/// Days kept one by one, a count. Basis: choice.
const DAILY_KEPT: usize = 14;
/// Weeks kept before those, one backup each, a count. Basis: choice.
const WEEKLY_KEPT: usize = 8;
/// Folder of the backups in the data folder.
const FOLDER: &str = "backups";

/// The folder of the backups: the one named, or the one in the data folder.
pub fn backups_in(data: &Path, named: Option<&Path>) -> PathBuf {
    named.map_or_else(|| data.join(FOLDER), Path::to_owned)
}

/// The name of the backup the bench makes on a day.
fn daily_name(day: Date) -> String {
    format!("shop-{day}.db")
}

/// The day of a backup the bench made; nothing for every other file.
fn day_of(name: &str) -> Option<Date> {
    let day: Date = name.strip_prefix("shop-")?.strip_suffix(".db")?.parse().ok()?;
    // Only our own way to write it: a file of somebody else's is never removed.
    (daily_name(day) == name).then_some(day)
}

/// A name for a backup made by hand, which no thinning takes away.
pub fn free_name(folder: &Path, now: DateTime) -> PathBuf {
    let mut names = timed_names("shop-", now).map(|name| folder.join(name));
    names.find(|name| !name.exists()).unwrap_or_default()
}

/// The days of which there is a backup, newest first.
pub(super) fn days_in(folder: &Path) -> Vec<Date> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut days: Vec<Date> = entries.filter_map(|entry| day_of(entry.ok()?.file_name().to_str()?)).collect();
    days.sort_by(|a, b| b.cmp(a));
    days
}

/// The newest backup that the bench made.
pub(super) fn newest(folder: &Path) -> Option<PathBuf> {
    days_in(folder).first().map(|day| folder.join(daily_name(*day)))
}

/// Days whose backup is not kept, of days newest first. Counted, not compared
/// with today: a clock set wrong for a day must not take the others away.
fn surplus(days: &[Date]) -> Vec<Date> {
    let mut weeks = Vec::new();
    let is_surplus = |day: &&Date| {
        let is_kept = !weeks.contains(&week(**day)) && weeks.len() < WEEKLY_KEPT;
        if is_kept {
            weeks.push(week(**day));
        }
        !is_kept
    };
    days.iter().skip(DAILY_KEPT).filter(is_surplus).copied().collect()
}

/// The week of a day, with its year.
fn week(day: Date) -> (i16, i8) {
    (day.iso_week_date().year(), day.iso_week_date().week())
}

/// Makes the backup of a day where there is none yet, and thins the older ones.
///
/// # Errors
/// What stands in the way, in words; then nothing is thinned.
pub(super) async fn back_up(file: &Path, folder: &Path, day: Date) -> Result<(), String> {
    private_folder(folder).map_err(|why| format!("{}: {why}", folder.display()))?;
    let to = folder.join(daily_name(day));
    if !to.exists() {
        let shop = Shop::open_read_only(file).await.map_err(|why| why.to_string())?;
        let made = shop.backup(&to).await;
        shop.close().await;
        match made {
            // A second program was quicker.
            Ok(()) | Err(ShopError::BackupExists { .. }) => {}
            Err(why) => return Err(why.to_string()),
        }
    }
    for old in surplus(&days_in(folder)) {
        let old = folder.join(daily_name(old));
        std::fs::remove_file(&old).map_err(|why| format!("{}: {why}", old.display()))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use bendproof_shop::By;
    use jiff::ToSpan;
    use jiff::civil::date;

    #[test]
    fn fourteen_days_and_eight_weeks_before_them_are_kept() {
        let newest = date(2026, 11, 30);
        // A year of daily backups, made and thinned day by day.
        let mut kept: Vec<Date> = Vec::new();
        for back in (0..365).rev() {
            kept.insert(0, newest - back.days());
            let gone = surplus(&kept);
            kept.retain(|day| !gone.contains(day));
        }
        assert_eq!(kept.len(), DAILY_KEPT + WEEKLY_KEPT, "{kept:?}");
        let daily: Vec<Date> = (0..14).map(|back| newest - back.days()).collect();
        assert_eq!(kept[..14], daily[..]);
        assert!(kept[14..].windows(2).all(|w| week(w[0]) != week(w[1])), "{kept:?}");
        let oldest = kept[kept.len() - 1];
        assert!(oldest < newest - 56.days() && oldest > newest - 72.days(), "{oldest}");
    }

    #[test]
    fn a_clock_set_wrong_takes_one_backup_and_not_all() {
        let mut days: Vec<Date> = (0..14).map(|back| date(2026, 11, 30) - back.days()).collect();
        days.insert(0, date(2126, 1, 1));
        assert_eq!(surplus(&days), []);
    }

    #[test]
    fn a_file_of_another_name_is_nobodys_to_remove() {
        for name in ["shop-2026-11-30-101500.db", "shop.db", "shop-2026-11-30.db.part", "shop-20261130.db"] {
            assert_eq!(day_of(name), None, "{name}");
        }
        assert_eq!(day_of("shop-2026-11-30.db"), Some(date(2026, 11, 30)));
    }

    #[tokio::test]
    async fn one_backup_a_day_is_made_and_no_file_is_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let (file, to) = (folder.path().join("shop.db"), folder.path().join("backups"));
        let shop = Shop::open(&file).await.unwrap();
        let day = date(2026, 11, 30);
        back_up(&file, &to, day).await.unwrap();
        let first = std::fs::read(to.join("shop-2026-11-30.db")).unwrap();
        shop.create_coupon("C-1", &[], &By::new("Rosa", 1)).await.unwrap();
        back_up(&file, &to, day).await.unwrap();
        assert_eq!(std::fs::read(to.join("shop-2026-11-30.db")).unwrap(), first);
        back_up(&file, &to, day + 1.day()).await.unwrap();
        assert_eq!(days_in(&to), [day + 1.day(), day]);
        assert_ne!(std::fs::read(to.join("shop-2026-12-01.db")).unwrap(), first);
    }
}
