//! Solved coupons behind the page: solved on a thread of their own, one at a
//! time per coupon, and kept while they are looked at. What was solved is keyed
//! by the part of the document it follows from, so that a strap's opening or a
//! reading of the log asks for nothing new.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use bendproof_bench::desk::*;
use bendproof_files::{COUPON, Document};
use bendproof_forecast::solved::SolveParams;
use bendproof_traveler::drawn::Look;
use bendproof_traveler::solved::{NotSolved, cooling_csv, places, section_film, section_view, solve_coupon};
use bendproof_traveler::solved::{SolvedCoupon, solved_sheet};
use jiff::civil::Date;

use super::{ShopDesk, computing, locked};
use bendproof_contract as contract;

/// Solved coupons kept at once; a coupon of eight beads takes some 15 MB.
const SOLVED_KEPT: usize = 6;
/// Branches and values of a document that its heat follows from, or that stand
/// next to the picture.
const HEAT_PATHS: [&str; 5] = ["fit.", "settings.", "pass.", "number", "title"];

pub(super) type Kept = Arc<Result<SolvedCoupon, NotSolved>>;

/// What was solved, newest last, and whose turn it is.
#[derive(Default)]
pub(super) struct Shelf {
    kept: Mutex<Vec<(String, Kept)>>,
    turns: Mutex<BTreeMap<String, Arc<Turn>>>,
    /// Held while a coupon is solved. One takes every core there is, so two at
    /// once are no sooner done and take twice the memory.
    solving: Mutex<()>,
    /// Coupons solved so far.
    #[cfg(test)]
    pub(super) solves: std::sync::atomic::AtomicUsize,
}

/// One coupon's place in the queue.
#[derive(Default)]
struct Turn {
    busy: Mutex<()>,
    /// What was asked for last; a wish for something older that still waits is
    /// no longer wanted.
    latest: Mutex<String>,
}

impl Shelf {
    fn find(&self, key: &str) -> Option<Kept> {
        let mut kept = locked(&self.kept);
        let at = kept.iter().position(|(k, _)| k == key)?;
        let found = kept.remove(at);
        let solved = Arc::clone(&found.1);
        kept.push(found);
        Some(solved)
    }

    /// Whether what was solved under a key is kept; a look that keeps nothing longer.
    pub(super) fn holds(&self, key: &str) -> bool {
        locked(&self.kept).iter().any(|(k, solved)| k == key && solved.is_ok())
    }

    /// What was solved for a document, if it was; waits for nothing.
    pub(super) fn found(&self, document: &Document) -> Option<Kept> {
        self.find(&key_of(document))
    }

    fn keep(&self, key: String, solved: &Kept) {
        let mut kept = locked(&self.kept);
        if kept.len() >= SOLVED_KEPT {
            kept.remove(0);
        }
        kept.push((key, Arc::clone(solved)));
    }

    /// Solves or finds; `None` when a later wish for the same coupon has come
    /// meanwhile with another document.
    fn solved(&self, number: &str, document: &Document, today: Date) -> Option<Kept> {
        let key = key_of(document);
        let turn = Arc::clone(locked(&self.turns).entry(number.to_owned()).or_default());
        locked(&turn.latest).clone_from(&key);
        if let Some(kept) = self.find(&key) {
            return Some(kept);
        }
        let _own = locked(&turn.busy);
        if let Some(kept) = self.find(&key) {
            return Some(kept);
        }
        if *locked(&turn.latest) != key {
            return None;
        }
        Some(self.solve(key, document, today))
    }

    /// Solves or finds, whatever was wished since: a paper shows the coupon as it
    /// was when it was asked for.
    pub(super) fn solved_for_paper(&self, number: &str, document: &Document, today: Date) -> Kept {
        let key = key_of(document);
        let turn = Arc::clone(locked(&self.turns).entry(number.to_owned()).or_default());
        let _own = locked(&turn.busy);
        self.find(&key).unwrap_or_else(|| self.solve(key, document, today))
    }

    fn solve(&self, key: String, document: &Document, today: Date) -> Kept {
        let _alone = locked(&self.solving);
        #[cfg(test)]
        self.solves.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        let solved = Arc::new(solve_coupon(document, Some(today), &SolveParams::STANDARD));
        self.keep(key, &solved);
        solved
    }
}

/// The solved beads of what was found.
pub(super) fn beads(kept: &Option<Kept>) -> Option<&SolvedCoupon> {
    kept.as_deref().and_then(|kept| kept.as_ref().ok())
}

