//! Reading a user's file, with clear words when it cannot be read; what is given
//! with one: the day, and the shop's own limits.

use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::time::SystemTime;

use bendproof_codes::catalogue::ShopRules;
use bendproof_files::DOCUMENT_TEXT_MAX_BYTES;
use bendproof_traveler::context::AssessmentContext;
use jiff::Timestamp;

use crate::exit::{Failure, failure};
use crate::output;

/// Every file this command has read, so that none is written over.
static READ: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

/// Whether a place is a file that was read, under whatever name.
pub fn was_read(place: &Path) -> bool {
    let Ok(place) = place.canonicalize() else { return false };
    READ.lock().unwrap_or_else(PoisonError::into_inner).iter().any(|read| is_same(read, &place))
}

/// Two names of one file, hard links included.
fn is_same(a: &Path, b: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let id = |path: &Path| std::fs::metadata(path).ok().map(|m| (m.dev(), m.ino()));
        if let (Some(a), Some(b)) = (id(a), id(b)) {
            return a == b;
        }
    }
    a == b
}

/// The text of a file.
///
/// # Errors
/// Says what stands in the way: missing, no file, too large, not text.
pub fn read(path: &Path) -> Result<String, Failure> {
    let name = path.display();
    let cannot = |why: std::io::Error| {
        let wanted = if why.kind() == ErrorKind::NotFound { "that exists" } else { "you may read" };
        failure(format!("{name}: {why}; give the path of a file {wanted}"))
    };
    let found = std::fs::metadata(path).map_err(cannot)?;
    if found.is_dir() {
        return Err(failure(format!("{name} is a folder; give the path of a file in it")));
    }
    if !found.is_file() {
        // A pipe may never end, or never begin.
        return Err(failure(format!("{name} is a pipe or a device; save it as a file first")));
    }
    let mut bytes = Vec::new();
    // The limit is held while reading: a file may grow, or say less than it holds.
    let limit = DOCUMENT_TEXT_MAX_BYTES as u64 + 1;
    std::fs::File::open(path).and_then(|file| file.take(limit).read_to_end(&mut bytes)).map_err(cannot)?;
    if bytes.len() > DOCUMENT_TEXT_MAX_BYTES {
        return Err(failure(format!(
            "{name}: the file is {} bytes; enter at most {DOCUMENT_TEXT_MAX_BYTES}; is it one of our files?",
            found.len().max(limit)
        )));
    }
    let read = path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
    READ.lock().unwrap_or_else(PoisonError::into_inner).push(read);
    String::from_utf8(bytes).map_err(|why| {
        let at = why.utf8_error().valid_up_to();
        failure(format!("{name}: byte {} is not UTF-8 text; save the file as UTF-8", at + 1))
    })
}

/// The clock of this machine.
#[derive(Debug, Clone, Copy)]
pub struct MachineClock;

impl bendproof_desk::Clock for MachineClock {
    fn now(&self) -> Timestamp {
        now()
    }
}

/// This machine's time. A clock set outside the years -9999 to 9999 stands at
/// their end; the question about a clock is the shop's.
pub fn now() -> Timestamp {
    within(SystemTime::now())
}

fn within(time: SystemTime) -> Timestamp {
    let is_early = time < SystemTime::UNIX_EPOCH;
    Timestamp::try_from(time).unwrap_or(if is_early { Timestamp::MIN } else { Timestamp::MAX })
}

/// This machine's time on the clock on the wall.
pub fn wall_clock() -> jiff::civil::DateTime {
    now().to_zoned_datetime(jiff::tz::TimeZone::system()).datetime()
}

/// Today in the machine's own time zone, to refuse dates that have not come yet.
pub fn today() -> jiff::civil::Date {
    wall_clock().date()
}

/// The day and the shop's own limits, where a file of them is named.
///
/// # Errors
/// Why the file is not taken: it cannot be read, or it names a rule that does not
/// exist or loosens one. Nothing is judged then.
pub fn context(shop_rules: Option<&Path>) -> Result<AssessmentContext, Failure> {
    let rules = match shop_rules {
        None => None,
        Some(path) => {
            let read = ShopRules::read(&read(path)?);
            let rules = read.map_err(|why| failure(format!("{}: {why}", path.display())))?;
            // Read once, and in use as long as the program is.
            Some(&*Box::leak(Box::new(rules)))
        }
    };
    Ok(AssessmentContext { day: Some(today()), rules })
}

/// Says on standard error which limits a code was held to, where a shop has any.
pub fn tell_rules(context: AssessmentContext, code: &str) {
    let Some(rules) = context.rules else { return };
    let shop = rules.shop();
    if rules.codes().iter().any(|ours| ours.id == code) {
        output::say!("note: {code} with the stricter limits of {shop}");
    } else {
        output::say!("note: {shop} has no limits of its own for {code}");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_clock_past_the_last_day_of_9999_stands_at_the_end() {
        let day = |seconds: u64| within(SystemTime::UNIX_EPOCH + Duration::from_secs(seconds));
        // 2126-01-01T00:00Z by `date -d`.
        assert_eq!(day(4_922_899_200).to_string(), "2126-01-01T00:00:00Z");
        // 9999-12-31T12:00Z by `date -d`, and a hundred thousand years later.
        for late in [253_402_257_600, 3_155_760_000_000] {
            assert_eq!(day(late), Timestamp::MAX);
            for zone in ["Pacific/Kiritimati", "America/Los_Angeles"] {
                let zone = jiff::tz::TimeZone::get(zone).unwrap_or(jiff::tz::TimeZone::UTC);
                assert_eq!(day(late).to_zoned_datetime(zone).year(), 9999);
            }
        }
    }
}
