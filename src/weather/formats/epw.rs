//! EPW: a typical year for building simulation, with a handbook's design conditions in its head.
//!
//! Eight header lines, then 35 cells a row. Local standard time, hours 1 to 24, hour h ends at h; the minute cell
//! (0, 60 or a stray 30) says nothing. Irradiance is the mean of the hour. Layout seen in many real files of three
//! handbook editions.

use super::{Format, Input, elevation, latitude, longitude, stamp};
use crate::time::UtcOffset;
use crate::weather::cells::{self, Picker};
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{Reading, Span, oktas_of_tenths};
use crate::weather::scan;
use crate::weather::tally::Why;
use crate::weather::{Published, Station, WeatherError};

pub(super) const FORMAT: Format = Format { name: "EPW", detect, read };

const YEAR: usize = 0;
const MONTH: usize = 1;
const DAY: usize = 2;
const HOUR: usize = 3;
const AIR: usize = 4;
const GHI: usize = 5;
const DNI: usize = 6;
const DHI: usize = 7;
const WIND: usize = 8;
const CLOUD: usize = 9;

/// Slots with their cells, by position.
const COLUMNS: &[(usize, usize)] = &[
    (YEAR, 0),
    (MONTH, 1),
    (DAY, 2),
    (HOUR, 3),
    (AIR, 6),
    (GHI, 13),
    (DNI, 14),
    (DHI, 15),
    (WIND, 21),
    (CLOUD, 22),
];

/// Header lines before the rows.
const HEADER_LINES: usize = 8;
/// Stands for a missing dry bulb, C.
const AIR_MISSING: f64 = 99.9;
/// From here on an irradiance stands for "missing" (9999), Wh/m2.
const LIGHT_MISSING: f64 = 9999.0;
/// Stands for a missing wind speed (999), m/s.
const WIND_MISSING: f64 = 999.0;

fn detect(head: &Head) -> Option<String> {
    (head.line(0).starts_with("LOCATION,") && head.line(1).starts_with("DESIGN CONDITIONS"))
        .then(|| "line 1 begins \"LOCATION,\", line 2 \"DESIGN CONDITIONS\"".to_owned())
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    let location = input.head.cells(0, b',');
    let cell = |at: usize| location.get(at).map_or("", String::as_str);
    let Some(zone) = scan::decimal(cell(8).as_bytes()).and_then(UtcOffset::from_hours) else {
        return Err(input.layout(
            1,
            format!("\"{}\" as the time zone", cells::shown(cell(8))),
            "hours from UTC such as -5.0 in the ninth cell of LOCATION",
            "download the file again",
        ));
    };
    let known = |text: &str| !text.is_empty() && text != "-" && text != "unknown";
    let name: Vec<&str> = [cell(1), cell(2), cell(3)].into_iter().filter(|text| known(text)).collect();
    let declared = gather.declare();
    declared.typical_year = true;
    declared.station = Station {
        id: Some(cell(5).to_owned()).filter(|id| known(id)),
        name: Some(name.join(", ")).filter(|name| !name.is_empty()),
        latitude_deg: latitude(cell(6).as_bytes()),
        longitude_deg: longitude(cell(7).as_bytes()),
        elevation_m: elevation(cell(9).as_bytes()),
        utc_offset: Some(zone),
    };
    declared.published = published(&input.head.cells(1, b','), cell(5));
    let mut picker = Picker::new(b',', COLUMNS);
    for _ in 0..HEADER_LINES {
        input.rows.next()?;
    }
    while let Some(row) = input.rows.next()? {
        let cells = picker.pick(row.bytes);
        let part = |slot: usize| scan::integer(scan::trim(cells.at(slot)));
        let small = |slot: usize| part(slot).and_then(|value| u32::try_from(value).ok());
        let end = (|| scan::civil(part(YEAR)?, small(MONTH)?, small(DAY)?, small(HOUR)?, 0, 0))();
        let Some(end) = end else {
            gather.leave_out_row(Why::NoStamp, row.line, row.bytes);
            continue;
        };
        let light = |slot: usize| scan::decimal(cells.at(slot)).filter(|&value| value < LIGHT_MISSING);
        let mut reading = Reading::new(Span::hour_ending(stamp(end, zone)), row.line);
        reading.air = scan::decimal(cells.at(AIR)).filter(|&value| value < AIR_MISSING).ok_or(Why::NoAir);
        reading.ghi = light(GHI);
        reading.dni = light(DNI);
        reading.dhi = light(DHI);
        reading.wind_m_s = scan::decimal(cells.at(WIND)).filter(|&value| value < WIND_MISSING);
        reading.oktas = scan::decimal(cells.at(CLOUD)).and_then(oktas_of_tenths);
        gather.push(&reading);
    }
    Ok(())
}

