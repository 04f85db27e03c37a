//! The groove in section: the fit alone, and the fit with its beads.

use crate::dimension::{self, CLEAR, across, both, both_short, fitting, upright};
use crate::fit::Fit;
use crate::geometry::{bounds, centroid, hatch, width_at};
use crate::metrics::text_width;
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_LABEL, SIZE_SMALL, Svg, Type};
use crate::{Frame, PX_PER_MM_RANGE, Point, Theme, Weight};

/// Room around the section for dimensions, user units. Basis: choice.
const MARGIN_LEFT: f64 = 46.0;
const MARGIN: f64 = 14.0;
/// From the lowest metal to the root opening's dimension line.
const DROP: f64 = 17.0;
/// From the highest metal to the arc of the groove angle.
const RISE: f64 = 16.0;
/// Depth of the break in a plate's far edge, user units.
const BREAK: f64 = 5.0;
/// From the metal to the dimension line of a groove's depth.
const DEPTH_OUT: f64 = 14.0;
/// Points closer than this in x belong to the far edge, millimetres.
const SAME_X_MM: f64 = 1e-6;

/// One bead in a section.
#[derive(Debug, Clone, PartialEq)]
pub struct Bead {
    /// Printed on the bead where there is room, usually its number.
    pub label: String,
    /// Read by screen readers and shown on pointing: `bead 3, fill`.
    pub title: String,
    /// Outline, mm, section frame.
    pub outline: Vec<Point>,
    /// Which bead shade, modulo three.
    pub shade: usize,
}

/// A section with beads.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossSection {
    /// Dimensions for lines and labels.
    pub fit: Fit,
    /// Plate outlines, mm; leave empty to draw those of `fit`.
    pub plates: Vec<Vec<Point>>,
    /// Backing outlines, mm.
    pub backing: Vec<Vec<Point>>,
    /// Beads in the order laid.
    pub beads: Vec<Bead>,
    /// Outlines of melted base metal, mm, drawn as dashed lines.
    pub melted: Vec<Vec<Point>>,
    /// Largest cap height a rule allows above the face, mm.
    pub cap_limit_mm: Option<f64>,
    /// Largest root height a rule allows below the root surface, mm.
    pub root_limit_mm: Option<f64>,
    /// Scale, user units per mm, within [`PX_PER_MM_RANGE`].
    pub px_per_mm: f64,
}

/// The groove with its beads, dimensioned.
pub fn cross_section(section: &CrossSection, frame: &Frame<'_>) -> String {
    let drawn = draw(section, frame);
    drawn.svg.finish(frame, drawn.size[0], drawn.size[1])
}

/// The groove before welding, dimensioned.
pub fn groove_fit(fit: &Fit, px_per_mm: f64, frame: &Frame<'_>) -> String {
    cross_section(&CrossSection::bare(fit.clone(), px_per_mm), frame)
}

impl CrossSection {
    /// A groove in which nothing is welded yet.
    pub(crate) fn bare(fit: Fit, px_per_mm: f64) -> Self {
        Self {
            fit,
            plates: Vec::new(),
            backing: Vec::new(),
            beads: Vec::new(),
            melted: Vec::new(),
            cap_limit_mm: None,
            root_limit_mm: None,
            px_per_mm,
        }
    }
}

pub(crate) struct Drawn {
    pub svg: Svg,
    pub size: [f64; 2],
}

/// Where millimetres land on the sheet.
#[derive(Clone, Copy)]
struct Sheet {
    x0: f64,
    y0: f64,
    px: f64,
}

impl Sheet {
    fn at(&self, p: Point) -> [f64; 2] {
        [self.x0 + p[0] * self.px, self.y0 - p[1] * self.px]
    }
    fn all(&self, points: &[Point]) -> Vec<[f64; 2]> {
        points.iter().map(|p| self.at(*p)).collect()
    }
}

