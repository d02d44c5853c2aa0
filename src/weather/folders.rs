//! Whole folders of weather files: which files there are, whose each is, and whether it changed.
//!
//! Whose a file is can be told from its first lines, so an archive is not read twice.

use super::by_station::is_nameless;
use super::detect::BY_COLUMNS;
use super::gather::Gather;
use super::head::HEAD_BYTES;
use super::open::{As, read};
use super::source::{self, Part};
use super::{Request, Station, WeatherError};
use std::fs::{self, File};
use std::io::{Cursor, ErrorKind, Read};
use std::path::{Path, PathBuf};
use xxhash_rust::xxh3::Xxh3;

/// Endings of files that may hold weather. A file without ending counts too: one archive names its years so.
const ENDINGS: [&str; 9] = ["csv", "txt", "psv", "tsv", "dat", "epw", "gz", "zip", "op"];

/// Begins of names that accompany data and hold none.
const BESIDE: [&str; 6] = ["readme", "licen", "copying", "provenance", "makefile", "metadaten"];

/// Bytes read at once while a file's content is summed up. Chosen as in [`super::rows`].
const BLOCK: usize = 256 << 10;

/// Deepest folder that is entered, against loops that a file system may hold.
const DEEPEST: usize = 24;

/// Most files that are listed. Chosen because no public hourly archive holds so many, one file a station and year for a
/// century, and because so many names stay within a laptop's memory.
const MOST_FILES: usize = 1_000_000;

/// A file that may hold weather.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// Its path, below the folder as it was named.
    pub path: PathBuf,
    /// Its size, bytes.
    pub bytes: u64,
}

/// Files below the folders that may hold weather: folder by folder as named, inside each in the order of names, so that
/// the same tree gives the same list on every machine. A file may be named in place of a folder. Hidden names, links to
/// folders, and what `leave_out` holds are passed over.
///
/// # Errors
/// A folder that is not there or cannot be listed; more than a million files.
pub fn files_below(folders: &[PathBuf], leave_out: &[PathBuf]) -> Result<Vec<Found>, WeatherError> {
    at_most(MOST_FILES, folders, leave_out)
}

fn at_most(most: usize, folders: &[PathBuf], leave_out: &[PathBuf]) -> Result<Vec<Found>, WeatherError> {
    let leave_out: Vec<PathBuf> = leave_out.iter().filter_map(|path| path.canonicalize().ok()).collect();
    let mut found = Vec::new();
    for folder in folders {
        let facts = fs::metadata(folder).map_err(|source| unreadable(folder, source))?;
        if facts.is_dir() {
            walk(folder, DEEPEST, &leave_out, most, &mut found)?;
        } else {
            add(&mut found, Found { path: folder.clone(), bytes: facts.len() }, most)?;
        }
    }
    Ok(found)
}

fn walk(
    folder: &Path,
    deeper: usize,
    leave_out: &[PathBuf],
    most: usize,
    found: &mut Vec<Found>,
) -> Result<(), WeatherError> {
    if !leave_out.is_empty() && folder.canonicalize().is_ok_and(|whole| leave_out.contains(&whole)) {
        return Ok(());
    }
    let mut entries = fs::read_dir(folder)
        .and_then(Iterator::collect::<Result<Vec<_>, _>>)
        .map_err(|source| unreadable(folder, source))?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let path = entry.path();
        let name = entry.file_name().to_string_lossy().to_lowercase();
        let Ok(kind) = entry.file_type() else { continue };
        if name.starts_with('.') {
            continue;
        }
        if kind.is_dir() {
            if deeper > 0 {
                walk(&path, deeper - 1, leave_out, most, found)?;
            }
            continue;
        }
        // Links to files are followed; what they point to is read like any file.
        let Ok(facts) = fs::metadata(&path) else { continue };
        if !facts.is_file() || !may_hold_weather(&name) {
            continue;
        }
        if !leave_out.is_empty() && path.canonicalize().is_ok_and(|whole| leave_out.contains(&whole)) {
            continue;
        }
        add(found, Found { path, bytes: facts.len() }, most)?;
    }
    Ok(())
}

fn add(found: &mut Vec<Found>, file: Found, most: usize) -> Result<(), WeatherError> {
    if found.len() == most {
        return Err(WeatherError::ManyFiles { path: file.path, most });
    }
    found.push(file);
    Ok(())
}

/// `name` in lower case.
fn may_hold_weather(name: &str) -> bool {
    if BESIDE.iter().any(|begin| name.starts_with(begin)) {
        return false;
    }
    match name.rsplit_once('.') {
        Some((_, ending)) => ENDINGS.contains(&ending),
        None => true,
    }
}

/// Whose a file is.
#[derive(Clone, Debug, PartialEq)]
pub struct Identity {
    /// What its first lines say of the station.
    pub station: Station,
    /// Name of its format.
    pub format: &'static str,
    /// Whether the columns that the user named serve it.
    pub by_columns: bool,
    /// Equal for files of one station, different for files of different ones.
    pub key: String,
    /// How the station is called where it says nothing of itself: the file's name without a year.
    pub bare_name: String,
}

