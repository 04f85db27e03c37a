//! The electrical and deposit side of the arc: wire melting, volts windows,
//! transfer, power, efficiency and deposit.
//!
//! Steady settings only. It knows no waveform: a mean current goes in where a
//! short-circuit arc really swings, and the stated uncertainty covers that.

use crate::basis::{Basis, Known};
use crate::words::{Gas, Process, Transfer};

/// Wire diameter for which the melting law is anchored, m.
pub const ANCHOR_DIAMETER_M: f64 = 1.2e-3;
/// Arc-heating term α of the melting law at the anchor diameter, m/(A·s).
/// Mild steel, direct current, electrode positive; commonly quoted 0.30
/// mm/(A·s), from memory.
pub const ANCHOR_ALPHA_M_A_S: f64 = 0.30e-3;
/// Resistance-heating term β of the melting law at the anchor diameter,
/// 1/(A²·s); commonly quoted 5.0e-5, from memory.
pub const ANCHOR_BETA_PER_A2_S: f64 = 5.0e-5;
/// One standard deviation of a current from the melting law, as a share of it,
/// at known wire feed. Basis: choice, above the 8.2 % that
/// [`MELTING_LAW_SHOWN`] tells, because the extension is rarely measured.
pub const CURRENT_UNCERTAINTY_SHARE: f64 = 0.12;
/// The same where the extension was measured: what the published settings of
/// [`MELTING_LAW_SHOWN`] show of the law at one extension. Basis: derived.
pub const CURRENT_UNCERTAINTY_AT_EXTENSION_SHARE: f64 = 0.082;
/// What 18 published short-circuit settings show of the melting law at
/// [`NOMINAL_EXTENSION_M`], as words; the settings stand in
/// `checks/physics/arc.toml`, whose test holds these figures. Basis: derived.
pub const MELTING_LAW_SHOWN: &str =
    "against 18 published settings 8.2 % root mean square, 16 within 12 %, the other two 15.6 and 25.0 % low";
/// Extension at which the melting law meets published short-circuit settings
/// nearly without bias, m: -1.6 % of the current over the 18 published settings
/// of `checks/physics/arc.toml`. Basis: derived from them.
pub const NOMINAL_EXTENSION_M: f64 = 8.0e-3;
/// Density of steel wire, kg/m³; from memory, and the value handbook deposit
/// tables imply.
pub const STEEL_DENSITY_KG_M3: f64 = 7850.0;
/// Heat carried by a drop of dip or globular transfer, J/kg; from memory,
/// range 1.6 to 2.1 MJ/kg.
pub const DROP_ENTHALPY_J_KG: f64 = 1.9e6;
/// Mean resistivity of the hot extension, Ω·m; from memory, range 0.9 to 1.0.
pub const HOT_RESISTIVITY_OHM_M: f64 = 1.0e-6;
/// Half width of the window in which a short-circuit arc runs well, V. A
/// setting-up note of the trade gives a width of about 2 V (seen).
pub const WINDOW_HALF_WIDTH_V: f64 = 1.0;
/// Highest voltage listed for short-circuit transfer, V (welding textbook,
/// chapter on gas metal arc welding: 50 to 225 A, 12 to 22 V; seen).
pub const SHORT_CIRCUIT_VOLTS_MAX_V: f64 = 22.0;
/// Lowest voltage listed for spray transfer, V (machine manual tables give 24;
/// one volt is allowed for lead drop; choice).
pub const SPRAY_VOLTS_MIN_V: f64 = 23.0;
/// Least argon share that lets metal spray (handbook; seen).
pub const SPRAY_ARGON_SHARE_MIN: f64 = 0.80;

/// Cross-section of a round wire, m², from its diameter in m.
pub fn wire_area_m2(wire_diameter_m: f64) -> f64 {
    std::f64::consts::FRAC_PI_4 * wire_diameter_m * wire_diameter_m
}

/// The two constants of the melting law for one wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeltingConstants {
    /// α: melting by the arc, m/(A·s).
    pub alpha_m_a_s: f64,
    /// β: melting by resistance of the extension, 1/(A²·s).
    pub beta_per_a2_s: f64,
}

