//! A desk in memory for the tests and the example: one invented coupon, kept
//! as long as the process lives. It computes nothing real.

pub mod codes;
pub mod people;
pub mod procedures;
mod records;
pub mod sample;
pub mod section;
pub mod window;

use std::sync::{Mutex, MutexGuard, PoisonError};

use bendproof_bench::desk::{
    About, Amended, Answer, ChanceView, Change, Codes, Conflict, CouponRow, Desk, Download, Entered,
    FileKind, FilmFrame, FinderAsk, FinderView, Finding, Hand, HistoryEntry, IssueAsk, JointAsk,
    JointAskView, Judgement, ListAsk, Listed, NewUse, NewWelder, Notices, Opened, Outcome, Paper,
    ProcedureAsk, ProcedureAskView, ProcedureChange, ProcedureList, ProcedureOutcome, ProcedureView,
    RecordFile, RecordOf, RecordsView, RowAction, RowKind, RuleCase, RuleEdition, RuleView, Section,
    SectionAsk, SectionFile, Stamped, Template, Trouble, UseChoices, WelderDetail, WelderRow, WhyAsked,
    WindowAsk, WindowFile, WindowOpened, WindowPlace,
};
use bendproof_measure::{Kind, Quantity};
use bendproof_traveler::sheet::{Control, Field, OpeningView, Provenance, Sheet, StandingLine};

/// The coupon the fake desk holds.
pub const NUMBER: &str = "0231";

struct State {
    version: u64,
    sheet: Sheet,
    before: Vec<Sheet>,
    history: Vec<HistoryEntry>,
    tokens: Vec<String>,
    welders: Vec<WelderRow>,
    stamps: Vec<(String, String)>,
    uses: Vec<(String, StandingLine)>,
    procedure: procedures::Kept,
    judgement: Judgement,
}

/// The desk in memory.
pub struct FakeDesk {
    state: Mutex<State>,
    /// Coupons in the list after the sample's.
    pub more_coupons: usize,
    /// What must be known on every page.
    pub notices: Mutex<Notices>,
}

impl FakeDesk {
    pub fn new() -> Self {
        let history = vec![entry(1, "Marta Quill", "sheet started from “open-root plate”")];
        let state = State {
            version: 1,
            sheet: sample::sheet(),
            before: Vec::new(),
            history,
            tokens: Vec::new(),
            welders: sample::welders(),
            stamps: Vec::new(),
            uses: Vec::new(),
            procedure: procedures::Kept::default(),
            judgement: Judgement::default(),
        };
        Self { state: Mutex::new(state), more_coupons: 0, notices: Mutex::default() }
    }

