//! Shared by the ladder's outer rungs: the reference tables and the plate of
//! the two reference problems.
#![allow(dead_code, reason = "each test program uses a part")]

use bendproof_heat::moving::MovingHeat;
use bendproof_heat::solve::{ArcPath, CarbonSteel, Losses, Metal, PlateProblem};

/// Zero of the Celsius scale, K.
pub const ZERO_CELSIUS_K: f64 = 273.15;

/// One row of a reference table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// `scalar` or `history`.
    pub kind: String,
    /// What it is.
    pub name: String,
    /// When, s; zero for a scalar.
    pub time_s: f64,
    /// Value in the table's unit.
    pub value: f64,
}

/// The rows of a reference table: kind, name, time, value and more.
pub fn rows(text: &str) -> Vec<Row> {
    let body = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    body.map(|line| {
        let cell: Vec<&str> = line.split(',').collect();
        let number = |text: &str| text.parse().unwrap_or_else(|e| panic!("{line}: {e}"));
        Row {
            kind: cell[0].to_owned(),
            name: cell[1].to_owned(),
            time_s: if cell[2].is_empty() { 0.0 } else { number(cell[2]) },
            value: number(cell[3]),
        }
    })
    .collect()
}

/// A scalar of a reference table.
pub fn scalar(rows: &[Row], name: &str) -> f64 {
    let row = rows.iter().find(|r| r.kind == "scalar" && r.name == name);
    row.unwrap_or_else(|| panic!("no scalar {name}")).value
}

/// Where the reference problems are read: mid-length, by distance from the weld
/// in mm on the welded face, and on the underside.
pub const POINTS: [(&str, f64, f64); 6] = [
    ("s0", 0.0, 0.0),
    ("s6", 6.0, 0.0),
    ("s8", 8.0, 0.0),
    ("s10", 10.0, 0.0),
    ("s15", 15.0, 0.0),
    ("u0", 0.0, 12.7),
];

/// When the arc passes the points, s: 80 mm at 3.5 mm/s.
pub const PASSES_S: f64 = 80.0 / 3.5;

/// The arc of the reference problems.
pub const REFERENCE_ARC: MovingHeat = MovingHeat {
    power_w: 1872.0,
    travel_m_s: 3.5e-3,
    half_width_m: 4e-3,
    depth_m: 3e-3,
    front_m: 4e-3,
    rear_m: 8e-3,
};

/// P2 when linear, else P1; the problems are written out in `checks/heat/`.
pub fn reference_problem(is_linear: bool) -> PlateProblem {
    let start_temperature_k = 20.0 + ZERO_CELSIUS_K;
    let (metal, losses) = if is_linear {
        (Metal::Constant { conductivity_w_m_k: 30.0, volumetric_heat_j_m3_k: 5.0e6 }, Losses::NONE)
    } else {
        let losses = Losses { convection_w_m2_k: 15.0, emissivity: 0.7, ambient_k: start_temperature_k };
        (Metal::CarbonSteel(CarbonSteel::REFERENCE), losses)
    };
    PlateProblem {
        length_m: 0.2,
        width_m: 0.15,
        thickness_m: 12.7e-3,
        metal,
        source: Some(REFERENCE_ARC),
        path: ArcPath { from_x_m: 0.02, to_x_m: 0.18, y_m: 0.075 },
        losses,
        start_temperature_k,
        cool_for_s: 166.0 - 160.0 / 3.5,
        fusion_k: CarbonSteel::REFERENCE.fusion_k(),
        probes: POINTS.iter().map(|(_, y_mm, z_mm)| [0.1, 0.075 + y_mm * 1e-3, z_mm * 1e-3]).collect(),
    }
}
