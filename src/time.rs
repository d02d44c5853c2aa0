//! Stamps, zones, local days, seasons.
//!
//! Inside the crate a moment is a [`Stamp`]: whole seconds of UTC since 1970. Civil clocks exist only at the
//! edges: in the readers of files and in what is printed.

use chrono::{DateTime, Datelike, NaiveDate, Timelike};
use serde::{Serialize, Serializer};
use std::fmt;

/// Seconds in an hour.
pub const HOUR_S: i64 = 3600;
/// Seconds in a day.
pub const DAY_S: i64 = 86_400;
/// Names of the months, January first.
pub const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];
/// Hours in a mean Julian year, used to scale "hours a year".
pub const YEAR_H: f64 = 8766.0;

/// Seconds of UTC since 1970-01-01T00:00:00Z.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stamp(pub i64);

impl Stamp {
    /// From a civil date and time of day in UTC; `None` where that date does not exist. Hour 24 is the next
    /// day's 0.
    #[must_use]
    pub fn from_utc(year: i32, month: u32, day: u32, hour: u32, minute: u32, second: u32) -> Option<Self> {
        if hour > 24 || minute > 59 || second > 60 || (hour == 24 && (minute > 0 || second > 0)) {
            return None;
        }
        let day = LocalDay::from_civil(year, month, day)?;
        Some(Self(
            i64::from(day.0) * DAY_S + i64::from(hour) * HOUR_S + i64::from(minute) * 60 + i64::from(second),
        ))
    }

    /// The start of the clock hour (UTC) that this stamp falls in.
    #[must_use]
    pub fn floor_hour(self) -> Self {
        Self(self.0.div_euclid(HOUR_S) * HOUR_S)
    }

    /// Later by so many seconds.
    #[must_use]
    pub fn plus_s(self, seconds: i64) -> Self {
        Self(self.0 + seconds)
    }

    /// ISO-8601 with a Z, to the second.
    #[must_use]
    pub fn iso(self) -> String {
        match DateTime::from_timestamp(self.0, 0) {
            Some(moment) => moment.format("%Y-%m-%dT%H:%M:%SZ").to_string(),
            None => format!("{} s", self.0),
        }
    }

    /// "2018-01-08 06:00" on the clock of `offset`.
    #[must_use]
    pub fn local(self, offset: UtcOffset) -> String {
        match DateTime::from_timestamp(self.0 + i64::from(offset.seconds()), 0) {
            Some(moment) => moment.format("%Y-%m-%d %H:%M").to_string(),
            None => format!("{} s", self.0),
        }
    }

    /// The local day at `offset`.
    #[must_use]
    pub fn local_day(self, offset: UtcOffset) -> LocalDay {
        let days = (self.0 + i64::from(offset.seconds())).div_euclid(DAY_S);
        LocalDay(i32::try_from(days).unwrap_or(if days < 0 { i32::MIN } else { i32::MAX }))
    }

    /// Hour of the local day, 0 to 23.
    #[must_use]
    pub fn local_hour(self, offset: UtcOffset) -> u32 {
        let second = (self.0 + i64::from(offset.seconds())).rem_euclid(DAY_S);
        u32::try_from(second / HOUR_S).unwrap_or(0)
    }

    /// The UTC calendar year.
    #[must_use]
    pub fn year(self) -> i32 {
        self.local_day(UtcOffset::UTC).year()
    }

    /// Reads "2018-01-08T06:00:00Z", with an offset instead of the Z too, seconds optional, a space for the T.
    #[must_use]
    pub fn parse_iso(text: &str) -> Option<Self> {
        let text = text.trim();
        for format in
            ["%Y-%m-%dT%H:%M:%S%#z", "%Y-%m-%dT%H:%M%#z", "%Y-%m-%d %H:%M:%S%#z", "%Y-%m-%d %H:%M%#z"]
        {
            if let Ok(moment) = DateTime::parse_from_str(&text.replace(['Z', 'z'], "+00:00"), format) {
                return Some(Self(moment.timestamp()));
            }
        }
        None
    }
}

impl fmt::Display for Stamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.iso())
    }
}

impl Serialize for Stamp {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.iso())
    }
}

/// A fixed distance of a civil clock from UTC, positive to the east.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct UtcOffset(i32);

impl UtcOffset {
    /// UTC itself.
    pub const UTC: Self = Self(0);

