//! Which specimens a coupon needs, how large they are, where they are cut and
//! on which jig they are bent.
//!
//! Answers "not known" where the rule data have no row; invents no specimen.

use bendproof_measure::{Kind, Quantity, System};
use bendproof_weld::{Position, Process, Transfer};

use super::bend::Strap;
use super::finding::{Finding, ignored, unknown};
use crate::catalogue::Code;
use crate::rule::{Both, Cited, Counts, Demand, Fact, FactAnswer, Facts, Rule, both, positive};
use crate::words::{Basis, Purpose, RuleKind, StrapKind, TestShape, Verdict};

/// A coupon as far as its specimens depend on it.
#[derive(Debug, Clone, PartialEq)]
pub struct Coupon {
    /// Welder's skill or procedure.
    pub purpose: Purpose,
    /// Plate or pipe.
    pub shape: TestShape,
    /// Position of the test.
    pub position: Position,
    /// Plate thickness or pipe wall.
    pub thickness: Quantity,
    /// Weld metal put in with the process tested; the thickness when absent.
    pub deposit: Option<Quantity>,
    /// Outside diameter of pipe.
    pub outside_diameter: Option<Quantity>,
    /// Nominal pipe size, where stated.
    pub nominal_size: Option<Quantity>,
    /// Least specified yield strength of the base metal.
    pub yield_strength: Option<Quantity>,
    /// Elongation in per cent.
    pub elongation_percent: Option<f64>,
    /// How it was welded, where that is known; what a film may stand for asks it.
    pub welded: Option<Welded>,
}

/// How a coupon was welded, as far as its examination depends on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Welded {
    /// The process.
    pub process: Process,
    /// Metal transfer.
    pub transfer: Option<Transfer>,
    /// Filler type by ISO 9606-1, where known.
    pub filler_type: Option<String>,
    /// Another process, or this one with another transfer, welded part of it.
    pub is_shared: bool,
}

/// What was examined of a coupon other than its bends.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OtherExams {
    /// Tension pieces.
    pub tension: u32,
    /// Nick-break pieces.
    pub nick_break: u32,
    /// The weld was radiographed.
    pub is_radiographed: bool,
    /// Length of weld on the longest film, where any states its length.
    pub filmed: Option<Quantity>,
}

/// Size of one kind of strap.
#[derive(Debug, Clone, PartialEq)]
pub struct StrapSize {
    /// Face, root or side.
    pub kind: StrapKind,
    /// Nominal width.
    pub width: Both,
    /// Least length.
    pub length: Both,
    /// Thickness as bent.
    pub thickness: Both,
    /// Greatest radius on the long edges.
    pub edge_radius: Both,
    /// The rule.
    pub because: Cited,
}

/// The bending jig for one kind of strap.
#[derive(Debug, Clone, PartialEq)]
pub struct Jig {
    /// Former diameter.
    pub a: Both,
    /// Former radius.
    pub b: Both,
    /// Clear gap between shoulders.
    pub c: Both,
    /// Half that gap.
    pub d: Both,
    /// The rule.
    pub because: Cited,
}

/// Where one strap is cut.
#[derive(Debug, Clone, PartialEq)]
pub struct StrapPlace {
    /// Face, root, side, or another specimen's word.
    pub kind: String,
    /// Start and end along a plate from the first end of the weld, in the least
    /// plate that holds them all; absent on pipe.
    pub along_m: Option<(f64, f64)>,
    /// Degrees clockwise from the top of the pipe; absent on plate.
    pub clock_deg: Option<f64>,
}

/// One rule's arrangement of straps.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// The straps in order.
    pub places: Vec<StrapPlace>,
    /// Thrown away at each end of a plate.
    pub discard: Option<Both>,
    /// The rule; its basis says whether this is the code's or practice.
    pub because: Cited,
}

/// Everything about the specimens of one coupon.
#[derive(Debug, Clone, PartialEq)]
pub struct SpecimenPlan {
    /// The code.
    pub code: String,
    /// Sets that satisfy the code; any one of them. Empty when not known.
    pub sets: Vec<Counts>,
    /// Strap sizes.
    pub straps: Vec<StrapSize>,
    /// Jigs, one per strap kind that has a row.
    pub jigs: Vec<(StrapKind, Jig)>,
    /// Arrangements, one per set that has one.
    pub layouts: Vec<Layout>,
    /// Rules behind the counts.
    pub because: Vec<Cited>,
    /// What the code says besides: which examinations the test needs.
    pub says: Vec<String>,
    /// What is not known or disputed.
    pub doubts: Vec<SpecimenDoubt>,
}

