//! A passed test as it is put to the rules: what was welded, how, when, and
//! whether such a test can be.
//!
//! Knows no code; the names a code uses come in as [`Names`].

use bendproof_measure::Quantity;
use bendproof_weld::{Backing, Polarity, Position, Process, Progression, Transfer};
use jiff::civil::Date;

use crate::catalogue::Names;
use crate::rule::{Fact, Facts, filler_facts, is_over, positive};
use crate::words::{JointBacking, TestShape};

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
    /// Weld metal put in with this process; the thickness when absent, unless
    /// another process welded part of the joint.
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
    /// F-number, as `F4` or `F6`; `none` where no filler was used.
    pub filler: Option<String>,
    /// What only some codes ask.
    pub details: TestDetails,
    /// The test piece also qualified a procedure.
    pub procedure_test: bool,
    /// Day the welding was finished.
    pub finished: Date,
    /// Later days on which this welder used the same process as the test was
    /// welded: with short-circuit transfer, or without it. In any order.
    pub uses: Vec<Date>,
}

/// What only some codes ask of a passed test; all of it may be left out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TestDetails {
    /// Filler group, as `FM1`.
    pub fm_group: Option<String>,
    /// Filler type: `S` solid, `M` metal core, `B` basic and so on; `nm` where
    /// no filler was used.
    pub filler_type: Option<String>,
    /// Current type and polarity.
    pub polarity: Option<Polarity>,
    /// Whether gas shielded the root from behind; `None` where nobody said.
    pub backing_gas: Option<bool>,
    /// P-number of the base metal, as `P1`, or another word for a metal that has
    /// none here; `None` where nobody said.
    pub base_metal: Option<String>,
    /// What supported the root, where the word of `backing` says too little:
    /// welded from both sides, gas, flux or a consumable insert.
    pub backing: Option<JointBacking>,
    /// Figure of the code an open-root pipe was prepared to: `no-backing`, or
    /// `other` for none of the code's; `None` where nobody said.
    pub figure: Option<String>,
    /// Another process that welded part of the same joint. Without a stated
    /// deposit nobody knows then how much this process put in.
    pub other_process: Option<Process>,
    /// Those days of [`PassedTest::uses`] on which somebody named confirmed the
    /// work.
    pub confirmed: Vec<Date>,
    /// Later days on which the same process was used with another metal
    /// transfer: short-circuit where the test had none, or the reverse, or with
    /// a transfer that was not stated.
    pub other_transfer: Vec<Date>,
    /// Whether a fillet piece was welded with the groove test; `None` where nobody said.
    pub fillet_piece: Option<bool>,
    /// The machine shaped the short-circuit current.
    pub waveform: bool,
    /// Way by which the qualification is prolonged: `a`, `b` or `c`.
    pub route: Option<String>,
    /// Days on which it was prolonged that way, in any order.
    pub renewals: Vec<Date>,
    /// Quality standard the employer works to, as `iso-3834-2`; `none`.
    pub quality_system: Option<String>,
    /// Category of the pressure equipment welded: `none`, `I` to `IV`.
    pub ped_category: Option<String>,
}

/// Input that cannot be a passed test.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum StandingError {
    /// No position.
    #[error("position is missing; enter the position of each coupon, for example 3G")]
    NoPosition,
    /// A position given twice.
    #[error("position {0} is given twice")]
    PositionTwice(String),
    /// A size that is no positive length.
    #[error("{what} is {value}; enter a length above zero")]
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
    #[error("the pipe's outside diameter is missing; enter it, the qualified range depends on it")]
    NoOutsideDiameter,
    /// More weld metal than the joint is thick.
    #[error("the deposit {deposit} is more than the thickness {thickness}; check both")]
    DepositOverThickness {
        /// The deposit.
        deposit: String,
        /// The plate thickness or pipe wall.
        thickness: String,
    },
    /// Two words for the root that exclude each other.
    #[error("backing {backing} and backing type {detail} do not match; correct one of them")]
    BackingDetail {
        /// The backing.
        backing: Backing,
        /// The detail.
        detail: JointBacking,
    },
    /// The process was used or the test prolonged before it was finished.
    #[error("{what} on {used} is before the test was finished on {finished}")]
    UsedBefore {
        /// A use or a renewal.
        what: &'static str,
        /// Its day.
        used: Date,
        /// The test.
        finished: Date,
    },
}

pub(crate) fn check(test: &PassedTest) -> Result<(), StandingError> {
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
    let uses = test.uses.iter().chain(&test.details.confirmed).chain(&test.details.other_transfer);
    let days = uses.map(|day| ("a use", *day));
    let mut days = days.chain(test.details.renewals.iter().map(|day| ("a renewal", *day)));
    match days.find(|(_, day)| *day < test.finished) {
        Some((what, used)) => Err(StandingError::UsedBefore { what, used, finished: test.finished }),
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
    let is_steel = |detail: JointBacking| detail == JointBacking::Steel;
    if let Some(detail) = test.details.backing.filter(|d| is_steel(*d) != (test.backing == Backing::Steel)) {
        return Err(StandingError::BackingDetail { backing: test.backing, detail });
    }
    match test.deposit.filter(|deposit| is_over(deposit, test.thickness.si)) {
        Some(deposit) => Err(StandingError::DepositOverThickness {
            deposit: bendproof_measure::say(&deposit),
            thickness: bendproof_measure::say(&test.thickness),
        }),
        None => Ok(()),
    }
}

/// Test positions of fillet welds.
const FILLETS: [Position; 5] = [Position::F1, Position::F2, Position::F3, Position::F4, Position::F5];

/// Gas behind the root, in the words of the rules.
pub(crate) fn gas_word(is_used: bool) -> &'static str {
    if is_used { "used" } else { "none" }
}

