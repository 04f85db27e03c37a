//! Lists that are shown page by page, so that a large shop's answer like a small one's.

use std::ops::Range;

use serde::Serialize;

/// Lines on one page of a list. Basis: choice, some five screens.
pub const ROWS_PER_PAGE: usize = 100;

/// What is asked of a list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ListAsk {
    /// Only lines that hold these words, capitals or not; empty for every line.
    pub find: String,
    /// The page, from 1; `None` for the whole list at once.
    pub page: Option<usize>,
}

impl ListAsk {
    /// Whether a line with these texts is asked for: each word typed stands in
    /// one of them.
    pub fn finds(&self, texts: &[&str]) -> bool {
        let texts: Vec<String> = texts.iter().map(|text| text.to_lowercase()).collect();
        let find = self.find.to_lowercase();
        find.split_whitespace().all(|word| texts.iter().any(|text| text.contains(word)))
    }

    /// The page shown of a list of `found` lines, and the lines on it. A page
    /// beyond the last is the last.
    pub fn lines(&self, found: usize) -> (usize, Range<usize>) {
        let Some(page) = self.page else { return (1, 0..found) };
        let page = page.clamp(1, pages(found));
        let first = (page - 1) * ROWS_PER_PAGE;
        (page, first..found.min(first + ROWS_PER_PAGE))
    }
}

fn pages(found: usize) -> usize {
    found.div_ceil(ROWS_PER_PAGE).max(1)
}

/// A page of a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Listed<T> {
    /// The lines of this page.
    pub rows: Vec<T>,
    /// How many lines there are on all pages together.
    pub found: usize,
    /// The page, from 1.
    pub page: usize,
}

impl<T> Listed<T> {
    /// How many pages there are.
    pub fn pages(&self) -> usize {
        pages(self.found)
    }

    /// The page of a list that is there whole.
    pub fn of(rows: Vec<T>, ask: &ListAsk) -> Self {
        let found = rows.len();
        let (page, lines) = ask.lines(found);
        Self { rows: rows.into_iter().skip(lines.start).take(lines.len()).collect(), found, page }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_stands_on_one_page_and_a_page_too_far_is_the_last() {
        let ask = |page| ListAsk { page: Some(page), ..ListAsk::default() };
        assert_eq!(ask(1).lines(0), (1, 0..0));
        assert_eq!(ask(1).lines(100), (1, 0..100));
        assert_eq!(ask(2).lines(101), (2, 100..101));
        assert_eq!(ask(0).lines(250), (1, 0..100));
        assert_eq!(ask(usize::MAX).lines(250), (3, 200..250));
        assert_eq!(ListAsk::default().lines(250), (1, 0..250));
        let listed = Listed::of((0..250).collect(), &ask(3));
        assert_eq!((listed.rows[0], listed.rows.len(), listed.pages()), (200, 50, 3));
    }

    #[test]
    fn words_are_found_in_any_text_whatever_their_capitals() {
        let ask = ListAsk { find: " ZOË  3g ".into(), page: None };
        assert!(ask.finds(&["0301", "Zoë Quill", "plate, 3G"]));
        assert!(!ask.finds(&["0301", "Zoë Quill", "plate, 2G"]));
        assert!(ListAsk::default().finds(&[""]));
    }
}
