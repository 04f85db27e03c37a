//! Two coupons side by side: which inputs differ, number by number, and for
//! each answer how much of the difference every input alone makes.
//!
//! The share of an input is found by giving the first coupon the second's value
//! of that input alone and asking the forecast again; what the shares leave over
//! is what the inputs do together.

use std::collections::BTreeSet;

use bendproof_drawing as draw;
use bendproof_drawing::Frame;
use bendproof_files::{COUPON, Document, Finding, Need, Severity, What};
use bendproof_forecast::{Failure, Forecast, Item, Unit};
use bendproof_measure::{Quantity, System, round_to};
use bendproof_weld::Coupon;

use crate::context::AssessmentContext;
use crate::drawn::{Look, section, sign};
use crate::forecast::{Computed, compute};
use crate::sheet::{Figure, Provenance, figures};
use crate::window::{answer_name, length_text, margin_text};

/// Sections whose fields are inputs of a forecast; the log, the straps and the
/// visual are what came after.
const INPUTS: [&str; 5] = ["fit.", "settings.", "pass.", "scatter.", "price."];
/// Two quantities differ when their values do by more than this share: a
/// fraction written as a decimal is the same.
const SAME_SHARE: f64 = 1e-6;
/// Shares of a difference smaller than this part of it are left out (choice).
const TOLD_SHARE: f64 = 0.05;

/// One input that differs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InputDifference {
    /// Field in the coupon file.
    pub path: String,
    /// The trade's name, with the pass it belongs to.
    pub label: String,
    /// As written or by default in each; empty where there is none.
    pub texts: [String; 2],
}

/// What one input alone does to a margin.
#[derive(Debug, Clone, PartialEq)]
pub struct Share {
    /// Field in the coupon file.
    pub path: String,
    /// The trade's name.
    pub label: String,
    /// Change of the first coupon's margin when this input alone takes the
    /// second's value, in the margin's unit.
    pub margin: f64,
}

/// One answer of both.
#[derive(Debug, Clone, PartialEq)]
pub struct AnswerPair {
    /// What is asked.
    pub failure: Failure,
    /// 1-based pass it is about.
    pub pass: usize,
    /// Its name as on the sheet.
    pub name: String,
    /// The answers; `None` where it is not asked.
    pub items: [Option<Item>; 2],
    /// Single inputs behind the difference, the largest first.
    pub shares: Vec<Share>,
    /// What is left of the difference; `None` where a margin is missing.
    pub together: Option<f64>,
}

impl AnswerPair {
    /// Whether the two words differ.
    pub fn words_differ(&self) -> bool {
        let word = |i: usize| self.items[i].as_ref().map(|item| item.verdict);
        word(0) != word(1)
    }

    /// Second margin less first.
    pub fn difference(&self) -> Option<f64> {
        let [a, b] = &self.items;
        Some(b.as_ref()?.margin? - a.as_ref()?.margin?)
    }

    /// What the margins are measured in.
    pub fn unit(&self) -> Unit {
        self.items.iter().flatten().map(|i| i.unit).next().unwrap_or(Unit::Metre)
    }
}

/// One computed number of both.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FigurePair {
    /// What it is, with the pass it belongs to.
    pub label: String,
    /// The numbers; empty where there is none.
    pub texts: [String; 2],
    /// Where each comes from.
    pub provenance: [Option<Provenance>; 2],
}

/// One of the two coupons.
#[derive(Debug, Clone, PartialEq)]
pub struct ComparedSide {
    /// Its number.
    pub number: String,
    /// Made from the fit.
    pub title: String,
    /// The forecast.
    pub forecast: Forecast,
    section: draw::CrossSection,
    system: System,
}

/// Two coupons compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// The coupons.
    pub sides: [ComparedSide; 2],
    /// Inputs that differ, in the order of the file.
    pub inputs: Vec<InputDifference>,
    /// Every answer.
    pub answers: Vec<AnswerPair>,
    /// Computed numbers, fit and passes and totals.
    pub figures: Vec<FigurePair>,
}

impl Compared {
    /// The units both are read in: those of the first.
    pub(crate) fn system(&self) -> System {
        self.sides[0].system
    }
}

/// Two coupon files read for comparison.
#[derive(Debug)]
pub struct CompareRead {
    /// What is wrong with each text, or worth a look.
    pub findings: [Vec<Finding>; 2],
    /// The comparison; `None` when one of the texts cannot be used.
    pub compared: Option<Compared>,
}

/// Reads and compares the texts of two coupon files.
pub fn read_compare(texts: [&str; 2], context: impl Into<AssessmentContext>) -> CompareRead {
    let context = context.into();
    let read = texts.map(|text| {
        let (document, mut findings) = Document::from_toml(&COUPON, text);
        let computed = compute(&document, context, None);
        findings.extend(computed.findings.iter().cloned());
        (document, computed, findings)
    });
    let [(doc_a, a, findings_a), (doc_b, b, findings_b)] = read;
    let findings = [findings_a, findings_b];
    let is_sound = findings.iter().flatten().all(|f| f.severity < Severity::Error);
    let compared = is_sound
        .then(|| Some([side(&doc_a, &a)?, side(&doc_b, &b)?]))
        .flatten()
        .map(|sides| compared([&doc_a, &doc_b], sides, context));
    CompareRead { findings, compared }
}

