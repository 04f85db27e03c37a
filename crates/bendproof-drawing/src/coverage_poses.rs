//! Small pictures of how a joint lies and what stands behind its root. They
//! name no position; the caller writes that next to them.

use crate::svg::{FINE, Pen, Svg};
use crate::{Point, Theme};

/// How a joint lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CoverPose {
    /// What is joined.
    pub shape: PoseShape,
    /// Where the weld faces.
    pub facing: Facing,
}

/// What is joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PoseShape {
    /// Two plates, seen at their edges.
    Plate,
    /// A pipe, seen along its axis, or from the side where it stands.
    Pipe,
    /// A plate on a plate.
    Fillet,
}

/// Where the weld faces, against gravity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Facing {
    /// Up.
    Up,
    /// Sideways, running level.
    Level,
    /// Sideways, running up or down.
    Rising,
    /// Down.
    Down,
}

/// Half the length and half the thickness of a plate in a picture.
const LONG: f64 = 16.0;
const THIN: f64 = 4.0;
/// Radius of a pipe in a picture.
const RADIUS: f64 = 10.0;

/// Draws a pose around a middle.
pub(crate) fn pose(svg: &mut Svg, pose: CoverPose, at: Point, theme: &Theme) {
    match (pose.shape, pose.facing) {
        (PoseShape::Pipe, facing) => pipe(svg, facing, at, theme),
        (shape, Facing::Rising) => rising(svg, shape, at, theme),
        (PoseShape::Plate, facing) => groove(svg, facing, at, theme),
        (PoseShape::Fillet, facing) => fillet(svg, facing, at, theme),
    }
}

/// Turns a picture that faces up the way it is to face.
fn turned(facing: Facing, at: Point, points: &[Point]) -> Vec<Point> {
    let turn = |[x, y]: Point| match facing {
        Facing::Up | Facing::Rising => [at[0] + x, at[1] + y],
        // Faces right: what was up is right.
        Facing::Level => [at[0] - y, at[1] + x * 0.85],
        Facing::Down => [at[0] + x, at[1] - y],
    };
    points.iter().copied().map(turn).collect()
}

fn metal(theme: &Theme) -> Pen<'static> {
    Pen::line(theme.ink, FINE).with_fill(theme.steel)
}

fn weld(theme: &Theme) -> Pen<'static> {
    Pen::line(theme.ink, FINE).with_fill(theme.ink)
}

/// Two bevelled plates with the weld between them.
fn groove(svg: &mut Svg, facing: Facing, at: Point, theme: &Theme) {
    for side in [-1.0, 1.0] {
        let plate = [[side * 1.5, THIN], [side * 5.0, -THIN], [side * LONG, -THIN], [side * LONG, THIN]];
        svg.run(&turned(facing, at, &plate), true, &metal(theme));
    }
    let bead = [[-1.5, THIN], [-5.5, -THIN - 1.0], [0.0, -THIN - 2.5], [5.5, -THIN - 1.0], [1.5, THIN]];
    svg.run(&turned(facing, at, &bead), true, &weld(theme));
}

/// A plate standing on a plate, the weld in the corner.
fn fillet(svg: &mut Svg, facing: Facing, at: Point, theme: &Theme) {
    let base = [[-LONG, 4.0], [LONG, 4.0], [LONG, 10.0], [-LONG, 10.0]];
    let stem = [[-3.0, -11.0], [3.0, -11.0], [3.0, 4.0], [-3.0, 4.0]];
    let bead = [[3.0, 4.0], [3.0, -3.5], [10.5, 4.0]];
    // A flat fillet lies in a trough; a level one has one plate standing, an
    // overhead one hangs.
    let lies = |points: &[Point]| -> Vec<Point> {
        match facing {
            Facing::Up => points.iter().map(|p| trough(at, *p)).collect(),
            Facing::Down => turned(Facing::Down, at, points),
            Facing::Level | Facing::Rising => turned(Facing::Up, at, points),
        }
    };
    svg.run(&lies(&base), true, &metal(theme));
    svg.run(&lies(&stem), true, &metal(theme));
    svg.run(&lies(&bead), true, &weld(theme));
}

/// An eighth turn to the left, a little smaller, so that the corner opens up.
fn trough(at: Point, [x, y]: Point) -> Point {
    let (x, y) = ((x - 3.0) * 0.75, (y - 4.0) * 0.75);
    let part = std::f64::consts::FRAC_1_SQRT_2;
    [at[0] + (x + y) * part, at[1] + 2.0 + (y - x) * part]
}

