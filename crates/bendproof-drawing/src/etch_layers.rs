//! The layers of an etched section, from the plate up: zones of changed plate
//! with their hatching, weld metal with its grain, and the lines on top, each cut
//! where a later bead covers it.

use std::ops::RangeBounds;

use crate::Point;
use crate::contour::{Isoline, lines, rings};
use crate::etch::{Etch, EtchBead, EtchTemperatures, GROOVE_DASH, REHEAT_DASH, ZONE_DASH};
use crate::geometry::{bounds, edges};
use crate::grid::Lattice;
use crate::heat_look::{HeatLook, Sheet};
use crate::ink::{
    Commands, Hatching, Spans, THINNED, combined, cut, divided, is_inside, off_line_squared, thin,
};
use crate::svg::{FINE, OUTLINE, Pen, Svg};

/// Cells a field is continued past its metal: enough to pass the steps that a
/// sloping edge makes in the grid. Basis: choice.
const SPREAD_CELLS: usize = 3;
/// Distance of the hatch lines in the densest zone, user units. Basis: choice.
pub(crate) const HATCH: f64 = 2.6;
/// Width of a hatch line, user units.
pub(crate) const HATCH_LINE: f64 = 0.45;
/// How much of a zone's tone covers what was there before, so that the scallops
/// of earlier beads stay visible. Basis: choice.
const ZONE_COVER: &str = "0.72";
/// The same for weld metal heated again; its grain shows through.
const REHEAT_COVER: &str = "0.5";
/// Distance of grain lines along the fusion line, user units, and their length,
/// shortest and longest, mm. Basis: choice, by eye against etched sections.
const GRAIN_APART: f64 = 4.2;
const GRAIN_LENGTH_MM: [f64; 2] = [0.35, 1.1];
/// Where more grain lines start than at the fusion line: shares of the way from
/// the fusion temperature to the field's highest.
const GRAIN_STARTS: [f64; 2] = [0.22, 0.5];
/// Step along a grain line, mm.
const GRAIN_STEP_MM: f64 = 0.14;
/// A field flatter than this gives grain no direction, °C per mm. Basis: choice;
/// at the fusion line of a short arc it is several hundred.
const FLAT_C_MM: f64 = 1.0;
/// Places tried for a bead's number along each side of its box. Basis: choice.
const LABEL_STEPS: i32 = 14;
/// Room around what a bead changed, mm: wider than the cells of any useful field,
/// so that nothing is cut at the box instead of at the temperature.
const REACH_MM: f64 = 2.0;
/// Two outlines closer than this touch, mm: a twentieth is less than a plate's
/// own roughness and more than a grid's rounding. Basis: choice.
const CONTACT_MM: f64 = 0.05;
/// Shortest unmelted edge drawn, mm; what is shorter is a corner of two outlines,
/// not a fault. Basis: choice.
const UNMELTED_MM: f64 = 0.3;
/// Width of an unmelted edge, user units.
pub(crate) const UNMELTED_LINE: f64 = 2.4;
/// Step along the groove's edge when asking what covers it, mm.
const EDGE_STEP_MM: f64 = 0.2;

/// One bead with its field and the outlines of its zones on the sheet.
pub(crate) struct Pass<'a> {
    bead: &'a EtchBead,
    field: Lattice,
    /// Zones from the outside in, then the molten region; user units.
    regions: [Vec<Vec<Point>>; 4],
    /// The fusion line, mm.
    fusion: Vec<Isoline>,
    /// Box around all that the bead changed, `[x0, y0, x1, y1]` in mm.
    reach: [f64; 4],
}

impl<'a> Pass<'a> {
    pub fn new(bead: &'a EtchBead, t: &EtchTemperatures, sheet: Sheet) -> Self {
        let field = Lattice::spread(&bead.grid, &bead.peak_c, SPREAD_CELLS);
        let [low, fine, coarse] = t.zones();
        let found = [low, fine, coarse, t.fusion_c].map(|level| rings(&field, level));
        let [x0, y0, x1, y1] = bounds(found[0].iter().flatten());
        let reach = [x0 - REACH_MM, y0 - REACH_MM, x1 + REACH_MM, y1 + REACH_MM];
        let regions = found.map(|all| all.iter().map(|ring| thin(&sheet.all(ring), THINNED)).collect());
        let fusion = lines(&field, t.fusion_c);
        Self { bead, field, regions, fusion, reach }
    }

