//! A shop's own rule file: limits of a code made stricter, and rules of the
//! shop's own with the code's.
//!
//! Nothing here can loosen a code. A wider limit is refused, and a rule of the
//! shop's own may refuse, doubt or limit but never grants coverage.

use std::collections::BTreeSet;

use bendproof_measure::Kind;
use serde::Deserialize;
use toml::{Table, Value};

use super::by_name::CatalogueError;
use super::code::Code;
use super::error::LoadError;
use super::load::own_rule;
use crate::rule::{Answer, Demand, Extent, Most, Pair, Rule, breach_of, is_shops, nearest, pair};
use crate::words::{Basis, Claim, RuleKind, Verdict};

/// Why a shop's rule file is not taken.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ShopRuleError {
    /// Not TOML.
    #[error("the shop's rule file is not TOML{at}: {why}", at = line.map(|n| format!(" in line {n}")).unwrap_or_default())]
    Text {
        /// Line, from 1.
        line: Option<usize>,
        /// What is wrong there.
        why: String,
    },
    /// A key is missing, unknown or holds something else.
    #[error("the shop's rule file, {place}: {said}")]
    Shape {
        /// The file or the entry.
        place: String,
        /// What is wrong and what to write.
        said: String,
    },
    /// The code has no such rule.
    #[error("{code} has no rule `{rule}` to tighten; the nearest is `{nearest}`")]
    UnknownRule {
        /// The code.
        code: String,
        /// The id in the file.
        rule: String,
        /// The nearest id.
        nearest: String,
    },
    /// The file names no code.
    #[error("the shop's rule file names no code; enter it, for example codes = [\"aws-d1.1-2020\"]")]
    NoCode,
    /// It names one that is not known.
    #[error("the shop's rule file: {0}")]
    Code(Box<CatalogueError>),
    /// A rule is tightened twice.
    #[error("rule `{0}` is tightened twice; write one entry with the stricter limit")]
    Twice(String),
    /// The shop's value is not stricter than the code's.
    #[error(
        "rule `{rule}`: {value} does not tighten the code's {code_value}; give an inch and a metric value \
         that are each no looser and not both the same, or leave the entry out"
    )]
    NotTighter {
        /// The rule.
        rule: String,
        /// The shop's value.
        value: String,
        /// The code's value.
        code_value: String,
    },
    /// The rule has no limit that this key tightens.
    #[error("rule `{rule}` reads \"{says}\"; {next}")]
    NoSuchLimit {
        /// The rule.
        rule: String,
        /// What the rule demands.
        says: String,
        /// What to write instead.
        next: &'static str,
    },
    /// Part of an entry is missing or makes no sense.
    #[error("rule `{rule}`, {part}: {why}")]
    Part {
        /// The rule.
        rule: String,
        /// The key.
        part: &'static str,
        /// What is wrong.
        why: String,
    },
    /// A rule of the shop's own does not load.
    #[error(transparent)]
    Rule(#[from] LoadError),
    /// A rule of the shop's own is not named as one.
    #[error("rule `{0}` is the shop's own; begin its id with `shop-`")]
    Unprefixed(String),
    /// A rule of the shop's own would grant something, or do nothing.
    #[error(
        "rule `{rule}` of kind {kind} says \"{says}\"; a shop's own rule may only set a limit or ask yes or no \
         (bend, visual and the other examinations), or refuse or doubt (standing, specimens, continuity)"
    )]
    MayNot {
        /// The rule.
        rule: String,
        /// Its kind.
        kind: RuleKind,
        /// What it demands.
        says: String,
    },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ShopFile {
    pub(crate) shop: String,
    /// The codes its limits are set against; [`tighten`] is handed one instead.
    #[serde(default)]
    pub(crate) codes: Vec<String>,
    #[serde(default)]
    tighten: Vec<Entry>,
    #[serde(default)]
    rule: Vec<Value>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    rule: String,
    reason: String,
    decided_by: String,
    at_most: Option<Table>,
    at_least: Option<Table>,
    months: Option<i32>,
}

