//! NASA POWER, hourly: means of a reanalysis and a satellite's grid cell.
//!
//! The head says "in LST" or "in UTC"; LST is local solar time, whole hours from UTC by the longitude (the data are
//! hours of UTC, so the shift cannot be a fraction: reasoned, not documented here). A row is the mean of the hour
//! that begins at its stamp (from memory). -999 is missing. Radiation in W/m2, or in MJ a square metre and hour where
//! the head says so. Layout seen transcribed.

use super::{Format, Input, Table, elevation, open_meteo, stamp};
use crate::note::{Note, NoteKind};
use crate::time::UtcOffset;
use crate::weather::cells;
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span, oktas_of_percent};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "NASA POWER", detect, read };

const YEAR: usize = 0;
const MONTH: usize = 1;
const DAY: usize = 2;
const HOUR: usize = 3;
const AIR: usize = 4;
const GHI: usize = 5;
const DNI: usize = 6;
const DHI: usize = 7;
const WIND: usize = 8;
const CLOUD: usize = 9;

const COLUMNS: &[(usize, &[&str])] = &[
    (YEAR, &["YEAR"]),
    (MONTH, &["MO"]),
    (DAY, &["DY"]),
    (HOUR, &["HR"]),
    (AIR, &["T2M"]),
    (GHI, &["ALLSKY_SFC_SW_DWN"]),
    (DNI, &["ALLSKY_SFC_SW_DNI"]),
    (DHI, &["ALLSKY_SFC_SW_DIFF"]),
    (WIND, &["WS10M", "WS2M"]),
    (CLOUD, &["CLOUD_AMT"]),
];

/// At and below this a value stands for "missing" (-999).
const MISSING: f64 = -990.0;
/// W/m2 in a MJ/m2 over an hour.
const MEGAJOULE_HOUR: f64 = 1e6 / 3600.0;

fn header_line(head: &Head) -> Option<usize> {
    head.lines.iter().position(|line| line.replace(' ', "").starts_with("YEAR,MO,DY,HR"))
}

fn detect(head: &Head) -> Option<String> {
    if head.line(0).starts_with("-BEGIN HEADER-") {
        return Some("line 1 is \"-BEGIN HEADER-\"".to_owned());
    }
    header_line(head).map(|_| "its header begins \"YEAR,MO,DY,HR\"".to_owned())
}

/// The number behind `name` in the head.
fn number(lines: &[String], name: &str) -> Option<f64> {
    lines.iter().find_map(|line| {
        let rest = &line[line.find(name)? + name.len()..];
        scan::decimal(rest.split_ascii_whitespace().next()?.as_bytes())
    })
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Plain;
    let Some(header) = header_line(input.head) else {
        return Err(input.layout(
            1,
            "no line that begins \"YEAR,MO,DY,HR\"",
            "an hourly file",
            "download hourly data",
        ));
    };
    let columns = input.head.cells(header, b',');
    if cells::position(&columns, "T2M").is_none() {
        return Err(WeatherError::NoAir {
            path: input.path.to_path_buf(),
            format: FORMAT.name,
            found: format!("its columns are {}", cells::listed(&columns)),
            expected: "a column T2M",
            next: "download again with the parameter T2M",
        });
    }
    let head = &input.head.lines[..header];
    let (north, east) = (number(head, "Latitude"), number(head, "Longitude"));
    let height = head
        .iter()
        .find(|line| line.starts_with("Elevation"))
        .and_then(|line| elevation(line.rsplit('=').next()?.split_ascii_whitespace().next()?.as_bytes()));
    if let Some(line) =
        head.iter().find(|line| line.starts_with("T2M ") && (line.contains("(K)") || line.contains("(F)")))
    {
        return Err(input.layout(
            1,
            format!("\"{}\"", cells::shown(line)),
            "T2M in C, as this archive has it",
            "download again, or name the columns and `air_unit` under [stop.columns]",
        ));
    }
    let zone = zone(input, head, east)?;
    let megajoules = head.iter().any(|line| line.contains("SW_D") && line.contains("MJ"));
    let light = if megajoules { MEGAJOULE_HOUR } else { 1.0 };
    let declared = gather.declare();
    declared.station = Station {
        id: None,
        name: None,
        latitude_deg: north.filter(|value| value.abs() <= 90.0),
        longitude_deg: east.filter(|value| value.abs() <= 180.0),
        elevation_m: height,
        utc_offset: (zone != UtcOffset::UTC).then_some(zone),
    };
    declared.notes.push(open_meteo::grid_note());
    if zone != UtcOffset::UTC {
        let text = format!("local solar time is read as {zone} from UTC, whole hours by the longitude");
        declared.notes.push(Note::once(NoteKind::Assumed, text));
    }
    let table = Table { separator: b',', header, columns: COLUMNS, keys: &[YEAR] };
    table.read(input, gather, |cells, line, _| {
        let part = |slot: usize| scan::integer(scan::trim(cells.at(slot)));
        let small = |slot: usize| part(slot).and_then(|value| u32::try_from(value).ok()).ok_or(Why::NoStamp);
        let year = part(YEAR).ok_or(Why::NoStamp)?;
        let begin = scan::civil(year, small(MONTH)?, small(DAY)?, small(HOUR)?, 0, 0).ok_or(Why::NoStamp)?;
        let value = |slot: usize| scan::decimal(cells.at(slot)).filter(|&value| value > MISSING);
        let mut reading = Reading::new(Span::hour_beginning(stamp(begin, zone)), line);
        reading.air = reading::air(cells.at(AIR), |value| value <= MISSING);
        reading.ghi = value(GHI).map(|value| value * light);
        reading.dni = value(DNI).map(|value| value * light);
        reading.dhi = value(DHI).map(|value| value * light);
        reading.wind_m_s = value(WIND);
        reading.oktas = value(CLOUD).and_then(oktas_of_percent);
        Ok(reading)
    })
}

/// From the head, else from the file's name, else the user's.
fn zone(input: &Input<'_>, head: &[String], east: Option<f64>) -> Result<UtcOffset, WeatherError> {
    let dates = head.iter().find(|line| line.starts_with("Dates")).map_or("", String::as_str).trim_end();
    let name = input.stem().to_ascii_uppercase();
    let utc = dates.ends_with("in UTC") || (dates.is_empty() && name.contains("_UTC"));
    let solar = dates.ends_with("in LST") || (dates.is_empty() && name.contains("_LST"));
    match (utc, solar, east, input.utc_offset) {
        (true, ..) => Ok(UtcOffset::UTC),
        (false, true, Some(east), _) => Ok(UtcOffset::from_longitude(east)),
        (false, _, _, Some(zone)) => Ok(zone),
        _ => Err(input.layout(
            1,
            "no word of whether the hours are UTC or local solar time",
            "\"in UTC\" or \"in LST\" in the head, with the longitude",
            "download again in UTC with the header block, or set `utc_offset` for this stop",
        )),
    }
}
