//! One frame of the temperature film: a section, across the weld or along it, in
//! bands of temperature with labelled isotherms. Whoever plays the film draws it
//! frame by frame; nothing here knows time.

use crate::contour::{lines, rings};
use crate::geometry::bounds;
use crate::grid::{Lattice, SectionGrid};
use crate::heat_look::{
    HeatLook, RULE_HEIGHT, Sheet, clip, inner_id, scales, steel_rule, whole, with_definitions,
};
use crate::ink::{Commands, THINNED, is_inside, thin};
use crate::metrics::text_width;
use crate::palette::{RAMP_BANDS, ramp};
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_LABEL, SIZE_SMALL, Svg, Type};
use crate::{Frame, PX_PER_MM_RANGE, Point, Weight};

/// Cells the field is continued past its metal, as for an etch.
const SPREAD_CELLS: usize = 3;
/// Room around the section, user units.
const MARGIN: f64 = 12.0;
/// A place this close to the edge of what is shown is shown, user units.
const EDGE: f64 = 0.5;
/// Height of the mark that shows the arc, user units.
const ARC: f64 = 11.0;
/// Places tried along an isotherm for its label. Basis: choice.
const LABEL_TRIES: usize = 24;
/// Room an isotherm shows between two labels, user units.
const LABEL_CLEAR: f64 = 3.0;
/// Height of a band in the scale, and widest band, user units.
const SCALE: [f64; 2] = [12.0, 74.0];
/// Most probes in one picture. Basis: choice.
pub const PROBES_MAX: usize = 40;

/// Where the arc is, or was when it passed this section.
#[derive(Debug, Clone, PartialEq)]
pub struct ArcMark {
    /// The place, mm, in the frame of the drawing.
    pub at: Point,
    /// Said next to it: `arc 12 mm past`.
    pub text: String,
}

/// A place whose temperature is followed: a thermocouple, real or not.
#[derive(Debug, Clone, PartialEq)]
pub struct Probe {
    /// The place, mm, in the frame of the drawing.
    pub at: Point,
    /// Its name.
    pub label: String,
}

/// One frame of the film.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatFrame {
    /// The cells.
    pub grid: SectionGrid,
    /// Temperature of each cell, °C; NaN where there is no metal.
    pub celsius: Vec<f32>,
    /// True outlines of the metal, mm. When empty, the cells themselves bound it.
    pub outlines: Vec<Vec<Point>>,
    /// Lower left and upper right corner of what is shown, mm; all of the metal when
    /// none is given. A film that keeps it keeps its sheet still while beads are
    /// added, and a long plate can be shown near its arc only.
    pub view_mm: Option<[Point; 2]>,
    /// Isotherms, °C, ascending; at least one, at most one less than the bands
    /// of [`RAMP_BANDS`].
    pub levels_c: Vec<f64>,
    /// The isotherm drawn heaviest, °C: the edge of what is molten. One of the
    /// levels.
    pub fusion_c: Option<f64>,
    /// The arc.
    pub arc: Option<ArcMark>,
    /// Probes.
    pub probes: Vec<Probe>,
    /// Over the section: `4.2 s after the arc passed`. May be empty.
    pub note: String,
    /// Under the section, next to the rule: `across the weld`, `along travel →`.
    pub x_label: String,
    /// Scale, user units per mm, within [`PX_PER_MM_RANGE`].
    pub px_per_mm: f64,
}

/// The frame, with its isotherms labelled and its scale in both units.
///
/// The root carries `data-px-per-mm`, `data-x0` and `data-y0` as every section
/// does, so that a pointer can place a probe.
pub fn heat_frame(film: &HeatFrame, look: &HeatLook, frame: &Frame<'_>) -> String {
    let drawn = draw(film, look, frame);
    let done = drawn.svg.finish(frame, drawn.size[0], drawn.size[1]);
    with_definitions(done, &drawn.definitions)
}

pub(crate) struct Drawn {
    pub svg: Svg,
    pub size: [f64; 2],
    pub definitions: String,
}

pub(crate) fn draw(film: &HeatFrame, look: &HeatLook, frame: &Frame<'_>) -> Drawn {
    let mut svg = Svg::default();
    if !is_drawable(film) {
        svg.refuse();
        return Drawn { svg, size: [1.0, 1.0], definitions: String::new() };
    }
    let field = Lattice::spread(&film.grid, &film.celsius, SPREAD_CELLS);
    let outlines = match film.outlines.is_empty() {
        true => rings(&Lattice::refined(&film.grid, &film.celsius), f64::NEG_INFINITY),
        false => film.outlines.clone(),
    };
    let [x_min, y_min, x_max, y_max] = match film.view_mm {
        Some([low, high]) => [low[0], low[1], high[0], high[1]],
        None => bounds(outlines.iter().flatten()),
    };
    let px = film.px_per_mm;
    let top = MARGIN + head_room(film, y_max);
    let sheet = Sheet { x0: MARGIN - x_min * px, y0: top + y_max * px, px };
    sheet.declare(&mut svg);
    let section =
        Area { x0: MARGIN, y0: top, x1: MARGIN + (x_max - x_min) * px, y1: top + (y_max - y_min) * px };
    let stage = Stage { film, field, outlines, sheet, section, look };
    let definitions = draw_field(&mut svg, &stage, frame);
    draw_marks(&mut svg, &stage, frame);
    draw_labels(&mut svg, &stage, frame);
    let size = draw_foot(&mut svg, &stage, frame);
    Drawn { svg, size, definitions }
}

