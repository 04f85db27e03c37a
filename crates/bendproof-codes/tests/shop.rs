//! A shop's own rule file: it may tighten and never loosens, and every refusal
//! names the rule, the value, the code's value and the next step.
#![allow(clippy::unwrap_used)]

use bendproof_codes::catalogue::{Code, LoadError, ShopRuleError, ShopRules, code, codes, tighten};
use bendproof_codes::held::{Joint, PassedTest, covers, standing};
use bendproof_codes::judged::{BendTest, Opening, OtherExams, Strap, VisualReadings, judge, judge_visual};
use bendproof_codes::rule::{Answer, Demand, Extent, Pair};
use bendproof_codes::words::{
    Basis, Cause, Claim, JointBacking, JointKind, JointPosition, Place, RuleKind, StrapKind, TestShape,
    Verdict, Zone,
};
use bendproof_measure::{Kind, Quantity, System};
use bendproof_weld::{Backing, Position, Process, Progression, Transfer};
use proptest::prelude::*;

fn entry(rule: &str, limit: &str) -> String {
    format!(
        "shop = \"Harbour test bay\"\n[[tighten]]\nrule = \"{rule}\"\n{limit}\nreason = \"asked for\"\ndecided_by = \"R. Keel\"\n"
    )
}

fn ours(code_id: &str, text: &str) -> Result<Code, ShopRuleError> {
    tighten(code(code_id).unwrap(), text)
}

fn refusal(code_id: &str, rule: &str, limit: &str) -> String {
    ours(code_id, &entry(rule, limit)).unwrap_err().to_string()
}

fn own((ours, codes): (&str, &str)) -> (String, String) {
    (ours.to_owned(), codes.to_owned())
}

fn limits(code: &Code, rule: &str) -> String {
    code.rule(rule).unwrap().limits_text().join("; ")
}

#[test]
fn each_shape_of_limit_can_be_tightened() {
    for (code_id, rule, limit, wanted) in [
        (
            "aws-d1.1",
            "d11-bend-openings-sum",
            "at_most = { inch = \"1/4\", mm = 6 }",
            "total 1/4 in [6 mm] maximum; otherwise reject",
        ),
        (
            "api-1104",
            "api-bend-opening",
            "at_most = { inch = \"1/16\", mm = 1.6 }",
            "length maximum the smaller of the smaller of 1/8 in [3 mm] and 0.5 times wall and 1/16 in [1.6 mm]; otherwise reject",
        ),
        (
            "aws-d1.1",
            "d11-visual-weld-thin",
            "at_least = { inch = \"3/8\", mm = 10 }",
            "weld thickness minimum the larger of thickness and 3/8 in [10 mm]; otherwise reject",
        ),
        (
            "aws-d1.1",
            "d11-thickness-plate-unlimited",
            "at_most = { inch = \"2\", mm = 50 }",
            "thickness from 1/8 in [3 mm] to 2 in [50 mm]",
        ),
        (
            "aws-d1.1",
            "d11-thickness-plate-middle",
            "at_most = { inch = \"3/4\", mm = 20 }",
            "thickness from 1/8 in [3 mm] to the smaller of 2 times thickness and 3/4 in [20 mm]",
        ),
        (
            "aws-d1.1",
            "d11-diameter-large-pipe",
            "at_least = { inch = \"6\", mm = 150 }",
            "diameter from the larger of the larger of 0.5 times pipe size and 4 in [100 mm] and 6 in [150 mm] to unlimited",
        ),
        (
            "cfr192",
            "cfr192-bend-set",
            "at_most = { inch = \"1/16\", mm = 1.6 }",
            "of 4 specimens, maximum 1 with a discontinuity over 1/16 in [1.6 mm]; otherwise reject",
        ),
        (
            "aws-d1.1",
            "d11-continuity-six-months",
            "months = 3",
            "3 months, short-circuit use counts separately from other use of the process; the last day still counts",
        ),
    ] {
        let code_id = if code_id == "cfr192" { "49-cfr-192" } else { code_id };
        let code = ours(code_id, &entry(rule, limit)).unwrap();
        let (ours, codes) = limits(&code, rule).split_once("; shop limit; the code: ").map(own).unwrap();
        assert!(ours.ends_with(wanted), "{ours}");
        assert!(!codes.is_empty() && !codes.contains("otherwise"), "{codes}");
        let held = code.rule(rule).unwrap();
        assert!(held.clause.ends_with(", tightened by the shop: asked for"), "{}", held.clause);
        assert!(held.source.ends_with("tightened by decision of R. Keel"), "{}", held.source);
        assert_eq!(held.basis, Basis::Choice);
        // The worked cases that are left still hold.
        for case in &held.cases {
            let wanted = match case.claim {
                Claim::Pass => Answer::Pass,
                Claim::Fail => Answer::Fail,
                Claim::NotApplicable => Answer::NotApplicable,
            };
            assert_eq!(held.ask(&case.facts), wanted, "{rule}: {}", case.name);
        }
        assert!(code.note.ends_with("own rules of Harbour test bay."));
    }
}

