//! The record of a station: its hours, in order, and what kind of record it is.

use crate::sky::Light;
use crate::time::{Stamp, UtcOffset};
use std::path::PathBuf;

/// Where a value stands: the file (index into [`crate::weather::Opened::files`]) and its line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Origin {
    /// Index of the file.
    pub file: u16,
    /// Line, counted from 1.
    pub line: u32,
}

/// One hour of weather, cleaned: every number is finite. At most 64 bytes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    /// Start of the interval that the hour stands for: the clock hour (UTC) that an instant reading falls in, or
    /// the declared interval of a mean.
    pub start: Stamp,
    /// Mean of the hour's readings of air temperature, C.
    pub air_mean_c: f64,
    /// Lowest of the hour's readings, C.
    pub air_low_c: f64,
    /// Highest of the hour's readings, C.
    pub air_high_c: f32,
    /// Wind speed as the file gives it, m/s; `None` where unknown.
    pub wind_m_s: Option<f32>,
    /// The hour's light.
    pub light: Light,
    /// Where the lowest reading stands.
    pub origin: Origin,
}

const _: () = assert!(size_of::<Hour>() <= 64);

/// Hours of real, consecutive time: sorted, one row an hour, holes left open.
#[derive(Clone, Debug)]
pub struct Chronological {
    /// Sorted by `start`, no two alike.
    pub hours: Vec<Hour>,
    /// The commonest interval between its reports, h: 1, 2, 3, or 6 for that and rarer ones. What each winter keeps is
    /// said by [`Intervals`](crate::weather::Intervals).
    pub step_h: u32,
}

/// A year put together from months of different years. It carries no extremes: no function of
/// [`crate::extreme`] or of the season folds takes it.
#[derive(Clone, Debug)]
pub struct TypicalYear {
    /// In the file's order; stamps carry the years that the file prints, so they jump.
    pub hours: Vec<Hour>,
}

/// What a record knows of the air between its readings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Lows {
    /// Nothing: lows are those of the readings.
    #[default]
    OfReadings,
    /// The lowest of each hour is in the files.
    OfWholeHours,
}

/// What the files of one station make together.
#[derive(Clone, Debug)]
pub enum Record {
    /// Consecutive time.
    Chronological(Chronological),
    /// A typical year.
    TypicalYear(TypicalYear),
}

impl Record {
    /// The hours, whichever kind.
    #[must_use]
    pub fn hours(&self) -> &[Hour] {
        match self {
            Self::Chronological(record) => &record.hours,
            Self::TypicalYear(year) => &year.hours,
        }
    }

    /// The hour of the lowest reading, the first of several alike.
    #[must_use]
    pub fn lowest(&self) -> Option<&Hour> {
        let mut hours = self.hours().iter();
        let mut lowest = hours.next()?;
        for hour in hours {
            if hour.air_low_c < lowest.air_low_c {
                lowest = hour;
            }
        }
        Some(lowest)
    }

    /// Whether the hours are consecutive time.
    #[must_use]
    pub fn is_chronological(&self) -> bool {
        matches!(self, Self::Chronological(_))
    }

    /// The reporting interval that the record itself keeps, h.
    #[must_use]
    pub fn step_h(&self) -> u32 {
        match self {
            Self::Chronological(record) => record.step_h.max(1),
            Self::TypicalYear(_) => 1,
        }
    }

    /// First and last hour; the epoch for a record without hours, which no reader returns.
    #[must_use]
    pub fn span(&self) -> (Stamp, Stamp) {
        let (first, last) = match self {
            // Sorted, and asked for often: not gone through.
            Self::Chronological(record) => (record.hours.first(), record.hours.last()),
            Self::TypicalYear(year) => (
                year.hours.iter().min_by_key(|hour| hour.start),
                year.hours.iter().max_by_key(|hour| hour.start),
            ),
        };
        let start = |hour: Option<&Hour>| hour.map_or(Stamp(0), |hour| hour.start);
        (start(first), start(last))
    }
}

/// Who measured, and where, as far as the files say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Station {
    /// The archive's own identifier.
    pub id: Option<String>,
    /// Name.
    pub name: Option<String>,
    /// Degrees north.
    pub latitude_deg: Option<f64>,
    /// Degrees east.
    pub longitude_deg: Option<f64>,
    /// Metres above sea level.
    pub elevation_m: Option<f64>,
    /// The zone that the format declares for its stamps (or for the site), for local days.
    pub utc_offset: Option<UtcOffset>,
}

/// What one file gave.
#[derive(Clone, Debug)]
pub struct FileFacts {
    /// Its path as given.
    pub path: PathBuf,
    /// Name of its format.
    pub format: &'static str,
    /// Why it was recognised as that, in a few words.
    pub recognised_by: String,
    /// Rows that gave a reading.
    pub rows: u64,
    /// Lines (or rows) passed over or dropped.
    pub dropped: u64,
}

/// Design conditions that a file carries from a published handbook.
#[derive(Clone, Debug, PartialEq)]
pub struct Published {
    /// Mean of annual lows, C.
    pub mean_c: f64,
    /// Standard deviation of annual lows, K.
    pub sd_k: f64,
    /// 5-, 10-, 20-, 50-year lows, C, where printed.
    pub levels_c: Vec<(u32, f64)>,
    /// Which handbook, edition and station.
    pub source: String,
}
