//! Global Hourly: all surface reports of a station as CSV, one file a station and year.
//!
//! UTC, each row an instant (on the hour or at any minute). Groups are packed into quoted cells with their own
//! commas; which columns exist, and in which order, varies from file to file, so all are found by name. Header and
//! rows were seen quoted, not in a whole file; quality codes and cloud groups are from memory.

use super::{Format, Input, Stations, elevation, latitude, longitude, stamp};
use crate::note::{Note, NoteKind};
use crate::time::UtcOffset;
use crate::weather::cells::{self, Cells, Picker};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{Reading, Span};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "Global Hourly", detect, read };

const STATION: usize = 0;
const DATE: usize = 1;
const LATITUDE: usize = 2;
const LONGITUDE: usize = 3;
const ELEVATION: usize = 4;
const NAME: usize = 5;
const KIND: usize = 6;
const WIND: usize = 7;
const AIR: usize = 8;
const SKY: usize = 9;
const SUMMATION: usize = 10;
const LAYERS: usize = 11;
const LAYER_COUNT: usize = 6;

const COLUMNS: &[(usize, &[&str])] = &[
    (STATION, &["STATION"]),
    (DATE, &["DATE"]),
    (LATITUDE, &["LATITUDE"]),
    (LONGITUDE, &["LONGITUDE"]),
    (ELEVATION, &["ELEVATION"]),
    (NAME, &["NAME"]),
    (KIND, &["REPORT_TYPE"]),
    (WIND, &["WND"]),
    (AIR, &["TMP"]),
    (SKY, &["GF1"]),
    (SUMMATION, &["GD1"]),
    (LAYERS, &["GA1"]),
    (LAYERS + 1, &["GA2"]),
    (LAYERS + 2, &["GA3"]),
    (LAYERS + 3, &["GA4"]),
    (LAYERS + 4, &["GA5"]),
    (LAYERS + 5, &["GA6"]),
];

/// Quality codes of values that may be used: passed (0, 1, 4, 5, 9) or edited by hand (letters). The others, 2 and
/// 6 for suspect, 3 and 7 for wrong, are left out.
fn is_usable(code: u8) -> bool {
    matches!(code, b'0' | b'1' | b'4' | b'5' | b'9' | b'A' | b'C' | b'I' | b'M' | b'P' | b'R' | b'U')
}

/// Missing air temperature, tenths of a degree.
const AIR_MISSING: i32 = 9999;
/// Missing wind speed, tenths of m/s.
const WIND_MISSING: i32 = 9999;
/// Farther than this a station has moved, degrees. Chosen because coordinates of one place are printed with two or
/// three decimals by different sources.
const MOVED_DEG: f64 = 0.05;
/// Higher or lower than this a station has moved, m.
const MOVED_M: f64 = 50.0;

fn detect(head: &Head) -> Option<String> {
    let groups = head.has_cells(0, b',', &["STATION", "DATE", "TMP"]);
    (groups && (head.has_cells(0, b',', &["WND"]) || head.has_cells(0, b',', &["CIG"])))
        .then(|| "its header holds STATION, DATE and TMP beside WND or CIG".to_owned())
}

/// Part `at` of a packed group.
fn part(group: &[u8], at: usize) -> Option<&[u8]> {
    group.split(|&byte| byte == b',').nth(at)
}

fn usable(quality: Option<&[u8]>) -> bool {
    matches!(quality, Some(&[code]) if is_usable(code))
}

/// Four digits as a number.
#[inline]
fn four(digits: [u8; 4]) -> Option<i32> {
    let parts = u32::from_le_bytes(digits) ^ 0x3030_3030;
    // Any byte above 9 reaches its highest bit.
    ((parts.wrapping_add(0x7676_7676) | parts) & 0x8080_8080 == 0).then(|| {
        let [a, b, c, d] = parts.to_le_bytes().map(i32::from);
        a * 1000 + b * 100 + c * 10 + d
    })
}

/// Air temperature of a group such as "+0155,1".
fn air(group: &[u8]) -> Result<f64, Why> {
    let (tenths, quality) = match *group {
        [sign @ (b'+' | b'-'), a, b, c, d, b',', quality] => match four([a, b, c, d]) {
            Some(tenths) => (Some(if sign == b'-' { -tenths } else { tenths }), quality),
            // A comma among the digits: the places are not where they should be.
            None => air_parts(group),
        },
        _ => air_parts(group),
    };
    match tenths {
        None | Some(AIR_MISSING) => Err(Why::NoAir),
        Some(_) if !is_usable(quality) => Err(Why::FlaggedAir),
        Some(tenths) => Ok(f64::from(tenths) / 10.0),
    }
}

/// The plain form of what [`air`] reads at fixed places: tenths of a degree and the quality code.
fn air_parts(group: &[u8]) -> (Option<i32>, u8) {
    let mut parts = group.split(|&byte| byte == b',');
    let tenths = parts.next().and_then(scan::integer);
    (tenths, parts.next().and_then(|code| code.first().copied()).unwrap_or(b' '))
}

