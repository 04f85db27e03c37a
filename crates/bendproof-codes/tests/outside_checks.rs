//! Reads `checks/codes/*.toml` and holds the engine to every case. Each case
//! names the clause or account it comes from, or says that it is from memory.
#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::Path;

use bendproof_codes::catalogue::{Code, code, explain};
use bendproof_codes::held::{
    CoverAnswer, Joint, JointDetails, PassedTest, Standing, TestDetails, covers, designation, standing,
    standing_on,
};
use bendproof_codes::judged::{
    BendTest, Coupon, Finding, Layout, Opening, OtherExams, Strap, VisualReadings, judge, judge_visual,
    specimens,
};
use bendproof_codes::rule::{Counts, PipeRow};
use bendproof_codes::words::{
    Basis, Cause, JointBacking, JointKind, JointPosition, Place, Purpose, StrapKind, TestShape, Verdict, Zone,
};
use bendproof_measure::{Kind, Quantity};
use bendproof_weld::{Backing, Polarity, Position, Process, Progression, Transfer};
use toml::{Table, Value};

/// Millimetres and inches in the data are compared to a thousandth of a
/// millimetre; nothing here is computed less exactly.
const CHECK_TOLERANCE_M: f64 = 1e-6;

fn cases(file: &str) -> Vec<Table> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checks/codes").join(file);
    let table: Table = fs::read_to_string(path).unwrap().parse().unwrap();
    let list: Vec<Table> =
        table["case"].as_array().unwrap().iter().map(|c| c.as_table().unwrap().clone()).collect();
    for case in &list {
        assert!(!text(case, "source").unwrap().is_empty(), "{} has no source", id(case));
        let basis = text(case, "basis").unwrap();
        assert!(Basis::from_word(basis).is_some(), "{}: basis {basis}", id(case));
    }
    list
}

fn text<'a>(table: &'a Table, key: &str) -> Option<&'a str> {
    table.get(key).map(|v| v.as_str().unwrap_or_else(|| panic!("{key} is a text")))
}

fn id(case: &Table) -> &str {
    text(case, "id").unwrap()
}

fn length(text: &str) -> Quantity {
    Quantity::parse(Kind::Length, text).unwrap()
}

fn size(table: &Table, key: &str) -> Option<Quantity> {
    text(table, key).map(length)
}

fn list(table: &Table, key: &str) -> Option<Vec<String>> {
    let words = table.get(key)?.as_array().unwrap().iter().map(|v| v.as_str().unwrap().to_owned());
    Some(words.collect())
}

fn code_of(case: &Table) -> &'static Code {
    code(text(case, "code").unwrap()).unwrap()
}

fn says(findings: &[Finding], rule: &str, verdict: Verdict) -> bool {
    findings.iter().any(|f| f.rule == rule && f.verdict == verdict)
}