/// Melting constants for a mild-steel wire, scaled from the anchor by 1/A and
/// 1/A² as the heat balance of a wire element requires.
///
/// Valid for solid wire 0.6 to 1.6 mm, electrode positive. Form after
/// Lesnewich 1958 and Halmøy 1979, from memory.
pub fn melting_constants(wire_diameter_m: f64) -> MeltingConstants {
    let ratio = wire_area_m2(ANCHOR_DIAMETER_M) / wire_area_m2(wire_diameter_m);
    MeltingConstants {
        alpha_m_a_s: ANCHOR_ALPHA_M_A_S * ratio,
        beta_per_a2_s: ANCHOR_BETA_PER_A2_S * ratio * ratio,
    }
}

/// Wire feed that a current melts, m/s: w = α·I + β·L·I².
pub fn wire_feed_from_current_m_s(wire_diameter_m: f64, extension_m: f64, current_a: f64) -> f64 {
    let k = melting_constants(wire_diameter_m);
    current_a * (k.alpha_m_a_s + k.beta_per_a2_s * extension_m * current_a)
}

/// Mean current that melts a wire feed, A; the inverse of
/// [`wire_feed_from_current_m_s`], uncertain by [`CURRENT_UNCERTAINTY_SHARE`].
///
/// Written without the difference of near-equal numbers, so a short extension
/// loses no digits and zero extension is allowed.
pub fn current_from_wire_feed_a(wire_diameter_m: f64, extension_m: f64, wire_feed_m_s: f64) -> f64 {
    let k = melting_constants(wire_diameter_m);
    let alpha = k.alpha_m_a_s;
    let root = (alpha * alpha + 4.0 * k.beta_per_a2_s * extension_m * wire_feed_m_s).sqrt();
    2.0 * wire_feed_m_s / (alpha + root)
}

/// Wire melted, kg/s.
pub fn melting_rate_kg_s(wire_diameter_m: f64, wire_feed_m_s: f64) -> f64 {
    wire_area_m2(wire_diameter_m) * wire_feed_m_s * STEEL_DENSITY_KG_M3
}

/// Metal that stays in the joint, kg/s; `deposition_efficiency` from 0 to 1.
pub fn deposition_rate_kg_s(wire_diameter_m: f64, wire_feed_m_s: f64, deposition_efficiency: f64) -> f64 {
    melting_rate_kg_s(wire_diameter_m, wire_feed_m_s) * deposition_efficiency
}

/// Cross-section of deposited metal, m². Travel must be above zero.
pub fn bead_area_m2(
    wire_diameter_m: f64,
    wire_feed_m_s: f64,
    travel_m_s: f64,
    deposition_efficiency: f64,
) -> f64 {
    deposition_efficiency * wire_area_m2(wire_diameter_m) * wire_feed_m_s / travel_m_s
}

/// Travel that lays a wanted cross-section, m/s; the inverse of [`bead_area_m2`].
pub fn travel_for_bead_m_s(
    wire_diameter_m: f64,
    wire_feed_m_s: f64,
    bead_area_m2: f64,
    deposition_efficiency: f64,
) -> f64 {
    deposition_efficiency * wire_area_m2(wire_diameter_m) * wire_feed_m_s / bead_area_m2
}

/// Share of melted wire that stays in the joint, by transfer.
pub fn deposition_efficiency(transfer: Transfer) -> Known {
    const SOURCE: &str = "deposition efficiency tables of two public welding guides";
    let (value, low, high, basis) = match transfer {
        Transfer::ShortCircuit => (0.93, 0.90, 0.95, Basis::Seen),
        Transfer::Globular => (0.89, 0.88, 0.90, Basis::Seen),
        Transfer::Spray => (0.98, 0.96, 0.99, Basis::Seen),
        // No table lists pulsed transfer; it sprays, so it is given spray's wider range.
        Transfer::Pulsed => (0.97, 0.93, 0.99, Basis::Choice),
    };
    Known { value, low, high, source: SOURCE, basis }
}

/// The range of volts in which an arc of one gas and transfer runs well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VoltsWindow {
    /// Least volts, V.
    pub low_v: f64,
    /// Middle of the window, V.
    pub middle_v: f64,
    /// Most volts, V.
    pub high_v: f64,
    /// Scatter of published settings about the middle, one standard deviation, V.
    pub scatter_v: f64,
    /// Currents the settings cover, A.
    pub current_range_a: (f64, f64),
    /// Where it comes from.
    pub source: &'static str,
    /// What the source is worth.
    pub basis: Basis,
}

