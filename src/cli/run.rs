//! A run: arguments in, status out. `main` only exits.

use crate::cli::args::{AssessArgs, Cli, ColorChoice, Command, HoursArgs, PlanArgs, ReportArgs, UnitChoice};
use crate::cli::files::{OutFile, write_report};
use crate::cli::{CliError, Status};
use crate::limits::Verdict;
use crate::plan::{self, Plan};
use crate::report;
use crate::study::{self, Choice};
use clap::Parser;
use std::ffi::OsString;
use std::io::{BufWriter, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

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

/// Bytes read of a plan on standard input: one more than any plan file may have.
const LARGEST_PLAN: u64 = 16 << 20;

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
        Some(Command::Assess(args)) => assess(args, cli.color),
        Some(Command::Report(args)) => write(args),
        Some(Command::Hours(args)) => hours(args),
    }
}

fn load(args: &PlanArgs) -> Result<(Plan, Choice), CliError> {
    let plan = if args.plan == Path::new("-") {
        let mut bytes = Vec::new();
        std::io::stdin().take(LARGEST_PLAN).read_to_end(&mut bytes).map_err(CliError::Stdin)?;
        plan::from_text(&bytes, Path::new("standard input"), Path::new("."))?
    } else {
        plan::load(&args.plan)?
    };
    for note in &plan.notes {
        let _ = writeln!(std::io::stderr(), "note: {note}");
    }
    Ok((plan, Choice { stop: args.stop.clone(), array: args.array.clone() }))
}

fn assess(args: &AssessArgs, color: ColorChoice) -> Result<Status, CliError> {
    let (plan, choice) = load(&args.plan)?;
    let assessment = study::assess(&plan, &choice)?;
    let text = if args.json {
        report::json(&assessment)
    } else {
        let options = report::text::TextOptions {
            width: terminal_width(),
            colour: colour(color),
            units: match args.units {
                UnitChoice::Si => report::Units::Si,
                UnitChoice::Us => report::Units::Us,
            },
        };
        report::text::assess(&assessment, &options)
    };
    print(&text)?;
    Ok(match assessment.verdict {
        Verdict::Within | Verdict::Close => Status::Done,
        Verdict::NotAssessed | Verdict::NotMet | Verdict::Exceeded => Status::LimitFails,
    })
}

fn write(args: &ReportArgs) -> Result<Status, CliError> {
    let (plan, choice) = load(&args.plan)?;
    let assessment = study::assess(&plan, &choice)?;
    let folder = args.out.clone().unwrap_or_else(|| default_folder(&args.plan.plan));
    let charts = report::charts::all(&assessment)?;
    let mut files = vec![
        OutFile { name: "report.html".into(), bytes: report::html(&assessment, &charts).into_bytes() },
        OutFile { name: "numbers.json".into(), bytes: report::json(&assessment).into_bytes() },
        OutFile { name: "limits.csv".into(), bytes: report::csv::limits(&assessment).into_bytes() },
        OutFile { name: "seasons.csv".into(), bytes: report::csv::seasons(&assessment).into_bytes() },
    ];
    for chart in charts {
        files.push(OutFile { name: format!("charts/{}.svg", chart.id), bytes: chart.svg.into_bytes() });
        files.push(OutFile { name: format!("charts/{}.png", chart.id), bytes: chart.png });
    }
    write_report(&folder, &files)?;
    print(&format!(
        "{}: {}\nreport written to {}\n",
        assessment.verdict.word(),
        assessment.summary,
        folder.join("report.html").display()
    ))?;
    Ok(Status::Done)
}

/// `reports/` and the name of the plan's folder.
fn default_folder(plan: &Path) -> PathBuf {
    let absolute = std::path::absolute(plan).unwrap_or_else(|_| plan.into());
    let name = absolute.parent().and_then(Path::file_name).map_or_else(|| "plan".into(), OsString::from);
    Path::new("reports").join(if plan == Path::new("-") { OsString::from("plan") } else { name })
}

fn hours(args: &HoursArgs) -> Result<Status, CliError> {
    let (plan, choice) = load(&args.plan)?;
    let mut out = BufWriter::with_capacity(1 << 16, std::io::stdout().lock());
    let mut line = String::new();
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

fn print(text: &str) -> Result<(), CliError> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(CliError::Stdout)
}

fn colour(choice: ColorChoice) -> report::text::Colour {
    let on = match choice {
        ColorChoice::Always => true,
        ColorChoice::Never => false,
        ColorChoice::Auto => {
            std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
                && std::io::stdout().is_terminal()
        }
    };
    if on { report::text::Colour::Always } else { report::text::Colour::Never }
}

/// Columns of the terminal, else 100.
fn terminal_width() -> usize {
    std::env::var("COLUMNS")
        .ok()
        .and_then(|text| text.parse().ok())
        .filter(|&width: &usize| width >= 40)
        .unwrap_or(100)
}
