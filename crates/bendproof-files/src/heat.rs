//! A heat problem as text becomes values: every fault reported at once, those that
//! only show when two values are held together included.
//!
//! Gives plain numbers; what they do to a plate is the solver's business.

use bendproof_measure::{Kind, Quantity, System, say};

use crate::document::Document;
use crate::finding::{Finding, Severity};
use crate::heat_fields::{HEAT, MODEL_CONSTANT, MODEL_STEEL};
use crate::reader::{Known, Reader};

/// Most probes in one problem (choice: each keeps its whole history).
pub const PROBES_MAX: usize = 200;
/// Longest name of a probe, characters (choice: it heads a column).
const PROBE_NAME_MAX: usize = 24;
/// Narrowest melting range, K (choice: a solver's table resolves one kelvin).
const MELTING_RANGE_MIN_K: f64 = 1.0;
/// A source closer to a face than this many of its lengths leaves part of its
/// heat outside the plate: at 1.2 it is 0.2 % at an edge, 0.4 % below (derived
/// from the Gaussian whose 5 % length it is).
const REACH_LENGTHS: f64 = 1.2;
/// Accuracy asked for when neither it nor a cell is written.
const ACCURACY_DEFAULT: f64 = 0.01;

/// A heat problem as written, in SI.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatFile {
    /// Length of the plate along x, m.
    pub length_m: f64,
    /// Width along y, m.
    pub width_m: f64,
    /// Thickness along z, m.
    pub thickness_m: f64,
    /// The metal.
    pub metal: HeatMetal,
    /// Isotherm read as the edge of fusion, K, if written.
    pub fusion_k: Option<f64>,
    /// The arc, if there is one.
    pub source: Option<HeatSource>,
    /// What the faces lose.
    pub losses: HeatLosses,
    /// Temperature everywhere before the arc, K.
    pub start_temperature_k: f64,
    /// Time followed after the arc is out, s.
    pub cool_for_s: f64,
    /// How finely it is solved.
    pub grid: HeatGrid,
    /// Travel of the arc in one step, cells.
    pub cells_per_step: f64,
    /// Longest step in cooling, s.
    pub step_max_s: f64,
    /// Cells at which the run is refused, if written.
    pub cells_max: Option<u32>,
    /// No run towards an accuracy is begun that is foreseen to take longer, s.
    pub time_max_s: f64,
    /// Threads.
    pub threads: u32,
    /// Points to follow, in the order they are written.
    pub probes: Vec<HeatProbe>,
}

/// The metal of a heat problem.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HeatMetal {
    /// Constant properties.
    Constant {
        /// Conductivity, W/(m·K).
        conductivity_w_m_k: f64,
        /// Heat to warm a cubic metre by a kelvin, J/(m³·K).
        volumetric_heat_j_m3_k: f64,
    },
    /// Carbon steel by EN 1993-1-2, with melting.
    CarbonSteel(HeatSteel),
}

/// What may be changed about the carbon steel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatSteel {
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Solidus, K.
    pub solidus_k: f64,
    /// Liquidus, K, above the solidus.
    pub liquidus_k: f64,
    /// Latent heat, J/kg.
    pub latent_heat_j_kg: f64,
    /// Conductivity from 800 C to the solidus, W/(m·K).
    pub conductivity_hot_w_m_k: f64,
    /// Conductivity of the liquid, W/(m·K).
    pub conductivity_liquid_w_m_k: f64,
    /// Specific heat from 900 C up, J/(kg·K).
    pub specific_heat_hot_j_kg_k: f64,
}

/// The arc: a double ellipsoid that runs along x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatSource {
    /// Net power, W.
    pub power_w: f64,
    /// Travel, m/s.
    pub travel_m_s: f64,
    /// Where it is lit, m.
    pub from_x_m: f64,
    /// Where it goes out, m, beyond `from_x_m`.
    pub to_x_m: f64,
    /// Its place across the plate, m.
    pub y_m: f64,
    /// Half width, m.
    pub half_width_m: f64,
    /// Depth, m.
    pub depth_m: f64,
    /// Length ahead, m.
    pub front_m: f64,
    /// Length behind, m.
    pub rear_m: f64,
}