/// Something about the specimens that is not known or disputed.
#[derive(Debug, Clone, PartialEq)]
pub struct SpecimenDoubt {
    /// The rule that leaves it open; `None` where no rule speaks of the coupon.
    pub because: Option<Cited>,
    /// The doubt as a sentence.
    pub message: String,
}

impl SpecimenDoubt {
    /// With the rule's id before it, where there is one.
    pub fn text(&self) -> String {
        match &self.because {
            Some(cited) => format!("{}: {}", cited.rule, self.message),
            None => self.message.clone(),
        }
    }
}

/// Says which specimens a coupon needs under a code.
///
/// A thickness that is not a positive length gives an empty plan with a doubt.
pub fn specimens(code: &Code, coupon: &Coupon) -> SpecimenPlan {
    let facts = coupon_facts(code, coupon);
    let (mut because, mut says, mut doubts, mut sets) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let doubt = |rule, message| SpecimenDoubt { because: Some(Cited::of(rule)), message };
    for rule in code.of_kind(RuleKind::Specimens) {
        match (&rule.demand, rule.applies(&facts)) {
            // A sentence that waits for something says itself what it waits for.
            (Demand::Says, FactAnswer::Yes | FactAnswer::Missing(_))
            | (Demand::Film { .. }, FactAnswer::Yes) => {
                says.push(rule.finding.clone());
            }
            // Two rules wait for the same fact; the set itself does not.
            (Demand::Film { .. }, FactAnswer::Missing(_)) => {}
            (Demand::Counts(counts), FactAnswer::Yes) => {
                sets.extend_from_slice(counts);
                because.push(Cited::of(rule));
            }
            // So does a doubt.
            (Demand::Doubt { .. } | Demand::Refuse, FactAnswer::Yes)
            | (Demand::Doubt { .. }, FactAnswer::Missing(_)) => {
                doubts.push(doubt(rule, rule.finding.clone()));
            }
            (_, FactAnswer::Missing(fact)) => {
                doubts.push(doubt(rule, format!("enter {}", fact.replace('_', " "))));
            }
            _ => {}
        }
    }
    if sets.is_empty() && doubts.is_empty() {
        let message = format!("no specimen rule of {} in this program applies to this coupon", code.short);
        doubts.push(SpecimenDoubt { because: None, message });
    }
    let kinds: Vec<StrapKind> = StrapKind::ALL.iter().copied().filter(|k| uses(&sets, *k)).collect();
    let straps: Vec<StrapSize> = kinds.iter().filter_map(|k| strap_size(code, coupon, &facts, *k)).collect();
    let jigs = kinds.iter().filter_map(|k| Some((*k, jig_for(code, coupon, &straps, *k)?))).collect();
    let layouts = layouts(code, &facts, &sets, &straps, coupon.thickness.system);
    SpecimenPlan { code: code.id.clone(), sets, straps, jigs, layouts, because, says, doubts }
}

/// The jig for a strap of this thickness, or `None` when no row of the code is
/// known to apply.
pub fn jig(
    code: &Code,
    strap_thickness: Quantity,
    yield_strength: Option<Quantity>,
    elongation_percent: Option<f64>,
) -> Option<Jig> {
    let mut facts = Facts::default();
    facts.measure("strap_thickness", Some(strap_thickness)).measure("yield_strength", yield_strength);
    if let Some(percent) = elongation_percent {
        facts.set("elongation", Fact::Number(percent));
    }
    code.of_kind(RuleKind::Jig).find_map(|rule| {
        let Demand::Jig { a, b, c, d } = &rule.demand else { return None };
        (rule.applies(&facts) == FactAnswer::Yes).then_some(())?;
        Some(Jig {
            a: both(a, &facts)?,
            b: both(b, &facts)?,
            c: both(c, &facts)?,
            d: both(d, &facts)?,
            because: Cited::of(rule),
        })
    })
}

fn uses(sets: &[Counts], kind: StrapKind) -> bool {
    sets.iter().any(|set| set.of(kind) > 0)
}

impl Counts {
    /// All pieces together.
    pub fn pieces(&self) -> u32 {
        self.face + self.root + self.side + self.tension + self.nick_break
    }

    /// What is asked here beyond what was made.
    fn beyond(&self, made: &Counts) -> Counts {
        Counts {
            face: self.face.saturating_sub(made.face),
            root: self.root.saturating_sub(made.root),
            side: self.side.saturating_sub(made.side),
            tension: self.tension.saturating_sub(made.tension),
            nick_break: self.nick_break.saturating_sub(made.nick_break),
        }
    }