/// The code with a shop's stricter limits and the shop's own rules.
///
/// `[[tighten]]` names a rule and gives the new pair as `at_most` (a greatest
/// size, a sum, the top of a range) or `at_least` (a least size, the bottom of a
/// range), or fewer `months`; each says why and who decided. A limit that
/// follows another size, as half the wall, goes on doing so and the shop's is
/// one more. A tightened rule keeps its id and its clause says that the shop
/// tightened it; its basis is `choice`, and it keeps the worked cases that still
/// hold.
///
/// # Errors
/// [`ShopRuleError`] names the rule, the value, the code's value and what to
/// write instead.
///
/// # Examples
/// ```
/// use bendproof_codes::catalogue::{code, tighten};
///
/// let d11 = code("aws-d1.1").unwrap();
/// let ours = tighten(d11, r#"
///     shop = "Harbour test bay"
///     [[tighten]]
///     rule = "d11-bend-single-opening"
///     at_most = { inch = "1/16", mm = 1.5 }
///     reason = "our customer asks for it"
///     decided_by = "R. Keel, 2026-03-01"
/// "#).unwrap();
/// let rule = ours.rule("d11-bend-single-opening").unwrap();
/// assert_eq!(
///     rule.limits_text(),
///     ["length maximum 1/16 in [1.5 mm]; otherwise reject", "shop limit; the code: 1/8 in [3 mm]"]
/// );
/// assert!(rule.clause.contains("tightened by the shop: our customer asks for it"));
///
/// let looser = tighten(d11, r#"
///     shop = "Harbour test bay"
///     [[tighten]]
///     rule = "d11-bend-single-opening"
///     at_most = { inch = "1/4", mm = 6 }
///     reason = "we would like that"
///     decided_by = "nobody"
/// "#);
/// assert!(looser.unwrap_err().to_string().contains("does not tighten the code's 1/8 in [3 mm]"));
/// ```
pub fn tighten(code: &Code, text: &str) -> Result<Code, ShopRuleError> {
    let file = ShopFile::read(text)?;
    file.fits(&[code])?;
    file.over(code)
}

impl ShopFile {
    pub(crate) fn read(text: &str) -> Result<Self, ShopRuleError> {
        let line = |at: usize| text[..at].matches('\n').count() + 1;
        let not_toml = |e: toml::de::Error| ShopRuleError::Text {
            line: e.span().map(|span| line(span.start)),
            why: e.message().to_owned(),
        };
        let file: Table = toml::from_str(text).map_err(not_toml)?;
        super::shop_shape::check(&file)?;
        Value::Table(file).try_into().map_err(not_toml)
    }

    /// Every rule it tightens is in one of these codes, and tightened once.
    pub(crate) fn fits(&self, codes: &[&Code]) -> Result<(), ShopRuleError> {
        let mut done = BTreeSet::new();
        let ids = || {
            codes.iter().flat_map(|code| code.rules.iter().chain(&code.borrowed).map(|rule| rule.id.as_str()))
        };
        for entry in &self.tighten {
            if !done.insert(entry.rule.as_str()) {
                return Err(ShopRuleError::Twice(entry.rule.clone()));
            }
            if !ids().any(|id| id == entry.rule) {
                return Err(ShopRuleError::UnknownRule {
                    code: codes.iter().map(|code| code.id.as_str()).collect::<Vec<_>>().join(", "),
                    rule: entry.rule.clone(),
                    nearest: nearest(&entry.rule, ids()).unwrap_or_default(),
                });
            }
        }
        Ok(())
    }

    /// A code with what of the file is about it.
    pub(crate) fn over(&self, code: &Code) -> Result<Code, ShopRuleError> {
        let mut ours = code.clone();
        for entry in &self.tighten {
            if let Some(rule) =
                ours.rules.iter_mut().chain(&mut ours.borrowed).find(|rule| rule.id == entry.rule)
            {
                *rule = tightened(rule, entry)?;
            }
        }
        for value in &self.rule {
            let rule = shops_own(own_rule(value.clone(), &code.edition)?)?;
            if ours.rule(&rule.id).is_some() {
                return Err(LoadError::IdTwice(rule.id).into());
            }
            ours.rules.push(rule);
        }
        ours.note = format!("{} With the stricter limits and own rules of {}.", code.note, self.shop);
        ours.shop = Some(self.shop.clone());
        Ok(ours)
    }
}

fn tightened(rule: &Rule, entry: &Entry) -> Result<Rule, ShopRuleError> {
    let part = |part, why: &str| ShopRuleError::Part { rule: rule.id.clone(), part, why: why.to_owned() };
    for (name, text) in [("reason", &entry.reason), ("decided_by", &entry.decided_by)] {
        if text.trim().is_empty() {
            return Err(part(name, "is empty; enter it, the record shows it"));
        }
    }
    let size = |table: &Table, name| pair(&Value::Table(table.clone())).map_err(|why| part(name, &why));
    let tighter = match (&entry.at_most, &entry.at_least, entry.months) {
        (Some(most), None, None) => with_most(rule, size(most, "at_most")?)?,
        (None, Some(least), None) => with_least(rule, size(least, "at_least")?)?,
        (None, None, Some(months)) => with_months(rule, months)?,
        _ => return Err(part("limit", "give one of at_most, at_least and months")),
    };
    for (table, name) in [(&entry.at_most, "at_most"), (&entry.at_least, "at_least")] {
        let Some(table) = table else { continue };
        if let Some(why) = one_size(&size(table, name)?) {
            return Err(part(name, &why));
        }
    }
    let mut ours = Rule {
        finding: format!("{}; this shop: {}; the code: {}", rule.finding, tighter.ours, tighter.codes),
        demand: tighter.demand,
        clause: format!("{}, tightened by the shop: {}", rule.clause, entry.reason),
        source: format!(
            "{}; the code reads \"{}\", tightened by decision of {}",
            rule.source,
            rule.limits_text().join("; "),
            entry.decided_by
        ),
        basis: Basis::Choice,
        // The shop's value makes the code's rule no better known.
        stated: Some(rule.status()),
        tightened_from: Some(tighter.codes),
        ..rule.clone()
    };
    let cases = std::mem::take(&mut ours.cases);
    ours.cases = cases.into_iter().filter(|case| ours.ask(&case.facts) == claimed(case.claim)).collect();
    Ok(ours)
}

