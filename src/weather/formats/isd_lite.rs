//! ISD-Lite: one station and year a file, twelve whole numbers a row, no header.
//!
//! UTC; a row at hour h holds the report nearest to h (a report of 11:53 stands at 12). Instant. Missing hours are
//! absent, missing values are -9999. The file carries no place; the station's number is in the file's name.
//! Layout seen in real files; the meaning of sky codes above 9 is from memory.

use super::{Format, Input};
use crate::time::Stamp;
use crate::weather::WeatherError;
use crate::weather::gather::Gather;
use crate::weather::head::Head;
use crate::weather::reading::{Reading, Span};
use crate::weather::rows::Quotes;
use crate::weather::scan;
use crate::weather::tally::Why;

pub(super) const FORMAT: Format = Format { name: "ISD-Lite", detect, read };

/// Fields of a row, by position.
const FIELDS: usize = 12;
const AIR: usize = 4;
const WIND: usize = 8;
const SKY: usize = 9;

/// Stands for "missing" in every field.
const MISSING: i32 = -9999;

/// Oktas of a sky code: 0-8 are oktas, 9 is an obscured sky, 11-19 are scattered, broken and overcast in three
/// shades each; 10 (partly obscured) says nothing of the cover.
fn oktas(code: i32) -> Option<f64> {
    match code {
        0..=8 => Some(f64::from(code)),
        9 => Some(8.0),
        11..=13 => Some(4.0),
        14..=16 => Some(6.0),
        17..=19 => Some(8.0),
        _ => None,
    }
}

fn fields(row: &[u8]) -> Option<[i32; FIELDS]> {
    let mut values = [0; FIELDS];
    let mut fields = row.split(u8::is_ascii_whitespace).filter(|field| !field.is_empty());
    for value in &mut values {
        *value = scan::integer(fields.next()?)?;
    }
    fields.next().is_none().then_some(values)
}

fn time(values: &[i32; FIELDS]) -> Option<Stamp> {
    let [year, month, day, hour, ..] = *values;
    let part = |value: i32| u32::try_from(value).ok();
    scan::civil(year, part(month)?, part(day)?, part(hour)?, 0, 0).map(Stamp)
}

fn detect(head: &Head) -> Option<String> {
    let values = fields(head.line(0).as_bytes())?;
    time(&values)?;
    Some("no header; rows of twelve whole numbers that begin with year, month, day and hour".to_owned())
}

fn read(input: &mut Input<'_>, gather: &mut Gather) -> Result<(), WeatherError> {
    input.rows.quotes = Quotes::Plain;
    gather.declare().station.id = station(&input.stem());
    while let Some(row) = input.rows.next()? {
        let Some(values) = fields(row.bytes) else {
            gather.leave_out(Why::OtherLine, row.line);
            continue;
        };
        let Some(stamp) = time(&values) else {
            gather.leave_out_row(Why::NoStamp, row.line, row.bytes);
            continue;
        };
        let present = |at: usize| (values[at] != MISSING).then_some(values[at]);
        let mut reading = Reading::new(Span::Instant(stamp), row.line);
        reading.air = present(AIR).map(|tenths| f64::from(tenths) / 10.0).ok_or(Why::NoAir);
        reading.wind_m_s = present(WIND).map(|tenths| f64::from(tenths) / 10.0);
        reading.oktas = present(SKY).and_then(oktas);
        gather.push(&reading);
    }
    Ok(())
}

/// The station's number from names such as "725300-2010" and "725300-94846-2010": all but the year.
fn station(stem: &str) -> Option<String> {
    let stem = stem.split('.').next().unwrap_or_default();
    let parts: Vec<&str> = stem.split('-').collect();
    let (year, id) = parts.split_last()?;
    let number = |part: &&str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_alphanumeric());
    (!id.is_empty() && year.len() == 4 && id.iter().all(number)).then(|| id.join("-"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_files_tell_the_station() {
        assert_eq!(station("725300-2010").as_deref(), Some("725300"));
        assert_eq!(station("725300-94846-2010").as_deref(), Some("725300-94846"));
        assert_eq!(station("A00001-53848-2010.txt").as_deref(), Some("A00001-53848"));
        assert_eq!(station("winter"), None);
    }

    #[test]
    fn a_row_is_twelve_numbers() {
        let row = b"2018 01 01 00  -228 -9999 -9999 -9999 -9999 -9999 -9999 -9999";
        assert_eq!(fields(row).map(|values| values[AIR]), Some(-228));
        assert_eq!(fields(b"2018 01 01 00 -228"), None);
        assert_eq!(fields(b"2018 01 01 00 -228 1 2 3 4 5 6 7 8"), None);
    }
}
