//! What was done to a coupon, judged under its code: by eye, bent, and every
//! other piece, joined to one word.

mod bends;
mod exams;
mod overall;
pub(crate) mod visual;

pub use bends::{Bends, BendsRead, read_bends};
pub use exams::Piece;
pub use overall::{Judged, exam_words};
pub use visual::is_out_of_reach;

pub(crate) use bends::{purpose, shape_word, specimen_coupon};
pub(crate) use overall::Overall;
pub(crate) use visual::{backing_detail, figure, is_word, other_process};
