//! `weather`: what weather files hold, station by station. Needs no plan and no coordinates.

use crate::cli::args::WeatherArgs;
use crate::cli::terminal::{is_terminal, print, remark, text_options};
use crate::cli::{CliError, Status};
use crate::plan;
use crate::report::text::{Picture, TextOptions};
use crate::trip::Stop;
use crate::units::so_many;
use crate::{cli::args::ColorChoice, report, study};
use std::path::{Path, PathBuf};

/// What a person may want next.
const NEXT: &str = "a plan names such files under [[stop]]: weather = [\"...\"]; `dawnvolt new DIR` writes a plan to start from";

/// Runs it.
pub(in crate::cli) fn run(args: &WeatherArgs, color: ColorChoice) -> Result<Status, CliError> {
    let stops = args.columns.as_deref().map(plan::load_stops).transpose()?;
    let like = match (&stops, &args.columns) {
        (Some(stops), Some(path)) => Some(stop_for(stops, &expanded(&args.files), path)?),
        _ => None,
    };
    let files = expanded(&args.files);
    let stations = match study::stations(&files, like) {
        Ok(stations) => stations,
        Err(error) => {
            if !args.json {
                the_readable(&files, like, &text_options(color, args.units))?;
            }
            return Err(error.into());
        }
    };
    if args.json {
        print(&report::stations_json(&stations))?;
        return Ok(Status::Done);
    }
    let picture = if is_terminal() { Picture::Drawn } else { Picture::LeftOut };
    print(&report::text::stations(&stations, &text_options(color, args.units), picture))?;
    if is_terminal() {
        remark(NEXT);
    }
    Ok(Status::Done)
}

/// Where some of several files cannot be read: what the others hold, so that one bad file does not hide it. Not for scripts,
/// which would take a part for the whole; and the run fails all the same.
fn the_readable(files: &[PathBuf], like: Option<&Stop>, options: &TextOptions) -> Result<(), CliError> {
    let is_readable = |file: &&PathBuf| study::stations(std::slice::from_ref(*file), like).is_ok();
    let readable: Vec<PathBuf> = files.iter().filter(is_readable).cloned().collect();
    let left = files.len() - readable.len();
    if readable.is_empty() || left == 0 {
        return Ok(());
    }
    let Ok(stations) = study::stations(&readable, like) else { return Ok(()) };
    print(&report::text::stations(&stations, options, Picture::LeftOut))?;
    remark(&format!(
        "{} of {} could not be read, and nothing of {} stands above:",
        so_many(left, "file"),
        files.len(),
        if left == 1 { "it" } else { "them" }
    ));
    Ok(())
}

/// Names with * in them where the shell left them as they are, as the shells of Windows do.
fn expanded(files: &[PathBuf]) -> Vec<PathBuf> {
    let found = |file: &PathBuf| -> Vec<PathBuf> {
        if file.exists() {
            return Vec::new();
        }
        let pattern = file.to_str().filter(|text| text.contains('*'));
        pattern.and_then(|text| glob::glob(text).ok()).into_iter().flatten().flatten().collect()
    };
    files
        .iter()
        .flat_map(|file| {
            let found = found(file);
            // What matches nothing keeps its name, for the message.
            if found.is_empty() { vec![file.clone()] } else { found }
        })
        .collect()
}

/// The stop whose columns serve: the one that names one of the files, else the only one with columns.
fn stop_for<'p>(stops: &'p [Stop], files: &[PathBuf], plan: &Path) -> Result<&'p Stop, CliError> {
    let same = |one: &Path, other: &Path| match (one.canonicalize(), other.canonicalize()) {
        (Ok(one), Ok(other)) => one == other,
        _ => one == other,
    };
    if let Some(stop) =
        stops.iter().find(|stop| stop.files.iter().any(|own| files.iter().any(|file| same(own, file))))
    {
        return Ok(stop);
    }
    let with_columns: Vec<&Stop> = stops.iter().filter(|stop| stop.columns.is_some()).collect();
    match with_columns[..] {
        [stop] => Ok(stop),
        _ => Err(CliError::NoColumns { plan: plan.into(), stops: with_columns.len() }),
    }
}
