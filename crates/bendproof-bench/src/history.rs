//! Everything that was changed on a coupon: what, from what, to what, by whom and
//! when, a page at a time.

use axum::Json;
use axum::extract::{Path, State};
use maud::{Markup, html};

use crate::answer::Problem;
use crate::app::Bench;
use crate::desk::{HistoryEntry, Listed};
use crate::layout::{Here, page};
use crate::pager::{Asked, address, pager};
use crate::parts::history;
use crate::text::{Key, fill, t};
use crate::visitor::Visitor;

/// The way from the coupon to this page.
pub(crate) fn way(number: &str) -> Markup {
    html! { p.no-print { a.plain href={ "/coupon/" (number) "/history" } { (t(Key::HistoryAll)) } } }
}

/// `GET /coupon/NUMBER/history`.
pub(crate) async fn show(
    State(bench): State<Bench>,
    visitor: Visitor,
    Path(number): Path<String>,
    asked: Asked,
) -> Result<Markup, Problem> {
    let ask = asked.one_page();
    let listed = bench.desk.history(&number, ask.clone()).await?;
    let here = format!("/coupon/{number}/history");
    let title = fill(Key::HistoryOf, &[("n", &number)]);
    let body = html! {
        article.slip {
            p { a.plain href={ "/coupon/" (number) } { (fill(Key::SectionBack, &[("n", &number)])) } }
            h1 { (title) }
            (history(&listed.rows))
            (pager(&here, &ask, &listed))
        }
    };
    let twin = address(&format!("{here}.json"), "", listed.page);
    Ok(page(&visitor, &title, Some(&twin), Here::Coupons, &body))
}

/// `GET /coupon/NUMBER/history.json`: every change, or with `?page=` one page of them.
pub(crate) async fn twin(
    State(bench): State<Bench>,
    Path(number): Path<String>,
    Asked(ask): Asked,
) -> Result<Json<Listed<HistoryEntry>>, Problem> {
    Ok(Json(bench.desk.history(&number, ask).await?))
}
