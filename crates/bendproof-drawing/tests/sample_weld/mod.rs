//! A plausible weld for pictures and their tests: a 60° groove in 9.5 mm plate,
//! eight beads, and fields shaped like those of a short arc. No solver made it,
//! and its figures prove nothing about welding.
#![allow(dead_code, reason = "each program uses a part")]

use bendproof_drawing::{
    ArcMark, Callout, CoolingChart, CoolingSeries, Etch, EtchBead, EtchTemperatures, HeatFrame, Point, Probe,
    SectionGrid, TimeAxis,
};

pub const THICKNESS_MM: f64 = 9.525;
const ROOT_HALF_MM: f64 = 1.6;
const LAND_MM: f64 = 1.6;
const FUSION_C: f64 = 1495.0;
const START_C: f64 = 20.0;
/// Hottest value written, about where steel boils.
const HOTTEST_C: f64 = 2700.0;

pub fn temperatures() -> EtchTemperatures {
    EtchTemperatures { fusion_c: FUSION_C, coarse_c: 1100.0, fine_c: 870.0, intercritical_c: 725.0 }
}

/// Half the groove's width at a height.
fn wall(y: f64) -> f64 {
    ROOT_HALF_MM + (y - LAND_MM).max(0.0) * 30_f64.to_radians().tan()
}

pub fn plates(shoulder_mm: f64) -> Vec<Vec<Point>> {
    let (top, t) = (wall(THICKNESS_MM), THICKNESS_MM);
    let far = top + shoulder_mm;
    let right = vec![[ROOT_HALF_MM, 0.0], [far, 0.0], [far, t], [top, t], [ROOT_HALF_MM, LAND_MM]];
    let left = right.iter().rev().map(|p| [-p[0], p[1]]).collect();
    vec![left, right]
}

/// A bead: its outline, the middle of its heat, and how far it melts across and
/// upwards, mm.
struct Laid {
    outline: Vec<Point>,
    heat: Point,
    melts: [f64; 2],
}

/// A curve from `a` to `b` that rises by `sag` in its middle.
fn bow(a: Point, b: Point, sag: f64) -> Vec<Point> {
    (0..=16)
        .map(|k| {
            let s = f64::from(k) / 16.0;
            [a[0] + (b[0] - a[0]) * s, a[1] + (b[1] - a[1]) * s + 4.0 * sag * s * (1.0 - s)]
        })
        .collect()
}

fn laid() -> Vec<Laid> {
    let full = |from: f64, to: f64, sag: f64, below: f64| {
        let mut ring = bow([-wall(from), from], [wall(from), from], below);
        ring.extend(bow([wall(to), to], [-wall(to), to], sag));
        ring
    };
    let mut all = vec![
        Laid { outline: root(), heat: [0.0, 2.1], melts: [3.1, 3.0] },
        Laid { outline: full(3.1, 4.9, -0.35, -0.3), heat: [0.0, 4.6], melts: [3.5, 2.6] },
        Laid { outline: full(4.9, 6.6, -0.3, -0.35), heat: [0.0, 6.3], melts: [4.4, 2.6] },
    ];
    let (y, top) = (6.6, 8.6);
    // The floor of the layer and the joint between its two beads are shared.
    let floor = bow([-wall(y), y], [wall(y), y], -0.3);
    let joint = [[0.5, 7.4], [0.1, 8.5]];
    let mut left = floor[..9].to_vec();
    left.extend(joint);
    left.extend(bow(joint[1], [-wall(top), top], 0.35).into_iter().skip(1));
    let mut right = floor[8..].to_vec();
    right.extend(bow([wall(top), top], joint[1], 0.3));
    right.push(joint[0]);
    all.push(Laid { outline: left.clone(), heat: [-2.5, 7.9], melts: [3.6, 2.6] });
    all.push(Laid { outline: right.clone(), heat: [2.6, 7.9], melts: [3.5, 2.6] });
    all.extend(cap(&left[11..], &right[9..26]));
    all
}

fn root() -> Vec<Point> {
    let mut ring = bow([-2.1, 0.0], [2.1, 0.0], -1.0);
    ring.extend([[ROOT_HALF_MM, 0.0], [ROOT_HALF_MM, LAND_MM]]);
    ring.extend(bow([wall(3.1), 3.1], [-wall(3.1), 3.1], -0.3));
    ring.extend([[-ROOT_HALF_MM, LAND_MM], [-ROOT_HALF_MM, 0.0]]);
    ring
}

