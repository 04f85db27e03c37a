//! The bands of one table meet: along every thickness and diameter exactly one
//! row answers, or the code says why none does.
#![allow(clippy::unwrap_used)]

use bendproof_codes::catalogue::{Code, code, codes};
use bendproof_codes::held::{Doubt, PassedTest, Standing, standing};
use bendproof_codes::judged::{Coupon, specimens};
use bendproof_codes::rule::{Cited, Condition, Demand, Extent, FactAnswer, Rule, Test};
use bendproof_codes::words::{Facet, Purpose, RuleKind, TestShape};
use bendproof_measure::{Kind, Quantity, System};
use bendproof_weld::{Backing, Position, Process, Progression, Transfer};

/// Every sixteenth of an inch and every millimetre and a half to 2-1/2 in and
/// 60 mm, which lies beyond the last band of every table here, and each printed
/// end of this kind of rule with its neighbours on both sides.
fn sizes(code: &Code, kind: RuleKind, facts: &[&str]) -> Vec<Quantity> {
    let mut list: Vec<Quantity> = Vec::new();
    for n in 1..=40_u32 {
        list.push(length(f64::from(n) * 0.0254 / 16.0, System::Inch));
        list.push(length(f64::from(n) * 1.5e-3, System::Metric));
    }
    for (fact, size) in
        code.rules.iter().filter(|rule| rule.kind == kind).flat_map(|rule| &rule.when).flat_map(ends)
    {
        if let Extent::Pair(pair) = size
            && facts.contains(&fact)
        {
            for system in [System::Inch, System::Metric] {
                let at = pair.in_system(system).si;
                list.extend([at - 1e-5, at, at + 1e-5].map(|si| length(si, system)));
            }
        }
    }
    list.retain(|size| size.si > 0.0);
    list.sort_by(|a, b| {
        (a.system == System::Inch).cmp(&(b.system == System::Inch)).then(a.si.total_cmp(&b.si))
    });
    list.dedup();
    list
}

/// Codes that qualify welders with bands of their own: those that stand whole, and editions whose
/// tables differ from their base's.
fn banded() -> Vec<&'static Code> {
    let tables = |code: &'static Code| {
        let rows = code.rules.iter().filter(|r| {
            r.kind == RuleKind::Specimens || matches!(r.demand, Demand::Range { .. } | Demand::Refuse)
        });
        rows.map(|r| (&r.when, &r.demand)).collect::<Vec<_>>()
    };
    let own = |code: &&Code| match &code.based_on {
        Some(base) => tables(code_named(&code.id)) != tables(code_named(base)),
        None => true,
    };
    codes().unwrap().iter().copied().filter(|code| code.has_tests()).filter(own).collect()
}

/// Of these the ones that say what a welder's test covers.
fn of_welders() -> Vec<&'static Code> {
    let says = |code: &&Code| code.rules.iter().any(|r| r.kind == RuleKind::Standing);
    banded().into_iter().filter(says).collect()
}

fn code_named(id: &str) -> &'static Code {
    code(id).unwrap()
}

fn length(si: f64, system: System) -> Quantity {
    Quantity { si, kind: Kind::Length, system }
}

fn ends(condition: &Condition) -> Vec<(&'static str, &Extent)> {
    match &condition.test {
        Test::Size { over, at_least, at_most, under } => {
            let all = [over, at_least, at_most, under].into_iter().flatten();
            all.map(|end| (condition.fact, end)).collect()
        }
        _ => Vec::new(),
    }
}

/// Pipe sizes on both sides of every diameter the tables name.
const PIPES_IN: [f64; 6] = [0.84, 2.875, 4.0, 4.5, 6.625, 16.0];

fn pipes(shape: TestShape) -> Vec<Option<Quantity>> {
    match shape {
        TestShape::Plate => vec![None],
        TestShape::Pipe => PIPES_IN.map(|d| Some(length(d * 0.0254, System::Inch))).to_vec(),
    }
}

fn positions(shape: TestShape) -> Vec<Position> {
    let foreign = |p: &Position| match shape {
        TestShape::Plate => ["5G", "6G", "6GR"].contains(&p.word()),
        TestShape::Pipe => ["3G", "4G"].contains(&p.word()),
    };
    Position::ALL.iter().copied().filter(|p| !foreign(p)).collect()
}

