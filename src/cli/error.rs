//! What stops a run.

use crate::plan::PlanError;
use crate::report::charts::ChartError;
use crate::study::StudyError;
use std::path::PathBuf;
use thiserror::Error;

/// What stops a run.
#[derive(Debug, Error)]
pub enum CliError {
    /// The plan.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// The run.
    #[error(transparent)]
    Study(#[from] StudyError),
    /// A plan without columns for these files.
    #[error(
        "{}: {stops} of its stops have [stop.columns] and none names these files; expected one stop that names them under \
         `weather`, or one with columns", plan.display()
    )]
    NoColumns {
        /// The plan.
        plan: PathBuf,
        /// Stops with columns.
        stops: usize,
    },
    /// Standard output.
    #[error("writing to standard output: {0}")]
    Stdout(std::io::Error),
    /// Standard input.
    #[error("reading standard input: {0}")]
    Stdin(std::io::Error),
    /// A file or folder.
    #[error(
        "{}: {doing}: {source}; nothing was half-written. Check the folder's permissions and free space, or name another \
         folder", path.display()
    )]
    File {
        /// The path.
        path: PathBuf,
        /// What was tried.
        doing: &'static str,
        /// Why not.
        source: std::io::Error,
    },
    /// A table of readings.
    #[error("{}: {source}; expected a CSV file, or - for standard input", path.display())]
    Table {
        /// The path.
        path: PathBuf,
        /// Why not.
        source: std::io::Error,
    },
    /// A table of readings that is too large.
    #[error("{}: more than {most_mib} MiB; expected a table of at most that size: split it", path.display())]
    LargeTable {
        /// The path.
        path: PathBuf,
        /// The bound.
        most_mib: u64,
    },
    /// A folder that this tool did not write.
    #[error(
        "{}: this folder holds files that no earlier report wrote ({example}); expected an empty or new folder, or one \
         of an earlier report. Name another with --out", path.display()
    )]
    ForeignFolder {
        /// The folder.
        path: PathBuf,
        /// One of its files.
        example: String,
    },
    /// Another survey at work in the same folder.
    #[error(
        "{}: another survey is writing here; expected one run a folder. Wait for it, or name another folder with --out",
        path.display()
    )]
    SurveyRuns {
        /// The folder.
        path: PathBuf,
    },
    /// Folders without a station.
    #[error(
        "{folders}: found no weather file that can be read ({bad} were bad); expected files of hourly readings, plain, gz or \
         zip. `dawnvolt weather FILE` says what is in one"
    )]
    NoStations {
        /// The folders.
        folders: String,
        /// Files that were bad.
        bad: usize,
    },
    /// Threads that the system does not give.
    #[error("starting threads: {reason}; name fewer with --threads")]
    Threads {
        /// What the system says.
        reason: String,
    },
    /// A folder for a new plan that is not new.
    #[error(
        "{}: this folder is not empty (it holds {example}); expected a new or an empty folder, so that nothing of yours is \
         overwritten. Name another", path.display()
    )]
    NotEmpty {
        /// The folder.
        path: PathBuf,
        /// One of its files.
        example: String,
    },
    /// A link where a folder is expected.
    #[error(
        "{}: this is a link to another place; expected a folder, since files written or replaced through it would lie \
         elsewhere. Name the folder that it leads to, or remove the link", path.display()
    )]
    Link {
        /// The link.
        path: PathBuf,
    },
    /// An answer that fits nothing, where nobody can be asked again.
    #[error(
        "answer {number} of {count}, to \"{ask}\": found \"{typed}\"; {expected}. Nothing was written; correct the answer \
         and run it again"
    )]
    Answer {
        /// Which, from 1.
        number: usize,
        /// Of how many.
        count: usize,
        /// The question.
        ask: &'static str,
        /// What was typed.
        typed: String,
        /// What is expected.
        expected: String,
    },
    /// A manual page or completion script.
    #[error("making the {what}: {source}")]
    Made {
        /// What.
        what: &'static str,
        /// Why not.
        source: std::io::Error,
    },
    /// A chart.
    #[error(transparent)]
    Chart(#[from] ChartError),
}

impl CliError {
    /// A closed pipe downstream: the reader has what it wanted.
    #[must_use]
    pub fn is_closed_pipe(&self) -> bool {
        let kind = match self {
            Self::Stdout(error) => error.kind(),
            Self::Study(StudyError::Write(error)) => error.kind(),
            _ => return false,
        };
        kind == std::io::ErrorKind::BrokenPipe
    }
}
