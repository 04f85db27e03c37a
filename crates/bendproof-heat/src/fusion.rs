//! The section that melts under a moving source: half width, depth, and the
//! width that shows at the back, on a slab with a start temperature.
//!
//! Linear conduction on a flat plate with the fitted pair
//! [`Conductor::FITTED_FUSION`]; no groove, no filler, no melting heat and no
//! flow in the pool. [`outside_fit`] says when a case leaves the box in which
//! that pair was fitted.

use crate::Conductor;
use crate::christensen::{isotherm, operating_parameter};
use crate::moving::{Age, Body, MovingHeat, depth_spread, depth_spread_and_slope, longest_memory_s};
use crate::point::PointSource;
use crate::quadrature::panel;
use std::f64::consts::PI;

/// Isotherm taken as the edge of the fused metal, K: between solidus and
/// liquidus of plain steel (1495 °C, from memory).
pub const FUSION_TEMPERATURE_K: f64 = 1768.15;
/// Net power in which the pair was fitted, W.
pub const FIT_POWER_W: (f64, f64) = (1500.0, 4500.0);
/// Travel in which the pair was fitted, m/s.
pub const FIT_TRAVEL_M_S: (f64, f64) = (3e-3, 10e-3);
/// Plate on which the pair was fitted, m.
pub const FIT_THICKNESS_M: f64 = 12.7e-3;
/// Largest difference from the solver inside the box, m, in half width or depth.
pub const FIT_ERROR_M: f64 = 0.12e-3;

/// The plate under the source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slab {
    /// What it conducts.
    pub metal: Conductor,
    /// Thickness, m.
    pub thickness_m: f64,
    /// Temperature before the source comes, K.
    pub start_temperature_k: f64,
}

/// Dimensions of the fused section.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FusionSection {
    /// Half width at the surface, m; zero when nothing melts.
    pub half_width_m: f64,
    /// Depth, m; at most the thickness.
    pub depth_m: f64,
    /// Half width at the back, m; above zero only when the section reaches it.
    pub back_half_width_m: f64,
}

impl FusionSection {
    /// True when the plate melts through.
    pub fn through(&self) -> bool {
        self.back_half_width_m > 0.0
    }
}

/// Says in words why the fitted pair is not known to hold; empty inside the box.
pub fn outside_fit(source: &MovingHeat, slab: &Slab) -> Vec<&'static str> {
    let within = |x: f64, (low, high): (f64, f64)| x >= low && x <= high;
    let mut reasons = Vec::new();
    if !within(source.power_w, FIT_POWER_W) {
        reasons.push("net power outside 1.5 to 4.5 kW");
    }
    if !within(source.travel_m_s, FIT_TRAVEL_M_S) {
        reasons.push("travel outside 3 to 10 mm/s");
    }
    // One thickness was fitted; a tenth either way is the same plate.
    if (slab.thickness_m / FIT_THICKNESS_M - 1.0).abs() > 0.1 {
        reasons.push("thickness other than 12.7 mm");
    }
    reasons
}

/// Half width and depth of the section heated to `fusion_temperature_k` by a
/// source in steady travel.
///
/// Exact for the linear slab up to the quadrature: within 0.5 % of the fine
/// rule over the shapes of short-circuit welding (tested). All zeros when the
/// plate is already that hot or nothing melts.
///
/// # Examples
/// ```
/// use bendproof_heat::{Conductor, fusion::{FUSION_TEMPERATURE_K, Slab, fusion_section}, moving::MovingHeat};
/// let source = MovingHeat { power_w: 2500.0, travel_m_s: 5e-3, half_width_m: 4e-3, depth_m: 3e-3, front_m: 4e-3, rear_m: 8e-3 };
/// let slab = Slab { metal: Conductor::FITTED_FUSION, thickness_m: 12.7e-3, start_temperature_k: 293.15 };
/// let fused = fusion_section(&source, &slab, FUSION_TEMPERATURE_K);
/// assert!(fused.half_width_m > 2e-3 && fused.half_width_m < 5e-3);
/// assert!(!fused.through());
/// ```
pub fn fusion_section(source: &MovingHeat, slab: &Slab, fusion_temperature_k: f64) -> FusionSection {
    let rise_k = fusion_temperature_k - slab.start_temperature_k;
    if rise_k.is_nan() || rise_k <= 0.0 {
        return FusionSection::default();
    }
    let field = Field::new(source, slab, rise_k);
    let surface = Line::Across { z_m: 0.0 };
    let Some(top_m) = field.melted_crest(surface, -field.stride_m) else {
        return FusionSection::default();
    };
    let half_width_m = field.reach(surface, top_m);
    let back = Line::Across { z_m: slab.thickness_m };
    // The back is hottest later than the surface, so the search starts behind.
    if let Some(back_m) = field.melted_crest(back, top_m - field.stride_m) {
        let back_half_width_m = field.reach(back, back_m);
        return FusionSection { half_width_m, depth_m: slab.thickness_m, back_half_width_m };
    }
    let depth_m = field.reach(Line::Down, top_m).min(slab.thickness_m);
    FusionSection { half_width_m, depth_m, back_half_width_m: 0.0 }
}

