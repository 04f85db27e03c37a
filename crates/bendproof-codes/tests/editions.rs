//! Editions written as their differences: what is carried over, how well it is
//! then known, what `explain` says of the others, and what does not load.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use bendproof_codes::catalogue::{Code, LoadError, code, codes, explain, explain_under, load, load_edition};
use bendproof_codes::judged::{BendTest, Opening, OtherExams, Strap, judge};
use bendproof_codes::rule::{Answer, Fact, Facts, Rule};
use bendproof_codes::words::{Basis, Cause, Place, StrapKind, Verdict, Zone};
use bendproof_measure::{Kind, Quantity};

fn rule_in<'a>(code_id: &str, rule: &str) -> &'a Rule {
    code(code_id).unwrap().rule(rule).unwrap()
}

#[test]
fn the_2015_bend_clause_was_read_and_bears_its_own_number() {
    let sum = rule_in("aws-d1.1-2015", "d11-bend-openings-sum");
    assert_eq!((sum.clause.as_str(), sum.basis, sum.edition.as_str()), ("4.9.3.3 (2)", Basis::Seen, "2015"));
    assert_eq!(sum.source, "D1.1:2015 4.9.3.3, read in a copy");
    // The table of positions was read in 2020 only.
    let positions = rule_in("aws-d1.1-2015", "d11-position-plate-3g");
    assert_eq!((positions.clause.as_str(), positions.basis), ("Table 4.10", Basis::Memory));
    assert!(positions.source.ends_with("; taken over from 2020, the 2015 text not seen"));
    assert_eq!(rule_in("aws-d1.1-2015", "d11-thickness-small-pipe").clause, "Table 9.14");
    assert_eq!(
        rule_in("aws-d1.1-2015", "d11-backing-open").clause,
        "Table 4.12 (6); Table 9.13 notes; Figure 9.24(A)"
    );
}

#[test]
fn no_clause_of_2015_keeps_a_number_of_2020() {
    for rule in &code("aws-d1.1-2015").unwrap().rules {
        for number in ["6.", "10.", "Table 6", "Table 10"] {
            assert!(!rule.clause.starts_with(number), "{}: {}", rule.id, rule.clause);
        }
    }
}

/// The numbers in a text that could be a clause: `6.10.3.3`, `10.22`.
fn numbers(text: &str) -> impl Iterator<Item = &str> {
    let parts = text.split(|c: char| !c.is_ascii_digit() && c != '.').map(|part| part.trim_matches('.'));
    parts.filter(|part| part.contains('.'))
}

/// Clauses are renumbered from edition to edition and sentences are not.
#[test]
fn no_sentence_of_a_rule_holds_a_clause_number_of_another_edition() {
    let of_clauses = |code: &Code| -> BTreeSet<String> {
        code.rules.iter().flat_map(|r| numbers(&r.clause)).map(str::to_owned).collect()
    };
    for edition in codes().unwrap() {
        let Some(base) = edition.based_on.as_deref() else { continue };
        let own = of_clauses(edition);
        let moved: Vec<String> =
            of_clauses(code(base).unwrap()).into_iter().filter(|number| !own.contains(number)).collect();
        for rule in &edition.rules {
            for text in [Some(&rule.title), Some(&rule.finding), rule.note.as_ref()].into_iter().flatten() {
                let found = numbers(text).find(|number| moved.iter().any(|gone| gone == number));
                assert_eq!(found, None, "{}, {}: {text}", edition.id, rule.id);
            }
        }
    }
}

#[test]
fn a_rule_taken_over_unread_is_never_better_known() {
    let rank = |basis: Basis| match basis {
        Basis::Seen => 0,
        Basis::Secondary | Basis::Derived => 1,
        _ => 2,
    };
    for code in codes().unwrap() {
        let Some(base) = code.based_on.as_deref() else { continue };
        for rule in code.rules.iter().filter(|r| r.source.contains("taken over from")) {
            let theirs = rule_in(base, &rule.id).basis;
            assert!(rank(rule.basis) >= rank(theirs), "{} in {}", rule.id, code.id);
            assert!(!matches!(rule.basis, Basis::Seen | Basis::Secondary), "{} in {}", rule.id, code.id);
        }
    }
}

