//! One rule of a code: where it is written, when it applies, what it demands
//! and how it answers.
//!
//! A rule is a question about facts with a three-valued answer. It contains no
//! number of its own; all come from `codes/*.toml`.

use bendproof_measure::{Quantity, System};
use jiff::ToSpan;
use jiff::civil::Date;

use super::allowed::Allowed;
use super::extent::{Extent, Pair, is_over, is_under};
use super::fact::{Fact, FactAnswer, Facts};
use super::spans::{Most, Stretch};
use crate::words::{Basis, Claim, Counted, Facet, RuleKind, Status, Verdict};

/// What a clause says whose number in this edition nobody here has seen.
const NUMBER_NOT_KNOWN: &str = "number not known";

/// A rule with everything the data says about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Never reused; named after what it finds.
    pub id: String,
    /// Short title.
    pub title: String,
    /// What a finding says; `{measured}` and `{limit}` stand for the values.
    pub finding: String,
    /// Status that the data state; absent where [`Rule::status`] earns it.
    pub stated: Option<Status>,
    /// The earliest edition of the code known to have it, where one is.
    pub since: Option<String>,
    /// The last edition known to have it, where a later one differs.
    pub until: Option<String>,
    /// Clause, table or figure; says so where its number is not known.
    pub clause: String,
    /// Edition of the code this record is for.
    pub edition: String,
    /// What the rule is about.
    pub kind: RuleKind,
    /// Conditions; all must hold for the rule to apply.
    pub when: Vec<Condition>,
    /// What it demands or grants.
    pub demand: Demand,
    /// Where the value was read.
    pub source: String,
    /// How well it is known.
    pub basis: Basis,
    /// Anything a reader should know besides.
    pub note: Option<String>,
    /// Related rules of the same code.
    pub see: Vec<String>,
    /// The code's own limit, where a shop holds to a stricter one.
    pub tightened_from: Option<String>,
    /// Worked cases, at least one that passes and one that fails.
    pub cases: Vec<Case>,
}

/// One worked case of a rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// What the rule must answer.
    pub claim: Claim,
    /// The case in words.
    pub name: String,
    /// What is known in it.
    pub facts: Facts,
}

/// One condition on one fact.
#[derive(Debug, Clone, PartialEq)]
pub struct Condition {
    /// The fact's name.
    pub fact: &'static str,
    /// What must hold.
    pub test: Test,
}

/// What a condition asks of its fact.
#[derive(Debug, Clone, PartialEq)]
pub enum Test {
    /// The word is one of these.
    OneOf(Vec<String>),
    /// The word is none of these.
    NotOneOf(Vec<String>),
    /// The flag is this.
    Flag(bool),
    /// The list has at least one of these.
    AnyOf(Vec<String>),
    /// The list has all of these.
    AllOf(Vec<String>),
    /// The list has none of these.
    NoneOf(Vec<String>),
    /// The size lies within bounds; an open end is absent.
    Size {
        /// Greater than.
        over: Option<Extent>,
        /// Not less than.
        at_least: Option<Extent>,
        /// Not greater than.
        at_most: Option<Extent>,
        /// Less than.
        under: Option<Extent>,
    },
    /// The number lies within bounds.
    Number {
        /// Not less than.
        at_least: Option<f64>,
        /// Less than.
        under: Option<f64>,
    },
}

/// Positions granted for pipe grooves, possibly only from some diameter up or
/// with some backing.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeRow {
    /// Positions, as F, H, V, OH.
    pub words: Vec<String>,
    /// Least diameter; absent when the diameter is ruled elsewhere.
    pub from: Option<Pair>,
    /// The least diameter itself is outside.
    pub from_excluded: bool,
    /// Backings the row is limited to; empty for no limit.
    pub backing: Vec<String>,
    /// Only where the pipe is turned while it is welded.
    pub rotated: bool,
}

/// A set of specimens; several sets in a rule are alternatives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// Face bends.
    pub face: u32,
    /// Root bends.
    pub root: u32,
    /// Side bends.
    pub side: u32,
    /// Tension pieces.
    pub tension: u32,
    /// Nick-break pieces.
    pub nick_break: u32,
}