fn side(document: &Document, computed: &Computed) -> Option<ComparedSide> {
    let (coupon, forecast): (&Coupon, &Forecast) = (computed.coupon.as_ref()?, computed.forecast.as_ref()?);
    let stated = computed.stated.as_ref()?;
    Some(ComparedSide {
        number: coupon.id.clone(),
        title: figures::title(stated, document),
        forecast: forecast.clone(),
        section: section(coupon, forecast, &computed.limits, Look::Paper),
        system: computed.system,
    })
}

fn compared(documents: [&Document; 2], sides: [ComparedSide; 2], context: AssessmentContext) -> Compared {
    let inputs = inputs(documents);
    let [a, b] = [&sides[0].forecast, &sides[1].forecast];
    let mut answers = pairs(a, b);
    let carried: Vec<Option<Forecast>> =
        inputs.iter().map(|input| carried(documents, &input.path, context)).collect();
    for pair in &mut answers {
        attribute(pair, &inputs, &carried);
    }
    Compared { inputs, answers, figures: figure_pairs(a, b, sides[0].system), sides }
}

/// Paths written in either document, and passes of both, in the file's order.
fn inputs(documents: [&Document; 2]) -> Vec<InputDifference> {
    let is_input = |path: &str| path == "code" || INPUTS.iter().any(|section| path.starts_with(section));
    let paths: BTreeSet<&String> =
        documents.iter().flat_map(|d| d.values().keys()).filter(|p| is_input(p)).collect();
    let order = |path: &str| {
        let generic = bendproof_files::generic_path(path);
        let place = COUPON.specs.iter().position(|s| s.path == generic).unwrap_or(usize::MAX);
        (pass_of(path).unwrap_or(0), place)
    };
    let mut out: Vec<InputDifference> = paths
        .into_iter()
        .filter_map(|path| {
            let texts = documents.map(|d| effective(d, path));
            let label = match pass_of(path) {
                Some(pass) => format!("{}, pass {pass}", COUPON.spec(path)?.label),
                None => COUPON.spec(path)?.label.to_owned(),
            };
            let differs = !same(path, &texts[0], &texts[1]);
            differs.then(|| InputDifference { path: path.clone(), label, texts })
        })
        .collect();
    out.sort_by_key(|d| order(&d.path));
    out
}

fn pass_of(path: &str) -> Option<usize> {
    path.strip_prefix("pass.")?.split('.').next()?.parse().ok()
}

/// As written, or the default of a section or row that is there.
fn effective(document: &Document, path: &str) -> String {
    let row_is_there = pass_of(path).is_none_or(|row| document.rows("pass").contains(&row));
    match (document.get(path), COUPON.spec(path).map(|s| s.need)) {
        (Some(text), _) => text.trim().to_owned(),
        (None, Some(Need::Default(text))) if row_is_there => text.to_owned(),
        _ => String::new(),
    }
}

fn same(path: &str, a: &str, b: &str) -> bool {
    let si = |text: &str| match COUPON.spec(path).map(|s| s.what) {
        Some(What::Quantity(bound)) => Quantity::parse(bound.kind, text).ok().map(|q| q.si),
        _ => None,
    };
    match (si(a), si(b)) {
        (Some(a), Some(b)) => (a - b).abs() <= SAME_SHARE * a.abs().max(b.abs()),
        _ => a.eq_ignore_ascii_case(b),
    }
}

/// The first coupon with one input of the second.
fn carried(documents: [&Document; 2], path: &str, context: AssessmentContext) -> Option<Forecast> {
    let mut moved = documents[0].clone();
    moved.set(path, documents[1].get(path));
    compute(&moved, context, None).forecast
}

fn rows(f: &Forecast) -> Vec<(Failure, usize, &Item)> {
    let root = [Failure::LeftEdge, Failure::RightEdge, Failure::BurnThrough, Failure::Outrun];
    let mut out: Vec<(Failure, usize, &Item)> =
        root.into_iter().zip(f.root.items()).map(|(failure, item)| (failure, 1, item)).collect();
    out.extend(f.root.hot_pass.as_ref().map(|item| (Failure::HotPass, 2, item)));
    out.extend(f.passes.iter().skip(1).map(|p| (Failure::Walls, p.number, &p.tie_in)));
    // The crown is of the whole plan, however many passes it has.
    out.push((Failure::Crown, 0, &f.crown));
    out
}

