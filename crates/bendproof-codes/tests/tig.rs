//! TIG tests under Section IX: every side the code asks is granted or left open,
//! and nothing that nobody stated is a yes.
#![allow(clippy::unwrap_used)]

use bendproof_codes::catalogue::code;
use bendproof_codes::held::{CoverAnswer, Joint, JointDetails, PassedTest, TestDetails, covers, standing};
use bendproof_codes::words::{Facet, JointBacking, JointKind, JointPosition, TestShape};
use bendproof_measure::{Kind, Quantity};
use bendproof_weld::{Backing, Polarity, Position, Process, Progression};
use jiff::civil::date;

fn length(text: &str) -> Quantity {
    Quantity::parse(Kind::Length, text).unwrap()
}

/// A TIG test and a joint with everything that Section IX asks stated.
fn tig() -> (PassedTest, Joint) {
    let test = PassedTest {
        process: Process::Gtaw,
        transfer: None,
        filler: Some("F6".to_owned()),
        welder: "A. Welder".to_owned(),
        positions: vec![Position::G3],
        shape: TestShape::Plate,
        thickness: length("3/8 in"),
        deposit: None,
        layers: None,
        outside_diameter: None,
        nominal_size: None,
        progressions: vec![Progression::Uphill],
        backing: Backing::Open,
        procedure_test: false,
        finished: date(2026, 3, 2),
        uses: Vec::new(),
        details: TestDetails {
            filler_type: Some("S".to_owned()),
            polarity: Some(Polarity::Dcen),
            backing_gas: Some(true),
            base_metal: Some("P8".to_owned()),
            ..TestDetails::default()
        },
    };
    let joint = Joint {
        kind: JointKind::PlateGroove,
        position: JointPosition::Vertical,
        process: Process::Gtaw,
        transfer: None,
        thickness: Some(length("3/8 in")),
        diameter: None,
        backing: Some(JointBacking::Open),
        progression: Some(Progression::Uphill),
        filler: Some("F6".to_owned()),
        day: None,
        details: JointDetails {
            filler_type: Some("S".to_owned()),
            polarity: Some(Polarity::Dcen),
            backing_gas: Some(true),
            base_metal: Some("P8".to_owned()),
            ..JointDetails::default()
        },
    };
    (test, joint)
}

/// What nobody stated is no yes: each fact left out of a TIG test or of the joint
/// leaves the answer open, on that side alone.
#[test]
fn a_tig_test_with_one_fact_left_out_covers_nothing_for_certain() {
    let asme = code("asme-ix-2023").unwrap();
    let open = |test: &PassedTest, joint: &Joint| -> Vec<Facet> {
        let coverage = covers(&standing(asme, test).unwrap(), joint);
        let mut sides: Vec<Facet> = Vec::new();
        for reason in coverage.reasons.iter().filter(|r| r.answer != CoverAnswer::Covered) {
            assert_eq!(reason.answer, CoverAnswer::NotSure, "{coverage:#?}");
            let side = reason.facet.unwrap();
            if !sides.contains(&side) {
                sides.push(side);
            }
        }
        sides
    };
    let (test, joint) = tig();
    assert!(open(&test, &joint).is_empty());
    let mut less = test.clone();
    less.details.polarity = None;
    assert_eq!(open(&less, &joint), [Facet::Polarity]);
    let mut less = test.clone();
    less.details.filler_type = None;
    assert_eq!(open(&less, &joint), [Facet::FillerType]);
    let mut less = test.clone();
    less.details.backing_gas = None;
    assert_eq!(open(&less, &joint), [Facet::BackingGas]);
    let mut less = test.clone();
    less.details.base_metal = None;
    assert_eq!(open(&less, &joint), [Facet::BaseMetal]);
    assert_eq!(open(&PassedTest { filler: None, ..test.clone() }, &joint), [Facet::Filler]);
    assert_eq!(open(&PassedTest { progressions: Vec::new(), ..test.clone() }, &joint), [Facet::Progression]);
    let mut less = joint.clone();
    less.details.polarity = None;
    assert_eq!(open(&test, &less), [Facet::Polarity]);
    let mut less = joint.clone();
    less.details.filler_type = None;
    assert_eq!(open(&test, &less), [Facet::FillerType]);
    let mut less = joint.clone();
    less.details.backing_gas = None;
    assert_eq!(open(&test, &less), [Facet::BackingGas]);
    let mut less = joint.clone();
    less.details.base_metal = None;
    assert_eq!(open(&test, &less), [Facet::BaseMetal]);
    assert_eq!(open(&test, &Joint { filler: None, ..joint.clone() }), [Facet::Filler]);
    assert_eq!(open(&test, &Joint { thickness: None, ..joint.clone() }), [Facet::Thickness]);
    // Without its backing nobody knows whether the gas counts either.
    assert_eq!(open(&test, &Joint { backing: None, ..joint.clone() })[0], Facet::Backing);
}

/// Whatever a TIG test states, each side that QW-356 asks is granted, open or
/// doubted, never passed over.
#[test]
fn no_side_of_a_tig_test_is_passed_over() {
    let (test, joint) = tig();
    let asked = [Facet::Filler, Facet::FillerType, Facet::Polarity, Facet::BackingGas, Facet::BaseMetal];
    for name in ["asme-ix-2023", "asme-ix-2017", "asme-ix-2010"] {
        for kind in ["S", "M", "R", "nm", "RA", "C"] {
            for backing in
                [None, Some(JointBacking::Gas), Some(JointBacking::Insert), Some(JointBacking::Flux)]
            {
                let mut one = test.clone();
                (one.details.filler_type, one.details.backing) = (Some(kind.to_owned()), backing);
                let coverage = covers(&standing(code(name).unwrap(), &one).unwrap(), &joint);
                let sides: Vec<Option<Facet>> = coverage.reasons.iter().map(|r| r.facet).collect();
                assert!(asked.iter().all(|side| sides.contains(&Some(*side))), "{name} {kind}: {sides:?}");
                let is_as_joint = kind == "S" || kind == "M";
                let is_open = matches!(backing, None | Some(JointBacking::Gas));
                assert_eq!(
                    coverage.answer == CoverAnswer::Covered,
                    is_as_joint && is_open,
                    "{name} {kind} {backing:?}"
                );
            }
        }
    }
}
