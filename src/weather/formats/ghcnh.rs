//! GHCNh: the hourly global historical network, separated by vertical bars.
//!
//! UTC, instants at any minute. Two generations of headers: with a DATE column, and with the date in parts only.
//! Each variable is followed by five companions, among them its quality code; blank, 0, 1, 4, 5 are usable (which
//! codes to trust is taken from public readers of the format, not from its documentation). First generation seen
//! quoted only.

use super::{Format, Input, Stations, Table, elevation, latitude, longitude, words};
use crate::time::Stamp;
use crate::weather::cells::Cells;
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span, oktas_of_word};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "GHCNh", detect, read };

const STATION: usize = 0;
const DATE: usize = 1;
const YEAR: usize = 2;
const MONTH: usize = 3;
const DAY: usize = 4;
const HOUR: usize = 5;
const MINUTE: usize = 6;
const AIR: usize = 7;
const QUALITY: usize = 8;
const WIND: usize = 9;
const WIND_QUALITY: usize = 10;
const SKY: usize = 11;
const SKY_COUNT: usize = 4;
const LATITUDE: usize = 15;
const LONGITUDE: usize = 16;
const ELEVATION: usize = 17;
const NAME: usize = 18;

const COLUMNS: &[(usize, &[&str])] = &[
    (STATION, &["STATION", "Station_ID"]),
    (DATE, &["DATE"]),
    (YEAR, &["Year"]),
    (MONTH, &["Month"]),
    (DAY, &["Day"]),
    (HOUR, &["Hour"]),
    (MINUTE, &["Minute"]),
    (AIR, &["temperature"]),
    (QUALITY, &["temperature_Quality_Code"]),
    (WIND, &["wind_speed"]),
    (WIND_QUALITY, &["wind_speed_Quality_Code"]),
    (SKY, &["sky_cover_summation_1"]),
    (SKY + 1, &["sky_cover_summation_2"]),
    (SKY + 2, &["sky_cover_summation_3"]),
    (SKY + 3, &["sky_cover_summation_4"]),
    (LATITUDE, &["LATITUDE"]),
    (LONGITUDE, &["LONGITUDE"]),
    (ELEVATION, &["ELEVATION"]),
    (NAME, &["Station_name"]),
];

fn detect(head: &Head) -> Option<String> {
    let cells = head.cells(0, b'|');
    let first = cells.first()?;
    (matches!(first.as_str(), "STATION" | "Station_ID") && cells.iter().any(|cell| cell == "temperature"))
        .then(|| format!("its header begins \"{first}|\" and holds temperature"))
}

fn usable(code: &[u8]) -> bool {
    matches!(scan::trim(code), b"" | b"0" | b"1" | b"4" | b"5")
}

/// Oktas of "SCT:04;" or "06;;": the number of two digits, else the word.
fn oktas(cell: &[u8]) -> Option<f64> {
    cell.split(|byte| matches!(byte, b':' | b';' | b' '))
        .filter_map(|piece| match scan::integer(piece) {
            Some(oktas @ 0..=8) if piece.len() == 2 => Some(f64::from(oktas)),
            Some(9) if piece.len() == 2 => Some(8.0),
            _ => oktas_of_word(piece),
        })
        .next_back()
}

fn time(cells: &Cells<'_>) -> Option<Stamp> {
    if let Some(civil) = scan::iso(cells.at(DATE)) {
        return Some(Stamp(civil.seconds - i64::from(civil.offset_s.unwrap_or(0))));
    }
    let part = |slot: usize| scan::integer(scan::trim(cells.at(slot)));
    let small = |slot: usize| part(slot).and_then(|value| u32::try_from(value).ok());
    let minute = small(MINUTE).unwrap_or(0);
    scan::civil(part(YEAR)?, small(MONTH)?, small(DAY)?, small(HOUR)?, minute, 0).map(Stamp)
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Plain;
    let mut stations = Stations::default();
    let table = Table { separator: b'|', header: 0, columns: COLUMNS, keys: &[STATION] };
    table.read(input, gather, |cells, line, gather| {
        let stamp = time(cells).ok_or(Why::NoStamp)?;
        if stations.names().is_empty() {
            gather.declare().station = Station {
                id: words(cells.at(STATION)),
                name: words(cells.at(NAME)),
                latitude_deg: latitude(cells.at(LATITUDE)),
                longitude_deg: longitude(cells.at(LONGITUDE)),
                elevation_m: elevation(cells.at(ELEVATION)),
                utc_offset: None,
            };
        }
        stations.meet(cells.at(STATION), || words(cells.at(NAME)).unwrap_or_default());
        let mut reading = Reading::new(Span::Instant(stamp), line);
        reading.air = match reading::air(cells.at(AIR), |value| value.abs() > 900.0) {
            Ok(air_c) if !usable(cells.at(QUALITY)) => {
                reading.doubted_c = Some(air_c);
                Err(Why::FlaggedAir)
            }
            air => air,
        };
        reading.wind_m_s =
            scan::decimal(cells.at(WIND)).filter(|&speed| usable(cells.at(WIND_QUALITY)) && speed < 900.0);
        reading.oktas = (SKY..SKY + SKY_COUNT).filter_map(|slot| oktas(cells.at(slot))).reduce(f64::max);
        Ok(reading)
    })?;
    stations.one(input.path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cover_is_oktas_or_a_word() {
        assert_eq!(oktas(b"SCT:04;"), Some(4.0));
        assert_eq!(oktas(b"06;;"), Some(6.0));
        assert_eq!(oktas(b"OVC;"), Some(8.0));
        assert_eq!(oktas(b""), None);
    }
}
