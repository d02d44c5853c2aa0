//! Any CSV with a column of time and one of air temperature.
//!
//! Without a table of columns it has the headers `time` and `temp_c` (and `ghi`, `dni`, `dhi` in W/m2, `wind` in
//! m/s, `cloud` in oktas), its stamps are instants and carry their zone. With one, the user says what is what.

use super::{Format, Input, Stations, elevation, latitude, longitude, stamp};
use super::{KM_H, KNOT, MILE_H};
use crate::note::{Note, NoteKind};
use crate::time::{DAY_S, Stamp, UtcOffset};
use crate::units::Celsius;
use crate::weather::cells::{self, Cells, Picker};
use crate::weather::civil_clock::CivilClock;
use crate::weather::columns::{AirUnit, CloudUnit, Columns, StampMeaning, WindUnit};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::misread::Width;
use crate::weather::reading::{Reading, Span, absent};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::straight::{NUMBERS, Straight};
use crate::weather::table_guess;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};
use chrono::{DateTime, NaiveDateTime};

/// Name of a table of no archive: whose it is, it does not say.
pub const ANY_TABLE: &str = "generic CSV";

pub(in crate::weather) const FORMAT: Format = Format { name: ANY_TABLE, detect, read };

const AIR: usize = 0;
const GHI: usize = 1;
const DNI: usize = 2;
const DHI: usize = 3;
const WIND: usize = 4;
const CLOUD: usize = 5;
const STATION: usize = 6;
const LATITUDE: usize = 7;
const LONGITUDE: usize = 8;
const ELEVATION: usize = 9;
const TIME: usize = 10;
/// Most columns that a stamp may be spread over: year, month, day, hour, minute, second.
const TIME_PARTS: usize = 6;

/// Delimiters that are tried.
const DELIMITERS: [u8; 4] = [b',', b';', b'\t', b'|'];

/// Lines on end that have to be read as rows, from which on a file's lines are not tried any more. Chosen so that a file
/// of another kind pays for it once only.
const MISSES: u32 = 64;

/// Lines before the header that are tolerated.
const PREAMBLE: usize = 40;

/// Numbers from here on, up or down, stand for "missing" (-999, -9999, 9999): no unit of air temperature reaches
/// them.
const SENTINEL: f64 = 900.0;

fn default_columns() -> Columns {
    let named = |name: &str| Some(name.to_owned());
    Columns {
        time: vec!["time".to_owned()],
        time_format: None,
        utc_offset: None,
        air: "temp_c".to_owned(),
        air_unit: AirUnit::Celsius,
        ghi: named("ghi"),
        dni: named("dni"),
        dhi: named("dhi"),
        wind: named("wind"),
        wind_unit: WindUnit::MetresPerSecond,
        cloud: named("cloud"),
        cloud_unit: CloudUnit::Oktas,
        label: StampMeaning::Instant,
        station_column: None,
        station: None,
        delimiter: None,
        decimal: '.',
    }
}

/// Where the header stands and how it is cut.
struct Layout {
    line: usize,
    separator: u8,
    header: Vec<String>,
}

fn layout(head: &Head, columns: &Columns) -> Option<Layout> {
    let one;
    let separators = match columns.delimiter.and_then(|delimiter| u8::try_from(delimiter).ok()) {
        Some(delimiter) => {
            one = [delimiter];
            &one[..]
        }
        None => &DELIMITERS[..],
    };
    (0..head.lines.len().min(PREAMBLE)).find_map(|line| {
        separators.iter().find_map(|&separator| {
            let header = head.cells(line, separator);
            let held = |name: &String| cells::position(&header, name.trim()).is_some();
            (held(&columns.air) && columns.time.iter().all(held)).then_some(Layout {
                line,
                separator,
                header,
            })
        })
    })
}

/// Whether the file has the headers that the user named.
pub(in crate::weather) fn serves(head: &Head, columns: &Columns) -> bool {
    layout(head, columns).is_some()
}

fn detect(head: &Head) -> Option<String> {
    serves(head, &default_columns()).then(|| "its header holds time and temp_c".to_owned())
}

/// How the stamps of this file are read.
enum Clock {
    Iso,
    DateAndTime,
    Parts(usize),
    Pattern(String),
}

