//! The third voice: what this shop's own coupons near this point did.

use std::collections::BTreeMap;

use bendproof_files::{COUPON, Document, What, read_coupon};
use bendproof_measure::Quantity;
use bendproof_weld::{Coupon, Progression};

use crate::context::{AssessmentContext, known};
use crate::judged::{Judged, Overall};
use crate::sheet::Dot;

/// A finished coupon of this shop, reduced to what a rule shows.
#[derive(Debug, Clone, PartialEq)]
pub struct PastPlate {
    /// The coupon's number.
    pub number: String,
    /// Whether it was accepted.
    pub held: bool,
    is_pipe: bool,
    thickness_m: f64,
    root_progression: Progression,
    values_si: BTreeMap<String, f64>,
}

/// Thickness within this share counts as near (choice).
const NEAR_THICKNESS_SHARE: f64 = 0.25;

/// Reduces a finished coupon; `None` while it is not judged.
pub fn past_plate(
    number: &str,
    document: &Document,
    context: impl Into<AssessmentContext>,
) -> Option<PastPlate> {
    let context = context.into();
    let code = context.code_of(document);
    let read = read_coupon(document, known(None));
    let (coupon, _) = read.plan?;
    let held = match Judged::of(document, read.stated.as_ref(), code, context).overall() {
        Overall::Accept => true,
        Overall::Reject | Overall::RejectVisual | Overall::RejectExam(_) => false,
        // A void or unfinished examination says nothing about the settings.
        Overall::Void | Overall::VisualOpen | Overall::BendsOpen | Overall::ExamOpen(_) => return None,
    };
    let (is_pipe, thickness_m, root_progression) = near_key(&coupon)?;
    let values_si = document
        .values()
        .iter()
        .filter_map(|(path, text)| {
            let What::Quantity(bound) = COUPON.spec(path)?.what else { return None };
            Some((path.clone(), Quantity::parse(bound.kind, text).ok()?.si))
        })
        .collect();
    Some(PastPlate { number: number.to_owned(), held, is_pipe, thickness_m, root_progression, values_si })
}

fn near_key(coupon: &Coupon) -> Option<(bool, f64, Progression)> {
    let is_pipe = matches!(coupon.fit.shape, bendproof_weld::Shape::Pipe { .. });
    Some((is_pipe, coupon.fit.joint.thickness_m, coupon.passes.first()?.progression))
}

/// The plates near this coupon: same shape, near thickness, same root direction.
pub(crate) fn near<'a>(coupon: &Coupon, plates: &'a [PastPlate]) -> Vec<&'a PastPlate> {
    let Some((is_pipe, thickness_m, progression)) = near_key(coupon) else { return Vec::new() };
    plates
        .iter()
        .filter(|p| {
            p.number != coupon.id
                && p.is_pipe == is_pipe
                && p.root_progression == progression
                && (p.thickness_m / thickness_m - 1.0).abs() <= NEAR_THICKNESS_SHARE
        })
        .collect()
}

/// Plates drawn one by one on a rule or a map; where there are more, those that
/// lie close together share a dot, so that a drawing does not grow with the shop.
/// Basis: choice.
const DRAWN_ONE_BY_ONE: usize = 48;
/// Stretches of a rule that have a dot of their own. Basis: choice; a dot is as
/// wide as such a stretch on a phone.
const RULE_BINS: usize = 40;
/// Fields of a map along each side that have a dot of their own. Basis: choice.
const MAP_BINS: usize = 16;

/// Dots of one path, values divided by `si_per_unit`, on a rule between two ends.
pub(crate) fn dots(near: &[&PastPlate], path: &str, si_per_unit: f64, ends: [f64; 2]) -> Vec<Dot> {
    let dot = |p: &&PastPlate| {
        let si = p.values_si.get(path)?;
        Some(Dot { at: si / si_per_unit, held: p.held, coupon: p.number.clone(), plates: 1 })
    };
    let all: Vec<Dot> = near.iter().filter_map(dot).collect();
    if all.len() <= DRAWN_ONE_BY_ONE {
        return all;
    }
    let mut bins: BTreeMap<(usize, bool), Dot> = BTreeMap::new();
    for dot in all {
        let key = (bin(dot.at, ends, RULE_BINS), dot.held);
        match bins.get_mut(&key) {
            Some(kept) => {
                kept.at = shared(kept.at, kept.plates, dot.at);
                kept.plates += 1;
            }
            None => drop(bins.insert(key, dot)),
        }
    }
    bins.into_values().collect()
}

/// The stretch a value lies in; what is beyond an end lies at that end.
fn bin(at: f64, [low, high]: [f64; 2], bins: usize) -> usize {
    let share = (at - low) / (high - low);
    let last = bins - 1;
    // A share that is no number counts as the low end; the cast cuts at both ends.
    ((share * bins as f64) as usize).min(last)
}

/// The place of `plates` together with one more.
fn shared(at: f64, plates: usize, more: f64) -> f64 {
    at + (more - at) / (plates + 1) as f64
}

/// A plate on a map of two settings.
#[derive(Debug, Clone, PartialEq)]
pub struct PlatePoint {
    /// The coupon's number.
    pub number: String,
    /// Where it stands, SI.
    pub at_si: [f64; 2],
    /// Whether it was accepted.
    pub held: bool,
    /// How many plates stand here together; the number is that of one of them.
    pub plates: usize,
}