/// What a rule demands or grants.
#[derive(Debug, Clone, PartialEq)]
pub enum Demand {
    /// The fact is not greater than the limit; of a list, none of it.
    AtMost {
        /// The fact measured.
        fact: &'static str,
        /// The limit.
        limit: Extent,
        /// Verdict when it is.
        breach: Verdict,
    },
    /// The fact is not less than the limit.
    AtLeast {
        /// The fact measured.
        fact: &'static str,
        /// The limit.
        limit: Extent,
        /// Verdict when it is.
        breach: Verdict,
    },
    /// The openings of one strap that lie over `over` and not over `up_to` add
    /// to no more than `at_most`.
    Sum {
        /// Openings of this length and less are not counted.
        over: Pair,
        /// Longer openings are judged one by one instead.
        up_to: Pair,
        /// Limit of the sum.
        at_most: Pair,
        /// Verdict on breach.
        breach: Verdict,
    },
    /// Of a set of straps no more than so many have an opening over the limit.
    StrapsOver {
        /// Openings of this length and less do not count against a strap.
        limit: Pair,
        /// How many straps may have a longer one.
        at_most: u32,
        /// How many straps make the set; fewer decide only against it.
        of: u32,
        /// Verdict when more have one.
        breach: Verdict,
    },
    /// Of things along a weld no more than so much lies in any stretch of it.
    Within {
        /// The list.
        fact: &'static str,
        /// Which of them count together.
        stretch: Stretch,
        /// How much or how many may.
        most: Most,
        /// Verdict on breach.
        breach: Verdict,
    },
    /// The flag has this value.
    Flag {
        /// The fact asked.
        fact: &'static str,
        /// The value wanted.
        wanted: bool,
        /// Verdict when it has the other.
        breach: Verdict,
    },
    /// What the conditions describe is not counted.
    Ignore,
    /// These words are covered.
    Words {
        /// What the words are about.
        facet: Facet,
        /// The words.
        words: Vec<String>,
        /// Joints they hold for; empty for all.
        joints: Vec<String>,
        /// Backings of a groove they hold for; empty for all.
        backing: Vec<String>,
    },
    /// What was tested is covered, and nothing else.
    Same {
        /// What is compared.
        facet: Facet,
    },
    /// Positions covered.
    Positions {
        /// Groove welds in plate.
        plate_groove: Vec<String>,
        /// Fillet welds.
        fillet: Vec<String>,
        /// Groove welds in pipe.
        pipe_groove: Vec<PipeRow>,
        /// Fillet welds on pipe, where the code tells them from those on plate.
        pipe_fillet: Option<Vec<PipeRow>>,
    },
    /// Sizes covered, ends included unless said.
    Range {
        /// Thickness or diameter.
        facet: Facet,
        /// Least.
        min: Extent,
        /// Greatest.
        max: Extent,
        /// The least itself is outside.
        min_excluded: bool,
        /// The greatest itself is outside.
        max_excluded: bool,
        /// Joints it limits; empty for all.
        joints: Vec<String>,
    },
    /// Months of disuse after which the qualification ends; the day that many
    /// months on is still covered.
    Months(i32, Counted),
    /// Months after which the qualification ends, used or not; that day is
    /// still covered.
    Ends {
        /// How many.
        months: i32,
        /// A renewal starts them again.
        renewable: bool,
    },
    /// A sentence for whoever asks; the rule's finding is the sentence.
    Says,
    /// What the conditions describe is outside the code's tests.
    Refuse,
    /// What the conditions describe is disputed or not known.
    Doubt {
        /// What the doubt is about; absent when about the whole.
        facet: Option<Facet>,
        /// Joints it is about; empty for all.
        joints: Vec<String>,
        /// Backings of a groove it is about; empty for all.
        backing: Vec<String>,
        /// Words asked for that it is about; empty for all.
        words: Vec<String>,
        /// Only sizes over this; absent for all.
        over: Option<Extent>,
    },
    /// How far a variable of a procedure may go from its record.
    Variable(Allowed),
    /// Specimens, any one of these sets.
    Counts(Vec<Counts>),
    /// Whether a film may stand for those specimens.
    Film {
        /// It may; else it never does, whatever another rule grants.
        stands: bool,
    },
    /// Size of a strap.
    Strap {
        /// Nominal width.
        width: Extent,
        /// Least length.
        length: Extent,
        /// Greatest thickness as bent.
        thickness: Extent,
        /// Greatest radius on the long edges.
        edge_radius: Extent,
    },
    /// Dimensions of the bending jig.
    Jig {
        /// Former diameter.
        a: Extent,
        /// Former radius.
        b: Extent,
        /// Clear gap between the shoulders or rollers.
        c: Extent,
        /// Half that gap.
        d: Extent,
    },
    /// Where straps lie.
    Layout {
        /// Kinds in order along the plate or clockwise around the pipe.
        order: Vec<String>,
        /// Degrees clockwise from the top; empty for plate.
        angles_deg: Vec<f64>,
        /// Cut off and thrown away at each end of a plate.
        discard: Option<Pair>,
    },
}