/// Volts window for a gas, a transfer and a current in A; `None` where nothing
/// published is at hand (globular, pulsed, spray in gases that do not spray).
pub fn volts_window(gas: Gas, transfer: Transfer, current_a: f64) -> Option<VoltsWindow> {
    match transfer {
        Transfer::ShortCircuit => Some(short_circuit_window(gas, current_a)),
        Transfer::Spray if gas.argon_share() >= SPRAY_ARGON_SHARE_MIN => Some(VoltsWindow {
            low_v: 24.0,
            middle_v: 26.5,
            high_v: 29.0,
            scatter_v: 1.5,
            current_range_a: (150.0, 315.0),
            source: "machine manual data charts, spray rows for 0.030 to 0.045 in wire",
            basis: Basis::Seen,
        }),
        _ => None,
    }
}

/// Least-squares lines through published settings: 22 rows of 100 % CO2 and 11
/// rows of argon mixes, square butt and sheet work.
fn short_circuit_window(gas: Gas, current_a: f64) -> VoltsWindow {
    let carbon_dioxide = gas == Gas::Co2;
    let (at_zero_v, slope_v_a, scatter_v, source) = if carbon_dioxide {
        (13.8, 0.0478, 0.45, "least squares through 22 published CO2 short-arc settings")
    } else {
        (13.0, 0.0340, 0.72, "least squares through 11 published Ar/CO2 short-arc settings, square butt")
    };
    let middle_v = at_zero_v + slope_v_a * current_a;
    VoltsWindow {
        low_v: middle_v - WINDOW_HALF_WIDTH_V,
        middle_v,
        high_v: middle_v + WINDOW_HALF_WIDTH_V,
        scatter_v,
        current_range_a: (50.0, if carbon_dioxide { 200.0 } else { 225.0 }),
        source,
        basis: Basis::Derived,
    }
}

/// Volts of the conventional load line used to test power sources, V:
/// 14 + 0.05·I for gas metal arc. A test line, not a procedure; about right for
/// CO2 and 2.5 V high for argon mixes.
pub fn load_line_v(current_a: f64) -> f64 {
    14.0 + 0.05 * current_a
}

/// Wire diameter, m, against the highest current listed for short-circuit
/// transfer, A (machine manual charts; seen).
const SHORT_CIRCUIT_CURRENT_MAX: [(f64, f64); 4] =
    [(0.610e-3, 90.0), (0.762e-3, 145.0), (0.889e-3, 190.0), (1.143e-3, 225.0)];

/// Wire diameter, m, against the least current that sprays in 98 % argon 2 %
/// oxygen, A (handbook table of minimum currents for spray; seen).
const SPRAY_CURRENT_MIN: [(f64, f64); 5] =
    [(0.762e-3, 150.0), (0.889e-3, 165.0), (1.143e-3, 220.0), (1.321e-3, 240.0), (1.575e-3, 275.0)];

/// Value between the rows of a table by straight line; `None` outside it.
fn between_rows(rows: &[(f64, f64)], at: f64) -> Option<f64> {
    // Nominal sizes are rounded in print (0.9 mm for 0.035 in); two hundredths
    // of a millimetre beyond an end row still means that row.
    const ROUNDING_M: f64 = 0.02e-3;
    let (first, last) = (rows.first()?, rows.last()?);
    if at < first.0 - ROUNDING_M || at > last.0 + ROUNDING_M {
        return None;
    }
    let at = at.clamp(first.0, last.0);
    rows.windows(2).find(|pair| at <= pair[1].0).map(|pair| {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    })
}

/// Least current that gives spray, A, for a wire diameter in m; `None` when the
/// gas cannot spray or the wire is outside the table.
///
/// The steps for 90/10 and 80/20 gas are from memory (10 to 15 A, 20 to 40 A).
pub fn spray_threshold_a(gas: Gas, wire_diameter_m: f64) -> Option<f64> {
    let step_a = match gas {
        Gas::Ar98O2 => 0.0,
        Gas::Ar90Co10 => 12.5,
        Gas::Ar80Co20 => 30.0,
        Gas::Ar75Co25 | Gas::Co2 => return None,
    };
    Some(between_rows(&SPRAY_CURRENT_MIN, wire_diameter_m)? + step_a)
}

