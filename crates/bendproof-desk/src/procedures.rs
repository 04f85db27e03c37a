//! The procedures of the shop: kept like coupons, entered from an accepted
//! coupon or an example, and held to the codes by the traveler.

use bendproof_bench::desk::*;
use bendproof_codes::catalogue::Code;
use bendproof_codes::words::RuleKind;
use bendproof_files::{Spec, character_fault, check_field};
use bendproof_shop::{By, Edit, ShopError, Subject, Summary};
use bendproof_traveler::context::{AssessmentContext, known};
use bendproof_traveler::library::{
    LIBRARY_PARTS, Texts, library_field, library_joint, library_joints, library_of_coupon, library_of_files,
    library_part, library_report,
};
use bendproof_traveler::sheet::Mark;
use bendproof_traveler::welder::held;
use bendproof_weld::words::spoken;

use super::judged::Judged;
use super::procedure_view::{ASKED_MOST, answered, inside, one_box, report_view};
use super::words::{history_entries, moment};
use super::{ShopDesk, computing, trouble};
use bendproof_contract as contract;
use jiff::civil::Date;

/// Revisions shown under a procedure.
const HISTORY_SHOWN: usize = 40;
/// Longest number, in characters; as in the procedure file.
const NUMBER_CHARS_MAX: usize = 24;
/// Longest reason of a change, in characters. Basis: choice, two lines.
const WHY_CHARS_MAX: usize = 200;
/// Accepted coupons a new procedure may be picked from; an older one is named by
/// its number. Basis: choice, as many as a list to pick from bears.
const STARTS_MAX: usize = 40;
/// Start of the id of a coupon among the starts.
const COUPON_START: &str = "coupon-";
const EXAMPLE: &str = "example";
const EXAMPLE_FILES: [&str; 2] = [
    include_str!("../../../examples/procedure.toml"),
    include_str!("../../../examples/procedure-record.toml"),
];
/// Paths of a procedure's title.
const TITLE: [&str; 4] =
    ["procedure.process", "procedure.transfer.1", "procedure.joint_kind", "procedure.position.1"];

/// A code by its id, where it has rules for procedures.
fn code_of(id: &str, context: AssessmentContext) -> Option<&'static Code> {
    procedure_codes(context).into_iter().find(|code| code.id == id)
}

fn procedure_codes(context: AssessmentContext) -> Vec<&'static Code> {
    let all = context.codes().unwrap_or_default();
    all.into_iter().filter(|code| code.rules.iter().any(|r| r.kind == RuleKind::Variable)).collect()
}

fn code_choices(context: AssessmentContext) -> Vec<(String, String)> {
    procedure_codes(context).into_iter().map(|code| (code.id.clone(), code.full_title())).collect()
}

fn title_of(texts: &Texts) -> String {
    let said: Vec<String> =
        TITLE.iter().filter_map(|path| texts.get(*path)).map(|word| spoken(word)).collect();
    if said.is_empty() { "nothing written yet".to_owned() } else { said.join(", ") }
}

fn finding(f: bendproof_files::Finding) -> Finding {
    Finding { path: (!f.path.is_empty()).then_some(f.path), message: f.message }
}

fn wrong(path: &str, message: String) -> Finding {
    Finding { path: Some(path.to_owned()), message }
}

impl ShopDesk {
    pub(super) async fn procedure_list(&self, ask: ListAsk) -> Result<ProcedureList, Trouble> {
        let mut kept = self.shop.list(Subject::Procedure, &TITLE).await.map_err(trouble)?;
        kept.retain(|one| ask.finds(&[&one.id, &title_of(&one.values)]));
        kept.sort_by(|a, b| a.id.cmp(&b.id));
        let (page, lines) = ask.lines(kept.len());
        let context = self.context();
        let mut rows = Vec::with_capacity(lines.len());
        for one in &kept[lines] {
            let whole = self.shop.document(Subject::Procedure, &one.id).await.map_err(trouble)?;
            rows.push(computing(move || procedure_row(&whole, context)).await?);
        }
        let listed = Listed { rows, found: kept.len(), page };
        Ok(ProcedureList { listed, starts: self.procedure_starts().await? })
    }