/// The line on which the edge of the fused metal is sought.
#[derive(Clone, Copy)]
enum Line {
    /// Sideways at one depth.
    Across { z_m: f64 },
    /// Straight down under the middle.
    Down,
}

/// What one past moment of the source adds to the field.
struct Moment {
    /// Quadrature weight times heat, K·m³.
    weight: f64,
    /// How far the source has gone since, m.
    gone_m: f64,
    front: Half,
    rear: Half,
    y_variance: f64,
    z_variance: f64,
}

/// One half of the ellipsoid as spread by now: amp·exp(-p·u²)·(1 + erf(k·u)).
struct Half {
    amplitude: f64,
    p: f64,
    k: f64,
}

impl Half {
    fn new(length_m: f64, share: f64, spread: f64) -> Self {
        let c = 3.0 * spread + length_m * length_m;
        Self {
            amplitude: 0.5 * share * (3.0 / (PI * c)).sqrt(),
            p: 3.0 / c,
            k: length_m / (spread * c).sqrt(),
        }
    }

    /// Value and first and second derivative in u.
    fn at(&self, u: f64) -> [f64; 3] {
        const NEGLIGIBLE_EXPONENT: f64 = 40.0;
        let exponent = self.p * u * u;
        if exponent > NEGLIGIBLE_EXPONENT {
            return [0.0; 3];
        }
        let gauss = self.amplitude * (-exponent).exp();
        let value = gauss * (1.0 + libm::erf(self.k * u));
        let edge = gauss * 2.0 * self.k / PI.sqrt() * (-(self.k * u).powi(2)).exp();
        let slope = edge - 2.0 * self.p * u * value;
        let k2 = self.k * self.k;
        let bend = -2.0 * self.p * (value + u * slope) - 2.0 * u * (self.p + k2) * edge;
        [value, slope, bend]
    }
}

/// The field on fixed quadrature nodes, so that a search sees one smooth function.
struct Field {
    moments: Vec<Moment>,
    body: Body,
    /// Rise of the sought isotherm, K.
    rise_k: f64,
    /// First guess of the section's radius, m.
    guess_m: f64,
    /// Longest sensible step along the travel, m.
    stride_m: f64,
}

/// Field and derivatives at one place.
struct Sample {
    rise: f64,
    along: f64,
    along2: f64,
    /// Along the line of search.
    outward: f64,
}