/// Transfer to expect from the settings; `None` where the published ranges do
/// not decide (wire outside the tables, or volts above the short-arc window
/// but below where drops leave the wire freely).
///
/// A rule of thumb built on machine charts. A recorded waveform decides better.
pub fn expected_transfer(gas: Gas, wire_diameter_m: f64, current_a: f64, volts_v: f64) -> Option<Transfer> {
    let sprays = spray_threshold_a(gas, wire_diameter_m).is_some_and(|least_a| current_a >= least_a);
    if sprays && volts_v >= SPRAY_VOLTS_MIN_V {
        return Some(Transfer::Spray);
    }
    let dip_current_max_a = between_rows(&SHORT_CIRCUIT_CURRENT_MAX, wire_diameter_m)?;
    let dip_volts_max_v = short_circuit_window(gas, current_a).middle_v + 2.0 * WINDOW_HALF_WIDTH_V;
    if current_a > dip_current_max_a || volts_v > SHORT_CIRCUIT_VOLTS_MAX_V.max(dip_volts_max_v) {
        return Some(Transfer::Globular);
    }
    (volts_v <= dip_volts_max_v).then_some(Transfer::ShortCircuit)
}

/// Share of arc power that enters the work.
///
/// Physics, not bookkeeping: see [`code_heat_factor`] for the fixed factor that
/// records and standard formulas use.
pub fn arc_efficiency(process: Process, transfer: Option<Transfer>) -> Known {
    const PEPE: &str = "Pépe et al., Sci. Technol. Weld. Join. 16(5) 2011 412-417, calorimeter";
    const DUPONT: &str = "DuPont and Marder, Welding J. 74 (1995) 406-s";
    let (value, low, high, source, basis) = match (process, transfer) {
        (Process::Gmaw, Some(Transfer::ShortCircuit)) => (0.85, 0.82, 0.88, PEPE, Basis::Seen),
        (Process::Gmaw, Some(Transfer::Spray)) => (0.80, 0.75, 0.84, "recalled range", Basis::Memory),
        (Process::Gmaw, _) => (0.84, 0.80, 0.88, DUPONT, Basis::Seen),
        (Process::Fcaw, _) => (0.80, 0.75, 0.85, "recalled range", Basis::Memory),
        (Process::Smaw, _) => (0.77, 0.70, 0.85, "recalled range", Basis::Memory),
        (Process::Gtaw, _) => (0.67, 0.60, 0.78, DUPONT, Basis::Seen),
        (Process::Saw, _) => (0.95, 0.90, 0.99, "recalled range", Basis::Memory),
    };
    Known { value, low, high, source, basis }
}

/// Factor k of EN 1011-1 between arc energy and heat input; the same table is
/// quoted by steel makers (secondary). Not a measured efficiency.
pub fn code_heat_factor(process: Process) -> f64 {
    match process {
        Process::Saw => 1.0,
        Process::Gmaw | Process::Fcaw | Process::Smaw => 0.8,
        Process::Gtaw => 0.6,
    }
}

/// Arc power from meter means, W. In short-circuit transfer volts are low while
/// amps are high, so the product of means reads 5 to 20 % high (from memory).
pub fn arc_power_w(volts_v: f64, current_a: f64) -> f64 {
    volts_v * current_a
}

/// Arc energy per length, J/m. Travel must be above zero.
pub fn arc_energy_j_m(volts_v: f64, current_a: f64, travel_m_s: f64) -> f64 {
    arc_power_w(volts_v, current_a) / travel_m_s
}

/// Heat the wire takes to become drops, W, at [`DROP_ENTHALPY_J_KG`].
pub fn wire_melting_power_w(wire_diameter_m: f64, wire_feed_m_s: f64) -> f64 {
    melting_rate_kg_s(wire_diameter_m, wire_feed_m_s) * DROP_ENTHALPY_J_KG
}

/// Voltage lost along the hot extension, V, from R = ρ·L/A.
pub fn extension_drop_v(wire_diameter_m: f64, extension_m: f64, current_a: f64) -> f64 {
    current_a * HOT_RESISTIVITY_OHM_M * extension_m / wire_area_m2(wire_diameter_m)
}

/// Short circuits per second, 1/s, if every drop is a ball of `drop_diameter_m`.
pub fn short_circuit_frequency_hz(wire_diameter_m: f64, wire_feed_m_s: f64, drop_diameter_m: f64) -> f64 {
    let drop_m3 = std::f64::consts::PI / 6.0 * drop_diameter_m.powi(3);
    wire_area_m2(wire_diameter_m) * wire_feed_m_s / drop_m3
}

/// Axial force of a wide-spreading arc, N: μ0·I²/(4π) = 1e-7·I².
pub fn arc_force_n(current_a: f64) -> f64 {
    1e-7 * current_a * current_a
}

