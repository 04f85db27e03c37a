//! What is known about a strap, a coupon or a passed test, by name, so that
//! rule data can ask about it.
//!
//! The names are a closed list: a rule that asks for anything else does not
//! load. A fact that was not given is missing, never assumed.

use std::collections::BTreeMap;

use bendproof_measure::{Kind, Quantity, System};
use bendproof_weld::consumable::{is_no_filler, wire_named};
use bendproof_weld::{Process, Transfer};
use jiff::civil::Date;

use super::spans::Span;

/// One known thing.
#[derive(Debug, Clone, PartialEq)]
pub enum Fact {
    /// A word of the trade.
    Word(String),
    /// Several words.
    Words(Vec<String>),
    /// A size with the system it was read in: a length, a stress, a share.
    Measure(Quantity),
    /// Several lengths.
    Measures(Vec<Quantity>),
    /// Things that lie along a weld.
    Spans(Vec<Span>),
    /// A count or a percentage.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// A day.
    Day(Date),
}

/// Three-valued answer to a question about facts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FactAnswer {
    /// It is so.
    Yes,
    /// It is not so.
    No,
    /// The named fact is missing.
    Missing(&'static str),
}

impl From<bool> for FactAnswer {
    fn from(yes: bool) -> Self {
        if yes { FactAnswer::Yes } else { FactAnswer::No }
    }
}

impl FactAnswer {
    pub(crate) fn not(self) -> Self {
        match self {
            FactAnswer::Yes => FactAnswer::No,
            FactAnswer::No => FactAnswer::Yes,
            missing => missing,
        }
    }

    /// Yes when one is yes; missing only when none is yes and one is missing.
    pub(crate) fn any(answers: impl Iterator<Item = FactAnswer>) -> Self {
        Self::all(answers.map(FactAnswer::not)).not()
    }

    /// No when one is no; missing only when none is no and one is missing.
    pub(crate) fn all(answers: impl Iterator<Item = FactAnswer>) -> Self {
        let mut so_far = FactAnswer::Yes;
        for answer in answers {
            match answer {
                FactAnswer::No => return FactAnswer::No,
                FactAnswer::Missing(_) if so_far == FactAnswer::Yes => so_far = answer,
                _ => {}
            }
        }
        so_far
    }
}

/// How a fact is written in rule data.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sort {
    Word,
    Words,
    Length,
    Lengths,
    Stress,
    /// Any other quantity.
    Measure(Kind),
    /// Sizes that are counted along a stretch.
    Spans,
    Number,
    Flag,
    Day,
}

impl Sort {
    /// What is measured, where it is one size.
    pub(crate) fn kind(self) -> Option<Kind> {
        match self {
            Sort::Length => Some(Kind::Length),
            Sort::Stress => Some(Kind::Pressure),
            Sort::Measure(kind) => Some(kind),
            _ => None,
        }
    }
}

