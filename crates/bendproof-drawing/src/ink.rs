//! Lines for pictures made of many points: thinned, rounded, cut where something
//! covers them, hatched together. Knows no weld and writes no element.

use std::fmt::Write as _;

use crate::Point;
use crate::geometry::edges;
use crate::svg::Svg;

/// How far a thinned line may leave the true one, user units: less than the
/// finest line is wide. Basis: choice.
pub(crate) const THINNED: f64 = 0.15;
/// Parts of a user unit in which these paths are written. Basis: choice, a tenth
/// is finer than the thinning.
const PARTS: f64 = 10.0;

/// Cosine of the sharpest turn that is rounded, 50°: a traced line turns less
/// from mesh to mesh, the edge of a plate turns more. Basis: choice.
const CORNER_COS: f64 = 0.643;

/// Drops points that a straight line between their neighbours replaces within
/// `tolerance` (Douglas and Peucker's rule).
pub(crate) fn thin(points: &[Point], tolerance: f64) -> Vec<Point> {
    let n = points.len();
    if n < 3 {
        return points.to_vec();
    }
    let mut keep = vec![false; n];
    keep[0] = true;
    keep[n - 1] = true;
    let mut runs = vec![(0, n - 1)];
    while let Some((from, to)) = runs.pop() {
        let farthest = (from + 1..to)
            .map(|k| (k, off_line_squared(points[k], points[from], points[to])))
            .fold((from, 0.0), |best, this| if this.1 > best.1 { this } else { best });
        if farthest.1 > tolerance * tolerance {
            keep[farthest.0] = true;
            runs.extend([(from, farthest.0), (farthest.0, to)]);
        }
    }
    points.iter().zip(&keep).filter(|(_, kept)| **kept).map(|(p, _)| *p).collect()
}