    fn molten(&self) -> &[Vec<Point>] {
        &self.regions[3]
    }

    /// How far above a temperature of the picture the bead brought a point; far
    /// below where it changed nothing or has no field.
    fn above(&self, p: Point, celsius: f64) -> f64 {
        let [x0, y0, x1, y1] = self.reach;
        if p[0] < x0 || p[0] > x1 || p[1] < y0 || p[1] > y1 {
            return f64::MIN;
        }
        let value = self.field.at(p);
        if value.is_nan() { f64::MIN } else { value - celsius }
    }
}

/// What all layers need.
pub(crate) struct Stage<'a> {
    pub etch: &'a Etch,
    pub passes: &'a [Pass<'a>],
    pub sheet: Sheet,
    pub look: &'a HeatLook,
}

impl Stage<'_> {
    /// The most by which any of some beads exceeded a temperature at `p`.
    fn highest(&self, beads: impl RangeBounds<usize>, p: Point, celsius: f64) -> f64 {
        let some = self.passes.get((beads.start_bound().cloned(), beads.end_bound().cloned()));
        some.unwrap_or_default().iter().fold(f64::MIN, |most, pass| most.max(pass.above(p, celsius)))
    }

    /// The middle of what is left of a bead, mm: the place inside its outline
    /// farthest from its edge and from all that later beads melted.
    pub fn label_spot(&self, index: usize) -> Option<Point> {
        let outline = &self.etch.beads[index].outline;
        let [x0, y0, x1, y1] = bounds(outline.iter());
        let steps = LABEL_STEPS;
        let share = |n: i32| (f64::from(n) + 0.5) / f64::from(steps);
        let places = (0..steps * steps)
            .map(|k| [x0 + (x1 - x0) * share(k % steps), y0 + (y1 - y0) * share(k / steps)])
            .filter(|p| is_inside(outline, *p));
        let (taken, left): (Vec<Point>, Vec<Point>) =
            places.partition(|p| self.highest(index + 1.., *p, self.etch.temperatures.fusion_c) > 0.0);
        let room = |p: &Point| {
            let to_edge = off_ring(outline, *p);
            taken.iter().map(|q| off_line_squared(*p, *q, *q).sqrt()).fold(to_edge, f64::min)
        };
        let rated = left.into_iter().map(|p| (room(&p), p));
        rated.reduce(|best, this| if this.0 > best.0 { this } else { best }).map(|(_, p)| p)
    }

    fn path(&self, svg: &mut Svg, all: &[Vec<Point>], is_closed: bool) -> String {
        let mut commands = Commands::default();
        all.iter().for_each(|points| commands.rounded(points, is_closed));
        commands.finish(svg)
    }

    fn on_sheet(&self, all: &[Vec<Point>]) -> Vec<Vec<Point>> {
        all.iter().map(|piece| thin(&self.sheet.all(piece), THINNED)).collect()
    }
}

/// Lines cut by `keep`, mm.
fn cut_lines(all: &[Isoline], keep: impl Fn(Point) -> f64) -> Vec<Vec<Point>> {
    all.iter().flat_map(|line| cut(&line.points, line.closed, &keep)).collect()
}

/// Distance from the edge of a ring.
fn off_ring(ring: &[Point], p: Point) -> f64 {
    edges(ring).map(|(a, b)| off_line_squared(p, a, b)).fold(f64::MAX, f64::min).sqrt()
}

/// Distance from a ring, negative inside it.
fn outside(ring: &[Point], p: Point) -> f64 {
    let off = off_ring(ring, p);
    if is_inside(ring, p) { -off } else { off }
}

