//! What a table of no known format tells of its place and clock: lines for the stop above its columns.

use super::table_guess::{row, words};
use super::{cells, scan};
use crate::time::HOUR_S;

/// Headers of the two coordinates.
const LATITUDES: [&str; 4] = ["latitude", "lat", "latitude deg", "lat deg"];
const LONGITUDES: [&str; 6] = ["longitude", "lon", "long", "lng", "longitude deg", "lon deg"];

/// The stop's lines of a table, and the columns that they were read from.
pub(super) struct StopLines {
    pub text: String,
    pub columns: Vec<usize>,
    /// Latitude and longitude, degrees.
    pub place: Option<(f64, f64)>,
}

/// What is known of the zone of the stamps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Zone {
    /// Nothing.
    Open,
    /// By the light, or by the stamps themselves, it is not this clock's.
    Other,
    /// By the light it is this clock's.
    Own,
}

/// Latitude, longitude and the clock that follows from it. Coordinates count only where every row seen has the same.
pub(super) fn stop_lines(header: &[String], rows: &[Vec<String>]) -> StopLines {
    let mut lines = StopLines { text: String::new(), columns: Vec::new(), place: None };
    let mut known = |key: &str, names: &[&str], most: f64| {
        let (at, found) = constant(header, rows, names)?;
        // Grids count some longitudes from 0 to 360.
        let degrees = if most > 90.0 && found > 180.0 { found - 360.0 } else { found };
        if !(-most..=most).contains(&degrees) {
            return None;
        }
        lines.columns.push(at);
        let name = cells::shown(&header[at]);
        lines.text.push_str(&row(
            &format!("{key} = {degrees}"),
            &format!("from column {name}; leave it out where the stop has it"),
        ));
        Some(degrees)
    };
    let latitude = known("latitude_deg", &LATITUDES, 90.0);
    let longitude = known("longitude_deg", &LONGITUDES, 180.0);
    lines.place = latitude.zip(longitude);
    lines
}

/// The line of the stop's clock, where it lies at that place.
pub(super) fn clock_line(place: Option<(f64, f64)>, zone: Zone) -> String {
    let stamps = match zone {
        Zone::Open => ", and the zone of the stamps",
        Zone::Other => "",
        Zone::Own => "; the light says that it is the zone of the stamps",
    };
    match place {
        Some((_, longitude)) => row(
            &format!("utc_offset = \"{}\"", zone_text(zone_hours(longitude))),
            &format!("? from the longitude, 15 degrees an hour: your clock there{stamps}"),
        ),
        None => row("# utc_offset = ...", &format!("such as \"-07:00\": your clock there{stamps}")),
    }
}

/// The one number of that column, where all rows have the same.
fn constant(header: &[String], rows: &[Vec<String>], names: &[&str]) -> Option<(usize, f64)> {
    let at = header.iter().position(|name| names.contains(&words(name).trim()))?;
    let mut numbers = rows.iter().filter(|row| row.len() > at).map(|row| number(&row[at]));
    let first = numbers.next()??;
    numbers.all(|number| number == Some(first)).then_some((at, first))
}

fn number(cell: &str) -> Option<f64> {
    scan::decimal(cell.trim().replace(',', ".").as_bytes())
}

/// The zone of that longitude by the sun, in whole hours.
pub(super) fn zone_hours(longitude: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a longitude is at most 180 degrees")]
    let hours = (longitude / 15.0).round() as i64;
    hours
}

/// That zone as a plan writes it, without its quotes.
pub(super) fn zone_text(hours: i64) -> String {
    format!("{}{:02}:00", if hours < 0 { '-' } else { '+' }, hours.abs())
}

/// Whether these stamps follow each other by one whole hour throughout, and say no zone: as those of grids do.
pub(super) fn like_a_grid(stamps: &[String], pattern: Option<&str>) -> bool {
    let seconds = |stamp: &String| match pattern {
        Some(pattern) => chrono::NaiveDateTime::parse_from_str(stamp, pattern)
            .ok()
            .map(|stamp| stamp.and_utc().timestamp()),
        None => {
            scan::iso(stamp.as_bytes()).filter(|civil| civil.offset_s.is_none()).map(|civil| civil.seconds)
        }
    };
    let Some(all) = stamps.iter().map(seconds).collect::<Option<Vec<i64>>>() else { return false };
    all.len() > 2
        && all.iter().all(|seconds| seconds % HOUR_S == 0)
        && all.windows(2).all(|pair| pair[1] - pair[0] == HOUR_S)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> StopLines {
        let mut all = text.lines().map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>());
        let header = all.next().unwrap_or_default();
        let mut lines = stop_lines(&header, &all.collect::<Vec<_>>());
        lines.text.push_str(&clock_line(lines.place, Zone::Open));
        lines
    }

    #[test]
    fn coordinates_come_from_columns_that_do_not_change() {
        let found = lines("time,LATITUDE,Lon,air\n1,46.25,247.5,2\n2,46.25,247.5,3\n");
        assert!(found.text.contains("latitude_deg = 46.25 "), "{}", found.text);
        // 247.5 degrees east are 112.5 west; seven and a half hours, rounded away from Greenwich
        assert!(found.text.contains("longitude_deg = -112.5 "), "{}", found.text);
        assert!(found.text.contains("utc_offset = \"-08:00\" "), "{}", found.text);
        assert_eq!(found.columns, [1, 2]);
        for text in [
            "time,lat,lon\n1,46.25,8\n2,46.5,9\n",
            "time,lat,lon\n1,146.25,800\n",
            "time,lat,lon\n1,N46,\n",
            "time,slat,longwave\n1,46,8\n",
        ] {
            let found = lines(text);
            assert!(
                found.columns.is_empty() && found.text.starts_with("# utc_offset = ..."),
                "{}",
                found.text
            );
        }
    }

    // The earth turns 15 degrees an hour.
    #[test]
    fn the_clock_follows_the_longitude() {
        for (longitude, zone) in
            [(0.0, "+00:00"), (-5.0, "+00:00"), (-110.0, "-07:00"), (151.2, "+10:00"), (180.0, "+12:00")]
        {
            assert_eq!(zone_text(zone_hours(longitude)), zone, "{longitude}");
        }
    }

    #[test]
    fn stamps_of_a_grid_are_whole_hours_without_a_gap_or_zone() {
        let grid = |stamps: &[&str], pattern: Option<&str>| {
            like_a_grid(&stamps.iter().map(|stamp| (*stamp).to_owned()).collect::<Vec<_>>(), pattern)
        };
        assert!(grid(&["2031-01-05 22:00", "2031-01-05 23:00", "2031-01-06 00:00"], None));
        assert!(grid(&["05/01/2031 22:00", "05/01/2031 23:00", "06/01/2031 00:00"], Some("%d/%m/%Y %H:%M")));
        for other in [
            ["2031-01-05 22:10", "2031-01-05 23:10", "2031-01-06 00:10"],
            ["2031-01-05 22:00", "2031-01-05 23:00", "2031-01-06 01:00"],
            ["2031-01-05T22:00Z", "2031-01-05T23:00Z", "2031-01-06T00:00Z"],
            ["2031-01-05 22:00", "noon", "2031-01-06 00:00"],
        ] {
            assert!(!grid(&other, None), "{other:?}");
        }
    }
}
