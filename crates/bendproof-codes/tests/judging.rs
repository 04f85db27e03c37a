//! Edge cases of judging: input that is no set of straps, sets that are not
//! complete, readings in two systems, and the words of findings.
#![allow(clippy::unwrap_used)]

use bendproof_codes::catalogue::{Code, code, codes};
use bendproof_codes::held::{PassedTest, TestDetails, standing};
use bendproof_codes::judged::{
    BendError, BendTest, Coupon, Opening, OtherExams, Strap, asks_weld_in_bend, judge, not_examined,
};
use bendproof_codes::rule::Counts;
use bendproof_codes::words::{
    Basis, Cause, Facet, Place, Purpose, RuleKind, StrapKind, TestShape, Verdict, Zone,
};
use bendproof_measure::{Kind, Quantity};
use bendproof_weld::{Backing, Position, Process, Progression, Transfer};

fn length(text: &str) -> Quantity {
    Quantity::parse(Kind::Length, text).unwrap()
}

fn face(text: &str) -> Opening {
    Opening { length: length(text), place: Place::Face, cause: Cause::NotStated, zone: Zone::NotStated }
}

fn strap(id: &str, kind: StrapKind, openings: Option<Vec<Opening>>) -> Strap {
    Strap {
        id: id.to_owned(),
        kind,
        thickness: Some(length("3/8 in")),
        wall: None,
        weld_in_bend: Some(true),
        openings,
    }
}

fn d11() -> &'static Code {
    code("aws-d1.1-2020").unwrap()
}

fn set(straps: Vec<Strap>) -> BendTest {
    BendTest { straps, coupon: None, others: OtherExams::default() }
}

#[test]
fn input_that_is_no_set_of_straps_is_refused_in_words() {
    assert_eq!(judge(d11(), &set(Vec::new())).unwrap_err(), BendError::NoStraps);
    let twice =
        set(vec![strap("R1", StrapKind::Root, Some(vec![])), strap("R1", StrapKind::Face, Some(vec![]))]);
    assert_eq!(
        judge(d11(), &twice).unwrap_err().to_string(),
        "specimen `R1` is listed twice; give each specimen its own mark"
    );
    for (si, said) in [(0.0, "0 mm"), (-0.001, "-1 mm"), (f64::NAN, "NaN mm"), (f64::INFINITY, "inf mm")] {
        let opening = Opening { length: Quantity::from_si(Kind::Length, si), ..face("1/8 in") };
        let error = judge(d11(), &set(vec![strap("R1", StrapKind::Root, Some(vec![opening]))])).unwrap_err();
        assert_eq!(
            error.to_string(),
            format!("specimen `R1`: a discontinuity is {said}; enter a length above zero")
        );
    }
}

#[test]
fn one_strap_not_looked_at_keeps_the_set_from_acceptance() {
    let report = judge(
        d11(),
        &set(vec![strap("F1", StrapKind::Face, Some(vec![])), strap("R1", StrapKind::Root, None)]),
    )
    .unwrap();
    assert_eq!(report.straps[0].verdict, Verdict::Accept);
    assert_eq!(report.straps[1].verdict, Verdict::NotCovered);
    assert!(!report.straps[1].inspected);
    assert_eq!(report.straps[1].findings[0].message, "convex surface not inspected; no verdict");
    assert_eq!(report.verdict, Verdict::NotCovered);
}

/// Every code that judges bends has a rule for it; the judge adds none.
#[test]
fn no_code_accepts_a_strap_nobody_looked_at() {
    let bending = codes().unwrap().iter().filter(|code| code.judges(RuleKind::Bend));
    for (code, kind) in bending.flat_map(|code| StrapKind::ALL.iter().map(move |kind| (code, *kind))) {
        let report = judge(code, &set(vec![strap("A", kind, None)])).unwrap();
        assert!(report.straps[0].verdict >= Verdict::NotCovered, "{} {kind}", code.id);
        assert!(!report.straps[0].inspected);
    }
}

