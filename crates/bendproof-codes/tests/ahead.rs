//! Before welding: what a planned test will be held to, what it will cover and
//! what not, and the smallest tests for a list of joints.
#![allow(clippy::unwrap_used, clippy::panic)]

use bendproof_codes::ahead::{
    Candidate, FinderError, FinderResult, Outlook, PlannedTest, find_coupons, joint_like, outlook,
    thickness_reach,
};
use bendproof_codes::catalogue::{code, codes, explain};
use bendproof_codes::held::{CoverAnswer, Joint, PassedTest, covers, standing};
use bendproof_codes::judged::VisualReadings;
use bendproof_codes::words::{Facet, JointBacking, JointKind, JointPosition, RuleKind, TestShape};
use bendproof_measure::{Kind, Quantity, System};
use bendproof_weld::{Backing, Position, Process, Progression, Transfer};
use jiff::civil::date;

fn length(text: &str) -> Quantity {
    Quantity::parse(Kind::Length, text).unwrap()
}

fn plate(
    position: Position,
    progression: Option<Progression>,
    backing: Backing,
    thickness: &str,
) -> PassedTest {
    PassedTest {
        welder: "A".to_owned(),
        process: Process::Gmaw,
        transfer: Some(Transfer::ShortCircuit),
        positions: vec![position],
        shape: TestShape::Plate,
        thickness: length(thickness),
        deposit: None,
        layers: None,
        outside_diameter: None,
        nominal_size: None,
        progressions: progression.into_iter().collect(),
        backing,
        filler: Some("F6".to_owned()),
        procedure_test: false,
        finished: date(2026, 11, 2),
        uses: Vec::new(),
        details: Default::default(),
    }
}

fn pipe(position: Position, progression: Progression, backing: Backing) -> PassedTest {
    PassedTest {
        shape: TestShape::Pipe,
        outside_diameter: Some(length("6.625 in")),
        nominal_size: Some(length("6 in")),
        ..plate(position, Some(progression), backing, "0.432 in")
    }
}

fn ahead(code_name: &str, test: PassedTest) -> Outlook {
    let yield_strength = Some(Quantity::parse(Kind::Pressure, "36 ksi").unwrap());
    let planned = PlannedTest {
        test,
        yield_strength,
        elongation_percent: Some(20.0),
        known: VisualReadings::default(),
        construction: None,
    };
    outlook(code(code_name).unwrap(), &planned).unwrap()
}

/// The answer about one word of one side, with the rules behind it.
fn asked<'a>(o: &'a Outlook, facet: Facet, about: &str, word: &str) -> &'a bendproof_codes::ahead::Neighbour {
    let found = o
        .neighbours
        .iter()
        .find(|n| n.facet == facet && n.about.contains(about) && n.words.iter().any(|w| w == word));
    found.unwrap_or_else(|| panic!("{} says nothing of {about} {word}: {:#?}", o.code, o.neighbours))
}

#[test]
fn an_open_root_plate_gives_nothing_under_the_structural_code() {
    let o = ahead("aws-d1.1", plate(Position::G3, Some(Progression::Downhill), Backing::Open, "3/8 in"));
    assert_eq!(o.standing.refused.as_ref().unwrap().rule, "d11-plate-open-root");
    assert!(o.neighbours.is_empty());
    // It is still cut, bent and looked at.
    assert_eq!(o.specimens.first().unwrap().1.sets.len(), 2);
    assert!(o.limits.iter().any(|l| l.because.rule == "d11-visual-root-concave"));
}

