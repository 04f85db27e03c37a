//! What a coupon will cover, code by code, and the smallest tests of a job.

mod across;
mod chart;
mod job;
mod stock;
mod view;

pub use across::{
    Across, AcrossCell, AcrossColumn, AcrossRow, ReachRow, UnderCode, across, reach, under_codes,
};
pub use chart::{coverage_description, coverage_svg};
pub use job::{Job, JobFound, JobRead, find_for_job, read_job, read_job_document};
pub use view::{CodeAhead, CodesView, codes_across, codes_view, under_every_code};
