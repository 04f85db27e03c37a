//! Sentences about renewal and retests, designation lines that cannot be made,
//! and what must hold for every test and joint under every code.
#![allow(clippy::unwrap_used)]

use bendproof_codes::catalogue::{Code, code, codes};
use bendproof_codes::held::{
    CoverAnswer, DesignationError, Joint, JointDetails, PassedTest, TestDetails, covers, designation,
    renewal, standing, standing_on,
};
use bendproof_codes::judged::{Coupon, Welded, specimens};
use bendproof_codes::rule::Counts;
use bendproof_codes::words::{Event, JointBacking, JointKind, JointPosition, Purpose, TestShape};
use bendproof_measure::{Kind, Quantity, System};
use bendproof_weld::{Backing, Position, Process, Progression, Transfer};
use proptest::prelude::*;

fn mm(value: f64) -> Quantity {
    Quantity { si: value * 1e-3, kind: Kind::Length, system: System::Metric }
}

fn plate() -> PassedTest {
    PassedTest {
        welder: "A. Welder".to_owned(),
        process: Process::Gmaw,
        transfer: Some(Transfer::ShortCircuit),
        positions: vec![Position::G3],
        shape: TestShape::Plate,
        thickness: mm(12.0),
        deposit: None,
        layers: Some(4),
        outside_diameter: None,
        nominal_size: None,
        progressions: vec![Progression::Uphill],
        backing: Backing::Open,
        filler: Some("F6".to_owned()),
        details: TestDetails {
            fm_group: Some("FM1".to_owned()),
            filler_type: Some("S".to_owned()),
            route: Some("b".to_owned()),
            ..TestDetails::default()
        },
        procedure_test: false,
        finished: "2024-03-11".parse().unwrap(),
        uses: Vec::new(),
    }
}

fn pipe(diameter_mm: f64) -> PassedTest {
    PassedTest {
        shape: TestShape::Pipe,
        positions: vec![Position::G6],
        outside_diameter: Some(mm(diameter_mm)),
        ..plate()
    }
}

fn joint() -> Joint {
    Joint {
        kind: JointKind::PlateGroove,
        position: JointPosition::Vertical,
        process: Process::Gmaw,
        transfer: Some(Transfer::ShortCircuit),
        thickness: Some(mm(12.0)),
        diameter: None,
        backing: Some(JointBacking::Open),
        progression: Some(Progression::Uphill),
        filler: Some("F6".to_owned()),
        day: None,
        details: JointDetails {
            fm_group: Some("FM1".to_owned()),
            filler_type: Some("S".to_owned()),
            layers: Some(1),
            rotated: Some(false),
            ..JointDetails::default()
        },
    }
}

fn iso() -> &'static Code {
    code("iso-9606-1").unwrap()
}

#[test]
fn every_code_says_what_a_lapse_and_a_failure_cost() {
    for code in codes().unwrap().iter().filter(|code| code.qualifies_welders()) {
        let advice = renewal(code, &plate());
        for event in [Event::Renew, Event::Lapse, Event::Question, Event::Fail] {
            assert!(advice.iter().any(|a| a.event == event), "{}: {event}", code.id);
        }
        for answer in &advice {
            let rule = code.rule(&answer.because.rule).unwrap();
            assert_eq!((&rule.finding, &rule.clause), (&answer.sentence, &answer.because.clause));
        }
    }
}

#[test]
fn the_immediate_retest_of_two_codes_is_two_coupons() {
    // D1.1:2004 4.32.1.1 and QW-321, read in copies.
    for (name, id) in [("aws-d1.1", "d11-retest-immediate"), ("asme-ix", "asme-retest-immediate")] {
        let advice = renewal(code(name).unwrap(), &plate());
        let answer = advice.iter().find(|a| a.because.rule == id).unwrap();
        assert!(answer.event == Event::Fail && answer.sentence.contains("two"), "{}", answer.sentence);
    }
}