pub(crate) fn draw(section: &CrossSection, frame: &Frame<'_>) -> Drawn {
    let mut svg = Svg::default();
    let fit = &section.fit;
    let scale_known = (PX_PER_MM_RANGE[0]..=PX_PER_MM_RANGE[1]).contains(&section.px_per_mm);
    if !fit.is_drawable() || !scale_known {
        svg.refuse();
        return Drawn { svg, size: [1.0, 1.0] };
    }
    let plates = match section.plates.is_empty() {
        true => fit.plates().to_vec(),
        false => section.plates.clone(),
    };
    let metal = plates.iter().chain(&section.backing).flatten();
    let [x_min, y_min, x_max, y_max] = bounds(metal.chain(section.beads.iter().flat_map(|b| &b.outline)));
    let highest = y_max.max(fit.thickness_mm + section.cap_limit_mm.unwrap_or(0.0));
    let lowest = y_min.min(-section.root_limit_mm.unwrap_or(0.0));
    let px = section.px_per_mm;
    let margin_right = MARGIN.max(room_right(fit, frame) + limit_room(section, frame));
    let top = MARGIN + SIZE_LABEL + RISE;
    let sheet = Sheet { x0: MARGIN_LEFT - x_min * px, y0: top + highest * px, px };
    let size = [MARGIN_LEFT + (x_max - x_min) * px + margin_right, sheet.y0 - lowest * px + DROP + 26.0];

    svg.data("px-per-mm", px);
    svg.data("x0", sheet.x0);
    svg.data("y0", sheet.y0);
    draw_extensions(&mut svg, section, [lowest, highest], sheet, frame);
    draw_plates(&mut svg, &plates, &section.backing, sheet, frame);
    draw_beads(&mut svg, section, sheet, frame);
    draw_limits(&mut svg, section, [x_min, x_max], sheet, frame);
    draw_lands(&mut svg, section, [x_min, x_max], sheet, frame);
    Drawn { svg, size }
}

fn draw_plates(
    svg: &mut Svg,
    plates: &[Vec<Point>],
    backing: &[Vec<Point>],
    sheet: Sheet,
    frame: &Frame<'_>,
) {
    let theme = frame.theme;
    svg.group("plates", &[], "");
    for plate in plates {
        let far = broken(&sheet.all(plate), sheet.x0);
        svg.run(&far.0, true, &Pen::filled(theme.steel));
        svg.run(&far.1, false, &Pen::line(theme.ink, OUTLINE));
        svg.run(&far.2, false, &Pen::line(theme.ink_soft, FINE));
    }
    for piece in backing {
        let points = sheet.all(piece);
        svg.run(&points, true, &Pen::line(theme.ink, OUTLINE).with_fill(theme.steel));
        draw_hatch(svg, &points, 6.0, theme.ink_soft);
    }
    svg.end();
}

/// Hatches a polygon in user units.
pub(crate) fn draw_hatch(svg: &mut Svg, points: &[[f64; 2]], spacing: f64, stroke: &str) {
    let mut commands = String::new();
    for segment in hatch(points, spacing) {
        commands.push_str(&svg.run_commands(&segment, false));
    }
    svg.path(&commands, &Pen { stroke, width: FINE, dash: "", fill: "none" });
}

type Run = Vec<[f64; 2]>;

/// Splits a plate outline into its area, its real edge and its broken far edge.
/// The far edge is the upright one on the side away from the groove at `x0`.
fn broken(points: &[[f64; 2]], x0: f64) -> (Run, Run, Run) {
    let [x_min, _, x_max, _] = bounds(points.iter());
    let far = if centroid(points)[0] < x0 { x_min } else { x_max };
    let on_far = |p: [f64; 2]| (p[0] - far).abs() < SAME_X_MM;
    let n = points.len();
    let Some(start) = (0..n).find(|&i| on_far(points[i]) && on_far(points[(i + 1) % n])) else {
        let mut closed = points.to_vec();
        closed.extend(points.first());
        return (points.to_vec(), closed, Vec::new());
    };
    // Edge: from the far edge's end all the way round to its start.
    let edge: Run = (1..=n).map(|k| points[(start + k) % n]).collect();
    let (a, b) = (points[start], points[(start + 1) % n]);
    let mid = (a[1] + b[1]) / 2.0;
    let s = (b[1] - a[1]).signum();
    let cut = vec![
        a,
        [far, mid - s * 1.6 * BREAK],
        [far - BREAK, mid - s * 0.5 * BREAK],
        [far + BREAK, mid + s * 0.5 * BREAK],
        [far, mid + s * 1.6 * BREAK],
        b,
    ];
    let mut area = edge.clone();
    area.extend(&cut[1..5]);
    (area, edge, cut)
}

