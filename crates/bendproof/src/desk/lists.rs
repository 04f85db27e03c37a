//! Lists of coupons and welders.

use std::collections::BTreeMap;

use bendproof_bench::desk::*;
use bendproof_files::Document;
use bendproof_shop::{Subject, Summary};
use bendproof_traveler::sheet::{Provenance, StandingLine};
use bendproof_traveler::{Held, Use, held, summary};
use bendproof_weld::{Process, Transfer};
use jiff::civil::Date;

use super::words::{history_entries, moment};
use super::{ShopDesk, computing, locked, trouble};
use crate::source::today;

/// Days before a lapse on which the list begins to warn.
const WARN_DAYS: i32 = 30;
/// Events shown on a welder's page.
const HISTORY_SHOWN: usize = 20;

impl ShopDesk {
    pub(super) async fn coupon_rows(&self) -> Result<Vec<CouponRow>, Trouble> {
        let kept = self.shop.list(Subject::Coupon, &["welder"]).await.map_err(trouble)?;
        let mut rows = Vec::with_capacity(kept.len());
        for one in kept {
            let known = locked(&self.rows).get(&one.id).filter(|(v, _)| *v == one.version).cloned();
            let row = match known {
                Some((_, row)) => row,
                None => self.coupon_row(&one).await?,
            };
            rows.push((one.changed_at_ms, row));
        }
        rows.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| b.1.number.cmp(&a.1.number)));
        Ok(rows.into_iter().map(|(_, row)| row).collect())
    }

    async fn coupon_row(&self, one: &Summary) -> Result<CouponRow, Trouble> {
        let (version, document) = self.document(&one.id).await?;
        let summed = computing(move || summary(&document, Some(today()))).await?;
        let row = CouponRow {
            number: one.id.clone(),
            title: summed.title,
            welder: one.values.get("welder").cloned().unwrap_or_default(),
            stage: summed.stage.to_owned(),
            stamp: summed.stamp,
            mark: summed.mark,
            changed: moment(one.changed_at_ms),
        };
        locked(&self.rows).insert(one.id.clone(), (version, row.clone()));
        Ok(row)
    }

    pub(super) async fn welder_rows(&self) -> Result<Vec<WelderRow>, Trouble> {
        let people = self.shop.list(Subject::Person, &["name", "used.*"]).await.map_err(trouble)?;
        let mut rows = Vec::with_capacity(people.len());
        for person in &people {
            rows.push(welder_row(person, &self.held_by(person).await?));
        }
        rows.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(rows)
    }

    pub(super) async fn welder_detail(&self, id: &str) -> Result<WelderDetail, Trouble> {
        let person = self.shop.document(Subject::Person, id).await.map_err(trouble)?;
        let held = self.held_by(&person).await?;
        let name = name_of(&person).to_owned();
        let events = self.shop.history(Subject::Person, id).await.map_err(trouble)?;
        let coupons = self.coupon_rows().await?.into_iter().filter(|c| c.welder == name).collect();
        Ok(WelderDetail {
            row: welder_row(&person, &held),
            standing: held.iter().flat_map(held_lines).collect(),
            continuity: uses(&person).iter().map(use_line).collect(),
            coupons,
            history: history_entries(&events, HISTORY_SHOWN),
        })
    }

    /// What each of a person's accepted coupons is worth today, best first.
    async fn held_by(&self, person: &Summary) -> Result<Vec<Held>, Trouble> {
        let name = name_of(person).to_owned();
        let uses = uses(person);
        let kept = self.shop.list(Subject::Coupon, &["welder"]).await.map_err(trouble)?;
        let mut documents = Vec::new();
        for one in kept.into_iter().filter(|c| c.values.get("welder") == Some(&name)) {
            documents.push((one.id.clone(), self.document(&one.id).await?.1));
        }
        let today = today();
        computing(move || {
            let mut held: Vec<Held> = documents
                .iter()
                .filter_map(|(number, document): &(String, Document)| held(number, document, &uses, today))
                .collect();
            held.sort_by(|a, b| b.until.cmp(&a.until).then_with(|| b.number.cmp(&a.number)));
            held
        })
        .await
    }

    pub(super) async fn latest_accepted(&self, id: &str) -> Result<Option<String>, Trouble> {
        let person = self.shop.document(Subject::Person, id).await.map_err(trouble)?;
        Ok(self.held_by(&person).await?.into_iter().next().map(|h| h.number))
    }
}

fn name_of(person: &Summary) -> &str {
    person.values.get("name").map_or(person.id.as_str(), String::as_str)
}

fn welder_row(person: &Summary, held: &[Held]) -> WelderRow {
    let best = held.iter().find(|h| h.until.is_some()).or_else(|| held.first());
    WelderRow {
        id: person.id.clone(),
        name: name_of(person).to_owned(),
        standing: best.map_or_else(|| "no accepted coupon yet".to_owned(), |h| h.summary.clone()),
        until: best.and_then(|h| h.until).map(|d| d.to_string()).unwrap_or_default(),
        lapse: best.and_then(lapse),
    }
}

fn lapse(held: &Held) -> Option<String> {
    let until = held.until?;
    match held.days_left? {
        _ if held.is_lapsed => Some(format!("lapsed on {until}; see the code for what renews it")),
        days if days <= WARN_DAYS => {
            Some(format!("lapses in {days} days, on {until}; weld with the process before"))
        }
        _ => None,
    }
}

fn held_lines(held: &Held) -> Vec<StandingLine> {
    let mut lines = held.lines.clone();
    for line in &mut lines {
        line.label = format!("{} · {}", held.number, line.label);
    }
    lines
}

/// The days a person used a process, from `used.DATE.process` and its neighbours.
fn uses(person: &Summary) -> Vec<Use> {
    let mut by_day: BTreeMap<&str, BTreeMap<&str, &str>> = BTreeMap::new();
    for (path, text) in &person.values {
        if let Some((day, what)) = path.strip_prefix("used.").and_then(|rest| rest.split_once('.')) {
            by_day.entry(day).or_default().insert(what, text);
        }
    }
    by_day
        .into_iter()
        .filter_map(|(day, told)| {
            Some(Use {
                date: day.parse::<Date>().ok()?,
                process: Process::from_word(told.get("process")?)?,
                transfer: told.get("transfer").and_then(|t| Transfer::from_word(t)),
                evidence: told.get("evidence").copied().unwrap_or_default().to_owned(),
            })
        })
        .collect()
}

fn use_line(used: &Use) -> StandingLine {
    let transfer = used.transfer.map(|t| format!(" {t}")).unwrap_or_default();
    StandingLine {
        label: used.date.to_string(),
        value: format!("{}{transfer}: {}", used.process, used.evidence),
        provenance: Provenance {
            source: "the shop's continuity log".to_owned(),
            basis: "measured".to_owned(),
            rule: None,
        },
    }
}
