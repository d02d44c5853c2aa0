//! German weather service: hourly products of a station, one quantity a file, joined by time.
//!
//! Semicolons, cells padded with blanks, -999 for "missing". Stamps YYYYMMDDHH in UTC (before April 1997 some
//! stations used central European time, from memory). Products read: TU air temperature, FF wind in m/s, N cloud
//! cover in oktas (-1 where the sky could not be seen), ST radiation as sums of J/cm2 over an hour of true solar
//! time (from memory), which is given to the clock hour of its middle. SD (minutes of sunshine) is recognised and
//! adds nothing. Where the station stood is in a table beside the product. TU, FF and N seen in real files.

use super::{Format, Input, Stations, Table, elevation, latitude, longitude};
use crate::note::{Note, NoteKind};
use crate::time::{HOUR_S, Stamp};
use crate::weather::cells::{self, Cells};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::source;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "DWD", detect, read };

const STATION: usize = 0;
const STAMP: usize = 1;
const AIR: usize = 2;
const WIND: usize = 3;
const CLOUD: usize = 4;
const GLOBAL: usize = 5;
const DIFFUSE: usize = 6;

const COLUMNS: &[(usize, &[&str])] = &[
    (STATION, &["STATIONS_ID"]),
    (STAMP, &["MESS_DATUM"]),
    (AIR, &["TT_TU"]),
    (WIND, &["F"]),
    (CLOUD, &["V_N"]),
    (GLOBAL, &["FG_LBERG"]),
    (DIFFUSE, &["FD_LBERG"]),
];

/// At and below this a value stands for "missing" (-999).
const MISSING: f64 = -999.0;
/// W/m2 in a J/cm2 over an hour: 10,000 cm2 in a m2, 3600 s in an hour.
const JOULE_CM2_HOUR: f64 = 10_000.0 / 3600.0;
/// 1997-04-01, from which all stamps are UTC.
const UTC_SINCE: Stamp = Stamp(859_852_800);

fn detect(head: &Head) -> Option<String> {
    head.line(0)
        .starts_with("STATIONS_ID;MESS_DATUM")
        .then(|| "its header begins \"STATIONS_ID;MESS_DATUM\"".to_owned())
}

/// "2018091500", also with minutes behind ("2018091500:09").
fn time(cell: &[u8]) -> Option<Stamp> {
    let cell = scan::trim(cell);
    let digits = cell.get(..10)?;
    let number = |digits: &[u8]| scan::integer(digits).and_then(|value| u32::try_from(value).ok());
    let minute = match cell.get(10..) {
        Some([b':', minute @ ..]) => number(minute)?,
        Some([]) => 0,
        Some(minute) => number(minute)?,
        None => return None,
    };
    let year = scan::integer(&digits[..4])?;
    scan::civil(year, number(&digits[4..6])?, number(&digits[6..8])?, number(&digits[8..])?, minute, 0)
        .map(Stamp)
}

fn value(cell: &[u8]) -> Option<f64> {
    scan::decimal(cell).filter(|&value| value > MISSING)
}

/// Where the station stood last: number; elevation; latitude; longitude; from; to; name.
fn place(id: &str, table: &[u8]) -> Station {
    let mut station = Station { id: Some(id.to_owned()), ..Station::default() };
    for line in table.split(|&byte| byte == b'\n') {
        let cells = cells::header(line.trim_ascii(), b';');
        let [number, height, north, east, _, _, name, ..] = cells.as_slice() else { continue };
        if number.trim_start_matches('0') != id.trim_start_matches('0') {
            continue;
        }
        station.elevation_m = elevation(height.as_bytes());
        station.latitude_deg = latitude(north.as_bytes());
        station.longitude_deg = longitude(east.as_bytes());
        station.name = Some(name.clone());
    }
    station
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Plain;
    let header = input.head.cells(0, b';');
    let id = input.head.cells(1, b';').into_iter().next().unwrap_or_default();
    let table = input
        .beside
        .map(<[u8]>::to_vec)
        .or_else(|| source::neighbour(input.path, &format!("Metadaten_Geographie_{id:0>5}.txt")));
    let has = |name: &str| cells::position(&header, name).is_some();
    let radiation = has("FG_LBERG");
    let declared = gather.declare();
    declared.station = place(&id, table.as_deref().unwrap_or_default());
    declared.joins = !has("TT_TU");
    let mut early = true;
    let mut stations = Stations::default();
    let table = Table { separator: b';', header: 0, columns: COLUMNS, keys: &[STATION] };
    table.read(input, gather, |cells, line, gather| {
        let stamp = time(cells.at(STAMP)).ok_or(Why::NoStamp)?;
        stations.meet(scan::trim(cells.at(STATION)), String::new);
        if std::mem::take(&mut early) && stamp < UTC_SINCE {
            let text =
                "it begins before April 1997, when some stations stamped central European time; read as UTC";
            gather.declare().notes.push(Note::once(NoteKind::Clock, text));
        }
        // The sum of a solar hour that ends here is given to the clock hour of its middle.
        let stamp = if radiation { stamp.plus_s(-HOUR_S / 2) } else { stamp };
        Ok(row(cells, Reading::new(Span::Instant(stamp), line)))
    })?;
    stations.one(input.path)
}

fn row(cells: &Cells<'_>, mut reading: Reading) -> Reading {
    reading.air = reading::air(cells.at(AIR), |value| value <= MISSING);
    reading.wind_m_s = value(cells.at(WIND));
    reading.oktas = value(cells.at(CLOUD)).filter(|&oktas| oktas >= 0.0);
    reading.ghi = value(cells.at(GLOBAL)).map(|sum| sum * JOULE_CM2_HOUR);
    reading.dhi = value(cells.at(DIFFUSE)).map(|sum| sum * JOULE_CM2_HOUR);
    reading
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stamps_with_and_without_minutes() {
        assert_eq!(time(b"2018091500").map(Stamp::iso).as_deref(), Some("2018-09-15T00:00:00Z"));
        assert_eq!(time(b" 2018091523:09 ").map(Stamp::iso).as_deref(), Some("2018-09-15T23:09:00Z"));
        assert_eq!(time(b"20180915"), None);
        assert_eq!(UTC_SINCE.iso(), "1997-04-01T00:00:00Z");
    }

    #[test]
    fn the_last_place_of_the_station_counts() {
        let table = b"Stations_id;Stationshoehe;Geogr.Breite;Geogr.Laenge;von_datum;bis_datum;Stationsname\n\
            9;  10.00; 50.5; 9.5;19010101;19991231;Erfunden\r\n 9;  12.50; 50.6; 9.6;20000101;;Erf\xfcnden\n";
        let station = place("9", table);
        assert_eq!(station.elevation_m, Some(12.5));
        assert_eq!(station.latitude_deg, Some(50.6));
        assert_eq!(station.name.as_deref(), Some("Erfünden"));
    }
}