/// Squared distance of a point from a stretch of line. Squared because it is
/// asked millions of times, and because the root can wait.
pub(crate) fn off_line_squared(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = (dx * dx + dy * dy).max(f64::MIN_POSITIVE);
    let share = (((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / long).clamp(0.0, 1.0);
    let (u, v) = (p[0] - a[0] - dx * share, p[1] - a[1] - dy * share);
    u * u + v * v
}

/// Whether a line turns at `b` by more than [`CORNER_COS`] tells.
fn is_corner(a: Point, b: Point, c: Point) -> bool {
    let (u, v) = ([b[0] - a[0], b[1] - a[1]], [c[0] - b[0], c[1] - b[1]]);
    let along = u[0] * v[0] + u[1] * v[1];
    along < CORNER_COS * ((u[0] * u[0] + u[1] * u[1]) * (v[0] * v[0] + v[1] * v[1])).sqrt()
}

/// Writes path commands with whole tenths, each point relative to the last, a
/// third of the length of absolute ones.
#[derive(Default)]
pub(crate) struct Commands {
    text: String,
    at: [i64; 2],
    is_bad: bool,
}

impl Commands {
    /// The commands; a bad number turns the drawing into a card.
    pub fn finish(self, svg: &mut Svg) -> String {
        if self.is_bad {
            svg.refuse();
        }
        self.text
    }

    fn tenths(&mut self, p: Point) -> [i64; 2] {
        self.is_bad |= !(p[0].is_finite() && p[1].is_finite());
        p.map(|v| (v * PARTS).round() as i64)
    }

    fn number(&mut self, tenths: i64, is_first: bool) {
        if !is_first && tenths >= 0 {
            self.text.push(' ');
        }
        if tenths < 0 {
            self.text.push('-');
        }
        let (whole, part) = (tenths.unsigned_abs() / 10, tenths.unsigned_abs() % 10);
        let _ = match (whole, part) {
            (_, 0) => write!(self.text, "{whole}"),
            (0, _) => write!(self.text, ".{part}"),
            _ => write!(self.text, "{whole}.{part}"),
        };
    }

    fn to(&mut self, letter: char, targets: &[[i64; 2]]) {
        self.text.push(letter);
        let from = if letter == 'M' { [0, 0] } else { self.at };
        for (k, target) in targets.iter().enumerate() {
            self.number(target[0] - from[0], k == 0);
            self.number(target[1] - from[1], false);
        }
        self.at = targets.last().copied().unwrap_or(self.at);
    }

    /// A stretch of straight lines.
    pub fn straight(&mut self, points: &[Point], is_closed: bool) {
        for (k, p) in points.iter().enumerate() {
            let target = self.tenths(*p);
            self.to(if k == 0 { 'M' } else { 'l' }, &[target]);
        }
        self.close(points, is_closed);
    }

    /// A line rounded at its points: it passes through the middles between them.
    /// What a grid bends a little was smooth before it met the grid; a real corner
    /// stays one.
    pub fn rounded(&mut self, points: &[Point], is_closed: bool) {
        let n = points.len();
        if n < 3 {
            return self.straight(points, is_closed);
        }
        let middle = |a: Point, b: Point| [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        let (start, bends) = match is_closed {
            true => (middle(points[n - 1], points[0]), 0..n),
            false => (points[0], 1..n - 1),
        };
        let target = self.tenths(start);
        self.to('M', &[target]);
        for k in bends {
            let is_last = !is_closed && k == n - 2;
            let next = points[(k + 1) % n];
            let end = if is_last { next } else { middle(points[k], next) };
            let targets = [self.tenths(points[k]), self.tenths(end)];
            match is_corner(points[(k + n - 1) % n], points[k], next) {
                true => targets.iter().for_each(|target| self.to('l', std::slice::from_ref(target))),
                false => self.to('q', &targets),
            }
        }
        self.close(points, is_closed);
    }

    fn close(&mut self, points: &[Point], is_closed: bool) {
        if is_closed && !points.is_empty() {
            self.text.push('z');
        }
    }
}

/// The parts of a line where `keep` is positive, cut between points where it
/// passes through zero linearly. A value that is no number counts as not kept.
pub(crate) fn cut(points: &[Point], is_closed: bool, keep: impl Fn(Point) -> f64) -> Vec<Vec<Point>> {
    let mut path = points.to_vec();
    if is_closed {
        path.extend(points.first());
    }
    let values: Vec<f64> = path.iter().map(|p| keep(*p)).collect();
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    let mut piece: Vec<Point> = Vec::new();
    for k in 0..path.len() {
        let is_kept = values[k] > 0.0;
        if k > 0 && is_kept != (values[k - 1] > 0.0) {
            let share = (values[k - 1] / (values[k - 1] - values[k])).clamp(0.0, 1.0);
            let share = if share.is_nan() { 0.5 } else { share };
            piece.push([0, 1].map(|axis| path[k - 1][axis] + (path[k][axis] - path[k - 1][axis]) * share));
        }
        match is_kept {
            true => piece.push(path[k]),
            false if !piece.is_empty() => pieces.push(std::mem::take(&mut piece)),
            false => {}
        }
    }
    if !piece.is_empty() {
        pieces.push(piece);
    }
    rejoined(pieces, is_closed, values.first().is_some_and(|v| *v > 0.0))
}

/// A closed line whose seam was kept has its first and last piece in one.
fn rejoined(mut pieces: Vec<Vec<Point>>, is_closed: bool, is_seam_kept: bool) -> Vec<Vec<Point>> {
    if is_closed && is_seam_kept && pieces.len() > 1 {
        let first = pieces.remove(0);
        if let Some(last) = pieces.last_mut() {
            last.extend(first.into_iter().skip(1));
        }
    }
    pieces.retain(|piece| piece.len() > 1);
    pieces
}

/// Whether a point lies inside a ring, by the odd-number rule.
pub(crate) fn is_inside(ring: &[Point], p: Point) -> bool {
    let crossed = edges(ring).filter(|(a, b)| (a[1] <= p[1]) != (b[1] <= p[1]));
    crossed.filter(|(a, b)| a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) > p[0]).count() % 2 == 1
}

/// A line with points no farther apart than `step`.
pub(crate) fn divided(points: &[Point], is_closed: bool, step: f64) -> Vec<Point> {
    let mut out = Vec::new();
    let count = if is_closed { points.len() } else { points.len().saturating_sub(1) };
    for (a, b) in edges(points).take(count) {
        let parts = ((b[0] - a[0]).hypot(b[1] - a[1]) / step).ceil().max(1.0);
        out.extend((0..parts as usize).map(|k| {
            let share = k as f64 / parts;
            [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share]
        }));
    }
    if !is_closed {
        out.extend(points.last());
    }
    out
}

/// Stretches along one hatch line, ascending and apart.
pub(crate) type Spans = Vec<[f64; 2]>;

/// A family of hatch lines at 45°, `spacing` apart, on one grid through the
/// origin, numbered from `first`. A stretch is given by the x of its ends.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Hatching {
    pub first: i64,
    pub count: usize,
    pub spacing: f64,
}

/// Most lines in one family. Basis: choice, as for areas hatched alone.
const LINES_MAX: f64 = 1200.0;

impl Hatching {
    /// The lines that meet the box `[x0, y0, x1, y1]`.
    pub fn over(area: [f64; 4], spacing: f64) -> Self {
        let (low, high) = (area[0] + area[1], area[2] + area[3]);
        let step = (spacing * std::f64::consts::SQRT_2).max((high - low) / LINES_MAX);
        let first = (low / step).ceil();
        let count = ((high / step).floor() - first + 1.0).max(0.0);
        Self { first: first as i64, count: count as usize, spacing: step }
    }

    /// Where each line runs inside an odd number of the rings.
    pub fn inside(&self, rings: &[Vec<Point>]) -> Vec<Spans> {
        let mut marks: Vec<Vec<f64>> = vec![Vec::new(); self.count];
        for (a, b) in rings.iter().flat_map(|ring| edges(ring)) {
            let (ca, cb) = (a[0] + a[1], b[0] + b[1]);
            // Half-open, so that a shared corner counts once.
            let from = (ca.min(cb) / self.spacing).floor() as i64 + 1;
            let to = (ca.max(cb) / self.spacing).floor() as i64;
            for line in from.max(self.first)..=to.min(self.first + self.count as i64 - 1) {
                let share = (line as f64 * self.spacing - ca) / (cb - ca);
                marks[(line - self.first) as usize].push(a[0] + (b[0] - a[0]) * share);
            }
        }
        let pair_up = |mut line: Vec<f64>| {
            line.sort_by(f64::total_cmp);
            line.chunks_exact(2).map(|pair| [pair[0], pair[1]]).collect()
        };
        marks.into_iter().map(pair_up).collect()
    }

    /// The ends of a stretch of the line at `index`.
    pub fn segment(&self, index: usize, [x0, x1]: [f64; 2]) -> [Point; 2] {
        let c = (self.first + index as i64) as f64 * self.spacing;
        [[x0, c - x0], [x1, c - x1]]
    }
}

/// The stretches where `wanted` holds of being inside `a` and inside `b`.
pub(crate) fn combined(a: &Spans, b: &Spans, wanted: impl Fn(bool, bool) -> bool) -> Spans {
    let ends = |spans: &Spans, which: usize| {
        let each = spans.iter().flat_map(|s| [(s[0], 1), (s[1], -1)]);
        each.map(|(x, step)| (x, which, step)).collect::<Vec<(f64, usize, i32)>>()
    };
    let mut marks = ends(a, 0);
    marks.extend(ends(b, 1));
    marks.sort_by(|l, r| l.0.total_cmp(&r.0));
    let mut depth = [0_i32; 2];
    let mut out = Spans::new();
    let mut start = None;
    for (x, which, step) in marks {
        depth[which] += step;
        match (start, wanted(depth[0] > 0, depth[1] > 0)) {
            (None, true) => start = Some(x),
            (Some(from), false) => {
                if x > from {
                    out.push([from, x]);
                }
                start = None;
            }
            _ => {}
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinning_keeps_corners_and_drops_what_is_straight() {
        let line = [[0.0, 0.0], [1.0, 0.01], [2.0, 0.0], [2.0, 5.0]];
        assert_eq!(thin(&line, 0.1), [[0.0, 0.0], [2.0, 0.0], [2.0, 5.0]]);
    }

    #[test]
    fn commands_are_short_and_return_to_their_points() {
        let mut svg = Svg::default();
        let mut commands = Commands::default();
        commands.straight(&[[1.0, 2.0], [0.5, 2.25], [10.5, 2.25]], true);
        assert_eq!(commands.finish(&mut svg), "M1 2l-.5 .3l10 0z");
        let mut rounded = Commands::default();
        rounded.rounded(&[[0.0, 0.0], [2.0, 0.5], [4.0, 0.0], [4.0, 9.0]], false);
        assert_eq!(rounded.finish(&mut svg), "M0 0q2 .5 3 .3l1-.3l0 9");
    }

    #[test]
    fn a_cut_line_ends_where_the_cover_begins() {
        let square = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]];
        let right = cut(&square, true, |p| p[0] - 1.0);
        assert_eq!(right, [vec![[1.0, 0.0], [4.0, 0.0], [4.0, 4.0], [1.0, 4.0]]]);
        // The seam lies in the part that is kept: one piece, not two.
        let left = cut(&square, true, |p| 1.0 - p[0]);
        assert_eq!(left, [vec![[1.0, 4.0], [0.0, 4.0], [0.0, 0.0], [1.0, 0.0]]]);
        assert!(cut(&square, true, |_| f64::NAN).is_empty());
    }

    #[test]
    fn dividing_keeps_the_corners() {
        let line = divided(&[[0.0, 0.0], [1.0, 0.0], [1.0, 0.2]], false, 0.25);
        assert_eq!(line.len(), 6);
        assert!(line.contains(&[1.0, 0.0]) && line.contains(&[1.0, 0.2]));
    }

    #[test]
    fn hatching_of_a_ring_in_a_ring_leaves_the_hole() {
        let square = |r: f64| vec![[-r, -r], [r, -r], [r, r], [-r, r]];
        let lines = Hatching::over([-10.0, -10.0, 10.0, 10.0], 0.1);
        let spans = lines.inside(&[square(10.0), square(5.0)]);
        let length: f64 = spans.iter().flatten().map(|s| (s[1] - s[0]) * std::f64::consts::SQRT_2).sum();
        assert!((length * 0.1 - 300.0).abs() < 3.0, "{length}");
    }

    #[test]
    fn stretches_combine_like_sets() {
        let (a, b) = (vec![[0.0, 4.0], [6.0, 8.0]], vec![[3.0, 7.0]]);
        assert_eq!(combined(&a, &b, |a, b| a || b), [[0.0, 8.0]]);
        assert_eq!(combined(&a, &b, |a, b| a && b), [[3.0, 4.0], [6.0, 7.0]]);
        assert_eq!(combined(&a, &b, |a, b| a && !b), [[0.0, 3.0], [7.0, 8.0]]);
    }
}
