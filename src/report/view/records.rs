//! Stations, records and design temperatures in words and rows.

use crate::report::show::{self, Units, fixed};
use crate::study::results::{DesignTemperature, RecordFacts, RecordKind, StopResult};
use crate::time::{Stamp, UtcOffset};
use crate::units::so_many;

/// Name, place and elevation of the station.
pub(crate) fn station_sentence(stop: &StopResult, units: Units) -> String {
    let station = &stop.station;
    let mut parts = vec![station.name.clone().unwrap_or_else(|| "without a name".to_owned())];
    if let (Some(latitude), Some(longitude)) = (station.latitude_deg, station.longitude_deg) {
        parts.push(show::coordinates(latitude, longitude));
    }
    if let Some(elevation) = station.elevation_m {
        parts.push(show::elevation(elevation, units));
    }
    if let (Some(own), Some(place)) = (station.elevation_m, stop.elevation_m)
        && (own - place).abs() >= 0.5
    {
        let word = if place > own { "above" } else { "below" };
        parts.push(format!("the place lies {} {word} it", show::elevation((place - own).abs(), units)));
    }
    parts.join(", ")
}

/// Span, kind, coverage and lowest reading of the record.
pub(crate) fn record_sentence(record: &RecordFacts, units: Units) -> String {
    let day = |stamp: Stamp| stamp.local_day(UtcOffset::UTC);
    let span = match record.kind {
        RecordKind::Chronological => format!(
            "{} to {}, {}, {} of which {} complete, {} % of the reports there",
            day(record.first),
            day(record.last),
            so_many(record.hours, "hour"),
            so_many(record.winters, "winter"),
            record.complete_winters,
            fixed(record.coverage * 100.0, 1)
        ),
        RecordKind::TypicalYear => {
            format!("typical year of {} hours (it carries no extremes)", record.hours)
        }
    };
    let files = match record.files.as_slice() {
        [] => String::new(),
        [one] => format!(" ({one})"),
        [first, .., last] => format!(" ({} files, {first} to {last})", record.files.len()),
    };
    format!(
        "{}{files}; {span}; lowest at the station {} on {} UTC",
        record.format,
        show::temperature(record.lowest_c, units),
        record.lowest_at.local(UtcOffset::UTC)
    )
}

/// Hours of a record in which the array was lit and its volts computed, where the report counted them.
pub(crate) fn lit_hours(stop: &StopResult) -> Option<u64> {
    let cells = stop.arrays.iter().find_map(|array| array.pictures.light_and_air.as_ref())?;
    Some(cells.hours.iter().flatten().map(|&hours| u64::from(hours)).sum())
}

/// A row of the table of design temperatures.
pub(crate) struct DesignRow {
    /// What.
    pub name: &'static str,
    /// Printed value.
    pub value: String,
    /// Interval, date or source.
    pub remark: String,
}

/// What stands behind a time of day on the clock of `offset`.
fn clock_word(offset: UtcOffset) -> &'static str {
    if offset == UtcOffset::UTC { "UTC" } else { "local time" }
}

/// Design temperatures that the record supports.
pub(crate) fn design_rows(stop: &StopResult, units: Units) -> Vec<DesignRow> {
    design_rows_of(&stop.design_temperature_c, stop.utc_offset, units)
}

/// The same on the clock of `offset`.
pub(crate) fn design_rows_of(design: &DesignTemperature, offset: UtcOffset, units: Units) -> Vec<DesignRow> {
    let mut rows = Vec::new();
    let mut add = |name, value: Option<f64>, remark: String| {
        if let Some(value) = value {
            rows.push(DesignRow { name, value: show::temperature(value, units), remark });
        }
    };
    let at = design.record_low_at.map(|at| format!("{} {}", at.local(offset), clock_word(offset)));
    add("record low", design.record_low, at.unwrap_or_default());
    let spread = design.sd.map(|sd| format!("standard deviation {}", show::kelvin(sd, units)));
    add("mean of annual lows", design.mean_annual_low, spread.unwrap_or_default());
    let levels = [
        ("5-year low", design.low_5_year),
        ("10-year low", design.low_10_year),
        ("20-year low", design.low_20_year),
        ("50-year low", design.low_50_year),
    ];
    for (index, (name, value)) in levels.into_iter().enumerate() {
        let mut remark = Vec::new();
        if let Some(errors) = design.standard_errors {
            remark.push(format!("standard error {}", show::kelvin(errors[index], units)));
        }
        if let Some(bounds) = design.bounds_90 {
            remark.push(format!("90 % bound {}", show::temperature(bounds[index], units)));
        }
        add(name, value, remark.join(", "));
    }
    add("lowest in daylight", design.daylight_record_low, "or within 2 h before sunrise".to_owned());
    add("mean annual low in daylight", design.daylight_mean_annual_low, String::new());
    add("lowest in the stay's days", design.window_low, String::new());
    if let Some(published) = &design.published {
        let mut remark = published.source.clone();
        if let Some(sd) = published.sd {
            remark.push_str(&format!(", standard deviation {}", show::kelvin(sd, units)));
        }
        if let Some(low) = published.low_20_year {
            remark.push_str(&format!(", 20-year low {}", show::temperature(low, units)));
        }
        add("published mean annual low", Some(published.mean), remark);
    }
    rows
}
