//! `assess`: the answer as text or JSON; its status says whether every limit holds.

use super::plan_args::load;
use crate::cli::args::{AssessArgs, ColorChoice};
use crate::cli::terminal::{print, text_options};
use crate::cli::{CliError, Status};
use crate::limits::Verdict;
use crate::report;
use crate::study;

/// Runs it.
pub(in crate::cli) fn run(args: &AssessArgs, color: ColorChoice) -> Result<Status, CliError> {
    let (plan, choice) = load(&args.plan)?;
    let assessment = study::assess(&plan, &choice)?;
    print(&if args.json {
        report::json(&assessment)
    } else {
        let options = text_options(color, args.units);
        if args.full {
            report::text::assess(&assessment, &options)
        } else {
            report::text::assess_in_brief(&assessment, &options)
        }
    })?;
    Ok(match assessment.verdict {
        Verdict::Within | Verdict::Close => Status::Done,
        Verdict::NotAssessed | Verdict::NotMet | Verdict::Exceeded => Status::LimitFails,
    })
}