/// Every fact a rule may ask about, with how it is written and what it means.
#[rustfmt::skip]
pub(crate) const VOCABULARY: &[(&str, Sort, &str)] = &[
    ("strap_kind", Sort::Word, "face, root or side"),
    ("place", Sort::Word, "where a discontinuity starts: face or corner"),
    ("cause", Sort::Word, "cause of a discontinuity: none, slag, fusion or other; not_stated when not entered"),
    ("zone", Sort::Word, "weld, haz or base; not_stated when not entered"),
    ("length", Sort::Length, "longest dimension of a discontinuity"),
    ("openings", Sort::Lengths, "all counted discontinuities of one bend specimen"),
    ("burn_through", Sort::Flag, "burn-through"),
    ("longest_openings", Sort::Lengths, "longest counted discontinuity of each inspected bend specimen; zero for a specimen without one"),
    ("inspected", Sort::Flag, "the convex surface was inspected"),
    ("weld_in_bend", Sort::Flag, "weld and heat-affected zone are completely within the bent portion"),
    ("wall", Sort::Length, "pipe wall; for a full-thickness specimen without one, the specimen's thickness"),
    ("crack", Sort::Flag, "a crack is visible"),
    ("crater_filled", Sort::Flag, "craters are filled to the full section"),
    ("fusion_complete", Sort::Flag, "complete fusion of weld and base metal"),
    ("penetration_complete", Sort::Flag, "complete root penetration"),
    ("cap_height", Sort::Length, "face reinforcement"),
    ("undercut", Sort::Length, "depth of undercut"),
    ("root_concavity", Sort::Length, "depth of root concavity"),
    ("melt_through", Sort::Length, "height of the root bead inside"),
    ("weld_thickness", Sort::Length, "total thickness of the weld, cap and root together"),
    ("purpose", Sort::Word, "welder or procedure"),
    ("shape", Sort::Word, "plate or pipe"),
    ("thickness", Sort::Length, "plate thickness or pipe wall of the test"),
    ("deposit", Sort::Length, "weld metal thickness deposited by this welder and process"),
    ("shared", Sort::Flag, "another process welded part of the joint"),
    ("layers", Sort::Number, "layers of that deposit"),
    ("layers_stated", Sort::Flag, "the number of layers was entered"),
    ("pipe_size", Sort::Length, "nominal size of the test pipe where entered, otherwise its outside diameter"),
    ("outside_diameter", Sort::Length, "outside diameter of the test pipe"),
    ("nominal_stated", Sort::Flag, "the nominal pipe size was entered"),
    ("positions", Sort::Words, "positions of the test"),
    ("face", Sort::Number, "face bends"),
    ("root", Sort::Number, "root bends"),
    ("side", Sort::Number, "side bends"),
    ("tension", Sort::Number, "tension specimens"),
    ("nick_break", Sort::Number, "nick-break specimens"),
    ("strap_width", Sort::Length, "width of a bend specimen"),
    ("strap_length", Sort::Length, "length of a bend specimen"),
    ("strap_thickness", Sort::Length, "thickness of a bend specimen as bent"),
    ("edge_radius", Sort::Length, "radius on the long edges of a bend specimen"),
    ("strap_order", Sort::Words, "kinds of bend specimen in the order they are cut"),
    ("yield_strength", Sort::Stress, "minimum specified yield strength of the base metal"),
    ("elongation", Sort::Number, "elongation of the weld or base metal in percent"),
    ("former", Sort::Length, "diameter of the plunger of the guided-bend jig"),
    ("process", Sort::Word, "process of the test"),
    ("transfer", Sort::Word, "metal transfer of the test; none for processes without one"),
    ("progressions", Sort::Words, "progressions used in the test"),
    ("backing", Sort::Word, "open, steel, backgouged, gas, flux or insert"),
    ("figure", Sort::Word, "test joint figure of an open-root pipe: no-backing or other; not_stated when not entered"),
    ("filler", Sort::Word, "filler metal group of the test in the code's terms: F4, FM1"),
    ("base_metal", Sort::Word, "P-number of the test metal, as P1; not_stated when not entered"),
    ("root_gas", Sort::Word, "gas behind the root of the test: used or none; not_stated when not entered"),
    ("procedure_test", Sort::Flag, "the test piece also qualified a procedure"),
    ("ask_joint", Sort::Word, "proposed joint: plate_groove, pipe_groove or fillet"),
    ("ask_position", Sort::Word, "position of the proposed joint, as the code names it: F, H, V, OH or a symbol"),
    ("ask_thickness", Sort::Length, "thickness of the proposed joint"),
    ("ask_diameter", Sort::Length, "pipe diameter of the proposed joint"),
    ("ask_backing", Sort::Word, "backing of the proposed joint"),
    ("ask_progression", Sort::Word, "progression of the proposed joint"),
    ("ask_process", Sort::Word, "process of the proposed joint"),
    ("ask_transfer", Sort::Word, "transfer mode of the proposed joint"),
    ("ask_filler", Sort::Word, "filler metal group of the proposed joint"),
    ("ask_base_metal", Sort::Word, "P-number of the proposed joint"),
    ("ask_root_gas", Sort::Word, "gas behind the root of the proposed joint: used or none"),
    ("last_used", Sort::Day, "day the process was last used"),
    ("ask_day", Sort::Day, "date of the question"),
    ("groove_positions", Sort::Words, "positions of the groove test pieces in the code's symbols; the trade's word where the progression leaves the symbol open"),
    ("fillet_positions", Sort::Words, "the same for fillet test pieces"),
    ("weld", Sort::Words, "kinds of weld tested: groove, fillet"),
    ("fillet_piece", Sort::Word, "fillet test welded with the groove test: yes or no; not_stated when not entered"),
    ("filler_type", Sort::Word, "S solid, M metal core, B basic and so on; nm without filler"),
    ("runs", Sort::Word, "single or multi, the layers of the test"),
    ("waveform", Sort::Flag, "controlled short-circuit waveform"),
    ("route", Sort::Word, "revalidation method: a, b or c"),
    ("last_renewed", Sort::Day, "day of the test or of its last renewal"),
    ("quality_system", Sort::Word, "quality standard of the employer, as iso-3834-2; none"),
    ("ped_category", Sort::Word, "category of the pressure equipment welded: none, I, II, III or IV"),
    ("event", Sort::Word, "what happens to the qualification: start, renew, lapse, question, fail or fail_again"),
    ("examined", Sort::Words, "examinations made: visual, radiography, bend, fracture"),
    ("ask_weld", Sort::Word, "kind of weld of the proposed joint: groove or fillet"),
    ("ask_product", Sort::Word, "product of the proposed joint: plate or pipe"),
    ("ask_filler_type", Sort::Word, "filler metal type of the proposed joint"),
    ("ask_runs", Sort::Word, "layers of the proposed joint: single or multi"),
    ("ask_rotated", Sort::Flag, "the proposed pipe is rotated while it is welded"),
    // Examinations after welding.
    ("level", Sort::Word, "required quality level: B, C or D"),
    ("weld_kind", Sort::Word, "kind of weld examined: groove, fillet or plug"),
    ("fluid_service", Sort::Word, "service of a pipe: normal or category_d"),
    ("design_temperature", Sort::Measure(Kind::Temperature), "design temperature of the pipe"),
    ("full_penetration", Sort::Flag, "full penetration is specified"),
    ("crater_crack", Sort::Flag, "crater crack"),
    ("burn_through", Sort::Flag, "burn-through"),
    ("root_porosity", Sort::Flag, "root porosity"),
    ("poor_restart", Sort::Flag, "poor restart"),
    ("stray_arc", Sort::Flag, "stray arc (arc strike)"),
    ("spatter", Sort::Flag, "spatter"),
    ("surface_slag", Sort::Flag, "slag open to the surface"),
    ("surface_pore", Sort::Length, "largest surface pore"),
    ("end_crater_pipe", Sort::Length, "depth of a pipe in an end crater"),
    ("incomplete_penetration", Sort::Length, "depth of incomplete root penetration"),
    ("incomplete_penetration_length", Sort::Length, "its total length in the worst length the code counts"),
    ("undercut_length", Sort::Length, "total length of undercut in the worst length the code counts"),
    ("shrinkage_groove", Sort::Length, "depth of undercut at the root"),
    ("shrinkage_groove_length", Sort::Length, "its total length in the worst length"),
    ("cap_width", Sort::Length, "width of the cap, or of a fillet's face"),
    ("convexity", Sort::Length, "height of a fillet's face above the flat"),
    ("root_width", Sort::Length, "width of the root bead inside"),
    ("overlap", Sort::Length, "width of overlap"),
    ("underfill", Sort::Length, "depth of underfill"),
    ("underfill_length", Sort::Length, "its total length in the worst length"),
    ("leg_difference", Sort::Length, "difference of a fillet's legs"),
    ("root_concavity_length", Sort::Length, "total length of root concavity in the worst length"),
    ("throat", Sort::Length, "nominal throat of a fillet"),
    ("throat_shortfall", Sort::Length, "throat shortfall"),
    ("throat_shortfall_length", Sort::Length, "its total length in the worst length"),
    ("throat_excess", Sort::Length, "throat excess"),
    ("misalignment", Sort::Length, "misalignment of the two surfaces"),
    ("root_gap", Sort::Length, "gap under a fillet"),
    ("weld_length", Sort::Length, "length of the weld examined"),
    ("butt_throat", Sort::Length, "nominal thickness of a butt weld; the plate's where penetration is complete"),
    ("toe_angle", Sort::Measure(Kind::Angle), "angle between plate and weld at the toe"),
    ("strength", Sort::Stress, "maximum load divided by the section before the test"),
    ("specified_tensile", Sort::Stress, "minimum specified tensile strength of the base metal"),
    ("broke_in", Sort::Word, "where a tension specimen broke: weld, haz or base; not_stated when not entered"),
    ("fracture_sound", Sort::Flag, "the fracture surface in the weld is within the nick-break limits"),
    ("root_fused", Sort::Flag, "complete fusion at the root of a fillet, or broken through it"),
    ("profile_sound", Sort::Flag, "the weld profile is within the code's figure"),
    ("weld_size", Sort::Length, "size of the weld on the section; of a fillet the smaller leg"),
    ("designated_size", Sort::Length, "specified weld size"),
    ("slag_total", Sort::Length, "all slag on the section added up"),
    ("flaw_height_sum", Sort::Length, "total height of all imperfections in one section"),
    ("micro_lack_of_fusion", Sort::Flag, "micro lack of fusion"),
    ("pores", Sort::Spans, "gas pockets on the fracture surface"),
    ("flaws", Sort::Spans, "pores and inclusions on the fracture surface"),
    ("pore_area", Sort::Measure(Kind::Share), "percent of the fracture surface or radiograph that is porosity"),
    ("slag", Sort::Spans, "slag and other solid inclusions, by length"),
    ("slag_depths", Sort::Spans, "the same, by depth"),
    ("slag_widths", Sort::Spans, "the same, by width"),
    ("slag_count", Sort::Number, "how many there are"),
    ("slag_spacing", Sort::Length, "minimum sound metal between two of them"),
    ("rounded", Sort::Spans, "rounded indications, pores by themselves"),
    ("cluster_pores", Sort::Spans, "pores in a cluster"),
    ("cluster_area", Sort::Measure(Kind::Share), "percent of a cluster's area that is porosity"),
    ("line_pores", Sort::Spans, "pores in a line"),
    ("line_area", Sort::Measure(Kind::Share), "percent of a line's area that is porosity"),
    ("cavities", Sort::Spans, "elongated cavities and wormholes, by length"),
    ("cavity_widths", Sort::Spans, "the same, by width"),
    ("metal", Sort::Spans, "inclusions of metal other than copper"),
    ("copper", Sort::Flag, "an inclusion of copper"),
    ("fusion_flaw", Sort::Length, "height of internal lack of fusion"),
    ("fusion_flaw_length", Sort::Length, "its total length in the worst length"),
    ("hardness", Sort::Measure(Kind::Number), "maximum HV10 of the traverse"),
    ("steel_group", Sort::Word, "group of the base metal by ISO/TR 15608"),
    ("heat_treated", Sort::Flag, "PWHT was done"),
];

