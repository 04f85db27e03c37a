//! What must hold for every examination: a smaller flaw is never worse, a
//! stricter level never kinder, and no reading changes by being said in the
//! other system where a code prints millimetres alone.
#![allow(clippy::unwrap_used)]

use bendproof_codes::catalogue::code;
use bendproof_codes::judged::{
    Indication, RadiographReadings, Readings, TensionPiece, VisualReadings, examine, judge_visual,
};
use bendproof_codes::words::{Flaw, QualityLevel, TestShape, Verdict, WeldKind, Zone};
use bendproof_measure::{Kind, Quantity, System};
use proptest::prelude::*;

fn mm(tenths: u32) -> Quantity {
    Quantity { si: f64::from(tenths) * 1e-4, kind: Kind::Length, system: System::Metric }
}

/// Readings of every flaw a level asks about, each from the list in turn.
fn seen(
    sizes: &[u32],
    flags: [bool; 4],
    thickness: u32,
    groove: bool,
    level: QualityLevel,
) -> VisualReadings {
    let at = |n: usize| Some(mm(sizes[n]));
    VisualReadings {
        crack: Some(flags[0]),
        crater_crack: Some(false),
        crater_filled: Some(true),
        fusion_complete: Some(true),
        penetration_complete: Some(!flags[1]),
        burn_through: Some(false),
        root_porosity: Some(flags[2]),
        poor_restart: Some(flags[3]),
        stray_arc: Some(false),
        spatter: Some(false),
        surface_pore: at(0),
        end_crater_pipe: at(1),
        incomplete_penetration: at(2),
        incomplete_penetration_length: at(3),
        cap_height: at(4),
        undercut: at(5),
        undercut_length: at(6),
        shrinkage_groove: at(7),
        shrinkage_groove_length: at(8),
        root_concavity: at(9),
        root_concavity_length: at(10),
        underfill: at(11),
        underfill_length: at(12),
        melt_through: at(13),
        overlap: at(14),
        convexity: at(15),
        leg_difference: at(16),
        throat_shortfall: at(17),
        throat_shortfall_length: at(18),
        throat_excess: at(19),
        root_gap: at(20),
        misalignment: at(21),
        toe_angle: Quantity::parse(Kind::Angle, "150 deg").ok(),
        thickness: Some(mm(thickness)),
        cap_width: Some(mm(140)),
        root_width: Some(mm(40)),
        throat: Some(mm(60)),
        butt_throat: Some(mm(thickness)),
        weld_length: Some(mm(3000)),
        level: Some(level),
        weld_kind: Some(if groove { WeldKind::Groove } else { WeldKind::Fillet }),
        shape: Some(TestShape::Plate),
        ..VisualReadings::default()
    }
}

/// Mostly nothing, sometimes a little, seldom much: what is accepted at all.
fn flaw() -> impl Strategy<Value = u32> {
    prop_oneof![24 => Just(0_u32), 6 => 0_u32..6, 1 => 0_u32..60]
}

fn verdict(readings: &VisualReadings) -> Verdict {
    judge_visual(code("iso-5817-2014").unwrap(), readings).verdict
}

#[test]
fn a_sound_weld_is_accepted_at_every_level() {
    for level in QualityLevel::ALL {
        for (groove, thickness) in [(true, 20), (true, 100), (false, 20), (false, 100)] {
            let sound = seen(&[0; 22], [false; 4], thickness, groove, *level);
            let report = judge_visual(code("iso-5817-2014").unwrap(), &sound);
            assert_eq!(report.verdict, Verdict::Accept, "{report:#?}");
        }
    }
}