/// Where a code has no rule for a weld outside the bend, a plain no is not passed
/// over, and nobody is asked.
#[test]
fn a_strap_bent_next_to_its_weld_is_accepted_by_no_code() {
    for code in codes().unwrap().iter().filter(|code| code.judges(RuleKind::Bend)) {
        let bent = |weld_in_bend| {
            let sound = Strap { weld_in_bend, ..strap("A", StrapKind::Root, Some(Vec::new())) };
            judge(code, &set(vec![sound])).unwrap().straps.remove(0)
        };
        assert!(bent(Some(false)).verdict >= Verdict::NotCovered, "{}", code.id);
        assert_eq!(bent(Some(true)).verdict, Verdict::Accept, "{}", code.id);
        let open = bent(None).verdict;
        assert_eq!(open == Verdict::NotCovered, asks_weld_in_bend(code), "{}", code.id);
    }
}

/// A plate of a welder's test in 3G.
fn welder_plate(thickness: &str) -> Coupon {
    Coupon {
        purpose: Purpose::Welder,
        shape: TestShape::Plate,
        position: Position::G3,
        thickness: length(thickness),
        outside_diameter: None,
        nominal_size: None,
        deposit: None,
        yield_strength: None,
        elongation_percent: None,
        welded: None,
    }
}

#[test]
fn a_set_is_complete_when_the_coupon_says_so() {
    let coupon = welder_plate("3/8 in");
    let root = strap("R1", StrapKind::Root, Some(vec![]));
    let one =
        BendTest { straps: vec![root.clone()], coupon: Some(coupon.clone()), others: OtherExams::default() };
    let report = judge(d11(), &one).unwrap();
    assert_eq!(report.straps[0].verdict, Verdict::Accept);
    assert_eq!(report.verdict, Verdict::NotCovered);
    assert_eq!(report.set[0].rule, "d11-specimens-plate-limited");
    let both = BendTest {
        straps: vec![root, strap("F1", StrapKind::Face, Some(vec![]))],
        coupon: Some(coupon),
        others: OtherExams::default(),
    };
    assert_eq!(judge(d11(), &both).unwrap().verdict, Verdict::Accept);
}

/// A strap the former does not suit is not accepted, whatever its surface shows.
#[test]
fn a_strap_too_thick_or_too_thin_for_the_former_is_not_accepted() {
    let coupon = |shape, position, wall: &str| Coupon {
        purpose: Purpose::Welder,
        shape,
        position,
        thickness: length(wall),
        outside_diameter: (shape == TestShape::Pipe).then(|| length("6.625 in")),
        nominal_size: None,
        deposit: None,
        yield_strength: None,
        elongation_percent: None,
        welded: None,
    };
    let said = |kind, thick: &str, coupon: Option<Coupon>| {
        let bent = Strap { thickness: Some(length(thick)), ..strap("1", kind, Some(vec![])) };
        let report =
            judge(d11(), &BendTest { straps: vec![bent], coupon, others: OtherExams::default() }).unwrap();
        let finding = report.straps[0].findings.iter().find(|f| f.rule.contains("-strap-")).cloned();
        (report.straps[0].verdict, finding.map(|f| (f.rule, f.message)))
    };
    let half = || Some(coupon(TestShape::Plate, Position::G3, "1/2 in"));
    let (verdict, finding) = said(StrapKind::Side, "1/2 in", half());
    assert_eq!(verdict, Verdict::NotCovered);
    let (rule, message) = finding.unwrap();
    assert_eq!(rule, "d11-strap-side");
    assert_eq!(
        message,
        "the specimen is 1/2 in thick and the maximum is 3/8 in; plunger and strain no longer match the test"
    );
    let (verdict, finding) = said(StrapKind::Side, "1/8 in", half());
    assert_eq!(verdict, Verdict::NotCovered);
    assert_eq!(
        finding.unwrap().1,
        "the specimen is 1/8 in thick, less than half of 3/8 in; the plunger for that thickness strains it too little to test the weld"
    );
    // A side strap has its thickness from the code alone.
    assert_eq!(said(StrapKind::Side, "1/2 in", None).0, Verdict::NotCovered);
    for fits in ["3/8 in", "10 mm", "0.390 in", "3/16 in"] {
        assert_eq!(said(StrapKind::Side, fits, half()), (Verdict::Accept, None), "{fits}");
    }
    // A face or root strap of thin pipe is as thick as its wall.
    let pipe = || Some(coupon(TestShape::Pipe, Position::G2, "0.280 in"));
    assert_eq!(said(StrapKind::Root, "0.280 in", pipe()), (Verdict::Accept, None));
    assert_eq!(said(StrapKind::Root, "0.350 in", pipe()).0, Verdict::NotCovered);
    assert_eq!(said(StrapKind::Root, "0.350 in", None), (Verdict::Accept, None));
}

