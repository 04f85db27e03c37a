//! Fills a new shop with the demonstration coupons.

use bendproof_files::Document;
use bendproof_shop::{By, Edit, Shop, ShopError, Subject};
use bendproof_traveler::judgement::stampable;

use crate::clock::Clock;
use crate::demo;

/// Milliseconds in a day.
const DAY_MS: i64 = 24 * 60 * 60 * 1000;

/// Writes people, coupons and procedures as events of the days they are said to be from.
///
/// # Errors
/// What the shop says.
pub async fn fill_with_demo(shop: &Shop, clock: &dyn Clock) -> Result<(), ShopError> {
    let today = clock.today();
    let edits = |values: &std::collections::BTreeMap<String, String>| -> Vec<Edit> {
        values.iter().map(|(path, text)| Edit::set(path, text)).collect()
    };
    let mut coupons = demo::coupons(today);
    // Oldest first, so that the chain of events runs forward in time.
    coupons.sort_by_key(|c| std::cmp::Reverse(c.days_ago));
    let first_ms = clock.now_ms() - coupons.first().map_or(0, |c| c.days_ago) * DAY_MS;
    for person in demo::people(today) {
        shop.create_person(&person.id, &edits(&person.values), &By::new("demonstration", first_ms)).await?;
    }
    for coupon in coupons {
        let at_ms = clock.now_ms() - coupon.days_ago * DAY_MS;
        let by = By::new(&coupon.by, at_ms);
        let made = shop.create_coupon(&coupon.number, &edits(&coupon.values), &by).await?;
        let verdict = stampable(&Document::from_values(made.values), today);
        if let Some(verdict) = verdict.filter(|verdict| verdict.is_final) {
            let words = [verdict.word.as_str(), &verdict.code];
            shop.stamp(Subject::Coupon, &coupon.number, made.version, words, &by).await?;
        }
    }
    for procedure in demo::procedures(today) {
        let [entered_ms, revised_ms] = procedure.days_ago.map(|days| clock.now_ms() - days * DAY_MS);
        let [path, text, why] = procedure.revised;
        let by = By::new(procedure.by, entered_ms).note("entered from its files");
        let made = shop.create(Subject::Procedure, &procedure.number, &edits(&procedure.values), &by).await?;
        let by = By::new(procedure.by, revised_ms).note(why);
        let edit = [Edit::set(path, text)];
        shop.change(Subject::Procedure, &procedure.number, made.version, &edit, &by).await?;
    }
    Ok(())
}
