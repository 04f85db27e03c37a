//! Colours, words and the frame each drawing is given. Holds no drawing code.

use bendproof_measure::System;

/// Colours and typeface of a drawing; each colour is any SVG paint.
///
/// The literal themes are for paper and for pictures; [`Theme::web`] names CSS
/// variables, so that one drawing follows the page from day to booth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Theme {
    /// Lines and values.
    pub ink: &'static str,
    /// Dimension lines, words next to values.
    pub ink_soft: &'static str,
    /// What lies behind the drawing; used only inside open dots and bars.
    pub paper: &'static str,
    /// Hairlines that structure without being read.
    pub line: &'static str,
    /// Plate and pipe wall.
    pub steel: &'static str,
    /// Bead shades; a bead's shade index picks one, modulo three.
    pub beads: [&'static str; 3],
    /// Text on a bead.
    pub bead_ink: &'static str,
    /// The one accent: what the hand can move or must look at.
    pub accent: &'static str,
    /// The accent, thinned, for areas.
    pub accent_soft: &'static str,
    /// The ground under hatching.
    pub shade: &'static str,
    /// Font family list.
    pub font: &'static str,
}

const FONT: &str = "Barlow Condensed, Arial Narrow, sans-serif";

impl Theme {
    /// Names CSS variables, each with the day colour as fallback. The page
    /// defines `--bp-ink`, `--bp-ink-soft`, `--bp-paper`, `--bp-line`,
    /// `--bp-steel`, `--bp-bead-1` to `--bp-bead-3`, `--bp-bead-ink`,
    /// `--bp-accent`, `--bp-accent-soft` and `--bp-shade`; see
    /// [`Theme::css_variables`].
    pub const fn web() -> Self {
        Self {
            ink: "var(--bp-ink,#1f242b)",
            ink_soft: "var(--bp-ink-soft,#5a5f65)",
            paper: "var(--bp-paper,#f7f4ea)",
            line: "var(--bp-line,#cbc7b8)",
            steel: "var(--bp-steel,#d9dcdd)",
            beads: ["var(--bp-bead-1,#a3abb3)", "var(--bp-bead-2,#b1b8be)", "var(--bp-bead-3,#969fa8)"],
            bead_ink: "var(--bp-bead-ink,#1f242b)",
            accent: "var(--bp-accent,#b23a12)",
            accent_soft: "var(--bp-accent-soft,#eccfc0)",
            shade: "var(--bp-shade,#e4e0d2)",
            font: FONT,
        }
    }

    /// Ink on paper, literal colours: printing, and the page by day.
    pub const fn paper() -> Self {
        Self {
            ink: "#1f242b",
            ink_soft: "#5a5f65",
            paper: "#f7f4ea",
            line: "#cbc7b8",
            steel: "#d9dcdd",
            beads: ["#a3abb3", "#b1b8be", "#969fa8"],
            bead_ink: "#1f242b",
            accent: "#b23a12",
            accent_soft: "#eccfc0",
            shade: "#e4e0d2",
            font: FONT,
        }
    }

    /// Soapstone on steel, literal colours: the booth.
    pub const fn steel() -> Self {
        Self {
            ink: "#ece9df",
            ink_soft: "#a7aaac",
            paper: "#22252a",
            line: "#3f444a",
            steel: "#3f464d",
            beads: ["#5b636c", "#676f78", "#515962"],
            bead_ink: "#f4f1e8",
            accent: "#f08a4b",
            accent_soft: "#573a2a",
            shade: "#2d3136",
            font: FONT,
        }
    }

    /// The declarations [`Theme::web`] reads, with this theme's colours, for a
    /// page's own style sheet.
    pub fn css_variables(&self) -> String {
        let pairs = [
            ("ink", self.ink),
            ("ink-soft", self.ink_soft),
            ("paper", self.paper),
            ("line", self.line),
            ("steel", self.steel),
            ("bead-1", self.beads[0]),
            ("bead-2", self.beads[1]),
            ("bead-3", self.beads[2]),
            ("bead-ink", self.bead_ink),
            ("accent", self.accent),
            ("accent-soft", self.accent_soft),
            ("shade", self.shade),
        ];
        pairs.iter().map(|(name, paint)| format!("--bp-{name}:{paint};")).collect()
    }
}

/// What surrounds a drawing: its id, its name for a screen reader, its colours.
#[derive(Debug, Clone)]
pub struct Frame<'a> {
    /// Prefix of every id in the drawing; unique on the page. Characters other
    /// than letters, digits, `-` and `_` are dropped.
    pub id: &'a str,
    /// Short name, read first by a screen reader.
    pub title: &'a str,
    /// What the drawing shows, in words; may be empty.
    pub desc: &'a str,
    /// Colours.
    pub theme: &'a Theme,
    /// Words printed inside drawings.
    pub words: &'a Words,
}

/// The words drawings print by themselves, one catalogue entry each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Words {
    /// The units that stand first in a dimension.
    pub system: System,
    /// Root face, next to its dimension.
    pub land: String,
    /// Radius at the foot of a curved groove wall.
    pub radius: String,
    /// How deep a groove is prepared from one side.
    pub depth: String,
    /// Difference in height of the two plates.
    pub mismatch: String,
    /// Next to a dashed limit.
    pub limit: String,
    /// Next to the former's diameter.
    pub former: String,
    /// The four forecast words: OK, marginal, fails, unknown.
    pub signs: [String; 4],
    /// The top of a pipe.
    pub top: String,
    /// On the card that replaces a drawing with a bad number.
    pub undrawable: String,
}

impl Words {
    /// The English catalogue.
    pub fn english() -> Self {
        Self {
            system: System::Inch,
            land: "root face".into(),
            radius: "radius".into(),
            depth: "depth".into(),
            mismatch: "mismatch".into(),
            limit: "limit".into(),
            former: "former".into(),
            signs: ["OK", "marginal", "fails", "unknown"].map(Into::into),
            top: "top".into(),
            undrawable: "cannot be drawn: a size is missing or is not a number".into(),
        }
    }

    /// The same for a coupon that speaks these units first.
    pub fn of(system: System) -> Self {
        Self { system, ..Self::english() }
    }

    /// The word for a sign.
    pub fn sign(&self, sign: Sign) -> &str {
        &self.signs[sign as usize]
    }
}

/// The four answers a forecast can give.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// Full bar, plain rule.
    Holds,
    /// Half bar, sparse hatching.
    Marginal,
    /// Empty bar with a stroke, dense hatching.
    Fails,
    /// Dashed outline, dotted rule.
    NotKnown,
}