struct Stage<'a> {
    film: &'a HeatFrame,
    field: Lattice,
    outlines: Vec<Vec<Point>>,
    sheet: Sheet,
    /// What is shown, user units.
    section: Area,
    look: &'a HeatLook,
}

impl Stage<'_> {
    fn shows(&self, [x, y]: Point) -> bool {
        // A probe on the very edge of the metal is shown, whatever rounding says.
        let Area { x0, y0, x1, y1 } = self.section;
        (x0 - EDGE..=x1 + EDGE).contains(&x) && (y0 - EDGE..=y1 + EDGE).contains(&y)
    }
}

fn is_drawable(film: &HeatFrame) -> bool {
    let scale_known = (PX_PER_MM_RANGE[0]..=PX_PER_MM_RANGE[1]).contains(&film.px_per_mm);
    let probes = film.probes.iter().map(|p| &p.at);
    let points = film
        .outlines
        .iter()
        .flatten()
        .chain(film.arc.iter().map(|a| &a.at))
        .chain(probes)
        .chain(film.view_mm.iter().flatten());
    let has_room = |[low, high]: &[Point; 2]| low[0] < high[0] && low[1] < high[1];
    let levels = &film.levels_c;
    let bands = RAMP_BANDS[0]..=RAMP_BANDS[1];
    scale_known
        && film.grid.check(&film.celsius).is_ok()
        && film.celsius.iter().any(|v| v.is_finite())
        && points.flatten().all(|v| v.is_finite())
        && film.view_mm.iter().all(has_room)
        && bands.contains(&(levels.len() + 1))
        && levels.iter().all(|v| v.is_finite())
        && levels.windows(2).all(|pair| pair[0] < pair[1])
        && film.probes.len() <= PROBES_MAX
}

/// Room over the metal for the note, and for an arc that stands above it.
fn head_room(film: &HeatFrame, y_max: f64) -> f64 {
    let note = if film.note.is_empty() { 0.0 } else { SIZE_LABEL + 8.0 };
    let above = |arc: &ArcMark| (ARC + SIZE_SMALL + 6.0 + (arc.at[1] - y_max) * film.px_per_mm).max(0.0);
    note + film.arc.as_ref().map_or(0.0, above)
}

/// The bands and isotherms, cut along the metal's outline.
fn draw_field(svg: &mut Svg, stage: &Stage<'_>, frame: &Frame<'_>) -> String {
    let Stage { film, field, sheet, .. } = stage;
    let theme = frame.theme;
    let paints = ramp(film.levels_c.len() + 1, stage.look.ground);
    let mut metal = Vec::new();
    for ring in &stage.outlines {
        let mut commands = Commands::default();
        commands.straight(&thin(&sheet.all(ring), THINNED), true);
        metal.push(commands.finish(svg));
    }
    let whole_metal = metal.concat();
    let [id, view_id] = ["metal", "view"].map(|name| inner_id(frame, name));
    // Room for the outline itself, so that a view of all the metal loses nothing.
    let Area { x0, y0, x1, y1 } = stage.section;
    let room = [x0 - OUTLINE, y0 - OUTLINE, x1 + OUTLINE, y1 + OUTLINE];
    let mut view = Commands::default();
    view.straight(&[[room[0], room[1]], [room[2], room[1]], [room[2], room[3]], [room[0], room[3]]], true);
    let view = clip(&view_id, &[view.finish(svg)]);
    svg.group("view", &[("clip-path", &format!("url(#{view_id})"))], "");
    svg.path(&whole_metal, &Pen::line(theme.ink, 2.0 * OUTLINE));
    svg.group("field", &[("clip-path", &format!("url(#{id})"))], "");
    svg.path(&whole_metal, &Pen::filled(&paints[0]));
    for (level, paint) in film.levels_c.iter().zip(&paints[1..]) {
        let commands = rounded(svg, rings(field, *level).iter().map(|ring| (ring.as_slice(), true)), *sheet);
        svg.group("band", &[("data-from-c", &whole(*level))], "");
        svg.path(&commands, &Pen::filled(paint));
        svg.end();
    }
    for level in &film.levels_c {
        let found = lines(field, *level);
        let commands = rounded(svg, found.iter().map(|line| (line.points.as_slice(), line.closed)), *sheet);
        let is_fusion = film.fusion_c == Some(*level);
        if is_fusion {
            // Ink is as dark as the pool by day and as pale as it in the booth, so the
            // line brings its own ground.
            svg.path(&commands, &Pen::line(theme.paper, OUTLINE * 3.0));
        }
        let width = if is_fusion { OUTLINE * 1.5 } else { FINE * 0.8 };
        svg.path(&commands, &Pen::line(theme.ink, width));
    }
    svg.end();
    svg.end();
    format!("<defs>{view}{}</defs>", clip(&id, &metal))
}

