//! The page that sets one coupon across the codes: the table, and under each
//! code what it asks, what it would give and what not, in words and as a chart.

use bendproof_codes::ahead::{LimitAhead, Neighbour};
use bendproof_codes::catalogue::{CatalogueError, Code, heads};
use bendproof_codes::held::{CoverAnswer, designation, renewal};
use bendproof_codes::judged::SpecimenDoubt;
use bendproof_drawing::{Frame, Theme, Words};
use bendproof_files::Document;

use super::across::{Across, UnderCode, across, under_codes};
use super::chart::{coverage_description, coverage_svg};
use crate::context::AssessmentContext;
use crate::drawn::Look;
use crate::sheet::{AheadLine, RuleWay, rule_ref};

/// A coupon under every code that qualifies welders.
#[derive(Debug, Clone, PartialEq)]
pub struct CodesView {
    /// The codes side by side.
    pub table: Across,
    /// What each code asks and gives, in the same order.
    pub codes: Vec<CodeAhead>,
}

/// What one code asks and gives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CodeAhead {
    /// Id, as `aws-d1.1-2020`.
    pub code: String,
    /// Title and edition.
    pub title: String,
    /// Why it covers nothing, where it does not.
    pub refused: Option<AheadLine>,
    /// Its coverage as a drawing; empty where it covers nothing.
    pub chart: String,
    /// Straps and jig, limits of what is looked at and bent.
    pub asks: Vec<AheadLine>,
    /// What it would cover.
    pub would: Vec<AheadLine>,
    /// What stays open.
    pub not_sure: Vec<AheadLine>,
    /// What it would not cover.
    pub would_not: Vec<AheadLine>,
    /// What keeps it, what a lapse costs, retests.
    pub later: Vec<AheadLine>,
    /// The line by which the code names such a test, or what is missing for it, in
    /// a sentence; `None` where it has no such line.
    pub designation: Option<String>,
}

/// The codes a coupon is set across where nobody names any: of each code that
/// qualifies welders the edition that stands whole, with the shop's limits.
///
/// # Errors
/// [`CatalogueError`] when the rule data does not load.
pub fn codes_across(context: impl Into<AssessmentContext>) -> Result<Vec<&'static Code>, CatalogueError> {
    let context = context.into();
    let whole = heads()?.iter().filter(|head| !head.only_judges && head.based_on.is_none());
    let codes: Result<Vec<&Code>, _> = whole.map(|head| context.named(&head.id)).collect();
    Ok(codes?.into_iter().filter(|code| code.qualifies_welders()).collect())
}

/// A coupon under every code of [`codes_across`], its own among them.
///
/// # Errors
/// What is wrong with the coupon, in sentences.
pub fn under_every_code(
    document: &Document,
    context: impl Into<AssessmentContext>,
) -> Result<Vec<UnderCode>, Vec<String>> {
    let context = context.into();
    let mut all = codes_across(context).map_err(|why| vec![why.to_string()])?;
    if let Some(own) = context.code_of(document).filter(|own| all.iter().all(|c| c.id != own.id)) {
        all.insert(0, own);
    }
    under_codes(document, &all, context).map_err(|findings| findings.into_iter().map(|f| f.message).collect())
}

/// The page of a coupon under these codes.
pub fn codes_view(under: &[UnderCode], look: Look) -> CodesView {
    let mut table = across(under);
    // Other programs ask for a rule by its id and name the code themselves; the
    // page follows each as that column's code has it.
    for row in &mut table.rows {
        for (cell, column) in row.cells.iter_mut().zip(&table.columns) {
            for cited in &mut cell.rules {
                cited.rule = rule_ref(&column.code, &cited.rule);
            }
        }
    }
    CodesView { codes: under.iter().map(|u| ahead(u, look)).collect(), table }
}

fn ahead(u: &UnderCode, look: Look) -> CodeAhead {
    let refused = u.outlook.standing.refused.as_ref();
    let answered = |answer| match refused {
        Some(_) => Vec::new(),
        None => u.outlook.answered(answer).map(|n| neighbour(u.code, n, answer)).collect(),
    };
    CodeAhead {
        code: u.code.id.clone(),
        title: u.code.full_title(),
        refused: refused.map(|doubt| AheadLine::under(u.code, doubt.message.clone(), [&doubt.rule])),
        chart: if refused.is_none() { chart(u, look) } else { String::new() },
        asks: asks(u),
        would: answered(CoverAnswer::Covered),
        not_sure: answered(CoverAnswer::NotSure),
        would_not: answered(CoverAnswer::NotCovered),
        later: renewal(u.code, &u.test)
            .into_iter()
            .map(|printed| AheadLine::under(u.code, printed.sentence, [&printed.because.rule]))
            .collect(),
        designation: u.code.designation.as_ref().map(|_| match designation(u.code, &u.test) {
            Ok(line) => format!("designation: {line}"),
            Err(why) => why.to_string(),
        }),
    }
}

fn chart(u: &UnderCode, look: Look) -> String {
    let theme = if look == Look::Screen { Theme::web() } else { Theme::paper() };
    let words = Words::english();
    let title = format!("What the coupon will qualify for under {}", u.code.short);
    let desc = coverage_description(u);
    let id = format!("coverage-{}", u.code.id);
    coverage_svg(u, &Frame { id: &id, title: &title, desc: &desc, theme: &theme, words: &words })
}

fn neighbour(code: &Code, n: &Neighbour, answer: CoverAnswer) -> AheadLine {
    let why = if answer == CoverAnswer::Covered { String::new() } else { format!(": {}", n.why) };
    AheadLine::under(code, format!("{} {}{why}", n.about, n.words.join(", ")), &n.rules)
}

fn asks(u: &UnderCode) -> Vec<AheadLine> {
    let mut out = Vec::new();
    for (position, plan) in &u.outlook.specimens {
        let sets: Vec<String> = plan.sets.iter().map(|s| s.text()).collect();
        let sets = if sets.is_empty() { "not known".to_owned() } else { sets.join(", or ") };
        let rules = plan.because.iter().map(|c| &c.rule);
        out.push(AheadLine::under(u.code, format!("straps of {position}: {sets}"), rules));
        out.extend(plan.says.iter().map(|said| AheadLine::under(u.code, said.clone(), [])));
        let rule = |doubt: &SpecimenDoubt| doubt.because.as_ref().map(|c| c.rule.clone());
        let open = plan.doubts.iter().map(|d| AheadLine::under(u.code, d.message.clone(), &rule(d)));
        out.extend(open);
    }
    out.extend(u.outlook.limits.iter().map(|l| limit(u.code, l)));
    out
}

/// A limit; one of the construction code names its code.
fn limit(code: &Code, l: &LimitAhead) -> AheadLine {
    let only = l.only_where.as_ref().map(|w| format!(", where {w}")).unwrap_or_default();
    let of = if l.code == code.id { String::new() } else { format!("{}, ", l.short) };
    let words = format!("{of}{}: {}{only}", l.title.to_lowercase(), l.words.join("; "));
    let to = rule_ref(&l.code, &l.because.rule);
    AheadLine { words, rules: vec![RuleWay { to, clause: l.because.clause.clone() }] }
}