impl Field {
    fn new(source: &MovingHeat, slab: &Slab, rise_k: f64) -> Self {
        let metal = slab.metal;
        let point = PointSource { power_w: source.power_w, travel_m_s: source.travel_m_s };
        let shape = isotherm(operating_parameter(point, metal, rise_k));
        let scale_m = 2.0 * metal.diffusivity_m2_s / source.travel_m_s;
        let behind_m = shape.widest_behind * scale_m + source.rear_m;
        let end = longest_memory_s(source, metal, -behind_m).sqrt();
        let heat = source.power_w / metal.heat_per_volume_j_m3_k();
        let moments = node_panels(end)
            .map(|(root_s, weight)| {
                let age = Age::new(source, metal, root_s * root_s);
                let spread = 4.0 * metal.diffusivity_m2_s * age.age_s;
                let share = source.front_share();
                Moment {
                    weight: 2.0 * root_s * weight * heat,
                    gone_m: source.travel_m_s * age.age_s,
                    front: Half::new(source.front_m, share, spread),
                    rear: Half::new(source.rear_m, 2.0 - share, spread),
                    y_variance: age.y_variance,
                    z_variance: age.z_variance,
                }
            })
            .collect();
        Self {
            moments,
            body: Body::Slab(slab.thickness_m),
            rise_k,
            guess_m: shape.half_width * scale_m,
            stride_m: 0.25 * (source.front_m + source.rear_m) + 0.5 * shape.widest_behind * scale_m,
        }
    }

    /// Distance along `line` to the edge of the fused metal, m, from a crest on
    /// the line's start that is hotter than the isotherm.
    ///
    /// The edge is where the highest rise along the travel equals the isotherm.
    /// ln T falls nearly as the square of the distance, so Newton runs on the
    /// square, while a second Newton keeps to the crest of the field.
    fn reach(&self, line: Line, crest_m: f64) -> f64 {
        let fixed = self.fixed_factors(line);
        let (mut xi_m, mut square) = (crest_m - 0.5 * self.guess_m, self.guess_m * self.guess_m);
        for _ in 0..MAX_STEPS {
            let distance_m = square.sqrt();
            let sample = self.sample(line, &fixed, xi_m, distance_m);
            let (step_m, gain) = self.crest_step(&sample);
            let excess = ((sample.rise + gain) / self.rise_k).ln();
            let fall = 0.5 * sample.outward / (distance_m * sample.rise);
            let next = (square - excess / fall).clamp(0.2 * square, 4.0 * square);
            xi_m += step_m;
            let settled = (next - square).abs() < SETTLED_SHARE * square;
            square = next;
            if settled && step_m.abs() < SETTLED_SHARE.sqrt() * self.stride_m {
                break;
            }
        }
        square.sqrt()
    }

    /// Place of the highest rise on the line's start, m, searched from `from_m`;
    /// `None` when that rise does not reach the isotherm.
    fn melted_crest(&self, line: Line, from_m: f64) -> Option<f64> {
        let fixed = self.fixed_factors(line);
        let mut xi_m = from_m;
        for _ in 0..MAX_STEPS {
            let sample = self.sample(line, &fixed, xi_m, 0.0);
            let (step_m, gain) = self.crest_step(&sample);
            xi_m += step_m;
            // The height is all that matters and its error is of second order.
            if gain > 0.0 && gain < CREST_SHARE * self.rise_k {
                return (sample.rise + gain >= self.rise_k).then_some(xi_m);
            }
        }
        (self.sample(line, &fixed, xi_m, 0.0).rise >= self.rise_k).then_some(xi_m)
    }

    /// Newton step toward the crest along the travel, m, and the rise it gains,
    /// K; a plain stride uphill where the field is not yet curved down.
    fn crest_step(&self, sample: &Sample) -> (f64, f64) {
        let newton = -sample.along / sample.along2;
        if sample.along2 < 0.0 && newton.abs() <= self.stride_m {
            return (newton, 0.5 * newton * sample.along);
        }
        (self.stride_m.copysign(sample.along), 0.0)
    }

    /// Factors of each moment that do not change along a line: its heat and the
    /// spread in the direction the line does not run.
    fn fixed_factors(&self, line: Line) -> Vec<f64> {
        let z_m = match line {
            Line::Across { z_m } => z_m,
            Line::Down => 0.0,
        };
        self.moments
            .iter()
            .map(|m| {
                let across = 1.0 / (2.0 * PI * m.y_variance).sqrt();
                let down = match line {
                    Line::Across { .. } => depth_spread(self.body, z_m, m.z_variance),
                    Line::Down => 1.0,
                };
                m.weight * across * down
            })
            .collect()
    }

