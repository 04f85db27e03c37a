//! The JSON contract that outside scripts rely on. Fields are only ever added.

mod compare;
mod cover;
mod findings;
mod forecast;
mod procedure;
mod solved;
mod sources;
mod stick;
mod verdict;
mod welder;
mod window;

pub use compare::compare;
pub use cover::{across, codes, job_found, under_code};
pub use findings::{findings_json, in_line_order};
pub use forecast::forecast_read;
pub use procedure::procedure;
pub use solved::solved_json;
pub use sources::sources_json;
pub use stick::stick_read;
pub use verdict::{bends, coupon, is_clean};
pub use welder::{held, record};
pub use window::window;

#[cfg(test)]
mod tests;
