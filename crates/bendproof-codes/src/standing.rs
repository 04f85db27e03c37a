//! What a passed test covers: processes, positions, sizes, backing, fillers,
//! until when, because of which rules, and what is doubtful.
//!
//! Does not read the clock: days come in as arguments. Grants nothing that no
//! rule grants.

use bendproof_measure::{Quantity, System};
use bendproof_weld::{Backing, Position, Process, Progression, Transfer};
use jiff::civil::Date;

use crate::catalogue::Code;
use crate::extent::{Extent, is_over};
use crate::fact::{Fact, Facts, Known};
use crate::rule::{Demand, PipeRow, Rule};
use crate::specimens::{Both, Cited, both, positive};
use crate::words::{Facet, JointKind, RuleKind, TestShape};

/// One passed test, one process. A coupon welded with two processes is two.
#[derive(Debug, Clone, PartialEq)]
pub struct PassedTest {
    /// The welder's name or mark.
    pub welder: String,
    /// Process.
    pub process: Process,
    /// Metal transfer; needed for GMAW.
    pub transfer: Option<Transfer>,
    /// Positions welded, one coupon each.
    pub positions: Vec<Position>,
    /// Plate or pipe.
    pub shape: TestShape,
    /// Plate thickness or pipe wall.
    pub thickness: Quantity,
    /// Weld metal put in with this process; the thickness when absent.
    pub deposit: Option<Quantity>,
    /// Layers of that deposit.
    pub layers: Option<u32>,
    /// Outside diameter of pipe.
    pub outside_diameter: Option<Quantity>,
    /// Nominal pipe size, where known.
    pub nominal_size: Option<Quantity>,
    /// Every progression used.
    pub progressions: Vec<Progression>,
    /// Backing of the test joint.
    pub backing: Backing,
    /// F-number, as `F4` or `F6`.
    pub filler: Option<String>,
    /// The test piece also qualified a procedure.
    pub procedure_test: bool,
    /// Day the welding was finished.
    pub finished: Date,
    /// Later days on which this welder used the same process (short-circuit
    /// counted apart where the code does), in any order.
    pub uses: Vec<Date>,
}

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
}

/// Positions covered, as F, H, V, OH.
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
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Gives {
    Words(Facet, Vec<String>),
    Positions { plate_groove: Vec<String>, fillet: Vec<String>, pipe_groove: Vec<PipeRow> },
    Range { facet: Facet, covered: Covered, joints: Vec<String> },
}

/// Something disputed or not known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// What it is about; `None` is the whole.
    pub facet: Option<Facet>,
    /// Kinds of joint it is about; empty for all.
    pub joints: Vec<String>,
    /// Rule id.
    pub rule: String,
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
    /// Last day covered; `None` when the code sets no period here.
    pub until: Option<Date>,
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
    pub(crate) continuity: Option<Cited>,
}

/// Input that cannot be a passed test.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StandingError {
    /// No position.
    #[error("no position is given; name the position of each coupon, as 3G")]
    NoPosition,
    /// A position given twice.
    #[error("position {0} is given twice")]
    PositionTwice(String),
    /// A size that is no positive length.
    #[error("{what} is {value}; a finite length above zero is wanted")]
    Size {
        /// Which size.
        what: &'static str,
        /// Its value.
        value: String,
    },
    /// A position that no test piece of this shape has.
    #[error("position {position} cannot be welded on {shape}; {instead}")]
    NotOnShape {
        /// The position.
        position: Position,
        /// The shape given.
        shape: TestShape,
        /// What is likely meant.
        instead: &'static str,
    },
    /// A pipe without its outside diameter.
    #[error("the pipe's outside diameter is not given; what a pipe test covers depends on it")]
    NoOutsideDiameter,
    /// More weld metal than the joint is thick.
    #[error("the deposit is {deposit}, more than the thickness of {thickness} it was put into")]
    DepositOverThickness {
        /// The deposit.
        deposit: String,
        /// The plate thickness or pipe wall.
        thickness: String,
    },
    /// The process was used before the test was finished.
    #[error("a use on {used} is before the test was finished on {finished}")]
    UsedBefore {
        /// The use.
        used: Date,
        /// The test.
        finished: Date,
    },
}