#[test]
fn backing_in_the_test_leaves_the_open_root_out() {
    let o = ahead("aws-d1.1", plate(Position::G3, Some(Progression::Uphill), Backing::Steel, "3/8 in"));
    let open = asked(&o, Facet::Backing, "backing", "open");
    assert_eq!(
        (open.answer, open.rules.as_slice()),
        (CoverAnswer::NotCovered, &["d11-backing-used".to_owned()][..])
    );
    assert!(open.why.contains("open root was not tested"), "{}", open.why);
    assert_eq!(asked(&o, Facet::Backing, "backing", "steel").answer, CoverAnswer::Covered);
    assert_eq!(asked(&o, Facet::Transfer, "transfer", "spray").answer, CoverAnswer::NotCovered);
    assert_eq!(asked(&o, Facet::Progression, "progression", "downhill").answer, CoverAnswer::NotCovered);
    assert_eq!(asked(&o, Facet::Position, "plate groove", "OH").answer, CoverAnswer::NotCovered);
    // A rule about open roots is no limit of this plate.
    assert!(o.limits.iter().all(|l| l.because.rule != "d11-visual-root-concave"));
}

#[test]
fn thickness_and_diameter_end_where_the_rules_end() {
    let o = ahead("aws-d1.1", plate(Position::G3, Some(Progression::Uphill), Backing::Steel, "3/8 in"));
    let of = |facet| -> Vec<String> {
        o.neighbours
            .iter()
            .filter(|n| n.facet == facet)
            .map(|n| format!("{} {}", n.words.join(","), n.answer.word()))
            .collect()
    };
    // Table 6.11 of the data: 1/8 to 3/4 in from a 3/8 in plate.
    assert_eq!(
        of(Facet::Thickness),
        ["up to 1/16 in not_covered", "1/8 in to 3/4 in covered", "from 13/16 in not_covered"]
    );
    let o = ahead("asme-ix-2023", pipe(Position::G6, Progression::Uphill, Backing::Open));
    let small = o.neighbours.iter().find(|n| n.facet == Facet::Diameter).unwrap();
    // NPS 2-1/2, 2.875 in outside, is the least pipe from an NPS 6 test.
    assert_eq!(
        (small.answer, small.words.as_slice()),
        (CoverAnswer::NotCovered, &["up to 2-3/8 in".to_owned()][..])
    );
}

#[test]
fn both_progressions_on_one_coupon_are_in_doubt_not_covered() {
    let mut test = plate(Position::G3, Some(Progression::Downhill), Backing::Steel, "3/8 in");
    test.progressions.push(Progression::Uphill);
    let o = ahead("aws-d1.1", test);
    let mixed = asked(&o, Facet::Progression, "progression", "uphill");
    assert_eq!(mixed.answer, CoverAnswer::NotSure);
    assert_eq!(mixed.rules, ["d11-progression-mixed"]);
}

#[test]
fn every_sentence_has_a_rule_that_can_be_explained() {
    for code in codes().unwrap() {
        for test in [
            plate(Position::G3, Some(Progression::Uphill), Backing::Steel, "1 in"),
            pipe(Position::G6, Progression::Downhill, Backing::Open),
        ] {
            let o = ahead(&code.id, test);
            for neighbour in &o.neighbours {
                assert!(!neighbour.why.is_empty() && !neighbour.text().contains('{'), "{}", neighbour.text());
                for rule in &neighbour.rules {
                    assert!(code.rule(rule).is_some(), "{}: {rule}", code.id);
                    assert!(explain(rule).is_ok(), "{rule}");
                }
            }
            assert!(o.limits.iter().all(|l| matches!(l.kind, RuleKind::Visual | RuleKind::Bend)));
            assert!(o.limits.iter().all(|l| !l.words.is_empty()));
        }
    }
}

