//! What must hold for every input: a longer opening is never a better one, and
//! the bands of thickness and diameter meet without gap or overlap.
#![allow(clippy::unwrap_used)]

use bendproof_codes::catalogue::{Code, code, codes, explain};
use bendproof_codes::held::{CoverAnswer, Joint, JointDetails, PassedTest, TestDetails, covers, standing};
use bendproof_codes::judged::{BendTest, Coupon, Opening, OtherExams, Strap, judge, specimens};
use bendproof_codes::rule::Demand;
use bendproof_codes::words::{
    Cause, Facet, JointBacking, JointKind, JointPosition, Place, Purpose, RuleKind, StrapKind, TestShape,
    Verdict, Zone,
};
use bendproof_measure::{Kind, Quantity, System};
use bendproof_weld::{Backing, Position, Process, Progression, Transfer};
use proptest::prelude::*;

/// Sixty-fourths of an inch or tenths of a millimetre, as people measure.
fn reading(steps: u32, inch: bool) -> Quantity {
    if inch {
        Quantity { si: f64::from(steps) * 0.0254 / 64.0, kind: Kind::Length, system: System::Inch }
    } else {
        Quantity { si: f64::from(steps) * 1e-4, kind: Kind::Length, system: System::Metric }
    }
}

/// Any code that qualifies welders; those that only judge have no bends to speak of.
fn any_code() -> impl Strategy<Value = &'static Code> {
    let all: Vec<&'static Code> =
        codes().unwrap().iter().copied().filter(|code| code.qualifies_welders()).collect();
    (0..all.len()).prop_map(move |n| all[n])
}

/// ISO 9606-1 leaves bends to other documents.
fn code_with_bends() -> impl Strategy<Value = &'static Code> {
    any_code().prop_filter("bends", |code| code.rules.iter().any(|r| r.kind == RuleKind::Bend))
}

fn opening() -> impl Strategy<Value = Opening> {
    let (places, causes, zones) = (Place::ALL, Cause::ALL, Zone::ALL);
    (1_u32..40, any::<bool>(), 0..places.len(), 0..causes.len(), 0..zones.len()).prop_map(
        move |(steps, inch, place, cause, zone)| Opening {
            length: reading(steps, inch),
            place: places[place],
            cause: causes[cause],
            zone: zones[zone],
        },
    )
}

fn strap(kind: usize, openings: Vec<Opening>) -> Strap {
    Strap {
        id: "1".to_owned(),
        kind: StrapKind::ALL[kind],
        thickness: Some(reading(24, true)),
        wall: Some(reading(20, true)),
        weld_in_bend: Some(true),
        openings: Some(openings),
    }
}

fn verdict(code: &Code, strap: Strap) -> Verdict {
    judge(code, &BendTest { straps: vec![strap], coupon: None, others: OtherExams::default() })
        .unwrap()
        .verdict
}

