//! The words rule data and reports use, each with one spelling.
//!
//! Trade words shared with the rest of the program (process, position,
//! progression) live in `bendproof-weld`; these are the codes' own.

/// Declares an enum whose variants have one spelling each.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vdoc])* $variant),+ }

        impl $name {
            /// Every value, in order.
            pub const ALL: &'static [$name] = &[$($name::$variant),+];
            /// Every spelling, in the same order.
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            /// The spelling used in files and reports.
            pub fn word(self) -> &'static str {
                match self { $($name::$variant => $word),+ }
            }

            /// Reads a spelling exactly as written.
            pub fn from_word(word: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|v| v.word() == word)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}

words! {
    /// A verdict. The order is from best to worst, so that the worst of several
    /// is their greatest.
    Verdict {
        /// The code accepts it.
        Accept = "accept",
        /// The code does not judge it, or what was given is not enough to.
        NotCovered = "not_covered",
        /// The specimen does not count; a replacement is cut from the same weld.
        Void = "void",
        /// The code rejects it.
        Reject = "reject",
    }
}

words! {
    /// How well a value is known.
    Basis {
        /// Read in a copy of the code.
        Seen = "seen",
        /// Read in somebody's account of the code.
        Secondary = "secondary",
        /// From memory; check against your own copy.
        Memory = "memory",
        /// Computed from other values.
        Derived = "derived",
        /// Common practice, no source.
        Practice = "practice",
        /// Measured.
        Measured = "measured",
        /// Chosen here, with a reason.
        Choice = "choice",
    }
}

words! {
    /// Which days of use keep a period running for certain; any other day of use
    /// of the process may, which is not sure.
    Counted {
        /// Every use of the process, with whatever metal transfer.
        Process = "process",
        /// Uses as the test was: with short-circuit transfer, or without it.
        ShortCircuitApart = "short-circuit-apart",
        /// The same, where somebody named has confirmed the work.
        Confirmed = "confirmed",
    }
}

impl Counted {
    /// For a sentence about the period.
    pub(crate) fn text(self) -> &'static str {
        match self {
            Counted::Process => "any use of the process counts",
            Counted::ShortCircuitApart => "short-circuit use counts separately from other use of the process",
            Counted::Confirmed => "only confirmed work counts",
        }
    }

    /// Why a day of use is not counted for certain.
    pub(crate) fn doubt(self) -> &'static str {
        match self {
            Counted::Process | Counted::ShortCircuitApart => {
                "a process use in another transfer mode than the test, or with none entered, may not count: \
                 short-circuit counts separately. Enter the transfer mode, or log a use welded like the test"
            }
            Counted::Confirmed => {
                "process use alone does not keep the qualification current: the responsible person or the examiner, \
                 not the welder, must confirm the work within the range. Enter who confirmed it"
            }
        }
    }
}

words! {
    /// Where a rule stands in its life.
    Status {
        /// New; may change.
        Preview = "preview",
        /// In use: read, quoted by somebody who read it, worked out or chosen here,
        /// and its clause can be turned to. It is earned and never written.
        Stable = "stable",
        /// In use and from memory or practice, or without the number of its
        /// clause, or of an edition that nobody read: check it first.
        Unverified = "unverified",
        /// Sources contradict one another, or which edition says it is open.
        Disputed = "disputed",
        /// Still answers; a successor exists.
        Deprecated = "deprecated",
    }
}

impl Status {
    /// The word, with what a reader does about it.
    pub fn text(self) -> String {
        let advice = match self {
            Status::Preview | Status::Stable | Status::Deprecated => return self.word().to_owned(),
            Status::Unverified => "check it against your own copy of the code before you rely on it",
            Status::Disputed => "sources disagree; ask the inspector",
        };
        format!("{self}: {advice}")
    }
}

words! {
    /// What a rule is about.
    RuleKind {
        /// One bent strap.
        Bend = "bend",
        /// What the eye sees on the test weld.
        Visual = "visual",
        /// Which specimens are cut.
        Specimens = "specimens",
        /// Size of a strap.
        Strap = "strap",
        /// Bending jig.
        Jig = "jig",
        /// Where straps are cut.
        Layout = "layout",
        /// What a passed test covers.
        Standing = "standing",
        /// What keeps it alive.
        Continuity = "continuity",
        /// What renews it and what a lapse costs, as a sentence.
        Renewal = "renewal",
        /// The right to weld a failed test again, as a sentence.
        Retest = "retest",
        /// One piece pulled until it breaks.
        Tension = "tension",
        /// A section cut through the weld, polished and etched.
        Macro = "macro",
        /// A notched piece broken to show its inside.
        NickBreak = "nick_break",
        /// A fillet weld broken open at its root.
        FilletBreak = "fillet_break",
        /// Hardness of weld and heat-affected zone.
        Hardness = "hardness",
        /// Indications on a film or its like.
        Radiography = "radiography",
        /// What change of a procedure needs a new test.
        Variable = "variable",
        /// What may be welded without a procedure test.
        Prequalified = "prequalified",
        /// How a joint is fitted.
        FitUp = "fit_up",
        /// Least temperature of the metal.
        Preheat = "preheat",
    }
}

