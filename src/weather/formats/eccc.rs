//! Environment and Climate Change Canada: hourly data, one file a month and station.
//!
//! Three editions: with station lines before the header (from memory), with the header in line 1 and local standard
//! time, and with stamps in UTC; the header's "Date/Time (UTC)" tells. Instants on the hour. Missing hours stand as
//! short rows. Wind in km/h; the weather's words are the only trace of clouds. Layouts of the last two seen.

use super::KM_H;
use super::{Format, Input, Stations, Table, latitude, longitude, stamp, words, zone_left_open};
use crate::note::Note;
use crate::time::UtcOffset;
use crate::weather::cells::{self, Cells};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span};
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "ECCC", detect, read };

const STAMP: usize = 0;
const CLOCK: usize = 1;
const AIR: usize = 2;
const FLAG: usize = 3;
const WIND: usize = 4;
const WEATHER: usize = 5;
const NAME: usize = 6;
const ID: usize = 7;
const LATITUDE: usize = 8;
const LONGITUDE: usize = 9;
/// As [`STAMP`], of the edition in UTC.
const UTC_STAMP: usize = 10;

/// The temperature's header in UTF-8 and as old files garble it.
const AIR_NAMES: &[&str] = &["Temp (°C)", "Temp (Â°C)", "Temp (C)"];

const COLUMNS: &[(usize, &[&str])] = &[
    (STAMP, &["Date/Time", "Date/Time (LST)"]),
    (CLOCK, &["Time", "Time (LST)", "Time (UTC)"]),
    (AIR, AIR_NAMES),
    (FLAG, &["Temp Flag"]),
    (WIND, &["Wind Spd (km/h)"]),
    (WEATHER, &["Weather"]),
    (NAME, &["Station Name"]),
    (ID, &["Climate ID"]),
    (LATITUDE, &["Latitude (y)"]),
    (LONGITUDE, &["Longitude (x)"]),
    (UTC_STAMP, &["Date/Time (UTC)"]),
];

fn header_line(head: &Head) -> Option<usize> {
    (0..head.lines.len()).find(|&at| {
        let cells = head.cells(at, b',');
        let held = |names: &[&str]| names.iter().any(|name| cells::position(&cells, name).is_some());
        held(AIR_NAMES) && (held(COLUMNS[STAMP].1) || held(COLUMNS[UTC_STAMP].1))
    })
}

fn detect(head: &Head) -> Option<String> {
    header_line(head).map(|_| "its header holds Date/Time and Temp (°C)".to_owned())
}

/// Oktas of the weather's words: clear 0, mainly clear 1-4 tenths, mostly cloudy 5-9 tenths, cloudy 10 (from
/// memory); middles of the classes.
fn oktas(weather: &[u8]) -> Option<f64> {
    match scan::trim(weather) {
        b"Clear" => Some(0.0),
        b"Mainly Clear" => Some(2.0),
        b"Mostly Cloudy" => Some(5.6),
        b"Cloudy" => Some(8.0),
        _ => None,
    }
}

/// The value behind a name in the lines before the header.
fn fact(head: &Head, header: usize, name: &str) -> Option<String> {
    (0..header).find_map(|at| {
        let cells = head.cells(at, b',');
        cells
            .first()
            .is_some_and(|cell| cell.eq_ignore_ascii_case(name))
            .then(|| cells.get(1).cloned())
            .flatten()
    })
}

fn station(input: &Input<'_>, header: usize) -> Station {
    let mut picker = cells::Picker::by_name(b',', &input.head.cells(header, b','), COLUMNS);
    let row = picker.pick(input.head.line(header + 1).as_bytes());
    let known = |slot: usize, name: &str| words(row.at(slot)).or_else(|| fact(input.head, header, name));
    let bytes = |text: Option<String>| text.unwrap_or_default().into_bytes();
    Station {
        id: known(ID, "Climate Identifier"),
        name: known(NAME, "Station Name"),
        latitude_deg: latitude(&bytes(known(LATITUDE, "Latitude"))),
        longitude_deg: longitude(&bytes(known(LONGITUDE, "Longitude"))),
        elevation_m: super::elevation(&bytes(fact(input.head, header, "Elevation"))),
        utc_offset: None,
    }
}

fn time(cells: &Cells<'_>, slot: usize) -> Option<i64> {
    let stamp = scan::trim(cells.at(slot));
    match scan::trim(cells.at(CLOCK)) {
        clock if stamp.len() == 10 && !clock.is_empty() => scan::iso(&[stamp, clock].join(&b'T')),
        _ => scan::iso(stamp),
    }
    .map(|civil| civil.seconds)
}

/// The zone of stamps in local standard time, with its note; asked once.
fn local_zone(
    local: &mut Option<Result<(UtcOffset, Option<Note>), WeatherError>>,
    gather: &mut Gather,
) -> Result<Option<UtcOffset>, WeatherError> {
    let Some(asked) = local.take() else { return Ok(None) };
    let (zone, note) = asked?;
    gather.declare().notes.extend(note);
    Ok(Some(zone))
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    let header = header_line(input.head).unwrap_or(0);
    let station = station(input, header);
    let utc = cells::position(&input.head.cells(header, b','), "Date/Time (UTC)").is_some();
    // Files of both editions may be joined: the header that stands last before a row tells its clock.
    let mut local = Some(zone_left_open(input, station.longitude_deg, "local standard time"));
    let mut zone = if utc { None } else { local_zone(&mut local, gather)? };
    gather.declare().station = Station { utc_offset: zone, ..station };
    let mut stations = Stations::default();
    let table = Table { separator: b',', header, columns: COLUMNS, keys: &[STAMP, UTC_STAMP] };
    table.read(input, gather, |cells, line, gather| {
        let in_utc = !cells.at(UTC_STAMP).is_empty();
        let seconds = time(cells, if in_utc { UTC_STAMP } else { STAMP }).ok_or(Why::NoStamp)?;
        if !in_utc && zone.is_none() {
            zone = local_zone(&mut local, gather)?;
            gather.declare().station.utc_offset = zone;
        }
        let zone = if in_utc { UtcOffset::UTC } else { zone.unwrap_or(UtcOffset::UTC) };
        if !cells.at(ID).is_empty() {
            stations.meet(cells.at(ID), || words(cells.at(NAME)).unwrap_or_default());
        }
        let mut reading = Reading::new(Span::Instant(stamp(seconds, zone)), line);
        reading.air = match scan::trim(cells.at(FLAG)) {
            b"M" | b"NA" => Err(Why::NoAir),
            _ => reading::air(cells.at(AIR), |_| false),
        };
        reading.wind_m_s = scan::decimal(cells.at(WIND)).map(|speed| speed * KM_H);
        reading.oktas = oktas(cells.at(WEATHER));
        Ok(reading)
    })?;
    stations.one(input.path)
}
