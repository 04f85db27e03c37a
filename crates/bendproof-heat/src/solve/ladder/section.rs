//! Geometry to grid, with shapes made at random: rings that are slivers, lines,
//! knife edges, partly or wholly outside, run either way.

use proptest::prelude::*;

use crate::solve::axis::Axis;
use crate::solve::region::{Point, Ring, SLIVER, cut};
use crate::solve::state::State;

/// Rounding of coordinates near 10 mm, of an area or a length of a cell; faces
/// are looked at a nanometre next to where they are.
const ROUNDING: f64 = 1e-5;

/// The section of the grids below, m.
const WIDE_M: f64 = 12e-3;
const DEEP_M: f64 = 9e-3;

fn axes() -> impl Strategy<Value = (Axis, Axis)> {
    (0.4e-3..1.7e-3_f64, 0.4e-3..1.7e-3_f64, 1.0..1.5_f64).prop_filter_map("axes", |(h, k, growth)| {
        let y = Axis::graded((0.0, WIDE_M), (3e-3, 8e-3), h, growth, 3e-3).ok()?;
        Some((y, Axis::even(0.0, DEEP_M, k).ok()?))
    })
}

/// A ring around a middle, its corners at ascending angles: simple whatever the
/// radii are, zero among them.
fn star(middle: Point, radii_m: &[f64], is_reversed: bool) -> Ring {
    let corner = |(n, r): (usize, &f64)| {
        let angle = std::f64::consts::TAU * n as f64 / radii_m.len() as f64;
        [middle[0] + r * angle.cos(), middle[1] + r * angle.sin()]
    };
    let mut ring: Ring = radii_m.iter().enumerate().map(corner).collect();
    if is_reversed {
        ring.reverse();
    }
    ring
}

/// Rings wholly inside the grid.
fn inside() -> impl Strategy<Value = Ring> {
    let radii = prop::collection::vec(prop_oneof![4 => 1e-5..3.9e-3_f64, 1 => Just(0.0)], 3..12);
    (4e-3..8e-3_f64, 4e-3..5e-3_f64, radii, any::<bool>())
        .prop_map(|(y, z, radii, reversed)| star([y, z], &radii, reversed))
}

/// Any ring at all: crossing itself, on a line, one point, half outside, far away.
fn anything() -> impl Strategy<Value = Ring> {
    let coordinate = prop_oneof![
        6 => -20e-3..30e-3_f64,
        // Exactly on edges of cells and of the grid.
        2 => (0..13_i32).prop_map(|n| f64::from(n) * 1e-3),
        1 => Just(WIDE_M),
        1 => prop_oneof![Just(1e3), Just(-1e3)],
    ];
    let corner = (coordinate.clone(), coordinate).prop_map(|(y, z)| [y, z]);
    prop::collection::vec(corner, 0..9)
}

fn area_m2(ring: &[Point]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    0.5 * ring.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>().abs()
}

fn cell_area_m2(y: &Axis, z: &Axis, cell: usize) -> f64 {
    y.width_m(cell % y.cells()) * z.width_m(cell / y.cells())
}

