//! A shop's own limits handed in with a document: every judge holds to them,
//! and says whose they are.
#![allow(clippy::unwrap_used)]

use std::sync::OnceLock;

use bendproof_codes::catalogue::ShopRules;
use bendproof_codes::words::Verdict;
use bendproof_files::{COUPON, Document};
use bendproof_traveler::build::{build, coupon_verdict, summary};
use bendproof_traveler::context::AssessmentContext;
use bendproof_traveler::cover::{codes_view, under_every_code};
use bendproof_traveler::drawn::Look;
use bendproof_traveler::judged::read_bends;
use bendproof_traveler::welder::{answer_record, held};

const RULES: &str = include_str!("../../../examples/shop-rules.toml");
const BENDS: &str = include_str!("../../../examples/bends.toml");
const RECORD: &str = include_str!("../../../examples/record.toml");
const PLATE: &str = include_str!("../../../examples/plate-3g-downhill.toml");

fn plain() -> AssessmentContext {
    AssessmentContext::from(Some("2026-11-25".parse().unwrap()))
}

fn ours() -> AssessmentContext {
    static READ: OnceLock<ShopRules> = OnceLock::new();
    AssessmentContext { rules: Some(READ.get_or_init(|| ShopRules::read(RULES).unwrap())), ..plain() }
}

/// A plate with backing, looked at and bent; the cap and one opening are within
/// the code's limits and over the shop's.
fn bent_plate() -> Document {
    let text = format!(
        "{PLATE}\n[visual]\ncracks = \"none\"\nfusion = \"complete\"\npenetration = \"complete\"\n\
         craters = \"filled\"\nundercut = \"0 in\"\ncap_height = \"1/8 in\"\n\n[[strap]]\nid = \"R\"\n\
         kind = \"root\"\nopenings = [{{ length = \"1/16 in\", place = \"face\" }}]\n"
    );
    let (mut document, _) = Document::from_toml(&COUPON, &text);
    document.set("code", Some("aws-d1.1-2020"));
    document
}

#[test]
fn bends_that_the_code_accepts_are_rejected_by_the_shop() {
    let judged = |answer| read_bends(BENDS, answer).report.unwrap();
    assert_eq!(judged(plain()).verdict, Verdict::Accept);
    let report = judged(ours());
    assert_eq!(report.verdict, Verdict::Reject);
    let over: Vec<_> =
        report.straps.iter().flat_map(|s| &s.findings).filter(|f| f.verdict == Verdict::Reject).collect();
    assert_eq!((over.len(), over[0].rule.as_str()), (1, "d11-bend-single-opening"));
    assert!(over[0].message.contains("this shop: 3/64 in [1 mm]; the code: 1/8 in [3 mm]"));
}

#[test]
fn a_sheet_says_whose_limits_it_is_held_to() {
    let document = bent_plate();
    let sheet = |answer| build("0500", &document, &[], answer, Look::Screen);
    let (theirs, shops) = (sheet(plain()), sheet(ours()));
    assert!(!theirs.subtitle.contains("Harbour") && !theirs.stamp.contains("reject"), "{}", theirs.stamp);
    assert!(
        shops.subtitle.ends_with("2020, with the stricter limits of Harbour test bay"),
        "{}",
        shops.subtitle
    );
    let cap = shops.visual_findings.iter().find(|f| f.provenance.rule.as_deref() == Some("shop-cap-high"));
    assert_eq!(cap.unwrap().verdict, "reject");
    assert!(summary(&document, ours(), None).stamp.contains("reject"));
    assert!(held("0500", &document, &[], ours()).is_none());
}

#[test]
fn a_coupon_across_the_codes_shows_the_shops_limit_next_to_the_codes() {
    let view = codes_view(&under_every_code(&bent_plate(), ours()).unwrap(), Look::Screen);
    let d11 = view.codes.iter().find(|c| c.code == "aws-d1.1-2020").unwrap();
    assert!(d11.title.ends_with("with the stricter limits of Harbour test bay"));
    let bent = d11
        .asks
        .iter()
        .find(|line| line.rules.iter().any(|way| way.to == "d11-bend-single-opening"))
        .unwrap();
    assert!(
        bent.words.contains("3/64 in [1 mm]") && bent.words.contains("the code: 1/8 in [3 mm]"),
        "{}",
        bent.words
    );
    assert!(view.codes.iter().filter(|c| c.code != "aws-d1.1-2020").all(|c| !c.title.contains("Harbour")));
}

