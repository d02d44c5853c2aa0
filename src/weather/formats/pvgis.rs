//! PVGIS: hourly series of a satellite's and a weather model's grid cell, and typical years.
//!
//! UTC. Stamps such as 20160101:0010; their minute is the satellite's. Irradiance is a snapshot, on the tilted plane
//! in the hourly series (used only where that plane is flat) and on the usual planes in typical years. Below the
//! table stands a legend. Layouts seen in real files, the typical year also with its head cut off.

use super::{Format, Input, Stop, Table, elevation, latitude, longitude, open_meteo};
use crate::note::{Note, NoteKind};
use crate::time::Stamp;
use crate::weather::cells::{self, Cells};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const HOURLY: Format = Format { name: "PVGIS hourly", detect: detect_hourly, read: read_hourly };
pub(super) const TYPICAL: Format =
    Format { name: "PVGIS typical year", detect: detect_typical, read: read_typical };

const TIME: usize = 0;
const AIR: usize = 1;
const WIND: usize = 2;
const GLOBAL: usize = 3;
const BEAM: usize = 4;
const DIFFUSE: usize = 5;

const HOURLY_COLUMNS: &[(usize, &[&str])] = &[
    (TIME, &["time"]),
    (AIR, &["T2m"]),
    (WIND, &["WS10m"]),
    (GLOBAL, &["G(i)"]),
    (BEAM, &["Gb(i)"]),
    (DIFFUSE, &["Gd(i)"]),
];
const TYPICAL_COLUMNS: &[(usize, &[&str])] = &[
    (TIME, &["time(UTC)"]),
    (AIR, &["T2m"]),
    (WIND, &["WS10m"]),
    (GLOBAL, &["G(h)"]),
    (BEAM, &["Gb(n)"]),
    (DIFFUSE, &["Gd(h)"]),
];

/// Line of the header that begins with `first`.
fn header_line(head: &Head, first: &str) -> Option<usize> {
    head.lines.iter().position(|line| {
        line.strip_prefix(first).is_some_and(|rest| rest.starts_with(',')) && line.contains("T2m")
    })
}

fn detect_hourly(head: &Head) -> Option<String> {
    let at = header_line(head, "time")?;
    let cells = head.cells(at, b',');
    let held = |name: &str| cells::position(&cells, name).is_some();
    (held("T2m") && (held("H_sun") || held("G(i)") || held("Gb(i)")))
        .then(|| "its header begins \"time,\" and holds T2m beside H_sun, G(i) or Gb(i)".to_owned())
}

fn detect_typical(head: &Head) -> Option<String> {
    header_line(head, "time(UTC)").map(|_| "its header begins \"time(UTC),T2m\"".to_owned())
}

/// The value behind "name:" in the head.
fn fact<'h>(head: &'h Head, name: &str) -> Option<&'h str> {
    head.lines.iter().find_map(|line| Some(line.strip_prefix(name)?.trim_start_matches(':').trim()))
}

fn station(head: &Head) -> Station {
    let text = |name: &str| fact(head, name).unwrap_or_default().as_bytes();
    Station {
        id: None,
        name: None,
        latitude_deg: latitude(text("Latitude (decimal degrees)")),
        longitude_deg: longitude(text("Longitude (decimal degrees)")),
        elevation_m: elevation(text("Elevation (m)")),
        utc_offset: None,
    }
}

/// "20160101:0010" as a stamp.
fn time(cell: &[u8]) -> Option<Stamp> {
    let (date, clock) = (cell.get(..8)?, cell.get(9..13)?);
    if cell.get(8) != Some(&b':') {
        return None;
    }
    let number = |digits: &[u8]| scan::integer(digits).and_then(|value| u32::try_from(value).ok());
    let seconds = scan::civil(
        scan::integer(&date[..4])?,
        number(&date[4..6])?,
        number(&date[6..])?,
        number(&clock[..2])?,
        number(&clock[2..])?,
        0,
    )?;
    Some(Stamp(seconds))
}

/// What both layouts share; the legend below the table is passed over.
fn reading(cells: &Cells<'_>, line: u32) -> Result<Reading, Stop> {
    let stamp = time(scan::trim(cells.at(TIME))).ok_or({
        if cells.at(TIME).first().is_some_and(u8::is_ascii_digit) { Why::NoStamp } else { Why::OtherLine }
    })?;
    let mut reading = Reading::new(Span::Instant(stamp), line);
    reading.air = reading::air(cells.at(AIR), |value| value.abs() >= 900.0);
    reading.wind_m_s = scan::decimal(cells.at(WIND));
    Ok(reading)
}

fn read_hourly(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Plain;
    let header = header_line(input.head, "time").unwrap_or(0);
    let slope = fact(input.head, "Slope").and_then(|text| scan::decimal(text.split(' ').next()?.as_bytes()));
    let flat = slope == Some(0.0);
    let declared = gather.declare();
    declared.station = station(input.head);
    declared.notes.push(open_meteo::grid_note());
    if !flat {
        let text = match slope {
            Some(slope) => format!(
                "its irradiance is that of a plane tilted by {slope} deg and is not used; download with a slope of 0 \
                 to have it"
            ),
            None => "the slope of its plane is not in the file, so its irradiance is not used".to_owned(),
        };
        declared.notes.push(Note::once(NoteKind::Assumed, text));
    }
    let table = Table { separator: b',', header, columns: HOURLY_COLUMNS, keys: &[TIME] };
    table.read(input, gather, |cells, line, _| {
        let mut reading = reading(cells, line)?;
        if flat {
            let beam = scan::decimal(cells.at(BEAM));
            reading.dhi = scan::decimal(cells.at(DIFFUSE));
            reading.ghi =
                scan::decimal(cells.at(GLOBAL)).or(beam.zip(reading.dhi).map(|(beam, sky)| beam + sky));
        }
        Ok(reading)
    })
}

fn read_typical(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Plain;
    let header = header_line(input.head, "time(UTC)").unwrap_or(0);
    let declared = gather.declare();
    declared.typical_year = true;
    declared.station = station(input.head);
    declared.notes.push(open_meteo::grid_note());
    if let Some(minutes) = fact(input.head, "Irradiance Time Offset (h)")
        .and_then(|text| scan::decimal(text.as_bytes()))
        .map(|hours| hours * 60.0)
    {
        let text =
            format!("its irradiance was seen {minutes:.0} minutes after the stamp and is taken for the hour");
        declared.notes.push(Note::once(NoteKind::Assumed, text));
    }
    let table = Table { separator: b',', header, columns: TYPICAL_COLUMNS, keys: &[TIME] };
    table.read(input, gather, |cells, line, _| {
        let mut reading = reading(cells, line)?;
        reading.ghi = scan::decimal(cells.at(GLOBAL));
        reading.dni = scan::decimal(cells.at(BEAM));
        reading.dhi = scan::decimal(cells.at(DIFFUSE));
        Ok(reading)
    })
}
