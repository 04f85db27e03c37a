//! Keeping the shop's file: where it lies, who holds it, the check at the
//! start, dated backups and the way back. The shop itself reads no clock and
//! knows no other file; what lies next to it is known here.

mod backups;
mod check;
mod clock;
mod keeper;
mod lock;
mod restore;
mod seen;

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use bendproof_shop::{Shop, put_in_place};
use jiff::civil::DateTime;

use crate::exit::{Failure, failure};

pub use backups::{backups_in, free_name};
pub use check::{advice, audit_file, json};
pub use keeper::Keeper;
pub use lock::hold;
pub use restore::restore;

/// Name of the database file in the data folder.
const DATABASE: &str = "shop.db";

/// The shop's file in a data folder.
pub fn shop_file(folder: &Path) -> PathBuf {
    folder.join(DATABASE)
}

/// The data folder named, or the user's: `$XDG_DATA_HOME/bendproof`, or
/// `~/.local/share/bendproof`.
///
/// # Errors
/// Where neither is known.
pub fn data_folder(named: Option<&Path>) -> Result<PathBuf, Failure> {
    if let Some(named) = named {
        return Ok(named.to_owned());
    }
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    set("XDG_DATA_HOME")
        .or_else(|| set("HOME").map(|home| home.join(".local").join("share")))
        .map(|base| base.join("bendproof"))
        .ok_or_else(|| failure("no data folder: HOME is not set; give one with --data"))
}

/// Makes a folder that only its owner may enter; one that is there stays as it is.
///
/// # Errors
/// What the system says.
pub fn private_folder(folder: &Path) -> std::io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

/// A path with an ending added to its name.
pub fn companion(path: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(path);
    name.push(ending);
    PathBuf::from(name)
}

/// Names for a file made at a moment, `shop-2026-11-30-211509.db` and on with a
/// number: what is made twice in one second has two names.
fn timed_names(start: &str, now: DateTime) -> impl Iterator<Item = String> {
    let time = now.strftime("%Y-%m-%d-%H%M%S");
    let first = format!("{start}{time}");
    let numbered = format!("{first}-");
    std::iter::once(first).chain((2_u64..).map(move |n| format!("{numbered}{n}"))).map(|name| name + ".db")
}

/// Takes away a database file that was never finished, with SQLite's next to it.
///
/// # Errors
/// What the system says, other than that there is none.
fn remove_unfinished(part: &Path) -> std::io::Result<()> {
    for ending in ["", "-wal", "-shm"] {
        match std::fs::remove_file(companion(part, ending)) {
            Err(why) if why.kind() != std::io::ErrorKind::NotFound => return Err(why),
            _ => {}
        }
    }
    Ok(())
}

/// Makes a new shop, with the demonstration in it unless the user says otherwise. It
/// bears its name only when it is whole, so that a start cut short is made again
/// from the beginning.
///
/// # Errors
/// What the shop or the system says.
pub async fn make_new(path: &Path, with_demo: bool) -> Result<(), Failure> {
    let part = companion(path, ".new");
    let failed = |why: std::io::Error| failure(format!("{}: {why}", part.display()));
    remove_unfinished(&part).map_err(failed)?;
    let shop = Shop::open(&part).await.map_err(failure)?;
    if with_demo {
        bendproof_desk::fill_with_demo(&shop, &crate::source::MachineClock).await.map_err(failure)?;
    }
    shop.close().await;
    put_in_place(&part, path).map_err(failed)
}
