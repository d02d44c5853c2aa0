//! `explain`: one hour as a worked calculation, as text or JSON.

use super::plan_args::load;
use crate::cli::args::{ColorChoice, ExplainArgs};
use crate::cli::terminal::{print, text_options};
use crate::cli::{CliError, Status};
use crate::{report, study};

/// Runs it.
pub(in crate::cli) fn run(args: &ExplainArgs, color: ColorChoice) -> Result<Status, CliError> {
    let (plan, choice) = load(&args.plan)?;
    let explained = study::explain(&plan, &choice, args.at.as_deref())?;
    print(&if args.json {
        report::json(&explained)
    } else {
        report::text::explain(&explained, &text_options(color, args.units))
    })?;
    Ok(Status::Done)
}