/// The number of a group whose quality code says not to use it.
#[cold]
fn doubted(group: &[u8]) -> Option<f64> {
    Some(f64::from(scan::integer(part(group, 0)?)?) / 10.0)
}

/// Wind speed of a group such as "318,1,N,0061,1".
fn wind(group: &[u8]) -> Option<f64> {
    if let &[a0, a1, a2, b',', b0, b',', c0, b',', a, b, c, d, b',', quality] = group
        && ![a0, a1, a2, b0, c0].contains(&b',')
        && let Some(speed) = four([a, b, c, d])
    {
        return (speed != WIND_MISSING && is_usable(quality)).then(|| f64::from(speed) / 10.0);
    }
    wind_parts(group)
}

/// The plain form of what [`wind`] reads at fixed places.
fn wind_parts(group: &[u8]) -> Option<f64> {
    let speed = scan::integer(part(group, 3)?)?;
    (speed != WIND_MISSING && usable(part(group, 4))).then(|| f64::from(speed) / 10.0)
}

/// Oktas of a cover code: 00-08 are oktas, 09 is an obscured sky; 10 (partly obscured) and 99 say nothing.
fn cover(code: &[u8]) -> Option<f64> {
    if let [b'0', digit @ b'0'..=b'8'] = code {
        return Some(f64::from(digit - b'0'));
    }
    match scan::integer(code)? {
        oktas @ 0..=8 => Some(f64::from(oktas)),
        9 => Some(8.0),
        _ => None,
    }
}

/// Oktas of a summation code: 0 clear, 1 few, 2 scattered, 3 broken, 4 overcast, 5 obscured; middles of the
/// aviation classes.
fn summation(code: &[u8]) -> Option<f64> {
    match code {
        b"0" => Some(0.0),
        b"1" => Some(1.5),
        b"2" => Some(3.5),
        b"3" => Some(6.0),
        b"4" | b"5" => Some(8.0),
        _ => None,
    }
}

/// Total cover: the sky group, else the thickest layer.
fn oktas(cells: &Cells<'_>) -> Option<f64> {
    let code = |slot: usize| {
        let group = cells.at(slot);
        match group.iter().position(|&byte| byte == b',') {
            Some(end) => &group[..end],
            None => group,
        }
    };
    cover(code(SKY)).or_else(|| {
        (LAYERS..LAYERS + LAYER_COUNT)
            // Most of them are blank as a rule.
            .filter_map(|slot| if cells.at(slot).is_empty() { None } else { cover(code(slot)) })
            .chain(summation(code(SUMMATION)))
            .reduce(f64::max)
    })
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Honoured;
    let header = input.head.cells(0, b',');
    let mut picker = Picker::by_name(b',', &header, COLUMNS);
    let mut stations = Stations::default();
    let mut stamps = scan::Stamps::default();
    let mut place = PlaceCells::default();
    let mut first_place = None;
    input.rows.next()?;
    while let Some(row) = input.rows.next()? {
        let cells = picker.pick(row.bytes);
        let Some(civil) = stamps.iso(cells.at(DATE)) else {
            let header = cells.at(DATE).eq_ignore_ascii_case(b"DATE");
            gather.leave_out_row(if header { Why::OtherLine } else { Why::NoStamp }, row.line, row.bytes);
            continue;
        };
        stations.meet(cells.at(STATION), || cells::text(cells.at(NAME)).into_owned());
        if place.differs(&cells) {
            let station = place.station(&cells);
            first_place.get_or_insert((station.clone(), row.line));
            gather.declare().station = station;
        }
        if matches!(cells.at(KIND), [b'S', b'O', b'D' | b'M', ..]) {
            gather.leave_out(Why::Summary, row.line);
            continue;
        }
        let offset = civil.offset_s.and_then(UtcOffset::from_seconds).unwrap_or(UtcOffset::UTC);
        let mut reading = Reading::new(Span::Instant(stamp(civil.seconds, offset)), row.line);
        reading.air = air(cells.at(AIR));
        if reading.air == Err(Why::FlaggedAir) {
            reading.doubted_c = doubted(cells.at(AIR));
        }
        reading.wind_m_s = wind(cells.at(WIND));
        reading.oktas = oktas(&cells);
        gather.push(&reading);
    }
    stations.one(input.path)?;
    if let Some((first, line)) = first_place {
        let last = &gather.declare().station;
        if let Some(text) = moved(&first, last, line) {
            gather.declare().notes.push(Note::once(NoteKind::Place, text));
        }
    }
    Ok(())
}

/// The cells that say where the station stands, as last seen: parsed only when they change.
#[derive(Debug, Default)]
struct PlaceCells {
    seen: Vec<u8>,
}

impl PlaceCells {
    fn differs(&mut self, cells: &Cells<'_>) -> bool {
        let parts = [cells.at(LATITUDE), cells.at(LONGITUDE), cells.at(ELEVATION)];
        let mut rest = &self.seen[..];
        let same = !self.seen.is_empty()
            && parts.iter().all(|part| match rest.strip_prefix(*part) {
                Some([b'|', tail @ ..]) => {
                    rest = tail;
                    true
                }
                _ => false,
            });
        if !same {
            self.seen.clear();
            for part in parts {
                self.seen.extend_from_slice(part);
                self.seen.push(b'|');
            }
        }
        !same
    }