fn rounded<'a>(svg: &mut Svg, all: impl Iterator<Item = (&'a [Point], bool)>, sheet: Sheet) -> String {
    let mut commands = Commands::default();
    for (points, is_closed) in all {
        commands.rounded(&thin(&sheet.all(points), THINNED), is_closed);
    }
    commands.finish(svg)
}

/// Each isotherm's temperature on its longest line, clear of every other text.
fn draw_labels(svg: &mut Svg, stage: &Stage<'_>, frame: &Frame<'_>) {
    let (theme, sheet) = (frame.theme, stage.sheet);
    let face = Type::new(theme.ink, SIZE_SMALL, Anchor::Middle);
    svg.group("isotherms", &[], "");
    // The edge of the pool first, since the eye looks for it first.
    let is_fusion = |level: &&f64| stage.film.fusion_c == Some(**level);
    let (fusion, others): (Vec<&f64>, Vec<&f64>) = stage.film.levels_c.iter().partition(is_fusion);
    for (order, level) in fusion.into_iter().chain(others).enumerate() {
        let label = scales(frame.words.system)[0].said(*level);
        let mut found = lines(&stage.field, *level);
        found.sort_by_key(|line| std::cmp::Reverse(line.points.len()));
        let Some(line) = found.first() else { continue };
        // Lines far apart in the order start far apart along their length, so that
        // labels of a steep field do not queue along one ray.
        let start = order * line.points.len() * 3 / 8;
        let tries =
            (0..LABEL_TRIES).map(|k| (start + k * line.points.len() / LABEL_TRIES) % line.points.len());
        let spots = tries.map(|k| line.points[k]).map(|p| (p, sheet.at(p)));
        let fits = |(p, [x, y]): &(Point, Point)| {
            let area = ground_of(*x, y + SIZE_SMALL * 0.35, &label, &face);
            let corners = [[area.x0, area.y0], [area.x1, area.y0], [area.x0, area.y1], [area.x1, area.y1]];
            let in_metal = |c: &Point| {
                let mm = [(c[0] - sheet.x0) / sheet.px, (sheet.y0 - c[1]) / sheet.px];
                stage.shows(*c) && stage.outlines.iter().any(|ring| is_inside(ring, mm))
            };
            stage.outlines.iter().any(|ring| is_inside(ring, *p))
                && corners.iter().all(in_metal)
                && !svg.texts.iter().any(|t| t.meets(&wider(&area)))
        };
        if let Some((_, [x, y])) = spots.into_iter().find(fits) {
            let ground = ground_of(x, y + SIZE_SMALL * 0.35, &label, &face);
            svg.rect(ground, 2.0, &Pen::filled(theme.paper));
            svg.text(x, y + SIZE_SMALL * 0.35, &label, &face);
        }
    }
    svg.end();
}

fn ground_of(x: f64, y: f64, text: &str, face: &Type<'_>) -> Area {
    let area = Area::of_text(x, y, text, face);
    Area { x0: area.x0 - 2.5, y0: area.y0 - 1.5, x1: area.x1 + 2.5, y1: area.y1 }
}

/// The area with the room around it that a neighbouring label must leave.
fn wider(area: &Area) -> Area {
    let by = LABEL_CLEAR;
    Area { x0: area.x0 - by, y0: area.y0 - by, x1: area.x1 + by, y1: area.y1 + by }
}

