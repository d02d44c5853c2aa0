//! Open-Meteo's historical archive as CSV: a weather model's grid cell, not a station.
//!
//! A block of the place, then a block of hours, and maybe a block of days. One fixed offset, which stands in the
//! head, holds for the whole file, winter and summer alike. Temperature is an instant; radiation is the mean of the
//! hour before its stamp (from memory), so in files with radiation each row stands for that hour. Units stand in
//! brackets behind the names. Layout seen in real files, old and new names.

use super::{Format, Input, Stop, stamp, zone_left_open};
use crate::note::{Note, NoteKind};
use crate::time::UtcOffset;
use crate::units::Celsius;
use crate::weather::cells::{self, Picker};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::misread::Width;
use crate::weather::reading::{self, Reading, Span, oktas_of_percent};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "Open-Meteo", detect, read };

const TIME: usize = 0;
const AIR: usize = 1;
const GHI: usize = 2;
const DNI: usize = 3;
const DHI: usize = 4;
const CLOUD: usize = 5;
const WIND: usize = 6;

/// Slots with the names, old and new, that stand before the unit.
const COLUMNS: &[(usize, &[&str])] = &[
    (TIME, &["time"]),
    (AIR, &["temperature_2m"]),
    (GHI, &["shortwave_radiation"]),
    (DNI, &["direct_normal_irradiance"]),
    (DHI, &["diffuse_radiation"]),
    (CLOUD, &["cloud_cover", "cloudcover"]),
    (WIND, &["wind_speed_10m", "windspeed_10m"]),
];

const PLACE: &str = "latitude,longitude,elevation,utc_offset_seconds";

fn detect(head: &Head) -> Option<String> {
    let first = head.line(0);
    if first.starts_with(PLACE) || first.starts_with(&format!("location_id,{PLACE}")) {
        return Some(format!("line 1 begins \"{PLACE}\""));
    }
    let cells = head.cells(0, b',');
    let hourly = cells.iter().any(|cell| {
        let name = cell.split(" (").next().unwrap_or_default();
        cell.ends_with(')') && COLUMNS[1..].iter().any(|(_, names)| names.contains(&name))
    });
    (cells.first().is_some_and(|cell| cell == "time") && hourly)
        .then(|| "its header begins \"time\" and holds names such as \"temperature_2m (°C)\"".to_owned())
}

/// What stands in a column and how to bring it to SI.
struct Layout {
    picker: Picker,
    air: fn(f64) -> f64,
    wind: f64,
    radiation: bool,
    width: Width,
}

fn layout(input: &Input<'_>, header: &[String], line: u32) -> Result<Layout, WeatherError> {
    let mut wanted = Vec::new();
    let mut found = Layout {
        picker: Picker::new(b',', &[]),
        air: |c| c,
        wind: 1.0 / 3.6,
        radiation: false,
        width: Width::new(b',', header),
    };
    for (column, cell) in header.iter().enumerate() {
        let (name, unit) = match cell.split_once(" (") {
            Some((name, unit)) => (name, unit.trim_end_matches(')')),
            None => (cell.as_str(), ""),
        };
        let Some((slot, _)) = COLUMNS.iter().find(|(_, names)| names.contains(&name)) else { continue };
        wanted.push((*slot, column));
        match *slot {
            AIR if unit.ends_with('F') => found.air = |f| Celsius::from_fahrenheit(f).0,
            AIR if !unit.ends_with('C') => {
                return Err(input.layout(
                    line,
                    format!("temperature in \"{}\"", cells::shown(unit)),
                    "°C or °F in brackets behind temperature_2m",
                    "download again, or put the unit back",
                ));
            }
            WIND => {
                found.wind = match unit {
                    "m/s" => 1.0,
                    "mp/h" | "mph" => 0.447_04,
                    "kn" => 1852.0 / 3600.0,
                    _ => 1.0 / 3.6,
                }
            }
            GHI | DNI | DHI => found.radiation = true,
            _ => {}
        }
    }
    found.picker = Picker::new(b',', &wanted);
    Ok(found)
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Plain;
    let mut zone = None;
    let mut hours: Option<Layout> = None;
    let mut any = false;
    let mut seen = String::new();
    loop {
        let (line, cells_of_row, reading) = {
            let Some(row) = input.rows.next()? else { break };
            match &mut hours {
                Some(layout) if row.bytes.first().is_some_and(u8::is_ascii_digit) => {
                    (row.line, None, Some(self::row(layout, row.bytes, row.line, zone)))
                }
                _ => (row.line, Some(cells::header(row.bytes, b',')), None),
            }
        };
        match (cells_of_row, reading) {
            (_, Some(Ok(reading))) => gather.push(&reading),
            (_, Some(Err(Stop::Row(why)))) => gather.leave_out(why, line),
            (_, Some(Err(Stop::File(error)))) => return Err(*error),
            (Some(header), None) if header.first().is_some_and(|cell| cell == "time") => {
                if cells::position(&header, "time").is_some()
                    && header.iter().any(|cell| cell.split(" (").next() == Some("temperature_2m"))
                {
                    if zone.is_none() {
                        zone = Some(zone_left_open(input, None, "stamps")?.0);
                    }
                    hours = Some(layout(input, &header, line)?);
                    any = true;
                } else {
                    seen = cells::listed(&header);
                    hours = None;
                }
            }
            (Some(header), None) if header.first().is_some_and(|cell| cell == "location_id") => {
                return Err(WeatherError::SeveralStations {
                    place: input.path.display().to_string(),
                    names: vec!["one for each location_id".to_owned()],
                    next: "download one place a file",
                });
            }
            (Some(header), None) if header.first().is_some_and(|cell| cell == "latitude") => {
                let row = input.rows.next()?.map(|row| cells::header(row.bytes, b',')).unwrap_or_default();
                zone = Some(place(input, gather, &header, &row, line + 1)?);
            }
            _ => gather.leave_out(Why::OtherLine, line),
        }
    }
    if let Some((line, found, expected, next)) = hours.as_ref().and_then(|layout| layout.width.fault()) {
        return Err(input.layout(line, found, expected, next));
    }
    if any {
        return Ok(());
    }
    Err(WeatherError::NoAir {
        path: input.path.to_path_buf(),
        format: FORMAT.name,
        found: format!("its columns are {seen}"),
        expected: "temperature_2m",
        next: "download again with the hourly variable temperature_2m",
    })
}

