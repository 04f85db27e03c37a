//! The shop's file, written and read. One program holds all of these tests: each
//! program of its own would compile and link the database again.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test stops at the first surprise")]

mod documents;
mod property;
mod storage;