/// Says what a passed test covers under a code.
///
/// # Errors
/// [`StandingError`] when the input is not a passed test.
pub fn standing(code: &Code, test: &PassedTest) -> Result<Standing, StandingError> {
    check(test)?;
    let facts = test.facts();
    let mut out = empty(code, test);
    for rule in code.of_kind(RuleKind::Standing) {
        match rule.applies(&facts) {
            Known::No => {}
            Known::Missing(fact) => not_given(rule, fact, &mut out),
            Known::Yes => apply(rule, &facts, &mut out),
        }
    }
    if out.refused.is_some() {
        out.grants.clear();
    }
    time(code, test, &facts, &mut out);
    summarise(&mut out);
    Ok(out)
}

fn empty(code: &Code, test: &PassedTest) -> Standing {
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
        until: None,
        until_note: None,
        system: test.thickness.system,
        because: Vec::new(),
        doubts: Vec::new(),
        refused: None,
        grants: Vec::new(),
        continuity: None,
    }
}

fn check(test: &PassedTest) -> Result<(), StandingError> {
    if test.positions.is_empty() {
        return Err(StandingError::NoPosition);
    }
    for (n, position) in test.positions.iter().enumerate() {
        if test.positions[..n].contains(position) {
            return Err(StandingError::PositionTwice(position.to_string()));
        }
    }
    let sizes = [
        ("the thickness", Some(test.thickness)),
        ("the deposit", test.deposit),
        ("the outside diameter", test.outside_diameter),
        ("the nominal size", test.nominal_size),
    ];
    for (what, size) in sizes {
        if let Some(size) = size.filter(|_| positive(size).is_none()) {
            return Err(StandingError::Size { what, value: bendproof_measure::say(&size) });
        }
    }
    check_piece(test)?;
    match test.uses.iter().min().filter(|used| **used < test.finished) {
        Some(used) => Err(StandingError::UsedBefore { used: *used, finished: test.finished }),
        None => Ok(()),
    }
}

/// Whether such a test piece can exist: shape, positions and sizes agree.
fn check_piece(test: &PassedTest) -> Result<(), StandingError> {
    let pipe_only = [Position::G5, Position::G6, Position::G6R];
    let plate_only = [Position::G3, Position::G4];
    let (foreign, instead): (&[Position], _) = match test.shape {
        TestShape::Plate => (&pipe_only, "it is a position of pipe; a plate has 1G, 2G, 3G and 4G"),
        TestShape::Pipe => (&plate_only, "it is a position of plate; a pipe has 1G, 2G, 5G, 6G and 6GR"),
    };
    if let Some(position) = test.positions.iter().find(|p| foreign.contains(p)) {
        return Err(StandingError::NotOnShape { position: *position, shape: test.shape, instead });
    }
    if test.shape == TestShape::Pipe && test.outside_diameter.is_none() {
        return Err(StandingError::NoOutsideDiameter);
    }
    match test.deposit.filter(|deposit| is_over(deposit, test.thickness.si)) {
        Some(deposit) => Err(StandingError::DepositOverThickness {
            deposit: bendproof_measure::say(&deposit),
            thickness: bendproof_measure::say(&test.thickness),
        }),
        None => Ok(()),
    }
}

