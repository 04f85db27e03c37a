//! Lists of coupons and welders, and what is entered about a welder.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use bendproof_bench::desk::*;
use bendproof_codes::ahead::asks_confirmation;
use bendproof_files::{Document, character_fault};
use bendproof_shop::{By, Edit, Event, EventKind, Shop, ShopError, Subject, Summary};
use bendproof_traveler::build::summary;
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::judgement::stampable;
use bendproof_traveler::sheet::{Provenance, StandingLine};
use bendproof_traveler::welder::{Qualification, Use, held};
use bendproof_weld::{Process, Transfer};
use jiff::civil::Date;

use super::days::{asked_day, welder_days};
use super::ledger::name_key;
use super::solved::{beads, key_of};
use super::words::{history_entries, moment};
use super::{ShopDesk, computing, locked, trouble};

/// Days before a lapse on which the list begins to warn.
const WARN_DAYS: i32 = 30;
/// Events shown on a welder's page.
const HISTORY_SHOWN: usize = 20;
/// Longest name, in characters; the same in the people file.
const NAME_CHARS_MAX: usize = 80;
/// Longest stamp, in characters; the same in the people file.
const STAMP_CHARS_MAX: usize = 8;
/// Longest proof of a use, in characters. Basis: choice, two lines of the log.
const EVIDENCE_CHARS_MAX: usize = 200;
/// Longest name of who checked a use, in characters. Basis: choice, as a welder's.
const CHECKED_BY_CHARS_MAX: usize = NAME_CHARS_MAX;
/// Longest id made from a name, in characters; leaves room for a number in the
/// 64 that the shop allows. Basis: choice.
const SLUG_CHARS_MAX: usize = 40;
/// Characters of a day as it is kept, `2026-11-25`.
const DAY_CHARS: usize = 10;
/// Times a welder or a use is written where somebody else wrote in between. Each
/// try that fails means that another one was kept, so a whole school at once gets
/// through. Basis: choice.
const TRIES: usize = 1_000;

/// What the line of a welder follows from besides the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct StandingKey {
    day: Date,
    person: i64,
    coupons: Vec<(String, i64)>,
}

/// What the line of a coupon follows from besides the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct RowKey {
    version: i64,
    /// The part of the document its heat follows from, and whether that was solved.
    heat: String,
    is_solved: bool,
}

impl ShopDesk {
    pub(super) async fn coupon_list(&self, ask: ListAsk) -> Result<Listed<CouponRow>, Trouble> {
        let ledger = self.ledger().await?;
        let mut coupons = ledger.newest_first();
        coupons.retain(|one| {
            let text = |path: &str| one.values.get(path).map_or("", String::as_str);
            ask.finds(&[&one.id, text("welder"), text("title"), text("fit.position")])
        });
        let (page, lines) = ask.lines(coupons.len());
        Ok(Listed { rows: self.coupon_rows(&coupons[lines]).await?, found: coupons.len(), page })
    }

    /// The lines of these coupons, in their order.
    async fn coupon_rows(&self, coupons: &[&Arc<Summary>]) -> Result<Vec<CouponRow>, Trouble> {
        let mut rows = Vec::with_capacity(coupons.len());
        for one in coupons {
            rows.push(self.coupon_row(one).await?);
        }
        Ok(rows)
    }

    /// The line of a coupon, computed once for each of its versions, and again once
    /// its beads are solved: list and sheet say one chance.
    pub(super) async fn coupon_row(&self, one: &Summary) -> Result<CouponRow, Trouble> {
        let is_fresh =
            |key: &RowKey| key.version == one.version && key.is_solved == self.shelf.holds(&key.heat);
        let known = locked(&self.rows).get(&one.id).filter(|(key, _)| is_fresh(key)).cloned();
        if let Some((_, row)) = known {
            return Ok(row);
        }
        let (version, document) = self.document(&one.id).await?;
        let kept = self.shelf.found(&document);
        let key = RowKey { version, heat: key_of(&document), is_solved: beads(&kept).is_some() };
        let judgement = self.judgement(&one.id).await?;
        let amended = judgement.amended_words();
        let context = self.context();
        let summed =
            computing(move || judgement.on_summary(summary(&document, context, beads(&kept)))).await?;
        let row = CouponRow {
            number: one.id.clone(),
            title: summed.title,
            welder: one.values.get("welder").cloned().unwrap_or_default(),
            stage: summed.stage.to_owned(),
            stamp: summed.stamp,
            stamp_note: summed.note,
            mark: summed.mark,
            changed: moment(one.changed_at_ms),
            amended,
        };
        locked(&self.rows).insert(one.id.clone(), (key, row.clone()));
        Ok(row)
    }