/// The part of a document that its heat follows from.
pub(super) fn key_of(document: &Document) -> String {
    let is_heat = |path: &str| HEAT_PATHS.iter().any(|p| path.starts_with(p));
    let values = document.values().iter().filter(|(path, _)| is_heat(path));
    Document::from_values(values.map(|(path, text)| (path.clone(), text.clone())).collect()).to_toml(&COUPON)
}

impl ShopDesk {
    async fn with_solved<T: Send + 'static>(
        &self,
        number: &str,
        work: impl FnOnce(&Result<SolvedCoupon, NotSolved>) -> T + Send + 'static,
    ) -> Result<T, Trouble> {
        let (_, document) = self.document(number).await?;
        let (shelf, number) = (Arc::clone(&self.shelf), number.to_owned());
        let today = self.clock.today();
        let done =
            computing(move || shelf.solved(&number, &document, today).map(|solved| work(&solved))).await?;
        done.ok_or_else(|| Trouble::Broken("the coupon was changed meanwhile; ask again".to_owned()))
    }

    pub(super) async fn section_of(&self, number: &str, ask: SectionAsk) -> Result<Section, Trouble> {
        self.with_solved(number, move |solved| match solved {
            Ok(solved) => match section_view(solved, &ask, Look::Screen) {
                Some(view) => Ok(Box::new(view)),
                None => Err(vec!["the plan has no bead; add a pass".to_owned()]),
            },
            Err(why) => Err(why.0.clone()),
        })
        .await
    }

    pub(super) async fn film_of(&self, number: &str, ask: SectionAsk) -> Result<FilmFrame, Trouble> {
        let film = self.with_solved(number, move |solved| {
            solved.as_ref().ok().and_then(|solved| section_film(solved, &ask, Look::Screen))
        });
        film.await?.ok_or(Trouble::Absent)
    }

    pub(super) async fn section_downloaded(
        &self,
        number: &str,
        kind: SectionFile,
        ask: SectionAsk,
    ) -> Result<Download, Trouble> {
        let bytes = self.with_solved(number, move |solved| match (solved, kind) {
            (Ok(solved), _) => file(solved, kind, &ask).map(Some),
            (Err(why), SectionFile::Json) => {
                serde_json::to_vec_pretty(&serde_json::json!({ "not_known": why.0 }))
                    .map(Some)
                    .map_err(|why| why.to_string())
            }
            (Err(_), _) => Ok(None),
        });
        let content_type = match kind {
            SectionFile::Svg => "image/svg+xml; charset=utf-8",
            SectionFile::Png => "image/png",
            SectionFile::Json => "application/json",
            SectionFile::Csv => "text/csv; charset=utf-8",
        };
        Ok(Download {
            content_type: content_type.to_owned(),
            file_name: format!("section-{number}.{}", kind.slug()),
            bytes: bytes.await?.map_err(Trouble::Broken)?.ok_or(Trouble::Absent)?,
        })
    }
}

fn file(solved: &SolvedCoupon, kind: SectionFile, ask: &SectionAsk) -> Result<Vec<u8>, String> {
    let etch = || solved_sheet(solved, Look::Paper).etch;
    match kind {
        SectionFile::Svg => Ok(etch().into_bytes()),
        SectionFile::Png => bendproof_paper::png(&etch()).map_err(|why| why.to_string()),
        SectionFile::Json => {
            serde_json::to_vec_pretty(&contract::solved_json(solved)).map_err(|why| why.to_string())
        }
        SectionFile::Csv => {
            let bead = ask.bead.clamp(1, solved.beads().max(1));
            Ok(cooling_csv(solved, &places(ask, bead)).into_bytes())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_the_heat_follows_from_is_solved_again() {
        let read = |text: &str| Document::from_toml(&COUPON, text).0;
        let one = read("number = \"1\"\n[fit]\nthickness = \"3/8 in\"\n");
        let mut other = one.clone();
        other.set("strap.1.kind", Some("root"));
        other.set("welder", Some("Ines"));
        assert_eq!(key_of(&one), key_of(&other));
        other.set("fit.thickness", Some("1/2 in"));
        assert_ne!(key_of(&one), key_of(&other));
    }

    #[test]
    fn the_shelf_forgets_what_was_looked_at_longest_ago() {
        let shelf = Shelf::default();
        let none: Kept = Arc::new(Err(NotSolved(Vec::new())));
        for k in 0..SOLVED_KEPT {
            shelf.keep(k.to_string(), &none);
        }
        assert!(shelf.find("0").is_some());
        shelf.keep("new".to_owned(), &none);
        assert!(shelf.find("0").is_some() && shelf.find("new").is_some() && shelf.find("1").is_none());
        assert_eq!(locked(&shelf.kept).len(), SOLVED_KEPT);
    }
}