fn draw_beads(svg: &mut Svg, section: &CrossSection, sheet: Sheet, frame: &Frame<'_>) {
    let theme = frame.theme;
    svg.group("beads", &[], "");
    for bead in &section.beads {
        let points = sheet.all(&bead.outline);
        svg.group("bead", &[("data-bead", &bead.label)], &bead.title);
        let fill = theme.beads[bead.shade % theme.beads.len()];
        svg.run(&points, true, &Pen::line(theme.ink, OUTLINE * 0.8).with_fill(fill));
        svg.end();
    }
    for outline in &section.melted {
        let points = sheet.all(outline);
        svg.run(&points, true, &Pen::line(theme.ink, FINE).dashed("3 2.2"));
    }
    // Labels last, so that no later bead covers them.
    let named = section.beads.iter().filter(|bead| !bead.label.is_empty());
    let thin: Vec<&Bead> = named.filter(|bead| !label_inside(svg, bead, sheet, theme)).collect();
    thin.into_iter().for_each(|bead| label_over(svg, bead, sheet, theme));
    svg.end();
}

/// Writes a bead's number where it fits inside the bead; whether it does.
fn label_inside(svg: &mut Svg, bead: &Bead, sheet: Sheet, theme: &Theme) -> bool {
    let points = sheet.all(&bead.outline);
    let [x, y] = centroid(&points);
    let room = [width_at(&points, y), width_at(&turned(&points), x)];
    let needed = [text_width(&bead.label, SIZE_LABEL, Weight::SemiBold) + 4.0, SIZE_LABEL * 0.7 + 4.0];
    let fits = needed[0] <= room[0] && needed[1] <= room[1];
    if fits {
        let face = Type::new(theme.bead_ink, SIZE_LABEL, Anchor::Middle).bold();
        svg.text(x, y + SIZE_LABEL * 0.35, &bead.label, &face);
    }
    fits
}

/// Writes the number of a bead thinner than it over the bead's edges, on a ground of
/// the bead's own color, where it meets no other label; nowhere where there is no room.
fn label_over(svg: &mut Svg, bead: &Bead, sheet: Sheet, theme: &Theme) {
    let points = sheet.all(&bead.outline);
    let [x, y] = centroid(&points);
    let wide = width_at(&points, y);
    let face = Type::new(theme.bead_ink, SIZE_LABEL, Anchor::Middle).bold();
    let base = y + SIZE_LABEL * 0.35;
    let ground = |x: f64| {
        let a = Area::of_text(x, base, &bead.label, &face);
        Area { x0: a.x0 - 3.0, y0: a.y0 - 1.5, x1: a.x1 + 3.0, y1: a.y1 - 0.5 }
    };
    let places = [0.0, -0.3, 0.3].map(|share| x + share * wide);
    let is_clear = |x: &f64| wide >= SIZE_LABEL && !svg.texts.iter().any(|other| other.meets(&ground(*x)));
    let Some(x) = places.into_iter().find(is_clear) else { return };
    let fill = theme.beads[bead.shade % theme.beads.len()];
    svg.rect(ground(x), 3.0, &Pen::filled(fill));
    svg.text(x, base, &bead.label, &face);
}

fn turned(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    points.iter().map(|[x, y]| [*y, *x]).collect()
}

