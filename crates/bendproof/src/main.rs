//! The command line: reads arguments and files, calls the crates below, prints.
//! It computes nothing.
//!
//! Results go to standard output, talk to standard error. Exit codes: 0 fine,
//! 1 findings, 2 could not do it.

mod arguments;
mod command;
mod exit;
mod keep;
mod output;
mod result_file;
mod source;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    let arguments = match arguments::Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(why) => return not_understood(&why),
    };
    let as_json = arguments.json;
    let exit = command::run(arguments).unwrap_or_else(|failure| {
        if as_json {
            output::json(&output::failure_json(&failure.to_string()));
        }
        output::say!("bendproof: {failure}");
        exit::Exit::CouldNot
    });
    if let Some(why) = output::lost() {
        output::say!("bendproof: the results did not arrive on standard output: {why}");
        return exit::Exit::CouldNot.into();
    }
    exit.into()
}

/// Arguments that cannot be read; help and version are no fault.
fn not_understood(why: &clap::Error) -> ExitCode {
    if why.use_stderr() && std::env::args().any(|argument| argument == "--json") {
        output::json(&output::failure_json(&why.to_string()));
    }
    why.exit()
}