/// A stamp as read: civil seconds, and the offset where it is printed.
type Civil = scan::Civil;

impl Clock {
    fn of(columns: &Columns) -> Self {
        match (&columns.time_format, columns.time.len()) {
            (Some(pattern), _) => Self::Pattern(pattern.clone()),
            (None, 1) => Self::Iso,
            (None, 2) => Self::DateAndTime,
            (None, parts) => Self::Parts(parts.min(TIME_PARTS)),
        }
    }

    fn read(&self, cells: &[&[u8]]) -> Option<Civil> {
        match self {
            Self::Iso => scan::iso(cells[0]),
            Self::DateAndTime => {
                let joined = [scan::trim(cells[0]), scan::trim(cells[1])].join(&b'T');
                scan::iso(&joined)
            }
            Self::Parts(count) => {
                let mut parts = [0_u32; TIME_PARTS];
                for (part, cell) in parts.iter_mut().zip(&cells[..*count]) {
                    *part = whole(cell)?;
                }
                let [year, month, day, hour, minute, second] = parts;
                let year = i32::try_from(year).ok()?;
                let seconds = scan::civil(year, month, day, hour, minute, second)?;
                Some(Civil { seconds, offset_s: None })
            }
            Self::Pattern(pattern) => {
                let joined =
                    cells.iter().map(|cell| cells::text(scan::trim(cell))).collect::<Vec<_>>().join(" ");
                patterned(&joined, pattern).or_else(|| {
                    // The calendar crate knows no hour 24, which ends the day that is printed.
                    let hour = joined.find("24:00")?;
                    let civil =
                        patterned(&format!("{}00:00{}", &joined[..hour], &joined[hour + 5..]), pattern)?;
                    Some(Civil { seconds: civil.seconds + DAY_S, ..civil })
                })
            }
        }
    }
}

/// A stamp after a pattern of the user.
fn patterned(text: &str, pattern: &str) -> Option<Civil> {
    if let Ok(moment) = DateTime::parse_from_str(text, pattern) {
        let offset_s = moment.offset().local_minus_utc();
        let seconds = moment.timestamp() + i64::from(offset_s);
        return Some(Civil { seconds, offset_s: Some(offset_s) });
    }
    let moment = NaiveDateTime::parse_from_str(text, pattern).ok().or_else(|| {
        // A pattern without minutes, which the calendar crate refuses.
        NaiveDateTime::parse_from_str(&format!("{text} 00"), &format!("{pattern} %M")).ok()
    })?;
    Some(Civil { seconds: moment.and_utc().timestamp(), offset_s: None })
}

