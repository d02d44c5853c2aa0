//! `report`: the HTML file, its charts and its numbers, as a folder.

use super::plan_args::load;
use crate::cli::args::{ColorChoice, ReportArgs};
use crate::cli::files::{OutFile, write_report};
use crate::cli::terminal::{print, remark, text_options};
use crate::cli::{CliError, Status};
use crate::{plan, report, study};
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
    if args.out.is_none() {
        warn_of_other_plans(&args.plan.plan, &folder);
    }
    write_report(&folder, &files)?;
    let page = report::clean_text(&folder.join("report.html").display().to_string());
    print(&format!(
        "{}report written to {page}\nOpen that file in any browser. The charts and the numbers lie beside it.\n",
        report::text::headline(&assessment, &text_options(color, args.units)),
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

/// Says that what lies in the default folder may be the report of another plan beside this one.
fn warn_of_other_plans(plan: &Path, report: &Path) {
    let others = plans_beside(plan);
    if !others.is_empty() {
        remark(&format!(
            "{} is the report of every plan in this folder, and each replaces the last; here there are also: {}. --out DIR \
             keeps them apart",
            report.display(),
            others.join(", ")
        ));
    }
}

/// Names of other plans in the folder of a plan, in order.
fn plans_beside(plan: &Path) -> Vec<String> {
    let folder = plan.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let is_plan = |path: &Path| {
        path.extension().is_some_and(|end| end == "toml")
            && path.file_name() != plan.file_name()
            && path.metadata().is_ok_and(|about| about.is_file() && about.len() <= plan::LARGEST_PLAN)
            && std::fs::read_to_string(path).is_ok_and(|text| text.contains("[[module]]"))
    };
    let mut names: Vec<String> = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| is_plan(path))
        .filter_map(|path| Some(path.file_name()?.to_string_lossy().into_owned()))
        .collect();
    names.sort();
    names
}