#[test]
fn nothing_looser_is_taken_in_either_system() {
    for limit in [
        "at_most = { inch = \"1/4\", mm = 6 }",
        // Tighter in inches alone is looser for whoever reads millimetres.
        "at_most = { inch = \"1/16\", mm = 4 }",
        "at_most = { inch = \"3/16\", mm = 2 }",
        // The same says nothing.
        "at_most = { inch = \"1/8\", mm = 3 }",
    ] {
        let error = refusal("aws-d1.1", "d11-bend-single-opening", limit);
        assert!(error.contains("`d11-bend-single-opening`"), "{error}");
        assert!(error.contains("does not tighten the code's 1/8 in [3 mm]; give an inch"), "{error}");
    }
    // One system may stay as it is.
    ours("aws-d1.1", &entry("d11-bend-single-opening", "at_most = { inch = \"1/8\", mm = 2.8 }")).unwrap();
    let wider = refusal("aws-d1.1", "d11-thickness-plate-limited", "at_most = { inch = \"1\", mm = 25 }");
    assert!(wider.contains("1 in [25 mm] does not tighten the code's 3/4 in [20 mm]"), "{wider}");
    let wider = refusal("aws-d1.1", "d11-thickness-plate-limited", "at_least = { inch = \"1/16\", mm = 2 }");
    assert!(wider.contains("1/16 in [2 mm] does not tighten the code's 1/8 in [3 mm]"), "{wider}");
    let longer = refusal("api-1104", "api-bend-opening", "at_most = { inch = \"3/16\", mm = 5 }");
    assert!(longer.contains("does not tighten the code's the smaller of 1/8 in [3 mm]"), "{longer}");
    let longer = refusal("aws-d1.1", "d11-continuity-six-months", "months = 12");
    assert!(longer.contains("12 months does not tighten the code's 6 months"), "{longer}");
    let never = refusal("aws-d1.1", "d11-continuity-six-months", "months = 0");
    assert!(never.contains("0 months does not tighten"), "{never}");
}

#[test]
fn a_shop_limit_is_one_size_and_not_below_nothing() {
    for (limit, wanted) in [
        ("at_most = { inch = \"3/64\", mm = 2.5 }", "3/64 in [2.5 mm] are two sizes"),
        ("at_most = { inch = \"-3/64\", mm = -1 }", "is negative; enter a size of 0 or more"),
    ] {
        let said = refusal("aws-d1.1", "d11-bend-single-opening", limit);
        assert!(said.contains(wanted), "{said}");
    }
    let own = OWN.replacen("mm = ", "mm = 9", 1);
    assert_ne!(own, OWN);
    let said = tighten(code("aws-d1.1").unwrap(), &own).unwrap_err().to_string();
    assert!(said.contains("are two sizes"), "{said}");
    // The codes' own widest pair, 1/16 in with 2 mm, is one size.
    assert!(
        ours("aws-d1.1", &entry("d11-bend-single-opening", "at_most = { inch = \"1/16\", mm = 2 }")).is_ok()
    );
}