/// The vocabulary's own spelling and sort of a fact name.
pub(crate) fn vocabulary(name: &str) -> Option<(&'static str, Sort)> {
    let all = VOCABULARY.iter().chain(super::variable::VOCABULARY);
    all.into_iter().find(|(known, ..)| *known == name).map(|(known, sort, _)| (*known, *sort))
}

/// A set of known facts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Facts(BTreeMap<&'static str, Fact>);

impl Facts {
    /// One fact, when known.
    pub fn get(&self, name: &str) -> Option<&Fact> {
        self.0.get(name)
    }

    /// These facts with one more, or with another value for one; `None` when no
    /// rule could ask for such a name.
    #[must_use]
    pub fn with(&self, name: &str, fact: Fact) -> Option<Self> {
        let (name, _) = vocabulary(name)?;
        let mut more = self.clone();
        more.set(name, fact);
        Some(more)
    }

    /// These facts with those of another; where both know one the other's stands.
    #[must_use]
    pub fn and(&self, other: &Facts) -> Self {
        let mut all = self.clone();
        all.0.extend(other.0.iter().map(|(name, fact)| (*name, fact.clone())));
        all
    }

    /// The word of this name; `None` where it is not known or no word.
    pub fn word_of(&self, name: &str) -> Option<&str> {
        match self.get(name) {
            Some(Fact::Word(word)) => Some(word),
            _ => None,
        }
    }