/// A rule's answer about some facts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// What it demands is met, or what it grants covers the question.
    Pass,
    /// It is not.
    Fail,
    /// The conditions do not hold.
    NotApplicable,
    /// The named fact is missing.
    Missing(&'static str),
}

impl From<FactAnswer> for Answer {
    fn from(known: FactAnswer) -> Self {
        match known {
            FactAnswer::Yes => Answer::Pass,
            FactAnswer::No => Answer::Fail,
            FactAnswer::Missing(fact) => Answer::Missing(fact),
        }
    }
}

impl Rule {
    /// Whether it is a shop's: tightened by it, or its own.
    pub fn is_shops(&self) -> bool {
        self.tightened_from.is_some() || is_shops(&self.id)
    }

    /// Where the rule stands in its life: as the data state it, or else stable
    /// where its basis bears that and the number of its clause is known.
    pub fn status(&self) -> Status {
        let is_borne = !matches!(self.basis, Basis::Memory | Basis::Practice);
        let has_number = !self.clause.contains(NUMBER_NOT_KNOWN);
        let earned = if is_borne && has_number { Status::Stable } else { Status::Unverified };
        self.stated.unwrap_or(earned)
    }

    /// Whether the conditions hold.
    pub fn applies(&self, facts: &Facts) -> FactAnswer {
        FactAnswer::all(self.when.iter().map(|c| c.holds(facts)))
    }

    /// How many of its conditions wait for a fact not given.
    pub(crate) fn waits_for(&self, facts: &Facts) -> usize {
        self.when.iter().filter(|c| matches!(c.holds(facts), FactAnswer::Missing(_))).count()
    }

    /// Answers about some facts.
    pub fn ask(&self, facts: &Facts) -> Answer {
        let applies = self.applies(facts);
        match (&self.demand, applies) {
            (Demand::Ignore | Demand::Says | Demand::Film { stands: true }, _) => applies.into(),
            (Demand::Variable(allowed), _) if allowed.is_bare() => applies.not().into(),
            (Demand::Variable(allowed), _) if allowed.is_free() => applies.into(),
            (Demand::Refuse | Demand::Doubt { .. } | Demand::Film { .. }, _) => applies.not().into(),
            (_, FactAnswer::No) => Answer::NotApplicable,
            (_, FactAnswer::Missing(fact)) => Answer::Missing(fact),
            (demand, FactAnswer::Yes) => demand.met(facts).into(),
        }
    }
}