/// Seen from the front: a seam that rises, with an arrow both ways.
fn rising(svg: &mut Svg, shape: PoseShape, at: Point, theme: &Theme) {
    let high = 11.0;
    let widths = if shape == PoseShape::Fillet { [10.0, 3.0] } else { [11.0, 11.0] };
    for (side, wide) in [-1.0, 1.0].into_iter().zip(widths) {
        let near = at[0] + side * 2.0;
        let plate = [
            [near, at[1] - high],
            [near + side * wide, at[1] - high],
            [near + side * wide, at[1] + high],
            [near, at[1] + high],
        ];
        svg.run(&plate, true, &metal(theme));
    }
    let seam = [
        [at[0] - 2.0, at[1] - high],
        [at[0] + 2.0, at[1] - high],
        [at[0] + 2.0, at[1] + high],
        [at[0] - 2.0, at[1] + high],
    ];
    svg.run(&seam, true, &weld(theme));
    let x = at[0] + widths[1] + 7.0;
    svg.line([x, at[1] - 9.0], [x, at[1] + 9.0], &Pen::line(theme.ink, FINE));
    for up in [-1.0, 1.0] {
        let tip = [[x - 2.5, at[1] + up * 6.0], [x, at[1] + up * 10.0], [x + 2.5, at[1] + up * 6.0]];
        svg.run(&tip, false, &Pen::line(theme.ink, FINE));
    }
}

/// A lying pipe with the weld where it faces; a standing one with its seam.
fn pipe(svg: &mut Svg, facing: Facing, at: Point, theme: &Theme) {
    if facing == Facing::Level {
        let body =
            [[-7.0, -12.0], [7.0, -12.0], [7.0, 12.0], [-7.0, 12.0]].map(|[x, y]| [at[0] + x, at[1] + y]);
        svg.run(&body, true, &metal(theme));
        let seam = [[-7.5, -2.0], [7.5, -2.0], [7.5, 2.0], [-7.5, 2.0]].map(|[x, y]| [at[0] + x, at[1] + y]);
        svg.run(&seam, true, &weld(theme));
        return;
    }
    svg.circle(at, RADIUS, &metal(theme));
    svg.circle(at, RADIUS - 4.0, &Pen::line(theme.ink, FINE).with_fill(theme.paper));
    let spots: &[Point] = match facing {
        Facing::Up => &[[0.0, -RADIUS]],
        Facing::Down => &[[0.0, RADIUS]],
        _ => &[[-RADIUS, 0.0], [RADIUS, 0.0]],
    };
    for [x, y] in spots {
        svg.circle([at[0] + x, at[1] + y], 4.0, &weld(theme));
    }
}

/// A root: open, on a backing bar, gouged and welded from behind, over gas, over
/// flux, or with an insert, in this order; anything else stays empty.
pub(crate) fn root(svg: &mut Svg, which: usize, at: Point, theme: &Theme) {
    groove(svg, Facing::Up, at, theme);
    let below = at[1] + THIN;
    match which {
        1 => {
            let bar = [[-8.0, 0.0], [8.0, 0.0], [8.0, 4.0], [-8.0, 4.0]].map(|[x, y]| [at[0] + x, below + y]);
            svg.run(&bar, true, &metal(theme));
        }
        2 => {
            let bead = [[-4.5, 0.5], [-2.0, -3.5], [2.0, -3.5], [4.5, 0.5], [0.0, 2.5]];
            let bead = bead.map(|[x, y]| [at[0] + x, below + y]);
            svg.run(&bead, true, &Pen::line(theme.paper, FINE).with_fill(theme.ink));
        }
        // Gas blows up from below.
        3 => {
            let fine = Pen::line(theme.ink, FINE);
            for x in [-6.0, 0.0, 6.0].map(|x| at[0] + x) {
                svg.line([x, below + 2.0], [x, below + 8.0], &fine);
                svg.run(&[[x - 2.0, below + 4.5], [x, below + 1.5], [x + 2.0, below + 4.5]], false, &fine);
            }
        }
        // Flux lies loose under it.
        4 => {
            for (n, x) in [-8.0, -4.0, 0.0, 4.0, 8.0].into_iter().enumerate() {
                let y = below + if n % 2 == 0 { 2.0 } else { 4.0 };
                svg.circle([at[0] + x, y], 1.2, &Pen::filled(theme.ink));
            }
        }
        // A ring of filler sits in the root.
        5 => svg.circle([at[0], below - 2.0], 3.0, &Pen::line(theme.ink, FINE).with_fill(theme.paper)),
        _ => {}
    }
}
