//! Straps and openings as text becomes values, for a bends file and for a
//! coupon alike. Which openings matter is the rule engine's business.

use std::collections::BTreeMap;

use bendproof_measure::Quantity;

use crate::finding::Finding;
use crate::reader::Reader;

/// One strap as written.
#[derive(Debug, Clone, PartialEq)]
pub struct StrapText {
    /// 1-based row in the document.
    pub row: usize,
    /// The mark stamped on it.
    pub id: String,
    /// `face`, `root` or `side`.
    pub kind: String,
    /// Thickness, if written.
    pub thickness: Option<Quantity>,
    /// Pipe wall, if written.
    pub wall: Option<Quantity>,
    /// Whether weld and heat-affected zone lie wholly within the bent part, if
    /// written.
    pub weld_in_bend: Option<bool>,
    /// `None`: nobody has looked yet. Empty: looked, none found.
    pub openings: Option<Vec<OpeningText>>,
}

impl StrapText {
    /// Whether somebody looked and measured every opening found.
    pub fn is_measured(&self) -> bool {
        self.openings.as_ref().is_some_and(|list| list.iter().all(|opening| opening.length.is_some()))
    }
}

/// One opening as written.
#[derive(Debug, Clone, PartialEq)]
pub struct OpeningText {
    /// 1-based row in the strap.
    pub row: usize,
    /// Longest dimension; `None` while nobody has measured it.
    pub length: Option<Quantity>,
    /// `face` or `corner`.
    pub place: String,
    /// `none`, `slag`, `fusion` or `other`, if told.
    pub cause: Option<String>,
    /// `weld`, `haz` or `base`, if written.
    pub zone: Option<String>,
    /// Place along the strap from the middle of the weld, m.
    pub x_m: Option<f64>,
    /// Place across the strap from its middle, m.
    pub y_m: Option<f64>,
}

/// Reads all straps of a document; `None` for a strap that cannot be used.
pub fn read_straps(r: &mut Reader<'_>, has_wall: bool, has_places: bool) -> Vec<Option<StrapText>> {
    let rows = r.document().rows("strap");
    let straps: Vec<_> = rows.iter().map(|row| strap(r, *row, has_wall, has_places)).collect();
    let marks = straps.iter().flatten().map(|strap| (strap.row, strap.id.as_str()));
    refuse_twice(r, "strap", "strap", marks);
    straps
}

/// Refuses a mark that two rows of a list carry. `word` is what such a piece is
/// called.
pub(crate) fn refuse_twice<'a>(
    r: &mut Reader<'_>,
    list: &str,
    word: &str,
    marks: impl Iterator<Item = (usize, &'a str)>,
) {
    let mut first_row = BTreeMap::new();
    for (row, mark) in marks {
        if let Some(first) = first_row.insert(mark.to_lowercase(), row) {
            let message = format!(
                "{word} `{mark}` is listed twice, first as {word} {first}; give each {word} its own mark",
            );
            r.note(Finding::error(format!("{list}.{row}.id"), message));
        }
    }
}

fn strap(r: &mut Reader<'_>, row: usize, has_wall: bool, has_places: bool) -> Option<StrapText> {
    let at = |name: &str| format!("strap.{row}.{name}");
    let id = r.text(&at("id"));
    let kind = r.text(&at("kind"));
    let thickness = r.quantity(&at("thickness"));
    let wall = if has_wall { r.quantity(&at("wall")) } else { None };
    let weld_in_bend = r.text(&at("weld_in_bend")).map(|word| word.trim().eq_ignore_ascii_case("yes"));
    let list = at("openings");
    let openings = match r.document().found(&list) {
        None => None,
        Some(rows) => {
            let read: Vec<_> = rows.iter().map(|n| opening(r, &list, *n, has_places)).collect();
            Some(read.into_iter().collect::<Option<Vec<_>>>()?)
        }
    };
    Some(StrapText {
        row,
        id: id?.trim().to_owned(),
        kind: kind?.trim().to_lowercase(),
        thickness,
        wall,
        weld_in_bend,
        openings,
    })
}

fn opening(r: &mut Reader<'_>, list: &str, row: usize, has_places: bool) -> Option<OpeningText> {
    let at = |name: &str| format!("{list}.{row}.{name}");
    let length = r.quantity(&at("length"));
    if has_places && !r.has(&at("length")) {
        let message = "length not entered, and the strap is not judged without it; measure the opening's longest \
                       dimension, or strike it out when nothing is open";
        r.note(Finding::warning(at("length"), message));
    }
    if has_places {
        r.text(&at("note"));
    }
    let place = r.text(&at("place"));
    let is_corner = place.is_some_and(|p| p.trim().eq_ignore_ascii_case("corner"));
    if is_corner && !r.has(&at("cause")) {
        let message = "the cause of this corner crack is missing, and the verdict depends on it; enter none, slag, fusion or other";
        r.note(Finding::warning(at("cause"), message));
    }
    let cause = r.text(&at("cause"));
    let zone = r.text(&at("zone"));
    let (x_m, y_m) = if has_places { (r.si(&at("x")), r.si(&at("y"))) } else { (None, None) };
    Some(OpeningText {
        row,
        length,
        place: place?.trim().to_lowercase(),
        cause: cause.map(|c| c.trim().to_lowercase()),
        zone: zone.map(|z| z.trim().to_lowercase()),
        x_m,
        y_m,
    })
}
