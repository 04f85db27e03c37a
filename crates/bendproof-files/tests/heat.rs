//! A heat problem: what it becomes, and what is said of one that cannot be.
#![allow(clippy::unwrap_used)]

mod support;

use bendproof_files::{HeatGrid, HeatMetal, PROBES_MAX, Severity, read_heat};
use support::said;

/// The problem of the format's own description; tests spoil one line of it.
const SOUND: &str = r#"[plate]
length = "200 mm"
width = "150 mm"
thickness = "12.7 mm"
[material]
model = "constant"
conductivity = "30 W/m/K"
volumetric_heat = "5.0e6 J/m^3/K"
[source]
power = "1872 W"
travel = "3.5 mm/s"
from = ["20 mm", "75 mm"]
to = ["180 mm", "75 mm"]
half_width = "4 mm"
depth = "3 mm"
front = "4 mm"
rear = "8 mm"
[losses]
convection = "15 W/m^2/K"
emissivity = 0.7
ambient = "30 C"
[run]
start_temperature = "20 C"
cool_for = "120 s"
cell = "1 mm"
[probes]
s6 = ["100 mm", "81 mm", "0 mm"]
a1 = ["100 mm", "75 mm", "12.7 mm"]
"#;

const STEEL: &str = "model = \"carbon-steel-en1993\"";
const CONSTANT: &str =
    "model = \"constant\"\nconductivity = \"30 W/m/K\"\nvolumetric_heat = \"5.0e6 J/m^3/K\"";

fn spoiled(old: &str, new: &str) -> String {
    assert_eq!(SOUND.matches(old).count(), 1, "{old}");
    SOUND.replace(old, new)
}

#[test]
fn every_value_arrives_in_si() {
    let (file, findings) = read_heat(SOUND);
    assert_eq!(findings, []);
    let file = file.unwrap();
    // One rounding of a product.
    let near = |value: f64, expected: f64| assert!((value / expected - 1.0).abs() < 1e-15, "{value}");
    near(file.length_m, 0.2);
    near(file.width_m, 0.15);
    near(file.thickness_m, 0.0127);
    let HeatMetal::Constant { conductivity_w_m_k, volumetric_heat_j_m3_k } = file.metal else {
        panic!("{:?}", file.metal)
    };
    assert_eq!((conductivity_w_m_k, volumetric_heat_j_m3_k), (30.0, 5e6));
    let source = file.source.unwrap();
    near(source.travel_m_s, 3.5e-3);
    near(source.from_x_m, 0.02);
    near(source.to_x_m, 0.18);
    near(source.y_m, 0.075);
    near(source.smallest_length_m(), 3e-3);
    assert_eq!((file.losses.convection_w_m2_k, file.losses.emissivity), (15.0, 0.7));
    near(file.losses.ambient_k, 303.15);
    near(file.start_temperature_k, 293.15);
    assert_eq!((file.grid, file.cells_per_step, file.threads), (HeatGrid::Cell(1e-3), 0.35, 1));
    let names: Vec<&str> = file.probes.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(names, ["s6", "a1"], "in the order they are written");
    near(file.probes[0].at_m[1], 0.081);
}

#[test]
fn what_is_left_out_has_its_default() {
    let text = SOUND.split("[losses]").next().unwrap().replace(CONSTANT, STEEL);
    let (file, findings) = read_heat(&format!("{text}[run]\ncool_for = \"1 min\"\n"));
    assert_eq!(findings, []);
    let file = file.unwrap();
    assert_eq!((file.losses.convection_w_m2_k, file.losses.emissivity), (0.0, 0.0));
    assert_eq!(file.losses.ambient_k, file.start_temperature_k);
    assert_eq!((file.cool_for_s, file.grid), (60.0, HeatGrid::Accuracy(0.01)));
    assert_eq!((file.fusion_k, file.cells_max, file.probes.len()), (None, None, 0));
    let HeatMetal::CarbonSteel(steel) = file.metal else { panic!("{:?}", file.metal) };
    assert_eq!((steel.density_kg_m3, steel.latent_heat_j_kg), (7850.0, 270e3));
}

