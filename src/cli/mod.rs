//! The command line: arguments, files, colour, exit status. The only room that writes.

mod args;
mod commands;
mod error;
mod files;
mod journal;
mod run;
mod terminal;

pub use error::CliError;
pub use run::run;

/// Exit status of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// Done, and in `assess` every limit was assessed and none is exceeded or not met.
    Done,
    /// `assess` only: a limit is exceeded, not met or could not be assessed.
    LimitFails,
    /// It could not run.
    CouldNotRun,
}

impl Status {
    /// The number that the shell sees.
    #[must_use]
    pub fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::LimitFails => 1,
            Self::CouldNotRun => 2,
        }
    }
}
