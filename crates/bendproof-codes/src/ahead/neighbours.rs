//! Joints near a test, one step away in one direction, each put to the engine:
//! what would this test cover, and what would it not?
//!
//! The steps are the same under every code and name no limit. What is said of
//! them is the engine's answer and the rule's own sentence, so a new code file
//! needs no word here.

use bendproof_measure::{Kind, Quantity, System};
use bendproof_weld::{Position, Process, Progression, Transfer};

use crate::catalogue::Code;
use crate::held::{CoverAnswer, CoverReason, Joint, JointDetails, PassedTest, Standing, reasons};
use crate::rule::{Cited, Demand, Extent, Rule, Test};
use crate::words::{Counted, Facet, JointBacking, JointKind, JointPosition, RuleKind, TestShape};

/// What a code answers about some joints next to the test.
#[derive(Debug, Clone, PartialEq)]
pub struct Neighbour {
    /// The side on which they differ from the test.
    pub facet: Facet,
    /// What is varied, in words: `position in plate groove`.
    pub about: String,
    /// The values that get this answer: `F`, `H`.
    pub words: Vec<String>,
    /// The answer.
    pub answer: CoverAnswer,
    /// Why, as a sentence.
    pub why: String,
    /// Ids of the rules behind it.
    pub rules: Vec<String>,
}

impl Neighbour {
    /// The answer as one sentence: `backing open: the test had backing; …`.
    pub fn text(&self) -> String {
        format!("{} {}: {}", self.about, self.words.join(", "), self.why)
    }
}

/// A stretch of sizes with one answer, ends included, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Least size asked.
    pub from_m: f64,
    /// Greatest size asked.
    pub to_m: f64,
    /// The answer.
    pub answer: CoverAnswer,
}

/// Steps of the ladder of thicknesses. Basis: choice; 64 sixteenths are 4 in,
/// above which no welder test here tells anything new.
pub const THICKNESS_STEPS: u32 = 64;

/// One step of the ladder for readings in a system, in metres: 1/16 in, or
/// 1 mm. Basis: choice, the marks of the rule a welder reads.
pub fn thickness_step_m(system: System) -> f64 {
    if system == System::Inch { 0.0254 / 16.0 } else { 1e-3 }
}

/// Pipe so large that no code asks for larger, 60 in and 1500 mm. Basis: choice.
fn large_pipe(system: System) -> Quantity {
    let si = if system == System::Inch { 60.0 * 0.0254 } else { 1.5 };
    Quantity { si, kind: Kind::Length, system }
}

/// Whether the code's diameter rules count pipe by its nominal size; otherwise
/// by its outside diameter.
pub fn counts_nominal_pipe(code: &Code) -> bool {
    let names = |extent: &Extent| asks_of(extent, "pipe_size");
    code.of_kind(RuleKind::Standing).any(|rule| match &rule.demand {
        Demand::Range { facet: Facet::Diameter, min, max, .. } => {
            names(min) || names(max) || rule.when.iter().any(|c| c.fact == "pipe_size")
        }
        _ => false,
    })
}

/// Whether the code asks to which of its figures an open-root pipe was prepared.
pub fn asks_figure(code: &Code) -> bool {
    code.of_kind(RuleKind::Standing).any(|rule| rule.when.iter().any(|c| c.fact == "figure"))
}

/// Whether the code counts only work that somebody confirmed.
pub fn asks_confirmation(code: &Code) -> bool {
    code.of_kind(RuleKind::Continuity).any(|rule| match rule.demand {
        Demand::Months(_, counted) => counted == Counted::Confirmed,
        _ => false,
    })
}

fn asks_of(extent: &Extent, fact: &str) -> bool {
    match extent {
        Extent::Times { of, .. } => *of == fact,
        Extent::Smaller(parts) | Extent::Larger(parts) => parts.iter().any(|p| asks_of(p, fact)),
        Extent::Pair(_) | Extent::Unlimited => false,
    }
}

