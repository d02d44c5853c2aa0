//! A run: arguments in, status out. `main` only exits.

use crate::cli::args::{Cli, Command};
use crate::cli::commands;
use crate::cli::terminal::print;
use crate::cli::{CliError, Status};
use clap::Parser;
use clap::error::ErrorKind;
use std::ffi::{OsStr, OsString};
use std::io::Write;
use std::path::Path;

/// Printed by the bare command.
const WELCOME: &str = "\
dawnvolt reads public hourly weather files and the label of a solar panel, and
says how high the volts of a camper vehicle's strings can climb on a cold
morning, how often a disconnect's or controller's limit would be passed, and
what the array needs. Begin with these three, one after the other:

  dawnvolt new my-trip               writes a folder with a plan and invented
                                     weather, to be changed in a text editor
  dawnvolt assess my-trip/plan.toml  the answer: how cold it gets, volts, amps,
                                     every limit with its verdict
  dawnvolt report my-trip/plan.toml  the same as a report with charts

`dawnvolt --help` lists all commands; `dawnvolt COMMAND --help` ends with a
worked example. It informs and certifies nothing.
";

/// Runs the command line.
#[must_use]
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Status {
    let arguments = as_meant(arguments.into_iter().collect());
    let cli = match Cli::try_parse_from(&arguments) {
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
            if error.kind() == ErrorKind::InvalidSubcommand
                && arguments.get(1).is_some_and(|word| is_plan(word))
            {
                let _ = writeln!(std::io::stderr(), "The answer about a plan: dawnvolt assess PLAN");
            }
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

/// `dawnvolt help` and `dawnvolt help COMMAND` as people type them, for `--help` behind the command.
fn as_meant(mut arguments: Vec<OsString>) -> Vec<OsString> {
    if arguments.get(1).is_some_and(|word| word == "help") {
        arguments.remove(1);
        arguments.push("--help".into());
    }
    arguments
}

/// Whether a word looks like a plan's name.
fn is_plan(word: &OsStr) -> bool {
    Path::new(word).extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"))
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
        Some(Command::Report(args)) => commands::report::run(args, cli.color),
        Some(Command::Hours(args)) => commands::hours::run(args),
        Some(Command::Explain(args)) => commands::explain::run(args, cli.color),
        Some(Command::Meter(args)) => commands::meter::run(args, cli.color),
        Some(Command::Survey(args)) => commands::survey::run(args, cli.color),
        Some(Command::Completions { shell }) => commands::manual::completions(*shell),
        Some(Command::Man) => commands::manual::man(),
    }
}