/// Three cap beads on the tops of the layer below, which run from right to left.
fn cap(left_top: &[Point], right_top: &[Point]) -> Vec<Laid> {
    let (t, edge, third) = (THICKNESS_MM, wall(THICKNESS_MM) + 0.5, 1.9);
    let between = |top: &[Point], from: f64, to: f64| -> Vec<Point> {
        top.iter().rev().copied().filter(|p| p[0] > from && p[0] < to).collect()
    };
    let mut left = vec![[-edge, t], [-wall(t), t]];
    left.extend(left_top.iter().rev().filter(|p| p[0] < -third));
    left.extend(bow([-third, t - 0.4], [-edge, t], 1.2));
    let mut right = between(right_top, third, edge);
    right.extend([[wall(t), t], [edge, t]]);
    right.extend(bow([edge, t], [third, t - 0.4], 1.2).into_iter().skip(1));
    // It lies on its neighbours' flanks.
    let mut middle = vec![[-2.75, t + 0.3], [-2.3, t - 0.2], [-2.5, t - 0.95]];
    middle.extend(between(left_top, -third, 0.1).into_iter().map(|p| [p[0], p[1] - 0.1]));
    middle.extend(between(right_top, 0.1, third).into_iter().map(|p| [p[0], p[1] - 0.1]));
    middle.extend([[2.5, t - 0.95], [2.3, t - 0.2]]);
    middle.extend(bow([2.75, t + 0.3], [-2.75, t + 0.3], 1.5));
    vec![
        Laid { outline: left, heat: [-3.9, 9.6], melts: [3.2, 2.2] },
        Laid { outline: right, heat: [3.9, 9.6], melts: [3.2, 2.2] },
        Laid { outline: middle, heat: [0.0, 10.0], melts: [3.1, 2.4] },
    ]
}

fn is_inside(ring: &[Point], p: Point) -> bool {
    let next = ring.iter().cycle().skip(1);
    let crossed = ring.iter().zip(next).filter(|(a, b)| (a[1] <= p[1]) != (b[1] <= p[1]));
    crossed.filter(|(a, b)| a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) > p[0]).count() % 2 == 1
}

/// Even cells at the weld, growing towards the ends.
pub fn grid(columns: usize, rows: usize, half_mm: f64) -> SectionGrid {
    let x_edges_mm = (0..=columns)
        .map(|k| {
            let s = 2.0 * k as f64 / columns as f64 - 1.0;
            half_mm * (0.6 * s + 0.4 * s.powi(3))
        })
        .collect();
    let (low, high) = (-1.6, 12.4);
    let y_edges_mm = (0..=rows).map(|k| low + (high - low) * k as f64 / rows as f64).collect();
    SectionGrid { x_edges_mm, y_edges_mm }
}

/// Peak temperature after a short arc: constant over the pool's middle, falling
/// with the square of the distance outside.
fn peak(p: Point, bead: &Laid) -> f64 {
    let d2 =
        ((p[0] - bead.heat[0]) / bead.melts[0]).powi(2) + ((p[1] - bead.heat[1]) / bead.melts[1]).powi(2);
    (START_C + (FUSION_C - START_C) / (d2 + 0.8) * 1.8).min(HOTTEST_C)
}

pub fn etch(columns: usize, rows: usize, px_per_mm: f64) -> Etch {
    let plates = plates(7.0);
    let far = plates[1][1][0];
    let grid = grid(columns, rows, far);
    let laid = laid();
    let words = ["root", "hot", "fill", "fill", "fill", "cap", "cap", "cap"];
    let field = |index: usize| -> Vec<f32> {
        let there = |p: Point| {
            plates.iter().chain(laid[..=index].iter().map(|b| &b.outline)).any(|ring| is_inside(ring, p))
        };
        let cells = (0..grid.rows()).flat_map(|row| (0..grid.columns()).map(move |column| (column, row)));
        cells
            .map(|(column, row)| grid.centre(column, row))
            .map(|p| if there(p) { peak(p, &laid[index]) as f32 } else { f32::NAN })
            .collect()
    };
    let beads = laid.iter().enumerate().map(|(k, bead)| EtchBead {
        label: (k + 1).to_string(),
        title: format!("bead {}, {}", k + 1, words[k]),
        outline: bead.outline.clone(),
        grid: grid.clone(),
        peak_c: field(k),
    });
    Etch {
        beads: beads.collect(),
        plates,
        backing: Vec::new(),
        temperatures: temperatures(),
        callouts: vec![
            Callout { at: [-2.3, 0.15], text: "land melted 0.7 mm past the edge".into() },
            Callout { at: [5.4, 7.6], text: "wall melted 0.6 mm deep, thinnest at bead 5".into() },
        ],
        with_key: true,
        px_per_mm,
    }
}

