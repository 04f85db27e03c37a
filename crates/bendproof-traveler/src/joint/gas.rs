//! Whether something was there, as a file says it: gas behind a root, a pipe that
//! is turned.

use bendproof_files::Reader;

/// Whether the word at `path` is yes; `None` where nothing is written.
pub(crate) fn is_yes(r: &mut Reader<'_>, path: &str) -> Option<bool> {
    r.text(path).map(|word| word.trim().eq_ignore_ascii_case("yes"))
}
