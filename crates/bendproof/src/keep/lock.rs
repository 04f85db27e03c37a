//! One bench at a time on a shop's file. The lock is the system's, so it goes
//! with the process that held it, killed or not; what stands in the lock's file
//! only names the holder.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::Path;

use super::{companion, shop_file};
use crate::exit::{Failure, failure};
use crate::output;

/// The shop's file, held for this process until dropped; `None` where the file
/// system has no locks.
#[derive(Debug)]
pub struct Held(Option<File>);

/// Holds the shop's file of a data folder.
///
/// # Errors
/// Names the process that holds it already.
pub fn hold(folder: &Path, as_what: &str) -> Result<Held, Failure> {
    let path = companion(&shop_file(folder), ".lock");
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options
        .open(&path)
        .map_err(|why| failure(format!("{}: {why}; check the permissions of the folder", path.display())))?;
    match file.try_lock() {
        Ok(()) => {
            let mut held = Held(Some(file));
            held.tell(as_what);
            Ok(held)
        }
        Err(TryLockError::WouldBlock) => {
            let mut holder = String::new();
            let _ = file.read_to_string(&mut holder);
            let holder = if holder.is_empty() { "another program" } else { holder.trim() };
            Err(failure(format!(
                "{} is in use by {holder}; work there, or stop it first",
                shop_file(folder).display()
            )))
        }
        Err(TryLockError::Error(why)) => {
            output::say!("note: {} cannot be locked ({why}); do not open it twice", path.display());
            Ok(Held(None))
        }
    }
}

impl Held {
    /// Writes who holds the file, for the next one that asks. Where it cannot be
    /// written the lock holds all the same.
    pub fn tell(&mut self, as_what: &str) {
        let Some(file) = &mut self.0 else { return };
        let line = format!("{as_what} (process {})\n", std::process::id());
        let _ = file.set_len(0).and_then(|()| file.rewind()).and_then(|()| file.write_all(line.as_bytes()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_holder_is_refused_by_the_name_of_the_first_and_let_in_after_it() {
        let folder = tempfile::tempdir().unwrap();
        let mut held = hold(folder.path(), "a bench").unwrap();
        held.tell("the bench at http://127.0.0.1:4117/");
        let refused = hold(folder.path(), "a bench").unwrap_err().to_string();
        let process = format!("(process {})", std::process::id());
        assert!(refused.contains("the bench at http://127.0.0.1:4117/"), "{refused}");
        assert!(refused.contains(&process) && refused.contains("stop it first"), "{refused}");
        drop(held);
        // What the holder before wrote still stands there, longer than this.
        let held = hold(folder.path(), "x").unwrap();
        let refused = hold(folder.path(), "x").unwrap_err().to_string();
        assert!(refused.contains("in use by x (process"), "{refused}");
        drop(held);
    }
}
