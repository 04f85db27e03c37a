//! Code rules as data, and the small engine that applies them.
//!
//! Every limit, count, position and period stands in `codes/*.toml` with its
//! clause, edition, source, basis and worked cases; this crate only compares.
//! It reads no disk and no clock, and it never turns "not known" into "yes".
//!
//! - [`judged`]: bent straps, everything else that is read after welding, alone
//!   or under several codes; what to cut, where, and how to bend it;
//! - [`held`]: what a passed test covers, today or on a day, what keeps it, and
//!   the line a code writes for it;
//! - [`ahead`]: the same before welding, with the limits that will judge;
//! - [`procedure`]: drafts, records, written procedures, fit and preheat;
//! - [`catalogue`]: the data itself, edition by edition, each code loaded when
//!   it is asked for, under a shop's own stricter limits;
//! - [`rule`]: one rule, with the facts it asks about, its conditions, demand
//!   and sizes;
//! - [`words`]: the closed lists of words that files and reports spell.

pub mod ahead;
pub mod catalogue;
pub mod held;
pub mod judged;
pub mod procedure;
pub mod rule;
pub mod words;