/// Bends alone never complete a set that has pieces to pull and to break; with
/// those examined too it is complete.
#[test]
fn a_set_with_tension_and_nick_break_pieces_is_not_accepted_from_bends_alone() {
    let coupon = Coupon {
        purpose: Purpose::Welder,
        shape: TestShape::Pipe,
        position: Position::G5,
        thickness: length("0.280 in"),
        deposit: None,
        outside_diameter: Some(length("6.625 in")),
        nominal_size: Some(length("6 in")),
        yield_strength: None,
        elongation_percent: None,
        welded: None,
    };
    let api = code("api-1104-2013").unwrap();
    let bent = |roots: usize, others: OtherExams| {
        let straps = (0..roots).map(|n| Strap {
            thickness: Some(length("0.280 in")),
            ..strap(&n.to_string(), StrapKind::Root, Some(vec![]))
        });
        judge(api, &BendTest { straps: straps.collect(), coupon: Some(coupon.clone()), others }).unwrap()
    };
    let report = bent(2, OtherExams::default());
    assert!(report.straps.iter().all(|s| s.verdict == Verdict::Accept));
    assert_eq!(report.verdict, Verdict::NotCovered);
    assert_eq!(report.set[0].rule, "api-specimens-welder-to-12-thin");
    assert!(report.set[0].message.ends_with("not examined: 2 tension, 2 nick-break"), "{report:#?}");
    let pulled = OtherExams { tension: 2, nick_break: 1, is_radiographed: false, ..OtherExams::default() };
    assert!(bent(1, pulled).set[0].message.ends_with("not examined: 1 nick-break, 1 root"));
    let whole = OtherExams { nick_break: 2, ..pulled };
    assert_eq!(bent(2, whole).verdict, Verdict::Accept);

    let made = Counts { root: 2, tension: 2, nick_break: 1, ..Counts::default() };
    let missing = not_examined(api, &coupon, &made, &OtherExams::default()).unwrap();
    assert_eq!((missing.nick_break, missing.pieces()), (1, 1));
    assert_eq!(not_examined(api, &coupon, &Counts { nick_break: 3, ..made }, &OtherExams::default()), None);
    // A spare root bend stands for nothing else.
    assert_eq!(
        not_examined(api, &coupon, &Counts { root: 9, ..made }, &OtherExams::default()),
        Some(missing)
    );
}

/// With a film the counts are enough; without one the whole length is bent.
#[test]
fn an_iso_butt_weld_is_complete_only_with_bends_and_a_film() {
    let coupon = Coupon {
        purpose: Purpose::Welder,
        shape: TestShape::Plate,
        position: Position::G3,
        thickness: length("10 mm"),
        deposit: None,
        outside_diameter: None,
        nominal_size: None,
        yield_strength: None,
        elongation_percent: None,
        welded: None,
    };
    let bent = |is_radiographed| {
        let piece =
            |id: &str, kind| Strap { thickness: Some(length("10 mm")), ..strap(id, kind, Some(vec![])) };
        let straps = vec![piece("F1", StrapKind::Face), piece("R1", StrapKind::Root)];
        let others = OtherExams { is_radiographed, ..OtherExams::default() };
        let test = BendTest { straps, coupon: Some(coupon.clone()), others };
        judge(code("iso-9606-1-2017").unwrap(), &test).unwrap()
    };
    assert_eq!(bent(true).verdict, Verdict::Accept, "{:#?}", bent(true));
    assert_eq!(bent(false).verdict, Verdict::NotCovered);
    assert!(bent(false).set.iter().any(|f| f.rule == "iso9606-specimens-bends-only"));
}