    pub(super) async fn welder_list(&self, ask: ListAsk) -> Result<Listed<WelderRow>, Trouble> {
        let ledger = self.ledger().await?;
        let stamp = |person: &Summary| person.values.get("stamp").cloned().unwrap_or_default();
        let mut people: Vec<&Arc<Summary>> =
            ledger.people.values().filter(|person| ask.finds(&[name_of(person), &stamp(person)])).collect();
        people.sort_by(|a, b| name_of(a).cmp(name_of(b)));
        let (page, lines) = ask.lines(people.len());
        let by_welder = ledger.by_welder();
        let mut rows = Vec::with_capacity(lines.len());
        for person in &people[lines] {
            let theirs = by_welder.get(&name_key(name_of(person))).map_or(&[][..], Vec::as_slice);
            rows.push(self.standing_row(person, theirs).await?);
        }
        Ok(Listed { rows, found: people.len(), page })
    }

    /// The line of a welder, computed once a day for what the welder and the
    /// coupons hold.
    async fn standing_row(&self, person: &Summary, theirs: &[&Arc<Summary>]) -> Result<WelderRow, Trouble> {
        let key = StandingKey {
            day: self.clock.today(),
            person: person.version,
            coupons: theirs.iter().map(|one| (one.id.clone(), one.version)).collect(),
        };
        let known = locked(&self.standings).get(&person.id).filter(|(k, _)| *k == key).cloned();
        if let Some((_, row)) = known {
            return Ok(row);
        }
        let row = welder_row(person, &self.held_of(person, theirs, key.day).await?);
        locked(&self.standings).insert(person.id.clone(), (key, row.clone()));
        Ok(row)
    }

    /// Names on coupons that are not on the list, in the order of the alphabet.
    pub(super) async fn unlisted_names(&self, find: &str) -> Result<Vec<String>, Trouble> {
        let ledger = self.ledger().await?;
        let listed: BTreeSet<String> =
            ledger.people.values().map(|person| name_key(name_of(person))).collect();
        let ask = ListAsk { find: find.to_owned(), page: None };
        let mut missing: BTreeMap<String, String> = BTreeMap::new();
        for name in ledger.coupons.values().filter_map(|coupon| coupon.values.get("welder")) {
            let key = name_key(name);
            if !key.is_empty() && !listed.contains(&key) && ask.finds(&[name]) {
                missing.entry(key).or_insert_with(|| name.trim().to_owned());
            }
        }
        Ok(missing.into_values().collect())
    }

    pub(super) async fn welder_detail(&self, id: &str, on: Option<&str>) -> Result<WelderDetail, Trouble> {
        let person = self.shop.document(Subject::Person, id).await.map_err(trouble)?;
        let (day, wrong) = asked_day(on, self.clock.today());
        let held = self.held_by(&person, day).await?;
        let events = self.shop.latest(Subject::Person, id, HISTORY_SHOWN).await.map_err(trouble)?;
        let name = name_key(name_of(&person));
        let ledger = self.ledger().await?;
        let mut theirs = ledger.newest_first();
        theirs.retain(|one| one.values.get("welder").is_some_and(|of| name_key(of) == name));
        let mut coupons = self.coupon_rows(&theirs).await?;
        for (row, one) in coupons.iter_mut().zip(&theirs) {
            let finished = one.values.get("finished").and_then(|text| text.trim().parse().ok());
            if finished.is_some_and(|finished: Date| finished > day) {
                row.stage = format!("{}, {}", row.stage, later_than(day));
            }
        }
        Ok(WelderDetail {
            row: welder_row(&person, &held),
            stamp: person.values.get("stamp").cloned().unwrap_or_default(),
            standing: held.iter().flat_map(held_lines).collect(),
            continuity: uses(&person).iter().map(|used| use_line(used, day)).collect(),
            coupons,
            history: person_history(&events),
            use_choices: UseChoices {
                today: self.clock.today().to_string(),
                processes: Process::WORDS.iter().map(|word| (*word).to_owned()).collect(),
                transfers: Transfer::WORDS.iter().map(|word| (*word).to_owned()).collect(),
            },
            days: welder_days(&held, [day, self.clock.today()], on, wrong),
        })
    }

    pub(super) async fn names(&self) -> Result<Vec<String>, Trouble> {
        let ledger = self.ledger().await?;
        let mut names: Vec<String> =
            ledger.people.values().map(|person| name_of(person).to_owned()).collect();
        names.sort();
        Ok(names)
    }