    /// The words of this name; none where it is not known or no list.
    pub fn words_of(&self, name: &str) -> &[String] {
        match self.get(name) {
            Some(Fact::Words(words)) => words,
            _ => &[],
        }
    }

    /// The quantity of this name; `None` where it is not known or none.
    pub fn measure_of(&self, name: &str) -> Option<Quantity> {
        match self.get(name) {
            Some(Fact::Measure(quantity)) => Some(*quantity),
            _ => None,
        }
    }

    /// Names and values, in order of name.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, &Fact)> {
        self.0.iter().map(|(name, fact)| (*name, fact))
    }

    pub(crate) fn set(&mut self, name: &'static str, fact: Fact) -> &mut Self {
        let fact = match fact {
            Fact::Word(word) if GROUPED.contains(&name) => Fact::Word(group(&word)),
            fact => fact,
        };
        self.0.insert(name, fact);
        self
    }

    pub(crate) fn word(&mut self, name: &'static str, word: impl Into<String>) -> &mut Self {
        self.set(name, Fact::Word(word.into()))
    }

    /// The metal transfer; without one of GMAW it is not known.
    pub(crate) fn transfer(&mut self, process: Process, transfer: Option<Transfer>) -> &mut Self {
        match (process, transfer) {
            (_, Some(transfer)) => self.word("transfer", transfer.word()),
            (Process::Gmaw, None) => self,
            (_, None) => self.word("transfer", "none"),
        }
    }

    pub(crate) fn flag(&mut self, name: &'static str, flag: bool) -> &mut Self {
        self.set(name, Fact::Flag(flag))
    }

    pub(crate) fn measure(&mut self, name: &'static str, value: Option<Quantity>) -> &mut Self {
        match value {
            Some(quantity) => self.set(name, Fact::Measure(quantity)),
            None => self,
        }
    }

    pub(crate) fn spans(&mut self, name: &'static str, spans: Vec<Span>) -> &mut Self {
        self.set(name, Fact::Spans(spans))
    }

    pub(crate) fn quantity(&self, name: &str) -> Option<Quantity> {
        match self.get(name) {
            Some(Fact::Measure(quantity)) => Some(*quantity),
            _ => None,
        }
    }

    /// Reads facts written as a TOML table.
    ///
    /// # Errors
    /// One sentence naming the key, what it holds and what it should hold.
    pub(crate) fn from_table(table: &toml::Table) -> Result<Self, String> {
        let mut facts = Self::default();
        for (key, value) in table {
            let (name, sort) = vocabulary(key).ok_or_else(|| format!("`{key}` is not a fact rules know"))?;
            let fact = read(sort, value).map_err(|why| format!("`{key}`: {why}"))?;
            facts.set(name, fact);
        }
        Ok(facts)
    }
}