    /// The tokens of everything sent so far.
    #[allow(dead_code, reason = "one of the test programs asks")]
    pub fn tokens(&self) -> Vec<String> {
        self.lock().tokens.clone()
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn entry(version: u64, who: &str, words: &str) -> HistoryEntry {
    HistoryEntry { version, at: "14 April, 10:12".into(), who: who.into(), words: words.into() }
}

impl State {
    fn opened(&self) -> Opened {
        Opened {
            version: self.version,
            can_undo: !self.before.is_empty(),
            sheet: self.sheet.clone(),
            history: self.history.clone(),
            judgement: self.judgement.clone(),
            stampable: self.judgement.stamp.is_none().then(|| "accept".to_owned()),
        }
    }

    /// The question why, once the verdict is stamped and the fit changes.
    fn why_asked(&mut self, touches_fit: bool, hand: Hand<'_>) -> Option<Outcome> {
        if self.judgement.stamp.is_none() || !touches_fit {
            return None;
        }
        if hand.why.is_empty() {
            let message = "coupon 0231 is judged; say why it changes".to_owned();
            let latest = self.judgement.amended.as_ref().map(|amended| amended.latest_why.clone());
            let latest = latest.unwrap_or_default();
            let asked = WhyAsked { message, latest, current: self.opened() };
            return Some(Outcome::WhyAsked(Box::new(asked)));
        }
        let (since, why) = ("2031-04-14".to_owned(), hand.why.to_owned());
        self.judgement.amended = Some(Amended { since, latest_why: why.clone(), why, count: 1 });
        None
    }

    fn conflict(&self, version: u64) -> Option<Outcome> {
        let since = self.history.iter().filter(|entry| entry.version > version).cloned().collect();
        (version != self.version)
            .then(|| Outcome::Conflict(Box::new(Conflict { since, current: self.opened() })))
    }

    fn keep(&mut self, sheet: Sheet, who: &str, words: &str) -> Outcome {
        self.before.push(std::mem::replace(&mut self.sheet, sheet));
        self.version += 1;
        self.history.insert(0, entry(self.version, who, words));
        Outcome::Saved(Box::new(self.opened()))
    }
}

fn fields_mut(sheet: &mut Sheet) -> impl Iterator<Item = &mut Field> {
    sheet
        .head
        .iter_mut()
        .chain(&mut sheet.fit)
        .chain(&mut sheet.settings)
        .chain(sheet.passes.iter_mut().flat_map(|row| &mut row.fields))
        .chain(sheet.log.iter_mut().flat_map(|row| &mut row.fields))
        .chain(&mut sheet.visual)
}

/// Sets one value; `Err` with a finding for a path the sheet does not have.
fn set(sheet: &mut Sheet, path: &str, text: &str) -> Result<(), Finding> {
    if let Some(rest) = path.strip_prefix("strap.") {
        return set_strap(sheet, rest, text).ok_or_else(|| Finding {
            path: Some(path.into()),
            message: format!("{path} is not a value of this sheet"),
        });
    }
    let Some(field) = fields_mut(sheet).find(|field| field.path == path) else {
        return Err(Finding {
            path: Some(path.into()),
            message: format!("{path} is not a value of this sheet"),
        });
    };
    field.text = text.to_owned();
    field.error = None;
    if let Control::Rule(rule) = &mut field.control {
        let kind = match rule.unit.as_str() {
            "in" => Kind::Length,
            "V" => Kind::Voltage,
            _ => Kind::Speed,
        };
        let unit = rule.unit.clone();
        let read = Quantity::parse(kind, text);
        rule.value = read.as_ref().ok().and_then(|quantity| quantity.in_unit(&unit));
        match read {
            Ok(quantity) if unit == "in" => field.also = format!("{:.1} mm", quantity.si * 1e3),
            Ok(_) => {}
            Err(error) => field.error = Some(error.to_string()),
        }
    }
    sample::answer_to_land(sheet);
    Ok(())
}

fn set_strap(sheet: &mut Sheet, rest: &str, text: &str) -> Option<()> {
    let mut keys = rest.split('.');
    let strap = sheet.straps.get_mut(keys.next()?.parse::<usize>().ok()?.checked_sub(1)?)?;
    match keys.next()? {
        "kind" => {
            strap.kind = text.to_owned();
            strap.fields[0].text = text.to_owned();
        }
        "openings" => match keys.next() {
            None => strap.is_inspected = text == "none",
            Some(n) => {
                let opening = strap.openings.get_mut(n.parse::<usize>().ok()?.checked_sub(1)?)?;
                let key = keys.next()?;
                let field = opening.fields.iter_mut().find(|field| field.path.ends_with(key))?;
                field.text = text.to_owned();
                if key == "length" {
                    opening.length_mm = Quantity::parse(Kind::Length, text).ok()?.si * 1e3;
                    opening.length = bendproof_measure::length_both(opening.length_mm / 1e3);
                }
            }
        },
        _ => return None,
    }
    Some(())
}

fn millimetres(values: &[(String, String)], key: &str) -> f64 {
    let text = values.iter().find(|(name, _)| name == key).map_or("0 mm", |(_, text)| text);
    Quantity::parse(Kind::Length, text).map_or(0.0, |quantity| quantity.si * 1e3)
}

fn row(sheet: &mut Sheet, kind: &RowKind, action: &RowAction) -> Option<()> {
    match (kind, action) {
        (RowKind::Opening(strap), RowAction::Add(values)) => {
            let number = *strap;
            let strap = sheet.straps.get_mut(number.checked_sub(1)?)?;
            strap.is_inspected = true;
            strap.openings.push(OpeningView {
                opening: strap.openings.len() + 1,
                length: "1/16 in · 1.6 mm".into(),
                text: "1/16 in".into(),
                length_mm: 1.5875,
                place: "face".into(),
                cause: "none".into(),
                fields: sample::opening_fields(number, strap.openings.len() + 1, "1/16 in"),
                x_mm: millimetres(values, "x"),
                y_mm: millimetres(values, "y"),
            });
        }
        (RowKind::Opening(strap), RowAction::Remove(n)) => {
            let openings = &mut sheet.straps.get_mut(strap.checked_sub(1)?)?.openings;
            if *n > openings.len() {
                return None;
            }
            openings.remove(n - 1);
            for (index, opening) in openings.iter_mut().enumerate() {
                opening.opening = index + 1;
            }
        }
        (RowKind::Pass, RowAction::Add(_)) => sheet.passes.push(sample::pass(sheet.passes.len() + 1, "new")),
        (RowKind::Pass, RowAction::Remove(n)) if *n == sheet.passes.len() => {
            sheet.passes.pop();
        }
        (RowKind::Log, RowAction::Add(_)) => sheet.log.push(sample::log(sheet.log.len() + 1)),
        (RowKind::Strap, RowAction::Add(_)) => {
            sheet.straps.push(sample::strap(sheet.straps.len() + 1, "F", &[]))
        }
        _ => return None,
    }
    Some(())
}

/// The day it always is at the fake desk.
pub const TODAY: &str = "2031-04-14";

fn use_choices() -> UseChoices {
    let words = |list: &[&str]| list.iter().map(|word| (*word).to_owned()).collect();
    UseChoices {
        today: TODAY.into(),
        processes: words(&["GMAW", "FCAW", "SMAW"]),
        transfers: words(&["short-circuit", "spray"]),
    }
}

fn shop_log(label: &str, value: String) -> StandingLine {
    StandingLine {
        label: label.into(),
        value,
        provenance: Provenance { source: "shop log".into(), basis: "measured".into(), rule: None },
    }
}

/// A finding about one box of a form, when `is_wrong`.
fn about(path: &str, is_wrong: bool, message: String) -> Option<Finding> {
    is_wrong.then(|| Finding { path: Some(path.into()), message })
}

fn refused(message: &str) -> Outcome {
    Outcome::Refused(vec![Finding { path: None, message: message.into() }])
}

fn ready<'a, T: Send + 'a>(answer: Result<T, Trouble>) -> Answer<'a, T> {
    Box::pin(async { answer })
}

impl Desk for FakeDesk {
    fn notices(&self) -> Notices {
        self.notices.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
    fn confirm_clock(&self) {
        self.notices.lock().unwrap_or_else(PoisonError::into_inner).clock = None;
    }
    fn procedures(&self, ask: ListAsk) -> Answer<'_, ProcedureList> {
        ready(Ok(self.lock().procedure.list(&ask)))
    }
    fn create_procedure<'a>(
        &'a self,
        start: &'a str,
        number: &'a str,
        _who: &'a str,
    ) -> Answer<'a, Entered<String>> {
        if start != "coupon-0228" {
            return ready(Err(Trouble::Absent));
        }
        let taken = about("number", number == procedures::NUMBER, format!("number: {number} is taken"));
        ready(Ok(match taken {
            Some(finding) => Entered::Refused(vec![finding]),
            None => Entered::Kept(number.to_owned()),
        }))
    }
    fn procedure<'a>(&'a self, number: &'a str, code: &'a str) -> Answer<'a, ProcedureView> {
        let known = number == procedures::NUMBER;
        ready(if known { Ok(self.lock().procedure.view(code)) } else { Err(Trouble::Absent) })
    }
    fn change_procedure<'a>(
        &'a self,
        number: &'a str,
        change: ProcedureChange<'a>,
    ) -> Answer<'a, ProcedureOutcome> {
        let known = number == procedures::NUMBER;
        ready(if known { Ok(self.lock().procedure.change(&change)) } else { Err(Trouble::Absent) })
    }
    fn undo_procedure<'a>(
        &'a self,
        _number: &'a str,
        _version: u64,
        _who: &'a str,
    ) -> Answer<'a, ProcedureOutcome> {
        ready(Ok(self.lock().procedure.undo()))
    }
    fn ask_procedure<'a>(&'a self, number: &'a str, ask: ProcedureAsk) -> Answer<'a, ProcedureAskView> {
        let known = number == procedures::NUMBER;
        ready(if known { Ok(procedures::asked(&ask)) } else { Err(Trouble::Absent) })
    }
    fn procedure_file<'a>(&'a self, number: &'a str, part: &'a str) -> Answer<'a, Download> {
        if number != procedures::NUMBER || !["procedure", "record"].contains(&part) {
            return ready(Err(Trouble::Absent));
        }
        ready(Ok(Download {
            content_type: "application/toml".into(),
            file_name: format!("{part}-{number}.toml"),
            bytes: b"number = \"WP-3\"".to_vec(),
        }))
    }
    fn coupons(&self, ask: ListAsk) -> Answer<'_, Listed<CouponRow>> {
        let mut rows = sample::coupons();
        let pattern = rows[0].clone();
        let more =
            (0..self.more_coupons).map(|n| CouponRow { number: format!("9{n:03}"), ..pattern.clone() });
        rows.extend(more);
        rows.retain(|row| ask.finds(&[&row.number, &row.title, &row.welder]));
        ready(Ok(Listed::of(rows, &ask)))
    }
    fn templates(&self) -> Answer<'_, Vec<Template>> {
        let template = |id: &str, title: &str| Template { id: id.into(), title: title.into() };
        ready(Ok(vec![template("blank", "a blank sheet"), template("plate", "open-root plate, 3G")]))
    }
    fn welders(&self, ask: ListAsk) -> Answer<'_, Listed<WelderRow>> {
        let mut rows = self.lock().welders.clone();
        rows.retain(|row| ask.finds(&[&row.name]));
        ready(Ok(Listed::of(rows, &ask)))
    }
    fn unlisted<'a>(&'a self, find: &'a str) -> Answer<'a, Vec<String>> {
        let ask = ListAsk { find: find.into(), page: None };
        let welders = &self.lock().welders;
        let mut names: Vec<String> = sample::coupons().into_iter().map(|row| row.welder).collect();
        names.retain(|name| !welders.iter().any(|row| row.name == *name) && ask.finds(&[name]));
        names.sort();
        names.dedup();
        ready(Ok(names))
    }
    fn welder_names(&self) -> Answer<'_, Vec<String>> {
        ready(Ok(self.lock().welders.iter().map(|row| row.name.clone()).collect()))
    }
    fn add_welder<'a>(&'a self, welder: NewWelder<'a>, _who: &'a str) -> Answer<'a, Entered<String>> {
        let mut state = self.lock();
        let (name, stamp) = (welder.name.trim(), welder.stamp.trim());
        let is_taken = state.welders.iter().any(|row| row.name.to_lowercase() == name.to_lowercase());
        let findings: Vec<Finding> = [
            about("name", name.is_empty(), "name: nothing typed; enter 1 to 80 characters".into()),
            about("name", is_taken, format!("name: {name} is on the list already")),
            about("stamp", stamp.len() > 8, format!("stamp: {stamp} is too long; enter up to 8")),
        ]
        .into_iter()
        .flatten()
        .collect();
        if !findings.is_empty() {
            return ready(Ok(Entered::Refused(findings)));
        }
        let id = format!("w{}", state.welders.len() + 1);
        state.stamps.push((id.clone(), stamp.into()));
        state.welders.push(WelderRow { id: id.clone(), name: name.into(), standings: Vec::new() });
        ready(Ok(Entered::Kept(id)))
    }
    fn log_use<'a>(&'a self, id: &'a str, used: NewUse<'a>, _who: &'a str) -> Answer<'a, Entered<()>> {
        let mut state = self.lock();
        if !state.welders.iter().any(|row| row.id == id) {
            return ready(Err(Trouble::Absent));
        }
        let date = used.date;
        let is_known = use_choices().processes.iter().any(|process| process == used.process);
        let findings: Vec<Finding> = [
            about("date", date.len() != 10 || date > TODAY, format!("date: {date} is not up to {TODAY}")),
            about("process", !is_known, format!("process: {} is not one of GMAW, FCAW, SMAW", used.process)),
            about("evidence", used.evidence.trim().is_empty(), "proof: nothing typed".into()),
        ]
        .into_iter()
        .flatten()
        .collect();
        if !findings.is_empty() {
            return ready(Ok(Entered::Refused(findings)));
        }
        let value = format!("{} {}: {}", used.process, used.transfer, used.evidence);
        state.uses.push((id.into(), shop_log(date, value)));
        ready(Ok(Entered::Kept(())))
    }
    fn welder_ask<'a>(&'a self, id: &'a str, ask: JointAsk) -> Answer<'a, JointAskView> {
        let state = self.lock();
        let row = state.welders.iter().find(|row| row.id == id);
        ready(row.map(|row| people::asked(&row.name, &ask)).ok_or(Trouble::Absent))
    }
    fn welder<'a>(&'a self, id: &'a str, on: Option<&'a str>) -> Answer<'a, WelderDetail> {
        let state = self.lock();
        let Some(row) = state.welders.iter().find(|row| row.id == id).cloned() else {
            return ready(Err(Trouble::Absent));
        };
        let is_new = !sample::welders().iter().any(|row| row.id == id);
        let known = shop_log("short-circuit, last used", "3 March, coupon 0228".into());
        let logged = state.uses.iter().filter(|(of, _)| of == id).map(|(_, line)| line.clone());
        let standing = if is_new { Vec::new() } else { sample::sheet().standing };
        ready(Ok(WelderDetail {
            row,
            stamp: state.stamps.iter().find(|(of, _)| of == id).map_or(String::new(), |(_, s)| s.clone()),
            days: people::days(&standing, on),
            standing,
            continuity: (!is_new).then_some(known).into_iter().chain(logged).collect(),
            coupons: if is_new { Vec::new() } else { sample::coupons() },
            history: vec![entry(3, "Marta Quill", "coupon 0228 accepted")],
            use_choices: use_choices(),
        }))
    }
    fn sheet<'a>(&'a self, number: &'a str) -> Answer<'a, Opened> {
        let state = self.lock();
        ready(if number == NUMBER { Ok(state.opened()) } else { Err(Trouble::Absent) })
    }
    fn history<'a>(&'a self, number: &'a str, ask: ListAsk) -> Answer<'a, Listed<HistoryEntry>> {
        let entries = self.lock().history.clone();
        ready(if number == NUMBER { Ok(Listed::of(entries, &ask)) } else { Err(Trouble::Absent) })
    }
    fn preview<'a>(&'a self, number: &'a str, changes: Vec<Change>) -> Answer<'a, Sheet> {
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        let mut sheet = self.lock().sheet.clone();
        for (path, text) in changes {
            // A preview shows what it can of a half-typed value.
            let _ = set(&mut sheet, &path, text.as_deref().unwrap_or_default());
        }
        ready(Ok(sheet))
    }
    fn change<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'a>,
    ) -> Answer<'a, Outcome> {
        let Hand { who, token, .. } = hand;
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        let mut state = self.lock();
        if state.tokens.iter().any(|known| known == token) {
            return ready(Ok(Outcome::Saved(Box::new(state.opened()))));
        }
        if let Some(conflict) = state.conflict(version) {
            return ready(Ok(conflict));
        }
        let touches_fit = changes.iter().any(|(path, _)| path.starts_with("fit."));
        if let Some(asked) = state.why_asked(touches_fit, hand) {
            return ready(Ok(asked));
        }
        let mut sheet = state.sheet.clone();
        let mut findings = Vec::new();
        let mut words = Vec::new();
        for (path, text) in &changes {
            let text = text.as_deref().unwrap_or_default();
            findings.extend(set(&mut sheet, path, text).err());
            words.push(format!("{path} set to {text}"));
        }
        if !findings.is_empty() {
            return ready(Ok(Outcome::Refused(findings)));
        }
        state.tokens.push(token.to_owned());
        ready(Ok(state.keep(sheet, who, &words.join(", "))))
    }
    fn row<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        kind: RowKind,
        action: RowAction,
        hand: Hand<'a>,
    ) -> Answer<'a, Outcome> {
        let Hand { who, token, .. } = hand;
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        let mut state = self.lock();
        if state.tokens.iter().any(|known| known == token) {
            return ready(Ok(Outcome::Saved(Box::new(state.opened()))));
        }
        if let Some(conflict) = state.conflict(version) {
            return ready(Ok(conflict));
        }
        if let Some(asked) = state.why_asked(kind == RowKind::Pass, hand) {
            return ready(Ok(asked));
        }
        let mut sheet = state.sheet.clone();
        let outcome = match row(&mut sheet, &kind, &action) {
            Some(()) => {
                state.tokens.push(token.to_owned());
                state.keep(sheet, who, &format!("{kind:?} {action:?}"))
            }
            None => refused("there is no such row"),
        };
        ready(Ok(outcome))
    }
    fn stamp<'a>(&'a self, number: &'a str, version: u64, hand: Hand<'a>) -> Answer<'a, Outcome> {
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        let mut state = self.lock();
        if let Some(conflict) = state.conflict(version) {
            return ready(Ok(conflict));
        }
        let [word, code, at] = ["accept", "invented code 2031", "14 April, 10:12"].map(str::to_owned);
        let stamp = Some(Stamped { word, code, version, at, who: hand.who.to_owned() });
        state.judgement = Judgement { stamp, amended: None };
        let sheet = state.sheet.clone();
        ready(Ok(state.keep(sheet, hand.who, "verdict stamped: accept")))
    }
    fn undo<'a>(&'a self, number: &'a str, version: u64, hand: Hand<'a>) -> Answer<'a, Outcome> {
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        let mut state = self.lock();
        if let Some(conflict) = state.conflict(version) {
            return ready(Ok(conflict));
        }
        if let Some(asked) = state.why_asked(true, hand) {
            return ready(Ok(asked));
        }
        let outcome = match state.before.pop() {
            Some(sheet) => {
                let outcome = state.keep(sheet, hand.who, "took back the latest change");
                state.before.pop();
                outcome
            }
            None => refused("there is nothing to take back"),
        };
        ready(Ok(outcome))
    }
    fn create<'a>(&'a self, template: &'a str, _who: &'a str, token: &'a str) -> Answer<'a, String> {
        self.lock().tokens.push(token.to_owned());
        ready(if template == "blank" || template == "plate" {
            Ok(NUMBER.into())
        } else {
            Err(Trouble::Absent)
        })
    }
    fn download<'a>(&'a self, number: &'a str, kind: FileKind) -> Answer<'a, Download> {
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        if kind == FileKind::Toml {
            return ready(Err(Trouble::Broken("The disk is full: nothing was written.".into())));
        }
        ready(Ok(Download {
            content_type: "application/pdf".into(),
            file_name: format!("{number}\"\r\n.{}", kind.slug()),
            bytes: b"%PDF-1.7".to_vec(),
        }))
    }
    fn section<'a>(&'a self, number: &'a str, ask: SectionAsk) -> Answer<'a, Section> {
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        // A bead that is not in the plan stands for a coupon that cannot be solved.
        if ask.bead > section::BEADS {
            return ready(Ok(Err(vec!["no section is solved for <SMAW>".into()])));
        }
        ready(Ok(Ok(Box::new(section::view(&ask)))))
    }
    fn film<'a>(&'a self, number: &'a str, ask: SectionAsk) -> Answer<'a, FilmFrame> {
        ready(if number == NUMBER { Ok(section::view(&ask).film) } else { Err(Trouble::Absent) })
    }
    fn section_file<'a>(
        &'a self,
        number: &'a str,
        kind: SectionFile,
        ask: SectionAsk,
    ) -> Answer<'a, Download> {
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        ready(Ok(Download {
            content_type: "application/json".into(),
            file_name: format!("section-{number}.{}", kind.slug()),
            bytes: format!("{{\"bead\":{},\"places\":{}}}", ask.bead, ask.places_mm.len()).into_bytes(),
        }))
    }
    fn window<'a>(&'a self, number: &'a str, ask: WindowAsk) -> Answer<'a, WindowOpened> {
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        let state = self.lock();
        // An input that is not there stands for a coupon without a forecast.
        let is_known = !ask.x.starts_with("pass.");
        ready(Ok(WindowOpened {
            version: state.version,
            can_undo: !state.before.is_empty(),
            window: match is_known {
                true => Ok(Box::new(window::view(&state.sheet, &ask))),
                false => Err(vec!["no forecast for <SMAW>".into()]),
            },
        }))
    }
    fn window_place<'a>(
        &'a self,
        number: &'a str,
        _ask: WindowAsk,
        at: [f64; 2],
    ) -> Answer<'a, Result<WindowPlace, Vec<String>>> {
        let texts = at.map(|v| format!("{v} in"));
        ready(if number == NUMBER { Ok(Ok(window::place(at, texts))) } else { Err(Trouble::Absent) })
    }
    fn window_set<'a>(
        &'a self,
        number: &'a str,
        version: u64,
        changes: Vec<Change>,
        hand: Hand<'a>,
    ) -> Answer<'a, Outcome> {
        self.change(number, version, changes, hand)
    }
    fn window_chance<'a>(&'a self, number: &'a str) -> Answer<'a, Result<ChanceView, Vec<String>>> {
        ready(if number == NUMBER { Ok(Ok(window::chance())) } else { Err(Trouble::Absent) })
    }
    fn window_file<'a>(&'a self, number: &'a str, kind: WindowFile, ask: WindowAsk) -> Answer<'a, Download> {
        if number != NUMBER {
            return ready(Err(Trouble::Absent));
        }
        ready(Ok(Download {
            content_type: "application/json".into(),
            file_name: format!("window-{number}.{}", kind.slug()),
            bytes: format!("{{\"x\":\"{}\",\"root\":{}}}", ask.x, ask.root_only).into_bytes(),
        }))
    }
    fn codes<'a>(&'a self, number: &'a str) -> Answer<'a, Codes> {
        ready(if number == NUMBER { Ok(Ok(Box::new(codes::under_codes()))) } else { Err(Trouble::Absent) })
    }
    fn finder(&self, ask: FinderAsk) -> Answer<'_, FinderView> {
        ready(Ok(codes::found(&ask)))
    }
    fn records<'a>(&'a self, of: RecordOf, number: &'a str) -> Answer<'a, RecordsView> {
        let view = records::view(of);
        ready(if number == view.number { Ok(view) } else { Err(Trouble::Absent) })
    }
    fn issue<'a>(&'a self, ask: IssueAsk<'a>) -> Answer<'a, Entered<String>> {
        ready(Ok(records::issued(ask)))
    }
    fn record_file<'a>(&'a self, id: &'a str, revision: u32, kind: RecordFile) -> Answer<'a, Download> {
        ready(records::file(id, revision, kind))
    }
    fn record<'a>(&'a self, welder: &'a str, _coupon: Option<&'a str>, paper: Paper) -> Answer<'a, Download> {
        self.download(if welder == "odile" { NUMBER } else { "" }, FileKind::Pdf(paper))
    }
    fn explain<'a>(&'a self, rule: &'a str, code: Option<&'a str>) -> Answer<'a, RuleView> {
        let view = RuleView {
            id: rule.into(),
            title: "opening too long on a bent face".into(),
            clause: format!("invented code {}, clause 4.2", code.unwrap_or("2031")),
            words: vec!["No single opening on the convex face may be longer than the limit, measured in any direction.".into()],
            limits: vec![("single opening, inch".into(), "1/8 in".into()), ("single opening, metric".into(), "3 mm".into())],
            provenance: Provenance { source: "invented for the tests".into(), basis: "choice".into(), rule: None },
            cases: vec![RuleCase { given: "one opening of 1/16 in".into(), expected: "accept".into() }],
            editions: vec![
                RuleEdition { title: "invented code 2029".into(), code: Some("2029".into()), differs: vec!["clause: 3.9".into()] },
                RuleEdition { title: "Test bay, this shop".into(), code: None, differs: vec![] },
            ],
        };
        ready(if rule == "invented.bend.single" { Ok(view) } else { Err(Trouble::Absent) })
    }
    fn about(&self) -> Answer<'_, About> {
        ready(Ok(About {
            versions: vec![("program".into(), "0.1.0".into()), ("rules".into(), "2031-04".into())],
        }))
    }
}