impl Condition {
    pub(crate) fn holds(&self, facts: &Facts) -> FactAnswer {
        let Some(fact) = facts.get(self.fact) else { return FactAnswer::Missing(self.fact) };
        match (&self.test, fact) {
            (Test::OneOf(words), Fact::Word(word)) => words.contains(word).into(),
            (Test::NotOneOf(words), Fact::Word(word)) => (!words.contains(word)).into(),
            (Test::Flag(wanted), Fact::Flag(flag)) => (wanted == flag).into(),
            (Test::AnyOf(words), Fact::Words(list)) => list.iter().any(|w| words.contains(w)).into(),
            (Test::AllOf(words), Fact::Words(list)) => words.iter().all(|w| list.contains(w)).into(),
            (Test::NoneOf(words), Fact::Words(list)) => (!list.iter().any(|w| words.contains(w))).into(),
            (Test::Size { over, at_least, at_most, under }, Fact::Measure(size)) => {
                let exceeds = |e: &Extent| e.exceeded_by(size, facts);
                let falls_under = |e: &Extent| e.undercut_by(size, facts);
                FactAnswer::all(
                    [
                        over.as_ref().map(exceeds),
                        at_least.as_ref().map(|e| falls_under(e).not()),
                        at_most.as_ref().map(|e| exceeds(e).not()),
                        under.as_ref().map(falls_under),
                    ]
                    .into_iter()
                    .flatten(),
                )
            }
            (Test::Number { at_least, under }, Fact::Number(n)) => {
                (at_least.is_none_or(|least| *n >= least) && under.is_none_or(|top| *n < top)).into()
            }
            // Loading refuses a test that does not suit its fact.
            _ => FactAnswer::Missing(self.fact),
        }
    }
}

impl Demand {
    /// Whether facts meet the demand, its conditions aside.
    fn met(&self, facts: &Facts) -> FactAnswer {
        match self {
            Demand::AtMost { fact, limit, .. } => at_most(fact, limit, facts),
            Demand::AtLeast { fact, limit, .. } => at_least(fact, limit, facts),
            Demand::Sum { over, up_to, at_most, .. } => {
                let Some(Fact::Measures(openings)) = facts.get("openings") else {
                    return FactAnswer::Missing("openings");
                };
                let (sum, limit) = counted_sum(openings, over, up_to, at_most);
                (!is_over(&sum, limit.si)).into()
            }
            Demand::StrapsOver { limit, at_most, of, .. } => match facts.get("longest_openings") {
                Some(Fact::Measures(longest)) => straps_over(longest, limit, *at_most, *of),
                _ => FactAnswer::Missing("longest_openings"),
            },
            Demand::Within { fact, stretch, most, .. } => stretch.holds(fact, most, facts),
            Demand::Flag { fact, wanted, .. } => match facts.get(fact) {
                Some(Fact::Flag(flag)) => (flag == wanted).into(),
                _ => FactAnswer::Missing(fact),
            },
            Demand::Ignore | Demand::Says | Demand::Refuse | Demand::Doubt { .. } | Demand::Film { .. } => {
                FactAnswer::Yes
            }
            Demand::Words { facet, words, joints, backing } => {
                let limits = [("ask_joint", joints), ("ask_backing", backing)];
                let limits = limits.into_iter().filter(|(_, words)| !words.is_empty());
                let asked = std::iter::once((facet.asked(), words)).chain(limits);
                FactAnswer::all(asked.map(|(fact, words)| asked_among(fact, words, facts)))
            }
            Demand::Variable(allowed) => allowed.met(facts),
            Demand::Same { facet } => match (facts.get(facet.tested()), facts.get(facet.asked())) {
                (Some(tested), Some(asked)) => (tested == asked).into(),
                (None, _) => FactAnswer::Missing(facet.tested()),
                (_, None) => FactAnswer::Missing(facet.asked()),
            },
            Demand::Positions { .. } => self.position_met(facts),
            Demand::Range { facet, min, max, min_excluded, max_excluded, .. } => {
                let Some(asked) = facts.quantity(facet.asked()) else {
                    return FactAnswer::Missing(facet.asked());
                };
                let low = if *min_excluded {
                    min.exceeded_by(&asked, facts)
                } else {
                    min.undercut_by(&asked, facts).not()
                };
                let high = if *max_excluded {
                    max.undercut_by(&asked, facts)
                } else {
                    max.exceeded_by(&asked, facts).not()
                };
                FactAnswer::all([low, high].into_iter())
            }
            Demand::Months(..) => self.still_good("last_used", facts),
            Demand::Ends { .. } => self.still_good("last_renewed", facts),
            Demand::Counts(sets) => sets.iter().any(|set| set.met(facts)).into(),
            Demand::Strap { length, thickness, edge_radius, .. } => {
                let fits = at_most("strap_thickness", thickness, facts);
                let sizes = [at_least("strap_length", length, facts), fits];
                FactAnswer::all(sizes.into_iter().chain([at_most("edge_radius", edge_radius, facts)]))
            }
            // A larger former bends the strap less than the code's test does.
            Demand::Jig { a, .. } => at_most("former", a, facts),
            Demand::Layout { order, .. } => match facts.get("strap_order") {
                Some(Fact::Words(given)) => (given == order).into(),
                _ => FactAnswer::Missing("strap_order"),
            },
        }
    }

