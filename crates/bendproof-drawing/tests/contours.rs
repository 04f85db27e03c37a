//! Isolines against shapes whose area and length are known: circles at observed
//! order, saddles, holes, edges of the metal, fields with nothing in them.

use bendproof_drawing::{GridError, Point, SectionGrid, bands, isoline_area, isolines};

/// Bilinear interpolation is of second order; the slack is what a graded grid and
/// the few cells of the coarsest one cost.
const ORDER: std::ops::Range<f64> = 1.8..2.3;
/// Room for rounding in sums of some thousand terms of order one, and for values
/// kept in single precision.
const ROUNDING: f64 = 1e-5;

/// Cells that grow by half from one end to the other.
fn graded(from: f64, to: f64, cells: usize) -> Vec<f64> {
    let place = |k: usize| {
        let s = k as f64 / cells as f64;
        from + (to - from) * (0.8 * s + 0.2 * s * s)
    };
    (0..=cells).map(place).collect()
}

fn grid(cells: usize) -> SectionGrid {
    SectionGrid { x_edges_mm: graded(-2.0, 2.0, cells), y_edges_mm: graded(-1.8, 2.2, cells) }
}

fn sampled(grid: &SectionGrid, value: impl Fn(Point) -> f64) -> Vec<f32> {
    let cells = (0..grid.rows()).flat_map(|row| (0..grid.columns()).map(move |column| (column, row)));
    cells.map(|(column, row)| value(grid.centre(column, row)) as f32).collect()
}

fn length(points: &[Point], closed: bool) -> f64 {
    let next = points.iter().cycle().skip(1).take(points.len() - usize::from(!closed));
    points.iter().zip(next).map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1])).sum()
}

fn odd(rings: &[Vec<Point>], p: Point) -> bool {
    let edges = rings.iter().flat_map(|r| r.iter().zip(r.iter().cycle().skip(1)));
    let crossed = edges.filter(|(a, b)| (a[1] <= p[1]) != (b[1] <= p[1]));
    crossed.filter(|(a, b)| a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) > p[0]).count() % 2 == 1
}

#[test]
fn area_and_length_of_a_circle_converge_at_second_order() {
    let (radius, pi) = (1.25_f64, std::f64::consts::PI);
    let errors = |cells: usize| {
        let grid = grid(cells);
        let values = sampled(&grid, |[x, y]| 1500.0 - 400.0 * (x * x + y * y));
        let level = 1500.0 - 400.0 * radius * radius;
        let lines = isolines(&grid, &values, level).unwrap();
        assert!(lines.len() == 1 && lines[0].closed);
        let area = isoline_area(&grid, &values, level).unwrap();
        let round = length(&lines[0].points, true);
        [(area - pi * radius * radius).abs(), (round - 2.0 * pi * radius).abs()]
    };
    let table: Vec<[f64; 2]> = [16, 32, 64, 128].into_iter().map(errors).collect();
    for pair in table.windows(2) {
        for (what, (coarse, fine)) in ["area", "length"].iter().zip(pair[0].iter().zip(pair[1])) {
            let order = (coarse / fine).log2();
            assert!(ORDER.contains(&order), "{what}: order {order}, {table:?}");
        }
    }
}

#[test]
fn a_straight_line_is_exact_on_uneven_cells_and_ends_at_the_metal() {
    let grid = grid(9);
    let values = sampled(&grid, |[x, _]| 100.0 * x);
    let lines = isolines(&grid, &values, 30.0).unwrap();
    assert_eq!(lines.len(), 1);
    let points = &lines[0].points;
    assert!(!lines[0].closed);
    assert!(points.iter().all(|p| (p[0] - 0.3).abs() < ROUNDING), "{points:?}");
    // The hot side, at larger x, lies on the left of a line that runs down.
    let (first, last) = (points[0][1], points[points.len() - 1][1]);
    assert!((first - 2.2).abs() < ROUNDING && (last + 1.8).abs() < ROUNDING, "{first} {last}");
}

#[test]
fn a_saddle_joins_the_corners_its_middle_belongs_to() {
    let grid = SectionGrid { x_edges_mm: vec![0.0, 1.0, 2.0], y_edges_mm: vec![0.0, 1.0, 2.0] };
    let values = [1.0, 0.0, 0.0, 1.0];
    for (level, pieces) in [(0.4, 1), (0.6, 2)] {
        let above = &bands(&grid, &values, &[level]).unwrap()[1];
        assert_eq!(above.rings.len(), pieces, "{level}");
        assert_eq!(odd(&above.rings, [1.01, 1.0]), pieces == 1);
        // Turning the field over turns hot into cold.
        let turned = [0.0, 1.0, 1.0, 0.0];
        let other = isoline_area(&grid, &turned, 1.0 - level).unwrap();
        let own = isoline_area(&grid, &values, level).unwrap();
        assert!((own + other - 4.0).abs() < ROUNDING, "{own} {other}");
    }
}