/// Extension and dimension lines; drawn first, so that metal covers what lies
/// behind it.
fn draw_extensions(svg: &mut Svg, section: &CrossSection, y_ends: [f64; 2], sheet: Sheet, frame: &Frame<'_>) {
    let (fit, theme) = (&section.fit, frame.theme);
    let plates = fit.plates();
    let far = plates[0][0][0];
    svg.group("dimensions", &[], "");
    let [left, foot] = sheet.at([far, 0.0]);
    let face = sheet.at([far, fit.thickness_mm])[1];
    let full = both(fit.thickness_mm, frame.words);
    let short = both_short(fit.thickness_mm, frame.words);
    let label = fitting(&[&full, &short], foot - face).unwrap_or(&short);
    upright(svg, [face, foot], left - 20.0, left, label, theme);

    let root = fit.root_opening_mm / 2.0;
    let y = sheet.at([0.0, y_ends[0]])[1] + DROP;
    // A land between two grooves is dimensioned from where it begins.
    let from = [sheet.at([0.0, fit.back_mm[0]])[1], sheet.at([0.0, fit.mismatch_mm + fit.back_mm[1]])[1]];
    let xs = [sheet.at([-root, 0.0])[0], sheet.at([root, 0.0])[0]];
    across(svg, xs, y, from, &both(fit.root_opening_mm, frame.words), theme);
    draw_angle(svg, section, y_ends[1], sheet, frame);
    draw_mismatch(svg, fit, sheet, frame);
    draw_depths(svg, fit, sheet, frame);
    svg.end();
}

/// The groove angle: the bevels prolonged to an arc above the metal.
fn draw_angle(svg: &mut Svg, section: &CrossSection, highest: f64, sheet: Sheet, frame: &Frame<'_>) {
    let (fit, theme) = (&section.fit, frame.theme);
    let angle = fit.bevel_deg[0] + fit.bevel_deg[1];
    if angle <= 0.0 {
        return;
    }
    let plates = fit.plates();
    let tops = [plates[0][plates[0].len() - 2], plates[1][2]];
    let y_arc = highest + RISE / sheet.px;
    let pen = Pen::line(theme.ink_soft, FINE);
    let end = |side: usize, sign: f64| {
        let run = (y_arc - tops[side][1]) * fit.bevel_deg[side].to_radians().tan();
        sheet.at([tops[side][0] + sign * run, y_arc])
    };
    let ends = [end(0, -1.0), end(1, 1.0)];
    for (side, tip) in ends.iter().enumerate() {
        let top = sheet.at(tops[side]);
        let long = (tip[0] - top[0]).hypot(tip[1] - top[1]).max(f64::EPSILON);
        let u = [(tip[0] - top[0]) / long, (tip[1] - top[1]) / long];
        let from = [top[0] + u[0] * CLEAR, top[1] + u[1] * CLEAR];
        svg.line(from, [tip[0] + u[0] * 4.0, tip[1] + u[1] * 4.0], &pen);
    }
    let chord = ends[1][0] - ends[0][0];
    let radius = chord / (2.0 * (angle.to_radians() / 2.0).sin());
    let sagitta = radius * (1.0 - (angle.to_radians() / 2.0).cos());
    // A flat arc keeps the drawing low; the angle is right in the bevels.
    let sagitta = sagitta.min(12.0);
    let flat = (chord * chord / 4.0 + sagitta * sagitta) / (2.0 * sagitta);
    let [x1, y1, x2, r] = [ends[0][0], ends[0][1], ends[1][0], flat].map(|v| svg.num(v));
    svg.path(&format!("M{x1} {y1}A{r} {r} 0 0 1 {x2} {y1}"), &pen);
    // At its ends the arc falls away at the angle of its own chord geometry.
    let slope = (chord / 2.0 / flat).asin();
    dimension::arrow(svg, ends[0], [-slope.cos(), slope.sin()], theme);
    dimension::arrow(svg, ends[1], [slope.cos(), slope.sin()], theme);
    let label = format!("{}°", bendproof_measure::round_to(angle, 1));
    let face = Type::new(theme.ink, SIZE_LABEL, Anchor::Middle);
    svg.text((ends[0][0] + ends[1][0]) / 2.0, ends[0][1] - sagitta - 4.0, &label, &face);
}