#[test]
fn what_cannot_be_tightened_is_refused_with_the_next_step() {
    for (rule, limit, wanted) in [
        (
            "d11-bend-singel-opening",
            "at_most = { inch = \"1/16\", mm = 1 }",
            "aws-d1.1-2020 has no rule `d11-bend-singel-opening` to tighten; the nearest is `d11-bend-single-opening`",
        ),
        (
            "d11-visual-crack",
            "at_most = { inch = \"1/16\", mm = 1 }",
            "reads \"no crack; otherwise reject\"; it has no limit a shop can tighten; write a shop rule",
        ),
        (
            "d11-position-plate-3g",
            "at_most = { inch = \"1/16\", mm = 1 }",
            "it has no limit a shop can tighten",
        ),
        ("d11-strap-side", "at_most = { inch = \"1/16\", mm = 1 }", "it has no limit a shop can tighten"),
        ("d11-bend-single-opening", "at_least = { inch = \"1/16\", mm = 1 }", "tighten it with `at_most`"),
        ("d11-bend-single-opening", "months = 3", "tighten it with `at_most`"),
        ("d11-visual-weld-thin", "at_most = { inch = \"1\", mm = 25 }", "tighten it with `at_least`"),
        ("d11-bend-single-opening", "", "give one of at_most, at_least and months"),
        (
            "d11-bend-single-opening",
            "at_most = { inch = \"1/16\" }",
            "`mm` is missing; a pair has both systems",
        ),
        (
            "d11-bend-single-opening",
            "at_most = { ksi = 1, mpa = 2 }",
            "is not a size like the code's 1/8 in [3 mm]",
        ),
        ("d11-bend-single-opening", "at_most = { inch = \"1/16\", mm = 1 }\nmonths = 3", "give one of"),
        ("d11-bend-single-opening", "loosen = true", "`loosen` is not one of its keys"),
    ] {
        let error = refusal("aws-d1.1", rule, limit);
        assert!(error.contains(wanted), "{rule} {limit}: {error}");
    }
    let good = entry("d11-bend-single-opening", "at_most = { inch = \"1/16\", mm = 1.5 }");
    for (from, to, wanted) in [
        ("reason = \"asked for\"", "reason = \" \"", "reason: is empty"),
        ("decided_by = \"R. Keel\"", "", "`decided_by` is missing"),
    ] {
        let error = ours("aws-d1.1", &good.replace(from, to)).unwrap_err().to_string();
        assert!(error.contains(wanted), "{error}");
    }
    let twice = format!("{good}{}", good.trim_start_matches("shop = \"Harbour test bay\"\n"));
    assert!(ours("aws-d1.1", &twice).unwrap_err().to_string().contains("is tightened twice"));
}

const OWN: &str = r#"
shop = "Harbour test bay"
[[rule]]
id = "shop-cap"
title = "Cap of our own"
finding = "the cap of {measured} is over our {limit}"
status = "stable"
since = "2026"
clause = "test bay sheet 3"
kind = "visual"
demand = { is = "at_most", fact = "cap_height", limit = { inch = "3/32", mm = 2.5 } }
source = "R. Keel"
basis = "seen"
pass = [{ case = "on it", cap_height = "3/32 in" }]
fail = [{ case = "over it", cap_height = "1/8 in" }]
"#;

#[test]
fn a_rule_of_the_shops_own_limits_and_is_shown_as_the_shops() {
    let d11 = ours("aws-d1.1", OWN).unwrap();
    let rule = d11.rule("shop-cap").unwrap();
    assert_eq!((rule.clause.as_str(), rule.basis), ("the shop's own, test bay sheet 3", Basis::Choice));
    let readings = VisualReadings { cap_height: Some(inch(0.125)), ..sound() };
    assert_eq!(judge_visual(code("aws-d1.1").unwrap(), &readings).verdict, Verdict::Accept);
    let report = judge_visual(&d11, &readings);
    assert_eq!(report.verdict, Verdict::Reject);
    assert!(report.findings.iter().any(|f| f.message == "the cap of 1/8 in is over our 3/32 in"));
}

