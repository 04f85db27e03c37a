//! Points spread evenly over a box, and what root and fill runs share.

use bendproof_weld::{Backing, Joint};

/// Inches per minute, m/s.
pub const IPM: f64 = 0.0254 / 60.0;
/// Point `index` of an additive sequence that fills the unit cube evenly: steps
/// are inverse powers of the root of x^(d+1) = x + 1, which no small multiple
/// brings back near the start.
pub fn spread<const SIDES: usize>(index: usize) -> [f64; SIDES] {
    let mut root = 1.5_f64;
    for _ in 0..60 {
        root = (1.0 + root).powf(1.0 / (SIDES as f64 + 1.0));
    }
    std::array::from_fn(|i| (0.5 + index as f64 * root.powi(-(i as i32 + 1))).fract())
}

/// A value between two ends.
pub fn between(share: f64, low: f64, high: f64) -> f64 {
    low + share * (high - low)
}

/// An open joint with equal lands.
pub fn joint(thickness_m: f64, angle_deg: f64, opening_m: f64, land_m: f64) -> Joint {
    Joint {
        thickness_m,
        groove_angle_rad: angle_deg.to_radians(),
        root_opening_m: opening_m,
        root_face_left_m: land_m,
        root_face_right_m: land_m,
        mismatch_m: 0.0,
        backing: Backing::Open,
    }
}
