//! Isolines and filled bands of a field on a section, by marching squares with
//! the saddle decided as the bilinear surface has it. It draws nothing.
//!
//! Written here because the living libraries for this take an even raster and a
//! value at every place; a weld's section has neither.

use crate::Point;
use crate::geometry::edges;
use crate::grid::{GridError, Lattice, SectionGrid};

/// One line of equal temperature, mm. The hotter metal lies on its left.
#[derive(Debug, Clone, PartialEq)]
pub struct Isoline {
    /// Its points; a closed line does not repeat the first.
    pub points: Vec<Point>,
    /// Whether it returns to its start; one that does not ends at the metal's edge.
    pub closed: bool,
}

/// The metal between two levels.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Lower level, included; none for the coldest band.
    pub from: Option<f64>,
    /// Upper level, excluded; none for the hottest band.
    pub to: Option<f64>,
    /// Rings in mm; a point belongs to the band when an odd number holds it.
    pub rings: Vec<Vec<Point>>,
}

/// The lines on which a cell-centred field has the value `level`.
///
/// Between centres the field is bilinear; the lines end at the edges of the
/// outermost metal cells.
///
/// # Errors
/// When the values do not fit the grid, see [`SectionGrid::check`].
///
/// # Examples
/// ```
/// use bendproof_drawing::{SectionGrid, isolines};
/// let grid = SectionGrid { x_edges_mm: vec![0.0, 1.0, 2.0], y_edges_mm: vec![0.0, 1.0] };
/// let lines = isolines(&grid, &[0.0, 100.0], 50.0)?;
/// assert_eq!(lines[0].points.first(), Some(&[1.0, 1.0]));
/// # Ok::<(), bendproof_drawing::GridError>(())
/// ```
pub fn isolines(grid: &SectionGrid, values: &[f32], level: f64) -> Result<Vec<Isoline>, GridError> {
    grid.check(values)?;
    Ok(lines(&Lattice::refined(grid, values), level))
}

/// The metal divided at ascending levels: one band more than there are levels,
/// from the coldest to the hottest, empty ones included.
///
/// # Errors
/// When the values do not fit the grid, or when the levels are not finite and
/// strictly ascending.
pub fn bands(grid: &SectionGrid, values: &[f32], levels: &[f64]) -> Result<Vec<Band>, GridError> {
    grid.check(values)?;
    if levels.iter().any(|v| !v.is_finite()) || levels.windows(2).any(|pair| pair[0] >= pair[1]) {
        return Err(GridError::Order);
    }
    let lattice = Lattice::refined(grid, values);
    // What lies above one level lies above every lower one, so the rings of the
    // two levels together are the band under the odd-number rule.
    let mut above: Vec<Vec<Vec<Point>>> = vec![rings(&lattice, f64::NEG_INFINITY)];
    above.extend(levels.iter().map(|level| rings(&lattice, *level)));
    above.push(Vec::new());
    let band = |k: usize| Band {
        from: k.checked_sub(1).map(|below| levels[below]),
        to: levels.get(k).copied(),
        rings: above[k].iter().chain(&above[k + 1]).cloned().collect(),
    };
    Ok((0..=levels.len()).map(band).collect())
}

/// Area of the metal at or above `level`, mm².
///
/// # Errors
/// When the values do not fit the grid, see [`SectionGrid::check`].
pub fn isoline_area(grid: &SectionGrid, values: &[f32], level: f64) -> Result<f64, GridError> {
    grid.check(values)?;
    let found = rings(&Lattice::refined(grid, values), level);
    Ok(found.iter().map(|ring| area(ring)).sum())
}

/// Area of a ring, positive counter-clockwise.
fn area(ring: &[Point]) -> f64 {
    edges(ring).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>() / 2.0
}

/// The lines of one level on a lattice.
pub(crate) fn lines(lattice: &Lattice, level: f64) -> Vec<Isoline> {
    let mut chords = Vec::new();
    trace(lattice, level, &mut chords, None);
    join(&chords)
}

/// The closed outlines of all metal at or above a level, counter-clockwise;
/// holes clockwise.
pub(crate) fn rings(lattice: &Lattice, level: f64) -> Vec<Vec<Point>> {
    let (mut chords, mut sides) = (Vec::new(), Vec::new());
    trace(lattice, level, &mut chords, Some(&mut sides));
    chords.append(&mut sides);
    join(&chords).into_iter().map(|line| line.points).collect()
}

/// A directed piece of a line: where it starts, and the places it joins. A
/// place is a lattice edge that the level crosses, or a node.
struct Piece {
    from: usize,
    to: usize,
    start: Point,
    end: Point,
}

/// One side of a mesh on the way round it.
#[derive(Clone, Copy)]
struct Side {
    /// Its first node: value, place and position.
    value: f64,
    node: usize,
    at: Point,
    /// The lattice edge it runs along.
    edge: usize,
}

