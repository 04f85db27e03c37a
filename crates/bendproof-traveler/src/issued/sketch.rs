//! The joint of a procedure or its record, to scale; where a size is missing or
//! does not fit the others, a sentence that says so instead.

use bendproof_codes::rule::Facts;
use bendproof_drawing as draw;
use bendproof_measure::{System, say};

use super::blocks::{Block, FieldRow, drawing, field};
use crate::drawn::{Look, SHOULDER_MM, groove};

/// How the edges of a kind of groove are prepared.
struct Preparation {
    word: &'static str,
    /// Share of the groove angle that each edge bears; an edge without one is square.
    share: [f64; 2],
    is_curved: bool,
    is_double: bool,
}

const fn groove_of(word: &'static str, share: [f64; 2], is_curved: bool, is_double: bool) -> Preparation {
    Preparation { word, share, is_curved, is_double }
}

const BOTH: [f64; 2] = [0.5, 0.5];
const ONE: [f64; 2] = [0.0, 1.0];

/// Every kind of groove of the catalogue.
const GROOVES: [Preparation; 9] = [
    groove_of("square", [0.0, 0.0], false, false),
    groove_of("single_v", BOTH, false, false),
    groove_of("double_v", BOTH, false, true),
    groove_of("single_bevel", ONE, false, false),
    groove_of("double_bevel", ONE, false, true),
    groove_of("single_u", BOTH, true, false),
    groove_of("double_u", BOTH, true, true),
    groove_of("single_j", ONE, true, false),
    groove_of("double_j", ONE, true, true),
];

/// Sizes of the preparation that no rule asks for, with their labels.
const PREPARED: [(&str, &str); 2] =
    [("groove_radius", "groove radius"), ("groove_depth", "depth from the far side")];

/// Those sizes where they are stated.
pub(super) fn prepared(facts: &Facts) -> Vec<FieldRow> {
    let row = |(name, label): &(&str, &str)| Some(field(label, &say(&facts.measure_of(name)?)));
    PREPARED.iter().filter_map(row).collect()
}

/// The joint to scale, or why it is not drawn.
pub(super) fn joint(facts: &Facts, is_fillet: bool) -> Block {
    match drawn(facts, is_fillet, Look::Paper) {
        Ok(svg) => drawing("joint", &svg),
        Err(why) => Block::Notes { title: "joint".to_owned(), lines: vec![why] },
    }
}

/// The joint to scale as SVG, or the sentence that says why it is not drawn.
pub(crate) fn drawn(facts: &Facts, is_fillet: bool, look: Look) -> Result<String, String> {
    let fit = if is_fillet { Err("a fillet is not drawn here".to_owned()) } else { fit(facts) };
    let system = facts.measure_of("thickness").map_or(System::Inch, |q| q.system);
    fit.map(|fit| groove(&fit, system, look)).map_err(|why| format!("Not drawn: {why}."))
}

/// The sizes of the joint as its drawing takes them.
fn fit(facts: &Facts) -> Result<draw::Fit, String> {
    let kind = facts.word_of("groove_type").ok_or("the kind of groove is not stated")?;
    let groove = GROOVES.iter().find(|one| one.word == kind);
    let groove = groove.ok_or_else(|| format!("a {} is not known here", kind.replace('_', " ")))?;
    let is_square = groove.share == [0.0, 0.0];
    let mut missing = Vec::new();
    let mut size = |name: &str, label: &'static str, is_needed: bool| {
        let found = facts.measure_of(name).filter(|_| is_needed).map(|q| q.si);
        if is_needed && found.is_none() {
            missing.push(label);
        }
        found.unwrap_or(0.0)
    };
    let thickness_mm = size("thickness", "the thickness", true) * 1e3;
    let root_opening_mm = size("root_opening", "the root opening", true) * 1e3;
    let angle_deg = size("groove_angle", "the groove angle", !is_square).to_degrees();
    let land_mm = size("root_face", "the root face", !is_square) * 1e3;
    let radius_mm = size("groove_radius", "the groove radius", groove.is_curved) * 1e3;
    let back_mm = size("groove_depth", "the depth from the far side", groove.is_double) * 1e3;
    let name = kind.replace('_', " ");
    if !missing.is_empty() {
        return Err(format!("a {name} groove needs {}, not stated", missing.join(" and ")));
    }
    let is_cut = groove.share.map(|share| share > 0.0);
    let of_cut = |value: f64, else_: f64| is_cut.map(|cut| if cut { value } else { else_ });
    let fit = draw::Fit {
        thickness_mm,
        root_opening_mm,
        land_mm: of_cut(land_mm, thickness_mm),
        bevel_deg: groove.share.map(|share| share * angle_deg),
        radius_mm: of_cut(radius_mm, 0.0),
        back_mm: of_cut(back_mm, 0.0),
        mismatch_mm: 0.0,
        // Room for the words next to a curve.
        shoulder_mm: if groove.is_curved { 2.0 * SHOULDER_MM } else { SHOULDER_MM },
    };
    let is_within = land_mm + back_mm <= thickness_mm && fit.bevel_deg.iter().all(|deg| *deg < 90.0);
    if is_within && fit.is_drawable() {
        return Ok(fit);
    }
    Err(format!("the sizes of the {name} groove do not fit in its thickness; measure them again"))
}