    /// Bends of one kind.
    pub fn of(&self, kind: StrapKind) -> u32 {
        match kind {
            StrapKind::Face => self.face,
            StrapKind::Root => self.root,
            StrapKind::Side => self.side,
        }
    }
}

fn coupon_facts(code: &Code, coupon: &Coupon) -> Facts {
    let mut facts = Facts::default();
    if let Some(welded) = &coupon.welded {
        welded.tell(code, &mut facts);
    }
    facts
        .word("purpose", coupon.purpose.word())
        .word("shape", coupon.shape.word())
        .set("positions", Fact::Words(vec![coupon.position.word().to_owned()]))
        .measure("thickness", positive(Some(coupon.thickness)))
        .measure("deposit", positive(Some(coupon.deposit.unwrap_or(coupon.thickness))))
        .measure("outside_diameter", positive(coupon.outside_diameter))
        .measure("pipe_size", positive(coupon.nominal_size.or(coupon.outside_diameter)))
        .measure("yield_strength", coupon.yield_strength)
        .flag("nominal_stated", coupon.nominal_size.is_some());
    facts
}

impl Welded {
    /// In the code's own names, as a passed test tells them.
    fn tell(&self, code: &Code, facts: &mut Facts) {
        match code.names.of_process(self.process, self.filler_type.as_deref()).as_slice() {
            [only] => facts.word("process", *only),
            _ => facts.word("process", self.process.word()),
        };
        facts.transfer(self.process, self.transfer).flag("shared", self.is_shared);
    }
}

fn strap_size(code: &Code, coupon: &Coupon, facts: &Facts, kind: StrapKind) -> Option<StrapSize> {
    let mut facts = facts.clone();
    facts.word("strap_kind", kind.word()).measure("wall", positive(Some(coupon.thickness)));
    code.of_kind(RuleKind::Strap).find_map(|rule| {
        let Demand::Strap { width, length, thickness, edge_radius } = &rule.demand else { return None };
        (rule.applies(&facts) == FactAnswer::Yes).then_some(())?;
        Some(StrapSize {
            kind,
            width: both(width, &facts)?,
            length: both(length, &facts)?,
            thickness: both(thickness, &facts)?,
            edge_radius: both(edge_radius, &facts)?,
            because: Cited::of(rule),
        })
    })
}

/// How far a strap's thickness may lie from the rule's before it is spoken of,
/// in metres. Basis: choice; half a millimetre is what a steel rule tells
/// apart, and 3/8 in and 10 mm, one size to the codes, differ by less.
pub const STRAP_READING_M: f64 = 5e-4;

/// Least part of the rule's thickness that a strap may have. Basis: choice; a
/// former of four thicknesses stretches the outer fibre by a fifth, and a strap
/// of half that thickness by a ninth only, so its bend proves little.
pub const STRAP_LEAST_PART: f64 = 0.5;

/// What is said of a strap that is thicker than the strap rule allows, or so
/// thin that the former no longer strains it; `None` where it fits or where
/// the rule's thickness is not known.
pub(crate) fn thickness_finding(
    code: &Code,
    coupon: Option<&Coupon>,
    kind: StrapKind,
    strap: &Quantity,
) -> Option<Finding> {
    let mut facts = coupon.map(|coupon| coupon_facts(code, coupon)).unwrap_or_default();
    facts.word("strap_kind", kind.word());
    let rule = code.of_kind(RuleKind::Strap).find(|r| r.applies(&facts) == FactAnswer::Yes)?;
    let Demand::Strap { thickness, .. } = &rule.demand else { return None };
    let less = Quantity { si: strap.si - STRAP_READING_M, ..*strap };
    let limit = thickness.value(strap.system, &facts).map(|si| Quantity { si, ..*strap });
    let said = |q: &Quantity| bendproof_measure::say(q);
    let message = if thickness.exceeded_by(&less, &facts) == FactAnswer::Yes {
        let most = limit.map(|l| format!("the maximum is {}", said(&l)));
        let most = most.unwrap_or_else(|| "the rule's maximum is less".to_owned());
        format!(
            "the specimen is {} thick and {most}; plunger and strain no longer match the test",
            said(strap)
        )
    } else {
        let limit = limit.filter(|l| strap.si + STRAP_READING_M < l.si * STRAP_LEAST_PART)?;
        format!(
            "the specimen is {} thick, less than half of {}; the plunger for that thickness strains it too little to test the weld",
            said(strap),
            said(&limit)
        )
    };
    let (measured, basis, verdict) = (Some(*strap), Basis::Choice, Verdict::NotCovered);
    Some(Finding { limit, basis, verdict, message, ..ignored(rule, measured) })
}