/// Section IX gives no number for a cap. The shop's own does not turn a code's
/// silence into an acceptance.
#[test]
fn what_only_the_shop_speaks_of_the_code_has_not_accepted() {
    let mut silent = code("aws-d1.1").unwrap().clone();
    silent.rules.retain(|r| r.kind != RuleKind::Visual && r.kind != RuleKind::Bend);
    assert_eq!(judge_visual(&silent, &sound()).verdict, Verdict::NotCovered);
    let spoken = tighten(&silent, OWN).unwrap();
    assert_eq!(judge_visual(&spoken, &sound()).verdict, Verdict::NotCovered);

    let bend = OWN.replace("kind = \"visual\"", "kind = \"bend\"").replace("cap_height", "length");
    let spoken = tighten(&silent, &bend).unwrap();
    let report = judge(&spoken, &bent(vec![opening(inch(0.01))])).unwrap();
    assert_eq!(report.verdict, Verdict::NotCovered);
    let report = judge(&spoken, &bent(vec![opening(inch(0.25))])).unwrap();
    assert_eq!(report.verdict, Verdict::Reject);
}

#[test]
fn a_rule_of_the_shops_own_grants_nothing() {
    let granting = |kind: &str, demand: &str, pass: &str, fail: &str| {
        OWN.replace("kind = \"visual\"", &format!("kind = \"{kind}\""))
            .replace("is = \"at_most\", fact = \"cap_height\", limit = { inch = \"3/32\", mm = 2.5 }", demand)
            .replace("cap_height = \"3/32 in\"", pass)
            .replace("cap_height = \"1/8 in\"", fail)
    };
    for text in [
        granting(
            "standing",
            "is = \"words\", facet = \"backing\", words = [\"open\"]",
            "ask_backing = \"open\"",
            "ask_backing = \"steel\"",
        ),
        granting(
            "standing",
            "is = \"same\", facet = \"process\"",
            "process = \"SMAW\", ask_process = \"SMAW\"",
            "process = \"SMAW\", ask_process = \"GMAW\"",
        ),
        granting(
            "standing",
            "is = \"range\", facet = \"thickness\", min = { inch = \"0\", mm = 0 }, max = { inch = \"9\", mm = 9 }",
            "ask_thickness = \"9 in\"",
            "ask_thickness = \"10 in\"",
        ),
        granting(
            "standing",
            "is = \"positions\", plate_groove = [\"V\"], fillet = [], pipe_groove = []",
            "ask_joint = \"plate_groove\", ask_position = \"V\"",
            "ask_joint = \"plate_groove\", ask_position = \"F\"",
        ),
        granting("specimens", "is = \"counts\", sets = [{ root = 1 }]", "root = 1", "root = 0"),
        granting("bend", "is = \"ignore\"\n", "place = \"corner\"", "place = \"face\"")
            .replace("kind = \"bend\"", "kind = \"bend\"\nwhen = { place = \"corner\" }"),
        granting(
            "continuity",
            "is = \"months\", months = 99, counts = \"process\"",
            "last_used = \"2026-01-01\", ask_day = \"2026-01-02\"",
            "last_used = \"2000-01-01\", ask_day = \"2026-01-02\"",
        ),
        granting(
            "visual",
            "is = \"at_most\", fact = \"cap_height\", breach = \"accept\", limit = { inch = \"3/32\", mm = 2.5 }",
            "cap_height = \"3/32 in\"",
            "cap_height = \"1/8 in\"",
        ),
        // A refusal among the bends would do nothing.
        granting("bend", "is = \"refuse\"", "place = \"face\"", "place = \"corner\"")
            .replace("kind = \"bend\"", "kind = \"bend\"\nwhen = { place = \"corner\" }"),
    ] {
        let error = ours("aws-d1.1", &text.replace("\n }", " }")).unwrap_err();
        assert!(matches!(error, ShopRuleError::MayNot { .. }), "{error}\n{text}");
    }
    let unprefixed = OWN.replace("shop-cap", "our-cap");
    assert_eq!(
        ours("aws-d1.1", &unprefixed).unwrap_err().to_string(),
        "rule `our-cap` is the shop's own; begin its id with `shop-`"
    );
    let off_limit = OWN.replace("\"3/32 in\"", "\"1/16 in\"");
    let error = ours("aws-d1.1", &off_limit).unwrap_err();
    assert!(matches!(error, ShopRuleError::Rule(LoadError::BoundaryMissing { .. })), "{error}");
    let again = ours("aws-d1.1", OWN).unwrap();
    assert!(matches!(tighten(&again, OWN), Err(ShopRuleError::Rule(LoadError::IdTwice(_)))));
}