    pub(super) async fn welder_added(
        &self,
        welder: NewWelder<'_>,
        who: &str,
    ) -> Result<Entered<String>, Trouble> {
        let (name, stamp) = (welder.name.trim(), welder.stamp.trim());
        let mut edits = vec![Edit::set("name", name)];
        edits.extend((!stamp.is_empty()).then(|| Edit::set("stamp", stamp)));
        for _ in 0..TRIES {
            let people = self.shop.list(Subject::Person, &["name"]).await.map_err(trouble)?;
            let refused = welder_refusals(name, stamp, &people);
            if !refused.is_empty() {
                return Ok(Entered::Refused(refused));
            }
            let id = free_id(name, &people);
            match self.shop.create_person(&id, &edits, &By::new(who, self.saving()?)).await {
                Ok(_) => return Ok(Entered::Kept(id)),
                // Somebody else took the id since the list was read.
                Err(ShopError::AlreadyExists { .. }) => {}
                Err(other) => return Err(trouble(other)),
            }
        }
        Ok(Entered::Refused(vec![busy("name")]))
    }

    pub(super) async fn use_logged(
        &self,
        id: &str,
        used: NewUse<'_>,
        who: &str,
    ) -> Result<Entered<()>, Trouble> {
        // A welder who is not there is reported before what is wrong with the use.
        let mut person = self.shop.document(Subject::Person, id).await.map_err(trouble)?;
        let used = match read_use(used, self.clock.today()) {
            Ok(used) => used,
            Err(findings) => return Ok(Entered::Refused(findings)),
        };
        for _ in 0..TRIES {
            if uses(&person).contains(&used) {
                return Ok(Entered::Kept(()));
            }
            let edits = use_edits(&person, &used);
            let by = By::new(who, self.saving()?);
            match self.shop.change(Subject::Person, id, person.version, &edits, &by).await {
                Ok(_) => return Ok(Entered::Kept(())),
                // A use is only ever added, so it is added to what is there now.
                Err(ShopError::Conflict { current, .. }) => person = *current,
                Err(other) => return Err(trouble(other)),
            }
        }
        Ok(Entered::Refused(vec![busy("date")]))
    }

    /// What each of a person's accepted coupons is worth on a day, best first.
    pub(super) async fn held_by(&self, person: &Summary, on: Date) -> Result<Vec<Qualification>, Trouble> {
        let ledger = self.ledger().await?;
        let by_welder = ledger.by_welder();
        let theirs = by_welder.get(&name_key(name_of(person))).map_or(&[][..], Vec::as_slice);
        self.held_of(person, theirs, on).await
    }

    /// The same of coupons that are known to be the person's.
    async fn held_of(
        &self,
        person: &Summary,
        theirs: &[&Arc<Summary>],
        on: Date,
    ) -> Result<Vec<Qualification>, Trouble> {
        let uses = uses(person);
        let mut documents = Vec::with_capacity(theirs.len());
        for one in theirs {
            let document = self.document(&one.id).await?.1;
            documents.push((one.id.clone(), document, self.judgement(&one.id).await?));
        }
        let context = AssessmentContext { day: Some(on), ..self.context() };
        let today = self.clock.today();
        computing(move || {
            let mut held: Vec<Qualification> = documents
                .iter()
                .filter_map(|(number, document, judgement): &(String, Document, Judgement)| {
                    let held = held(number, document, &uses, context)?.as_seen_on(on, today);
                    Some(judgement.on_held(held, stampable(document, context).as_ref()))
                })
                .collect();
            // What no stamp stands for comes last.
            held.sort_by_key(|h| (h.doubt.is_some(), Reverse(h.until), Reverse(h.number.clone())));
            held
        })
        .await
    }

    /// The coupons a welder's record can be of, the latest first: what no stamp
    /// stands for comes last, and its record says so.
    pub(super) async fn accepted(&self, id: &str) -> Result<Vec<String>, Trouble> {
        let person = self.shop.document(Subject::Person, id).await.map_err(trouble)?;
        let held = self.held_by(&person, self.clock.today()).await?;
        Ok(held.into_iter().map(|h| h.number).collect())
    }
}

pub(super) fn name_of(person: &Summary) -> &str {
    person.values.get("name").map_or(person.id.as_str(), String::as_str)
}