#[cfg(test)]
mod tests {
    use bendproof_measure::{Kind, Quantity, System};

    use super::*;
    use bendproof_codes::rule::Fact;

    fn facts(kind: &str, sizes_mm: &[(&str, f64)]) -> Facts {
        let mut facts = Facts::default().with("groove_type", Fact::Word(kind.to_owned())).unwrap();
        for (name, value) in sizes_mm {
            let (si, kind) = match *name {
                "groove_angle" => (value.to_radians(), Kind::Angle),
                _ => (value / 1e3, Kind::Length),
            };
            facts = facts.with(name, Fact::Measure(Quantity { si, kind, system: System::Metric })).unwrap();
        }
        facts
    }

    const ALL: [(&str, f64); 6] = [
        ("thickness", 25.0),
        ("root_opening", 3.0),
        ("root_face", 2.0),
        ("groove_angle", 20.0),
        ("groove_radius", 6.0),
        ("groove_depth", 8.0),
    ];

    #[test]
    fn every_groove_of_the_catalogue_is_drawn_when_its_sizes_are_stated() {
        let spec = bendproof_files::PROCEDURE_RECORD.spec("groove_type").unwrap();
        let bendproof_files::What::Words(words) = spec.what else { panic!("{:?}", spec.what) };
        assert_eq!(words.len(), GROOVES.len());
        for kind in words {
            let fit = fit(&facts(kind, &ALL)).unwrap();
            let is_both = kind.ends_with('v') || kind.ends_with('u');
            assert_eq!(fit.bevel_deg[0] > 0.0, is_both, "{kind}");
            assert_eq!(fit.back_mm[1] > 0.0, kind.starts_with("double"), "{kind}");
            let is_curved = kind.ends_with('u') || kind.ends_with('j');
            assert_eq!(fit.radius_mm[1] > 0.0, is_curved, "{kind}");
            assert_eq!(fit.bevel_deg.iter().sum::<f64>() > 19.9, *kind != "square", "{kind}");
        }
    }

    #[test]
    fn a_missing_size_is_named_and_nothing_is_drawn_from_a_guess() {
        let without = |kind: &str, left_out: &str| {
            let rest: Vec<_> = ALL.into_iter().filter(|(name, _)| *name != left_out).collect();
            fit(&facts(kind, &rest))
        };
        for (kind, left_out, named) in [
            ("single_u", "groove_radius", "a single u groove needs the groove radius, not stated"),
            ("double_v", "groove_depth", "the depth from the far side"),
            ("single_bevel", "groove_angle", "the groove angle"),
            ("single_v", "root_face", "the root face"),
            ("square", "root_opening", "the root opening"),
            ("double_j", "thickness", "the thickness"),
        ] {
            let why = without(kind, left_out).unwrap_err();
            assert!(why.contains(named), "{why}");
        }
        for (kind, left_out) in
            [("single_v", "groove_radius"), ("single_u", "groove_depth"), ("square", "root_face")]
        {
            assert!(without(kind, left_out).is_ok(), "{kind} needs no {left_out}");
        }
        assert!(fit(&Facts::default()).unwrap_err().contains("kind of groove"));
    }

    #[test]
    fn sizes_that_do_not_fit_in_the_thickness_are_reported() {
        let with = |kind: &str, name: &str, value: f64| {
            let sizes = ALL.map(|(own, size)| (own, if own == name { value } else { size }));
            fit(&facts(kind, &sizes))
        };
        assert!(with("double_v", "groove_depth", 23.0).is_ok());
        let why = with("double_v", "groove_depth", 23.1).unwrap_err();
        assert!(why.contains("do not fit"), "{why}");
        assert!(with("single_j", "groove_radius", 40.0).is_err());
        assert!(with("single_bevel", "groove_angle", 90.0).is_err());
        let Block::Notes { lines, .. } = joint(&Facts::default(), true) else { panic!("drawn") };
        assert_eq!(lines, ["Not drawn: a fillet is not drawn here."]);
    }
}
