//! One coupon's whole sheet, computed.
