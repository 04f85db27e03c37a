//! What a passed test covers: processes, positions, sizes, backing, fillers,
//! until when, because of which rules, and what is doubtful.
//!
//! Does not read the clock: days come in as arguments. Grants nothing that no
//! rule grants.

use bendproof_measure::System;
use bendproof_weld::Process;
use jiff::civil::Date;

use super::lasting::time;
use super::passed::{PassedTest, StandingError, check};
use crate::catalogue::{Code, Names};
use crate::rule::{
    ANY, Both, Cited, Condition, Demand, Extent, Fact, FactAnswer, Facts, PipeRow, Rule, both, spaced,
};
use crate::words::{Facet, Hold, JointKind, RuleKind, Status};

/// A range of sizes, ends included unless said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Covered {
    /// Least.
    pub min: Both,
    /// Greatest; `None` is unlimited.
    pub max: Option<Both>,
    /// The least itself is outside.
    pub min_excluded: bool,
    /// The greatest itself is outside.
    pub max_excluded: bool,
    /// The code prints millimetres alone; both systems hold one length.
    pub metric_only: bool,
}

/// Positions covered, as the code names them: F, H, V, OH, or symbols.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CoveredPositions {
    /// Groove welds in plate.
    pub plate_groove: Vec<String>,
    /// Groove welds in pipe of the least diameter covered. `pipe_rows` of
    /// [`Standing`] may add positions for larger pipe.
    pub pipe_groove: Vec<String>,
    /// Fillet welds.
    pub fillet: Vec<String>,
}

/// What a rule of this standing grants.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Grant {
    pub(crate) cited: Cited,
    pub(crate) gives: Gives,
    /// Sources disagree about the rule.
    pub(crate) is_disputed: bool,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Gives {
    Words {
        facet: Facet,
        words: Vec<String>,
        joints: Vec<String>,
        backing: Vec<String>,
    },
    /// A demand for positions, as it stands.
    Positions(Demand),
    Range {
        facet: Facet,
        covered: Covered,
        joints: Vec<String>,
        /// The code counts the weld metal of this process, not the base metal.
        of_deposit: bool,
    },
}

/// Something disputed or not known.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// What it is about; `None` is the whole.
    pub facet: Option<Facet>,
    /// Kinds of joint it is about; empty for all.
    pub joints: Vec<String>,
    /// Backings of a groove it is about; empty for all.
    pub backing: Vec<String>,
    /// Words asked for that it is about; empty for all.
    pub words: Vec<String>,
    /// Only sizes over this; `None` for all.
    pub over: Option<Both>,
    /// Rule id.
    pub rule: String,
    /// Its clause as this code numbers it; `None` where no rule of a code says it.
    pub clause: Option<String>,
    /// The doubt as a sentence.
    pub message: String,
}

