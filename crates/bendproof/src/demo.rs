//! The demonstration shop.
use jiff::civil::Date;
use std::collections::BTreeMap;
pub struct DemoCoupon {
    pub number: String,
    pub values: BTreeMap<String, String>,
    pub by: String,
    pub days_ago: i64,
}
pub struct DemoPerson {
    pub id: String,
    pub values: BTreeMap<String, String>,
}
pub fn coupons(_today: Date) -> Vec<DemoCoupon> {
    Vec::new()
}
pub fn people(_today: Date) -> Vec<DemoPerson> {
    Vec::new()
}
