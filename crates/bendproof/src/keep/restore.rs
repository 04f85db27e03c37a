//! Puts a backup in the place of the shop's file. The present file is kept
//! aside, and nothing is moved before the backup has been found whole.

use std::path::{Path, PathBuf};

use bendproof_shop::{Audit, Shop, ShopError, owner_only, put_in_place};
use jiff::civil::DateTime;

use super::{companion, remove_unfinished, seen, shop_file, timed_names};
use crate::exit::{Failure, failure};
use bendproof_desk::audit;

/// What was done.
#[derive(Debug)]
pub struct Restored {
    /// What the check of the backup read.
    pub audit: Audit,
    /// Where the file lies that stood there before, where there was one.
    pub aside: Option<PathBuf>,
}

/// Checks a backup and puts it in the place of the shop's file of a folder. The
/// caller holds the folder.
///
/// # Errors
/// Where the backup is damaged or cannot be read, and what the system says.
/// Then the shop's file is as it was.
pub async fn restore(backup: &Path, folder: &Path, now: DateTime) -> Result<Restored, Failure> {
    let file = shop_file(folder);
    let part = companion(&file, ".restored");
    let failed = |why: std::io::Error| failure(format!("{}: {why}", part.display()));
    remove_unfinished(&part).map_err(failed)?;
    let checked = copied(backup, &part).await;
    let (audit, head) = match checked {
        Ok(found) => found,
        Err(why) => {
            // The reason to tell is the first one.
            let _ = remove_unfinished(&part);
            return Err(failure(format!("{}: {why}; the shop's file was not touched", backup.display())));
        }
    };
    let aside = set_aside(&file, now)
        .map_err(|why| failure(format!("{} cannot be set aside: {why}", file.display())))?;
    put_in_place(&part, &file).map_err(failed)?;
    if let Some(head) = head {
        seen::keep(&file, &head).map_err(failed)?;
    }
    Ok(Restored { audit, aside })
}

/// Copies a backup, brings the copy up to date and checks it.
async fn copied(
    backup: &Path,
    part: &Path,
) -> Result<(Audit, Option<bendproof_shop::Head>), Box<dyn std::error::Error>> {
    if !std::fs::metadata(backup)?.is_file() {
        return Err(Box::new(ShopError::NoFile { path: backup.to_owned() }));
    }
    for ending in ["", "-wal"] {
        let from = companion(backup, ending);
        // A file set aside has its log next to it; a backup has none.
        if ending.is_empty() || from.exists() {
            let to = companion(part, ending);
            std::fs::copy(&from, &to)?;
            std::fs::OpenOptions::new().write(true).open(&to)?.sync_all()?;
        }
    }
    owner_only(part)?;
    let shop = Shop::open_existing(part).await.map_err(|why| match why {
        ShopError::Empty { .. } => "the file is empty: 0 bytes; choose another backup".to_owned(),
        ShopError::Damaged { detail } => {
            format!("damaged or no shop's file ({detail}); choose another backup")
        }
        other => other.to_string(),
    })?;
    let found = async { Ok::<_, ShopError>((audit(&shop).await?, shop.head().await?)) }.await;
    shop.close().await;
    let (audit, head) = found?;
    match audit.faults.first() {
        Some(first) => Err(format!("{first}; choose another backup").into()),
        None => Ok((audit, head)),
    }
}

/// Gives the present file, with its log, a second name with the time in it. It
/// keeps its own until the backup takes its place, so that a restore cut short
/// never leaves a folder without a shop.
fn set_aside(file: &Path, now: DateTime) -> std::io::Result<Option<PathBuf>> {
    if !file.exists() {
        return Ok(None);
    }
    let aside = named_aside(file, now)?;
    for ending in ["-wal", "-shm"] {
        match std::fs::rename(companion(file, ending), companion(&aside, ending)) {
            Err(why) if why.kind() != std::io::ErrorKind::NotFound => return Err(why),
            _ => {}
        }
    }
    Ok(Some(aside))
}

/// A second name for the file that no other file has: two restores of one second
/// both keep what they replaced.
fn named_aside(file: &Path, now: DateTime) -> std::io::Result<PathBuf> {
    for name in timed_names("shop-replaced-", now) {
        let aside = file.with_file_name(name);
        // Some file systems have no second names.
        match std::fs::hard_link(file, &aside).or_else(|_| copy_new(file, &aside)) {
            Err(why) if why.kind() == std::io::ErrorKind::AlreadyExists => {}
            done => return done.map(|()| aside),
        }
    }
    Err(std::io::ErrorKind::AlreadyExists.into())
}

