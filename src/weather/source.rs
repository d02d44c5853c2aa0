//! Bytes of weather files: from the disk or standard input, plain or packed, always within bounds.

use super::WeatherError;
use super::cells::{listed, shown};
use flate2::bufread::MultiGzDecoder;
use std::fs::File;
use std::io::{self, BufReader, Cursor, ErrorKind, Read, Seek};
use std::path::{Path, PathBuf};
use zip::ZipArchive;
use zip::result::ZipError;

/// Largest number of unpacked bytes that is read from one file. Chosen because it is fifteen times a wide record
/// of 30 years (256 MB) and bounds what a packed file can unfold to.
pub(super) const FILE_LIMIT: u64 = 4 << 30;
/// Most members of an archive that are read. Chosen because no archive holds more files for one station (one a
/// month for a hundred years).
const MEMBER_LIMIT: usize = 1200;
/// Largest description of a station that is read beside its data, bytes.
const BESIDE_LIMIT: u64 = 1 << 20;

const GZIP: &[u8] = b"\x1f\x8b";
const ZIP: &[u8] = b"PK\x03\x04";
const ZIP_EMPTY: &[u8] = b"PK\x05\x06";

/// One text to read: a file, or a member of an archive.
pub(super) struct Part<'a> {
    /// The file, with the member's name behind it.
    pub path: PathBuf,
    /// Its unpacked bytes.
    pub bytes: Box<dyn Read + 'a>,
    /// The description of the station that lies beside it, where its archive has such.
    pub beside: Option<Vec<u8>>,
    /// How many bytes there are, where that is known before they are read.
    pub size: Option<u64>,
}

/// Takes one part.
pub(super) type Take<'t> = dyn FnMut(Part<'_>) -> Result<(), WeatherError> + 't;

/// Hands each part of bytes that are in memory to `take`.
pub(super) fn each_part_of(path: &Path, bytes: &[u8], take: &mut Take<'_>) -> Result<(), WeatherError> {
    if bytes.is_empty() {
        return Err(WeatherError::Empty { path: path.to_path_buf() });
    }
    if bytes.starts_with(ZIP) || bytes.starts_with(ZIP_EMPTY) {
        return members(path, Cursor::new(bytes), take);
    }
    let bytes = unpacked(bytes).map_err(|source| unreadable(path, source))?;
    take(Part { path: path.to_path_buf(), bytes, beside: None, size: None })
}

/// Hands each part of `path` ("-" is standard input) to `take`.
pub(super) fn each_part(path: &Path, take: &mut Take<'_>) -> Result<(), WeatherError> {
    let standard_input = path.as_os_str() == "-";
    let mut raw: Box<dyn Read> = if standard_input { Box::new(io::stdin()) } else { Box::new(file(path)?) };
    let magic = first_bytes(&mut raw).map_err(|source| unreadable(path, source))?;
    if magic.is_empty() {
        return Err(WeatherError::Empty { path: path.to_path_buf() });
    }
    if magic.starts_with(ZIP) || magic.starts_with(ZIP_EMPTY) {
        if standard_input {
            return Err(damaged(path, "a zip archive cannot be read from a stream"));
        }
        drop(raw);
        return members(path, file(path)?, take);
    }
    // Of a stream, or of what is packed, nothing is known.
    let size = if standard_input || magic.starts_with(GZIP) {
        None
    } else {
        path.metadata().ok().map(|facts| facts.len())
    };
    let whole = Cursor::new(magic).chain(raw);
    take(Part {
        path: path.to_path_buf(),
        bytes: unpacked(whole).map_err(|e| unreadable(path, e))?,
        beside: None,
        size,
    })
}

/// The members of an archive that hold readings, in the order of their names.
fn members(path: &Path, bytes: impl Read + Seek, take: &mut Take<'_>) -> Result<(), WeatherError> {
    let mut archive = ZipArchive::new(bytes).map_err(|error| broken(path, &error))?;
    let mut names: Vec<String> = archive.file_names().map(str::to_owned).collect();
    names.sort();
    let chosen = chosen(&names);
    if chosen.is_empty() {
        return Err(without_tables(path, &names));
    }
    if chosen.len() > MEMBER_LIMIT {
        return Err(WeatherError::Archive {
            path: path.to_path_buf(),
            found: format!("{} tables in one archive", chosen.len()),
            next: "unpack it, and name the files of one station",
        });
    }
    let beside = match names.iter().find(|name| is_place_table(base(name))) {
        None => None,
        Some(name) => {
            let member = archive.by_name(name).map_err(|error| broken(path, &error))?;
            let mut text = Vec::new();
            member.take(BESIDE_LIMIT).read_to_end(&mut text).map_err(|source| unreadable(path, source))?;
            Some(text)
        }
    };
    for name in chosen {
        let member = archive.by_name(name).map_err(|error| broken(path, &error))?;
        if member.size() == 0 {
            continue;
        }
        let whole = path.join(name);
        let bytes = unpacked(member).map_err(|source| unreadable(&whole, source))?;
        take(Part { path: whole, bytes, beside: beside.clone(), size: None })?;
    }
    Ok(())
}

