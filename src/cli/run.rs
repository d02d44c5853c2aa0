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

  dawnvolt new DIR         a plan to start from, with invented weather; it runs as it is
  dawnvolt assess PLAN     the answer in the terminal: design temperature, volts, amps, limits, verdict
  dawnvolt report PLAN     the same as an HTML report with charts

`dawnvolt --help` lists all commands, `dawnvolt COMMAND --help` ends with a worked example.
";

/// Runs the command line.
#[must_use]
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Status {
    let cli = match Cli::try_parse_from(arguments) {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are results; anything else is a usage error. A closed pipe harms neither.
            if !error.use_stderr() {
                let _ = error.print();
                return Status::Done;
            }
            // What was typed stands in the message, so it goes out without what steers a terminal.
            let text = crate::report::clean_text(&error.render().to_string());
            let _ = std::io::stderr().write_all(text.as_bytes());
            return Status::CouldNotRun;
        }
    };
    match act(&cli) {
        Ok(status) => status,
        Err(error) if error.is_closed_pipe() => Status::Done,
        Err(error) => {
            complain(&error);
            Status::CouldNotRun
        }
    }
}

/// The error, on standard error. Names from files and plans stand in it, so nothing in it may steer a terminal.
fn complain(error: &CliError) {
    let _ = writeln!(std::io::stderr(), "error: {}", crate::report::clean_text(&error.to_string()));
}

fn act(cli: &Cli) -> Result<Status, CliError> {
    match &cli.command {
        None => print(WELCOME).map(|()| Status::Done),
        Some(Command::New(args)) => commands::new::run(args),
        Some(Command::Series(args)) => commands::series::run(args, cli.color),
        Some(Command::Weather(args)) => commands::weather::run(args, cli.color),
        Some(Command::Assess(args)) => commands::assess::run(args, cli.color),
        Some(Command::Report(args)) => commands::report::run(args),
        Some(Command::Hours(args)) => commands::hours::run(args),
        Some(Command::Explain(args)) => commands::explain::run(args, cli.color),
        Some(Command::Meter(args)) => commands::meter::run(args, cli.color),
        Some(Command::Survey(args)) => commands::survey::run(args, cli.color),
        Some(Command::Completions { shell }) => commands::manual::completions(*shell),
        Some(Command::Man) => commands::manual::man(),
    }
}