fn pairs(a: &Forecast, b: &Forecast) -> Vec<AnswerPair> {
    let (a, b) = (rows(a), rows(b));
    let keys: BTreeSet<(Failure, usize)> = a.iter().chain(&b).map(|(f, p, _)| (*f, *p)).collect();
    let find = |list: &[(Failure, usize, &Item)], key: (Failure, usize)| {
        list.iter().find(|(f, p, _)| (*f, *p) == key).map(|(_, _, item)| (*item).clone())
    };
    keys.into_iter()
        .map(|key| AnswerPair {
            failure: key.0,
            pass: key.1,
            name: answer_name(key.0, key.1),
            items: [find(&a, key), find(&b, key)],
            shares: Vec::new(),
            together: None,
        })
        .collect()
}

fn attribute(pair: &mut AnswerPair, inputs: &[InputDifference], carried: &[Option<Forecast>]) {
    let Some(difference) = pair.difference() else { return };
    let Some(from) = pair.items[0].as_ref().and_then(|item| item.margin) else { return };
    let mut left = difference;
    let mut shares = Vec::new();
    for (input, forecast) in inputs.iter().zip(carried) {
        let Some(forecast) = forecast else { continue };
        let there = rows(forecast)
            .into_iter()
            .find(|(f, p, _)| (*f, *p) == (pair.failure, pair.pass))
            .and_then(|(_, _, item)| item.margin);
        let Some(margin) = there.map(|there| there - from) else { continue };
        left -= margin;
        shares.push(Share { path: input.path.clone(), label: input.label.clone(), margin });
    }
    let largest = shares.iter().map(|s| s.margin.abs()).fold(difference.abs(), f64::max);
    shares.retain(|s| s.margin.abs() > TOLD_SHARE * largest);
    shares.sort_by(|a, b| b.margin.abs().total_cmp(&a.margin.abs()));
    pair.shares = shares;
    pair.together = Some(left);
}

/// Both in the units of the first, so that the numbers can be compared.
fn figure_pairs(a: &Forecast, b: &Forecast, system: System) -> Vec<FigurePair> {
    let of_fit = |f: &Forecast| figures::of_fit(f.groove_area_m2, f.face_width_m, system);
    let mut out = paired("", &of_fit(a), &of_fit(b));
    for index in 0..a.passes.len().max(b.passes.len()) {
        let of = |f: &Forecast| f.passes.get(index).map(|p| figures::of_pass(p, system)).unwrap_or_default();
        out.extend(paired(&format!(", pass {}", index + 1), &of(a), &of(b)));
    }
    let totals = |f: &Forecast| figures::of_totals(f, system);
    out.extend(paired("", &totals(a), &totals(b)));
    out
}

fn paired(suffix: &str, a: &[Figure], b: &[Figure]) -> Vec<FigurePair> {
    let mut labels: Vec<&String> = Vec::new();
    for figure in a.iter().chain(b) {
        if !labels.contains(&&figure.label) {
            labels.push(&figure.label);
        }
    }
    labels
        .into_iter()
        .map(|label| {
            let found = [a, b].map(|list| list.iter().find(|f| f.label == *label));
            FigurePair {
                label: format!("{label}{suffix}"),
                texts: found.map(|f| f.map(|f| f.text.clone()).unwrap_or_default()),
                provenance: found.map(|f| f.map(|f| f.provenance.clone())),
            }
        })
        .collect()
}

/// An answer in few words: `holds, 0.4 mm ± 0.3 mm`.
pub(crate) fn item_text(item: Option<&Item>, system: System) -> String {
    let Some(item) = item else { return "–".to_owned() };
    let word = item.verdict.word().replace('_', " ");
    let Some(margin) = item.margin else { return word };
    let number = margin_text(margin, item.unit, false, system);
    let spread = |u: f64| match item.unit {
        Unit::Metre => length_text(u, system),
        Unit::ShareOfLimit => format!("{} %", round_to(u * 100.0, 0)),
    };
    match item.uncertainty {
        Some(u) => format!("{word}, {number} ± {}", spread(u)),
        None => format!("{word}, {number}"),
    }
}

/// Both drawn side by side with what differs and every answer under them.
pub fn compare_svg(c: &Compared, frame: &Frame<'_>) -> String {
    let input = |d: &InputDifference| draw::CompareRow {
        label: d.label.clone(),
        texts: d.texts.clone(),
        signs: [None, None],
        differs: true,
    };
    let answer = |p: &AnswerPair| draw::CompareRow {
        label: p.name.clone(),
        texts: [0, 1].map(|i| item_text(p.items[i].as_ref(), c.system())),
        signs: [0, 1].map(|i| p.items[i].as_ref().map(|item| sign(item.verdict))),
        differs: p.words_differ(),
    };
    let totals = c.figures.iter().filter(|f| !f.label.contains(", pass ")).map(|f| draw::CompareRow {
        label: f.label.clone(),
        texts: f.texts.clone(),
        signs: [None, None],
        differs: f.texts[0] != f.texts[1],
    });
    let rows = c.inputs.iter().map(input).chain(c.answers.iter().map(answer)).chain(totals).collect();
    let heads = [0, 1].map(|i| format!("{} · {}", c.sides[i].number, c.sides[i].title));
    let sections = [0, 1].map(|i| c.sides[i].section.clone());
    draw::comparison(&draw::Comparison { sections, heads, rows }, frame)
}
