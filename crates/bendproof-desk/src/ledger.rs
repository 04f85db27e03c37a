//! What lists need of every coupon and welder, and this shop's finished plates,
//! kept in memory. Before each use only what was written since is read again,
//! whoever wrote it, so that a list costs what changed and not what is there.

use std::collections::BTreeMap;
use std::sync::Arc;

use bendproof_bench::desk::Trouble;
use bendproof_files::Document;
use bendproof_shop::{Shop, Subject, Summary};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::plates::{PastPlate, past_plate};
use rayon::prelude::*;

use super::{ShopDesk, computing, trouble};

/// Values of a coupon that lists are sorted, grouped and searched by.
const COUPON_PATHS: [&str; 4] = ["welder", "title", "fit.position", "finished"];
/// Values of a person.
const PERSON_PATHS: [&str; 3] = ["name", "stamp", "used.*"];
/// Documents touched since, beyond which everything is read again in one go. Basis:
/// choice, a document alone costs some hundred times its share of a list.
const TOUCHED_MAX: usize = 200;
/// Coupons read and judged at a time. Basis: choice, some 20 MB while they are read.
const PART: u32 = 100;

/// Coupons and people as they stand.
#[derive(Debug, Clone, Default)]
pub(super) struct Ledger {
    /// Place of the newest event that is taken in.
    head: i64,
    pub coupons: BTreeMap<String, Arc<Summary>>,
    pub people: BTreeMap<String, Arc<Summary>>,
}

impl Ledger {
    /// The coupons, the latest changed first.
    pub(super) fn newest_first(&self) -> Vec<&Arc<Summary>> {
        let mut coupons: Vec<_> = self.coupons.values().collect();
        coupons.sort_by(|a, b| b.changed_at_ms.cmp(&a.changed_at_ms).then_with(|| b.id.cmp(&a.id)));
        coupons
    }

    /// The coupons of each welder, by the welder's name as [`name_key`] has it.
    pub(super) fn by_welder(&self) -> BTreeMap<String, Vec<&Arc<Summary>>> {
        let mut out: BTreeMap<String, Vec<&Arc<Summary>>> = BTreeMap::new();
        for coupon in self.coupons.values() {
            if let Some(welder) = coupon.values.get("welder") {
                out.entry(name_key(welder)).or_default().push(coupon);
            }
        }
        out
    }

    async fn take_in(
        &mut self,
        shop: &Shop,
        head: i64,
        touched: Vec<(Subject, String)>,
    ) -> Result<(), Trouble> {
        if self.head == 0 || touched.len() > TOUCHED_MAX {
            self.coupons = listed(shop, Subject::Coupon, &COUPON_PATHS).await?;
            self.people = listed(shop, Subject::Person, &PERSON_PATHS).await?;
        } else {
            for (subject, id) in touched {
                let (list, paths) = match subject {
                    Subject::Coupon => (&mut self.coupons, &COUPON_PATHS[..]),
                    Subject::Person => (&mut self.people, &PERSON_PATHS[..]),
                    Subject::Procedure | Subject::Record => continue,
                };
                let mut one = shop.document(subject, &id).await.map_err(trouble)?;
                keep_asked(&mut one, paths);
                list.insert(id, Arc::new(one));
            }
        }
        self.head = head;
        Ok(())
    }
}

/// Leaves only the values that a list would ask for.
fn keep_asked(one: &mut Summary, paths: &[&str]) {
    let is_asked = |path: &str| {
        let is_of = |asked: &&str| match asked.strip_suffix('*') {
            Some(branch) => path.starts_with(branch),
            None => path == *asked,
        };
        paths.iter().any(is_of)
    };
    one.values.retain(|path, _| is_asked(path));
}

async fn listed(
    shop: &Shop,
    subject: Subject,
    paths: &[&str],
) -> Result<BTreeMap<String, Arc<Summary>>, Trouble> {
    let all = shop.list(subject, paths).await.map_err(trouble)?;
    Ok(all.into_iter().map(|one| (one.id.clone(), Arc::new(one))).collect())
}