/// 3 mm + 3 mm + 1/8 in is 9.175 mm. One more of 1/64 in does not count; one of
/// 1.1 mm does, and 10.275 mm breaks the stricter sum, 3/8 in or 9.525 mm.
#[test]
fn a_strap_read_in_two_systems_meets_the_stricter_sum() {
    let mixed = |last: &str| {
        let openings = vec![face("3 mm"), face("3 mm"), face("1/8 in"), face(last)];
        judge(d11(), &set(vec![strap("R1", StrapKind::Root, Some(openings))])).unwrap().verdict
    };
    assert_eq!(mixed("1/64 in"), Verdict::Accept);
    assert_eq!(mixed("1.1 mm"), Verdict::Reject);
}

#[test]
fn a_sum_with_nothing_counted_speaks_in_the_straps_own_system() {
    let report = judge(d11(), &set(vec![strap("R1", StrapKind::Root, Some(vec![face("1/32 in")]))])).unwrap();
    let sum = report.straps[0].findings.iter().find(|f| f.rule == "d11-bend-openings-sum").unwrap();
    assert_eq!(sum.measured_text().as_deref(), Some("0 in"));
    assert_eq!(sum.limit_text().as_deref(), Some("3/8 in"));
}

#[test]
fn findings_say_what_was_measured_and_what_is_allowed() {
    let openings = vec![face("5/32 in"), face("1/16 in")];
    let report = judge(d11(), &set(vec![strap("R1", StrapKind::Root, Some(openings))])).unwrap();
    let finding = report.straps[0].findings.iter().find(|f| f.verdict == Verdict::Reject).unwrap();
    assert_eq!(finding.rule, "d11-bend-single-opening");
    assert_eq!(finding.clause, "6.10.3.3 (1)");
    assert_eq!(finding.basis, Basis::Secondary);
    assert_eq!(
        finding.message,
        "discontinuity of 5/32 in exceeds the 1/8 in limit for a single discontinuity"
    );
    assert_eq!(
        (finding.measured_text().unwrap(), finding.limit_text().unwrap()),
        ("5/32 in".into(), "1/8 in".into())
    );
}

/// The corner crack that leaves the sum by growing is not waved through.
#[test]
fn a_clean_corner_crack_that_outgrows_the_sum_is_left_to_the_inspector() {
    let with_corner = |text: &str| {
        let corner = Opening { place: Place::Corner, cause: Cause::None, ..face(text) };
        let openings = vec![face("1/8 in"), face("1/8 in"), face("3/32 in"), corner];
        judge(d11(), &set(vec![strap("R1", StrapKind::Root, Some(openings))])).unwrap().verdict
    };
    assert_eq!(with_corner("1/8 in"), Verdict::Reject);
    assert_eq!(with_corner("3/16 in"), Verdict::NotCovered);
    assert_eq!(with_corner("5/16 in"), Verdict::Void);
}

#[test]
fn a_corner_crack_without_a_stated_cause_says_what_is_wanted() {
    let corner = Opening { place: Place::Corner, ..face("3/16 in") };
    let report = judge(d11(), &set(vec![strap("R1", StrapKind::Root, Some(vec![corner]))])).unwrap();
    let finding = report.straps[0].findings.iter().find(|f| f.rule == "d11-bend-corner-flaw").unwrap();
    assert_eq!(finding.verdict, Verdict::NotCovered);
    assert_eq!(
        finding.message,
        "the cause of an opening of 3/16 in is not stated and decides; say whether slag or lack of fusion \
         is visible in it"
    );
}

