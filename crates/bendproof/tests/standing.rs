//! What is said of a passed test, on the real program: of which edition its
//! clauses are, that a no is never said where the word is unsure, that nothing
//! known is not nothing granted, and which fillers a process has.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_codes::catalogue::code;
use serde_json::Value;
use support::contract::list;
use support::{Folder, Ran, run};

const D11: [&str; 3] = ["aws-d1.1-2015", "aws-d1.1-2020", "aws-d1.1-2025"];

/// A 3/8 in plate welded uphill with stick, and a joint like it asked about.
fn stick(code: &str) -> String {
    format!(
        r#"
code = "{code}"
welder = "Marek Ostrava"
positions = ["3G"]
process = "SMAW"
shape = "plate"
thickness = "3/8 in"
layers = 3
progressions = ["uphill"]
backing = "steel"
filler = "F4"
base_metal = "P1"
finished = 2026-08-14

[[ask]]
joint = "plate_groove"
position = "V"
progression = "uphill"
backing = "steel"
thickness = "3/8 in"
filler = "F4"
base_metal = "P1"
"#
    )
}

fn standing(text: &str, more: &[&str]) -> Ran {
    let folder = Folder::new();
    let path = folder.write("record.toml", text);
    let arguments: Vec<&str> = ["standing", &path].into_iter().chain(more.iter().copied()).collect();
    run(&arguments)
}

fn answer(text: &str) -> (String, String, i32) {
    let ran = standing(text, &["--json"]);
    let asked = ran.json()["asked"][0].clone();
    let printed = asked["reasons"].as_array().unwrap().iter().map(|r| r["message"].as_str().unwrap());
    (asked["answer"].as_str().unwrap().to_owned(), printed.collect::<Vec<_>>().join("\n"), ran.code)
}

/// Each rule of a reason stands with its clause in this very edition.
fn cites(edition: &str, reason: &Value) {
    let clauses = list(reason, "clauses");
    for rule in list(reason, "rules") {
        let rule = code(edition).unwrap().rule(rule.as_str().unwrap()).unwrap();
        assert!(clauses.iter().any(|c| *c == rule.clause), "{edition}, {}: {reason}", rule.id);
    }
    assert_eq!(clauses.is_empty(), list(reason, "rules").is_empty(), "{reason}");
}

#[test]
fn answers_about_a_joint_cite_the_edition_asked_about() {
    for edition in D11 {
        let answer = standing(&stick(edition), &["--json"]).json();
        let reasons = list(&answer["asked"][0], "reasons");
        assert!(reasons.len() > 4, "{edition}");
        reasons.iter().for_each(|reason| cites(edition, reason));
        let printed = standing(&stick(edition), &[]).out;
        let asked = printed.split("joint: ").nth(1).unwrap().split("renewal").next().unwrap();
        match edition {
            "aws-d1.1-2015" => {
                assert!(asked.contains("Table 4.12") && !asked.contains("Table 6."), "{asked}")
            }
            "aws-d1.1-2025" => {
                let cited = asked.lines().filter(|line| line.contains("Table"));
                assert!(cited.clone().count() > 2);
                cited.for_each(|line| assert!(line.contains("unverified for 2025"), "{line}"));
            }
            _ => assert!(asked.contains("Table 6.12"), "{asked}"),
        }
    }
}

#[test]
fn the_joints_of_a_job_cite_the_edition_asked_about() {
    let folder = Folder::new();
    let joints = "[[joint]]\nkind = \"plate_groove\"\nposition = \"V\"\nprocess = \"SMAW\"\nthickness = \"3/8 in\"\n\
                  backing = \"open\"\nprogression = \"uphill\"\nfiller = \"F43\"\n";
    let path = folder.write("joints.toml", joints);
    for edition in D11 {
        let answer = run(&["cover", "--joints", &path, "--code", edition, "--json"]).json();
        let reasons = list(&list(&answer, "codes")[0]["joints"][0], "reasons");
        assert!(!reasons.is_empty(), "{edition}: {answer}");
        reasons.iter().for_each(|reason| cites(edition, reason));
    }
}

/// QW-403.18 makes the P-number an essential variable of the welder's test.
#[test]
fn a_joint_of_no_stated_metal_is_not_sure_and_says_what_to_enter() {
    let aluminum = stick("asme-ix-2023").replacen("\"P1\"", "\"P21\"", 1);
    let of = |metal: &str| aluminum.replacen("base_metal = \"P1\"\n", metal, 1);
    let (word, printed, exit) = answer(&of(""));
    assert_eq!((word.as_str(), exit), ("not_sure", 1));
    assert!(printed.contains("enter the joint's base metal"), "{printed}");
    assert_eq!(answer(&of("base_metal = \"P22\"\n")).0, "covered");
    assert_eq!(answer(&of("base_metal = \"P1\"\n")).0, "not_covered");
}

#[test]
fn what_both_editions_around_2017_have_is_covered_in_2017() {
    let (word, printed, exit) = answer(&stick("asme-ix-2017"));
    assert_eq!((word.as_str(), exit), ("covered", 0), "{printed}");
}

