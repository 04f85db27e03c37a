//! The virtual macro-etch: the section of a weld as a sawn, polished and etched
//! coupon would show it. What melted, what the heat changed and how far, which
//! bead came later; from fields of peak temperature somebody else solved.
//!
//! It computes no heat and judges nothing. Zones are where a field passes the
//! temperatures it is given, no more.

use crate::callout::{Callout, callouts, room};
use crate::etch_layers::{
    HATCH, HATCH_LINE, Pass, Stage, UNMELTED_LINE, draw_plate, draw_unmelted, draw_weld, fusion_lines,
    groove_line, unmelted, zone_edges,
};
use crate::geometry::bounds;
use crate::grid::SectionGrid;
use crate::heat_look::{
    HeatLook, KeyItem, RULE_HEIGHT, Sheet, both_scales, clip, inner_id, key, key_width, steel_rule, swatch,
    with_definitions,
};
use crate::ink::{Commands, Hatching};
use crate::svg::{Anchor, Area, FINE, OUTLINE, Pen, SIZE_LABEL, Svg, Type};
use crate::{Frame, PX_PER_MM_RANGE, Point};

/// Most beads in one picture. Basis: choice; more are narrower than a line.
pub const ETCH_BEADS_MAX: usize = 60;
/// Room around the section, user units.
const MARGIN: f64 = 12.0;
/// Dashes of the edges of heated zones.
pub(crate) const ZONE_DASH: &str = "5 2.6";
/// Dashes of the edge of weld metal heated again.
pub(crate) const REHEAT_DASH: &str = "2 2.6";
/// Dots of the groove as prepared.
pub(crate) const GROOVE_DASH: &str = "0.1 3.2";

/// Temperatures at which the picture changes, °C, descending.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EtchTemperatures {
    /// What was hotter was molten.
    pub fusion_c: f64,
    /// What was hotter has coarse grain.
    pub coarse_c: f64,
    /// What was hotter has fine grain: all of it was austenite (Ac3).
    pub fine_c: f64,
    /// What was hotter is partly changed (Ac1).
    pub intercritical_c: f64,
}

impl EtchTemperatures {
    pub(crate) fn zones(&self) -> [f64; 3] {
        [self.intercritical_c, self.fine_c, self.coarse_c]
    }

    fn descending(&self) -> bool {
        let all = [self.fusion_c, self.coarse_c, self.fine_c, self.intercritical_c];
        all.iter().all(|t| t.is_finite()) && all.windows(2).all(|pair| pair[0] > pair[1])
    }
}

/// One bead and the heat it brought.
#[derive(Debug, Clone, PartialEq)]
pub struct EtchBead {
    /// Printed on the bead where there is room, usually its number.
    pub label: String,
    /// Read by screen readers and shown on pointing: `bead 3, fill`.
    pub title: String,
    /// Outline of the metal it added, mm.
    pub outline: Vec<Point>,
    /// The cells of its field.
    pub grid: SectionGrid,
    /// Peak temperature of each cell during this pass, °C; NaN where there was
    /// no metal yet.
    pub peak_c: Vec<f32>,
}

/// A welded section to be etched.
#[derive(Debug, Clone, PartialEq)]
pub struct Etch {
    /// The plates as prepared, mm; their edges inside the weld are dotted.
    pub plates: Vec<Vec<Point>>,
    /// Backing, mm.
    pub backing: Vec<Vec<Point>>,
    /// Beads in the order laid.
    pub beads: Vec<EtchBead>,
    /// Where zones begin.
    pub temperatures: EtchTemperatures,
    /// Remarks pointing into the section.
    pub callouts: Vec<Callout>,
    /// Whether the key is drawn under the section.
    pub with_key: bool,
    /// Scale, user units per mm, within [`PX_PER_MM_RANGE`].
    pub px_per_mm: f64,
}

/// The etched section.
///
/// Later beads overprint earlier ones as on a real coupon: what a bead melted is
/// its own weld metal, what it heated is changed again, and the last fusion line
/// is the sharpest. Zones differ in tone and in the density of their hatching;
/// fusion lines are solid, edges of heated zones dashed, the groove as prepared
/// dotted, and a heavy line is a bead that lies on older metal without having
/// melted into it.
pub fn macro_etch(etch: &Etch, look: &HeatLook, frame: &Frame<'_>) -> String {
    let drawn = draw(etch, look, frame);
    let done = drawn.svg.finish(frame, drawn.size[0], drawn.size[1]);
    with_definitions(done, &drawn.definitions)
}

