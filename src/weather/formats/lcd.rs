//! Local Climatological Data, both generations: the same column names, Fahrenheit in the first and Celsius in the
//! second.
//!
//! The unit is decided by the station pressure (inches of mercury in the first, hectopascals in the second), and
//! without pressure the file is refused. Stamps are local standard time all year, instants. The zone is not in a
//! column; the report's own text carries its UTC minute ("010552Z"), from which it is taken. A letter behind a
//! number marks a suspect value. Layouts seen in real files; the suffixes of temperatures are from memory.

use super::MILE_H;
use super::{
    Format, Input, Stations, Stop, Table, elevation, latitude, longitude, stamp, words, zone_left_open,
};
use crate::note::{Note, NoteKind};
use crate::time::UtcOffset;
use crate::units::Celsius;
use crate::weather::cells::{self, Cells, Picker};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span, oktas_of_word};
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "LCD", detect, read };

const STATION: usize = 0;
const DATE: usize = 1;
const KIND: usize = 2;
const AIR: usize = 3;
const SKY: usize = 4;
const WIND: usize = 5;
const PRESSURE: usize = 6;
const TEXT: usize = 7;
const LATITUDE: usize = 8;
const LONGITUDE: usize = 9;
const ELEVATION: usize = 10;
const NAME: usize = 11;

const COLUMNS: &[(usize, &[&str])] = &[
    (STATION, &["STATION"]),
    (DATE, &["DATE"]),
    (KIND, &["REPORT_TYPE"]),
    (AIR, &["HourlyDryBulbTemperature"]),
    (SKY, &["HourlySkyConditions"]),
    (WIND, &["HourlyWindSpeed"]),
    (PRESSURE, &["HourlyStationPressure"]),
    (TEXT, &["REM"]),
    (LATITUDE, &["LATITUDE"]),
    (LONGITUDE, &["LONGITUDE"]),
    (ELEVATION, &["ELEVATION"]),
    (NAME, &["NAME"]),
];

/// Below this a station pressure is in inches of mercury, and temperatures in Fahrenheit. Chosen because the
/// highest pressure ever, 32 inHg, and the lowest at any station, 500 hPa, lie far apart.
const INCHES_BELOW: f64 = 35.0;
/// Above this a station pressure is in hectopascals, and temperatures in Celsius.
const HECTOPASCALS_ABOVE: f64 = 350.0;

/// The two generations.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Units {
    English,
    Metric,
}

fn detect(head: &Head) -> Option<String> {
    head.has_cells(0, b',', &["HourlyDryBulbTemperature", "DATE"])
        .then(|| "its header holds HourlyDryBulbTemperature".to_owned())
}