/// Whose a file is, from its first lines; the whole file is read only where its reader wants it whole.
///
/// # Errors
/// A file that cannot be read or is of no known format.
pub fn identity(path: &Path, request: &Request<'_>) -> Result<Identity, WeatherError> {
    match identity_of(path, request, Extent::Head) {
        Ok(identity) => Ok(identity),
        // Some readers refuse a file that is cut short: they are asked again with all of it.
        Err(_) => identity_of(path, request, Extent::Whole),
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Extent {
    Head,
    Whole,
}

fn identity_of(path: &Path, request: &Request<'_>, extent: Extent) -> Result<Identity, WeatherError> {
    let mut met = None;
    source::each_part(path, &mut |part| {
        // The first member of an archive speaks for all.
        if met.is_some() {
            return Ok(());
        }
        let mut gather = Gather::default();
        gather.begin(0);
        let part = if extent == Extent::Head { cut_short(part, path)? } else { part };
        let (format, why) = read(part, request, &mut gather, As::Detected)?;
        met = Some((gather.end().declared, format, why == BY_COLUMNS));
        Ok(())
    })?;
    let Some((declared, format, by_columns)) = met else {
        return Err(WeatherError::Empty { path: path.to_path_buf() });
    };
    let station = declared.station;
    let bare_name = without_year(path);
    let key = if declared.typical_year {
        // A typical year joins nothing.
        format!("{format}|{}", path.display())
    } else if let Some(id) = &station.id {
        format!("{format}|{id}")
    } else if is_nameless(&station) {
        let folder = path.parent().map(|folder| folder.display().to_string()).unwrap_or_default();
        format!("{format}|{folder}|{bare_name}")
    } else {
        let degrees = |value: Option<f64>| value.map_or(String::new(), |value| format!("{value:.2}"));
        let name = station.name.as_deref().unwrap_or_default();
        format!("{format}|{name}|{}|{}", degrees(station.latitude_deg), degrees(station.longitude_deg))
    };
    Ok(Identity { station, format, by_columns, key, bare_name })
}

/// The first whole lines of a part.
fn cut_short<'a>(mut part: Part<'a>, path: &Path) -> Result<Part<'a>, WeatherError> {
    let mut head = Vec::new();
    part.bytes
        .by_ref()
        .take(HEAD_BYTES as u64)
        .read_to_end(&mut head)
        .map_err(|source| unreadable(path, source))?;
    if head.len() == HEAD_BYTES
        && let Some(end) = memchr::memrchr(b'\n', &head)
    {
        head.truncate(end + 1);
    }
    Ok(Part { bytes: Box::new(Cursor::new(head)), size: None, ..part })
}

/// The file's name without endings and without a year at its end, so that the years of a station meet.
fn without_year(path: &Path) -> String {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let stem = name.split('.').next().unwrap_or_default();
    let digits = stem.len() - stem.trim_end_matches(|letter: char| letter.is_ascii_digit()).len();
    let year = stem.get(stem.len() - digits..).and_then(|year| year.parse::<u32>().ok());
    if digits == 4 && year.is_some_and(|year| (1800..=2200).contains(&year)) {
        let bare = stem[..stem.len() - 4].trim_end_matches(['-', '_', ' ', '.']);
        if !bare.is_empty() {
            return bare.to_owned();
        }
    }
    stem.to_owned()
}

/// A number that stands for the bytes of a file as it lies on the disk (XXH3, 128 bits): it tells a changed file from
/// an unchanged one, and protects against nobody.
///
/// # Errors
/// A file that cannot be read.
pub fn fingerprint(path: &Path) -> Result<u128, WeatherError> {
    let mut file = File::open(path).map_err(|source| unreadable(path, source))?;
    let mut sum = Xxh3::new();
    let mut block = vec![0; BLOCK];
    loop {
        match file.read(&mut block) {
            Ok(0) => return Ok(sum.digest128()),
            Ok(count) => sum.update(&block[..count]),
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(source) => return Err(unreadable(path, source)),
        }
    }
}

fn unreadable(path: &Path, source: std::io::Error) -> WeatherError {
    match source.kind() {
        ErrorKind::NotFound => WeatherError::Missing { path: path.to_path_buf() },
        _ => WeatherError::Unreadable { path: path.to_path_buf(), source },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn years_of_a_station_meet_and_numbered_stations_do_not() {
        for (name, bare) in [
            ("juniper-flat-1999.csv", "juniper-flat"),
            ("juniper-flat_2001.csv.gz", "juniper-flat"),
            ("s0417.csv", "s0417"),
            ("station-017.csv", "station-017"),
            ("1999.csv", "1999"),
            ("plain.csv", "plain"),
        ] {
            assert_eq!(without_year(Path::new(name)), bare);
        }
    }

    #[test]
    fn a_folder_without_end_is_refused() {
        let folder = tempfile::tempdir().expect("a folder for temporary files");
        for name in ["a.csv", "b.csv", "c.csv", "readme.txt"] {
            fs::write(folder.path().join(name), "x").expect("room for a byte");
        }
        let listed = |most| at_most(most, &[folder.path().to_path_buf()], &[]);
        assert_eq!(listed(3).map(|found| found.len()).ok(), Some(3));
        let message = listed(2).expect_err("three files").to_string();
        assert!(message.contains("c.csv: the folders hold more than 2 files"), "{message}");
    }

    #[test]
    fn what_accompanies_data_is_passed_over() {
        assert!(may_hold_weather("725300-94846-2018"));
        assert!(may_hold_weather("a.csv.gz"));
        for name in ["readme.txt", "a.pdf", "a.csv.part", "licence"] {
            assert!(!may_hold_weather(name), "{name}");
        }
    }
}
