//! What a document states is kept apart from what the catalogue proposes, and
//! facts that cannot both be true are refused by name.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_files::{COUPON, CouponRead, Document, has_field, proposal, read_coupon};
use bendproof_weld::{Process, Progression, Transfer};
use support::{SOUND, coupon_findings, known, said};

fn read(text: &str) -> CouponRead {
    let (document, findings) = Document::from_toml(&COUPON, text);
    assert_eq!(findings, [], "{text}");
    read_coupon(&document, known())
}

fn with_settings(lines: &str) -> String {
    SOUND.replace("[settings]\n", &format!("[settings]\n{lines}\n"))
}

#[test]
fn a_default_is_proposed_for_the_plan_and_is_no_statement() {
    let read = read(SOUND);
    let stated = read.stated.unwrap();
    assert_eq!((stated.process, stated.transfer, stated.backing), (None, None, None));
    assert_eq!((stated.filler.as_deref(), stated.is_pipe), (None, Some(false)), "3G is a plate's position");
    assert_eq!(stated.not_stated(), ["process", "transfer", "backing"]);
    let (coupon, _) = read.plan.unwrap();
    assert_eq!(
        (coupon.settings.process, coupon.settings.transfer),
        (Process::Gmaw, Some(Transfer::ShortCircuit))
    );
}

#[test]
fn a_stick_electrode_has_no_transfer_gas_or_wire_feed_and_is_asked_none() {
    let text = with_settings("process = \"SMAW\"\nwire = \"E7018\"")
        .replace("wire_feed = \"200 in/min\"\n", "")
        .replace("0.035 in", "1/8 in");
    let read = read(&text);
    assert_eq!(said(&read.findings), [""; 0]);
    assert!(read.stick.is_none(), "a coupon that was only tested is asked for no plan");
    let stated = read.stated.unwrap();
    assert_eq!((stated.process, stated.transfer), (Some(Process::Smaw), None));
    assert_eq!(stated.not_stated(), ["backing"]);
    assert!(read.plan.is_none(), "no forecast is made of a stick weld");
    let (document, _) = Document::from_toml(&COUPON, &text);
    for path in
        ["settings.transfer", "settings.gas", "settings.gas_flow", "settings.extension", "pass.1.wire_feed"]
    {
        assert!(!has_field(Some(Process::Smaw), path), "{path}");
        assert_eq!(proposal(&document, path), None, "{path}");
    }
    let (bare, _) = Document::from_toml(&COUPON, &with_settings("process = \"SMAW\""));
    assert_eq!(proposal(&bare, "settings.wire"), None, "no filler is proposed outside GMAW");
}

#[test]
fn a_plan_that_lacks_a_setting_gives_no_forecast_and_stays_a_coupon() {
    let lines = [
        ("volts = \"17.5 V\"\n", "pass.1.volts: volts is missing"),
        ("wire_feed = \"200 in/min\"\n", "pass.1.wire_feed: wire feed speed is missing"),
        ("travel = \"9 in/min\"\n", "pass.1.travel: travel speed is missing"),
    ];
    for (line, wanted) in lines {
        let read = read(&SOUND.replace(line, ""));
        assert!(read.plan.is_none(), "{line}");
        assert_eq!(read.stated.unwrap().planned, [Progression::Downhill], "{line}");
        let said = said(&read.findings);
        assert!(said[0].contains(wanted) && said[0].ends_with("required for a forecast"), "{said:?}");
    }
}

#[test]
fn a_filler_of_another_process_is_refused_by_name() {
    let foreign = with_settings("process = \"SMAW\"\nwire = \"ER70S-6\"").replace("0.035 in", "1/8 in");
    let said = said(&coupon_findings(&foreign));
    let wanted = "filler ER70S-6 belongs to GMAW or GTAW, and the process is SMAW";
    assert!(said.len() == 1 && said[0].contains(wanted), "{said:?}");
    let read = read(&foreign);
    assert!(read.stated.is_none() && read.plan.is_none());
    for fine in
        ["process = \"GTAW\"\nwire = \"ER70S-6\"", "process = \"FCAW\"\nwire = \"E71T-1M\"", "wire = \"F6\""]
    {
        assert_eq!(coupon_findings(&with_settings(fine)), [], "{fine}");
    }
}

#[test]
fn a_filler_without_its_process_is_not_forecast_as_gmaw() {
    let read = read(&with_settings("wire = \"E7018\""));
    assert!(read.plan.is_none() && read.stated.unwrap().process.is_none());
    assert!(
        said(&read.findings)[0].contains("process is not entered, and the default, GMAW"),
        "{:?}",
        read.findings
    );
}