impl HeatSource {
    /// The smallest of its four lengths, m: what a cell has to resolve.
    pub fn smallest_length_m(&self) -> f64 {
        self.half_width_m.min(self.depth_m).min(self.front_m).min(self.rear_m)
    }
}

/// Heat lost through the faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeatLosses {
    /// Convection, W/(m²·K).
    pub convection_w_m2_k: f64,
    /// Emissivity, 0 to 1.
    pub emissivity: f64,
    /// Air and walls, K.
    pub ambient_k: f64,
}

/// How finely a heat problem is solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HeatGrid {
    /// Cells of this side at the weld, m.
    Cell(f64),
    /// Cells as small as an error of this share needs.
    Accuracy(f64),
}

/// A point to follow.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatProbe {
    /// Its name.
    pub name: String,
    /// Its place, m.
    pub at_m: [f64; 3],
}

/// Reads a heat problem; `None` when it cannot be used, with all that is wrong.
/// Of a problem that can be used the findings are warnings.
///
/// # Examples
/// ```
/// let (problem, findings) = bendproof_files::read_heat("[plate]\nlength = \"200\"\n");
/// assert!(problem.is_none());
/// assert!(findings.iter().any(|f| f.message.contains("`200` has no unit")));
/// ```
pub fn read_heat(text: &str) -> (Option<HeatFile>, Vec<Finding>) {
    let (document, mut findings) = Document::from_toml(&HEAT, text);
    let mut reader =
        Reader::new(&HEAT, &document, Known { steels: &[], codes: &[], construction: &[], today: None });
    let file = file(&mut reader);
    findings.extend(reader.into_findings());
    findings.sort_by_key(|f| f.line.unwrap_or(usize::MAX));
    let has_error = findings.iter().any(|f| f.severity == Severity::Error);
    (file.filter(|_| !has_error), findings)
}

fn file(r: &mut Reader<'_>) -> Option<HeatFile> {
    let size = ["plate.length", "plate.width", "plate.thickness"].map(|path| r.quantity(path));
    let metal = metal(r);
    let fusion = r.quantity("material.fusion");
    let source = if section(r, "source") { Some(source(r, size)) } else { None };
    let start = r.quantity("run.start_temperature");
    let losses = losses(r, start);
    let cool_for_s = r.si("run.cool_for");
    let grid = grid(r, size, source.flatten());
    let cells_per_step = r.si("run.step");
    let step_max_s = r.si("run.step_max");
    let cells_max = r.count("run.cells_max");
    let time_max_s = r.si("run.time_max");
    let threads = r.count("run.threads");
    let probes = probes(r, size);
    check_fusion(r, fusion, start);
    if source.is_none() {
        check_without_source(r, cool_for_s, probes.as_deref());
    }
    let [length, width, thickness] = size;
    Some(HeatFile {
        length_m: length?.si,
        width_m: width?.si,
        thickness_m: thickness?.si,
        metal: metal?,
        fusion_k: fusion.map(|q| q.si),
        source: match source {
            Some(read) => Some(read?),
            None => None,
        },
        losses: losses?,
        start_temperature_k: start?.si,
        cool_for_s: cool_for_s?,
        grid: grid?,
        cells_per_step: cells_per_step?,
        step_max_s: step_max_s?,
        cells_max,
        time_max_s: time_max_s?,
        threads: threads?,
        probes: probes?,
    })
}

fn check_without_source(r: &mut Reader<'_>, cool_for_s: Option<f64>, probes: Option<&[HeatProbe]>) {
    if probes.is_some_and(<[_]>::is_empty) {
        let message = "there is no [source] and no probe; enter one of them";
        r.note(Finding::error("", message));
    }
    if cool_for_s == Some(0.0) {
        let message = "cooling time is 0 s; without a [source], enter how long to follow the plate";
        r.note(Finding::error("run.cool_for", message));
    }
}

/// Whether a section is there, be it empty.
fn section(r: &Reader<'_>, name: &str) -> bool {
    let start = format!("{name}.");
    r.document().line(name).is_some() || r.document().values().keys().any(|k| k.starts_with(&start))
}