/// A whole number, also as spreadsheets write it ("7.0").
fn whole(cell: &[u8]) -> Option<u32> {
    let value = scan::decimal(cell)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked in the same line")]
    (value.fract() == 0.0 && (0.0..=9999.0).contains(&value)).then_some(value as u32)
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Honoured;
    let named = input.columns.cloned();
    let columns = named.clone().unwrap_or_else(default_columns);
    let Some(layout) = layout(input.head, &columns) else {
        return Err(no_header(input, &columns));
    };
    let station_header = columns.station_column.clone().or_else(|| {
        table_guess::STATION_HEADERS
            .iter()
            .find(|name| cells::position(&layout.header, name).is_some())
            .map(|&name| name.to_owned())
    });
    let mut picker = picker(input, &columns, &layout, station_header.as_deref())?;
    gather.declare().notes.extend(unread_light(&columns, &layout));
    let clock = Clock::of(&columns);
    // Nearer to the stamps than the clock of the place.
    let stated = columns.utc_offset.or(input.utc_offset);
    let parts = columns.time.len().min(TIME_PARTS);
    let point = u8::try_from(columns.decimal).unwrap_or(b'.');
    let air_of = |raw: f64| match columns.air_unit {
        AirUnit::Celsius => raw,
        AirUnit::Fahrenheit => Celsius::from_fahrenheit(raw).0,
        AirUnit::Kelvin => Celsius::from_kelvin(raw).0,
    };
    let wind_factor = match columns.wind_unit {
        WindUnit::MetresPerSecond => 1.0,
        WindUnit::KilometresPerHour => KM_H,
        WindUnit::MilesPerHour => MILE_H,
        WindUnit::Knots => KNOT,
    };
    let cloud_factor = match columns.cloud_unit {
        CloudUnit::Oktas => 1.0,
        CloudUnit::Tenths => 0.8,
        CloudUnit::Percent => 0.08,
    };
    let mut straight = match clock {
        Clock::Iso => straight(&columns, &layout, point, station_header.as_deref()),
        _ => None,
    };
    let mut stations = Stations::default();
    let mut stamps = scan::Stamps::default();
    let mut others = Stations::default();
    let mut watch = CivilClock::default();
    let mut offset = None;
    let mut first = true;
    for _ in 0..=layout.line {
        input.rows.next()?;
    }
    // Lines in a row that had to be read as rows; after many of them lines are not tried any more.
    let mut missed = 0;
    let mut width = Width::new(layout.separator, &layout.header);
    loop {
        let due = width.is_due();
        // The first row names the station, and is read by the plain form.
        let by_line = match &mut straight {
            Some(straight) if !first && !due && missed < MISSES => straight.read_line(input.rows.clear()),
            _ => None,
        }
        // A message about the zone shows the cell.
        .filter(|(civil, _)| zone_of(civil, stated).is_some());
        let (plainly_written, line, row) = match by_line {
            Some((civil, length)) => {
                missed = 0;
                (Some(civil), input.rows.pass_line(length), None)
            }
            None => {
                missed = if due { missed } else { missed.saturating_add(1) };
                let Some(row) = input.rows.next()? else { break };
                if due {
                    width.look(row.bytes, row.line);
                }
                let civil = match &mut straight {
                    Some(straight) if row.unquoted && !first => straight.read(row.bytes),
                    _ => None,
                };
                (civil, row.line, Some(row))
            }
        };
        let by_cells: [_; NUMBERS];
        let (civil, air, numbers) = if let (Some(civil), Some(straight)) = (plainly_written, &straight) {
            let numbers = straight.numbers();
            (civil, numbers[AIR].ok_or(Why::NoAir), numbers)
        } else {
            let Some(row) = row else { continue };
            let cells = picker.pick(row.bytes);
            let civil = match clock {
                Clock::Iso => stamps.iso(cells.at(TIME)),
                _ => clock
                    .read(&std::array::from_fn::<_, TIME_PARTS, _>(|part| cells.at(TIME + part))[..parts]),
            };
            let Some(civil) = civil else {
                let header = cells.at(AIR).eq_ignore_ascii_case(columns.air.as_bytes());
                let why = if header { Why::OtherLine } else { Why::NoStamp };
                let shown = (0..parts).map(|part| scan::trim(cells.at(TIME + part))).collect::<Vec<_>>();
                gather.leave_out_row(why, row.line, &shown.join(&b' '));
                continue;
            };
            if station_header.is_some() {
                if let Some(wanted) = &columns.station {
                    if cells::text(scan::trim(cells.at(STATION))) != wanted.trim() {
                        others.meet(cells.at(STATION), String::new);
                        gather.leave_out(Why::OtherStation, row.line);
                        continue;
                    }
                } else {
                    stations.meet(cells.at(STATION), String::new);
                }
                if let Some(straight) = straight.as_mut().filter(|_| row.unquoted) {
                    straight.knows_station(cells.at(STATION));
                }
            }
            if first {
                gather.declare().station = station(&cells, &columns);
            }
            by_cells = std::array::from_fn(|slot| scan::decimal_with(cells.at(slot), point));
            let air = by_cells[AIR]
                .ok_or_else(|| if absent(cells.at(AIR)) { Why::NoAir } else { Why::UnreadableAir });
            if air == Err(Why::UnreadableAir) {
                gather.unread.odd_air(scan::trim(cells.at(AIR)), row.line);
            }
            (civil, air, &by_cells)
        };
        let Some(zone) = zone_of(&civil, stated) else {
            let bytes = row.map_or(&b""[..], |row| row.bytes);
            let cell = cells::text(scan::trim(picker.pick(bytes).at(TIME))).into_owned();
            return Err(WeatherError::NoZone {
                path: input.path.to_path_buf(),
                line,
                found: format!("\"{}\"", cells::shown(&cell)),
            });
        };
        if civil.offset_s.is_none() {
            watch.pass(civil.seconds, line);
        }
        if std::mem::take(&mut first) {
            offset = (zone != UtcOffset::UTC).then_some(zone);
        }
        let stamp: Stamp = stamp(civil.seconds, zone);
        let span = match columns.label {
            StampMeaning::Instant => Span::Instant(stamp),
            StampMeaning::HourEnding => Span::hour_ending(stamp),
            StampMeaning::HourBeginning => Span::hour_beginning(stamp),
        };
        let mut reading = Reading::new(span, line);
        reading.air = match air {
            Ok(raw) if raw.abs() < SENTINEL => Ok(air_of(raw)),
            Ok(_) => Err(Why::NoAir),
            Err(why) => Err(why),
        };
        let number = |slot: usize| numbers[slot].filter(|value| value.abs() < 9000.0);
        reading.ghi = number(GHI);
        reading.dni = number(DNI);
        reading.dhi = number(DHI);
        reading.wind_m_s = number(WIND).map(|raw| raw * wind_factor);
        reading.oktas = number(CLOUD).map(|raw| raw * cloud_factor);
        gather.push(&reading);
    }
    if let Some(wanted) = &columns.station
        && first
    {
        return Err(input.layout(
            1,
            format!("no row of station \"{wanted}\""),
            format!("one of: {}", cells::listed(others.names())),
            "name one of these as `station` under [stop.columns]",
        ));
    }
    if let Some((line, found, expected, next)) = width.fault() {
        return Err(input.layout(line, found, expected, next));
    }
    if let Some((skipped, repeated)) = watch.change() {
        return Err(input.layout(
            repeated,
            format!("an hour that is printed twice, and one that is left out in line {skipped}, both on a Sunday night"),
            "stamps of one fixed zone: these follow a clock with daylight saving",
            "name a column in UTC or in standard time",
        ));
    }
    gather.declare().station.utc_offset = offset;
    stations.one(input.path)
}