fn words<'a>(list: impl Iterator<Item = &'a str>) -> Fact {
    Fact::Words(list.map(str::to_owned).collect())
}

/// An answer as the rules know it.
fn yes_no(answer: Option<bool>) -> &'static str {
    match answer {
        Some(true) => "yes",
        Some(false) => "no",
        None => "not_stated",
    }
}

impl PassedTest {
    /// What rules may ask of this test, in the code's own names.
    pub(crate) fn facts(&self, names: &Names) -> Facts {
        let mut facts = self.common_facts();
        let (f_number, filler_type) =
            filler_facts(self.filler.as_deref(), self.details.filler_type.as_deref());
        let filler = if names.fm_groups { &self.details.fm_group } else { &f_number };
        let of_code = [
            ("filler", filler),
            ("filler_type", &filler_type),
            ("route", &self.details.route),
            ("quality_system", &self.details.quality_system),
            ("ped_category", &self.details.ped_category),
        ];
        for (name, word) in of_code {
            if let Some(word) = word {
                facts.word(name, word.as_str());
            }
        }
        match names.of_process(self.process, filler_type.as_deref()).as_slice() {
            [only] => facts.word("process", *only),
            _ => facts.word("process", self.process.word()),
        };
        for (name, is_fillet) in [("groove_positions", false), ("fillet_positions", true)] {
            facts.set(name, words(self.symbols(names, is_fillet).into_iter()));
        }
        let kinds = [("groove", false), ("fillet", true)];
        let welded = kinds.iter().filter(|(_, f)| self.positions.iter().any(|p| FILLETS.contains(p) == *f));
        facts.set("weld", words(welded.map(|(kind, _)| *kind)));
        facts
    }

    /// The code's symbols of the groove or fillet pieces; the trade's word where
    /// the progression leaves the symbol open.
    pub(crate) fn symbols<'a>(&self, names: &'a Names, of_fillets: bool) -> Vec<&'a str> {
        let pieces = self.positions.iter().filter(|p| FILLETS.contains(p) == of_fillets);
        pieces.map(|p| names.of_test(*p, &self.progressions).unwrap_or(p.word())).collect()
    }

    /// Weld metal of this process; `None` where another process put in part of
    /// the joint and nobody said how much this one did.
    pub(crate) fn deposited(&self) -> Option<Quantity> {
        let whole = self.details.other_process.is_none().then_some(self.thickness);
        self.deposit.or(whole)
    }

    /// One layer or several, where they were counted.
    pub(crate) fn runs(&self) -> Option<&'static str> {
        self.layers.map(|layers| if layers > 1 { "multi" } else { "single" })
    }

    /// What supported the root, in the words of production joints.
    pub(crate) fn root(&self) -> &'static str {
        self.details.backing.map_or(self.backing.word(), JointBacking::word)
    }

    /// Whether gas shielded the root from behind, as far as it is stated: a root
    /// called `gas` had some.
    fn root_gas(&self) -> Option<bool> {
        let is_called_so = self.details.backing == Some(JointBacking::Gas);
        if is_called_so { Some(true) } else { self.details.backing_gas }
    }

    fn common_facts(&self) -> Facts {
        let mut facts = Facts::default();
        facts
            .word("shape", self.shape.word())
            .word("backing", self.root())
            .set("positions", words(self.positions.iter().map(|p| p.word())))
            .set("progressions", words(self.progressions.iter().map(|p| p.word())))
            .measure("thickness", Some(self.thickness))
            .measure("deposit", self.deposited())
            .flag("shared", self.details.other_process.is_some())
            .measure("outside_diameter", self.outside_diameter)
            .measure("pipe_size", self.nominal_size.or(self.outside_diameter))
            .flag("nominal_stated", self.nominal_size.is_some())
            .flag("layers_stated", self.layers.is_some())
            .flag("procedure_test", self.procedure_test)
            .word("fillet_piece", yes_no(self.details.fillet_piece))
            .flag("waveform", self.details.waveform)
            .word("base_metal", self.details.base_metal.as_deref().unwrap_or("not_stated"))
            .word("figure", self.details.figure.as_deref().unwrap_or("not_stated"))
            .word("polarity", self.details.polarity.map_or("not_stated", Polarity::word))
            .word("root_gas", self.root_gas().map_or("not_stated", gas_word))
            .transfer(self.process, self.transfer);
        if let Some(layers) = self.layers {
            facts.set("layers", Fact::Number(f64::from(layers)));
        }
        if let Some(runs) = self.runs() {
            facts.word("runs", runs);
        }
        facts
    }
}
