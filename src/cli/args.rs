//! What can be typed.

use crate::array::Battery;
use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;
use std::path::PathBuf;

/// How cold it gets, and what that does to the volts of a camper vehicle's solar strings.
#[derive(Debug, Parser)]
#[command(
    name = "dawnvolt",
    version,
    about = "Worst-case volts and amps of a camper vehicle's solar strings, from public hourly weather files",
    after_help = "Begin with:\n  dawnvolt new my-trip\n  dawnvolt assess my-trip/plan.toml\n\nExit status: 0 done, and in assess every \
                  limit holds; 1 in assess a limit is exceeded, not met or not assessed; 2 it could not run.\n\nIt informs and \
                  certifies nothing: local codes, makers' manuals and a competent person come first.",
    disable_help_subcommand = true,
    subcommand_required = false
)]
pub struct Cli {
    /// Colour of verdicts: auto (on a terminal, unless `NO_COLOR` is set), always, never.
    #[arg(
        long,
        global = true,
        value_enum,
        default_value_t = ColorChoice::Auto,
        value_name = "WHEN",
        hide_possible_values = true
    )]
    pub color: ColorChoice,
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// A commented plan to start from, with a small invented weather file; it runs as it is.
    #[command(
        after_help = format!(
            "With --ask the plan is written from about twenty questions, the weather files and days of each stop among them. \
             Answers may be piped, one a line, an empty line for the default, in the order below; at a terminal the order is \
             another, and what makes no sense is not asked.\n\n{}For each further stop the last five come again.\n\nAn editor \
             learns the keys of a plan from --schema.\n\nExample:\n  dawnvolt new my-trip\n  dawnvolt assess \
             my-trip/plan.toml\n  dawnvolt new --schema > plan.schema.json",
            crate::plan::piped_answers()
        )
    )]
    New(NewArgs),
    /// What is in weather files: format, station, span, coverage, lows, design temperatures at the station.
    #[command(
        after_help = "Several files of one station make one record. Files of several stations give one answer \
                      each.\n\nExample:\n  dawnvolt weather my-trip/weather/*"
    )]
    Weather(WeatherArgs),
    /// The main job: design temperature, the four voltages, currents, how often each limit is broken, verdict.
    #[command(
        after_help = "Exit status: 0 every limit holds, 1 a limit is exceeded, not met or not assessed, 2 it could not \
                      run.\n\nExample:\n  dawnvolt assess my-trip/plan.toml"
    )]
    Assess(AssessArgs),
    /// How many panels in series and strings in parallel, over battery and controller classes.
    #[command(
        after_help = "The plan's own numbers in series and in parallel do not matter: all others are tried, each against the \
                      plan's limits and weather.\n\nExample:\n  dawnvolt series my-trip/plan.toml --panels 6 --controller-v 100,150"
    )]
    Series(SeriesArgs),
    /// A self-contained HTML report with charts, and the charts and numbers as files beside it.
    #[command(
        after_help = "report.html opens in any browser, without a network, and prints. Beside it lie the charts as SVG and PNG and \
                      the numbers as CSV and JSON. In limits.csv (and limits of the JSON) `worst` is the figure that decides \
                      the verdict against `rating`, the code sum or the worst case; `decided_by` says which.\n\nExample:\n  dawnvolt report my-trip/plan.toml --out my-report"
    )]
    Report(ReportArgs),
    /// The hour-by-hour table of one array at one stop, as CSV.
    #[command(
        after_help = "One row an hour of the record, in UTC; a spreadsheet opens it.\n\nExample:\n  dawnvolt hours my-trip/plan.toml \
                      --stop 1 > hours.csv"
    )]
    Hours(HoursArgs),
    /// One hour as a worked calculation: each step with its formula, numbers and source; the worst hour by default.
    #[command(
        after_help = "Examples:\n  dawnvolt explain my-trip/plan.toml\n  dawnvolt explain my-trip/plan.toml --at \"2007-01-29 11:00\""
    )]
    Explain(ExplainArgs),
    /// What a meter should read on this string now; with a reading, whether it fits and which label value it supports.
    #[command(
        after_help = "Without a light meter give the time, the air and a word for the sky.\n\nExamples:\n  dawnvolt meter \
                      my-trip/plan.toml --irradiance 640 --cell 21 --read-v 44.1\n  dawnvolt meter my-trip/plan.toml --at \"2031-01-20 \
                      11:30\" --air -8 --sky clear\n  dawnvolt meter my-trip/plan.toml --from readings.csv > expected.csv\n\nThe last \
                      takes a table such as:\n  irradiance_w_m2,cell_c,read_v\n  640,21,44.1"
    )]
    Meter(MeterArgs),
    /// Every station in whole folders against one plan: design temperatures, voltages, most panels in series, a map.
    #[command(
        after_help = "The folder gets rows.csv, rows.jsonl, map.svg, map.png, bad.csv and summary.txt. A run that was stopped goes \
                      on with --resume. Files that say where they were read need no --places.\n\nExit status: 0 done, 2 a file was \
                      bad (the other rows are there) or it could not run.\n\nExample:\n  dawnvolt survey my-trip/plan.toml \
                      my-trip/weather --places places.csv\n\nwhere places.csv holds:\n  \
                      id,name,latitude_deg,longitude_deg,elevation_m\n  invented-valley,Invented Valley,46.0,-110.0,1450"
    )]
    Survey(SurveyArgs),
    /// A completion script for a shell, on standard output.
    #[command(
        after_help = "Once it is where your shell looks for such scripts, the tab key completes commands and \
                      options.\n\nExample:\n  dawnvolt completions bash > dawnvolt.bash"
    )]
    Completions {
        /// The shell.
        #[arg(value_enum, value_name = "SHELL")]
        shell: Shell,
    },
    /// The manual page, on standard output.
    #[command(after_help = "Example:\n  dawnvolt man > dawnvolt.1")]
    Man,
}