fn read(sort: Sort, value: &toml::Value) -> Result<Fact, String> {
    match sort {
        Sort::Word => value.as_str().map(|w| Fact::Word(w.to_owned())).ok_or_else(|| wanted("a word")),
        Sort::Words => texts(value).map(Fact::Words),
        Sort::Length => quantity(Kind::Length, value).map(Fact::Measure),
        Sort::Stress => quantity(Kind::Pressure, value).map(Fact::Measure),
        Sort::Measure(kind) => quantity(kind, value).map(Fact::Measure),
        Sort::Spans => {
            texts(value)?.iter().map(|t| Span::parse(t)).collect::<Result<_, _>>().map(Fact::Spans)
        }
        Sort::Lengths => {
            let list = value.as_array().ok_or_else(|| wanted("a list of lengths"))?;
            let read: Result<Vec<_>, _> = list.iter().map(|v| quantity(Kind::Length, v)).collect();
            read.map(Fact::Measures)
        }
        Sort::Number => number(value).map(Fact::Number).ok_or_else(|| wanted("a number")),
        Sort::Flag => value.as_bool().map(Fact::Flag).ok_or_else(|| wanted("true or false")),
        Sort::Day => {
            let text = value.as_str().ok_or_else(|| wanted("a day like \"2026-03-01\""))?;
            text.parse().map(Fact::Day).map_err(|_| wanted("a day like \"2026-03-01\""))
        }
    }
}

fn wanted(what: &str) -> String {
    format!("{what} is wanted")
}

pub(crate) fn number(value: &toml::Value) -> Option<f64> {
    value.as_float().or_else(|| value.as_integer().map(|n| n as f64))
}

fn texts(value: &toml::Value) -> Result<Vec<String>, String> {
    let list = value.as_array().ok_or_else(|| wanted("a list of words"))?;
    list.iter().map(|v| v.as_str().map(str::to_owned).ok_or_else(|| wanted("a list of words"))).collect()
}

fn quantity(kind: Kind, value: &toml::Value) -> Result<Quantity, String> {
    // A plain number has no unit to be written with.
    if kind == Kind::Number
        && let Some(si) = number(value)
    {
        return Ok(Quantity { si, kind, system: System::Neither });
    }
    let text = value.as_str().ok_or_else(|| wanted("a text with a unit"))?;
    Quantity::parse(kind, text).map_err(|e| e.to_string())
}