/// Plate and backing with the zones each bead left in them.
pub(crate) fn draw_plate(svg: &mut Svg, stage: &Stage<'_>) {
    let tones = &stage.look.tones;
    let plates: Vec<Vec<Point>> =
        stage.etch.plates.iter().chain(&stage.etch.backing).map(|ring| stage.sheet.all(ring)).collect();
    let mut commands = Commands::default();
    plates.iter().for_each(|ring| commands.straight(ring, true));
    let base = commands.finish(svg);
    svg.path(&base, &Pen::filled(tones.plate));
    // Where backing meets plate there is a seam, not one piece of metal.
    svg.path(&base, &Pen::line(tones.ink, FINE));
    svg.group("zones", &[("fill-opacity", ZONE_COVER)], "");
    for pass in stage.passes {
        for (region, tone) in pass.regions.iter().zip(tones.zones) {
            let commands = stage.path(svg, region, true);
            svg.path(&commands, &Pen::filled(tone));
        }
    }
    svg.end();
    hatch_zones(svg, stage, &plates);
}

/// Hatches the changed plate: the hotter a zone was, the denser. One grid serves
/// all beads, so that their zones join without a seam.
fn hatch_zones(svg: &mut Svg, stage: &Stage<'_>, plates: &[Vec<Point>]) {
    let hatching = Hatching::over(bounds(plates.iter().flatten()), HATCH);
    let nothing = vec![Spans::new(); hatching.count];
    let union = |zone: usize| {
        stage.passes.iter().fold(nothing.clone(), |all, pass| {
            let own = hatching.inside(&pass.regions[zone]);
            all.iter().zip(&own).map(|(a, b)| combined(a, b, |a, b| a || b)).collect()
        })
    };
    let (zones, molten) = ([0, 1, 2].map(union), union(3));
    let metal = plates.iter().fold(nothing.clone(), |all, ring| {
        let own = hatching.inside(std::slice::from_ref(ring));
        all.iter().zip(&own).map(|(a, b)| combined(a, b, |a, b| a || b)).collect()
    });
    let mut commands = Commands::default();
    for index in 0..hatching.count {
        // Every fourth line crosses all zones, every second the two hotter ones.
        let zone = match (hatching.first + index as i64).rem_euclid(4) {
            0 => 0,
            2 => 1,
            _ => 2,
        };
        let solid = combined(&metal[index], &molten[index], |metal, molten| metal && !molten);
        for span in combined(&solid, &zones[zone][index], |a, b| a && b) {
            commands.straight(&hatching.segment(index, span), false);
        }
    }
    let commands = commands.finish(svg);
    svg.group("hatching", &[("stroke-opacity", "0.6")], "");
    svg.path(&commands, &Pen::line(stage.look.tones.grain, HATCH_LINE));
    svg.end();
}

/// Weld metal bead by bead; returns the outlines that clip it.
pub(crate) fn draw_weld(svg: &mut Svg, stage: &Stage<'_>) -> Vec<String> {
    let tones = &stage.look.tones;
    let mut clips = Vec::new();
    for (index, pass) in stage.passes.iter().enumerate() {
        // Inside the weld this covers older weld metal only: what is not weld yet
        // is painted over by the bead that melts it.
        svg.group("reheated", &[("fill-opacity", REHEAT_COVER)], "");
        let reheated = stage.path(svg, &pass.regions[1], true);
        svg.path(&reheated, &Pen::filled(tones.reheated));
        svg.end();
        let mut commands = Commands::default();
        commands.straight(&stage.sheet.all(&pass.bead.outline), true);
        let added = commands.finish(svg);
        let tone = tones.weld[index % 2];
        svg.path(&added, &Pen::filled(tone));
        let molten = stage.path(svg, pass.molten(), true);
        svg.path(&molten, &Pen::filled(tone));
        grain(svg, stage, index);
        clips.extend([added, molten]);
    }
    clips
}

