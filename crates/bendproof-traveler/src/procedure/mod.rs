//! Procedures from their files, and what a code says of them.

mod files;
mod iso_preheat;
pub(crate) mod named_gas;
mod report;

pub use files::{
    AskedJoint, ProcedureRecord, WrittenProcedure, read_joints, read_procedure, read_procedure_record,
};
pub use report::{JointReport, ProcedureReport, report_procedure, report_record};

pub(crate) use files::FROM_COUPON;
pub(crate) use iso_preheat::{IsoName, iso_names};
pub(crate) use report::untested;
