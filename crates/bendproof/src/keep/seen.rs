//! The newest entry as the bench last saw it, kept next to the shop's file. A
//! shop's file cannot show by itself that an older one was put in its place.

use std::path::{Path, PathBuf};

use bendproof_shop::{Head, owner_only, put_in_place};

use super::companion;

fn place(file: &Path) -> PathBuf {
    companion(file, ".seen")
}

/// The entry last seen; nothing where none was kept or it does not read.
pub fn read(file: &Path) -> Option<Head> {
    let text = std::fs::read_to_string(place(file)).ok()?;
    let mut words = text.split_whitespace();
    let (seq, at_ms) = (words.next()?.parse().ok()?, words.next()?.parse().ok()?);
    Some(Head { seq, at_ms, hash: words.next()?.to_owned() })
}

/// Keeps an entry as the one last seen.
///
/// # Errors
/// What the system says.
pub fn keep(file: &Path, head: &Head) -> std::io::Result<()> {
    let part = companion(&place(file), ".part");
    std::fs::write(&part, format!("{} {} {}\n", head.seq, head.at_ms, head.hash))?;
    owner_only(&part)?;
    put_in_place(&part, &place(file))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_entry_comes_back_as_it_was_kept_and_other_text_is_none() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("shop.db");
        assert_eq!(read(&file), None);
        let head = Head { seq: 7, hash: "ab".repeat(32), at_ms: -3 };
        keep(&file, &head).unwrap();
        keep(&file, &head).unwrap();
        assert_eq!(read(&file), Some(head));
        // Like everything of a shop, it is for its owner only.
        #[cfg(unix)]
        assert!(!owner_only(&place(&file)).unwrap());
        std::fs::write(place(&file), "half").unwrap();
        assert_eq!(read(&file), None);
    }
}
