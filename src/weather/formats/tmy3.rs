//! TMY3: a typical year put together from months of different years.
//!
//! Line 1 holds the station, line 2 the headings. Local standard time, hour ending (01:00 to 24:00); irradiance is
//! the mean of that hour, and the temperature printed with it belongs to the same hour. Missing is -9900 or a run
//! of nines (from memory). Layout seen in real files.

use super::{Format, Input, stamp};
use crate::time::UtcOffset;
use crate::weather::cells::{self, Picker};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{Reading, Span, oktas_of_tenths};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "TMY3", detect, read };

const DATE: usize = 0;
const TIME: usize = 1;
const GHI: usize = 2;
const DNI: usize = 3;
const DHI: usize = 4;
const CLOUD: usize = 5;
const AIR: usize = 6;
const WIND: usize = 7;

const COLUMNS: &[(usize, &[&str])] = &[
    (DATE, &["Date (MM/DD/YYYY)"]),
    (TIME, &["Time (HH:MM)"]),
    (GHI, &["GHI (W/m^2)"]),
    (DNI, &["DNI (W/m^2)"]),
    (DHI, &["DHI (W/m^2)"]),
    (CLOUD, &["TotCld (tenths)"]),
    (AIR, &["Dry-bulb (C)"]),
    (WIND, &["Wspd (m/s)"]),
];

/// At and below this a value stands for "missing" (-9900).
const MISSING_BELOW: f64 = -9000.0;
/// At and above this, likewise (9999).
const MISSING_ABOVE: f64 = 9000.0;

fn detect(head: &Head) -> Option<String> {
    let first = head.cells(0, b',');
    let id = first.first()?;
    let headings = head.has_cells(1, b',', &["Date (MM/DD/YYYY)", "Time (HH:MM)", "Dry-bulb (C)"]);
    (headings && id.len() == 6 && first.len() >= 7)
        .then(|| "line 1 names a station, line 2 begins \"Date (MM/DD/YYYY),Time (HH:MM)\"".to_owned())
}

fn value(cell: &[u8]) -> Option<f64> {
    scan::decimal(cell).filter(|&value| value > MISSING_BELOW && value < MISSING_ABOVE)
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Honoured;
    let first = input.head.cells(0, b',');
    let mut picker = Picker::by_name(b',', &input.head.cells(1, b','), COLUMNS);
    let number = |at: usize| first.get(at).and_then(|cell| scan::decimal(cell.as_bytes()));
    let Some(offset) = number(3).and_then(UtcOffset::from_hours) else {
        return Err(input.layout(
            1,
            format!("\"{}\" as the time zone", cells::shown(first.get(3).map_or("", String::as_str))),
            "hours from UTC such as -5.0 in the fourth cell",
            "download the file again",
        ));
    };
    let declared = gather.declare();
    declared.typical_year = true;
    declared.station = Station {
        id: first.first().cloned(),
        name: first.get(1).map(|name| match first.get(2) {
            Some(state) if !state.is_empty() => format!("{name}, {state}"),
            _ => name.clone(),
        }),
        latitude_deg: number(4),
        longitude_deg: number(5),
        elevation_m: number(6),
        utc_offset: Some(offset),
    };
    // The station and the headings.
    input.rows.next()?;
    input.rows.next()?;
    while let Some(row) = input.rows.next()? {
        let cells = picker.pick(row.bytes);
        let Some(end) = civil(cells.at(DATE), cells.at(TIME)) else {
            gather.leave_out_row(Why::NoStamp, row.line, row.bytes);
            continue;
        };
        let mut reading = Reading::new(Span::hour_ending(stamp(end, offset)), row.line);
        reading.air = value(cells.at(AIR)).ok_or(Why::NoAir);
        reading.ghi = value(cells.at(GHI));
        reading.dni = value(cells.at(DNI));
        reading.dhi = value(cells.at(DHI));
        reading.oktas = value(cells.at(CLOUD)).and_then(oktas_of_tenths);
        reading.wind_m_s = value(cells.at(WIND));
        gather.push(&reading);
    }
    Ok(())
}

/// "01/31/1988" and "24:00" as civil seconds.
fn civil(date: &[u8], time: &[u8]) -> Option<i64> {
    let (date, time) = (cells::text(date), cells::text(time));
    let mut parts = date.trim().split('/').map(str::parse::<u32>);
    let (month, day, year) = (parts.next()?.ok()?, parts.next()?.ok()?, parts.next()?.ok()?);
    let (hour, minute) = time.trim().split_once(':')?;
    scan::civil(i32::try_from(year).ok()?, month, day, hour.parse().ok()?, minute.parse().ok()?, 0)
}
