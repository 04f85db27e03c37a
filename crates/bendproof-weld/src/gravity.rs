//! Gravity in the frame of the joint: toward the root, along the travel and
//! across the joint, exact for any pipe tilt and place on the clock.
//!
//! Shares of g, not forces; it knows no pool.

use crate::words::{Position, Progression};

/// Standard gravity, m/s², exact by international agreement.
pub const STANDARD_GRAVITY_M_S2: f64 = 9.80665;

/// How gravity divides over the three directions of a joint. Each share is
/// between -1 and 1 and the squares sum to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GravityShares {
    /// Toward the root: 1 flat, 0 vertical, -1 overhead.
    pub toward_root: f64,
    /// Steepness of the climb: 1 straight up (the pool is pulled back from the
    /// arc), -1 straight down (the pool is pulled ahead of it).
    pub along_travel: f64,
    /// Across the joint: 1 when the joint line is level on an upright wall.
    pub across_joint: f64,
}

/// Gravity at a place on a fixed pipe.
///
/// `pipe_tilt_rad` is the pipe axis from level (5G 0, 6G π/4, 2G π/2);
/// `clock_rad` runs from the top, π/2 at three o'clock, π at the bottom. Any
/// progression but downhill is taken as climbing; where the joint is level the
/// share along the travel is zero either way.
pub fn pipe(pipe_tilt_rad: f64, clock_rad: f64, progression: Progression) -> GravityShares {
    let (sin_clock, cos_clock) = clock_rad.sin_cos();
    let (sin_tilt, cos_tilt) = pipe_tilt_rad.sin_cos();
    let direction = if progression == Progression::Downhill { -1.0 } else { 1.0 };
    GravityShares {
        toward_root: cos_clock * cos_tilt,
        along_travel: direction * sin_clock.abs() * cos_tilt,
        across_joint: sin_tilt,
    }
}

/// Gravity on a plate groove; `None` for pipe-only and fillet positions, and
/// for a vertical plate whose progression is not said.
pub fn plate(position: Position, progression: Progression) -> Option<GravityShares> {
    let shares = |toward_root, along_travel, across_joint| {
        Some(GravityShares { toward_root, along_travel, across_joint })
    };
    match (position, progression) {
        (Position::G1, _) => shares(1.0, 0.0, 0.0),
        (Position::G2, _) => shares(0.0, 0.0, 1.0),
        (Position::G3, Progression::Uphill) => shares(0.0, 1.0, 0.0),
        (Position::G3, Progression::Downhill) => shares(0.0, -1.0, 0.0),
        (Position::G4, _) => shares(-1.0, 0.0, 0.0),
        _ => None,
    }
}

/// Tilt of a fixed pipe's axis from level, rad; `None` for positions that are
/// not a fixed pipe groove. A rolled pipe (1G) is welded at the top.
pub fn fixed_pipe_tilt_rad(position: Position) -> Option<f64> {
    match position {
        Position::G2 => Some(std::f64::consts::FRAC_PI_2),
        Position::G5 => Some(0.0),
        Position::G6 | Position::G6R => Some(std::f64::consts::FRAC_PI_4),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};

    #[test]
    fn known_places() {
        assert!((pipe(FRAC_PI_4, 0.0, Progression::Uphill).toward_root - 0.5_f64.sqrt()).abs() < 1e-15);
        assert!(pipe(0.0, FRAC_PI_2, Progression::Uphill).toward_root.abs() < 1e-15);
        assert!((pipe(0.0, FRAC_PI_2, Progression::Downhill).along_travel + 1.0).abs() < 1e-15);
        assert!((pipe(0.0, PI, Progression::Uphill).toward_root + 1.0).abs() < 1e-15);
        assert!((pipe(FRAC_PI_2, 1.0, Progression::Level).across_joint - 1.0).abs() < 1e-15);
        assert_eq!(plate(Position::G4, Progression::Level).unwrap().toward_root, -1.0);
        assert_eq!(plate(Position::G3, Progression::Level), None);
        assert_eq!(plate(Position::F2, Progression::Level), None);
    }

    proptest! {
        #[test]
        fn shares_are_a_unit_vector(tilt in 0.0..FRAC_PI_2, clock in 0.0..PI) {
            for way in [Progression::Uphill, Progression::Downhill] {
                let g = pipe(tilt, clock, way);
                let sum = g.toward_root.powi(2) + g.along_travel.powi(2) + g.across_joint.powi(2);
                prop_assert!((sum - 1.0).abs() < 1e-14);
            }
        }
    }
}