fn welder_row(person: &Summary, held: &[Qualification]) -> WelderRow {
    let mut held: Vec<&Qualification> = held.iter().collect();
    held.sort_by_key(|h| {
        let rank = if h.is_lapsed { 2 } else { u8::from(h.doubt.is_some()) };
        let (first, last) = if h.is_lapsed { (None, h.until) } else { (h.until, None) };
        // What has no last day comes after what has one.
        (rank, first.is_none(), first, Reverse(last))
    });
    WelderRow {
        id: person.id.clone(),
        name: name_of(person).to_owned(),
        standings: held.into_iter().map(standing_row).collect(),
    }
}

fn standing_row(held: &Qualification) -> StandingRow {
    let refused = held.standing.refused.as_ref();
    StandingRow {
        coupon: held.number.clone(),
        standing: match refused {
            Some(_) => format!("no qualification under {}", held.code.short),
            None => held.summary.clone(),
        },
        why_none: refused.map(|refused| refused.message.clone()),
        until: held.until.map(|_| held.lasting()).unwrap_or_default(),
        lapse: lapse(held),
    }
}

fn lapse(held: &Qualification) -> Option<String> {
    if held.doubt.is_some() {
        return held.doubt.clone();
    }
    let until = held.until?;
    let lasts = held.lasting();
    match held.days_left? {
        _ if held.is_lapsed => Some(format!("{lasts}; see the code for what renews it")),
        // Past its last day and not lapsed for certain: nothing to weld before.
        days if days < 0 => Some(format!("undetermined after {until}; see open questions")),
        days if days <= WARN_DAYS => {
            let before = if asks_confirmation(held.code) {
                "have work with the process confirmed by then"
            } else {
                "weld with the process by then"
            };
            Some(format!("{lasts}, days left: {days}; {before}"))
        }
        _ => None,
    }
}

fn held_lines(held: &Qualification) -> Vec<StandingLine> {
    let mut lines = held.lines.clone();
    for line in &mut lines {
        line.label = format!("{} · {}", held.number, line.label);
    }
    lines
}

/// Whether two names are one person's: capitals and outer blanks do not matter.
fn same_name(a: &str, b: &str) -> bool {
    name_key(a) == name_key(b)
}

fn finding(path: &str, message: String) -> Finding {
    Finding { path: Some(path.to_owned()), message }
}

fn busy(path: &str) -> Finding {
    finding(path, "someone else changed this welder at the same time; try again".to_owned())
}

/// What is wrong with a line of text, with the rule it breaks and what to do.
fn line_fault(what: &str, text: &str, chars: [usize; 2], next: &str) -> Option<String> {
    let [min, max] = chars;
    let count = text.chars().count();
    let allowed = format!("enter {min} to {max} characters on one line");
    if let Some(fault) = character_fault(text) {
        return Some(format!("{what}: it {fault}; {allowed}; {next}"));
    }
    (count < min || count > max).then(|| format!("{what}: {count} characters; {allowed}; {next}"))
}

fn welder_refusals(name: &str, stamp: &str, people: &[Summary]) -> Vec<Finding> {
    let next = "enter the name exactly as on the coupons";
    let mut findings = Vec::new();
    findings.extend(line_fault("name", name, [1, NAME_CHARS_MAX], next).map(|m| finding("name", m)));
    if let Some(known) = people.iter().map(name_of).find(|known| same_name(known, name)) {
        let message = format!(
            "name: {known} is on the list already; enter a name that is not; open that welder, or add \
             what tells the two apart"
        );
        findings.push(finding("name", message));
    }
    let next = "enter the stamp as it is marked next to the weld, or leave it blank";
    findings.extend(line_fault("stamp", stamp, [0, STAMP_CHARS_MAX], next).map(|m| finding("stamp", m)));
    findings
}

/// An id nobody has: the letters and digits of the name, and a number where
/// another welder has that one.
fn free_id(name: &str, people: &[Summary]) -> String {
    let lower = name.to_lowercase();
    let words = lower.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    let slug: String = words.collect::<Vec<_>>().join("-").chars().take(SLUG_CHARS_MAX).collect();
    let slug = if slug.is_empty() { "welder".to_owned() } else { slug };
    let is_free = |id: &String| !people.iter().any(|person| person.id == *id);
    std::iter::once(slug.clone())
        .chain((2_usize..).map(|n| format!("{slug}-{n}")))
        .find(is_free)
        .unwrap_or(slug)
}