fn mismatch_label(fit: &Fit, frame: &Frame<'_>) -> Option<String> {
    // Finer than a sixty-fourth reads as level.
    (fit.mismatch_mm.abs() >= 0.2)
        .then(|| format!("{} {}", frame.words.mismatch, both_short(fit.mismatch_mm.abs(), frame.words)))
}

fn mismatch_room(fit: &Fit, frame: &Frame<'_>) -> f64 {
    match mismatch_label(fit, frame) {
        Some(_) => 24.0 + SIZE_SMALL + MARGIN,
        None => 0.0,
    }
}

/// The depths of a groove prepared from both sides, as labels.
fn depth_labels(fit: &Fit, frame: &Frame<'_>) -> Option<[String; 2]> {
    let side = fit.both_sided()?;
    let label = |depth: f64| format!("{} {}", frame.words.depth, both_short(depth, frame.words));
    Some([label(fit.front_mm(side)), label(fit.back_mm[side])])
}

fn depth_room(fit: &Fit, frame: &Frame<'_>) -> f64 {
    let widest = |labels: [String; 2]| {
        labels.iter().map(|label| text_width(label, SIZE_SMALL, Weight::Medium)).fold(0.0, f64::max)
    };
    depth_labels(fit, frame).map_or(0.0, |labels| DEPTH_OUT + 8.0 + widest(labels) + MARGIN)
}

/// Room right of the metal for what is dimensioned there.
fn room_right(fit: &Fit, frame: &Frame<'_>) -> f64 {
    depth_room(fit, frame) + mismatch_room(fit, frame)
}

/// How deep a groove from both sides is prepared, right of the metal.
fn draw_depths(svg: &mut Svg, fit: &Fit, sheet: Sheet, frame: &Frame<'_>) {
    let Some((labels, side)) = depth_labels(fit, frame).zip(fit.both_sided()) else { return };
    let theme = frame.theme;
    let lift = if side == 1 { fit.mismatch_mm } else { 0.0 };
    let far = fit.plates()[1][0][0];
    let land_top = fit.back_mm[side] + fit.land_mm[side];
    for (label, ends) in labels.iter().zip([[land_top, fit.thickness_mm], [0.0, fit.back_mm[side]]]) {
        let [low, high] = ends.map(|y| sheet.at([far, y + lift]));
        let x = high[0] + DEPTH_OUT;
        for end in [low, high] {
            svg.line([end[0] + CLEAR, end[1]], [x + 3.5, end[1]], &Pen::line(theme.ink_soft, FINE));
        }
        dimension::span(svg, [x, high[1]], [x, low[1]], theme);
        let y = (high[1] + low[1]) / 2.0 + 4.0;
        svg.text(x + 8.0, y, label, &Type::new(theme.ink, SIZE_SMALL, Anchor::Start));
    }
}

/// The step between the plates, at the right-hand edge.
fn draw_mismatch(svg: &mut Svg, fit: &Fit, sheet: Sheet, frame: &Frame<'_>) {
    let Some(label) = mismatch_label(fit, frame) else { return };
    let theme = frame.theme;
    let plates = fit.plates();
    let far = plates[1][0][0];
    // On the side where the left plate's level is clear of the right plate.
    let level = if fit.mismatch_mm > 0.0 { 0.0 } else { fit.thickness_mm };
    let from = if fit.mismatch_mm > 0.0 { plates[0][1] } else { plates[0][plates[0].len() - 2] };
    let [edge, y_right] = sheet.at([far, level + fit.mismatch_mm]);
    let [start, y_left] = sheet.at([from[0], level]);
    let pen = Pen::line(theme.ink_soft, FINE);
    let x = edge + 14.0 + depth_room(fit, frame);
    svg.line([start + CLEAR, y_left], [x + 4.0, y_left], &pen.dashed("5 3"));
    svg.line([edge + CLEAR, y_right], [x + 4.0, y_right], &pen);
    dimension::span(svg, [x, y_right.min(y_left)], [x, y_right.max(y_left)], theme);
    // The label runs up from a step at the foot and down from one at the face.
    let (anchor, y) = match fit.mismatch_mm > 0.0 {
        true => (Anchor::Start, y_right - 4.0),
        false => (Anchor::End, y_right + 4.0),
    };
    svg.text(x + 8.0 + SIZE_SMALL, y, &label, &Type::new(theme.ink, SIZE_SMALL, anchor).turned());
}

