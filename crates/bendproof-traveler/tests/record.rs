//! Record files put to the codes: asked about joints, about past days, and under
//! ISO 9606-1.
#![allow(clippy::unwrap_used)]

use bendproof_codes::held::{CoverAnswer, Covered, Standing, lasting_words};
use bendproof_codes::rule::Both;
use bendproof_codes::words::{Facet, Hold};
use bendproof_traveler::issued::{Issue, continuity, log_of_record};
use bendproof_traveler::welder::{
    RecordAnswer, answer_record, pipe_words, range_words, read_record, size_words,
};
use jiff::civil::Date;

const ISO: &str = r#"
code = "iso-9606-1-2017"
welder = "Marek Ostrava"
positions = ["6G"]
process = "GMAW"
transfer = "short-circuit"
shape = "pipe"
thickness = "12.5 mm"
layers = 4
outside_diameter = "168.3 mm"
progressions = ["uphill"]
backing = "open"
filler = "ER70S-6"
finished = 2024-03-11
use = [
    { date = 2024-09-01, checked_by = "Ida Falk" },
    { date = 2025-02-20, checked_by = "Ida Falk" },
]
renewal_route = "b"
"#;

const OVERHEAD: &str = r#"
[[ask]]
joint = "pipe_groove"
position = "OH"
transfer = "short-circuit"
backing = "open"
thickness = "0.280 in"
diameter = "6.625 in"
filler = "ER70S-6"
base_metal = "P1"
"#;

fn day(text: &str) -> Date {
    text.parse().unwrap()
}

fn answered(text: &str, on: &str) -> RecordAnswer {
    answer_record(text, None, Some(day(on))).unwrap_or_else(|e| panic!("{:#?}", e.findings))
}

fn example() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/record.toml");
    std::fs::read_to_string(path).unwrap()
}

#[test]
fn a_pipe_overhead_without_backing_is_answered_with_clauses() {
    let answer = answered(&example(), "2026-11-02");
    let [asked] = answer.asked.as_slice() else { panic!("{:#?}", answer.asked) };
    assert_eq!(asked.coverage.answer, CoverAnswer::Covered, "{:#?}", asked.coverage);
    assert!(
        asked.question.starts_with("pipe groove OH, GMAW, short-circuit, backing open"),
        "{}",
        asked.question
    );
    assert!(answer.renewal.iter().any(|advice| advice.because.clause == "QW-322.2"));
}

/// With its base metal stated nothing of an ASME IX standing is open; without it
/// the group of the metal is.
#[test]
fn a_base_metal_that_is_stated_settles_an_asme_standing() {
    let stated = answered(&example(), "2026-11-02");
    assert_eq!(stated.standing.doubts, []);
    assert!(stated.standing.base_metals.iter().any(|metal| metal == "P8"));
    assert_eq!(stated.remarks, ["base metal A106-B is P1: derived from ASME BPVC IX QW-422:2017, secondary"]);
    let silent = answered(&example().replace("base_metal = \"A106-B\"\n", ""), "2026-11-02");
    let doubts: Vec<&str> = silent.standing.doubts.iter().map(|d| d.rule.as_str()).collect();
    assert_eq!(doubts, ["asme-base-metal"]);
    assert_eq!(silent.asked[0].coverage.answer, CoverAnswer::NotSure, "the joint names its metal");
    let aluminium =
        answered(&example().replace("base_metal = \"A53-B\"", "base_metal = \"P-21\""), "2026-11-02");
    assert_eq!(aluminium.asked[0].coverage.answer, CoverAnswer::NotCovered);
}

/// Route c of ISO 9606-1 asks for ISO 3834-2 or -3; where it is not allowed there
/// is no day a script could go by.
#[test]
fn a_refused_route_gives_no_date() {
    let text = ISO.replace("renewal_route = \"b\"", "renewal_route = \"c\"\nquality_system = \"iso-3834-4\"");
    let standing = answered(&text, "2025-03-01").standing;
    assert_eq!((standing.hold, standing.until), (Some(Hold::Nothing), None));
    assert!(standing.refused.is_none(), "the test itself is none that the code refuses");
}

