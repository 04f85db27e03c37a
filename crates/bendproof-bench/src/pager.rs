//! The way about a list that is shown page by page: what is asked for in its
//! address, a box to find lines, and plain links from page to page.

use axum::extract::{FromRequestParts, Query};
use axum::http::request::Parts;
use maud::{Markup, html};

use crate::desk::{ListAsk, Listed, ROWS_PER_PAGE};
use crate::form::word_of;
use crate::text::{Key, fill, t};
use crate::visitor::percent_encode;

/// Words of the address.
const FIND: &str = "find";
const PAGE: &str = "page";
/// A list this short is read at a glance and has no box to find lines. Basis: choice.
const FOUND_AT_A_GLANCE: usize = 20;

/// What an address asks of a list. What cannot be read asks for nothing.
pub(crate) struct Asked(pub ListAsk);

impl<S: Send + Sync> FromRequestParts<S> for Asked {
    type Rejection = std::convert::Infallible;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Self::Rejection> {
        let query = Query::<Vec<(String, String)>>::from_request_parts(parts, state).await;
        let pairs = query.map(|Query(pairs)| pairs).unwrap_or_default();
        Ok(Self(ListAsk { find: word_of(&pairs, FIND), page: word_of(&pairs, PAGE).parse().ok() }))
    }
}

impl Asked {
    /// As a page shows it: one page of the list, the first where none is named.
    pub(crate) fn one_page(self) -> ListAsk {
        ListAsk { page: Some(self.0.page.unwrap_or(1)), ..self.0 }
    }
}

/// The address of a page of a list.
pub(crate) fn address(path: &str, find: &str, page: usize) -> String {
    let find = (!find.is_empty()).then(|| format!("{FIND}={}", percent_encode(find)));
    let page = (page > 1).then(|| format!("{PAGE}={page}"));
    let query: Vec<String> = find.into_iter().chain(page).collect();
    if query.is_empty() { path.to_owned() } else { format!("{path}?{}", query.join("&")) }
}

/// The box to find lines, where the list is long or something was asked for.
pub(crate) fn find_box<T>(path: &str, hint: Key, ask: &ListAsk, listed: &Listed<T>) -> Markup {
    html! {
        @if listed.found > FOUND_AT_A_GLANCE || !ask.find.is_empty() {
            form.find method="get" action=(path) role="search" {
                div.field {
                    label for="find" { (t(Key::ListFind)) }
                    span.entry {
                        input #find name=(FIND) type="search" value=(ask.find) aria-describedby="find-hint";
                        button.button type="submit" { (t(Key::ListFindButton)) }
                    }
                    p.hint #find-hint { (t(hint)) }
                }
                @if !ask.find.is_empty() { a.plain href=(path) { (t(Key::ListAll)) } }
            }
        }
    }
}

/// Which lines these are, and the links to the pages before and after.
pub(crate) fn pager<T>(path: &str, ask: &ListAsk, listed: &Listed<T>) -> Markup {
    let (page, pages) = (listed.page, listed.pages());
    let first = (page - 1) * ROWS_PER_PAGE;
    let (from, to) = ((first + 1).to_string(), (first + listed.rows.len()).to_string());
    let link = |page: usize, words: Key| {
        html! { a.plain href=(address(path, &ask.find, page)) { (t(words)) } }
    };
    html! {
        @if pages > 1 {
            nav.pager aria-label=(t(Key::ListPages)) {
                @if page > 1 { (link(1, Key::ListFirst)) (link(page - 1, Key::ListBefore)) }
                span { (fill(Key::ListShown, &[("from", &from), ("to", &to), ("all", &listed.found.to_string())])) }
                @if page < pages { (link(page + 1, Key::ListNext)) (link(pages, Key::ListLast)) }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_says_no_more_than_it_must() {
        assert_eq!(address("/", "", 1), "/");
        assert_eq!(address("/welders", "Zoë & Co", 3), "/welders?find=Zo%C3%AB%20%26%20Co&page=3");
    }
}