    /// The latest accepted coupons, newest first, then the example.
    async fn procedure_starts(&self) -> Result<Vec<Template>, Trouble> {
        let ledger = self.ledger().await?;
        let mut starts = Vec::new();
        for coupon in ledger.newest_first() {
            if starts.len() == STARTS_MAX {
                break;
            }
            let row = self.coupon_row(coupon).await?;
            // A good forecast is no acceptance.
            if row.stage == "judged" && row.mark == Mark::Holds {
                starts.push(Template {
                    id: format!("{COUPON_START}{}", row.number),
                    title: format!("coupon {}, {}", row.number, row.title),
                });
            }
        }
        starts.push(Template { id: EXAMPLE.to_owned(), title: "an example procedure".to_owned() });
        Ok(starts)
    }

    pub(super) async fn procedure_created(
        &self,
        start: &str,
        number: &str,
        who: &str,
    ) -> Result<Entered<String>, Trouble> {
        let number = number.trim();
        if let Some(message) = number_fault(number) {
            return Ok(Entered::Refused(vec![wrong("number", message)]));
        }
        let mut texts = match self.start_texts(start, number).await? {
            Ok(texts) => texts,
            Err(findings) => return Ok(Entered::Refused(findings)),
        };
        texts.insert("procedure.number".to_owned(), number.to_owned());
        let edits: Vec<Edit> = texts.iter().map(|(path, text)| Edit::set(path, text)).collect();
        let note = format!("entered from {}", start.replace('-', " "));
        let by = By::new(who, self.saving()?).note(&note);
        match self.shop.create(Subject::Procedure, number, &edits, &by).await {
            Ok(_) => Ok(Entered::Kept(number.to_owned())),
            Err(ShopError::AlreadyExists { .. }) => {
                let message = format!("number: {number} is already used; enter another number");
                Ok(Entered::Refused(vec![wrong("number", message)]))
            }
            Err(other) => Err(trouble(other)),
        }
    }

    async fn start_texts(&self, start: &str, number: &str) -> Result<Result<Texts, Vec<Finding>>, Trouble> {
        let Some(coupon) = start.strip_prefix(COUPON_START) else {
            let [procedure, record] = EXAMPLE_FILES;
            let known = start == EXAMPLE;
            return if known { Ok(Ok(library_of_files(procedure, record))) } else { Err(Trouble::Absent) };
        };
        let Judged { document, judgement, now, .. } = match self.judged(coupon).await {
            Ok(judged) => judged,
            Err(Trouble::Absent) => {
                let message =
                    format!("start: there is no coupon {coupon}; enter the number of a saved coupon");
                return Ok(Err(vec![wrong("start", message)]));
            }
            Err(other) => return Err(other),
        };
        let (coupon, number, context) = (coupon.to_owned(), number.to_owned(), self.context());
        computing(move || {
            if held(&coupon, &document, &[], context).is_none() {
                let message = format!(
                    "start: coupon {coupon} is not accepted, and only an accepted one can stand behind a \
                     procedure; pick another"
                );
                return Err(vec![wrong("start", message)]);
            }
            if let Some(doubt) = judgement.doubt(now.as_ref()) {
                return Err(vec![wrong("start", format!("start: coupon {coupon}: {doubt}"))]);
            }
            library_of_coupon(&document, &number, context)
                .map_err(|all| all.into_iter().map(finding).collect())
        })
        .await
    }

    pub(super) async fn procedure_shown(&self, number: &str, code: &str) -> Result<ProcedureView, Trouble> {
        let kept = self.shop.document(Subject::Procedure, number).await.map_err(trouble)?;
        let events = self.shop.latest(Subject::Procedure, number, HISTORY_SHOWN).await.map_err(trouble)?;
        let history = history_entries(&events, HISTORY_SHOWN);
        let can_undo = self.shop.can_undo(Subject::Procedure, number).await.map_err(trouble)?;
        let (code, context) = (code.to_owned(), self.context());
        computing(move || view_of(kept, &code, history, can_undo, context)).await
    }