#[test]
fn bends() {
    for case in cases("bends.toml") {
        let opening = |v: &Value| {
            let t = v.as_table().unwrap();
            Opening {
                length: size(t, "length").unwrap(),
                place: text(t, "place").map_or(Place::Face, |w| Place::from_word(w).unwrap()),
                cause: text(t, "cause").map_or(Cause::NotStated, |w| Cause::from_word(w).unwrap()),
                zone: text(t, "zone").map_or(Zone::NotStated, |w| Zone::from_word(w).unwrap()),
            }
        };
        let strap = |n: usize, openings| Strap {
            id: (n + 1).to_string(),
            kind: text(&case, "kind").map_or(StrapKind::Root, |w| StrapKind::from_word(w).unwrap()),
            thickness: Some(size(&case, "thickness").unwrap_or(length("3/8 in"))),
            wall: size(&case, "wall"),
            weld_in_bend: match text(&case, "weld_in_bend") {
                Some("not stated") => None,
                said => Some(said != Some("no")),
            },
            openings,
        };
        // A set is written as the openings on the face of each strap, or as one
        // strap with so many sound ones next to it.
        let face = |v: &Value| opening(&Value::Table(Table::from_iter([("length".to_owned(), v.clone())])));
        let sets: Vec<Option<Vec<Opening>>> = match case.get("straps") {
            Some(sets) => {
                let sets = sets.as_array().unwrap().iter().map(|set| set.as_array().unwrap());
                sets.map(|set| Some(set.iter().map(face).collect())).collect()
            }
            None => {
                let first = case.get("openings").map(|o| o.as_array().unwrap().iter().map(opening).collect());
                let sound = case.get("others").map_or(0, |n| n.as_integer().unwrap());
                std::iter::once(first).chain((0..sound).map(|_| Some(Vec::new()))).collect()
            }
        };
        let straps = sets.into_iter().enumerate().map(|(n, openings)| strap(n, openings)).collect();
        let report =
            judge(code_of(&case), &BendTest { straps, coupon: None, others: OtherExams::default() }).unwrap();
        assert_eq!(report.verdict.word(), text(&case, "verdict").unwrap(), "{}: {report:#?}", id(&case));
        let rule = text(&case, "rule").unwrap();
        let findings = [&report.straps[0].findings[..], &report.set[..]].concat();
        assert!(says(&findings, rule, report.verdict), "{}: {report:#?}", id(&case));
    }
}

#[test]
fn visual() {
    for case in cases("visual.toml") {
        let r = case["readings"].as_table().unwrap();
        let flag = |key: &str| r.get(key).map(|v| v.as_bool().unwrap());
        let readings = VisualReadings {
            crack: flag("crack"),
            crater_filled: flag("crater_filled"),
            fusion_complete: flag("fusion_complete"),
            penetration_complete: flag("penetration_complete"),
            burn_through: flag("burn_through"),
            cap_height: size(r, "cap_height"),
            undercut: size(r, "undercut"),
            undercut_length: size(r, "undercut_length"),
            root_concavity: size(r, "root_concavity"),
            melt_through: size(r, "melt_through"),
            weld_thickness: size(r, "weld_thickness"),
            thickness: size(r, "thickness"),
            backing: text(r, "backing").map(|w| Backing::from_word(w).unwrap()),
            ..VisualReadings::default()
        };
        let report = judge_visual(code_of(&case), &readings);
        assert_eq!(report.verdict.word(), text(&case, "verdict").unwrap(), "{}: {report:#?}", id(&case));
        if let Some(rule) = text(&case, "rule") {
            assert!(says(&report.findings, rule, report.verdict), "{}: {report:#?}", id(&case));
        }
        for (key, got) in [("not_measured", &report.not_measured), ("not_judged", &report.not_judged)] {
            if let Some(wanted) = list(&case, key) {
                assert_eq!(got, &wanted, "{} {key}", id(&case));
            }
        }
    }
}

fn near(got_m: f64, wanted: &str, what: &str) {
    assert!((got_m - length(wanted).si).abs() < CHECK_TOLERANCE_M, "{what}: {got_m} m, wanted {wanted}");
}