#[test]
fn the_same_question_has_three_answers() {
    let with = |from: &str, to: &str| {
        let text = format!("{ISO}{}", OVERHEAD.replace(from, to));
        answered(&text, "2025-03-01").asked.remove(0).coverage.answer
    };
    assert_eq!(with("OH", "OH"), CoverAnswer::Covered);
    assert_eq!(with("0.280 in", "0.080 in"), CoverAnswer::NotCovered);
    assert_eq!(with("thickness = \"0.280 in\"\n", ""), CoverAnswer::NotSure);
    assert_eq!(with("filler = \"ER70S-6\"\n", ""), CoverAnswer::NotSure);
    assert_eq!(with("transfer = \"short-circuit\"\n", ""), CoverAnswer::NotSure);
    assert_eq!(with("OH\"", "V\"\nprogression = \"downhill\""), CoverAnswer::NotCovered);
    assert_eq!(with("ER70S-6", "E71T-1\"\nprocess = \"FCAW"), CoverAnswer::NotCovered);
}

#[test]
fn a_question_may_name_a_day_ahead_but_the_record_may_not() {
    let today = Some(day("2025-03-01"));
    let ahead = format!("{ISO}{OVERHEAD}day = 2025-08-20\n");
    let answer = answer_record(&ahead, today, today).unwrap();
    assert_eq!(answer.asked[0].coverage.answer, CoverAnswer::Covered);
    let late = ahead.replace("2025-08-20", "2025-08-21");
    assert_eq!(answer_record(&late, today, today).unwrap().asked[0].coverage.answer, CoverAnswer::NotCovered);
    let error = answer_record(&ISO.replace("2025-02-20", "2025-03-02"), today, today).unwrap_err();
    assert!(error.findings[0].message.starts_with("date of use is 2025-03-02"), "{:?}", error.findings);
}

#[test]
fn the_register_is_a_history() {
    for (on, hold, until) in [
        ("2024-03-10", Hold::NotYet, "2024-09-11"),
        ("2024-08-31", Hold::Held, "2024-09-11"),
        ("2024-09-01", Hold::Held, "2025-03-01"),
        ("2025-08-20", Hold::Held, "2025-08-20"),
        ("2025-08-21", Hold::Lapsed, "2025-08-20"),
    ] {
        let standing = answered(ISO, on).standing;
        assert_eq!((standing.hold, standing.until), (Some(hold), Some(day(until))), "{on}");
    }
    assert_eq!(read_record(ISO, None).unwrap().hold, None);
}

#[test]
fn the_record_tells_the_last_good_day_in_the_words_of_the_command_line() {
    let lasts = |standing: &Standing| lasting_words(standing.hold, standing.until);
    let record = ISO.replace("checked_by", "evidence = \"job 7\", checked_by");
    for (on, expected) in [
        ("2025-08-19", "valid through 2025-08-20"),
        ("2025-08-20", "valid through 2025-08-20"),
        ("2025-08-21", "expired after 2025-08-20"),
    ] {
        let log = log_of_record(&record, "7", day(on)).unwrap();
        let first = Issue::first("2025-08-21 10:00:00 UTC".to_owned(), "Ida Falk");
        assert_eq!(continuity(&log, first).state, expected, "{on}");
        assert_eq!(lasts(&answered(&record, on).standing), expected, "{on}");
    }
}

#[test]
fn a_use_nobody_checked_confirms_nothing_under_iso() {
    let bare = ISO.replace(", checked_by = \"Ida Falk\"", "");
    let answer = answered(&bare, "2024-10-01").standing;
    assert_eq!((answer.hold, answer.until), (Some(Hold::NotKnown), Some(day("2024-09-11"))));
    let doubt = answer.doubts.iter().find(|d| d.rule == "iso9606-confirmation").unwrap();
    assert!(doubt.message.contains("Enter who confirmed it"), "{}", doubt.message);
    assert_eq!(answered(&bare, "2024-09-11").standing.hold, Some(Hold::Held));
    assert_eq!(answered(&bare, "2025-08-21").standing.hold, Some(Hold::Lapsed));
}

#[test]
fn the_welder_does_not_confirm_his_own_work() {
    let own = ISO.replace("Ida Falk", " marek OSTRAVA ");
    let answer = answered(&own, "2024-10-01").standing;
    assert_eq!((answer.hold, answer.until), (Some(Hold::NotKnown), Some(day("2024-09-11"))));
    assert!(answer.doubts.iter().any(|d| d.message.contains("not the welder")), "{:#?}", answer.doubts);
}