    pub(super) async fn procedure_changed(
        &self,
        number: &str,
        change: ProcedureChange<'_>,
    ) -> Result<ProcedureOutcome, Trouble> {
        // A procedure that is not there is reported before what is wrong with it.
        let kept = self.shop.document(Subject::Procedure, number).await.map_err(trouble)?;
        if change.changes.is_empty() {
            return Ok(ProcedureOutcome::Saved);
        }
        let mut refused = change_faults(&change, self.clock.today());
        refused.extend(joint_faults(&kept.values, &change.changes));
        if !refused.is_empty() {
            return Ok(ProcedureOutcome::Refused(refused));
        }
        let edits: Vec<Edit> = change
            .changes
            .iter()
            .map(|(path, text)| match text.as_deref().map(str::trim).filter(|text| !text.is_empty()) {
                Some(text) => Edit::set(path, text),
                None => Edit::clear(path),
            })
            .collect();
        let by = By::new(change.who, self.saving()?).note(change.why);
        let by = if change.token.is_empty() { by } else { by.token(change.token) };
        let version = i64::try_from(change.version).unwrap_or(i64::MAX);
        outcome(self.shop.change(Subject::Procedure, &kept.id, version, &edits, &by).await)
    }

    pub(super) async fn procedure_undone(
        &self,
        number: &str,
        version: u64,
        who: &str,
    ) -> Result<ProcedureOutcome, Trouble> {
        let version = i64::try_from(version).unwrap_or(i64::MAX);
        outcome(self.shop.undo(Subject::Procedure, number, version, &By::new(who, self.saving()?)).await)
    }

    pub(super) async fn procedure_asked(
        &self,
        number: &str,
        ask: ProcedureAsk,
    ) -> Result<ProcedureAskView, Trouble> {
        let kept = self.shop.document(Subject::Procedure, number).await.map_err(trouble)?;
        let context = self.context();
        computing(move || ask_view(&kept.values, &ask, context)).await
    }

    pub(super) async fn procedure_part(&self, number: &str, part: &str) -> Result<Download, Trouble> {
        let (slug, kind) =
            LIBRARY_PARTS.into_iter().find(|(slug, _)| *slug == part).ok_or(Trouble::Absent)?;
        let kept = self.shop.document(Subject::Procedure, number).await.map_err(trouble)?;
        Ok(Download {
            content_type: "application/toml; charset=utf-8".to_owned(),
            file_name: format!("{slug}-{number}.toml"),
            bytes: library_part(&kept.values, slug).to_toml(kind).into_bytes(),
        })
    }
}

fn procedure_row(kept: &Summary, context: AssessmentContext) -> ProcedureRow {
    let report = library_report(&kept.values, None, &[], context);
    let (mark, answer) = match report.as_ref().map(|r| r.supported.as_ref().or(r.prequalified.as_ref())) {
        Ok(Some(allowance)) => answered(allowance.answer),
        Ok(None) => (Mark::NotKnown, "no record".to_owned()),
        Err(_) => (Mark::NotKnown, "cannot be read".to_owned()),
    };
    ProcedureRow {
        number: kept.id.clone(),
        title: title_of(&kept.values),
        code: kept.values.get("procedure.code").cloned().unwrap_or_default(),
        mark,
        answer,
        changed: moment(kept.changed_at_ms),
    }
}

fn view_of(
    kept: bendproof_shop::Document,
    code: &str,
    history: Vec<HistoryEntry>,
    can_undo: bool,
    context: AssessmentContext,
) -> ProcedureView {
    let own = kept.values.get("procedure.code").map(String::as_str).unwrap_or_default();
    let code = if code.is_empty() { own } else { code };
    let report = match code_of(code, context) {
        Some(code) => library_report(&kept.values, Some(code), &[], context),
        None => {
            let message = format!("code: {code:?} has no rules for procedures here; pick one from the list");
            Err(vec![bendproof_files::Finding::error("", message)])
        }
    };
    let report: Result<_, Vec<Finding>> = report.map_err(|all| all.into_iter().map(finding).collect());
    let data = serde_json::json!({
        "number": kept.id,
        "version": kept.version,
        "code": code,
        "values": kept.values,
        "report": report.as_ref().ok().map(contract::procedure),
        "findings": report.as_ref().err(),
        "revisions": history,
    });
    ProcedureView {
        title: title_of(&kept.values),
        version: u64::try_from(kept.version).unwrap_or(0),
        can_undo,
        parts: LIBRARY_PARTS.iter().map(|(slug, kind)| part_of(slug, kind.specs, &kept.values)).collect(),
        code: code.to_owned(),
        codes: code_choices(context),
        report: report.map(|report| Box::new(report_view(&report))),
        joint: library_joint(&kept.values, context),
        history,
        data,
        number: kept.id,
    }
}