fn place(
    input: &Input<'_>,
    gather: &mut Gather,
    header: &[String],
    row: &[String],
    line: u32,
) -> Result<UtcOffset, WeatherError> {
    let value = |name: &str| {
        cells::position(header, name)
            .and_then(|at| row.get(at))
            .and_then(|cell| scan::decimal(cell.as_bytes()))
    };
    // Every zone of the earth is whole quarters of an hour from UTC.
    let zone = value("utc_offset_seconds")
        .filter(|seconds| seconds % 900.0 == 0.0)
        .and_then(|seconds| UtcOffset::from_hours(seconds / 3600.0));
    let Some(zone) = zone else {
        return Err(input.layout(
            line,
            cells::listed(row),
            "utc_offset_seconds in the fourth cell",
            "download again",
        ));
    };
    let declared = gather.declare();
    let here = (value("latitude"), value("longitude"));
    let before = (declared.station.latitude_deg, declared.station.longitude_deg);
    if before != (None, None) && before != here {
        let named = |(latitude, longitude): (Option<f64>, Option<f64>)| {
            format!("{}, {}", latitude.unwrap_or(f64::NAN), longitude.unwrap_or(f64::NAN))
        };
        return Err(WeatherError::SeveralStations {
            place: input.path.display().to_string(),
            names: vec![named(before), named(here)],
            next: "cut the file, one place a file",
        });
    }
    declared.station = Station {
        id: None,
        name: None,
        latitude_deg: here.0,
        longitude_deg: here.1,
        elevation_m: value("elevation"),
        utc_offset: Some(zone),
    };
    declared.notes.push(grid_note());
    Ok(zone)
}

/// What every grid's record is told.
pub(super) fn grid_note() -> Note {
    Note::once(
        NoteKind::Place,
        "a grid cell of a weather model, not a thermometer: on calm clear nights valleys are often 2 to 5 K colder \
         than it says (from memory); prefer a station's record for extremes",
    )
}

fn row(layout: &mut Layout, row: &[u8], line: u32, zone: Option<UtcOffset>) -> Result<Reading, Stop> {
    if layout.width.is_due() {
        layout.width.look(row, line);
    }
    let cells = layout.picker.pick(row);
    let civil = scan::iso(cells.at(TIME)).ok_or(Why::NoStamp)?;
    let stamp = stamp(civil.seconds, zone.unwrap_or(UtcOffset::UTC));
    let span = if layout.radiation { Span::hour_ending(stamp) } else { Span::Instant(stamp) };
    let mut reading = Reading::new(span, line);
    reading.air = reading::air(cells.at(AIR), |_| false).map(layout.air);
    reading.ghi = scan::decimal(cells.at(GHI));
    reading.dni = scan::decimal(cells.at(DNI));
    reading.dhi = scan::decimal(cells.at(DHI));
    reading.oktas = scan::decimal(cells.at(CLOUD)).and_then(oktas_of_percent);
    reading.wind_m_s = scan::decimal(cells.at(WIND)).map(|speed| speed * layout.wind);
    Ok(reading)
}