    fn station(&self, cells: &Cells<'_>) -> Station {
        let text =
            |slot: usize| Some(cells::text(cells.at(slot)).trim().to_owned()).filter(|text| !text.is_empty());
        Station {
            id: text(STATION),
            name: text(NAME),
            latitude_deg: latitude(cells.at(LATITUDE)),
            longitude_deg: longitude(cells.at(LONGITUDE)),
            elevation_m: elevation(cells.at(ELEVATION)),
            utc_offset: None,
        }
    }
}

fn moved(first: &Station, last: &Station, line: u32) -> Option<String> {
    let far = |one: Option<f64>, other: Option<f64>, limit: f64| matches!((one, other), (Some(one), Some(other)) if (one - other).abs() > limit);
    (far(first.latitude_deg, last.latitude_deg, MOVED_DEG)
        || far(first.longitude_deg, last.longitude_deg, MOVED_DEG)
        || far(first.elevation_m, last.elevation_m, MOVED_M))
    .then(|| {
        let show = |station: &Station| {
            let number = |value: Option<f64>| value.map_or("?".to_owned(), |value| format!("{value}"));
            format!(
                "{} N, {} E, {} m",
                number(station.latitude_deg),
                number(station.longitude_deg),
                number(station.elevation_m)
            )
        };
        format!(
            "the station moves: {} at line {line}, {} at the end; the last place is used for all hours",
            show(first),
            show(last)
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn groups_read_at_fixed_places_are_read_as_by_their_parts(
            air_group in "([+-][0-9]{4},[0-9A ,]|[+0-9-]{0,5},?[0-9,]{0,2})",
            wind_group in "([0-9,]{3},[0-9,],[NH,],[0-9+]{4},[0-9A,]|[0-9]{0,3},[0-9]?,N?,[0-9+-]{0,5},?[0-9]{0,2})",
        ) {
            let (tenths, quality) = air_parts(air_group.as_bytes());
            let plain = match tenths {
                None | Some(AIR_MISSING) => Err(Why::NoAir),
                Some(_) if !is_usable(quality) => Err(Why::FlaggedAir),
                Some(tenths) => Ok(f64::from(tenths) / 10.0),
            };
            prop_assert_eq!(air(air_group.as_bytes()), plain, "{}", air_group);
            prop_assert_eq!(wind(wind_group.as_bytes()), wind_parts(wind_group.as_bytes()), "{}", wind_group);
        }
    }

    #[test]
    fn quality_codes_and_sentinels_of_air() {
        // A number of three digits without a code, which has the length of a whole group.
        assert_eq!(air(b"+000,,,"), Err(Why::FlaggedAir));
        assert_eq!(air(b"+0155,1"), Ok(15.5));
        assert_eq!(air(b"-0401,5"), Ok(-40.1));
        assert_eq!(air(b"+9999,9"), Err(Why::NoAir));
        assert_eq!(air(b""), Err(Why::NoAir));
        for code in [b'2', b'3', b'6', b'7', b' '] {
            assert_eq!(air(&[b'-', b'0', b'2', b'0', b'0', b',', code]), Err(Why::FlaggedAir));
        }
        for &code in b"01459ACIMPRU" {
            assert_eq!(air(&[b'-', b'0', b'2', b'0', b'0', b',', code]), Ok(-20.0));
        }
    }

    #[test]
    fn clouds_come_from_the_sky_group_or_the_thickest_layer() {
        let names = ["GA1", "GA2", "GD1", "GF1"].map(str::to_owned);
        let mut picker = Picker::by_name(b',', &names, COLUMNS);
        let mut of = |row: &str| oktas(&picker.pick(row.as_bytes()));
        let (few, broken) = ("\"02,1,+00600,1,99,9\"", "\"07,1,+01200,1,99,9\"");
        let overcast = "\"4,99,1,+01200,9,9\"";
        assert_eq!(of("\"\",\"\",\"\",\"\""), None);
        assert_eq!(of(&format!("{few},{broken},\"\",\"\"")), Some(7.0));
        assert_eq!(of(&format!("{few},{broken},{overcast},\"\"")), Some(8.0));
        assert_eq!(of(&format!("{few},{broken},{overcast},\"03,99,1,99,9,99,9,99999,9\"")), Some(3.0));
        assert_eq!(of(&format!("{few},{broken},{overcast},\"99,99,9,99,9,99,9,99999,9\"")), Some(8.0));
    }

    #[test]
    fn wind_is_tenths_of_a_metre_a_second() {
        assert_eq!(wind(b"318,1,N,0061,1"), Some(6.1));
        assert_eq!(wind(b"999,9,9,9999,9"), None);
        assert_eq!(wind(b"318,1,N,0061,3"), None);
    }
}