/// Which plan, and which part of it.
#[derive(Debug, Args)]
pub struct PlanArgs {
    /// The plan file (TOML); - reads it from standard input.
    #[arg(value_name = "PLAN")]
    pub plan: PathBuf,
    /// One stop, by name or number.
    #[arg(long, value_name = "PLACE")]
    pub stop: Option<String>,
    /// One array, by name.
    #[arg(long, value_name = "NAME")]
    pub array: Option<String>,
}

/// Arguments of `assess`.
#[derive(Debug, Args)]
pub struct AssessArgs {
    /// The plan.
    #[command(flatten)]
    pub plan: PlanArgs,
    /// Print everything: each limit's steps, levels with their errors, every note and assumption.
    #[arg(long, conflicts_with = "json")]
    pub full: bool,
    /// Print the results as JSON.
    #[arg(long)]
    pub json: bool,
    /// Units in text: si, or us, which adds Fahrenheit and feet.
    #[arg(long, value_enum, default_value_t = UnitChoice::Si, hide_possible_values = true)]
    pub units: UnitChoice,
}

/// Arguments of `series`.
#[derive(Debug, Args)]
pub struct SeriesArgs {
    /// The plan.
    #[command(flatten)]
    pub plan: PlanArgs,
    /// Panels in all; by default as many as the plan has.
    #[arg(long, value_name = "N", value_parser = panels)]
    pub panels: Option<u32>,
    /// Battery volts to compare, such as 12,24; by default the plan's.
    #[arg(long, value_name = "V,...", value_delimiter = ',', value_parser = battery_volts)]
    pub battery_v: Vec<f64>,
    /// Controller classes to compare, volts, such as 100,150; by default the plan's. A class that a controller of the plan has is held
    /// against that one's own amps; another against those of the plan's only one, or by volts alone.
    #[arg(long, value_name = "V,...", value_delimiter = ',', value_parser = controller_volts)]
    pub controller_v: Vec<f64>,
    /// Print the results as JSON.
    #[arg(long)]
    pub json: bool,
    /// Units in text: si, or us, which adds Fahrenheit and feet.
    #[arg(long, value_enum, default_value_t = UnitChoice::Si, hide_possible_values = true)]
    pub units: UnitChoice,
}

