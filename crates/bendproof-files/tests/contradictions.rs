//! Two values that cannot both be true are named, with both of them and what to
//! do; neither is believed in silence.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_files::{COUPON, Document, Severity, read_coupon};
use support::{SOUND, coupon_findings, known};

/// The sound coupon with further lines in its sections, and after its end.
fn with(fit: &str, settings: &str, after: &str) -> String {
    let text = SOUND.replace("[settings]\n", &format!("{fit}\n[settings]\n{settings}\n"));
    format!("{text}\n{after}\n")
}

/// What is said of one path, with its severity.
fn said_of(text: &str, path: &str) -> Vec<(Severity, String)> {
    let findings = coupon_findings(text).into_iter().filter(|f| f.path == path);
    findings.map(|f| (f.severity, f.message)).collect()
}

fn refused(text: &str, path: &str, message: &str) {
    assert_eq!(said_of(text, path), [(Severity::Error, message.to_owned())], "{text}");
}

fn warned(text: &str, path: &str, message: &str) {
    assert_eq!(said_of(text, path), [(Severity::Warning, message.to_owned())], "{text}");
}

#[test]
fn an_open_root_has_no_steel_behind_it() {
    let text = with("backing = \"open\"\nbacking_detail = \"steel\"", "", "");
    refused(
        &text,
        "fit.backing_detail",
        "backing type is steel, and backing is open; enter what was behind the root in both, or remove the type",
    );
    let other_way = with("backing = \"steel\"\nbacking_detail = \"gas\"", "", "");
    assert_eq!(said_of(&other_way, "fit.backing_detail").len(), 1);
    // Gas behind an open root is one thing said twice.
    for detail in ["open", "gas", "flux", "insert", "backgouged"] {
        let text = with(&format!("backing = \"open\"\nbacking_detail = \"{detail}\""), "", "");
        assert_eq!(said_of(&text, "fit.backing_detail"), []);
    }
    let figure = with("backing = \"steel\"\nfigure = \"no-backing\"", "", "");
    assert_eq!(said_of(&figure, "fit.figure").len(), 1);
}

#[test]
fn a_root_called_gas_has_gas_behind_it() {
    let with_gas = |gas: &str| with(&format!("backing_detail = \"gas\"\nbacking_gas = \"{gas}\""), "", "");
    refused(
        &with_gas("no"),
        "fit.backing_gas",
        "backing gas is no, and backing type is gas; enter yes if gas shielded the root from behind, or open if \
         nothing was there",
    );
    assert_eq!(said_of(&with_gas("yes"), "fit.backing_gas"), []);
}

#[test]
fn a_filler_is_of_its_type_and_only_tig_has_none() {
    let tig = |wire: &str, kind: &str| {
        with("", &format!("process = \"GTAW\"\nwire = \"{wire}\"\nfiller_type = \"{kind}\""), "")
    };
    let said = |wire: &str, kind: &str| said_of(&tig(wire, kind), "settings.filler_type");
    let message = "filler metal type is R, and filler is ER70S-2; it is a solid one, S. Correct one of them";
    refused(&tig("ER70S-2", "R"), "settings.filler_type", message);
    for (wire, kind) in [("ER70S-2", "nm"), ("none", "S"), ("F6", "nm"), ("unheard of", "nm")] {
        assert_eq!(said(wire, kind).len(), 1, "{wire} {kind}");
    }
    for (wire, kind) in [("ER70S-2", "S"), ("none", "nm"), ("autogenous", "nm"), ("F6", "R"), ("F6", "S")] {
        assert_eq!(said(wire, kind), [], "{wire} {kind}");
    }
    assert_eq!(said_of(&tig("none", "nm"), "settings.wire"), []);
    let stick = with("", "process = \"SMAW\"\nwire = \"none\"", "");
    refused(
        &stick,
        "settings.wire",
        "filler is none, and the process is SMAW, which melts one; only GTAW welds without. Enter the filler, or \
         the process that was used",
    );
}

#[test]
fn a_plate_has_no_outside_diameter_and_no_pipe_size() {
    let message = "outside diameter is 6.625 in, and the piece is plate, which has none; remove it, or enter pipe \
                   if it was one";
    refused(
        &with("shape = \"plate\"\noutside_diameter = \"6.625 in\"", "", ""),
        "fit.outside_diameter",
        message,
    );
    // 3G is a position of plate, whatever else is left out.
    refused(&with("outside_diameter = \"6.625 in\"", "", ""), "fit.outside_diameter", message);
    assert_eq!(said_of(&with("nominal_size = \"NPS 6\"", "", ""), "fit.nominal_size").len(), 1);
}