/// Products of a station by their names where there are such, else every table.
fn chosen(names: &[String]) -> Vec<&str> {
    let is_table = |name: &&str| {
        let base = base(name).to_ascii_lowercase();
        let table = [".csv", ".txt", ".psv", ".epw", ".gz", ".dat"].iter().any(|end| base.ends_with(end));
        let described =
            ["metadaten", "readme", "licen", "desc", "._"].iter().any(|begin| base.starts_with(begin));
        table && !described && !name.starts_with("__MACOSX")
    };
    let tables: Vec<&str> = names.iter().map(String::as_str).filter(is_table).collect();
    let products: Vec<&str> =
        tables.iter().copied().filter(|name| base(name).starts_with("produkt_")).collect();
    if products.is_empty() { tables } else { products }
}

fn base(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().unwrap_or(name)
}

/// The German weather service's table of where a station stood.
pub(super) fn is_place_table(name: &str) -> bool {
    name.starts_with("Metadaten_Geographie")
}

/// A small text beside `path`, where it is there.
pub(super) fn neighbour(path: &Path, name: &str) -> Option<Vec<u8>> {
    let mut text = Vec::new();
    File::open(path.parent()?.join(name)).ok()?.take(BESIDE_LIMIT).read_to_end(&mut text).ok()?;
    Some(text)
}

/// Unpacks gzip where it is.
fn unpacked<'a>(mut raw: impl Read + 'a) -> io::Result<Box<dyn Read + 'a>> {
    let magic = first_bytes(&mut raw)?;
    let gzip = magic.starts_with(GZIP);
    let whole = Cursor::new(magic).chain(raw);
    Ok(if gzip {
        Box::new(MultiGzDecoder::new(BufReader::with_capacity(1 << 16, whole)))
    } else {
        Box::new(whole)
    })
}

/// The first four bytes, or fewer where there are no more.
fn first_bytes(raw: &mut impl Read) -> io::Result<Vec<u8>> {
    let mut magic = Vec::with_capacity(4);
    raw.take(4).read_to_end(&mut magic)?;
    Ok(magic)
}

fn file(path: &Path) -> Result<File, WeatherError> {
    let file = File::open(path).map_err(|source| unreadable(path, source))?;
    match file.metadata() {
        Ok(facts) if facts.is_dir() => Err(WeatherError::Folder { path: path.to_path_buf() }),
        Ok(_) => Ok(file),
        Err(source) => Err(unreadable(path, source)),
    }
}

fn damaged(path: &Path, detail: &str) -> WeatherError {
    WeatherError::Damaged { path: path.to_path_buf(), line: 1, detail: detail.to_owned() }
}

/// An archive that holds no table: spreadsheets are archives too.
fn without_tables(path: &Path, names: &[String]) -> WeatherError {
    let ends = |ending: &str| names.iter().find(|name| name.to_ascii_lowercase().ends_with(ending));
    let (found, next) = if names.iter().any(|name| name.starts_with("xl/") || name == "content.xml") {
        ("a workbook of a spreadsheet".to_owned(), "save its sheet as CSV, and name that file")
    } else if let Some(inner) = ends(".zip") {
        (
            format!("an archive inside the archive ({})", shown(inner)),
            "unpack it, and name the archive inside",
        )
    } else {
        (
            format!("no table of readings among its members: {}", listed(names)),
            "unpack it, and name the file with the readings",
        )
    };
    WeatherError::Archive { path: path.to_path_buf(), found, next }
}

fn broken(path: &Path, error: &ZipError) -> WeatherError {
    damaged(path, &error.to_string())
}

fn unreadable(path: &Path, source: io::Error) -> WeatherError {
    let path = path.to_path_buf();
    match source.kind() {
        ErrorKind::NotFound => WeatherError::Missing { path },
        ErrorKind::IsADirectory => WeatherError::Folder { path },
        ErrorKind::UnexpectedEof | ErrorKind::InvalidData => {
            WeatherError::Damaged { path, line: 1, detail: source.to_string() }
        }
        _ => WeatherError::Unreadable { path, source },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn members_are_chosen_by_name() {
        let names = ["Metadaten_Geographie_1.txt", "produkt_tu_stunde_1.txt", "other.txt"].map(str::to_owned);
        assert_eq!(chosen(&names), ["produkt_tu_stunde_1.txt"]);
        let names = ["__MACOSX/._a.csv", "a/b.csv", "a/README.txt", "c.pdf"].map(str::to_owned);
        assert_eq!(chosen(&names), ["a/b.csv"]);
    }
}
