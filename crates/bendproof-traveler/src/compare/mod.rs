//! Two coupons side by side, in a drawing and in words.

mod coupons;
mod text;

pub use coupons::{
    AnswerPair, CompareRead, Compared, ComparedSide, FigurePair, InputDifference, Share, compare_svg,
    read_compare,
};
pub use text::{compare_reasons, compare_rows, compare_sources, compare_summary, of_shares, scale};
