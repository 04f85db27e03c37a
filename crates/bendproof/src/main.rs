//! The command line: reads arguments and files, calls the crates below, prints.

fn main() {}