/// What a welder is covered for.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// The code.
    pub code: String,
    /// The welder.
    pub welder: String,
    /// Processes.
    pub processes: Vec<String>,
    /// Metal transfers, empty for processes without one.
    pub transfer_modes: Vec<String>,
    /// Positions.
    pub positions: CoveredPositions,
    /// Pipe groove positions with the diameters and backings they hold for, one
    /// row for each diameter and backing, smallest diameter first. A plate test
    /// may cover more positions in large pipe than in small, and what a smaller
    /// pipe has a larger one has too: show every row.
    pub pipe_rows: Vec<PipeRow>,
    /// Progressions.
    pub progressions: Vec<String>,
    /// Thickness; `None` is not known or not covered.
    pub thickness: Option<Covered>,
    /// Pipe diameter; `None` is not known or none covered.
    pub diameter: Option<Covered>,
    /// Backings.
    pub backing: Vec<String>,
    /// Filler groups.
    pub fillers: Vec<String>,
    /// Base metal groups, where the code counts them and the test's is known.
    pub base_metals: Vec<String>,
    /// Filler types, where the code tells them apart.
    pub filler_types: Vec<String>,
    /// Groove and fillet, where one does not cover the other.
    pub welds: Vec<String>,
    /// Plate and pipe, where the code says so by itself.
    pub products: Vec<String>,
    /// Layers of fillets, where the code tells them apart.
    pub runs: Vec<String>,
    /// Current types and polarities, where the code asks them of the process.
    pub polarities: Vec<String>,
    /// Gas behind an open root, `used` or `none`, where the code asks it of the
    /// process.
    pub backing_gases: Vec<String>,
    /// The day the test was finished; nothing is covered before.
    pub finished: Date,
    /// Last day covered; `None` when the code sets no period here, and where
    /// nothing is held at all.
    pub until: Option<Date>,
    /// The last day covered if every use counts, those with another metal
    /// transfer and those nobody confirmed too; between `until` and this day it
    /// is not sure whether it is held.
    pub until_perhaps: Option<Date>,
    /// The last day before a gap in the history: the qualification ended then,
    /// and later uses revived nothing.
    pub ended: Option<Date>,
    /// The day this is stated for; `None` where all that is known counts.
    pub on: Option<Date>,
    /// Whether it is held on that day; `None` without one.
    pub hold: Option<Hold>,
    /// Who decides what counts as use, and what else may end the period.
    pub until_note: Option<String>,
    /// The system the test was measured in; ranges are printed in it first.
    pub system: System,
    /// Rules behind all this.
    pub because: Vec<Cited>,
    /// What is disputed or not known.
    pub doubts: Vec<Doubt>,
    /// The test lies outside the code's tests and covers nothing; the rule
    /// and its sentence.
    pub refused: Option<Doubt>,
    pub(crate) grants: Vec<Grant>,
    /// What is disputed or not known only where a joint asks for some word.
    pub(crate) asked_doubts: Vec<Doubt>,
    pub(crate) continuity: Option<Cited>,
    /// The way chosen to prolong it is not allowed here.
    pub(crate) not_prolonged: Option<Doubt>,
    /// Period rules that a gap in the history ended.
    pub(crate) gaps: Vec<String>,
    pub(crate) names: &'static Names,
    /// The process tested, whatever the code calls it.
    pub(crate) process: Process,
    /// A position of the test rises.
    pub(crate) rises: bool,
    /// What the code has rules about.
    pub(crate) spoken: Vec<Facet>,
    /// What it has rules about for the process tested: those of no other process
    /// by name.
    pub(crate) spoken_of_process: Vec<Facet>,
    /// Every backing that a rule of the code grants this process.
    pub(crate) backings_known: Vec<String>,
    /// Every filler group that a rule of the code grants this process by name.
    pub(crate) fillers_known: Vec<String>,
    /// Every base metal group that a rule of the code grants this process by name.
    pub(crate) metals_known: Vec<String>,
}

/// Says what a passed test covers under a code.
///
/// # Errors
/// [`StandingError`] when the input is not a passed test.
pub fn standing(code: &Code, test: &PassedTest) -> Result<Standing, StandingError> {
    check(test)?;
    let facts = test.facts(code.names);
    let mut out = empty(code, test, &facts);
    for rule in code.of_kind(RuleKind::Standing) {
        match rule.applies(&facts) {
            FactAnswer::No => {}
            FactAnswer::Missing(fact) => not_given(rule, fact, facet_of(&rule.demand), &mut out),
            FactAnswer::Yes => apply(rule, &facts, &mut out),
        }
    }
    if out.refused.is_some() {
        out.grants.clear();
    }
    time(code, test, &facts, &mut out);
    if out.not_prolonged.is_some() {
        // Nothing is held, so there is no day to go by.
        (out.until, out.until_perhaps, out.ended) = (None, None, None);
    }
    summarise(&mut out);
    Ok(out)
}

fn empty(code: &Code, test: &PassedTest, facts: &Facts) -> Standing {
    Standing {
        code: code.id.clone(),
        welder: test.welder.clone(),
        processes: Vec::new(),
        transfer_modes: Vec::new(),
        positions: CoveredPositions::default(),
        pipe_rows: Vec::new(),
        progressions: Vec::new(),
        thickness: None,
        diameter: None,
        backing: Vec::new(),
        fillers: Vec::new(),
        base_metals: Vec::new(),
        filler_types: Vec::new(),
        welds: Vec::new(),
        products: Vec::new(),
        runs: Vec::new(),
        polarities: Vec::new(),
        backing_gases: Vec::new(),
        finished: test.finished,
        until: None,
        until_perhaps: None,
        ended: None,
        on: None,
        hold: None,
        until_note: None,
        system: test.thickness.system,
        because: Vec::new(),
        doubts: Vec::new(),
        refused: None,
        grants: Vec::new(),
        asked_doubts: Vec::new(),
        continuity: None,
        not_prolonged: None,
        gaps: Vec::new(),
        names: code.names,
        process: test.process,
        rises: test.positions.iter().any(|position| position.rises()),
        spoken: code.of_kind(RuleKind::Standing).filter_map(|r| facet_of(&r.demand)).collect(),
        spoken_of_process: spoken_of_process(code, facts),
        backings_known: known_words(code, Facet::Backing, facts),
        fillers_known: known_words(code, Facet::Filler, facts),
        metals_known: known_words(code, Facet::BaseMetal, facts),
    }
}