#[test]
fn specimen_plans() {
    for case in cases("specimens.toml") {
        let c = case["coupon"].as_table().unwrap();
        let coupon = Coupon {
            purpose: text(c, "purpose").map_or(Purpose::Welder, |w| Purpose::from_word(w).unwrap()),
            shape: TestShape::from_word(text(c, "shape").unwrap()).unwrap(),
            position: Position::from_word(text(c, "position").unwrap()).unwrap(),
            thickness: size(c, "thickness").unwrap(),
            outside_diameter: size(c, "outside_diameter"),
            nominal_size: size(c, "nominal_size"),
            deposit: None,
            yield_strength: text(c, "yield_strength").map(|t| Quantity::parse(Kind::Pressure, t).unwrap()),
            elongation_percent: c.get("elongation").map(|v| v.as_float().unwrap()),
            welded: None,
        };
        let plan = specimens(code_of(&case), &coupon);
        let sets: Vec<Counts> = case["sets"].as_array().unwrap().iter().map(counts).collect();
        assert_eq!(plan.sets, sets, "{}: {plan:#?}", id(&case));
        assert!(!sets.is_empty() || !plan.doubts.is_empty(), "{}", id(&case));
        if let Some(rule) = text(&case, "doubt") {
            assert!(plan.doubts.iter().any(|d| d.text().starts_with(rule)), "{}: {plan:#?}", id(&case));
        }
        if let Some(wanted) = case.get("jig").map(|j| j.as_table().unwrap()) {
            let (_, jig) =
                plan.jigs.iter().find(|(k, _)| k.word() == wanted["kind"].as_str().unwrap()).unwrap();
            for (key, got) in [("a", jig.a), ("b", jig.b), ("c", jig.c), ("d", jig.d)] {
                if let Some(wanted) = text(wanted, key) {
                    near(got.inch_m, wanted, id(&case));
                }
            }
        }
        if let Some(wanted) = case.get("strap").map(|s| s.as_table().unwrap()) {
            let strap =
                plan.straps.iter().find(|s| s.kind.word() == wanted["kind"].as_str().unwrap()).unwrap();
            near(strap.width.inch_m, text(wanted, "width").unwrap(), id(&case));
            near(strap.length.inch_m, text(wanted, "length").unwrap(), id(&case));
            near(strap.thickness.inch_m, text(wanted, "thickness").unwrap(), id(&case));
            near(strap.edge_radius.inch_m, text(wanted, "edge_radius").unwrap(), id(&case));
        }
        if let Some(wanted) = case.get("layout").map(|l| l.as_table().unwrap()) {
            layout(&plan.layouts[0], wanted, id(&case));
        }
    }
}

fn counts(set: &Value) -> Counts {
    let n = |key: &str| set.get(key).map_or(0, |v| u32::try_from(v.as_integer().unwrap()).unwrap());
    Counts {
        face: n("face"),
        root: n("root"),
        side: n("side"),
        tension: n("tension"),
        nick_break: n("nick_break"),
    }
}

fn layout(got: &Layout, wanted: &Table, id: &str) {
    let kinds: Vec<&str> = got.places.iter().map(|p| p.kind.as_str()).collect();
    assert_eq!(kinds, list(wanted, "kinds").unwrap(), "{id}");
    for (place, start) in got.places.iter().zip(list(wanted, "starts").unwrap_or_default()) {
        near(place.along_m.unwrap().0, &start, id);
    }
    if let Some(angles) = wanted.get("angles") {
        let got: Vec<Value> = got.places.iter().map(|p| Value::Float(p.clock_deg.unwrap())).collect();
        assert_eq!(&Value::Array(got), angles, "{id}");
    }
}

fn passed_test(t: &Table) -> PassedTest {
    let words = |key: &str| list(t, key).unwrap_or_default();
    PassedTest {
        welder: "A. Welder".to_owned(),
        process: Process::from_word(text(t, "process").unwrap()).unwrap(),
        transfer: text(t, "transfer").map(|w| Transfer::from_word(w).unwrap()),
        positions: words("positions").iter().map(|w| Position::from_word(w).unwrap()).collect(),
        shape: TestShape::from_word(text(t, "shape").unwrap()).unwrap(),
        thickness: size(t, "thickness").unwrap(),
        deposit: size(t, "deposit"),
        layers: t.get("layers").map(|v| u32::try_from(v.as_integer().unwrap()).unwrap()),
        outside_diameter: size(t, "outside_diameter"),
        nominal_size: size(t, "nominal_size"),
        progressions: words("progressions").iter().map(|w| Progression::from_word(w).unwrap()).collect(),
        backing: Backing::from_word(text(t, "backing").unwrap()).unwrap(),
        filler: text(t, "filler").map(str::to_owned),
        details: test_details(t),
        procedure_test: t.get("procedure_test").is_some_and(|v| v.as_bool().unwrap()),
        finished: text(t, "finished").unwrap_or("2026-01-15").parse().unwrap(),
        uses: words("uses").iter().map(|d| d.parse().unwrap()).collect(),
    }
}