    fn sample(&self, line: Line, fixed: &[f64], xi_m: f64, distance_m: f64) -> Sample {
        let mut total = Sample { rise: 0.0, along: 0.0, along2: 0.0, outward: 0.0 };
        for (moment, factor) in self.moments.iter().zip(fixed) {
            let (spread, log_slope) = match line {
                Line::Across { .. } => {
                    let share = distance_m / moment.y_variance;
                    ((-0.5 * distance_m * share).exp(), -share)
                }
                Line::Down => {
                    let (value, slope) = depth_spread_and_slope(self.body, distance_m, moment.z_variance);
                    (value, if value > 0.0 { slope / value } else { 0.0 })
                }
            };
            total.add(moment, xi_m, factor * spread, log_slope);
        }
        total
    }
}

impl Sample {
    fn add(&mut self, moment: &Moment, xi_m: f64, factor: f64, log_slope: f64) {
        let u = xi_m + moment.gone_m;
        let (front, rear) = (moment.front.at(u), moment.rear.at(-u));
        let value = factor * (front[0] + rear[0]);
        self.rise += value;
        self.along += factor * (front[1] - rear[1]);
        self.along2 += factor * (front[2] + rear[2]);
        self.outward += value * log_slope;
    }
}

/// Steps of any search; four to seven are usual.
const MAX_STEPS: u32 = 40;
/// Gain of height, as a share of the isotherm, below which a crest is found.
const CREST_SHARE: f64 = 1e-4;
/// Change of the squared distance that ends a search: 1e-6 of the distance.
const SETTLED_SHARE: f64 = 2e-6;

