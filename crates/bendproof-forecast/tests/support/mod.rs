//! Coupons that several test files weld.
#![allow(dead_code, reason = "each test file uses its own part")]

use bendproof_forecast::{Limits, Scatter};
use bendproof_weld::*;

pub const IN: f64 = 0.0254;
pub const IPM: f64 = IN / 60.0;

pub const SCATTER: Scatter = Scatter {
    root_opening_m: IN / 64.0,
    root_face_m: IN / 64.0,
    travel_share: 0.10,
    wire_feed_share: 0.03,
    volts: 0.3,
};
/// Face reinforcement, melt-through and concavity of AWS D1.1:2020 6.10.1.1.
pub const LIMITS: Limits = Limits {
    crown: Some(SizeLimit::plain(IN / 8.0)),
    melt_through: Some(SizeLimit::plain(IN / 8.0)),
    concavity_m: Some(IN / 16.0),
};

pub fn pass(kind: PassKind, progression: Progression, volts: f64, feed_ipm: f64, travel_ipm: f64) -> Pass {
    Pass {
        kind,
        beads: 1,
        progression,
        volts,
        wire_feed_m_s: feed_ipm * IPM,
        travel: Travel::Speed(travel_ipm * IPM),
        amps_read: None,
        technique: Technique::Stringer,
        weave_width_m: 0.0,
        dwell: Dwell::Even,
        ground_to_m: None,
    }
}

/// A 3/8 in open-root plate; opening and land in inches.
pub fn plate(opening_in: f64, land_in: f64, root: Pass) -> Coupon {
    Coupon {
        id: "t".to_owned(),
        fit: Fit {
            shape: Shape::Plate { length_m: 7.0 * IN },
            joint: Joint {
                thickness_m: 0.375 * IN,
                groove_angle_rad: 60f64.to_radians(),
                root_opening_m: opening_in * IN,
                root_face_left_m: land_in * IN,
                root_face_right_m: land_in * IN,
                mismatch_m: 0.0,
                backing: Backing::Open,
            },
            position: Position::G3,
            steel: "A36".to_owned(),
            start_temperature_k: 294.0,
        },
        settings: Settings {
            process: Process::Gmaw,
            transfer: Some(Transfer::ShortCircuit),
            wire: "ER70S-6".to_owned(),
            wire_diameter_m: 0.035 * IN,
            gas: Gas::Ar75Co25,
            gas_flow_m3_s: 2.36e-4,
            extension_m: 8e-3,
            extension_is_stated: true,
            deposition_efficiency: 0.93,
            interpass_max_k: 450.0,
            prices: Prices::default(),
        },
        passes: vec![root],
        log: Log::default(),
    }
}

pub fn down(feed_ipm: f64) -> Pass {
    pass(PassKind::Root, Progression::Downhill, 17.5, feed_ipm, 9.0)
}

pub fn up() -> Pass {
    pass(PassKind::Root, Progression::Uphill, 17.5, 180.0, 3.75)
}

/// The same coupon with the ammeter of its root read, at what the melting law
/// expects: without it few roots can be said to hold.
pub fn read(mut coupon: Coupon) -> Coupon {
    let law_a = bendproof_forecast::forecast(&coupon, &SCATTER, &LIMITS).passes[0].current_a;
    coupon.passes[0].amps_read = Some(law_a);
    coupon
}