#[test]
fn renewal_follows_the_route_and_tells_all_where_it_is_not_known() {
    let routes = |test: &PassedTest| -> Vec<String> {
        let rules = renewal(iso(), test).into_iter().map(|a| a.because.rule);
        rules.filter(|r| r.starts_with("iso9606-renew-") && r.len() == "iso9606-renew-a".len()).collect()
    };
    assert_eq!(routes(&plate()), ["iso9606-renew-b"]);
    let mut open = plate();
    open.details.route = None;
    assert_eq!(routes(&open), ["iso9606-renew-a", "iso9606-renew-b", "iso9606-renew-c"]);
}

#[test]
fn a_designation_with_a_part_missing_is_not_made() {
    let mut test = plate();
    test.details = TestDetails::default();
    test.progressions = Vec::new();
    let missing = designation(iso(), &test).unwrap_err();
    assert_eq!(
        missing.to_string(),
        "no ISO designation: process, filler group, filler type, position missing"
    );
    test.positions = vec![Position::G2, Position::G3];
    assert_eq!(designation(iso(), &test).unwrap_err(), DesignationError::Several(2));
    assert_eq!(
        designation(code("asme-ix").unwrap(), &plate()).unwrap_err(),
        DesignationError::NoLine("asme-ix-2023".to_owned())
    );
    let fillet = PassedTest { positions: vec![Position::F2], layers: None, ..plate() };
    assert_eq!(designation(iso(), &fillet).unwrap_err(), DesignationError::Missing(vec!["details"]));
    // Which of two processes made an open root is not known.
    let mut shared = plate();
    shared.details.other_process = Some(Process::Gtaw);
    shared.deposit = Some(mm(6.0));
    assert_eq!(designation(iso(), &shared).unwrap_err(), DesignationError::WhoseRoot);
}

/// The lines printed by a sheet of examples and an overview of ISO 9606-1, with
/// the standard's prefix and the decimal comma of their countries.
#[test]
fn lines_printed_elsewhere_are_the_lines_made_here() {
    let printed = [
        "EN ISO 9606-1 135 P FW FM1 S t10 PB ml",
        "EN ISO 9606-1 136 P BW FM1 B s15 PE ss nb",
        "EN ISO 9606-1 141 T BW FM3 S s3,6 D60,3 PH ss nb",
        "ISO 9606-1 141 T BW FM5 S s1,5 D50 H-L045 ss gb",
    ];
    let details = |group: &str, filler: &str, backing| TestDetails {
        fm_group: Some(group.to_owned()),
        filler_type: Some(filler.to_owned()),
        backing,
        ..TestDetails::default()
    };
    let (positions, thickness) = (vec![Position::F2], mm(10.0));
    let made = [
        PassedTest { positions, thickness, details: details("FM1", "S", None), ..plate() },
        PassedTest {
            process: Process::Fcaw,
            transfer: None,
            positions: vec![Position::G4],
            thickness: mm(15.0),
            details: details("FM1", "B", None),
            ..plate()
        },
        PassedTest {
            process: Process::Gtaw,
            transfer: None,
            positions: vec![Position::G5],
            thickness: mm(3.6),
            details: details("FM3", "S", None),
            ..pipe(60.3)
        },
        PassedTest {
            process: Process::Gtaw,
            transfer: None,
            thickness: mm(1.5),
            details: details("FM5", "S", Some(JointBacking::Gas)),
            ..pipe(50.0)
        },
    ];
    for (printed, test) in printed.iter().zip(&made) {
        let plain = printed.trim_start_matches("EN ").replace(',', ".");
        assert_eq!(designation(iso(), test).unwrap(), plain);
    }
}

#[test]
fn words_for_the_root_that_exclude_each_other_are_refused() {
    for (backing, detail) in [(Backing::Steel, JointBacking::Gas), (Backing::Open, JointBacking::Steel)] {
        let mut test = PassedTest { backing, ..plate() };
        test.details.backing = Some(detail);
        let refused = standing(iso(), &test).unwrap_err().to_string();
        assert!(refused.contains(detail.word()) && refused.contains(backing.word()), "{refused}");
    }
    let mut early = plate();
    early.details.renewals = vec!["2024-03-10".parse().unwrap()];
    assert!(standing(iso(), &early).unwrap_err().to_string().starts_with("a renewal on 2024-03-10"));
}

