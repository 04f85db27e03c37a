//! One coupon's whole sheet, computed: from the text document to everything the
//! page shows and the paper prints.
//!
//! The assembly of the program: it calls the forecast and the code engine and
//! puts their answers into words. It holds no formula and no limit of its own,
//! and touches no disk, clock or database.

pub mod sheet;

pub use sheet::Sheet;