impl RuleKind {
    /// Whether readings are compared with rules of this kind.
    pub fn is_examined(self) -> bool {
        use RuleKind::{FilletBreak, Hardness, Macro, NickBreak, Radiography, Tension, Visual};
        matches!(self, Visual | Tension | Macro | NickBreak | FilletBreak | Hardness | Radiography)
    }
}

words! {
    /// What happens to a qualification in its life.
    Event {
        /// The test is welded.
        Start = "start",
        /// It is kept alive.
        Renew = "renew",
        /// Its time runs out.
        Lapse = "lapse",
        /// Somebody has reason to question the welder.
        Question = "question",
        /// The test fails.
        Fail = "fail",
        /// A test welded again after a lapse fails.
        FailAgain = "fail_again",
    }
}

words! {
    /// Whether a qualification is held on a day.
    Hold {
        /// The test was not finished by that day.
        NotYet = "not_yet",
        /// It is held.
        Held = "held",
        /// Its time had run out.
        Lapsed = "lapsed",
        /// The test covers nothing, or its way of lasting is not allowed here.
        Nothing = "nothing",
        /// The rules here do not say how long it lasts.
        NotKnown = "not_known",
    }
}

words! {
    /// What a worked case claims of its rule.
    Claim {
        /// The rule is met.
        Pass = "pass",
        /// The rule is broken.
        Fail = "fail",
        /// The rule does not apply.
        NotApplicable = "not_applicable",
    }
}

words! {
    /// One side of what a passed test covers.
    Facet {
        /// Welding process.
        Process = "process",
        /// Metal transfer.
        Transfer = "transfer",
        /// Position.
        Position = "position",
        /// Uphill or downhill.
        Progression = "progression",
        /// Thickness.
        Thickness = "thickness",
        /// Pipe diameter.
        Diameter = "diameter",
        /// Backing.
        Backing = "backing",
        /// Filler metal group.
        Filler = "filler",
        /// Continuity in time.
        Continuity = "continuity",
        /// Base metal group.
        BaseMetal = "base_metal",
        /// Groove or fillet weld.
        Weld = "weld",
        /// Plate or pipe.
        Product = "product",
        /// Solid wire or a kind of core or covering.
        FillerType = "filler_type",
        /// One layer or several.
        Runs = "runs",
        /// Current type and polarity.
        Polarity = "polarity",
        /// Gas behind the root.
        BackingGas = "backing_gas",
    }
}

impl Facet {
    /// The fact that holds what was tested.
    pub(crate) fn tested(self) -> &'static str {
        self.facts().0
    }

    /// The fact that holds what is asked about.
    pub(crate) fn asked(self) -> &'static str {
        self.facts().1
    }

    fn facts(self) -> (&'static str, &'static str) {
        match self {
            Facet::Process => ("process", "ask_process"),
            Facet::Transfer => ("transfer", "ask_transfer"),
            Facet::Position => ("positions", "ask_position"),
            Facet::Progression => ("progressions", "ask_progression"),
            Facet::Thickness => ("thickness", "ask_thickness"),
            Facet::Diameter => ("pipe_size", "ask_diameter"),
            Facet::Backing => ("backing", "ask_backing"),
            Facet::Filler => ("filler", "ask_filler"),
            Facet::Continuity => ("last_used", "ask_day"),
            Facet::BaseMetal => ("base_metal", "ask_base_metal"),
            Facet::Weld => ("weld", "ask_weld"),
            Facet::Product => ("shape", "ask_product"),
            Facet::FillerType => ("filler_type", "ask_filler_type"),
            Facet::Runs => ("runs", "ask_runs"),
            Facet::Polarity => ("polarity", "ask_polarity"),
            Facet::BackingGas => ("root_gas", "ask_root_gas"),
        }
    }
}

words! {
    /// Which side of the strap is stretched.
    StrapKind {
        /// The face.
        Face = "face",
        /// The root.
        Root = "root",
        /// A cut side.
        Side = "side",
    }
}

words! {
    /// Where an opening starts.
    Place {
        /// On the convex surface.
        Face = "face",
        /// At a corner of the strap.
        Corner = "corner",
        /// Nobody said.
        NotStated = "not_stated",
    }
}

