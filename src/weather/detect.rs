//! What is this file? Answered from its first lines alone.

use super::formats::{Format, REFUSED, TABLE, generic};
use super::head::Head;
use super::{Columns, WeatherError, table_guess};
use std::path::Path;

/// Why a file is read by the columns that the user named.
pub(super) const BY_COLUMNS: &str = "the columns named for this stop";

/// Finds the format in the order of the table. Columns that the user named serve a CSV that no archive writes, as do
/// those of [`generic`], which stands last: a survey's plan describes one table, and its folder holds others.
pub(super) fn format(
    path: &Path,
    bytes: &[u8],
    head: &Head,
    columns: Option<&Columns>,
) -> Result<(&'static Format, String), WeatherError> {
    if let Some(what) = binary(bytes) {
        return Err(unknown(path, format!("it is {what}")));
    }
    for format in TABLE {
        if let Some(columns) = columns
            && format.name == generic::FORMAT.name
            && generic::serves(head, columns)
        {
            return Ok((&generic::FORMAT, BY_COLUMNS.to_owned()));
        }
        if let Some(why) = (format.detect)(head) {
            return Ok((format, why));
        }
    }
    if let Some((format, why)) = REFUSED.iter().find_map(|format| Some((format, (format.detect)(head)?))) {
        return Ok((format, why));
    }
    if columns.is_some() {
        // The generic reader says which of the named columns is not there.
        return Ok((&generic::FORMAT, BY_COLUMNS.to_owned()));
    }
    let looks = first_line(head);
    Err(match table_guess::described(head, bytes) {
        Some(table) => WeatherError::UnknownTable { path: path.to_path_buf(), looks, table: Box::new(table) },
        None => unknown(path, looks),
    })
}

/// The same fault with what more of the file, from its mark of encoding on, tells of the table's clock.
pub(super) fn with_light(error: WeatherError, head: &Head, more: &[u8]) -> WeatherError {
    match error {
        WeatherError::UnknownTable { path, looks, table } => {
            let table = table_guess::described(head, more).map_or(table, Box::new);
            WeatherError::UnknownTable { path, looks, table }
        }
        other => other,
    }
}

/// What a file is that is no text.
fn binary(bytes: &[u8]) -> Option<&'static str> {
    for (magic, what) in [
        (&b"\x89PNG"[..], "a PNG picture"),
        (b"\xff\xd8\xff", "a JPEG picture"),
        (b"%PDF", "a PDF document"),
        (b"CDF", "a netCDF file"),
        (b"\x89HDF", "an HDF5 or netCDF file"),
        (b"GRIB", "a GRIB file"),
        (b"PAR1", "a Parquet file"),
        (b"SQLite", "a database"),
        (b"\xff\xfe", "text in UTF-16 (save it as UTF-8)"),
        (b"\xfe\xff", "text in UTF-16 (save it as UTF-8)"),
        (b"\x1f\x8b", "packed twice (unpack it once)"),
        (b"7z\xbc\xaf", "a 7z archive (unpack it)"),
        (b"BZh", "a bzip2 file (unpack it)"),
        (b"\xfd7zXZ", "an xz file (unpack it)"),
    ] {
        if bytes.starts_with(magic) {
            return Some(what);
        }
    }
    bytes.contains(&0).then_some("not text (it holds zero bytes)")
}

fn first_line(head: &Head) -> String {
    if head.line(0).contains('\r') {
        return "its lines end in a carriage return alone, as on old computers (save it with the line ends of today)".to_owned();
    }
    let line: String = head.line(0).chars().filter(|letter| !letter.is_control()).take(80).collect();
    if head.line(0).trim_start().starts_with(['<', '{']) {
        return format!(
            "its first line is \"{line}\" (a web page or a message of a server rather than a download)"
        );
    }
    format!("its first line is \"{line}\"")
}

pub(super) fn unknown(path: &Path, looks: String) -> WeatherError {
    let known = TABLE.iter().map(|format| format.name).collect::<Vec<_>>().join(", ");
    WeatherError::Unknown { path: path.to_path_buf(), looks, known }
}