/// Each land, dimensioned inside its plate, clear of the beads.
fn draw_lands(svg: &mut Svg, section: &CrossSection, x_ends: [f64; 2], sheet: Sheet, frame: &Frame<'_>) {
    let (fit, theme) = (&section.fit, frame.theme);
    let near_root = |p: &&Point| p[1] < fit.land_mm[0].max(fit.land_mm[1]) + fit.mismatch_mm.max(0.0) + 1.5;
    let shapes = section.beads.iter().map(|b| &b.outline).chain(&section.melted);
    let widest = shapes.flatten().filter(near_root).fold(fit.root_opening_mm / 2.0, |w, p| w.max(p[0].abs()));
    svg.group("lands", &[], "");
    for (side, sign) in [(0, -1.0), (1, 1.0)] {
        let land = fit.land_mm[side];
        // An edge that is square all the way up has no land to tell from a wall.
        if land <= 0.0 || land >= fit.thickness_mm {
            continue;
        }
        let lift = fit.back_mm[side] + if side == 1 { fit.mismatch_mm } else { 0.0 };
        let x = sheet.at([sign * widest, 0.0])[0] + sign * 13.0;
        let (top, foot) = (sheet.at([0.0, land + lift])[1], sheet.at([0.0, lift])[1]);
        svg.line(
            [x - sign * 13.0 + sign * CLEAR, top],
            [x + sign * 3.5, top],
            &Pen::line(theme.ink_soft, FINE),
        );
        dimension::span(svg, [x, top], [x, foot], theme);
        let room = (sheet.at([x_ends[side], 0.0])[0] - x).abs() - 16.0;
        let texts = [
            format!("{} {}", frame.words.land, both(land, frame.words)),
            format!("{} {}", frame.words.land, both_short(land, frame.words)),
            both_short(land, frame.words),
        ];
        if let Some(label) = fitting(&texts.each_ref().map(String::as_str), room) {
            let anchor = if side == 0 { Anchor::End } else { Anchor::Start };
            let y = ((top + foot) / 2.0 + 4.0).min(foot - 5.0);
            svg.text(x + sign * 7.0, y, label, &Type::new(theme.ink, SIZE_SMALL, anchor));
        }
    }
    draw_radius(svg, fit, x_ends[1], sheet, frame);
    svg.end();
}

/// The radius at the foot of the right wall, with a leader into its plate.
fn draw_radius(svg: &mut Svg, fit: &Fit, x_end: f64, sheet: Sheet, frame: &Frame<'_>) {
    let (radius, theme) = (fit.radius_mm[1], frame.theme);
    if radius <= 0.0 {
        return;
    }
    let [out, up] = fit.tangent_mm(1);
    let foot = fit.back_mm[1] + fit.land_mm[1] + fit.mismatch_mm;
    let tip = sheet.at([fit.root_opening_mm / 2.0 + out, foot + up]);
    let start = tip[0] + 16.0;
    let room = sheet.at([x_end, 0.0])[0] - start - 12.0;
    let texts = [
        format!("{} {}", frame.words.radius, both(radius, frame.words)),
        format!("{} {}", frame.words.radius, both_short(radius, frame.words)),
        both_short(radius, frame.words),
    ];
    let Some(label) = fitting(&texts.each_ref().map(String::as_str), room) else { return };
    // A small curve ends next to the land's own label; this one goes above it.
    let land = [foot, foot - fit.land_mm[1]].map(|y| sheet.at([0.0, y])[1]);
    let past_land = ((land[0] + land[1]) / 2.0 + 4.0).min(land[1] - 5.0);
    let y = (tip[1] + 4.0).min(past_land - 1.5 * SIZE_SMALL);
    svg.line(tip, [start, y - 4.0], &Pen::line(theme.ink_soft, FINE));
    svg.text(start + 3.0, y, label, &Type::new(theme.ink, SIZE_SMALL, Anchor::Start));
}