#[test]
fn the_reach_has_no_gap_and_agrees_with_the_engine() {
    for code in codes().unwrap() {
        let mut test = pipe(Position::G6, Progression::Uphill, Backing::Open);
        test.details.base_metal = Some("P1".to_owned());
        let standing = standing(code, &test).unwrap();
        let mut joint = joint_like(code, &test);
        joint.details.base_metal = test.details.base_metal.clone();
        let reach = thickness_reach(&standing, &joint, System::Inch);
        let sixteenths = |m: f64| (m / 0.0254 * 16.0).round() as u32;
        assert_eq!(
            (sixteenths(reach.first().unwrap().from_m), sixteenths(reach.last().unwrap().to_m)),
            (1, 64)
        );
        assert!(reach.windows(2).all(|w| sixteenths(w[1].from_m) == sixteenths(w[0].to_m) + 1));
        for n in [1, 3, 14, 20, 64] {
            let thickness =
                Some(Quantity { si: f64::from(n) * 0.0254 / 16.0, kind: Kind::Length, system: System::Inch });
            let stretch =
                reach.iter().find(|s| (sixteenths(s.from_m)..=sixteenths(s.to_m)).contains(&n)).unwrap();
            assert_eq!(stretch.answer, covers(&standing, &Joint { thickness, ..joint.clone() }).answer);
        }
    }
}

fn joint(kind: JointKind, position: JointPosition, backing: JointBacking, thickness: &str) -> Joint {
    Joint {
        kind,
        position,
        process: Process::Gmaw,
        transfer: Some(Transfer::ShortCircuit),
        thickness: Some(length(thickness)),
        diameter: Some(length("8.625 in")),
        backing: Some(backing),
        progression: Some(Progression::Uphill),
        filler: Some("F6".to_owned()),
        day: None,
        details: Default::default(),
    }
}

fn stock() -> Vec<Candidate> {
    let mut out = Vec::new();
    for backing in Backing::ALL {
        for position in [Position::G1, Position::G2, Position::G3, Position::G4] {
            for (thickness, metal_m3) in [("3/8 in", 1.0), ("1 in", 3.0)] {
                let test = plate(position, Some(Progression::Uphill), *backing, thickness);
                out.push(Candidate { name: format!("{position} {thickness} {backing}"), test, metal_m3 });
            }
        }
        for position in [Position::G2, Position::G5, Position::G6] {
            let test = pipe(position, Progression::Uphill, *backing);
            out.push(Candidate { name: format!("{position} pipe {backing}"), test, metal_m3: 2.0 });
        }
    }
    out
}

/// Least number of candidates with which each joint is covered by one of them,
/// by trying every choice of up to three.
fn by_trying_all(standings: &[bendproof_codes::held::Standing], joints: &[Joint]) -> Option<usize> {
    let does = |n: usize, joint: &Joint| covers(&standings[n], joint).answer == CoverAnswer::Covered;
    let all = |set: &[usize]| joints.iter().all(|joint| set.iter().any(|n| does(*n, joint)));
    let n = standings.len();
    let one = (0..n).any(|a| all(&[a])).then_some(1);
    let two = || (0..n).any(|a| (a..n).any(|b| all(&[a, b]))).then_some(2);
    let three = || (0..n).any(|a| (a..n).any(|b| (b..n).any(|c| all(&[a, b, c])))).then_some(3);
    one.or_else(two).or_else(three)
}