/// A use as typed, read; or what is wrong with each of its boxes.
fn read_use(typed: NewUse<'_>, today: Date) -> Result<Use, Vec<Finding>> {
    let mut findings = Vec::new();
    let date = noted(&mut findings, "date", read_day(typed.date.trim(), today));
    let process = noted(&mut findings, "process", read_process(typed.process.trim()));
    let transfer = process.map(|process| read_transfer(process, typed.transfer.trim()));
    let transfer = transfer.and_then(|read| noted(&mut findings, "transfer", read));
    let evidence = typed.evidence.trim();
    let next = "write what was welded, and who saw it";
    findings
        .extend(line_fault("proof", evidence, [1, EVIDENCE_CHARS_MAX], next).map(|m| finding("evidence", m)));
    let checked_by = typed.checked_by.trim();
    let next = "write the name of who checked it, or leave it out";
    let fault = line_fault("checked by", checked_by, [0, CHECKED_BY_CHARS_MAX], next);
    findings.extend(fault.map(|m| finding("checked_by", m)));
    match (date, process, transfer) {
        (Some(date), Some(process), Some(transfer)) if findings.is_empty() => Ok(Use {
            date,
            process,
            transfer,
            evidence: evidence.to_owned(),
            checked_by: checked_by.to_owned(),
        }),
        _ => Err(findings),
    }
}

fn noted<T>(findings: &mut Vec<Finding>, path: &str, read: Result<T, String>) -> Option<T> {
    read.map_err(|message| findings.push(finding(path, message))).ok()
}

/// A day as it is typed; the length keeps out the other spellings the reader
/// takes, such as hours.
fn calendar_day(text: &str) -> Option<Date> {
    text.parse::<Date>().ok().filter(|_| text.len() == DAY_CHARS)
}

/// Any day of the calendar, past or coming.
pub(super) fn read_calendar_day(text: &str) -> Result<Date, String> {
    calendar_day(text).ok_or_else(|| format!("day: {text:?} is not a calendar date; enter YYYY-MM-DD"))
}

fn read_day(text: &str, today: Date) -> Result<Date, String> {
    let allowed = format!("enter YYYY-MM-DD, up to today, {today}");
    match calendar_day(text) {
        None => Err(format!("day: {text:?} is not in the calendar; {allowed}; write year, month and day")),
        Some(day) if day > today => {
            Err(format!("day: {day} has not come yet; {allowed}; log the use once it is welded"))
        }
        Some(day) => Ok(day),
    }
}

fn read_process(text: &str) -> Result<Process, String> {
    Process::from_word(text).ok_or_else(|| {
        let allowed = Process::WORDS.join(", ");
        format!("process: {text:?} is unknown; pick one of {allowed}")
    })
}

/// GMAW is four processes in one: a use renews only what was welded with the
/// same transfer, so it must be named there and has no place elsewhere.
fn read_transfer(process: Process, text: &str) -> Result<Option<Transfer>, String> {
    let allowed = Transfer::WORDS.join(", ");
    let known = Transfer::from_word(text);
    match (process, known) {
        (_, None) if !text.is_empty() => {
            Err(format!("transfer mode: {text:?} is unknown; pick one of {allowed}"))
        }
        (Process::Gmaw, None) => Err(format!(
            "metal transfer: none, and GMAW is renewed transfer by transfer; allowed are {allowed}; pick the one used"
        )),
        (Process::Gmaw, known) => Ok(known),
        (_, Some(transfer)) => Err(format!(
            "metal transfer: {transfer} belongs to GMAW; allowed with {process} is none; pick none, or GMAW"
        )),
        (_, None) => Ok(None),
    }
}

/// The values that add a use, in the first free row of its day: `used.DAY`,
/// then `used.DAY-2`, so that two processes of one day stand side by side.
fn use_edits(person: &Summary, used: &Use) -> Vec<Edit> {
    let day = used.date.to_string();
    let is_free = |row: &String| !person.values.keys().any(|path| path.starts_with(&format!("{row}.")));
    let row = std::iter::once(format!("used.{day}"))
        .chain((2_usize..).map(|n| format!("used.{day}-{n}")))
        .find(is_free)
        .unwrap_or_default();
    let mut edits = vec![
        Edit::set(&format!("{row}.process"), used.process.word()),
        Edit::set(&format!("{row}.evidence"), &used.evidence),
    ];
    if !used.checked_by.is_empty() {
        edits.push(Edit::set(&format!("{row}.checked_by"), &used.checked_by));
    }
    edits.extend(used.transfer.map(|t| Edit::set(&format!("{row}.transfer"), t.word())));
    edits
}

/// The latest events of a person, newest first, in words about a person.
fn person_history(events: &[Event]) -> Vec<HistoryEntry> {
    let mut entries = history_entries(events, HISTORY_SHOWN);
    for (entry, event) in entries.iter_mut().zip(events.iter().rev()) {
        let mut days: Vec<&str> = event.changes.iter().filter_map(|c| day_of(row_of(&c.path)?)).collect();
        days.sort_unstable();
        days.dedup();
        let logged = format!("logged a use of {}", days.join(", "));
        match event.kind {
            EventKind::Create => entry.words = "put on the list".to_owned(),
            EventKind::Change if !days.is_empty() => entry.words = logged,
            _ => {}
        }
    }
    entries
}

