//! The edges of a groove as they are prepared: their sizes, and where each plate
//! ends because of them. Decides nothing and draws nothing.

use crate::Point;

/// Straight pieces that stand for the curved foot of a wall. Basis: choice; at
/// 1/4 in they leave the curve by less than 0.02 mm.
const ARC_PIECES: u32 = 12;

/// The dimensions of a groove, for its lines and labels.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fit {
    /// Plate thickness or pipe wall, mm.
    pub thickness_mm: f64,
    /// Distance between the two root faces, mm; 0 for a closed root.
    pub root_opening_mm: f64,
    /// Height of the root face (land), left and right, mm; the thickness for an
    /// edge that is not prepared.
    pub land_mm: [f64; 2],
    /// Bevel angle from the vertical, left and right, degrees; their sum is the
    /// groove angle.
    pub bevel_deg: [f64; 2],
    /// Radius at the foot of a curved wall, left and right, mm; 0 for a straight
    /// one. It begins level at the land and ends along the bevel.
    pub radius_mm: [f64; 2],
    /// Depth prepared from the far side, left and right, mm; 0 for a groove from
    /// one side. What the land and this leave is prepared from the near side.
    pub back_mm: [f64; 2],
    /// How far the right plate sits above the left one, mm; negative below.
    pub mismatch_mm: f64,
    /// Plate drawn next to the groove on each side, mm from the widest place.
    pub shoulder_mm: f64,
}

impl Fit {
    /// The two plate outlines, counter-clockwise, in the section frame.
    pub fn plates(&self) -> [Vec<Point>; 2] {
        let edges = [0, 1].map(|side| self.edge(side));
        let widest = edges.iter().flatten().map(|p| p[0]).fold(0.0, f64::max);
        let far = widest + self.shoulder_mm;
        let (t, m) = (self.thickness_mm, self.mismatch_mm);
        let mut left = vec![[-far, 0.0]];
        left.extend(edges[0].iter().map(|[x, y]| [-x, *y]));
        left.push([-far, t]);
        let mut right = vec![[far, m], [far, m + t]];
        right.extend(edges[1].iter().rev().map(|[x, y]| [*x, m + y]));
        [left, right]
    }

    /// One edge from the far side up, x outward from the middle of the opening.
    fn edge(&self, side: usize) -> Vec<Point> {
        let half = self.root_opening_mm / 2.0;
        let (back, foot) = (self.back_mm[side], self.back_mm[side] + self.land_mm[side]);
        let mut out = Vec::new();
        if back > 0.0 {
            out.extend(self.wall(side, back).iter().rev().map(|[x, y]| [half + x, back - y]));
        }
        out.extend([[half, back], [half, foot]]);
        out.extend(self.wall(side, self.front_mm(side)).iter().map(|[x, y]| [half + x, foot + y]));
        out
    }

    /// A prepared wall from the land to `depth`, outward and away from the land.
    fn wall(&self, side: usize, depth: f64) -> Vec<Point> {
        let (r, bevel) = (self.radius_mm[side], self.bevel_deg[side].to_radians());
        let [out, up] = self.tangent_mm(side);
        let turned = std::f64::consts::FRAC_PI_2 - bevel;
        let arc = |k: u32| {
            let turn = turned * f64::from(k) / f64::from(ARC_PIECES);
            [r * turn.sin(), r * (1.0 - turn.cos())]
        };
        let mut points: Vec<Point> = if r > 0.0 { (1..=ARC_PIECES).map(arc).collect() } else { Vec::new() };
        points.push([out + (depth - up) * bevel.tan(), depth]);
        points
    }

    /// Where the curved foot of a wall ends and its straight part begins, outward
    /// and away from the land, mm; nothing for a straight wall.
    pub(crate) fn tangent_mm(&self, side: usize) -> Point {
        let (r, bevel) = (self.radius_mm[side], self.bevel_deg[side].to_radians());
        [r * bevel.cos(), r * (1.0 - bevel.sin())]
    }