/// Temperature around an arc that moves along a thick body, behind (negative) or
/// ahead of it by `along` and off its line by `off`, mm.
fn moving(along: f64, off: f64) -> f64 {
    // Net power over 2 pi times conductivity, °C mm; speed over twice the
    // diffusivity, 1/mm.
    let (strength, decay) = (8000.0, 0.25);
    let r = along.hypot(off).max(1.0);
    (START_C + strength / r * (-decay * (along + r)).exp()).min(HOTTEST_C)
}

/// The third bead's section a moment after the arc passed.
pub fn across(columns: usize, rows: usize, px_per_mm: f64) -> HeatFrame {
    let etch = etch(columns, rows, px_per_mm);
    let grid = etch.beads[2].grid.clone();
    let celsius = (0..grid.rows() * grid.columns())
        .map(|k| {
            let p = grid.centre(k % grid.columns(), k / grid.columns());
            let is_metal = !etch.beads[2].peak_c[k].is_nan();
            if is_metal { moving(-3.0, p[0].hypot(p[1] - 6.4)) as f32 } else { f32::NAN }
        })
        .collect();
    let beads = etch.beads[..3].iter().map(|b| b.outline.clone());
    HeatFrame {
        grid,
        celsius,
        outlines: etch.plates.iter().cloned().chain(beads).collect(),
        view_mm: None,
        levels_c: vec![200.0, 500.0, 800.0, 1100.0, FUSION_C],
        fusion_c: Some(FUSION_C),
        arc: Some(ArcMark { at: [0.0, 6.6], text: "arc 3 mm past".into() }),
        probes: vec![
            Probe { at: [7.5, THICKNESS_MM], label: "A".into() },
            Probe { at: [3.0, 0.0], label: "B".into() },
        ],
        note: "bead 3, 0.8 s after the arc passed".into(),
        x_label: "across the weld".into(),
        px_per_mm,
    }
}

/// The same bead along its middle.
pub fn along(px_per_mm: f64) -> HeatFrame {
    let edges = |from: f64, to: f64, cells: usize| -> Vec<f64> {
        (0..=cells).map(|k| from + (to - from) * k as f64 / cells as f64).collect()
    };
    let grid = SectionGrid { x_edges_mm: edges(-34.0, 12.0, 138), y_edges_mm: edges(-0.9, 6.6, 30) };
    let celsius = (0..grid.rows() * grid.columns())
        .map(|k| {
            let [x, y] = grid.centre(k % grid.columns(), k / grid.columns());
            // Ahead of the pool the third bead is not there yet.
            let top = if x > 1.0 { 4.6 } else { 6.4 - (x + 3.0).max(0.0).powi(2) * 0.1 };
            if y < top { moving(x, y - 5.6) as f32 } else { f32::NAN }
        })
        .collect();
    HeatFrame {
        grid,
        celsius,
        outlines: Vec::new(),
        arc: Some(ArcMark { at: [0.0, 5.6], text: "arc".into() }),
        probes: Vec::new(),
        x_label: "along travel →".into(),
        note: "bead 3, along its middle".into(),
        ..across(60, 30, px_per_mm)
    }
}

/// Three curves as three probes might give, one with measured points.
pub fn cooling(axis: TimeAxis, size_px: [f64; 2]) -> CoolingChart {
    let curve = |name: &str, off: f64, measured: bool| {
        let t_s: Vec<f64> = (0..1200).map(|k| 0.05 + f64::from(k) * 0.05).collect();
        let value = |t: f64| moving(-4.0 * (t - 2.0), off);
        CoolingSeries {
            name: name.into(),
            celsius: t_s.iter().map(|t| value(*t)).collect(),
            measured: match measured {
                true => {
                    (0..24).map(|k| f64::from(k) * 2.0 + 0.7).map(|t| [t, value(t) * 0.96 + 12.0]).collect()
                }
                false => Vec::new(),
            },
            t_s,
        }
    };
    CoolingChart {
        series: vec![
            curve("HAZ at the root", 3.2, true),
            curve("HAZ at the toe", 4.0, true),
            curve("plate, 8 mm off", 8.0, false),
        ],
        axis,
        span_s: None,
        size_px,
    }
}
