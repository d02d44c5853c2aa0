//! Norwegian meteorological institute, table from its observation site.
//!
//! Semicolons, decimal comma, "Norwegian standard time", which is UTC+1 all year; instants, at airports twice an
//! hour. A last line with the licence. Layout seen in a real file with Norwegian headers; the English ones and all
//! columns but temperature are from memory.

use super::{Format, Input, Stations, Table, stamp, words};
use crate::time::UtcOffset;
use crate::weather::cells;
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{Reading, Span, absent};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "MET Norway", detect, read };

const NAME: usize = 0;
const STATION: usize = 1;
const TIME: usize = 2;
const AIR: usize = 3;
const WIND: usize = 4;
const CLOUD: usize = 5;
const GHI: usize = 6;

const COLUMNS: &[(usize, &[&str])] = &[
    (NAME, &["Navn", "Name"]),
    (STATION, &["Stasjon", "Station"]),
    (TIME, &["Tid(norsk normaltid)", "Time(norwegian mean time)"]),
    (AIR, &["Lufttemperatur", "Air temperature"]),
    (WIND, &["Middelvind", "Mean wind speed"]),
    (CLOUD, &["Skydekke", "Cloud cover"]),
    (GHI, &["Midlere globalstråling", "Mean global radiation"]),
];

/// Norwegian standard time, hours from UTC.
const ZONE_H: f64 = 1.0;

fn detect(head: &Head) -> Option<String> {
    let cells = head.cells(0, b';');
    let held = |slot: usize| COLUMNS[slot].1.iter().any(|name| cells::position(&cells, name).is_some());
    (held(STATION) && held(TIME)).then(|| format!("its header holds \"{}\"", COLUMNS[TIME].1[0]))
}

/// "18.03.2022 01:50" as civil seconds.
fn time(cell: &[u8]) -> Option<i64> {
    let cell = scan::trim(cell);
    let [d1, d2, b'.', m1, m2, b'.', y1, y2, y3, y4, b' ', h1, h2, b':', n1, n2] = *cell else { return None };
    let number = |digits: &[u8]| scan::integer(digits).and_then(|value| u32::try_from(value).ok());
    let year = scan::integer(&[y1, y2, y3, y4])?;
    scan::civil(year, number(&[m1, m2])?, number(&[d1, d2])?, number(&[h1, h2])?, number(&[n1, n2])?, 0)
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Plain;
    let header = input.head.cells(0, b';');
    if !COLUMNS[AIR].1.iter().any(|name| cells::position(&header, name).is_some()) {
        return Err(WeatherError::NoAir {
            path: input.path.to_path_buf(),
            format: FORMAT.name,
            found: format!("its columns are {}", cells::listed(&header)),
            expected: "a column Lufttemperatur",
            next: "download again with the weather element air temperature",
        });
    }
    let zone = UtcOffset::from_hours(ZONE_H).unwrap_or(UtcOffset::UTC);
    let mut stations = Stations::default();
    let table = Table { separator: b';', header: 0, columns: COLUMNS, keys: &[TIME] };
    table.read(input, gather, |cells, line, gather| {
        let Some(civil) = time(cells.at(TIME)) else {
            // The licence stands in the last line with nothing behind it.
            let other = cells.at(STATION).is_empty() && cells.at(TIME).is_empty();
            return Err(if other { Why::OtherLine } else { Why::NoStamp }.into());
        };
        if stations.names().is_empty() {
            gather.declare().station = Station {
                id: words(cells.at(STATION)),
                name: words(cells.at(NAME)),
                utc_offset: Some(zone),
                ..Station::default()
            };
        }
        stations.meet(cells.at(STATION), || words(cells.at(NAME)).unwrap_or_default());
        let number =
            |slot: usize| scan::decimal_with(cells.at(slot), b',').or_else(|| scan::decimal(cells.at(slot)));
        let mut reading = Reading::new(Span::Instant(stamp(civil, zone)), line);
        reading.air = number(AIR).ok_or(if absent(cells.at(AIR)) { Why::NoAir } else { Why::UnreadableAir });
        reading.wind_m_s = number(WIND);
        reading.oktas = number(CLOUD);
        reading.ghi = number(GHI);
        Ok(reading)
    })?;
    stations.one(input.path)
}
