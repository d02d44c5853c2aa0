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
    #[error("reading the plan from standard input: {0}")]
    Stdin(std::io::Error),
    /// A file or folder.
    #[error(
        "{path}: {doing}: {source}; nothing was half-written. Check the folder's permissions and free space, or name another with --out"
    )]
    File {
        /// The path.
        path: PathBuf,
        /// What was tried.
        doing: &'static str,
        /// Why not.
        source: std::io::Error,
    },
    /// A folder that this tool did not write.
    #[error(
        "{path}: this folder holds files that no earlier report wrote ({example}); expected an empty or new folder, or one \
         of an earlier report. Name another with --out"
    )]
    ForeignFolder {
        /// The folder.
        path: PathBuf,
        /// One of its files.
        example: String,
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
