//! A look into the weather files that somebody names for a new plan: are they there, can they be read, what do they hold?

use crate::plan::{self, Seen, weather_files};
use crate::report;
use crate::study::{self, StudyError};
use crate::time::Stamp;
use crate::trip::Stop;
use crate::weather::{DescribedTable, WeatherError};
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::path::{Component, Path, PathBuf};

/// Kinds of files tried in a folder that holds others beside the weather.
const MOST_KINDS: usize = 6;

/// Looks into what was typed, seen from where the command runs; `folder` is that of the new plan.
///
/// # Errors
/// What was found instead, and how to go on.
pub(super) fn look(folder: &Path, typed: &str) -> Result<Seen, String> {
    let pattern = report::clean_text(typed);
    let here = Path::new(".");
    // a path as a plan in that folder would write it serves too
    let from_plan = flat(&folder.join(&pattern));
    let (found, is_from_plan) = match weather_in(here, &pattern) {
        Err(Failed::NotThere(why)) => match weather_in(here, &from_plan.to_string_lossy()) {
            Ok(found) => (found, true),
            Err(_) => {
                return Err(format!(
                    "no weather file \"{pattern}\": {why}. Type the path of a file or folder, not a place; an empty \
                     line goes on without, and the plan's line `weather` can be changed later"
                ));
            }
        },
        Err(Failed::Unread(why)) => return Err(why),
        Ok(found) => (found, false),
    };
    let weather = match is_from_plan {
        true => found.pattern.replacen(&*from_plan.to_string_lossy(), &pattern, 1),
        false => seen_from(folder, &found.pattern),
    };
    let one = &found.station;
    let day = |stamp: Stamp| stamp.local_day(one.utc_offset);
    let mut said = report::text::station_in_brief(one);
    if let Some(table) = &found.table {
        said = format!(
            "a table of no known format, read as follows; what is marked with ? is a guess, for you to check in the plan:\n{}{said}",
            table.columns
        );
    }
    if !found.left_out.is_empty() {
        said.push_str(&format!(
            "\nleft out, since no weather was read in them: {}",
            found.left_out.join(", ")
        ));
    }
    Ok(Seen {
        weather,
        name: one.station.name.clone().filter(|name| !name.chars().all(|c| c.is_ascii_digit() || c == '-')),
        has_coordinates: found.table.as_ref().is_some_and(|table| table.place.is_some())
            || one.station.latitude_deg.is_some() && one.station.longitude_deg.is_some(),
        has_height: one.station.elevation_m.is_some(),
        span: Some((day(one.record.first), day(one.record.last))),
        said,
        table: found.table,
    })
}

struct Found {
    pattern: String,
    station: study::StationWeather,
    /// How a table of no known format was read.
    table: Option<DescribedTable>,
    /// Files of the folder that were left out.
    left_out: Vec<String>,
}

enum Failed {
    /// Nothing of that name.
    NotThere(String),
    /// Something is there, and it is not the weather of one station.
    Unread(String),
}

fn weather_in(here: &Path, pattern: &str) -> Result<Found, Failed> {
    if here.join(pattern).is_dir() {
        return in_folder(here, pattern.trim_end_matches('/'));
    }
    let files = weather_files(here, pattern).map_err(Failed::NotThere)?;
    let files: Vec<PathBuf> =
        files.iter().map(|file| file.strip_prefix(here).unwrap_or(file).to_owned()).collect();
    let found =
        |(station, table)| Found { pattern: pattern.to_owned(), station, table, left_out: Vec::new() };
    station(&files).map(found).map_err(Failed::Unread)
}

/// All files of a folder, or those of the one kind among them that are weather.
fn in_folder(here: &Path, folder: &str) -> Result<Found, Failed> {
    let all = format!("{folder}/*");
    let files = weather_files(here, &all)
        .map_err(|_| Failed::Unread(format!("{folder} holds no files: put the weather files there first")))?;
    let why = match station(&files) {
        Ok((station, table)) => return Ok(Found { pattern: all, station, table, left_out: Vec::new() }),
        Err(why) => why,
    };
    let kinds: BTreeSet<&OsStr> = files.iter().filter_map(|file| file.extension()).collect();
    let mut read = kinds.into_iter().take(MOST_KINDS).filter_map(|kind| {
        let (own, others): (Vec<PathBuf>, Vec<PathBuf>) =
            files.iter().cloned().partition(|file| file.extension() == Some(kind));
        let name = |file: &PathBuf| file.file_name().map(|name| name.to_string_lossy().into_owned());
        let (station, table) = (!others.is_empty()).then(|| station(&own).ok()).flatten()?;
        Some(Found {
            pattern: format!("{folder}/*.{}", kind.to_string_lossy()),
            station,
            table,
            left_out: others.iter().filter_map(name).collect(),
        })
    });
    match (read.next(), read.next()) {
        (Some(only), None) => Ok(only),
        _ => Err(Failed::Unread(why)),
    }
}