/// A hint of columnar grain: lines that grow from the fusion line towards the
/// heat, as the metal froze.
fn grain(svg: &mut Svg, stage: &Stage<'_>, index: usize) {
    let pass = &stage.passes[index];
    let fusion = stage.etch.temperatures.fusion_c;
    let highest = pass.field.highest();
    if highest <= fusion {
        return;
    }
    let mut commands = Commands::default();
    let mut count = 0_u32;
    let inner = GRAIN_STARTS.map(|share| lines(&pass.field, fusion + share * (highest - fusion)));
    for line in pass.fusion.iter().chain(inner.iter().flatten()) {
        let starts = divided(&line.points, line.closed, GRAIN_APART / stage.sheet.px);
        for start in thinned_out(&starts, GRAIN_APART / stage.sheet.px) {
            count += 1;
            let grown = grown(stage, index, start, count);
            if grown.len() > 2 {
                commands.rounded(&thin(&stage.sheet.all(&grown), THINNED), false);
            }
        }
    }
    let commands = commands.finish(svg);
    svg.group("grain", &[("stroke-opacity", "0.5")], "");
    svg.path(&commands, &Pen::line(stage.look.tones.grain, HATCH_LINE));
    svg.end();
}

/// Points along a line at least `apart` from the one before.
fn thinned_out(points: &[Point], apart: f64) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::new();
    for p in points {
        let is_far = |last: &Point| (p[0] - last[0]).hypot(p[1] - last[1]) >= apart * 0.95;
        if out.last().is_none_or(is_far) {
            out.push(*p);
        }
    }
    out
}

/// One grain line from `start` up the gradient, ending where a later bead melted.
fn grown(stage: &Stage<'_>, index: usize, start: Point, count: u32) -> Vec<Point> {
    let field = &stage.passes[index].field;
    let fusion = stage.etch.temperatures.fusion_c;
    // Lengths follow the golden ratio: even over the range, without a pattern.
    let spread = (f64::from(count) * 0.618_033_988_749_895).fract();
    let length = GRAIN_LENGTH_MM[0] + (GRAIN_LENGTH_MM[1] - GRAIN_LENGTH_MM[0]) * spread;
    let mut points = vec![start];
    let mut at = start;
    for _ in 0..(length / GRAIN_STEP_MM).ceil() as usize {
        let [gx, gy] = field.gradient(at, GRAIN_STEP_MM / 2.0);
        let steep = gx.hypot(gy);
        if steep.is_nan() || steep < FLAT_C_MM || stage.highest(index + 1.., at, fusion) > 0.0 {
            break;
        }
        at = [at[0] + gx / steep * GRAIN_STEP_MM, at[1] + gy / steep * GRAIN_STEP_MM];
        points.push(at);
    }
    points
}

/// Dashed edges of what each bead changed, where no later bead changed it again:
/// in the plate the whole heated zone, in older weld metal the part whose grain
/// was made again.
pub(crate) fn zone_edges(svg: &mut Svg, stage: &Stage<'_>) {
    let t = &stage.etch.temperatures;
    let (mut in_plate, mut in_weld) = (Vec::new(), Vec::new());
    for (index, pass) in stage.passes.iter().enumerate() {
        let later = |p: Point, celsius: f64| stage.highest(index + 1.., p, celsius);
        let edge = lines(&pass.field, t.intercritical_c);
        let kept = |p: Point| (-later(p, t.intercritical_c)).min(-stage.highest(.., p, t.fusion_c));
        in_plate.extend(cut_lines(&edge, kept));
        let edge = lines(&pass.field, t.fine_c);
        let kept = |p: Point| (-later(p, t.fine_c)).min(stage.highest(..index, p, t.fusion_c));
        in_weld.extend(cut_lines(&edge, kept));
    }
    let ink = stage.look.tones.ink;
    let edges = [(in_plate, FINE, ZONE_DASH), (in_weld, FINE * 0.8, REHEAT_DASH)];
    svg.group("zone-edges", &[], "");
    for (edge, width, dash) in edges {
        let commands = stage.path(svg, &stage.on_sheet(&edge), false);
        svg.path(&commands, &Pen::line(ink, width).dashed(dash));
    }
    svg.end();
}

