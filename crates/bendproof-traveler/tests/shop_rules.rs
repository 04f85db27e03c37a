//! A shop's own limits handed in beside a document: every judge holds to them,
//! and says whose they are.
#![allow(clippy::unwrap_used)]

use std::sync::OnceLock;

use bendproof_codes::{ShopRules, Verdict};
use bendproof_files::{COUPON, Document};
use bendproof_traveler::{Look, Told, answer_record, build, codes_view, held, read_bends, summary};

const RULES: &str = include_str!("../../../examples/shop-rules.toml");
const BENDS: &str = include_str!("../../../examples/bends.toml");
const RECORD: &str = include_str!("../../../examples/record.toml");
const PLATE: &str = include_str!("../../../examples/plate-3g-downhill.toml");

fn plain() -> Told {
    Told::from(Some("2026-11-25".parse().unwrap()))
}

fn ours() -> Told {
    static READ: OnceLock<ShopRules> = OnceLock::new();
    Told { rules: Some(READ.get_or_init(|| ShopRules::read(RULES).unwrap())), ..plain() }
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
    let judged = |told| read_bends(BENDS, told).report.unwrap();
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
    let sheet = |told| build("0500", &document, &[], told, Look::Screen);
    let (theirs, shops) = (sheet(plain()), sheet(ours()));
    assert!(!theirs.subtitle.contains("Harbour") && !theirs.stamp.contains("reject"), "{}", theirs.stamp);
    assert!(
        shops.subtitle.ends_with("2020, with the stricter limits of Harbour test bay"),
        "{}",
        shops.subtitle
    );
    let cap = shops.visual_findings.iter().find(|f| f.provenance.rule.as_deref() == Some("shop-cap-high"));
    assert_eq!(cap.unwrap().verdict, "reject");
    assert!(summary(&document, ours()).stamp.contains("reject"));
    assert!(held("0500", &document, &[], ours()).is_none());
}

#[test]
fn a_coupon_across_the_codes_shows_the_shops_limit_beside_the_codes() {
    let view = codes_view(&bent_plate(), ours(), Look::Screen).unwrap();
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
    let until = |told| answer_record(&record, told, None).unwrap().standing.until.unwrap().to_string();
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