/// The sides that a rule speaks of which is not limited to other processes.
fn spoken_of_process(code: &Code, facts: &Facts) -> Vec<Facet> {
    rules_of_process(code, facts).filter_map(|rule| facet_of(&rule.demand)).collect()
}

/// The rules that are not limited to other processes than the one tested.
fn rules_of_process<'a>(code: &'a Code, facts: &'a Facts) -> impl Iterator<Item = &'a Rule> {
    let is_of_other = |c: &Condition| c.fact == Facet::Process.tested() && c.holds(facts) == FactAnswer::No;
    code.of_kind(RuleKind::Standing).filter(move |rule| !rule.when.iter().any(is_of_other))
}

/// Every word of a facet that a rule of the code grants this process by name.
fn known_words(code: &Code, of: Facet, facts: &Facts) -> Vec<String> {
    let mut known = Vec::new();
    for rule in rules_of_process(code, facts) {
        match &rule.demand {
            Demand::Words { facet, words, .. } if *facet == of => merge(&mut known, words),
            _ => {}
        }
    }
    known.retain(|word| word != ANY);
    known
}

fn facet_of(demand: &Demand) -> Option<Facet> {
    match demand {
        Demand::Words { facet, .. } | Demand::Same { facet } | Demand::Range { facet, .. } => Some(*facet),
        Demand::Positions { .. } => Some(Facet::Position),
        Demand::Doubt { facet, .. } => *facet,
        Demand::Months(..) | Demand::Ends { .. } => Some(Facet::Continuity),
        _ => None,
    }
}

/// Several rules that wait for one fact make one doubt.
pub(crate) fn not_given(rule: &Rule, fact: &str, facet: Option<Facet>, out: &mut Standing) {
    let message = match fact {
        "deposit" => {
            "deposit of the test: not entered, and another process welded part of the joint; enter the \
                      weld metal thickness this process deposited"
                .to_owned()
        }
        "filler_type" => {
            "filler type of the test: not entered; enter the filler metal's classification, or its \
                          type: S solid, M metal core, nm without filler metal"
                .to_owned()
        }
        _ => format!("{} of the test: not entered", spaced(fact)),
    };
    let doubt = Doubt { message, ..doubt(rule, facet) };
    if !out
        .doubts
        .iter()
        .any(|d| Doubt { rule: d.rule.clone(), clause: d.clause.clone(), ..doubt.clone() } == *d)
    {
        out.doubts.push(doubt);
    }
}

fn apply(rule: &Rule, facts: &Facts, out: &mut Standing) {
    let as_tested = |facet: &Facet, words: Vec<String>| Gives::Words {
        facet: *facet,
        words,
        joints: Vec::new(),
        backing: Vec::new(),
    };
    let gives = match &rule.demand {
        Demand::Words { facet, words, joints, backing } => Gives::Words {
            facet: *facet,
            words: words.clone(),
            joints: joints.clone(),
            backing: backing.clone(),
        },
        Demand::Same { facet } => match facts.get(facet.tested()) {
            Some(Fact::Word(word)) => as_tested(facet, vec![word.clone()]),
            Some(Fact::Words(words)) => as_tested(facet, words.clone()),
            _ => return,
        },
        Demand::Positions { .. } => Gives::Positions(rule.demand.clone()),
        Demand::Range { facet, min, max, min_excluded, max_excluded, joints } => match range(min, max, facts)
        {
            Some(range) => {
                let covered = Covered {
                    min_excluded: *min_excluded,
                    max_excluded: *max_excluded,
                    metric_only: out.names.metric_only,
                    ..range
                };
                let of_deposit = rule.when.iter().any(|condition| condition.fact == "deposit");
                Gives::Range { facet: *facet, covered, joints: joints.clone(), of_deposit }
            }
            None => {
                out.doubts.push(doubt(rule, Some(*facet)));
                return;
            }
        },
        Demand::Refuse => {
            out.because.push(Cited::of(rule));
            out.refused.get_or_insert(doubt(rule, None));
            out.doubts.push(doubt(rule, None));
            return;
        }
        Demand::Doubt { facet, over, .. } => {
            let over = over.as_ref().and_then(|size| both(size, facts));
            let doubt = Doubt { over, ..doubt(rule, *facet) };
            let list = if doubt.words.is_empty() { &mut out.doubts } else { &mut out.asked_doubts };
            list.push(doubt);
            return;
        }
        _ => return,
    };
    out.grants.push(Grant { cited: Cited::of(rule), gives, is_disputed: rule.status() == Status::Disputed });
}

