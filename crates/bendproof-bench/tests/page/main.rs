//! The page asked as a browser asks it. One program holds all of these tests: each
//! program of its own would compile and link the whole page again.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test stops at the first surprise")]

mod amend;
mod client;
mod codes;
mod notices;
mod people;
mod procedures;
mod records;
mod routes;
mod serve;
mod support;
mod tones;
mod window;
