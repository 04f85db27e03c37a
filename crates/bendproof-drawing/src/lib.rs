//! Drawings to scale, as SVG text: the groove, the beads in it, the straps cut
//! from the coupon, the bent strap and its convex face, the three-voice rule and
//! the verdict bar.
//!
//! Every function is pure: plain numbers in millimetres go in, one complete
//! `<svg>` element comes out, the same bytes every time. The crate decides
//! nothing and computes no weld; it knows no coupon, no code and no forecast.
//! Words a reader sees arrive from the caller or from [`Words`], so that one
//! catalogue can translate them.
//!
//! # Frames of reference
//! Sections use millimetres with x to the right, zero at the middle of the root
//! opening, and y up, zero at the root surface of the left-hand plate. Each
//! drawing writes `data-px-per-mm`, `data-x0` and `data-y0` on its root element:
//! a point (x, y) in millimetres lies at SVG user coordinates
//! (`x0 + x · px_per_mm`, `y0 − y · px_per_mm`).
//!
//! # Bad numbers
//! A drawing that receives a number that is not finite, or a scale outside
//! [`PX_PER_MM_RANGE`], is replaced by a card that says so. A live page is better
//! served by a card in one place than by an error that empties the sheet.

mod bent;
mod dimension;
mod face;
mod geometry;
mod layout;
mod metrics;
mod rule;
mod section;
mod signs;
mod svg;
mod theme;
mod window;

pub use bent::{BentStrap, bent_strap};
pub use face::{FaceOpening, StrapFace, strap_face};
pub use layout::{Piece, PieceKind, PipeLayout, PipePiece, PlateLayout, strap_layout_pipe, strap_layout_plate};
pub use metrics::{Weight, text_width};
pub use rule::{Dot, Rule, Span, Ticks, TradeRange, rule};
pub use section::{Bead, CrossSection, Fit, cross_section, groove_fit};
pub use signs::{Piece3d, Placement, placement_glyph, verdict_bar};
pub use theme::{Frame, Sign, Theme, Words};
pub use window::{WindowMap, window_map};

/// A point in millimetres, in the frame each drawing documents.
pub type Point = [f64; 2];

/// Smallest and largest drawing scale accepted, in SVG user units per
/// millimetre. Basis: choice; below it nothing is legible, above it one plate
/// is wider than any screen.
pub const PX_PER_MM_RANGE: [f64; 2] = [0.05, 200.0];
