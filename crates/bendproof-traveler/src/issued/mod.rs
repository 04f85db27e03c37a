//! The records a code asks for, as plain words: one model for every kind. The
//! paper, the workbook and the JSON file print it; none of them decides anything.
//!
//! A new kind is a function that fills these blocks.

mod blocks;
mod continuity;
mod coupon_record;
mod iso_names;
mod procedure_record;
mod revision;
mod rule_list;
mod sketch;

pub use blocks::{Block, FieldRow, Issue, NOT_STATED, Record, RecordKind, TableRow};
pub use continuity::{ContinuityLog, LoggedUse, continuity, log_of_coupon, log_of_record};
pub use coupon_record::{NEEDED, RecordRefused, bends, under, welder};
pub use procedure_record::{procedure_record, procedure_sheet};
pub use revision::{Earlier, ReviseError, file, read_file};
pub use rule_list::{RULES_TITLE, rules_of_sheet};

pub(crate) use sketch::drawn;