fn panels(text: &str) -> Result<u32, String> {
    let count = text.trim().parse().ok().filter(|count| (1..=500).contains(count));
    count.ok_or_else(|| "expected a whole number of panels from 1 to 500, in digits, such as 6".to_owned())
}

fn battery_volts(text: &str) -> Result<f64, String> {
    let volts: f64 = text.trim().parse().map_err(|_| "expected volts such as 24".to_owned())?;
    if Battery::NOMINAL_V.contains(&volts) { Ok(volts) } else { Err("expected 12, 24, 36 or 48".to_owned()) }
}

fn controller_volts(text: &str) -> Result<f64, String> {
    if text.contains('/') {
        return Err("expected volts alone, such as 100,150; the amps belong to the controller in the plan: max_charge_a (those \
                    behind the slash), max_isc_a"
            .to_owned());
    }
    let volts: f64 = text.trim().parse().map_err(|_| "expected volts such as 150".to_owned())?;
    if (10.0..=1500.0).contains(&volts) { Ok(volts) } else { Err("expected 10 to 1500 V".to_owned()) }
}

/// Arguments of `new`.
#[derive(Debug, Args)]
pub struct NewArgs {
    /// A folder that does not exist yet, or is empty.
    #[arg(value_name = "DIR", required_unless_present = "schema")]
    pub folder: Option<PathBuf>,
    /// Ask a few questions first; each has a default.
    #[arg(long, conflicts_with = "schema")]
    pub ask: bool,
    /// Print the JSON Schema of a plan instead, for editors that complete and check TOML.
    #[arg(long, conflicts_with = "folder")]
    pub schema: bool,
}

/// Arguments of `weather`.
#[derive(Debug, Args)]
pub struct WeatherArgs {
    /// Weather files of any known format, packed or not; - reads one from standard input.
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// Print the results as JSON: a list, one item a station.
    #[arg(long)]
    pub json: bool,
    /// A plan whose [[stop]] says how to read these files: its columns, zone and place; the rest may be missing.
    #[arg(long, value_name = "PLAN")]
    pub columns: Option<PathBuf>,
    /// Units in text: si, or us, which adds Fahrenheit and feet.
    #[arg(long, value_enum, default_value_t = UnitChoice::Si, hide_possible_values = true)]
    pub units: UnitChoice,
}

/// Arguments of `report`.
#[derive(Debug, Args)]
pub struct ReportArgs {
    /// The plan.
    #[command(flatten)]
    pub plan: PlanArgs,
    /// Folder for the report; by default reports/ and the name of the plan's folder.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Units in the printed text: si, or us, which adds Fahrenheit and feet; the page always has both.
    #[arg(long, value_enum, default_value_t = UnitChoice::Si, hide_possible_values = true)]
    pub units: UnitChoice,
}

/// Arguments of `hours`.
#[derive(Debug, Args)]
pub struct HoursArgs {
    /// The plan.
    #[command(flatten)]
    pub plan: PlanArgs,
}

/// Arguments of `explain`.
#[derive(Debug, Args)]
pub struct ExplainArgs {
    /// The plan.
    #[command(flatten)]
    pub plan: PlanArgs,
    /// The hour that holds this time: 2018-01-08T14:00Z, or "2018-01-08 08:00" on the place's own clock.
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    /// Print the calculation as JSON.
    #[arg(long)]
    pub json: bool,
    /// Units in text: si, or us, which adds Fahrenheit and feet.
    #[arg(long, value_enum, default_value_t = UnitChoice::Si, hide_possible_values = true)]
    pub units: UnitChoice,
}