/// The production joint most like the test itself.
pub fn joint_like(code: &Code, test: &PassedTest) -> Joint {
    let position = test.positions.first().copied();
    let is_fillet = position.is_some_and(is_fillet);
    let kind = match (is_fillet, test.shape) {
        (true, _) => JointKind::Fillet,
        (false, TestShape::Plate) => JointKind::PlateGroove,
        (false, TestShape::Pipe) => JointKind::PipeGroove,
    };
    let nominal = test.nominal_size.filter(|_| counts_nominal_pipe(code));
    Joint {
        kind,
        position: position.map_or(JointPosition::Flat, production_position),
        process: test.process,
        transfer: test.transfer,
        thickness: Some(test.thickness),
        diameter: nominal.or(test.outside_diameter),
        backing: JointBacking::from_word(test.root()),
        progression: test.progressions.iter().copied().find(|p| *p != Progression::Level),
        filler: test.filler.clone(),
        day: None,
        details: JointDetails {
            fm_group: test.details.fm_group.clone(),
            filler_type: test.details.filler_type.clone(),
            layers: test.layers,
            deposit: None,
            base_metal: None,
            polarity: test.details.polarity,
            backing_gas: test.details.backing_gas,
            rotated: (test.shape == TestShape::Pipe).then_some(position == Some(Position::G1)),
        },
    }
}

fn is_fillet(position: Position) -> bool {
    use Position::*;
    matches!(position, F1 | F2 | F3 | F4 | F5)
}

/// The production position a test position is named after; a fixed pipe has
/// them all, and its sides rise.
pub(crate) fn production_position(position: Position) -> JointPosition {
    use Position::*;
    match position {
        G1 | F1 => JointPosition::Flat,
        G2 | F2 => JointPosition::Horizontal,
        G4 | F4 => JointPosition::Overhead,
        _ => JointPosition::Vertical,
    }
}

/// What the code answers about the joints next to a test, in the order of the
/// sides. A refused test has no neighbours; its standing says why.
pub fn neighbours(code: &Code, test: &PassedTest, standing: &Standing) -> Vec<Neighbour> {
    if standing.refused.is_some() {
        return Vec::new();
    }
    let home = joint_like(code, test);
    let system = test.thickness.system;
    let pipe = Joint { kind: JointKind::PipeGroove, diameter: Some(large_pipe(system)), ..home.clone() };
    let pipe_holds = reaches_position(standing, &pipe);
    let near = Near { code, standing, home, pipe_holds, system };
    let mut out = Vec::new();
    near.words(&mut out);
    near.positions(&mut out);
    near.sizes(&mut out);
    merged(out)
}

/// How far a standing reaches in thickness for a joint otherwise like `joint`,
/// of a base metal the test qualifies, asked at each mark of the rule; stretches
/// in order, without gap.
pub fn thickness_reach(standing: &Standing, joint: &Joint, system: System) -> Vec<Reach> {
    let step = thickness_step_m(system);
    let mut out: Vec<Reach> = Vec::new();
    for n in 1..=THICKNESS_STEPS {
        let at_m = f64::from(n) * step;
        let thickness = Some(Quantity { si: at_m, kind: Kind::Length, system });
        let joint = Joint { thickness, ..joint.clone() };
        let answer = match standing.refused {
            Some(_) => CoverAnswer::NotCovered,
            None => {
                let printed = reasons(standing, &joint, &|facet| facet != Facet::BaseMetal);
                printed.iter().map(|r| r.answer).max().unwrap_or(CoverAnswer::NotSure)
            }
        };
        match out.last_mut() {
            Some(last) if last.answer == answer => last.to_m = at_m,
            _ => out.push(Reach { from_m: at_m, to_m: at_m, answer }),
        }
    }
    out
}

struct Near<'a> {
    code: &'a Code,
    standing: &'a Standing,
    home: Joint,
    /// The test's own position is covered in pipe of some size.
    pipe_holds: bool,
    system: System,
}

fn reaches_position(standing: &Standing, joint: &Joint) -> bool {
    let of_position = |r: &&CoverReason| r.facet == Some(Facet::Position);
    let reasons = reasons(standing, joint, &|facet| facet == Facet::Position);
    reasons.iter().filter(of_position).all(|r| r.answer == CoverAnswer::Covered)
}

