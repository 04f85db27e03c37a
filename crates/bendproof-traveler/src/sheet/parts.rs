//! The traveler as one value: everything the page shows and the paper prints,
//! already in the words and units a shop reads.
//!
//! Built by [`crate::build`]; the page and the paper lay it out and decide
//! nothing.

use crate::context::code_name;
use bendproof_weld::words::spoken;
use serde::{Deserialize, Serialize};

use crate::stated::PROPOSED;

/// A forecast word, or the word for a bend or code verdict next to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// The forecast says it holds, or a code accepts it.
    Holds,
    /// Near the line.
    Marginal,
    /// The forecast says it fails, or a code rejects it.
    Fails,
    /// The tool does not know.
    NotKnown,
}

/// Where a number comes from. Every number on the sheet has one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Provenance {
    /// Publication, clause, or "common practice, no source".
    pub source: String,
    /// `seen`, `secondary`, `memory`, `derived`, `practice`, `measured` or `choice`.
    pub basis: String,
    /// Rule id for `explain`, when the number comes from a code rule; with
    /// `?code=` and the edition where that has the rule otherwise.
    pub rule: Option<String>,
}

/// Basis of a limit the reader must hold against the code book.
const FROM_MEMORY: &str = "memory";

impl Provenance {
    /// Whether the reader must hold it against the code book.
    pub fn is_from_memory(&self) -> bool {
        self.basis == FROM_MEMORY
    }
}

/// A computed number that is not judged: label, text and where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// What it is.
    pub label: String,
    /// Number and unit, both systems where a shop uses both.
    pub text: String,
    /// Where it comes from.
    pub provenance: Provenance,
}

/// One value the user can set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Field {
    /// Dotted path in the coupon document, for example `fit.root_opening`.
    pub path: String,
    /// The trade's name for it.
    pub label: String,
    /// One sentence for the reader who asks.
    pub doc: String,
    /// The text as the user wrote it; empty where nobody stated anything.
    pub text: String,
    /// What is proposed while nothing is stated: never judged, qualified or
    /// recorded. Empty for nothing.
    pub proposed: String,
    /// The unit in which a number alone is taken; empty where none is added.
    pub unit: String,
    /// The same value in the other system: `3.2 mm` next to `1/8 in`.
    pub also: String,
    /// How it is set.
    pub control: Control,
    /// What is wrong with the text, when something is.
    pub error: Option<String>,
}

/// How a value is set.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "control", rename_all = "snake_case")]
#[expect(
    clippy::large_enum_variant,
    reason = "most fields of a pass are rules, and a sheet holds some fifty"
)]
pub enum Control {
    /// Free text.
    Text,
    /// A date, `YYYY-MM-DD`.
    Date,
    /// One of a list of words.
    Choice {
        /// The words.
        options: Vec<String>,
    },
    /// A quantity typed with its unit.
    Quantity,
    /// A quantity set on the three-voice rule.
    Rule(Rule),
}

/// The three voices on one rule. All positions are in `unit`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rule {
    /// Unit written after a dragged number: `in`, `V`, `in/min`.
    pub unit: String,
    /// Left end.
    pub min: f64,
    /// Right end.
    pub max: f64,
    /// Smallest step of a key press or drag: 1/64, 0.1, 5.
    pub step: f64,
    /// Distance between long ticks.
    pub tick: f64,
    /// Whether numbers print as fractions of an inch.
    pub fractions: bool,
    /// Where the marker stands; `None` when the value cannot be read.
    pub value: Option<f64>,
    /// The trade's range, if a published or customary one is known.
    pub trade: Option<TradeRange>,
    /// What the physics says along the rule, left to right, without gaps.
    pub physics: Vec<Span>,
    /// The quantity that decides the physics spans, for the reader.
    pub physics_note: Provenance,
    /// This shop's own plates near this point.
    pub plates: Vec<Dot>,
    /// `n`, pass rate and interval in words, or why there is none.
    pub plates_note: String,
}