fn accepts_downwards(levels: [Verdict; 3]) -> bool {
    let [b, c, d] = levels.map(|v| v == Verdict::Accept);
    (!b || c) && (!c || d)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn what_level_b_accepts_c_accepts_and_what_c_accepts_d_accepts(
        sizes in prop::collection::vec(flaw(), 22),
        flags in prop::array::uniform4(prop::bool::weighted(0.1)),
        thickness in 5_u32..400,
        groove: bool,
    ) {
        let at = |level| verdict(&seen(&sizes, flags, thickness, groove, level));
        let levels = [QualityLevel::B, QualityLevel::C, QualityLevel::D].map(at);
        prop_assert!(accepts_downwards(levels), "{levels:?}");
    }

    #[test]
    fn a_smaller_flaw_never_turns_accept_into_reject(
        sizes in prop::collection::vec(flaw(), 22),
        thickness in 5_u32..400,
        groove: bool,
        which in 0_usize..22,
        part in 0.0_f64..1.0,
        level in 0_usize..3,
    ) {
        let at = |sizes: &[u32]| verdict(&seen(sizes, [false; 4], thickness, groove, QualityLevel::ALL[level]));
        let before = at(&sizes);
        let mut smaller = sizes;
        smaller[which] = (f64::from(smaller[which]) * part) as u32;
        prop_assert!(at(&smaller) <= before);
    }

    #[test]
    fn a_millimetre_limit_does_not_mind_how_a_length_is_said(
        sizes in prop::collection::vec(flaw(), 22),
        thickness in 5_u32..400,
        groove: bool,
        level in 0_usize..3,
    ) {
        let metric = seen(&sizes, [false; 4], thickness, groove, QualityLevel::ALL[level]);
        let inch = |q: Option<Quantity>| q.map(|q| Quantity { system: System::Inch, ..q });
        let said = VisualReadings {
            undercut: inch(metric.undercut),
            cap_height: inch(metric.cap_height),
            misalignment: inch(metric.misalignment),
            thickness: inch(metric.thickness),
            ..metric
        };
        prop_assert_eq!(verdict(&metric), verdict(&said));
    }

    #[test]
    fn a_larger_or_further_indication_never_improves_a_film(
        list in prop::collection::vec((1_u32..120, 0_u32..3000), 0..8),
        more in (1_u32..120, 0_u32..3000),
        which in any::<prop::sample::Index>(),
        longer in 0_u32..60,
        thickness in 20_u32..600,
    ) {
        let film = |list: &[(u32, u32)]| {
            let indication = |(length, start): &(u32, u32)| Indication {
                flaw: Flaw::Slag,
                length: mm(*length),
                width: None,
                start: Some(mm(*start)),
            };
            let r = RadiographReadings {
                indications: Some(list.iter().map(indication).collect()),
                no_other_indication: true,
                thickness: Some(mm(thickness)),
                ..RadiographReadings::default()
            };
            examine(code("asme-ix").unwrap(), Readings::Radiograph(&r)).unwrap().verdict
        };
        let before = film(&list);
        let mut grown = list.clone();
        if !grown.is_empty() {
            which.get_mut(&mut grown).0 += longer;
        }
        prop_assert!(film(&grown) >= before);
        let mut added = list;
        added.push(more);
        prop_assert!(film(&added) >= before);
    }

    #[test]
    fn a_stronger_piece_is_never_worse(
        code in prop::sample::select(vec!["aws-d1.1-2020", "asme-ix-2023", "api-1104-2013"]),
        zone in 0..Zone::ALL.len(),
        load in 100_u32..1500,
        more in 0_u32..200,
    ) {
        let verdict = |load: u32| {
            let piece = TensionPiece {
                width: Some(mm(190)),
                thickness: Some(mm(100)),
                load: Some(Quantity { si: f64::from(load) * 100.0, kind: Kind::Force, system: System::Metric }),
                strength: None,
                specified_tensile: Quantity::parse(Kind::Pressure, "490 MPa").ok(),
                broke_in: Zone::ALL[zone],
                fracture_sound: Some(true),
            };
            examine(bendproof_codes::catalogue::code(code).unwrap(), Readings::Tension(&piece)).unwrap().verdict
        };
        prop_assert!(verdict(load + more) <= verdict(load));
    }
}
