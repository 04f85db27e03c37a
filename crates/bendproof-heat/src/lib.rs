//! Heat conduction under a moving arc: solved on the true section in [`solve`],
//! and as closed forms, each published formula on its own with its source.
//!
//! The closed forms have constant properties and insulated faces, no groove and
//! no melting heat; their results are rises above the start temperature unless
//! the name says otherwise. Nothing here knows a joint, a position or a code,
//! and no file is read.

pub mod bessel;
pub mod christensen;
pub mod cooling;
pub mod fusion;
pub mod moving;
pub mod point;
mod quadrature;
pub mod solve;

/// What conducts: conductivity and diffusivity, constant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conductor {
    /// Conductivity k, W/(m·K).
    pub conductivity_w_m_k: f64,
    /// Diffusivity a = k/(ρc), m²/s.
    pub diffusivity_m2_s: f64,
}

impl Conductor {
    /// Plain steel of the worked cases, k 41, ρ 7800, c 600; textbook values
    /// (from memory).
    pub const REFERENCE: Self = Self::new(41.0, 7800.0, 600.0);

    /// The pair fitted to a nonlinear conduction solver for the fused section
    /// (derived): half width and depth within 0.12 mm over nine cases. Good for
    /// 1.5 to 4.5 kW net, 3 to 10 mm/s on a flat plate of 12.7 mm, nothing else.
    pub const FITTED_FUSION: Self = Self::new(32.9, 7800.0, 728.0);

    /// From conductivity in W/(m·K), density in kg/m³ and specific heat in
    /// J/(kg·K).
    pub const fn new(conductivity_w_m_k: f64, density_kg_m3: f64, specific_heat_j_kg_k: f64) -> Self {
        Self {
            conductivity_w_m_k,
            diffusivity_m2_s: conductivity_w_m_k / (density_kg_m3 * specific_heat_j_kg_k),
        }
    }

    /// Heat to warm one cubic metre by one kelvin, ρc, J/(m³·K).
    pub fn heat_per_volume_j_m3_k(self) -> f64 {
        self.conductivity_w_m_k / self.diffusivity_m2_s
    }
}
