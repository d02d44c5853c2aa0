//! `hours`: the hour-by-hour table as CSV, row by row.

use super::plan_args::load;
use crate::cli::args::HoursArgs;
use crate::cli::{CliError, Status};
use crate::{report, study};
use std::io::{BufWriter, Write};

/// Bytes gathered before they are written.
const BUFFER: usize = 1 << 16;

/// Runs it.
pub(in crate::cli) fn run(args: &HoursArgs) -> Result<Status, CliError> {
    let (plan, choice) = load(&args.plan)?;
    let mut out = BufWriter::with_capacity(BUFFER, std::io::stdout().lock());
    let mut line = String::new();
    // The header waits for the first row, so that a run that cannot start prints nothing.
    let mut begun = false;
    study::hours(&plan, &choice, |row| {
        if !begun {
            begun = true;
            out.write_all(report::hours::HEADER.as_bytes())?;
        }
        line.clear();
        report::hours::row(row, &mut line);
        out.write_all(line.as_bytes())
    })?;
    out.flush().map_err(CliError::Stdout)?;
    Ok(Status::Done)
}