fn copy_new(from: &Path, to: &Path) -> std::io::Result<()> {
    let mut new = std::fs::OpenOptions::new().write(true).create_new(true).open(to)?;
    std::io::copy(&mut std::fs::File::open(from)?, &mut new)?;
    new.sync_all()
}

#[cfg(test)]
mod tests {
    use super::*;
    use bendproof_shop::{By, Edit, Subject};
    use jiff::civil::date;

    async fn titled(file: &Path, title: &str) {
        let shop = Shop::open(file).await.unwrap();
        shop.create_coupon("C-1", &[Edit::set("title", title)], &By::new("Rosa", 1)).await.unwrap();
        shop.close().await;
    }

    async fn title(file: &Path) -> String {
        let shop = Shop::open_existing(file).await.unwrap();
        let title = shop.document(Subject::Coupon, "C-1").await.unwrap().values["title"].clone();
        shop.close().await;
        title
    }

    fn now() -> DateTime {
        date(2026, 11, 30).at(21, 15, 9, 0)
    }

    #[tokio::test]
    async fn a_backup_takes_the_place_of_the_file_which_is_kept_aside_with_its_log() {
        let folder = tempfile::tempdir().unwrap();
        let file = shop_file(folder.path());
        let backup = folder.path().join("backup.db");
        titled(&backup, "then").await;
        titled(&file, "now").await;
        // A log left next to the present file must not be read into the backup.
        let shop = Shop::open(&file).await.unwrap();
        let edit = [Edit::set("title", "later")];
        shop.change(Subject::Coupon, "C-1", 1, &edit, &By::new("Rosa", 2)).await.unwrap();
        let log = std::fs::read(companion(&file, "-wal")).unwrap();
        shop.close().await;
        std::fs::write(companion(&file, "-wal"), log).unwrap();

        let before = std::fs::read(&backup).unwrap();
        let done = restore(&backup, folder.path(), now()).await.unwrap();
        assert_eq!(title(&file).await, "then");
        let aside = done.aside.unwrap();
        assert!(aside.ends_with("shop-replaced-2026-11-30-211509.db"), "{aside:?}");
        assert_eq!(title(&aside).await, "later");
        assert_eq!(std::fs::read(&backup).unwrap(), before, "the backup stays as it was");
        assert_eq!(seen::read(&file).unwrap().seq, 1);
    }

    #[tokio::test]
    async fn restores_of_one_second_each_keep_what_they_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let file = shop_file(folder.path());
        let backups = ["first", "second", "third"].map(|title| (title, folder.path().join(title)));
        titled(&file, "at the start").await;
        let mut replaced = "at the start";
        let mut names = std::collections::BTreeSet::new();
        for (name, backup) in &backups {
            titled(backup, name).await;
            let aside = restore(backup, folder.path(), now()).await.unwrap().aside.unwrap();
            assert_eq!((title(&aside).await.as_str(), title(&file).await.as_str()), (replaced, *name));
            assert!(names.insert(aside), "{names:?}");
            replaced = name;
        }
    }

    #[tokio::test]
    async fn a_damaged_backup_is_refused_and_the_file_stays() {
        let folder = tempfile::tempdir().unwrap();
        let file = shop_file(folder.path());
        let backup = folder.path().join("backup.db");
        titled(&backup, "then").await;
        titled(&file, "now").await;
        let mut bytes = std::fs::read(&backup).unwrap();
        for at in 0..bytes.len() - 4 {
            if &bytes[at..at + 4] == b"then" {
                bytes[at] ^= 1;
            }
        }
        for (bytes, said) in [
            (bytes, "damaged"),
            (Vec::new(), "0 bytes"),
            (b"a list of plates\n".repeat(300), "no shop's file"),
        ] {
            std::fs::write(&backup, bytes).unwrap();
            let why = restore(&backup, folder.path(), now()).await.unwrap_err().to_string();
            assert!(why.contains(said) || why.contains("was altered"), "{why}");
            assert!(why.contains("choose another backup; the shop's file was not touched"), "{why}");
            assert_eq!(title(&file).await, "now");
        }
        let left: Vec<_> =
            std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
        assert_eq!(left.len(), 2, "{left:?}");
    }
}