/// The fields of one part; a list has a box for each row and one more.
fn part_of(slug: &str, specs: &'static [Spec], texts: &Texts) -> ProcedurePart {
    let document = library_part(texts, slug);
    let joints = joints_of(slug, specs, &document);
    let mut part = ProcedurePart { slug: slug.to_owned(), written: Vec::new(), empty: Vec::new(), joints };
    for spec in specs.iter().filter(|spec| !spec.path.starts_with(JOINT)) {
        let rows = match spec.path.split_once(".#") {
            None => vec![spec.path.to_owned()],
            Some((list, rest)) => {
                let rows = document.rows(list);
                let next = rows.last().map_or(1, |last| last + 1);
                rows.into_iter().chain([next]).map(|row| format!("{list}.{row}{rest}")).collect()
            }
        };
        for path in rows {
            let made = one_box(spec, &format!("{slug}.{path}"), document.get(&path).unwrap_or_default());
            let to = if made.text.is_empty() { &mut part.empty } else { &mut part.written };
            to.push(made);
        }
    }
    part
}

/// Start of the fields of a joint in the catalogue.
const JOINT: &str = "joint.#.";

/// The joints of a part, and one more to add where it may have any.
fn joints_of(slug: &str, specs: &'static [Spec], document: &bendproof_files::Document) -> Vec<JointBoxes> {
    let fields: Vec<(&Spec, &str)> =
        specs.iter().filter_map(|spec| Some((spec, spec.path.strip_prefix(JOINT)?))).collect();
    let rows = document.rows("joint");
    let next = (!fields.is_empty()).then(|| rows.last().map_or(1, |last| last + 1));
    let joint = |row: usize, is_new: bool| {
        let branch = format!("{slug}.joint.{row}");
        let text = |name: &str| document.get(&format!("joint.{row}.{name}")).unwrap_or_default();
        let made =
            fields.iter().map(|(spec, name)| (*name, one_box(spec, &format!("{branch}.{name}"), text(name))));
        let is_shown = |name: &str, b: &FinderBox| match is_new {
            true => ASKED_MOST.contains(&name),
            false => !b.text.is_empty(),
        };
        let (shown, folded): (Vec<_>, Vec<_>) = made.partition(|(name, b)| is_shown(name, b));
        let name = match text("name") {
            "" => format!("joint {row}"),
            said => said.to_owned(),
        };
        let boxes = |all: Vec<(&str, FinderBox)>| all.into_iter().map(|(_, b)| b).collect();
        JointBoxes { branch, name: (!is_new).then_some(name), shown: boxes(shown), folded: boxes(folded) }
    };
    rows.iter().map(|row| joint(*row, false)).chain(next.map(|row| joint(row, true))).collect()
}

fn number_fault(number: &str) -> Option<String> {
    let count = number.chars().count();
    let is_plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    let odd = number.chars().find(|c| !is_plain(*c));
    let what = match odd {
        Some(' ') => "holds a space".to_owned(),
        Some(odd) => format!("holds {odd:?}"),
        None if count == 0 || count > NUMBER_CHARS_MAX => format!("has {count} characters"),
        None => return None,
    };
    Some(format!(
        "number: {number:?} {what}; enter 1 to {NUMBER_CHARS_MAX} letters, digits, - and _; for example WP-12"
    ))
}

