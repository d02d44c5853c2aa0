//! Formats that are recognised and not read, with what to download instead.

use super::{Format, Input};
use crate::weather::WeatherError;
use crate::weather::head::Head;

/// Raw records of the integrated surface database, fixed width.
const RAW_ISD: &str = "raw ISD (fixed width)";
/// The British archive in its own CSV dialect.
const MIDAS: &str = "MIDAS Open (BADC-CSV)";
/// Half-hourly product of the Australian Bureau of Meteorology.
const BOM: &str = "the Bureau of Meteorology's HM01X product";
/// Daily or sub-hourly products of the climate reference network.
const USCRN_OTHER: &str = "a daily or sub-hourly USCRN product";
/// The daily product of the global historical network.
const GHCN_DAILY: &str = "GHCN daily summaries";
/// What to download instead.
const INSTEAD: &[(&str, &str)] = &[
    (RAW_ISD, "download the same station as Global Hourly CSV or ISD-Lite"),
    (
        MIDAS,
        "save its ob_time, air_temperature and wind_speed columns as a CSV and name them under [stop.columns], with utc_offset \"Z\"",
    ),
    (BOM, "save its standard-time stamp and air temperature as a CSV and name them under [stop.columns]"),
    (USCRN_OTHER, "download the hourly02 files of the same station"),
    (GHCN_DAILY, "download the hourly record (GHCNh, Global Hourly or ISD-Lite) of the same station"),
];

pub(super) const FORMATS: &[Format] = &[
    Format { name: RAW_ISD, detect: raw_isd, read: |input, _| refuse(input, RAW_ISD) },
    Format { name: MIDAS, detect: midas, read: |input, _| refuse(input, MIDAS) },
    Format { name: BOM, detect: bom, read: |input, _| refuse(input, BOM) },
    Format { name: USCRN_OTHER, detect: uscrn_other, read: |input, _| refuse(input, USCRN_OTHER) },
    Format { name: GHCN_DAILY, detect: ghcn_daily, read: |input, _| refuse(input, GHCN_DAILY) },
];

fn refuse(input: &Input<'_>, format: &'static str) -> Result<(), WeatherError> {
    let instead = INSTEAD.iter().find(|(name, _)| *name == format).map_or("", |(_, instead)| instead);
    Err(WeatherError::Refused { path: input.path.to_path_buf(), format, instead })
}

fn raw_isd(head: &Head) -> Option<String> {
    let line = head.line(0).as_bytes();
    let digits = line.len() > 100 && line[..4].iter().chain(&line[15..27]).all(u8::is_ascii_digit);
    (digits && matches!(line[28], b'+' | b'-'))
        .then(|| "rows of fixed width that begin with 27 digits".to_owned())
}

fn midas(head: &Head) -> Option<String> {
    head.line(0)
        .starts_with("Conventions,G,BADC-CSV")
        .then(|| "line 1 is \"Conventions,G,BADC-CSV\"".to_owned())
}

fn bom(head: &Head) -> Option<String> {
    let cells = head.cells(0, b',');
    let first = cells.first().is_some_and(|cell| matches!(cell.as_str(), "hm" | "hd" | "aw"));
    (first && cells.get(1).is_some_and(|cell| cell == "Station Number"))
        .then(|| "its header begins \"hm,Station Number\"".to_owned())
}

fn uscrn_other(head: &Head) -> Option<String> {
    let fields: Vec<&str> = head.line(0).split_ascii_whitespace().collect();
    let numbers = fields.len() > 3 && fields[0].len() == 5 && fields[1].len() == 8;
    let digits = numbers && fields[..2].iter().all(|field| field.bytes().all(|byte| byte.is_ascii_digit()));
    (digits && matches!(fields.len(), 23 | 28)).then(|| "rows of 23 or 28 fields without header".to_owned())
}

fn ghcn_daily(head: &Head) -> Option<String> {
    (head.has_cells(0, b',', &["STATION", "DATE", "TMIN"]) && !head.has_cells(0, b',', &["TMP"]))
        .then(|| "its header holds STATION, DATE and TMIN".to_owned())
}
