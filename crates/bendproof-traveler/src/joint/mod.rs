//! A joint as a shop states it: its pipe, its base metal and its filler as the
//! codes count them.

mod filler;
mod gas;
mod job_joint;
mod metal;
mod pipe_size;

pub use job_joint::JobJoint;

pub(crate) use filler::Filler;
pub(crate) use gas::is_yes;
pub(crate) use job_joint::both_sizes;
pub(crate) use metal::{metal_said, p_number};
pub(crate) use pipe_size::nominal_of;