fn inch(inches: f64) -> Quantity {
    Quantity { si: inches * 0.0254, kind: Kind::Length, system: System::Inch }
}

fn opening(length: Quantity) -> Opening {
    Opening { length, place: Place::Face, cause: Cause::None, zone: Zone::Weld }
}

fn bent(openings: Vec<Opening>) -> BendTest {
    let strap = |n: usize| Strap {
        id: n.to_string(),
        kind: StrapKind::Root,
        thickness: Some(inch(0.375)),
        wall: Some(inch(0.375)),
        weld_in_bend: Some(true),
        openings: Some(if n == 0 { openings.clone() } else { Vec::new() }),
    };
    BendTest { straps: (0..4).map(strap).collect(), coupon: None, others: OtherExams::default() }
}

fn sound() -> VisualReadings {
    VisualReadings {
        crack: Some(false),
        crater_filled: Some(true),
        fusion_complete: Some(true),
        penetration_complete: Some(true),
        cap_height: Some(inch(0.0625)),
        undercut: Some(inch(0.0)),
        root_concavity: Some(inch(0.0)),
        melt_through: Some(inch(0.0)),
        weld_thickness: Some(inch(0.375)),
        thickness: Some(inch(0.375)),
        backing: Some(Backing::Open),
        ..VisualReadings::default()
    }
}

/// A length in the system a reader works in, to a fifth of an inch.
fn reading() -> impl Strategy<Value = Quantity> {
    (1_u32..200, any::<bool>()).prop_map(|(steps, is_inch)| {
        let (si, system) = if is_inch { (0.0254 / 1000.0, System::Inch) } else { (2.54e-5, System::Metric) };
        Quantity { si: f64::from(steps) * si, kind: Kind::Length, system }
    })
}

fn any_opening() -> impl Strategy<Value = Opening> {
    (reading(), 0..Place::ALL.len(), 0..Cause::ALL.len(), 0..Zone::ALL.len()).prop_map(
        |(length, place, cause, zone)| Opening {
            length,
            place: Place::ALL[place],
            cause: Cause::ALL[cause],
            zone: Zone::ALL[zone],
        },
    )
}

/// Openings on one strap: any, or several of one system that are each short
/// enough, where only their sum decides.
fn openings() -> impl Strategy<Value = Vec<Opening>> {
    let short = |system| {
        (60_u32..118).prop_map(move |steps| {
            opening(Quantity { si: f64::from(steps) * 2.54e-5, kind: Kind::Length, system })
        })
    };
    prop_oneof![
        prop::collection::vec(any_opening(), 0..6),
        prop::collection::vec(short(System::Inch), 3..8),
        prop::collection::vec(short(System::Metric), 3..8),
    ]
}