    /// Last day covered when the period began on `from`; `None` when this
    /// demand sets no period or the day lies past the calendar's end.
    pub(crate) fn last_day(&self, from: Date) -> Option<Date> {
        match self {
            Demand::Months(months, _) | Demand::Ends { months, .. } => from.checked_add(months.months()).ok(),
            _ => None,
        }
    }

    fn still_good(&self, began: &'static str, facts: &Facts) -> FactAnswer {
        let (Some(Fact::Day(last)), Some(Fact::Day(asked))) = (facts.get(began), facts.get("ask_day")) else {
            return FactAnswer::Missing(began);
        };
        // A day past the calendar's end is not a lapse.
        self.last_day(*last).map_or(FactAnswer::Yes, |until| (*asked <= until).into())
    }

    /// Whether positions granted hold for the joint asked about.
    pub(crate) fn position_met(&self, facts: &Facts) -> FactAnswer {
        let Demand::Positions { plate_groove, fillet, pipe_groove, pipe_fillet } = self else {
            return FactAnswer::No;
        };
        let Some(Fact::Word(joint)) = facts.get("ask_joint") else { return FactAnswer::Missing("ask_joint") };
        let Some(Fact::Word(position)) = facts.get("ask_position") else {
            return FactAnswer::Missing("ask_position");
        };
        let on_pipe = |rows: &[PipeRow]| FactAnswer::any(rows.iter().map(|row| row.covers(position, facts)));
        match (joint.as_str(), pipe_fillet) {
            ("plate_groove", _) => plate_groove.contains(position).into(),
            // A fillet is on pipe where a diameter is given.
            ("fillet", Some(rows)) if facts.get("ask_diameter").is_some() => on_pipe(rows),
            ("fillet", _) => fillet.contains(position).into(),
            _ => on_pipe(pipe_groove),
        }
    }
}

impl PipeRow {
    /// Whether the row grants a position for the diameter, backing and turning
    /// asked about.
    pub(crate) fn covers(&self, position: &str, asked: &Facts) -> FactAnswer {
        if !self.words.iter().any(|w| w == position) {
            return FactAnswer::No;
        }
        let large_enough = match (self.from, asked.quantity("ask_diameter")) {
            (None, _) => FactAnswer::Yes,
            (Some(_), None) => FactAnswer::Missing("ask_diameter"),
            (Some(from), Some(d)) => {
                let limit = from.in_system(d.system).si;
                if self.from_excluded { is_over(&d, limit).into() } else { (!is_under(&d, limit)).into() }
            }
        };
        let backed = match self.backing.is_empty() {
            true => FactAnswer::Yes,
            false => asked_among("ask_backing", &self.backing, asked),
        };
        let turned = match asked.get("ask_rotated") {
            _ if !self.rotated => FactAnswer::Yes,
            Some(Fact::Flag(turned)) => (*turned).into(),
            _ => FactAnswer::Missing("ask_rotated"),
        };
        FactAnswer::all([large_enough, backed, turned].into_iter())
    }
}