/// The text replaced, the text in its place, what is said.
const SPOILED: &[(&str, &str, &str)] = &[
    (
        "length = \"200 mm\"",
        "length = \"200\"",
        "line 2: plate.length: plate length: `200` has no unit; enter a length as 1/8 in or 3.2 mm; allowed: 0.0394 in to 393.7008 in",
    ),
    (
        "thickness = \"12.7 mm\"",
        "thickness = nan",
        "line 4: plate.thickness: plate thickness is `nan`: not a number; allowed: 0.0039 in to 39.3701 in",
    ),
    (
        "\"30 W/m/K\"",
        "\"30 W/m^2/K\"",
        "line 7: material.conductivity: conductivity: `30 W/m^2/K` is a heat transfer coefficient, not a conductivity; enter it as 41 W/m/K; allowed: 0.01 W/m/K to 5000 W/m/K",
    ),
    (
        "conductivity = \"30 W/m/K\"\n",
        "",
        "line 5: material.conductivity: conductivity is missing for the model `constant`; enter it, for example 30 W/m/K",
    ),
    (
        "conductivity = ",
        "density = \"7850 kg/m^3\"\nconductivity = ",
        "line 7: material.density: density belongs to the model `carbon-steel-en1993`, and the model is `constant`; leave it out or change the model",
    ),
    (
        "model = \"constant\"",
        "model = \"steel\"",
        "line 6: material.model: material model is `steel`; enter one of constant, carbon-steel-en1993; did you mean `carbon-steel-en1993`?",
    ),
    (
        CONSTANT,
        "model = \"carbon-steel-en1993\"\nliquidus = \"1465 C\"",
        "line 7: material.liquidus: liquidus 1465 °C must be at least 1 K above the solidus, 1465 °C; change one of them",
    ),
    (
        CONSTANT,
        "model = \"carbon-steel-en1993\"\nsolidus = \"1600 C\"",
        "line 7: material.solidus: liquidus 1525 °C must be at least 1 K above the solidus, 1600 °C; change one of them",
    ),
    (
        CONSTANT,
        "model = \"carbon-steel-en1993\"\nvolumetric_heat = \"5 MJ/m^3/K\"",
        "line 7: material.volumetric_heat: volumetric_heat belongs to the model `constant`, and the model is `carbon-steel-en1993`; leave it out or change the model",
    ),
    (
        "model = \"constant\"",
        "model = \"constant\"\nfusion = \"20 C\"",
        "line 7: material.fusion: edge of fusion 20 °C must be above the start temperature, 20 °C; enter where the metal melts",
    ),
    (
        "\"1872 W\"",
        "\"-1872 W\"",
        "line 10: source.power: power is -1872 W; enter 1 W to 1000000 W; take volts times amps times the arc efficiency",
    ),
    (
        "\"3.5 mm/s\"",
        "\"-3.5 mm/s\"",
        "line 11: source.travel: travel is -210 mm/min; enter 0.6 mm/min to 60000 mm/min; write the speed along x; it cannot be zero or backward",
    ),
    (
        "from = [\"20 mm\", \"75 mm\"]",
        "from = [\"20 mm\"]",
        "line 12: source.from: start of the run has 1 value; enter 2, for example [\"20 mm\", \"75 mm\"]",
    ),
    (
        "from = [\"20 mm\", \"75 mm\"]\n",
        "",
        "line 9: source.from: start of the run is missing; enter it, for example [\"20 mm\", \"75 mm\"]",
    ),
    (
        "from = [\"20 mm\", \"75 mm\"]",
        "from = \"20 mm\"",
        "line 12: source.from: `source.from` is a list; put its values in brackets, for example [\"…\", \"…\"]",
    ),
    (
        "from = [\"20 mm\", \"75 mm\"]",
        "from = [\"20 mm\", 75]",
        "line 12: source.from.2: start of the run: `75` has no unit; enter a length as 1/8 in or 3.2 mm; allowed: -393.7008 in to 393.7008 in",
    ),
    (
        "to = [\"180 mm\", \"75 mm\"]",
        "to = [\"180 mm\", \"76 mm\"]",
        "line 13: source.to.2: the run ends at y 76 mm and starts at 75 mm; the arc runs along x, so write the same y twice",
    ),
    (
        "to = [\"180 mm\", \"75 mm\"]",
        "to = [\"20 mm\", \"75 mm\"]",
        "line 13: source.to.1: the run ends at x 20 mm; enter an end past its start, 20 mm. The arc travels toward larger x",
    ),
    (
        "to = [\"180 mm\", \"75 mm\"]",
        "to = [\"210 mm\", \"75 mm\"]",
        "line 13: source.to.1: x of `to` is 210 mm; enter 0 to the plate's length, 200 mm; move it into the plate",
    ),
    (
        "\"81 mm\"",
        "\"-1 mm\"",
        "line 27: probes.s6.2: y of probe s6 is -1 mm; enter 0 to the plate's width, 150 mm; move it into the plate",
    ),
    (
        "[\"100 mm\", \"81 mm\", \"0 mm\"]",
        "[]",
        "line 27: probes.s6: probe s6 has 0 values; enter 3, for example [\"100 mm\", \"81 mm\", \"0 mm\"]",
    ),
    (
        "s6 =",
        "\"side, 6\" =",
        "line 27: probes.side, 6: probe name is `side, 6`; enter 1 to 24 letters, digits, - and _; choose another",
    ),
    (
        "emissivity = 0.7",
        "emissivity = 1.7",
        "line 20: losses.emissivity: emissivity is 170 %; enter 0 % to 100 %; scaled steel is near 0.7",
    ),
    (
        "cell = \"1 mm\"",
        "cell = \"1 mm\"\naccuracy = \"1 %\"",
        "line 26: run.accuracy: enter cell or accuracy, not both",
    ),
    (
        "cell = \"1 mm\"",
        "cell = \"7 mm\"",
        "line 25: run.cell: cell 7 mm is more than half the plate's smallest side, 12.7 mm; enter smaller cells",
    ),
    (
        "cell = \"1 mm\"",
        "accuracy = \"0 %\"",
        "line 25: run.accuracy: accuracy is 0 %; enter 0.05 % to 20 %; 1 % suits most purposes",
    ),
    (
        "cool_for = \"120 s\"\n",
        "",
        "line 22: run.cool_for: cooling time is missing; enter 0 s to 86400 s, for example 40 s or 2 min",
    ),
    (
        "half_width",
        "half_widht",
        "line 14: source.half_widht: `source.half_widht` is not a field of a heat file; did you mean `source.half_width`?",
    ),
];