/// The trade's range with its publication.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TradeRange {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Where it is from.
    pub provenance: Provenance,
}

/// A stretch of a rule with one forecast word.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Span {
    /// Left end.
    pub from: f64,
    /// Right end.
    pub to: f64,
    /// What the physics says there.
    pub mark: Mark,
}

/// One of this shop's own plates, or several that lie close together and fared
/// alike.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dot {
    /// Where its value lies.
    pub at: f64,
    /// Whether it passed.
    pub held: bool,
    /// The coupon's number; of several, one of them.
    pub coupon: String,
    /// How many plates stand here together; the dot lies in their middle.
    pub plates: usize,
}

/// One line with a verdict bar.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Item {
    /// Stable key, for example `root.left_edge`.
    pub key: String,
    /// What is judged, in the trade's words.
    pub label: String,
    /// The verdict.
    pub mark: Mark,
    /// The number in words: `0.9 mm past`, `62 % of limit`, `not known`.
    pub value: String,
    /// One standard deviation in words: `± 0.4 mm`; empty when not known.
    pub uncertainty: String,
    /// What drives it.
    pub driver: String,
    /// Where the number comes from.
    pub provenance: Provenance,
}

/// One row of the pass table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PassRow {
    /// 1-based number of the planned pass, as in `pass.2.volts`.
    pub pass: usize,
    /// Bead numbers: `1`, `4–5`.
    pub beads: String,
    /// Fields of this pass, editable.
    pub fields: Vec<Field>,
    /// Computed columns.
    pub computed: Vec<Figure>,
    /// Wall and toe tie-in.
    pub tie_in: Item,
}

/// What stands in the place of a strap's kind while nobody stated it.
pub const KIND_NOT_STATED: &str = "kind of bend not stated";

/// One strap with its openings and the code's word.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StrapView {
    /// 1-based number, as in `strap.1.kind`.
    pub strap: usize,
    /// The strap's mark: `R1`; its place in the list while it has none: `no. 3`.
    pub id: String,
    /// face, root or side, or [`KIND_NOT_STATED`].
    pub kind: String,
    /// `3/8 in · 9.5 mm`.
    pub thickness: String,
    /// Width of the strap, mm, for the drawing.
    pub width_mm: f64,
    /// Length of the bent convex face that is looked at, mm.
    pub face_length_mm: f64,
    /// Width of the weld on that face, mm.
    pub weld_width_mm: f64,
    /// Former diameter, mm; a size to draw with where the code's is not known.
    pub former_mm: f64,
    /// Whether the code gives the former's size for what is stated.
    pub is_former_known: bool,
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Fields of this strap: mark, kind, thickness.
    pub fields: Vec<Field>,
    /// Whether someone has looked at the bent face: openings are listed, or the
    /// path `strap.N.openings` holds `none`.
    pub is_inspected: bool,
    /// Openings found.
    pub openings: Vec<OpeningView>,
    /// The code's word for this strap: `accept`, `reject`, `void, replace specimen`, `not covered`,
    /// `not inspected`; `not complete: …` with what nobody stated.
    pub verdict: String,
    /// The bar next to it.
    pub mark: Mark,
    /// One line per finding, with clause.
    pub findings: Vec<FindingLine>,
}

/// One opening on the convex face.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OpeningView {
    /// 1-based number, as in `strap.1.openings.2.length`.
    pub opening: usize,
    /// `1/16 in · 1.6 mm`.
    pub length: String,
    /// The text as the user wrote it.
    pub text: String,
    /// Length, mm; 0 while nobody has measured it.
    pub length_mm: f64,
    /// face or corner.
    pub place: String,
    /// none, slag, fusion or other.
    pub cause: String,
    /// Fields of this opening: length, place, cause, zone.
    pub fields: Vec<Field>,
    /// Position along the face from its middle, mm.
    pub x_mm: f64,
    /// Position across the face from its middle, mm.
    pub y_mm: f64,
}

