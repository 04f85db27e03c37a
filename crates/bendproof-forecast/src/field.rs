//! How clear the root is over a map: drawn where that bends, taken between drawn
//! cells where it runs straight.
//!
//! The draws are the same thousand in every cell, so what follows from them moves
//! smoothly from cell to cell, and most cells lie on a plane between their
//! neighbors to far less than the draws themselves know.

use std::sync::OnceLock;

use rayon::prelude::*;

use crate::chance::Clear;

/// Cells along one side of the largest block looked at (choice).
const BLOCK: usize = 16;
/// The middles of a block may lie this far off the plane through its corners, or by
/// this share of a clearance above 1. Choice: half of a clearance's standard error,
/// 0.06, from the number of draws; below 0.02 the draws that decide change from cell
/// to cell, and nothing is straight.
const STRAIGHT: f64 = 0.03;
/// What a cell on the plane may then be off: 0.073 at most in the maps of
/// `a_cell_taken_between_drawn_ones_says_what_it_would_say_drawn`, and some more.
pub(crate) const SURE: f64 = 0.08;

/// What a cell says of its root.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Settled {
    /// Drawn there.
    Drawn(Clear),
    /// Taken between drawn cells.
    Between(Clear),
    /// Not known, or not a joint.
    NotKnown,
}

/// Asks every cell of a map, column and row; rows one after the other.
pub(crate) fn field(size: [usize; 2], ask: impl Fn([usize; 2]) -> Option<Clear> + Sync) -> Vec<Settled> {
    let cells = size[0] * size[1];
    let field = Field { size, ask, drawn: (0..cells).map(|_| OnceLock::new()).collect() };
    let starts = |side: usize| (0..size[side].max(2) - 1).step_by(BLOCK);
    let blocks: Vec<Block> = starts(1)
        .flat_map(|y| starts(0).map(move |x| [x, y]))
        .map(|low| Block { low, high: [0, 1].map(|side| (low[side] + BLOCK).min(size[side] - 1)) })
        .collect();
    let settled: Vec<Vec<(usize, Settled)>> =
        blocks.into_par_iter().map(|block| field.settled(block)).collect();
    let mut out = vec![Settled::NotKnown; cells];
    for (cell, settled) in settled.into_iter().flatten() {
        out[cell] = settled;
    }
    out
}

struct Field<A> {
    size: [usize; 2],
    ask: A,
    /// Cells drawn so far, for the blocks that share them.
    drawn: Vec<OnceLock<Option<Clear>>>,
}

/// The cells from one corner to the other. Those on the high sides belong to the
/// next block, where there is one: whose cell is whose hangs on no thread.
#[derive(Debug, Clone, Copy)]
struct Block {
    low: [usize; 2],
    high: [usize; 2],
}

impl Block {
    fn middle(&self) -> [usize; 2] {
        [0, 1].map(|side| (self.low[side] + self.high[side]) / 2)
    }

    /// Its two or four parts; none where it cannot be parted.
    fn parts(&self) -> Vec<Block> {
        let middle = self.middle();
        let sides = [0, 1].map(|side| {
            let (low, middle, high) = (self.low[side], middle[side], self.high[side]);
            if middle > low { vec![(low, middle), (middle, high)] } else { vec![(low, high)] }
        });
        if sides.iter().all(|side| side.len() == 1) {
            return Vec::new();
        }
        let part = |x: (usize, usize), y: (usize, usize)| Block { low: [x.0, y.0], high: [x.1, y.1] };
        sides[1].iter().flat_map(|y| sides[0].iter().map(|x| part(*x, *y))).collect()
    }
}

impl<A: Fn([usize; 2]) -> Option<Clear> + Sync> Field<A> {
    fn drawn(&self, at: [usize; 2]) -> Option<Clear> {
        *self.drawn[self.cell(at)].get_or_init(|| (self.ask)(at))
    }

    fn cell(&self, [x, y]: [usize; 2]) -> usize {
        y * self.size[0] + x
    }

    /// The cells of a block that are its own.
    fn owned(&self, block: Block) -> impl Iterator<Item = [usize; 2]> {
        let end = |side: usize| block.high[side] + usize::from(block.high[side] + 1 == self.size[side]);
        let (columns, rows) = (block.low[0]..end(0), block.low[1]..end(1));
        rows.flat_map(move |y| columns.clone().map(move |x| [x, y]))
    }

    fn settled(&self, block: Block) -> Vec<(usize, Settled)> {
        if let Some(plane) = self.plane(block) {
            return self.owned(block).map(|at| (self.cell(at), Settled::Between(plane.at(at)))).collect();
        }
        let parts = block.parts();
        if parts.is_empty() {
            let value = |at| self.drawn(at).map_or(Settled::NotKnown, Settled::Drawn);
            return self.owned(block).map(|at| (self.cell(at), value(at))).collect();
        }
        parts.into_iter().flat_map(|part| self.settled(part)).collect()
    }

    /// The plane over a block, where its middle and the middles of two sides lie on
    /// it: what bends along either side, or across, does not.
    fn plane(&self, block: Block) -> Option<Plane> {
        let Block { low, high } = block;
        let middle = block.middle();
        if middle == low {
            return None;
        }
        let corner = |x, y| self.drawn([x, y]);
        let plane = Plane {
            block,
            corners: [
                [corner(low[0], low[1])?, corner(high[0], low[1])?],
                [corner(low[0], high[1])?, corner(high[0], high[1])?],
            ],
        };
        for at in [middle, [low[0], middle[1]], [middle[0], low[1]]] {
            if !is_straight(&plane.at(at), &self.drawn(at)?) {
                return None;
            }
        }
        Some(plane)
    }
}

/// Corners of a block, the lower two first.
struct Plane {
    block: Block,
    corners: [[Clear; 2]; 2],
}

impl Plane {
    fn at(&self, at: [usize; 2]) -> Clear {
        let share = |side: usize| {
            let (low, high) = (self.block.low[side], self.block.high[side]);
            (at[side] - low) as f64 / (high - low).max(1) as f64
        };
        let [low, high] = self.corners.map(|[left, right]| between(&left, &right, share(0)));
        between(&low, &high, share(1))
    }
}

/// Part of the way from one to the other.
fn between(from: &Clear, to: &Clear, share: f64) -> Clear {
    let of = |a: f64, b: f64| a + share * (b - a);
    Clear {
        along: of(from.along, to.along),
        whole: of(from.whole, to.whole),
        each: std::array::from_fn(|i| of(from.each[i], to.each[i])),
    }
}

fn is_straight(between: &Clear, drawn: &Clear) -> bool {
    let is_near = |a: f64, b: f64| (a - b).abs() <= STRAIGHT * b.abs().max(1.0);
    let each = between.each.into_iter().zip(drawn.each);
    is_near(between.whole, drawn.whole) && each.into_iter().all(|(a, b)| is_near(a, b))
}
