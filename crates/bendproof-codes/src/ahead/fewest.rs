//! The fewest coupons that together cover a list of joints: exact, the same
//! answer every time.
//!
//! Knows no weld. A candidate is a set of joints (bits), a number of coupons,
//! in how much it is unlike the joints, and the metal it takes.

use std::collections::BTreeSet;

/// One candidate, or several tests counted as one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Piece {
    /// Joints it covers, one bit each.
    pub joints: u64,
    /// Coupons it takes, at least one.
    pub coupons: usize,
    /// In how many ways it is unlike every joint.
    pub unlike: usize,
    /// Metal it takes.
    pub metal: f64,
}

/// Sets of candidates that cover everything wanted.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Covers {
    /// Indices of the candidates of each set, ascending; best set first.
    pub sets: Vec<Vec<usize>>,
    /// The search ended by itself, so that no smaller set exists.
    pub complete: bool,
}

/// Most places of the search tree looked at. Basis: choice; some tenths of a
/// second, and a hundred times what a shop's list needs.
const PLACES_MAX: usize = 400_000;

/// All sets of the least number of coupons, those most like the joints first and
/// of these the least metal, at most `most` of them, and after them the sets of
/// one coupon more that take less metal.
///
/// No set has a member it could do without. Of candidates that cover the same
/// joints only the best is used.
pub(crate) fn fewest(pieces: &[Piece], wanted: u64, most: usize) -> Covers {
    let classes = classes(pieces, wanted);
    let reach = classes.iter().fold(0, |all, (_, p)| all | p.joints);
    if wanted & !reach != 0 || wanted == 0 {
        return Covers { sets: Vec::new(), complete: true };
    }
    let mut search = Search { classes, places: 0, found: BTreeSet::new(), chosen: Vec::new() };
    let mut sets: Vec<Vec<usize>> = Vec::new();
    let mut coupons = 0;
    while sets.is_empty() && coupons < wanted.count_ones() as usize * search.dearest() {
        coupons += 1;
        sets = search.level(wanted, coupons);
        if search.is_spent() {
            return Covers { sets: best(sets, pieces, most), complete: false };
        }
    }
    let mut sets = best(sets, pieces, most);
    let least = sets.first().map_or(0.0, |set| metal(set, pieces));
    let more = search.level(wanted, coupons + 1);
    let thrifty: Vec<Vec<usize>> = more.into_iter().filter(|set| metal(set, pieces) < least).collect();
    sets.extend(best(thrifty, pieces, most));
    Covers { sets, complete: true }
}

fn metal(set: &[usize], pieces: &[Piece]) -> f64 {
    set.iter().filter_map(|n| pieces.get(*n)).map(|p| p.metal).sum()
}

fn unlike(set: &[usize], pieces: &[Piece]) -> usize {
    set.iter().filter_map(|n| pieces.get(*n)).map(|p| p.unlike).sum()
}

fn best(mut sets: Vec<Vec<usize>>, pieces: &[Piece], most: usize) -> Vec<Vec<usize>> {
    let by_metal = |a: &[usize], b: &[usize]| metal(a, pieces).total_cmp(&metal(b, pieces));
    sets.sort_by(|a, b| {
        unlike(a, pieces).cmp(&unlike(b, pieces)).then_with(|| by_metal(a, b)).then_with(|| a.cmp(b))
    });
    sets.truncate(most);
    sets
}

/// The best candidate of each set of joints, in order of index.
fn classes(pieces: &[Piece], wanted: u64) -> Vec<(usize, Piece)> {
    let mut out: Vec<(usize, Piece)> = Vec::new();
    for (n, piece) in pieces.iter().enumerate() {
        let piece = Piece { joints: piece.joints & wanted, ..*piece };
        if piece.joints == 0 {
            continue;
        }
        let rank = |p: &Piece| (p.coupons, p.unlike, p.metal);
        let is_better = |known: &Piece| rank(&piece) < rank(known);
        match out.iter_mut().find(|(_, known)| known.joints == piece.joints) {
            Some((at, known)) if is_better(known) => (*at, *known) = (n, piece),
            Some(_) => {}
            None => out.push((n, piece)),
        }
    }
    out
}

struct Search {
    classes: Vec<(usize, Piece)>,
    places: usize,
    found: BTreeSet<Vec<usize>>,
    chosen: Vec<(usize, Piece)>,
}

impl Search {
    fn is_spent(&self) -> bool {
        self.places >= PLACES_MAX
    }

    fn dearest(&self) -> usize {
        self.classes.iter().map(|(_, p)| p.coupons).max().unwrap_or(0)
    }

    /// All sets without a spare member that take exactly so many coupons.
    fn level(&mut self, wanted: u64, coupons: usize) -> Vec<Vec<usize>> {
        self.found.clear();
        self.go(wanted, coupons);
        self.found.iter().cloned().collect()
    }

    fn go(&mut self, left: u64, coupons: usize) {
        self.places += 1;
        if left == 0 {
            if coupons == 0 && self.has_no_spare() {
                let mut set: Vec<usize> = self.chosen.iter().map(|(n, _)| *n).collect();
                set.sort_unstable();
                self.found.insert(set);
            }
            return;
        }
        if self.is_spent() || !self.can_reach(left, coupons) {
            return;
        }
        for (n, piece) in self.for_rarest(left) {
            if piece.coupons <= coupons {
                self.chosen.push((n, piece));
                self.go(left & !piece.joints, coupons - piece.coupons);
                self.chosen.pop();
            }
        }
    }