/// One finding under a code.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FindingLine {
    /// Where: `R1` of a strap, `R1, R2` of several, `visual`; empty for the coupon
    /// as a whole.
    pub place: String,
    /// What was found and measured, against which limit.
    pub text: String,
    /// The code's word.
    pub verdict: String,
    /// Clause and edition, basis and rule id.
    pub provenance: Provenance,
}

/// One kind of examination other than bends and visual.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExamView {
    /// Name of its rows, as in `tension.1.width`.
    pub list: String,
    /// The trade's word for it.
    pub title: String,
    /// Name of the list inside a row, `flaws` or `points`.
    pub inner: Option<String>,
    /// The pieces.
    pub pieces: Vec<PieceView>,
}

/// One examined piece with the code's word.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceView {
    /// 1-based number, as in `tension.1.width`.
    pub piece: usize,
    /// Its mark: `T1`.
    pub id: String,
    /// Fields, editable.
    pub fields: Vec<Field>,
    /// Whether someone has looked for flaws: they are listed, or the path of the
    /// list holds `none`.
    pub is_inspected: bool,
    /// Flaws or points found.
    pub flaws: Vec<FlawView>,
    /// The code's word for this piece.
    pub verdict: String,
    /// The bar next to it.
    pub mark: Mark,
    /// One line per finding, with clause.
    pub findings: Vec<FindingLine>,
}

/// One flaw of a piece, or one point of a traverse.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FlawView {
    /// 1-based number, as in `nick_break.1.flaws.2.length`.
    pub flaw: usize,
    /// Fields, editable.
    pub fields: Vec<Field>,
}

/// One line of a reading made while welding.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LogRow {
    /// 1-based number, as in `log.1.volts`.
    pub log: usize,
    /// Fields, editable.
    pub fields: Vec<Field>,
    /// Reading against forecast.
    pub differences: Vec<Figure>,
}

/// Label of the standing's lines that only name a clause.
pub const BECAUSE: &str = "because";

/// A line of the standing: what is covered, in words, with its clause.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StandingLine {
    /// `positions, plate groove`.
    pub label: String,
    /// `F, H, V`.
    pub value: String,
    /// Clause, basis and rule id.
    pub provenance: Provenance,
}

/// Drawings to scale, as SVG text for the page (colours are CSS variables).
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Drawings {
    /// The fit.
    pub fit: String,
    /// The cross-section with beads.
    pub section: String,
    /// Where the straps are cut.
    pub straps: String,
    /// Root opening against land: where the physics fails, the trade's frame,
    /// this shop's plates. Empty when there is nothing to map.
    pub window: String,
}

/// The whole sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sheet {
    /// The coupon's number.
    pub number: String,
    /// Title: the user's, or made from the fit.
    pub title: String,
    /// Who, where, with what, to which code.
    pub subtitle: String,
    /// The words of the stamp: `root should hold · 86 %`, `accept · ASME IX:2023` …
    pub stamp: String,
    /// What the stamp leaves out, in a sentence; may be empty.
    pub stamp_note: String,
    /// The stamp's mark.
    pub stamp_mark: Mark,
    /// Where the stamp's word and number come from.
    pub stamp_provenance: Provenance,
    /// Which reading would settle the chance most, and what it would then be; empty
    /// where the stamp is no forecast.
    pub next_reading: String,
    /// What is wrong with the document as a whole, clearest first.
    pub findings: Vec<String>,
    /// Head fields: title, welder, booth, code, dates.
    pub head: Vec<Field>,
    /// Operation 10: the fit.
    pub fit: Vec<Field>,
    /// Numbers that follow from the fit.
    pub fit_computed: Vec<Figure>,
    /// Operation 20: settings common to all passes.
    pub settings: Vec<Field>,
    /// Operation 30: passes.
    pub passes: Vec<PassRow>,
    /// Totals: beads, arc time, wire, gas, cost.
    pub totals: Vec<Figure>,
    /// Operation 40: forecast.
    pub forecast: Vec<Item>,
    /// What the forecast does not know, and the box it was checked in.
    pub forecast_notes: Vec<String>,
    /// Operation 50: weld log.
    pub log: Vec<LogRow>,
    /// Operation 60: visual readings.
    pub visual: Vec<Field>,
    /// Further visual readings that some codes ask for.
    pub visual_further: Vec<Field>,
    /// Code findings on the visual readings.
    pub visual_findings: Vec<FindingLine>,
    /// Operation 60: the specimens the code asks for, with sizes and jig.
    pub specimens: Vec<StandingLine>,
    /// Straps cut and bent.
    pub straps: Vec<StrapView>,
    /// Every other examination, those without a piece too.
    pub exams: Vec<ExamView>,
    /// What the code asks for and nobody examined: `2 tension`.
    pub not_examined: Vec<String>,
    /// Operation 70: the verdict in the code's word.
    pub verdict: String,
    /// The verdict's mark.
    pub verdict_mark: Mark,
    /// Why, with clauses.
    pub verdict_lines: Vec<FindingLine>,
    /// Operation 80: what the welder may weld with it, until when.
    pub standing: Vec<StandingLine>,
    /// What the tool is not sure of.
    pub doubts: Vec<String>,
    /// Drawings to scale.
    pub drawings: Drawings,
}

