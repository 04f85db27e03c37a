//! The text formats: a coupon, a set of bends, a welder's record, and the field
//! catalogue that describes each of them once.
//!
//! The catalogue feeds the reader, the page, the JSON Schema and the printed
//! reference, so a field cannot be known in one place and unknown in another.
//! Works on text; opens no file.

mod bends;
mod coupon;
mod document;
mod fields;
mod finding;
mod published;
mod reader;
mod schema;
mod spec;

pub use bends::{OpeningText, StrapText, read_straps};
pub use coupon::{Scatter, read_coupon, read_fit};
pub use document::{DOCUMENT_TEXT_MAX_BYTES, Document, NONE_FOUND};
pub use fields::{BENDS, COUPON, RECORD};
pub use finding::{Finding, Severity};
pub use reader::{Known, Reader, check_field};
pub use schema::schema_json;
pub use spec::{FileKind, Need, Spec, What, generic_path};