    /// Whether the coupons left could cover what is left at the best rate.
    fn can_reach(&self, left: u64, coupons: usize) -> bool {
        let affordable = self.classes.iter().filter(|(_, p)| p.coupons <= coupons);
        let most = affordable.map(|(_, p)| (p.joints & left).count_ones() as usize).max().unwrap_or(0);
        most * coupons >= left.count_ones() as usize
    }

    /// The candidates for the joint that fewest can cover.
    fn for_rarest(&self, left: u64) -> Vec<(usize, Piece)> {
        let bits = (0..u64::BITS).map(|bit| 1u64 << bit).filter(|bit| left & bit != 0);
        let able = |bit: &u64| self.classes.iter().filter(|(_, p)| p.joints & bit != 0).count();
        let Some(rarest) = bits.min_by_key(able) else { return Vec::new() };
        self.classes.iter().filter(|(_, p)| p.joints & rarest != 0).copied().collect()
    }

    fn has_no_spare(&self) -> bool {
        (0..self.chosen.len()).all(|skip| {
            let others = self.chosen.iter().enumerate().filter(|(n, _)| *n != skip);
            let joints = others.fold(0, |all, (_, (_, p))| all | p.joints);
            self.chosen.get(skip).is_some_and(|(_, p)| p.joints & !joints != 0)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn piece(joints: u64, coupons: usize, metal: f64) -> Piece {
        Piece { joints, coupons, unlike: 0, metal }
    }

    #[test]
    fn one_coupon_beats_two_and_less_metal_is_listed_too() {
        let pieces = [piece(0b01, 1, 1.0), piece(0b10, 1, 1.0), piece(0b11, 1, 5.0), piece(0b11, 1, 6.0)];
        let found = fewest(&pieces, 0b11, 4);
        assert_eq!(found.sets, [vec![2], vec![0, 1]]);
        assert!(found.complete);
    }

    #[test]
    fn of_as_many_coupons_the_likest_comes_before_the_lightest() {
        let unlike = |piece, unlike| Piece { unlike, ..piece };
        let pieces = [unlike(piece(0b1, 1, 1.0), 2), unlike(piece(0b1, 1, 5.0), 0), piece(0b1, 1, 4.0)];
        assert_eq!(fewest(&pieces, 0b1, 4).sets, [vec![2]]);
        // It never costs a coupon more.
        let pieces = [unlike(piece(0b11, 1, 1.0), 2), piece(0b01, 1, 1.0), piece(0b10, 1, 1.0)];
        assert_eq!(fewest(&pieces, 0b11, 4).sets, [vec![0]]);
    }

    #[test]
    fn what_nobody_covers_has_no_set() {
        assert!(fewest(&[piece(0b01, 1, 1.0)], 0b11, 4).sets.is_empty());
        assert!(fewest(&[], 0b1, 4).sets.is_empty());
    }

    #[test]
    fn a_pair_of_tests_counts_as_two_coupons() {
        let pieces = [piece(0b111, 2, 2.0), piece(0b011, 1, 1.0), piece(0b100, 1, 1.5)];
        assert_eq!(fewest(&pieces, 0b111, 4).sets.first(), Some(&vec![0]));
        assert_eq!(fewest(&pieces, 0b111, 4).sets.len(), 2);
    }

    /// Least coupons of any choice, then likest, then lightest, by trying every one.
    fn by_trying_all(pieces: &[Piece], wanted: u64) -> Option<(usize, usize, f64)> {
        let all = (0u32..1 << pieces.len()).filter_map(|choice| {
            let chosen = pieces.iter().enumerate().filter(|(n, _)| choice & (1 << n) != 0);
            let sum = chosen.fold((0, 0, 0, 0.0), |(joints, coupons, unlike, metal), (_, p)| {
                (joints | p.joints, coupons + p.coupons, unlike + p.unlike, metal + p.metal)
            });
            (wanted & !sum.0 == 0).then_some((sum.1, sum.2, sum.3))
        });
        all.min_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)))
    }

    proptest! {
        #[test]
        fn no_smaller_set_exists(
            raw in proptest::collection::vec((0u64..256, 1usize..3, 0usize..3, 1u32..20), 0..11),
            wanted in 1u64..256,
        ) {
            let of = |(joints, coupons, unlike, metal): &(u64, usize, usize, u32)| Piece {
                unlike: *unlike,
                ..piece(*joints, *coupons, f64::from(*metal))
            };
            let pieces: Vec<Piece> = raw.iter().map(of).collect();
            let found = fewest(&pieces, wanted, 5);
            prop_assert!(found.complete);
            let sum = |set: &Vec<usize>| {
                set.iter().fold((0, 0), |(j, c), n| (j | pieces[*n].joints, c + pieces[*n].coupons))
            };
            for set in &found.sets {
                prop_assert_eq!(wanted & !sum(set).0, 0);
            }
            let rank = |set: &Vec<usize>| (sum(set).1, unlike(set, &pieces), metal(set, &pieces));
            let first = found.sets.first().map(rank);
            prop_assert_eq!(first, by_trying_all(&pieces, wanted));
            prop_assert_eq!(fewest(&pieces, wanted, 5), found);
        }
    }
}