/// What is written behind the sound coupon, and what is said of it.
const CONTRADICTIONS: &[(&str, &str)] = &[
    (
        "[[tension]]\nid = \"T1\"\nwidth = \"1 in\"\nthickness = \"0.322 in\"\nload = \"23500 lbf\"\nstrength = \"10 ksi\"",
        "tension.1.strength: tensile strength is written as 10 ksi, and the load over the section is 72.9814 ksi",
    ),
    (
        "[[nick_break]]\nid = \"N1\"\ngas_area = \"0 %\"\nflaws = [ { kind = \"gas\", length = \"1/32 in\" } ]",
        "nick_break.1.gas_area: area of gas pockets is 0 %, and gas pockets are listed (1)",
    ),
    (
        "[[radiograph]]\nid = \"X1\"\nresult = \"accept\"\nreport = \"1\"\nweld_length = \"300 mm\"\nflaws = [ { kind = \"slag\", length = \"1 mm\", at = \"9000 mm\" } ]",
        "radiograph.1.flaws.1.at: this indication starts at 9000 mm and ends at 9001 mm, past the weld length of",
    ),
    (
        "[[strap]]\nid = \"   \"\nkind = \"face\"",
        "strap.1.id: strap no. 1 is not judged: mark not stated; enter the mark stamped on it",
    ),
    (
        "[[strap]]\nid = \"F1\"\nkind = \"face\"\nopenings = [ { place = \"face\" } ]",
        "strap.1.openings.1.length: length not entered, and the strap is not judged without it",
    ),
    (
        "[[pass]]\nkind = \"root\"\nprogression = \"uphill\"",
        "pass.2.kind: pass 2 is a root pass and pass 1 is one already",
    ),
    (
        "technique = \"weave\"\nweave_width = \"1-1/2 in\"",
        "pass.1.weave_width: weave width 1-1/2 in · 38.1 mm is more than the groove width at the face, \
         0.486 in · 12.3 mm, and 1/16 in past each edge",
    ),
    (
        "[visual]\npenetration = \"complete\"\nincomplete_penetration_length = \"3 in\"",
        "visual.incomplete_penetration_length: incomplete penetration, length is 3 in, and root penetration is complete",
    ),
    (
        "[[radiograph]]\nid = \"X1\"\npore_area = \"0 %\"\nflaws = [ { kind = \"rounded\", length = \"1 mm\" } ]",
        "radiograph.1.pore_area: area of porosity is 0 %, and pores are listed (1)",
    ),
    (
        "[[tension]]\nid = \"T1\"\nstrength = \"70 ksi\"\nbroke_in = \"base\"\nfracture = \"not sound\"",
        "tension.1.fracture: fracture is not sound, and the specimen broke in the base metal",
    ),
    (
        "[[radiograph]]\nid = \"X1\"\nweld_length = \"300 mm\"\nflaws = [ { kind = \"slag\", length = \"30 mm\", at = \"299 mm\" } ]",
        "radiograph.1.flaws.1.at: this indication starts at 299 mm and ends at 329 mm, past the weld length of",
    ),
];

#[test]
fn facts_that_contradict_each_other_are_reported_by_name() {
    for (more, wanted) in CONTRADICTIONS {
        let said = said(&coupon_findings(&format!("{SOUND}{more}\n")));
        assert!(said.iter().any(|s| s.contains(wanted)), "{more}\n  wanted {wanted}\n  got {said:#?}");
    }
    // The same facts where they agree are left alone.
    let agreed = "[[tension]]\nid = \"T1\"\nwidth = \"1 in\"\nthickness = \"0.322 in\"\nload = \"23500 lbf\"\nstrength = \"73 ksi\"\n\
                  [[nick_break]]\nid = \"N1\"\ngas_area = \"1 %\"\nflaws = [ { kind = \"gas\", length = \"1/32 in\" } ]\n\
                  [[radiograph]]\nid = \"X1\"\nresult = \"accept\"\nreport = \"1\"\nweld_length = \"300 mm\"\nother_flaws = \"none\"\nflaws = [ { kind = \"slag\", length = \"1 mm\", at = \"299 mm\" } ]\n";
    assert_eq!(coupon_findings(&format!("{SOUND}{agreed}")), []);
}

#[test]
fn no_weld_is_longer_than_its_joint_and_no_root_bead_far_wider_than_its_groove() {
    let sized = SOUND.replace("[fit]\n", "[fit]\nlength = \"300 mm\"\ngroove_angle = \"60 deg\"\n");
    for (seen, wanted) in [
        ("weld_length = \"3000 mm\"", "weld length is 3000 mm, and the joint is 11.811 in · 300.0 mm long"),
        (
            "undercut = \"1/64 in\"\nundercut_length = \"900 mm\"",
            "undercut, length is 900 mm, and the joint is",
        ),
        ("root_width = \"40 mm\"", "root bead width is 40 mm, and the groove is 0.486 in · 12.3 mm wide"),
    ] {
        let said = said(&coupon_findings(&format!("{sized}[visual]\n{seen}\n")));
        assert!(said.len() == 1 && said[0].contains(wanted), "{seen}: {said:#?}");
        // Nobody entered the joint's size here, and a proposal contradicts nothing.
        assert_eq!(coupon_findings(&format!("{SOUND}[visual]\n{seen}\n")), [], "{seen}");
    }
    let agreed = "[visual]\nweld_length = \"305 mm\"\nroot_width = \"6 mm\"\nundercut = \"0 in\"\nundercut_length = \"0 in\"\n\
                  penetration = \"complete\"\nincomplete_penetration = \"0 in\"\ncracks = \"seen\"\ncrater_cracks = \"seen\"\n";
    assert_eq!(coupon_findings(&format!("{sized}{agreed}")), []);
}

#[test]
fn a_day_before_welding_codes_and_a_text_that_turns_the_reading_are_refused() {
    for day in ["1026-10-21", "0001-01-01"] {
        let said = said(&coupon_findings(&format!("finished = {day}\n{SOUND}")));
        assert!(said[0].contains("before 1900-01-01"), "{said:?}");
    }
    let said = said(&coupon_findings(&format!("welder = \"Ana\\u202Egnik\"\n{SOUND}")));
    assert!(said[0].contains("U+202E, which turns the direction of reading"), "{said:?}");
    let said = support::said(&coupon_findings(&with_settings("wire = \"banana\"")));
    assert!(said[0].contains("filler `banana` is not in the list here"), "{said:?}");
    let said = support::said(&coupon_findings(&with_settings("process = \"SMAW\"\nwire = \"7018\"")));
    assert!(said[0].contains("filler `7018` is short for E7018; write E7018"), "{said:?}");
}
