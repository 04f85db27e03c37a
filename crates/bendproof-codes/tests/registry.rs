//! Every rule of every code: unique id, source, clause, both kinds of case, and
//! cases that give what they claim.
#![allow(clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};

use bendproof_codes::catalogue::{CatalogueError, Code, Head, LoadError, code, codes, explain, heads, load};
use bendproof_codes::rule::{Answer, Demand, SHOP_PREFIX};
use bendproof_codes::words::{Basis, Claim, Facet, RuleKind, Status};

#[test]
fn every_case_gives_what_it_claims() {
    let mut wrong = Vec::new();
    for code in codes().unwrap() {
        for rule in &code.rules {
            for case in &rule.cases {
                let wanted = match case.claim {
                    Claim::Pass => Answer::Pass,
                    Claim::Fail => Answer::Fail,
                    Claim::NotApplicable => Answer::NotApplicable,
                };
                let got = rule.ask(&case.facts);
                if got != wanted {
                    wrong.push(format!("{} / {}: claims {wanted:?}, gives {got:?}", rule.id, case.name));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_rule_is_whole() {
    let mut rules = 0;
    for code in codes().unwrap() {
        assert!(!code.note.is_empty() && !code.title.is_empty());
        let mut ids = BTreeSet::new();
        for rule in &code.rules {
            rules += 1;
            assert!(ids.insert(rule.id.clone()), "{} is used twice", rule.id);
            for text in [&rule.title, &rule.finding, &rule.clause, &rule.source] {
                assert!(!text.trim().is_empty(), "{} has an empty part", rule.id);
            }
            assert_eq!(rule.edition, code.edition);
            let has = |claim| rule.cases.iter().any(|c| c.claim == claim);
            assert!(has(Claim::Pass) && has(Claim::Fail), "{} lacks a case", rule.id);
            assert!(!rule.source.contains("http"), "{}", rule.id);
            assert!(!rule.id.starts_with(SHOP_PREFIX), "{} bears a shop's prefix", rule.id);
        }
    }
    assert!(rules > 150);
}

#[test]
fn no_limit_is_printed_as_over_nothing() {
    for code in codes().unwrap() {
        for rule in &code.rules {
            let limits = rule.limits_text().join("; ");
            assert!(!limits.contains("over 0 "), "{}: {limits}", rule.id);
        }
    }
}

/// The basis is that of the weakest thing the rule hangs on. Only a clause number
/// may be from memory among better words, and then the source says that it is
/// the number.
#[test]
fn no_rule_is_better_known_than_the_weakest_that_decides_it() {
    let is_weak = |basis: Basis| matches!(basis, Basis::Memory | Basis::Practice | Basis::Choice);
    for code in codes().unwrap() {
        for rule in code.rules.iter().filter(|rule| !is_weak(rule.basis)) {
            let parts = rule.source.split("; ").flat_map(|part| part.split(", "));
            let recalled = parts.filter(|part| part.contains("memory"));
            let undue: Vec<&str> = recalled.filter(|part| !part.contains("clause number")).collect();
            assert!(undue.is_empty(), "{}, {} ({}): {undue:?}", code.id, rule.id, rule.basis);
        }
    }
}

/// A rule is stable only where its basis bears that, somebody read the edition
/// and the number of its clause is known.
#[test]
fn only_what_is_known_is_called_stable() {
    for code in codes().unwrap() {
        for rule in &code.rules {
            let is_weak = matches!(rule.basis, Basis::Memory | Basis::Practice)
                || rule.clause.contains("number not known")
                || code.unverified.is_some();
            assert!(!(is_weak && rule.status() == Status::Stable), "{} of {}", rule.id, code.id);
        }
    }
    let status = |text: &str| load(text).unwrap().rules[0].status();
    assert_eq!(status(SOUND), Status::Stable);
    // Stable is earned: to write it over a rule from memory changes nothing.
    assert_eq!(status(&SOUND.replace("basis = \"choice\"", "basis = \"memory\"")), Status::Unverified);
    let unnumbered = "clause = \"on bends (number not known)\"";
    assert_eq!(status(&SOUND.replace("clause = \"1\"", unnumbered)), Status::Unverified);
    let disputed = SOUND.replace("status = \"stable\"", "status = \"disputed\"");
    assert_eq!(status(&disputed), Status::Disputed);
    let unread = SOUND.replace("note = \"for a test\"", "note = \"for a test\"\nunverified = \"not read\"");
    assert_eq!(status(&unread), Status::Unverified);
    let bare = SOUND.replace("status = \"stable\"\nsince = \"2026\"\n", "");
    assert_eq!((status(&bare), &load(&bare).unwrap().rules[0].since), (Status::Stable, &None));
}

/// An inspector can turn to every clause, or reads that its number is not known.
#[test]
fn every_clause_has_a_number_of_its_own_edition_or_says_that_it_has_none() {
    for code in codes().unwrap() {
        for rule in &code.rules {
            let is_named = ["introduction", "Appendix C, I"].contains(&rule.clause.as_str());
            let has_number = rule.clause.chars().any(|c| c.is_ascii_digit()) || is_named;
            let says_none = rule.clause.contains("number not known");
            assert!(has_number || says_none, "{} of {}: {}", rule.id, code.id, rule.clause);
            assert!(!rule.clause.contains("2004"), "{} of {}: {}", rule.id, code.id, rule.clause);
        }
    }
}

/// An id means one thing: codes that are no editions of one another share none,
/// and in every edition it is the same kind of rule about the same side.
#[test]
fn an_id_is_never_reused_for_something_else() {
    let mut known: BTreeMap<&str, (&str, RuleKind, Option<Facet>)> = BTreeMap::new();
    let mut shared = 0;
    for code in codes().unwrap() {
        let root = code.based_on.as_deref().unwrap_or(&code.id);
        for rule in &code.rules {
            let here = (root, rule.kind, facet_of(&rule.demand));
            let first = *known.entry(&rule.id).or_insert(here);
            assert_eq!(first, here, "{} in {}", rule.id, code.id);
            shared += usize::from(root != code.id);
        }
    }
    assert!(shared > 200, "{shared}");
}

fn facet_of(demand: &Demand) -> Option<Facet> {
    match demand {
        Demand::Words { facet, .. } | Demand::Same { facet } | Demand::Range { facet, .. } => Some(*facet),
        Demand::Positions { .. } => Some(Facet::Position),
        Demand::Doubt { facet, .. } => *facet,
        Demand::Months(..) => Some(Facet::Continuity),
        _ => None,
    }
}

/// A rule is called seen only where the text of this very edition was seen, and
/// its source names that edition. A rule read in another edition is secondary
/// at best, and its source says which edition was read.
#[test]
fn only_rules_read_in_this_edition_are_called_seen() {
    for code in codes().unwrap() {
        let seen: Vec<_> = code.rules.iter().filter(|r| r.basis == Basis::Seen).collect();
        for rule in &seen {
            assert!(rule.source.contains(&code.edition), "{}: {}", rule.id, rule.source);
            assert!(!rule.source.contains("not seen"), "{}: {}", rule.id, rule.source);
        }
        // Of Section IX only QW-423 was seen in its 2023 text.
        if code.id == "asme-ix-2023" {
            assert!(seen.iter().all(|r| r.clause.contains("QW-423")));
        }
        // Nothing of ISO 9606-1 and ISO 15614-1 themselves was read.
        let is_unread =
            code.unverified.is_some() || ["iso-9606-1-2017", "iso-15614-1-2017"].contains(&code.id.as_str());
        assert_eq!(seen.is_empty(), is_unread, "{}", code.id);
    }
}

#[test]
fn names_and_aliases_find_codes_and_unknown_ones_name_the_nearest() {
    assert_eq!(code("AWS-D1.1-2020").unwrap().id, "aws-d1.1-2020");
    assert_eq!(code("asme-ix").unwrap().id, "asme-ix-2023");
    assert_eq!(code("api-1104").unwrap().id, "api-1104-2013");
    for name in ["iso-9606-1", "ISO 9606-1", "iso-9606-1-2012"] {
        assert_eq!(code(name).unwrap().id, "iso-9606-1-2017");
    }
    assert_eq!(code("D1.1:2015").unwrap().id, "aws-d1.1-2015");
    assert_eq!(code("d1.1:2025").unwrap().id, "aws-d1.1-2025");
    assert_eq!(code("asme-ix:2010").unwrap().id, "asme-ix-2010");
    assert_eq!(code("49 CFR 192 App C").unwrap().id, "49-cfr-192-appendix-c");
    let error = code("aws-d1.1-2016").unwrap_err().to_string();
    assert_eq!(
        error,
        "`aws-d1.1-2016` is not a code this program has; the nearest is `aws-d1.1-2015`; it has \
         aws-d1.1-2020, aws-d1.1-2015, aws-d1.1-2025, asme-ix-2023, asme-ix-2017, asme-ix-2010, \
         api-1104-2013, 49-cfr-192-appendix-c, asme-b31.1-2016, asme-b31.3-undated, iso-5817-2014, \
         iso-5817-2023, iso-9606-1-2017, iso-15614-1-2017"
    );
    let mut names = BTreeSet::new();
    for code in codes().unwrap() {
        for name in std::iter::once(&code.id).chain(&code.aliases) {
            assert!(names.insert(name.to_lowercase()), "{name} names two codes");
        }
    }
    assert!(code(&"x".repeat(1_000_000)).unwrap_err().to_string().len() < 1000);
}

#[test]
fn explain_gives_a_rule_or_the_nearest_id() {
    let explained = explain("d11-bend-single-opening").unwrap();
    assert_eq!(explained.code.id, "aws-d1.1-2020");
    assert!(explained.rule.cases.len() >= 4);
    match explain("d11-bend-single-openings").unwrap_err() {
        CatalogueError::UnknownRule { nearest, .. } => assert_eq!(nearest, "d11-bend-single-opening"),
        other => panic!("{other}"),
    }
}

/// What is known of the codes before they are loaded is what they turn out to be.
#[test]
fn names_and_rules_are_found_without_loading_every_code() {
    let answer = |head: &Head| (head.id.clone(), head.based_on.clone(), !head.only_judges);
    let loaded = |code: &&Code| (code.id.clone(), code.based_on.clone(), code.has_tests());
    assert_eq!(
        heads().unwrap().iter().map(answer).collect::<Vec<_>>(),
        codes().unwrap().iter().map(loaded).collect::<Vec<_>>()
    );
    let mut first: BTreeMap<&str, &Code> = BTreeMap::new();
    for known in codes().unwrap() {
        assert!(std::ptr::eq(code(&known.id).unwrap(), *known), "{} is loaded twice", known.id);
        for rule in &known.rules {
            first.entry(&rule.id).or_insert(known);
        }
    }
    for (id, code) in first {
        let explained = explain(&id.to_uppercase()).unwrap();
        assert_eq!((explained.rule.id.as_str(), &explained.code.id), (id, &code.id));
    }
}

/// Whoever asks first loads it; the others wait and get the same.
#[test]
fn a_code_asked_for_by_several_at_once_is_loaded_once() {
    let ask = |n: usize| {
        let name = ["iso-15614-1", "iso-9606-1", "iso-5817", "d1.1:2025", "aws-d1.1"][n % 5];
        std::thread::spawn(move || code(name).unwrap())
    };
    let asked: Vec<&'static Code> =
        (0..20).map(ask).collect::<Vec<_>>().into_iter().map(|t| t.join().unwrap()).collect();
    for (n, found) in asked.iter().enumerate() {
        assert!(std::ptr::eq(*found, asked[n % 5]));
    }
}

#[test]
fn no_rule_is_read_out_in_the_words_of_a_program() {
    for code in codes().unwrap() {
        for rule in &code.rules {
            let conditions = rule.when.iter().map(|condition| condition.text());
            let read_out = rule.limits_text().into_iter().chain(conditions).chain([rule.title.clone()]);
            for text in read_out.chain([rule.finding.clone()]) {
                assert!(!text.contains('_'), "{} {}: {text}", code.id, rule.id);
            }
        }
    }
}

#[test]
fn rules_read_out_their_limits_and_conditions() {
    let limits = |id: &str| explain(id).unwrap().rule.limits_text().join("; ");
    assert_eq!(limits("d11-bend-single-opening"), "length maximum 1/8 in [3 mm]; otherwise reject");
    assert_eq!(
        limits("d11-bend-openings-sum"),
        "counted: discontinuities over 1/32 in [1 mm] through 1/8 in [3 mm]; \
         total 3/8 in [10 mm] maximum; otherwise reject"
    );
    assert_eq!(
        limits("api-bend-opening"),
        "length maximum the smaller of 1/8 in [3 mm] and 0.5 times wall; otherwise reject"
    );
    assert_eq!(
        limits("asme-position-plate-3g"),
        "plate groove F, V; pipe groove F from 2-7/8 in [73 mm]; pipe groove F, V over 24 in [610 mm]; \
         fillet F, H, V"
    );
    assert_eq!(
        limits("d11-diameter-large-pipe"),
        "diameter from the larger of 0.5 times pipe size and 4 in [100 mm] to unlimited"
    );
    assert_eq!(limits("asme-jig-low-elongation").split(';').next(), Some("A 32.875 times strap thickness"));
    let jig = explain("d11-jig-yield-50").unwrap().rule;
    assert_eq!(jig.when[0].text(), "yield strength is at most 50 ksi [345 MPa]");
    assert_eq!(jig.cases[0].facts.text(), "former 1-1/2 in, yield strength 36 ksi");
    for code in codes().unwrap() {
        for rule in &code.rules {
            assert!(rule.limits_text().iter().all(|line| !line.is_empty()), "{}", rule.id);
            assert!(!rule.limits_text().is_empty(), "{}", rule.id);
        }
    }
}

const SOUND: &str = r#"
id = "shop-2026"
short = "Shop:2026"
title = "A shop's own"
edition = "2026"
aliases = []
note = "for a test"

[[rule]]
id = "shop-opening"
title = "Opening"
finding = "{measured} is over {limit}"
status = "stable"
since = "2026"
clause = "1"
kind = "bend"
demand = { is = "at_most", fact = "length", limit = { inch = "1/8", mm = 3 } }
source = "the shop"
basis = "choice"
see = []
pass = [{ case = "short", length = "1/8 in" }]
fail = [{ case = "long", length = "4 mm" }]
"#;

#[test]
fn a_sound_file_loads() {
    assert_eq!(load(SOUND).unwrap().rules.len(), 1);
}

#[test]
fn a_rule_without_both_cases_does_not_load() {
    for (line, claim) in [
        ("fail = [{ case = \"long\", length = \"4 mm\" }]", "fail"),
        ("pass = [{ case = \"short\", length = \"1/8 in\" }]", "pass"),
    ] {
        let error = load(&SOUND.replace(line, "")).unwrap_err();
        assert_eq!(error, LoadError::CaseMissing { rule: "shop-opening".to_owned(), claim });
    }
}

/// Of each rule that holds a size a case sits exactly on it; the error says which.
#[test]
fn a_rule_without_a_case_on_its_limit_does_not_load() {
    let off = SOUND.replace("length = \"1/8 in\"", "length = \"1/16 in\"");
    let error = load(&off).unwrap_err();
    let wanted = "length exactly 1/8 in [3 mm]".to_owned();
    assert_eq!(error, LoadError::BoundaryMissing { rule: "shop-opening".to_owned(), wanted });
    assert_eq!(
        error.to_string(),
        "rule `shop-opening` has no case on its limit; add one with length exactly 1/8 in [3 mm]"
    );
    // The metric side serves as well, and so does a limit in the conditions.
    load(&SOUND.replace("length = \"1/8 in\"", "length = \"3 mm\"")).unwrap();
    let condition = "clause = \"1\"\nwhen = { wall = { over = { inch = \"1/4\", mm = 6 } } }";
    let thick = off
        .replace("clause = \"1\"", condition)
        .replace("length = \"4 mm\"", "length = \"4 mm\", wall = \"6 mm\"");
    load(&thick).unwrap();
}

#[test]
fn dead_references_and_reused_ids_are_refused() {
    let error = load(&SOUND.replace("see = []", "see = [\"shop-openin\"]")).unwrap_err();
    assert_eq!(
        error.to_string(),
        "rule `shop-opening` refers to `shop-openin`, which does not exist; the nearest is `shop-opening`"
    );
    let rule = &SOUND[SOUND.find("[[rule]]").unwrap()..];
    let error = load(&format!("{SOUND}\n{rule}")).unwrap_err();
    assert_eq!(error, LoadError::IdTwice("shop-opening".to_owned()));
}

#[test]
fn senseless_parts_are_refused_with_a_reason() {
    for (from, to, wanted) in [
        ("mm = 3", "cm = 3", "`cm` is not one of inch, mm"),
        (", mm = 3", "", "`mm` is missing; a pair has both systems"),
        ("fact = \"length\"", "fact = \"lenght\"", "the nearest is `length`"),
        ("fact = \"length\"", "fact = \"place\"", "`place` is not a size"),
        ("is = \"at_most\"", "is = \"roughly\"", "`roughly` is not a demand"),
        ("basis = \"choice\"", "basis = \"guess\"", "`guess` is not one of seen"),
        ("kind = \"bend\"", "kind = \"bent\"", "`bent` is not one of bend"),
        ("length = \"4 mm\"", "length = \"4\"", "has no unit"),
        ("source = \"the shop\"", "source = \" \"", "source: is empty"),
        ("clause = \"1\"", "clause = \"1\"\nwhen = { colour = \"red\" }", "`colour` is not a fact"),
        ("clause = \"1\"", "clause = \"1\"\nwhen = { place = true }", "does not suit"),
        (
            "clause = \"1\"",
            "clause = \"1\"\nwhen = { place = { only = [\"face\"] } }",
            "`only` is not one of none",
        ),
        ("clause = \"1\"", "clause = \"1\"\nsize = 1", "unknown field `size`"),
    ] {
        assert!(SOUND.contains(from), "{from}");
        let error = load(&SOUND.replacen(from, to, 1)).unwrap_err().to_string();
        assert!(error.contains(wanted), "{to}: {error}");
    }
}
