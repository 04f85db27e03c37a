//! Where each kind of computed number comes from: one table that the page, the
//! paper, the command line and JSON read.
//!
//! An answer with a verdict carries its own source; here stands the rest.

use std::collections::BTreeSet;

use bendproof_files::Document;
use bendproof_forecast::stick::StickPassForecast;
use bendproof_forecast::{Forecast, PassForecast};
use bendproof_weld::arc;
use bendproof_weld::basis::Basis;
use bendproof_weld::stick::Electrode;

/// What the model's error was measured against.
pub const MODEL_ERROR_OF: &str =
    "one standard deviation against solved beads left out of the fit, with their grid error";

/// One kind of computed number and what stands behind it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin {
    /// Its field in the JSON contract.
    pub field: &'static str,
    /// What it is called.
    pub label: &'static str,
    /// Formula, publication or rule.
    pub source: String,
    /// What that is worth, by its weakest part.
    pub basis: Basis,
}

impl Origin {
    pub(crate) fn of(field: &'static str, label: &'static str, source: &str, basis: Basis) -> Self {
        Self { field, label, source: source.to_owned(), basis }
    }
}

/// One line for each kind of number: what it is, basis, source.
pub fn source_rows(origins: &[Origin]) -> Vec<[String; 3]> {
    let mut out: Vec<[String; 3]> = Vec::new();
    for o in origins {
        let row = [o.label.to_owned(), o.basis.word().to_owned(), o.source.clone()];
        if !out.contains(&row) {
            out.push(row);
        }
    }
    out
}

const GEOMETRY: &str = "exact geometry of the section as fitted";
const SCATTER: &str = "as written in the file, or the default the field proposes";

/// Which values of a coupon somebody wrote; what is not among them the sheet
/// proposes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written(BTreeSet<String>);

impl Written {
    /// Those of a document.
    pub fn of(document: &Document) -> Self {
        Self(document.values().keys().cloned().collect())
    }

    fn origin(&self, path: &str, field: &'static str, label: &'static str) -> Origin {
        match self.0.contains(path) {
            true => Origin::of(field, label, "as written in the file", Basis::Measured),
            false => Origin::of(field, label, "not written; the default the field proposes", Basis::Choice),
        }
    }

    /// Values of the fit.
    pub fn of_fit(&self) -> Vec<Origin> {
        let right = match self.0.contains("fit.root_face_right") {
            true => "fit.root_face_right",
            // One land alone is meant for both.
            false => "fit.root_face",
        };
        vec![
            self.origin("fit.root_opening", "root_opening_mm", "root opening"),
            self.origin("fit.root_face", "root_face_left_mm", "left root face"),
            self.origin(right, "root_face_right_mm", "right root face"),
            self.origin("fit.mismatch", "mismatch_mm", "mismatch"),
        ]
    }

    /// Settings of the pass of this row of the file.
    pub fn of_pass(&self, row: usize) -> Vec<Origin> {
        vec![
            self.origin(&format!("pass.{row}.volts"), "volts", "volts"),
            self.origin(&format!("pass.{row}.wire_feed"), "wire_feed", "wire feed"),
        ]
    }
}

/// Numbers that follow from the fit.
pub fn of_fit() -> Vec<Origin> {
    vec![
        Origin::of("groove_area_mm2", "groove area", GEOMETRY, Basis::Derived),
        Origin::of("face_width_mm", "groove width at the face", GEOMETRY, Basis::Derived),
        Origin::of(
            "joint_length_mm",
            "joint length",
            "length of the plate as written, or once around the pipe",
            Basis::Derived,
        ),
    ]
}

/// The current of a pass, read or by the melting law.
pub fn of_current(is_read: bool) -> Origin {
    let law = || {
        format!(
            "wire-melting law after Lesnewich and Halmøy, constants from memory; {}",
            arc::MELTING_LAW_SHOWN
        )
    };
    match is_read {
        true => Origin::of("current_A", "amps", "read on the machine", Basis::Measured),
        false => Origin::of("current_A", "amps", &law(), Basis::Memory),
    }
}

