//! The page a shop works at: the traveler of each coupon, the lists, the rules
//! explained. Rendered on the server, alive with a few plain scripts, whole
//! without them.
//!
//! The crate knows no formula and no rule: it lays out a
//! [`bendproof_traveler::sheet::Sheet`] and hands what the user typed to a [`Desk`].
//! It opens no file and no database, and asks no other host.

mod answer;
mod app;
mod assets;
mod codes;
mod coupon;
mod days;
pub mod desk;
mod exams;
mod field;
mod finder;
mod form;
mod grid;
mod guard;
mod history;
mod joint_ask;
mod layout;
mod operations;
mod pager;
mod pages;
mod parts;
mod patterns;
mod people;
mod procedure_ask;
mod procedure_page;
mod procedures;
mod records;
mod rule;
mod section;
mod serve;
mod straps;
mod text;
mod visitor;
mod window;

pub use app::{BODY_KIB_MAX, Settings, router};
pub use desk::Desk;
pub use serve::serve;