impl PassedTest {
    pub(crate) fn facts(&self) -> Facts {
        let words = |list: Vec<&str>| Fact::Words(list.into_iter().map(str::to_owned).collect());
        let mut facts = Facts::default();
        facts
            .word("process", self.process.word())
            .word("shape", self.shape.word())
            .word("backing", self.backing.word())
            .set("positions", words(self.positions.iter().map(|p| p.word()).collect()))
            .set("progressions", words(self.progressions.iter().map(|p| p.word()).collect()))
            .measure("thickness", Some(self.thickness))
            .measure("deposit", Some(self.deposit.unwrap_or(self.thickness)))
            .measure("outside_diameter", self.outside_diameter)
            .measure("pipe_size", self.nominal_size.or(self.outside_diameter))
            .flag("nominal_stated", self.nominal_size.is_some())
            .flag("procedure_test", self.procedure_test)
            // A passed test here names no base metal; rules may say what that leaves open.
            .word("base_metal", "not_stated");
        match (self.process, self.transfer) {
            (_, Some(transfer)) => facts.word("transfer", transfer.word()),
            (Process::Gmaw, None) => &mut facts,
            (_, None) => facts.word("transfer", "none"),
        };
        if let Some(layers) = self.layers {
            facts.set("layers", Fact::Number(f64::from(layers)));
        }
        if let Some(filler) = &self.filler {
            facts.word("filler", filler.as_str());
        }
        facts
    }
}

fn facet_of(demand: &Demand) -> Option<Facet> {
    match demand {
        Demand::Words { facet, .. } | Demand::Same { facet } | Demand::Range { facet, .. } => Some(*facet),
        Demand::Positions { .. } => Some(Facet::Position),
        Demand::Doubt { facet, .. } => *facet,
        Demand::Months(_) | Demand::MonthsShort(_) => Some(Facet::Continuity),
        _ => None,
    }
}

/// Several rules that wait for one fact make one doubt.
fn not_given(rule: &Rule, fact: &str, out: &mut Standing) {
    let facet = facet_of(&rule.demand);
    let message = format!("{} of the test: not given", fact.replace('_', " "));
    if !out.doubts.iter().any(|d| d.facet == facet && d.message == message) {
        out.doubts.push(Doubt { facet, joints: Vec::new(), rule: rule.id.clone(), message });
    }
}

