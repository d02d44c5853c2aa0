//! `[stop.columns]`: how a CSV of no known format is read.

use super::stops::offset;
use crate::plan::draft::{Draft, Owner};
use crate::plan::fault::quoted;
use crate::plan::given::Given;
use crate::plan::keys::COLUMNS;
use crate::plan::schema::ColumnsTable;
use crate::weather::{AirUnit, CloudUnit, Columns, StampMeaning, WindUnit};
use toml::Spanned;

/// Most headers that one time may be made of: year, month, day, hour, minute, second.
const MOST_TIME_HEADERS: usize = 6;

pub fn columns(table: Spanned<ColumnsTable>, stop: &Owner, draft: &mut Draft<'_>) -> Option<Columns> {
    let owner =
        Owner { table: &COLUMNS, name: format!("{} of {}", COLUMNS.header, stop.name), span: table.span() };
    let owner = &owner;
    let table = table.into_inner();
    let time = draft.read(table.time, "time", owner).and_then(|(headers, span)| {
        if headers.len() <= MOST_TIME_HEADERS {
            return Some(headers);
        }
        draft.fault(
            span,
            format!("{}: found {} headers; expected one, or up to {MOST_TIME_HEADERS}: year, month, day, hour, minute, second", owner.the("time"), headers.len()),
        );
        None
    });
    let air = draft.plain(table.air, "air", owner);
    station_without_column(table.station_column.as_ref(), table.station.as_ref(), owner, draft);
    unit_without_column("wind", table.wind.is_none(), table.wind_unit.as_ref(), owner, draft);
    unit_without_column("cloud", table.cloud.is_none(), table.cloud_unit.as_ref(), owner, draft);
    let time_format = draft.plain(table.time_format, "time_format", owner);
    let utc_offset = offset(table.utc_offset, "the zone of the stamps", owner, draft);
    let air_unit = match draft.word(table.air_unit, "air_unit", owner) {
        Some("F") => AirUnit::Fahrenheit,
        Some("K") => AirUnit::Kelvin,
        _ => AirUnit::Celsius,
    };
    let wind_unit = match draft.word(table.wind_unit, "wind_unit", owner) {
        Some("km/h") => WindUnit::KilometresPerHour,
        Some("mph") => WindUnit::MilesPerHour,
        Some("kn") => WindUnit::Knots,
        _ => WindUnit::MetresPerSecond,
    };
    let cloud_unit = match draft.word(table.cloud_unit, "cloud_unit", owner) {
        Some("tenths") => CloudUnit::Tenths,
        Some("percent") => CloudUnit::Percent,
        _ => CloudUnit::Oktas,
    };
    let label = match draft.word(table.label, "label", owner) {
        Some("hour-ending") => StampMeaning::HourEnding,
        Some("hour-beginning") => StampMeaning::HourBeginning,
        _ => StampMeaning::Instant,
    };
    let delimiter = delimiter(table.delimiter, owner, draft);
    let decimal =
        draft.word(table.decimal, "decimal", owner).and_then(|word| word.chars().next()).unwrap_or('.');
    if decimal == ',' && delimiter == Some(',') {
        draft.fault(owner.span.clone(), format!("{}: a comma cannot be the delimiter and the decimal sign at once; check `delimiter` and `decimal`", owner.name));
    }
    Some(Columns {
        time: time?,
        time_format,
        utc_offset,
        air: air?,
        air_unit,
        ghi: draft.plain(table.ghi, "ghi", owner),
        dni: draft.plain(table.dni, "dni", owner),
        dhi: draft.plain(table.dhi, "dhi", owner),
        wind: draft.plain(table.wind, "wind", owner),
        wind_unit,
        cloud: draft.plain(table.cloud, "cloud", owner),
        cloud_unit,
        label,
        station_column: draft.plain(table.station_column, "station_column", owner),
        station: draft.plain(table.station, "station", owner),
        delimiter,
        decimal,
    })
}

/// A station to take, and no header to look it up under. The header alone is fine: it names the only station.
fn station_without_column(
    column: Option<&Given<String>>,
    station: Option<&Given<String>>,
    owner: &Owner,
    draft: &mut Draft<'_>,
) {
    let Some(given) = station.filter(|_| column.is_none()) else { return };
    draft.fault(
        given.span.clone(),
        format!(
            "{} has `station` and no `station_column`; expected the header under which the stations are named too; add \
             `station_column`, or leave `station` out",
            owner.name
        ),
    );
}

fn unit_without_column(
    column: &str,
    is_absent: bool,
    unit: Option<&Given<String>>,
    owner: &Owner,
    draft: &mut Draft<'_>,
) {
    if let Some(given) = unit.filter(|_| is_absent) {
        draft.fault(
            given.span.clone(),
            format!("{} has `{column}_unit` and no `{column}`; expected the header of that column; add `{column}`, or leave the unit out", owner.name),
        );
    }
}

fn delimiter(given: Option<Given<String>>, owner: &Owner, draft: &mut Draft<'_>) -> Option<char> {
    let (text, span) = draft.read(given, "delimiter", owner)?;
    match text.to_lowercase().as_str() {
        "tab" => return Some('\t'),
        "semicolon" => return Some(';'),
        "comma" => return Some(','),
        "space" => return Some(' '),
        _ => {}
    }
    let mut characters = text.chars();
    match (characters.next(), characters.next()) {
        (Some(one), None)
            if one.is_ascii() && !one.is_ascii_alphanumeric() && !matches!(one, '"' | '.' | '-') =>
        {
            Some(one)
        }
        _ => {
            draft.fault(
                span,
                format!(
                    "{}: found {}; expected one character, or \"tab\"; write for example: delimiter = \";\"",
                    owner.the("delimiter"),
                    quoted(&text)
                ),
            );
            None
        }
    }
}