/// What keeps a change from being kept, box by box.
fn change_faults(change: &ProcedureChange<'_>, today: Date) -> Vec<Finding> {
    let mut out = Vec::new();
    for (path, text) in &change.changes {
        let Some(text) = text.as_deref().map(str::trim).filter(|text| !text.is_empty()) else { continue };
        let checked = match library_field(path) {
            Some((kind, own)) => check_field(kind, own, text, &known(Some(today))).map_err(|f| f.message),
            None => Err(format!("`{path}` is not a field of a procedure; see the boxes of its page")),
        };
        out.extend(checked.err().map(|message| wrong(path, message)));
    }
    if change.changes.iter().any(|(path, _)| path == "procedure.number") {
        let message = "number: a procedure keeps the number it was entered under; enter another procedure";
        out.push(wrong("procedure.number", message.to_owned()));
    }
    let count = change.why.chars().count();
    let fault = character_fault(change.why)
        .or_else(|| (count == 0 || count > WHY_CHARS_MAX).then(|| format!("has {count} characters")));
    if let Some(fault) = fault {
        let message =
            format!("reason {fault}; enter 1 to {WHY_CHARS_MAX} on one line: why the procedure changes");
        out.push(wrong("why", message));
    }
    out
}

/// A joint that would stand there without its kind: nothing could be said of it,
/// nor of the procedure it stands in.
fn joint_faults(kept: &Texts, changes: &[Change]) -> Vec<Finding> {
    let mut after = kept.clone();
    for (path, text) in changes {
        match text.as_deref().map(str::trim).filter(|text| !text.is_empty()) {
            Some(text) => after.insert(path.clone(), text.to_owned()),
            None => after.remove(path),
        };
    }
    let document = library_part(&after, "procedure");
    let rows =
        document.rows("joint").into_iter().filter(|row| document.get(&format!("joint.{row}.kind")).is_none());
    let fault = |row: usize| {
        let message = "kind: missing for this joint; pick plate groove, pipe groove or fillet";
        wrong(&format!("procedure.joint.{row}.kind"), message.to_owned())
    };
    rows.map(fault).collect()
}

fn outcome(kept: Result<bendproof_shop::Document, ShopError>) -> Result<ProcedureOutcome, Trouble> {
    match kept {
        Ok(_) => Ok(ProcedureOutcome::Saved),
        Err(ShopError::Conflict { since, .. }) => {
            Ok(ProcedureOutcome::Conflict(history_entries(&since, HISTORY_SHOWN)))
        }
        Err(
            why @ (ShopError::OutOfRange { .. }
            | ShopError::DuplicatePath { .. }
            | ShopError::NothingToUndo { .. }
            | ShopError::TokenReused { .. }
            | ShopError::UnknownVersion { .. }),
        ) => Ok(ProcedureOutcome::Refused(vec![Finding { path: None, message: why.to_string() }])),
        Err(other) => Err(trouble(other)),
    }
}