/// D1.1:2020 6.10.3.3: 1/8 in on the surface, a corner crack to 1/4 in that shows
/// no flaw. Where it lies decides from over 1/8 in to 1/4 in.
#[test]
fn an_opening_whose_place_nobody_stated_is_judged_only_where_the_place_does_not_matter() {
    let at = |text: &str, place, cause| {
        let openings = vec![Opening { place, cause, ..face(text) }];
        let report = judge(d11(), &set(vec![strap("R1", StrapKind::Root, Some(openings))])).unwrap();
        let said = report.straps[0].findings.iter().filter(|f| f.measured.is_some());
        let worst = said.clone().map(|f| f.verdict).max();
        let said = said.filter(|f| Some(f.verdict) == worst).map(|f| f.message.clone());
        (report.straps[0].verdict, said.collect::<Vec<_>>().join("\n"))
    };
    let (verdict, message) = at("3/16 in", Place::NotStated, Cause::None);
    assert_eq!(verdict, Verdict::NotCovered);
    assert_eq!(
        message,
        "the place of an opening of 3/16 in is not stated and decides; say on the convex surface or at a corner \
         of the specimen"
    );
    assert_eq!(at("3/16 in", Place::NotStated, Cause::NotStated).0, Verdict::NotCovered);
    assert_eq!(at("3/16 in", Place::Face, Cause::None).0, Verdict::Reject);
    assert_eq!(at("3/16 in", Place::Corner, Cause::None).0, Verdict::Accept);
    // Slag in it: the surface's limit holds at a corner too.
    assert_eq!(at("3/16 in", Place::NotStated, Cause::Slag).0, Verdict::Reject);
    // Nobody saw a corner crack, or slag in one, and nobody is told so.
    let (verdict, message) = at("1/32 in", Place::NotStated, Cause::NotStated);
    assert_eq!(verdict, Verdict::Accept);
    assert!(!message.contains("orner") && !message.contains("inclusion"), "{message}");
    let (_, message) = at("1/32 in", Place::Corner, Cause::NotStated);
    assert!(!message.contains("inclusion"), "{message}");
}

#[test]
fn a_thickness_that_nobody_measured_is_not_judged() {
    let coupon = welder_plate("1/2 in");
    let said = |thickness| {
        let bent = Strap { thickness, ..strap("1", StrapKind::Side, Some(vec![])) };
        let test =
            BendTest { straps: vec![bent], coupon: Some(coupon.clone()), others: OtherExams::default() };
        let report = judge(d11(), &test).unwrap();
        (report.straps[0].verdict, report.straps[0].findings.iter().any(|f| f.rule == "d11-strap-side"))
    };
    assert_eq!(said(None), (Verdict::Accept, false));
    assert_eq!(said(Some(length("1/2 in"))), (Verdict::NotCovered, true));
}

/// API 1104 5.6.4.3: half the wall, where that is less than 1/8 in. The wall is
/// the pipe's, whatever the strap was dressed to.
#[test]
fn the_wall_of_a_strap_is_that_of_its_coupon() {
    let api = code("api-1104-2013").unwrap();
    let coupon = Coupon {
        purpose: Purpose::Welder,
        shape: TestShape::Pipe,
        position: Position::G5,
        thickness: length("0.188 in"),
        outside_diameter: Some(length("4.500 in")),
        nominal_size: None,
        deposit: None,
        yield_strength: None,
        elongation_percent: None,
        welded: None,
    };
    let opening = Opening { cause: Cause::None, zone: Zone::Weld, ..face("0.110 in") };
    let bent = Strap { thickness: None, ..strap("R1", StrapKind::Root, Some(vec![opening])) };
    let test = BendTest { straps: vec![bent], coupon: Some(coupon), others: OtherExams::default() };
    assert_eq!(judge(api, &test).unwrap().straps[0].verdict, Verdict::Reject);
}

/// 49 CFR 192 Appendix C, I, read in a copy: the four straps are root bends.
#[test]
fn straps_that_are_no_root_bends_decide_nothing_where_the_code_asks_for_roots() {
    let cfr = code("49-cfr-192-appendix-c").unwrap();
    let verdict = |kind| {
        let four = (1..=4).map(|n| strap(&n.to_string(), kind, Some(Vec::new()))).collect();
        judge(cfr, &set(four)).unwrap().verdict
    };
    assert_eq!(verdict(StrapKind::Root), Verdict::Accept);
    assert_eq!(verdict(StrapKind::Face), Verdict::NotCovered);
    assert_eq!(verdict(StrapKind::Side), Verdict::NotCovered);
}

