//! The text formats: a coupon, a set of bends, a welder's record, the joints of a job, a procedure with its
//! record and joints, a bare heat problem, and the field catalogue that describes each of them once.
//!
//! The catalogue feeds the reader, the page, the JSON Schema and the printed
//! reference, so a field cannot be known in one place and unknown in another.
//! Works on text; opens no file.

mod agree;
mod bends;
mod contradictions;
mod coupon;
mod document;
mod exams;
mod eye;
mod fields;
mod finding;
mod heat;
mod heat_fields;
mod joints_fields;
mod line;
mod procedure_fields;
mod published;
mod reader;
mod schema;
mod shop_rules_fields;
mod spec;
mod stated;
mod stick;

pub use agree::{filler_fits, filler_type_agrees, piece_agrees, wall_fits};
pub use bends::{OpeningText, StrapText, read_straps};
pub use contradictions::{
    SharedJoint, backing_agrees, backing_gas_agrees, diameter_label, figure_agrees, plate_has_no_diameter,
    shared_joint_agrees, waveform_agrees,
};
pub use coupon::{HEAD, Scatter, deposit_fits, pipe_sizes_fit, read_coupon, read_fit};
pub use document::{DOCUMENT_TEXT_MAX_BYTES, Document, NONE_FOUND};
pub use exams::{EXAMS, ExamList};
pub use eye::eye_agrees;
pub use fields::{BENDS, COUPON, RECORD};
pub use finding::{Finding, Severity};
pub use heat::{
    HeatFile, HeatGrid, HeatLosses, HeatMetal, HeatProbe, HeatSource, HeatSteel, PROBES_MAX, read_heat,
};
pub use heat_fields::HEAT;
pub use joints_fields::JOINTS;
pub use line::{character_fault, turns_reading};
pub use procedure_fields::{PROCEDURE, PROCEDURE_JOINTS, PROCEDURE_RECORD};
pub use reader::{Known, Reader, check_field};
pub use schema::schema_json;
pub use shop_rules_fields::SHOP_RULES;
pub use spec::{FileKind, Need, Spec, What, generic_path};
pub use stated::{CouponRead, StatedCoupon, has_field, proposal, stated_process};
