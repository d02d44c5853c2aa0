//! Loading the plan that a command names.

use crate::cli::CliError;
use crate::cli::args::PlanArgs;
use crate::cli::terminal::remark;
use crate::plan::{self, Plan};
use crate::study::Choice;
use std::io::Read;
use std::path::Path;

/// The plan and the part of it that is asked for. Remarks about the plan go to standard error.
pub(super) fn load(args: &PlanArgs) -> Result<(Plan, Choice), CliError> {
    let plan = if args.plan == Path::new("-") {
        let mut bytes = Vec::new();
        std::io::stdin().take(plan::LARGEST_PLAN + 1).read_to_end(&mut bytes).map_err(CliError::Stdin)?;
        plan::from_text(&bytes, Path::new("standard input"), Path::new("."))?
    } else {
        plan::load(&args.plan)?
    };
    for note in &plan.notes {
        remark(&note.text);
    }
    Ok((plan, Choice { stop: args.stop.clone(), array: args.array.clone(), ..Choice::default() }))
}
