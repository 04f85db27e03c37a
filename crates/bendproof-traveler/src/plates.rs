//! The third voice: what this shop's own coupons near this point did.

use std::collections::BTreeMap;

use bendproof_files::{COUPON, Document, What, read_coupon};
use bendproof_measure::Quantity;
use bendproof_weld::{Coupon, Progression};

use crate::known::{Told, known};
use crate::overall::{Judged, Overall};
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
pub fn past_plate(number: &str, document: &Document, told: impl Into<Told>) -> Option<PastPlate> {
    let told = told.into();
    let code = told.code_of(document);
    let (coupon, _) = read_coupon(document, known(None)).0?;
    let held = match Judged::of(document, Some(&coupon), code, told).overall() {
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

/// Dots of one path, values divided by `si_per_unit`.
pub(crate) fn dots(near: &[&PastPlate], path: &str, si_per_unit: f64) -> Vec<Dot> {
    near.iter()
        .filter_map(|p| {
            let si = p.values_si.get(path)?;
            Some(Dot { at: si / si_per_unit, held: p.held, coupon: p.number.clone() })
        })
        .collect()
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
}

/// Places of two paths together; plates that lack one of them are left out.
pub(crate) fn points(near: &[&PastPlate], x: &str, y: &str) -> Vec<PlatePoint> {
    near.iter()
        .filter_map(|p| {
            let at = |path| p.values_si.get(path).copied();
            Some(PlatePoint { number: p.number.clone(), at_si: [at(x)?, at(y)?], held: p.held })
        })
        .collect()
}

/// Count, rate and interval in words.
pub(crate) fn note(dots: &[Dot]) -> String {
    let (n, held) = (dots.len(), dots.iter().filter(|d| d.held).count());
    if n == 0 {
        return "no plate of this shop near here yet".to_owned();
    }
    let (low, high) = wilson_interval(held, n);
    format!("{held} of {n} held; {:.0} to {:.0} % (95 %, Wilson)", low * 100.0, high * 100.0)
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

    #[test]
    fn no_plates_is_said_so() {
        assert_eq!(note(&[]), "no plate of this shop near here yet");
    }
}
