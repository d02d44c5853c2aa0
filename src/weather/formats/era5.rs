//! ERA5 and ERA5-Land time series of a point: a reanalysis grid cell, also as an archive with one member a group of
//! quantities, which are joined by time.
//!
//! UTC. Temperature in kelvin, an instant. Radiation in J/m2: ERA5 sums over the hour before the stamp, ERA5-Land
//! from 00 UTC on, its value at 00 being the day's total (from memory); told apart by the file's name, else by
//! values that no single hour can hold. Layout seen quoted.

use super::{Format, Input, Stations, Table, latitude, longitude, open_meteo};
use crate::time::{DAY_S, HOUR_S, Stamp};
use crate::units::Celsius;
use crate::weather::cells;
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{self, Reading, Span};
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "ERA5 time series", detect, read };

const TIME: usize = 0;
const AIR: usize = 1;
const RADIATION: usize = 2;
const EASTWARD: usize = 3;
const NORTHWARD: usize = 4;
const CLOUD: usize = 5;
const LATITUDE: usize = 6;
const LONGITUDE: usize = 7;

const COLUMNS: &[(usize, &[&str])] = &[
    (TIME, &["valid_time"]),
    (AIR, &["t2m"]),
    (RADIATION, &["ssrd"]),
    (EASTWARD, &["u10"]),
    (NORTHWARD, &["v10"]),
    (CLOUD, &["tcc"]),
    (LATITUDE, &["latitude"]),
    (LONGITUDE, &["longitude"]),
];

/// More than the sun can bring to a square metre in an hour, J: the solar constant at perihelion, 1408 W/m2.
const HOUR_LIMIT_J: f64 = 1408.0 * 3600.0;

fn detect(head: &Head) -> Option<String> {
    let cells = head.cells(0, b',');
    let held = |name: &str| cells::position(&cells, name).is_some();
    (held("valid_time") && COLUMNS[1..6].iter().any(|(_, names)| held(names[0])))
        .then(|| "its header holds valid_time and names such as t2m".to_owned())
}

/// Whether radiation is summed from 00 UTC on.
fn summed_over_the_day(input: &Input<'_>) -> bool {
    let name = input.path.to_string_lossy().to_ascii_lowercase();
    if name.contains("era5-land") || name.contains("era5_land") {
        return true;
    }
    if name.contains("single-levels") {
        return false;
    }
    let header = input.head.cells(0, b',');
    let mut picker = cells::Picker::by_name(b',', &header, COLUMNS);
    input.head.lines.iter().skip(1).any(|line| {
        scan::decimal(picker.pick(line.as_bytes()).at(RADIATION)).is_some_and(|sum| sum > HOUR_LIMIT_J)
    })
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    let header = input.head.cells(0, b',');
    let has = |name: &str| cells::position(&header, name).is_some();
    let daily = has("ssrd") && summed_over_the_day(input);
    let radiation = has("ssrd");
    let declared = gather.declare();
    declared.joins = !has("t2m");
    declared.notes.push(open_meteo::grid_note());
    let mut first = true;
    // Points of a grid, as a file of several is: one is a record.
    let mut points = Stations::default();
    let mut point_before = (Vec::new(), Vec::new());
    let mut before: Option<(i64, f64)> = None;
    let table = Table { separator: b',', header: 0, columns: COLUMNS, keys: &[TIME] };
    table.read(input, gather, |cells, line, gather| {
        let civil = scan::iso(cells.at(TIME)).ok_or(Why::NoStamp)?;
        let stamp = Stamp(civil.seconds - i64::from(civil.offset_s.unwrap_or(0)));
        if std::mem::take(&mut first) {
            gather.declare().station = Station {
                latitude_deg: latitude(cells.at(LATITUDE)),
                longitude_deg: longitude(cells.at(LONGITUDE)),
                ..Station::default()
            };
        }
        if !cells.at(LATITUDE).is_empty() {
            let point = [scan::trim(cells.at(LATITUDE)), scan::trim(cells.at(LONGITUDE))];
            if point != [&*point_before.0, &*point_before.1] {
                point_before = (point[0].to_vec(), point[1].to_vec());
                points.meet(&point.join(&b", "[..]), String::new);
            }
        }
        // Where a row holds radiation it stands for the hour that the radiation is the mean of.
        let span = if radiation { Span::hour_ending(stamp) } else { Span::Instant(stamp) };
        let mut reading = Reading::new(span, line);
        reading.air = reading::air(cells.at(AIR), |_| false).map(|kelvin| Celsius::from_kelvin(kelvin).0);
        let sum = scan::decimal(cells.at(RADIATION));
        let joules = if daily { sum.and_then(|sum| hour_of(&mut before, stamp, sum)) } else { sum };
        reading.ghi = joules.map(|joules| joules / 3600.0);
        let wind = scan::decimal(cells.at(EASTWARD)).zip(scan::decimal(cells.at(NORTHWARD)));
        reading.wind_m_s = wind.map(|(east, north)| east.hypot(north));
        reading.oktas = scan::decimal(cells.at(CLOUD))
            .filter(|share| (0.0..=1.0).contains(share))
            .map(|share| share * 8.0);
        Ok(reading)
    })?;
    points.one(input.path)
}

/// The last hour's share of a sum that begins at 00 UTC.
fn hour_of(before: &mut Option<(i64, f64)>, stamp: Stamp, sum: f64) -> Option<f64> {
    let of_day = stamp.0.rem_euclid(DAY_S);
    let earlier = before.replace((stamp.0, sum));
    if of_day == HOUR_S {
        return Some(sum);
    }
    let (at, earlier) = earlier?;
    (stamp.0 - at == HOUR_S).then(|| (sum - earlier).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_days_sum_becomes_hours() {
        let mut before = None;
        let day = [(0, 9.0e6), (1, 0.0), (7, 0.0), (8, 1.0e6), (9, 3.0e6), (24, 9.5e6)];
        let hours: Vec<Option<f64>> =
            day.iter().map(|&(hour, sum)| hour_of(&mut before, Stamp(hour * HOUR_S), sum)).collect();
        // The first has no hour before it, neither has 07:00, and 24:00 follows a gap.
        assert_eq!(hours, [None, Some(0.0), None, Some(1.0e6), Some(2.0e6), None]);
    }
}