#[test]
fn a_standing_ends_by_the_shops_months() {
    let record = RECORD.replace("asme-ix-2023", "aws-d1.1-2020").replace("\"open\"", "\"steel\"");
    let until = |answer| answer_record(&record, answer, None).unwrap().standing.until.unwrap().to_string();
    assert_eq!((until(plain()), until(ours())), ("2027-04-03".to_owned(), "2027-03-03".to_owned()));
}

/// A finding under an edition leads to the rule as that edition has it.
#[test]
fn a_finding_leads_to_the_edition_it_was_made_under() {
    let mut document = bent_plate();
    let led = |document: &Document| {
        let sheet = build("0500", document, &[], plain(), Look::Screen);
        sheet.visual_findings.into_iter().filter_map(|f| f.provenance.rule).collect::<Vec<_>>()
    };
    assert!(led(&document).iter().all(|rule| !rule.contains('?')));
    document.set("code", Some("aws-d1.1-2015"));
    let under = led(&document);
    assert!(!under.is_empty() && under.iter().all(|rule| rule.ends_with("?code=aws-d1.1-2015")), "{under:?}");
}

const ISO_PLATE: &str = include_str!("../../../examples/plate-iso-9606.toml");

/// A metric coupon to ASME IX whose cap B31.3 limits: 10 mm wall, normal service.
fn under_construction_code(cap_height: &str) -> Document {
    let (mut document, _) = Document::from_toml(&COUPON, ISO_PLATE);
    for (path, text) in [
        ("code", "asme-ix-2023"),
        ("construction_code", "asme-b31.3-undated"),
        ("visual.fluid_service", "normal"),
        ("visual.cap_height", cap_height),
    ] {
        document.set(path, Some(text));
    }
    document
}

fn tightened(rule: &str, most: &str, codes: &str) -> AssessmentContext {
    let text = format!(
        "shop = \"Harbour test bay\"\ncodes = [\"{codes}\"]\n[[tighten]]\nrule = \"{rule}\"\nat_most = {most}\n\
         reason = \"asked for\"\ndecided_by = \"R. Keel, 2026-03-01\"\n"
    );
    let read = Box::new(ShopRules::read(&text).unwrap());
    AssessmentContext { rules: Some(Box::leak(read)), ..plain() }
}

fn judged(document: &Document, context: AssessmentContext) -> Vec<(String, String)> {
    let lines = coupon_verdict(document, context).unwrap().lines();
    lines.into_iter().filter_map(|l| Some((l.provenance.rule?, l.verdict))).collect()
}

#[test]
fn the_shops_limit_holds_in_the_construction_code_too() {
    let document = under_construction_code("2 mm");
    let word = |answer| {
        judged(&document, answer).into_iter().find(|(rule, _)| rule == "b313-cap-2").map(|(_, word)| word)
    };
    assert_eq!(word(plain()).as_deref(), Some("accept"));
    let ours = tightened("b313-cap-2", "{ inch = \"1/16\", mm = 1.5 }", "asme-b31.3-undated");
    assert_eq!(word(ours).as_deref(), Some("reject"));
    assert!(build("0432", &document, &[], ours, Look::Screen).stamp.contains("reject"));
}

/// Table 341.3.2(A) of B31.3 gives 3 mm for walls over 6 to 13 mm in normal
/// service; the ASME IX coupon itself has no limit for a cap.
#[test]
fn forecast_coverage_and_verdict_name_one_limit_of_one_cap() {
    let document = under_construction_code("2 mm");
    let sheet = build("0432", &document, &[], plain(), Look::Screen);
    let crown = sheet.forecast.iter().find(|item| item.key == "crown").unwrap();
    assert!(crown.value.contains(" 3 mm, ASME B31.3"), "{}", crown.value);
    assert!(crown.value.contains("Table 341.3.2(A) L"), "{}", crown.value);
    assert_eq!(crown.provenance.rule.as_deref(), Some("b313-cap-2"));
    let view = codes_view(&under_every_code(&document, plain()).unwrap(), Look::Screen);
    let ix = view.codes.iter().find(|code| code.code == "asme-ix-2023").unwrap();
    let cap: Vec<_> = ix.asks.iter().filter(|line| line.words.contains("cap height maximum")).collect();
    assert_eq!(cap.len(), 1, "{:?}", ix.asks);
    assert!(cap[0].words.contains("1/8 in [3 mm]") && cap[0].rules[0].to == "b313-cap-2", "{:?}", cap[0]);
    let said = coupon_verdict(&document, plain()).unwrap().lines();
    let cap = said.iter().find(|line| line.provenance.rule.as_deref() == Some("b313-cap-2")).unwrap();
    assert!(cap.text.contains("at most 3 mm allowed"), "{}", cap.text);
}