/// Fields of one model of metal that must not stand under the other.
const OF_CONSTANT: &[&str] = &["conductivity", "volumetric_heat"];
const OF_STEEL: &[&str] = &[
    "density",
    "solidus",
    "liquidus",
    "latent_heat",
    "conductivity_hot",
    "conductivity_liquid",
    "specific_heat_hot",
];

fn metal(r: &mut Reader<'_>) -> Option<HeatMetal> {
    let model = r.word("material.model", |w| {
        [MODEL_CONSTANT, MODEL_STEEL].into_iter().find(|m| m.eq_ignore_ascii_case(w.trim()))
    })?;
    let (strange, theirs) = match model {
        MODEL_CONSTANT => (OF_STEEL, MODEL_STEEL),
        _ => (OF_CONSTANT, MODEL_CONSTANT),
    };
    for name in strange {
        let path = format!("material.{name}");
        if r.has(&path) {
            let message = format!(
                "{name} belongs to the model `{theirs}`, and the model is `{model}`; leave it out or change the model"
            );
            r.note(Finding::error(path, message));
        }
    }
    if model == MODEL_STEEL { steel(r) } else { constant(r) }
}

fn constant(r: &mut Reader<'_>) -> Option<HeatMetal> {
    for (name, label, example) in [
        ("conductivity", "conductivity", "30 W/m/K"),
        ("volumetric_heat", "volumetric heat", "5.0e6 J/m^3/K"),
    ] {
        let path = format!("material.{name}");
        if !r.has(&path) {
            let message = format!(
                "{label} is missing for the model `{MODEL_CONSTANT}`; enter it, for example {example}"
            );
            r.note(Finding::error(path, message));
        }
    }
    let conductivity = r.si("material.conductivity");
    let volumetric_heat = r.si("material.volumetric_heat");
    Some(HeatMetal::Constant { conductivity_w_m_k: conductivity?, volumetric_heat_j_m3_k: volumetric_heat? })
}

fn steel(r: &mut Reader<'_>) -> Option<HeatMetal> {
    let read = OF_STEEL.iter().map(|name| r.quantity(&format!("material.{name}"))).collect::<Vec<_>>();
    let (solidus, liquidus) = (read[1], read[2]);
    if let (Some(solidus), Some(liquidus)) = (solidus, liquidus)
        && liquidus.si < solidus.si + MELTING_RANGE_MIN_K
    {
        let message = format!(
            "liquidus {} must be at least 1 K above the solidus, {}; change one of them",
            say(&liquidus),
            say(&solidus)
        );
        // The one that is written is the one to look at.
        let path = if r.has("material.liquidus") { "material.liquidus" } else { "material.solidus" };
        r.note(Finding::error(path, message));
    }
    let all = read.into_iter().map(|q| q.map(|q| q.si)).collect::<Option<Vec<f64>>>()?;
    let [density, solidus, liquidus, latent, hot, liquid, specific] = all.try_into().ok()?;
    Some(HeatMetal::CarbonSteel(HeatSteel {
        density_kg_m3: density,
        solidus_k: solidus,
        liquidus_k: liquidus,
        latent_heat_j_kg: latent,
        conductivity_hot_w_m_k: hot,
        conductivity_liquid_w_m_k: liquid,
        specific_heat_hot_j_kg_k: specific,
    }))
}

/// Sides of the plate: length, width, thickness.
type Size = [Option<Quantity>; 3];
const SIDES: [&str; 3] = ["length", "width", "thickness"];
const ALONG: [&str; 3] = ["x", "y", "z"];