    /// Depth prepared from the near side, mm.
    pub(crate) fn front_mm(&self, side: usize) -> f64 {
        self.thickness_mm - self.land_mm[side] - self.back_mm[side]
    }

    /// An edge that is prepared from both sides, the right one first.
    pub(crate) fn both_sided(&self) -> Option<usize> {
        [1, 0].into_iter().find(|side| self.back_mm[*side] > 0.0)
    }

    /// Whether every size is a number, and no curve or depth is more than the
    /// metal it is cut from.
    pub fn is_drawable(&self) -> bool {
        let all = [self.thickness_mm, self.root_opening_mm, self.mismatch_mm, self.shoulder_mm];
        let pairs = [self.land_mm, self.bevel_deg, self.radius_mm, self.back_mm];
        let is_cut = |side: usize| {
            let (back, curve) = (self.back_mm[side], self.tangent_mm(side)[1]);
            let is_whole = back == 0.0 && self.radius_mm[side] == 0.0;
            let has_room = curve <= self.front_mm(side) && (back == 0.0 || curve <= back);
            is_whole || (back >= 0.0 && self.radius_mm[side] >= 0.0 && has_room)
        };
        all.iter().chain(pairs.iter().flatten()).all(|v| v.is_finite())
            && self.thickness_mm > 0.0
            && is_cut(0)
            && is_cut(1)
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{FRAC_PI_2, FRAC_PI_6};

    use super::*;
    use crate::geometry::edges;

    /// Room for rounding in areas of some hundred square millimetres.
    const ROUNDING: f64 = 1e-9;

    const T: f64 = 20.0;
    const OPENING: f64 = 3.0;
    const LAND: f64 = 2.0;

    fn area(outline: &[Point]) -> f64 {
        (edges(outline).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>() / 2.0).abs()
    }

    /// Area between the plates: what lies between the far edges less the metal.
    fn groove_area(fit: &Fit) -> f64 {
        let plates = fit.plates();
        let far = plates[1][0][0];
        2.0 * far * fit.thickness_mm - area(&plates[0]) - area(&plates[1])
    }

    fn of(land: [f64; 2], bevel: [f64; 2], radius: [f64; 2], back: [f64; 2]) -> Fit {
        Fit {
            thickness_mm: T,
            root_opening_mm: OPENING,
            land_mm: land,
            bevel_deg: bevel,
            radius_mm: radius,
            back_mm: back,
            mismatch_mm: 0.0,
            shoulder_mm: 8.0,
        }
    }

    fn assert_area(name: &str, fit: &Fit, by_hand: f64) {
        assert!(fit.is_drawable(), "{name}");
        let drawn = groove_area(fit);
        assert!((drawn - by_hand).abs() <= ROUNDING, "{name}: drawn {drawn}, by hand {by_hand}");
    }

    #[test]
    fn straight_grooves_have_the_area_computed_by_hand() {
        let tan = 30_f64.to_radians().tan();
        let gap = OPENING * T;
        let cases = [
            ("square", of([T; 2], [0.0; 2], [0.0; 2], [0.0; 2]), gap),
            // Two triangles 18 high.
            ("single V", of([LAND; 2], [30.0; 2], [0.0; 2], [0.0; 2]), gap + 18.0 * 18.0 * tan),
            ("single bevel", of([T, LAND], [0.0, 30.0], [0.0; 2], [0.0; 2]), gap + 18.0 * 18.0 * tan / 2.0),
            // Two triangles 12 high from the near side, two 6 high from the far one.
            ("double V", of([LAND; 2], [30.0; 2], [0.0; 2], [6.0; 2]), gap + (144.0 + 36.0) * tan),
            (
                "double bevel",
                of([T, LAND], [0.0, 30.0], [0.0; 2], [0.0, 6.0]),
                gap + (144.0 + 36.0) * tan / 2.0,
            ),
        ];
        for (name, fit, by_hand) in cases {
            assert_area(name, &fit, by_hand);
        }
    }

    /// Area at one wall with a radius of 6 and a bevel of 20 degrees, `depth`
    /// deep: the curve's foot, then a strip that widens at the bevel.
    fn wall_area(depth: f64) -> f64 {
        let (r, bevel) = (6.0, 20_f64.to_radians());
        let turned = FRAC_PI_2 - bevel;
        let foot = r * r / 2.0 * (turned - turned.sin() * turned.cos());
        let rest = depth - r * (1.0 - bevel.sin());
        foot + rest * (r * bevel.cos() + rest * bevel.tan() / 2.0)
    }

    /// What the straight pieces of one curve of radius 6 cut off the circle: a
    /// segment each.
    fn cut_off(bevel_deg: f64) -> f64 {
        let piece = (FRAC_PI_2 - bevel_deg.to_radians()) / f64::from(ARC_PIECES);
        f64::from(ARC_PIECES) * 6.0 * 6.0 / 2.0 * (piece - piece.sin())
    }

    #[test]
    fn curved_grooves_have_the_area_computed_by_hand() {
        let gap = OPENING * T;
        let (both, one) = ([6.0; 2], [0.0, 6.0]);
        let cases = [
            ("single U", of([LAND; 2], [20.0; 2], both, [0.0; 2]), 2.0 * wall_area(18.0), 2.0),
            ("single J", of([T, LAND], [0.0, 20.0], one, [0.0; 2]), wall_area(18.0), 1.0),
            (
                "double U",
                of([LAND; 2], [20.0; 2], both, [8.0; 2]),
                2.0 * (wall_area(10.0) + wall_area(8.0)),
                4.0,
            ),
            ("double J", of([T, LAND], [0.0, 20.0], one, [0.0, 8.0]), wall_area(10.0) + wall_area(8.0), 2.0),
        ];
        for (name, fit, by_hand, curves) in cases {
            assert_area(name, &fit, gap + by_hand - curves * cut_off(20.0));
        }
        // With no bevel the foot is a quarter of a circle.
        let upright = of([LAND; 2], [0.0; 2], both, [0.0; 2]);
        let by_hand = gap + 2.0 * (18.0 * 6.0 - (36.0 - 36.0 * FRAC_PI_2 / 2.0));
        assert_area("U with upright walls", &upright, by_hand - 2.0 * cut_off(0.0));
    }

    #[test]
    fn a_curved_wall_goes_over_into_its_bevel_without_a_corner() {
        let fit = of([LAND; 2], [30.0; 2], [6.0; 2], [0.0; 2]);
        let edge = fit.edge(1);
        let [a, b] = [edge[edge.len() - 2], edge[edge.len() - 1]];
        let wall = (b[0] - a[0]).atan2(b[1] - a[1]);
        assert!((wall - FRAC_PI_6).abs() < ROUNDING);
        let [out, up] = fit.tangent_mm(1);
        assert!((a[0] - OPENING / 2.0 - out).abs() < ROUNDING && (a[1] - LAND - up).abs() < ROUNDING);
    }

    #[test]
    fn what_is_more_than_the_metal_is_not_drawn() {
        let fits = [
            of([LAND; 2], [0.0; 2], [18.0; 2], [0.0; 2]),
            of([LAND; 2], [0.0; 2], [9.0; 2], [9.0; 2]),
            of([LAND; 2], [30.0; 2], [0.0; 2], [18.0; 2]),
        ];
        assert!(fits.iter().all(Fit::is_drawable));
        let over = [
            of([LAND; 2], [0.0; 2], [18.1; 2], [0.0; 2]),
            of([LAND; 2], [0.0; 2], [9.0; 2], [8.9; 2]),
            of([LAND; 2], [30.0; 2], [0.0; 2], [18.1; 2]),
            of([LAND; 2], [30.0; 2], [-1.0; 2], [0.0; 2]),
            of([LAND; 2], [30.0; 2], [f64::NAN; 2], [0.0; 2]),
        ];
        assert!(over.iter().all(|fit| !fit.is_drawable()));
    }
}