#[test]
fn a_second_process_is_another_one_and_leaves_a_part_of_the_joint() {
    let gtaw = with("", "process = \"SMAW\"\nother_process = \"GTAW\"", "");
    warned(
        &gtaw,
        "settings.deposit_thickness",
        "deposited weld metal thickness is not entered, and GTAW welded part of the joint; enter what this process \
         deposited, or its thickness range stays undetermined",
    );
    let whole = with("", "process = \"SMAW\"\nother_process = \"GTAW\"\ndeposit_thickness = \"3/8 in\"", "");
    assert_eq!(said_of(&whole, "settings.deposit_thickness").len(), 1);
    let part = with("", "process = \"SMAW\"\nother_process = \"GTAW\"\ndeposit_thickness = \"1/4 in\"", "");
    assert_eq!(said_of(&part, "settings.deposit_thickness"), []);
    let same = with("", "process = \"SMAW\"\nother_process = \"SMAW\"\ndeposit_thickness = \"1/4 in\"", "");
    refused(
        &same,
        "settings.other_process",
        "other process is SMAW, and so is the process; enter the one that welded the other part, or remove it",
    );
    // GMAW in two transfer modes is two processes to the codes.
    let modes = with("", "process = \"GMAW\"\nother_process = \"GMAW\"\ndeposit_thickness = \"1/4 in\"", "");
    assert_eq!(said_of(&modes, "settings.other_process"), []);
}

#[test]
fn a_spray_arc_has_no_short_circuit_waveform() {
    let text = with("", "transfer = \"spray\"\nshort_arc = \"waveform\"", "");
    assert_eq!(said_of(&text, "settings.short_arc").len(), 1);
}

#[test]
fn a_joint_that_does_not_rise_has_no_progression_and_keeps_none() {
    let flat = SOUND.replace("position = \"3G\"", "position = \"1G\"");
    warned(
        &flat,
        "pass.1.progression",
        "progression is downhill, and a joint in 1G does not rise, so it counts for nothing; enter level, or the \
         position it was welded in",
    );
    let (document, _) = Document::from_toml(&COUPON, &flat);
    assert_eq!(read_coupon(&document, known()).stated.unwrap().planned, []);
    let logged = with("", "", "[[log]]\nkind = \"root\"\nprogression = \"level\"");
    assert_eq!(said_of(&logged, "log.1.progression").len(), 1);
}

#[test]
fn what_the_eye_saw_and_did_not_see_is_named() {
    let cases = [
        (
            "undercut = \"0 in\"\nundercut_length = \"1 in\"",
            "visual.undercut_length",
            "undercut, length is 1 in, and its depth is 0; enter how deep it is, or remove the length",
        ),
        (
            "cracks = \"none\"\ncrater_cracks = \"seen\"",
            "visual.cracks",
            "cracks is none, and crater cracks is seen; a crater crack is a crack. Enter seen in both, or none in both",
        ),
        (
            "penetration = \"complete\"\nincomplete_penetration = \"1/32 in\"",
            "visual.penetration",
            "root penetration is complete, and the depth of incomplete penetration is 1/32 in; correct the one that \
             is wrong",
        ),
        (
            "penetration = \"incomplete\"\nincomplete_penetration = \"0 in\"",
            "visual.penetration",
            "root penetration is incomplete, and the depth of incomplete penetration is 0 in; correct the one that \
             is wrong",
        ),
    ];
    for (lines, path, message) in cases {
        refused(&with("", "", &format!("[visual]\n{lines}")), path, message);
    }
    let fine = "[visual]\nundercut = \"1/64 in\"\nundercut_length = \"1 in\"\npenetration = \"complete\"\nincomplete_penetration = \"0 in\"";
    assert_eq!(coupon_findings(&with("", "", fine)), []);
}