#[test]
fn every_finding_under_2025_says_that_it_is_unverified() {
    let unverified = code("aws-d1.1-2025").unwrap();
    assert_eq!(unverified.unverified.as_deref(), Some("unverified for 2025"));
    assert_eq!(unverified.rules.len(), code("aws-d1.1-2020").unwrap().rules.len());
    for rule in &unverified.rules {
        assert!(rule.clause.ends_with(", unverified for 2025"), "{}: {}", rule.id, rule.clause);
        let claims = matches!(rule.basis, Basis::Seen | Basis::Secondary | Basis::Derived | Basis::Measured);
        assert!(!claims, "{}", rule.id);
    }
    let inch = |si| Quantity { si, kind: Kind::Length, system: bendproof_measure::System::Inch };
    let opening = Opening { length: inch(0.005), place: Place::Face, cause: Cause::None, zone: Zone::Weld };
    let strap = Strap {
        id: "1".to_owned(),
        kind: StrapKind::Root,
        thickness: Some(inch(0.009_525)),
        wall: None,
        weld_in_bend: Some(true),
        openings: Some(vec![opening]),
    };
    let report =
        judge(unverified, &BendTest { straps: vec![strap], coupon: None, others: OtherExams::default() })
            .unwrap();
    assert_eq!(report.verdict, Verdict::Reject);
    for finding in &report.straps[0].findings {
        assert!(finding.clause.contains("unverified for 2025"), "{finding:?}");
    }
}

#[test]
fn the_metals_one_test_covers_differ_between_editions_of_section_nine() {
    let asks = |code: &str, tested: &str, asked: &str| {
        let id = "asme-base-metal-steel";
        let rule = rule_in(code, id);
        let facts = Facts::default().with("base_metal", Fact::Word(tested.to_owned())).unwrap();
        rule.ask(&facts.with("ask_base_metal", Fact::Word(asked.to_owned())).unwrap())
    };
    assert_eq!(asks("asme-ix-2023", "P1", "P8"), Answer::Pass);
    assert_eq!(asks("asme-ix-2023", "P1", "P15E"), Answer::Pass);
    assert_eq!(asks("asme-ix-2010", "P1", "P8"), Answer::Pass);
    assert_eq!(asks("asme-ix-2010", "P1", "P15E"), Answer::Fail);
    // What 2017 read was not seen: what both its neighbours have is covered, and
    // a rule of its own leaves the rest open.
    assert_eq!(asks("asme-ix-2017", "P1", "P8"), Answer::Pass);
    assert_eq!(asks("asme-ix-2017", "P1", "P15E"), Answer::Fail);
    assert!(rule_in("asme-ix-2017", "asme-base-metal-range").finding.contains("was not read in 2017"));
}

#[test]
fn explain_says_which_editions_have_a_rule_and_where_they_differ() {
    let explained = explain("d11-bend-single-opening").unwrap();
    let held = explained.editions().unwrap();
    let ids: Vec<&str> = held.iter().map(|h| h.code.id.as_str()).collect();
    assert_eq!(ids, ["aws-d1.1-2020", "aws-d1.1-2015", "aws-d1.1-2025"]);
    assert!(held[0].differs.is_empty());
    assert_eq!(held[1].differs, ["clause: 4.9.3.3 (1)", "basis: seen"]);
    assert_eq!(
        held[2].differs,
        ["clause: 6.10.3.3 (1), unverified for 2025", "basis: memory", "status: unverified"]
    );

    let held = explain("asme-base-metal-steel").unwrap().editions().unwrap();
    assert_eq!(held.len(), 3);
    assert!(held[1].differs.iter().any(|line| line.contains("limit: base metal: P1, P3")));
    assert!(held[2].differs.iter().any(|line| line.contains("limit: base metal: P1, P3")));

    // A code of one edition has nothing to compare.
    assert_eq!(explain("api-bend-opening").unwrap().editions().unwrap().len(), 1);
}

const LATER: &str = r#"
id = "aws-d1.1-2030"
short = "AWS D1.1:2030"
title = "A later edition"
edition = "2030"
aliases = []
note = "for a test"
based_on = "aws-d1.1-2020"
carried_basis = "memory"
"#;