proptest! {
    #[test]
    fn a_longer_opening_never_turns_reject_into_accept(
        code in code_with_bends(),
        kind in 0_usize..3,
        mut openings in prop::collection::vec(opening(), 1..6),
        which in any::<prop::sample::Index>(),
        longer in 0.0_f64..5e-3,
    ) {
        let before = verdict(code, strap(kind, openings.clone()));
        which.get_mut(&mut openings).length.si += longer;
        let after = verdict(code, strap(kind, openings));
        prop_assert!(!(before == Verdict::Reject && after == Verdict::Accept));
    }

    #[test]
    fn one_more_opening_never_improves_a_strap(
        code in code_with_bends(),
        kind in 0_usize..3,
        mut openings in prop::collection::vec(opening(), 0..5),
        more in opening(),
    ) {
        let before = verdict(code, strap(kind, openings.clone()));
        openings.push(more);
        prop_assert!(verdict(code, strap(kind, openings)) >= before);
    }

    #[test]
    fn every_opening_is_spoken_of_by_a_rule(code in code_with_bends(), kind in 0_usize..3, opening in opening()) {
        let test = BendTest { straps: vec![strap(kind, vec![opening])], coupon: None, others: OtherExams::default() };
        let report = judge(code, &test).unwrap();
        prop_assert!(report.straps[0].findings.iter().all(|f| explain(&f.rule).is_ok()));
        prop_assert!(report.straps[0].findings.len() >= 2);
    }

    #[test]
    fn plate_thickness_bands_meet_without_gap_or_overlap(steps in 24_u32..400, inch: bool, code in any_code(), layers in 1_u32..6) {
        // 3/8 in is 24 sixty-fourths; the metric bands start at 10 mm.
        let thickness = reading(if inch { steps } else { steps.max(100) }, inch);
        let test = PassedTest { thickness, layers: Some(layers), ..plate() };
        prop_assert!(one_answer(code, &test, Facet::Thickness));
    }

    #[test]
    fn pipe_bands_meet_without_gap_or_overlap(steps in 4_u32..200, size in 20_u32..2000, inch: bool, code in any_code(), layers in 1_u32..6, fixed: bool) {
        let test = PassedTest {
            shape: TestShape::Pipe,
            positions: vec![if fixed { Position::G5 } else { Position::G6 }],
            thickness: reading(steps, inch),
            outside_diameter: Some(reading(size, inch)),
            layers: Some(layers),
            ..plate()
        };
        prop_assert!(one_answer(code, &test, Facet::Thickness));
        prop_assert!(one_answer(code, &test, Facet::Diameter));
    }

    #[test]
    fn specimen_rows_do_not_overlap(steps in 8_u32..400, size in 20_u32..1500, inch: bool, code in any_code(), position in 0_usize..7, pipe: bool, procedure: bool) {
        let coupon = Coupon {
            purpose: if procedure { Purpose::Procedure } else { Purpose::Welder },
            shape: if pipe { TestShape::Pipe } else { TestShape::Plate },
            position: Position::ALL[position],
            thickness: reading(steps, inch),
            outside_diameter: pipe.then(|| reading(size, inch)),
            nominal_size: None,
            deposit: None,
            yield_strength: None,
            elongation_percent: None,
            welded: None,
        };
        let plan = specimens(code, &coupon);
        prop_assert!(plan.because.len() <= 1, "{:?}", plan.because);
        prop_assert!(plan.because.len() == 1 || !plan.doubts.is_empty());
    }

    #[test]
    fn no_filler_is_left_without_a_group_or_a_doubt(
        code in any_code(),
        process in 0..Process::ALL.len(),
        backing in 0..Backing::ALL.len(),
        filler in prop::option::of(prop::sample::select(vec!["F1", "F2", "F3", "F4", "F5", "F6", "F43", "f4", "E7018", ""])),
    ) {
        let test = PassedTest {
            process: Process::ALL[process],
            backing: Backing::ALL[backing],
            filler: filler.map(str::to_owned),
            shape: TestShape::Pipe,
            positions: vec![Position::G6],
            outside_diameter: Some(reading(424, true)),
            ..plate()
        };
        let standing = standing(code, &test).unwrap();
        let doubted = standing.doubts.iter().any(|d| d.facet == Some(Facet::Filler));
        prop_assert!(doubted == standing.fillers.is_empty(), "{standing:#?}");
    }

    #[test]
    fn a_standing_covers_what_its_own_summary_says(inch: bool, steps in 24_u32..200, position in 0_usize..4) {
        let code = code("aws-d1.1-2020").unwrap();
        let thickness = reading(if inch { steps } else { steps.max(100) }, inch);
        let standing = standing(code, &PassedTest { thickness, ..plate() }).unwrap();
        let position = JointPosition::ALL[position];
        let joint = Joint {
            kind: JointKind::PlateGroove,
            position,
            process: Process::Gmaw,
            transfer: Some(Transfer::Spray),
            thickness: Some(thickness),
            diameter: None,
            backing: Some(JointBacking::Steel),
            progression: Some(Progression::Uphill),
            filler: Some("F6".to_owned()),
            day: None,
            details: JointDetails::default(),
        };
        let listed = standing.positions.plate_groove.iter().any(|p| p == position.word());
        prop_assert_eq!(covers(&standing, &joint).answer == CoverAnswer::Covered, listed);
    }
}

fn plate() -> PassedTest {
    PassedTest {
        welder: "A. Welder".to_owned(),
        process: Process::Gmaw,
        transfer: Some(Transfer::Spray),
        positions: vec![Position::G3],
        shape: TestShape::Plate,
        thickness: reading(24, true),
        deposit: None,
        layers: Some(3),
        outside_diameter: None,
        nominal_size: None,
        progressions: vec![Progression::Uphill],
        backing: Backing::Steel,
        filler: Some("F6".to_owned()),
        details: TestDetails::default(),
        procedure_test: false,
        finished: "2026-03-01".parse().unwrap(),
        uses: Vec::new(),
    }
}

/// Whether exactly one range of this facet speaks of groove welds, or none and
/// the standing says why not.
fn one_answer(code: &Code, test: &PassedTest, facet: Facet) -> bool {
    let standing = standing(code, test).unwrap();
    let ranges = standing.because.iter().filter(|cited| match &code.rule(&cited.rule).unwrap().demand {
        Demand::Range { facet: of, joints, .. } => {
            *of == facet && (joints.is_empty() || joints.iter().any(|j| j != "fillet"))
        }
        _ => false,
    });
    let said = standing.refused.is_some() || standing.doubts.iter().any(|d| d.facet == Some(facet));
    match ranges.count() {
        0 => said,
        count => count == 1,
    }
}