#[test]
fn a_sentence_says_no_only_where_the_answer_is_no() {
    let wire = stick("asme-ix-2023")
        .replace("process = \"SMAW\"", "process = \"GMAW\"\ntransfer = \"spray\"")
        .replace("F4", "F6")
        .replace("joint = ", "process = \"FCAW\"\njoint = ");
    let (word, printed, _) = answer(&wire);
    assert_eq!(word, "not_sure", "{printed}");
    assert!(printed.contains("whether process FCAW is qualified is an open question"), "{printed}");
    assert!(!printed.contains("outside the qualified range"), "{printed}");
}

const API_PIPE: &str = r#"
code = "api-1104-2013"
welder = "Marek Ostrava"
positions = ["5G"]
process = "SMAW"
shape = "pipe"
thickness = "0.280 in"
outside_diameter = "6.625 in"
progressions = ["downhill"]
backing = "open"
filler = "E6010"
finished = 2026-08-14

[[ask]]
joint = "fillet"
position = "H"
thickness = "0.280 in"
filler = "E6010"
"#;

#[test]
fn a_disputed_rule_gives_no_flat_no() {
    let (word, answer, _) = answer(API_PIPE);
    assert_eq!(word, "not_sure", "{answer}");
    assert!(answer.contains("whether position H in fillet is qualified"), "{answer}");
    assert!(answer.contains("disputed"), "{answer}");
}

#[test]
fn nothing_known_is_distinguished_from_nothing_granted() {
    let line = |text: &str, name: &str| {
        let out = standing(text, &[]).out;
        let found = out.lines().find(|line| line.starts_with(name)).map(str::to_owned);
        found.unwrap_or_else(|| panic!("no `{name}` in {out}"))
    };
    let gaps = |text: &str| standing(text, &["--json"]).json()["covers"]["why_empty"].clone();
    assert!(line(API_PIPE, "backing").contains("undetermined"));
    assert!(line(API_PIPE, "transfer").contains("does not apply"));
    assert!(line(API_PIPE, "plate groove").ends_with("none"));
    assert_eq!(gaps(API_PIPE)["backing"], "undetermined");
    let wire = API_PIPE.replace("process = \"SMAW\"", "process = \"GMAW\"\ntransfer = \"spray\"");
    let wire = wire.replace("E6010", "ER70S-6");
    assert!(line(&wire, "transfer").contains("undetermined"));
    let gas_line = API_PIPE.replace("api-1104-2013", "49-cfr-192-appendix-c");
    for name in ["pipe groove", "fillet", "backing", "progression"] {
        let answer = line(&gas_line, name);
        assert!(answer.contains("undetermined") || answer.contains("not in this rule data"), "{answer}");
    }
    let answer = gaps(&gas_line);
    assert_eq!(
        (&answer["pipe_groove"], &answer["fillet"]),
        (&"undetermined".into(), &"undetermined".into()),
        "{answer}"
    );
}

/// F-numbers of QW-432, from memory: F-1 to F-5 are covered electrodes, F-6 is
/// every other filler for steel.
#[test]
fn a_group_that_no_filler_of_the_process_has_is_refused_by_name() {
    let stick = stick("asme-ix-2023");
    let refused = |text: &str, group: &str| {
        let ran = standing(text, &[]).ends(2);
        assert!(ran.err.contains(&format!("filler {group} belongs to")), "{}", ran.err);
    };
    refused(&stick.replacen("F4", "F6", 1), "F6");
    refused(
        &stick.replacen(
            "thickness = \"3/8 in\"\nfiller = \"F4\"",
            "thickness = \"3/8 in\"\nfiller = \"F6\"",
            1,
        ),
        "F6",
    );
    let wire = stick.replace("process = \"SMAW\"", "process = \"GMAW\"\ntransfer = \"spray\"");
    refused(&wire.replace("F4", "F3"), "F3");
    refused(&wire, "F4");
    refused(&wire.replace("GMAW", "FCAW").replace("transfer = \"spray\"\n", ""), "F4");
    let folder = Folder::new();
    let joint = "[[joint]]\nkind = \"plate_groove\"\nposition = \"F\"\nprocess = \"SMAW\"\nthickness = \"3/8 in\"\n\
                 backing = \"steel\"\nfiller = \"F6\"\n";
    let path = folder.write("joints.toml", joint);
    let ran = run(&["cover", "--joints", &path, "--code", "d1.1"]).ends(2);
    assert!(ran.err.contains("filler F6 belongs to") && !ran.out.contains("SMAW F6"), "{}", ran.err);
    let coupon = support::read("examples/plate-3g-uphill.toml");
    let coupon = coupon.replacen("wire = \"ER70S-6\"", "wire = \"F3\"", 1);
    let path = folder.write("coupon.toml", coupon);
    assert!(run(&["judge", &path]).ends(2).err.contains("filler F3 belongs to SMAW"));
}

#[test]
fn a_coupon_in_the_place_of_a_record_is_named_as_one() {
    let ran = run(&["standing", "examples/plate-iso-9606.toml"]).ends(2);
    assert!(ran.err.contains("a coupon file") && ran.err.contains("bendproof cover"), "{}", ran.err);
    assert_eq!(ran.err.lines().count(), 1, "{}", ran.err);
}