/// Places of two paths together; plates that lack one of them are left out, and
/// where there are many, those that lie close together share a place.
pub(crate) fn points(near: &[&PastPlate], x: &str, y: &str) -> Vec<PlatePoint> {
    let point = |p: &&PastPlate| {
        let at = |path| p.values_si.get(path).copied();
        Some(PlatePoint { number: p.number.clone(), at_si: [at(x)?, at(y)?], held: p.held, plates: 1 })
    };
    let all: Vec<PlatePoint> = near.iter().filter_map(point).collect();
    if all.len() <= DRAWN_ONE_BY_ONE {
        return all;
    }
    let ends = [0, 1].map(|side| {
        let along = || all.iter().map(|point| point.at_si[side]);
        [along().fold(f64::INFINITY, f64::min), along().fold(f64::NEG_INFINITY, f64::max)]
    });
    let mut bins: BTreeMap<(usize, usize, bool), PlatePoint> = BTreeMap::new();
    for point in all {
        let [at_x, at_y] = [0, 1].map(|side: usize| bin(point.at_si[side], ends[side], MAP_BINS));
        match bins.get_mut(&(at_x, at_y, point.held)) {
            Some(kept) => {
                kept.at_si =
                    [0, 1].map(|side: usize| shared(kept.at_si[side], kept.plates, point.at_si[side]));
                kept.plates += 1;
            }
            None => drop(bins.insert((at_x, at_y, point.held), point)),
        }
    }
    bins.into_values().collect()
}

/// Count, rate and interval in words, and whether dots stand for several plates.
pub(crate) fn note(dots: &[Dot]) -> String {
    let count = |dots: &mut dyn Iterator<Item = &Dot>| dots.map(|dot| dot.plates).sum::<usize>();
    let (n, held) = (count(&mut dots.iter()), count(&mut dots.iter().filter(|d| d.held)));
    if n == 0 {
        return "no plate of this shop near here yet".to_owned();
    }
    let (low, high) = wilson_interval(held, n);
    let together = if n > dots.len() { "; a larger dot is several plates" } else { "" };
    format!("{held} of {n} held (true rate {:.0} to {:.0} %){together}", low * 100.0, high * 100.0)
}

/// Two-sided 95 % score interval of a rate (Wilson, J. Am. Stat. Assoc. 22
/// (1927) 209; formula from memory, worked value in the test).
fn wilson_interval(held: usize, n: usize) -> (f64, f64) {
    /// Normal quantile at 97.5 %.
    const Z: f64 = 1.959_963_985;
    let (n, p) = (n as f64, held as f64 / n as f64);
    let centre = p + Z * Z / (2.0 * n);
    let half = Z * (p * (1.0 - p) / n + Z * Z / (4.0 * n * n)).sqrt();
    let scale = 1.0 + Z * Z / n;
    (((centre - half) / scale).max(0.0), ((centre + half) / scale).min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_interval_matches_a_worked_value() {
        // 10 of 10: lower bound n/(n + z²) exactly.
        let (low, high) = wilson_interval(10, 10);
        assert!((low - 10.0 / (10.0 + 3.841_458_8)).abs() < 1e-6);
        assert!((high - 1.0).abs() < 1e-12);
        let (low, high) = wilson_interval(0, 1);
        assert!(low.abs() < 1e-12 && (high - 0.793_45).abs() < 1e-4);
    }

    fn plates(n: usize) -> Vec<PastPlate> {
        let plate = |k: usize| PastPlate {
            number: format!("{k:04}"),
            held: !k.is_multiple_of(3),
            is_pipe: false,
            thickness_m: 0.01,
            root_progression: Progression::Downhill,
            values_si: [
                ("fit.root_opening", (k % 61) as f64 * 1e-4),
                ("fit.root_face", (k % 17) as f64 * 1e-4),
            ]
            .map(|(path, si)| (path.to_owned(), si))
            .into(),
        };
        (0..n).map(plate).collect()
    }

    #[test]
    fn two_thousand_plates_are_no_more_dots_than_a_rule_has_room_for_and_none_is_lost() {
        let all = plates(2000);
        let near: Vec<&PastPlate> = all.iter().collect();
        let lost = all.iter().filter(|plate| !plate.held).count();
        let dots = dots(&near, "fit.root_opening", 1e-3, [0.0, 5.0]);
        assert!(dots.len() <= 2 * RULE_BINS, "{}", dots.len());
        let plates: usize = dots.iter().filter(|dot| !dot.held).map(|dot| dot.plates).sum();
        assert_eq!((plates, dots.iter().map(|dot| dot.plates).sum::<usize>()), (lost, 2000));
        // What is beyond the end of the rule stands in the last stretch.
        assert!(dots.iter().all(|dot| (0.0..=6.0).contains(&dot.at)));
        assert!(note(&dots).starts_with("1333 of 2000 held"), "{}", note(&dots));
        assert!(note(&dots).ends_with("a larger dot is several plates"));
        let points = points(&near, "fit.root_opening", "fit.root_face");
        assert!(points.len() <= 2 * MAP_BINS * MAP_BINS, "{}", points.len());
        assert_eq!(points.iter().map(|point| point.plates).sum::<usize>(), 2000);
    }

    #[test]
    fn a_handful_of_plates_is_drawn_one_by_one() {
        let all = plates(DRAWN_ONE_BY_ONE);
        let near: Vec<&PastPlate> = all.iter().collect();
        let dots = dots(&near, "fit.root_opening", 1e-3, [0.0, 5.0]);
        assert_eq!(dots.len(), DRAWN_ONE_BY_ONE);
        assert!(dots.iter().all(|dot| dot.plates == 1) && !note(&dots).contains("larger dot"));
        assert_eq!(points(&near, "fit.root_opening", "fit.root_face").len(), DRAWN_ONE_BY_ONE);
    }

    #[test]
    fn no_plates_is_said_so() {
        assert_eq!(note(&[]), "no plate of this shop near here yet");
    }
}
