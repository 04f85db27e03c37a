//! The command line: reads arguments and files, calls the crates below, prints.
//! It computes nothing.
//!
//! Results go to standard output, talk to standard error. Exit codes: 0 fine,
//! 1 findings, 2 could not do it.

mod arguments;
mod command;
mod demo;
mod desk;
mod exit;
mod keep;
mod output;
mod picture;
mod source;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    let arguments = arguments::Arguments::parse();
    match command::run(arguments) {
        Ok(exit) => exit.into(),
        Err(failure) => {
            eprintln!("bendproof: {failure}");
            exit::Exit::CouldNot.into()
        }
    }
}
