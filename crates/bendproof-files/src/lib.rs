//! The text formats of coupons, bends and records.
