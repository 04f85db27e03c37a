//! Writing a result where the user asked for it: whole or not at all, and never
//! over what was read.

use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use bendproof_traveler::issued::read_file;
use tempfile::NamedTempFile;

use crate::exit::{Failure, failure};
use crate::source;

/// Permissions of a new file before the user's mask, as a shell would make it.
#[cfg(unix)]
const NEW_FILE_MODE: u32 = 0o666;

/// What became of the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    /// Nothing stood there.
    New,
    /// An earlier file of that name is gone.
    Replaced,
}

impl Written {
    /// What is said after the size of the file.
    pub fn words(self) -> &'static str {
        match self {
            Self::New => "",
            Self::Replaced => ", replaced the file that was there",
        }
    }
}

/// How a file name ends, in small letters.
pub fn ending(out: &Path) -> String {
    out.extension().map(|e| e.to_string_lossy().to_ascii_lowercase()).unwrap_or_default()
}

/// Refuses a place before the long work: a wrong ending, a file that was read, a
/// folder that is not there.
///
/// # Errors
/// Names the place and what to choose instead.
pub fn may_write(out: &Path, endings: &[&str], of: &str) -> Result<(), Failure> {
    if !endings.contains(&ending(out).as_str()) {
        return Err(unknown_ending(out, endings, of));
    }
    if source::was_read(out) {
        let name = out.display();
        return Err(failure(format!(
            "{name} is a file this command reads; writing there would destroy it, choose another name"
        )));
    }
    has_folder(out)
}

/// A name that ends in no format of what is written: `of` with its article.
pub fn unknown_ending(out: &Path, endings: &[&str], of: &str) -> Failure {
    let wanted = endings.iter().map(|e| format!(".{e}")).collect::<Vec<_>>().join(", ");
    let cannot = match ending(out).as_str() {
        "" => format!("the name has no ending, so {of} has no format"),
        found => format!("{of} cannot be written as .{found}"),
    };
    failure(format!("{}: {cannot}; end the name in {wanted}", out.display()))
}

fn has_folder(out: &Path) -> Result<(), Failure> {
    let folder = folder_of(out);
    if folder.is_dir() {
        return Ok(());
    }
    let (name, folder) = (out.display(), folder.display());
    Err(failure(format!(
        "{name}: the folder {folder} does not exist; make it, or choose another place with -o"
    )))
}

/// Writes the whole file next to its place, makes sure of it on the disk, and
/// only then gives it its name, so that what stood there stays until then.
///
/// # Errors
/// Names the place and why; nothing is left half written.
pub fn write(out: &Path, bytes: &[u8]) -> Result<Written, Failure> {
    if source::was_read(out) {
        return Err(failure(format!(
            "{} is a file this command reads; writing there would destroy it, choose another name",
            out.display()
        )));
    }
    let is_record = |place: &Path| std::fs::read_to_string(place).is_ok_and(|text| read_file(&text).is_ok());
    if ending(out) == "json" && is_record(out) {
        return Err(failure(format!(
            "{} is an issued record, and a record is never written over; choose another name",
            out.display()
        )));
    }
    write_whole(out, bytes, true)
}

/// The same for a name that must be new.
///
/// # Errors
/// As [`write()`], and when the name is taken.
pub fn write_new(out: &Path, bytes: &[u8]) -> Result<Written, Failure> {
    write_whole(out, bytes, false)
}

fn write_whole(out: &Path, bytes: &[u8], may_replace: bool) -> Result<Written, Failure> {
    has_folder(out)?;
    let cannot = |why: std::io::Error| failure(format!("{}: {why}; choose another place", out.display()));
    // A link keeps its name: what it points to is replaced.
    let place = out.canonicalize().unwrap_or_else(|_| out.to_path_buf());
    let present = std::fs::metadata(&place).ok();
    if let Some(present) = &present
        && !present.is_file()
        && !present.is_dir()
    {
        // A device or a pipe cannot be renamed over; it takes the bytes as they come.
        let mut device = std::fs::OpenOptions::new().write(true).open(&place).map_err(cannot)?;
        device.write_all(bytes).and_then(|()| device.flush()).map_err(cannot)?;
        return Ok(Written::New);
    }
    let mut part = temporary(&folder_of(&place)).map_err(cannot)?;
    part.write_all(bytes).and_then(|()| part.as_file().sync_all()).map_err(cannot)?;
    if let Some(present) = &present {
        std::fs::set_permissions(part.path(), present.permissions()).map_err(cannot)?;
    }
    if may_replace {
        part.persist(&place).map_err(|e| cannot(e.error))?;
        return Ok(if present.is_some() { Written::Replaced } else { Written::New });
    }
    part.persist_noclobber(&place).map_err(|e| match e.error.kind() {
        ErrorKind::AlreadyExists => failure(format!(
            "{} is there already; a record file is never written over, choose another name",
            out.display()
        )),
        _ => cannot(e.error),
    })?;
    Ok(Written::New)
}

fn temporary(folder: &Path) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".bendproof-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(NEW_FILE_MODE));
    }
    builder.tempfile_in(folder)
}

fn folder_of(out: &Path) -> PathBuf {
    match out.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_path_buf(),
        _ => PathBuf::from("."),
    }
}