fn days(t: &Table, key: &str) -> Vec<jiff::civil::Date> {
    list(t, key).unwrap_or_default().iter().map(|d| d.parse().unwrap()).collect()
}

fn polarity(t: &Table) -> Option<Polarity> {
    text(t, "polarity").map(|w| Polarity::from_word(w).unwrap())
}

fn test_details(t: &Table) -> TestDetails {
    let owned = |key: &str| text(t, key).map(str::to_owned);
    let flag = |key: &str| t.get(key).is_some_and(|v| v.as_bool().unwrap());
    TestDetails {
        fm_group: owned("fm_group"),
        filler_type: owned("filler_type"),
        base_metal: owned("base_metal"),
        backing: text(t, "backing_detail").map(|w| JointBacking::from_word(w).unwrap()),
        other_process: text(t, "other_process").map(|w| Process::from_word(w).unwrap()),
        confirmed: days(t, "confirmed"),
        other_transfer: days(t, "other_transfer"),
        figure: owned("figure"),
        fillet_piece: t.get("fillet_piece").map(|v| v.as_bool().unwrap()),
        waveform: flag("waveform"),
        route: owned("route"),
        renewals: days(t, "renewals"),
        quality_system: owned("quality_system"),
        ped_category: owned("ped_category"),
        polarity: polarity(t),
        backing_gas: t.get("backing_gas").map(|v| v.as_bool().unwrap()),
    }
}

fn joint(j: &Table) -> Joint {
    Joint {
        kind: JointKind::from_word(text(j, "kind").unwrap()).unwrap(),
        position: JointPosition::from_word(text(j, "position").unwrap()).unwrap(),
        process: Process::from_word(text(j, "process").unwrap()).unwrap(),
        transfer: text(j, "transfer").map(|w| Transfer::from_word(w).unwrap()),
        thickness: size(j, "thickness"),
        diameter: size(j, "diameter"),
        backing: text(j, "backing").map(|w| JointBacking::from_word(w).unwrap()),
        progression: text(j, "progression").map(|w| Progression::from_word(w).unwrap()),
        filler: text(j, "filler").map(str::to_owned),
        day: text(j, "day").map(|d| d.parse().unwrap()),
        details: JointDetails {
            fm_group: text(j, "fm_group").map(str::to_owned),
            filler_type: text(j, "filler_type").map(str::to_owned),
            layers: j.get("layers").map(|v| u32::try_from(v.as_integer().unwrap()).unwrap()),
            base_metal: text(j, "base_metal").map(str::to_owned),
            deposit: size(j, "deposit"),
            rotated: j.get("rotated").map(|v| v.as_bool().unwrap()),
            polarity: polarity(j),
            backing_gas: j.get("backing_gas").map(|v| v.as_bool().unwrap()),
        },
    }
}

fn end(got: Option<f64>, wanted: &str, id: &str) {
    match got {
        None => assert_eq!(wanted, "unlimited", "{id}"),
        Some(m) => near(m, wanted, id),
    }
}