/// The zone of a stamp: its own, else the user's.
fn zone_of(civil: &Civil, stated: Option<UtcOffset>) -> Option<UtcOffset> {
    civil.offset_s.and_then(UtcOffset::from_seconds).or(stated)
}

fn station(cells: &Cells<'_>, columns: &Columns) -> Station {
    let id = columns.station.clone().or_else(|| {
        Some(cells::text(scan::trim(cells.at(STATION))).into_owned()).filter(|text| !text.is_empty())
    });
    Station {
        id: id.clone(),
        name: id,
        latitude_deg: latitude(cells.at(LATITUDE)),
        longitude_deg: longitude(cells.at(LONGITUDE)),
        elevation_m: elevation(cells.at(ELEVATION)),
        utc_offset: None,
    }
}

/// Light that is in the file and that nobody named: without it, sky and clouds are assumed.
fn unread_light(columns: &Columns, layout: &Layout) -> Option<Note> {
    let named = [&columns.ghi, &columns.dni, &columns.dhi];
    let read = |header: &str| {
        named.iter().any(|name| name.as_ref().is_some_and(|name| name.trim().eq_ignore_ascii_case(header)))
    };
    let unread: Vec<&String> =
        layout.header.iter().filter(|header| table_guess::is_light(header) && !read(header)).collect();
    (!unread.is_empty()).then(|| {
        Note::once(
            NoteKind::Assumed,
            format!(
                "the file seems to hold light that is not read: {}; name it under [stop.columns] as ghi (on level ground), dni \
                 or dhi, in W/m2",
                cells::listed(&unread)
            ),
        )
    })
}

/// The numbers of a row with their headers, where they have one.
fn number_columns(columns: &Columns) -> [(usize, Option<&String>); NUMBERS] {
    [
        (AIR, Some(&columns.air)),
        (GHI, columns.ghi.as_ref()),
        (DNI, columns.dni.as_ref()),
        (DHI, columns.dhi.as_ref()),
        (WIND, columns.wind.as_ref()),
        (CLOUD, columns.cloud.as_ref()),
    ]
}