/// The row of a use in a path: `2026-11-25-2` in `used.2026-11-25-2.process`.
fn row_of(path: &str) -> Option<&str> {
    path.strip_prefix("used.").and_then(|rest| rest.split_once('.')).map(|(row, _)| row)
}

/// The day of a row: the first ten characters; a number may follow.
fn day_of(row: &str) -> Option<&str> {
    row.get(..DAY_CHARS)
}

/// The days a person used a process.
fn uses(person: &Summary) -> Vec<Use> {
    use_rows(person).map(|(_, used)| used).collect()
}

/// Every use with its row, from `used.DAY.process` and its neighbours, and from
/// `used.DAY-2` and on where a day has several.
fn use_rows(person: &Summary) -> impl Iterator<Item = (&str, Use)> {
    let mut rows: BTreeMap<&str, BTreeMap<&str, &str>> = BTreeMap::new();
    for (path, text) in &person.values {
        if let Some((row, what)) = path.strip_prefix("used.").and_then(|rest| rest.split_once('.')) {
            rows.entry(row).or_default().insert(what, text);
        }
    }
    rows.into_iter().filter_map(|(row, fields)| {
        let used = Use {
            date: day_of(row)?.parse::<Date>().ok()?,
            process: Process::from_word(fields.get("process")?)?,
            transfer: fields.get("transfer").and_then(|t| Transfer::from_word(t)),
            evidence: fields.get("evidence").copied().unwrap_or_default().to_owned(),
            checked_by: fields.get("checked_by").copied().unwrap_or_default().to_owned(),
        };
        Some((row, used))
    })
}

/// Every use of the welder of this name, with who entered it; none for a name
/// that is not on the list.
pub(super) async fn uses_with_who(shop: &Shop, name: &str) -> Result<Vec<(Use, String)>, Trouble> {
    let people = shop.list(Subject::Person, &["name", "used.*"]).await.map_err(trouble)?;
    let Some(person) = people.iter().find(|person| same_name(name_of(person), name)) else {
        return Ok(Vec::new());
    };
    let events = shop.history(Subject::Person, &person.id).await.map_err(trouble)?;
    let entered = |row: &str| {
        let is_of = |event: &&Event| event.changes.iter().any(|c| row_of(&c.path) == Some(row));
        events.iter().find(is_of).map(|event| event.who.clone()).unwrap_or_default()
    };
    Ok(use_rows(person).map(|(row, used)| (used, entered(row))).collect())
}

/// What counts for nothing on the day asked about.
fn later_than(day: Date) -> String {
    format!("later than {day}")
}