pub(crate) struct Drawn {
    pub svg: Svg,
    pub size: [f64; 2],
    pub definitions: String,
}

pub(crate) fn draw(etch: &Etch, look: &HeatLook, frame: &Frame<'_>) -> Drawn {
    let mut svg = Svg::default();
    if !is_drawable(etch) {
        svg.refuse();
        return Drawn { svg, size: [1.0, 1.0], definitions: String::new() };
    }
    let outlines: Vec<&Vec<Point>> =
        etch.plates.iter().chain(&etch.backing).chain(etch.beads.iter().map(|b| &b.outline)).collect();
    let [x_min, y_min, x_max, y_max] = bounds(outlines.iter().copied().flatten());
    let px = etch.px_per_mm;
    let sides = room(&etch.callouts, (x_min + x_max) / 2.0, (x_max - x_min) * px).map(|wide| MARGIN + wide);
    let sheet = Sheet { x0: sides[0] - x_min * px, y0: MARGIN + y_max * px, px };
    sheet.declare(&mut svg);
    let section = Area {
        x0: sides[0],
        y0: MARGIN,
        x1: sides[0] + (x_max - x_min) * px,
        y1: MARGIN + (y_max - y_min) * px,
    };

    let passes: Vec<Pass<'_>> =
        etch.beads.iter().map(|bead| Pass::new(bead, &etch.temperatures, sheet)).collect();
    let stage = Stage { etch, passes: &passes, sheet, look };
    let metal: Vec<String> = outlines.iter().map(|ring| outline(&mut svg, &sheet.all(ring))).collect();
    let [metal_id, weld_id] = ["metal", "weld"].map(|name| inner_id(frame, name));
    draw_silhouette(&mut svg, &metal, look);
    svg.group("etched", &[("clip-path", &format!("url(#{metal_id})"))], "");
    draw_plate(&mut svg, &stage);
    svg.group("weld", &[("clip-path", &format!("url(#{weld_id})"))], "");
    let weld = draw_weld(&mut svg, &stage);
    svg.end();
    zone_edges(&mut svg, &stage);
    groove_line(&mut svg, &stage);
    fusion_lines(&mut svg, &stage);
    let unmelted = unmelted(&stage);
    draw_unmelted(&mut svg, &stage, &unmelted);
    svg.end();
    draw_labels(&mut svg, &stage);
    let lowest = callouts(&mut svg, &etch.callouts, sheet, section, frame);
    let mut size = [section.x1 + sides[1], lowest.max(section.y1) + 8.0];
    draw_foot(&mut svg, &stage, !unmelted.is_empty(), &mut size, section.x0, frame);
    let definitions = format!("<defs>{}{}</defs>", clip(&metal_id, &metal), clip(&weld_id, &weld));
    Drawn { svg, size, definitions }
}

fn is_drawable(etch: &Etch) -> bool {
    let scale_known = (PX_PER_MM_RANGE[0]..=PX_PER_MM_RANGE[1]).contains(&etch.px_per_mm);
    let rings = etch.plates.iter().chain(&etch.backing).chain(etch.beads.iter().map(|b| &b.outline));
    let finite = rings.flatten().chain(etch.callouts.iter().map(|c| &c.at)).flatten().all(|v| v.is_finite());
    scale_known
        && finite
        && !etch.plates.is_empty()
        && etch.temperatures.descending()
        && etch.beads.len() <= ETCH_BEADS_MAX
        && etch.beads.iter().all(|bead| bead.grid.check(&bead.peak_c).is_ok())
}

fn outline(svg: &mut Svg, points: &[Point]) -> String {
    let mut commands = Commands::default();
    commands.straight(points, true);
    commands.finish(svg)
}

/// The outer edge of all metal: every outline in a line of double width, of which
/// the metal drawn next covers the inner half and all that lies inside.
fn draw_silhouette(svg: &mut Svg, metal: &[String], look: &HeatLook) {
    svg.group("outline", &[], "");
    svg.path(&metal.concat(), &Pen::line(look.tones.ink, 2.0 * OUTLINE));
    svg.end();
}