fn passed() -> PassedTest {
    PassedTest {
        welder: "A. Welder".to_owned(),
        process: Process::Gmaw,
        transfer: Some(Transfer::Spray),
        positions: vec![Position::G3],
        shape: TestShape::Plate,
        thickness: length("3/8 in"),
        deposit: None,
        layers: None,
        outside_diameter: None,
        nominal_size: None,
        progressions: vec![Progression::Uphill],
        backing: Backing::Steel,
        filler: None,
        details: TestDetails::default(),
        procedure_test: false,
        finished: "2026-03-01".parse().unwrap(),
        uses: Vec::new(),
    }
}

#[test]
fn input_that_is_no_passed_test_is_refused_in_words() {
    let refused = |test: PassedTest| standing(d11(), &test).unwrap_err().to_string();
    assert_eq!(
        refused(PassedTest { positions: vec![], ..passed() }),
        "position is missing; enter the position of each coupon, for example 3G"
    );
    assert_eq!(
        refused(PassedTest { positions: vec![Position::G3, Position::G3], ..passed() }),
        "position 3G is given twice"
    );
    assert_eq!(
        refused(PassedTest { thickness: Quantity::from_si(Kind::Length, f64::NAN), ..passed() }),
        "the thickness is NaN mm; enter a length above zero"
    );
    assert_eq!(
        refused(PassedTest { uses: vec!["2026-02-28".parse().unwrap()], ..passed() }),
        "a use on 2026-02-28 is before the test was finished on 2026-03-01"
    );
}

#[test]
fn a_test_piece_that_cannot_exist_is_refused_in_words() {
    let pipe = || PassedTest {
        shape: TestShape::Pipe,
        positions: vec![Position::G6],
        outside_diameter: Some(length("6.625 in")),
        ..passed()
    };
    let refused = |test: PassedTest| standing(d11(), &test).unwrap_err().to_string();
    assert!(standing(d11(), &pipe()).is_ok());
    for position in [Position::G5, Position::G6, Position::G6R] {
        assert_eq!(
            refused(PassedTest { positions: vec![Position::G1, position], ..passed() }),
            format!(
                "position {position} cannot be welded on plate; it is a position of pipe; a plate has 1G, 2G, \
                 3G and 4G"
            )
        );
    }
    for position in [Position::G3, Position::G4] {
        assert_eq!(
            refused(PassedTest { positions: vec![position], ..pipe() }),
            format!(
                "position {position} cannot be welded on pipe; it is a position of plate; a pipe has 1G, 2G, \
                 5G, 6G and 6GR"
            )
        );
    }
    assert_eq!(
        refused(PassedTest { outside_diameter: None, nominal_size: Some(length("6 in")), ..pipe() }),
        "the pipe's outside diameter is missing; enter it, the qualified range depends on it"
    );
    assert!(standing(d11(), &PassedTest { deposit: Some(length("3/8 in")), ..passed() }).is_ok());
    assert_eq!(
        refused(PassedTest { deposit: Some(length("1/2 in")), ..passed() }),
        "the deposit 1/2 in is more than the thickness 3/8 in; check both"
    );
}

#[test]
fn a_gmaw_test_without_transfer_mode_or_progression_is_doubted() {
    let vague = standing(d11(), &PassedTest { transfer: None, progressions: vec![], ..passed() }).unwrap();
    assert!(vague.transfer_modes.is_empty() && vague.progressions.is_empty());
    let about: Vec<Option<Facet>> = vague.doubts.iter().map(|d| d.facet).collect();
    assert_eq!(about, [Some(Facet::Transfer), Some(Facet::Progression)]);
}

#[test]
fn a_section_ix_standing_says_that_base_metal_is_not_judged() {
    let test = PassedTest { filler: Some("F6".to_owned()), ..passed() };
    let asme = standing(code("asme-ix-2023").unwrap(), &test).unwrap();
    let [doubt] = asme.doubts.as_slice() else { panic!("{:#?}", asme.doubts) };
    assert_eq!((doubt.facet, doubt.rule.as_str()), (Some(Facet::BaseMetal), "asme-base-metal"));
    assert!(doubt.message.starts_with("base metal group is not judged"));
}