/// A demand with the shop's value in it, and both values in words.
struct Tighter {
    demand: Demand,
    ours: String,
    codes: String,
}

fn claimed(claim: Claim) -> Answer {
    match claim {
        Claim::Pass => Answer::Pass,
        Claim::Fail => Answer::Fail,
        Claim::NotApplicable => Answer::NotApplicable,
    }
}

fn with_most(rule: &Rule, most: Pair) -> Result<Tighter, ShopRuleError> {
    let mut demand = rule.demand.clone();
    let codes = match &mut demand {
        Demand::AtMost { limit, .. }
        | Demand::Within { most: Most::Sum(limit), .. }
        | Demand::Range { max: limit, .. } => {
            stricter(rule, limit, most, Side::Top)?;
            let tighter = joined(limit, most, Side::Top);
            std::mem::replace(limit, tighter).text()
        }
        Demand::Sum { at_most: limit, .. } | Demand::StrapsOver { limit, .. } => {
            stricter(rule, &Extent::Pair(*limit), most, Side::Top)?;
            std::mem::replace(limit, most).text()
        }
        _ => return Err(no_such_limit(rule)),
    };
    Ok(Tighter { demand, ours: most.text(), codes })
}

fn with_least(rule: &Rule, least: Pair) -> Result<Tighter, ShopRuleError> {
    let mut demand = rule.demand.clone();
    match &mut demand {
        Demand::AtLeast { limit, .. } | Demand::Range { min: limit, .. } => {
            stricter(rule, limit, least, Side::Bottom)?;
            let tighter = joined(limit, least, Side::Bottom);
            let codes = std::mem::replace(limit, tighter).text();
            Ok(Tighter { demand, ours: least.text(), codes })
        }
        _ => Err(no_such_limit(rule)),
    }
}

fn with_months(rule: &Rule, fewer: i32) -> Result<Tighter, ShopRuleError> {
    let mut demand = rule.demand.clone();
    match &mut demand {
        Demand::Months(months, _) => {
            let (ours, codes) = (format!("{fewer} months"), format!("{months} months"));
            if fewer >= *months || fewer < 1 {
                return Err(ShopRuleError::NotTighter {
                    rule: rule.id.clone(),
                    value: ours,
                    code_value: codes,
                });
            }
            *months = fewer;
            Ok(Tighter { demand, ours, codes })
        }
        _ => Err(no_such_limit(rule)),
    }
}

fn no_such_limit(rule: &Rule) -> ShopRuleError {
    let next = match rule.demand {
        Demand::AtMost { .. }
        | Demand::Sum { .. }
        | Demand::Within { most: Most::Sum(_), .. }
        | Demand::StrapsOver { .. } => "tighten it with `at_most`",
        Demand::AtLeast { .. } => "tighten it with `at_least`",
        Demand::Range { .. } => "tighten it with `at_most` or `at_least`",
        Demand::Months(..) => "tighten it with `months`",
        _ => "it has no limit a shop can tighten; write a shop rule, id `shop-...`",
    };
    ShopRuleError::NoSuchLimit { rule: rule.id.clone(), says: rule.limits_text().join("; "), next }
}

/// The end of a size that is moved inwards.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Top,
    Bottom,
}

/// Refuses a value that is looser in either system, or the same in both.
fn stricter(rule: &Rule, limit: &Extent, ours: Pair, side: Side) -> Result<(), ShopRuleError> {
    if ours.kind != kind_of(limit).unwrap_or(Kind::Length) {
        let why = format!("{} is not a size like the code's {}", ours.text(), limit.text());
        return Err(ShopRuleError::Part { rule: rule.id.clone(), part: "limit", why });
    }
    let Some(theirs) = printed(limit, side) else { return Ok(()) };
    let (inward, same) = match side {
        Side::Top => (
            ours.inch_si <= theirs.inch_si && ours.metric_si <= theirs.metric_si,
            ours.inch_si >= theirs.inch_si && ours.metric_si >= theirs.metric_si,
        ),
        Side::Bottom => (
            ours.inch_si >= theirs.inch_si && ours.metric_si >= theirs.metric_si,
            ours.inch_si <= theirs.inch_si && ours.metric_si <= theirs.metric_si,
        ),
    };
    if inward && !same {
        return Ok(());
    }
    let (value, code_value) = (ours.text(), limit.text());
    Err(ShopRuleError::NotTighter { rule: rule.id.clone(), value, code_value })
}

