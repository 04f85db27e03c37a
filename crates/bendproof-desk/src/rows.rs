//! Rows of a coupon document added and taken away, as changes of single values.

use bendproof_bench::desk::{Change, RowAction, RowKind};
use bendproof_files::{Document, ExamList, NONE_FOUND};

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
        RowKind::Piece(list) => exam(list)?.list.to_owned(),
        RowKind::Flaw(list, row) => {
            let path = exam(list)?.inner_path(*row);
            path.ok_or_else(|| format!("{list} has no rows inside; reload the page"))?
        }
    };
    let rows = document.rows(&list);
    match action {
        RowAction::Add(given) => {
            if rows.len() >= ROWS_MAX {
                return Err(format!("{list} has {ROWS_MAX} rows; the limit is {ROWS_MAX}. Remove one first"));
            }
            let row = rows.last().map_or(1, |last| last + 1);
            Ok(added(document, kind, &list, row, given))
        }
        RowAction::Remove(row) if rows.contains(row) => Ok(removed(document, &list, *row, &rows)),
        RowAction::Remove(row) => Err(format!("{list} has no row {row}; reload the page")),
    }
}

fn exam(list: &str) -> Result<&'static ExamList, String> {
    ExamList::named(list).ok_or_else(|| format!("{list} is no examination; reload the page"))
}

fn added(
    document: &Document,
    kind: &RowKind,
    list: &str,
    row: usize,
    given: &[(String, String)],
) -> Vec<Change> {
    let at = |name: &str| format!("{list}.{row}.{name}");
    let is_given = |name: &str| given.iter().any(|(key, text)| key == name && !text.trim().is_empty());
    let starts = starts(document, kind, list, row).into_iter().filter(|(name, _)| !is_given(name));
    let mut out: Vec<Change> = starts.map(|(name, text)| (at(name), Some(text))).collect();
    if document.get(list) == Some(NONE_FOUND) {
        out.push((list.to_owned(), None));
    }
    let stated = given.iter().filter(|(_, text)| !text.trim().is_empty());
    out.extend(stated.map(|(key, text)| (at(key), Some(text.clone()))));
    out
}

/// The note of an empty row: a row needs one value to exist, and a blank one
/// states nothing. Every reading, and the note, is for the hand to write.
const BLANK: &str = "";

/// What a new row starts with: the name of a pass, the mark of a piece, and never
/// a setting or a reading.
fn starts(document: &Document, kind: &RowKind, list: &str, row: usize) -> Vec<(&'static str, String)> {
    let all = |list: &[(&'static str, &str)]| -> Vec<(&'static str, String)> {
        list.iter().map(|(name, text)| (*name, (*text).to_owned())).collect()
    };
    match kind {
        RowKind::Pass => all(&[(
            "kind",
            match row {
                1 => "root",
                2 => "hot",
                _ => "fill",
            },
        )]),
        // The mark of a strap and the side it was bent on are for whoever bent it to say.
        RowKind::Log | RowKind::Strap | RowKind::Opening(_) | RowKind::Flaw(..) => all(&[("note", BLANK)]),
        RowKind::Piece(_) => {
            let letter = ExamList::named(list).map_or("P", |exam| exam.letter);
            all(&[("id", free_mark(document, list, letter).as_str())])
        }
    }
}

/// The first mark with a letter that no row of a list carries: `R1`, `R2` …
fn free_mark(document: &Document, list: &str, letter: &str) -> String {
    let taken: Vec<&str> =
        document.rows(list).into_iter().filter_map(|row| document.get(&format!("{list}.{row}.id"))).collect();
    (1..=ROWS_MAX + 1)
        .map(|n| format!("{letter}{n}"))
        .find(|mark| !taken.iter().any(|t| t.eq_ignore_ascii_case(mark)))
        .unwrap_or_else(|| letter.to_owned())
}

/// Takes a row away and moves the later ones up, so that rows stay numbered
/// without gaps.
fn removed(document: &Document, list: &str, row: usize, rows: &[usize]) -> Vec<Change> {
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
    // With its only opening struck out a strap says nothing again: that it was
    // inspected and none found is for whoever looked to say.
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
    fn an_opening_added_and_struck_out_leaves_nothing_said() {
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
        assert_eq!(gone.get("strap.1.openings"), None);
        assert_eq!(gone.values(), document(&[("strap.1.id", "R1")]).values());
    }

    #[test]
    fn a_new_row_holds_no_setting_no_reading_and_no_note_that_nobody_wrote() {
        let before = document(&[
            ("pass.1.kind", "root"),
            ("pass.1.volts", "17 V"),
            ("pass.1.progression", "uphill"),
            ("strap.1.id", "R1"),
        ]);
        let kinds = [
            (RowKind::Pass, vec![("pass.2.kind", "hot")]),
            (RowKind::Log, vec![("log.1.note", "")]),
            (RowKind::Strap, vec![("strap.2.note", "")]),
            (RowKind::Opening(1), vec![("strap.1.openings.1.note", "")]),
            (RowKind::Flaw("fillet_break".into(), 1), vec![("fillet_break.1.flaws.1.note", "")]),
            (RowKind::Flaw("hardness".into(), 1), vec![("hardness.1.points.1.note", "")]),
        ];
        for (kind, wanted) in kinds {
            let added = changes(&before, &kind, &RowAction::Add(Vec::new())).unwrap();
            let wanted: Vec<Change> =
                wanted.into_iter().map(|(path, text)| (path.to_owned(), Some(text.to_owned()))).collect();
            assert_eq!(added, wanted, "{kind:?}");
        }
    }

    #[test]
    fn a_row_that_is_not_there_is_refused() {
        let empty = Document::default();
        assert!(changes(&empty, &RowKind::Strap, &RowAction::Remove(2)).is_err());
        assert!(changes(&empty, &RowKind::Piece("pass".into()), &RowAction::Add(Vec::new())).is_err());
        assert!(changes(&empty, &RowKind::Flaw("tension".into(), 1), &RowAction::Add(Vec::new())).is_err());
    }

    #[test]
    fn a_piece_gets_its_own_mark_and_its_flaws_come_and_go() {
        let piece = RowKind::Piece("nick_break".into());
        let flaw = RowKind::Flaw("nick_break".into(), 2);
        let mut kept = document(&[("nick_break.1.id", "n1")]);
        for (kind, action) in [(&piece, RowAction::Add(Vec::new())), (&flaw, RowAction::Add(Vec::new()))] {
            let changes = changes(&kept, kind, &action).unwrap();
            kept = applied(kept, changes);
        }
        assert_eq!(kept.get("nick_break.2.id"), Some("N2"));
        assert_eq!(kept.get("nick_break.2.flaws.1.note"), Some(""));
        let none = applied(kept.clone(), changes(&kept, &flaw, &RowAction::Remove(1)).unwrap());
        assert_eq!(none.get("nick_break.2.flaws"), None);
        let again = applied(none.clone(), changes(&none, &flaw, &RowAction::Add(Vec::new())).unwrap());
        assert_eq!(again.get("nick_break.2.flaws"), None);
        assert_eq!(again.rows("nick_break.2.flaws"), [1]);
    }
}