/// The note, the arc and the probes.
fn draw_marks(svg: &mut Svg, stage: &Stage<'_>, frame: &Frame<'_>) {
    let (film, theme, sheet, section) = (stage.film, frame.theme, stage.sheet, stage.section);
    if !film.note.is_empty() {
        let face = Type::new(theme.ink, SIZE_LABEL, Anchor::Start).bold();
        svg.text(section.x0, MARGIN + SIZE_LABEL * 0.8, &film.note, &face);
    }
    let is_near = |arc: &&ArcMark| (section.x0..=section.x1).contains(&sheet.at(arc.at)[0]);
    if let Some(arc) = film.arc.as_ref().filter(is_near) {
        let [x, y] = sheet.at(arc.at);
        svg.group("arc", &[], &arc.text);
        let tip = [[x, y - 1.5], [x - ARC * 0.42, y - ARC], [x + ARC * 0.42, y - ARC]];
        svg.run(&tip, true, &Pen::line(theme.paper, FINE).with_fill(theme.accent));
        let wide = text_width(&arc.text, SIZE_SMALL, Weight::Medium) / 2.0;
        let middle = x.clamp(section.x0 + wide, (section.x1 - wide).max(section.x0 + wide));
        let face = Type::new(theme.accent, SIZE_SMALL, Anchor::Middle);
        svg.text(middle, y - ARC - 5.0, &arc.text, &face);
        svg.end();
    }
    for probe in film.probes.iter().filter(|p| stage.shows(sheet.at(p.at))) {
        let [x, y] = sheet.at(probe.at);
        svg.group("probe", &[("data-probe", &probe.label)], &probe.label);
        svg.circle([x, y], 3.4, &Pen::line(theme.ink, OUTLINE).with_fill(theme.paper));
        let face = Type::new(theme.ink, SIZE_SMALL, Anchor::Start).bold();
        let ground = ground_of(x + 7.0, y + 4.0, &probe.label, &face);
        svg.rect(ground, 2.0, &Pen::filled(theme.paper));
        svg.text(x + 7.0, y + 4.0, &probe.label, &face);
        svg.end();
    }
}

/// Under the section: the rule, the direction's name and the scale. Returns the
/// size of the whole drawing.
fn draw_foot(svg: &mut Svg, stage: &Stage<'_>, frame: &Frame<'_>) -> [f64; 2] {
    let (film, theme, section) = (stage.film, frame.theme, stage.section);
    let top = section.y1 + 6.0;
    let wide = steel_rule(svg, section.x0, top, stage.sheet.px, frame);
    let left = section.x0 + wide + 16.0;
    let face = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Start);
    svg.text(left, top + 26.0, &film.x_label, &face);
    let named = left + text_width(&film.x_label, SIZE_SMALL, Weight::Medium);
    let width = section.x1.max(named);
    let (right, bottom) = draw_scale(svg, stage, [section.x0, top + RULE_HEIGHT + 4.0], width, frame);
    [width.max(right) + MARGIN, bottom + 6.0]
}

/// The scale: one field a band, its edges labelled in the shop's own
/// degrees over it and in the other ones under it.
/// Returns its right end and the y below it.
fn draw_scale(
    svg: &mut Svg,
    stage: &Stage<'_>,
    [left, top]: Point,
    right: f64,
    frame: &Frame<'_>,
) -> (f64, f64) {
    let (theme, levels) = (frame.theme, &stage.film.levels_c);
    let [own, other] = scales(frame.words.system);
    let paints = ramp(levels.len() + 1, stage.look.ground);
    // Wide enough for the longest label next to its neighbour.
    let least = text_width("2725", SIZE_SMALL, Weight::Medium) + 7.0;
    let unit = text_width(" °C", SIZE_SMALL, Weight::Medium) + 2.0;
    let wide = ((right - left - unit) / paints.len() as f64).min(SCALE[1]).max(least);
    let y = top + SIZE_SMALL + 4.0;
    svg.group("scale", &[], "");
    for (k, paint) in paints.iter().enumerate() {
        let x = left + k as f64 * wide;
        let field = Area { x0: x, y0: y, x1: x + wide, y1: y + SCALE[0] };
        svg.rect(field, 0.0, &Pen::line(theme.ink, FINE * 0.8).with_fill(paint));
    }
    let face = Type::new(theme.ink, SIZE_SMALL, Anchor::Middle);
    let soft = Type::new(theme.ink_soft, SIZE_SMALL, Anchor::Middle);
    for (k, level) in levels.iter().enumerate() {
        let x = left + (k + 1) as f64 * wide;
        let width = if stage.film.fusion_c == Some(*level) { OUTLINE * 1.5 } else { FINE };
        svg.line([x, y - 3.0], [x, y + SCALE[0] + 3.0], &Pen::line(theme.ink, width));
        svg.text(x, y - 5.0, &own.number(*level), &face);
        svg.text(x, y + SCALE[0] + 13.0, &other.number(*level), &soft);
    }
    let end = left + paints.len() as f64 * wide;
    svg.text(end + 2.0, y - 5.0, own.sign(), &Type::new(theme.ink, SIZE_SMALL, Anchor::End));
    svg.text(
        end + 2.0,
        y + SCALE[0] + 13.0,
        other.sign(),
        &Type::new(theme.ink_soft, SIZE_SMALL, Anchor::End),
    );
    svg.end();
    (end + 2.0, y + SCALE[0] + 17.0)
}