impl Near<'_> {
    fn words(&self, out: &mut Vec<Neighbour>) {
        let home = &self.home;
        for process in Process::ALL {
            let joint = Joint { process: *process, ..home.clone() };
            out.extend(self.ask(Facet::Process, "process", process.word(), &joint));
        }
        for transfer in Transfer::ALL.iter().filter(|_| home.process == Process::Gmaw) {
            let joint = Joint { transfer: Some(*transfer), ..home.clone() };
            out.extend(self.ask(Facet::Transfer, "transfer", transfer.word(), &joint));
        }
        for backing in JointBacking::ALL {
            let joint = Joint { backing: Some(*backing), ..home.clone() };
            out.extend(self.ask(Facet::Backing, "backing", backing.word(), &joint));
        }
        for progression in [Progression::Uphill, Progression::Downhill] {
            let position = JointPosition::Vertical;
            let joint = Joint { progression: Some(progression), position, ..home.clone() };
            out.extend(self.ask(Facet::Progression, "progression", progression.word(), &joint));
        }
        let own = if self.code.names.fm_groups { &home.details.fm_group } else { &home.filler };
        for filler in fillers(self.code, own.as_deref()) {
            let joint = self.with_filler(&filler);
            out.extend(self.ask(Facet::Filler, "filler", &filler, &joint));
        }
    }

    /// The home joint with another filler, in the groups the code counts in.
    fn with_filler(&self, group: &str) -> Joint {
        let (mut joint, group) = (self.home.clone(), Some(group.to_owned()));
        if self.code.names.fm_groups {
            joint.details.fm_group = group
        } else {
            joint.filler = group
        }
        joint
    }

    fn positions(&self, out: &mut Vec<Neighbour>) {
        for (kind, diameter, about) in self.places() {
            for position in JointPosition::ALL {
                let joint = Joint { kind, position: *position, diameter, ..self.home.clone() };
                out.extend(self.ask(Facet::Position, about, position.word(), &joint));
            }
        }
    }

    /// Kinds of joint, pipe in the test's own size and as large as it comes.
    fn places(&self) -> Vec<(JointKind, Option<Quantity>, &'static str)> {
        let own = self.home.diameter;
        let large = large_pipe(self.system);
        let mut out = vec![(JointKind::PlateGroove, own, "position in plate groove")];
        out.extend(own.map(|_| (JointKind::PipeGroove, own, "position in pipe groove")));
        out.push((JointKind::PipeGroove, Some(large), "position in large pipe groove"));
        out.push((JointKind::Fillet, own, "position in fillet"));
        out
    }

    fn sizes(&self, out: &mut Vec<Neighbour>) {
        let step = thickness_step_m(self.system);
        let ladder = (1..=THICKNESS_STEPS).map(|n| self.length(f64::from(n) * step));
        let asked = ladder.filter_map(|size| {
            let joint = Joint { thickness: Some(size), ..self.home.clone() };
            Some((size, self.ask(Facet::Thickness, "thickness", "", &joint)?))
        });
        out.extend(stretches(asked.collect()));
        let kind = JointKind::PipeGroove;
        let asked = self.pipes().into_iter().filter_map(|size| {
            let joint = Joint { kind, diameter: Some(size), ..self.home.clone() };
            Some((size, self.ask(Facet::Diameter, "pipe diameter", "", &joint)?))
        });
        out.extend(stretches(asked.collect()));
    }

    fn length(&self, si: f64) -> Quantity {
        Quantity { si, kind: Kind::Length, system: self.system }
    }

    /// The sizes pipe is made in, as the code counts them; from 14 in up pipe
    /// goes by its outside diameter (ASME B36.10M, from memory).
    fn pipes(&self) -> Vec<Quantity> {
        let nominal = counts_nominal_pipe(self.code);
        let size = |pipe: &bendproof_weld::pipe::PipeSize| match nominal {
            true => bendproof_measure::parse_number(&pipe.nps).ok().map(|inches| inches * 0.0254),
            false => Some(pipe.outside_diameter_m),
        };
        let sizes = bendproof_weld::pipe::pipe_sizes().iter().filter_map(size);
        let large = (14..=58).step_by(2).map(|inches| f64::from(inches) * 0.0254);
        sizes.chain(large).map(|si| self.length(si)).chain([large_pipe(self.system)]).collect()
    }

    /// One joint, as far as the side asked about goes; `None` where the code
    /// has nothing to say of it.
    fn ask(&self, facet: Facet, about: &str, word: &str, joint: &Joint) -> Option<Neighbour> {
        // Whether a position is reached in pipe may hang on its size or backing.
        let is_ours = |side: Facet| side == facet || self.turns(facet, joint, side);
        let printed = reasons(self.standing, joint, &is_ours);
        let reasons: Vec<&CoverReason> = printed.iter().filter(|r| r.facet.is_some_and(is_ours)).collect();
        let answer = reasons.iter().map(|r| r.answer).max()?;
        let mut worst = reasons.iter().filter(|r| r.answer == answer);
        // A doubt comes after the plain answers and says more than they do.
        let printed = if answer == CoverAnswer::NotSure { worst.next_back() } else { worst.next() }?;
        Some(Neighbour {
            facet,
            about: about.to_owned(),
            words: vec![word.to_owned()],
            answer,
            why: self.why(printed),
            rules: printed.rules.clone(),
        })
    }

    /// A position of pipe that is reached in large pipe, asked about because of
    /// the size or the backing.
    fn turns(&self, facet: Facet, joint: &Joint, side: Facet) -> bool {
        let by = matches!(facet, Facet::Diameter | Facet::Backing);
        let is_pipe = joint.kind == JointKind::PipeGroove;
        by && is_pipe && self.pipe_holds && side == Facet::Position
    }

    /// The rule's own sentence where something is outside.
    fn why(&self, reason: &CoverReason) -> String {
        let rule = |id: &String| self.code.rules.iter().find(|r| r.id == *id);
        let said = reason.rules.iter().filter_map(rule).find(|r| !r.finding.contains('{'));
        match (reason.answer, said) {
            (CoverAnswer::Covered, _) => "within the qualified range".to_owned(),
            (CoverAnswer::NotCovered, Some(rule)) => rule.finding.clone(),
            _ => reason.message.clone(),
        }
    }
}

