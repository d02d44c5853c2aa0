//! NSRDB, physical solar model 3 and 4: satellite snapshots of a grid cell.
//!
//! Line 1 names and line 2 holds the facts of the place, line 3 the columns that were chosen. `Time Zone` is the
//! stamps' fixed offset, `Local Time Zone` the site's. Values are snapshots at the stamp (from memory), so each
//! row is an instant; 29 February is often absent. Years that jump from month to month make a typical year. Layout
//! seen in real files.

use super::{Format, Input, Table, elevation, latitude, longitude, open_meteo, stamp};
use crate::time::UtcOffset;
use crate::weather::cells;
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span};
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "NSRDB", detect, read };

const YEAR: usize = 0;
const MONTH: usize = 1;
const DAY: usize = 2;
const HOUR: usize = 3;
const MINUTE: usize = 4;
const AIR: usize = 5;
const GHI: usize = 6;
const DNI: usize = 7;
const DHI: usize = 8;
const WIND: usize = 9;

const COLUMNS: &[(usize, &[&str])] = &[
    (YEAR, &["Year"]),
    (MONTH, &["Month"]),
    (DAY, &["Day"]),
    (HOUR, &["Hour"]),
    (MINUTE, &["Minute"]),
    (AIR, &["Temperature"]),
    (GHI, &["GHI"]),
    (DNI, &["DNI"]),
    (DHI, &["DHI"]),
    (WIND, &["Wind Speed"]),
];

/// Line of the columns.
const HEADER: usize = 2;

fn detect(head: &Head) -> Option<String> {
    (head.has_cells(0, b',', &["Source", "Location ID", "Latitude", "Longitude", "Time Zone"])
        && head.has_cells(HEADER, b',', &["Year", "Month", "Day", "Hour"]))
    .then(|| "line 1 holds Source, Location ID and Time Zone, line 3 begins with Year".to_owned())
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    let names = input.head.cells(0, b',');
    let facts = input.head.cells(1, b',');
    let header = input.head.cells(HEADER, b',');
    let fact =
        |name: &str| cells::position(&names, name).and_then(|at| facts.get(at)).map_or("", String::as_str);
    if cells::position(&header, "Temperature").is_none() {
        let columns: Vec<&str> = header.iter().map(String::as_str).filter(|cell| !cell.is_empty()).collect();
        return Err(WeatherError::NoAir {
            path: input.path.to_path_buf(),
            format: FORMAT.name,
            found: format!("its columns are {}", cells::listed(&columns)),
            expected: "a column Temperature",
            next: "download again with the attribute air_temperature",
        });
    }
    let hours = |name: &str| scan::decimal(fact(name).as_bytes()).and_then(UtcOffset::from_hours);
    let Some(zone) = hours("Time Zone") else {
        return Err(input.layout(
            2,
            format!("\"{}\" as Time Zone", cells::shown(fact("Time Zone"))),
            "hours from UTC such as -7",
            "download the file again",
        ));
    };
    let unit = fact("Temperature Units");
    if !matches!(unit, "" | "-" | "c" | "C" | "°C" | "degC" | "Celsius") {
        return Err(input.layout(
            2,
            format!("\"{}\" as Temperature Units", cells::shown(unit)),
            "c",
            "download the file again, or name its columns and `air_unit` under [stop.columns]",
        ));
    }
    let named = |name: &str| Some(fact(name).to_owned()).filter(|text| !text.is_empty() && text != "-");
    let declared = gather.declare();
    declared.station = Station {
        id: named("Location ID"),
        name: named("City"),
        latitude_deg: latitude(fact("Latitude").as_bytes()),
        longitude_deg: longitude(fact("Longitude").as_bytes()),
        elevation_m: elevation(fact("Elevation").as_bytes()),
        utc_offset: hours("Local Time Zone").or(Some(zone)),
    };
    declared.notes.push(open_meteo::grid_note());
    declared.typical_year = input.stem().to_ascii_lowercase().contains("tmy");
    let (source, id, path) = (fact("Source").to_owned(), fact("Location ID").to_owned(), input.path);
    let mut before: Option<(i32, u32)> = None;
    let mut jumps = 0;
    let table = Table { separator: b',', header: HEADER, columns: COLUMNS, keys: &[YEAR] };
    table.read(input, gather, |cells, line, gather| {
        let part = |slot: usize| scan::integer(scan::trim(cells.at(slot)));
        let small = |slot: usize| part(slot).and_then(|value| u32::try_from(value).ok());
        let date = match part(YEAR).zip(small(MONTH)) {
            Some(date) => date,
            // The facts of the place again, where files were joined: source and number, the latter below the month.
            None if cells.at(YEAR) == source.as_bytes() && !source.is_empty() => {
                if cells.at(MONTH) == id.as_bytes() {
                    return Err(Why::OtherLine.into());
                }
                return Err(WeatherError::SeveralStations {
                    place: path.display().to_string(),
                    names: vec![id.clone(), cells::text(cells.at(MONTH)).into_owned()],
                    next: "cut the file, one place a file",
                }
                .into());
            }
            None if cells.at(YEAR).eq_ignore_ascii_case(b"Source") => return Err(Why::OtherLine.into()),
            None => return Err(Why::NoStamp.into()),
        };
        if before != Some(date) {
            // The next month of another year: these months were chosen, not lived through.
            jumps += u32::from(before.is_some_and(|(year, month)| date.1 == month + 1 && date.0 != year));
            before = Some(date);
            gather.declare().typical_year |= jumps >= 2;
        }
        let (day, hour) = small(DAY).zip(small(HOUR)).ok_or(Why::NoStamp)?;
        let civil =
            scan::civil(date.0, date.1, day, hour, small(MINUTE).unwrap_or(0), 0).ok_or(Why::NoStamp)?;
        let mut reading = Reading::new(Span::Instant(stamp(civil, zone)), line);
        reading.air = reading::air(cells.at(AIR), |value| value.abs() >= 900.0);
        reading.ghi = scan::decimal(cells.at(GHI));
        reading.dni = scan::decimal(cells.at(DNI));
        reading.dhi = scan::decimal(cells.at(DHI));
        reading.wind_m_s = scan::decimal(cells.at(WIND));
        Ok(reading)
    })
}
