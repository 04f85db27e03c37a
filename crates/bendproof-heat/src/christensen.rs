//! The isotherm of a moving point source without dimensions (Christensen,
//! Davies and Gjermundsen, British Welding J. 12 (1965) 54-75), by an exact
//! parametric form.
//!
//! With s the scaled distance from the source to the widest point:
//! n = s·exp(s/(1+s)), half width r = s·√(1+2s)/(1+s). Lengths scale by 2a/v.
//! Thick plate and a source without size.

use crate::Conductor;
use crate::point::PointSource;

/// Dimensions of an isotherm in units of 2a/v.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Isotherm {
    /// Operating parameter n.
    pub n: f64,
    /// Half width, and depth: the section is a half circle.
    pub half_width: f64,
    /// Where it is widest, behind the source.
    pub widest_behind: f64,
    /// Length ahead of the source.
    pub leading: f64,
    /// Length behind the source; equals n.
    pub trailing: f64,
}

impl Isotherm {
    /// Cross-section in units of (2a/v)²: a half circle.
    pub fn area(&self) -> f64 {
        0.5 * std::f64::consts::PI * self.half_width * self.half_width
    }

    /// Share of the power that goes into heating the section to the isotherm,
    /// r²/2n; at most 1/e.
    pub fn melting_efficiency(&self) -> f64 {
        self.half_width * self.half_width / (2.0 * self.n)
    }
}

/// Operating parameter n = q·v/(4π·a²·ρc·ΔT).
pub fn operating_parameter(source: PointSource, metal: Conductor, rise_k: f64) -> f64 {
    let a = metal.diffusivity_m2_s;
    source.power_w * source.travel_m_s
        / (4.0 * std::f64::consts::PI * a * a * metal.heat_per_volume_j_m3_k() * rise_k)
}

/// The isotherm for an operating parameter, zero or more.
pub fn isotherm(n: f64) -> Isotherm {
    // ln n = ln s + s/(1+s) is concave and rising in ln s: Newton converges
    // from below, and s <= n always.
    let s = newton_log(n, |s| (s / (1.0 + s), s / ((1.0 + s) * (1.0 + s))));
    // n = L·exp(2L).
    let leading = newton_log(n, |l| (2.0 * l, 2.0 * l));
    Isotherm {
        n,
        half_width: s * (1.0 + 2.0 * s).sqrt() / (1.0 + s),
        widest_behind: s * s / (1.0 + s),
        leading,
        trailing: n,
    }
}

/// Solves ln x + g(x) = ln n for x > 0, where `g` gives g and x·g'.
fn newton_log(n: f64, g: impl Fn(f64) -> (f64, f64)) -> f64 {
    if n <= 0.0 {
        return 0.0;
    }
    let target = n.ln();
    // At most 60 steps; five or six are usual, the rest guards absurd n.
    let mut log_x = target.min(0.5 * target);
    for _ in 0..60 {
        let (value, slope) = g(log_x.exp());
        let step = (target - log_x - value) / (1.0 + slope);
        log_x += step;
        if step.abs() < 1e-15 {
            break;
        }
    }
    log_x.exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn tabled_geometry() {
        for (n, r, efficiency) in [
            (0.01, 0.009_901_95, 0.004_902_43),
            (0.1, 0.091_599_6, 0.041_952_4),
            (1.0, 0.613_399, 0.188_129),
            (10.0, 2.559_45, 0.327_540),
            (100.0, 8.520_68, 0.363_010),
        ] {
            let found = isotherm(n);
            assert!((found.half_width / r - 1.0).abs() < 2e-6, "{n}");
            assert!((found.melting_efficiency() / efficiency - 1.0).abs() < 3e-6, "{n}");
        }
        let three = isotherm(3.0);
        assert!((three.leading + three.trailing - 3.7162).abs() < 1e-4);
        assert_eq!(isotherm(0.0).half_width, 0.0);
    }

    proptest! {
        #[test]
        fn parameter_form_holds(log_n in -6.0..8.0_f64) {
            let n = log_n.exp();
            let i = isotherm(n);
            prop_assert!((i.leading * (2.0 * i.leading).exp() / n - 1.0).abs() < 1e-12);
            prop_assert!(i.melting_efficiency() < 1.0 / std::f64::consts::E);
        }
    }
}
