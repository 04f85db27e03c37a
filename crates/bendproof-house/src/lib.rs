//! The house rules, held by tests: what must be absent, what must be tidy, what
//! must be fresh.
//!
//! The crate holds no library code. Its `tests/` read the whole repository; its
//! `benches/` print the figures of `docs/measurements.md`.
