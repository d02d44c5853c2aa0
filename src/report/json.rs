//! JSON: the results as they are.

use super::clean;
use crate::study::StationWeather;
use serde::Serialize;

/// Results of a run as indented JSON with a line break at its end.
///
/// Numbers come from the results, unrounded; what the record cannot support is `null`.
#[must_use]
pub fn json(results: &impl Serialize) -> String {
    written(results)
}

/// What weather files hold: a list, one item a station.
#[must_use]
pub fn stations_json(stations: &[StationWeather]) -> String {
    written(stations)
}

fn written<T: Serialize + ?Sized>(results: &T) -> String {
    // Keys are strings and no part of a result refuses to be written, so this branch is never taken;
    // an empty document would be worse than a plain sentence.
    let mut text = serde_json::to_string_pretty(results)
        .unwrap_or_else(|error| format!("{{ \"error\": \"{}\" }}", error.to_string().replace('"', "'")));
    text.push('\n');
    clean::json(text)
}