#[test]
fn every_set_covers_and_no_smaller_one_exists() {
    use JointBacking::{Open, Steel};
    use JointKind::{Fillet, PipeGroove, PlateGroove};
    use JointPosition::{Flat, Horizontal, Overhead, Vertical};
    let lists = [
        vec![joint(PlateGroove, Vertical, Steel, "1/2 in"), joint(Fillet, Overhead, Steel, "1/4 in")],
        vec![joint(PlateGroove, Vertical, Open, "1/2 in"), joint(PlateGroove, Horizontal, Steel, "1 in")],
        vec![joint(PipeGroove, Overhead, Open, "0.322 in"), joint(PlateGroove, Flat, Steel, "1-1/2 in")],
        vec![
            joint(PlateGroove, Flat, Steel, "1/4 in"),
            joint(PlateGroove, Overhead, Steel, "1-1/2 in"),
            joint(PlateGroove, Vertical, Steel, "1/2 in"),
        ],
    ];
    let stock = stock();
    let mut found_some = 0;
    for code in codes().unwrap() {
        let standings: Vec<_> = stock.iter().map(|c| standing(code, &c.test).unwrap()).collect();
        for joints in &lists {
            let found = find_coupons(code, &stock, joints).unwrap();
            assert!(found.complete);
            let able = |j: &Joint| standings.iter().any(|s| covers(s, j).answer == CoverAnswer::Covered);
            let coverable: Vec<Joint> = joints.iter().filter(|j| able(j)).cloned().collect();
            for set in &found.sets {
                // A set is in doubt only about what no coupon of the stock covers.
                assert!(set.doubts.iter().all(|doubt| !able(&joints[doubt.joint])), "{} {set:?}", code.id);
                let covered = |j: &Joint| {
                    set.members
                        .iter()
                        .any(|m| covers(&standings[m.candidate], j).answer == CoverAnswer::Covered)
                };
                assert!(coverable.iter().all(covered), "{} {set:?}", code.id);
                for member in &set.members {
                    let does = |n: &usize| {
                        covers(&standings[member.candidate], &joints[*n]).answer == CoverAnswer::Covered
                    };
                    assert!(!member.joints.is_empty() && member.joints.iter().all(does));
                }
                found_some += 1;
            }
            let least = found.sets.first().map(|s| s.coupons);
            let wanted = by_trying_all(&standings, &coverable).filter(|_| !coverable.is_empty());
            assert_eq!(least, wanted, "{}", code.id);
            for (n, joint) in joints.iter().enumerate() {
                assert_eq!(found.joints[n].answer == CoverAnswer::Covered, able(joint));
            }
        }
    }
    assert!(found_some > 4, "{found_some}");
}

#[test]
fn what_no_coupon_covers_says_why() {
    // Downhill is in no coupon of the stock.
    let asked = Joint {
        progression: Some(Progression::Downhill),
        ..joint(JointKind::PlateGroove, JointPosition::Vertical, JointBacking::Steel, "1/2 in")
    };
    let found: FinderResult = find_coupons(code("aws-d1.1").unwrap(), &stock(), &[asked]).unwrap();
    assert!(found.sets.is_empty());
    let answer = &found.joints[0];
    assert_eq!(answer.answer, CoverAnswer::NotCovered);
    let rules: Vec<&String> = answer.reasons.iter().flat_map(|r| &r.rules).collect();
    assert_eq!(rules, ["d11-progression-uphill"]);
}

#[test]
fn doubt_never_counts_as_covered_and_is_reported() {
    // Both progressions on each coupon: whether one qualifies both is disputed.
    let mut stock = stock();
    for candidate in &mut stock {
        candidate.test.progressions = vec![Progression::Uphill, Progression::Downhill];
    }
    let asked = joint(JointKind::PlateGroove, JointPosition::Vertical, JointBacking::Steel, "1/2 in");
    let found = find_coupons(code("aws-d1.1").unwrap(), &stock, &[asked]).unwrap();
    assert!(found.sets.is_empty());
    assert_eq!(found.joints[0].answer, CoverAnswer::NotSure);
    let hoped = found.if_settled.first().unwrap();
    assert_eq!(hoped.coupons, 1);
    assert!(hoped.doubts.iter().any(|d| d.rules == ["d11-progression-mixed"]));
}

#[test]
fn impossible_questions_are_refused_in_words() {
    let code = code("aws-d1.1").unwrap();
    assert_eq!(find_coupons(code, &stock(), &[]), Err(FinderError::NoJoint));
    let asked = joint(JointKind::PlateGroove, JointPosition::Flat, JointBacking::Steel, "1/2 in");
    let many = vec![asked.clone(); 65];
    assert_eq!(find_coupons(code, &stock(), &many), Err(FinderError::TooManyJoints { joints: 65 }));
    let mut broken = stock();
    broken[0].test.positions = vec![Position::G6];
    let said = find_coupons(code, &broken, &[asked]).unwrap_err().to_string();
    assert!(said.contains("position of pipe"), "{said}");
}