/// Arguments of `meter`.
#[derive(Debug, Args)]
pub struct MeterArgs {
    /// The plan.
    #[command(flatten)]
    pub plan: PlanArgs,
    /// Light on the panel, W/m2, as a light meter in its plane reads.
    #[arg(long, value_name = "W", allow_negative_numbers = true, conflicts_with_all = ["at", "sky"])]
    pub irradiance: Option<f64>,
    /// Temperature of the cells, C, as a thermometer on the panel's back reads.
    #[arg(
        long,
        value_name = "C",
        allow_negative_numbers = true,
        conflicts_with = "air",
        requires = "irradiance"
    )]
    pub cell: Option<f64>,
    /// Temperature of the air, C, where the cell's is unknown.
    #[arg(long, value_name = "C", allow_negative_numbers = true)]
    pub air: Option<f64>,
    /// Time, where no light meter is at hand: with its zone, or on the place's own clock.
    #[arg(long, value_name = "TIME", requires_all = ["air", "sky"])]
    pub at: Option<String>,
    /// The sky in a word.
    #[arg(long, value_enum, value_name = "WORD", requires_all = ["air", "at"])]
    pub sky: Option<SkyChoice>,
    /// Open-circuit volts as read on one string.
    #[arg(long, value_name = "V", allow_negative_numbers = true)]
    pub read_v: Option<f64>,
    /// Short-circuit amps as read on one string.
    #[arg(long, value_name = "A", allow_negative_numbers = true)]
    pub read_a: Option<f64>,
    /// Many rows: a CSV with irradiance_w_m2, cell_c or air_c, optional read_v, read_a; - reads standard input.
    #[arg(
        long,
        value_name = "FILE",
        conflicts_with_all = ["irradiance", "cell", "air", "at", "sky", "read_v", "read_a"]
    )]
    pub from: Option<PathBuf>,
    /// Print the answer as JSON.
    #[arg(long)]
    pub json: bool,
    /// Units in text: si, or us, which adds Fahrenheit and feet.
    #[arg(long, value_enum, default_value_t = UnitChoice::Si, hide_possible_values = true)]
    pub units: UnitChoice,
}

/// A word for the sky.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SkyChoice {
    /// Blue, sharp shadows.
    Clear,
    /// Whitish, soft shadows.
    Hazy,
    /// Grey all over, no shadow.
    Overcast,
}

/// Arguments of `survey`.
#[derive(Debug, Args)]
pub struct SurveyArgs {
    /// The plan file (TOML); its stops and dates are not used.
    #[arg(value_name = "PLAN")]
    pub plan: PathBuf,
    /// Folders of weather files of any known format, packed or not; entered to the bottom.
    #[arg(value_name = "DIR", required = true)]
    pub folders: Vec<PathBuf>,
    /// One array, by name.
    #[arg(long, value_name = "NAME")]
    pub array: Option<String>,
    /// A CSV with id, name, latitude_deg, longitude_deg, elevation_m, for files that lack a place.
    #[arg(long, value_name = "FILE.csv")]
    pub places: Option<PathBuf>,
    /// Print the rows as JSON: a list, one item a station and array.
    #[arg(long, conflicts_with = "csv")]
    pub json: bool,
    /// Print the rows as CSV.
    #[arg(long)]
    pub csv: bool,
    /// Go on with a run that was stopped: stations whose files, place and plan did not change are not run again.
    #[arg(long)]
    pub resume: bool,
    /// Folder for the results; by default reports/ and the name of the plan's folder with -survey behind it.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Threads; by default as many as the machine has processors.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Units in text: si, or us, which adds Fahrenheit and feet.
    #[arg(long, value_enum, default_value_t = UnitChoice::Si, hide_possible_values = true)]
    pub units: UnitChoice,
}

/// When to colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ColorChoice {
    /// Where standard output is a terminal and `NO_COLOR` is not set.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// Units in text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum UnitChoice {
    /// Celsius and metres.
    Si,
    /// Fahrenheit and feet beside them.
    Us,
}
