//! The bench in a real browser: few tests, each a whole piece of work as the
//! shop does it, against the real program and a folder of its own.
//!
//! The browser is Debian's Chromium, or the one named in `BENDPROOF_BROWSER`;
//! where there is none the tests fail and say so. How values are computed is
//! tested in the crates that compute them; here only what the page does.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "helpers of tests, as in tests")]

mod access;
mod bench;
mod cdp;
mod chance;
mod codes;
mod job;
mod keeping;
mod people;
mod records;
mod section;
mod sources;
mod tab;
mod window;