#[test]
fn spoiled_values_are_refused_in_full() {
    for (old, new, expected) in SPOILED {
        let (file, findings) = read_heat(&spoiled(old, new));
        assert!(file.is_none(), "{expected}");
        let said = said(&findings);
        assert!(said.iter().any(|s| s == expected), "wanted {expected}\ngot    {said:#?}");
    }
}

#[test]
fn all_faults_are_reported_at_once_in_the_order_of_lines() {
    let text = SOUND
        .replace("\"200 mm\"", "\"200\"")
        .replace("\"1872 W\"", "\"0 W\"")
        .replace("rear =", "reer =")
        .replace("\"81 mm\"", "\"181 mm\"");
    let lines: Vec<_> = read_heat(&text).1.iter().map(|f| f.line.unwrap()).collect();
    // The missing `rear` is reported at the start of its section.
    assert_eq!(lines, [2, 9, 10, 17, 27]);
}

#[test]
fn a_file_that_asks_for_nothing_is_reported() {
    let (before, rest) = SOUND.split_once("[source]").unwrap();
    let (_, run) = rest.split_once("[losses]").unwrap();
    let without_source = format!("{before}[losses]{run}");
    assert_eq!(said(&read_heat(&without_source).1), [""; 0]);
    let nothing = without_source.split("[probes]").next().unwrap();
    assert_eq!(said(&read_heat(nothing).1), ["there is no [source] and no probe; enter one of them"]);
    let still = read_heat(&without_source.replace("\"120 s\"", "\"0 s\"")).1;
    assert!(still[0].message.starts_with("cooling time is 0 s; without a [source]"), "{still:?}");
    let empty = read_heat(&format!("{without_source}[source]\n")).1;
    assert!(empty.iter().any(|f| f.message.starts_with("power is missing")), "{empty:?}");
}

#[test]
fn heat_that_misses_the_plate_is_warned_of() {
    for (old, new, expected) in [
        (
            "depth = \"3 mm\"",
            "depth = \"13 mm\"",
            "line 15: source.depth: part of the arc's heat lies below the plate and is lost: 12.7 mm is left for a source of 13 mm; move the run or take a smaller source",
        ),
        (
            "from = [\"20 mm\"",
            "from = [\"5 mm\"",
            "line 17: source.rear: part of the arc's heat lies before the plate's start and is lost: 5 mm is left for a source of 8 mm; move the run or take a smaller source",
        ),
        (
            "cell = \"1 mm\"",
            "cell = \"2 mm\"",
            "line 25: run.cell: cell is 2 mm, more than half the source's smallest length, 3 mm; the pool will be blurred",
        ),
    ] {
        let (file, findings) = read_heat(&spoiled(old, new));
        assert!(file.is_some(), "{expected}");
        assert!(findings.iter().all(|f| f.severity == Severity::Warning));
        assert_eq!(said(&findings), [expected]);
    }
}

#[test]
fn more_probes_than_anyone_reads_are_refused() {
    let row = |n: usize| format!("p{n} = [\"1 mm\", \"1 mm\", \"1 mm\"]\n");
    let probes: String = (2..=PROBES_MAX).map(row).collect();
    assert_eq!(said(&read_heat(&format!("{SOUND}{}", probes.split_once('\n').unwrap().1)).1), [""; 0]);
    let findings = read_heat(&format!("{SOUND}{probes}")).1;
    assert_eq!(
        findings[0].message,
        format!("{} probes are listed; the limit is {PROBES_MAX}. Remove some", PROBES_MAX + 1)
    );
}
