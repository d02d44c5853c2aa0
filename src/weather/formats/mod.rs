//! The known formats: one file each, one row each in [`TABLE`].
//!
//! A reader declares what its stamps mean and in which zone they stand, turns its columns into SI, makes its
//! sentinels and failed quality flags absent, and pushes [`Reading`](super::reading::Reading)s. Cleaning and the
//! building of hours are common to all.

pub(super) mod generic;
mod global_hourly;
mod isd_lite;
mod tmy3;

use super::cells;
use super::detect::Head;
use super::gather::Gather;
use super::rows::Rows;
use super::{Columns, WeatherError};
use crate::time::{Stamp, UtcOffset};
use std::path::Path;

/// A file at its first line, with what the user said about it.
pub(super) struct Input<'a> {
    /// As named by the user.
    pub path: &'a Path,
    /// Its first lines.
    pub head: &'a Head,
    /// Its rows, none read yet.
    pub rows: Rows<'a>,
    /// The zone of stamps, where the format leaves it open.
    pub utc_offset: Option<UtcOffset>,
    /// Columns of a CSV of no known format.
    pub columns: Option<&'a Columns>,
}

impl Input<'_> {
    /// The file's name without folders and without ".gz".
    pub(super) fn stem(&self) -> String {
        let name = self.path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        name.strip_suffix(".gz").map(str::to_owned).unwrap_or(name)
    }

    /// An error about the layout of this file.
    pub(super) fn layout(
        &self,
        line: u32,
        found: impl Into<String>,
        expected: impl Into<String>,
        next: impl Into<String>,
    ) -> WeatherError {
        WeatherError::Layout {
            path: self.path.to_path_buf(),
            line,
            found: found.into(),
            expected: expected.into(),
            next: next.into(),
        }
    }
}

/// The stations that a file's rows name.
#[derive(Debug, Default)]
pub(super) struct Stations {
    last: Vec<u8>,
    names: Vec<String>,
}

impl Stations {
    /// Most stations that are listed.
    const LISTED: usize = 12;

    /// A row of station `id`; `name` is asked only where it was not met before.
    pub(super) fn meet(&mut self, id: &[u8], name: impl FnOnce() -> String) {
        if self.last == id && !self.names.is_empty() {
            return;
        }
        self.last.clear();
        self.last.extend_from_slice(id);
        let id = cells::text(id);
        let id = id.trim();
        let known =
            |held: &String| held == id || held.strip_prefix(id).is_some_and(|rest| rest.starts_with(" ("));
        if self.names.len() < Self::LISTED && !self.names.iter().any(known) {
            let name = name();
            self.names.push(if name.is_empty() { id.to_owned() } else { format!("{id} ({name})") });
        }
    }

    /// A row of a station that is passed over.
    pub(super) fn see(&mut self, id: &[u8]) {
        self.meet(id, String::new);
    }

    /// Those that were met.
    pub(super) fn names(&self) -> &[String] {
        &self.names
    }

    /// An error where there are several.
    pub(super) fn one(&self, path: &Path) -> Result<(), WeatherError> {
        if self.names.len() < 2 {
            return Ok(());
        }
        Err(WeatherError::SeveralStations {
            place: path.display().to_string(),
            names: self.names.clone(),
            next: "name one with `station_column` and `station` under [stop.columns], or cut the file",
        })
    }
}

/// Civil seconds on a clock `offset` from UTC, as a stamp.
pub(super) fn stamp(civil_s: i64, offset: UtcOffset) -> Stamp {
    Stamp(civil_s - i64::from(offset.seconds()))
}

/// One format.
pub(super) struct Format {
    /// Its name, as users know it.
    pub name: &'static str,
    /// Why the first lines are of this format; `None` where they are not.
    pub detect: fn(&Head) -> Option<String>,
    /// Reads a file.
    pub read: fn(&mut Input<'_>, &mut Gather) -> Result<(), WeatherError>,
}

/// All formats, in the order in which they are tried.
pub(super) const TABLE: &[Format] = &[tmy3::FORMAT, global_hourly::FORMAT, isd_lite::FORMAT, generic::FORMAT];