fn jig_for(code: &Code, coupon: &Coupon, straps: &[StrapSize], kind: StrapKind) -> Option<Jig> {
    let size = straps.iter().find(|s| s.kind == kind)?;
    let system = coupon.thickness.system;
    let si = if system == System::Inch { size.thickness.inch_m } else { size.thickness.metric_m };
    let thickness = Quantity { si, kind: Kind::Length, system };
    jig(code, thickness, coupon.yield_strength, coupon.elongation_percent)
}

fn layouts(code: &Code, facts: &Facts, sets: &[Counts], straps: &[StrapSize], system: System) -> Vec<Layout> {
    let laid_out = |set: &Counts| {
        let mut facts = facts.clone();
        let counts = [("face", set.face), ("root", set.root), ("side", set.side)];
        for (name, count) in counts {
            facts.set(name, Fact::Number(f64::from(count)));
        }
        let rule = code.of_kind(RuleKind::Layout).find(|r| r.applies(&facts) == FactAnswer::Yes)?;
        layout(rule, straps, system)
    };
    sets.iter().filter_map(laid_out).collect()
}

fn layout(rule: &Rule, straps: &[StrapSize], system: System) -> Option<Layout> {
    let Demand::Layout { order, angles_deg, discard } = &rule.demand else { return None };
    let mut at_m = discard.map_or(0.0, |d| d.in_system(system).si);
    let mut places = Vec::new();
    for (n, kind) in order.iter().enumerate() {
        let size = StrapKind::from_word(kind).and_then(|k| straps.iter().find(|s| s.kind == k));
        // A side strap takes its thickness of the weld's length, the others their width.
        let takes = size.map(|s| if s.kind == StrapKind::Side { s.thickness } else { s.width });
        let along_m = match (takes, angles_deg.is_empty()) {
            (Some(takes), true) => {
                let start = at_m;
                at_m += if system == System::Inch { takes.inch_m } else { takes.metric_m };
                Some((start, at_m))
            }
            _ => None,
        };
        places.push(StrapPlace { kind: kind.clone(), along_m, clock_deg: angles_deg.get(n).copied() });
    }
    let discard = discard.map(|d| Both { inch_m: d.inch_si, metric_m: d.metric_si });
    Some(Layout { places, discard, because: Cited::of(rule) })
}

/// Whether the pieces make up a set the code asks for.
pub(crate) fn set_finding(
    code: &Code,
    coupon: &Coupon,
    straps: &[Strap],
    others: &OtherExams,
) -> Vec<Finding> {
    let bent = |kind| straps.iter().filter(|s| s.kind == kind).count() as u32;
    let made = Counts {
        face: bent(StrapKind::Face),
        root: bent(StrapKind::Root),
        side: bent(StrapKind::Side),
        tension: others.tension,
        nick_break: others.nick_break,
    };
    let facts = set_facts(code, coupon, &made, others);
    let film = film(code, &facts, others);
    let mut findings = Vec::new();
    for rule in code.of_kind(RuleKind::Specimens) {
        match (&rule.demand, rule.applies(&facts)) {
            (Demand::Says | Demand::Film { .. }, _) => {}
            (_, FactAnswer::Missing(fact)) => findings.push(unknown(rule, fact)),
            (Demand::Counts(sets), FactAnswer::Yes) => {
                findings.extend(completeness(rule, sets, &made, &film));
            }
            (Demand::Doubt { .. } | Demand::Refuse, FactAnswer::Yes) => {
                let doubt = ignored(rule, None);
                findings.push(Finding { verdict: Verdict::NotCovered, ..doubt });
            }
            _ => {}
        }
    }
    findings
}

/// What a code asks of a coupon beyond the pieces that were made, by the set
/// that lacks least; `None` where nothing is lacking, where a film stands for
/// it, or where no rule here tells what is asked.
pub fn not_examined(code: &Code, coupon: &Coupon, made: &Counts, others: &OtherExams) -> Option<Counts> {
    let facts = coupon_facts(code, coupon);
    if let Film::Stands(_) = film(code, &facts, others) {
        return None;
    }
    let asked = code.of_kind(RuleKind::Specimens).filter(|rule| rule.applies(&facts) == FactAnswer::Yes);
    let lacking = asked.filter_map(|rule| match &rule.demand {
        Demand::Counts(sets) => lacking(sets, made),
        _ => None,
    });
    lacking.max_by_key(Counts::pieces).filter(|lacking| lacking.pieces() > 0)
}