#[test]
fn one_specimen_row_answers_for_every_thickness_or_the_plan_says_why_none_does() {
    for code in banded() {
        let (mut asked, mut answered) = (0, 0);
        let sizes = sizes(code, RuleKind::Specimens, &["thickness", "deposit"]);
        for shape in [TestShape::Plate, TestShape::Pipe] {
            for purpose in [Purpose::Welder, Purpose::Procedure] {
                for position in positions(shape) {
                    for outside_diameter in pipes(shape) {
                        let mut rows = 0;
                        for &thickness in &sizes {
                            let coupon = Coupon {
                                purpose,
                                shape,
                                position,
                                thickness,
                                outside_diameter,
                                nominal_size: None,
                                deposit: None,
                                yield_strength: None,
                                elongation_percent: None,
                                welded: None,
                            };
                            let plan = specimens(code, &coupon);
                            rows += plan.because.len();
                            let said = !plan.doubts.is_empty();
                            let one = plan.because.len() == 1 && !plan.sets.is_empty();
                            assert!(
                                one || said && plan.because.len() < 2,
                                "{} {coupon:?}: {plan:?}",
                                code.id
                            );
                        }
                        // What the code tests at no size it does not test.
                        if rows > 0 {
                            asked += sizes.len();
                            answered += rows;
                        }
                    }
                }
            }
        }
        // Doubt alone would pass the test above; what a code tests, its rows answer.
        assert!(asked > 0 && answered * 20 > asked * 19, "{}: {answered} of {asked}", code.id);
    }
}

fn passed(shape: TestShape, position: Position, thickness: Quantity, od: Option<Quantity>) -> PassedTest {
    PassedTest {
        welder: "A. Welder".to_owned(),
        process: Process::Gmaw,
        transfer: Some(Transfer::Spray),
        positions: vec![position],
        shape,
        thickness,
        deposit: None,
        layers: Some(3),
        outside_diameter: od,
        nominal_size: None,
        progressions: vec![Progression::Uphill],
        backing: Backing::Steel,
        filler: Some("F6".to_owned()),
        procedure_test: false,
        finished: "2026-03-01".parse().unwrap(),
        uses: Vec::new(),
        details: Default::default(),
    }
}

/// How many ranges of the facet a standing cites for the welds it covers: its
/// grooves, or its fillets where it covers no groove.
fn ranges(code: &Code, standing: &Standing, facet: Facet) -> usize {
    let grooves = !standing.positions.plate_groove.is_empty() || !standing.pipe_rows.is_empty();
    let is_range = |cited: &&Cited| match &code.rule(&cited.rule).unwrap().demand {
        Demand::Range { facet: of, joints, .. } => {
            *of == facet && (joints.is_empty() || joints.iter().any(|j| (j != "fillet") == grooves))
        }
        _ => false,
    };
    standing.because.iter().filter(is_range).count()
}

#[test]
fn one_thickness_row_answers_for_every_test_or_the_standing_says_why_none_does() {
    let (mut asked, mut answered) = (0, 0);
    for code in of_welders() {
        let sizes = sizes(code, RuleKind::Standing, &["thickness", "deposit"]);
        for shape in [TestShape::Plate, TestShape::Pipe] {
            for position in positions(shape) {
                for od in pipes(shape) {
                    for &thickness in &sizes {
                        let test = passed(shape, position, thickness, od);
                        let standing = standing(code, &test).unwrap();
                        let rows = ranges(code, &standing, Facet::Thickness);
                        let about =
                            |d: &Doubt| matches!(d.facet, Some(Facet::Thickness | Facet::Position) | None);
                        let said = standing.refused.is_some() || standing.doubts.iter().any(about);
                        asked += 1;
                        answered += rows;
                        assert!(rows == 1 || rows == 0 && said, "{} {test:?}: {standing:?}", code.id);
                    }
                }
            }
        }
    }
    // Doubt alone would pass the test above; two thirds have a row.
    assert!(answered * 2 > asked, "{answered} of {asked}");
}

#[test]
fn one_diameter_row_answers_for_every_pipe_or_the_standing_says_why_none_does() {
    for code in of_welders() {
        let sizes = sizes(code, RuleKind::Standing, &["pipe_size", "outside_diameter"]);
        for position in positions(TestShape::Pipe) {
            for &od in &sizes {
                let wall = length(od.si / 8.0, od.system);
                let test = passed(TestShape::Pipe, position, wall, Some(od));
                let standing = standing(code, &test).unwrap();
                let rows = ranges(code, &standing, Facet::Diameter);
                let about = |d: &Doubt| matches!(d.facet, Some(Facet::Diameter | Facet::Position) | None);
                let said = standing.refused.is_some() || standing.doubts.iter().any(about);
                let fillet = position.word().ends_with('F');
                assert!(rows == 1 || rows == 0 && (said || fillet), "{} {test:?}: {standing:?}", code.id);
            }
        }
    }
}

/// Within one code the strap and jig rows divide the same way: never two.
#[test]
fn no_two_rows_give_one_strap_or_one_jig() {
    for code in codes().unwrap() {
        for kind in [RuleKind::Strap, RuleKind::Jig] {
            let rules: Vec<&Rule> = code.rules.iter().filter(|r| r.kind == kind).collect();
            for case in rules.iter().flat_map(|r| &r.cases) {
                let apply = rules.iter().filter(|r| r.applies(&case.facts) == FactAnswer::Yes);
                assert!(apply.count() <= 1, "{}: {}", code.id, case.name);
            }
        }
    }
}