/// Mean, standard deviation and n-year values of annual lows from the "Extremes" block of the design conditions.
///
/// The block moves between editions: that of 2009 has a wet-bulb maximum before the means and sixteen cells, that of
/// 2021 has none and fifteen, that of 2017 the order of 2021 and one cell more. The count of cells misleads, so both
/// orders are tried and the one in which the numbers make sense is taken; none where neither or both do.
fn published(cells: &[String], station: &str) -> Option<Published> {
    let begin = cells.iter().position(|cell| cell == "Extremes")? + 1;
    let values: Vec<Option<f64>> = cells[begin..].iter().map(|cell| scan::decimal(cell.as_bytes())).collect();
    let fitting: Vec<Published> = [4, 3].into_iter().filter_map(|mean| block(&values, mean)).collect();
    let [found] = fitting.as_slice() else { return None };
    let edition = cells.get(2).filter(|text| !text.is_empty()).map_or("a handbook's edition", String::as_str);
    Some(Published { source: format!("{edition}, station {station}, in the file's head"), ..found.clone() })
}

/// The block with the mean low at `mean`, where its numbers make sense.
fn block(values: &[Option<f64>], mean: usize) -> Option<Published> {
    let value = |at: usize| values.get(mean + at).copied().flatten();
    let (mean_low, mean_high, sd_low, sd_high) = (value(0)?, value(1)?, value(2)?, value(3)?);
    let lows = [value(4)?, value(6)?, value(8)?, value(10)?];
    let highs = [value(5)?, value(7)?, value(9)?, value(11)?];
    let sense = mean_low < mean_high
        && sd_low > 0.0
        && sd_high > 0.0
        && lows[0] < mean_low
        && highs[0] > mean_high
        && lows.windows(2).all(|pair| pair[1] < pair[0])
        && highs.windows(2).all(|pair| pair[1] > pair[0]);
    sense.then(|| Published {
        mean_c: mean_low,
        sd_k: sd_low,
        levels_c: [5, 10, 20, 50].into_iter().zip(lows).collect(),
        source: String::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weather::cells;

    /// Invented numbers in the three orders.
    fn header(block: &str) -> Vec<String> {
        cells::header(format!("DESIGN CONDITIONS,1,Invented Handbook,,Extremes,{block}").as_bytes(), b',')
    }

    #[test]
    fn the_extremes_block_is_found_in_three_orders() {
        let numbers = "-15.8,36.5,2.9,1.8,-17.9,37.8,-19.6,38.9,-21.2,39.9,-23.3,41.2";
        for block in [
            format!("10.4,8.9,7.9,30.2,{numbers}"),
            format!("10.4,8.9,7.9,{numbers}"),
            format!("10.4,8.9,7.9,{numbers},12.5"),
        ] {
            let published = published(&header(&block), "000000");
            let found = published.as_ref().map(|found| (found.mean_c, found.sd_k, found.levels_c.clone()));
            let expected = (-15.8, 2.9, vec![(5, -17.9), (10, -19.6), (20, -21.2), (50, -23.3)]);
            assert_eq!(found, Some(expected), "{block}");
        }
        assert_eq!(published(&header("10.4,8.9,N_A"), "000000"), None);
        assert_eq!(published(&cells::header(b"DESIGN CONDITIONS,0", b','), "000000"), None);
    }
}