/// A logged use, as seen from the day asked about.
fn use_line(used: &Use, on: Date) -> StandingLine {
    let transfer = used.transfer.map(|t| format!(" {t}")).unwrap_or_default();
    let checked = match used.checked_by.as_str() {
        "" => String::new(),
        who => format!(", checked by {who}"),
    };
    let later = if used.date > on { format!(" · {}", later_than(on)) } else { String::new() };
    StandingLine {
        label: used.date.to_string(),
        value: format!("{}{transfer}: {}{checked}{later}", used.process, used.evidence),
        provenance: Provenance {
            source: "the shop's continuity log".to_owned(),
            basis: "measured".to_owned(),
            rule: None,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Standing;
    use bendproof_shop::Shop;

    fn typed<'a>(date: &'a str, process: &'a str, transfer: &'a str, evidence: &'a str) -> NewUse<'a> {
        NewUse { date, process, transfer, evidence, checked_by: "" }
    }

    async fn desk() -> ShopDesk {
        ShopDesk::new(Shop::open_in_memory().await.unwrap(), None, Standing::clock())
    }

    async fn added(desk: &ShopDesk, name: &str, stamp: &str) -> Entered<String> {
        desk.welder_added(NewWelder { name, stamp }, "Marta").await.unwrap()
    }

    fn paths<T: std::fmt::Debug>(entered: Entered<T>) -> Vec<String> {
        match entered {
            Entered::Refused(findings) => findings.into_iter().filter_map(|f| f.path).collect(),
            kept @ Entered::Kept(_) => panic!("kept {kept:?}"),
        }
    }

    #[tokio::test]
    async fn a_welder_is_entered_once_under_an_id_of_their_own() {
        let desk = desk().await;
        assert_eq!(added(&desk, " Zoë Quill ", "ZQ").await, Entered::Kept("zo-quill".to_owned()));
        assert_eq!(added(&desk, "Zo Quill", "").await, Entered::Kept("zo-quill-2".to_owned()));
        assert_eq!(added(&desk, "李", "").await, Entered::Kept("welder".to_owned()));
        assert_eq!(paths(added(&desk, "ZOË QUILL", "").await), ["name"]);
        assert_eq!(paths(added(&desk, "", "too long a mark").await), ["name", "stamp"]);
        assert_eq!(paths(added(&desk, &"x".repeat(81), "").await), ["name"]);
        assert_eq!(paths(added(&desk, "a\nb", "").await), ["name"]);
        let detail = desk.welder_detail("zo-quill", None).await.unwrap();
        assert_eq!((detail.row.name.as_str(), detail.stamp.as_str()), ("Zoë Quill", "ZQ"));
        assert_eq!(desk.names().await.unwrap(), ["Zo Quill", "Zoë Quill", "李"]);
    }

    #[tokio::test]
    async fn uses_of_one_day_stand_side_by_side_and_a_repeat_is_kept_once() {
        let desk = desk().await;
        added(&desk, "Ana", "").await;
        for used in [
            typed("2024-02-29", "GMAW", "short-circuit", "job 7, Marta saw it"),
            typed("2024-02-29", "SMAW", "", "job 8"),
            typed("2024-02-29", "smaw", "", "job 8 "),
            typed("2024-02-29", "GMAW", "spray", "job 9"),
        ] {
            assert_eq!(desk.use_logged("ana", used, "Marta").await.unwrap(), Entered::Kept(()));
        }
        let detail = desk.welder_detail("ana", None).await.unwrap();
        let said: Vec<String> =
            detail.continuity.iter().map(|l| format!("{} {}", l.label, l.value)).collect();
        let day = "2024-02-29";
        let expected = [
            format!("{day} GMAW short-circuit: job 7, Marta saw it"),
            format!("{day} SMAW: job 8"),
            format!("{day} GMAW spray: job 9"),
        ];
        assert_eq!(said, expected);
        assert_eq!(detail.history[0].words, "logged a use of 2024-02-29");
        assert_eq!(detail.history[3].words, "put on the list");
        let absent = desk.use_logged("bo", typed("x", "x", "", ""), "Marta").await;
        assert_eq!(absent.unwrap_err(), Trouble::Absent);
    }

    #[test]
    fn a_use_is_refused_box_by_box_with_what_is_allowed() {
        let today: Date = "2026-11-25".parse().unwrap();
        let refused = |used| -> Vec<String> {
            read_use(used, today).unwrap_err().into_iter().filter_map(|f| f.path).collect()
        };
        for wrong in ["", "2026-02-30", "2026-11-26", "20261125", "2026-11-25T10:00", "25.11.2026"] {
            assert_eq!(refused(typed(wrong, "SMAW", "", "job 1")), ["date"], "{wrong}");
        }
        assert_eq!(refused(typed("2026-11-25", "laser", "", "job 1")), ["process"]);
        for (process, transfer) in [("GMAW", ""), ("GMAW", "drip"), ("SMAW", "spray")] {
            assert_eq!(refused(typed("2026-11-25", process, transfer, "job 1")), ["transfer"], "{process}");
        }
        assert_eq!(refused(typed("", "", "", " ")), ["date", "process", "evidence"]);
        assert_eq!(refused(typed("2026-11-25", "SMAW", "", &"x".repeat(201))), ["evidence"]);
        let message = read_day("2026-11-26", today).unwrap_err();
        for part in ["day", "2026-11-26 has not come yet", "up to today, 2026-11-25", "once it is welded"] {
            assert!(message.contains(part), "{message}");
        }
        assert!(read_use(typed("2026-11-25", "gmaw", "Pulsed", &"ü".repeat(200)), today).is_ok());
    }

    #[test]
    fn a_coupon_finds_its_welder_whatever_the_capitals() {
        assert!(same_name("ANA ruiz ", "Ana Ruiz"));
        assert!(!same_name("Ana", "Ana Ruiz"));
    }

    async fn demo_desk() -> ShopDesk {
        let desk = desk().await;
        crate::fill_with_demo(&desk.shop, &*desk.clock).await.unwrap();
        desk
    }

    fn documents_read(desk: &ShopDesk) -> usize {
        desk.documents_read.load(std::sync::atomic::Ordering::Relaxed)
    }

    #[tokio::test]
    async fn the_list_of_welders_reads_each_coupon_at_most_once_and_afterwards_only_what_changed() {
        let desk = demo_desk().await;
        let coupons = desk.ledger().await.unwrap().coupons.len();
        let first = desk.welder_list(ListAsk::default()).await.unwrap();
        assert!(first.rows.len() > 3 && documents_read(&desk) <= coupons, "{}", documents_read(&desk));
        let before = documents_read(&desk);
        assert_eq!(desk.welder_list(ListAsk::default()).await.unwrap(), first);
        assert_eq!(documents_read(&desk), before, "nothing changed, nothing is read");
        // Written past this desk, as another program on the same file would.
        let person = first.rows[0].id.clone();
        let kept = desk.shop.document(Subject::Person, &person).await.unwrap();
        let edit = [Edit::set("stamp", "NEW")];
        desk.shop.change(Subject::Person, &person, kept.version, &edit, &By::new("Marta", 1)).await.unwrap();
        let found = desk.welder_list(ListAsk { find: "new".to_owned(), page: Some(1) }).await.unwrap();
        assert_eq!((found.rows.len(), found.rows[0].id.as_str()), (1, person.as_str()));
        let ledger = desk.ledger().await.unwrap();
        let theirs = ledger.by_welder().get(&name_key(name_of(&kept))).map_or(0, Vec::len);
        assert!(documents_read(&desk) - before <= theirs);
    }

    #[tokio::test]
    async fn the_kept_standing_is_the_one_computed_again() {
        let desk = demo_desk().await;
        for row in desk.welder_list(ListAsk::default()).await.unwrap().rows {
            assert_eq!(desk.welder_detail(&row.id, None).await.unwrap().row, row);
        }
    }

    #[tokio::test]
    async fn a_name_on_a_coupon_is_unlisted_once_whatever_its_capitals() {
        let desk = desk().await;
        added(&desk, "Ana Ruiz", "").await;
        let names = ["ana ruiz ", "Zoë Lindqvist", "ZOË LINDQVIST", " ", "bo"];
        for (n, name) in names.into_iter().enumerate() {
            let edits = [Edit::set("welder", name)];
            desk.shop.create_coupon(&n.to_string(), &edits, &By::new("Marta", 1)).await.unwrap();
        }
        assert_eq!(desk.unlisted_names("").await.unwrap(), ["bo", "Zoë Lindqvist"]);
        assert_eq!(desk.unlisted_names("ZOË").await.unwrap(), ["Zoë Lindqvist"]);
    }

    #[tokio::test]
    async fn a_page_of_coupons_reads_only_its_own() {
        let desk = desk().await;
        for n in 1..=150 {
            let edits = [Edit::set("welder", if n % 50 == 0 { "Ana" } else { "Bo" })];
            desk.shop.create_coupon(&format!("{n:04}"), &edits, &By::new("Marta", n)).await.unwrap();
        }
        let ask = |find: &str, page| ListAsk { find: find.to_owned(), page: Some(page) };
        let second = desk.coupon_list(ask("", 2)).await.unwrap();
        assert_eq!((second.rows.len(), second.found, second.rows[0].number.as_str()), (50, 150, "0050"));
        assert_eq!(documents_read(&desk), 50);
        let found = desk.coupon_list(ask("ana", 1)).await.unwrap();
        let numbers: Vec<&str> = found.rows.iter().map(|row| row.number.as_str()).collect();
        assert_eq!(numbers, ["0150", "0100", "0050"]);
    }

    #[tokio::test(flavor = "multi_thread", worker_threads = 4)]
    async fn uses_of_one_welder_logged_by_twenty_at_once_are_all_kept() {
        let folder = tempfile::tempdir().unwrap();
        let shop = Shop::open(folder.path().join("shop.db")).await.unwrap();
        let desk = Arc::new(ShopDesk::new(shop, None, Standing::clock()));
        added(&desk, "Ana", "").await;
        let clients: Vec<_> = (0..20)
            .map(|client| {
                let desk = Arc::clone(&desk);
                tokio::spawn(async move {
                    for n in 0..5 {
                        let proof = format!("job {client}-{n}");
                        let used = typed("2024-02-29", "SMAW", "", &proof);
                        assert_eq!(desk.use_logged("ana", used, "Marta").await.unwrap(), Entered::Kept(()));
                    }
                })
            })
            .collect();
        for client in clients {
            client.await.unwrap();
        }
        assert_eq!(desk.welder_detail("ana", None).await.unwrap().continuity.len(), 100);
    }
}
