//! One coupon's whole sheet, computed: from the text document to everything the
//! page shows and the paper prints.
//!
//! The assembly of the program: it calls the forecast and the code engine and
//! puts their answers into words. It holds no formula and no limit of its own,
//! and touches no disk, clock or database.
//!
//! - [`build`]: the sheet of a document, put together from what follows;
//! - [`sheet`]: the sheet as values; [`origin`]: where each number comes from;
//! - [`forecast`] before the arc, [`solved`] bead by bead, [`window`] over two
//!   inputs, [`compare`] of two coupons, [`plates`] of this shop;
//! - [`judged`] after the arc, [`judgement`] once a verdict is stamped;
//! - [`cover`] before welding, [`welder`] once a coupon is accepted;
//! - [`procedure`] from its files, [`library`] from the shop;
//! - [`issued`]: the records a code asks for; [`table_text`]: tables for other programs.

pub mod build;
pub mod compare;
pub mod context;
pub mod cover;
pub mod drawn;
pub mod forecast;
pub mod issued;
pub mod joint;
pub mod judged;
pub mod judgement;
pub mod library;
pub mod origin;
pub mod plates;
pub mod procedure;
pub mod sheet;
pub mod solved;
mod stated;
pub mod table_text;
pub mod welder;
pub mod window;
