//! Rows of a coupon document added and taken away, as changes of single values.

use bendproof_bench::desk::{Change, RowAction, RowKind};
use bendproof_files::{Document, NONE_FOUND};

/// Rows a coupon may hold of one kind; a sheet longer than this is a mistake.
const ROWS_MAX: usize = 40;

/// The changes that add or take away a row.
///
/// # Errors
/// Says why the row cannot be added or is not there.
pub(super) fn changes(
    document: &Document,
    kind: &RowKind,
    action: &RowAction,
) -> Result<Vec<Change>, String> {
    let list = match kind {
        RowKind::Pass => "pass".to_owned(),
        RowKind::Log => "log".to_owned(),
        RowKind::Strap => "strap".to_owned(),
        RowKind::Opening(strap) => format!("strap.{strap}.openings"),
    };
    let rows = document.rows(&list);
    match action {
        RowAction::Add(given) => {
            if rows.len() >= ROWS_MAX {
                return Err(format!(
                    "{list} has {ROWS_MAX} rows, allowed is 0 to {ROWS_MAX}; take one away first"
                ));
            }
            let row = rows.last().map_or(1, |last| last + 1);
            Ok(added(document, kind, &list, row, given))
        }
        RowAction::Remove(row) if rows.contains(row) => Ok(removed(document, kind, &list, *row, &rows)),
        RowAction::Remove(row) => Err(format!("{list} has no row {row}; read the sheet again")),
    }
}

fn added(
    document: &Document,
    kind: &RowKind,
    list: &str,
    row: usize,
    given: &[(String, String)],
) -> Vec<Change> {
    let at = |name: &str| format!("{list}.{row}.{name}");
    let copied = |name: &str| document.get(&format!("{list}.{}.{name}", row.saturating_sub(1)));
    let mut out: Vec<Change> = Vec::new();
    let mut set = |name: &str, text: &str| {
        if !given.iter().any(|(key, _)| key == name) {
            out.push((at(name), Some(text.to_owned())));
        }
    };
    match kind {
        RowKind::Pass if row == 1 => {
            // A place to start from, to be moved by the hand: the middle of the
            // customary ranges for a vertical root.
            for (name, text) in
                [("kind", "root"), ("volts", "17.5 V"), ("wire_feed", "200 in/min"), ("travel", "9 in/min")]
            {
                set(name, text);
            }
        }
        RowKind::Pass => {
            set("kind", if row == 2 { "hot" } else { "fill" });
            for name in ["progression", "volts", "wire_feed", "travel", "bead_area"] {
                if let Some(text) = copied(name) {
                    set(name, text);
                }
            }
        }
        RowKind::Log => {
            for name in ["kind", "progression"] {
                if let Some(text) = document.get(&format!("pass.{row}.{name}")) {
                    set(name, text);
                }
            }
            // A row needs one value to exist.
            set("note", "");
        }
        RowKind::Strap => {
            let side = match copied("kind") {
                Some("root") => "face",
                Some("side") => "side",
                _ => "root",
            };
            set("kind", side);
            set("id", &free_mark(document, side));
        }
        RowKind::Opening(_) => {
            set("length", "1/16 in");
            set("place", "face");
            if document.get(list) == Some(NONE_FOUND) {
                out.push((list.to_owned(), None));
            }
        }
    }
    out.extend(given.iter().map(|(key, text)| (at(key), Some(text.clone()))));
    if matches!(kind, RowKind::Log) {
        out.retain(|(_, text)| text.as_deref() != Some(""));
        if out.is_empty() {
            out.push((at("note"), Some("to be read".to_owned())));
        }
    }
    out
}

/// The first mark of a kind that no strap carries: `R1`, `R2` …
fn free_mark(document: &Document, kind: &str) -> String {
    let letter = kind[..1].to_uppercase();
    let taken: Vec<&str> = document
        .rows("strap")
        .into_iter()
        .filter_map(|row| document.get(&format!("strap.{row}.id")))
        .collect();
    (1..=ROWS_MAX + 1)
        .map(|n| format!("{letter}{n}"))
        .find(|mark| !taken.iter().any(|t| t.eq_ignore_ascii_case(mark)))
        .unwrap_or(letter)
}