fn source(r: &mut Reader<'_>, size: Size) -> Option<HeatSource> {
    let power_w = r.si("source.power");
    let travel_m_s = r.si("source.travel");
    let from = point::<2>(r, "source.from", "start of the run", "[\"20 mm\", \"75 mm\"]");
    let to = point::<2>(r, "source.to", "end of the run", "[\"180 mm\", \"75 mm\"]");
    let lengths = ["half_width", "depth", "front", "rear"].map(|name| r.si(&format!("source.{name}")));
    for (point, name) in [(from, "from"), (to, "to")] {
        if let Some(point) = point {
            inside(r, &format!("source.{name}"), &format!("`{name}`"), &point, size);
        }
    }
    let (from, to) = (from?, to?);
    check_run(r, from, to);
    let [half_width, depth, front, rear] = lengths;
    let source = HeatSource {
        power_w: power_w?,
        travel_m_s: travel_m_s?,
        from_x_m: from[0].si,
        to_x_m: to[0].si,
        y_m: from[1].si,
        half_width_m: half_width?,
        depth_m: depth?,
        front_m: front?,
        rear_m: rear?,
    };
    warn_of_lost_heat(r, &source, size);
    Some(source)
}

/// A place of `N` coordinates, each a quantity of the field `path.#`.
fn point<const N: usize>(
    r: &mut Reader<'_>,
    path: &str,
    label: &str,
    example: &str,
) -> Option<[Quantity; N]> {
    let rows = r.document().rows(path);
    let read: Vec<_> = rows.iter().map(|row| r.quantity(&format!("{path}.{row}"))).collect();
    // One value in place of a list was reported when the file was read.
    let is_one_value = rows.is_empty() && r.has(path) && r.document().get(path) != Some(crate::NONE_FOUND);
    if read.len() != N && !is_one_value {
        let message = match (read.len(), r.has(path)) {
            (0, false) => format!("{label} is missing; enter it, for example {example}"),
            (1, _) => format!("{label} has 1 value; enter {N}, for example {example}"),
            (n, _) => format!("{label} has {n} values; enter {N}, for example {example}"),
        };
        r.note(Finding::error(path, message));
    }
    read.into_iter().collect::<Option<Vec<_>>>()?.try_into().ok()
}

/// Holds a place to the plate.
fn inside(r: &mut Reader<'_>, path: &str, label: &str, at: &[Quantity], size: Size) {
    for (i, (value, side)) in at.iter().zip(size).enumerate() {
        let Some(side) = side else { continue };
        // Both may be rounded: 6 in is not 152.4 mm to the last digit.
        let slack_m = 1e-9 * side.si;
        if value.si < -slack_m || value.si > side.si + slack_m {
            let message = format!(
                "{} of {label} is {}; enter 0 to the plate's {}, {}; move it into the plate",
                ALONG[i],
                say(value),
                SIDES[i],
                say(&side)
            );
            r.note(Finding::error(format!("{path}.{}", i + 1), message));
        }
    }
}

fn check_run(r: &mut Reader<'_>, from: [Quantity; 2], to: [Quantity; 2]) {
    const SAME_M: f64 = 1e-9;
    if (from[1].si - to[1].si).abs() > SAME_M {
        let message = format!(
            "the run ends at y {} and starts at {}; the arc runs along x, so write the same y twice",
            say(&to[1]),
            say(&from[1])
        );
        r.note(Finding::error("source.to.2", message));
    }
    if to[0].si <= from[0].si {
        let message = format!(
            "the run ends at x {}; enter an end past its start, {}. The arc travels toward larger x",
            say(&to[0]),
            say(&from[0])
        );
        r.note(Finding::error("source.to.1", message));
    }
}

fn warn_of_lost_heat(r: &mut Reader<'_>, s: &HeatSource, size: Size) {
    let [Some(length), Some(width), Some(thickness)] = size.map(|q| q.map(|q| q.si)) else { return };
    let near = [
        ("source.depth", thickness, s.depth_m, "below the plate"),
        ("source.half_width", s.y_m.min(width - s.y_m), s.half_width_m, "beside the plate"),
        ("source.rear", s.from_x_m, s.rear_m, "before the plate's start"),
        ("source.front", length - s.to_x_m, s.front_m, "beyond the plate's end"),
    ];
    for (path, distance_m, reach_m, place) in near {
        if distance_m < REACH_LENGTHS * reach_m {
            let message = format!(
                "part of the arc's heat lies {place} and is lost: {} is left for a source of {}; move the run or take a smaller source",
                length_said(distance_m),
                length_said(reach_m)
            );
            r.note(Finding::warning(path, message));
        }
    }
}