#[test]
fn a_hole_is_subtracted_and_bands_fill_the_metal_without_overlap() {
    let grid = grid(40);
    // Hot on a ring around the middle; metal missing in one corner.
    let values = sampled(&grid, |[x, y]| match x > 1.0 && y > 1.2 {
        true => f64::NAN,
        false => 1000.0 - 900.0 * (x.hypot(y) - 0.9).abs(),
    });
    let levels = [200.0, 500.0, 800.0];
    let all = bands(&grid, &values, &levels).unwrap();
    assert_eq!(all.iter().map(|b| (b.from, b.to)).collect::<Vec<_>>()[0], (None, Some(200.0)));
    assert_eq!(all.len(), 4);
    assert!(!odd(&all[3].rings, [0.0, 0.0]) && odd(&all[3].rings, [0.9, 0.0]));
    for k in 0..400 {
        let p = [-1.99 + 3.98 * f64::from(k % 20) / 19.0, -1.79 + 3.98 * f64::from(k / 20) / 19.0];
        let cell = |edges: &[f64], at: f64| edges.partition_point(|e| *e <= at) - 1;
        let (column, row) = (cell(&grid.x_edges_mm, p[0]), cell(&grid.y_edges_mm, p[1]));
        let is_metal = !values[row * grid.columns() + column].is_nan();
        let holders = all.iter().filter(|band| odd(&band.rings, p)).count();
        assert_eq!(holders, usize::from(is_metal), "{p:?}");
    }
    let metal = isoline_area(&grid, &values, f64::MIN).unwrap();
    let cells: f64 = (0..values.len())
        .filter(|k| !values[*k].is_nan())
        .map(|k| {
            let (c, r) = (k % grid.columns(), k / grid.columns());
            (grid.x_edges_mm[c + 1] - grid.x_edges_mm[c]) * (grid.y_edges_mm[r + 1] - grid.y_edges_mm[r])
        })
        .sum();
    assert!((metal - cells).abs() < ROUNDING, "{metal} {cells}");
}

#[test]
fn lines_end_at_the_edge_of_missing_metal() {
    let grid = SectionGrid { x_edges_mm: vec![0.0, 1.0, 2.0, 3.0], y_edges_mm: vec![0.0, 1.0, 2.0, 3.0] };
    let mut values = sampled(&grid, |[_, y]| y);
    values[4] = f32::NAN;
    let lines = isolines(&grid, &values, 1.5).unwrap();
    let ends: Vec<Point> = lines.iter().flat_map(|l| [l.points[0], l.points[l.points.len() - 1]]).collect();
    assert_eq!(ends.len(), 4, "{lines:?}");
    for [x, _] in ends {
        assert!([0.0, 1.0, 2.0, 3.0].contains(&x), "{x}");
    }
}

#[test]
fn fields_with_nothing_to_trace_give_nothing() {
    let grid = grid(5);
    for value in [f32::NAN, 300.0] {
        let values = vec![value; 25];
        assert!(isolines(&grid, &values, 500.0).unwrap().is_empty());
        assert!(isoline_area(&grid, &values, 500.0).unwrap().abs() < ROUNDING);
    }
    // A field equal to the level lies above it, whole, without a line.
    let flat = vec![500.0; 25];
    assert!(isolines(&grid, &flat, 500.0).unwrap().is_empty());
    assert!((isoline_area(&grid, &flat, 500.0).unwrap() - 16.0).abs() < ROUNDING);
}

#[test]
fn a_field_that_does_not_fit_its_grid_is_refused_by_name() {
    let grid = grid(5);
    assert_eq!(isolines(&grid, &[1.0], 0.0), Err(GridError::Count { expected: 25, found: 1 }));
    assert_eq!(bands(&grid, &[1.0; 25], &[2.0, 1.0]), Err(GridError::Order));
    let infinite = [f32::INFINITY; 25];
    assert_eq!(isoline_area(&grid, &infinite, 0.0), Err(GridError::Infinite));
}

#[test]
fn the_same_field_gives_the_same_lines() {
    let grid = grid(30);
    let values = sampled(&grid, |[x, y]| 500.0 + 400.0 * (3.0 * x).sin() * (2.0 * y).cos());
    let first = isolines(&grid, &values, 600.0).unwrap();
    assert!(first.len() > 3);
    assert_eq!(first, isolines(&grid, &values, 600.0).unwrap());
}
