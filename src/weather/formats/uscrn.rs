//! Climate reference network of the United States, product hourly02.
//!
//! 38 fields between blanks, no header. Stamps in UTC end the hour. The hour's mean, lowest and highest temperature
//! are all given, so its lows miss nothing between readings. Radiation is the hour's mean with a flag (0 good, 3
//! bad). -9999 is missing. Longitude stands before latitude; the name is in the file's name. Layout seen in a real
//! file.

use super::{Format, Input, Stations};
use crate::time::{Stamp, UtcOffset};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{Reading, Span};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Lows, Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "USCRN hourly02", detect, read };

const FIELDS: usize = 38;
const STATION: usize = 0;
const DATE: usize = 1;
const TIME: usize = 2;
const LOCAL_DATE: usize = 3;
const LOCAL_TIME: usize = 4;
const LONGITUDE: usize = 6;
const LATITUDE: usize = 7;
const LAST_MINUTES: usize = 8;
const MEAN: usize = 9;
const HIGHEST: usize = 10;
const LOWEST: usize = 11;
const RADIATION: usize = 13;
const RADIATION_FLAG: usize = 14;
/// Fields that are read, from the first.
const READ: usize = 15;

/// At and below this a value stands for "missing" (-9999).
const MISSING: f64 = -9000.0;

type Fields<'r> = [&'r [u8]; READ];

fn fields(row: &[u8]) -> Option<Fields<'_>> {
    let mut found: Fields<'_> = [&[]; READ];
    let mut fields = row.split(u8::is_ascii_whitespace).filter(|field| !field.is_empty());
    for field in &mut found {
        *field = fields.next()?;
    }
    (fields.count() == FIELDS - READ).then_some(found)
}

/// "20180101" and "0100" as civil seconds.
fn time(date: &[u8], clock: &[u8]) -> Option<i64> {
    if date.len() != 8 || clock.len() != 4 {
        return None;
    }
    let number = |digits: &[u8]| scan::integer(digits).and_then(|value| u32::try_from(value).ok());
    scan::civil(
        scan::integer(&date[..4])?,
        number(&date[4..6])?,
        number(&date[6..])?,
        number(&clock[..2])?,
        number(&clock[2..])?,
        0,
    )
}

fn detect(head: &Head) -> Option<String> {
    let fields = fields(head.line(0).as_bytes())?;
    time(fields[DATE], fields[TIME])?;
    Some("no header; rows of 38 fields that begin with a station, a date and an hour".to_owned())
}

/// "CRNH0203-2018-CO_Invented_2_E" names the station behind the year.
fn name(stem: &str) -> Option<String> {
    let mut parts = stem.split('.').next()?.splitn(3, '-');
    let name = parts.nth(2)?;
    (stem.starts_with("CRNH") && !name.is_empty()).then(|| name.replace('_', " "))
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Plain;
    let name = name(&input.stem());
    let mut stations = Stations::default();
    while let Some(row) = input.rows.next()? {
        let Some(fields) = fields(row.bytes) else {
            gather.leave_out(Why::OtherLine, row.line);
            continue;
        };
        let Some(end) = time(fields[DATE], fields[TIME]) else {
            gather.leave_out_row(Why::NoStamp, row.line, row.bytes);
            continue;
        };
        let value = |at: usize| scan::decimal(fields[at]).filter(|&value| value > MISSING);
        if stations.names().is_empty() {
            let local = time(fields[LOCAL_DATE], fields[LOCAL_TIME]);
            let declared = gather.declare();
            declared.station = Station {
                id: Some(String::from_utf8_lossy(fields[STATION]).into_owned()),
                name: name.clone(),
                latitude_deg: super::latitude(fields[LATITUDE]),
                longitude_deg: super::longitude(fields[LONGITUDE]),
                elevation_m: None,
                utc_offset: local
                    .and_then(|local| i32::try_from(local - end).ok())
                    .and_then(UtcOffset::from_seconds),
            };
            declared.lows = Lows::OfWholeHours;
        }
        stations.meet(fields[STATION], String::new);
        let mut reading = Reading::new(Span::hour_ending(Stamp(end)), row.line);
        reading.air = value(MEAN).or_else(|| value(LAST_MINUTES)).ok_or(Why::NoAir);
        reading.low_c = value(LOWEST);
        reading.high_c = value(HIGHEST);
        reading.ghi = value(RADIATION).filter(|_| fields[RADIATION_FLAG] == b"0");
        gather.push(&reading);
    }
    stations.one(input.path)
}