/// Numbers of one pass.
pub fn of_pass(pass: &PassForecast) -> Vec<Origin> {
    let mut out = vec![
        of_current(pass.current_is_read),
        Origin::of(
            "expected_transfer",
            "expected transfer",
            "published settings of short-circuit and spray transfer for this gas and wire; where they leave off is a choice",
            Basis::Choice,
        ),
        Origin::of("travel", "travel", "as written, or solved from the bead's area", Basis::Derived),
        Origin::of(
            "arc_energy_kJ_mm",
            "arc energy",
            "volts times amps over travel; ASME IX QW-409.1(a)",
            Basis::Secondary,
        ),
        Origin::of(
            "heat_input_kJ_mm",
            "heat input",
            "arc energy times the factor k of EN 1011-1, quoted by a steel maker",
            Basis::Secondary,
        ),
        Origin::of(
            "bead_area_mm2",
            "bead area",
            "wire section times feed over travel, times the deposition efficiency",
            Basis::Derived,
        ),
        Origin::of("arc_time_s", "arc time", "joint length over travel, all beads", Basis::Derived),
        Origin::of("interpass_C", "temp before pass", WARMED_STRIP, Basis::Choice),
        Origin::of("depth_mm", "melted into the metal below", pass.tie_in.source, pass.tie_in.basis),
        Origin::of("level_mm", "level of the metal", LAYERS, Basis::Derived),
        Origin::of("crown_mm", "height over the plate", LAYERS, Basis::Derived),
    ];
    out.push(of_cooling(pass.cooling_is_solved));
    out
}

const WARMED_STRIP: &str =
    "heat balance of a 3 in strip on each side, cooled in still air to the interpass limit";
const LAYERS: &str = "mass balance: metal laid in the groove, flat, as a parabola over the face";

fn of_cooling(is_solved: bool) -> Origin {
    let (source, basis) = match is_solved {
        true => ("read next to the wall of the solved section; width of the arc is a choice", Basis::Choice),
        false => ("EN 1011-2 cooling time, run in a butt groove, quoted in public texts", Basis::Secondary),
    };
    Origin::of("t85_s", "t8/5", source, basis)
}

/// Numbers of one pass with stick.
pub fn of_stick_pass(electrode: &Electrode, pass: &StickPassForecast) -> Vec<Origin> {
    let volts = match pass.heat.filter(|heat| !heat.volts_are_stated).and(electrode.volts.as_ref()) {
        Some(line) => {
            let source = format!("line of {}, ± {} V: {}", electrode.name, line.value.doubt_v, line.source);
            Origin::of("volts", "volts", &source, line.basis)
        }
        None => Origin::of("volts", "volts", "as written", Basis::Measured),
    };
    let deposit = &electrode.deposit_kg_as;
    let laid = format!("{} lays so much an ampere-hour: {}", electrode.name, deposit.source);
    let handbook = &electrode.currents;
    vec![
        Origin::of("handbook_A", "handbook amps", &handbook.source, handbook.basis),
        Origin::of("travel", "travel", "as written, or solved from the bead's area", Basis::Derived),
        Origin::of("bead_area_mm2", "bead area", &laid, deposit.basis),
        Origin::of("run_out_mm", "weld per rod", &rod_source(electrode), electrode.core_share.basis),
        Origin::of("rods", "rods", &rod_source(electrode), electrode.core_share.basis),
        Origin::of("arc_time_s", "arc time", "joint length over travel, all beads", Basis::Derived),
        volts,
        Origin::of(
            "arc_energy_kJ_mm",
            "arc energy",
            "volts times amps over travel; ASME IX QW-409.1(a)",
            Basis::Secondary,
        ),
        Origin::of(
            "heat_input_kJ_mm",
            "heat input",
            "arc energy times the factor k of EN 1011-1, quoted by a steel maker",
            Basis::Secondary,
        ),
        Origin::of("interpass_C", "temp before pass", WARMED_STRIP, Basis::Choice),
        of_cooling(false),
    ]
}

/// Totals of a joint with stick.
pub fn of_stick_totals(electrode: &Electrode) -> Vec<Origin> {
    let deposit = &electrode.deposit_kg_as;
    vec![
        Origin::of("beads", "beads", "sum over the passes", Basis::Derived),
        Origin::of(
            "filled_percent",
            "groove filled",
            "metal laid over the groove's area; cap metal counts",
            deposit.basis,
        ),
        Origin::of("rods", "rods", &rod_source(electrode), electrode.core_share.basis),
        Origin::of("laid_kg", "weld metal", &deposit.source, deposit.basis),
        Origin::of("arc_time_s", "arc time", "joint length over travel, all beads", Basis::Derived),
        Origin::of(
            "clock_time_s",
            "total time",
            "arc time, a minute of cleaning after each bead, and waiting for the interpass limit if one is entered",
            Basis::Choice,
        ),
    ]
}