/// The rows of the head, cut.
fn sample(head: &Head, picker: &mut Picker, mut look: impl FnMut(&Cells<'_>)) {
    for line in head.lines.iter().skip(1) {
        look(&picker.pick(line.as_bytes()));
    }
}

/// Unit by the middle station pressure of the first rows.
fn units(head: &Head, picker: &mut Picker) -> Option<Units> {
    let mut pressures = Vec::new();
    sample(head, picker, |cells| {
        let digits =
            cells.at(PRESSURE).iter().take_while(|byte| byte.is_ascii_digit() || **byte == b'.').count();
        pressures.extend(scan::decimal(&cells.at(PRESSURE)[..digits]));
    });
    pressures.sort_by(f64::total_cmp);
    match pressures.get(pressures.len() / 2) {
        Some(&middle) if middle < INCHES_BELOW => Some(Units::English),
        Some(&middle) if middle > HECTOPASCALS_ABOVE => Some(Units::Metric),
        _ => None,
    }
}

/// The distance of the stamps from UTC that the reports' own texts show; `None` where they do not agree.
fn zone_of_texts(head: &Head, picker: &mut Picker) -> Option<UtcOffset> {
    let mut zones: Vec<i32> = Vec::new();
    sample(head, picker, |cells| {
        let Some(local) = scan::iso(cells.at(DATE)) else { return };
        let text = cells::text(cells.at(TEXT));
        let moment = text.split_ascii_whitespace().find_map(|word| {
            let digits = word.strip_suffix('Z').filter(|digits| digits.len() == 6)?;
            let number = digits.parse::<i64>().ok()?;
            Some((number / 10_000, number / 100 % 100, number % 100))
        });
        let Some((day, hour, minute)) = moment else { return };
        // The day of the month in UTC is the local one or a neighbour.
        let of_day = local.seconds.rem_euclid(86_400);
        let midnight = local.seconds - of_day;
        for shift in [-1, 0, 1] {
            let date = crate::time::LocalDay(i32::try_from(midnight / 86_400 + shift).unwrap_or(0));
            if i64::from(date.month_day().day) == day {
                let utc = midnight + shift * 86_400 + hour * 3600 + minute * 60;
                zones
                    .extend(i32::try_from(local.seconds - utc).ok().filter(|zone| zone.rem_euclid(900) == 0));
            }
        }
    });
    zones.sort_unstable();
    let middle = *zones.get(zones.len() / 2)?;
    let agreeing = zones.iter().filter(|&&zone| zone == middle).count();
    // Chosen because single reports are stamped late; nine of ten must agree.
    (zones.len() >= 3 && agreeing * 10 >= zones.len() * 9).then(|| UtcOffset::from_seconds(middle)).flatten()
}

/// The number of "12s", whose letter marks doubt.
fn before_letters(cell: &[u8]) -> Option<f64> {
    let cell = scan::trim(cell);
    let letters = cell.iter().rev().take_while(|byte| byte.is_ascii_alphabetic() || **byte == b'*').count();
    scan::decimal(&cell[..cell.len() - letters])
}

/// Oktas of "FEW:02 250 BKN:07 100": the thickest layer, whose number behind the colon is oktas.
fn oktas(cell: &[u8]) -> Option<f64> {
    cell.split(|byte| matches!(byte, b' ' | b'|'))
        .filter_map(|layer| {
            let colon = layer.iter().position(|&byte| byte == b':')?;
            let number = scan::integer(&layer[colon + 1..]).filter(|oktas| (0..=9).contains(oktas));
            number.map(|oktas| f64::from(oktas.min(8))).or_else(|| oktas_of_word(&layer[..colon]))
        })
        .reduce(f64::max)
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    let header = input.head.cells(0, b',');
    let mut picker = Picker::by_name(b',', &header, COLUMNS);
    let Some(units) = units(input.head, &mut picker) else {
        return Err(input.layout(
            1,
            "no usable HourlyStationPressure in the first rows",
            "station pressures, which tell Fahrenheit (inches of mercury) from Celsius (hectopascals): this archive \
             uses the same column names for both",
            "download with station pressure, or name the columns and air_unit under [stop.columns]",
        ));
    };
    let mut first = Station::default();
    sample(input.head, &mut picker, |cells| {
        if first.id.is_none() {
            first = station(cells);
        }
    });
    let declared = gather.declare();
    let (zone, note) = match zone_of_texts(input.head, &mut picker) {
        None => zone_left_open(input, first.longitude_deg, "local standard time")?,
        Some(zone) => match input.utc_offset {
            Some(asked) if asked != zone => {
                let text = format!(
                    "the reports' own texts put the stamps at {zone} from UTC, utc_offset says {asked}; the texts are \
                     followed"
                );
                (zone, Some(Note::once(NoteKind::Clock, text)))
            }
            _ => (zone, None),
        },
    };
    declared.notes.extend(note);
    declared.notes.push(Note::once(
        NoteKind::Assumed,
        match units {
            Units::English => {
                "read in Fahrenheit and miles an hour, since its station pressures are inches of mercury"
            }
            Units::Metric => {
                "read in Celsius and metres a second, since its station pressures are hectopascals"
            }
        },
    ));
    declared.station = Station { utc_offset: Some(zone), ..first };
    let mut stations = Stations::default();
    let table = Table { separator: b',', header: 0, columns: COLUMNS, keys: &[DATE] };
    table.read(input, gather, |cells, line, _| {
        let civil = scan::iso(cells.at(DATE)).ok_or(Why::NoStamp)?;
        stations.meet(cells.at(STATION), || words(cells.at(NAME)).unwrap_or_default());
        if matches!(scan::trim(cells.at(KIND)), b"SOD" | b"SOM" | b"SOY") {
            return Err(Stop::Row(Why::Summary));
        }
        let mut reading = Reading::new(Span::Instant(stamp(civil.seconds, zone)), line);
        let (air, wind) = (reading::air(cells.at(AIR), |_| false), scan::decimal(cells.at(WIND)));
        let doubted = if air == Err(Why::UnreadableAir) { before_letters(cells.at(AIR)) } else { None };
        let celsius = |raw: f64| match units {
            Units::English => Celsius::from_fahrenheit(raw).0,
            Units::Metric => raw,
        };
        reading.air = air.map(celsius);
        reading.doubted_c = doubted.map(celsius);
        reading.wind_m_s = match units {
            Units::English => wind.map(|mph| mph * MILE_H),
            Units::Metric => wind,
        };
        reading.oktas = oktas(cells.at(SKY));
        Ok(reading)
    })?;
    stations.one(input.path)
}

fn station(cells: &Cells<'_>) -> Station {
    Station {
        id: words(cells.at(STATION)),
        name: words(cells.at(NAME)),
        latitude_deg: latitude(cells.at(LATITUDE)),
        longitude_deg: longitude(cells.at(LONGITUDE)),
        elevation_m: elevation(cells.at(ELEVATION)),
        utc_offset: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_thickest_layer_counts() {
        assert_eq!(oktas(b"FEW:02 250"), Some(2.0));
        assert_eq!(oktas(b"FEW:02 10 OVC:08 5.49"), Some(8.0));
        assert_eq!(oktas(b"VV:09 2"), Some(8.0));
        assert_eq!(oktas(b"CLR:00"), Some(0.0));
        assert_eq!(oktas(b""), None);
    }
}
