//! Meteostat's hourly bulk files: the old ones without header, the new ones with a source beside each value.
//!
//! UTC, instants on the hour; wind in km/h, cloud cover in oktas (from memory). The station is the file's name.
//! Rows whose temperature a forecast model made are left out altogether. Both layouts were seen quoted, not in a
//! whole file.

use super::KM_H;
use super::{Format, Input, Stop, Table};
use crate::time::Stamp;
use crate::weather::WeatherError;
use crate::weather::cells::{self, Picker};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span};
use crate::weather::scan;
use crate::weather::tally::Why;

pub(super) const OLD: Format = Format { name: "Meteostat (old)", detect: detect_old, read: read_old };
pub(super) const NEW: Format = Format { name: "Meteostat", detect: detect_new, read: read_new };

const YEAR: usize = 0;
const MONTH: usize = 1;
const DAY: usize = 2;
const HOUR: usize = 3;
const AIR: usize = 4;
const SOURCE: usize = 5;
const WIND: usize = 6;
const CLOUD: usize = 7;

const COLUMNS: &[(usize, &[&str])] = &[
    (YEAR, &["year"]),
    (MONTH, &["month"]),
    (DAY, &["day"]),
    (HOUR, &["hour"]),
    (AIR, &["temp"]),
    (SOURCE, &["temp_source"]),
    (WIND, &["wspd"]),
    (CLOUD, &["cldc"]),
];

/// Columns of the old layout: date, hour, temperature, and wind in the ninth.
const OLD_COLUMNS: &[(usize, usize)] = &[(YEAR, 0), (HOUR, 1), (AIR, 2), (WIND, 8)];
const OLD_CELLS: usize = 13;

fn detect_new(head: &Head) -> Option<String> {
    let cells = head.cells(0, b',');
    (cells.starts_with(&["year", "month", "day", "hour"].map(str::to_owned))
        && cells::position(&cells, "temp").is_some())
    .then(|| "its header begins \"year,month,day,hour\" and holds temp".to_owned())
}

fn detect_old(head: &Head) -> Option<String> {
    let cells = head.cells(0, b',');
    let date = cells.first().is_some_and(|cell| cell.len() == 10 && scan::iso(cell.as_bytes()).is_some());
    let hour = cells.get(1).and_then(|cell| cell.parse::<u32>().ok()).is_some_and(|hour| hour < 24);
    (date && hour && cells.len() == OLD_CELLS)
        .then(|| "no header; rows of thirteen cells that begin with a date and an hour".to_owned())
}

/// The file's name up to the first point.
fn id(input: &Input<'_>) -> Option<String> {
    input.stem().split('.').next().filter(|stem| !stem.is_empty()).map(str::to_owned)
}

fn forecast(source: &[u8]) -> bool {
    let source = cells::text(source);
    // "mosmix" is the German service's statistical forecast (from memory).
    source.contains("forecast") || source.contains("mosmix")
}

fn read_new(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    gather.declare().station.id = id(input);
    let table = Table { separator: b',', header: 0, columns: COLUMNS, keys: &[YEAR] };
    table.read(input, gather, |cells, line, _| {
        let part = |slot: usize| scan::integer(scan::trim(cells.at(slot)));
        let small = |slot: usize| part(slot).and_then(|value| u32::try_from(value).ok()).ok_or(Why::NoStamp);
        let year = part(YEAR).ok_or(Why::NoStamp)?;
        let stamp = scan::civil(year, small(MONTH)?, small(DAY)?, small(HOUR)?, 0, 0).ok_or(Why::NoStamp)?;
        if forecast(cells.at(SOURCE)) {
            return Err(Stop::Row(Why::Forecast));
        }
        let mut reading = Reading::new(Span::Instant(Stamp(stamp)), line);
        reading.air = reading::air(cells.at(AIR), |_| false);
        reading.wind_m_s = scan::decimal(cells.at(WIND)).map(|speed| speed * KM_H);
        reading.oktas = scan::decimal(cells.at(CLOUD));
        Ok(reading)
    })
}

fn read_old(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    gather.declare().station.id = id(input);
    let mut picker = Picker::new(b',', OLD_COLUMNS);
    while let Some(row) = input.rows.next()? {
        let cells = picker.pick(row.bytes);
        let hour = scan::integer(scan::trim(cells.at(HOUR))).filter(|hour| (0..24).contains(hour));
        let (Some(day), Some(hour)) = (scan::iso(cells.at(YEAR)), hour) else {
            gather.leave_out_row(Why::NoStamp, row.line, row.bytes);
            continue;
        };
        let mut reading = Reading::new(Span::Instant(Stamp(day.seconds + i64::from(hour) * 3600)), row.line);
        reading.air = reading::air(cells.at(AIR), |_| false);
        reading.wind_m_s = scan::decimal(cells.at(WIND)).map(|speed| speed * KM_H);
        gather.push(&reading);
    }
    Ok(())
}
