//! Do these files belong to one station, and who is it?

use super::gather::Declared;
use super::{FileFacts, Station, WeatherError};
use crate::note::{Note, NoteKind};

/// Farther apart than this two files cannot be of one station, degrees. Chosen because grids and stations of one
/// town lie within it and neighbouring towns mostly do not.
const APART_DEG: f64 = 0.3;

/// Joins what the files say of their station; an error where they are of several.
pub(super) fn joined(
    files: &[FileFacts],
    declared: &[Declared],
    notes: &mut Vec<Note>,
) -> Result<Station, WeatherError> {
    let mut station = Station::default();
    let mut names: Vec<String> = Vec::new();
    for (at, (file, one)) in files.iter().zip(declared).enumerate() {
        let one = &one.station;
        let stranger =
            (0..at).all(|before| !alike(one, &declared[before].station, file.format == files[before].format));
        if at == 0 || stranger {
            names.push(format!("{} in {}", title(one), file.path.display()));
        }
        station.id = station.id.take().or_else(|| one.id.clone());
        station.name = station.name.take().or_else(|| one.name.clone());
        if station.latitude_deg.is_none() && one.latitude_deg.is_some() {
            station.latitude_deg = one.latitude_deg;
            station.longitude_deg = one.longitude_deg;
        }
        station.elevation_m = station.elevation_m.or(one.elevation_m);
        station.utc_offset = station.utc_offset.or(one.utc_offset);
    }
    if names.len() > 1 {
        names.truncate(12);
        return Err(WeatherError::SeveralStations {
            place: "these files".to_owned(),
            names,
            next: "name the files of one station for each stop; files of two archives join where they share the \
                   station's number or both give coordinates that agree",
        });
    }
    let mut formats: Vec<String> = Vec::new();
    for (at, file) in files.iter().enumerate() {
        if (0..at).all(|before| files[before].format != file.format) {
            let id = declared[at].station.id.as_ref().map_or_else(String::new, |id| format!(" {id}"));
            formats.push(format!("{}{id}", file.format));
        }
    }
    if formats.len() > 1 {
        let text = format!(
            "files of several formats ({}) are taken as one station's; check that they are",
            formats.join(", ")
        );
        notes.insert(0, Note::once(NoteKind::Place, text));
    }
    Ok(station)
}

fn title(station: &Station) -> String {
    match (&station.id, &station.name) {
        (Some(id), Some(name)) if id != name => format!("{id} ({name})"),
        (Some(one), _) | (None, Some(one)) => one.clone(),
        (None, None) => match (station.latitude_deg, station.longitude_deg) {
            (Some(latitude), Some(longitude)) => format!("{latitude} N, {longitude} E"),
            _ => "a station without a name".to_owned(),
        },
    }
}

/// Whether two files can be of one station: the same number where one archive numbers both, else the same place.
pub(super) fn alike(one: &Station, other: &Station, same_format: bool) -> bool {
    if same_format && let (Some(one), Some(other)) = (&one.id, &other.id) {
        let begins = |long: &str, short: &str| {
            long.strip_prefix(short).is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
        };
        return begins(one, other) || begins(other, one);
    }
    let near = |one: Option<f64>, other: Option<f64>| !matches!((one, other), (Some(one), Some(other)) if (one - other).abs() > APART_DEG);
    let placed = |station: &Station| station.latitude_deg.is_some() && station.longitude_deg.is_some();
    // Two names and no two places: taken as two stations, since a wrong join gives another place's cold.
    let named_alike = match (&one.id, &other.id) {
        (Some(first), Some(second)) if !(placed(one) && placed(other)) => share_number(first, second),
        _ => true,
    };
    named_alike && near(one.latitude_deg, other.latitude_deg) && near(one.longitude_deg, other.longitude_deg)
}

/// Shortest number that names a station by itself: WMO and WBAN numbers have five digits.
const NUMBER_DIGITS: usize = 5;

/// Whether two archives' names of a station are equal or hold the same number, as 725300-94846, USW00094846 and
/// 72530094846 do. A number of nines alone stands for none.
fn share_number(one: &str, other: &str) -> bool {
    let holds = |long: &str, short: &str| {
        short
            .split('-')
            .filter(|part| part.len() >= NUMBER_DIGITS && part.bytes().all(|byte| byte.is_ascii_digit()))
            .any(|part| part.bytes().any(|byte| byte != b'9') && long.contains(part))
    };
    one.eq_ignore_ascii_case(other) || holds(one, other) || holds(other, one)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn station(id: &str, latitude_deg: f64) -> Station {
        Station { id: Some(id.to_owned()), latitude_deg: Some(latitude_deg), ..Station::default() }
    }

    #[test]
    fn one_archive_one_number() {
        assert!(alike(&station("725300", 41.9), &station("725300-94846", 41.9), true));
        assert!(!alike(&station("725300", 41.9), &station("725301", 41.9), true));
        assert!(!alike(&station("725300", 41.9), &station("ORD", 51.0), false));
    }

    #[test]
    fn two_archives_join_by_place_or_number_and_never_by_silence() {
        let unplaced = |id: &str| Station { id: Some(id.to_owned()), ..Station::default() };
        let placed = |id: &str| Station { longitude_deg: Some(-87.9), ..station(id, 41.98) };
        // Of ISD-Lite no place is known: an airport's letters beside a number may be another place.
        assert!(!alike(&unplaced("702910"), &unplaced("JFK"), false));
        assert!(!alike(&unplaced("702910"), &placed("ORD"), false));
        // The numbers of Chicago O'Hare as three archives write them (their own files).
        assert!(alike(&unplaced("725300-94846"), &placed("USW00094846"), false));
        assert!(alike(&unplaced("725300"), &placed("72530094846"), false));
        assert!(!alike(&unplaced("725300-99999"), &placed("99999999999"), false));
        // Without a name there is nothing to contradict.
        assert!(alike(&Station::default(), &placed("ORD"), false));
        assert!(alike(&placed("725300"), &placed("ORD"), false));
    }
}