/// What a limit follows and nobody stated yet is said, and decides nothing.
#[test]
fn a_limit_that_waits_for_the_service_is_not_called_none() {
    let mut document = under_construction_code("2 mm");
    document.set("visual.fluid_service", None);
    let sheet = build("0432", &document, &[], plain(), Look::Screen);
    let crown = sheet.forecast.iter().find(|item| item.key == "crown").unwrap();
    assert!(crown.value.contains("the limit depends on fluid service"), "{}", crown.value);
}

/// ISO 5817:2014 1.9, level C: 1 mm and 0.15 times the width of the cap, 7 mm at
/// the most; with a cap of 14 mm read that is 3.1 mm (arithmetic).
#[test]
fn a_limit_that_grows_with_the_cap_is_forecast_and_judged_alike() {
    let (document, _) = Document::from_toml(&COUPON, ISO_PLATE);
    let sheet = build("0432", &document, &[], plain(), Look::Screen);
    let crown = sheet.forecast.iter().find(|item| item.key == "crown").unwrap();
    assert!(crown.value.contains(" 3.1 mm, ISO"), "{}", crown.value);
    let said = coupon_verdict(&document, plain()).unwrap().lines();
    assert!(said.iter().any(|line| line.text.contains("at most 3.1 mm allowed")), "{said:#?}");
}

/// A rule that a code takes from another is tightened where it is taken.
#[test]
fn a_borrowed_rule_can_be_tightened() {
    let (document, _) = Document::from_toml(&COUPON, ISO_PLATE);
    let ours = tightened("iso5817-cap-c", "{ inch = \"1/32\", mm = 1 }", "iso-9606-1-2017");
    let over = |answer| {
        judged(&document, answer)
            .into_iter()
            .any(|(rule, word)| rule.starts_with("iso5817-cap-c") && word == "reject")
    };
    assert!(!over(plain()) && over(ours));
}

/// Fit-up of a procedure under D1.1: the shop's narrower opening as fitted.
#[test]
fn procedures_and_jobs_are_read_under_the_shops_code() {
    let procedure = include_str!("../../../examples/procedure.toml");
    let joints = include_str!("../../../examples/joints.toml").replace("asme-ix-2023", "aws-d1.1-2020");
    let shop = |code: &bendproof_codes::catalogue::Code| code.shop.clone();
    let read = bendproof_traveler::procedure::read_procedure(procedure, ours()).unwrap();
    assert_eq!(shop(read.code).as_deref(), Some("Harbour test bay"));
    let record = include_str!("../../../examples/procedure-record.toml");
    let read = bendproof_traveler::procedure::read_procedure_record(record, ours()).unwrap();
    assert_eq!(shop(read.code).as_deref(), Some("Harbour test bay"));
    let job = bendproof_traveler::cover::read_job(&joints, ours()).job.unwrap();
    assert_eq!(job.code.and_then(shop).as_deref(), Some("Harbour test bay"));
}

/// What rejects stands first, with the strap it was found on; what is met on
/// several straps alike is said once.
#[test]
fn the_finding_that_rejects_stands_first_and_names_its_strap() {
    let mut document = bent_plate();
    for (path, text) in [
        ("strap.2.id", "F"),
        ("strap.2.kind", "face"),
        ("strap.2.openings", "none"),
        ("strap.1.openings.1.length", "3/16 in"),
    ] {
        document.set(path, Some(text));
    }
    let sheet = build("0500", &document, &[], plain(), Look::Screen);
    let first = &sheet.verdict_lines[0];
    assert_eq!((first.verdict.as_str(), first.place.as_str()), ("reject", "R"));
    assert!(first.placed().starts_with("strap R: "), "{}", first.placed());
    let met: Vec<_> = sheet
        .verdict_lines
        .iter()
        .filter(|l| l.provenance.rule.as_deref() == Some("d11-bend-not-inspected"))
        .collect();
    assert_eq!(met.len(), 1, "{met:?}");
    assert_eq!(met[0].placed().split(':').next(), Some("straps R, F"));
}

/// The top of the sheet says what a passed test would be worth.
#[test]
fn covers_nothing_is_said_at_the_top_of_the_sheet() {
    let (document, _) = Document::from_toml(&COUPON, PLATE);
    let sheet = build("0500", &document, &[], plain(), Look::Screen);
    let code = sheet.code().to_owned();
    let is_refused = sheet.standing.iter().any(|line| line.label == "no qualification");
    assert_eq!(
        is_refused,
        sheet.findings.first().is_some_and(|f| f.starts_with("no qualification under ")),
        "{code}"
    );
    assert!(is_refused, "an open root in plate gives nothing under AWS D1.1");
}
