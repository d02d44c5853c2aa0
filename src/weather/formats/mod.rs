//! The known formats: one file each, one row each in [`TABLE`].
//!
//! A reader declares what its stamps mean and in which zone they stand, turns its columns into SI, makes its
//! sentinels and failed quality flags absent, and pushes [`Reading`](super::reading::Reading)s. Cleaning and the
//! building of hours are common to all.

mod dwd;
mod eccc;
mod epw;
mod era5;
pub(super) mod generic;
mod ghcnh;
mod global_hourly;
mod iem;
mod isd_lite;
mod lcd;
mod met_norway;
mod meteostat;
mod nasa_power;
mod nsrdb;
mod open_meteo;
mod pvgis;
mod refused;
mod tmy3;
mod uscrn;

use super::cells::{self, Cells, Picker};
use super::gather::Gather;
use super::head::Head;
use super::misread::Width;
use super::reading::Reading;
use super::rows::Rows;
use super::scan;
use super::tally::Why;
use super::{Columns, WeatherError};
use crate::note::{Note, NoteKind};
use crate::place::ELEVATION_RANGE_M;
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
    /// A description of the station that lies beside the file in its archive.
    pub beside: Option<&'a [u8]>,
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

/// How the rows of a table with a header are read.
pub(super) struct Table<'t> {
    /// Between the cells.
    pub separator: u8,
    /// Which line of the file's head is the header, blank lines not counted.
    pub header: usize,
    /// Slots with the names that fill them.
    pub columns: &'t [(usize, &'t [&'t str])],
    /// The slots whose names tell a header that stands between the rows.
    pub keys: &'t [usize],
}

impl Table<'_> {
    /// Reads the rows below the header. Where a header is repeated (files that were joined) its columns hold from
    /// there on. `row` makes a reading of the cells, or says why there is none.
    pub(super) fn read(
        &self,
        input: &mut Input<'_>,
        gather: &mut Gather,
        mut row: impl FnMut(&Cells<'_>, u32, &mut Gather) -> Result<Reading, Stop>,
    ) -> Result<(), WeatherError> {
        let header = input.head.cells(self.header, self.separator);
        let mut picker = self.picker(&header);
        let mut width = Width::new(self.separator, &header);
        for _ in 0..=self.header {
            input.rows.next()?;
        }
        while let Some(one) = input.rows.next()? {
            let due = width.is_due();
            let cells = picker.pick(one.bytes);
            match row(&cells, one.line, gather) {
                Ok(reading) => {
                    if due {
                        width.look(one.bytes, one.line);
                    }
                    if reading.air == Err(Why::UnreadableAir) {
                        gather.unread.row(Why::UnreadableAir, one.bytes);
                    }
                    gather.push(&reading);
                }
                Err(Stop::Row(Why::NoStamp)) => match self.repeated(one.bytes) {
                    Some(header) => {
                        picker = self.picker(&header);
                        width.below(&header);
                        gather.leave_out(Why::OtherLine, one.line);
                    }
                    None => gather.leave_out_row(Why::NoStamp, one.line, one.bytes),
                },
                Err(Stop::Row(why)) => gather.leave_out(why, one.line),
                Err(Stop::File(error)) => return Err(*error),
            }
        }
        match width.fault() {
            Some((line, found, expected, next)) => Err(input.layout(line, found, expected, next)),
            None => Ok(()),
        }
    }

    fn picker(&self, header: &[String]) -> Picker {
        Picker::by_name(self.separator, header, self.columns)
    }

    /// The cells of a row that is a header again: it names a column of the keys.
    fn repeated(&self, row: &[u8]) -> Option<Vec<String>> {
        let mut header = cells::header(row, self.separator);
        if let Some(first) = header.first_mut() {
            *first =
                first.trim_matches(|letter: char| letter == '\u{feff}' || letter == '"').trim().to_owned();
        }
        self.columns
            .iter()
            .filter(|(slot, _)| self.keys.contains(slot))
            .any(|(_, names)| names.iter().any(|name| cells::position(&header, name).is_some()))
            .then_some(header)
    }
}

/// Why a row gives no reading.
pub(super) enum Stop {
    /// The row is left out.
    Row(Why),
    /// The whole file cannot be read.
    File(Box<WeatherError>),
}

impl From<Why> for Stop {
    fn from(why: Why) -> Self {
        Self::Row(why)
    }
}

impl From<WeatherError> for Stop {
    fn from(error: WeatherError) -> Self {
        Self::File(Box::new(error))
    }
}

/// The zone of stamps that a format leaves open: the user's, else the nearest to the longitude, with a note.
pub(super) fn zone_left_open(
    input: &Input<'_>,
    longitude_deg: Option<f64>,
    stamps: &str,
) -> Result<(UtcOffset, Option<Note>), WeatherError> {
    if let Some(zone) = input.utc_offset {
        return Ok((zone, None));
    }
    let Some(longitude_deg) = longitude_deg else {
        return Err(input.layout(
            1,
            format!("{stamps} without a word of which zone"),
            "`utc_offset` of this stop, such as \"-07:00\" (standard time, no daylight saving)",
            "set `utc_offset` for this stop",
        ));
    };
    let zone = UtcOffset::from_longitude(longitude_deg);
    let text = format!(
        "the file has {stamps} and does not say which zone; {zone} is taken from the longitude, which is an hour off \
         in places; set `utc_offset` for this stop"
    );
    Ok((zone, Some(Note::once(NoteKind::Assumed, text))))
}

/// Coordinates that can be, by name.
pub(super) fn latitude(cell: &[u8]) -> Option<f64> {
    scan::decimal(cell).filter(|value| value.abs() <= 90.0)
}

/// Degrees east, -180 to 180.
pub(super) fn longitude(cell: &[u8]) -> Option<f64> {
    scan::decimal(cell).filter(|value| value.abs() <= 180.0)
}

/// Metres above sea level; -999 and 9999 stand for "unknown".
pub(super) fn elevation(cell: &[u8]) -> Option<f64> {
    scan::decimal(cell).filter(|value| ELEVATION_RANGE_M.contains(value))
}

/// A cell as text; `None` where it is blank.
pub(super) fn words(cell: &[u8]) -> Option<String> {
    Some(cells::text(cell).trim().to_owned()).filter(|text| !text.is_empty())
}

/// m/s in a km/h, a mile an hour, a knot (by definition of the units).
const KM_H: f64 = 1.0 / 3.6;
const MILE_H: f64 = 0.447_04;
const KNOT: f64 = 1852.0 / 3600.0;

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
pub(super) const TABLE: &[Format] = &[
    epw::FORMAT,
    nasa_power::FORMAT,
    pvgis::HOURLY,
    pvgis::TYPICAL,
    open_meteo::FORMAT,
    nsrdb::FORMAT,
    tmy3::FORMAT,
    ghcnh::FORMAT,
    lcd::FORMAT,
    global_hourly::FORMAT,
    iem::FORMAT,
    eccc::FORMAT,
    dwd::FORMAT,
    met_norway::FORMAT,
    meteostat::NEW,
    meteostat::OLD,
    era5::FORMAT,
    isd_lite::FORMAT,
    uscrn::FORMAT,
    generic::FORMAT,
];

/// Formats that are recognised and not read: each refuses with what to download instead.
pub(super) const REFUSED: &[Format] = refused::FORMATS;