/// Marches through all meshes; `sides` also gets the stretches of the metal's
/// own edge that lie above the level.
fn trace(lattice: &Lattice, level: f64, chords: &mut Vec<Piece>, mut sides: Option<&mut Vec<Piece>>) {
    let (wide, high) = (lattice.x.len(), lattice.y.len());
    let v = &lattice.v;
    let exists = |i: usize, j: usize| lattice.is_mesh(i, j);
    for j in (0..high.saturating_sub(1)).filter(|j| lattice.reaches(*j, level)) {
        let (below, over) = (&v[j * wide..(j + 1) * wide], &v[(j + 1) * wide..(j + 2) * wide]);
        for i in 0..wide.saturating_sub(1) {
            let hot = [below[i] >= level, below[i + 1] >= level, over[i + 1] >= level, over[i] >= level];
            let is_mixed = hot != [hot[0]; 4];
            // Most meshes lie wholly on one side of the level and are left here.
            if !(is_mixed || (hot[0] && sides.is_some())) || !exists(i, j) {
                continue;
            }
            let open = [
                j == 0 || !exists(i, j - 1),
                !exists(i + 1, j),
                !exists(i, j + 1),
                i == 0 || !exists(i - 1, j),
            ];
            if !is_mixed && !open.contains(&true) {
                continue;
            }
            let round = sides_of(lattice, i, j);
            if is_mixed {
                chords_of(&round, level, chords);
            }
            if let Some(sides) = sides.as_deref_mut() {
                for side in (0..4).filter(|side| open[*side]) {
                    sides.extend(stretch(round[side], round[(side + 1) % 4], level));
                }
            }
        }
    }
}

/// The four sides of a mesh, counter-clockwise from its lowest corner.
fn sides_of(lattice: &Lattice, i: usize, j: usize) -> [Side; 4] {
    let wide = lattice.x.len();
    let nodes = wide * lattice.y.len();
    let side = |i: usize, j: usize, edge: usize| Side {
        value: lattice.v[j * wide + i],
        // Nodes are numbered after the edges: even ones across, odd ones upwards.
        node: 2 * nodes + j * wide + i,
        at: [lattice.x[i], lattice.y[j]],
        edge,
    };
    let (across, up) = (|i: usize, j: usize| 2 * (j * wide + i), |i: usize, j: usize| 2 * (j * wide + i) + 1);
    [
        side(i, j, across(i, j)),
        side(i + 1, j, up(i + 1, j)),
        side(i + 1, j + 1, across(i, j + 1)),
        side(i, j + 1, up(i, j)),
    ]
}

/// Where the level crosses a side. The two nodes are taken in a fixed order, so
/// that both neighbours get the same bits.
fn crossing(a: Side, b: Side, level: f64) -> Point {
    let (a, b) = if a.node < b.node { (a, b) } else { (b, a) };
    let share = (level - a.value) / (b.value - a.value);
    [0, 1].map(|axis| a.at[axis] + (b.at[axis] - a.at[axis]) * share)
}

/// The chords of one mesh: each runs from where the way round leaves the hot
/// metal to where it enters it again.
fn chords_of(round: &[Side; 4], level: f64, chords: &mut Vec<Piece>) {
    let above = round.map(|s| s.value >= level);
    let leaves = |side: usize| above[side] && !above[(side + 1) % 4];
    let enters = |side: usize| !above[side] && above[(side + 1) % 4];
    let saddle = above[0] == above[2] && above[1] == above[3];
    // At a saddle the bilinear surface decides: above the level at its saddle
    // point the hot corners are joined and each chord cuts off a cold corner.
    let [a, b, c, d] = round.map(|s| s.value);
    let joined = !saddle || (a * c - b * d) / (a + c - b - d) >= level;
    for from in (0..4).filter(|side| leaves(*side)) {
        let next = match joined {
            true => (1..4).map(|step| (from + step) % 4).find(|side| enters(*side)),
            false => (1..4).map(|step| (from + 4 - step) % 4).find(|side| enters(*side)),
        };
        let Some(to) = next else { continue };
        chords.push(Piece {
            from: round[from].edge,
            to: round[to].edge,
            start: crossing(round[from], round[(from + 1) % 4], level),
            end: crossing(round[to], round[(to + 1) % 4], level),
        });
    }
}

/// The part of an open side that lies above the level.
fn stretch(a: Side, b: Side, level: f64) -> Option<Piece> {
    let (from, start) = match a.value >= level {
        true => (a.node, a.at),
        false => (a.edge, crossing(a, b, level)),
    };
    let (to, end) = match b.value >= level {
        true => (b.node, b.at),
        false => (a.edge, crossing(a, b, level)),
    };
    (from != to).then_some(Piece { from, to, start, end })
}

/// Joins pieces head to tail: first the open lines, then the closed ones, each
/// in the order of the pieces.
fn join(pieces: &[Piece]) -> Vec<Isoline> {
    let mut starts: Vec<(usize, usize)> = pieces.iter().enumerate().map(|(k, p)| (p.from, k)).collect();
    starts.sort_unstable();
    let mut ends: Vec<usize> = pieces.iter().map(|p| p.to).collect();
    ends.sort_unstable();
    let mut used = vec![false; pieces.len()];
    let is_open = |p: &Piece| ends.binary_search(&p.from).is_err();
    let open = (0..pieces.len()).filter(|k| is_open(&pieces[*k]));
    let order: Vec<usize> = open.chain(0..pieces.len()).collect();
    let mut found = Vec::new();
    for first in order {
        if !used[first] {
            found.push(follow(pieces, &starts, &mut used, first));
        }
    }
    found.retain(|line: &Isoline| line.points.len() > 1);
    found
}

fn follow(pieces: &[Piece], starts: &[(usize, usize)], used: &mut [bool], first: usize) -> Isoline {
    let mut points = vec![pieces[first].start];
    let mut here = first;
    loop {
        used[here] = true;
        let (place, end) = (pieces[here].to, pieces[here].end);
        if place == pieces[first].from {
            return Isoline { points, closed: true };
        }
        // Two pieces of one line may meet in a node the level passes through.
        if points.last() != Some(&end) {
            points.push(end);
        }
        let after = starts.partition_point(|(from, _)| *from < place);
        let next = starts[after..].iter().take_while(|(from, _)| *from == place).find(|(_, k)| !used[*k]);
        match next {
            Some((_, k)) => here = *k,
            None => return Isoline { points, closed: false },
        }
    }
}