/// A doubt about no more than what the rule decides.
pub(crate) fn doubt(rule: &Rule, facet: Option<Facet>) -> Doubt {
    let (joints, backing, words) = match &rule.demand {
        Demand::Doubt { joints, backing, words, .. } => (joints.clone(), backing.clone(), words.clone()),
        Demand::Range { joints, .. } => (joints.clone(), Vec::new(), Vec::new()),
        _ => Default::default(),
    };
    Doubt {
        facet,
        joints,
        backing,
        words,
        over: None,
        rule: rule.id.clone(),
        clause: Some(rule.clause.clone()),
        message: rule.finding.clone(),
    }
}

fn range(min: &Extent, max: &Extent, facts: &Facts) -> Option<Covered> {
    let max = both(max, facts)?;
    let max = (max.inch_m.is_finite() && max.metric_m.is_finite()).then_some(max);
    Some(Covered {
        min: both(min, facts)?,
        max,
        min_excluded: false,
        max_excluded: false,
        metric_only: false,
    })
}

/// Whether a range speaks of fillets alone.
pub(crate) fn is_of_fillets(joints: &[String]) -> bool {
    joints.iter().all(|j| j == "fillet") && !joints.is_empty()
}

fn summarise(out: &mut Standing) {
    let grants = std::mem::take(&mut out.grants);
    let mut fillets = None;
    for grant in &grants {
        out.because.push(grant.cited.clone());
        match &grant.gives {
            Gives::Words { facet, words, backing, .. } => {
                if let Some(list) = list_of(out, *facet) {
                    merge(list, &said(words, backing));
                }
            }
            Gives::Positions(Demand::Positions { plate_groove, fillet, pipe_groove, .. }) => {
                merge(&mut out.positions.plate_groove, plate_groove);
                merge(&mut out.positions.fillet, fillet);
                pipe_groove.iter().for_each(|row| merge_row(&mut out.pipe_rows, row));
            }
            Gives::Positions(_) => {}
            // Fillets have ranges of their own, stated where nothing else is.
            Gives::Range { facet: Facet::Thickness, joints, covered, .. } if is_of_fillets(joints) => {
                fillets = meet(fillets, *covered);
            }
            Gives::Range { facet: Facet::Diameter, covered, .. } => {
                out.diameter = meet(out.diameter, *covered)
            }
            Gives::Range { covered, .. } => out.thickness = meet(out.thickness, *covered),
        }
    }
    out.grants = grants;
    drop_narrower(&mut out.fillers);
    drop_narrower(&mut out.backing_gases);
    if out.welds == ["fillet"] {
        out.thickness = fillets;
    }
    if !out.products.is_empty() && !out.products.iter().any(|p| p == "plate") {
        out.positions.plate_groove.clear();
    }
    out.pipe_rows.sort_by(|a, b| least_m(a).total_cmp(&least_m(b)));
    smallest_pipe(out);
    let order = &out.names.order;
    for list in [&mut out.positions.plate_groove, &mut out.positions.fillet, &mut out.positions.pipe_groove] {
        in_order(list, order);
    }
    out.pipe_rows.iter_mut().for_each(|row| in_order(&mut row.words, order));
}

/// The list of the summary that tells of a facet.
fn list_of(out: &mut Standing, facet: Facet) -> Option<&mut Vec<String>> {
    let list = match facet {
        Facet::Process => &mut out.processes,
        Facet::Transfer => &mut out.transfer_modes,
        Facet::Progression => &mut out.progressions,
        Facet::Backing => &mut out.backing,
        Facet::Weld => &mut out.welds,
        Facet::Product => &mut out.products,
        Facet::FillerType => &mut out.filler_types,
        Facet::Runs => &mut out.runs,
        Facet::Filler => &mut out.fillers,
        Facet::BaseMetal => &mut out.base_metals,
        Facet::Polarity => &mut out.polarities,
        Facet::BackingGas => &mut out.backing_gases,
        _ => return None,
    };
    Some(list)
}

/// What is covered on any backing is not stated again with one of them.
fn drop_narrower(list: &mut Vec<String>) {
    let all = list.clone();
    list.retain(|said| said.split_once(" (").is_none_or(|(word, _)| !all.iter().any(|other| other == word)));
}