/// Facts that hold the number of a group of fillers or of base metals.
const GROUPED: [&str; 6] =
    ["filler", "ask_filler", "base_metal", "ask_base_metal", "analysis", "ask_analysis"];

/// A group as the rules write it, however it is written: F4 for F-4, f4 and F 4.
/// Anything that is no letters with a number after them stays as it is.
pub(crate) fn group(word: &str) -> String {
    let letters = word.len() - word.trim_start_matches(|c: char| c.is_ascii_alphabetic()).len();
    let (head, tail) = word.split_at(letters);
    let tail = tail.trim_start_matches([' ', '-']);
    let is_number = tail.starts_with(|c: char| c.is_ascii_digit());
    if letters > 2 || letters == 0 || !is_number || !tail.chars().all(|c| c.is_ascii_alphanumeric()) {
        return word.to_owned();
    }
    format!("{head}{tail}").to_ascii_uppercase()
}

/// The group of a weld made without filler metal.
pub(crate) const NO_FILLER: &str = "none";

/// The type of ISO 9606-1 for a weld made without filler metal.
const NO_FILLER_TYPE: &str = "nm";

/// The group a filler stands in under the American codes: the F-number of a
/// classification that is known, as F4 of E7018; `none` for none; any other word
/// as `group` has it.
pub fn filler_group(filler: &str) -> String {
    match wire_named(filler) {
        Some(wire) => format!("F{}", wire.f_number),
        None if is_no_filler(filler) => NO_FILLER.to_owned(),
        None => group(filler.trim()),
    }
}

/// The type of a filler by its classification, as S of ER70S-2; nm where there
/// is none. `None` where the words do not settle it: a group alone does not.
pub fn filler_type(filler: &str) -> Option<String> {
    match wire_named(filler) {
        Some(wire) => wire.iso_type.clone(),
        None => is_no_filler(filler).then(|| NO_FILLER_TYPE.to_owned()),
    }
}

/// Group and type of a filler as far as either is stated: no filler is known by
/// each of the two.
pub(crate) fn filler_facts(
    filler: Option<&str>,
    stated_type: Option<&str>,
) -> (Option<String>, Option<String>) {
    let bare = (stated_type == Some(NO_FILLER_TYPE)).then(|| NO_FILLER.to_owned());
    let kind = stated_type.map(str::to_owned).or_else(|| filler_type(filler?));
    (filler.map(filler_group).or(bare), kind)
}

#[cfg(test)]
mod tests {
    use super::{filler_facts, filler_group, group};

    #[test]
    fn a_classification_stands_in_its_group() {
        for (written, wanted) in [("E7018", "F4"), ("e6010", "F3"), ("ER70S-6", "F6"), ("f-4", "F4")] {
            assert_eq!(filler_group(written), wanted);
        }
        assert_eq!(filler_group("unheard of"), "unheard of");
    }

    #[test]
    fn what_is_stated_of_a_filler_says_the_rest_where_it_can() {
        let told = |filler, kind| filler_facts(filler, kind);
        let pair = |group: &str, kind: &str| (Some(group.to_owned()), Some(kind.to_owned()));
        assert_eq!(told(Some("ER70S-2"), None), pair("F6", "S"));
        assert_eq!(told(Some("Autogenous"), None), pair("none", "nm"));
        assert_eq!(told(None, Some("nm")), pair("none", "nm"));
        // A group has solid and cored fillers.
        assert_eq!(told(Some("F6"), None), (Some("F6".to_owned()), None));
        assert_eq!(told(Some("F6"), Some("M")), pair("F6", "M"));
        assert_eq!(told(None, Some("S")), (None, Some("S".to_owned())));
    }

    #[test]
    fn a_group_is_one_word_however_it_is_written() {
        for (written, wanted) in
            [("F-4", "F4"), ("f4", "F4"), ("F 4", "F4"), ("p-5a", "P5A"), ("FM-1", "FM1")]
        {
            assert_eq!(group(written), wanted);
        }
        for other in ["ER70S-6", "II", "not_stated", "any", "A572-50", "", "4"] {
            assert_eq!(group(other), other);
        }
    }
}
