//! `report`: the HTML file, its charts and its numbers, as a folder.

use super::plan_args::load;
use crate::cli::args::{ColorChoice, ReportArgs, UnitChoice};
use crate::cli::files::{OutFile, write_report};
use crate::cli::terminal::{print, text_options};
use crate::cli::{CliError, Status};
use crate::{report, study};
use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// Runs it.
pub(in crate::cli) fn run(args: &ReportArgs, color: ColorChoice) -> Result<Status, CliError> {
    let (plan, mut choice) = load(&args.plan)?;
    choice.detail = study::Detail::Pictures;
    let assessment = study::assess(&plan, &choice)?;
    let folder = args.out.clone().unwrap_or_else(|| default_folder(&args.plan.plan));
    let charts = report::charts::all(&assessment)?;
    let text = |name: &str, text: String| OutFile { name: name.into(), bytes: text.into_bytes() };
    let mut files = vec![
        text("report.html", report::html(&assessment, &charts)),
        text("numbers.json", report::json(&assessment)),
        text("limits.csv", report::csv::limits(&assessment)),
        text("seasons.csv", report::csv::seasons(&assessment)),
    ];
    for chart in charts {
        files.push(text(&format!("charts/{}.svg", chart.id), chart.svg));
        files.push(OutFile { name: format!("charts/{}.png", chart.id), bytes: chart.png });
    }
    write_report(&folder, &files)?;
    let page = report::clean_text(&folder.join("report.html").display().to_string());
    print(&format!(
        "{}report written to {page}\nOpen that file in any browser. The charts and the numbers lie beside it.\n",
        report::text::headline(&assessment, &text_options(color, UnitChoice::Si)),
    ))?;
    Ok(Status::Done)
}

/// `reports/` and the name of the plan's folder.
pub(super) fn default_folder(plan: &Path) -> PathBuf {
    let fallback = OsString::from("plan");
    let name = if plan == Path::new("-") {
        fallback
    } else {
        let absolute = std::path::absolute(plan).unwrap_or_else(|_| plan.into());
        absolute.parent().and_then(Path::file_name).map_or(fallback, OsString::from)
    };
    Path::new("reports").join(name)
}