/// A name as it is compared: capitals and outer blanks do not matter.
pub(super) fn name_key(name: &str) -> String {
    name.trim().to_lowercase()
}

/// This shop's finished plates.
#[derive(Debug, Clone, Default)]
pub(super) struct Plates {
    head: i64,
    /// Counts the changes of `all`, so that a sheet computed with older plates
    /// is not taken for a fresh one.
    pub changed: u64,
    pub all: Arc<Vec<PastPlate>>,
}

impl Plates {
    async fn brought_up(&mut self, shop: &Shop, context: AssessmentContext) -> Result<(), Trouble> {
        let (head, touched) = shop.touched_since(self.head).await.map_err(trouble)?;
        if touched.is_empty() {
            return Ok(());
        }
        if self.head == 0 || touched.len() > TOUCHED_MAX {
            self.all = Arc::new(all_plates(shop, context).await?);
            self.changed += 1;
        } else {
            for (_, id) in touched.iter().filter(|(subject, _)| *subject == Subject::Coupon) {
                let kept = shop.document(Subject::Coupon, id).await.map_err(trouble)?;
                self.take(id, plate(kept, context));
            }
        }
        self.head = head;
        Ok(())
    }

    /// Puts a plate in the place of the one with its number.
    fn take(&mut self, number: &str, plate: Option<PastPlate>) {
        let at = self.all.binary_search_by(|kept| kept.number.as_str().cmp(number));
        if plate.as_ref() == at.ok().and_then(|at| self.all.get(at)) {
            return;
        }
        self.changed += 1;
        let all = Arc::make_mut(&mut self.all);
        match (at, plate) {
            (Ok(at), Some(plate)) => drop(std::mem::replace(&mut all[at], plate)),
            (Ok(at), None) => drop(all.remove(at)),
            (Err(at), Some(plate)) => all.insert(at, plate),
            (Err(_), None) => {}
        }
    }
}

/// Judges every coupon of the shop, a part at a time.
async fn all_plates(shop: &Shop, context: AssessmentContext) -> Result<Vec<PastPlate>, Trouble> {
    let (mut all, mut last) = (Vec::new(), String::new());
    loop {
        let part = shop.coupons_after(&last, PART).await.map_err(trouble)?;
        let Some(coupon) = part.last() else { return Ok(all) };
        last.clone_from(&coupon.id);
        let judged =
            move || -> Vec<_> { part.into_par_iter().filter_map(|one| plate(one, context)).collect() };
        all.extend(computing(judged).await?);
    }
}

fn plate(coupon: Summary, context: AssessmentContext) -> Option<PastPlate> {
    past_plate(&coupon.id, &Document::from_values(coupon.values), context)
}

impl ShopDesk {
    /// Coupons and people as they stand now.
    pub(super) async fn ledger(&self) -> Result<Arc<Ledger>, Trouble> {
        let mut kept = self.ledger.lock().await;
        // Asked first: what is written while the rest is read is read again next time.
        let (head, touched) = self.shop.touched_since(kept.head).await.map_err(trouble)?;
        if !touched.is_empty() {
            let mut now = Ledger::clone(&kept);
            now.take_in(&self.shop, head, touched).await?;
            *kept = Arc::new(now);
        }
        Ok(Arc::clone(&kept))
    }

    /// This shop's finished plates as they stand now.
    pub(super) async fn plates(&self) -> Result<Plates, Trouble> {
        let mut kept = self.plates.lock().await;
        kept.brought_up(&self.shop, self.context()).await?;
        Ok(kept.clone())
    }

    /// Reads the lists and judges the finished plates before anybody asks, so that
    /// the first to open a list or a sheet of a large shop does not wait for it. What
    /// fails here fails again, with its reason, for whoever asks.
    pub async fn read_ahead(&self) {
        let _ = tokio::join!(self.ledger(), self.plates());
    }
}