#[test]
fn a_film_is_not_accepted_over_a_crack() {
    let film = |result: &str, rest: &str, kind: &str| {
        let flaws = format!("flaws = [ {{ kind = \"{kind}\", length = \"1/8 in\" }} ]");
        let head = "[[radiograph]]\nid = \"X1\"\nreport = \"R-7\"\nother_flaws = \"none\"";
        with("", "", &format!("{head}\nresult = \"{result}\"\n{rest}\n{flaws}"))
    };
    warned(
        &film("accept", "", "crack"),
        "radiograph.1.result",
        "interpreter's result is accept, and a crack is listed, so the result does not count; ask the interpreter, \
         and correct the one that is wrong",
    );
    assert_eq!(said_of(&film("reject", "", "crack"), "radiograph.1.result"), []);
    assert_eq!(said_of(&film("accept", "", "slag"), "radiograph.1.result"), []);
    refused(
        &film("accept", "cluster_area = \"0 %\"", "cluster pore"),
        "radiograph.1.cluster_area",
        "area of a cluster is 0 %, and pores of a cluster are listed (1); estimate their share of the area, or strike \
         them out",
    );
}

#[test]
fn a_strap_of_full_thickness_is_no_thicker_than_its_plate() {
    let strap = |kind: &str, thickness: &str| {
        with("", "", &format!("[[strap]]\nid = \"S1\"\nkind = \"{kind}\"\nthickness = \"{thickness}\""))
    };
    refused(
        &strap("root", "1/2 in"),
        "strap.1.thickness",
        "specimen thickness is 1/2 in, and it was cut from 3/8 in · 9.5 mm; measure both again",
    );
    // A side strap is cut across; 10 mm is 3/8 in to a caliper and a code.
    assert_eq!(said_of(&strap("side", "1/2 in"), "strap.1.thickness"), []);
    assert_eq!(said_of(&strap("face", "10 mm"), "strap.1.thickness"), []);
}

#[test]
fn a_hardness_that_its_scale_does_not_reach_is_named() {
    let points = |scale: &str| {
        let list = "points = [ { value = 210, place = \"haz\" } ]";
        with("", "", &format!("[[hardness]]\nid = \"H1\"\nscale = \"{scale}\"\n{list}"))
    };
    refused(
        &points("HRC"),
        "hardness.1.points.1.value",
        "hardness is 210, and the scale is HRC, which ends near 70; enter the scale it was read on",
    );
    assert_eq!(coupon_findings(&points("HV10")), []);
}

/// Sizes of AWS A5.1 and A5.18, from memory.
#[test]
fn the_diameter_of_a_filler_is_held_to_what_its_process_takes() {
    let sized = |process: &str, size: &str| {
        let text = SOUND.replace("0.035 in", size);
        match process {
            "" => text,
            process => text.replace("[settings]\n", &format!("[settings]\nprocess = \"{process}\"\n")),
        }
    };
    for size in ["3/32 in", "1/8 in", "5/32 in", "3/16 in", "1/4 in", "4 mm"] {
        assert_eq!(said_of(&sized("SMAW", size), "settings.wire_diameter"), [], "{size}");
    }
    assert_eq!(said_of(&sized("GTAW", "3/16 in"), "settings.wire_diameter"), []);
    refused(
        &sized("GMAW", "5/32 in"),
        "settings.wire_diameter",
        "wire diameter is 5/32 in, and GMAW takes 0.02 in to 1/8 in; look at the spool or the box, and enter the \
         diameter or the process that was used",
    );
    let thin = said_of(&sized("SMAW", "0.035 in"), "settings.wire_diameter");
    assert!(
        thin.len() == 1 && thin[0].1.starts_with("electrode diameter is 0.035 in, and SMAW takes"),
        "{thin:?}"
    );
    // Nobody said GMAW, so nothing is refused, and nothing is forecast of it.
    let open = sized("", "5/32 in");
    warned(
        &open,
        "settings.process",
        "process is not entered, and the default, GMAW, takes 0.02 in to 1/8 in; wire diameter is 5/32 in; enter \
         the process",
    );
    let (document, _) = Document::from_toml(&COUPON, &open);
    let read = read_coupon(&document, known());
    assert!(read.stated.is_some() && read.plan.is_none());
}

#[test]
fn a_coupon_that_names_no_code_is_asked_for_it() {
    let text = SOUND.replace("code = \"aws-d1.1-2020\"\n", "");
    warned(
        &text,
        "code",
        "code is missing; enter one of aws-d1.1-2020, asme-ix-2023, api-1104-2013; without it nothing is judged, \
         qualified or recorded",
    );
}
