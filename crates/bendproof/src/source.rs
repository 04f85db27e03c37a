//! Reading a user's file, with clear words when it cannot be read.

use std::path::Path;

use bendproof_files::DOCUMENT_TEXT_MAX_BYTES;

use crate::exit::{Failure, failure};

/// The text of a file.
///
/// # Errors
/// Says what stands in the way: missing, too large, not text.
pub fn read(path: &Path) -> Result<String, Failure> {
    let name = path.display();
    let found = std::fs::metadata(path)
        .map_err(|why| failure(format!("{name}: {why}; give the path of a file that exists")))?;
    if found.is_dir() {
        return Err(failure(format!("{name} is a folder; give the path of a file in it")));
    }
    let size = found.len();
    if size > DOCUMENT_TEXT_MAX_BYTES as u64 {
        return Err(failure(format!(
            "{name}: the file is {size} bytes, allowed is 1 to {DOCUMENT_TEXT_MAX_BYTES}; is it one of our files?"
        )));
    }
    let bytes = std::fs::read(path).map_err(|why| failure(format!("{name}: {why}")))?;
    String::from_utf8(bytes).map_err(|why| {
        let at = why.utf8_error().valid_up_to();
        failure(format!("{name}: byte {} is not UTF-8 text; save the file as UTF-8", at + 1))
    })
}

/// Today in the machine's own time zone, to refuse dates that have not come yet.
pub fn today() -> jiff::civil::Date {
    jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::system()).date()
}
