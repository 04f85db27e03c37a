//! Coupon in, passes and margins out.