/// Takes a row away and moves the later ones up, so that rows stay numbered
/// without gaps.
fn removed(document: &Document, kind: &RowKind, list: &str, row: usize, rows: &[usize]) -> Vec<Change> {
    let values = |row: usize| {
        let start = format!("{list}.{row}.");
        document
            .values()
            .iter()
            .filter_map(move |(path, text)| Some((path.strip_prefix(&start)?.to_owned(), text.clone())))
            .collect::<std::collections::BTreeMap<_, _>>()
    };
    let mut out = Vec::new();
    let later: Vec<usize> = rows.iter().copied().filter(|r| *r >= row).collect();
    for (index, at) in later.iter().enumerate() {
        let old = values(*at);
        let new = later.get(index + 1).map(|next| values(*next)).unwrap_or_default();
        for name in old.keys().chain(new.keys().filter(|n| !old.contains_key(*n))) {
            if old.get(name) != new.get(name) {
                out.push((format!("{list}.{at}.{name}"), new.get(name).cloned()));
            }
        }
    }
    if matches!(kind, RowKind::Opening(_)) && rows.len() == 1 {
        // The face was looked at; with its only opening struck out, none is left.
        out.push((list.to_owned(), Some(NONE_FOUND.to_owned())));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn document(pairs: &[(&str, &str)]) -> Document {
        Document::from_values(pairs.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect())
    }

    fn applied(mut document: Document, changes: Vec<Change>) -> Document {
        for (path, text) in changes {
            document.set(&path, text.as_deref());
        }
        document
    }

    #[test]
    fn taking_a_row_away_moves_the_later_ones_up() {
        let before = document(&[
            ("pass.1.kind", "root"),
            ("pass.1.volts", "17 V"),
            ("pass.2.kind", "hot"),
            ("pass.2.amps", "130 A"),
            ("pass.3.kind", "cap"),
        ]);
        let changes = changes(&before, &RowKind::Pass, &RowAction::Remove(1)).unwrap();
        let after = applied(before, changes);
        let wanted = document(&[("pass.1.kind", "hot"), ("pass.1.amps", "130 A"), ("pass.2.kind", "cap")]);
        assert_eq!(after.values(), wanted.values());
    }

    #[test]
    fn an_opening_added_and_struck_out_leaves_none_found() {
        let before = document(&[("strap.1.id", "R1"), ("strap.1.openings", "none")]);
        let with = applied(
            before.clone(),
            changes(&before, &RowKind::Opening(1), &RowAction::Add(vec![("x".into(), "2 mm".into())]))
                .unwrap(),
        );
        assert_eq!(with.get("strap.1.openings"), None);
        assert_eq!(with.get("strap.1.openings.1.x"), Some("2 mm"));
        let gone =
            applied(with.clone(), changes(&with, &RowKind::Opening(1), &RowAction::Remove(1)).unwrap());
        assert_eq!(gone.values(), before.values());
    }

    #[test]
    fn a_new_strap_takes_the_first_free_mark() {
        let before = document(&[
            ("strap.1.id", "F1"),
            ("strap.1.kind", "face"),
            ("strap.2.id", "r2"),
            ("strap.2.kind", "face"),
        ]);
        let after =
            applied(before.clone(), changes(&before, &RowKind::Strap, &RowAction::Add(Vec::new())).unwrap());
        assert_eq!(after.get("strap.3.kind"), Some("root"));
        assert_eq!(after.get("strap.3.id"), Some("R1"));
    }

    #[test]
    fn a_row_that_is_not_there_is_refused() {
        let empty = Document::default();
        assert!(changes(&empty, &RowKind::Strap, &RowAction::Remove(2)).is_err());
    }
}