#[test]
fn a_rule_is_explained_as_the_edition_asked_for_has_it() {
    let id = "d11-bend-single-opening";
    let asked = explain_under(id, "d1.1:2015").unwrap();
    assert_eq!((asked.code.id.as_str(), asked.rule.clause.as_str()), ("aws-d1.1-2015", "4.9.3.3 (1)"));
    let others = asked.editions().unwrap();
    let whole = others.iter().find(|held| held.code.id == "aws-d1.1-2020").unwrap();
    assert!(whole.differs.contains(&"clause: 6.10.3.3 (1)".to_owned()), "{:?}", whole.differs);
    // A row of another code as the borrower has it.
    let lent = explain_under("iso5817-cap-c", "iso-9606-1").unwrap();
    assert!(lent.rule.clause.contains("by iso-5817-2014"), "{}", lent.rule.clause);
    let error = explain_under(id, "api-1104").unwrap_err().to_string();
    assert!(
        error.contains("`d11-bend-single-opening` is not a rule id; the nearest is `api-bend-"),
        "{error}"
    );
}

#[test]
fn an_edition_that_is_not_whole_does_not_load() {
    let codes = codes().unwrap();
    let d11 = code("aws-d1.1-2020").unwrap();
    assert_eq!(load_edition(LATER, codes).unwrap().rules.len(), d11.rules.len());

    assert_eq!(
        load(LATER).unwrap_err().to_string(),
        "`aws-d1.1-2030` is based on `aws-d1.1-2020`, which does not stand whole before it; the nearest is ``"
    );
    // A base that is itself written as differences would hide what was read.
    let chained = LATER.replace("based_on = \"aws-d1.1-2020\"", "based_on = \"aws-d1.1-2015\"");
    assert!(matches!(load_edition(&chained, codes), Err(LoadError::BaseMissing { .. })));

    for (more, wanted) in [
        ("[clauses]\n\"6.10\" = \"8.10\"\n", "no prefix of the map leads `Table 6.11`"),
        (
            "[[without]]\nrules = [\"d11-bend-crack\"]\nwhy = \"gone\"\n",
            "aws-d1.1-2020 has no such rule; the nearest is",
        ),
        (
            "[[read]]\nrules = [\"d11-proces\"]\nsource = \"x\"\nbasis = \"seen\"\n",
            "the nearest is `d11-process`",
        ),
        (
            "[[read]]\nrules = [\"d11-process\"]\nsource = \"x\"\nbasis = \"guess\"\n",
            "`guess` is not one of seen",
        ),
    ] {
        let error = load_edition(&format!("{LATER}{more}"), codes).unwrap_err().to_string();
        assert!(error.contains(wanted), "{more}: {error}");
    }
    let better = LATER.replace("carried_basis = \"memory\"", "carried_basis = \"seen\"");
    let error = load_edition(&better, codes).unwrap_err().to_string();
    assert!(error.contains("`seen` is not one of secondary, memory"), "{error}");
    // Leaving a rule out that others refer to is noticed.
    let without = "[[without]]\nrules = [\"d11-bend-openings-sum\"]\nwhy = \"gone\"\n";
    let error = load_edition(&format!("{LATER}{without}"), codes).unwrap_err();
    assert!(matches!(error, LoadError::DeadReference { .. }), "{error}");
}

#[test]
fn a_rule_of_the_edition_replaces_the_one_whose_id_it_bears() {
    let own = r#"
[[rule]]
id = "d11-process"
title = "Process, worded otherwise"
finding = "the process was not tested"
status = "stable"
since = "2030"
until = "2035"
clause = "Table 9"
kind = "standing"
demand = { is = "same", facet = "process" }
source = "invented for a test"
basis = "choice"
pass = [{ case = "same", process = "SMAW", ask_process = "SMAW" }]
fail = [{ case = "other", process = "SMAW", ask_process = "GMAW" }]
"#;
    let later = load_edition(&format!("{LATER}{own}"), codes().unwrap()).unwrap();
    let at = |code: &Code| code.rules.iter().position(|r| r.id == "d11-process").unwrap();
    assert_eq!(at(&later), at(code("aws-d1.1-2020").unwrap()));
    let rule = later.rule("d11-process").unwrap();
    assert_eq!((rule.title.as_str(), rule.until.as_deref()), ("Process, worded otherwise", Some("2035")));
    assert_eq!(rule.basis, Basis::Choice);
}
