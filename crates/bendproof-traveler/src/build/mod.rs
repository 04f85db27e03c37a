//! The sheet put together from one document.

mod assembly;
mod fields;
pub(crate) mod items;
mod pictures;
mod straps;
mod verdict;

pub use assembly::{Summary, build, build_with, summary};
pub use fields::in_unit_of_box;
pub use verdict::{CouponVerdict, VerdictRead, coupon_verdict, is_coupon, read_coupon_verdict};