/// What must hold of every state, whatever the rings.
fn sound(state: &State, y: &Axis, z: &Axis) -> Result<(), TestCaseError> {
    let (ny, cells) = (y.cells(), y.cells() * z.cells());
    for (cell, share) in state.fraction.iter().enumerate() {
        prop_assert!(*share == 0.0 || (SLIVER..=1.0).contains(share), "share {share}");
        let area = share * cell_area_m2(y, z, cell);
        prop_assert!(state.per_area[cell].is_finite());
        prop_assert!((state.per_area[cell] * area - f64::from(u8::from(*share > 0.0))).abs() < 1e-9);
        let (right, below) = (state.over_y[ny + cell], state.over_z[ny + cell]);
        let is_last = (cell % ny + 1 == ny, cell / ny + 1 == z.cells());
        prop_assert!(right >= 0.0 && right.is_finite() && below >= 0.0 && below.is_finite());
        let metal = |other: usize| *share > 0.0 && state.fraction[other] > 0.0;
        prop_assert!(right == 0.0 || (!is_last.0 && metal(cell + 1)), "heat leaves the metal sideways");
        prop_assert!(below == 0.0 || (!is_last.1 && metal(cell + ny)), "heat leaves the metal downward");
        // A face conducts at most as if it were all metal.
        let most = |side_m: f64, axis: &Axis, i: usize| side_m / (axis.centre_m(i + 1) - axis.centre_m(i));
        if !is_last.0 {
            prop_assert!(right <= most(z.width_m(cell / ny), y, cell % ny) * (1.0 + 1e-12));
        }
        if !is_last.1 {
            prop_assert!(below <= most(y.width_m(cell % ny), z, cell / ny) * (1.0 + 1e-12));
        }
    }
    prop_assert!(state.over_y[..ny].iter().chain(&state.over_y[ny + cells..]).all(|o| *o == 0.0));
    prop_assert!(state.over_z[..ny].iter().chain(&state.over_z[ny + cells..]).all(|o| *o == 0.0));
    for free in &state.exposed {
        prop_assert!(free.length_m > 0.0 && free.length_m.is_finite(), "{free:?}");
        prop_assert!(state.fraction[free.cell] > 0.0, "air is exposed: {free:?}");
        // Four sides and a wall across: no cell has more to show.
        let most = 6.0 * (y.width_m(free.cell % ny) + z.width_m(free.cell / ny));
        prop_assert!(free.length_m < most, "{free:?}");
    }
    prop_assert!(state.stiffness >= 0.0 && state.stiffness.is_finite());
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn the_area_is_kept_but_for_slivers((y, z) in axes(), ring in inside()) {
        let state = State::new(std::slice::from_ref(&ring), &y, &z, false);
        sound(&state, &y, &z)?;
        let got: f64 = state.fraction.iter().enumerate().map(|(c, f)| f * cell_area_m2(&y, &z, c)).sum();
        let exact = area_m2(&ring);
        // Only cells on the outline can be slivers; each loses less than its share.
        let on_outline = |cell: usize| {
            let (i, k) = (cell % y.cells(), cell / y.cells());
            let box_ = [y.edges_m()[i], y.edges_m()[i + 1], z.edges_m()[k], z.edges_m()[k + 1]];
            ring.iter().zip(ring.iter().cycle().skip(1)).any(|(a, b)| touches(*a, *b, box_))
        };
        let slivers: f64 = (0..state.fraction.len())
            .filter(|c| state.fraction[*c] == 0.0 && on_outline(*c))
            .map(|c| SLIVER * cell_area_m2(&y, &z, c))
            .sum();
        let rounding = ROUNDING * WIDE_M * DEEP_M * 1e-3;
        prop_assert!(got <= exact + rounding, "{got} of {exact}");
        prop_assert!(got >= exact - slivers - rounding, "{got} of {exact}, slivers {slivers}");
    }

    #[test]
    fn faces_are_no_longer_than_their_cells((y, z) in axes(), rings in prop::collection::vec(anything(), 0..3)) {
        let cut = cut(&rings, &y, &z);
        for cell in 0..cut.fraction.len() {
            let (wide, deep) = (y.width_m(cell % y.cells()), z.width_m(cell / y.cells()));
            for (length, side) in [
                (cut.low_y_m[cell], deep), (cut.high_y_m[cell], deep),
                (cut.low_z_m[cell], wide), (cut.high_z_m[cell], wide),
            ] {
                prop_assert!((0.0..=side).contains(&length), "{length} of {side}");
            }
        }
    }

    #[test]
    fn any_rings_make_a_sound_section(
        (y, z) in axes(), rings in prop::collection::vec(anything(), 0..4), mirror in any::<bool>(),
    ) {
        sound(&State::new(&rings, &y, &z, mirror), &y, &z)?;
    }

    #[test]
    fn a_ring_outside_the_grid_is_not_there((y, z) in axes(), ring in inside(), side in 0..4_usize) {
        let away = [[20e-3, 0.0], [-20e-3, 0.0], [0.0, 20e-3], [0.0, -20e-3]][side];
        let moved: Ring = ring.iter().map(|p| [p[0] + away[0], p[1] + away[1]]).collect();
        let state = State::new(&[moved], &y, &z, false);
        prop_assert!(state.fraction.iter().all(|f| *f == 0.0) && state.exposed.is_empty());
    }

    #[test]
    fn a_ring_run_either_way_is_the_same((y, z) in axes(), ring in inside()) {
        let turned: Ring = ring.iter().rev().copied().collect();
        let (a, b) = (State::new(&[ring], &y, &z, false), State::new(&[turned], &y, &z, false));
        for (a, b) in a.over_y.iter().chain(&a.over_z).zip(b.over_y.iter().chain(&b.over_z)) {
            prop_assert!((a - b).abs() < ROUNDING, "{a} {b}");
        }
    }

    #[test]
    fn a_knife_edge_is_sound((y, z) in axes(), at in 2e-3..10e-3_f64, thin in 0.0..1e-6_f64) {
        let edge = vec![[at, 1e-3], [at + thin, 1e-3], [at + 0.3e-3 + thin, 8e-3], [at + 0.3e-3, 8e-3]];
        let state = State::new(&[edge], &y, &z, false);
        sound(&state, &y, &z)?;
    }
}

/// Whether a straight line meets a box, by clipping it at the four sides.
fn touches(a: Point, b: Point, [left, right, top, bottom]: [f64; 4]) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for (start, end, low, high) in [(a[0], b[0], left, right), (a[1], b[1], top, bottom)] {
        let step = end - start;
        if step == 0.0 {
            if start < low || start > high {
                return false;
            }
            continue;
        }
        let (p, q) = ((low - start) / step, (high - start) / step);
        from = from.max(p.min(q));
        to = to.min(p.max(q));
    }
    from <= to
}