    /// From seconds; `None` beyond 15 hours.
    #[must_use]
    pub fn from_seconds(seconds: i32) -> Option<Self> {
        (seconds.abs() <= 15 * 3600).then_some(Self(seconds))
    }

    /// From hours, fractions allowed; `None` beyond 15 hours.
    #[must_use]
    pub fn from_hours(hours: f64) -> Option<Self> {
        if !hours.is_finite() || hours.abs() > 15.0 {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, reason = "bounded to 54,000 above")]
        Self::from_seconds((hours * 3600.0).round() as i32)
    }

    /// Nearest whole hour of solar time: longitude / 15, rounded. A stand-in where nothing better is known.
    #[must_use]
    pub fn from_longitude(longitude_deg: f64) -> Self {
        Self::from_hours((longitude_deg / 15.0).round()).unwrap_or(Self::UTC)
    }

    /// Seconds east of UTC.
    #[must_use]
    pub fn seconds(self) -> i32 {
        self.0
    }

    /// Reads "-07:00", "+05:30", "-7", "Z", "UTC".
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim().replace('\u{2212}', "-");
        if matches!(text.as_str(), "Z" | "z" | "UTC" | "utc" | "GMT") {
            return Some(Self::UTC);
        }
        let (sign, rest) = match text.strip_prefix('-') {
            Some(rest) => (-1, rest),
            None => (1, text.strip_prefix('+').unwrap_or(&text)),
        };
        let (hours, minutes) = match rest.split_once(':') {
            Some((hours, minutes)) if minutes.len() == 2 => (hours, minutes.parse::<i32>().ok()?),
            Some(_) => return None,
            None if rest.len() == 4 => (&rest[..2], rest[2..].parse::<i32>().ok()?),
            None => (rest, 0),
        };
        if hours.is_empty() || !hours.bytes().all(|b| b.is_ascii_digit()) || !(0..60).contains(&minutes) {
            return None;
        }
        Self::from_seconds(sign * (hours.parse::<i32>().ok()?.checked_mul(3600)? + minutes * 60))
    }
}

impl fmt::Display for UtcOffset {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let minutes = self.0.abs() / 60;
        write!(f, "{}{:02}:{:02}", if self.0 < 0 { '-' } else { '+' }, minutes / 60, minutes % 60)
    }
}

/// A calendar day of a place, as days since 1970-01-01.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LocalDay(pub i32);

/// Days from the first day of the proleptic Gregorian calendar to 1970-01-01 (chrono's count from the common era).
const EPOCH_DAYS_FROM_CE: i32 = 719_163;

impl LocalDay {
    /// From year, month, day; `None` where that day does not exist.
    #[must_use]
    pub fn from_civil(year: i32, month: u32, day: u32) -> Option<Self> {
        NaiveDate::from_ymd_opt(year, month, day)
            .map(|date| Self(date.num_days_from_ce() - EPOCH_DAYS_FROM_CE))
    }

    /// As a chrono date.
    #[must_use]
    pub fn date(self) -> NaiveDate {
        NaiveDate::from_num_days_from_ce_opt(self.0.saturating_add(EPOCH_DAYS_FROM_CE))
            .unwrap_or(NaiveDate::MAX)
    }

    /// Calendar year.
    #[must_use]
    pub fn year(self) -> i32 {
        self.date().year()
    }

    /// Month and day.
    #[must_use]
    pub fn month_day(self) -> MonthDay {
        let date = self.date();
        MonthDay { month: date.month(), day: date.day() }
    }

    /// The first second of that day, as a stamp, on the clock of `offset`.
    #[must_use]
    pub fn start(self, offset: UtcOffset) -> Stamp {
        Stamp(i64::from(self.0) * DAY_S - i64::from(offset.seconds()))
    }
}

impl fmt::Display for LocalDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.date().format("%Y-%m-%d"))
    }
}

/// A day of the calendar without a year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MonthDay {
    /// 1 to 12.
    pub month: u32,
    /// 1 to 31.
    pub day: u32,
}

impl MonthDay {
    /// That day in `year`; 29 February becomes 28 February where the year has none.
    #[must_use]
    pub fn in_year(self, year: i32) -> Option<LocalDay> {
        LocalDay::from_civil(year, self.month, self.day).or_else(|| {
            (self.month == 2 && self.day == 29).then(|| LocalDay::from_civil(year, 2, 28)).flatten()
        })
    }
}

impl fmt::Display for MonthDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}-{:02}", self.month, self.day)
    }
}