fn apply(rule: &Rule, facts: &Facts, out: &mut Standing) {
    let gives = match &rule.demand {
        Demand::Words { facet, words } => Gives::Words(*facet, words.clone()),
        Demand::Same { facet } => match facts.get(facet.tested()) {
            Some(Fact::Word(word)) => Gives::Words(*facet, vec![word.clone()]),
            Some(Fact::Words(words)) => Gives::Words(*facet, words.clone()),
            _ => return,
        },
        Demand::Positions { plate_groove, fillet, pipe_groove } => Gives::Positions {
            plate_groove: plate_groove.clone(),
            fillet: fillet.clone(),
            pipe_groove: pipe_groove.clone(),
        },
        Demand::Range { facet, min, max, min_excluded, max_excluded, joints } => match range(min, max, facts)
        {
            Some(range) => {
                let covered = Covered { min_excluded: *min_excluded, max_excluded: *max_excluded, ..range };
                Gives::Range { facet: *facet, covered, joints: joints.clone() }
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
        Demand::Doubt { facet, .. } => {
            out.doubts.push(doubt(rule, *facet));
            return;
        }
        _ => return,
    };
    out.grants.push(Grant { cited: Cited::of(rule), gives });
}

fn doubt(rule: &Rule, facet: Option<Facet>) -> Doubt {
    let joints = match &rule.demand {
        Demand::Doubt { joints, .. } => joints.clone(),
        _ => Vec::new(),
    };
    Doubt { facet, joints, rule: rule.id.clone(), message: rule.finding.clone() }
}

fn range(min: &Extent, max: &Extent, facts: &Facts) -> Option<Covered> {
    let max = both(max, facts)?;
    let max = (max.inch_m.is_finite() && max.metric_m.is_finite()).then_some(max);
    Some(Covered { min: both(min, facts)?, max, min_excluded: false, max_excluded: false })
}

/// The last day covered: the period runs from each use to the next, and a use
/// after it ended revives nothing.
fn time(code: &Code, test: &PassedTest, facts: &Facts, out: &mut Standing) {
    for rule in code.of_kind(RuleKind::Continuity) {
        match rule.demand {
            Demand::Months(_) | Demand::MonthsShort(_) if out.refused.is_none() => {
                let mut uses = test.uses.clone();
                uses.sort_unstable();
                let mut until = rule.demand.last_day(test.finished);
                for used in uses {
                    if until.is_some_and(|last| used > last) {
                        out.doubts.push(doubt(rule, Some(Facet::Continuity)));
                        break;
                    }
                    until = rule.demand.last_day(used);
                }
                out.until = until;
                out.until_note = rule.note.clone();
                out.continuity = Some(Cited::of(rule));
                out.because.push(Cited::of(rule));
            }
            Demand::Doubt { facet, .. } if rule.applies(facts) == Known::Yes => {
                out.doubts.push(doubt(rule, facet));
            }
            _ => {}
        }
    }
}

fn summarise(out: &mut Standing) {
    let grants = std::mem::take(&mut out.grants);
    for grant in &grants {
        out.because.push(grant.cited.clone());
        match &grant.gives {
            Gives::Words(facet, words) => {
                let list = match facet {
                    Facet::Process => &mut out.processes,
                    Facet::Transfer => &mut out.transfer_modes,
                    Facet::Progression => &mut out.progressions,
                    Facet::Backing => &mut out.backing,
                    _ => &mut out.fillers,
                };
                merge(list, words);
            }
            Gives::Positions { plate_groove, fillet, pipe_groove } => {
                merge(&mut out.positions.plate_groove, plate_groove);
                merge(&mut out.positions.fillet, fillet);
                pipe_groove.iter().for_each(|row| merge_row(&mut out.pipe_rows, row));
            }
            // Fillets have ranges of their own, never narrower than the grooves'.
            Gives::Range { joints, .. } if joints.iter().all(|j| j == "fillet") && !joints.is_empty() => {}
            Gives::Range { facet: Facet::Diameter, covered, .. } => {
                out.diameter = meet(out.diameter, *covered)
            }
            Gives::Range { covered, .. } => out.thickness = meet(out.thickness, *covered),
        }
    }
    out.grants = grants;
    out.pipe_rows.sort_by(|a, b| least_m(a).total_cmp(&least_m(b)));
    smallest_pipe(out);
    for list in [&mut out.positions.plate_groove, &mut out.positions.fillet, &mut out.positions.pipe_groove] {
        in_order(list);
    }
    out.pipe_rows.iter_mut().for_each(|row| in_order(&mut row.words));
}

/// The order in which the trade lists positions.
const POSITION_ORDER: [&str; 4] = ["F", "H", "V", "OH"];

fn merge(list: &mut Vec<String>, words: &[String]) {
    for word in words {
        if !list.contains(word) {
            list.push(word.clone());
        }
    }
}

fn in_order(list: &mut [String]) {
    list.sort_by_key(|p| POSITION_ORDER.iter().position(|o| o == p));
}

/// Rows of several coupons for the same pipe are one row.
fn merge_row(rows: &mut Vec<PipeRow>, row: &PipeRow) {
    let same = |r: &&mut PipeRow| {
        (r.from, r.from_excluded, &r.backing) == (row.from, row.from_excluded, &row.backing)
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
    Some(Covered { min, max, min_excluded, max_excluded: range.max_excluded || other.max_excluded })
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
        out.diameter = Some(Covered { min, max: None, min_excluded, max_excluded: false });
    }
    out.positions.pipe_groove = words;
}

impl Standing {
    /// Whether any grant of this facet speaks of this kind of joint.
    pub(crate) fn grants_of(&self, facet: Facet, joint: JointKind) -> impl Iterator<Item = &Grant> {
        self.grants.iter().filter(move |g| match &g.gives {
            Gives::Words(f, _) => *f == facet,
            Gives::Positions { .. } => facet == Facet::Position,
            Gives::Range { facet: f, joints, .. } => {
                *f == facet && (joints.is_empty() || joints.iter().any(|j| j == joint.word()))
            }
        })
    }
}