/// One limit of the code that has a pair, a part of what the code allows. One
/// alone, because the others' strictness would hide that this one is looser.
fn tightened_somewhere(code: &Code, which: prop::sample::Index, kinds: &[RuleKind], part: f64) -> Code {
    let pair = |p: &Pair| {
        let (inch, mm) = (p.inch_si / 0.0254 * part, p.metric_si * 1e3 * part);
        format!("{{ inch = {inch:.9}, mm = {mm:.9} }}")
    };
    let entries: Vec<String> = code
        .rules
        .iter()
        .filter(|rule| kinds.contains(&rule.kind))
        .filter_map(|rule| {
            let limit = match &rule.demand {
                Demand::AtMost { limit: Extent::Pair(p), .. }
                | Demand::Sum { at_most: p, .. }
                | Demand::StrapsOver { limit: p, .. }
                | Demand::Range { max: Extent::Pair(p), .. } => format!("at_most = {}", pair(p)),
                Demand::AtMost { limit: Extent::Smaller(_), .. } => {
                    format!("at_most = {{ inch = {:.9}, mm = {:.9} }}", 0.0156 * part, 0.4 * part)
                }
                Demand::Range { max: Extent::Times { .. } | Extent::Unlimited, .. } => {
                    format!("at_most = {{ inch = {part:.9}, mm = {:.9} }}", 25.0 * part)
                }
                Demand::Months(n, _) if *n > 1 => format!("months = {}", n - 1),
                _ => return None,
            };
            Some(entry(&rule.id, &limit))
        })
        .collect();
    match entries.len() {
        0 => code.clone(),
        _ => tighten(code, which.get::<String>(&entries)).unwrap(),
    }
}

const FILE: &str = include_str!("../../../examples/shop-rules.toml");

/// One file stands with the codes it names, and the codes stay as they are.
#[test]
fn a_shop_file_is_laid_over_the_codes_it_names() {
    let rules = ShopRules::read(FILE).unwrap();
    let (plain, asme) = (code("aws-d1.1").unwrap(), code("asme-ix").unwrap());
    let ours = rules.over(plain);
    assert_eq!((ours.shop.as_deref(), &plain.shop), (Some("Harbour test bay"), &None));
    assert!(std::ptr::eq(rules.over(asme), asme));
    let mut opening = Strap {
        id: "R1".to_owned(),
        kind: StrapKind::Root,
        thickness: Some(inch(0.375)),
        wall: None,
        weld_in_bend: Some(true),
        openings: Some(Vec::new()),
    };
    opening.openings = Some(vec![Opening {
        length: inch(0.0625),
        place: Place::Face,
        cause: Cause::NotStated,
        zone: Zone::NotStated,
    }]);
    let test = BendTest { straps: vec![opening], coupon: None, others: OtherExams::default() };
    assert_eq!(judge(plain, &test).unwrap().straps[0].verdict, Verdict::Accept);
    let report = judge(ours, &test).unwrap();
    let found = report.straps[0].findings.iter().find(|f| f.verdict == Verdict::Reject).unwrap();
    assert_eq!(found.rule, "d11-bend-single-opening");
    assert!(
        found.message.ends_with("; this shop: 3/64 in [1 mm]; the code: 1/8 in [3 mm]"),
        "{}",
        found.message
    );
    // What the shop has of a rule is found by its id; what it left alone is not.
    let is_ours = |id: &str| rules.rule(id).map(|(_, rule)| rule.is_shops());
    assert_eq!(is_ours("shop-cap-high"), Some(true));
    assert_eq!(is_ours("d11-continuity-six-months"), Some(true));
    assert_eq!(is_ours("d11-bend-openings-sum"), None);
}

#[test]
fn a_shop_file_with_a_fault_is_refused_whole() {
    let refused = |from: &str, to: &str| {
        assert!(FILE.contains(from), "{from}");
        ShopRules::read(&FILE.replacen(from, to, 1)).unwrap_err().to_string()
    };
    let codes = "codes = [\"aws-d1.1-2020\"]";
    assert!(refused(codes, "").contains("names no code; enter it, for example codes = ["));
    assert!(refused(codes, "codes = [\"aws-d1.2\"]").contains("the nearest is `aws-d1.1-20"));
    assert!(refused(codes, "codes = [\"asme-ix\"]").contains("`d11-bend-single-opening`"));
    let looser = refused("{ inch = \"3/64\", mm = 1 }", "{ inch = \"1/4\", mm = 6 }");
    assert!(looser.contains("`d11-bend-single-opening`: 1/4 in [6 mm] does not tighten"), "{looser}");
    // Two codes in one file: a rule is looked for in both, and each keeps its own.
    let both = FILE.replacen(codes, "codes = [\"d1.1\", \"asme-ix\"]", 1);
    let rules = ShopRules::read(&both).unwrap();
    assert!(rules.codes().iter().all(|code| code.rule("shop-cap-high").is_some()));
}