impl Sheet {
    /// The code and edition the coupon is judged under; empty while none is
    /// stated.
    pub fn code(&self) -> &str {
        text_of(&self.head, "code").trim()
    }

    /// What the forecast took because nobody stated it, as `process GMAW, gas …`;
    /// `None` where everything is stated, or nothing is forecast.
    pub fn proposals(&self) -> Option<&str> {
        self.forecast_notes.iter().find_map(|note| note.strip_prefix(PROPOSED))
    }

    /// A source without the code's name, for paper that names the code once.
    pub fn clause(&self, provenance: &Provenance) -> String {
        let short =
            provenance.source.strip_prefix(&code_name(self.code())).and_then(|rest| rest.strip_prefix(", "));
        short.unwrap_or(&provenance.source).to_owned()
    }
}

/// The text stated in the field with this path; empty when there is none.
pub fn text_of<'a>(fields: &'a [Field], path: &str) -> &'a str {
    fields.iter().find(|f| f.path == path).map_or("", |f| &f.text)
}

/// Place of what the eye saw.
pub(crate) const VISUAL: &str = "visual";

impl FindingLine {
    /// The sentence behind its place: `strap R2: …`, `visual: …`.
    pub fn placed(&self) -> String {
        match self.place.as_str() {
            "" => self.text.clone(),
            VISUAL => format!("{VISUAL}: {}", self.text),
            straps if straps.contains(", ") => format!("straps {straps}: {}", self.text),
            strap => format!("strap {strap}: {}", self.text),
        }
    }
}

impl Field {
    /// What a page shows: the text, or the proposal while nothing is stated.
    pub fn shown(&self) -> &str {
        if self.text.is_empty() { &self.proposed } else { &self.text }
    }

    /// The text stated, a word of a list as it is spoken: `cluster pore`.
    pub fn spoken(&self) -> String {
        match &self.control {
            Control::Choice { .. } => spoken(&self.text),
            _ => self.text.clone(),
        }
    }

    /// Whether only a proposal stands here.
    pub fn is_proposed(&self) -> bool {
        self.text.is_empty() && !self.proposed.is_empty()
    }

    /// Its text in both systems: `1/8 in · 3.2 mm`.
    pub fn both(&self) -> String {
        let own = with_degree(&self.text);
        if self.also.is_empty() { own } else { format!("{own} · {}", self.also) }
    }
}

/// A typed temperature with the sign that few type: `70 °F` of `70 F`; any other
/// text as it is.
pub fn with_degree(text: &str) -> String {
    match text.trim().rsplit_once(' ') {
        Some((number, unit @ ("F" | "C"))) if number.parse::<f64>().is_ok() => format!("{number} °{unit}"),
        _ => text.to_owned(),
    }
}