fn ask_view(texts: &Texts, ask: &ProcedureAsk, context: AssessmentContext) -> ProcedureAskView {
    let asked: Texts = ask.boxes.iter().cloned().collect();
    let all = bendproof_files::PROCEDURE_JOINTS.specs.iter().map(|spec| {
        let path = spec.path.replace('#', "1");
        let text = asked.get(&path).cloned().unwrap_or_default();
        one_box(spec, &path, &text)
    });
    let (boxes, more) = all.partition(|b: &FinderBox| {
        b.path.strip_prefix("joint.1.").is_some_and(|name| ASKED_MOST.contains(&name))
    });
    let mut view = ProcedureAskView {
        boxes,
        more,
        codes: code_choices(context),
        findings: Vec::new(),
        answer: None,
        data: serde_json::json!({ "findings": [] }),
    };
    if !ask.is_asked {
        return view;
    }
    let code = code_of(&ask.code, context);
    if code.is_none() && !ask.code.is_empty() {
        let message =
            format!("code: {:?} has no rules for procedures here; pick one from the list", ask.code);
        view.findings.push(Finding { path: None, message });
    }
    let read =
        library_joints(asked, context.day).and_then(|joints| library_report(texts, code, &joints, context));
    match read {
        Ok(report) if view.findings.is_empty() => {
            let mut data = contract::procedure(&report);
            // The joint asked about stands behind those written into the procedure.
            let last = data["joints"].as_array_mut().and_then(Vec::pop);
            view.data = serde_json::json!({ "code": data["code"], "joint": last });
            view.answer = report.joints.last().map(|joint| inside(report.code, joint));
        }
        Ok(_) => view.data = serde_json::json!({ "findings": view.findings }),
        Err(all) => {
            view.findings.extend(all.into_iter().map(finding));
            view.data = serde_json::json!({ "findings": view.findings });
        }
    }
    view
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Standing;
    use bendproof_files::Document;
    use bendproof_shop::Shop;

    async fn desk() -> ShopDesk {
        let shop = Shop::open_in_memory().await.unwrap();
        crate::fill_with_demo(&shop, &*Standing::clock()).await.unwrap();
        ShopDesk::new(shop, None, Standing::clock())
    }

    fn change<'a>(version: u64, path: &str, text: &str, why: &'a str) -> ProcedureChange<'a> {
        let changes = vec![(path.to_owned(), Some(text.to_owned()))];
        ProcedureChange { version, changes, why, who: "Marta", token: "" }
    }

    #[test]
    fn a_number_is_refused_for_what_is_wrong_with_it() {
        for (number, what) in [
            ("WPS 3G-1/8", "holds a space; enter 1 to"),
            ("3G/8", "holds '/'; enter 1 to"),
            ("", "has 0 characters; enter 1 to"),
            (&"7".repeat(NUMBER_CHARS_MAX + 1), "has 25 characters; enter 1 to 24"),
        ] {
            let fault = number_fault(number).unwrap();
            assert!(fault.contains(what), "{fault}");
        }
        assert_eq!(number_fault("WP-12"), None);
    }

    #[tokio::test]
    async fn an_accepted_coupon_becomes_a_procedure_that_its_record_does_not_contradict() {
        let desk = desk().await;
        let list = desk.procedure_list(ListAsk::default()).await.unwrap();
        let start = list.starts.iter().find(|s| s.id.starts_with(COUPON_START)).unwrap();
        let entered = desk.procedure_created(&start.id, " WP-90 ", "Marta").await.unwrap();
        assert_eq!(entered, Entered::Kept("WP-90".to_owned()));
        let view = desk.procedure_shown("WP-90", "").await.unwrap();
        let report = view.report.unwrap();
        assert_ne!(report.supported.unwrap().mark, Mark::Fails);
        assert!(view.history[0].words.contains("entered from"), "{:?}", view.history);
        let again = desk.procedure_created(EXAMPLE, "WP-90", "Marta").await.unwrap();
        let Entered::Refused(findings) = again else { panic!("kept twice") };
        assert_eq!(findings[0].path.as_deref(), Some("number"));
        for number in ["", "a b", "../x", &"x".repeat(25)] {
            let entered = desk.procedure_created(EXAMPLE, number, "Marta").await.unwrap();
            assert!(matches!(entered, Entered::Refused(_)), "{number}");
        }
        let rejected = desk.procedure_created("coupon-0316", "WP-91", "Marta").await.unwrap();
        assert!(matches!(rejected, Entered::Refused(_)), "{rejected:?}");
    }

    #[tokio::test]
    async fn a_revision_has_its_reason_and_a_stale_one_is_a_conflict() {
        let desk = desk().await;
        desk.procedure_created(EXAMPLE, "WP-7", "Marta").await.unwrap();
        let kept = desk.procedure_changed("WP-7", change(1, "procedure.volts_max", "21 V", "new machine"));
        assert_eq!(kept.await.unwrap(), ProcedureOutcome::Saved);
        let view = desk.procedure_shown("WP-7", "").await.unwrap();
        assert_eq!(view.version, 2);
        let latest = &view.history[0];
        assert!(latest.words.contains("20 V to 21 V") && latest.words.contains("new machine"), "{latest:?}");
        let stale = desk.procedure_changed("WP-7", change(1, "procedure.volts_max", "22 V", "again"));
        assert!(matches!(stale.await.unwrap(), ProcedureOutcome::Conflict(since) if since.len() == 1));
        let undone = desk.procedure_undone("WP-7", 2, "Marta").await.unwrap();
        assert_eq!(undone, ProcedureOutcome::Saved);
        for (path, text, why) in [
            ("procedure.volts_max", "many", "x"),
            ("procedure.volts_max", "21 V", ""),
            ("procedure.number", "WP-8", "x"),
            ("title", "x", "x"),
        ] {
            let outcome = desk.procedure_changed("WP-7", change(3, path, text, why)).await.unwrap();
            let ProcedureOutcome::Refused(findings) = outcome else { panic!("{path} {text} was kept") };
            assert!(findings.iter().all(|f| f.path.is_some()), "{findings:?}");
        }
    }

    #[tokio::test]
    async fn a_joint_is_written_into_a_procedure_and_taken_out_again() {
        let desk = desk().await;
        let joints = async || desk.procedure_shown("WP-12", "").await.unwrap().parts[0].joints.clone();
        let before = joints().await;
        let new = before.last().unwrap();
        assert!(new.name.is_none() && new.shown.iter().all(|b| b.text.is_empty()), "{new:?}");
        let set = |name: &str, text: &str| (format!("{}.{name}", new.branch), Some(text.to_owned()));
        let version = async || desk.procedure_shown("WP-12", "").await.unwrap().version;
        let change = |version, changes| ProcedureChange {
            version,
            changes,
            why: "a bracket more",
            who: "Marta",
            token: "",
        };
        let kindless = desk.procedure_changed("WP-12", change(version().await, vec![set("name", "bracket")]));
        let ProcedureOutcome::Refused(findings) = kindless.await.unwrap() else { panic!("kept") };
        assert_eq!(findings[0].path, Some(format!("{}.kind", new.branch)));
        let whole = vec![set("name", "bracket"), set("kind", "fillet")];
        let kept = desk.procedure_changed("WP-12", change(version().await, whole)).await.unwrap();
        assert_eq!(kept, ProcedureOutcome::Saved);
        let after = joints().await;
        assert_eq!(after.len(), before.len() + 1);
        assert_eq!(after[before.len() - 1].name.as_deref(), Some("bracket"));
        let report = desk.procedure_shown("WP-12", "").await.unwrap().report.unwrap();
        assert!(report.joints.iter().any(|joint| joint.name == "bracket"));
        let out = ["name", "kind"].map(|name| (format!("{}.{name}", new.branch), None)).to_vec();
        desk.procedure_changed("WP-12", change(version().await, out)).await.unwrap();
        assert_eq!(joints().await, before);
    }

    #[tokio::test]
    async fn a_joint_is_inside_or_not_and_another_code_answers_for_itself() {
        let desk = desk().await;
        desk.procedure_created(EXAMPLE, "WP-7", "Marta").await.unwrap();
        let boxes = [("kind", "plate_groove"), ("process", "SMAW"), ("position", "V")]
            .map(|(name, text)| (format!("joint.1.{name}"), text.to_owned()));
        let ask = ProcedureAsk { boxes: boxes.to_vec(), code: String::new(), is_asked: true };
        let view = desk.procedure_asked("WP-7", ask.clone()).await.unwrap();
        let answer = view.answer.unwrap();
        assert_eq!((answer.mark, answer.words.as_str()), (Mark::Fails, "outside"));
        assert_eq!(view.data["joint"]["answer"], "outside");
        let wrong =
            desk.procedure_asked("WP-7", ProcedureAsk { code: "none".to_owned(), ..ask }).await.unwrap();
        assert!(wrong.answer.is_none() && !wrong.findings.is_empty());
        let other = desk.procedure_shown("WP-7", "asme-ix-2023").await.unwrap();
        assert_eq!(other.code, "asme-ix-2023");
        assert!(other.report.is_ok());
        let file = desk.procedure_part("WP-7", "record").await.unwrap();
        let (_, faults) = Document::from_toml(
            &bendproof_files::PROCEDURE_RECORD,
            std::str::from_utf8(&file.bytes).unwrap(),
        );
        assert!(faults.is_empty(), "{faults:?}");
        assert_eq!(desk.procedure_part("WP-7", "moon").await.unwrap_err(), Trouble::Absent);
    }
}