const FILL: &str = r#"
code = "asme-ix-2023"
welder = "Marek Ostrava"
positions = ["6G"]
process = "GMAW"
transfer = "short-circuit"
shape = "pipe"
thickness = "0.280 in"
outside_diameter = "6.625 in"
progressions = ["uphill"]
backing = "open"
filler = "ER70S-6"
base_metal = "P1"
finished = 2026-03-11
renewal_route = "a"
"#;

#[test]
fn a_root_with_another_process_needs_its_deposit() {
    let answer = |more: &str, deposit: &str| {
        let text = format!("{FILL}{more}{OVERHEAD}{deposit}");
        answered(&text, "2026-04-01").asked.remove(0).coverage
    };
    let two = "other_process = \"GTAW\"\n";
    assert_eq!(answer("", "").answer, CoverAnswer::Covered);
    let open = answer(two, "");
    assert_eq!(open.answer, CoverAnswer::NotSure);
    assert!(
        open.reasons
            .iter()
            .any(|r| r.message.contains("enter the weld metal thickness this process deposited"))
    );
    let stated = format!("{two}deposit_thickness = \"1/8 in\"\n");
    assert_eq!(answer(&stated, "").answer, CoverAnswer::NotSure);
    // Which of the two made the open root is not known; with backing it does not matter.
    let root = answer(&stated, "deposit = \"1/8 in\"\n");
    assert_eq!(root.answer, CoverAnswer::NotSure);
    assert!(root.reasons.iter().any(|r| r.message.contains("which of the two made the root")), "{root:#?}");
    let backed = OVERHEAD.replace("open", "steel");
    let text = format!("{FILL}{stated}{backed}deposit = \"1/8 in\"\n");
    assert_eq!(answered(&text, "2026-04-01").asked[0].coverage.answer, CoverAnswer::Covered);
    assert_eq!(answer(&stated, "deposit = \"9/64 in\"\n").answer, CoverAnswer::NotCovered);
    let text = format!("{FILL}{OVERHEAD}deposit = \"1/2 in\"\n");
    let error = answer_record(&text, None, Some(day("2026-04-01"))).unwrap_err();
    assert!(
        error.findings[0].message.starts_with("deposited weld metal thickness 1/2 in"),
        "{:?}",
        error.findings
    );
}

/// The question of the test bay: may this welder weld a 6 in pipe overhead
/// without backing? The answers can be reached under each of these codes.
#[test]
fn a_pipe_overhead_without_backing_has_its_answers_under_each_code() {
    for code in ["aws-d1.1-2020", "asme-ix-2023", "iso-9606-1-2017"] {
        let record = FILL.replace("asme-ix-2023", code);
        let ask = |figure: &str, from: &str, to: &str| {
            let text = format!("{record}{figure}{}", OVERHEAD.replace(from, to));
            answered(&text, "2026-04-01").asked.remove(0).coverage
        };
        let (stated, other) = ("figure = \"no-backing\"\n", "figure = \"other\"\n");
        let whole = ask(stated, "OH", "OH");
        assert_eq!(whole.answer, CoverAnswer::Covered, "{code}: {whole:#?}");
        assert!(whole.reasons.iter().all(|r| !r.rules.is_empty()), "{code}: {whole:#?}");
        assert_eq!(ask(stated, "6.625 in", "2 in").answer, CoverAnswer::NotCovered, "{code}");
        assert_eq!(ask(stated, "thickness = \"0.280 in\"\n", "").answer, CoverAnswer::NotSure, "{code}");
        // Only AWS asks for a figure.
        let (unsaid, refused) = match code {
            "aws-d1.1-2020" => (CoverAnswer::NotSure, CoverAnswer::NotCovered),
            _ => (CoverAnswer::Covered, CoverAnswer::Covered),
        };
        assert_eq!(ask("", "OH", "OH").answer, unsaid, "{code}");
        assert_eq!(ask(other, "OH", "OH").answer, refused, "{code}");
    }
}