fn limit_label(limit_mm: f64, frame: &Frame<'_>) -> String {
    format!("{} {}", frame.words.limit, both_short(limit_mm, frame.words))
}

/// Room right of the metal for the widest limit label.
fn limit_room(section: &CrossSection, frame: &Frame<'_>) -> f64 {
    [section.cap_limit_mm, section.root_limit_mm]
        .iter()
        .flatten()
        .map(|limit| text_width(&limit_label(*limit, frame), SIZE_SMALL, Weight::Medium) + 12.0)
        .fold(0.0, f64::max)
}

fn draw_limits(svg: &mut Svg, section: &CrossSection, x_ends: [f64; 2], sheet: Sheet, frame: &Frame<'_>) {
    let theme = frame.theme;
    let limits = [(section.cap_limit_mm, section.fit.thickness_mm, 1.0), (section.root_limit_mm, 0.0, -1.0)];
    for (limit, surface, sign) in limits {
        let Some(limit) = limit else { continue };
        let y = sheet.at([0.0, surface + sign * limit])[1];
        let ends = [sheet.at([x_ends[0], 0.0])[0], sheet.at([x_ends[1], 0.0])[0]];
        svg.line([ends[0], y], [ends[1], y], &Pen::line(theme.accent, FINE).dashed("6 4"));
        // Next to the line, beyond any step between the plates, where no bevel reaches.
        let x = ends[1] + 6.0 + room_right(&section.fit, frame);
        let label = limit_label(limit, frame);
        svg.text(x, y + 4.0, &label, &Type::new(theme.accent, SIZE_SMALL, Anchor::Start));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Words;

    /// A strip thinner than its number, between two beads.
    fn strip(high: f64) -> CrossSection {
        let ring = |low: f64, high: f64| vec![[-4.0, low], [4.0, low], [4.0, high], [-4.0, high]];
        let bead = |label: &str, low: f64, high: f64| Bead {
            label: label.into(),
            title: format!("bead {label}"),
            outline: ring(low, high),
            shade: 1,
        };
        let fit = Fit { thickness_mm: 10.0, shoulder_mm: 8.0, ..Fit::default() };
        let beads = vec![bead("1", 0.0, 5.0), bead("4", 5.0, 5.0 + high), bead("5", 5.0 + high, 11.0)];
        CrossSection { beads, ..CrossSection::bare(fit, 11.0) }
    }

    fn drawn(section: &CrossSection) -> String {
        let (theme, words) = (Theme::paper(), Words::english());
        cross_section(section, &Frame { id: "t", title: "t", desc: "", theme: &theme, words: &words })
    }

    #[test]
    fn the_number_of_a_thin_bead_stands_on_a_ground_of_its_own() {
        let (thin, thick) = (drawn(&strip(0.8)), drawn(&strip(2.0)));
        for text in [&thin, &thick] {
            assert!(["1", "4", "5"].iter().all(|n| text.contains(&format!(">{n}</text>"))), "{text}");
        }
        let before = |text: &str| {
            let at = text.find(">4</text>").unwrap();
            let start = text[..at].rfind("<text").unwrap();
            text[text[..start].rfind('<').unwrap()..start].to_owned()
        };
        assert!(before(&thin).starts_with("<rect"), "{}", before(&thin));
        assert!(!before(&thick).starts_with("<rect"), "{}", before(&thick));
    }

    #[test]
    fn plate_enough_next_to_the_groove_shows_both_root_faces() {
        let fit = Fit {
            thickness_mm: 9.5,
            root_opening_mm: 4.0,
            land_mm: [2.38125; 2],
            bevel_deg: [30.0; 2],
            shoulder_mm: 17.5,
            ..Fit::default()
        };
        let text = drawn(&CrossSection::bare(fit, 5.5));
        assert_eq!(text.matches("3/32 · 2.4</text>").count(), 2, "{text}");
    }
}
