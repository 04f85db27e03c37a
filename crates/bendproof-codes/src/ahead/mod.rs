//! Asked before welding: what a test will cover, the limits that will judge it,
//! its neighbours, and the smallest tests that cover a job.

mod fewest;
mod finder;
mod limits;
mod neighbours;
mod outlook;

pub use finder::{
    Candidate, CouponSet, FINDER_CANDIDATES_MAX, FINDER_JOINTS_MAX, FinderError, FinderResult, JointDoubt,
    JointFound, find_coupons,
};
pub use limits::{LimitAhead, visual_limits};
pub use neighbours::{
    Neighbour, Reach, THICKNESS_STEPS, asks_confirmation, asks_figure, counts_nominal_pipe, joint_like,
    neighbours, thickness_reach, thickness_step_m,
};
pub use outlook::{Outlook, PlannedTest, outlook};