#[test]
fn the_examinations_of_a_welders_test_are_reported_with_its_specimens() {
    let coupon = Coupon {
        purpose: Purpose::Welder,
        shape: TestShape::Plate,
        position: Position::G3,
        thickness: mm(10.0),
        outside_diameter: None,
        nominal_size: None,
        deposit: None,
        yield_strength: None,
        elongation_percent: Some(22.0),
        welded: Some(Welded {
            process: Process::Gmaw,
            transfer: Some(Transfer::ShortCircuit),
            filler_type: Some("S".to_owned()),
            is_shared: false,
        }),
    };
    let plan = specimens(iso(), &coupon);
    assert_eq!(plan.sets, [Counts { face: 1, root: 1, ..Counts::default() }]);
    assert_eq!(plan.says.len(), 2, "{:?}", plan.says);
    assert!(plan.doubts.iter().any(|d| d.text().starts_with("iso9606-specimens-bends-only")));
    // Four thicknesses of 10 mm, from memory.
    assert!(plan.jigs.iter().all(|(_, jig)| (jig.a.metric_m - 0.040).abs() < 1e-9));
    assert_eq!(plan.jigs.len(), 2);
    let thick = specimens(iso(), &Coupon { thickness: mm(12.0), ..coupon.clone() });
    assert_eq!(thick.sets.len(), 2);
    let fillet = specimens(iso(), &Coupon { position: Position::F2, ..coupon });
    assert!(
        fillet.sets.is_empty()
            && fillet.doubts.iter().any(|d| d.text().starts_with("iso9606-specimens-fillet"))
    );
}

fn any_code() -> impl Strategy<Value = &'static Code> {
    (0..codes().unwrap().len()).prop_map(|n| codes().unwrap()[n])
}

fn any_test() -> impl Strategy<Value = PassedTest> {
    let parts = (5_u32..400, 200_u32..6000, 1_u32..6, 0..Position::ALL.len(), any::<bool>(), any::<bool>());
    parts.prop_filter_map("such a piece exists", |(s, d, layers, position, is_pipe, up)| {
        let test = PassedTest {
            thickness: mm(f64::from(s) / 10.0),
            layers: Some(layers),
            positions: vec![Position::ALL[position]],
            progressions: vec![if up { Progression::Uphill } else { Progression::Downhill }],
            ..if is_pipe { pipe(f64::from(d) / 10.0) } else { plate() }
        };
        standing(iso(), &test).is_ok().then_some(test)
    })
}

fn any_joint() -> impl Strategy<Value = Joint> {
    let parts = (
        0..JointKind::ALL.len(),
        0..JointPosition::ALL.len(),
        0..JointBacking::ALL.len(),
        5_u32..600,
        200_u32..8000,
        any::<(bool, bool)>(),
    );
    parts.prop_map(|(kind, position, backing, thickness, diameter, (up, rotated))| Joint {
        kind: JointKind::ALL[kind],
        position: JointPosition::ALL[position],
        backing: Some(JointBacking::ALL[backing]),
        thickness: Some(mm(f64::from(thickness) / 10.0)),
        diameter: (JointKind::ALL[kind] == JointKind::PipeGroove).then(|| mm(f64::from(diameter) / 10.0)),
        progression: Some(if up { Progression::Uphill } else { Progression::Downhill }),
        details: JointDetails { rotated: Some(rotated), ..joint().details },
        ..joint()
    })
}