/// The groove as prepared, dotted where the weld has swallowed it.
pub(crate) fn groove_line(svg: &mut Svg, stage: &Stage<'_>) {
    let fusion = stage.etch.temperatures.fusion_c;
    let keep = |p: Point| stage.highest(.., p, fusion);
    let mut commands = Commands::default();
    for ring in stage.etch.plates.iter().chain(&stage.etch.backing) {
        for piece in cut(&divided(ring, true, EDGE_STEP_MM), true, keep) {
            commands.straight(&thin(&stage.sheet.all(&piece), THINNED), false);
        }
    }
    let commands = commands.finish(svg);
    svg.group("groove", &[], "");
    svg.path(&commands, &Pen::line(stage.look.tones.ink, OUTLINE * 1.1).dashed(GROOVE_DASH));
    svg.end();
}

/// Fusion lines where no later bead melted them away: sharp where the etch would
/// show them sharp, thin where a later bead refined the grain across them.
pub(crate) fn fusion_lines(svg: &mut Svg, stage: &Stage<'_>) {
    let t = &stage.etch.temperatures;
    let (mut sharp, mut soft) = (Vec::new(), Vec::new());
    for index in 0..stage.passes.len() {
        // What a bead added was molten whatever its field says, so no fusion line
        // crosses it.
        let own = &stage.etch.beads[index].outline;
        let kept = |p: Point| outside(own, p).min(-stage.highest(index + 1.., p, t.fusion_c));
        let refined = |p: Point| stage.highest(index + 1.., p, t.fine_c);
        for piece in cut_lines(&stage.passes[index].fusion, kept) {
            soft.extend(cut(&piece, false, refined));
            sharp.extend(cut(&piece, false, |p| -refined(p)));
        }
    }
    let [sharp, soft] = [sharp, soft].map(|all| stage.on_sheet(&all));
    let [sharp, soft] = [sharp, soft].map(|all| stage.path(svg, &all, false));
    let ink = stage.look.tones.ink;
    svg.group("fusion-lines", &[], "");
    svg.path(&soft, &Pen::line(ink, OUTLINE * 0.6));
    svg.path(&sharp, &Pen::line(ink, OUTLINE));
    svg.end();
}

/// Edges of beads that lie on plate or on an older bead without having melted
/// into it, mm.
pub(crate) fn unmelted(stage: &Stage<'_>) -> Vec<Vec<Point>> {
    let (etch, fusion) = (stage.etch, stage.etch.temperatures.fusion_c);
    let mut found = Vec::new();
    for (index, bead) in etch.beads.iter().enumerate() {
        let older = etch.beads[..index].iter().map(|b| &b.outline);
        let beneath: Vec<&Vec<Point>> = etch.plates.iter().chain(&etch.backing).chain(older).collect();
        let keep = |p: Point| {
            let cold = -stage.highest(index.., p, fusion);
            if cold <= 0.0 {
                return cold;
            }
            let gap = beneath.iter().map(|ring| outside(ring, p)).fold(f64::MAX, f64::min);
            CONTACT_MM - gap
        };
        let pieces = cut(&divided(&bead.outline, true, EDGE_STEP_MM), true, keep);
        found.extend(pieces.into_iter().filter(|piece| length(piece) > UNMELTED_MM));
    }
    found
}

fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1])).sum()
}

/// Draws what [`unmelted`] found, heavy: it is what the etch is made to show.
pub(crate) fn draw_unmelted(svg: &mut Svg, stage: &Stage<'_>, pieces: &[Vec<Point>]) {
    let mut commands = Commands::default();
    stage.on_sheet(pieces).iter().for_each(|piece| commands.straight(piece, false));
    let commands = commands.finish(svg);
    svg.group("unmelted", &[], "");
    svg.path(&commands, &Pen::line(stage.look.tones.ink, UNMELTED_LINE));
    svg.end();
}