/// Pressure at the centre of a Gaussian arc, Pa, with spread `sigma_m`: the
/// distribution whose integral is [`arc_force_n`].
pub fn arc_pressure_centre_pa(current_a: f64, sigma_m: f64) -> f64 {
    arc_force_n(current_a) / (std::f64::consts::TAU * sigma_m * sigma_m)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const INCH_M: f64 = 0.0254;
    const IPM_M_S: f64 = INCH_M / 60.0;

    #[test]
    fn constants_scale_with_wire_area() {
        let k = melting_constants(0.035 * INCH_M);
        assert!((k.alpha_m_a_s - 0.5466e-3).abs() < 5e-8);
        assert!((k.beta_per_a2_s - 1.660e-4).abs() < 5e-8);
    }

    #[test]
    fn published_settings_are_met() {
        // 0.035 in at 125 A and 8 mm: 89.1 mm/s.
        let feed = wire_feed_from_current_m_s(0.035 * INCH_M, 8e-3, 125.0);
        assert!((feed - 0.0891).abs() < 0.005 * 0.0891);
        // Longer extension lowers the current at the same feed.
        let amps = |mm: f64| current_from_wire_feed_a(0.035 * INCH_M, mm * 1e-3, 200.0 * IPM_M_S);
        for (mm, expected) in [(6.0, 126.0), (8.0, 120.0), (10.0, 115.0), (15.0, 105.0), (20.0, 97.0)] {
            assert!((amps(mm) - expected).abs() < 0.6, "{mm}: {}", amps(mm));
        }
    }

    #[test]
    fn windows_follow_the_gas() {
        let middle = |gas| volts_window(gas, Transfer::ShortCircuit, 125.0).unwrap().middle_v;
        assert!((middle(Gas::Co2) - 19.8).abs() < 0.1);
        assert!((middle(Gas::Ar75Co25) - 17.3).abs() < 0.1);
        assert!(volts_window(Gas::Co2, Transfer::Spray, 250.0).is_none());
        assert!(volts_window(Gas::Ar75Co25, Transfer::Globular, 250.0).is_none());
    }

    #[test]
    fn spray_starts_at_the_listed_current() {
        let call = |inch: f64, amps| expected_transfer(Gas::Ar98O2, inch * INCH_M, amps, 26.0);
        assert_eq!(call(0.035, 170.0), Some(Transfer::Spray));
        assert_ne!(call(0.035, 160.0), Some(Transfer::Spray));
        assert_eq!(call(0.045, 225.0), Some(Transfer::Spray));
        assert_ne!(call(0.045, 215.0), Some(Transfer::Spray));
        assert_eq!(spray_threshold_a(Gas::Co2, 0.9e-3), None);
    }

    #[test]
    fn short_arc_is_recognised_and_doubt_is_said() {
        let call = |amps, volts| expected_transfer(Gas::Ar75Co25, 0.035 * INCH_M, amps, volts);
        assert_eq!(call(125.0, 18.2), Some(Transfer::ShortCircuit));
        assert_eq!(call(125.0, 20.5), None);
        assert_eq!(call(125.0, 26.0), Some(Transfer::Globular));
        assert_eq!(call(230.0, 18.0), Some(Transfer::Globular));
        assert_eq!(expected_transfer(Gas::Co2, 3e-3, 125.0, 18.0), None);
    }

    #[test]
    fn arc_pressure_integrates_to_the_force() {
        assert!((arc_force_n(150.0) - 2.25e-3).abs() < 1e-9);
        assert!((arc_pressure_centre_pa(150.0, 1.5e-3) - 159.15).abs() < 0.1);
    }

    proptest! {
        #[test]
        fn wire_law_and_inverse_agree(d in 0.6e-3..1.7e-3_f64, l in 0.0..25e-3_f64, i in 1.0..500.0_f64) {
            let w = wire_feed_from_current_m_s(d, l, i);
            let back = current_from_wire_feed_a(d, l, w);
            prop_assert!((back / i - 1.0).abs() < 1e-12);
        }

        #[test]
        fn more_wire_draws_more_current(d in 0.6e-3..1.7e-3_f64, l in 0.0..25e-3_f64, w in 0.005..0.5_f64, step in 1e-4..0.1_f64) {
            prop_assert!(current_from_wire_feed_a(d, l, w + step) > current_from_wire_feed_a(d, l, w));
        }

        #[test]
        fn travel_and_bead_are_inverse(d in 0.6e-3..1.7e-3_f64, w in 0.01..0.3_f64, v in 1e-3..0.02_f64) {
            let area = bead_area_m2(d, w, v, 0.93);
            prop_assert!((travel_for_bead_m_s(d, w, area, 0.93) / v - 1.0).abs() < 1e-12);
        }
    }
}