/// The one station of these files, and how they are read where their format is not known; else what they are, and how to
/// go on.
fn station(files: &[PathBuf]) -> Result<(study::StationWeather, Option<DescribedTable>), String> {
    let error = match study::stations(files, None) {
        Ok(stations) => return only(stations).map(|station| (station, None)),
        Err(error) => error,
    };
    let Some((path, table)) = table_of(&error) else { return Err(unread(&error)) };
    let by_description = match stop_of(table).map(|stop| study::stations(files, Some(&stop))) {
        Some(Ok(stations)) => only(stations),
        Some(Err(why)) => Err(why.to_string()),
        None => Err("its header cannot be written as a plan".to_owned()),
    };
    by_description.map(|station| (station, Some(table.clone()))).map_err(|why| {
        format!(
            "{} is a table of weather in no known format, and cannot be read as its header suggests: {why}. `dawnvolt \
             weather {}` prints the lines that describe it, to paste into the plan; {WITHOUT}",
            path.display(),
            path.display()
        )
    })
}

fn only(mut stations: Vec<study::StationWeather>) -> Result<study::StationWeather, String> {
    match (stations.pop(), stations.len()) {
        (Some(only), 0) => Ok(only),
        (last, more) => {
            let names: Vec<String> =
                stations.iter().chain(&last).filter_map(|one| one.record.files.first().cloned()).collect();
            Err(format!(
                "these are files of {} stations (such as {}): a stop takes those of one; name them, with * for what differs",
                more + 1,
                names.into_iter().take(3).collect::<Vec<_>>().join(", ")
            ))
        }
    }
}

/// The table that nobody has described yet.
fn table_of(error: &StudyError) -> Option<(&Path, &DescribedTable)> {
    let StudyError::Files(source) = error else { return None };
    match &**source {
        WeatherError::UnknownTable { path, table, .. } => Some((path, table)),
        _ => None,
    }
}

/// A stop that reads such a table, for a first look: where its clock is not known, the hours of UTC tell span and cold as
/// well as any.
fn stop_of(table: &DescribedTable) -> Option<Stop> {
    let clock = match (&table.own_clock, &table.open_clock) {
        (Some(clock), _) => format!("utc_offset = {clock}\n"),
        (None, Some(_)) => "utc_offset = \"+00:00\"\n".to_owned(),
        (None, None) => String::new(),
    };
    let text = format!("[[stop]]\nplace = \"a table\"\nweather = [\"-\"]\n{clock}{}", table.columns);
    plan::stops_of(&text, Path::new("-"), &|_| Ok(Vec::new())).ok()?.pop()
}

const WITHOUT: &str = "an empty line here goes on without (a first stop is then invented, and its name and place stay \
                       empty too)";

fn unread(error: &StudyError) -> String {
    match error {
        StudyError::Files(source) => match &**source {
            WeatherError::Unknown { path, looks, .. } => format!(
                "{} is no weather file that can be read: {looks}. Expected hourly readings of a public archive, packed as \
                 they come; {WITHOUT}",
                path.display()
            ),
            other => format!("{other}; {WITHOUT}"),
        },
        other => format!("{other}; {WITHOUT}"),
    }
}

/// `pattern`, seen from the working folder, as a plan in `folder` writes it: up and down again where that is short, so that
/// both may be moved together; else the whole path.
fn seen_from(folder: &Path, pattern: &str) -> String {
    let is_plain =
        |path: &Path| path.components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    if Path::new(pattern).is_absolute() {
        return pattern.to_owned();
    }
    if is_plain(folder) {
        let deep = folder.components().filter(|part| matches!(part, Component::Normal(_))).count();
        return format!("{}{}", "../".repeat(deep), pattern.trim_start_matches("./"));
    }
    let whole = std::path::absolute(pattern).map(|path| path.to_string_lossy().replace('\\', "/"));
    whole.unwrap_or_else(|_| pattern.to_owned())
}

/// Without the steps up that a folder before them takes back: the new plan's folder is not there yet.
fn flat(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if matches!(out.components().next_back(), Some(Component::Normal(_))) => {
                out.pop();
            }
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_written_as_the_plan_sees_it() {
        for (folder, typed, written) in [
            ("my-trip", "files/a-*.csv", "../files/a-*.csv"),
            ("trips/first", "./a.csv", "../../a.csv"),
            (".", "a.csv", "a.csv"),
            ("my-trip", "../a.csv", "../../a.csv"),
            ("/trips/first", "/files/a.csv", "/files/a.csv"),
        ] {
            assert_eq!(seen_from(Path::new(folder), typed), written, "{folder} {typed}");
        }
        assert!(Path::new(&seen_from(Path::new("/trips"), "a.csv")).is_absolute());
        assert_eq!(flat(Path::new("my-trip/../files/./a.csv")), Path::new("files/a.csv"));
        assert_eq!(flat(Path::new("../a.csv")), Path::new("../a.csv"));
    }
}