fn summary(got: &Standing, wanted: &Table, id: &str) {
    for (key, words) in [
        ("plate_groove", &got.positions.plate_groove),
        ("pipe_groove", &got.positions.pipe_groove),
        ("fillet", &got.positions.fillet),
        ("progressions", &got.progressions),
        ("backing", &got.backing),
        ("transfer_modes", &got.transfer_modes),
        ("fillers", &got.fillers),
        ("base_metals", &got.base_metals),
        ("processes", &got.processes),
        ("filler_types", &got.filler_types),
        ("welds", &got.welds),
        ("products", &got.products),
        ("runs", &got.runs),
        ("polarities", &got.polarities),
        ("backing_gases", &got.backing_gases),
    ] {
        if let Some(wanted) = list(wanted, key) {
            assert_eq!(*words, wanted, "{id}: {key}");
        }
    }
    if let Some(rows) = list(wanted, "pipe_rows") {
        assert_eq!(got.pipe_rows.iter().map(PipeRow::text).collect::<Vec<_>>(), rows, "{id}");
    }
    for (key, value) in wanted {
        let value = value.as_str().unwrap_or_default();
        match key.as_str() {
            "thickness_min" => near(got.thickness.unwrap().min.inch_m, value, id),
            "thickness_max" => end(got.thickness.unwrap().max.map(|b| b.inch_m), value, id),
            "metric_min" => near(got.thickness.unwrap().min.metric_m, value, id),
            "metric_max" => end(got.thickness.unwrap().max.map(|b| b.metric_m), value, id),
            "diameter_min" => near(got.diameter.unwrap().min.inch_m, value, id),
            "diameter_max" => end(got.diameter.unwrap().max.map(|b| b.inch_m), value, id),
            "until" => {
                let until = got.until.map_or("none".to_owned(), |day| day.to_string());
                assert_eq!(until, value, "{id}");
            }
            "hold" => assert_eq!(got.hold.unwrap().word(), value, "{id}"),
            "ended" => assert_eq!(got.ended.unwrap().to_string(), value, "{id}"),
            "doubt" => assert!(got.doubts.iter().any(|d| d.rule == value), "{id}: {:#?}", got.doubts),
            "refused" => assert_eq!(got.refused.as_ref().unwrap().rule, value, "{id}"),
            _ => {}
        }
    }
}

#[test]
fn standings() {
    for file in ["standing.toml", "iso-standing.toml"] {
        cases(file).iter().for_each(standing_case);
    }
}

fn standing_case(case: &Table) {
    let id = id(case);
    let test = passed_test(case["test"].as_table().unwrap());
    let got = match text(case, "on") {
        Some(day) => standing_on(code_of(case), &test, day.parse().unwrap()).unwrap(),
        None => standing(code_of(case), &test).unwrap(),
    };
    if let Some(wanted) = case.get("covers") {
        summary(&got, wanted.as_table().unwrap(), id);
    }
    if let Some(line) = text(case, "designation") {
        assert_eq!(designation(code_of(case), &test).unwrap(), line, "{id}");
    }
    for wanted in case.get("joints").map(|j| j.as_array().unwrap().clone()).unwrap_or_default() {
        let wanted = wanted.as_table().unwrap();
        let coverage = covers(&got, &joint(wanted));
        assert_eq!(coverage.answer.word(), text(wanted, "answer").unwrap(), "{id}: {wanted}\n{coverage:#?}");
        for reason in &coverage.reasons {
            // A sentence says no more than its word, and cites this very edition.
            let says_no = reason.message.contains("outside the qualified range");
            assert!(!says_no || reason.answer == CoverAnswer::NotCovered, "{id}: {reason:?}");
            let clauses = reason.rules.iter().map(|rule| &code_of(case).rule(rule).unwrap().clause);
            assert!(clauses.clone().all(|clause| reason.clauses.contains(clause)), "{id}: {reason:?}");
            assert!(reason.clauses.len() <= clauses.count(), "{id}: {reason:?}");
        }
        if let Some(rule) = text(wanted, "rule") {
            let named = coverage
                .reasons
                .iter()
                .any(|r| r.answer == coverage.answer && r.rules.iter().any(|id| id == rule));
            assert!(named, "{id}: {wanted}\n{coverage:#?}");
        }
    }
}

#[test]
fn there_are_cases_enough_and_their_rules_exist() {
    let files = ["bends.toml", "visual.toml", "specimens.toml", "standing.toml", "iso-standing.toml"];
    let all: Vec<Table> = files.iter().flat_map(|f| cases(f)).collect();
    assert!(all.len() >= 300, "{}", all.len());
    let mut ids: Vec<&str> = all.iter().map(id).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all.len(), "a case id is used twice");
    for case in &all {
        if let Some(rule) = text(case, "rule") {
            explain(rule).unwrap();
        }
    }
}