/// Two panels in the square root of time, the first for what is still under the
/// source: 32 nodes.
fn node_panels(end: f64) -> impl Iterator<Item = (f64, f64)> {
    const FIRST_SHARE: f64 = 0.35;
    panel(0.0, FIRST_SHARE * end).chain(panel(FIRST_SHARE * end, end))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::moving::steady_rise_k;
    use crate::point::Place;
    use proptest::prelude::*;

    /// The slow way: golden-section crest and bisection on the fine rule.
    fn slow_reach(
        source: &MovingHeat,
        slab: &Slab,
        rise_k: f64,
        farthest: f64,
        place: impl Fn(f64, f64) -> Place,
    ) -> f64 {
        let highest = |distance: f64| {
            let (mut a, mut b) = (-0.12, source.front_m);
            let value = |xi: f64| {
                steady_rise_k(source, slab.metal, Body::Slab(slab.thickness_m), place(xi, distance))
            };
            for _ in 0..36 {
                let (c, d) = (b - 0.618_034 * (b - a), a + 0.618_034 * (b - a));
                if value(c) > value(d) { b = d } else { a = c }
            }
            value(0.5 * (a + b))
        };
        if highest(0.0) < rise_k {
            return 0.0;
        }
        let (mut low, mut high) = (0.0, farthest);
        for _ in 0..24 {
            let middle = 0.5 * (low + high);
            if highest(middle) > rise_k { low = middle } else { high = middle }
        }
        low
    }

    fn across(xi: f64, y: f64) -> Place {
        Place { xi_m: xi, y_m: y, z_m: 0.0 }
    }

    fn sample_slab(metal: Conductor, thickness_m: f64) -> Slab {
        Slab { metal, thickness_m, start_temperature_k: 293.15 }
    }

    #[test]
    fn goldak_plate_by_two_pairs() {
        // 1170 A, 32.9 V, 0.95 at 5 mm/s on 100 mm plate; isotherms computed
        // independently, printed to 0.1 mm.
        let source = MovingHeat {
            power_w: 36_568.0,
            travel_m_s: 5e-3,
            half_width_m: 20e-3,
            depth_m: 20e-3,
            front_m: 15e-3,
            rear_m: 30e-3,
        };
        for (metal, celsius, expected_mm) in [
            (Conductor::REFERENCE, 1500.0, 15.1),
            (Conductor::REFERENCE, 800.0, 21.4),
            (Conductor::FITTED_FUSION, 1500.0, 13.9),
            (Conductor::FITTED_FUSION, 800.0, 19.5),
        ] {
            let fused = fusion_section(&source, &sample_slab(metal, 0.1), celsius + 273.15);
            assert!((fused.half_width_m * 1e3 - expected_mm).abs() < 0.06, "{fused:?} {expected_mm}");
            assert!((fused.depth_m * 1e3 - expected_mm).abs() < 0.06, "{fused:?} {expected_mm}");
        }
    }

    #[test]
    fn a_vanishing_spot_has_the_section_of_a_point() {
        let point = PointSource { power_w: 2500.0, travel_m_s: 5e-3 };
        let metal = Conductor::REFERENCE;
        let source = MovingHeat::gaussian(2500.0, 5e-3, 0.05e-3);
        let fused = fusion_section(&source, &sample_slab(metal, 0.1), 1773.15);
        let exact =
            isotherm(operating_parameter(point, metal, 1480.0)).half_width * 2.0 * metal.diffusivity_m2_s
                / 5e-3;
        assert!((fused.half_width_m / exact - 1.0).abs() < 2e-3, "{fused:?} {exact}");
    }

    #[test]
    fn a_thin_plate_melts_through() {
        let source = MovingHeat::gaussian(2500.0, 5e-3, 2e-3);
        let fused =
            fusion_section(&source, &sample_slab(Conductor::FITTED_FUSION, 2e-3), FUSION_TEMPERATURE_K);
        assert!(fused.through());
        assert_eq!(fused.depth_m, 2e-3);
        assert!(fused.back_half_width_m < fused.half_width_m);
    }

    #[test]
    fn no_melt_is_no_section() {
        let slab = sample_slab(Conductor::FITTED_FUSION, 12.7e-3);
        let weak = MovingHeat::gaussian(100.0, 5e-3, 3e-3);
        assert_eq!(fusion_section(&weak, &slab, FUSION_TEMPERATURE_K), FusionSection::default());
        assert_eq!(fusion_section(&weak, &slab, 200.0), FusionSection::default());
        assert_eq!(outside_fit(&weak, &slab), ["net power outside 1.5 to 4.5 kW"]);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(16))]
        #[test]
        fn fast_equals_slow(
            q in 1200.0..5000.0_f64, v in 1.5e-3..10e-3_f64, b in 1.5e-3..5e-3_f64, d in 0.0..4e-3_f64,
            ratio in 1.0..4.0_f64, h in 4e-3..20e-3_f64, t0 in 273.0..600.0_f64,
        ) {
            let source = MovingHeat { power_w: q, travel_m_s: v, half_width_m: b, depth_m: d, front_m: b, rear_m: ratio * b };
            let slab = Slab { metal: Conductor::FITTED_FUSION, thickness_m: h, start_temperature_k: t0 };
            let fused = fusion_section(&source, &slab, FUSION_TEMPERATURE_K);
            let slow = slow_reach(&source, &slab, FUSION_TEMPERATURE_K - t0, 0.1, across);
            // 0.5 % of the distance, or 20 µm where barely anything melts.
            prop_assert!((fused.half_width_m - slow).abs() < 20e-6 + 5e-3 * slow, "width {fused:?} {slow}");
            let down = |xi, z| Place { xi_m: xi, y_m: 0.0, z_m: z };
            let slow = slow_reach(&source, &slab, FUSION_TEMPERATURE_K - t0, h, down);
            prop_assert!((fused.depth_m - slow).abs() < 20e-6 + 5e-3 * slow, "depth {fused:?} {slow}");
        }

        #[test]
        fn more_power_melts_more(q in 1500.0..4500.0_f64, v in 3e-3..10e-3_f64) {
            let slab = sample_slab(Conductor::FITTED_FUSION, 12.7e-3);
            let at = |q| fusion_section(&MovingHeat { power_w: q, travel_m_s: v, half_width_m: 3e-3, depth_m: 2e-3, front_m: 3e-3, rear_m: 6e-3 }, &slab, FUSION_TEMPERATURE_K);
            let (less, more) = (at(q), at(1.02 * q));
            prop_assert!(more.half_width_m > less.half_width_m || less.half_width_m == 0.0);
            prop_assert!(more.depth_m >= less.depth_m);
        }
    }
}
