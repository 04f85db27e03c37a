//! What stands behind each line of a standing, over every code.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use bendproof_codes::catalogue::{Code, codes};
use bendproof_codes::rule::{Demand, Rule};
use bendproof_codes::words::Facet;
use bendproof_files::{COUPON, Document};
use bendproof_traveler::build::build;
use bendproof_traveler::context::Today;
use bendproof_traveler::drawn::Look;
use bendproof_traveler::sheet::StandingLine;

const COUPONS: [&str; 4] = [
    include_str!("../../../examples/plate-3g-uphill.toml"),
    include_str!("../../../examples/plate-3g-downhill.toml"),
    include_str!("../../../examples/pipe-6g.toml"),
    include_str!("../../../examples/plate-iso-9606.toml"),
];

fn today() -> Today {
    Some("2026-11-30".parse().unwrap())
}

/// The standing lines of every example coupon under every edition of every code.
fn standings() -> Vec<(&'static Code, Vec<StandingLine>)> {
    let mut out = Vec::new();
    for text in COUPONS {
        let (mut document, _) = Document::from_toml(&COUPON, text);
        document.set("finished", Some("2026-11-01"));
        for code in codes().unwrap().iter().copied() {
            document.set("code", Some(&code.id));
            out.push((code, build("S-1", &document, &[], today(), Look::Screen).standing));
        }
    }
    out
}

fn rule_of<'a>(line: &StandingLine, code: &'a Code) -> Option<&'a Rule> {
    let id = line.provenance.rule.as_deref()?.split('?').next()?;
    Some(code.rule(id).unwrap_or_else(|| panic!("{} has no {id}", code.id)))
}

/// The facet that a line tells of; `None` for the lines that tell of none.
fn facet_of(label: &str) -> Option<Facet> {
    let facet = match label {
        "processes" => Facet::Process,
        "plate groove" | "pipe groove" | "fillet" => Facet::Position,
        "transfer" => Facet::Transfer,
        "progression" => Facet::Progression,
        "thickness" => Facet::Thickness,
        "outside diameter" => Facet::Diameter,
        "backing" => Facet::Backing,
        "welds" => Facet::Weld,
        "products" => Facet::Product,
        "filler types" => Facet::FillerType,
        "polarity" => Facet::Polarity,
        "backing gas" => Facet::BackingGas,
        "layers of fillets" => Facet::Runs,
        "fillers" => Facet::Filler,
        "base metals" => Facet::BaseMetal,
        "lasts" => Facet::Continuity,
        _ => return None,
    };
    Some(facet)
}

/// Whether a rule may stand behind a line, by what the rule demands.
fn is_about(rule: &Rule, label: &str) -> bool {
    let wanted = facet_of(label).unwrap();
    match &rule.demand {
        Demand::Range { facet, joints, .. } if wanted == Facet::Thickness => {
            *facet == wanted && joints.iter().any(|j| j != "fillet") | joints.is_empty()
        }
        Demand::Words { facet, .. } | Demand::Same { facet } | Demand::Range { facet, .. } => {
            *facet == wanted
        }
        Demand::Positions { plate_groove, fillet, pipe_groove, .. } => match label {
            "plate groove" => !plate_groove.is_empty(),
            "fillet" => !fillet.is_empty(),
            // A code without a rule of diameters names them with its positions.
            "pipe groove" | "outside diameter" => !pipe_groove.is_empty(),
            _ => false,
        },
        Demand::Months(..) | Demand::Ends { .. } => wanted == Facet::Continuity,
        // What leaves a line open stands behind it.
        Demand::Doubt { facet, .. } => *facet == Some(wanted),
        _ => false,
    }
}

#[test]
fn every_line_carries_the_basis_of_the_rule_behind_it() {
    let (mut answer, mut bases) = (0, BTreeSet::new());
    for (code, lines) in standings() {
        for line in lines.iter().filter(|line| facet_of(&line.label).is_some()) {
            let says = format!("{}: {line:#?}", code.id);
            let Some(rule) = rule_of(line, code) else {
                assert!(line.provenance.source.starts_with("no rule of"), "{says}");
                let gaps = ["none", "not in this rule data", "unknown"];
                assert!(gaps.contains(&line.value.as_str()) || line.label == "fillers", "{says}");
                continue;
            };
            assert!(is_about(rule, &line.label), "{says}");
            assert_eq!(line.provenance.basis, rule.basis.word(), "{says}");
            assert!(line.provenance.source.contains(&rule.clause), "{says}");
            answer += 1;
            bases.insert(line.provenance.basis.clone());
        }
    }
    assert!(answer > 200, "{answer}");
    for basis in ["seen", "secondary", "memory"] {
        assert!(bases.contains(basis), "{bases:?}");
    }
}

#[test]
fn a_refusal_carries_its_own_rule() {
    let mut refused = 0;
    for (code, lines) in standings() {
        for line in lines.iter().filter(|line| line.label == "no qualification") {
            let rule = rule_of(line, code).unwrap();
            assert_eq!(line.provenance.basis, rule.basis.word(), "{}: {line:#?}", code.id);
            refused += 1;
        }
    }
    assert!(refused > 0);
}