fn length_said(metres: f64) -> String {
    say(&Quantity { si: metres, kind: Kind::Length, system: System::Metric })
}

fn losses(r: &mut Reader<'_>, start: Option<Quantity>) -> Option<HeatLosses> {
    let convection = r.si("losses.convection");
    let emissivity = r.si("losses.emissivity");
    let ambient = if r.has("losses.ambient") { r.quantity("losses.ambient") } else { start };
    Some(HeatLosses { convection_w_m2_k: convection?, emissivity: emissivity?, ambient_k: ambient?.si })
}

fn grid(r: &mut Reader<'_>, size: Size, source: Option<HeatSource>) -> Option<HeatGrid> {
    if !r.has("run.cell") {
        let accuracy = if r.has("run.accuracy") { r.si("run.accuracy")? } else { ACCURACY_DEFAULT };
        return Some(HeatGrid::Accuracy(accuracy));
    }
    if r.has("run.accuracy") {
        let message = "enter cell or accuracy, not both";
        r.note(Finding::error("run.accuracy", message));
    }
    let cell = r.quantity("run.cell")?;
    let smallest = size.into_iter().flatten().min_by(|a, b| a.si.total_cmp(&b.si));
    if let Some(side) = smallest.filter(|side| cell.si > 0.5 * side.si) {
        let message = format!(
            "cell {} is more than half the plate's smallest side, {}; enter smaller cells",
            say(&cell),
            say(&side)
        );
        r.note(Finding::error("run.cell", message));
    }
    if let Some(source) = source.filter(|s| cell.si > 0.5 * s.smallest_length_m()) {
        let message = format!(
            "cell is {}, more than half the source's smallest length, {}; the pool will be blurred",
            say(&cell),
            length_said(source.smallest_length_m())
        );
        r.note(Finding::warning("run.cell", message));
    }
    Some(HeatGrid::Cell(cell.si))
}

fn check_fusion(r: &mut Reader<'_>, fusion: Option<Quantity>, start: Option<Quantity>) {
    if let (Some(fusion), Some(start)) = (fusion, start)
        && fusion.si <= start.si
    {
        let message = format!(
            "edge of fusion {} must be above the start temperature, {}; enter where the metal melts",
            say(&fusion),
            say(&start)
        );
        r.note(Finding::error("material.fusion", message));
    }
}

/// Probes in the order they are written.
fn probes(r: &mut Reader<'_>, size: Size) -> Option<Vec<HeatProbe>> {
    let mut names: Vec<String> = Vec::new();
    for path in r.document().values().keys().filter_map(|k| k.strip_prefix("probes.")) {
        let name = path.split('.').next().unwrap_or(path);
        if names.last().is_none_or(|last| last != name) {
            names.push(name.to_owned());
        }
    }
    names.sort_by_key(|name| r.document().line(&format!("probes.{name}.1")));
    if names.len() > PROBES_MAX {
        let message = format!("{} probes are listed; the limit is {PROBES_MAX}. Remove some", names.len());
        r.note(Finding::error("probes", message));
        return None;
    }
    let read: Vec<_> = names.into_iter().map(|name| probe(r, name, size)).collect();
    read.into_iter().collect()
}

fn probe(r: &mut Reader<'_>, name: String, size: Size) -> Option<HeatProbe> {
    let path = format!("probes.{name}");
    let is_plain = |c: char| c.is_alphanumeric() || c == '_' || c == '-';
    if !(1..=PROBE_NAME_MAX).contains(&name.chars().count()) || !name.chars().all(is_plain) {
        let message = format!(
            "probe name is `{name}`; enter 1 to {PROBE_NAME_MAX} letters, digits, - and _; choose another"
        );
        r.note(Finding::error(&path, message));
    }
    let at = point::<3>(r, &path, &format!("probe {name}"), "[\"100 mm\", \"81 mm\", \"0 mm\"]")?;
    inside(r, &path, &format!("probe {name}"), &at, size);
    Some(HeatProbe { name, at_m: at.map(|q| q.si) })
}
