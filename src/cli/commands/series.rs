//! `series`: how many panels in series, as text or JSON.

use super::plan_args::load;
use crate::cli::args::{ColorChoice, SeriesArgs};
use crate::cli::terminal::{print, text_options};
use crate::cli::{CliError, Status};
use crate::report;
use crate::study::series::{SeriesAsk, series};

/// Runs it.
pub(in crate::cli) fn run(args: &SeriesArgs, color: ColorChoice) -> Result<Status, CliError> {
    let (plan, choice) = load(&args.plan)?;
    let ask = SeriesAsk {
        panels: args.panels.map(|panels| panels as usize),
        battery_v: args.battery_v.clone(),
        controller_v: args.controller_v.clone(),
    };
    let result = series(&plan, &choice, &ask)?;
    print(&if args.json {
        report::json(&result)
    } else {
        report::text::series(&result, &text_options(color, args.units))
    })?;
    Ok(Status::Done)
}