#[test]
fn an_iso_record_has_its_line_or_says_what_is_missing() {
    let line = |text: &str| answered(text, "2025-03-01").designation.unwrap();
    assert_eq!(line(ISO).unwrap(), "ISO 9606-1 135 T BW FM1 S s12.5 D168.3 H-L045 ss nb");
    let gas = ISO.replace("backing = \"open\"", "backing = \"open\"\nbacking_detail = \"gas\"");
    assert!(line(&gas).unwrap().ends_with("ss gb"));
    let bare = ISO.replace("filler = \"ER70S-6\"\n", "");
    let missing = line(&bare).unwrap_err();
    assert!(missing.contains("filler group") && missing.contains("filler type"), "{missing}");
    let written = format!("{bare}filler_group = \"FM1\"\nfiller_type = \"M\"\n");
    assert!(line(&written).unwrap().starts_with("ISO 9606-1 138 T BW FM1 M"));
    assert!(answered(&example(), "2026-11-02").designation.is_none());
    let shared = ISO.replace("layers = 4", "layers = 4\nother_process = \"GTAW\"");
    assert!(line(&shared).unwrap_err().ends_with("state deposit_thickness"));
}

#[test]
fn millimetres_alone_are_printed_where_the_code_prints_no_inches() {
    let standing = answered(ISO, "2025-03-01").standing;
    assert_eq!(size_words(&standing, Facet::Thickness), "3 mm and up, unlimited");
    assert_eq!(size_words(&standing, Facet::Diameter), "84.15 mm and up, unlimited");
    let plate = ISO
        .replace("6G", "3G")
        .replace("\"pipe\"", "\"plate\"")
        .replace("outside_diameter = \"168.3 mm\"\n", "");
    assert_eq!(pipe_words(&answered(&plate, "2025-03-01").standing), "PA from 75 mm · PA, PF from 500 mm");
}

#[test]
fn a_faulty_question_is_refused_with_its_place() {
    for (from, to, path) in [
        ("pipe_groove", "pipe", "ask.1.joint"),
        ("OH", "4G", "ask.1.position"),
        ("\"open\"\nthick", "\"copper\"\nthick", "ask.1.backing"),
        ("0.280 in", "0.280", "ask.1.thickness"),
        ("joint = \"pipe_groove\"\n", "", "ask.1.joint"),
    ] {
        let error = answer_record(&format!("{ISO}{}", OVERHEAD.replace(from, to)), None, None).unwrap_err();
        assert!(error.findings.iter().any(|f| f.path == path), "{path}: {:#?}", error.findings);
    }
}

/// D1.1 counts pipe by its nominal size: NPS 1/2 is 0.840 in outside and is not
/// "3/4 in and up", whichever of its sizes is written.
#[test]
fn a_pipe_is_asked_about_as_the_code_counts_it() {
    let answers = |size: &str| {
        let text = D11_SMALL_PIPE.replace("SIZE", size);
        let answer = answer_record(&text, None, None).unwrap();
        answer.asked[0].coverage.answer
    };
    assert_eq!(answers("diameter = \"0.840 in\""), CoverAnswer::NotCovered);
    assert_eq!(answers("nominal_size = \"1/2 in\""), CoverAnswer::NotCovered);
    // NPS 4 is 4.5 in outside and still inside "up to 4 in".
    assert_ne!(answers("diameter = \"4.500 in\""), CoverAnswer::NotCovered);
    assert_ne!(answers("nominal_size = \"4 in\""), CoverAnswer::NotCovered);
}

/// A 2 in Schedule 80 test pipe, welded with backing, under D1.1.
const D11_SMALL_PIPE: &str = r#"
code = "aws-d1.1-2020"
welder = "Marek Ostrava"
positions = ["6G"]
process = "SMAW"
shape = "pipe"
thickness = "0.218 in"
outside_diameter = "2.375 in"
progressions = ["uphill"]
backing = "steel"
filler = "F4"
finished = 2026-08-14

[[ask]]
joint = "pipe_groove"
position = "F"
backing = "steel"
thickness = "0.200 in"
SIZE
progression = "uphill"
filler = "F4"
"#;