/// The printed pair that bounds a size whatever else it follows, or `None`
/// where it follows other sizes alone.
fn printed(limit: &Extent, side: Side) -> Option<Pair> {
    let narrowest = |parts: &[Extent], pick: fn(f64, f64) -> f64| {
        parts.iter().filter_map(|part| printed(part, side)).reduce(|a, b| Pair {
            inch_si: pick(a.inch_si, b.inch_si),
            metric_si: pick(a.metric_si, b.metric_si),
            kind: a.kind,
        })
    };
    match (limit, side) {
        (Extent::Pair(pair), _) => Some(*pair),
        (Extent::Smaller(parts), Side::Top) => narrowest(parts, f64::min),
        (Extent::Larger(parts), Side::Bottom) => narrowest(parts, f64::max),
        _ => None,
    }
}

fn kind_of(limit: &Extent) -> Option<Kind> {
    match limit {
        Extent::Pair(pair) => Some(pair.kind),
        Extent::Smaller(parts) | Extent::Larger(parts) => parts.iter().find_map(kind_of),
        Extent::Times { .. } | Extent::Unlimited => None,
    }
}

/// The shop's value in place of a plain one, or next to one that follows others.
fn joined(limit: &Extent, ours: Pair, side: Side) -> Extent {
    let both = || vec![limit.clone(), Extent::Pair(ours)];
    match (limit, side) {
        (Extent::Pair(_) | Extent::Unlimited, _) => Extent::Pair(ours),
        (_, Side::Top) => Extent::Smaller(both()),
        (_, Side::Bottom) => Extent::Larger(both()),
    }
}

/// How far the inch and the metric value of a pair may lie apart, as a share of
/// the metric one. Basis: derived; of the pairs that the codes here print, 1/16
/// in with 2 mm and 1/32 in with 1 mm lie furthest apart, by 21 %.
const PAIR_SHARE: f64 = 0.25;

/// Why a pair is no limit: below nothing, or two sizes that are not one.
fn one_size(ours: &Pair) -> Option<String> {
    if !matches!(ours.kind, Kind::Length | Kind::Pressure) {
        return None;
    }
    if ours.inch_si < 0.0 || ours.metric_si < 0.0 {
        return Some(format!("{} is negative; enter a size of 0 or more", ours.text()));
    }
    let apart = (ours.inch_si - ours.metric_si).abs();
    (apart > PAIR_SHARE * ours.metric_si).then(|| {
        format!(
            "{} are two sizes, and which one held would hang on the unit a reading is made in; write the same \
             size in both, rounded as the codes do",
            ours.text()
        )
    })
}

/// The pairs a rule of the shop's own sets as limits.
fn limits_of(demand: &Demand) -> Vec<Pair> {
    match demand {
        Demand::AtMost { limit: Extent::Pair(pair), .. }
        | Demand::AtLeast { limit: Extent::Pair(pair), .. }
        | Demand::Within { most: Most::Sum(Extent::Pair(pair)), .. }
        | Demand::Sum { at_most: pair, .. } => vec![*pair],
        _ => Vec::new(),
    }
}

fn shops_own(rule: Rule) -> Result<Rule, ShopRuleError> {
    if !is_shops(&rule.id) {
        return Err(ShopRuleError::Unprefixed(rule.id));
    }
    if let Some(why) = limits_of(&rule.demand).iter().find_map(one_size) {
        return Err(ShopRuleError::Part { rule: rule.id, part: "limit", why });
    }
    let judges = match (rule.kind, &rule.demand) {
        (RuleKind::Bend, Demand::AtMost { fact, .. }) => *fact == "length",
        (RuleKind::Bend, Demand::Sum { .. }) => true,
        (
            kind,
            Demand::AtMost { .. } | Demand::AtLeast { .. } | Demand::Flag { .. } | Demand::Within { .. },
        ) => kind.is_examined(),
        (RuleKind::Standing | RuleKind::Specimens, Demand::Refuse | Demand::Doubt { .. }) => true,
        (RuleKind::Continuity, Demand::Doubt { .. }) => true,
        _ => false,
    };
    if !judges || breach_of(&rule.demand) == Some(Verdict::Accept) {
        let says = rule.limits_text().join("; ");
        return Err(ShopRuleError::MayNot { rule: rule.id, kind: rule.kind, says });
    }
    Ok(Rule { clause: format!("the shop's own, {}", rule.clause), basis: Basis::Choice, ..rule })
}