/// Which half of the earth: decides where a season begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hemisphere {
    /// Seasons run from July to June.
    North,
    /// Seasons run from January to December.
    South,
}

impl Hemisphere {
    /// From a latitude; the equator counts as north.
    #[must_use]
    pub fn of_latitude(latitude_deg: f64) -> Self {
        if latitude_deg < 0.0 { Self::South } else { Self::North }
    }
}

/// One winter's year: July to June in the north, January to December in the south, so that no winter is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Season {
    /// The calendar year in which it begins.
    pub first_year: i32,
    south: bool,
}

impl Season {
    /// The season that begins in `first_year`.
    #[must_use]
    pub fn new(first_year: i32, hemisphere: Hemisphere) -> Self {
        Self { first_year, south: hemisphere == Hemisphere::South }
    }

    /// The season that a local day belongs to.
    #[must_use]
    pub fn of(day: LocalDay, hemisphere: Hemisphere) -> Self {
        let date = day.date();
        let early = hemisphere == Hemisphere::North && date.month() < 7;
        Self::new(date.year() - i32::from(early), hemisphere)
    }

    /// Its first local day.
    #[must_use]
    pub fn first_day(self) -> LocalDay {
        LocalDay::from_civil(self.first_year, if self.south { 1 } else { 7 }, 1).unwrap_or(LocalDay(0))
    }

    /// The first local day of the next season.
    #[must_use]
    pub fn end_day(self) -> LocalDay {
        Self { first_year: self.first_year + 1, south: self.south }.first_day()
    }
}

impl fmt::Display for Season {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.south {
            write!(f, "{}", self.first_year)
        } else {
            write!(f, "{}/{:02}", self.first_year, (self.first_year + 1).rem_euclid(100))
        }
    }
}

impl Serialize for Season {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// Hour and minute of a stamp in UTC, for tables.
#[must_use]
pub fn utc_clock(stamp: Stamp) -> (u32, u32) {
    DateTime::from_timestamp(stamp.0, 0).map_or((0, 0), |moment| (moment.hour(), moment.minute()))
}

#[cfg(test)]
#[expect(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn the_epoch_is_day_zero() {
        assert_eq!(LocalDay::from_civil(1970, 1, 1), Some(LocalDay(0)));
        assert_eq!(Stamp::from_utc(2000, 2, 29, 24, 0, 0).unwrap().iso(), "2000-03-01T00:00:00Z");
        assert_eq!(Stamp::from_utc(2001, 2, 29, 0, 0, 0), None);
    }

    #[test]
    fn offsets_read_as_people_write_them() {
        for (text, seconds) in
            [("-07:00", -25_200), ("+05:30", 19_800), ("-7", -25_200), ("Z", 0), ("0530", 19_800)]
        {
            assert_eq!(UtcOffset::parse(text).map(UtcOffset::seconds), Some(seconds), "{text}");
        }
        for text in ["", "-", "seven", "07:0", "25:00", "-07:60"] {
            assert_eq!(UtcOffset::parse(text), None, "{text}");
        }
    }

    #[test]
    fn a_winter_is_never_cut_in_two() {
        let december = LocalDay::from_civil(1990, 12, 31).unwrap();
        let january = LocalDay::from_civil(1991, 1, 1).unwrap();
        let season = Season::of(december, Hemisphere::North);
        assert_eq!(season, Season::of(january, Hemisphere::North));
        assert_eq!(season.to_string(), "1990/91");
        assert_eq!(Season::new(1999, Hemisphere::North).to_string(), "1999/00");
        let july = LocalDay::from_civil(1990, 7, 15).unwrap();
        assert_eq!(Season::of(july, Hemisphere::South).to_string(), "1990");
        assert_eq!(
            Season::of(july, Hemisphere::South).first_day(),
            LocalDay::from_civil(1990, 1, 1).unwrap()
        );
    }

    #[test]
    fn iso_stamps_with_zones_are_read() {
        let noon = Stamp::from_utc(2018, 1, 8, 12, 0, 0).unwrap();
        for text in ["2018-01-08T12:00:00Z", "2018-01-08T05:00-07:00", "2018-01-08 12:00:00+00:00"] {
            assert_eq!(Stamp::parse_iso(text), Some(noon), "{text}");
        }
        assert_eq!(Stamp::parse_iso("2018-01-08T12:00:00"), None);
    }
}