/// The filler groups the code's own rules name, the test's among them.
fn fillers(code: &Code, own: Option<&str>) -> Vec<String> {
    let asked = |rule: &Rule| -> Vec<String> {
        let conditions = rule.when.iter().filter(|c| c.fact == Facet::Filler.tested());
        let tested = conditions.filter_map(|c| match &c.test {
            Test::OneOf(words) | Test::NotOneOf(words) => Some(words.clone()),
            _ => None,
        });
        let granted = match &rule.demand {
            Demand::Words { facet: Facet::Filler, words, .. } => words.clone(),
            _ => Vec::new(),
        };
        tested.flatten().chain(granted).collect()
    };
    let named = code.of_kind(RuleKind::Standing).flat_map(asked).chain(own.map(str::to_owned));
    let named: std::collections::BTreeSet<String> = named.filter(|word| word != crate::rule::ANY).collect();
    named.into_iter().collect()
}

/// Sizes with one answer become one line: `1/8 in to 3/4 in`.
fn stretches(asked: Vec<(Quantity, Neighbour)>) -> Vec<Neighbour> {
    let mut out: Vec<(Quantity, Quantity, Neighbour)> = Vec::new();
    for (size, neighbour) in asked {
        match out.last_mut() {
            Some((_, to, last)) if (last.answer, &last.rules) == (neighbour.answer, &neighbour.rules) => {
                *to = size;
            }
            _ => out.push((size, size, neighbour)),
        }
    }
    let (first, last) = (0, out.len().saturating_sub(1));
    let words = |n: usize, from: &Quantity, to: &Quantity| {
        let say = bendproof_measure::say;
        match n {
            _ if first == last => "of any size".to_owned(),
            _ if n == first => format!("up to {}", say(to)),
            _ if n == last => format!("from {}", say(from)),
            _ => format!("{} to {}", say(from), say(to)),
        }
    };
    let named = |(n, (from, to, neighbour)): (usize, (Quantity, Quantity, Neighbour))| Neighbour {
        words: vec![words(n, &from, &to)],
        ..neighbour
    };
    out.into_iter().enumerate().map(named).collect()
}

/// Words with the same answer for the same reason become one line.
fn merged(all: Vec<Neighbour>) -> Vec<Neighbour> {
    let mut out: Vec<Neighbour> = Vec::new();
    for next in all {
        let same = |n: &&mut Neighbour| {
            let is_size = matches!(n.facet, Facet::Thickness | Facet::Diameter);
            !is_size
                && (n.facet, &n.about, n.answer, &n.why) == (next.facet, &next.about, next.answer, &next.why)
        };
        match out.iter_mut().find(same) {
            Some(known) => {
                known.words.extend(next.words);
                let new = next.rules.into_iter().filter(|r| !known.rules.contains(r)).collect::<Vec<_>>();
                known.rules.extend(new);
            }
            None => out.push(next),
        }
    }
    out
}

impl Standing {
    /// The rules behind what is granted on one side, in order.
    pub fn cited(&self, facet: Facet) -> Vec<&Cited> {
        let granted = |kind: &JointKind| self.grants_of(facet, *kind).map(|g| &g.cited).collect::<Vec<_>>();
        let mut out: Vec<&Cited> = Vec::new();
        for cited in JointKind::ALL.iter().flat_map(granted) {
            if !out.contains(&cited) {
                out.push(cited);
            }
        }
        out.extend(self.continuity.iter().filter(|_| facet == Facet::Continuity));
        out
    }
}