/// Words with the backing they are bound to.
fn said(words: &[String], backing: &[String]) -> Vec<String> {
    if backing.is_empty() {
        return words.to_vec();
    }
    words.iter().map(|word| format!("{word} ({} only)", backing.join(" or "))).collect()
}

pub(crate) fn merge(list: &mut Vec<String>, words: &[String]) {
    for word in words {
        if !list.contains(word) {
            list.push(word.clone());
        }
    }
}

fn in_order(list: &mut [String], order: &[String]) {
    list.sort_by_key(|p| order.iter().position(|o| o == p));
}

/// Rows of several coupons for the same pipe are one row.
fn merge_row(rows: &mut Vec<PipeRow>, row: &PipeRow) {
    let same = |r: &&mut PipeRow| {
        (r.from, r.from_excluded, &r.backing, r.rotated)
            == (row.from, row.from_excluded, &row.backing, row.rotated)
    };
    match rows.iter_mut().find(same) {
        Some(known) => merge(&mut known.words, &row.words),
        None if row.words.is_empty() => {}
        None => rows.push(row.clone()),
    }
}

/// Least diameter of a row; rows ruled elsewhere start at nothing.
fn least_m(row: &PipeRow) -> f64 {
    row.from.map_or(0.0, |pair| pair.inch_si)
}

/// Two rules about one size both hold.
fn meet(so_far: Option<Covered>, other: Covered) -> Option<Covered> {
    let Some(range) = so_far else { return Some(other) };
    let min = Both {
        inch_m: range.min.inch_m.max(other.min.inch_m),
        metric_m: range.min.metric_m.max(other.min.metric_m),
    };
    let max = match (range.max, other.max) {
        (Some(a), Some(b)) => {
            Some(Both { inch_m: a.inch_m.min(b.inch_m), metric_m: a.metric_m.min(b.metric_m) })
        }
        (one, other) => one.or(other),
    };
    let min_excluded =
        if range.min.inch_m >= other.min.inch_m { range.min_excluded } else { other.min_excluded };
    Some(Covered {
        min,
        max,
        min_excluded,
        max_excluded: range.max_excluded || other.max_excluded,
        metric_only: range.metric_only,
    })
}

/// Positions for the least pipe covered, and that diameter where the position
/// rows name it rather than a diameter rule.
fn smallest_pipe(out: &mut Standing) {
    let from = least_m;
    let with_words = || out.pipe_rows.iter().filter(|r| !r.words.is_empty());
    let Some(least) = with_words().map(from).reduce(f64::min) else { return };
    let mut words = Vec::new();
    for row in with_words().filter(|r| from(r) <= least) {
        merge(&mut words, &row.words);
    }
    let named = with_words().find(|r| from(r) <= least).and_then(|r| r.from);
    if let (None, Some(pair)) = (out.diameter, named) {
        let min = Both { inch_m: pair.inch_si, metric_m: pair.metric_si };
        let min_excluded = with_words().any(|r| from(r) <= least && r.from_excluded);
        out.diameter = Some(Covered {
            min,
            max: None,
            min_excluded,
            max_excluded: false,
            metric_only: out.names.metric_only,
        });
    }
    out.positions.pipe_groove = words;
}

impl Standing {
    /// Whether the code has rules about a side of such a test. Section IX asks
    /// filler type, polarity and backing gas of GTAW and not of SMAW; every other
    /// side a code asks of one process it asks of all, and where no rule grants
    /// it to a process that is a gap, not an end of the question.
    pub(crate) fn speaks_of(&self, facet: Facet) -> bool {
        let of_process = matches!(facet, Facet::FillerType | Facet::Polarity | Facet::BackingGas);
        if of_process { self.spoken_of_process.contains(&facet) } else { self.spoken.contains(&facet) }
    }

    /// Grants of a facet that speak of this kind of joint.
    pub(crate) fn grants_of(&self, facet: Facet, joint: JointKind) -> impl Iterator<Item = &Grant> {
        let speaks = move |joints: &[String]| joints.is_empty() || joints.iter().any(|j| j == joint.word());
        self.grants.iter().filter(move |g| match &g.gives {
            Gives::Words { facet: f, joints, .. } => *f == facet && speaks(joints),
            Gives::Positions(_) => facet == Facet::Position,
            Gives::Range { facet: f, joints, .. } => *f == facet && speaks(joints),
        })
    }
}