/// Bead numbers, each in the middle of what is left of its bead.
fn draw_labels(svg: &mut Svg, stage: &Stage<'_>) {
    let tones = &stage.look.tones;
    svg.group("labels", &[], "");
    for (k, bead) in stage.etch.beads.iter().enumerate() {
        let Some(at) = stage.label_spot(k) else { continue };
        let [x, y] = stage.sheet.at(at);
        let face = Type::new(tones.ink, SIZE_LABEL, Anchor::Middle).bold();
        let area = Area::of_text(x, y + SIZE_LABEL * 0.35, &bead.label, &face);
        if svg.texts.iter().any(|t| t.meets(&area)) {
            continue;
        }
        let ground = Area { x0: area.x0 - 3.0, y0: area.y0 - 2.0, x1: area.x1 + 3.0, y1: area.y1 + 1.0 };
        svg.group("bead", &[("data-bead", &bead.label)], &bead.title);
        svg.rect(ground, 3.0, &Pen::filled(tones.weld[k % 2]));
        svg.text(x, y + SIZE_LABEL * 0.35, &bead.label, &face);
        svg.end();
    }
    svg.end();
}

/// Under the section: the rule and, when wanted, the key.
fn draw_foot(
    svg: &mut Svg,
    stage: &Stage<'_>,
    has_unmelted: bool,
    size: &mut [f64; 2],
    left: f64,
    frame: &Frame<'_>,
) {
    let wide = steel_rule(svg, left, size[1], stage.sheet.px, frame);
    size[0] = size[0].max(left + wide + MARGIN);
    size[1] += RULE_HEIGHT;
    if stage.etch.with_key {
        let items = key_items(stage, has_unmelted, frame);
        size[0] = size[0].max(MARGIN * 2.0 + key_width(&items));
        size[1] = key(svg, &items, MARGIN, size[1] + 6.0, size[0] - 2.0 * MARGIN, frame) + 2.0;
    }
}

fn key_items<'a>(stage: &'a Stage<'a>, has_unmelted: bool, frame: &Frame<'_>) -> Vec<KeyItem<'a>> {
    let (tones, words, t) = (&stage.look.tones, &stage.look.words, &stage.etch.temperatures);
    let from =
        |name: &str, celsius: f64| format!("{name}, {} {}", words.above, both_scales(celsius, frame.words));
    let mut items = vec![KeyItem {
        text: from(&words.weld_metal, t.fusion_c),
        draw: Box::new(|svg, area| {
            swatch(svg, area, tones.weld[0], tones.ink);
            for k in 0..6 {
                let x = area.x0 + 3.0 + 4.0 * f64::from(k);
                svg.line([x, area.y1 - 2.0], [x + 2.0, area.y0 + 2.0], &Pen::line(tones.grain, FINE * 0.8));
            }
        }),
    }];
    if stage.etch.beads.len() > 1 {
        items.push(KeyItem {
            text: from(&words.reheated, t.fine_c),
            draw: Box::new(|svg, area| {
                svg.rect(
                    area,
                    0.0,
                    &Pen::line(tones.ink, FINE * 0.8).dashed(REHEAT_DASH).with_fill(tones.reheated),
                );
            }),
        });
    }
    for (zone, celsius) in t.zones().into_iter().enumerate().rev() {
        items.push(KeyItem {
            text: from(&words.zones[zone], celsius),
            draw: Box::new(move |svg, area| {
                swatch(svg, area, tones.zones[zone], tones.ink);
                let ring =
                    vec![[area.x0, area.y0], [area.x1, area.y0], [area.x1, area.y1], [area.x0, area.y1]];
                // The densest zone has every line, the next every second.
                let spacing = HATCH * f64::from([4, 2, 1][zone]);
                let lines = Hatching::over([area.x0, area.y0, area.x1, area.y1], spacing);
                let mut commands = Commands::default();
                for (index, spans) in lines.inside(&[ring]).iter().enumerate() {
                    spans.iter().for_each(|span| commands.straight(&lines.segment(index, *span), false));
                }
                let commands = commands.finish(svg);
                svg.path(&commands, &Pen::line(tones.grain, HATCH_LINE));
            }),
        });
    }
    let mut lines: Vec<(&str, f64, &str)> = vec![
        (&words.fusion_line, OUTLINE, ""),
        (&words.zone_edge, FINE, ZONE_DASH),
        (&words.groove, OUTLINE * 1.1, GROOVE_DASH),
    ];
    if has_unmelted {
        lines.push((&words.unmelted, UNMELTED_LINE, ""));
    }
    for (word, width, dash) in lines {
        items.push(KeyItem {
            text: word.to_owned(),
            draw: Box::new(move |svg, area| {
                let y = (area.y0 + area.y1) / 2.0;
                svg.line([area.x0, y], [area.x1, y], &Pen::line(tones.ink, width).dashed(dash));
            }),
        });
    }
    items
}