/// The fast form for the rows of a layout with one stamp.
fn straight(columns: &Columns, layout: &Layout, point: u8, station_header: Option<&str>) -> Option<Straight> {
    let at = |name: &str| cells::position(&layout.header, name.trim());
    let numbers: Vec<(usize, usize)> =
        number_columns(columns).into_iter().filter_map(|(slot, name)| Some((slot, at(name?)?))).collect();
    let straight = Straight::new(layout.separator, point, at(columns.time.first()?)?, &numbers);
    Some(match station_header.map(at) {
        // It may be the column of the stamp or of a number, by a mistake that the plain form shows.
        Some(Some(column)) if numbers.iter().all(|&(_, taken)| taken != column) => {
            straight.with_station(column)
        }
        Some(_) => return None,
        None => straight,
    })
}

fn picker(
    input: &Input<'_>,
    columns: &Columns,
    layout: &Layout,
    station_header: Option<&str>,
) -> Result<Picker, WeatherError> {
    let mut wanted = Vec::new();
    for (slot, name) in number_columns(columns) {
        let Some(name) = name else { continue };
        match cells::position(&layout.header, name.trim()) {
            Some(at) => wanted.push((slot, at)),
            // Without a table the lighter columns may be absent.
            None if input.columns.is_none() => {}
            None => return Err(no_column(input, layout, name)),
        }
    }
    for (part, name) in columns.time.iter().take(TIME_PARTS).enumerate() {
        match cells::position(&layout.header, name.trim()) {
            Some(at) => wanted.push((TIME + part, at)),
            None => return Err(no_column(input, layout, name)),
        }
    }
    if let Some(name) = station_header {
        match cells::position(&layout.header, name.trim()) {
            Some(at) => wanted.push((STATION, at)),
            None => return Err(no_column(input, layout, name)),
        }
    }
    for (slot, names) in [
        (LATITUDE, &["latitude", "latitude_deg", "lat"][..]),
        (LONGITUDE, &["longitude", "longitude_deg", "lon"][..]),
        (ELEVATION, &["elevation", "elevation_m"][..]),
    ] {
        if let Some(at) = names.iter().find_map(|name| cells::position(&layout.header, name))
            && wanted.iter().all(|&(_, taken)| taken != at)
        {
            wanted.push((slot, at));
        }
    }
    Ok(Picker::new(layout.separator, &wanted))
}

fn no_column(input: &Input<'_>, layout: &Layout, name: &str) -> WeatherError {
    let near = layout.header.iter().max_by(|one, other| {
        let likeness = |cell: &str| strsim::jaro_winkler(&cell.to_lowercase(), &name.to_lowercase());
        likeness(one).total_cmp(&likeness(other))
    });
    input.layout(
        u32::try_from(layout.line + 1).unwrap_or(u32::MAX),
        format!("no column \"{name}\" among: {}", cells::listed(&layout.header)),
        format!(
            "the header that [stop.columns] names; the nearest is \"{}\"",
            cells::shown(near.map_or("", String::as_str))
        ),
        "correct the name under [stop.columns]",
    )
}

fn no_header(input: &Input<'_>, columns: &Columns) -> WeatherError {
    let first = input.head.line(0).chars().take(160).collect::<String>();
    input.layout(
        1,
        format!("\"{first}\""),
        format!("a header line with \"{}\" and \"{}\"", columns.time.join("\", \""), columns.air),
        "correct the names (or the delimiter) under [stop.columns]",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stamps_are_read_in_each_manner() {
        let noon = 1_515_412_800;
        let read = |clock: Clock, cells: &[&str]| {
            let cells: Vec<&[u8]> = cells.iter().map(|cell| cell.as_bytes()).collect();
            clock.read(&cells).map(|civil| civil.seconds)
        };
        assert_eq!(read(Clock::Iso, &["2018-01-08T12:00"]), Some(noon));
        assert_eq!(read(Clock::DateAndTime, &["2018-01-08", "12:00"]), Some(noon));
        assert_eq!(read(Clock::Parts(4), &["2018", "1", "8", "12.0"]), Some(noon));
        assert_eq!(read(Clock::Pattern("%d.%m.%Y %H:%M".into()), &["08.01.2018 12:00"]), Some(noon));
        assert_eq!(read(Clock::Pattern("%d.%m.%Y %H".into()), &["08.01.2018 12"]), Some(noon));
        assert_eq!(read(Clock::Pattern("%d.%m.%Y %H:%M".into()), &["07.01.2018 24:00"]), Some(noon - 43_200));
        assert_eq!(read(Clock::Parts(4), &["2018", "13", "8", "12"]), None);
    }
}
