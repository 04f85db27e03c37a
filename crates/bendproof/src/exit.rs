//! How a command ends.

use std::process::ExitCode;

/// Exit codes, the same for every command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// 0: done, nothing to report.
    Fine,
    /// 1: done, and there is something the user should look at: a rejected
    /// strap, a forecast that fails, a fault in a file.
    Findings,
    /// 2: could not be done.
    CouldNot,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        ExitCode::from(match exit {
            Exit::Fine => 0,
            Exit::Findings => 1,
            Exit::CouldNot => 2,
        })
    }
}

/// Why a command could not be done, in words for the user.
#[derive(Debug)]
pub struct Failure(pub String);

impl std::fmt::Display for Failure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// What a command gives back.
pub type Outcome = Result<Exit, Failure>;

/// A failure from anything that can be shown.
pub fn failure(why: impl std::fmt::Display) -> Failure {
    Failure(why.to_string())
}