fn asked_among(fact: &'static str, words: &[String], facts: &Facts) -> FactAnswer {
    match facts.get(fact) {
        Some(Fact::Word(word)) => words.contains(word).into(),
        _ => FactAnswer::Missing(fact),
    }
}

impl Counts {
    fn met(&self, facts: &Facts) -> bool {
        let has = |name, needed: u32| match facts.get(name) {
            Some(Fact::Number(n)) => *n >= f64::from(needed),
            _ => needed == 0,
        };
        has("face", self.face)
            && has("root", self.root)
            && has("side", self.side)
            && has("tension", self.tension)
            && has("nick_break", self.nick_break)
    }
}

/// Of a list each one is compared.
fn at_most(fact: &'static str, limit: &Extent, facts: &Facts) -> FactAnswer {
    match facts.get(fact) {
        Some(Fact::Measure(measured)) => limit.exceeded_by(measured, facts).not(),
        Some(Fact::Spans(list)) => {
            FactAnswer::all(list.iter().map(|span| limit.exceeded_by(&span.length, facts).not()))
        }
        _ => FactAnswer::Missing(fact),
    }
}

fn at_least(fact: &'static str, limit: &Extent, facts: &Facts) -> FactAnswer {
    match facts.quantity(fact) {
        Some(measured) => limit.undercut_by(&measured, facts).not(),
        None => FactAnswer::Missing(fact),
    }
}

/// Too many cracked straps decide at once; few enough decide only with the set
/// complete.
fn straps_over(longest: &[Quantity], limit: &Pair, at_most: u32, of: u32) -> FactAnswer {
    let over = longest.iter().filter(|l| is_over(l, limit.in_system(l.system).si)).count();
    if over > at_most as usize {
        FactAnswer::No
    } else if longest.len() < of as usize {
        FactAnswer::Missing("rest_of_the_set")
    } else {
        FactAnswer::Yes
    }
}

/// The sum of the counted openings and the limit it is compared with.
///
/// Each opening is counted by the bounds of the system it was read in. When a
/// strap mixes systems the stricter of the two sum limits holds.
pub(crate) fn counted_sum(
    openings: &[Quantity],
    over: &Pair,
    up_to: &Pair,
    at_most: &Pair,
) -> (Quantity, Quantity) {
    let counted: Vec<&Quantity> = openings
        .iter()
        .filter(|o| is_over(o, over.in_system(o.system).si) && !is_over(o, up_to.in_system(o.system).si))
        .collect();
    // With nothing counted the sum of zero still speaks in the system of the strap.
    let read: Vec<&Quantity> = if counted.is_empty() { openings.iter().collect() } else { counted.clone() };
    let any_inch = read.iter().any(|o| o.system == System::Inch);
    let any_metric = read.iter().any(|o| o.system != System::Inch);
    let system = match (any_inch, any_metric) {
        (true, true) if at_most.metric_si < at_most.inch_si => System::Metric,
        (true, _) => System::Inch,
        _ => System::Metric,
    };
    let sum = Quantity { si: counted.iter().map(|o| o.si).sum(), kind: at_most.kind, system };
    (sum, at_most.in_system(system))
}

pub(crate) fn breach_of(demand: &Demand) -> Option<Verdict> {
    match demand {
        Demand::AtMost { breach, .. }
        | Demand::AtLeast { breach, .. }
        | Demand::Sum { breach, .. }
        | Demand::StrapsOver { breach, .. }
        | Demand::Within { breach, .. }
        | Demand::Flag { breach, .. } => Some(*breach),
        Demand::Doubt { .. } => Some(Verdict::NotCovered),
        _ => None,
    }
}

/// How the id of every rule of a shop's own begins.
pub const SHOP_PREFIX: &str = "shop-";

/// Whether a rule is a shop's own. What such a rule is content with, the code
/// has not thereby spoken of.
pub(crate) fn is_shops(id: &str) -> bool {
    id.starts_with(SHOP_PREFIX)
}