words! {
    /// What an opening visibly comes from.
    Cause {
        /// Nothing visible.
        None = "none",
        /// Slag.
        Slag = "slag",
        /// Lack of fusion.
        Fusion = "fusion",
        /// Another internal flaw.
        Other = "other",
        /// Nobody said; never taken as nothing visible.
        NotStated = "not_stated",
    }
}

words! {
    /// The metal an opening lies in.
    Zone {
        /// Weld metal.
        Weld = "weld",
        /// Heat-affected zone.
        Haz = "haz",
        /// Base metal.
        Base = "base",
        /// Nobody said.
        NotStated = "not_stated",
    }
}

words! {
    /// Shape of the test piece.
    TestShape {
        /// Plate.
        Plate = "plate",
        /// Pipe.
        Pipe = "pipe",
    }
}

words! {
    /// What a test is for.
    Purpose {
        /// A welder's skill.
        Welder = "welder",
        /// A procedure.
        Procedure = "procedure",
    }
}

words! {
    /// Kind of production joint.
    JointKind {
        /// Groove weld in plate.
        PlateGroove = "plate_groove",
        /// Groove weld in pipe.
        PipeGroove = "pipe_groove",
        /// Fillet weld.
        Fillet = "fillet",
    }
}

words! {
    /// Position of a production weld.
    JointPosition {
        /// Flat.
        Flat = "F",
        /// Horizontal.
        Horizontal = "H",
        /// Vertical.
        Vertical = "V",
        /// Overhead.
        Overhead = "OH",
        /// All around a fixed pipe whose axis is level.
        Fixed = "5G",
        /// All around a fixed pipe whose axis is inclined.
        Inclined = "6G",
    }
}

impl JointPosition {
    /// Whether only pipe has it: a weld all around a fixed pipe.
    pub fn is_all_around(self) -> bool {
        matches!(self, JointPosition::Fixed | JointPosition::Inclined)
    }
}

words! {
    /// What supports the root of a production weld.
    JointBacking {
        /// Nothing: one side, open root.
        Open = "open",
        /// A steel bar or ring.
        Steel = "steel",
        /// Welded from both sides with the root gouged out.
        Backgouged = "backgouged",
        /// One side, open root, shielded by gas from behind.
        Gas = "gas",
        /// A bed of flux.
        Flux = "flux",
        /// A consumable insert in the root.
        Insert = "insert",
    }
}

words! {
    /// How strict ISO 5817 is to be; B is the strictest.
    QualityLevel {
        /// Stringent.
        B = "B",
        /// Intermediate.
        C = "C",
        /// Moderate.
        D = "D",
    }
}

words! {
    /// Kind of weld examined.
    WeldKind {
        /// A butt or other groove weld.
        Groove = "groove",
        /// A fillet weld.
        Fillet = "fillet",
        /// A plug or slot weld.
        Plug = "plug",
    }
}

words! {
    /// What a pipe is to carry, where the piping code's limits differ by it.
    FluidService {
        /// Neither of the special services.
        Normal = "normal",
        /// The harmless fluids of category D.
        CategoryD = "category_d",
    }
}

words! {
    /// What an indication on a film was read as.
    Flaw {
        /// A crack.
        Crack = "crack",
        /// Lack of fusion.
        Fusion = "fusion",
        /// Lack of penetration.
        Penetration = "penetration",
        /// Slag or another solid inclusion, longer than wide.
        Slag = "slag",
        /// A pore or another rounded indication by itself.
        Rounded = "rounded",
        /// A pore of a cluster.
        ClusterPore = "cluster_pore",
        /// A pore of a line of pores.
        LinePore = "line_pore",
        /// An elongated cavity or wormhole.
        Cavity = "cavity",
        /// Metal other than copper.
        Metal = "metal",
        /// Copper.
        Copper = "copper",
    }
}

/// Why a finding decides nothing. A verdict of not covered alone does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Open {
    /// Nobody has looked or measured yet.
    NotInspected,
    /// What the limit follows is not entered yet: a service, a level.
    NotEntered,
    /// The code has no rule about it.
    NoLimit,
    /// The rule leaves what was found to another document.
    OutsideTest,
}

impl Open {
    /// The word as JSON spells it.
    pub fn word(self) -> &'static str {
        match self {
            Open::NotInspected => "not_inspected",
            Open::NotEntered => "not_entered",
            Open::NoLimit => "no_limit",
            Open::OutsideTest => "outside_test",
        }
    }

    /// The same as a sheet says it.
    pub fn text(self) -> &'static str {
        match self {
            Open::NotInspected => "not inspected yet",
            Open::NotEntered => "not entered yet",
            Open::NoLimit => "no limit in this code",
            Open::OutsideTest => "outside the test",
        }
    }
}

pub(crate) use words;