#[test]
fn an_end_that_is_not_part_of_a_range_says_so() {
    let pair = |inch: f64| Both { inch_m: inch * 0.0254, metric_m: inch * 0.0254 };
    let range = |min: f64, max: Option<f64>, min_excluded, max_excluded| {
        let covered =
            Covered { min: pair(min), max: max.map(pair), min_excluded, max_excluded, metric_only: false };
        range_words(&covered)
    };
    assert!(range(0.0, Some(2.375), false, true).starts_with("under 2-3/8 in"));
    assert!(range(0.0, Some(2.375), false, false).starts_with("up to 2-3/8 in"));
    assert!(range(12.75, None, true, false).starts_with("over 12-3/4 in, unlimited"));
    assert!(range(0.1875, Some(0.75), true, true).starts_with("over 3/16 in to under 3/4 in"));
}

/// A TIG test as a bay in the United States writes it down.
const TIG: &str = r#"
code = "asme-ix-2023"
welder = "R. Okafor"
positions = ["6G"]
process = "GTAW"
shape = "pipe"
thickness = "0.280 in"
nominal_size = "NPS 6"
outside_diameter = "6.625 in"
progressions = ["uphill"]
backing = "open"
backing_gas = "no"
filler = "ER70S-2"
polarity = "DCEN"
base_metal = "A106-B"
finished = "2026-10-05"
"#;

const TIG_JOINT: &str = r#"
[[ask]]
joint = "pipe_groove"
position = "F"
backing = "open"
thickness = "0.280 in"
nominal_size = "NPS 6"
filler = "ER70S-6"
polarity = "DCEN"
base_metal = "P1"
"#;

#[test]
fn a_tig_record_with_all_stated_is_answered_and_each_thing_left_out_is_asked_for() {
    let of = |test: &str, joint: &str| answered(&format!("{test}{joint}"), "2026-11-02");
    let one = |test: &str, joint: &str| of(test, joint).asked.remove(0).coverage;
    let whole = of(TIG, TIG_JOINT);
    assert_eq!(whole.asked[0].coverage.answer, CoverAnswer::Covered, "{:#?}", whole.asked);
    assert!(whole.standing.doubts.is_empty(), "{:#?}", whole.standing.doubts);
    assert!(whole.asked[0].question.ends_with("base metal P1, type S, DCEN"), "{}", whole.asked[0].question);
    for (line, wanted) in [
        ("polarity = \"DCEN\"\n", "enter the polarity: DCEN, DCEP or AC"),
        ("backing_gas = \"no\"\n", "enter yes if gas shielded the root from behind"),
        ("filler = \"ER70S-2\"\n", "filler of the test: not entered"),
        ("base_metal = \"A106-B\"\n", "enter the test's P-number or its steel"),
    ] {
        assert_eq!(TIG.matches(line).count(), 1, "{line}");
        let less = one(&TIG.replace(line, ""), TIG_JOINT);
        assert_eq!(less.answer, CoverAnswer::NotSure, "{line}");
        assert!(less.reasons.iter().any(|r| r.message.contains(wanted)), "{line}: {less:#?}");
    }
    for (from, to) in [("DCEN", "AC"), ("ER70S-6", "none"), ("\"open\"", "\"insert\"")] {
        assert_eq!(one(TIG, &TIG_JOINT.replace(from, to)).answer, CoverAnswer::NotCovered, "{to}");
    }
    let gas = one(&TIG.replace("backing_gas = \"no\"", "backing_gas = \"yes\""), TIG_JOINT);
    assert!(gas.reasons.iter().any(|r| r.message.contains("whether the joint has backing gas")), "{gas:#?}");
    let without = format!("{TIG_JOINT}backing_gas = \"no\"\n");
    let gas = one(&TIG.replace("backing_gas = \"no\"", "backing_gas = \"yes\""), &without);
    assert_eq!(gas.answer, CoverAnswer::NotCovered);
    // What nobody can mean is refused.
    let both = format!("{TIG}filler_type = \"nm\"\n{TIG_JOINT}");
    let error = answer_record(&both, None, Some(day("2026-11-02"))).unwrap_err();
    assert_eq!(error.findings[0].path, "filler_type");
    let both = format!("{}backing_gas = \"no\"\n", TIG_JOINT.replace("\"open\"", "\"gas\""));
    let error = answer_record(&format!("{TIG}{both}"), None, Some(day("2026-11-02"))).unwrap_err();
    assert_eq!(error.findings[0].path, "ask.1.backing_gas");
}
