//! The codes this program carries: read from their files, edition by edition,
//! borrowed from one another, tightened by a shop, and found by name.

mod borrow;
mod boundary;
mod by_name;
mod code;
mod edition;
mod error;
mod head;
mod load;
mod load_demand;
mod names;
mod shelf;
mod shop;
mod shop_rules;
mod shop_shape;

pub use by_name::{CatalogueError, EditionRule, Explained, code, codes, explain, explain_under, heads};
pub use code::{Code, LeftOut};
pub use error::LoadError;
pub use head::Head;
pub use load::{load, load_edition};
pub use names::{DetailName, JointName, Names, ProcessName, TestName, names};
pub use shop::{ShopRuleError, tighten};
pub use shop_rules::ShopRules;