/// Any code that qualifies welders.
fn any_code() -> impl Strategy<Value = &'static Code> {
    let all: Vec<&'static Code> = codes().unwrap().iter().copied().filter(|code| code.has_tests()).collect();
    (0..all.len()).prop_map(move |n| all[n])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn a_tightened_code_never_accepts_bends_the_code_does_not(
        code in any_code(),
        which in any::<prop::sample::Index>(),
        part in 0.05_f64..0.99,
        openings in openings(),
    ) {
        let ours = tightened_somewhere(code, which, &[RuleKind::Bend], part);
        let test = bent(openings);
        let (theirs, ours) = (judge(code, &test).unwrap().verdict, judge(&ours, &test).unwrap().verdict);
        prop_assert!(ours >= theirs, "{} gives {theirs}, tightened {ours}", code.id);
    }

    #[test]
    fn a_tightened_code_never_accepts_a_weld_the_code_does_not(
        code in any_code(),
        which in any::<prop::sample::Index>(),
        part in 0.05_f64..0.99,
        sizes in prop::collection::vec(prop::option::of(reading()), 5),
        crack: bool,
    ) {
        let ours = tightened_somewhere(code, which, &[RuleKind::Visual], part);
        let readings = VisualReadings {
            crack: Some(crack),
            cap_height: sizes[0],
            undercut: sizes[1],
            root_concavity: sizes[2],
            melt_through: sizes[3],
            weld_thickness: sizes[4],
            ..sound()
        };
        let (theirs, ours) = (judge_visual(code, &readings).verdict, judge_visual(&ours, &readings).verdict);
        prop_assert!(ours >= theirs, "{} gives {theirs}, tightened {ours}", code.id);
    }

    #[test]
    fn a_tightened_code_never_covers_a_joint_the_code_does_not(
        code in any_code(),
        which in any::<prop::sample::Index>(),
        part in 0.3_f64..0.99,
        wall in 10_u32..64,
        asked in 4_u32..128,
        diameter in 8_u32..600,
        days in 0_i64..400,
    ) {
        let ours = tightened_somewhere(code, which, &[RuleKind::Standing, RuleKind::Continuity], part);
        let test = PassedTest {
            welder: "A. Welder".to_owned(),
            process: Process::Smaw,
            transfer: None,
            positions: vec![Position::G5],
            shape: TestShape::Pipe,
            thickness: inch(f64::from(wall) / 64.0),
            deposit: None,
            layers: Some(3),
            outside_diameter: Some(inch(6.625)),
            nominal_size: None,
            progressions: vec![Progression::Uphill],
            backing: Backing::Open,
            filler: Some("F4".to_owned()),
            procedure_test: false,
            finished: "2026-03-01".parse().unwrap(),
            uses: Vec::new(),
            details: Default::default(),
        };
        let finished = test.finished;
        let joint = Joint {
            kind: JointKind::PipeGroove,
            position: JointPosition::Vertical,
            process: Process::Smaw,
            transfer: None::<Transfer>,
            thickness: Some(inch(f64::from(asked) / 64.0)),
            diameter: Some(inch(f64::from(diameter) / 16.0)),
            backing: Some(JointBacking::Open),
            progression: Some(Progression::Uphill),
            filler: Some("F4".to_owned()),
            day: Some((0..days).fold(finished, |day, _| day.tomorrow().unwrap())),
            details: Default::default(),
        };
        let answer = |code: &Code| covers(&standing(code, &test).unwrap(), &joint).answer;
        prop_assert!(answer(&ours) >= answer(code), "{}", code.id);
    }
}