/// What a rod lays, in words.
fn rod_source(electrode: &Electrode) -> String {
    format!(
        "core of a 14 in rod burnt to a 2 in stub (common practice, no source), of which {:.0} to {:.0} % is laid: {}",
        electrode.core_share.value.low * 100.0,
        electrode.core_share.value.high * 100.0,
        electrode.core_share.source
    )
}

/// Size of the root, which rests on what its profile rests on.
pub fn of_root(forecast: &Forecast) -> Vec<Origin> {
    let profile = &forecast.root.profile;
    let edge = &forecast.root.left_edge;
    vec![
        Origin::of("height_mm", "root height", profile.source, profile.basis),
        Origin::of("width_mm", "root width", edge.source, edge.basis),
    ]
}

/// Totals of the coupon.
pub fn of_totals() -> Vec<Origin> {
    vec![
        Origin::of("beads", "beads", "sum over the passes", Basis::Derived),
        Origin::of("arc_time_s", "arc time", "joint length over travel, all beads", Basis::Derived),
        Origin::of(
            "clock_time_s",
            "total time",
            "arc time, a minute of cleaning after each bead, and waiting for the interpass limit",
            Basis::Choice,
        ),
        Origin::of(
            "wire_kg",
            "wire",
            "wire section times feed times arc time; density 7850 kg/m³ from memory",
            Basis::Memory,
        ),
        Origin::of("gas_L", "gas", "flow times arc time, and two seconds for each bead", Basis::Choice),
        Origin::of("cost", "cost", "the shop's own prices, as written", Basis::Measured),
    ]
}

/// Limits the forecast is held to.
pub fn of_limits() -> Vec<Origin> {
    let rule = "visual rules of the coupon's code; bendproof cover names each with clause and basis";
    let limit = |field, label| Origin::of(field, label, rule, Basis::Derived);
    vec![
        limit("crown_mm", "most crown"),
        limit("melt_through_mm", "most melt-through"),
        limit("concavity_mm", "most root concavity"),
    ]
}

/// What the chance that the root holds is.
pub(crate) const CHANCE_SOURCE: &str = "share of a thousand drawn coupons whose root holds over the whole joint, with the scatter of hand, settings and model; root height is not in it";

/// What the chance that the root holds rests on.
pub fn of_chance() -> Origin {
    Origin::of("probability_root_holds", "chance that the root holds", CHANCE_SOURCE, Basis::Choice)
}

/// Numbers of a settings window besides its answers, which carry their own.
pub fn of_window() -> Vec<Origin> {
    vec![
        Origin::of("clearance", "clearance", "1 is a chance of 4 in 5, -1 one of 1 in 5", Basis::Choice),
        Origin::of("model_error_mm", "error of the fast model", MODEL_ERROR_OF, Basis::Derived),
        Origin::of(
            "knobs",
            "what a knob moves",
            "difference of two forecasts, one each side of the value set",
            Basis::Choice,
        ),
        Origin::of(
            "change",
            "smallest change",
            "forecasts asked again at half steps of the hand, up to eight steps away",
            Basis::Choice,
        ),
        Origin::of(
            "chance",
            "chance that the root holds",
            "coupons drawn within the scatter the file states; the hand again in every inch of the joint, the model once",
            Basis::Choice,
        ),
        Origin::of(
            "checked",
            "checked range",
            "range of the solved beads behind the fast model",
            Basis::Derived,
        ),
        Origin::of("scatter_si", "scatter", SCATTER, Basis::Choice),
        Origin::of("plates", "own plates", "finished coupons named with --plate", Basis::Measured),
    ]
}

/// Numbers of a coupon under a code that have no rule of their own.
pub fn cover_origins() -> Vec<Origin> {
    vec![
        Origin::of(
            "reach",
            "how far it is covered",
            "the code's rules, asked at each sixteenth of an inch or each millimetre; they stand under because",
            Basis::Derived,
        ),
        Origin::of(
            "neighbours",
            "joints next to the test",
            "the code's rules, asked one step away; each names its rules",
            Basis::Derived,
        ),
    ]
}