proptest! {
    /// Leaving something out never makes an answer better than "not sure", save
    /// where the side did not matter, and then the answer was covered before.
    #[test]
    fn a_side_left_out_never_gains_coverage(code in any_code(), test in any_test(), whole in any_joint(), which in 0_usize..7) {
        let standing = standing(code, &test).unwrap();
        let before = covers(&standing, &whole).answer;
        let mut less = whole;
        match which {
            0 => less.thickness = None,
            1 if less.kind == JointKind::PipeGroove => less.diameter = None,
            1 => return Ok(()),
            2 => less.backing = None,
            3 => less.progression = None,
            4 => (less.filler, less.details.fm_group) = (None, None),
            5 => less.details.filler_type = None,
            _ => less.details.rotated = None,
        }
        let after = covers(&standing, &less).answer;
        prop_assert!(after != CoverAnswer::Covered || before == CoverAnswer::Covered);
    }

    /// All around a pipe is never easier than one place on it, and an inclined
    /// pipe never easier than a level one.
    #[test]
    fn a_harder_position_never_gains_coverage(code in any_code(), test in any_test(), at in any_joint()) {
        let standing = standing(code, &test).unwrap();
        let pipe = Joint { kind: JointKind::PipeGroove, diameter: Some(mm(600.0)), ..at };
        let answer = |position| covers(&standing, &Joint { position, ..pipe.clone() }).answer;
        let fixed = answer(JointPosition::Fixed);
        for easier in [JointPosition::Flat, JointPosition::Vertical, JointPosition::Overhead] {
            prop_assert!(fixed != CoverAnswer::Covered || answer(easier) == CoverAnswer::Covered);
        }
        prop_assert!(answer(JointPosition::Inclined) != CoverAnswer::Covered || fixed == CoverAnswer::Covered);
    }

    /// Whoever is covered without backing is covered with steel.
    #[test]
    fn an_open_root_is_never_easier_than_a_backed_one(code in any_code(), test in any_test(), at in any_joint()) {
        let standing = standing(code, &test).unwrap();
        let answer = |b| covers(&standing, &Joint { backing: Some(b), ..at.clone() }).answer;
        prop_assert!(answer(JointBacking::Open) != CoverAnswer::Covered || answer(JointBacking::Steel) == CoverAnswer::Covered);
    }

    /// What is covered is one stretch of thickness: between two covered ones
    /// there is no gap, and a gap never opens between the bands of the test.
    #[test]
    fn thickness_covered_has_no_gap(test in any_test(), low in 5_u32..600, more in 1_u32..300, share in 0.0_f64..1.0) {
        let standing = standing(iso(), &test).unwrap();
        let ask = |tenths: f64| covers(&standing, &Joint { thickness: Some(mm(tenths / 10.0)), ..joint() }).answer;
        let (a, b) = (f64::from(low), f64::from(low + more));
        let both = ask(a) == CoverAnswer::Covered && ask(b) == CoverAnswer::Covered;
        prop_assert!(!both || ask(a + (b - a) * share) == CoverAnswer::Covered);
    }

    /// The thickness tested is always covered by it, in every band, where the
    /// layers are enough.
    #[test]
    fn the_thickness_tested_is_covered(tenths in 15_u32..600, pipe_piece: bool) {
        let thickness = mm(f64::from(tenths) / 10.0);
        let base = if pipe_piece { pipe(168.3) } else { plate() };
        let standing = standing(iso(), &PassedTest { thickness, ..base }).unwrap();
        let asked = covers(&standing, &Joint { thickness: Some(thickness), diameter: None, ..joint() });
        prop_assert_eq!(asked.answer, CoverAnswer::Covered, "{:?}", asked.reasons);
    }

    /// A later day is never covered where an earlier one, after the test, is not.
    #[test]
    fn time_only_runs_out(code in any_code(), uses in prop::collection::vec(1_i32..900, 0..6), day in 1_i32..1200, later in 1_i32..400) {
        use jiff::ToSpan;
        let mut test = plate();
        test.uses = uses.iter().map(|n| test.finished.checked_add(n.days()).unwrap()).collect();
        // Some confirmed, some with another transfer.
        test.details.confirmed = test.uses.iter().copied().step_by(2).collect();
        test.details.other_transfer = test.uses.iter().copied().skip(1).step_by(3).collect();
        let on = |n: i32| test.finished.checked_add(n.days()).unwrap();
        let standing = standing(code, &test).unwrap();
        let answer = |n| covers(&standing, &Joint { day: Some(on(n)), ..joint() }).answer;
        prop_assert!(answer(day + later) != CoverAnswer::Covered || answer(day) == CoverAnswer::Covered);
    }

    /// What was held on a day does not change by what came after it.
    #[test]
    fn the_past_stays_as_it_was(code in any_code(), uses in prop::collection::vec(1_i32..900, 0..6), day in 0_i32..900) {
        use jiff::ToSpan;
        let mut test = plate();
        let on = |n: i32| "2024-03-11".parse::<jiff::civil::Date>().unwrap().checked_add(n.days()).unwrap();
        test.uses = uses.iter().map(|n| on(*n)).collect();
        test.details.confirmed = test.uses.iter().copied().step_by(2).collect();
        test.details.other_transfer = test.uses.iter().copied().skip(1).step_by(3).collect();
        let mut then = test.clone();
        then.uses.retain(|u| *u <= on(day));
        then.details.confirmed.retain(|u| *u <= on(day));
        then.details.other_transfer.retain(|u| *u <= on(day));
        let (now, then) = (standing_on(code, &test, on(day)).unwrap(), standing_on(code, &then, on(day)).unwrap());
        prop_assert_eq!(now.hold, then.hold);
        // The whole history, asked about that day, agrees.
        let whole = covers(&standing(code, &test).unwrap(), &Joint { day: Some(on(day)), ..joint() }).answer;
        prop_assert_eq!(whole, covers(&now, &joint()).answer);
    }

    /// Less said of the later work never holds a test longer: not a use that
    /// nobody confirmed, nor one with another transfer.
    #[test]
    fn less_said_of_the_work_never_holds_longer(code in any_code(), uses in prop::collection::vec(1_i32..500, 1..6), cut in 0_usize..6, day in 0_i32..900) {
        use jiff::ToSpan;
        let mut test = plate();
        let on = |n: i32| test.finished.checked_add(n.days()).unwrap();
        let days: Vec<jiff::civil::Date> = uses.iter().map(|n| on(*n)).collect();
        let asked = Joint { day: Some(on(day)), ..joint() };
        test.uses = days.clone();
        test.details.confirmed = days.clone();
        let whole = covers(&standing(code, &test).unwrap(), &asked).answer;
        let mut bare = test.clone();
        bare.details.confirmed.truncate(cut);
        let mut apart = test.clone();
        apart.details.other_transfer = apart.uses.split_off(cut.min(days.len()));
        for less in [bare, apart] {
            let answer = covers(&standing(code, &less).unwrap(), &asked).answer;
            prop_assert!(answer >= whole, "{answer:?} after {whole:?}");
        }
    }

    /// A larger deposit of the joint is never covered where a smaller is not, and
    /// a stated deposit of the test never covers less for being known.
    #[test]
    fn more_weld_metal_is_never_easier(code in any_code(), least in 4.0_f64..12.0, more in 0.1_f64..8.0) {
        let test = PassedTest { deposit: Some(mm(6.0)), ..plate() };
        let standing = standing(code, &test).unwrap();
        let answer = |deposit: f64| {
            let details = JointDetails { deposit: Some(mm(deposit)), ..joint().details };
            covers(&standing, &Joint { thickness: Some(mm(20.0)), details, ..joint() }).answer
        };
        prop_assert!(answer(least + more) >= answer(least));
        let shared = |deposit| {
            let details = TestDetails { other_process: Some(Process::Gtaw), ..plate().details };
            let test = PassedTest { deposit, details, ..plate() };
            covers(&bendproof_codes::held::standing(code, &test).unwrap(), &joint()).answer
        };
        prop_assert!(shared(None) >= covers(&bendproof_codes::held::standing(code, &plate()).unwrap(), &joint()).answer);
        prop_assert!(shared(None) != CoverAnswer::Covered, "{}", code.id);
    }
}
