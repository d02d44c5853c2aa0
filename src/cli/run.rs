//! A run: arguments in, status out. `main` only exits.

use crate::cli::args::{Cli, Command};
use crate::cli::commands;
use crate::cli::terminal::print;
use crate::cli::{CliError, Status};
use clap::Parser;
use std::ffi::OsString;
use std::io::Write;

/// Printed by the bare command.
const WELCOME: &str = "\
dawnvolt reads public hourly weather files and a solar panel's label, and says how high the volts of a camper
vehicle's strings can climb on a cold morning, how often a disconnect's or controller's limit would be passed, and
what the array needs.

  dawnvolt assess PLAN     the answer in the terminal: design temperature, volts, amps, limits, verdict
  dawnvolt report PLAN     the same as an HTML report with charts
  dawnvolt hours PLAN      the hour-by-hour table as CSV

A plan is a short TOML file; data/demo/plan.toml is one that runs. `dawnvolt COMMAND --help` says more.
";

/// Runs the command line.
#[must_use]
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Status {
    let cli = match Cli::try_parse_from(arguments) {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are results; anything else is a usage error. A closed pipe harms neither.
            let _ = error.print();
            return if error.use_stderr() { Status::CouldNotRun } else { Status::Done };
        }
    };
    match act(&cli) {
        Ok(status) => status,
        Err(error) if error.is_closed_pipe() => Status::Done,
        Err(error) => {
            let _ = writeln!(std::io::stderr(), "error: {error}");
            Status::CouldNotRun
        }
    }
}

fn act(cli: &Cli) -> Result<Status, CliError> {
    match &cli.command {
        None => print(WELCOME).map(|()| Status::Done),
        Some(Command::Assess(args)) => commands::assess::run(args, cli.color),
        Some(Command::Report(args)) => commands::report::run(args),
        Some(Command::Hours(args)) => commands::hours::run(args),
    }
}