/// Whether a code asks that a procedure test welded in these positions be
/// radiographed or the like besides its pieces.
pub fn asks_for_film(code: &Code, positions: &[String]) -> bool {
    let mut facts = Facts::default();
    facts
        .word("purpose", Purpose::Procedure.word())
        .set("positions", Fact::Words(positions.to_vec()))
        .set("examined", Fact::Words(Vec::new()));
    code.of_kind(RuleKind::Specimens).any(|rule| is_of_film(rule) && rule.applies(&facts) == FactAnswer::Yes)
}

/// Whether what this rule leaves open is a film that nobody made, and no bend.
pub fn is_of_film(rule: &Rule) -> bool {
    matches!(rule.demand, Demand::Doubt { .. }) && rule.when.iter().any(|c| c.fact == "examined")
}

/// What a film does for the mechanical set.
enum Film<'a> {
    /// Nothing: there is none, or no rule speaks of it.
    Silent,
    /// It stands for the set.
    Stands(&'a Rule),
    /// It does not, and these say why; a rule that waits for a fact names it.
    Not(Vec<Finding>),
}

/// One rule that refuses a film outweighs any that grants it, and so does one
/// that might.
fn film<'a>(code: &'a Code, facts: &Facts, others: &OtherExams) -> Film<'a> {
    if !others.is_radiographed {
        return Film::Silent;
    }
    let mut facts = facts.clone();
    let facts = facts.measure("weld_length", positive(others.filmed));
    let (mut granted, mut why) = (None, Vec::new());
    for rule in code.of_kind(RuleKind::Specimens) {
        match (&rule.demand, rule.applies(facts)) {
            (Demand::Film { stands: true }, FactAnswer::Yes) => granted = granted.or(Some(rule)),
            (Demand::Film { stands: false }, FactAnswer::Yes) => {
                why.push(Finding { verdict: Verdict::NotCovered, ..ignored(rule, None) });
            }
            (Demand::Film { .. }, FactAnswer::Missing(fact)) => why.push(unknown(rule, fact)),
            _ => {}
        }
    }
    match granted {
        Some(rule) if why.is_empty() => Film::Stands(rule),
        _ => Film::Not(why),
    }
}

fn set_facts(code: &Code, coupon: &Coupon, made: &Counts, others: &OtherExams) -> Facts {
    let mut facts = coupon_facts(code, coupon);
    let bends = made.face + made.root + made.side;
    let counts = [
        ("face", made.face),
        ("root", made.root),
        ("side", made.side),
        ("tension", made.tension),
        ("nick_break", made.nick_break),
    ];
    for (name, count) in counts {
        facts.set(name, Fact::Number(f64::from(count)));
    }
    let examined =
        [("bend", bends > 0), ("fracture", made.nick_break > 0), ("radiography", others.is_radiographed)];
    let examined = examined.iter().filter(|(_, is_done)| *is_done).map(|(name, _)| (*name).to_owned());
    facts.set("examined", Fact::Words(examined.collect()));
    facts
}

/// The set that lacks least of what it asks.
fn lacking(sets: &[Counts], made: &Counts) -> Option<Counts> {
    sets.iter().map(|set| set.beyond(made)).min_by_key(Counts::pieces)
}

/// Whether a set is complete. A film is spoken of only where pieces are lacking.
fn completeness(rule: &Rule, sets: &[Counts], made: &Counts, film: &Film<'_>) -> Vec<Finding> {
    let said = |verdict, message| Finding { verdict, message, ..ignored(rule, None) };
    let lacking = match lacking(sets, made) {
        Some(lacking) if lacking.pieces() == 0 => return vec![said(Verdict::Accept, rule.title.clone())],
        lacking => lacking,
    };
    let message = match lacking {
        Some(lacking) => format!("{}; not examined: {}", rule.finding, lacking.text()),
        None => rule.finding.clone(),
    };
    let open = said(Verdict::NotCovered, message);
    match film {
        Film::Stands(film) => vec![Finding { verdict: Verdict::Accept, ..ignored(film, None) }],
        Film::Not(why) => std::iter::once(open).chain(why.iter().cloned()).collect(),
        Film::Silent => vec![open],
    }
}
