//! Short ways to open fixtures and to look into what was opened.

use dawnvolt::note::NoteKind;
use dawnvolt::time::{Stamp, UtcOffset};
use dawnvolt::weather::{Columns, Hour, Opened, Request, WeatherError, open};
use std::path::PathBuf;

/// Path of a fixture.
pub fn fixture(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/formats").join(name)
}

/// Opens fixtures as a user would who says nothing about them.
pub fn try_open(names: &[&str]) -> Result<Opened, WeatherError> {
    try_open_as(names, None, None)
}

/// Opens fixtures with columns and a zone.
pub fn try_open_as(
    names: &[&str],
    columns: Option<&Columns>,
    utc_offset: Option<UtcOffset>,
) -> Result<Opened, WeatherError> {
    let files: Vec<PathBuf> = names.iter().map(|name| fixture(name)).collect();
    open(&Request { files: &files, columns, utc_offset })
}

/// Opens fixtures that must open.
pub fn opened(names: &[&str]) -> Opened {
    try_open(names).unwrap()
}

/// The hour with that start.
pub fn at<'a>(opened: &'a Opened, start: &str) -> &'a Hour {
    let start = Stamp::parse_iso(start).unwrap();
    opened.record.hours().iter().find(|hour| hour.start == start).unwrap()
}

/// Count of the notes of a kind.
pub fn count(opened: &Opened, kind: NoteKind) -> u64 {
    opened.notes.iter().filter(|note| note.kind == kind).map(|note| note.count).sum()
}

/// The coldest hour.
pub fn coldest(opened: &Opened) -> &Hour {
    opened.record.hours().iter().min_by(|a, b| a.air_low_c.total_cmp(&b.air_low_c)).unwrap()
}

/// Whether two numbers agree to the last digit that files print.
#[track_caller]
pub fn same(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "found {found}, expected {expected}");
}
